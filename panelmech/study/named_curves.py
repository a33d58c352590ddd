"""Which curve with a name is nearest to the bent sheet? Circle, parabola, ellipse, hyperbola, small-angle cubic.

The exact curve is a piece of the rectangular elastica (`elastica`) and none of these. Each named curve is fitted by
least squares of the distances along its normal, evenly over the arclength of the mid-surface of the upper sheet. One
rule for all says what a fit may do:

    "land"  the curve starts at the land end, along the land; its size and, for conics, the turn of its axes are free
    "free"  the curve may lie anywhere and be turned any way

Under either rule ellipse and hyperbola have one number more than the parabola, which is the limit of both, so one of
the two is always at least as near as the parabola. Where the search for the best ellipse only ends at the parabola
there is no best ellipse; the record says so and keeps the search (the same for the hyperbola).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from ..mechanics.bend import Bend
from ..mechanics.numerics import gauss
from ..units import show

# ----- Implicit curves with a name, and how far points lie from them: the workings of `study.named_curves`.
#
# All lengths over the arclength of the piece of curve, all curves in their own axes (u, v): they start at the origin
# along u and bend towards v. A conic that does so is A u^2 + 2 B u v + C v^2 = 2 v, and A, B, C name it:
#
#     circle     B = 0, C = A          parabola   A C = B^2
#     ellipse    A C > B^2             hyperbola  A C < B^2
#
# The small-angle cubic is v = a u^2 + b u^3: any d (3 xi^2 - xi^3)/2 with xi = u/l. Where a curve may lie freely, its
# start is shifted across and turned; the cubic, which changes its form when its axes are turned, may then lean as well
# (v = m u + a u^2 + b u^3), so that each can be put anywhere and turned any way.
#
# Distances are along the normal of the curve, by Newton's method for the foot of the perpendicular; signed, positive
# towards v. Derived here; the conic's axes follow from the eigenvectors of its matrix (any textbook).


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
        p = scipy.optimize.least_squares(
            miss, start, slopes, method="lm", xtol=1e-10, ftol=1e-14, gtol=1e-14, max_nfev=200
        ).x
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


# ----- Which curve with a name is nearest to the bent sheet? Circle, parabola, ellipse, hyperbola, small-angle cubic.


ENDS = ("contact", "front")
STATIONS = 801
_NODES = 40
_STRETCHES = (3.0, 2.0, 1.5, 1.0, 0.7, 0.5, 0.3, 0.2, 0.1, 0.05, 0.02)  # of the ellipse search, towards the parabola
WHAT_IT_IS = "The true curve is a piece of the rectangular elastica, which is none of them."


@dataclass(frozen=True, eq=False)
class NamedFit:
    """One named curve. `exists`: False where the search only ends at the parabola; then the numbers are the
    parabola's, the limit. `freedoms`: numbers that were free in the fit. `largest_deviation` of the sheet along the
    normal [m], at arclength `where` [m]; `rms` over the arclength [m]. `parameters` by name, SI, in the axes of the
    section. `note` in words. `arclength`, `deviation` (positive away from the chord line), `x`, `y` of the fitted curve
    [m]: arrays of stations. `search`: pairs of (minor over major axis, rms [m]) of the best ellipse of each shape."""

    name: str
    exists: bool
    freedoms: int
    largest_deviation: float
    where: float
    rms: float
    parameters: dict
    note: str
    arclength: np.ndarray
    deviation: np.ndarray
    x: np.ndarray
    y: np.ndarray
    search: tuple = ()


def fit_named_curves(bend: Bend, to: str = "contact", placed: str = "land") -> tuple[NamedFit, ...]:
    """Best fit of each named curve to the bent sheet, in the order of `study.named_curves.KINDS`.

    Parameters
    ----------
    bend : Bend
        A single feasible one.
    to : str
        "contact": from the land end to the contact; "front": to the front edge, the straight part included.
    placed : str
        "land" or "free", see the module text.

    Raises
    ------
    ValueError
        An unknown word, arrays, or a bend that is not feasible.

    >>> from panelmech import solve_bend
    >>> from panelmech.units import show
    >>> fits = fit_named_curves(solve_bend(0.225, 0.002, 0.018))
    >>> [(fit.name, show(fit.largest_deviation, "mm", 2)) for fit in fits if fit.exists][:3]
    [('circle', '0.75 mm'), ('parabola', '0.093 mm'), ('hyperbola', '0.023 mm')]
    """
    if to not in ENDS or placed not in PLACES:
        raise ValueError(
            f"to is {to!r}, placed {placed!r}: give one of {', '.join(ENDS)} and one of {', '.join(PLACES)}"
        )
    if bend.shape != () or not bend.feasible:
        raise ValueError("named curves are fitted to one bend that is feasible, not to arrays")
    end = float(bend.contact_arclength if to == "contact" else bend.free_length)
    piece = _piece(bend, end)
    trials, search = _trials(piece, placed)
    fine = _stations(bend, end, np.linspace(0.0, 1.0, STATIONS), np.full(STATIONS, 1.0 / STATIONS))
    return tuple(_record(kind, trials, search, fine, bend, end) for kind in KINDS)


def nearest(fits) -> NamedFit:
    """The fit with the smallest rms distance among those that exist."""
    return min((f for f in fits if f.exists), key=lambda f: f.rms)


def curve_words(fits) -> tuple[str, ...]:
    """What the fits say of the trade's word "hyperbolic", for a builder.

    >>> from panelmech import solve_bend
    >>> curve_words(fit_named_curves(solve_bend(0.225, 0.002, 0.018)))[0]
    'Nearest of the named curves: small-angle cubic, 0.00072 mm off at most, 215 mm from the land end.'
    """
    by_name, best = {f.name: f for f in fits}, nearest(fits)
    conic = min((by_name[k] for k in CONICS if by_name[k].exists), key=lambda f: f.rms)
    off = f"{show(best.largest_deviation, 'mm', 2)} off at most, {show(best.where, 'mm', 3)} from the land end"
    words = [f"Nearest of the named curves: {best.name}, {off}."]
    if conic is not best:
        words.append(f"Nearest of the conics: {conic.name}, {show(conic.largest_deviation, 'mm', 2)} off at most.")
    verdict = "of the conics that is right" if conic.name == "hyperbola" else "that is not the nearest conic"
    words.append(f'The trade calls the curve "hyperbolic": {verdict}. {WHAT_IT_IS}')
    words += [f.note for f in fits if not f.exists]
    return tuple(words)


def _piece(bend, end):
    """Gauss stations, on both sides of the contact where the piece goes beyond it."""
    nodes, weights = gauss(_NODES)
    breaks = np.unique([0.0, min(1.0, float(bend.contact_arclength) / end), 1.0])
    half = 0.5 * np.diff(breaks)[:, None]
    share = (breaks[:-1, None] + half * (nodes + 1.0)).ravel()
    return _stations(bend, end, share, (half * weights).ravel())


def _stations(bend, end, share, weights):
    x, y = bend.outline(end * share)
    start = 0.5 * (bend.sheet_thickness + bend.bond_line)
    rise = float(bend.outline(np.array([end]))[1][0] - start) / end
    return Piece(share, x / end, (y - start) / end, bend.tangent_angle(end * share), weights, rise)


def _trials(piece, placed):
    """Best curve of each kind, and the ellipse search."""
    free = [] if placed == "land" else [0.0, 0.0]

    def best(kind, *shapes, **more):
        extra = free + [0.0] * (bool(free) and kind == "small-angle cubic")
        return fit(piece, kind, [[*shape, *extra] for shape in shapes], **more)

    out = {
        "circle": best("circle", (2.0,)),
        "small-angle cubic": best("small-angle cubic", (1.5, -0.5)),
        "parabola": best("parabola", (2.5, -0.5), (2.0, -0.1), (2.0, 0.5)),
    }
    near = tuple(out["parabola"].p[:2])
    for kind in ("ellipse", "hyperbola"):
        out[kind] = best(kind, (*near, 0.05), (*near, 1.0), (2.0, 0.1, 1.0))
    search, start = [], (2.0, 0.0)
    for stretch in _STRETCHES:
        trial = best("fixed ellipse", start, near, stretch=stretch)
        if trial is not None and trial.whole:
            start = tuple(trial.p[:2])
            search.append((axis_ratio(conic_numbers("fixed ellipse", trial.p, piece.rise, stretch)), trial.rms))
    return out, search


def _exists(kind, trials):
    """Whether a best ellipse or hyperbola is better than the parabola both end at, by more than rounding."""
    limit = trials["parabola"]
    trial = trials[kind]
    return kind not in ("ellipse", "hyperbola") or bool(trial.whole and trial.rms < limit.rms * (1.0 - 1e-6))


def _record(kind, trials, search, fine, bend, end):
    exists = _exists(kind, trials)
    trial = trials[kind if exists else "parabola"]
    p, curve = trial.p, implicit(trial.kind, trial.p, fine.rise)
    u, v = local(fine, trial.kind, p)
    fu, fv, off = feet(curve, u, v)
    x, y = _back(fu, fv, trial.kind, p, fine.rise)
    start = 0.5 * (bend.sheet_thickness + bend.bond_line)
    worst = int(np.argmax(np.abs(off)))
    found = tuple((ratio, rms * end) for ratio, rms in search) if kind == "ellipse" else ()
    parameters = _parameters(trial.kind, p, fine.rise, end, start) if exists else {}
    freedoms = len(trials[kind].p)
    note = _note(kind, exists, trials, found, bend, fine, end)
    return NamedFit(
        kind,
        exists,
        freedoms,
        float(abs(off[worst]) * end),
        float(fine.s[worst] * end),
        trial.rms * end,
        parameters,
        note,
        fine.s * end,
        off * end,
        x * end,
        start + y * end,
        found,
    )


def _back(u, v, kind, p, rise):
    """From the curve's own axes to those of the section, from the land end."""
    place = p[SHAPES[kind] :]
    shift, turn = place[:2] * rise if len(place) > 1 else (0.0, 0.0)
    s, c = np.sin(turn), np.cos(turn)
    return c * u - s * v, s * u + c * v + shift


def _parameters(kind, p, rise, end, start):
    """Parameters by name, SI, in the axes of the section."""
    if kind == "small-angle cubic":
        lean = {"lean": float(p[4] * rise), "axis_angle": float(p[3] * rise)} if len(p) > 2 else {}
        return {"square": float(p[0] * rise / end), "cube": float(p[1] * rise / end**2), **lean}
    values, vectors, centre = axes(conic_numbers(kind, p, rise))
    turn = float(p[SHAPES[kind] + 1] * rise) if len(p) > SHAPES[kind] else 0.0

    def place(name, point):
        x, y = _back(*point, kind, p, rise)
        return {f"{name}_x": float(x * end), f"{name}_y": float(start + y * end)}

    def direction(vector):
        return {"axis_angle": float((np.arctan2(vector[1], vector[0]) + turn + 0.5 * np.pi) % np.pi - 0.5 * np.pi)}

    if kind == "circle":
        return {"radius": float(end / abs(values[0])), **place("centre", centre)}
    if kind == "parabola":
        bent, along = vectors[:, 0], vectors[:, 1]
        w = bent[1] / values[0]
        vertex = w * bent - bent[1] ** 2 / (2.0 * values[0] * along[1]) * along
        return {
            "focal_length": float(abs(along[1] / (2.0 * values[0])) * end),
            **place("vertex", vertex),
            **direction(along),
        }
    sizes = np.sqrt(np.abs(centre[1] / values)) * end
    if kind == "ellipse":
        return {
            "semi_minor": float(sizes[0]),
            "semi_major": float(sizes[1]),
            **place("centre", centre),
            **direction(vectors[:, 1]),
        }
    across = int(np.argmax(centre[1] / values))
    return {
        "semi_transverse": float(sizes[across]),
        "semi_conjugate": float(sizes[1 - across]),
        **place("centre", centre),
        **direction(vectors[:, across]),
    }


def _note(kind, exists, trials, search, bend, piece, end):
    if kind == "small-angle cubic":
        rise = float(bend.spacer_radius - 0.5 * bend.bond_line)
        share = piece.x * end / float(bend.contact_arclength)
        plain = np.where(share < 1.0, 0.5 * rise * (3.0 * share**2 - share**3), rise * (1.5 * share - 0.5))
        miss = np.max(np.abs((plain - piece.y * end) * np.cos(piece.angle)))
        return f"Taken from the small-angle formula, without a fit, it is {show(float(miss), 'mm', 2)} off at most."
    if exists:
        return ""
    if kind == "ellipse":
        flat = f"the best of the searched ones has axes in the ratio {min(r for r, _ in search):.2g}" if search else ""
        return "There is no best ellipse: the longer it is drawn out the nearer it comes, until it is the parabola" + (
            f" ({flat})." if flat else "."
        )
    return "There is no best hyperbola: the search ends at the parabola."
