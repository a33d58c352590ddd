"""How much the shape cares about the land."""

import numpy as np
import pytest

from panelmech.materials.stock import catalogue
from panelmech.measured.land import DEGREE, first_order, land_sensitivity
from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.wedge import solve_wedge
from panelmech.study.design import Design


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


def test_cases_are_those_of_the_pair_as_built(leeboard):
    cases = land_sensitivity(leeboard)
    assert [c.name for c in cases] == [
        "Ideal, land parallel",
        "Land opened by 1.0°",
        "Land closed by 1.0°",
        "Adhesive gives way",
    ]
    ideal, opened, closed, soft = cases
    bend = leeboard.bend()
    assert ideal.mouth == pytest.approx(bend.mouth, rel=1e-10) and ideal.force_change == 0.0
    assert ideal.land_strain == pytest.approx(0.5 * leeboard.sheet_thickness * bend.land_curvature, rel=1e-9)
    alone = real_bend(
        leeboard.free_length,
        leeboard.sheet_thickness,
        leeboard.spacer_diameter,
        1.0,
        leeboard.bond_line,
        leeboard.setback,
        land_slope=DEGREE,
    )
    assert opened.mouth == pytest.approx(alone.mouth, rel=1e-12)
    assert opened.force_change < -0.3 and closed.force_change > 0.3 and -0.1 < soft.force_change < 0.0
    assert "down by" in opened.words() and "narrower" in opened.words() and "N/m" in ideal.words()


@pytest.mark.parametrize("diameter", [0.023, 0.03, 0.04, 0.05])
def test_a_tenth_to_a_third_for_contact_angles_of_five_to_fourteen_degrees(leeboard, diameter):
    """Common practice, no source: one degree moves the force by a tenth to a third. By first order that is contact
    angles of 15 and 4.5 degrees; these parts lie between."""
    part = leeboard.replace(spacer_diameter=diameter)
    assert np.radians(4.3) < part.bend().contact_angle < np.radians(15)
    _, opened, closed = land_sensitivity(part, springs={})
    for case in (opened, closed):
        assert 0.1 <= abs(case.force_change) <= 1 / 3


def test_first_order_becomes_exact_for_small_angles(leeboard):
    """Ratio of turn to contact angle kept, both made small: the error falls with the square."""
    errors = []
    for diameter in (0.012, 0.006):
        part = leeboard.replace(spacer_diameter=diameter, sheet_thickness=1e-3, bond_line=0.0)
        angle = part.bend().contact_angle
        opened = land_sensitivity(part, turn=0.2 * angle, springs={})[1]
        errors.append(abs(opened.force_change / first_order(angle, 0.2 * angle) - 1))
    assert errors[1] < 3e-3 and errors[1] < 0.4 * errors[0]


def test_springs_between_clamp_and_hinge(leeboard):
    """A hinge is the flat wedge without force; stiffer is nearer the clamp."""
    _, _, _, hinge, soft, stiff = land_sensitivity(leeboard, springs={"hinge": 0.0, "soft": 100.0, "stiff": 1e5})
    wedge = solve_wedge(
        leeboard.free_length, leeboard.sheet_thickness, leeboard.spacer_diameter, leeboard.bond_line, leeboard.setback
    )
    assert hinge.force_change == pytest.approx(-1.0, abs=1e-7)
    assert hinge.mouth == pytest.approx(wedge.mouth, rel=1e-9)
    assert hinge.force_change < soft.force_change < stiff.force_change < 0.0


def test_sheets_that_would_leave_the_rod_say_so(leeboard):
    """Beyond the slope of the flat wedge there is no force left."""
    thin = leeboard.replace(spacer_diameter=6e-3)
    opened = land_sensitivity(thin, turn=5 * DEGREE)[1]
    assert np.isnan(opened.contact_force) and "no longer press" in opened.words()


def test_refusals_and_unknown_adhesive(leeboard):
    unknown = leeboard.replace(adhesive=catalogue.adhesives["unknown - measure it"])
    assert len(land_sensitivity(unknown)) == 3
    for bad in (0.0, -1.0, np.nan):
        with pytest.raises(ValueError, match="turn is .*: give more than 0°, up to 90°"):
            land_sensitivity(leeboard, turn=bad)
