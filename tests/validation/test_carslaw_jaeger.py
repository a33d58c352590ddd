"""Conduction without heat of cure against the series solutions for slab, cylinder and sphere.

Carslaw H.S. and Jaeger J.C. (1959) Conduction of Heat in Solids, 2nd ed., Oxford: slab with faces held at zero (3.3),
slab losing heat through a film (3.11), cylinder (7.6), sphere (9.3); section numbers and series from memory, each
series summed here.
"""

from functools import partial

import numpy as np
import pytest

from panelmech.published.heat import TIME, film_series, series
from panelmech.shop.conduction import COLD, INSULATED, Face, Layer, build_grid, march


def still(rise, cure):
    return np.zeros_like(cure)


def cooled(cells, power=0, top=COLD, tolerance=1e-9):
    """Rise at the cells' middles at TIME, from one all over; half thickness or radius 1, all constants 1."""
    grid = build_grid(1.0, 1.0, 1.0, INSULATED, top, power=power, cells=cells)
    return grid.middle[0], march(grid, still, 0.0, 1.0, TIME, tolerance).rise[-1, 0]


CASES = {
    "slab, faces held": (0, COLD, partial(series, "slab")),
    "slab, film of Biot number 2": (0, Face(2.0), partial(film_series, biot=2.0)),
    "cylinder": (1, COLD, partial(series, "cylinder")),
    "sphere": (2, COLD, partial(series, "sphere")),
}


@pytest.mark.parametrize("case", CASES)
def test_series(case):
    """161 cells: the largest difference is measured as 0.5e-5 (film) to 1.2e-5 (slab), the scheme's own (next test)."""
    power, top, exact = CASES[case]
    x, rise = cooled(161, power, top)
    assert np.abs(rise - exact(x)).max() < 1.5e-5


@pytest.mark.parametrize("case", CASES)
def test_error_falls_with_the_square_of_the_cell_width(case):
    power, top, exact = CASES[case]
    errors = []
    for cells in (20, 40, 80):
        x, rise = cooled(cells, power, top)
        errors.append(np.sqrt(np.mean((rise - exact(x)) ** 2)))
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders == pytest.approx(2.0, abs=0.1)


def test_steady_heat_through_layers_is_resistances_in_series():
    """Constant heat q in a layer between an insulated face and an inert layer with a film: the face of the layer is
    q L (t/k + 1/h) above the shop, its bottom q L^2 / (2 k) more (plain arithmetic)."""
    q, deep, k, layer, h = 2000.0, 0.02, 0.2, Layer(0.004, 0.3, 500.0, 1000.0), 10.0
    grid = build_grid(deep, k, 2e6, INSULATED, Face(h, (layer,)), cells=80)
    done = march(grid, lambda rise, cure: np.full_like(cure, 1e-6), q * 1e6, 0.0, 4e5, 1e-8)
    outside = q * deep * (layer.thickness / layer.conductivity + 1.0 / h)
    x = grid.middle[0, grid.curing]
    expected = outside + q * (deep**2 - x**2) / (2.0 * k)
    shift = q * (deep / 80) ** 2 / (8.0 * k)  # of half a cell without source at the face: 8e-5 K, all along
    assert done.rise[-1, 0, grid.curing] - expected == pytest.approx(shift, rel=1e-3)
    assert abs(done.heat_error[0]) < 1e-10
