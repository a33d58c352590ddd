"""Plywood and bend-radius figures of the catalogue against the arithmetic and the tables they come from."""

import numpy as np
import pytest

from panelmech.materials.stock import catalogue
from panelmech.published.stock import BIRCH as HANDBOOK
from panelmech.published.stock import face_grain_share

PLIES = {  # mean mm: plies, bending strength along and across the face grain [MPa]; from memory as the moduli are
    3.6: (3, 65.9, 10.6),
    6.4: (5, 50.9, 29.0),
    9.2: (7, 45.6, 32.1),
    12.0: (9, 42.9, 33.2),
    14.8: (11, 41.3, 33.8),
    17.6: (13, 40.2, 34.1),
}
BIRCH = {mean: (*PLIES[mean], *moduli) for mean, *moduli in HANDBOOK}  # of the Handbook of Finnish Plywood


def test_share_of_a_hand_counted_sheet():
    """Three equal plies: the core has (1/3)**3 of the second moment."""
    assert face_grain_share(3, 1.0, 3.0) == pytest.approx(26 / 27, rel=1e-15)


@pytest.mark.parametrize("mean", BIRCH)
def test_birch_moduli_are_the_lamination_sum(mean):
    """17.5 GPa along the grain, nothing across, 1.4 mm veneers, faces sanded 0.3 mm each (inputs from memory)."""
    plies, _, _, along, across = BIRCH[mean]
    assert mean == pytest.approx(1.4 * plies - 0.6)
    share = face_grain_share(plies, 1.4, mean)
    chord = catalogue["birch plywood, face grain along chord"].modulus_at(mean * 1e-3)
    span = catalogue["birch plywood, face grain along span"].modulus_at(mean * 1e-3)
    for modulus, remembered, share_of in ((chord, along, share), (span, across, 1 - share)):
        recomputed = 17.5e9 * share_of
        assert recomputed == pytest.approx(remembered * 1e6, abs=0.51e6)  # remembered to the MPa
        assert modulus == pytest.approx(recomputed, abs=0.51e6)


@pytest.mark.parametrize("mean", BIRCH)
def test_birch_permanent_limit_is_sixty_percent_of_the_strain_at_characteristic_strength(mean):
    """EC5 factor 0.60 for permanent load (ICE Manual of Structural Design, table 19.9); strengths from memory."""
    _, strength_along, strength_across, _, across = BIRCH[mean]
    chord = catalogue["birch plywood, face grain along chord"]
    span = catalogue["birch plywood, face grain along span"]
    t = mean * 1e-3
    lowest = min(0.60 * row[1] / row[3] for row in BIRCH.values())  # one value for all thicknesses
    assert 0 <= lowest - chord.permanent_limit_at(t) < 1e-6  # four figures, rounded down
    exact = 0.60 * strength_across / across
    assert -1e-15 <= exact - span.permanent_limit_at(t) < 1e-6  # the same
    assert chord.strength_at(t) == pytest.approx(strength_along * 1e6)
    assert span.strength_at(t) == pytest.approx(strength_across * 1e6)


@pytest.mark.parametrize(("mm", "plies"), [(4, 3), (6, 5), (9, 7), (12, 9), (18, 13)])
def test_okoume_moduli_are_the_lamination_sum(mm, plies):
    """8.47 GPa along the grain (a wood-species data page), 5 % of it across (from memory), equal veneers."""
    share = face_grain_share(plies, mm / plies, mm)
    for name, share_of in (("chord", share), ("span", 1 - share)):
        recomputed = 8.47e9 * (share_of + 0.05 * (1 - share_of))
        sheet = catalogue[f"okoume plywood, face grain along {name}"]
        assert sheet.modulus_at(mm * 1e-3) == pytest.approx(recomputed, abs=0.51e6)  # kept to the MPa


def laminate(plies, veneer, thickness, along, across):
    """(tension, bending) moduli [of E] along the face grain, by summing the plies from bottom to top.

    The second road: the sum over plies of E times thickness over t, and of E times (z1**3 - z0**3) over t**3/4,
    z from the middle of the sheet; the outer plies are what sanding leaves of them.
    """
    outer = (thickness - (plies - 2) * veneer) / 2
    edges = np.cumsum([0, outer] + [veneer] * (plies - 2) + [outer]) - thickness / 2
    moduli = np.where(np.arange(plies) % 2 == 0, along, across)
    return np.sum(moduli * np.diff(edges)) / thickness, np.sum(moduli * np.diff(edges**3)) / (thickness**3 / 4)


def test_ply_sums_of_hand_counted_sheets():
    """One equal ply in three lies across, and has (1/3)**3 of the second moment; two in five lie across."""
    np.testing.assert_allclose(laminate(3, 1.0, 3.0, 27.0, 0.0), [18.0, 26.0], rtol=1e-14)
    np.testing.assert_allclose(laminate(5, 1.0, 5.0, 0.0, 125.0), [50.0, 26.0], rtol=1e-14)  # (27 - 1) of 125
    np.testing.assert_allclose(laminate(7, 1.4, 9.2, 3.0, 3.0), [3.0, 3.0], rtol=1e-14)


@pytest.mark.parametrize("mean", BIRCH)
def test_birch_span_modulus_is_the_share_of_the_plies(mean):
    """Tension and compression along the span; the bending values from the same sums are the remembered ones."""
    plies, _, _, along, across = BIRCH[mean]
    for name, e_face, e_core, bending in (("chord", 0.0, 17.5e9, across), ("span", 17.5e9, 0.0, along)):
        tension, also_bending = laminate(plies, 1.4, mean, e_face, e_core)  # in the direction of the span
        sheet = catalogue[f"birch plywood, face grain along {name}"]
        assert sheet.span_modulus_at(mean * 1e-3) == pytest.approx(tension, abs=0.51e6)  # kept to the MPa
        assert also_bending == pytest.approx(bending * 1e6, abs=0.51e6)  # remembered to the MPa


@pytest.mark.parametrize(("mm", "plies"), [(4, 3), (6, 5), (9, 7), (12, 9), (18, 13)])
def test_okoume_span_modulus_is_the_share_of_the_plies(mm, plies):
    """Inputs as for the bending values, along the span; equal veneers, so (n + 1) / 2n of them lie with the faces."""
    e0, e90 = 8.47e9, 0.05 * 8.47e9
    for name, e_face, e_core in (("chord", e90, e0), ("span", e0, e90)):
        tension, bending = laminate(plies, mm / plies, mm, e_face, e_core)
        sheet = catalogue[f"okoume plywood, face grain along {name}"]
        partner = catalogue[f"okoume plywood, face grain along {'span' if name == 'chord' else 'chord'}"]
        assert sheet.span_modulus_at(mm * 1e-3) == pytest.approx(tension, abs=0.51e6)
        assert partner.modulus_at(mm * 1e-3) == pytest.approx(bending, abs=0.51e6)
        share = (plies + (1 if name == "span" else -1)) / (2 * plies)
        assert tension == pytest.approx(e0 * share + e90 * (1 - share), rel=1e-13)


@pytest.mark.parametrize(("wood", "total"), [("birch", 17.5e9), ("okoume", 1.05 * 8.47e9)])
def test_both_ways_of_laying_a_sheet_share_its_veneers(wood, total):
    """Every veneer lies along in one and across in the other: the two span moduli add up to E0 + E90.

    The face grain counts for more in bending than in tension, so the two kinds of modulus must not be mixed.
    """
    chord, span = (catalogue[f"{wood} plywood, face grain along {name}"] for name in ("chord", "span"))
    t = np.array(chord.stock_thicknesses)
    np.testing.assert_allclose(chord.span_modulus_at(t) + span.span_modulus_at(t), total, atol=1.01e6)
    assert np.all(chord.modulus_at(t) > span.span_modulus_at(t))
    assert np.all(span.modulus_at(t) < chord.span_modulus_at(t))


@pytest.mark.parametrize("wood", ["birch", "okoume"])
def test_bending_along_the_span_is_that_of_the_sheet_turned(wood):
    """One sheet laid both ways; and what bends along and across adds up to what stretches along and across, E0 + E90,
    ply by ply, which is how the framed sheet finds the modulus in tension along the chord."""
    chord, span = (catalogue[f"{wood} plywood, face grain along {name}"] for name in ("chord", "span"))
    t = np.array(chord.stock_thicknesses)
    for own, other in ((chord, span), (span, chord)):
        np.testing.assert_array_equal(own.span_bending_at(t), other.modulus_at(t))
        tension = own.modulus_at(t) + own.span_bending_at(t) - own.span_modulus_at(t)
        np.testing.assert_allclose(tension, other.span_modulus_at(t), atol=2.01e6)  # four figures kept to the MPa


def test_okoume_density_from_surface_mass():
    """A supplier's list: 1.8, 2.7, 4.1, 5.4, 8.1 kg/m2 at 4, 6, 9, 12, 18 mm."""
    densities = np.array([1.8, 2.7, 4.1, 5.4, 8.1]) / np.array([4, 6, 9, 12, 18]) * 1e3
    assert catalogue["okoume plywood, face grain along span"].density == pytest.approx(densities.min())
    assert densities.max() / densities.min() < 1.013  # they agree within their rounding


@pytest.mark.parametrize(
    ("name", "end_radii_over_thickness"), [("face grain along chord", (57, 144)), ("face grain along span", (31, 96))]
)
@pytest.mark.parametrize("wood", ["birch", "okoume"])
def test_forming_table_end_rows(wood, name, end_radii_over_thickness):
    """FAA AC 43.13-1B, Table 1-2, dry: bend axis at 90 degrees to the face grain, then at 0 or 45 degrees."""
    sheet = catalogue[f"{wood} plywood, {name}"]
    ends = np.array(sheet.table_range("forming_strain_limit"))
    np.testing.assert_allclose(ends, np.array([0.035, 0.375]) * 0.0254, rtol=1e-12)
    radii = 1 / (2 * sheet.forming_limit_at(ends))
    np.testing.assert_allclose(radii, end_radii_over_thickness, rtol=0.014)  # radii over thickness to two figures


@pytest.mark.parametrize(
    ("name", "column", "spread"), [("face grain along chord", 1, 0.03), ("face grain along span", 2, 0.07)]
)
def test_interpolation_in_both_logarithms_follows_the_rows_between(name, column, spread):
    """Rows between the ends of the same table, from memory: thickness, radius at 90, at 0 or 45 degrees [in].

    They are not in the catalogue; they show how far the straight line between the end rows may be trusted, and
    the catalogue states that figure. Radii of whole inches carry up to 5 % of rounding themselves.
    """
    rows = np.array(
        [
            (0.070, 5.2, 3.2),
            (0.100, 8.6, 5.2),
            (0.125, 12, 7.1),
            (0.160, 17, 11),
            (0.190, 21, 14),
            (0.225, 27, 17),
            (0.250, 31, 20),
            (0.315, 43, 28),
        ]
    )
    sheet = catalogue[f"birch plywood, {name}"]
    remembered = rows[:, 0] / (2 * rows[:, column])
    found = sheet.forming_limit_at(rows[:, 0] * 0.0254)
    np.testing.assert_allclose(found, remembered, rtol=spread)
    assert f"up to {spread:.0%} lower".replace("%", " %") in sheet.basis_of("forming_strain_limit")[1]


def test_end_rows_match_their_radii():
    for name, radii in (("face grain along chord", (2.0, 54.0)), ("face grain along span", (1.1, 36.0))):
        sheet = catalogue[f"birch plywood, {name}"]
        t = np.array([0.035, 0.375])
        np.testing.assert_allclose(sheet.forming_limit_at(t * 0.0254), t / (2 * np.array(radii)), rtol=3e-4)
