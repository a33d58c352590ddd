"""The live picture: the section of a study, to scale, as the text of one small SVG.

Fast enough to be rewritten on every move of a slider, sharp at any size, readable as text by a test and, through
its label and description, by someone who does not see it. It draws records and computes no mechanics; colours,
dashes and weights come from `look`. The viewing frame is fixed and the scale changes in steps, so that a longer
sheet looks longer.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

import numpy as np

from ..study.study import Study
from ..units import show, show_input
from .look import FILLS, INK, LINES, PAPER, QUIET, Line, strain_colour
from .shapes import MM, Outlines, mirrored, section_outlines, wedge_faces

WIDTH, HEIGHT = 960, 320  # of the viewing frame
LEFT, RIGHT, MIDDLE, REACH = 48, 838, 144, 96  # drawing field: left and right edge, chord line, half height
LAND_ROW, CHORD_ROW = 256, 300  # rows of dimension lines below the section
EDGE = Line(LINES["bent"].colour, (), 0.8)  # of the sheets
SEGMENTS = 24  # pieces of one colour along the bent part of a sheet
_STEPS = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 8.0, 10.0)


@dataclass(frozen=True)
class SectionMarks:
    """What the picture shows beside the bent pair: the flat wedge, dimension lines, strain as colour; `exaggerate`
    draws heights that many times too large (1: to scale)."""

    wedge: bool = True
    dimensions: bool = True
    strain: bool = True
    exaggerate: int = 1


@dataclass(frozen=True)
class _Frame:
    """From millimetres in the section plane to the picture."""

    land_end: float  # x of the land end in the picture
    across: float  # picture units per mm along the chord
    up: float  # and across it

    def points(self, ring) -> list:
        """Points (n, 2) as the text of a path: `x,y` each."""
        return [f"{self.x(x):.1f},{self.y(y):.1f}" for x, y in np.asarray(ring).tolist()]

    def x(self, mm: float) -> float:
        """Picture x."""
        return self.land_end + self.across * mm

    def y(self, mm: float) -> float:
        """Picture y: upwards is less."""
        return MIDDLE - self.up * mm

    def path(self, rings, line=None, fill="none", close=True) -> str:
        """A path of rings of points."""
        return _path([" ".join(self.points(ring)) for ring in rings], line, fill, close)


def section_picture(study: Study, pinned: Study | None = None, view: SectionMarks | None = None) -> str:
    """SVG text of a study's section; `pinned` is laid over it as a dash-dot outline."""
    view = view or SectionMarks()
    frame = _frame([study] if pinned is None else [study, pinned], view)
    shape = section_outlines(study, SEGMENTS)
    parts = [_potting(shape, frame), _sheets(shape, frame, view), _land(shape, frame), _spacer(shape, frame)]
    if view.wedge and not np.isnan(study.wedge.angle):
        parts.append(_wedge(study, frame))
    if pinned is not None:
        parts.append(_pinned(pinned, frame))
    if view.dimensions:
        parts.append(_dimensions(study, frame))
    parts.append(_legend(study, pinned, view))
    words = description(study, pinned, view)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" width="100%" '
        f'aria-label="{escape(words)}" font-family="system-ui, sans-serif" font-size="15" fill="{INK}">'
        f'<desc>{escape(words)}</desc><rect width="{WIDTH}" height="{HEIGHT}" rx="4" fill="{PAPER}"/>'
        f"{''.join(parts)}</svg>"
    )


def section_thumbnail(study: Study) -> str:
    """SVG text of a study's section alone, small, for lists."""
    frame = _frame([study], SectionMarks(False, False, False))
    shape = section_outlines(study, SEGMENTS)
    parts = [_potting(shape, frame), _sheets(shape, frame, SectionMarks(False, False, False)), _land(shape, frame)]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pm-thumbnail" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="section, {show(study.quantities["outer_thickness"], "mm")} thick" fill="{INK}">'
        f"{''.join(parts)}{_spacer(shape, frame)}</svg>"
    )


def description(study: Study, pinned: Study | None = None, view: SectionMarks | None = None) -> str:
    """The picture in words, for its text alternative."""
    view, q, d = view or SectionMarks(), study.quantities, study.design
    words = (
        f"Section{'' if view.exaggerate == 1 else f', heights drawn {view.exaggerate} times too large'}: two sheets of "
        f"{show_input(d.sheet_thickness, 'mm')}, chord {show(q['chord'], 'mm')}, spread by a {_rod_words(d)} to "
        f"{show(q['outer_thickness'], 'mm')} over the outer faces; bending strain {show(q['land_strain'], '%', 3)} at "
        "the land, none in front of the rod."
    )
    if view.wedge and not np.isnan(study.wedge.angle):
        words += f" The flat wedge of the same sheets and rod is {show(q['wedge_outer_thickness'], 'mm')} thick there."
    if pinned is not None:
        words += f" Pinned for comparison: {pinned.design.title}, chord {show(pinned.quantities['chord'], 'mm')}."
    return words


def _frame(studies, view):
    chord = max(s.quantities["chord"] for s in studies)
    thick = max(
        max(s.quantities["outer_thickness"], np.nan_to_num(s.quantities["wedge_outer_thickness"]) * view.wedge)
        for s in studies
    )
    wide, high = RIGHT - LEFT, 2 * REACH
    window = _round_up(max(chord, thick * view.exaggerate * wide / high))
    scale = wide / window * MM
    land = max(s.design.land_length for s in studies) / MM
    return _Frame(LEFT + scale * land, scale, scale * view.exaggerate)


def _round_up(metres):
    """The next larger size of a short scale of sizes, so that the scale of the picture moves in steps."""
    power = 10.0 ** np.floor(np.log10(metres))
    return power * next(step for step in _STEPS if step * power >= metres * (1 - 1e-12))


def stroke(line: Line | None, fill: str = "none") -> str:
    """Attributes of a shape: its fill, and its line if it has one."""
    if line is None:
        return f'fill="{fill}"'
    dashes = f' stroke-dasharray="{",".join(f"{d:g}" for d in line.dashes)}"' if line.dashes else ""
    return f'fill="{fill}" stroke="{line.colour}" stroke-width="{line.weight:g}"{dashes}'


def _path(rings, line=None, fill="none", close=True):
    ends = "Z" if close else ""
    return f'<path d="{" ".join(f"M{ring}{ends}" for ring in rings)}" {stroke(line, fill)}/>'


def _sheets(shape: Outlines, frame, view):
    sheet = shape.sheet
    sides = [(frame.points(side(sheet.outer)), frame.points(side(sheet.inner))) for side in (np.asarray, mirrored)]
    parts = []
    for i, share in enumerate(shape.strain.tolist() if view.strain else ()):
        colour = strain_colour(share)
        pieces = [f"{outer[i]} {outer[i + 1]} {inner[i + 1]} {inner[i]}" for outer, inner in sides]
        parts.append(_path(pieces, Line(colour, (), 0.5), colour))
    plain = "none" if view.strain else strain_colour(0.5)
    outlines = [" ".join(outer + inner[::-1]) for outer, inner in sides]
    return "".join(parts) + _path(outlines, EDGE, plain)


def _land(shape: Outlines, frame):
    glue = frame.path([shape.bond], Line(FILLS["bond"], (), 0.6), FILLS["bond"])
    return glue + frame.path([shape.land, mirrored(shape.land)], EDGE, FILLS["land"])


def _potting(shape: Outlines, frame):
    """All between the sheets in front of the contacts; the rod is drawn over it."""
    front = shape.sheet.inner[-2:]
    return frame.path([np.vstack([front, mirrored(front[::-1])])], fill=FILLS["resin"])


def _spacer(shape: Outlines, frame):
    (centre, radius), line = shape.rod, LINES["spacer"]
    bore = _ring(frame, centre, shape.bore, PAPER, line) if shape.bore > 0 else ""
    return _ring(frame, centre, radius, FILLS["spacer"], line) + bore


def _ring(frame, centre, radius, fill, line):
    x, rx, ry = frame.x(centre), radius * frame.across, radius * frame.up
    return f'<ellipse cx="{x:.1f}" cy="{MIDDLE}" rx="{rx:.1f}" ry="{ry:.1f}" {stroke(line, fill)}/>'


def _wedge(study, frame):
    """Outer faces of the flat wedge: what shows beside the bent sheets."""
    face = wedge_faces(study.wedge).outer
    return frame.path([face, mirrored(face)], LINES["wedge"], close=False)


def _pinned(study, frame):
    shape, line = section_outlines(study, SEGMENTS), LINES["pinned"]
    edge = np.vstack([shape.land[3:], shape.sheet.outer, shape.sheet.inner[-1:]])
    return frame.path([edge, mirrored(edge)], line, close=False) + _ring(frame, *shape.rod, "none", line)


def _dimensions(study, frame):
    d, q = study.design, study.quantities
    left, land, front = frame.x(-d.land_length / MM), frame.x(0.0), frame.x(study.bend.free_chord / MM)
    half = 0.5 * q["outer_thickness"] / MM
    side, tip, bottom = front + 24, frame.y(half), frame.y(-half)
    rod = f"{_rod_words(d)}, setback {_mm(d.setback)}"
    rod_end = max(front, land + 60 + 7.8 * len(rod))
    return "".join(
        (
            _measure(left, LAND_ROW, land, LAND_ROW),
            _text(max(0.5 * (left + land), 50), LAND_ROW + 20, f"land {_mm(d.land_length)}"),
            _measure(left, CHORD_ROW, front, CHORD_ROW),
            _label_on_line(0.5 * (left + front), CHORD_ROW, f"chord {show(q['chord'], 'mm')}"),
            _text(rod_end, LAND_ROW + 5, rod, LINES["spacer"].colour, "end"),
            _measure(side, tip, side, bottom),
            _text(side + 10, MIDDLE - 1, show(q["outer_thickness"], "mm"), INK, "start"),
            _text(side + 10, MIDDLE + 17, "outside", QUIET, "start"),
        )
    )


def _rod_words(design):
    kind = f"tube, wall {_mm(design.spacer_wall)}" if design.spacer_wall > 0 else "rod"
    return f"{_mm(design.spacer_diameter)} {kind}"


def _mm(metres):
    return show_input(metres, "mm")


def _measure(x1, y1, x2, y2):
    """A dimension line with a stroke across each end."""
    tick = (4, 0) if x1 == x2 else (0, 4)
    ends = "".join(
        f"M{x - tick[0]:.1f},{y - tick[1]:.1f} L{x + tick[0]:.1f},{y + tick[1]:.1f}" for x, y in ((x1, y1), (x2, y2))
    )
    return f'<path d="M{x1:.1f},{y1:.1f} L{x2:.1f},{y2:.1f}{ends}" {stroke(Line(INK, (), 1.0))}/>'


def _text(x, y, words, colour=INK, anchor="middle"):
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}">{escape(words)}</text>'


def _label_on_line(x, y, words):
    half = 4.1 * len(words) + 6
    return f'<rect x="{x - half:.1f}" y="{y - 8:.1f}" width="{2 * half:.1f}" height="16" fill="{PAPER}"/>' + _text(
        x, y + 4.5, words
    )


def _legend(study, pinned, view):
    """One row of samples across the top."""
    items, x = [], LEFT
    strain = show(study.quantities["land_strain"], "%", 3)
    words = f"bent pair, darker: more strain (0 to {strain})" if view.strain else "bent pair"
    entries = [("bent", words)]
    if view.wedge and not np.isnan(study.wedge.angle):
        entries.append(("wedge", "flat wedge"))
    if pinned is not None:
        entries.append(("pinned", f"pinned: {pinned.design.title[:24]}"))
    if view.exaggerate != 1:
        entries.append((None, f"heights × {view.exaggerate}"))
    for kind, label in entries:
        items.append(_sample(kind, x, view) + _text(x + (40 if kind else 0), 26, label, QUIET, "start"))
        x += (40 if kind else 0) + 7.6 * len(label) + 20
    return "".join(items)


def _sample(kind, x, view):
    if kind == "bent":
        shares = np.linspace(0, 1, 8) if view.strain else [0.5] * 8
        return "".join(
            f'<rect x="{x + 4 * i}" y="17" width="4.3" height="9" fill="{strain_colour(float(v))}"/>'
            for i, v in enumerate(shares)
        )
    if kind is None:
        return ""
    return _path([f"{x},22 {x + 32},22"], LINES[kind], close=False)
