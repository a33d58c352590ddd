"""The whole section against finite elements: the library `sectionproperties`, sheets, land, spacer and potting each
with its own modulus, on designs from slender to strongly bent, bent pair and flat wedge.

Axial and bending stiffness must agree to the error of the polygons. Torsion is a working value, so its distance is
measured and held in a band from both sides. The library weights torsion by E: it is given G in the place of E. Round
contact is a short bonded flat (`solid_sections.meshed_parts`), since a tangent contact leaves slivers that cannot be
meshed; the flat is 2 degrees of the rod to each side of the contact, 0.6 mm in all on a rod of 18 mm, and half that
changes the torsion stiffness by less than 0.2 % (tested). By day stand a few designs, by night all of them.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD
from solid_sections import circle, exact_moments, library_section, meshed_parts, shear_centre_of

from panelmech import catalogue
from panelmech.mechanics.section import composite_section, shear_centre
from panelmech.study.quantities import gather

MM = 1e-3
BASE = LEEBOARD  # the leeboard
ALUMINIUM, BIRCH = catalogue["aluminium 5052-H32"], catalogue["birch plywood, face grain along chord"]
DOWEL, POLYESTER = (catalogue.spacers[n] for n in ("hardwood dowel (birch)", "glass-polyester tube, pultruded"))
STRONG = BASE.replace(sheet=catalogue["woven GRP"], sheet_thickness=3e-3, free_length=0.2, spacer_diameter=60e-3)
STOUT = BASE.replace(sheet=ALUMINIUM, sheet_thickness=6e-3, free_length=0.15, spacer_diameter=20e-3)
DESIGNS = {
    "leeboard": BASE,
    "wooden rod": BASE.replace(spacer_wall=0.0, spacer=DOWEL),
    "no setback": BASE.replace(setback=0.0),
    "rod proud": BASE.replace(setback=-8e-3),
    "plywood": BASE.replace(
        sheet=BIRCH, sheet_thickness=4e-3, free_length=0.3, spacer_diameter=25e-3, spacer_wall=0.0, spacer=DOWEL
    ),
    "slender": BASE.replace(sheet_thickness=1e-3, free_length=0.4, spacer_diameter=30e-3, spacer=POLYESTER),
    "strongly bent": STRONG,
    "much resin": BASE.replace(setback=20e-3),
    "stout": STOUT,
}
ORDINARY = ("leeboard", "wooden rod", "no setback", "plywood", "slender", "strongly bent")
# Measured with elements of 6 mm2 at most: (GJ of ours over that of finite elements, less 1; shear centre of ours less
# that of finite elements, over the chord), bent pair and flat wedge.
MEASURED = {
    "leeboard": ((-0.078, 0.0016), (-0.055, 0.0017)),
    "wooden rod": ((-0.096, 0.0016), (-0.064, 0.0018)),
    "no setback": ((-0.040, 0.0048), (-0.027, 0.0046)),
    "rod proud": ((0.001, 0.0092), (0.005, 0.0089)),  # hardly any resin
    "plywood": ((-0.117, 0.0026), (-0.090, 0.0018)),
    "slender": ((-0.146, -0.0112), (-0.100, -0.0080)),
    "strongly bent": ((-0.211, -0.0144), (-0.171, -0.0104)),
    "much resin": ((-0.281, -0.0201), (-0.223, -0.0169)),  # a setback as long as the rod is thick; twice: -0.400
    "stout": ((0.097, 0.1314), (0.123, 0.1350)),  # sheets four times as thick as the tube's wall
}
KINDS = {"bend": 0, "wedge": 1}
SOME = by_day(
    ("name", "kind"), [(n, kind) for n in DESIGNS for kind in KINDS], ("leeboard", "bend"), ("leeboard", "wedge")
)


def moduli(numbers):
    """E and G of each part [MPa]; the bond line of the land is taken to be unfilled epoxy."""
    young = {"sheets": "span_modulus", "land": "span_modulus", "spacer": "spacer_modulus", "potting": "resin_modulus"}
    young = {part: 1e-6 * numbers[name] for part, name in young.items()}
    shear = {part: 1e-6 * numbers["shear_modulus"] for part in ("sheets", "land")}
    shear |= {
        part: young[part] / (2 * (1 + numbers[f"{name}_poisson"]))
        for part, name in (("spacer", "spacer"), ("potting", "resin"))
    }
    return young | {"bond": 4000.0}, shear | {"bond": 4000.0 / 2.7}


def by_finite_elements(shape, design, step, stations):
    """EA, centroid and EI about both axes of the whole section, the bond line taken off again by hand (SI)."""
    young, _ = moduli(gather(design))
    section = library_section(meshed_parts(shape, design, stations, step), young)
    stiffness, x = section.get_ea(), section.get_c()[0] * MM
    chord, normal = (v * MM**2 for v in section.get_eic()[:2])
    b, g, modulus = design.land_length, design.bond_line, 1e6 * young["bond"]
    axial = stiffness - modulus * b * g
    first = stiffness * x + modulus * b * g * b / 2
    second = normal + stiffness * x * x - modulus * g * b**3 / 3
    return {
        "axial_stiffness": axial,
        "centroid_x": first / axial,
        "chord_stiffness": chord - modulus * b * g**3 / 12,
        "normal_stiffness": second - first**2 / axial,
    }


def torsion_by_finite_elements(shape, design, step=np.pi / 45, stations=60, area=6.0):
    """(GJ [N m2], x of the shear centre [m]); elements of at most `area` [mm2]."""
    young, shear = moduli(gather(design))
    section = library_section(meshed_parts(shape, design, stations, step), shear, area)
    section.calculate_frame_properties()
    return section.get_ej() * MM**2, shear_centre_of(section, young) * MM


@cache
def gaps(name, kind):
    """(GJ gap, shear centre gap over chord) of a design's bent pair or flat wedge."""
    design = DESIGNS[name]
    numbers, shape = gather(design), getattr(design, kind)()
    whole = composite_section(shape, numbers)
    stiffness, centre = torsion_by_finite_elements(shape, design)
    ours = shear_centre(shape, numbers, whole.chord_stiffness)
    return whole.torsion_stiffness / stiffness - 1, (ours - centre) / (design.land_length + design.free_length)


@pytest.mark.slow
@by_day(
    ("name", "kind"),
    [(name, "bend") for name in ("leeboard", "wooden rod", "no setback", "rod proud", "strongly bent", "stout")]
    + [(name, "wedge") for name in ("leeboard", "rod proud", "strongly bent")],
    ("leeboard", "bend"),
)
def test_axial_and_bending_stiffness(name, kind):
    """With sides of 1 degree the polygon about the rod is (0.5 degrees)^2 / 3 = 2.5e-5 too large in area, twice that
    in second moment; measured 2.7e-5 at most. The wedge's sheets, not square-cut here, leave up to 1.2e-4."""
    design = DESIGNS[name]
    shape = getattr(design, kind)()
    ours = composite_section(shape, gather(design))
    tolerance = 4e-5 if kind == "bend" else 1.5e-4
    for quantity, value in by_finite_elements(shape, design, np.pi / 180, 120).items():
        assert getattr(ours, quantity) == pytest.approx(value, rel=tolerance), quantity


@pytest.mark.slow
def test_what_is_left_is_the_error_of_the_polygons():
    """Sides half as long, and chords too: the gap falls to a quarter."""
    shape, ours = BASE.bend(), composite_section(BASE.bend(), gather(BASE))
    coarse, fine = (by_finite_elements(shape, BASE, step, n) for step, n in ((np.pi / 45, 30), (np.pi / 90, 60)))
    for quantity in ("axial_stiffness", "chord_stiffness", "normal_stiffness"):
        left = [getattr(ours, quantity) / found[quantity] - 1 for found in (coarse, fine)]
        assert left[1] == pytest.approx(left[0] / 4, rel=0.25), quantity  # rel: terms of higher order
        assert abs(left[0]) > 1e-5, quantity


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["leeboard", "no setback", "rod proud", "strongly bent", "stout"])
def test_every_part_against_its_true_outline(name, kind):
    """Area and second moment about the chord line by Green's theorem on the outlines: 1e-9 left after extrapolation
    (measured), square-cut wedge and two pieces of potting included."""
    design = DESIGNS[name]
    shape, n = getattr(design, kind)(), gather(design)
    ours, (fine, coarse) = composite_section(shape, n), exact_moments(shape, design, 800)
    young, _ = moduli(n)
    for part, found in fine.items():
        area, _, _, second = found + (found - coarse[part]) / 3
        density = n[{"spacer": "spacer_density", "potting": "resin_density"}.get(part, "density")]
        assert ours.masses[part] / density / MM**2 == pytest.approx(area, rel=5e-9), part
        stiffness = ours.shares[part] * ours.chord_stiffness / MM**2
        assert stiffness == pytest.approx(young[part] * second, rel=5e-9), part


@pytest.mark.slow
@SOME
def test_distance_of_the_torsion_stiffness(name, kind):
    """Each in a band of 1 % about what was measured; what ordinary parts have, and which way it errs where."""
    gap, _ = gaps(name, kind)
    assert gap == pytest.approx(MEASURED[name][KINDS[kind]][0], abs=0.01)
    if name in ORDINARY:
        assert -0.22 < gap < -0.01
    words = {"much resin": gap < -0.21, "stout": 0.05 < gap < 0.13, "rod proud": abs(gap) < 0.02}
    assert words.get(name, True)


@pytest.mark.slow
@by_day("name", ORDINARY, "leeboard")
def test_distance_of_the_ratio_bent_over_flat(name):
    """Much of the gap is common to both: the ratio of the two GJ is 1 to 6 % low in ordinary parts (measured)."""
    bent, flat = (1.0 + gaps(name, kind)[0] for kind in KINDS)
    assert 0.94 < bent / flat < 0.99


@pytest.mark.slow
@SOME
def test_distance_of_the_shear_centre(name, kind):
    _, gap = gaps(name, kind)
    assert gap == pytest.approx(MEASURED[name][KINDS[kind]][1], abs=0.003)
    assert abs(gap) < 0.015 or name in ("much resin", "stout")


@pytest.mark.slow
def test_the_gap_of_the_torsion_stiffness_is_the_resin():
    """With resin as soft as nothing the finite elements agree with Bredt's cell and the loose parts: 0.5 % measured."""
    design = DESIGNS["much resin"]
    soft = design.replace(resin=replace(design.resin, modulus=1e-4 * design.resin.modulus))
    stiffness, _ = torsion_by_finite_elements(soft.bend(), soft)
    assert composite_section(soft.bend(), gather(soft)).torsion_stiffness == pytest.approx(stiffness, rel=0.01)


@pytest.mark.slow
@pytest.mark.nightly
def test_finite_elements_have_converged():
    """Contact half as wide, sides half as long and elements a third as large: less than 0.2 % in GJ."""
    shape = BASE.bend()
    (usual, centre), (fine, fine_centre) = (
        torsion_by_finite_elements(shape, BASE, *how) for how in ((np.pi / 45, 60, 6.0), (np.pi / 90, 120, 2.0))
    )
    assert usual == pytest.approx(fine, rel=2e-3)
    assert centre == pytest.approx(fine_centre, abs=1e-4)


@pytest.mark.nightly  # of the library alone
@pytest.mark.slow
def test_the_library_weights_torsion_by_the_modulus_it_is_given():
    """Two bonded tubes in one, of unlike moduli: the sum of G J, exact for circles; sides of 2 degrees leave 1e-3."""
    radii, moduli_of = ((10.0, 8.0), (8.0, 6.0)), {"outer": 4000.0, "inner": 26000.0}
    rings = [circle(0.0, radius, 180) for radius, _ in radii] + [circle(0.0, 6.0, 180)]
    section = library_section([("outer", rings[0], rings[1]), ("inner", rings[1], rings[2])], moduli_of, 2.0)
    section.calculate_frame_properties()
    exact = sum(g * np.pi / 2 * (a**4 - b**4) for g, (a, b) in zip(moduli_of.values(), radii, strict=True))
    assert section.get_ej() == pytest.approx(exact, rel=1e-3)


@pytest.mark.slow
@pytest.mark.nightly
def test_with_one_weight_the_shear_centre_worked_out_here_is_the_librarys_own():
    _, shear = moduli(gather(BASE))
    section = library_section(meshed_parts(BASE.bend(), BASE, 60, np.pi / 30), shear, 10.0)
    section.calculate_warping_properties()
    assert shear_centre_of(section, shear) == pytest.approx(section.get_sc_t()[0], rel=1e-9)
