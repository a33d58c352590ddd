"""How parts under loads are counted, of checks made up by hand: what fails, what cannot be told, what hangs."""

from dataclasses import replace

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.loads import part_scatter
from panelmech.loads.cases import PointPush
from panelmech.loads.checks import LOAD_RULES
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.part_scatter import ENOUGH, Told, _Parts
from panelmech.loads.plan import LoadPlan
from panelmech.study.tolerances import scatter
from panelmech.study.varying import default_tolerances
from panelmech.study.verdicts import FAILS, HOLDS, UNKNOWN

COUNT = 120
TOLERANCES = tuple(t for t in default_tolerances(LEEBOARD) if t.field in ("sheet_thickness", "spacer_diameter"))
SCATTERED = scatter(LEEBOARD, TOLERANCES, COUNT, rules=())
THICK, ROD = (
    SCATTERED.samples[name] / getattr(LEEBOARD, name) - 1.0 for name in ("sheet_thickness", "spacer_diameter")
)
RESERVE = np.exp(20.0 * THICK + 3.0 * ROD + 0.003)  # below one it fails
REACH = np.exp(15.0 * ROD - 2.0 * THICK + 0.002)  # below one it cannot be told


def told(i):
    """Of the checks of a part: one that may fail, one that may not be told, one never known, one that asks nothing."""
    return {
        "loads.weak": Told("Weak", FAILS if RESERVE[i] < 1.0 else HOLDS, RESERVE[i]),
        "loads.far": Told("Far", UNKNOWN if REACH[i] < 1.0 else HOLDS, 2.0, REACH[i]),
        "loads.never": Told("Never", UNKNOWN, np.nan),
        "loads.idle": Told("Idle", HOLDS, np.inf),
    }


def nodes_of():
    return _Parts(Blade(LEEBOARD), None, SCATTERED).places.chosen(SCATTERED.samples)


def parts_of(worked, blade=None):
    parts = _Parts(Blade(LEEBOARD) if blade is None else blade, None, SCATTERED)
    nodes = parts.places.chosen(SCATTERED.samples)
    parts.worked = {i: worked(i) for i in nodes}
    parts.names = {key: one.name for found in parts.worked.values() if found for key, one in found.items()}
    parts.fit()
    return parts


def test_there_are_parts_of_every_kind():
    for values in (RESERVE, REACH):
        assert 20 < np.sum(values < 1.0) < 100 and np.min(np.abs(values - 1.0)) > 1e-5


def test_what_is_read_between_parts_is_counted_as_what_it_is():
    """The logarithms are linear in what is off, next to linear in its logarithm: read as good as exactly."""
    parts = parts_of(told)
    assert parts.hanging() is None
    found = parts.found()
    weak, far, never, idle = (found.counted[f"loads.{name}"] for name in ("weak", "far", "never", "idle"))
    assert (weak.count, weak.undecided, weak.unknown) == (np.sum(RESERVE < 1.0), 0, 0)
    assert (far.count, far.undecided, far.unknown) == (0, 0, np.sum(REACH < 1.0))
    assert (never.count, never.unknown, idle.count, idle.unknown) == (0, COUNT, 0, 0)
    assert found.reserves["loads.weak"] == pytest.approx(RESERVE, rel=1e-4)
    assert found.reserves["loads.idle"] == pytest.approx(np.full(COUNT, ENOUGH), rel=1e-9)
    apart = SCATTERED.parts["beyond"]
    assert found.counted["beyond"].count == np.sum(apart | (REACH < 1.0))
    assert found.counted["any"].count == np.sum(SCATTERED.parts["fails"] | (RESERVE < 1.0))
    assert found.names["loads.far"] == "Far" and found.read == f"{len(parts.worked)} parts worked out under the loads"
    assert 0.0 < found.framed_doubt < 1e-3
    assert set(SCATTERED.counted) <= set(found.counted)


def test_a_part_that_cannot_be_made_fails_and_leaves_the_others_open():
    """Nothing is read next to what cannot be made; what was worked out stays what it is."""
    nodes = nodes_of()
    parts = parts_of(lambda i: None if i == nodes[2] else told(i))
    fails, hangs, unknown = parts._states()
    worked = np.isin(np.arange(COUNT), nodes)
    weak, far, never, _ = range(4)
    assert not fails[:, ~worked].any() and hangs[weak, ~worked].all() and hangs[far, ~worked].all()
    assert not hangs[:, worked].any() and not hangs[never].any() and unknown[never, ~worked].all()
    others = [i for i in nodes if i != nodes[2]]
    assert fails[:, nodes[2]].all() and fails[weak, others].sum() == np.sum(RESERVE[others] < 1.0)
    assert parts.hanging() in np.flatnonzero(~worked)


def test_a_check_that_one_part_does_not_have_is_not_read_of_the_others():
    nodes = nodes_of()
    parts = parts_of(lambda i: {k: v for k, v in told(i).items() if i != nodes[3] or k != "loads.weak"})
    fails, hangs, unknown = parts._states()
    row = parts.keys.index("loads.weak")
    assert unknown[row, nodes[3]] and not hangs[row, nodes].any() and not unknown[row, nodes[:3]].any()
    assert hangs[row].sum() == COUNT - len(nodes)
    far = parts.keys.index("loads.far")
    assert not hangs[far].any() and unknown[far].sum() == np.sum(REACH < 1.0)


def test_the_part_nearest_to_a_limit_is_worked_out_first():
    """Readings that scatter by a twentieth leave parts open near the limit; one after the other is worked out, but for
    those of which a check of the design fails already, or another under load."""
    noise = 1.0 + 0.05 * np.random.default_rng(1).standard_normal(COUNT)
    sure = np.exp(15.0 * ROD + 0.03)

    def worked(i):
        return {"loads.weak": Told("Weak", HOLDS, RESERVE[i] * noise[i]), "loads.sure": Told("Sure", HOLDS, sure[i])}

    parts = parts_of(worked)
    open_ = parts._states()[1][0] & ~SCATTERED.parts["fails"]
    assert np.sum(open_ & (sure < 1.0)) > 0
    open_ &= sure > 1.0
    logs, settled = np.abs(parts.logs[0, 0]), []
    while (i := parts.hanging()) is not None:
        parts.worked[i] = {key: Told("", HOLDS, 1.1) for key in parts.keys}
        settled.append(i)
    assert sorted(settled) == np.flatnonzero(open_).tolist() and len(settled) > 2
    assert logs[settled].tolist() == sorted(logs[settled])


def test_checks_of_the_design_count_where_the_part_changes_along_its_span():
    """There they are read like the others; of a part that does not change they are known of every part."""
    worked = lambda i: {**told(i), "forming_strain": Told("Strain", HOLDS, 1.5)}  # noqa: E731
    even, tapered = parts_of(worked), parts_of(worked, Blade(LEEBOARD, free_length=(0.225, 0.2)))
    assert "forming_strain" not in even.keys and "forming_strain" in tapered.keys
    assert even.at_root and not tapered.at_root
    assert tapered.found().counted["forming_strain"].count == 0
    assert even.found().counted["forming_strain"] == SCATTERED.counted["forming_strain"]
    assert "greatest_spacer" in even.found().counted and "greatest_spacer" not in tapered.found().counted


def test_it_comes_part_by_part_and_every_tenth_of_those_that_hang_is_counted(monkeypatch):
    """Readings that scatter by a fifth: at most twelve parts more are worked out, then it is told as it is."""
    rng = np.random.default_rng(2)

    def made_up(blade, sheet):
        return {"loads.weak": Told("Weak", HOLDS, 1.001 + 0.2 * rng.uniform(-1.0, 1.0))}

    monkeypatch.setattr(part_scatter, "every_check", made_up)
    sturdy = replace(SCATTERED, parts={**SCATTERED.parts, "fails": np.zeros(COUNT, dtype=bool)})
    steps = list(part_scatter.part_scatter_steps(Blade(LEEBOARD), None, sturdy, most=12))
    aim = len(nodes_of())
    assert [one.done for one in steps] == [*range(1, aim + 1), aim, *range(aim + 1, aim + 13), aim + 12]
    assert {one.aim for one in steps} == {aim}
    counted = [i for i, one in enumerate(steps) if one.found is not None]
    assert counted == [aim, aim + 10, len(steps) - 1]
    assert [one.complete for one in steps] == [False] * (len(steps) - 1) + [True]


def test_what_a_part_is_read_by_is_the_least_of_its_reserves():
    """Over cases and places, as the check of the part says; all of it can be told."""
    study = evaluate_loads(LEEBOARD, LoadPlan((PointPush("a", 4.0), PointPush("b", 3.0)), stations=5, local=False))
    known = [rule for rule in LOAD_RULES if rule.applies(study) and np.isfinite(study.check(rule.key).reserve)]
    assert len(known) > 3
    for rule in known:
        reserve, told = part_scatter._apart(rule, study)
        assert reserve == pytest.approx(study.check(rule.key).reserve, rel=1e-12) and told > 1.0


def test_of_a_part_that_changes_along_its_span_only_what_two_sheets_tell_is_counted_of_its_root():
    """A part whose sheets lie too far apart fails; what else the design at the root comes to is read along the span."""
    apart = np.arange(COUNT) == 7
    states = {name: np.ones(COUNT, dtype=bool) for name in SCATTERED.parts} | {"apart": apart}
    parts = _Parts(Blade(LEEBOARD, free_length=(0.225, 0.2)), None, replace(SCATTERED, parts=states))
    assert parts._root("fails").tolist() == apart.tolist()
    assert not any(parts._root(name).any() for name in ("hangs", "unknown", "beyond"))
    del states["apart"]
    assert not parts._root("fails").any()
