"""A force on a small square: against Navier's double series, exact for supported sheets of uniform curvature.

By day a few of the sheets and squares drawn, by night many more: of any proportions, curvature and grain, squares from
a hundredth of the smaller side to half of it, anywhere on the sheet.
"""

import numpy as np
import pytest
from day_and_night import by_day
from test_shell_degrees import GRAINS

from panelmech.mechanics.shell import press
from panelmech.mechanics.shell_model import SUPPORTED, FramedSheet, point_force

ON_EDGE = 0.05  # a square of a twentieth of the side or less may lie this close to an edge: more error, and told


def drawn(seed):
    """(sheet, load, whether the square is small and beside an edge)."""
    rng = np.random.default_rng(seed)

    def between(low, high):
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    length, aspect = between(0.05, 0.6), between(0.4, 10.0)
    rise = rng.choice([0.0, 0.02, 0.1, 0.2]) * rng.uniform(0.3, 1.0)
    modulus, poisson, along_span, shear, stretch = GRAINS[rng.integers(len(GRAINS))]
    width, thickness = length * aspect, between(3e-4, min(6e-3, 0.04 * length))
    curvature = None if rise == 0.0 else 3 * rise / length
    sheet = FramedSheet(length, width, thickness, modulus, poisson, curvature, SUPPORTED, along_span, shear, stretch)
    side = min(length, width) * between(0.01, 0.5)
    x, y = (side / 2 + rng.uniform() * (s - side) for s in (length, width))
    if rng.uniform() < 0.25:
        x = y = None
    near = min(1.0 if place is None else min(place, s - place) / s for place, s in ((x, length), (y, width)))
    return sheet, point_force(1.0, x, y, footprint=side), near < ON_EDGE and side < ON_EDGE * min(length, width)


def navier(sheet, load, x, y):
    """Deflection on the grid of x and y, of sines alpha and beta along x and y; u and v are eliminated term by term."""
    r, kappa, sides = sheet.ratios, sheet.curvature_values[0], (sheet.length, sheet.width)
    places = [s / 2 if place is None else place for place, s in zip((load.x, load.y), sides, strict=True)]
    waves = [np.arange(1, int(max(300, 60 * s / min(sides)))) * np.pi / s for s in sides]
    across, along = (
        np.sin(k * place) * np.sinc(k * load.footprint / 2 / np.pi) for k, place in zip(waves, places, strict=True)
    )
    a, b = waves[0][:, None], waves[1][None, :]
    uu, vv, uv = r.a11 * a**2 + r.a66 * b**2, r.a22 * b**2 + r.a66 * a**2, (r.a12 + r.a66) * a * b
    u, v = r.a11 * a, r.a12 * b
    stretch = r.a11 - (u * (vv * u - uv * v) + v * (uu * v - uv * u)) / (uu * vv - uv**2)
    bending = a**4 + (2 * r.d12 + 4 * r.d66) * a**2 * b**2 + r.d22 * b**4
    w = np.outer(across, along) / (bending + 12 / sheet.thickness**2 * kappa**2 * stretch)
    scale = 4 * load.size / (sheet.length * sheet.width * sheet.bending_stiffness)
    return scale * np.sin(np.outer(x, waves[0])) @ w @ np.sin(np.outer(waves[1], y))


@by_day("seed", range(60), 4, 5)
def test_a_force_on_a_square_is_within_its_stated_error(seed):
    """Everywhere on the sheet, as a share of the largest deflection, and that within 1e-3."""
    sheet, load, beside_edge = drawn(seed)
    found = press(sheet, load)
    at = found.largest_at
    x, y = (
        np.append(np.linspace(0, s, 21)[1:-1], place) for s, place in zip((sheet.length, sheet.width), at, strict=True)
    )
    exact = navier(sheet, load, x, y)
    largest = abs(exact[-1, -1])
    assert np.abs(found.deflection(x[:, None], y) - exact).max() < found.error * largest
    assert abs(found.largest_deflection) == pytest.approx(largest, rel=found.error)
    assert found.error < (3e-3 if beside_edge else 1e-3)
