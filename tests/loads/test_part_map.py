"""A map of a part under its loads: no cell disagrees with the judge of the job, and what is not sure is said."""

from dataclasses import replace

import numpy as np
import pytest
from day_and_night import by_day

import panelmech.loads.part_map as part_map_module
from panelmech.blade.blade import Table
from panelmech.job.every import judge_of
from panelmech.job.job import demo
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.part_map import COARSE, LOADS, part_map, part_map_steps
from panelmech.loads.plan import LoadPlan, Stock
from panelmech.loads.response import framed_sheet_at, uneven_buckling
from panelmech.materials.stock import catalogue
from panelmech.study.framed_sheet import IN_PLANE
from panelmech.study.sweeps import ELSEWHERE, NOT_DECIDED, RESERVES, load_sweep, sweep

DEMO = demo()
ROD, SHEET = dict(spacer_diameter=(4.5e-3, 31.5e-3)), dict(sheet_thickness=(0.5e-3, 5.3e-3))


def of_design(**changes):
    return DEMO.with_design(DEMO.design.replace(**changes))


def of_plan(**changes):
    return DEMO.replace(loads=replace(DEMO.loads, plan=replace(DEMO.loads.plan, **changes)))


STEPPED = Table((0.0, 0.4), (0.018, 0.012), stepped=True)
MAPS = {  # jobs with two inputs and their ends
    "rod and sheet": (DEMO, {**ROD, **SHEET}),
    "length and setback": (DEMO, dict(free_length=(0.05, 0.5), setback=(-6e-3, 10e-3))),
    "own pressure": (of_design(pressure=700.0), {**ROD, **SHEET}),
    "own stress": (of_design(service_stress=4e6, settled=("service_stress",)), dict(bond_line=(1e-4, 1e-3), **SHEET)),
    "span": (DEMO, dict(span=(0.6, 1.2), **SHEET)),
    "judgement": (DEMO, dict(pressure=(0.0, 8000.0), close_share=(0.0, 0.6))),
    "margins": (DEMO, dict(toughness_margin=(1.0, 6.0), deflection_share=(0.002, 0.05))),
    "frames and stress": (DEMO, dict(frame_width=(0.005, 0.08), service_stress=(0.0, 4e7))),
    "stepped rod": (DEMO.replace(blade=replace(DEMO.blade, spacer_diameter=STEPPED, spacer_wall=None)), ROD | SHEET),
    "no framed sheet": (of_plan(local=False), {**ROD, **SHEET}),
    "the same all along": (DEMO.replace(blade=DEMO.design), {**ROD, **SHEET}),
    "plywood": (of_design(sheet=catalogue["birch plywood, face grain along chord"]), {**ROD, **SHEET}),
    "clamped, torque, stock": (
        DEMO.replace(
            loads=LoadSheet(
                LoadPlan(
                    (PointPush("grounding", 40.0, 1.0, 0.1), *DEMO.loads.plan.cases),
                    Held((-0.2, 0.05)),
                    DEMO.loads.plan.judgement,
                    Stock(0.3, 0.03, 0.0, 2.0e11, 0.3, 2.5e8),
                    "resting",
                )
            )
        ),
        {**ROD, **SHEET},
    ),
}  # fmt: skip


def swept(name, count):
    job, ends = MAPS[name]
    axes = {field: np.linspace(*span, count) for field, span in ends.items()}
    return sweep(job.design, ("chord", *RESERVES, "least_reserve"), local=False, **axes)


def mapped_of(name, count, **more):
    job = MAPS[name][0]
    return part_map(job.blade, job.loads, swept(name, count), **more)


def agree(job, mapped, cells):
    """Cells that are decided are what the job's judge says of their design; how many those are."""
    told, judge = 0, judge_of(job)
    for index in map(tuple, cells):
        found, least, name = judge(mapped.design_at(*index)), mapped["least_reserve"][index], mapped.governing(*index)
        if mapped.reason_code[index]:
            assert found.name == "cannot be made" and np.isnan(least) and name == ""
        if mapped.reason_code[index] or mapped.undecided[index]:
            continue
        told += 1
        if found.beyond:  # no such cell passes for one that holds
            assert least < 1.0 and found.verdict in ("unknown", "fails")
            continue
        assert name == found.name
        share = job.design.close_share if "close_share" not in mapped.axes else mapped.design_at(*index).close_share
        word = "fails" if least < 1.0 - 1e-9 else "close" if share and least < 1.0 + share else "holds"
        assert found.verdict in (word, "unknown") and least == pytest.approx(found.reserve, rel=0.05)
    return told


FIRST = next(iter(MAPS))
BY_DAY = FIRST, "judgement", "frames and stress", "clamped, torque, stock"


@by_day("name", MAPS, *BY_DAY)
def test_no_cell_disagrees_with_the_judge_of_the_job(name):
    mapped = mapped_of(name, 9)
    picked = np.random.default_rng(3).permutation(np.argwhere(swept(name, 9).feasible))[:9]
    agree(MAPS[name][0], mapped, picked)
    assert mapped.undecided.sum() < 10


@pytest.mark.nightly
@pytest.mark.slow
def test_hundreds_of_cells_never_disagree_with_the_judge():
    mapped = mapped_of(FIRST, 40)
    cells = np.random.default_rng(5).permutation(np.argwhere(mapped.feasible))[:400]
    assert agree(DEMO, mapped, cells) > 380


def test_it_comes_by_and_by_and_what_was_worked_out_is_exact():
    before = swept(FIRST, 16)
    steps = [mapped for mapped in part_map_steps(DEMO.blade, DEMO.loads, before, most=30) if mapped is not None]
    assert steps[0].sweep.shape == (COARSE, COARSE) and all(m.sweep.shape == (16, 16) for m in steps[1:])
    assert [m.complete for m in steps] == [False] * (len(steps) - 1) + [True] and steps[-1].done == 30
    first = steps[0].sweep
    for corner in ((0, 0), (0, -1), (-1, 0), (-1, -1)):
        cells = {name: values[i] for (name, values), i in zip(first.axes.items(), corner, strict=True)}
        assert cells == {name: values[i] for (name, values), i in zip(before.axes.items(), corner, strict=True)}
    assert agree(DEMO, first, [(i, j) for i in (0, COARSE - 1) for j in (0, COARSE - 1)]) >= 1


def test_what_can_be_made_at_the_root_alone_is_said():
    lengths = np.linspace(0.12, 0.4, 5)  # at the root end; at the tip it stays 165 mm
    before = sweep(DEMO.design, RESERVES, local=False, free_length=lengths, spacer_diameter=[0.02, 0.06, 0.09])
    mapped = part_map(DEMO.blade, DEMO.loads, before)
    elsewhere = mapped.reason_code == ELSEWHERE
    assert elsewhere.any() and before.feasible[elsewhere].all() and mapped.feasible.any()
    assert np.isnan(mapped["least_reserve"][~mapped.feasible]).all()
    agree(DEMO, mapped, [*np.argwhere(elsewhere)[:2], *np.argwhere(mapped.feasible)[:3]])


def test_designs_that_differ_in_no_size_are_worked_out_together(monkeypatch):
    """Whatever two inputs of judgement a map goes over."""
    counted, together = [], part_map_module.Alike
    monkeypatch.setattr(part_map_module, "Alike", lambda *given: counted.append(len(given[2])) or together(*given))
    before = swept("margins", 9)
    mapped = part_map(DEMO.blade, DEMO.loads, before)
    assert counted == [81] and mapped["least_reserve"].std() > 0.0
    assert agree(DEMO, mapped, [(0, 0), (0, 8), (8, 0), (4, 4)]) == 4


def test_further_checks_are_kept_in_files(tmp_path):
    mapped = mapped_of(FIRST, 4)
    assert f"{LOADS}skin_pressed" in mapped.more and NOT_DECIDED < mapped.governing_code.max()
    for kind in ("npz", "csv"):
        mapped.save(tmp_path / f"map.{kind}")
        again = load_sweep(tmp_path / f"map.{kind}", mapped.design)
        assert again.more == mapped.more and np.array_equal(again.governing_code, mapped.governing_code)
        assert again.governing(0, 0) == mapped.governing(0, 0)


def test_what_is_no_map_is_refused():
    with pytest.raises(ValueError, match="two numeric inputs"):
        part_map(DEMO.blade, DEMO.loads, sweep(DEMO.design, RESERVES, local=False, free_length=[0.2, 0.25]))


def test_edges_that_may_draw_in_buckle_first():
    """Map and judge take the edges that may draw in alone: the worse of both, whatever the sheet."""
    rng = np.random.default_rng(2)
    for name in ("glass-epoxy laminate, lengthwise", "birch plywood, face grain along chord", "aluminium 6061-T6"):
        for t in catalogue[name].stock_thicknesses[:3]:
            length, rod = rng.uniform(0.15, 0.4), rng.uniform(8e-3, 20e-3)
            changes = dict(sheet_thickness=t, free_length=length, spacer_diameter=rod, spacer_wall=0.0)
            one = DEMO.design.replace(sheet=catalogue[name], **changes)
            assert framed_sheet_at(one)["buckling"] == min(uneven_buckling(one, edges) for edges in IN_PLANE)
