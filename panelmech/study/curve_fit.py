"""Implicit curves with a name, and how far points lie from them: the workings of `study.named_curves`.

All lengths over the arclength of the piece of curve, all curves in their own axes (u, v): they start at the origin
along u and bend towards v. A conic that does so is A u^2 + 2 B u v + C v^2 = 2 v, and A, B, C name it:

    circle     B = 0, C = A          parabola   A C = B^2
    ellipse    A C > B^2             hyperbola  A C < B^2

The small-angle cubic is v = a u^2 + b u^3: any d (3 xi^2 - xi^3)/2 with xi = u/l. Where a curve may lie freely, its
start is shifted across and turned; the cubic, which changes its form when its axes are turned, may then lean as well
(v = m u + a u^2 + b u^3), so that each can be put anywhere and turned any way.

Distances are along the normal of the curve, by Newton's method for the foot of the perpendicular; signed, positive
towards v. Derived here; the conic's axes follow from the eigenvectors of its matrix (any textbook).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

PLACES = ("land", "free")
CONICS = ("circle", "parabola", "ellipse", "hyperbola")
KINDS = (*CONICS, "small-angle cubic")
SHAPES = {
    "circle": 1,
    "parabola": 2,
    "ellipse": 3,
    "hyperbola": 3,
    "small-angle cubic": 2,
    "fixed ellipse": 2,
    "conic": 3,
}  # numbers that make the shape, without its place
_FOOT_STEPS = 5
_STEP = 1e-30  # complex step: no cancellation


@dataclass(frozen=True, eq=False)
class Piece:
    """Points of the curve to be named: `s`, `x`, `y` from its start, along the land, over its arclength; their `angle`;
    weights of the stations `w`, of sum 1; `rise`, y at the end."""

    s: np.ndarray
    x: np.ndarray
    y: np.ndarray
    angle: np.ndarray
    w: np.ndarray
    rise: float


@dataclass(frozen=True, eq=False)
class Trial:
    """A curve fitted to a `Piece`: its `kind`, its numbers `p`, the weighted `rms` distance, and whether all feet lie
    on one stretch of it (`whole`)."""

    kind: str
    p: np.ndarray
    rms: float
    whole: bool


def conic_numbers(kind, p, rise, stretch=None):
    """A, B, C of a conic from its shape numbers. Both A and C are scaled by the rise, so that shallow curves are named
    as well as deep ones."""
    a, b = p[0], p[1] if kind != "circle" else 0.0
    if kind == "circle":
        c = a * rise**2
    elif kind == "conic":
        c = p[2]
    else:
        q = {"parabola": 0.0, "fixed ellipse": stretch**2 if stretch else 0.0}.get(kind)
        q = p[2] ** 2 if q is None else q
        c = (b * b + (-q if kind == "hyperbola" else q)) / a
    return a * rise, b, c / rise


def local(piece, kind, p):
    """Points of the piece in the curve's own axes: u, v."""
    place = p[SHAPES[kind] :]
    if len(place) < 2:
        return piece.x, piece.y
    shift, turn = place[:2] * piece.rise
    s, c = np.sin(turn), np.cos(turn)
    return c * piece.x + s * (piece.y - shift), c * (piece.y - shift) - s * piece.x


def implicit(kind, p, rise, stretch=None):
    """The curve F(u, v) = 0: a function of u, v that gives F, its gradient and its second derivatives. The gradient
    points away from v."""
    if kind == "small-angle cubic":
        a, b = p[0] * rise, p[1] * rise
        lean = p[4] * rise if len(p) > 4 else 0.0

        def cubic(u, v):
            return (
                u * (lean + u * (a + b * u)) - v,
                lean + u * (2.0 * a + 3.0 * b * u),
                -1.0,
                2.0 * a + 6.0 * b * u,
                0.0,
                0.0,
            )

        return cubic
    a, b, c = conic_numbers(kind, p, rise, stretch)

    def conic(u, v):
        gu, gv = a * u + b * v, b * u + c * v
        return 0.5 * (gu * u + gv * v) - v, gu, gv - 1.0, a, b, c

    return conic


def feet(curve, u, v):
    """Feet of the perpendiculars from points to a curve, and the signed distances, positive towards v.

    Newton's method on F = 0 and (point - foot) along the gradient, after two steps straight down the gradient.
    """
    fu, fv = u, v
    with np.errstate(all="ignore"):
        for step in range(_FOOT_STEPS):
            f, gu, gv, huu, huv, hvv = curve(fu, fv)
            if step < 2:
                move = f / (gu * gu + gv * gv)
                fu, fv = fu - move * gu, fv - move * gv
                continue
            across = (u - fu) * gv - (v - fv) * gu
            a = -gv + (u - fu) * huv - (v - fv) * huu
            b = gu + (u - fu) * hvv - (v - fv) * huv
            det = gu * b - gv * a
            fu, fv = fu - (f * b - across * gv) / det, fv - (gu * across - a * f) / det
        f, gu, gv, *_ = curve(fu, fv)
        return fu, fv, -((u - fu) * gu + (v - fv) * gv) / np.hypot(gu, gv)


def distances(piece, kind, p, stretch=None):
    """Signed distances of the points from the curve, over the arclength."""
    return feet(implicit(kind, p, piece.rise, stretch), *local(piece, kind, p))[2]


def fit(piece, kind, starts, stretch=None) -> Trial:
    """Best of the least-squares fits from several starts (Levenberg-Marquardt), by weighted rms distance."""
    root = np.sqrt(piece.w) / piece.rise

    def miss(p):
        d = root * distances(piece, kind, p, stretch)
        return np.where(np.isfinite(d), d, 1.0)

    def slopes(p):
        table = root[:, None] * _slopes(piece, kind, p, stretch)
        return np.where(np.isfinite(table), table, 0.0)

    best = None
    for start in starts:
        p = least_squares(miss, start, slopes, method="lm", xtol=1e-10, ftol=1e-14, gtol=1e-14, max_nfev=200).x
        d = distances(piece, kind, p, stretch)
        if not np.all(np.isfinite(d)):
            continue
        trial = Trial(kind, p, float(np.sqrt(np.sum(piece.w * d * d))), _whole(piece, kind, p, stretch))
        if best is None or (trial.whole, -trial.rms) > (best.whole, -best.rms):
            best = trial
    return best


def _slopes(piece, kind, p, stretch):
    """Derivatives of the distances by the numbers, (stations, numbers): a foot moves along the curve, so only F there
    and the move of the point count. By complex steps."""
    fu, fv, _ = feet(implicit(kind, p, piece.rise, stretch), *local(piece, kind, p))
    _, gu, gv, *_ = implicit(kind, p, piece.rise, stretch)(fu, fv)
    size = np.hypot(gu, gv)
    out = np.empty((len(fu), len(p)))
    for i in range(len(p)):
        moved = p + 1j * _STEP * (np.arange(len(p)) == i)
        u, v = (1j * np.imag(w) for w in local(piece, kind, moved))
        out[:, i] = -np.imag(implicit(kind, moved, piece.rise, stretch)(fu + u, fv + v)[0]) / (_STEP * size)
    return out


def _whole(piece, kind, p, stretch):
    """True if the feet follow one another along one branch: the gradient stays away from the inside of the bend."""
    curve, (u, v) = implicit(kind, p, piece.rise, stretch), local(piece, kind, p)
    fu, fv, _ = feet(curve, u, v)
    _, gu, gv, *_ = curve(fu, fv)
    turn = p[SHAPES[kind] + 1] * piece.rise if len(p) > SHAPES[kind] else 0.0
    angle = piece.angle - turn
    return bool(np.all(np.sin(angle) * gu - np.cos(angle) * gv > 0.0))


def axes(numbers):
    """Of a conic A, B, C: eigenvalues (falling size), their unit vectors in columns, and its centre."""
    a, b, c = numbers
    values, vectors = np.linalg.eigh([[a, b], [b, c]])
    order = np.argsort(-np.abs(values))
    with np.errstate(divide="ignore", invalid="ignore"):
        centre = np.array([-b, a]) / (a * c - b * b)
    return values[order], vectors[:, order], centre


def axis_ratio(numbers):
    """Minor over major axis of an ellipse [-]; near 0 it is close to a parabola wherever that is close to it."""
    values, *_ = axes(numbers)
    return float(np.sqrt(values[1] / values[0]))
