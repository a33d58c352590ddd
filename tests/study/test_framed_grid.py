"""The framed sheet over two inputs: exact on its own grid, within its stated doubt between, honest about the rest."""

import numpy as np
import pytest

from panelmech import Design, catalogue, evaluate
from panelmech.study.framed_grid import FRAMED_RESERVES, sweep_framed
from panelmech.study.sweeps import sweep

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
ENDS = dict(spacer_diameter=(8e-3, 24e-3), sheet_thickness=(1e-3, 4e-3))


@pytest.fixture(scope="module")
def framed():
    return sweep_framed(DESIGN, 5, **ENDS)


def framed_at(framed, **axes):
    return framed.onto(sweep(DESIGN, ["chord"], **axes))


def reserves_of(design):
    study = evaluate(design)
    return [study.check(name.removesuffix("_reserve")).reserve for name in FRAMED_RESERVES]


def test_on_its_own_grid_it_is_the_study(framed):
    for i, j in ((0, 0), (2, 3), (4, 4)):
        x, y = (values[k] for values, k in zip(framed.axes.values(), (i, j), strict=True))
        expected = reserves_of(DESIGN.replace(spacer_diameter=float(x), sheet_thickness=float(y)))
        assert [framed.reserves[name][i, j] for name in FRAMED_RESERVES] == pytest.approx(expected, rel=1e-9)


def test_between_it_is_within_its_doubt(framed):
    """The doubt comes from leaving every other design out; a cubic on the whole grid does better."""
    rng = np.random.default_rng(5)
    axes = {name: np.sort(rng.uniform(*ends, 4)) for name, ends in ENDS.items()}
    read = framed_at(framed, **axes)
    assert 0 < framed.doubt < 0.3
    for i in range(4):
        found = np.array([read[name][i, 3 - i] for name in FRAMED_RESERVES])
        assert np.all(np.abs(found / reserves_of(read.design_at(i, 3 - i)) - 1) < framed.doubt)


def test_what_the_sweep_had_stays(framed):
    before = sweep(DESIGN, ["chord"], spacer_diameter=[0.01, 0.02], sheet_thickness=[2e-3, 3e-3])
    after = framed.onto(before)
    assert after["chord"] is before["chord"] and set(after.values) == {"chord", *FRAMED_RESERVES}


def test_what_cannot_be_made_stays_unknown():
    framed = sweep_framed(DESIGN.replace(free_length=0.08), 3, **{**ENDS, "spacer_diameter": (8e-3, 60e-3)})
    assert np.isnan(framed.reserves[FRAMED_RESERVES[0]]).any()
    swept = sweep(framed.design, ["chord"], spacer_diameter=[0.01, 0.06], sheet_thickness=[1e-3, 2e-3])
    read = framed.onto(swept)
    assert np.isnan(read[FRAMED_RESERVES[0]][~swept.feasible]).all() and not swept.feasible.all()


def test_a_negative_end_is_taken_evenly():
    framed = sweep_framed(DESIGN, 3, setback=(-6e-3, 10e-3), span=(0.4, 0.9))
    assert np.diff(framed.axes["setback"]) == pytest.approx(8e-3)
    read = framed.onto(sweep(DESIGN, ["chord"], setback=[2e-3], span=[0.6]))
    assert np.isfinite(read[FRAMED_RESERVES[1]]).all()


def test_another_map_is_refused(framed):
    with pytest.raises(ValueError, match="another map"):
        framed.onto(sweep(DESIGN, ["chord"], spacer_diameter=[0.01], span=[0.5]))
    with pytest.raises(ValueError, match="another map"):
        framed.onto(sweep(DESIGN, ["chord"], spacer_diameter=[0.01, 0.05], sheet_thickness=[2e-3]))
    with pytest.raises(ValueError, match="two inputs"):
        sweep_framed(DESIGN, 3, span=(0.5, 0.6))
    with pytest.raises(ValueError, match="odd number"):
        sweep_framed(DESIGN, 4, **ENDS)


def test_it_reports_and_can_be_stopped():
    seen = []
    assert sweep_framed(DESIGN, 3, lambda done, total: seen.append((done, total)) or done == 2, **ENDS) is None
    assert seen == [(1, 9), (2, 9)]
