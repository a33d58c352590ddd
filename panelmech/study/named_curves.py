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

from ..mechanics.bend import Bend
from ..mechanics.numerics import gauss
from ..units import show
from .curve_fit import CONICS, KINDS, PLACES, SHAPES, Piece, axes, axis_ratio, conic_numbers, feet, fit, implicit, local

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
    """Best fit of each named curve to the bent sheet, in the order of `study.curve_fit.KINDS`.

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
    """What the fits say of the trade's word "hyperbolic", for a builder."""
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
