"""Fields over the framed sheet, of plain polynomials: slopes, greatest values, strains and moments by hand."""

from types import SimpleNamespace

import numpy as np
import pytest
from numpy.polynomial import legendre

from panelmech.mechanics.shell_fields import (
    Field,
    added,
    bending_moments,
    difference,
    face_strains,
    find_largest,
    largest_on_grid,
    largest_principal,
    strain_peak,
)
from panelmech.mechanics.shell_model import CURVATURE_NODES

LENGTH, WIDTH, THICKNESS = 0.2, 0.5, 0.002


def field(along, across, length=LENGTH, width=WIDTH):
    """The product of two polynomials, of shares from -1 to 1 of the sides, lowest power first."""
    return Field(np.outer(legendre.poly2leg(along), legendre.poly2leg(across)), length, width)


def sheet(curvature=lambda share: 0.0 * share):
    """One whose curvature along x is this function of the share from -1 to 1."""
    nodes = np.polynomial.legendre.leggauss(CURVATURE_NODES)[0]
    ratios = SimpleNamespace(d12=0.25, d22=0.5, d66=0.4)
    given = dict(length=LENGTH, width=WIDTH, thickness=THICKNESS, bending_stiffness=12.0, ratios=ratios)
    return SimpleNamespace(**given, curvature_values=curvature(nodes))


NOTHING = Field(np.zeros((3, 3)), LENGTH, WIDTH)


def test_values_and_slopes_of_a_product_of_powers():
    """(1 + 2 xi) eta^2 and what its slopes are by x and y, with xi = 2 x / L - 1: at x = 0.15 and y = 0.1 m."""
    one = field([1.0, 2.0], [0.0, 0.0, 1.0])
    x, y, xi, eta = 0.15, 0.1, 0.5, -0.6
    assert one(x, y) == pytest.approx((1.0 + 2.0 * xi) * eta**2, rel=1e-13)
    assert one.derivative(1)(x, y) == pytest.approx(2.0 * eta**2 * 10.0, rel=1e-13)
    assert one.derivative(0, 1)(x, y) == pytest.approx((1.0 + 2.0 * xi) * 2.0 * eta * 4.0, rel=1e-13)
    assert one.derivative(1, 2)(x, y) == pytest.approx(2.0 * 2.0 * 10.0 * 16.0, rel=1e-13)
    assert np.array_equal(one.derivative().coefficients, one.coefficients)
    rows = one(np.array([[0.0], [0.2]]), np.array([0.0, 0.25, 0.5]))
    assert rows == pytest.approx(np.array([[-1.0, 0.0, -1.0], [3.0, 0.0, 3.0]]), abs=1e-13)


def test_sums_of_series_of_different_degrees():
    first, second = field([0.0, 1.0], [1.0]), field([1.0], [0.0, 0.0, 3.0])
    assert difference(first, second)(0.15, 0.1) == pytest.approx(0.5 - 3.0 * 0.36, rel=1e-13)
    total = added(first.coefficients, second.coefficients, second.coefficients)
    assert Field(total, LENGTH, WIDTH)(0.15, 0.1) == pytest.approx(0.5 + 6.0 * 0.36, rel=1e-13)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("xi", "eta"), [(0.3, -0.45), (-0.8, 0.1)])
def test_the_greatest_value_lies_where_a_bowl_turns(xi, eta, sign):
    """Of 2 - (xi - a)^2 times 3 - (eta - b)^2: flat at the top, so the place is known to the root of what the value
    is; on the grid alone it is a little less."""
    one = field([2.0 - xi**2, 2.0 * xi, -1.0], [sign * (3.0 - eta**2), sign * 2.0 * eta, -sign])
    value, x, y = find_largest(one)
    assert value == pytest.approx(6.0 * sign, rel=1e-9)
    assert (x, y) == pytest.approx((0.1 * (1.0 + xi), 0.25 * (1.0 + eta)), abs=1e-4 * LENGTH)
    assert 5.0 < largest_on_grid(one) < 6.0
    assert isinstance(largest_on_grid(one), float)


@pytest.mark.parametrize(
    ("corner", "place"), [((1.0, 1.0), (0.2, 0.5)), ((-1.0, 1.0), (0.0, 0.5)), ((1.0, -1.0), (0.2, 0.0))]
)
def test_the_greatest_value_may_lie_at_a_corner(corner, place):
    one = field([2.0, corner[0]], [3.0, corner[1]])
    assert find_largest(one) == pytest.approx((12.0, *place), rel=1e-12, abs=1e-12)
    assert largest_on_grid(one) == pytest.approx(12.0, rel=1e-12)


def test_principal_strains_by_mohrs_circle():
    """3 and 1 with gamma 0: 3; -3 and 1: -3; pure shear of gamma 2: 1 either way; 5 and -1 with gamma 8: 2 + 5."""
    strain = np.array([[3.0, 1.0, 0.0], [-3.0, 1.0, 0.0], [0.0, 0.0, 2.0], [5.0, -1.0, 8.0], [-5.0, 1.0, 8.0]]).T
    assert largest_principal(strain) == pytest.approx([3.0, -3.0, 1.0, 7.0, -7.0], rel=1e-14)


def test_membrane_strain_of_displacements_and_of_a_curved_sheet():
    """u = x y, v = x + 2 y: y; 2; x + 1. The curvature 3 + 5 xi and a deflection of 0.01 m take (3 + 5 xi) 0.01 off
    along x: at x = 0.15 and y = 0.1 m."""
    u = field([0.1, 0.1], [0.25, 0.25])
    v = Field(added(field([0.1, 0.1], [1.0]).coefficients, field([1.0], [0.5, 0.5]).coefficients), LENGTH, WIDTH)
    flat, bent = sheet(), sheet(lambda share: 3.0 + 5.0 * share)
    up = field([0.01], [1.0])
    membrane, bending = face_strains(flat, (u, v, up, NOTHING), 0.15, 0.1)
    assert membrane == pytest.approx([0.1, 2.0, 1.15], rel=1e-12) and bending == pytest.approx([0.0] * 3, abs=1e-14)
    membrane, _ = face_strains(bent, (u, v, up, NOTHING), np.array([0.15, 0.05]), np.array([0.1, 0.1]))
    assert membrane[0] == pytest.approx([0.1 - 0.055, 0.1 - 0.005], rel=1e-12)
    assert membrane[1:] == pytest.approx(np.array([[2.0, 2.0], [1.15, 1.05]]), rel=1e-12)


# w = x^2 (y + 1) / 2 + 3 y^2: curvatures y + 1, 6 and twist x
W = Field(
    np.add(
        np.pad(field([0.005, 0.01, 0.005], [1.25, 0.25]).coefficients, [(0, 0), (0, 1)]),
        np.pad(field([3.0 * 0.25**2], [1.0, 2.0, 1.0]).coefficients, [(0, 2), (0, 0)]),
    ),
    LENGTH,
    WIDTH,
)


def test_bending_strain_of_the_outer_face_and_moments():
    """-t/2 times the curvatures and -t times the twist; -D (w,xx + d12 w,yy), -D (d22 w,yy + d12 w,xx), -2 D d66 w,xy:
    at x = 0.15 and y = 0.1 m, where these are 1.1, 6 and 0.15 per metre."""
    assert W(0.15, 0.1) == pytest.approx(0.15**2 * 1.1 / 2.0 + 0.03, rel=1e-12)
    membrane, bending = face_strains(sheet(), (NOTHING, NOTHING, NOTHING, W), 0.15, 0.1)
    assert membrane == pytest.approx([0.0] * 3, abs=1e-14)
    assert bending == pytest.approx([-1.1e-3, -6e-3, -0.3e-3], rel=1e-11)
    moments = bending_moments(sheet(), W, 0.15, 0.1)
    assert moments == pytest.approx((-12.0 * 2.6, -12.0 * (3.0 + 0.275), -24.0 * 0.4 * 0.15), rel=1e-11)


@pytest.mark.parametrize(
    ("kind", "value", "y"),
    [("membrane", 0.009, 0.5), ("bending", -0.008, 0.0), ("outer_face", -0.008, 0.0), ("inner_face", 0.013, 0.5)],
)
def test_the_largest_strain_of_each_kind(kind, value, y):
    """Across: 0.018 y of the membrane, -0.008 (1 - y) of the outer face, of v = 0.009 y^2 and w = 4 y^2 - 4 y^3 / 3."""
    v = field([1.0], 0.009 * 0.25**2 * np.array([1.0, 2.0, 1.0]))
    square, cube = 4.0 * 0.25**2 * np.array([1.0, 2.0, 1.0, 0.0]), 4.0 / 3.0 * 0.25**3 * np.array([1.0, 3.0, 3.0, 1.0])
    peak = strain_peak(sheet(), (NOTHING, v, NOTHING, field([1.0], square - cube)), kind)
    assert (peak.value, peak.y) == pytest.approx((value, y), rel=1e-10, abs=1e-12)
    assert peak.membrane == pytest.approx((0.0, 0.018 * y, 0.0), rel=1e-10, abs=1e-14)
    assert peak.bending == pytest.approx((0.0, -0.008 * (1.0 - y), 0.0), rel=1e-10, abs=1e-14)


def test_the_largest_strain_counts_the_curvature_where_it_is():
    """An even deflection of 0.01 m of a sheet whose curvature grows along x, from -2 to 8: least of all at the end."""
    peak = strain_peak(
        sheet(lambda share: 3.0 + 5.0 * share), (NOTHING, NOTHING, field([0.01], [1.0]), NOTHING), "membrane"
    )
    assert (peak.value, peak.x) == pytest.approx((-0.08, LENGTH), rel=1e-10)
