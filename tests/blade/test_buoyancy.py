"""Mass and float: prisms and cones in plain arithmetic, random points, waterline, flooding, trim."""

import re

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech.blade.blade import ALONG_FIELDS, Blade, Table
from panelmech.blade.buoyancy import BOND_DENSITY, FOAM_DENSITY, GRAVITY, LEAD_DENSITY, Added, ballast, hydrostatics
from panelmech.blade.sections import blade_sections, outer_areas

TAPERED = Blade(DESIGN, free_length=(0.225, 0.15))
SEA = 1026.0


def test_an_even_blade_is_a_prism():
    found, bend = hydrostatics(Blade(DESIGN), SEA), DESIGN.bend()
    span, inner = 0.85, 0.85 - 2 * 15e-3
    sheet, resin = DESIGN.sheet.density, DESIGN.resin.density
    parts = {
        "sheets": 2 * 0.225 * 2e-3 * span * sheet,
        "land": 2 * 15e-3 * 2e-3 * span * sheet,
        "spacer": np.pi * (9e-3**2 - 7.5e-3**2) * span * DESIGN.spacer.density,
        "potting": bend.front_area * span * resin,
        "bond line": 15e-3 * 0.3e-3 * span * BOND_DENSITY,
        "closing frames": bend.void_area * 2 * 15e-3 * resin,
    }
    assert found.masses == pytest.approx(parts, rel=1e-12)
    assert found.mass == pytest.approx(sum(parts.values()), rel=1e-12)
    outline = bend.enclosed_area + 2 * 0.225 * 2e-3 + 15e-3 * 4.3e-3
    assert found.volume == pytest.approx(outline * span, rel=1e-12)
    assert found.hollow.amount == pytest.approx(bend.void_area * inner, rel=1e-12)
    assert found.bore.amount == pytest.approx(np.pi * 7.5e-3**2 * span, rel=1e-12)
    assert found.net_dry == pytest.approx(GRAVITY * (SEA * outline * span - found.mass), rel=1e-12)
    flood = SEA * (found.hollow.amount + found.bore.amount)
    assert found.flood.amount == pytest.approx(flood, rel=1e-12)
    assert found.net_flooded == pytest.approx(found.net_dry - GRAVITY * flood, rel=1e-12)
    for lump in (found.solid, found.outer, found.hollow, found.bore, found.flood):
        assert lump.position == pytest.approx(span / 2, rel=1e-12)


def test_volumes_add_up_without_and_with_a_proud_rod():
    """Solids (mass over density) and air make the outline."""
    for setback in (3e-3, 0.0, -4e-3):
        found = hydrostatics(TAPERED.replace(setback=setback))
        densities = {
            "sheets": DESIGN.sheet.density,
            "land": DESIGN.sheet.density,
            "spacer": DESIGN.spacer.density,
            "potting": DESIGN.resin.density,
            "bond line": BOND_DENSITY,
            "closing frames": DESIGN.resin.density,
        }
        solid = sum(found.masses[name] / density for name, density in densities.items())
        assert solid + found.hollow.amount + found.bore.amount == pytest.approx(found.volume, rel=1e-12)


@pytest.mark.parametrize("share", [0.5, 0.9])
def test_a_cone_in_closed_form(share):
    """All lengths in proportion: the area goes with the square, so volume A b (1 + k + k^2)/3 and its centre."""
    blade = Blade(DESIGN, **{n: (getattr(DESIGN, n), share * getattr(DESIGN, n)) for n in ALONG_FIELDS})
    found, whole = hydrostatics(blade), blade_sections(blade, [0.0])
    area, k, b = whole.displaced_area[0], share, 0.85
    assert found.volume == pytest.approx(area * b * (1 + k + k * k) / 3, rel=1e-12)
    assert found.outer.position == pytest.approx(b * (1 + 2 * k + 3 * k * k) / (4 * (1 + k + k * k)), rel=1e-12)
    centre = (whole.displaced_x[0] + whole.land_end_x[0]) * 3 * (1 + k + k * k + k**3) / (4 * (1 + k + k * k))
    assert found.outer.x == pytest.approx(centre, rel=1e-11)


def test_volume_and_centre_by_random_points():
    """600 slices with 400 points each in the box around the part: standard error 0.25 % of the volume; four of them."""
    draw, slices, count = np.random.default_rng(7), 600, 400
    z = np.sort((np.arange(slices) + draw.random(slices)) / slices) * 0.85
    sections = blade_sections(TAPERED, z)
    bend, found = sections.bend, hydrostatics(TAPERED)
    arclength = np.asarray(bend.free_length)[:, None] * np.linspace(0.0, 1.0, 301)
    x, y = bend.outline(arclength)
    angle = bend.tangent_angle(arclength)
    low, high, half = -0.2278, 0.012, 0.0125
    px, py = low + (high - low) * draw.random((slices, count)), half * (2.0 * draw.random((slices, count)) - 1.0)
    inside = np.zeros((slices, count), dtype=bool)
    for i in range(slices):
        outer_x, outer_y = x[i] - 1e-3 * np.sin(angle[i]), y[i] + 1e-3 * np.cos(angle[i])
        edge = np.append(outer_x, x[i][-1] + 1e-3 * np.sin(angle[i][-1]))  # square-cut end: down to the inner corner
        face = np.append(outer_y, y[i][-1] - 1e-3 * np.cos(angle[i][-1]))
        own = px[i] - sections.land_end_x[i]
        face_at = np.where(own < 0.0, 2.15e-3, np.interp(own, edge, face, right=0.0))
        inside[i] = (np.abs(py[i]) <= face_at) & (own >= -15e-3)
    volume = inside.mean() * (high - low) * 2.0 * half * 0.85
    assert volume == pytest.approx(found.volume, rel=0.01)
    assert px[inside].mean() == pytest.approx(found.outer.x, abs=0.001)  # four times 0.065 m / sqrt(80 000)
    assert np.broadcast_to(z[:, None], inside.shape)[inside].mean() == pytest.approx(found.outer.position, abs=0.004)


def test_centroids_of_a_section_by_thin_strips():
    """Hollow and outline of one section from outlines alone, 200 001 strips."""
    design = DESIGN.replace(spacer_diameter=0.06, sheet_thickness=3e-3, free_length=0.2)
    section = blade_sections(Blade(design), 2)
    bend, areas = design.bend(), outer_areas(section.bend, section.numbers)
    s = np.linspace(0.0, bend.contact_arclength, 200_001)
    x, y = bend.outline(s)
    angle = bend.tangent_angle(s)
    inner_x, inner_y = x + 1.5e-3 * np.sin(angle), y - 1.5e-3 * np.cos(angle)
    rod = np.sqrt(np.clip(0.03**2 - (inner_x - bend.spacer_position) ** 2, 0.0, None))
    height = inner_y - np.where(inner_x > bend.spacer_position - 0.03, rod, 0.0)
    area = np.trapezoid(height, inner_x)
    assert 2.0 * area == pytest.approx(bend.void_area, rel=1e-6)
    assert areas["void_x"][0] == pytest.approx(np.trapezoid(height * inner_x, inner_x) / area, rel=1e-6)


def test_the_waterline_cuts_the_part():
    even = Blade(DESIGN)
    whole, half = hydrostatics(even, SEA), hydrostatics(even, SEA, waterline=0.425)
    assert half.immersed.amount == pytest.approx(0.5 * whole.volume, rel=1e-12)
    assert half.immersed.position == pytest.approx(0.75 * 0.85, rel=1e-12)
    assert half.mass == pytest.approx(whole.mass, rel=1e-12) and half.volume == pytest.approx(whole.volume, rel=1e-12)
    inner = (0.425 - 15e-3) * DESIGN.bend().void_area + 0.425 * np.pi * 7.5e-3**2
    assert half.flood.amount == pytest.approx(SEA * inner, rel=1e-12)


def test_steps_of_the_rod_are_exact():
    blade = Blade(DESIGN, spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True))
    thick, thin = hydrostatics(Blade(DESIGN)), hydrostatics(Blade(DESIGN, spacer_diameter=14e-3))
    assert hydrostatics(blade).volume == pytest.approx((0.4 * thick.volume + 0.45 * thin.volume) / 0.85, rel=1e-12)


def test_filler_keeps_water_out_and_a_sealed_bore_too():
    hollow, filled = hydrostatics(TAPERED, SEA), hydrostatics(TAPERED, SEA, fill_density=40.0, bore_floods=False)
    assert filled.masses["filler"] == pytest.approx(40.0 * hollow.hollow.amount, rel=1e-12)
    assert filled.flood.amount == 0.0 and filled.hollow.amount == 0.0
    assert np.isnan(filled.flood.position)
    assert filled.net_flooded == filled.net_dry
    assert filled.net_dry == pytest.approx(hollow.net_dry - GRAVITY * filled.masses["filler"], rel=1e-12)


@pytest.mark.parametrize(("tip", "error"), [(3e-3, 1e-12), (-3e-3, 1e-8)])
def test_more_quadrature_changes_nothing(tip, error, monkeypatch):
    """Measured: 3e-13, and 3e-9 where the setback passes through zero and the potting falls apart in two."""
    from panelmech.blade import buoyancy as module

    strong = Blade(DESIGN, free_length=(0.225, 0.07), setback=(3e-3, tip))
    few = hydrostatics(strong)
    rule = module.span_rule
    monkeypatch.setattr(module, "span_rule", lambda blade, places: rule(blade, places, 40))
    many = hydrostatics(strong)
    assert few.mass == pytest.approx(many.mass, rel=error) and few.volume == pytest.approx(many.volume, rel=error)
    assert few.solid.x == pytest.approx(many.solid.x, rel=error)


@pytest.mark.parametrize(("flooded", "inside"), [(False, False), (False, True), (True, False), (True, True)])
def test_trim_brings_the_net_force_to_what_is_wanted(flooded, inside):
    """What is asked for is added, and the part is weighed again."""
    for wanted in (-2.0, 0.0):
        found = hydrostatics(TAPERED, SEA)
        try:
            answer = ballast(found, wanted, flooded, inside)
        except ValueError as error:  # a flooded hollow may be too small, a dry one takes no foam
            assert inside and "hollow" in str(error)
            continue
        extra = Added("trim", answer.mass, answer.volume, 0.5, -0.05, inside)
        again = hydrostatics(TAPERED, SEA, added=(extra,))
        assert again.net(flooded) == pytest.approx(wanted, abs=1e-9)
        assert answer.material == ("foam" if flooded else "lead")
        density = FOAM_DENSITY if flooded else LEAD_DENSITY
        assert answer.mass == pytest.approx(density * answer.volume, rel=1e-12)


def test_trim_in_plain_arithmetic():
    found = hydrostatics(TAPERED, 1000.0)
    answer = ballast(found, lead_density=11000.0)
    assert answer.mass == pytest.approx(found.net_dry / GRAVITY / (1.0 - 1000.0 / 11000.0), rel=1e-12)
    assert ballast(found, inside=True).mass == pytest.approx(found.net_dry / GRAVITY, rel=1e-12)
    assert ballast(found, wanted=found.net_dry).material == "none"
    foam = ballast(found, flooded=True, foam_density=50.0)
    assert foam.volume == pytest.approx(-found.net_flooded / GRAVITY / 950.0, rel=1e-12)
    assert re.search(r"\d k?g of foam", foam.words) and "flooded" in foam.words


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"foam_density": 1100.0}, "foam must be lighter"),
        ({"lead_density": 900.0}, "lead heavier"),
        ({"wanted": 10.0, "inside": True}, "only adds weight"),
        ({"wanted": -500.0, "inside": True}, "more than the hollow holds"),
    ],
)
def test_trims_that_cannot_be_are_refused(arguments, words):
    with pytest.raises(ValueError, match=words):
        ballast(hydrostatics(TAPERED, SEA), **arguments)


def test_swing_moment_by_statics():
    found = hydrostatics(TAPERED, SEA)
    level = found.swing_moment(0.1, angle=np.pi / 2)
    by_hand = found.buoyancy * (found.immersed.position - 0.1) - GRAVITY * found.mass * (found.solid.position - 0.1)
    assert level == pytest.approx(by_hand, rel=1e-12)
    down = found.swing_moment(0.1, pivot_x=-0.02)
    by_hand = -found.buoyancy * (found.immersed.x + 0.02) + GRAVITY * found.mass * (found.solid.x + 0.02)
    assert down == pytest.approx(by_hand, rel=1e-12)
    between = (level + found.swing_moment(0.1, pivot_x=0.0)) / np.sqrt(2.0)  # of a pivot on the line kept straight
    assert found.swing_moment(0.1, angle=np.pi / 4) == pytest.approx(between, rel=1e-12)
    wet = found.swing_moment(0.1, angle=np.pi / 2, flooded=True)
    by_hand = GRAVITY * found.flood.amount * (found.flood.position - 0.1)
    assert wet == pytest.approx(level - by_hand, rel=1e-12)


def test_added_fittings_count():
    bolt = Added("bolt", 0.2, 25e-6, 0.05, -0.1)
    plain, fitted = hydrostatics(TAPERED, SEA), hydrostatics(TAPERED, SEA, added=(bolt,))
    assert fitted.mass == pytest.approx(plain.mass + 0.2) and fitted.masses["bolt"] == 0.2
    assert fitted.volume == pytest.approx(plain.volume + 25e-6)
    assert fitted.solid.position == pytest.approx((plain.mass * plain.solid.position + 0.2 * 0.05) / fitted.mass)
    above = hydrostatics(TAPERED, SEA, waterline=0.1, added=(bolt,))
    assert above.immersed.amount == pytest.approx(hydrostatics(TAPERED, SEA, waterline=0.1).immersed.amount)
    with pytest.raises(ValueError, match="the hollow holds only"):
        hydrostatics(TAPERED, SEA, added=(Added("foam", 0.1, 1e-2, 0.4, -0.1, inside=True),))
    with pytest.raises(ValueError, match="bolt: mass is −1 kg"):
        Added("bolt", -1, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    "arguments",
    [
        {"water_density": 0.0},
        {"water_density": np.nan},
        {"waterline": 0.85},
        {"waterline": -0.1},
        {"fill_density": -1.0},
        {"bond_density": np.inf},
    ],
)
def test_doubtful_numbers_are_refused(arguments):
    with pytest.raises(ValueError, match=r"density|waterline"):
        hydrostatics(TAPERED, **arguments)
