"""Panels of Gauss-Legendre nodes: exact for polynomials, extremes against a fine sampling and against calculus."""

import numpy as np
import pytest

from panelmech.mechanics.collocation import panels

ROUNDING = 1e-13


def places(grid):
    """Place of every node along the row of panels, each one long."""
    return grid.panel + grid.local


@pytest.mark.parametrize(("order", "count"), [(6, 1), (8, 3)])
def test_integrals_of_polynomials_are_exact(order, count):
    """Of a polynomial as high as the nodes resolve, over all, over the first panel and up to each node; and of one that
    jumps from panel to panel, by its pieces."""
    grid = panels(order, count)
    x = places(grid)
    assert x.shape == (order * count,) and np.all(np.diff(x) > 0) and 0 < x[0] < x[-1] < count
    whole = np.polynomial.Polynomial(np.linspace(1.0, -2.0, order))
    integral = whole.integ()
    scale = np.abs(integral(count)) + 1.0
    assert grid.running @ whole(x) == pytest.approx(integral(x) - integral(0), abs=ROUNDING * scale)
    assert grid.total @ whole(x) == pytest.approx(integral(count) - integral(0), abs=ROUNDING * scale)
    assert grid.first @ whole(x) == pytest.approx(integral(1) - integral(0), abs=ROUNDING * scale)
    steps = 1.0 + grid.panel
    assert grid.running @ steps == pytest.approx(grid.panel * (grid.panel + 1) / 2 + steps * grid.local, rel=ROUNDING)


def test_values_between_the_nodes_and_what_the_nodes_do_not_resolve():
    grid = panels(8, 2)
    wave = np.polynomial.Polynomial([0.3, -1.0, 0.5, 2.0, -1.5])
    values = wave(places(grid))
    for panel in (0, 1):
        local = np.array([0.0, 0.37, 1.0])
        assert grid.at(values, panel, local) == pytest.approx(wave(panel + local), rel=1e-12)
    assert grid.tail(values) < 1e-14 and grid.tail(0.0 * values) == 0.0
    legendre = np.polynomial.legendre.Legendre
    local = 2 * grid.local - 1
    for n, share in ((7, 0.25), (6, 0.5), (5, 0.0)):  # the last two of the eight count, on either panel
        assert grid.tail(legendre([2.0])(local) - 2 * share * legendre.basis(n)(local)) == pytest.approx(
            share, abs=1e-14
        )
        here = np.where(grid.panel == 1, legendre.basis(n)(local), 1.0)
        assert grid.tail(here) == pytest.approx(float(n > 5), abs=1e-14)


def test_extremes_are_found_between_the_samples_with_their_sign():
    """Peaks at known places: in the middle of a panel, off every sample; a trough deeper than the peak; the ends, where
    the slope is not zero; nothing at all. Error below 1e-9 of the largest value, as promised."""
    grid = panels(14, 3)
    x = places(grid)
    rows = {
        "peak": (2.5 - (x - 1.4321) ** 2, 2.5, 1.4321),
        "trough": ((x - 0.7071) ** 2 * 0.25 - 2.0, -2.0, 0.7071),
        "trough beats peak": (np.sin(2.0 * x + 0.6) - 0.2, -1.2, (1.5 * np.pi - 0.6) / 2),
        "start": (3.0 - x, 3.0, 0.0),
        "end": (-1.0 - x**2, -10.0, 3.0),
        "steep end": (np.exp(x), np.exp(3.0), 3.0),
        "on a border": (2.0 - np.abs(x - 2.0), 2.0, 2.0),
    }
    value, panel, local = grid.extremes(np.array([row for row, _, _ in rows.values()]))
    for i, (name, (row, expected, place)) in enumerate(rows.items()):
        assert value[i] == pytest.approx(expected, rel=1e-9), name
        assert panel[i] + local[i] == pytest.approx(place, abs=2e-5), name  # a flat top: root of 1e-9
        assert 0.0 <= local[i] <= 1.0 and value[i] == pytest.approx(float(grid.at(row, panel[i], local[i])), rel=1e-9)
    assert grid.extremes(np.zeros((1, x.size)))[0] == [0.0]


def test_extremes_of_many_waves_are_those_of_a_fine_sampling():
    """Random smooth rows: never below the largest of 4001 samples a panel, and no more above it than half a step on the
    sharpest curve allows."""
    rng = np.random.default_rng(5)
    grid = panels(12, 2)
    coefficients = rng.normal(size=(60, 7)) / (1 + np.arange(7))
    wave = lambda where: np.polynomial.chebyshev.chebval(where - 1.0, coefficients.T)  # noqa: E731
    value, *_ = grid.extremes(wave(places(grid)))
    fine = wave(np.linspace(0.0, 2.0, 8001))
    largest = fine[np.arange(60), np.argmax(np.abs(fine), axis=1)]
    second = np.abs(np.polynomial.chebyshev.chebval(np.linspace(-1, 1, 101),
                    np.polynomial.chebyshev.chebder(coefficients.T, 2))).max(axis=1)  # fmt: skip
    above = np.abs(value) - np.abs(largest)
    assert np.all(np.sign(value) == np.sign(largest))
    assert np.all(above > -1e-9 * np.abs(largest)) and np.all(
        above < second * (2.0 / 8000) ** 2 / 8 + 1e-9 * np.abs(largest)
    )


def test_too_few_nodes_are_refused():
    assert panels(6).order == 6
    with pytest.raises(ValueError, match="nodes a panel"):
        panels(5)
