"""Bench tests of the modulus in plain arithmetic, at the limits of their notes, and which of two tests counts."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.materials.stock import catalogue
from panelmech.measured.inspection import SheetReadings
from panelmech.measured.modulus_tests import (
    ModulusTest,
    cantilever_droop,
    droop,
    linear_droop,
    linear_three_point,
    modulus_tests,
    opened_pair,
    sheet_readings,
    three_point,
    unmeasured_bow,
    unmeasured_moduli,
    wide_factor,
)
from panelmech.measured.readings import Measured, NotSureYet, Reading, Readings, Row
from panelmech.measured.strips import cantilever_end
from panelmech.study.design import Design


def pressed(deflection=2e-3, span=0.2, thickness=2e-3, **more):
    values = {"force": 4.9, "deflection": deflection, "span": span, "width": 0.03, "thickness": thickness}
    return three_point(*(Reading(name, (value,)) for name, value in values.items()), **more)


def hung(drop=0.02, overhang=0.5, step=0.0, loaded=(), **more):
    values = {"drop": drop, "overhang": overhang, "thickness": 2e-3, "density": 1850.0}
    readings = [Reading(name, (value,), step if name == "drop" else 0.0) for name, value in values.items()]
    return droop(*readings, *(Reading(n, (v,)) for n, v in zip(("mass", "width"), loaded, strict=False)), **more)


# -- numbers ------------------------------------------------------------------------------------------------


def test_small_deflections_in_plain_arithmetic():
    """4.9 x 0.2^3 / (4 x 0.03 x 0.002^3 x 0.002); 1850 x 9.80665 x 0.002 = 36.285 N/m2 over 0.5 m is 0.28347 N m, and
    50 g on 30 mm, 16.344 N/m, 0.68102 N m more; times 12/0.002^3 over 20 mm."""
    assert linear_three_point(4.9, 2e-3, 0.2, 0.03, 2e-3) == pytest.approx(20.4167e9, rel=1e-5)
    assert linear_droop(0.02, 0.5, 2e-3, 1850.0) == pytest.approx(21.2605e9, rel=1e-5)
    assert linear_droop(0.02, 0.5, 2e-3, 1850.0, 0.05, 0.03) == pytest.approx(72.3368e9, rel=1e-5)


def test_the_linear_value_stands_beside_the_exact_one():
    assert pressed().details["linear"] == pytest.approx(20.4167e9, rel=1e-5)
    assert hung().details["linear"] == pytest.approx(21.2605e9, rel=1e-5)
    assert pressed(wide_poisson=0.3).details["linear"] == pytest.approx(0.91 * 20.4167e9, rel=1e-5)
    assert hung(wide_poisson=0.3).details["linear"] == pytest.approx(0.91 * 21.2605e9, rel=1e-5)


def test_a_wide_strip_has_less_by_its_poisson_ratio():
    for test in (pressed, hung):
        assert test(wide_poisson=0.3).value == pytest.approx(0.91 * test().value, rel=1e-9)
        for poisson in (-1.0, 0.501):
            with pytest.raises(ValueError, match="Poisson"):
                test(wide_poisson=poisson)
        test(wide_poisson=0.5)


@pytest.mark.parametrize(("mass", "width"), [(0.05, 0.03), (0.2, 0.05)])
def test_a_droop_under_a_weight_gives_back_the_modulus(mass, width):
    """20 GPa: the droop of a heavy cantilever with that end force, read back."""
    stiffness = 20e9 * 8e-9 / 12.0
    weight, end = 1850.0 * 9.80665 * 2e-3, mass * 9.80665 / width
    share, slope = cantilever_droop(weight * 0.5**3 / stiffness, end * 0.5**2 / stiffness)
    assert 0.0 < share < slope < 1.5
    assert hung(0.5 * share, loaded=(mass, width)).value == pytest.approx(20e9, rel=1e-8)


@pytest.mark.parametrize("force", [0.01, 1.0, 10.0])
def test_the_reach_of_a_strip_under_a_weight_at_its_end(force):
    """The moment at the edge is the weight times its reach, P r, and by the first integral of the elastica its square
    is 2 P D sin(slope at the end): r^2 = 2 sin(slope)/(P L^2/D), over the length."""
    drop, reach, slope = cantilever_end(0.0, force)
    assert reach == pytest.approx(np.sqrt(2.0 * np.sin(slope) / force), rel=1e-9)
    assert 0.0 < drop < 1.0 and drop**2 + reach**2 <= 1.0


def test_the_greatest_force_is_that_of_no_other_deflection():
    """The force that a strip of one modulus needs at any deflection, looked for over 400 of them: its greatest is what
    one test foretells, and no more is found. A parabola through a top 1/400 wide misses less than 1e-5."""
    made = pressed(4e-3)
    forces = [4.9 * made.value / pressed(d).value for d in np.linspace(0.03, 0.075, 46)]
    assert max(forces) <= made.details["greatest_force"] * (1.0 + 1e-6)
    assert max(forces) == pytest.approx(made.details["greatest_force"], rel=2e-3)


# -- notes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("made", "noted"),
    [
        (lambda: pressed(1e-4, 0.0321), False),  # sixteen thicknesses are 32 mm
        (lambda: pressed(1e-4, 0.0319), True),
        (lambda: pressed(0.0199), False),  # a tenth of the span is 20 mm
        (lambda: pressed(0.0201), True),
        (lambda: hung(0.0499), False),  # a tenth of the overhang is 50 mm
        (lambda: hung(0.0501), True),
    ],
)
def test_both_sides_of_what_the_standards_ask(made, noted):
    assert bool(made().notes) == noted


def test_a_note_tells_how_far_the_linear_formula_is_off():
    for made, word in ((pressed(0.03), "15 % of the span"), (hung(0.1), "20 % of the overhang")):
        off = 100.0 * (made.details["linear"] / made.value - 1.0)
        assert word in made.notes[0] and f"off by {off:.1f} %" in made.notes[0] and abs(off) > 1.0


def test_a_droop_hardly_larger_than_its_reading_error():
    """Steps of 1 mm leave 1/sqrt(12) mm: ten of these are 2.887 mm."""
    assert not any("hardly" in note for note in hung(2.9e-3, step=1e-3).notes)
    assert any("hardly" in note for note in hung(2.87e-3, step=1e-3).notes)


def test_a_droop_of_nearly_all_its_overhang_tells_nothing():
    assert hung(0.489).value > 0.0
    with pytest.raises(ValueError, match="tells nothing"):
        hung(0.49)


# -- of several tests ---------------------------------------------------------------------------------------


def a_test(sheet, value, relative, method="droop", own=True, parts=None):
    return ModulusTest(sheet, method, Measured(value, relative * value, parts or {}, (), {}), own)


def test_every_sheet_without_a_test_is_named():
    vague = a_test("A", 18e9, 0.03, "three-point")
    assert [w.split(":")[0] for w in unmeasured_moduli((vague,))] == ["sheet B"]
    assert len(list(unmeasured_moduli(()))) == 2 and not list(unmeasured_moduli((vague, a_test("B", 19e9, 0.05))))


# -- readings of a sheet ------------------------------------------------------------------------------------


def thickness_at(*places):
    return [Row("A", "thickness", 2e-3 + 1e-5 * i, place) for i, place in enumerate(places)]


def bow(way, value):
    return Row("A", f"bow, marked face {way}", value)


def test_the_half_with_the_lesser_places_is_the_marked_one():
    """0.05 to 0.85 m: the middle is 0.45 m, and what lies there counts to the marked half."""
    made = sheet_readings(Readings(thickness_at(0.85, 0.05, 0.45, 0.46, 0.1, 0.7)), "A")
    assert made.points == pytest.approx((2.01e-3, 2.02e-3, 2.04e-3, 2.00e-3, 2.03e-3, 2.05e-3))
    with pytest.raises(NotSureYet, match="no thickness readings"):
        sheet_readings(Readings(), "A")


def test_a_bow_read_from_one_side_counts_as_none():
    base, walls = Row("A", "bow base", 0.24), thickness_at(0.05, 0.1, 0.2, 0.7, 0.8, 0.85)
    both = sheet_readings(Readings([*walls, base, bow("up", 4e-4), bow("down", -6e-4)]), "A")
    one = sheet_readings(Readings([*walls, base, bow("up", 4e-4)]), "A")
    other = sheet_readings(Readings([*walls, base, bow("down", 4e-4)]), "A")
    none = sheet_readings(Readings(walls), "A")
    assert both != one == other == sheet_readings(Readings([*walls, base]), "A") != none
    with pytest.raises(NotSureYet, match="not the length over which"):
        sheet_readings(Readings([*walls, bow("up", 4e-4)]), "A")
    words = list(unmeasured_bow(Readings([*walls, base, bow("up", 4e-4)])))
    assert "sheet A: bow with the marked face down;" in words[0] and "face up and down;" in words[1]


@pytest.mark.parametrize(("rule", "wide"), [("narrow strip", False), ("wide sheet", True)])
def test_young_and_the_modulus_that_resists_bending(rule, wide):
    design = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 0.015, modulus_rule=rule)
    expected = 1.0 / (1.0 - design.sheet.poisson**2) if wide else 1.0
    assert wide_factor(design, 2e-3) == pytest.approx(expected, rel=1e-12)


# -- which readings make a test -----------------------------------------------------------------------------

SHEETS = tuple(SheetReadings(f"sheet {s}", [2.1e-3] * 3, [1.9e-3] * 3, 1e-5, 0.0, 0.0, 0.8) for s in "AB")
PRESSED = {"force": 4.9, "deflection": 2e-3, "span": 0.2, "width": 0.03}
HUNG = {"": 0.02, " overhang": 0.5}


def bench(group, values, sheet="A", design=LEEBOARD):
    """What the bench tests of one sheet with these readings come to: (tests, missing)."""
    rows = [Row(sheet, f"{group}{name}", value) for name, value in values.items()]
    return modulus_tests(design, Readings(rows), SHEETS)


def three_points(**more):
    return bench("three-point", {f" {name.replace('_', ' ')}": value for name, value in (PRESSED | more).items()})


def wide(**more):
    """A strip of 30 mm is wide, up to 3 mm of thickness."""
    return pressed(wide_poisson=LEEBOARD.sheet.poisson, **more)


def test_a_test_takes_its_own_strip_or_the_points_of_the_sheet():
    (own,), missing = three_points(thickness=2.2e-3)
    (lent,), _ = three_points()
    assert missing == () and own.own_thickness and not lent.own_thickness
    assert own.result.value == pytest.approx(wide(thickness=2.2e-3).value, rel=1e-12)
    assert lent.result.value == pytest.approx(wide(thickness=2e-3).value, rel=1e-12)


def test_round_supports_count_where_they_are_read():
    """As with a radius that is known exactly, but for one more part of the uncertainty."""
    exact, read = wide(support_radius=5e-3), wide(support_radius=Reading("radius", (5e-3,), 1e-3))
    assert read.value == exact.value != wide().value and read.details == exact.details
    assert read.contributions["radius"] > 0.0 and "radius" not in exact.contributions
    (found,), _ = three_points(support_radius=5e-3)
    assert found.result.value == pytest.approx(exact.value, rel=1e-12) and len(found.readings) == 6
    (flat,), _ = three_points(support_radius=0.0)
    assert flat.result.value == pytest.approx(wide().value, rel=1e-12) and len(flat.readings) == 5


def test_what_a_test_still_lacks_is_named_once_it_is_begun():
    assert bench("twist", {}) == ((), ())
    values = {f" {name}": value for name, value in PRESSED.items()}
    for name in PRESSED:
        done, (words,) = bench("three-point", {k: v for k, v in values.items() if k != f" {name}"})
        assert done == () and words.startswith("sheet A, strip on two supports: ") and words.count(",") == 1
    done, (words,) = bench("droop", HUNG | {" end weight": 0.05})
    assert done == () and words.endswith("width of the strip, since a weight hangs from it")
    for more in ({}, {" width": 0.03}, {" end weight": 0.05, " width": 0.03}):
        (found,), missing = bench("droop", HUNG | more)
        assert missing == () and len(found.readings) == (6 if len(more) == 2 else 4)


@pytest.mark.parametrize(("width", "wide"), [(0.0199, False), (0.02, True), (None, True)])
def test_a_strip_is_wide_from_ten_thicknesses_on(width, wide):
    """Of 2 mm; where nobody told how wide it is, it counts as wide."""
    more = {" thickness": 2e-3} | ({} if width is None else {" width": width})
    (found,), _ = bench("droop", HUNG | more | {" density": 1850.0})
    assert found.result.value == pytest.approx(
        hung(wide_poisson=LEEBOARD.sheet.poisson if wide else 0.0).value, rel=1e-12
    )


@pytest.mark.parametrize(("rule", "share"), [("wide sheet", 1.0), ("narrow strip", 0.0)])
def test_an_opened_pair_gives_youngs_modulus(rule, share):
    """The part resists with E/(1 - nu^2) where it is wide, with E where it is narrow."""
    design = LEEBOARD.replace(modulus_rule=rule)
    (found,), _ = bench("opening force", {"": 30.0}, "pair", design)
    values = (30.0, design.span, design.free_length, 2e-3, design.spacer_diameter)
    readings = (Reading(str(i), (value,)) for i, value in enumerate(values))
    wide = opened_pair(*readings, design.bond_line, design.setback).value
    assert found.result.value == pytest.approx(wide * (1.0 - share * design.sheet.poisson**2), rel=1e-12)
    assert found.method == "opened" and found.sheet == "pair" and not found.own_thickness
