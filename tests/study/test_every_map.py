"""A map with every check: no cell disagrees with the study of its design, and what is not sure is said."""

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD as DESIGN

from panelmech import catalogue, evaluate
from panelmech.study.advice import framed_reserves
from panelmech.study.checks import LOCAL_RULES
from panelmech.study.every_map import check_map, map_steps
from panelmech.study.sweeps import NOT_DECIDED, RESERVES, load_sweep, sweep

KEPT = ("chord", *RESERVES, "least_reserve")
MAPS = {
    "rod and sheet": (DESIGN, dict(spacer_diameter=(4.5e-3, 31.5e-3), sheet_thickness=(0.5e-3, 5.3e-3))),
    "much cannot be made": (
        DESIGN.replace(free_length=0.09, span=0.4),
        dict(spacer_diameter=(8e-3, 60e-3), sheet_thickness=(1e-3, 4e-3)),
    ),
    "length and span": (DESIGN, dict(free_length=(0.1, 0.5), span=(0.2, 1.5))),
    "judgement": (DESIGN, dict(pressure=(0.0, 8000.0), close_share=(0.0, 0.6))),
    "setback": (DESIGN, dict(setback=(-6e-3, 10e-3), frame_width=(5e-3, 60e-3))),
}


def swept(name, count):
    design, ends = MAPS[name]
    return sweep(design, KEPT, local=False, **{field: np.linspace(*span, count) for field, span in ends.items()})


def agree(mapped, cells):
    """Cells that are decided are what the study says of their design; how many those are."""
    told = 0
    for index in map(tuple, cells):
        if mapped.undecided[index]:
            continue
        study, told = evaluate(mapped.design_at(*index)), told + 1
        least, share = mapped["least_reserve"][index], study.design.close_share
        if any(c.beyond and np.isnan(c.reserve) for c in study.limits):  # no such cell passes for one that holds
            assert least < 1.0 and study.verdict in ("unknown", "fails")
            continue
        assert mapped.governing(*index) == study.governing.name
        word = "fails" if least < 1.0 - 1e-9 else "close" if share and least < 1.0 + share else "holds"
        assert word == study.verdict or study.verdict == "unknown"
        assert least == pytest.approx(study.least_reserve, rel=0.3)
    return told


@pytest.mark.slow
@by_day("name", MAPS, "rod and sheet", "judgement")
def test_no_cell_disagrees_with_the_study(name):
    mapped = check_map(swept(name, 16), most=110)
    cells = np.argwhere(mapped.feasible)
    picked = np.random.default_rng(3).permutation(cells)[:14]
    assert agree(mapped, picked) >= 10


@pytest.mark.nightly
@pytest.mark.slow
def test_hundreds_of_cells_never_disagree_with_the_study():
    told = 0
    for name in MAPS:
        mapped = check_map(swept(name, 40))
        assert mapped.undecided.mean() < 0.03
        told += agree(mapped, np.random.default_rng(5).permutation(np.argwhere(mapped.feasible))[:80])
    assert told > 350


@pytest.mark.slow
def test_it_comes_by_and_by_and_what_was_worked_out_is_exact():
    before = swept("rod and sheet", 20)
    steps = [mapped for mapped in map_steps(before) if mapped is not None]
    assert [m.complete for m in steps] == [False] * (len(steps) - 1) + [True]
    assert np.all(np.diff([m.done for m in steps]) >= 0) and steps[0].undecided > steps[-1].undecided
    last = steps[-1].sweep
    for name in before.values:
        same = last[name] is before[name]
        assert same == (name != "least_reserve")
    for corner in ((0, 0), (0, 19), (19, 0), (19, 19)):
        study = evaluate(last.design_at(*corner))
        for rule in LOCAL_RULES:
            by = dict(zip((r.key for r in LOCAL_RULES), framed_reserves(study), strict=True))
            assert last[rule.reserve][corner] == pytest.approx(by[rule.key], rel=1e-9)


def test_what_is_not_decided_is_said_and_kept(tmp_path):
    mapped = check_map(swept("rod and sheet", 24), most=9)
    assert mapped.undecided.any() and (mapped.governing_code[mapped.undecided] == NOT_DECIDED).all()
    agree(mapped, np.random.default_rng(6).permutation(np.argwhere(mapped.feasible))[:8])
    for kind in ("npz", "csv"):
        mapped.save(tmp_path / f"map.{kind}")
        again = load_sweep(tmp_path / f"map.{kind}", mapped.design)
        assert np.array_equal(again.governing_code, mapped.governing_code) and again.undecided.any()


def test_what_cannot_be_made_or_known_stays_so():
    mapped = check_map(swept("much cannot be made", 12), most=40)
    assert not mapped.feasible.all() and np.isnan(mapped["oil_canning_reserve"][~mapped.feasible]).all()
    assert not mapped.undecided[~mapped.feasible].any()
    plywood = DESIGN.replace(sheet=catalogue["birch plywood, face grain along chord"])
    grid = sweep(plywood, KEPT, local=False, spacer_diameter=[0.01, 0.02, 0.03], sheet_thickness=[0.6e-3, 1.5e-3, 3e-3])
    mapped = check_map(grid)
    for index in np.ndindex(3, 3):
        study = evaluate(mapped.design_at(*index))
        reserve = mapped["oil_canning_reserve"][index]
        assert reserve == pytest.approx(framed_reserves(study)[0], rel=1e-9, nan_ok=True)


def test_only_the_rules_asked_for_count():
    mapped = check_map(swept("rod and sheet", 6), rules=())
    assert "oil_canning_reserve" not in mapped.values and not mapped.undecided.any()
    assert mapped["least_reserve"] == pytest.approx(swept("rod and sheet", 6)["least_reserve"], nan_ok=True)
    assert not any(m.done for m in map_steps(swept("rod and sheet", 6), rules=()) if m is not None)


def test_what_is_no_map_is_refused():
    with pytest.raises(ValueError, match="two numeric inputs"):
        check_map(sweep(DESIGN, KEPT, local=False, span=[0.5, 0.6]))
    with pytest.raises(ValueError, match="two numeric inputs"):
        check_map(sweep(DESIGN, ["chord"], local=False, span=[0.5, 0.6], pressure=[1e3, 2e3]))
