"""What the land gives: limits, series, and what it does to the bend."""

import numpy as np
import pytest

from panelmech.materials.stock import catalogue
from panelmech.measured.land import (
    compliance_of,
    land_spring,
    land_words,
    neglected_share,
    stiffness_of,
)
from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.bonded_end import constrained_modulus, foundation_stiffness, land_compliance
from panelmech.study.design import Design


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


def test_plain_arithmetic():
    """k = 2 * 5 GPa / 0.25 mm = 4e13 N/m3; D = 10 N m: lam = 1000 /m, so a long land turns by M / (D lam) = 1e-4."""
    assert foundation_stiffness(5e9, 0.25e-3) == pytest.approx(4e13, rel=1e-15)
    give = land_compliance(10.0, 4e13, 0.1)
    assert (give.wavenumber, give.turn_by_moment) == pytest.approx((1000.0, 1e-4), rel=1e-12)
    assert constrained_modulus(3e9, 0.0) == 3e9
    assert constrained_modulus(3e9, 0.25) == pytest.approx(3.6e9, rel=1e-14)  # 0.75 / (1.25 * 0.5)


def test_any_stiffness_of_a_bed_that_is_none_of_the_sheets():
    """Without a sheet's thickness none gives; k goes with the adhesive's modulus down to a twentieth of a pascal."""
    assert foundation_stiffness(5e9, 0.25e-3, across_modulus=8e9) == foundation_stiffness(5e9, 0.25e-3)
    assert foundation_stiffness(5e9, 0.25e-3, 2e-3) == foundation_stiffness(5e9, 0.25e-3)
    assert foundation_stiffness(0.05, 0.25e-3) == pytest.approx(400.0, rel=1e-12)
    assert foundation_stiffness(5e9, 0.25e-3, 2e-3, 8e9) == pytest.approx(1.0 / (0.25e-13 + 1.25e-13), rel=1e-12)


def test_short_land_turns_as_a_rigid_bar():
    """Turn 12 M/(k c^3), 6 P/(k c^2); movement 4 P/(k c): a stiff bar on springs; the error goes with (lam c)^4."""
    k, c = 1e12, 1e-5
    give = land_compliance(1e3, k, c)
    assert (give.turn_by_moment, give.turn_by_force, give.move_by_force) == pytest.approx(
        (12 / (k * c**3), 6 / (k * c**2), 4 / (k * c)), rel=1e-10
    )


def test_series_joins_the_closed_form():
    """Both sides of the switch, extrapolated to it: no jump beyond rounding (of 1e-16 over (2 z)^4 = 1)."""
    lam_c = np.array([0.5 - 2e-6, 0.5 - 1e-6, 0.5 + 1e-6, 0.5 + 2e-6])
    give = land_compliance(1.0, 4.0, lam_c)
    for name in ("turn_by_moment", "turn_by_force", "move_by_force"):
        v = getattr(give, name)
        assert 2 * v[1] - v[0] == pytest.approx(2 * v[2] - v[3], rel=3e-11)  # second differences of 1e-6 steps


def test_arrays_scaling_and_monotony():
    """Lengths times c, stiffness fixed: lam over c, turn by moment times c. A longer land gives less."""
    base = land_compliance(3.0, 5e10, 0.01)
    scaled = land_compliance(3.0, 5e10 / 16, 0.02)
    assert scaled.turn_by_moment == pytest.approx(2 * base.turn_by_moment, rel=1e-13)
    assert scaled.move_by_force == pytest.approx(8 * base.move_by_force, rel=1e-13)
    grown = land_compliance(np.full(40, 3.0), 5e10, np.linspace(1e-4, 0.02, 40)).turn_by_moment
    assert grown.shape == (40,) and np.all(np.diff(grown[:20]) < 0)
    assert np.isnan(land_compliance(np.nan, 1e10, 0.01).turn_by_moment)


def test_no_adhesive_is_a_clamp(leeboard):
    give = land_compliance(3.0, np.inf, 0.01)
    assert (give.turn_by_moment, give.turn_by_force, give.move_by_force) == (0.0, 0.0, 0.0)
    bare = leeboard.replace(bond_line=0.0)
    assert land_spring(bare) == np.inf and "not give" in land_words(bare) and neglected_share(bare) == 0.0


def test_spring_of_the_leeboard(leeboard):
    """D lam of the 15 mm land, 13 times 1/lam long; the shear, left out, adds 1/(2 lam s_c)."""
    d, lam = stiffness_of(leeboard), compliance_of(leeboard).wavenumber
    assert land_spring(leeboard) == pytest.approx(d * lam, rel=1e-9)
    assert neglected_share(leeboard) == pytest.approx(1 / (2 * lam * leeboard.bend().contact_arclength), rel=1e-9)
    assert (
        land_spring(leeboard, adhesive_poisson=0.38) > land_spring(leeboard) > land_spring(leeboard, across_modulus=5e9)
    )
    assert "0.038°" in land_words(leeboard)


def test_spring_takes_force_as_small_deflections_say(leeboard):
    """A spring S at the root of a slender propped cantilever: N falls to 1/(1 + 3 D/(S s_c)); deflections of 1 %."""
    thin = leeboard.replace(spacer_diameter=3e-3, bond_line=0.3e-3)
    d, s_c = stiffness_of(thin), thin.bend().contact_arclength
    given = (thin.free_length, thin.sheet_thickness, thin.spacer_diameter, d, thin.bond_line, thin.setback)
    spring = land_spring(thin)
    change = real_bend(*given, land_spring=spring).contact_force / real_bend(*given).contact_force
    assert change == pytest.approx(1 / (1 + 3 * d / (spring * s_c)), rel=2e-4)  # square of the contact angle, 0.01


def test_refusals(leeboard):
    with pytest.raises(ValueError, match="no modulus is known"):
        land_spring(leeboard.replace(adhesive=catalogue.adhesives["unknown - measure it"]))
    with pytest.raises(ValueError, match="0 to below 0.5"):
        constrained_modulus(1e9, 0.5)
