"""A template as a drawing for other programs, in millimetres and true to scale: SVG and DXF.

SVG: width and height in mm, one unit of the view box is 1 mm. DXF: release 2007, units set to millimetres, axes of the
section: y = 0 the chord line, x = 0 the land end, said in it beside where tables count from. Both: cut lines, marks,
holes with their names, words, and two 100 mm check bars. The same template gives the same bytes.
"""

from __future__ import annotations

import io
from xml.sax.saxutils import escape

import numpy as np

from ..shop.paper import BAR
from ..shop.templates import Template
from ..units import FACTORS, lengths, show

MM = FACTORS["mm"]


def _words(template, *more) -> list:
    """What stands in words beside the drawing, line by line."""
    make = f"make {template.count}; {template.line}"
    return [w for w in (template.part, template.name, make, *template.notes, template.stamp, *more) if w]


# ----- SVG


EDGE = 6.0  # mm of empty paper around all
BESIDE, BELOW = 14.0, 6.0  # mm from the check bars to the drawing: upright bar on its left, level bar below
TEXT = 3.2  # mm, height of the letters' em
LINE = 5.0  # mm from line to line of words
STYLES = {
    "cut": 'fill="none" stroke="#000" stroke-width="0.2" stroke-linejoin="round"',
    "mark": 'fill="none" stroke="#555" stroke-width="0.15" stroke-dasharray="2 1"',
    "hole": 'fill="none" stroke="#000" stroke-width="0.15"',
    "check": 'fill="none" stroke="#000" stroke-width="0.2"',
}


def svg(template: Template) -> str:
    """The template as an SVG file's text, true to scale; y runs down."""
    left, bottom, right, top = (v / MM for v in template.box)
    words = [line for word in _words(template) for line in _folded(word, max(right - left, BAR))]
    wide = max(right - left, BAR) + BESIDE + 2.0 * EDGE
    drawing = max(top - bottom, BAR)
    high = drawing + 16.0 + LINE * len(words) + 2.0 * EDGE
    origin = EDGE + BESIDE - left, EDGE + drawing + bottom  # of the section on the paper
    rows = [_path(path, *origin) for path in template.paths]
    rows += [row for hole in template.holes for row in _hole(hole, *origin)]
    rows += _bars(EDGE + BESIDE, EDGE + drawing + BELOW)
    rows += [_text(EDGE, EDGE + drawing + 16.0 + LINE * i, word, TEXT) for i, word in enumerate(words)]
    size = f'width="{_number(wide)}mm" height="{_number(high)}mm" viewBox="0 0 {_number(wide)} {_number(high)}"'
    name = escape(f"{template.part}: {template.name}" if template.part else template.name)
    head = [f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>', f"<title>{name}</title>"]
    return "\n".join([*head, *rows, "</svg>"]) + "\n"


def _path(path, x0, y0):
    places = " ".join(f"{_number(x / MM + x0)},{_number(y0 - y / MM)}" for x, y in path.points)
    return f'<{"polygon" if path.closed else "polyline"} class="{path.kind}" points="{places}" {STYLES[path.kind]}/>'


def _hole(hole, x0, y0):
    x, y, radius = hole.x / MM + x0, y0 - hole.y / MM, 0.5 * hole.diameter / MM
    circle = f'<circle class="hole" cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" {STYLES["hole"]}/>'
    return circle, _text(x, y - radius - 2.0, hole.name, 2.4, "middle")


def _bars(x, y):
    """Both check bars, with strokes at their ends and their words."""
    style = STYLES["check"]
    level = (
        f'<path class="check-level" d="M {_number(x)} {_number(y)} h 100" {style}/>'
        f'<path d="M {_number(x)} {_number(y - 1.5)} v 3 m 100 -3 v 3" {style}/>'
    )
    up, foot = x - 10.0, y - 6.0
    upright = (
        f'<path class="check-upright" d="M {_number(up)} {_number(foot)} v -100" {style}/>'
        f'<path d="M {_number(up - 1.5)} {_number(foot)} h 3 m -3 -100 h 3" {style}/>'
    )
    words = f"{check_length()}: measure it, and the upright one, before you cut"
    return [level, upright, _text(x + 50.0, y + 4.0, words, 2.8, "middle")]


def check_length() -> str:
    """How long the check bars are, in millimetres, and in inches where lengths are shown in these."""
    return "100 mm" if lengths() == "mm" else f"100 mm ({show(BAR * MM, 'mm')})"


def _text(x, y, words, size, anchor="start"):
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" font-size="{size}" font-family="sans-serif" '
        f'text-anchor="{anchor}">{escape(words)}</text>'
    )


def _folded(words, width):
    """Lines of about `width` mm, an average letter taken as half its size wide."""
    most, lines = max(20, int(width / (0.52 * TEXT))), [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) + 1 > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _number(value):
    return f"{round(float(value), 4) + 0.0:.4f}".rstrip("0").rstrip(".")


# ----- DXF


LAYERS = {  # name: (colour number, weight of its lines [mm])
    "CUT": (7, 0.25),
    "MARKS": (8, 0.13),
    "HOLES": (1, 0.25),
    "CHECK_BARS_100_MM": (5, 0.25),
    "TEXT": (3, 0.13),
}
LAYER_OF = {"cut": "CUT", "mark": "MARKS"}
OUTSIDE = 12.0  # mm from the drawing down to the level check bar, and from its left edge to the upright one
LETTERS, HOLE_LETTERS = 3.0, 2.0  # mm, height of capitals
ON_CIRCLE = 1e-6  # mm: points that stay so close to one circle are points of an arc; the files are as fine
ARC_PIECES = 12  # at least; arcs are drawn in 24 pieces or more (`shop.outlines`), no other curve stays on a circle


def dxf(template: Template) -> str:
    """The template as a DXF file's text, to be written as UTF-8; x and y are those of the section, in mm.

    Outlines are lightweight polylines: arcs (about the rod, of a rounded nose) are true arcs by their bulge, all other
    curves straight pieces that stay within 2 micrometres of the exact one (`shop.outlines.TOLERANCE`). Holes are
    circles. Release 2007 is the oldest that keeps the letters of every title.
    """
    import ezdxf  # here, since to import it takes half a second
    from ezdxf import options, units

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # neither clock times nor random identifiers
    try:
        drawing = ezdxf.new("R2007", units=units.MM)
        drawing.header["$MEASUREMENT"] = 1  # metric
        for name, (colour, weight) in LAYERS.items():
            drawing.layers.add(name, color=colour, lineweight=round(100 * weight))
        _draw(drawing.modelspace(), template)
        for kind in sorted(drawing.entitydb.dxf_types_in_use()):
            drawing.classes.add_class(kind)  # in order; left to the library they stand as its set of names does
        stream = io.StringIO()
        drawing.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue()


def _draw(space, template):
    left, bottom, _, _ = (v / MM for v in template.box)
    x, y = left, bottom - OUTSIDE
    for path in template.paths:
        points = path_bulges(path.points / MM, path.closed)
        space.add_lwpolyline(points, format="xyb", close=path.closed, dxfattribs={"layer": LAYER_OF[path.kind]})
    for hole in template.holes:
        at, radius = (_fine(hole.x / MM), _fine(hole.y / MM)), _fine(0.5 * hole.diameter / MM)
        space.add_circle(at, radius, dxfattribs={"layer": "HOLES"})
        _letters(space, at[0] + radius + 1.0, at[1] + 1.0, hole.name, HOLE_LETTERS)
    for start, end in (((x, y), (x + BAR, y)), ((x - OUTSIDE, y), (x - OUTSIDE, y + BAR))):
        space.add_line(*([_fine(v) for v in point] for point in (start, end)), {"layer": "CHECK_BARS_100_MM"})
    units_told = f"{'all' if lengths() == 'mm' else 'drawn'} in mm; both check bars are {check_length()}"
    for i, words in enumerate(_words(template, *_origin(template), units_told), 1):
        _letters(space, x, y - i * 1.6 * LETTERS - 1.0, words, LETTERS)


def _origin(template):
    """Where x = 0 lies, beside where the table counts from."""
    if np.isfinite(template.land):
        edge = f"{-template.land / MM:.4g}".replace("-", "−")
        yield f"x = 0 is the land end, y = 0 the chord line; tables count from the trailing edge, at x = {edge}"


def _letters(space, x, y, words, height):
    attributes = {"layer": "TEXT", "insert": (_fine(x), _fine(y))}
    space.add_text(" ".join(words.split()), height=height, dxfattribs=attributes)


def _fine(value):
    """A number as files carry it, to a millionth of a millimetre, without minus zero."""
    return round(float(value), 6) + 0.0


def path_bulges(points, closed: bool) -> list:
    """(x, y, bulge) of the corners of a polyline [mm], a run of points on one circle drawn together to arcs.

    The bulge of a corner is the tangent of a quarter of the angle that the arc to the next corner spans, positive
    counterclockwise, 0 for a straight piece (DXF reference, LWPOLYLINE). No arc spans more than half a circle.
    """
    points = np.asarray(points, dtype=float)
    ring = np.vstack([points, points[:1]]) if closed else points
    corners, at = [], 0
    while at < len(ring) - 1:
        last, turn = _arc_from(ring, at)
        halves = (at, (at + last) // 2) if abs(turn) > np.pi else (at,)
        for start, end in zip(halves, (*halves[1:], last), strict=True):
            bulge = np.tan(0.25 * turn * (end - start) / (last - at))
            corners.append((*map(_fine, ring[start]), round(float(bulge), 9) + 0.0))
        at = last
    return corners if closed else [*corners, (*map(_fine, ring[-1]), 0.0)]


def _arc_from(ring, at):
    """(corner where an arc ends that starts at a corner, the angle it spans [rad]); the next corner and 0 if none
    does."""
    centre, radius = _circle(ring[at : at + 3])
    if not np.isfinite(radius):
        return at + 1, 0.0
    off = np.abs(np.hypot(*(ring[at:] - centre).T) - radius) > ON_CIRCLE
    last = at + (int(np.argmax(off)) if off.any() else len(off)) - 1
    turns = np.unwrap(np.arctan2(*(ring[at : last + 1] - centre).T[::-1]))
    even = np.abs(np.diff(turns) - (turns[1] - turns[0])) < 1e-6
    last = at + (int(np.argmin(even)) if not even.all() else len(even))
    return (last, float(turns[last - at] - turns[0])) if last - at >= ARC_PIECES else (at + 1, 0.0)


def _circle(three):
    """Centre and radius of the circle through three points; an infinite radius where they are in line or too few."""
    if len(three) < 3:
        return np.zeros(2), np.inf
    first, second = three[1] - three[0], three[2] - three[0]
    cross = 2.0 * (first[0] * second[1] - first[1] * second[0])
    if abs(cross) < 1e-12:
        return np.zeros(2), np.inf
    a, b = first @ first, second @ second
    from_first = np.array([second[1] * a - first[1] * b, first[0] * b - second[0] * a]) / cross
    return three[0] + from_first, float(np.hypot(*from_first))
