"""Independent road to the pair as built: every sheet integrated by Runge-Kutta from the balance of moments.

Neither the closed form nor the collocation is used, and not the differentiated equation either. The rod presses at c on
the inner face with the force F; the part in front of a station is in balance, so there

    theta'(s) = bow + ((c - r(s)) x F) / D,     x' = cos(theta),  y' = sin(theta),

which is integrated (DOP853, rtol 1e-12) from the land end; contact, setback and land are closed by scipy's root finder.
The start of the search is off by several per cent. Tolerance 1e-8: what is claimed for forces.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import root

from panelmech.mechanics.as_built_bend import real_bend, rod_forces
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.unequal import solve_unequal

CLAIMED = 1e-8


def walk(stiffness, thickness, start_y, land_angle, bow, contact_angle, centre, reach, force, shear, length):
    """End state (theta, x, y) at `length` and the land moment; `centre`, of the rod."""
    s, c = np.sin(contact_angle), np.cos(contact_angle)
    fx, fy = -force * s + shear * c, force * c + shear * s
    px, py = centre[0] - (reach - thickness / 2) * s, centre[1] + (reach - thickness / 2) * c

    def moment(x, y):
        return (px - x) * fy - (py - y) * fx

    def rates(_, state):
        angle, x, y = state
        return [bow + moment(x, y) / stiffness, np.cos(angle), np.sin(angle)]

    done = solve_ivp(rates, (0.0, length), [land_angle, 0.0, start_y], method="DOP853", rtol=1e-12, atol=1e-14)
    return done.y[:, -1], moment(0.0, start_y)


def corner(angle, x, y, ahead, bow, thickness):
    """Inner corner of the front edge: the part in front of the contact is an arc of its bow, walked in small steps."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    turn = angle + bow * ahead * 0.5 * (nodes + 1)
    tip = x + 0.5 * ahead * np.sum(weights * np.cos(turn)), y + 0.5 * ahead * np.sum(weights * np.sin(turn))
    last = angle + bow * ahead
    return tip[0] + thickness / 2 * np.sin(last), tip[1] - thickness / 2 * np.cos(last)


def matched(length, thickness, diameter, stiffness, gap, setback, friction=0.0, slope=0.0, spring=np.inf, bow=0.0):
    """Contact force, angle, arclength, land moment and mouth of one sheet of a pair as built."""
    guess = solve_bend(length, thickness, diameter, gap, setback)
    scale = np.array(
        [stiffness * guess.wavenumber**2, guess.contact_arclength, guess.contact_angle, guess.spacer_position, 0.01]
    )
    reach, radius = diameter / 2 + thickness / 2, diameter / 2

    def sheet(unknown):
        force, arc, angle, centre, land = unknown * scale
        end, moment = walk(
            stiffness,
            thickness,
            (thickness + gap) / 2,
            land,
            bow,
            angle,
            (centre, 0.0),
            reach,
            force,
            friction * force,
            arc,
        )
        return end, moment, corner(end[0], end[1], end[2], length - arc, bow, thickness)

    def misses(unknown):
        end, moment, tip = sheet(unknown)
        _, _, angle, centre, land = unknown * scale
        return [
            end[0] - angle,
            (end[1] - centre + reach * np.sin(angle)) / length,
            (end[2] - reach * np.cos(angle)) / length,
            (tip[0] - centre - radius - setback) / length,
            land - slope - moment / spring,
        ]

    start = [1.0 - 1.5 * np.clip(slope / guess.contact_angle, -0.6, 0.6), 1.0, 1.03, 1.0, slope / 0.01]
    found = root(misses, start, tol=1e-13)
    assert np.max(np.abs(found.fun)) < 1e-11, found.message
    _, moment, tip = sheet(found.x)
    return (*(found.x * scale)[[0, 2, 1]], moment, 2 * tip[1])


PARTS = [
    (0.225, 0.002, 0.018, 12.8, 0.3e-3, 0.003),
    (0.225, 0.002, 0.07, 12.8, 0.3e-3, 0.003),
    (0.3, 0.006, 0.12, 150.0, 1e-3, 0.010),
]
FAULTS = [
    dict(friction=0.3),
    dict(friction=-0.3),
    dict(slope=0.01),
    dict(slope=-0.02),
    dict(spring=500.0),
    dict(bow=0.1),
    dict(friction=-0.4, slope=0.005, spring=3000.0, bow=-0.15),
]


@pytest.mark.parametrize("fault", FAULTS, ids=str)
@pytest.mark.parametrize("part", PARTS)
def test_pair_as_built(part, fault):
    names = {"slope": "land_slope", "spring": "land_spring"}
    ours = real_bend(*part, **{names.get(k, k): v for k, v in fault.items()})
    force, angle, arc, moment, mouth = matched(*part, **fault)
    assert ours.contact_force == pytest.approx(force, rel=CLAIMED)
    assert ours.land_moment == pytest.approx(moment, rel=CLAIMED)
    assert (ours.contact_angle, ours.contact_arclength, ours.mouth) == pytest.approx((angle, arc, mouth), rel=CLAIMED)


@pytest.mark.parametrize("part", PARTS[:2])
def test_both_limits_of_friction(part):
    """Push in, pull out and stored energy from the walked sheets; energy by the trapezium rule on a fine walk."""
    friction = 0.25
    ours = rod_forces(*part, friction=friction)
    along = []
    for sign in (1.0, -1.0):
        force, angle, *_ = matched(*part, friction=sign * friction)
        along.append(2 * force * (np.sin(angle) - sign * friction * np.cos(angle)))
    assert ours.pull_out == pytest.approx(-along[0], rel=CLAIMED)
    assert ours.push_in == pytest.approx(along[1], rel=CLAIMED)
    assert ours.holds == (along[0] <= 0)
    force, angle, arc, *_ = matched(*part)
    state = solve_ivp(
        lambda s, y: [y[1], -force / part[3] * np.cos(angle - y[0]), 0.5 * part[3] * y[1] ** 2],
        (0, arc),
        [0.0, matched(*part)[3] / part[3], 0.0],
        method="DOP853",
        rtol=1e-12,
        atol=1e-14,
    )
    assert ours.stored_energy == pytest.approx(2 * state.y[2, -1], rel=CLAIMED)


@pytest.mark.parametrize("closure", ["floating", "jig"])
@pytest.mark.parametrize("slopes", [(0.0, 0.0), (0.008, -0.005)])
@pytest.mark.parametrize("diameter", [0.018, 0.06])
def test_unmatched_pair(diameter, slopes, closure):
    """Two different sheets; tolerance 1e-10, what is claimed for the unmatched pair."""
    length, gap, setback, t, d = 0.225, 0.3e-3, 0.003, (0.002, 0.0017), (12.8, 9.0)
    ours = solve_unequal(length, *t, *d, diameter, gap, setback, closure, *slopes)
    radius = diameter / 2
    known = np.array(
        [
            ours.contact_force_1,
            ours.contact_force_2,
            ours.contact_arclength_1,
            ours.contact_arclength_2,
            ours.contact_angle_1,
            ours.contact_angle_2,
            ours.spacer_position,
            radius,
        ]
    )

    def misses(unknown):
        values = unknown * known
        centre, out, tips = (values[6], values[7]), [], []
        for i, side in ((0, 1.0), (1, -1.0)):  # sheet 2 mirrored
            force, arc, angle = values[i], values[2 + i], values[4 + i]
            at, reach = (centre[0], side * centre[1]), radius + t[i] / 2
            end, _ = walk(d[i], t[i], (t[i] + gap) / 2, slopes[i], 0.0, angle, at, reach, force, 0.0, arc)
            tips.append(corner(*end, length - arc, 0.0, t[i])[0])
            out += [
                end[0] - angle,
                (end[1] - at[0] + reach * np.sin(angle)) / length,
                (end[2] - at[1] - reach * np.cos(angle)) / length,
            ]
        balance = values[0] * np.cos(values[4]) - values[1] * np.cos(values[5])
        last = balance / known[0] if closure == "floating" else centre[1] / length
        return [*out, (np.mean(tips) - centre[0] - radius - setback) / length, last]

    start = np.array([1.04, 0.97, 1.0, 1.0, 1.02, 0.98, 1.0, 0.0])
    found = root(misses, start, tol=1e-14)
    assert np.max(np.abs(found.fun)) < 1e-12, found.message
    assert found.x[:7] == pytest.approx(np.ones(7), rel=1e-10)
    assert ours.rod_offset == pytest.approx(found.x[7] * radius, abs=1e-12 * radius + 1e-10 * abs(ours.rod_offset))
    if closure == "jig":
        across = [f * np.cos(a) for f, a in zip((found.x * known)[:2], (found.x * known)[4:6], strict=True)]
        assert ours.jig_force == pytest.approx(across[0] - across[1], rel=1e-9)
