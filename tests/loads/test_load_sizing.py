"""Sweeps and sizing under load: every answer put back gives the target."""

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.loads import sizing
from panelmech.loads.cases import PointPush, SideForce
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.loads.sizing import LOAD_OUTPUTS, load_outputs_at, load_quantities, load_sweep, size_for_load

PLAN = LoadPlan((PointPush("grounding", 60.0), SideForce("sailing", 2.0, 1025.0, angle=0.08)), local=False, stations=21)


def test_quantities_are_those_of_the_study():
    found, study = load_quantities(LEEBOARD, PLAN), evaluate_loads(LEEBOARD, PLAN)
    assert found["spacer_stress"] == study.check("spacer_stress").value
    assert found["least_reserve"] == study.governing.reserve
    assert found["tip_deflection"] == study.check("tip_deflection").value
    assert set(LOAD_OUTPUTS) - set(found) == {"skin_buckling_reserve", "skin_pressed_reserve"}
    assert found["mass"] == pytest.approx(study.along.sections.mass_per_length[0] * 0.85)


@pytest.mark.slow
@by_day(
    ("output", "target", "field"),
    [
        ("tip_deflection", 0.015, "spacer_diameter"),
        ("spacer_stress_reserve", 2.0, "spacer_wall"),
        ("sheet_stress", 8e6, "sheet_thickness"),
        ("tip_twist", 0.004, "free_length"),
    ],
    ("tip_twist", 0.004, "free_length"),
)
def test_every_answer_put_back_gives_the_target(output, target, field):
    found = size_for_load(LEEBOARD, PLAN, output, target, field)
    assert found.solutions
    values = load_outputs_at(LEEBOARD, PLAN, field, output, found.solutions)
    assert values == pytest.approx([target] * len(found.solutions), rel=1e-8)
    assert all(
        size.value in (*LEEBOARD.spacer.walls, *LEEBOARD.spacer.diameters, *LEEBOARD.sheet.stock_thicknesses)
        for size in found.stock
    )


@pytest.mark.slow
def test_a_tapered_blade_is_sized_by_what_it_leaves_to_the_design():
    blade = Blade(LEEBOARD, free_length=(0.225, 0.16))
    (wall,) = size_for_load(blade, PLAN, "spacer_stress", 50e6, "spacer_wall").solutions
    changed = blade.replace(design=LEEBOARD.replace(spacer_wall=wall))
    assert evaluate_loads(changed, PLAN).check("spacer_stress").value == pytest.approx(50e6, rel=1e-8)


@pytest.mark.nightly  # by day by command and in the panel
@pytest.mark.slow
def test_no_answer_is_a_sentence():
    assert "no spacer wall from" in size_for_load(LEEBOARD, PLAN, "tip_deflection", 1.0, "spacer_wall").words[0]
    words = size_for_load(LEEBOARD, PLAN, "tip_deflection", 0.01, "friction").words[0]
    assert "does not depend on the friction" in words


def test_sweep_is_the_designs_one_by_one_and_nan_where_impossible():
    walls, spacers = [0.001, 0.0015], [0.014, 0.018, 0.2]
    found = load_sweep(LEEBOARD, PLAN, ("tip_deflection", "mass"), spacer_wall=walls, spacer_diameter=spacers)
    assert found["mass"].shape == (2, 3) and np.all(np.isnan(found["mass"][:, 2]))
    one = load_quantities(LEEBOARD.replace(spacer_wall=0.001, spacer_diameter=0.018), PLAN, ("tip_deflection",))
    assert found["tip_deflection"][0, 1] == one["tip_deflection"]
    assert np.all(np.diff(found["tip_deflection"][:, :2], axis=0) < 0)  # a thicker wall bends less


@pytest.mark.slow
def test_sizing_for_the_least_reserve_with_the_framed_sheet():
    plan = LoadPlan((PointPush("grounding", 20.0),), stations=11)
    found = size_for_load(LEEBOARD, plan, "least_reserve", 1.0, "sheet_thickness", 0.0012, 0.003)
    (thickness,) = found.solutions
    study = evaluate_loads(LEEBOARD.replace(sheet_thickness=thickness), plan)
    assert study.governing.reserve == pytest.approx(1.0, rel=1e-6) and study.governing.key == "skin_buckling"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: size_for_load(LEEBOARD, PLAN, "beauty", 1.0, "spacer_wall"), "not an output"),
        (lambda: size_for_load(LEEBOARD, PLAN, "mass", 1.0, "colour"), "cannot be varied"),
        (lambda: size_for_load(LEEBOARD, PLAN, "mass", np.nan, "spacer_wall"), "finite"),
        (lambda: size_for_load(LEEBOARD, PLAN, "mass", 1.0, "span"), "span cannot be varied"),
        (lambda: size_for_load(Blade(LEEBOARD, free_length=0.2), PLAN, "mass", 1.0, "free_length"), "gives its own"),
        (lambda: load_quantities(LEEBOARD, PLAN, ("beauty",)), "no output is called"),
        (lambda: load_quantities(LEEBOARD, PLAN, ("skin_buckling_reserve",)), "set local"),
        (lambda: load_sweep(LEEBOARD, PLAN, ("mass",)), "one or more inputs"),
    ],
)
def test_bad_calls_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.fixture
def by_hand(monkeypatch):
    """Every output of a part is the square of its sheet's thickness, or of its rod's wall in millimetres."""

    def numbers(part, plan, outputs):
        design = part.design if isinstance(part, Blade) else part
        return dict.fromkeys(outputs, design.sheet_thickness**2 + 1e-6 * (1e3 * design.spacer_wall) ** 2)

    monkeypatch.setattr(sizing, "load_quantities", numbers)
    return LEEBOARD.sheet_thickness**2


@pytest.mark.parametrize("part", [LEEBOARD, Blade(LEEBOARD, free_length=(0.225, 0.2))], ids=["design", "blade"])
def test_an_output_in_closed_form_is_sized_to_it(by_hand, part):
    """A wall of 3 mm of those from 0.2 mm to half the rod's diameter, looked for at 61 places."""
    found = size_for_load(part, PLAN, "mass", by_hand + 9e-6, "spacer_wall")
    assert found.solutions == pytest.approx([0.003], rel=1e-9)
    points, outcomes = found.scan
    assert (points[0], points[-1], len(points)) == pytest.approx((0.2e-3, 0.5 * LEEBOARD.spacer_diameter, 61))
    assert outcomes == pytest.approx(by_hand + points**2, rel=1e-12)
    given = size_for_load(part, PLAN, "mass", by_hand + 9e-6, "spacer_wall", 0.001, 0.002)
    assert not given.solutions and given.scan[0][[0, -1]] == pytest.approx([0.001, 0.002])


@pytest.mark.parametrize(
    ("output", "local", "count"),
    [("least_reserve", True, 21), ("skin_pressed_reserve", True, 21), ("least_reserve", False, 61), ("mass", True, 61)],
)
def test_fewer_places_where_the_framed_sheet_is_needed(by_hand, output, local, count):
    plan = LoadPlan(PLAN.cases, local=local, stations=21)
    assert len(size_for_load(LEEBOARD, plan, output, by_hand, "sheet_thickness", 0.001, 0.004).scan[0]) == count


def test_what_cannot_be_made_has_no_output():
    """A wall of more than half the rod, and a rod too thick to bend over; in between there is a number."""
    found = load_outputs_at(LEEBOARD, PLAN, "spacer_wall", "mass", [0.02, 0.001])
    assert np.isnan(found).tolist() == [True, False]
    assert np.isnan(load_outputs_at(LEEBOARD, PLAN, "spacer_diameter", "mass", [0.2])).all()
