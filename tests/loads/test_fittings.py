"""Fittings in plain arithmetic, their scaling laws, and what is refused."""

import re
from dataclasses import replace

import numpy as np
import pytest
from leeboard_part import LEEBOARD as PART

from panelmech.blade.blade import Blade
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush
from panelmech.loads.fittings import (
    BearingBolt,
    BondedStud,
    bearing_stress,
    bolt_checks,
    bolt_group_force,
    bolt_shear_stress,
    drilled_moment,
    net_section_stress,
    stud_checks,
    stud_length,
    stud_shear_stress,
    tear_out_stress,
)
from panelmech.loads.load_file import LoadSheet, fitting_checks
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.mend import mended_fittings, with_load_mends
from panelmech.loads.plan import LoadPlan, Own, Stock
from panelmech.loads.record import record_of


def test_plain_arithmetic():
    """1200 N, 8 mm bolt, 2 mm sheet, 20 mm from the edge, 40 mm wide."""
    assert bearing_stress(1200, 0.008, 0.002) == pytest.approx(75e6)
    assert bolt_shear_stress(1200, 0.008) == pytest.approx(1200 / (np.pi * 16e-6))
    assert bolt_shear_stress(1200, 0.008, 2) == pytest.approx(0.5 * bolt_shear_stress(1200, 0.008))
    assert tear_out_stress(1200, 0.008, 0.002, 0.020) == pytest.approx(1200 / (2 * 0.002 * 0.016))
    assert net_section_stress(1200, 0.040, 0.008, 0.002, 2) == pytest.approx(1200 / (0.024 * 0.002))
    assert stud_shear_stress(1200, 0.008, 0.05) == pytest.approx(1200 / (np.pi * 0.008 * 0.05))


def test_stud_length_holds_its_force_and_is_never_below_two_diameters():
    length = stud_length(4000.0, 0.008, 3.0)
    assert stud_shear_stress(4000.0, 0.008, length) == pytest.approx(5.5e6 / 3.0)
    assert stud_length(10.0, 0.008, 3.0) == stud_length(0.0, 0.008, 3.0) == 0.016
    assert stud_length(np.array([0.0, 8000.0]), 0.008, 3.0)[1] == pytest.approx(2 * length)


def test_on_bolts_that_are_not_alike_the_torque_adds_on_its_own_side():
    """One bolt 40 mm to the left of the centroid, two 20 mm to the right of it; 300 N upwards, 6 N m from x to y. Each
    takes 100 N of the force; 6 / (0.04^2 + 2 0.02^2) N a metre of arm: 100 N down on the left, 50 N up on the right."""
    places = [(0.0, 0.0), (0.06, 0.0), (0.06, 0.0)]
    assert bolt_group_force((0, 300), 6.0, places) == pytest.approx(150)
    assert bolt_group_force((0, 300), -6.0, places) == pytest.approx(200)
    assert bolt_group_force((0, -300), 6.0, places) == pytest.approx(200)


STRESSES = {
    "bearing": (lambda f, a: bearing_stress(f, 0.008 * a, 0.002 * a), -2),
    "one plane": (lambda f, a: bolt_shear_stress(f, 0.008 * a), -2),
    "two planes": (lambda f, a: bolt_shear_stress(f, 0.008 * a, 2), -2),
    "tear out": (lambda f, a: tear_out_stress(f, 0.008 * a, 0.002 * a, 0.02 * a), -2),
    "beside the holes": (lambda f, a: net_section_stress(f, 0.04 * a, 0.008 * a, 0.002 * a, 2), -2),
    "bond": (lambda f, a: stud_shear_stress(f, 0.008 * a, 0.05 * a), -2),
    "length of a stud": (lambda f, a: stud_length(f, 0.008 * a, 3.0), -1),
    "bolts": (lambda f, a: bolt_group_force((f, 0.5 * f), 0.01 * f * a, [(0, 0), (0.04 * a, 0), (0, 0.03 * a)]), 0),
}


@pytest.mark.parametrize(("stress", "power"), STRESSES.values(), ids=[name.replace(" ", "-") for name in STRESSES])
def test_a_pull_is_as_good_as_a_push_and_the_size_counts_by_its_power(stress, power):
    """Same for either direction, twice for twice the force, and by a power of the lengths when all of them grow."""
    one = stress(1.2e6, 1.0)
    assert one > 0.0 and stress(-1.2e6, 1.0) == one
    assert stress(2.4e6, 1.0) == pytest.approx(2 * one, rel=1e-12)
    assert stress(1.2e6, 3.0) == pytest.approx(one * 3.0**power, rel=1e-12)


def test_drilled_moment_against_two_rectangles():
    """Two plates 100 x 2 mm at +-10 mm with a hole of 8 mm: what a sum over 92 mm of plate gives."""

    def plates(width):
        return 2 * (width * 0.002 * 0.010**2 + width * 0.002**3 / 12)

    assert drilled_moment(plates(0.1), 0.008, 0.002, 0.010) == pytest.approx(plates(0.092))
    assert drilled_moment(plates(0.1), 0.0, 0.002, 0.010) == plates(0.1)


def test_bolt_group():
    """Four bolts on a square of 40 mm side: force 800 N gives 200 N each; torque 20 N m gives 20/(4 28.3 mm) each.
    Together on the worst bolt the two add by the rule of vectors."""
    places = [(0, 0), (0.04, 0), (0, 0.04), (0.04, 0.04)]
    arm = np.hypot(0.02, 0.02)
    assert bolt_group_force((800, 0), 0.0, places) == pytest.approx(200)
    assert bolt_group_force((0, 0), 20.0, places) == pytest.approx(20 / 4 / arm)
    part = 20 / 4 / arm / np.sqrt(2)
    assert bolt_group_force((800, 0), 20.0, places) == pytest.approx(np.hypot(200 + part, part))
    assert bolt_group_force((3, 4), 0.0, [(0.1, 0.2)]) == pytest.approx(5)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: bearing_stress(1.0, 0.0, 0.002), "diameter is 0: give a positive number"),
        (lambda: bolt_shear_stress(1.0, 0.008, 3), "planes"),
        (lambda: tear_out_stress(1.0, 0.008, 0.002, 0.004), "leaves nothing beside"),
        (lambda: net_section_stress(1.0, 0.016, 0.008, 0.002, 2), "leave nothing"),
        (lambda: net_section_stress(1.0, 0.016, 0.008, np.nan), "thickness"),
        (lambda: drilled_moment(1e-9, 0.5, 0.002, 0.01), "leave something"),
        (lambda: stud_length(1.0, 0.008, 0.0), "factor"),
        (lambda: stud_length(1.0, 0.008, 3.0, 0.0), "shear strength"),
        (lambda: bolt_group_force((0, 0), 1.0, [(0, 0)]), "hold no torque"),
    ],
)
def test_what_is_refused(make, words):
    with pytest.raises(ValueError, match=words):
        make()


# -- fittings of a part under its loads ------------------------------------------------------------------------------

PUSHES = (PointPush("grounding", 40.0), PointPush("line", 60.0, 0.5))


def study(**plan):
    return evaluate_loads(PART, LoadPlan(PUSHES, local=False, **plan))


def test_bolt_at_a_bearing_takes_its_largest_force():
    """Bearings at 30 and 250 mm, 40 N at 850 mm: 40 0.82 / 0.22 N at the outer one; the line's 60 N at 425 mm gives
    60 0.395 / 0.22, less."""
    bolt = BearingBolt("pivot", 1, 0.008, 0.012, 0.03, bolt_shear=Own(200e6, "bolt of grade 4.6"))
    shear, bearing, tear = bolt_checks(study(held=Held((0.03, 0.25))), bolt)
    force = 40 * 0.82 / 0.22
    assert (shear.case, shear.position) == ("grounding", 0.25)
    assert shear.value == pytest.approx(force / (2 * np.pi * 0.004**2)) and shear.limit == pytest.approx(200e6 / 3)
    assert bearing.value == pytest.approx(force / (0.008 * 0.012)) and bearing.verdict == "unknown"
    assert tear.value == pytest.approx(force / (2 * 0.012 * 0.026))
    (entered, *_) = bolt_checks(study(held=Held((0.03, 0.25))), BearingBolt("p", 0, 0.008, 0.012, 0.03, pull=-500.0))
    assert entered.value == pytest.approx(500 / (2 * np.pi * 0.004**2)) and entered.case == "pull as entered"


def test_bonded_stud():
    shear, length = stud_checks(study(), BondedStud("eye", 0.008, 0.012, 300.0))
    assert shear.value == pytest.approx(300 / (np.pi * 0.008 * 0.012)) and shear.limit == pytest.approx(5.5e6 / 3)
    assert (shear.basis, length.verdict, length.reserve) == ("maker's guide", "fails", pytest.approx(0.75))
    own, _ = stud_checks(study(), BondedStud("eye", 0.008, 0.03, 300.0, Own(9e6, "my pull test")))
    assert own.basis == "user" and own.limit == pytest.approx(3e6) and own.where_text() == "pull as entered"


def test_a_clamped_part_has_no_bearing():
    with pytest.raises(ValueError, match="no bearing"):
        bolt_checks(study(), BearingBolt("pivot", 0, 0.008, 0.012, 0.03))


# -- what mends them: which size, how much, what then ----------------------------------------------------------------

WAY = re.compile(r"(?:a|an) (diameter|length|edge distance) of ([\d.]+) mm instead of [\d.]+ mm: ([\d.]+) times")
WEAK = (
    BearingBolt("pivot", 1, 0.002, 0.004, 0.004, 1, None, *(Own(x, "mine") for x in (100e6, 30e6, 15e6))),
    BearingBolt("pin", 0, 0.003, 0.003, 0.003, 2, -900.0, *(Own(x, "mine") for x in (90e6, 60e6, 40e6))),
    BondedStud("eye", 0.008, 0.006, 300.0),
    BondedStud("lug", 0.010, 0.012, 2000.0),
)


@pytest.mark.parametrize("item", WEAK, ids=lambda item: item.name)
def test_every_check_of_a_fitting_that_fails_says_what_mends_it_and_it_is_so(item):
    under = study(held=Held((0.03, 0.25)))
    failing = [check for check in mended_fittings(under, [item]) if check.verdict == "fails"]
    assert failing
    for check in failing:
        ways = WAY.findall(check.advice)
        assert ways and "no one size" not in check.advice, check.advice
        for size, value, then in ways:
            changed = replace(item, **{size.replace(" ", "_"): 1e-3 * float(value)})
            after = next(c for c in fitting_checks(under, [changed]) if c.key == check.key)
            assert after.verdict != "fails" and after.reserve == pytest.approx(float(then), rel=6e-3)


def test_a_fitting_that_no_size_mends_says_so():
    shear, _ = mended_fittings(study(), [BondedStud("eye", 0.003, 0.006, 30000.0)])
    assert shear.advice.startswith("no one size mends it alone; the most does a length of 30 mm")


def test_what_holds_and_what_is_unknown_keeps_its_words():
    held = study(held=Held((0.03, 0.25)))
    sound = BearingBolt("pivot", 1, 0.008, 0.012, 0.03, bolt_shear=Own(200e6, "bolt of grade 4.6"))
    told, plain = ([c.advice for c in of(held, [sound])] for of in (mended_fittings, fitting_checks))
    assert told == plain and "enter the bearing strength" in told[1]


def test_a_record_has_its_fittings_mended_and_its_stock_by_a_size_of_the_stock():
    bar = Stock(0.3, 0.006, 0.0, 70e9, 0.33, 100e6)
    plan = LoadPlan(PUSHES, Held((-0.25, -0.03)), stock=bar, local=False)
    record = record_of(Blade(PART), LoadSheet(plan, fittings=(WEAK[2],)))
    assert WAY.search(record.fittings[0].advice)
    check = with_load_mends(record.study).check("stock_stress")
    ((size, value, then),) = WAY.findall(check.advice)
    thicker = replace(plan, stock=replace(bar, diameter=1e-3 * float(value)))
    after = evaluate_loads(PART, thicker).check("stock_stress")
    assert size == "diameter" and check.verdict == "fails" and after.verdict != "fails"
    assert after.reserve == pytest.approx(float(then), rel=6e-3)
