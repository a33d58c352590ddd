"""One complete load case worked by hand, from geometry to stress: an untapered leeboard, clamped at its root, under an
even side load.

S. P. Timoshenko, Strength of Materials, part I, 3rd ed. 1955: cantilever under an even load, w L^2 / 2 at the root and
w L^4 / 8 EI at the tip; bars of two materials, sigma = E M y / EI; shear flow V Q / I. T. H. G. Megson, Aircraft
Structures for Engineering Students, ch. 17: shear of a closed cell. Formulas of both from memory.

The second road is written out here, with nothing of the package's section code: parts as polygons (sum over edges,
Green's theorem), thin lines along the bent sheet. Only its mid-surface comes from `Bend.outline`, which
test_rectangular_elastica.py and test_scipy_bvp.py check; contact and rod follow from that curve.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.loads.cases import SideForce
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan

E_SHEET, E_ROD, E_RESIN = 15.168e9, 68.9e9, 4.0e9  # along the span
T, GAP, LENGTH, LAND, RADIUS, BORE, SPAN = 0.002, 0.0003, 0.225, 0.015, 0.009, 0.0075, 0.85
SUCTION = 0.3 * 0.5 * 1000.0 * 2.0**2  # lift coefficient times stagnation pressure: 600 Pa on the chord
POINTS = 20001  # along the sheet
CLOSE = 1e-7  # chords and trapezium rule: measured 4e-10 on EI, 3e-9 on shear flows


def geometry():
    """Contact, rod and edges from the curve of the mid-surface, which is straight in front of the contact."""
    x, y = LEEBOARD.bend().outline(POINTS)
    step = np.array([x[-1] - x[-2], y[-1] - y[-2]])
    cos, sin = step / np.hypot(*step)
    back = (y[-1] - (RADIUS + 0.5 * T) * cos) / sin  # from the front edge back to where the sheet touches the rod
    rod_x = x[-1] - back * cos + (RADIUS + 0.5 * T) * sin
    return SimpleNamespace(
        x=x,
        y=y,
        cos=cos,
        sin=sin,
        contact=LENGTH - back,
        rod_x=rod_x,
        inner=(x[-1] + 0.5 * T * sin, y[-1] - 0.5 * T * cos),
        outer_y=y[-1] + 0.5 * T * cos,
    )


def second_moment(x, y):
    """Of a closed polygon about y = 0, edge by edge."""
    u, v = np.roll(x, -1), np.roll(y, -1)
    return abs(np.sum((y * y + y * v + v * v) * (x * v - u * y))) / 12.0


def bending_stiffness(g):
    """EI about the chord line [N m2]: two sheets, their land, the tube, the potting to the mouth plane."""
    turn = np.arctan2(np.gradient(g.y, edge_order=2), np.gradient(g.x, edge_order=2))
    along, across = 0.5 * T * np.sin(turn), 0.5 * T * np.cos(turn)
    sheet = second_moment(np.append(g.x - along, (g.x + along)[::-1]), np.append(g.y + across, (g.y - across)[::-1]))
    land = LAND * ((0.5 * GAP + T) ** 3 - (0.5 * GAP) ** 3) / 3.0
    tube = np.pi / 4.0 * (RADIUS**4 - BORE**4)
    arc = np.linspace(0.0, 0.5 * np.pi + np.arctan2(g.sin, g.cos), POINTS)  # front-most point to the contact
    resin = second_moment(
        np.append([g.inner[0]] * 2, g.rod_x + RADIUS * np.cos(arc)), np.append([g.inner[1], 0.0], RADIUS * np.sin(arc))
    )
    return E_SHEET * 2.0 * (sheet + land) + E_ROD * tube + E_RESIN * 2.0 * resin


def cell(g):
    """Per newton of shear: flow through the bond of the land and in the sheet at the contact [1/m], and the x where
    the force turns nothing [m].

    From the chord line, where the first moment is nothing, up through the land (its area at its height) and along the
    upper sheet. The mean over the sheets is zero, or the cell would twist: only they give way. What the sheets and the
    land do not carry across goes through the rod.
    """
    s = np.linspace(0.0, g.contact, POINTS)
    along = np.linspace(0.0, LENGTH, POINTS)
    x, y = np.interp(s, along, g.x), np.interp(s, along, g.y)
    first = LAND * T * 0.5 * (T + GAP) + T * np.append(0.0, np.cumsum(0.5 * (y[1:] + y[:-1]) * np.diff(s)))
    scale = E_SHEET / bending_stiffness(g)
    bond = scale * np.trapezoid(first, s) / g.contact
    flow = bond - scale * first
    force = 2.0 * np.trapezoid(flow, y) + bond * (T + GAP)
    centre = 2.0 * (np.trapezoid(flow * x, y) - np.trapezoid(flow * y, x)) + (1.0 - force) * g.rod_x
    return SimpleNamespace(bond=bond, contact=flow[-1], centre=centre)


G = geometry()
CHORD = LAND + G.inner[0]


@pytest.fixture(scope="module")
def found():
    """The load acts at the shear centre found by hand: shear without torque."""
    case = SideForce(
        "even",
        2.0,
        1000.0,
        coefficient=0.3,
        spread="proportional to chord",
        centre=(G.inner[0] - cell(G).centre) / CHORD,
    )
    return evaluate_loads(LEEBOARD, LoadPlan((case,), local=False))


def test_shear_moment_and_deflection(found):
    load = SUCTION * CHORD
    assert found.cases[0].side_force == pytest.approx(load * SPAN, rel=CLOSE)
    assert found.diagrams.shear[0, 0] == pytest.approx(load * SPAN, rel=CLOSE)
    assert found.diagrams.moment[0, 0] == pytest.approx(load * SPAN**2 / 2, rel=CLOSE)
    assert -found.diagrams.root_force[0] == pytest.approx(load * SPAN, rel=CLOSE)
    expected = load * SPAN**4 / 8 / bending_stiffness(G)
    assert found.check("tip_deflection").value == pytest.approx(expected, rel=CLOSE)
    assert expected == pytest.approx(14.66e-3, abs=5e-6)  # so that a reader has a number


def test_stresses_at_the_outer_fibres(found):
    bent = SUCTION * CHORD * SPAN**2 / 2 / bending_stiffness(G)
    for key, modulus, distance in (
        ("sheet_stress", E_SHEET, G.outer_y),
        ("spacer_stress", E_ROD, RADIUS),
        ("potting_stress", E_RESIN, G.inner[1]),
    ):
        check = found.check(key)
        assert check.value == pytest.approx(modulus * bent * distance, rel=CLOSE), key
        assert (check.case, check.position) == ("even", 0.0)


def test_shear_of_land_and_sheets(found):
    """No torque is left, so that the shear centre is right too: measured 1e-8 of the force times the chord."""
    shear, hand = SUCTION * CHORD * SPAN, cell(G)
    assert abs(found.diagrams.local_torque[0, 0]) < CLOSE * shear * CHORD
    assert found.check("land_shear").value == pytest.approx(shear * hand.bond / LAND, rel=1e-6)
    assert found.check("sheet_shear").value == pytest.approx(shear * abs(hand.contact) / T, rel=1e-6)
