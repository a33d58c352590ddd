"""Independent roads to the bent shape: scipy's boundary-value solver, and the pendulum integrated by brute force.

Neither uses the closed form: both start from the equilibrium of a thin elastic sheet, D theta'' = -(normal part of the
contact force), and from the definitions of clamping, contact and setback.
"""

import numpy as np
import pytest
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import brentq

from panelmech.mechanics import elastica
from panelmech.mechanics.bend import solve_bend

DESIGNS = [
    (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3),
    (0.3, 6e-3, 0.12, 1e-3, 10e-3),
    (0.2, 1e-3, 0.04, 0.0, -4e-3),
    (0.1, 8e-3, 0.02, 2e-3, 1e-3),
    (1.0, 1e-3, 0.5, 0.0, 0.0),
    (0.225, 2e-3, 1e-3, 0.3e-3, 0.1),
]


def by_boundary_values(design, tolerance=1e-10):
    """theta, curvature, x, y over the bent length, with N/D, the bent length and the contact angle as unknowns."""
    length, t, d, g, e = design
    radius = d / 2

    def rates(s, state, unknown):
        theta, curvature, _, _ = state
        force, bent, contact = unknown
        return bent * np.array([curvature, -force * np.cos(contact - theta), np.cos(theta), np.sin(theta)])

    def ends(start, end, unknown):
        _, bent, contact = unknown
        overhang = (e + radius * (1 + np.sin(contact))) / np.cos(contact)
        return np.array(
            [
                start[0],
                start[2],
                start[3] - (t + g) / 2,
                end[0] - contact,
                end[1],
                end[3] - (radius + t / 2) * np.cos(contact),
                bent + overhang - length,
            ]
        )

    delta, bent = radius - g / 2, length - e - radius
    s = np.linspace(0, 1, 41)
    slope = 1.5 * delta / bent
    guess = np.array([slope * (2 * s - s**2), 2 * slope / bent * (1 - s), bent * s, (t + g) / 2 + delta * s**2])
    found = solve_bvp(rates, ends, s, guess, p=[3 * delta / bent**3, bent, slope], tol=tolerance, max_nodes=20000)
    assert found.success
    return found


@pytest.mark.parametrize("design", DESIGNS)
def test_boundary_value_solver(design):
    """scipy keeps the residual of the differential equations below 1e-10; results then agree to about 1e-9."""
    found, bend = by_boundary_values(design), solve_bend(*design)
    force, bent, contact = found.p
    assert contact == pytest.approx(bend.contact_angle, rel=3e-9)
    assert bent == pytest.approx(bend.contact_arclength, rel=3e-9)
    assert force == pytest.approx(bend.wavenumber**2, rel=3e-9)
    s = np.linspace(0, 1, 23)
    theta, curvature, x, y = found.sol(s)
    np.testing.assert_allclose(theta, bend.tangent_angle(s * bent * (1 - 1e-15)), atol=1e-8 * contact)
    np.testing.assert_allclose(curvature, bend.curvature(s * bent), atol=1e-7 * bend.land_curvature)
    mid_x, mid_y = bend.outline(s * bend.contact_arclength)
    np.testing.assert_allclose(x, mid_x, atol=1e-8 * bent)
    np.testing.assert_allclose(y, mid_y, atol=1e-8 * bent)


def pendulum(angle):
    """Arclength, curvature and both offsets from the contact back to where the sheet has turned by `angle` (k = 1)."""

    def rates(s, state):
        psi, curvature, _, _ = state
        return [curvature, np.cos(psi), np.cos(psi), np.sin(psi)]

    def turned(s, state):
        return state[0] - angle

    turned.terminal = True
    end = solve_ivp(rates, (0, 4), [0, 0, 0, 0], method="DOP853", rtol=1e-13, atol=1e-15, events=turned)
    return end.t_events[0][0], *end.y_events[0][0][1:]


@pytest.mark.parametrize("angle", [0.01, 0.1, 0.4, 0.8, 1.2, 1.5])
def test_the_pendulum(angle):
    """psi'' = cos psi, started at rest; the eighth-order integrator is asked for 1e-13."""
    length, curvature, along, across = pendulum(angle)
    assert length == pytest.approx(elastica.arclength(angle), rel=1e-11)
    assert curvature == pytest.approx(elastica.along(angle), rel=1e-11)
    assert along == pytest.approx(elastica.along(angle), rel=1e-11)
    assert across == pytest.approx(elastica.across(angle), rel=1e-11)


@pytest.mark.parametrize("design", DESIGNS[:3])
def test_the_bent_pair_by_the_pendulum(design):
    """Shoot for the contact angle: rise and setback with the integrated pendulum in place of the closed form."""
    length, t, d, g, e = design

    def surplus(angle):
        arc, _, along, across = pendulum(angle)
        rise = along * np.sin(angle) - across * np.cos(angle)
        k = rise / ((d + t) / 2 * np.cos(angle) - (t + g) / 2)
        return arc / k + (e + d / 2 * (1 + np.sin(angle))) / np.cos(angle) - length

    bend = solve_bend(*design)
    angle = brentq(surplus, 0.5 * bend.contact_angle, 1.2 * bend.contact_angle, xtol=1e-14)
    assert angle == pytest.approx(bend.contact_angle, rel=1e-10)
