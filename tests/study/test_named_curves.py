"""Named curves fitted to the bent sheet, with a second road by scipy and a general conic."""

from functools import lru_cache

import numpy as np
import pytest
from scipy.optimize import least_squares

from panelmech.mechanics.bend import solve_bend
from panelmech.study import named_curves as cf
from panelmech.study.named_curves import curve_words, fit_named_curves, nearest

BENDS = {d: solve_bend(0.225, 0.002, d, 0.3e-3, 0.003) for d in (0.018, 0.06, 0.1)}


@lru_cache
def fits(diameter, placed="land", to="contact"):
    return fit_named_curves(BENDS[diameter], to, placed)


def by_name(found):
    return {f.name: f for f in found}


def piece_of(x, y):
    """A piece of curve given by many points along x, over its arclength, evenly weighted along it."""
    ds = np.hypot(np.diff(x), np.diff(y))
    s = np.concatenate([[0.0], np.cumsum(ds)])
    w = np.concatenate([ds, [0.0]]) + np.concatenate([[0.0], ds])
    return cf.Piece(s / s[-1], x / s[-1], y / s[-1], np.arctan(np.gradient(y, x)), w / w.sum(), y[-1] / s[-1])


# --- the second road: a general conic, distances along the sheet's own normal, from several starts


def conic_road(bend, placed, seeds=6):
    """rms distance and discriminant B^2 - A C of the best general conic, from several starts.

    Gauss's stations, other ones; the distance is the root of a quadratic along the sheet's normal, which differs from
    that along the conic's by the square of the angle between them.
    """
    nodes, shares = np.polynomial.legendre.leggauss(120)
    s = 0.5 * bend.contact_arclength * (nodes + 1)
    x, y = bend.outline(s)
    y = y - bend.outline(2)[1][0]
    scale = bend.contact_arclength
    angle = bend.tangent_angle(s)
    px, py = x / scale, y / y[-1]  # conics stay conics when one axis is stretched
    nx, ny = -np.sin(angle) / scale, np.cos(angle) / y[-1]

    def off(q):
        if placed == "land":
            q = np.array([q[0], q[1], q[2], 0.0, -1.0, 0.0])
        else:
            q = np.array([q[0], q[1], q[2], q[3], -1.0, q[4]])
        a = q[0] * nx**2 + q[1] * nx * ny + q[2] * ny**2
        b = 2 * q[0] * px * nx + q[1] * (px * ny + py * nx) + 2 * q[2] * py * ny + q[3] * nx + q[4] * ny
        c = q[0] * px**2 + q[1] * px * py + q[2] * py**2 + q[3] * px + q[4] * py + q[5]
        root = np.sqrt(np.maximum(b * b - 4 * a * c, 0))
        return -2 * c / (b - root) * np.sqrt(0.5 * shares)  # b < 0: the near root

    rng, best = np.random.default_rng(3), (np.inf, 0.0)
    start = np.array([1.5, -0.5, 0.3] if placed == "land" else [1.5, -0.5, 0.3, 0.0, 0.0])
    for _ in range(seeds):
        found = least_squares(
            off, start * (1 + 0.5 * rng.standard_normal(len(start))), method="lm", xtol=1e-15, ftol=1e-15, max_nfev=5000
        )
        rms = np.sqrt(np.sum(found.fun**2))
        if np.isfinite(rms) and rms < best[0]:
            best = rms, found.x[1] ** 2 - 4 * found.x[0] * found.x[2]
    return best


@pytest.mark.parametrize("placed", cf.PLACES)
@pytest.mark.parametrize("diameter", BENDS)
def test_best_general_conic_is_the_hyperbola(diameter, placed):
    """Another misfit, another solver, other starts, no kind of conic asked for: the same distance, and a hyperbola.

    Tolerance: half the square of the largest angle between the curves, and 1e-6 for where the solvers stop.
    """
    rms, discriminant = conic_road(BENDS[diameter], placed)
    ours = by_name(fits(diameter, placed))["hyperbola"]
    assert discriminant > 0 and ours.exists
    angle = np.arctan(np.gradient(ours.y, ours.x)) - BENDS[diameter].tangent_angle(ours.arclength)
    assert np.max(np.abs(angle)) < 0.05
    assert ours.rms == pytest.approx(rms, rel=0.5 * np.max(angle**2) + 1e-6)


@pytest.mark.parametrize("placed", cf.PLACES)
@pytest.mark.parametrize("diameter", BENDS)
def test_no_best_ellipse(diameter, placed):
    """The search for the best ellipse falls all the way and ends at the parabola."""
    found = by_name(fits(diameter, placed))
    ellipse, parabola = found["ellipse"], found["parabola"]
    rms = np.array([r for _, r in ellipse.search])
    assert not ellipse.exists and ellipse.parameters == {} and "no best ellipse" in ellipse.note
    assert len(rms) >= 8 and np.all(np.diff(rms) < 0)
    assert rms[-1] == pytest.approx(parabola.rms, rel=2e-3) and rms[-1] > parabola.rms == ellipse.rms


def test_order_of_the_fits():
    """More freedom is never worse; conics nest: circle, parabola, hyperbola."""
    for diameter in BENDS:
        land, free = (by_name(fits(diameter, p)) for p in cf.PLACES)
        for found in (land, free):
            assert found["circle"].rms > found["parabola"].rms > found["hyperbola"].rms
        assert all(free[k].rms <= land[k].rms for k in cf.KINDS)
        assert [land[k].freedoms for k in cf.KINDS] == [1, 2, 3, 3, 2]
        assert [free[k].freedoms for k in cf.KINDS] == [3, 4, 5, 5, 5]


def test_slender_bend_is_nearest_to_the_cubic_and_of_conics_to_the_hyperbola():
    best = nearest(fits(0.018, "land"))
    assert best.name == "small-angle cubic" and best.largest_deviation < 2e-6
    words = curve_words(fits(0.018, "land"))
    assert any("hyperbola" in w for w in words) and any("rectangular elastica" in w for w in words)
    assert any("no best ellipse" in w for w in words)


def test_strong_bend_is_nearest_to_the_hyperbola():
    """From a contact angle of about 21 degrees the cubic's own error has overtaken the hyperbola's."""
    assert nearest(fits(0.1, "land")).name == "hyperbola"
    assert nearest(fits(0.06, "land")).name == "small-angle cubic"


def test_circle_in_plain_arithmetic():
    """One number: the largest deviation and its place, again from all distances to a circle of that radius."""
    circle = by_name(fits(0.06, "land"))["circle"]
    bend, radius = BENDS[0.06], circle.parameters["radius"]
    x, y = bend.outline(circle.arclength)
    off = radius - np.hypot(x - circle.parameters["centre_x"], y - circle.parameters["centre_y"])
    assert circle.parameters["centre_y"] == pytest.approx(y[0] + radius, rel=1e-12)
    assert circle.deviation == pytest.approx(off, abs=1e-12)
    assert circle.largest_deviation == pytest.approx(np.max(np.abs(off)), rel=1e-9)
    assert circle.where == circle.arclength[np.argmax(np.abs(off))]


@pytest.mark.parametrize("placed", cf.PLACES)
def test_parameters_describe_the_fitted_curve(placed):
    """Points of each fit put into the textbook equation of its parameters."""
    found = by_name(fits(0.06, placed))

    def own(fit, name):
        p = fit.parameters
        x, y = fit.x - p[f"{name}_x"], fit.y - p[f"{name}_y"]
        c, s = np.cos(p["axis_angle"]), np.sin(p["axis_angle"])
        return c * x + s * y, c * y - s * x

    along, across = own(found["parabola"], "vertex")
    assert across**2 == pytest.approx(np.abs(4 * found["parabola"].parameters["focal_length"] * along), abs=1e-12)
    along, across = own(found["hyperbola"], "centre")
    p = found["hyperbola"].parameters
    assert (along / p["semi_transverse"]) ** 2 - (across / p["semi_conjugate"]) ** 2 == pytest.approx(
        np.ones(along.size), abs=1e-9
    )
    if placed == "land":
        cubic = found["small-angle cubic"]
        line = cubic.parameters["square"] * cubic.x**2 + cubic.parameters["cube"] * cubic.x**3
        assert cubic.y - BENDS[0.06].outline(2)[1][0] == pytest.approx(line, abs=1e-12)


def test_small_angle_cubic_as_the_formula_has_it():
    """A slender part gives back 3 d/(2 s_c^2) and -d/(2 s_c^3), d = R - g/2; error about the angle squared."""
    bend = solve_bend(0.225, 0.0005, 0.004)
    cubic = by_name(fit_named_curves(bend))["small-angle cubic"]
    d, s = 0.002, bend.contact_arclength
    assert cubic.parameters["square"] == pytest.approx(1.5 * d / s**2, rel=1e-3)
    assert cubic.parameters["cube"] == pytest.approx(-0.5 * d / s**3, rel=1e-3)
    assert "without a fit" in cubic.note


@pytest.mark.parametrize("kind", ["ellipse", "hyperbola", "parabola", "circle"])
def test_a_true_conic_is_found_again(kind):
    """Points of a known curve: its numbers come back, and it is told from its neighbours."""
    x = np.linspace(0, 1, 400)
    a, b, c = {
        "circle": (0.5, 0, 0.5),
        "parabola": (0.6, -0.3, 0.15),
        "ellipse": (0.6, 0.2, 0.5),
        "hyperbola": (0.6, -0.4, -0.3),
    }[kind]
    y = ((1 - b * x) - np.sqrt((1 - b * x) ** 2 - a * c * x * x)) / c
    piece = piece_of(x, y)
    best = cf.fit(piece, "conic", [(2.0, -0.3, 0.3), (2.0, 0.1, 0.0)])
    length = np.sum(np.hypot(np.diff(x), np.diff(y)))
    assert np.array(cf.conic_numbers("conic", best.p, piece.rise)) / length == pytest.approx((a, b, c), abs=1e-6)
    own = cf.fit(piece, kind, [(2.0, -0.3, 0.5)[: cf.SHAPES[kind]]])
    assert own.rms < 1e-9 and own.whole
    if kind == "ellipse":
        assert cf.fit(piece, "parabola", [(2.0, -0.3)]).rms > 1e-5


def test_front_edge_brings_in_the_straight_part():
    front, contact = (by_name(fits(0.06, "land", end)) for end in ("front", "contact"))
    assert front["parabola"].arclength[-1] == pytest.approx(0.225)
    assert front["hyperbola"].largest_deviation > contact["hyperbola"].largest_deviation


def test_scale():
    """All lengths twice: deviations twice, the same verdict."""
    part = np.array([0.225, 0.002, 0.06, 0.3e-3, 0.003])
    one, two = (by_name(fit_named_curves(solve_bend(*(k * part)))) for k in (1, 2))
    for kind in cf.KINDS:
        assert two[kind].rms == pytest.approx(2 * one[kind].rms, rel=1e-6)


def test_refusals():
    with pytest.raises(ValueError, match="contact, front"):
        fit_named_curves(BENDS[0.06], to="rod")
    with pytest.raises(ValueError, match="land, free"):
        fit_named_curves(BENDS[0.06], placed="anywhere")
    with pytest.raises(ValueError, match="one bend"):
        fit_named_curves(solve_bend(0.225, 0.002, np.array([0.02, 0.03])))
