"""The flat blanks to cut: outline, lines to mark, grain, hands of the pair.

A blank lies with its outer face up. x runs from the finished trailing edge forward, z along the span from the root
end; both are measured on the flat sheet, along its mid-surface (the neutral line), so the developed length is
land + free length, exactly. The second blank of the pair is the mirror image: seen with its own outer face up, z runs
the other way.

On a tapered part the stations lie square to the line that the blade keeps straight. Where that line is the rod, the
contact with the rod is the straight line of the flat sheet. Flat sheets take only some tapers without stretch:
`blade.taper_fit.sheet_fit` says how far this one is from that, and a note here repeats it.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass

import numpy as np

from ..blade.blade import Blade
from ..blade.taper_fit import sheet_fit
from ..study.design import Design
from ..units import show_input
from .outlines import arclength_at, inner

STATIONS = 9  # of each stretch of a tapered part; a straight part has its two ends
GRAINS = ("chord", "span", "none")
HANDS = ("upper", "lower")
MATCH_PLACES = (0.25, 0.75)  # of the span: pencil strokes across both blanks while they lie side by side


@dataclass(frozen=True, eq=False)
class FlatLine:
    """A line to mark: `name`; `points` (n, 2), x and z [m]; `from_trailing_edge` [m] at root and tip end, nan for a
    line that runs along the chord; `from_root` [m] for such a line, else nan."""

    name: str
    points: np.ndarray
    from_trailing_edge: tuple
    from_root: float


@dataclass(frozen=True, eq=False)
class Blank:
    """One flat blank, outer face up; lengths [m].

    `part`; `hand` "upper" or "lower", mirror images; `outline` (n, 2) to cut, trim included, anticlockwise; `finished`,
    without trim; `lines` (`FlatLine`); `match_marks` (n, 2, 2), short strokes at the edge; `grain`, the direction the
    sheet's grain runs in: "chord", "span" or "none"; `grain_words` of the sheet; `face` that is to lie outside;
    `thickness`; `developed` length at root and tip end, `cut_length` there with trim, `span`; `area` of the outline
    [m2]; `mass` of the finished blank [kg]; `sheet`, its name.
    """

    part: str
    hand: str
    outline: np.ndarray
    finished: np.ndarray
    lines: tuple
    match_marks: np.ndarray
    grain: str
    grain_words: str
    face: str
    thickness: float
    developed: tuple
    cut_length: tuple
    span: float
    area: float
    mass: float
    sheet: str

    @property
    def name(self) -> str:
        """Part and hand."""
        return f"{self.part}, {self.hand} sheet"

    def line(self, name: str) -> FlatLine:
        """The line of this name; KeyError names those there are."""
        for line in self.lines:
            if line.name == name:
                return line
        raise KeyError(f"no line {name!r}; there are {', '.join(line.name for line in self.lines)}")


@dataclass(frozen=True, eq=False)
class Blanks:
    """The blanks of one part: `pair`, upper and lower; `tapered`; `notes` in words."""

    pair: tuple
    tapered: bool
    notes: tuple

    def __iter__(self):
        return iter(self.pair)


def blanks(
    design: Design,
    blade: Blade | None = None,
    *,
    tip_free_length: float | None = None,
    trim_front: float = 0.0,
    trim_back: float = 0.0,
    trim_ends: float = 0.0,
    grain: str | None = None,
    part: str | None = None,
    face: str = "the better face",
) -> Blanks:
    """Both blanks of a pair.

    Parameters
    ----------
    design : Design
    blade : Blade, optional
        The same part with dimensions that change along the span; its own design is then the one used.
    tip_free_length : float, optional
        Free length at the tip end [m] of a straight taper; the design's is that of the root end.
    trim_front, trim_back, trim_ends : float
        Allowance in front of the front edge, behind the trailing edge, and beyond each end [m], to be cut off later.
    grain : str, optional
        Direction of the sheet's grain, "chord", "span" or "none"; read from the sheet's own words where left out.
    part : str, optional
        Name of the part; the design's title where left out.
    face : str
        Which face is to lie outside, in words.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For a negative trim, an unknown grain, or both a blade and a tip length.
    """
    trims = {"trim_front": trim_front, "trim_back": trim_back, "trim_ends": trim_ends}
    for name, value in trims.items():
        if not (isinstance(value, int | float) and np.isfinite(value) and value >= 0.0):
            raise ValueError(f"{name} is {value!r}: give 0 or more, in metres")
    if tip_free_length is not None:
        if blade is not None:
            raise ValueError("a blade and a tip free length are given: give one of the two")
        blade = Blade(design, free_length=(design.free_length, tip_free_length))
    design = design if blade is None else blade.design
    flat = _stations(design, blade)
    upper = _blank(design, flat, trims, grain_of(design.sheet, grain), part or design.title, face)
    return Blanks((upper, _mirror(upper)), bool(np.ptp(flat["developed"]) > 0.0), _notes(design, blade, upper))


def grain_of(sheet, given: str | None = None) -> str:
    """Direction in which a sheet's grain (or length) lies: "chord", "span" or "none".

    From the sheet's words ("face grain along chord", "crosswise along chord"), unless given. No words: none.
    ValueError for words that name no direction.
    """
    if given is not None:
        if given not in GRAINS:
            raise ValueError(f"grain is {given!r}: give one of {', '.join(GRAINS)}")
        return given
    words = sheet.grain.lower().strip()
    if not words or words == "none":
        return "none"
    found = re.search(r"along (?:the )?(chord|span)", words)
    if not found:
        raise ValueError(
            f"the grain of {sheet.name!r} is given as {sheet.grain!r}, which names no direction: give "
            'grain="chord", "span" or "none"'
        )
    crossed = "crosswise" in words or "cross grain" in words
    return {"chord": "span", "span": "chord"}[found[1]] if crossed else found[1]


def _stations(design, blade) -> dict:
    """Along the span: place z, and x of every line, each from the line that is kept straight [m]."""
    if blade is None:
        places, designs = np.array([0.0, design.span]), [design, design]
        straight = "trailing edge"
    else:
        ends = blade.breakpoints
        places = np.unique(np.concatenate([np.linspace(a, b, STATIONS) for a, b in itertools.pairwise(ends)]))
        designs = [blade.design_at(z) for z in places]
        straight = blade.straight
        if blade.steps:
            raise ValueError("this part has steps along its span: cut its blanks stretch by stretch, one blade each")
    bends = [d.bend() for d in designs]
    land = np.array([d.land_length for d in designs])
    developed = land + np.array([d.free_length for d in designs])
    contact = land + np.array([b.contact_arclength for b in bends])
    base = {"trailing edge": 0.0 * land, "leading edge": developed, "rod": contact}[straight]
    return {
        "z": places,
        "land": land,
        "contact": contact,
        "developed": developed,
        "shift": base.max() - base,
        "back": _behind_rod(designs, bends),
    }


def _behind_rod(designs, bends):
    """From the trailing edge along the sheet to where the rod's back stands square below it [m]."""
    return np.array(
        [
            d.land_length + float(arclength_at(b, b.spacer_position - b.spacer_radius, inner(b))[0])
            for d, b in zip(designs, bends, strict=True)
        ]
    )


def _blank(design, flat, trims, grain, part, face) -> Blank:
    z, shift, developed, span = flat["z"], flat["shift"], flat["developed"], design.span
    front, back, ends = trims["trim_front"], trims["trim_back"], trims["trim_ends"]
    finished = _ring(z, shift, shift + developed)
    long_z = z + np.where(z == 0.0, -ends, 0.0) + np.where(z == span, ends, 0.0)
    outline = _ring(long_z, _beyond(z, shift, ends, span) - back, _beyond(z, shift + developed, ends, span) + front)
    first = shift[0]
    marks = [
        [[np.interp(q * span, z, shift), q * span], [np.interp(q * span, z, shift) + 0.015, q * span]]
        for q in MATCH_PLACES
    ]
    origin = np.array([first, 0.0])
    area, mass = _area(outline), _area(finished) * design.sheet_thickness * design.sheet.density
    cut = tuple(float(developed[i] + front + back) for i in (0, -1))
    return Blank(
        part,
        "upper",
        outline - origin,
        finished - origin,
        _lines(design, flat, origin),
        np.array(marks) - origin,
        grain,
        design.sheet.grain,
        face,
        design.sheet_thickness,
        (float(developed[0]), float(developed[-1])),
        cut,
        span,
        area,
        mass,
        design.sheet.name,
    )


def _beyond(z, x, ends, span):
    """x of an edge at its stations, run on straight into the trim beyond both ends."""
    out = x.copy()
    if ends > 0.0:
        out[0] -= ends * (x[1] - x[0]) / (z[1] - z[0])
        out[-1] += ends * (x[-1] - x[-2]) / (z[-1] - z[-2])
    return out


def _ring(z, low, high):
    """Closed outline, anticlockwise: along the root end, up the front, back down the trailing edge."""
    back, front = np.column_stack([low, z]), np.column_stack([high, z])
    return np.vstack([back[:1], front, back[:0:-1]])


def _lines(design, flat, origin) -> tuple:
    z, shift = flat["z"], flat["shift"]
    names = (
        ("trailing edge", 0.0 * shift),
        ("land line", flat["land"]),
        ("back of the rod", flat["back"]),
        ("rod line", flat["contact"]),
        ("front edge", flat["developed"]),
    )
    lines = [
        FlatLine(name, np.column_stack([shift + x, z]) - origin, (float(x[0]), float(x[-1])), np.nan)
        for name, x in names
    ]
    for name, at in (
        ("frame line, root end", design.frame_width),
        ("frame line, tip end", design.span - design.frame_width),
    ):
        if design.frame_width > 0.0:
            low, reach = np.interp(at, z, shift), np.interp(at, z, flat["developed"])
            lines.append(FlatLine(name, np.array([[low, at], [low + reach, at]]) - origin, (np.nan, np.nan), float(at)))
    return tuple(lines)


def _mirror(upper: Blank) -> Blank:
    """The other hand: the same blank turned over, seen with its own outer face up."""

    def flip(points):
        return np.asarray(points) * [1.0, -1.0] + [0.0, upper.span]

    lines = tuple(
        FlatLine(line.name, flip(line.points), line.from_trailing_edge, line.from_root) for line in upper.lines
    )
    values = {name: getattr(upper, name) for name in Blank.__dataclass_fields__}
    return Blank(
        **values
        | {
            "hand": "lower",
            "outline": flip(upper.outline)[::-1],
            "finished": flip(upper.finished)[::-1],
            "lines": lines,
            "match_marks": flip(upper.match_marks),
        }
    )


def _area(points) -> float:
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _fit_words(blade) -> str:
    """Whether flat sheets take this taper, in words."""
    try:
        fit = sheet_fit(blade)
    except ValueError as error:
        return f"whether flat sheets take this taper could not be judged: {error}"
    said = fit.words[0].split("; up to ")[0]  # without the scale of the verdict
    return f"{said}: {fit.verdict} (our own scale, no source)"


def _notes(design, blade, upper):
    notes = [
        "cut both blanks side by side from one sheet, and mark the pair before they part (common practice)",
        f"{upper.face} of each lies outside: the two are mirror images, do not cut two of one hand",
    ]
    if design.frame_width > 0.0:
        notes.append(f"frame lines {show_input(design.frame_width, 'mm')} from each end")
    if blade is not None:
        notes.append(f"stations square to the line that is straight, the {blade.straight}; {_fit_words(blade)}")
    return tuple(notes)
