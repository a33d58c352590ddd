"""The whole section against polygons made from outlines alone, and its limits."""

from html import escape

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import catalogue, evaluate
from panelmech.mechanics.section import SHEAR_CENTRE_WORDS, TORSION_WORDS, composite_section, shear_centre
from panelmech.panels.study_tables import wedge_report
from panelmech.report.note_text import assumptions
from panelmech.study.quantities import gather

CASES = [
    DESIGN,
    DESIGN.replace(setback=0.0),
    DESIGN.replace(setback=-4e-3),
    DESIGN.replace(spacer_wall=0.0),
    DESIGN.replace(spacer_diameter=0.06, sheet_thickness=3e-3, free_length=0.2),
]


def _strips(shape, design, count=20001):
    """Area, x and y^2 moments of sheets and potting by thin strips: no formula shared."""
    t, s = design.sheet_thickness, np.linspace(0.0, design.free_length, count)
    if hasattr(shape, "wavenumber"):
        x, y = shape.outline(s)
        angle, kappa = shape.tangent_angle(s), shape.curvature(s)
    else:
        (x0, x1), (y0, y1) = shape.outline()
        x, y = np.linspace(x0, x1, count), np.linspace(y0, y1, count)
        angle, kappa = np.full(count, shape.angle), np.zeros(count)
    z = (np.arange(200) + 0.5) / 200 * t - t / 2
    weight = 1.0 - np.multiply.outer(kappa, z)
    px, py = x[:, None] - np.sin(angle)[:, None] * z, y[:, None] + np.cos(angle)[:, None] * z
    sheets = [2 * np.trapezoid((f * weight).mean(axis=1) * t, s) for f in (np.ones_like(px), px, py**2)]
    radius, low = design.spacer_diameter / 2, shape.contact_x + t / 2 * np.sin(shape.contact_angle)
    high = shape.spacer_position + radius + design.setback
    u = (np.arange(400_000) + 0.5) / 400_000 * (high - low) + low
    top = radius * np.cos(shape.contact_angle) + (u - low) * np.tan(shape.contact_angle)
    rod = np.sqrt(np.clip(radius**2 - (u - shape.spacer_position) ** 2, 0.0, None))
    du = (high - low) / 400_000
    potting = [2 * du * np.sum(top - rod), 2 * du * np.sum(u * (top - rod)), 2 * du * np.sum(top**3 - rod**3) / 3]
    return sheets, potting


@pytest.mark.parametrize("design", CASES)
@pytest.mark.parametrize("kind", ["bend", "wedge"])
def test_stiffness_and_mass_against_strips(design, kind):
    shape, n = getattr(design, kind)(), gather(design)
    whole = composite_section(shape, n)
    sheets, potting = _strips(shape, design)
    es, er, ep = n["span_modulus"], n["spacer_modulus"], n["resin_modulus"]
    t, b, g = design.sheet_thickness, design.land_length, design.bond_line
    outer = design.spacer_diameter / 2
    inner = outer - design.spacer_wall if design.spacer_wall else 0.0
    tube, ring = np.pi * (outer**2 - inner**2), np.pi / 4 * (outer**4 - inner**4)
    axial = es * (sheets[0] + 2 * b * t) + er * tube + ep * potting[0]
    first = es * (sheets[1] - b * b * t) + er * tube * shape.spacer_position + ep * potting[1]
    land = 2 * b * t * ((t + g) ** 2 / 4 + t * t / 12)
    chord = es * (sheets[2] + land) + er * ring + ep * potting[2]
    assert whole.axial_stiffness == pytest.approx(
        axial, rel=1e-6
    )  # strips: 1/400000 of the potting, 1/200 squared of z
    assert whole.centroid_x == pytest.approx(first / axial, rel=1e-6)
    assert whole.chord_stiffness == pytest.approx(chord, rel=1e-5)
    assert sum(whole.shares.values()) == pytest.approx(1.0) and min(whole.shares.values()) >= 0.0
    assert sum(whole.masses.values()) == pytest.approx(whole.mass_per_length)


def test_more_than_the_cell_in_torsion_and_nan_stays_where_it_belongs():
    whole = composite_section(DESIGN.bend(), gather(DESIGN))
    assert whole.torsion_stiffness > whole.cell_stiffness
    unknown = DESIGN.replace(sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3)
    whole = composite_section(unknown.bend(), gather(unknown))
    assert np.isnan(whole.torsion_stiffness) and np.isfinite(whole.chord_stiffness)


def test_arrays_equal_single_designs():
    numbers = gather(DESIGN, spacer_diameter=np.array([0.018, 0.04]))
    from panelmech.study.quantities import Solved

    many = composite_section(Solved(numbers).bend, numbers)
    for i, d in enumerate((0.018, 0.04)):
        one = DESIGN.replace(spacer_diameter=d)
        single = composite_section(one.bend(), gather(one))
        for name in ("axial_stiffness", "chord_stiffness", "normal_stiffness", "torsion_stiffness"):
            assert getattr(many, name)[i] == pytest.approx(getattr(single, name), rel=1e-12)


def test_shear_centre_counts_the_closure_at_the_land():
    """215.4 mm by finite elements (see validation/test_whole_section_fe.py); without the land's share 223.4 mm."""
    n, bend = gather(DESIGN), DESIGN.bend()
    assert shear_centre(bend, n, composite_section(bend, n).chord_stiffness) == pytest.approx(0.2154, abs=1e-3)


def test_shear_centres_of_arrays_equal_single_ones():
    numbers = gather(DESIGN, spacer_diameter=np.array([0.018, 0.04]), bond_line=np.array([0.0, 0.3e-3]))
    from panelmech.study.quantities import Solved

    shape = Solved(numbers).bend
    many = shear_centre(shape, numbers, composite_section(shape, numbers).chord_stiffness)
    for i, (d, g) in enumerate(((0.018, 0.0), (0.04, 0.3e-3))):
        one = DESIGN.replace(spacer_diameter=d, bond_line=g)
        n, bend = gather(one), one.bend()
        assert many[i] == pytest.approx(shear_centre(bend, n, composite_section(bend, n).chord_stiffness), rel=1e-12)


def test_users_read_how_far_off_the_torsion_stiffness_is():
    """In the note and in the panel against the wedge; the figures are those of `test_working_values_fe`."""
    study = evaluate(DESIGN, local=False)
    said = " ".join(text for _, text in assumptions(study))
    assert TORSION_WORDS in said and SHEAR_CENTRE_WORDS in said
    assert escape(TORSION_WORDS) in wedge_report(study, None)
    assert "2 % high to 21 % low" in TORSION_WORDS and "13 % high" in TORSION_WORDS
