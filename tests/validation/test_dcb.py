"""Opening energy of the land against the double cantilever beam of fracture tests.

Simple beam theory of ASTM D5528 and ISO 25217: G = 12 P^2 a^2 / (b^2 h^3 E), h the thickness of one arm; opening
delta = 8 P a^3 / (E b h^3). Inputs of the second example, carbon-epoxy IM7/8552, are from memory, as others quote them;
they were not found in a paper that could be read. Only its result, recomputed here, counts.
"""

import numpy as np
import pytest

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.forming import bending_stiffness, forming_loads


def energy(load, crack, width, arm, modulus):
    """G by the standard's formula [J/m2]."""
    return 12 * load**2 * crack**2 / (width**2 * arm**3 * modulus)


def test_worked_value():
    """P = 100 N, a = 50 mm, b = 25 mm, h = 3 mm, E = 70 GPa: 253.968 J/m2, in three forms that must agree."""
    load, crack, width, arm, modulus = 100.0, 50e-3, 25e-3, 3e-3, 70e9
    by_load = energy(load, crack, width, arm, modulus)
    opening = 8 * load * crack**3 / (modulus * width * arm**3)
    by_opening = 3 * opening**2 * modulus * arm**3 / (16 * crack**4)
    moment = load * crack / width
    assert by_load == pytest.approx(253.968253968, rel=1e-11)
    assert by_opening == pytest.approx(by_load, rel=1e-12)
    assert moment**2 / bending_stiffness(modulus, arm) == pytest.approx(by_load, rel=1e-12)  # the package's M0^2 / D


def test_critical_load():
    """E = 161 GPa, G = 250 J/m2, h = 3 mm, b = 25 mm, a = 50 mm: 150.468 N."""
    stiffness = bending_stiffness(161e9, 3e-3)
    critical = 25e-3 / 50e-3 * np.sqrt(stiffness * 250.0)
    assert critical == pytest.approx(150.468019858, rel=1e-11)
    assert energy(critical, 50e-3, 25e-3, 3e-3, 161e9) == pytest.approx(250.0, rel=1e-12)


def test_a_bent_pair_with_a_small_opening_is_a_double_cantilever_beam():
    """Arms 2 mm, crack = contact arclength, load = contact force times width: the standard's G, nearly."""
    bend = solve_bend(0.225, 2e-3, 1e-4, 0.0, 0.0)
    stiffness = bending_stiffness(20e9, 2e-3)
    loads = forming_loads(bend, stiffness)
    found = energy(loads.contact_force * 25e-3, bend.contact_arclength, 25e-3, 2e-3, 20e9)
    assert loads.opening_energy == pytest.approx(found, rel=1e-5)
    opening = 2 * (bend.contact_y - 1e-3)  # of the mid-surfaces, at the contact
    by_opening = 3 * opening**2 * 20e9 * 8e-9 / (16 * bend.contact_arclength**4)
    assert loads.opening_energy == pytest.approx(by_opening, rel=1e-4)


def test_energy_released_by_a_longer_crack():
    """G is the stored energy of both sheets released per length of land that opens, the rod held where it is.

    The land end moves back by da: the same rod and front corner, a free length and a rod position larger by da. At
    fixed rod the push-out force does no work, so dU/da is -G: by a numerical derivative of the exact shape.
    """
    length, t, d, g, e = 0.225, 2e-3, 18e-3, 0.3e-3, 3e-3
    rod = solve_bend(length, t, d, g, e).spacer_position

    def at(da):
        """Stored energy with the land end opened by da and the rod where it was, measured from the old land end."""

        def position(setback):
            return solve_bend(length + da, t, d, g, setback).spacer_position - (rod + da)

        low, high = e - 2e-3, e + 2e-3
        for _ in range(100):  # the rod moves towards the land when the setback grows
            mid = 0.5 * (low + high)
            low, high = (mid, high) if position(mid) > 0 else (low, mid)
        return forming_loads(solve_bend(length + da, t, d, g, low), 1.0).strain_energy

    step = 2e-4
    released = -(8 * (at(step) - at(-step)) - (at(2 * step) - at(-2 * step))) / (12 * step)
    assert released == pytest.approx(forming_loads(solve_bend(length, t, d, g, e), 1.0).opening_energy, rel=1e-8)
