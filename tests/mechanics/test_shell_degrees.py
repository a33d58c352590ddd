"""Degrees chosen by default over the whole range of sheets: what they are told to hold, they hold.

By day a few of the sheets drawn, by night many more. The second road for critical values is `shell_waves`, exact along
the span where the frames only support the sheet; elsewhere many more degrees, which for shapes along the span converge
geometrically.
"""

from dataclasses import replace

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.mechanics.shell import (
    MOST_DEGREES,
    MOST_HALF_WAVES,
    buckle,
    buckling_degrees,
    critical_stress,
    deflection_degrees,
    largest_deflection,
    press,
)
from panelmech.mechanics.shell_model import FramedSheet, even_pressure, framed_edges
from panelmech.mechanics.shell_waves import lowest, waves

GRAINS = (  # modulus, Poisson's ratio along the chord; modulus along the span, in shear, both in tension
    (20e9, 0.3, None, None, None),
    (38e9, 0.28, 9e9, 3.6e9, None),
    (16.5e9, 0.05, 1.03e9, 0.62e9, (10.7e9, 6.8e9)),
    (1.03e9, 0.05, 16.5e9, 0.62e9, (6.8e9, 10.7e9)),
    (120e9, 0.3, 8e9, 4e9, None),
    (8e9, 0.02, 120e9, 4e9, None),
)


def drawn(seed, frames=None, in_plane=None, width=(0.15, 3.0)):
    """A sheet of any proportions, curvature, grain and edges: 50 to 600 mm along the chord, 0.3 to 6 mm thick."""
    rng = np.random.default_rng(seed)

    def between(low, high):
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    length, span = between(0.05, 0.6), between(*width)
    thickness = between(3e-4, min(6e-3, 0.04 * length))
    rise = rng.choice([0.0, 0.02, 0.1, 0.2, 0.3]) * rng.uniform(0.3, 1.0) * length
    modulus, poisson, along_span, shear, stretch = GRAINS[rng.integers(len(GRAINS))]
    land, rod, ends = (str(rng.choice(["clamped", "supported"])) for _ in range(3))
    edges = framed_edges(land, rod, frames or ends, in_plane or str(rng.choice(["diaphragm", "held"])))
    curvature = None if rise == 0.0 else lambda x: 3 * rise / length**2 * (1 - x / length)
    return FramedSheet(length, span, thickness, modulus, poisson, curvature, edges, along_span, shear, stretch)


@by_day("seed", range(60), 0, 1, 2, 3)
def test_critical_values_are_those_of_waves_along_the_span(seed):
    """Frames that only support: the exact road along the span, and the lowest of every number of half waves."""
    sheet = drawn(seed, "supported", "diaphragm")
    found, exact = buckle(sheet), critical_stress(sheet)
    assert found.stress == pytest.approx(exact, rel=1e-5)
    assert abs(found.stress / exact - 1) < found.error + 1e-9
    share = np.ones(48)
    numbers = np.arange(1, 3 * found.half_waves + 3)
    each = waves(sheet, 24, share).critical(np.pi * numbers / sheet.width)
    best, half_waves = lowest(sheet, waves(sheet, 24, share), 1.0, 1.0)
    assert best == pytest.approx(each.min(), rel=1e-10)
    assert each[half_waves - 1] == pytest.approx(best, rel=1e-10)
    assert exact == pytest.approx(best * sheet.bending_stiffness / sheet.thickness, rel=1e-6)


@by_day("seed", range(60), 0, 1, 2, 11)
def test_critical_values_of_every_frame_are_converged(seed):
    """On the unsafe side by no more than 1e-4, for as many half waves as there are; never below the bound."""
    sheet = drawn(seed)
    bound, half_waves = lowest(sheet, waves(sheet, 24, np.ones(48)), 1.0, 1.0)
    many = tuple(d + more for d, more in zip(buckling_degrees(sheet, half_waves), (8, 30), strict=True))
    found, best = buckle(sheet), buckle(sheet, many).stress
    assert found.stress == pytest.approx(best, rel=1e-5)
    assert abs(found.stress / best - 1) < found.error + 1e-9
    assert critical_stress(sheet) == pytest.approx(best, rel=1e-5)
    assert best > bound * sheet.bending_stiffness / sheet.thickness * (1 - 1e-6)


@pytest.mark.slow
@pytest.mark.nightly
def test_beyond_the_most_half_waves_the_bound_stands_for_all_frames():
    """Clamped frames and 200 half waves: the bound is 1e-4 below at most, and falls with the square of the number."""
    for in_plane in ("diaphragm", "held"):
        sheet = FramedSheet(0.06, 0.036 * (MOST_HALF_WAVES - 20), 1e-3, 20e9, 0.3, 2.0)
        sheet = replace(sheet, edges=framed_edges("clamped", "supported", "clamped", in_plane))
        bound, half_waves = lowest(sheet, waves(sheet, 14, np.ones(48)), 100.0, 1.0)
        assert 0.7 * MOST_HALF_WAVES < half_waves <= MOST_HALF_WAVES
        stress = bound * sheet.bending_stiffness / sheet.thickness
        assert stress < critical_stress(sheet) < stress * (1 + 1e-4)
        twice = replace(sheet, width=2 * sheet.width)  # as many as are not followed
        assert critical_stress(twice) == pytest.approx(stress, rel=1e-4)


def moment_at_land(pressed):
    return float(pressed.moments(0.0, 0.5 * pressed.sheet.width)[0])


@by_day("seed", range(60), 0, 3, 4, 7)
def test_deflection_and_moment_are_converged(seed):
    """Even pressure: the largest deflection within 1e-5, the moment in the middle of a clamped land within 1e-3."""
    sheet, load = drawn(seed), even_pressure()
    found = press(sheet, load)
    best = press(sheet, load, tuple(d + more for d, more in zip(found.degrees, (8, 24), strict=True)))
    assert found.largest_deflection == pytest.approx(best.largest_deflection, rel=1e-5)
    assert abs(found.largest_deflection / best.largest_deflection - 1) < found.error + 1e-9
    assert largest_deflection(sheet, load) == pytest.approx(best.largest_deflection, rel=1e-5)
    if sheet.edges.land.bending == "clamped":
        assert moment_at_land(found) == pytest.approx(moment_at_land(best), rel=1e-3)


@by_day("aspect", [0.02, 0.05, 3.0, 8.0, 16.0, 25.0], 8.0)
def test_sheets_far_longer_one_way_than_the_other(aspect):
    """Length over width from 0.02 to 25, strongly bent: the same as above."""
    for seed in range(8):
        sheet = drawn(seed)
        sheet = replace(sheet, width=sheet.length / aspect / sheet.ratios.d22**0.25)
        along_x, along_y = deflection_degrees(sheet)
        degrees = min(along_x + 8, MOST_DEGREES[0]), min(along_y + 24, MOST_DEGREES[1])
        best = press(sheet, None, degrees).largest_deflection
        assert largest_deflection(sheet) == pytest.approx(best, rel=3e-5)
