"""Polynomial bases of the framed sheet: end conditions, what they span, scale, integrals; all by other means."""

import numpy as np
import pytest
from numpy.polynomial import legendre

from panelmech.mechanics.ritz_bases import (
    BENDING_ENDS,
    _cubic_ends,
    _once_integrated,
    _twice_integrated,
    bending_basis,
    in_plane_basis,
    product_integral,
    rows_below,
)

ENDS = [(low, high) for low in BENDING_ENDS for high in BENDING_ENDS]
FREE = [(False, False), (True, False), (False, True), (True, True)]
X = np.linspace(-1.0, 1.0, 9)


def slope(basis, points):
    """By complex steps."""
    return np.imag(basis.at(np.asarray(points) + 1e-30j)) / 1e-30


@pytest.mark.parametrize(("low", "high"), ENDS)
def test_a_deflection_meets_the_conditions_of_its_ends_and_no_more(low, high):
    """Value held unless free, slope held where clamped; of all polynomials these are as many as can be."""
    degree, basis = 7, bending_basis(low, high, 7)
    for i, end in enumerate((low, high)):
        values, slopes = basis.at([-1.0, 1.0])[i], slope(basis, [-1.0, 1.0])[i]
        assert (np.max(np.abs(values)) < 1e-12) == (end != "free")
        assert (np.max(np.abs(slopes)) < 1e-11) == (end == "clamped")
    held = sum({"clamped": 2, "supported": 1, "free": 0}[end] for end in (low, high))
    assert len(basis) == np.linalg.matrix_rank(basis.coefficients) == degree + 1 - held


@pytest.mark.parametrize(("low", "high"), FREE)
def test_a_displacement_in_the_plane_is_held_at_its_ends_or_not(low, high):
    degree, basis = 6, in_plane_basis(low, high, 6)
    for i, free in enumerate((low, high)):
        assert (np.max(np.abs(basis.at([-1.0, 1.0])[i])) > 1e-12) == free
    assert len(basis) == np.linalg.matrix_rank(basis.coefficients) == degree - 1 + low + high


def test_cubics_of_the_ends_in_plain_arithmetic():
    """(1 - x)^2 (2 + x) / 4 and (1 - x)^2 (1 + x) / 4 of the low end, mirrored of the high one."""
    low, high = _cubic_ends()
    at = lambda rows: legendre.legval(X, rows.T)  # noqa: E731
    assert at(low) == pytest.approx(np.stack([(1 - X) ** 2 * (2 + X) / 4, (1 - X) ** 2 * (1 + X) / 4]), abs=1e-14)
    assert at(high) == pytest.approx(np.stack([(1 + X) ** 2 * (2 - X) / 4, -((1 + X) ** 2) * (1 - X) / 4]), abs=1e-14)


@pytest.mark.parametrize("n", [2, 3, 7])
def test_integrals_of_legendre_polynomials_by_numpys(n):
    once = legendre.legint(np.eye(n + 1)[n], lbnd=-1.0)
    assert _once_integrated(n) == pytest.approx(once, abs=1e-15)
    assert _twice_integrated(n) == pytest.approx(legendre.legint(once, lbnd=-1.0), abs=1e-15)


@pytest.mark.parametrize(
    ("make", "ends", "order"), [(bending_basis, ("clamped", "clamped"), 2), (in_plane_basis, (False, False), 1)]
)
def test_what_the_ends_leave_out_has_unit_energy_each_and_none_together(make, ends, order):
    basis = make(*ends, 9)
    assert product_integral(basis, order, basis, order) == pytest.approx(np.eye(len(basis)), abs=1e-12)


def test_functions_without_energy_have_unit_size():
    """Of free ends: a push as a whole and a turn have no curvature, and no stretch the push."""
    bending, plane = bending_basis("free", "free", 5, "even"), in_plane_basis(True, True, 5, "even")
    for basis, order in ((bending, 2), (plane, 1)):
        assert product_integral(basis, order, basis, order)[0, 0] == pytest.approx(0.0, abs=1e-12)
        assert product_integral(basis, 0, basis, 0)[0, 0] == pytest.approx(1.0, rel=1e-12)
        assert np.ptp(basis.at(X)[:, 0]) < 1e-12 and basis.degrees[0] == 0


@pytest.mark.parametrize("make", [bending_basis, in_plane_basis])
@pytest.mark.parametrize("end", ["held", "free"])
def test_even_and_odd_functions_are_those_of_all_parted(make, end):
    ends = {bending_basis: {"held": "supported", "free": "free"}, in_plane_basis: {"held": False, "free": True}}[make]
    every, even, odd = (make(ends[end], ends[end], 8, parity) for parity in ("all", "even", "odd"))
    assert even.at(-X) == pytest.approx(even.at(X), abs=1e-12) and odd.at(-X) == pytest.approx(-odd.at(X), abs=1e-12)
    together = np.concatenate([even.coefficients, odd.coefficients])
    assert len(even) + len(odd) == len(every) == np.linalg.matrix_rank(together, tol=1e-9)
    assert np.linalg.matrix_rank(np.concatenate([together, every.coefficients]), tol=1e-9) == len(every)


@pytest.mark.parametrize("basis", [bending_basis("free", "supported", 6), in_plane_basis(True, False, 6)])
def test_kept_values_slopes_and_curvatures(basis):
    nodes = np.polynomial.legendre.leggauss(basis.nodes)[0]
    assert basis.nodes == 7 and basis.values.shape == (3, 7, len(basis))
    assert basis.values[0] == pytest.approx(basis.at(nodes), abs=1e-12)
    assert basis.values[1] == pytest.approx(slope(basis, nodes), abs=1e-11)
    curvature = (slope(basis, nodes + 1e-4) - slope(basis, nodes - 1e-4)) / 2e-4
    assert basis.values[2] == pytest.approx(curvature, abs=1e-5)  # of the step squared times the fourth derivative
    assert basis.at(0.3).shape == (1, len(basis))
    degrees = [np.flatnonzero(row)[-1] for row in basis.coefficients]
    assert basis.degrees.tolist() == degrees
    assert rows_below(basis, 4).tolist() == [d <= 4 for d in degrees] and sum(d == 4 for d in degrees) == 1


def test_integrals_of_products_by_a_finer_rule():
    first, second = bending_basis("clamped", "free", 7, nodes=20), in_plane_basis(True, False, 5, nodes=20)
    x, weights = np.polynomial.legendre.leggauss(40)
    expected = np.einsum("n,ni,nj->ij", weights, slope(first, x), second.at(x))
    assert product_integral(first, 1, second, 0) == pytest.approx(expected, abs=1e-12)


def test_what_is_no_basis_is_refused():
    with pytest.raises(ValueError, match="end"):
        bending_basis("glued", "free", 6)
    with pytest.raises(ValueError, match="parity"):
        in_plane_basis(True, True, 6, "both")
    with pytest.raises(ValueError, match="same condition at both ends"):
        bending_basis("clamped", "free", 6, "even")
    for make, ends in ((bending_basis, ("free", "free")), (in_plane_basis, (True, True))):
        assert make(*ends, 4).degrees.max() == 4
        with pytest.raises(ValueError, match="degree"):
            make(*ends, 3)
