"""The flat blanks to cut: outline, lines to mark, grain, hands of the pair.

A blank lies with its outer face up. x runs from the finished trailing edge forward, z along the span from the root
end; both are measured on the flat sheet, along its mid-surface (the neutral line), so the developed length is
land + free length, exactly. The second blank of the pair is the mirror image: seen with its own outer face up, z runs
the other way.

On a tapered part the stations lie square to the line that the blade keeps straight. Where that line is the rod, the
contact with the rod is the straight line of the flat sheet. Flat sheets take only some tapers without stretch:
`blade.taper_fit.sheet_fit` says how far this one is from that, and a note here repeats it. Where the rod steps, lines
and edges may jog: each side is drawn up to the step as its own section has it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np

from ..blade.blade import Blade
from ..blade.taper_fit import sheet_fit
from ..study.design import Design
from ..units import read_choice, read_number, show, show_input
from .along_span import AlongSpan, along_span
from .outlines import arclength_at, inner, polygon_area

STATIONS = 9  # of each stretch of a tapered part; a straight part has its two ends
GRAINS = ("chord", "span", "none")
MATCH_PLACES = (0.25, 0.75)  # of the span: pencil strokes across both blanks while they lie side by side
MATCH_LENGTH = 0.015  # m
ROD_CUT = "cut of the rod"  # where its pieces meet
FRAME_LINE = "frame line"  # how the names of these begin, which are told from the nearer end
JOG = 5e-5  # m: a jog of an edge that is told; less than the tenth of a millimetre that is marked


@dataclass(frozen=True, eq=False)
class FlatLine:
    """A line to mark."""

    name: str
    points: np.ndarray  # (n, 2), x and z [m]
    from_trailing_edge: tuple  # m, at root and tip end; nan for a line that runs along the chord
    from_root: float  # m, of a line that runs along the chord; else nan
    at_steps: tuple = ()  # (from the trailing edge before, and beyond) every step of the part [m]

    @property
    def runs(self) -> tuple:
        """(start, end) [m] from the trailing edge on each piece between steps, the root end first."""
        ends = [self.from_trailing_edge[0], *(x for pair in self.at_steps for x in pair), self.from_trailing_edge[1]]
        return tuple(zip(ends[::2], ends[1::2], strict=True))


@dataclass(frozen=True, eq=False)
class Blank:
    """One flat blank, outer face up."""

    part: str
    hand: str  # "upper" or "lower", mirror images
    outline: np.ndarray  # (n, 2) [m] to cut, trim included, anticlockwise
    finished: np.ndarray  # (n, 2) [m] without trim
    lines: tuple  # of FlatLine
    match_marks: np.ndarray  # (n, 2, 2) [m], short strokes at the edge
    grain: str  # the direction the sheet's grain runs in: "chord", "span" or "none"
    face: str  # that is to lie outside, in words
    thickness: float  # m
    developed: tuple  # length at root and tip end [m]
    cut_length: tuple  # with trim, where the root end and the tip end are cut [m]
    span: float  # m
    area: float  # of the outline [m2]
    mass: float  # of the finished blank [kg]
    sheet: str  # its name

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
    """The blanks of one part."""

    pair: tuple  # of Blank: upper and lower
    tapered: bool
    notes: tuple  # in words

    def __iter__(self):
        return iter(self.pair)


def blanks(
    part: Design | Blade | AlongSpan,
    *,
    trim_front: float = 0.0,
    trim_back: float = 0.0,
    trim_ends: float = 0.0,
    grain: str | None = None,
    name: str | None = None,
    face: str = "the better face",
) -> Blanks:
    """Both blanks of a pair.

    Parameters
    ----------
    part : Design or Blade
        A blade for a part with dimensions that change along the span.
    trim_front, trim_back, trim_ends : float
        Allowance in front of the front edge, behind the trailing edge, and beyond each end [m], to be cut off later.
    grain : str, optional
        Direction of the sheet's grain, "chord", "span" or "none"; read from the sheet's own words where left out.
    name : str, optional
        Name of the part; the design's title where left out.
    face : str
        Which face is to lie outside, in words.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For a negative trim, an unknown grain, or a part that `along_span` refuses.
    """
    trims = {"trim_front": trim_front, "trim_back": trim_back, "trim_ends": trim_ends}
    for trim, value in trims.items():
        read_number(value, trim, "mm", low=0.0)
    part = along_span(part)
    design, flat = part.design, _stations(part)
    upper = Blank(
        name or design.title,
        "upper",
        lines=_lines(part, flat),
        match_marks=_match_marks(part.span, flat),
        grain=grain_of(design.sheet, grain),
        face=face,
        thickness=design.sheet_thickness,
        span=part.span,
        sheet=design.sheet.name,
        **_shape(design, flat, **trims),
    )
    return Blanks((upper, _mirror(upper)), bool(np.ptp(flat["developed"]) > 0.0), tuple(_notes(part, upper)))


def grain_of(sheet, given: str | None = None) -> str:
    """Direction in which a sheet's grain (or length) lies: "chord", "span" or "none".

    From the sheet's words ("face grain along chord", "crosswise along chord"), unless given. No words: none.
    ValueError for words that name no direction.
    """
    if given is not None:
        return read_choice(given, "grain", GRAINS)
    words = sheet.grain.lower().strip()
    if not words or words == "none":
        return "none"
    direction = re.search(r"along (?:the )?(chord|span)", words)
    if not direction:
        raise ValueError(
            f"the grain of {sheet.name!r} is given as {sheet.grain!r}, which names no direction: give "
            'grain="chord", "span" or "none"'
        )
    crossed = "crosswise" in words or "cross grain" in words
    return {"chord": "span", "span": "chord"}[direction[1]] if crossed else direction[1]


def _stations(part) -> dict:
    """Along the span: place z; x of every line from the trailing edge; and x of the trailing edge itself, 0 at the root
    end [m]."""
    places, designs = part.stations(STATIONS)
    bends = [design.bend() for design in designs]
    land = np.array([design.land_length for design in designs])
    developed = land + np.array([design.free_length for design in designs])
    contact = land + np.array([bend.contact_arclength for bend in bends])
    rod_back = [arclength_at(b, b.spacer_position - b.spacer_radius, inner(b))[0] for b in bends]
    straight = "trailing edge" if part.blade is None else part.blade.straight
    base = {"trailing edge": 0.0 * land, "leading edge": developed, "rod": contact}[straight]
    shift = base.max() - base
    return {
        "z": places,
        "land": land,
        "contact": contact,
        "developed": developed,
        "shift": shift,
        "back": land + np.array(rod_back),  # where the rod's back stands square below the sheet
    }


def _shape(design, flat, trim_front, trim_back, trim_ends) -> dict:
    """Outlines, lengths, area and mass of a blank."""
    z, shift, developed, ends = flat["z"], flat["shift"], flat["developed"], trim_ends
    finished = _ring(z, shift, shift + developed)
    low, high = (_beyond(z, x, ends) for x in (shift, shift + developed))
    long_z = z + np.where(z == 0.0, -ends, 0.0) + np.where(z == design.span, ends, 0.0)
    outline, origin = _ring(long_z, low - trim_back, high + trim_front), _origin(flat)
    return {
        "outline": outline - origin,
        "finished": finished - origin,
        "developed": (float(developed[0]), float(developed[-1])),
        "cut_length": tuple(float(high[i] - low[i] + trim_front + trim_back) for i in (0, -1)),
        "area": polygon_area(outline),
        "mass": polygon_area(finished) * design.sheet_thickness * design.sheet.density,
    }


def _origin(flat):
    """The finished trailing edge at the root end, from which x and z of the blank count [m]."""
    return np.array([flat["shift"][0], 0.0])


def _match_marks(span, flat):
    at = [(np.interp(q * span, flat["z"], flat["shift"]), q * span) for q in MATCH_PLACES]
    return np.array([[[x, z], [x + MATCH_LENGTH, z]] for x, z in at]) - _origin(flat)


def _beyond(z, x, ends):
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


def _lines(part, flat) -> tuple:
    design, z, shift, origin = part.design, flat["z"], flat["shift"], _origin(flat)
    steps = [np.flatnonzero(z == step) for step in part.steps]  # two stations each
    lines = [
        FlatLine(
            name,
            np.column_stack([shift + x, z]) - origin,
            (float(x[0]), float(x[-1])),
            np.nan,
            tuple((float(x[before]), float(x[beyond])) for before, beyond in steps),
        )
        for name, x in (
            ("trailing edge", 0.0 * shift),
            ("land line", flat["land"]),
            ("back of the rod", flat["back"]),
            ("rod line", flat["contact"]),
            ("front edge", flat["developed"]),
        )
    ]
    ends = (("root end", design.frame_width), ("tip end", design.span - design.frame_width))
    across = [(f"{FRAME_LINE}, {end}", at) for end, at in ends if design.frame_width > 0.0]
    across += [(f"{s.name}, {face}", at) for s in design.filled for face, at in _faces(design, s)]
    across += [(f"{ROD_CUT}{f' {i}' if len(part.cuts) > 1 else ''}", at) for i, at in enumerate(part.cuts, 1)]
    for name, at in across:
        low, reach = np.interp(at, z, shift), np.interp(at, z, flat["developed"])
        points = np.array([[low, at], [low + reach, at]]) - origin
        lines.append(FlatLine(name, points, (np.nan, np.nan), float(at)))
    return tuple(lines)


def _faces(design, stretch):
    """(name, place [m]) of the faces of a rib or zone, that on a closing frame left out."""
    between = design.frame_width, design.span - design.frame_width
    faces = ("root face", stretch.start), ("tip face", stretch.end)
    return [(name, at) for name, at in faces if between[0] < at < between[1]]


def _mirror(upper: Blank) -> Blank:
    """The other hand: the same blank turned over, seen with its own outer face up."""

    def flip(points):
        return np.asarray(points) * [1.0, -1.0] + [0.0, upper.span]

    return replace(
        upper,
        hand="lower",
        outline=flip(upper.outline)[::-1],
        finished=flip(upper.finished)[::-1],
        lines=tuple(replace(line, points=flip(line.points)) for line in upper.lines),
        match_marks=flip(upper.match_marks),
    )


def _fit_words(blade) -> tuple:
    """Whether flat sheets take this taper, and what they do at every kink, in words."""
    try:
        fit = sheet_fit(blade)
    except ValueError as error:
        return (f"whether flat sheets take this taper could not be judged: {error}",)
    stretch = fit.words[0].split("; up to ")[0]  # without the scale of the verdict
    verdict = f"{fit.verdict} (our own scale, no source)"
    kinks = [words for words in fit.words if "from the root end: " in words]
    return f"{stretch}{', but for what follows' if kinks else f': {verdict}'}", *kinks


def _jog_words(part, upper):
    """How far the edges of the blank jog at every step."""
    edge = upper.line("trailing edge").points
    for place in part.steps:
        before, beyond = edge[np.flatnonzero(edge[:, 1] == place), 0]
        jog, at = abs(beyond - before), show_input(place, "mm")
        if jog > JOG:
            yield (
                f"{at} from the root end trailing edge, land line and front edge jog by {show(jog, 'mm', 2)}, "
                f"{'forward' if beyond > before else 'back'} on the way to the tip, since the {part.blade.straight} "
                "runs on straight: saw, glue and clamp either side for itself"
            )


def _notes(part, upper):
    yield "cut both blanks side by side from one sheet, and mark the pair before they part (common practice)"
    yield f"{upper.face} of each lies outside: the two are mirror images, do not cut two of one hand"
    if part.design.frame_width > 0.0:
        yield f"frame lines {show_input(part.design.frame_width, 'mm')} from each end"
    for stretch in part.design.filled:
        yield f"{stretch.words()}: mark its faces inside"
    if not part.one_section:
        first, *kinks = _fit_words(part.blade)
        yield f"stations square to the line that is straight, the {part.blade.straight}; {first}"
        yield from kinks
        yield from _jog_words(part, upper)
