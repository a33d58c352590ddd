"""The framed sheet: exact cases (Navier series, long-bay limits), identities, convergence, words and refusals."""

from dataclasses import replace

import numpy as np
import pytest
import scipy
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.polynomial import Polynomial

from panelmech.mechanics import press_both_ways
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.ritz_bases import bending_basis, in_plane_basis, product_integral
from panelmech.mechanics.shell import buckle, default_degrees, press
from panelmech.mechanics.shell_model import (
    SUPPORTED,
    Edge,
    Edges,
    FramedSheet,
    curvature_stations,
    even_pressure,
    framed_edges,
    framed_sheet,
    hydrostatic_along_chord,
    hydrostatic_along_span,
    point_force,
    stiffness_ratios,
)
from panelmech.mechanics.shell_ritz import _terms, displaced, function_sets, order, stiffness
from panelmech.study.shell_comparison import compare_sheet, wedge_free_length

E, NU = 20e9, 0.3


def linear_curvature(length, rise):
    """Curvature of a sheet bent at a small angle over a rod of half height `rise`: largest at the land."""
    return lambda x: 3 * rise / length**2 * (1 - x / length)


def bent(length=0.2, width=0.6, thickness=0.002, rise=0.015, **edges):
    return FramedSheet(length, width, thickness, E, NU, linear_curvature(length, rise), framed_edges(**edges))


def panel(spacer=0.02, thickness=0.0025, span=0.6, free_length=0.25, **edges):
    bend = solve_bend(free_length, thickness, spacer, 0.0005, 0.002)
    return framed_sheet(bend, span, 0.02, E, NU, framed_edges(**edges))


def navier(sheet, terms=399):
    """Amplitudes for even unit pressure, supported and diaphragm edges and uniform curvature; then alpha, beta.

    w_mn = q_mn/(D (a2 + b2)^2 + E t k^2 b2^2/(a2 + b2)^2), the double series for a shallow
    cylindrical shell with its generators along y (Timoshenko and Woinowsky-Krieger, ch. 15).
    """
    m = np.arange(1, terms, 2)
    alpha, beta = m * np.pi / sheet.length, m * np.pi / sheet.width
    a2, b2 = np.meshgrid(alpha**2, beta**2, indexing="ij")
    kappa = sheet.curvature_values[0]
    below = (
        sheet.bending_stiffness * (a2 + b2) ** 2 + sheet.modulus * sheet.thickness * kappa**2 * b2**2 / (a2 + b2) ** 2
    )
    return 16 / np.pi**2 / np.outer(m, m) / below, alpha, beta


# --- exact cases -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "kappa"), [(0.1, 4.0), (0.2, 1.0), (0.6, 3.0), (1.0, 0.5)])
def test_uniform_curvature_matches_the_navier_series(width, kappa):
    sheet = FramedSheet(0.2, width, 0.002, E, NU, kappa, SUPPORTED)
    result = press(sheet, even_pressure(1.0), (20, 36))
    w, alpha, beta = navier(sheet)
    x, y = np.meshgrid([0.03, 0.1, 0.17], [0.08 * width, 0.3 * width, 0.5 * width])
    exact = np.einsum("mxy,mn,nxy->xy", np.sin(np.multiply.outer(alpha, x)), w, np.sin(np.multiply.outer(beta, y)))
    # series cut at 200 odd terms: its tail falls like 1/m^5, below 1e-8 of the middle
    assert result.deflection(x, y) == pytest.approx(exact, rel=1e-6)
    assert result.error < 1e-5  # the coarser model's: an upper estimate


@pytest.mark.parametrize(("width", "kappa"), [(0.1, 4.0), (0.2, 1.0), (0.6, 3.0), (1.0, 0.5)])
def test_critical_compression_of_uniform_curvature_is_exact(width, kappa):
    """N = min over m, n of [D (a2 + b2)^2 + E t k^2 b2^2/(a2 + b2)^2]/b2, from the same series."""
    sheet = FramedSheet(0.2, width, 0.002, E, NU, kappa, SUPPORTED)
    a2, b2 = np.meshgrid((np.arange(1, 6) * np.pi / 0.2) ** 2, (np.arange(1, 40) * np.pi / width) ** 2, indexing="ij")
    loads = (sheet.bending_stiffness * (a2 + b2) ** 2 + E * 0.002 * kappa**2 * b2**2 / (a2 + b2) ** 2) / b2
    result = buckle(sheet, (18, 36))
    assert result.line_load == pytest.approx(loads.min(), rel=1e-8)
    assert result.half_waves == np.unravel_index(loads.argmin(), loads.shape)[1] + 1
    assert result.next_line_load == pytest.approx(np.sort(loads, axis=None)[1], rel=1e-6)
    assert result.stress == pytest.approx(result.line_load / 0.002, rel=1e-14)
    assert result.symmetric == (result.half_waves % 2 == 1)


def long_bay_strip(sheet, held):
    """Deflection of an endlessly long bay under unit pressure: a strip clamped at the land, supported at the rod.

    D w'''' = 1 + kappa N with N = 0 where the edges draw in, N = -(C/a) integral of kappa w where they are held.
    """
    a, d = sheet.length, sheet.bending_stiffness
    kappa = Polynomial([sheet.curvature(0.0), -sheet.curvature(0.0) / a])

    def solve(load):
        part = (load / d).integ(4)
        matrix = [[a**2, a**3], [2, 6 * a]]
        c2, c3 = np.linalg.solve(matrix, [-part(a), -part.deriv(2)(a)])
        return part + Polynomial([0, 0, c2, c3])

    w0, w1 = solve(Polynomial([1.0])), solve(kappa)
    i0, i1 = ((kappa * w).integ()(a) for w in (w0, w1))
    c = sheet.modulus * sheet.thickness / (1 - sheet.poisson**2) / a
    force = -c * i0 / (1 + c * i1) if held else 0.0
    return lambda x: w0(x) + force * w1(x)


@pytest.mark.parametrize("in_plane", ["diaphragm", "held"])
def test_a_long_bay_is_a_strip_or_an_arch(in_plane):
    """Held edges make an arch, edges that draw in a flat strip: two exact limits of the in-plane choice.

    The frames' influence dies out slowly along a curved sheet, so the bay is very long.
    """
    sheet = bent(0.2, 6.0, 0.004, 0.015, in_plane=in_plane)
    result = press(sheet, even_pressure(1.0), (16, 60))
    x = np.linspace(0.02, 0.18, 9)
    exact = long_bay_strip(sheet, in_plane == "held")(x)
    assert result.deflection(x, 3.0) == pytest.approx(exact, rel=1e-5)  # five times the error stated
    assert result.error < 2e-6
    assert long_bay_strip(sheet, True)(0.1) < 0.55 * long_bay_strip(sheet, False)(0.1)  # the two limits differ


# --- identities --------------------------------------------------------------------------------------------------


def test_water_deep_at_either_end_adds_up_to_even_pressure():
    sheet, at = bent(), (np.array([0.05, 0.12]), np.array([0.1, 0.25]))
    even = press(sheet, even_pressure(800.0)).deflection(*at)
    for make, ends in ((hydrostatic_along_chord, ("land", "rod")), (hydrostatic_along_span, ("near", "far"))):
        total = sum(press(sheet, make(800.0, end)).deflection(*at) for end in ends)
        assert total == pytest.approx(even, rel=1e-10)


def test_maxwell_reciprocity_of_two_places():
    """Exact of a Galerkin solution at the same degrees, which the sharp parts need not have: within their errors."""
    sheet, a, b = bent(in_plane="held"), (0.06, 0.15), (0.12, 0.33)
    one, other = (press(sheet, point_force(1.0, *place)) for place in (a, b))
    within = one.error * one.largest_deflection + other.error * other.largest_deflection
    assert abs(one.deflection(*b) - other.deflection(*a)) < within < 1e-3 * one.largest_deflection


def test_a_footprint_is_the_mean_of_its_quarters():
    sheet, degrees, far = bent(), (14, 20), (0.15, 0.5)
    deflections = [
        float(press(sheet, point_force(3.0, 0.08 + x, 0.2 + y, footprint=side), degrees).deflection(*far))
        for x, y, side in ((0.0, 0.0, 0.02), *((0.005 * i, 0.005 * j, 0.01) for i in (-1, 1) for j in (-1, 1)))
    ]
    # far away the sharp part is converged, so the quarters add up as they do for the work on each function
    assert deflections[0] == pytest.approx(np.mean(deflections[1:]), rel=1e-7)


def test_the_load_changes_sign_and_scale_with_the_answer():
    one, other = press(bent(), even_pressure(1.0)), press(bent(), even_pressure(-250.0))
    assert other.largest_deflection == pytest.approx(-250 * one.largest_deflection, rel=1e-12)
    assert other.outer_face.value == pytest.approx(-250 * one.outer_face.value, rel=1e-9)


@settings(max_examples=25)
@given(scale=st.floats(0.2, 5.0), kappa=st.floats(0.0, 3.0), aspect=st.floats(0.4, 4.0), poisson=st.floats(0.0, 0.45))
def test_scale(scale, kappa, aspect, poisson):
    """All lengths times c at the same pressure and modulus: deflection times c, N times c, strain unchanged."""
    small = FramedSheet(0.2, 0.2 * aspect, 0.002, E, poisson, kappa, framed_edges(in_plane="held"))
    large = FramedSheet(
        0.2 * scale, 0.2 * aspect * scale, 0.002 * scale, E, poisson, kappa / scale, framed_edges(in_plane="held")
    )
    p, q = (press(s, even_pressure(1.0), (10, 12)) for s in (small, large))
    assert q.largest_deflection == pytest.approx(scale * p.largest_deflection, rel=1e-7)
    assert q.outer_face.value == pytest.approx(p.outer_face.value, rel=1e-5)
    assert buckle(large, (10, 12)).line_load == pytest.approx(scale * buckle(small, (10, 12)).line_load, rel=1e-7)


def test_curvature_as_function_samples_or_number_is_the_same_sheet():
    function = linear_curvature(0.2, 0.015)
    sheets = [bent(), replace(bent(), curvature=function(curvature_stations(0.2)))]
    assert press(sheets[1]).largest_deflection == press(sheets[0]).largest_deflection
    uniform = [replace(bent(), curvature=k) for k in (2.0, lambda x: 2.0 + 0 * x)]
    assert press(uniform[1]).largest_deflection == press(uniform[0]).largest_deflection
    assert replace(bent(), curvature=0.0).is_flat


def whole(matrix):
    """A matrix of blocks, written out."""
    n = range(len(matrix.diagonal))
    zeros = [[np.zeros((len(matrix.diagonal[i]), len(matrix.diagonal[j]))) for j in n] for i in n]
    for i, block in enumerate(matrix.diagonal):
        zeros[i][i] = block
    for i, block in enumerate(matrix.below):
        zeros[i + 1][i], zeros[i][i + 1] = block, block.T
    return np.block(zeros)


def test_the_parity_families_are_the_whole():
    """Solved in one piece, without symmetry, as one full matrix, the sheet gives the same lowest load as the two
    halves in blocks."""
    sheet, degrees = bent(in_plane="held"), (12, 18)
    sets = function_sets(sheet.edges, degrees, "all")
    across, along = (product_integral(f, k, f, k) for f, k in ((sets[2].along_x, 0), (sets[2].along_y, 1)))
    placed = order(sets, (0, 1, 2))
    work, rows = np.zeros((placed.size.sum(),) * 2), placed.rows[2]
    work[np.ix_(rows.ravel(), rows.ravel())] = np.kron(across, along) * sheet.length / sheet.width
    lowest = 1 / scipy.linalg.eigh(work, whole(stiffness(sheet, sets)), eigvals_only=True)[-1]
    assert buckle(sheet, degrees).line_load == pytest.approx(lowest * sheet.bending_stiffness, rel=1e-9)


UNLIKE = Edges(Edge("clamped", "held"), Edge("free", "free"), Edge("supported", "diaphragm"), Edge("clamped", "free"))
SOME = [(framed_edges(), (14, 30)), (framed_edges(in_plane="held"), (10, 101)), (UNLIKE, (9, 26)), (UNLIKE, (12, 9))]


@pytest.mark.parametrize(("edges", "degrees"), SOME)
@pytest.mark.parametrize("curved", [True, False])
def test_the_blocks_left_out_are_zero(edges, degrees, curved):
    """The matrix in blocks is the sum of the terms of the energy with nothing left out."""
    sheet = replace(bent(rise=0.04), edges=edges, span_modulus=9e9, shear_modulus=3e9)
    sheet = sheet if curved else sheet.flat()
    for parity in ("even", "odd") if edges.mirror else ("all",):
        sets = function_sets(edges, degrees, parity)
        placed = order(sets, (0, 1, 2) if curved else (2,))
        found, full = whole(stiffness(sheet, sets)), np.zeros((placed.size.sum(),) * 2)
        for (one, two), parts in _terms(sheet, sets).items():
            rows, columns = placed.rows[one].ravel(), placed.rows[two].ravel()
            full[np.ix_(rows, columns)] = sum(np.kron(x, y) for x, y in parts)
            full[np.ix_(columns, rows)] = full[np.ix_(rows, columns)].T
        size = np.sqrt(np.outer(full.diagonal(), full.diagonal()))
        assert np.abs((found - full) / size).max() < 1e-11  # integrals that are zero come out as rounding
        work = np.random.default_rng(1).standard_normal(placed.rows[2].shape)
        right = np.zeros(len(full))
        right[placed.rows[2]] = work
        answer = np.linalg.solve(full, right)[placed.rows[2]]
        series = displaced(sheet, work, degrees, parity)[2]
        assert series == pytest.approx(sets[2].series(answer), rel=1e-6, abs=1e-8 * np.abs(series).max())


def test_unlike_frames_are_mirrored_when_swapped():
    stiff, soft = Edge("clamped", "held"), Edge("supported", "diaphragm")
    ends = [Edges(near_frame=stiff, far_frame=soft), Edges(near_frame=soft, far_frame=stiff)]
    one, other = (press(replace(bent(), edges=e)) for e in ends)
    assert one.largest_deflection == pytest.approx(other.largest_deflection, rel=1e-9)
    assert one.largest_at[1] == pytest.approx(0.6 - other.largest_at[1], rel=1e-5)
    loads = [buckle(replace(bent(), edges=e)) for e in ends]
    assert loads[0].line_load == pytest.approx(loads[1].line_load, rel=1e-9)
    assert loads[0].symmetric is None


# --- grain --------------------------------------------------------------------------------------------------------


def test_an_even_sheet_may_be_given_by_its_moduli():
    """Span and shear modulus of an even sheet written out: the same numbers, to rounding."""
    plain = bent(in_plane="held")
    full = replace(plain, span_modulus=E, shear_modulus=E / (2 * (1 + NU)))
    assert full.bending_stiffness == pytest.approx(plain.bending_stiffness, rel=1e-14)
    for load in (even_pressure(), point_force(3.0, 0.06)):
        one, other = press(plain, load), press(full, load)
        assert other.largest_deflection == pytest.approx(one.largest_deflection, rel=1e-10)
        assert other.outer_face.value == pytest.approx(one.outer_face.value, rel=1e-8)
        assert np.array(other.moments(0.05, 0.2)) == pytest.approx(np.array(one.moments(0.05, 0.2)), rel=1e-8)
    assert buckle(full).line_load == pytest.approx(buckle(plain).line_load, rel=1e-10)
    assert default_degrees(full) == default_degrees(plain)


def test_a_flat_sheet_turned_by_a_right_angle_is_the_same_sheet():
    """Chord and span change places, and Poisson's ratio becomes that of the other direction."""
    one, two, nu, shear = 30e9, 8e9, 0.3, 3e9
    edges = Edges(Edge("clamped"), Edge("supported"), Edge("clamped"), Edge("free", "free"))
    turned = Edges(Edge("clamped"), Edge("free", "free"), Edge("clamped"), Edge("supported"))
    sheet = FramedSheet(0.2, 0.3, 0.002, one, nu, None, edges, two, shear)
    other = FramedSheet(0.3, 0.2, 0.002, two, nu * two / one, None, turned, one, shear)
    degrees = (16, 20)
    for load, same in ((even_pressure(), even_pressure()), (point_force(2.0, 0.05, 0.2), point_force(2.0, 0.2, 0.05))):
        p, q = press(sheet, load, degrees), press(other, same, degrees[::-1])
        assert float(q.deflection(0.12, 0.07)) == pytest.approx(float(p.deflection(0.07, 0.12)), rel=1e-7)
        m_x, m_y, m_xy = p.moments(0.07, 0.12)
        assert q.moments(0.12, 0.07) == pytest.approx((m_y, m_x, m_xy), rel=1e-5)


def test_moments_of_a_sheet_with_a_grain_carry_the_load():
    """M_x,xx + 2 M_xy,xy + M_y,yy = -q, by second differences of a converged solution."""
    sheet = FramedSheet(0.2, 0.25, 0.002, 30e9, 0.3, None, framed_edges(frames="clamped"), 8e9, 3e9)
    result, h, x, y = press(sheet, even_pressure(100.0), (26, 30)), 4e-3, 0.11, 0.1
    (m_x, m_y, m_xy) = (
        {(i, j): result.moments(x + i * h, y + j * h)[k] for i in (-1, 0, 1) for j in (-1, 0, 1)} for k in range(3)
    )
    total = (
        m_x[1, 0]
        - 2 * m_x[0, 0]
        + m_x[-1, 0]
        + m_y[0, 1]
        - 2 * m_y[0, 0]
        + m_y[0, -1]
        + (m_xy[1, 1] - m_xy[1, -1] - m_xy[-1, 1] + m_xy[-1, -1]) / 2
    ) / h**2
    assert total == pytest.approx(-100.0, rel=5e-3)  # truncation of the differences


@pytest.mark.parametrize(
    "grain",
    [
        (38e9, 0.28, 9e9, 3.6e9, None),
        (16.5e9, 0.05, 1.03e9, 0.62e9, (10.7e9, 6.8e9)),
        (1.03e9, 0.05, 16.5e9, 0.62e9, (6.8e9, 10.7e9)),
    ],
)
@pytest.mark.parametrize("in_plane", ["diaphragm", "held"])
def test_default_degrees_are_enough_for_a_grain(grain, in_plane):
    """Measured on eight kinds of grain and five panels: deflection within 1e-5, critical compression within 3e-5."""
    modulus, poisson, span, shear, stretch = grain
    sheet = replace(
        panel(0.07, 0.0015, in_plane=in_plane),
        modulus=modulus,
        poisson=poisson,
        span_modulus=span,
        shear_modulus=shear,
        stretch_moduli=stretch,
    )
    fine = tuple(d + more for d, more in zip(default_degrees(sheet), (6, 10), strict=True))
    result, reference = press(sheet), press(sheet, None, fine)
    assert result.largest_deflection == pytest.approx(reference.largest_deflection, rel=1e-5)
    assert abs(result.largest_deflection / reference.largest_deflection - 1) < result.error
    load, best = buckle(sheet), buckle(sheet, fine)
    assert load.line_load == pytest.approx(best.line_load, rel=3e-5)
    assert abs(load.line_load / best.line_load - 1) < 3 * load.error + 1e-9


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"span_modulus": 8e9}, "without its shear modulus"),
        ({"stretch_moduli": (9e9, 8e9)}, "without its shear modulus"),
        ({"shear_modulus": 0.0}, "shear_modulus.*a positive number"),
        ({"span_modulus": np.inf, "shear_modulus": 3e9}, "span_modulus.*a positive number"),
        ({"shear_modulus": 3e9, "stretch_moduli": (9e9, -1.0)}, "stretch_moduli.*positive numbers"),
        (
            {"span_modulus": 240e9, "shear_modulus": 3e9},
            "0.3: give less than 0.288, .* of 20 GPa along the chord over 240 GPa along the span",
        ),
        ({"span_modulus": 20e9, "shear_modulus": 3e9, "poisson": 1.0}, "is 1: give less than 1, the square root"),
        (
            {"shear_modulus": 3e9, "stretch_moduli": (2e9, 30e9)},
            "0.258, the square root of 2 GPa along the chord over 30 GPa along the span in tension",
        ),
    ],
)
def test_moduli_no_sheet_can_have_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        replace(bent(), **change)


def test_stiffness_in_plain_arithmetic():
    """E 20 and 5 GPa, nu12 0.4, so nu21 0.1 and 1 - nu12 nu21 = 0.96: Q 20.8333, 5.20833, 2.08333, 3 GPa."""
    r = stiffness_ratios(20e9, 0.4, 5e9, 3e9)
    assert (r.complement, r.d22, r.d12) == pytest.approx((0.96, 0.25, 0.1), rel=1e-14)
    assert (r.d66, r.a66) == pytest.approx((0.144, 0.144), rel=1e-14)
    assert (r.a11, r.a22, r.a12) == pytest.approx((1.0, 0.25, 0.1), rel=1e-14)
    even = stiffness_ratios(20e9, 0.3)
    assert (even.d22, even.a11, even.d12, even.d66) == (1.0, 1.0, 0.3, 0.35)
    assert stiffness_ratios(20e9, 0.7, 20e9, 15e9).d12 == 0.7  # a weave at a slant may narrow so much


# --- strain ------------------------------------------------------------------------------------------------------


def test_strain_is_the_derivative_of_the_displacements():
    result, h = press(bent(in_plane="held"), hydrostatic_along_span(1000.0)), 1e-6
    x, y, k = 0.07, 0.21, bent().curvature(0.07)
    u, v, w = result.along_chord, result.along_span, result.deflection
    slope = {
        "ux": (u(x + h, y) - u(x - h, y)) / 2 / h,
        "uy": (u(x, y + h) - u(x, y - h)) / 2 / h,
        "vx": (v(x + h, y) - v(x - h, y)) / 2 / h,
        "vy": (v(x, y + h) - v(x, y - h)) / 2 / h,
    }
    membrane, bending = result.strains(x, y)
    expected = [slope["ux"] - k * w(x, y), slope["vy"], slope["uy"] + slope["vx"]]
    assert membrane == pytest.approx(expected, rel=1e-6)
    h = 1e-4  # second differences: truncation h^2 against rounding/h^2
    second = (w(x + h, y) - 2 * w(x, y) + w(x - h, y)) / h**2
    assert bending[0] == pytest.approx(-0.001 * second, rel=1e-4)


def test_strain_peaks_are_nowhere_exceeded():
    result = press(bent(in_plane="held"), hydrostatic_along_chord(1000.0, "rod"))
    x, y = np.meshgrid(np.linspace(0, 0.2, 61), np.linspace(0, 0.6, 121))
    membrane, bending = result.strains(x, y)
    for peak, strain in (
        (result.outer_face, membrane + bending),
        (result.inner_face, membrane - bending),
        (result.membrane, membrane),
        (result.bending, bending),
    ):
        mean, half = (strain[0] + strain[1]) / 2, np.hypot((strain[0] - strain[1]) / 2, strain[2] / 2)
        largest = np.max(np.abs(mean) + half)
        assert abs(peak.value) >= largest * (1 - 1e-9)
        assert abs(peak.value) <= largest * 1.02  # and the grid comes close to it
    assert result.strain_error < 1e-2


def test_a_clamped_strip_has_the_strain_of_the_beam_table():
    """Long flat bay, clamped at the land: M = q a^2/8 there, strain 6 M (1 - nu^2)/(E t^2)."""
    sheet = FramedSheet(0.1, 1.0, 0.001, E, NU, edges=framed_edges())
    result = press(sheet, even_pressure(-100.0), (14, 40))
    exact = 6 * (100.0 * 0.1**2 / 8) * (1 - NU**2) / (E * 0.001**2)
    assert abs(result.outer_face.value) == pytest.approx(exact, rel=1e-3)  # flat to 1e-3: the short ends reach this far
    assert result.outer_face.x == pytest.approx(0.0, abs=1e-9)
    assert result.membrane.value == 0.0


# --- convergence -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("in_plane", ["diaphragm", "held"])
def test_errors_fall_steadily_with_the_degrees(in_plane):
    sheet = bent(0.2, 0.4, 0.002, 0.02, frames="clamped", in_plane=in_plane)

    def measured(degrees):
        """Mean deflection (the work of the pressure) and critical compression."""
        return np.array([press(sheet, None, degrees).deflection.coefficients[0, 0], buckle(sheet, degrees).line_load])

    best = measured((26, 40))
    low, high = np.array([measured(d) / best - 1 for d in ((6, 8), (8, 12), (10, 16), (12, 20))]).T
    # Ritz: the work comes up from below, the critical load down from above; spectral: at least a factor of 3 a step
    assert np.all(low < 0) and np.all(-low[1:] < -low[:-1] / 3)
    assert np.all(high > 0) and np.all(high[1:] < high[:-1] / 3)
    assert -low[-1] < 1e-5 and high[-1] < 1e-6


@pytest.mark.parametrize(
    "sheet",
    [
        bent(),
        bent(in_plane="held"),
        bent(0.2, 1.0, 0.002, 0.03, in_plane="held"),
        bent(0.1, 0.1, 0.001, 0.02),
        bent(0.3, 0.2, 0.0015, 0.06),
    ],
    ids=["slender", "held", "long", "square", "short"],
)
def test_default_degrees_are_enough_and_the_error_is_honest(sheet):
    fine = (26, default_degrees(sheet)[1] + 14)
    result, reference = press(sheet), press(sheet, None, fine)
    assert result.largest_deflection == pytest.approx(reference.largest_deflection, rel=1e-4)
    assert abs(result.largest_deflection / reference.largest_deflection - 1) < result.error
    for face in ("outer_face", "inner_face"):
        change = abs(getattr(result, face).value / getattr(reference, face).value) - 1
        assert abs(change) < result.strain_error < 0.05
    load, best = buckle(sheet), buckle(sheet, fine)
    assert load.line_load == pytest.approx(best.line_load, rel=2e-4)
    assert abs(load.line_load / best.line_load - 1) < 3 * load.error + 1e-6


@pytest.mark.parametrize("footprint", [0.004, 0.03])
def test_point_force_converges_to_within_its_stated_error(footprint):
    sheet, load = bent(0.2, 0.8, in_plane="held"), point_force(10.0, 0.08, footprint=footprint)
    result, reference = press(sheet, load), press(sheet, load, (32, 70))
    assert abs(result.largest_deflection / reference.largest_deflection - 1) < result.error
    assert result.error < 1e-3
    assert load.words() == f"force on a square of {1e3 * footprint:#.3g} mm"


# --- what is to be expected of bent against flat -----------------------------------------------------------------


SLENDER = [(0.02, 0.003, 0.6), (0.016, 0.0025, 0.9), (0.02, 0.0025, 1.2)]
STRONG = [(0.07, 0.0015, 0.6), (0.09, 0.002, 0.6), (0.1, 0.002, 0.25)]


def ratio(what, **edges):
    sheet = panel(**edges)
    return what(sheet) / what(sheet.flat())


def deflects(sheet, load=None):
    return press(sheet, load).largest_deflection


@pytest.mark.parametrize(("spacer", "thickness", "span"), SLENDER)
def test_slender_panels_lie_in_the_expected_ranges(spacer, thickness, span):
    """Bent over flat, derived: even pressure 0.76 to 1.02 (drawing in), 0.29 to 0.89 (held); critical load to 1.4."""
    size = {"spacer": spacer, "thickness": thickness, "span": span}
    assert 0.76 <= ratio(deflects, **size) <= 1.02
    assert 0.29 <= ratio(deflects, in_plane="held", **size) <= 0.89
    assert 0.79 <= ratio(lambda s: deflects(s, point_force(1.0)), **size) <= 0.98
    assert 1.05 <= ratio(lambda s: buckle(s).line_load, **size) <= 1.40


@pytest.mark.parametrize(("spacer", "thickness", "span"), STRONG)
def test_strongly_bent_panels_gain_much_more(spacer, thickness, span):
    size = {"spacer": spacer, "thickness": thickness, "span": span}
    assert 0.1 <= ratio(deflects, **size) <= 1.07
    assert ratio(lambda s: deflects(s, point_force(1.0)), **size) <= 0.62
    assert ratio(lambda s: buckle(s).line_load, **size) >= 2.0
    assert ratio(deflects, in_plane="held", **size) < ratio(deflects, **size)


def test_curvature_does_not_always_help_against_even_pressure():
    """A long bay whose edges draw in deflects *more* when curved; one that claims otherwise has not computed it."""
    assert 1.0 < ratio(deflects, spacer=0.02, thickness=0.003, span=1.2) < 1.07


def test_the_largest_deflection_is_searched_not_assumed():
    sheet = panel(spacer=0.07, thickness=0.0015, span=0.6)
    result = press(sheet)
    x, y = np.meshgrid(np.linspace(0, sheet.length, 81), np.linspace(0, sheet.width, 161))
    grid = np.abs(result.deflection(x, y)).max()
    assert abs(result.largest_deflection) >= grid * (1 - 1e-12)
    assert abs(result.largest_deflection) > 1.02 * abs(result.middle_deflection)
    off = press(panel(), point_force(5.0, x=0.03))
    assert off.largest_at[0] > 0.06  # not under the force


def test_flat_sheet_stiffness_follows_the_cube_of_thickness():
    """The trade's cube rule (common practice, no source) is exact for a flat sheet, and not for a curved one."""
    thick, thin = (replace(bent().flat(), thickness=t) for t in (0.0022, 0.002))
    cube = pytest.approx(1.1**3, rel=1e-9)
    assert press(thin).largest_deflection / press(thick).largest_deflection == cube
    assert buckle(thick).line_load / buckle(thin).line_load == cube
    curved = press_both_ways(bent(rise=0.04, in_plane="held"), 1.0, exponents=True)
    assert curved.exponents.thickness < 2.5


def test_narrowing_the_bay_stiffens_it_with_the_fourth_power_at_most():
    """A bay much narrower than long is a strip across: w ~ width^4; a bay much longer than wide does not care."""

    def power(length, width):
        sheet = FramedSheet(length, width, 0.001, E, NU, edges=SUPPORTED)
        return press_both_ways(sheet, 1.0, exponents=True).exponents.width

    assert power(1.0, 0.1) == pytest.approx(-4.0, abs=0.01)
    assert -2.5 < power(0.3, 0.3) < -1.5
    assert abs(power(0.1, 0.8)) < 0.02


# --- comparison --------------------------------------------------------------------------------------------------


def test_the_shares_multiply_and_mean_what_they_say():
    bend = solve_bend(0.25, 0.0025, 0.02, 0.0005, 0.002)
    sheet = framed_sheet(bend, 0.7, 0.02, E, NU)
    found = compare_sheet(sheet, even_pressure(500.0), wedge_free_length(bend))
    for shares in (*found.deflection, *found.critical):
        assert shares.curvature * shares.clamped_land * shares.free_length == pytest.approx(shares.whole, rel=1e-12)
    drawing_in, held = found.deflection
    assert (drawing_in.in_plane, held.in_plane) == ("diaphragm", "held")
    assert drawing_in.flat == held.flat  # a flat sheet does not feel the in-plane choice
    assert drawing_in.bent == press(sheet, even_pressure(500.0)).largest_deflection
    wedge = FramedSheet(found.wedge_length, 0.66, 0.0025, E, NU, edges=SUPPORTED)
    assert found.deflection[0].wedge == pytest.approx(press(wedge, even_pressure(500.0)).largest_deflection, rel=1e-9)
    assert found.critical[0].wedge == pytest.approx(buckle(wedge).line_load, rel=1e-9)
    assert found.edges[0] == sheet.edges.words() and found.error < 1e-3


def test_the_share_of_the_clamped_land_is_that_of_the_strip_in_a_long_bay():
    """Largest deflection q a^4/184.634 D clamped at one end against 5 q a^4/384 D: 0.4152 (classical beam)."""
    shares = compare_sheet(bent(0.1, 1.0, 0.002, 0.002), degrees=(16, 50)).deflection[0]
    assert shares.clamped_land == pytest.approx(384 / (5 * 184.634), rel=2e-3)  # a bay ten times longer than wide


def test_wedge_length_closes_the_triangle():
    bend = solve_bend(0.25, 0.002, 0.03, 0.0005, 0.002)
    s, reach = wedge_free_length(bend), 0.015 + 0.001
    angle = np.arccos((0.25 - s) / np.hypot(0.25 - s, reach))  # crude start for the angle below
    for _ in range(60):
        angle = np.arcsin(np.clip((reach * np.cos(angle) - 0.00125) / s, -1, 1))
    assert s == pytest.approx(0.25 - (0.002 + 0.015 * (1 + np.sin(angle))) / np.cos(angle), rel=1e-10)
    with pytest.raises(ValueError, match="too large for a flat wedge"):
        wedge_free_length(replace(bend, spacer_diameter=0.4))


# --- words and refusals ------------------------------------------------------------------------------------------


def test_frames_narrow_the_free_span():
    bend = solve_bend(0.25, 0.0025, 0.02)
    assert framed_sheet(bend, 0.6, 0.05, E, NU).width == pytest.approx(0.5)
    assert framed_sheet(bend, 0.6, 0.0, E, NU).length == bend.contact_arclength
    fit = "do not fit in a span of 600 mm: make each frame narrower than 300 mm"
    for width, words in ((0.3, fit), (0.4, fit), (-0.01, "give zero or more"), (float("nan"), "give zero or more")):
        with pytest.raises(ValueError, match=words):
            framed_sheet(bend, 0.6, width, E, NU)


def test_an_infeasible_bend_is_refused():
    bend = solve_bend(np.array([0.25]), 0.0025, np.array([0.4]))
    with pytest.raises(ValueError, match="cannot be framed"):
        framed_sheet(bend, 0.6, 0.02, E, NU)


@pytest.mark.parametrize(
    ("edges", "message"),
    [
        ({"land": "free", "rod": "free", "frames": "free"}, "mechanism in bending"),
        ({"land": "supported", "rod": "free", "frames": "free"}, "mechanism in bending"),
        ({"in_plane": "free"}, "mechanism in the plane"),
        ({"land": "glued"}, "give one of clamped, supported, free"),
        ({"in_plane": "loose"}, "give one of diaphragm, held, free"),
    ],
)
def test_edges_that_hold_nothing_are_refused(edges, message):
    with pytest.raises(ValueError, match=message):
        framed_edges(**edges)


def test_in_plane_mechanisms_are_told_from_sound_edges():
    loose = Edge("supported", "free")
    Edges(Edge("clamped", "held"), loose, loose, loose)  # one edge held both ways is enough
    with pytest.raises(ValueError, match="slide or turn"):
        Edges(Edge("clamped", "diaphragm"), loose, loose, loose)
    with pytest.raises(ValueError, match="slide or turn"):
        Edges(loose, loose, Edge(), Edge())  # both frames hold along x only: the sheet slides along the span


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"length": 0.0}, "length of a framed sheet"),
        ({"width": -1.0}, "width"),
        ({"thickness": float("nan")}, "thickness"),
        ({"modulus": np.ones(2)}, "modulus"),
        ({"poisson": 0.5}, "Poisson"),
        ({"curvature": [1.0, 2.0]}, "curvature_stations"),
        ({"curvature": lambda x: x / 0}, "finite"),
    ],
)
def test_impossible_sheets_are_refused(change, message):
    with np.errstate(all="ignore"), pytest.raises(ValueError, match=message):
        replace(bent(), **change)


def test_impossible_loads_are_refused():
    for make, message in (
        (lambda: press(bent(), point_force(1.0, x=0.3)), "does not lie on the free sheet"),
        (lambda: press(bent(), point_force(1.0, y=0.01, footprint=0.05)), "does not lie on"),
        (lambda: point_force(1.0, footprint=-0.1), "footprint"),
        (lambda: point_force(1.0, footprint=0.0), "footprint of a force.*give a positive"),
        (lambda: even_pressure(float("inf")), "finite"),
        (lambda: hydrostatic_along_chord(1.0, "far"), "give one of land, rod"),
        (lambda: hydrostatic_along_span(1.0, "rod"), "give one of near, far"),
    ):
        with pytest.raises(ValueError, match=message):
            make()


def test_the_edges_are_told_in_words():
    words = press(bent(frames="clamped", in_plane="held")).edges
    assert words.startswith("land clamped, rod supported, frames clamped")
    assert "held both ways" in words
    mixed = Edges(far_frame=Edge("clamped", "held")).words()
    assert "near frame supported, far frame clamped" in mixed and "far frame held both ways" in mixed


def test_doubtful_cases_carry_a_note():
    assert any("half the thickness" in n for n in press(bent(), even_pressure(1e5)).notes)
    assert any("forming" in n for n in press(bent()).notes)
    assert any("degrees" in n for n in bent(0.2, 0.3, 0.002, 0.12).notes())
    assert any("shear" in n for n in replace(bent(), thickness=0.03).notes())
    assert bent().flat().notes() == ()


def test_no_load_and_no_curvature_are_quiet():
    nothing = press(bent(), even_pressure(0.0))
    assert nothing.largest_deflection == 0.0 and nothing.error == 0.0
    assert buckle(bent().flat()).line_load < buckle(bent()).line_load


# --- one-dimensional functions -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("low", "high"), [("clamped", "supported"), ("free", "clamped"), ("free", "free")])
def test_bending_functions_meet_their_ends_and_no_more(low, high):
    basis = bending_basis(low, high, 9)
    missing = {"clamped": 2, "supported": 1, "free": 0}
    assert len(basis) == 10 - missing[low] - missing[high]  # every polynomial that fits is there
    assert np.linalg.matrix_rank(basis.coefficients) == len(basis)
    ends, h = basis.at([-1.0, 1.0]), 1e-7
    slopes = np.stack([basis.at([-1 + h]) - basis.at([-1]), basis.at([1]) - basis.at([1 - h])])[:, 0] / h
    for value, slope, how in zip(ends, slopes, (low, high), strict=True):
        assert (np.abs(value).max() < 1e-13) == (how != "free")
        assert (np.abs(slope).max() < 1e-5) == (how == "clamped")


def test_products_are_the_integrals_they_claim_to_be():
    w, u = bending_basis("clamped", "supported", 7, nodes=12), in_plane_basis(True, False, 6, nodes=12)
    stiff = product_integral(w, 2, w, 2)
    assert stiff == pytest.approx(np.eye(len(w)), abs=1e-12)  # second derivatives are scaled Legendre polynomials
    x = np.linspace(-1, 1, 200001)
    product = np.trapezoid(w.at(x)[:, 2] * np.gradient(u.at(x)[:, 1], x, edge_order=2), x)
    assert product_integral(w, 0, u, 1)[2, 1] == pytest.approx(product, rel=1e-7)


@pytest.mark.parametrize(("parity", "sign"), [("even", 1), ("odd", -1)])
def test_parity(parity, sign):
    for basis in (bending_basis("free", "free", 10, parity), in_plane_basis(True, True, 10, parity)):
        assert basis.at([0.3]) == pytest.approx(sign * basis.at([-0.3]), abs=1e-13)
    with pytest.raises(ValueError, match="same condition at both ends"):
        bending_basis("clamped", "supported", 10, parity)


def test_bases_refuse_nonsense():
    for call in (
        lambda: bending_basis("stuck", "free", 8),
        lambda: bending_basis("free", "free", 8, "both"),
        lambda: bending_basis("free", "free", 3),
    ):
        with pytest.raises(ValueError, match="give one of|give a whole number of at least 4"):
            call()
