"""The section to scale, with its dimensions. Millimetres throughout.

Pure functions on an Axes: they read records and draw, solve nothing and keep no state. The bending strain of the
sheets is shown by shade, light for none and dark for the greatest, so that it survives grey print; every part has an
outline as well.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon

from ..units import show, show_input
from .figures import INCH, SMALL, clean, in_style
from .letters import line_width
from .look import FILLS, INK, LINES, PAPER, QUIET, strain_rgb
from .shapes import MM, Outlines, mirrored, rectangle, section_outlines

# ----- Dimension lines of the section drawing, laid out in millimetres on paper so that they read at any scale.
#
# A `Paper` knows how many drawn millimetres one paper millimetre is; offsets, ticks and room for text are stated on
# paper, positions in the drawing. Dimensions end in oblique strokes; where the text does not fit between them it stands
# beside the line.


LINE = 0.5  # points: dimension and extension lines
STROKE = 0.8  # mm on paper: half an oblique stroke, each way
GAP = 0.8  # mm on paper: from the feature to its extension line, and from a line to its text
DIMENSION = "dimension"  # marks these lines: a digest counts them, the numbers stand in the words
NARROW = 1.5  # mm on paper: room left and right of a text that stands between two strokes


@dataclass(frozen=True)
class Paper:
    """An axes drawn to scale: `axes`, and `scale`, drawn millimetres per millimetre on paper."""

    axes: object
    scale: float

    def line(self, xs, ys, **look):
        """A thin line through points of the drawing."""
        look = {"color": QUIET, "lw": LINE, "solid_capstyle": "butt", "zorder": 5, "gid": DIMENSION, **look}
        return self.axes.add_line(Line2D(xs, ys, **look))

    def text(self, x, y, words, **look):
        """Small text at a point of the drawing; dollar signs stay dollar signs."""
        look = {"fontsize": SMALL, "color": INK, "parse_math": False, "zorder": 6, **look}
        return self.axes.text(x, y, words, **look)

    def stroke(self, x, y, along=0.0):
        """The oblique stroke that ends a dimension line running at the angle `along` [rad]."""
        reach = STROKE * self.scale * np.sqrt(2.0)
        dx, dy = reach * np.cos(along + np.pi / 4), reach * np.sin(along + np.pi / 4)
        self.line([x - dx, x + dx], [y - dy, y + dy], lw=0.9, color=INK)


def set_paper(ax, box, margins) -> Paper:
    """Fit a drawing into an axes, equal scale both ways, and return the paper.

    `box` is left, right, bottom, top of what is drawn [mm]; `margins`, in the same order, is the room around it on
    paper [mm]. The axes must have its final size on the figure. Raises ValueError where the margins leave no room.
    """
    wide, high = (np.array([ax.bbox.width, ax.bbox.height]) / ax.figure.dpi) * INCH
    left, right, bottom, top = margins
    room_x, room_y = wide - left - right, high - bottom - top
    if room_x < 10.0 or room_y < 2.0:
        raise ValueError(
            f"the axes is {wide:.0f} x {high:.0f} mm; this drawing needs more than {left + right + 10:.0f} x "
            f"{bottom + top + 2:.0f} mm: use a larger figure, or draw without dimensions"
        )
    x0, x1, y0, y1 = box
    scale = max((x1 - x0) / room_x, (y1 - y0) / room_y)
    spare_x, spare_y = 0.5 * (room_x * scale - (x1 - x0)), 0.5 * (room_y * scale - (y1 - y0))
    ax.set_aspect("equal", adjustable="box")
    ax.set_xlim(x0 - left * scale - spare_x, x1 + right * scale + spare_x)
    ax.set_ylim(y0 - bottom * scale - spare_y, y1 + top * scale + spare_y)
    ax.set_axis_off()
    ax.grid(False)
    return Paper(ax, scale)


def along_chord(paper: Paper, start, end, y, words, beside="right", inside="break") -> None:
    """Dimension parallel to the chord between two points of the drawing, its line at height `y`, below or above them.

    Extension lines run from the points to the line. `beside`: "left", "right" or "none", where a text goes that does
    not fit between; `inside`: "break" interrupts the line for a text that fits, "over" writes it above the line.
    """
    for px, py in (start, end):
        away = np.sign(y - py) or 1.0
        paper.line([px, px], [py + away * GAP * paper.scale, y + away * 2.0 * STROKE * paper.scale])
        paper.stroke(px, y)
    (x0, _), (x1, _) = sorted((start, end))
    paper.line([x0, x1], [y, y], color=INK)
    if beside == "none" or line_width(words, SMALL) + 2.0 * NARROW <= (x1 - x0) / paper.scale:
        lift, va = (0.0, "center") if inside == "break" else (0.6 * paper.scale, "bottom")
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.0} if inside == "break" else None
        paper.text(0.5 * (x0 + x1), y + lift, words, ha="center", va=va, bbox=ground)
    elif beside == "right":
        paper.text(x1 + 2.0 * GAP * paper.scale, y, words, ha="left", va="center")
    else:
        paper.text(x0 - 2.0 * GAP * paper.scale, y, words, ha="right", va="center")


def across_chord(paper: Paper, low, high, x, words, end="top", lower=0.0) -> None:
    """Dimension across the chord between two points, its line at `x`.

    The text stands centred above its top end, or to the right of a thin line that runs down from its bottom end by
    `lower`.
    """
    for px, py in (low, high):
        away = np.sign(x - px) or 1.0
        paper.line([px + away * GAP * paper.scale, x + away * 2.0 * STROKE * paper.scale], [py, py])
        paper.stroke(x, py, np.pi / 2)
    paper.line([x, x], [low[1], high[1]], color=INK)
    gap = 2.0 * GAP * paper.scale
    if end == "top":
        paper.text(x, high[1] + gap, words, ha="center", va="bottom", linespacing=1.05)
        return
    foot = low[1] - lower - gap
    paper.line([x, x], [low[1], foot - 5.0 * paper.scale])
    paper.text(x + 0.6 * gap, foot, words, ha="left", va="top", linespacing=1.05)


def along_curve(paper: Paper, points, offset, words, share=0.5) -> None:
    """Dimension along a curve of the drawing, moved out by `offset` mm on paper, the text lying along it.

    `points` (n, 2) in order of x; `share` of the curve's length where the text is centred.
    """
    points = np.asarray(points)
    tangent = np.gradient(points, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    curve = points + offset * paper.scale * normal
    paper.line(*curve.T, color=INK)
    for i in (0, -1):
        ends = points[i] + np.outer([GAP, offset + 2.0 * STROKE], normal[i]) * paper.scale
        paper.line(*ends.T)
        paper.stroke(*curve[i], np.arctan2(tangent[i, 1], tangent[i, 0]))
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1)))
    half = 0.5 * line_width(words, SMALL) * paper.scale
    at = max(share * run[-1], min(half + 6.0 * paper.scale, 0.5 * run[-1]))  # clear of the stroke at the start
    x, y, nx, ny = (np.interp(at, run, values) for values in (*curve.T, *normal.T))
    away = curve - [x, y]
    near = np.abs(away @ [ny, -nx]) <= half
    lift = max(float(np.max(away[near] @ [nx, ny], initial=0.0)), 0.0) + GAP * paper.scale  # clear of a hollow curve
    turn = np.degrees(np.arctan2(-nx, ny))
    x, y = x + lift * nx, y + lift * ny
    paper.text(x, y, words, ha="center", va="bottom", rotation=turn, rotation_mode="anchor")


# ----- The section to scale


EDGE = 0.6  # points: outline of a solid part
KEY_LENGTH, SHORT_KEY, KEY_HEIGHT = 22.0, 10.0, 2.0  # mm on paper
FREE_AT = 0.42  # share of the free length where its words are centred
ROWS = (7.0, 13.5)  # mm on paper below the section: small dimensions, chord
MARGINS = (2.5, 26.0, 17.0, 16.0)  # mm on paper: left, right, bottom, top, with dimensions
PLAIN_MARGINS = (2.0, 2.0, 2.0, 2.0)


@in_style
def draw_section(ax, study, dimensions: bool = True, strain_key: bool = True):
    """The section to scale on an Axes of its final size, and the `Paper` it stands on.

    Sheets with their real thickness, shaded by bending strain as a share of the greatest; land and bond line, rod or
    tube, potting. `section_figures` adds chord, land, bond line, free length, spacer, setback, mouth and outer
    thickness; `strain_key` the scale of the shades. The axes needs about 30 mm beside and 35 mm above and below the
    section for them.
    """
    shape = section_outlines(study)
    margins = MARGINS if dimensions else (*PLAIN_MARGINS[:3], 7.0 if strain_key else 2.0)
    left, front, half = shape.left, shape.front, shape.half_height
    paper = set_paper(ax, (left, front, -half, half), margins)
    _parts(ax, shape, _edge(study, paper.scale))
    paper.line([left - 2.0 * paper.scale, front + 2.0 * paper.scale], [0, 0], dashes=(10, 2, 2, 2), zorder=4.5, lw=0.4)
    key_end = left
    if strain_key:
        row = half + (9.5 if dimensions else 2.5) * paper.scale
        leader = dimensions and _spacer_place(study, shape, paper.scale) == "above"
        key_end = _strain_key(paper, study, left, row, shape.rod[0] if leader else front)
    if dimensions:
        _chord_dimensions(paper, study, shape)
        _height_dimensions(paper, study, shape)
        _spacer_label(paper, study, shape, key_end)
    return paper


def section_height(study, width_mm: float) -> float:
    """Height an axes of this width needs for the dimensioned section [mm], so that nothing is left over."""
    left, right, bottom, top = MARGINS
    shape = section_outlines(study)
    scale = (study.design.land_length / MM + shape.front) / (width_mm - left - right)
    return max(2.0 * shape.half_height / scale, 4.0) + bottom + top


def _edge(study, scale):
    """Weight of outlines [points]: thinner where the sheet itself is thin on paper, so that its shade still shows."""
    return min(EDGE, 0.3 * study.design.sheet_thickness / MM / scale / INCH * 72.0)


@in_style
def draw_parts(ax, section, edge: float = EDGE) -> None:
    """The parts of a section alone: potting, land, bond line, shaded sheets, rod. Limits are left as they are.

    `section`: a study, or anything with a `bend` and a `design`; `edge` is the weight of the outlines in points.
    """
    _parts(ax, section_outlines(section), edge)


def _parts(ax, shape: Outlines, edge):
    for piece in shape.potting:
        edging = {"edgecolor": LINES["spacer"].colour, "lw": 0.3}
        ax.add_patch(Polygon(piece, facecolor=FILLS["resin"], zorder=1, label="potting", **edging))
    ax.add_patch(Polygon(shape.bond, facecolor=FILLS["bond"], edgecolor="none", zorder=2.6, label="bond line"))
    colours = [strain_rgb(share) for share in shape.strain.tolist()]
    for side in (np.asarray, mirrored):
        _shaded(ax, side(shape.sheet.cells), colours, 2, "sheet")
        _solid(ax, side(shape.sheet.ring), "none", INK, 3, edge)
        _solid(ax, side(shape.land), FILLS["land"], INK, 2.5, edge)
    _rod(ax, shape)


def _solid(ax, ring, face, edge, zorder, weight=EDGE):
    ax.add_patch(Polygon(ring, facecolor=face, edgecolor=edge, lw=weight, joinstyle="miter", zorder=zorder))


def _shaded(ax, cells, colours, zorder, label=""):
    """Cells in a row, each drawn on under its next neighbour: no light seams between them in any viewer."""
    cells = np.array(cells)
    cells[:-1, 1:3] = cells[1:, 1:3]
    ax.add_collection(
        PolyCollection(cells, facecolors=colours, edgecolors="none", zorder=zorder, label=label), autolim=False
    )


def _rod(ax, shape: Outlines):
    (x, radius), line = shape.rod, LINES["spacer"]
    looks = {"edgecolor": line.colour, "zorder": 3, "lw": 0.8 * line.weight}
    ax.add_patch(Circle((x, 0.0), radius, facecolor=FILLS["spacer"], label="spacer", **looks))
    if shape.bore > 0:
        looks = {"edgecolor": line.colour, "zorder": 3.1, "lw": 0.5 * line.weight}
        ax.add_patch(Circle((x, 0.0), shape.bore, facecolor=PAPER, label="bore", **looks))
    tick = 0.18 * radius
    for dx, dy in ((tick, 0.0), (0.0, tick)):
        ax.add_line(Line2D([x - dx, x + dx], [-dy, dy], color=line.colour, lw=0.5, zorder=3.2))


def _strain_key(paper: Paper, study, x, y, limit):
    """Scale of the shades, from no strain to the greatest, then the colour of the potting; less where `limit` is near.

    Returns where it ends.
    """
    s, words, greatest = paper.scale, "surface strain  0", show(study.quantities["land_strain"], "%", 3)
    start, high, gap = x + (line_width(words, SMALL) + 1.8) * s, KEY_HEIGHT * s, 1.5 * s
    paper.text(x, y + 0.5 * high, words, va="center", color=QUIET)
    for length, words in ((KEY_LENGTH, f"{greatest} at the land"), (SHORT_KEY, greatest)):
        bar = start + length * s
        end = bar + gap + line_width(words, SMALL) * s
        if end + gap < limit:
            break
    edges = np.linspace(start, bar, 45)
    cells = [rectangle(a, b, y, y + high) for a, b in itertools.pairwise(edges)]
    _shaded(paper.axes, cells, [strain_rgb(float(share)) for share in np.linspace(0.0, 1.0, len(cells))], 5)
    _solid(paper.axes, rectangle(start, bar, y, y + high), "none", QUIET, 6)
    paper.text(bar + gap, y + 0.5 * high, words, va="center", color=QUIET)
    swatch = end + 3.0 * gap
    last = swatch + 1.5 * high + gap + line_width("potting", SMALL) * s
    if last + gap > limit:
        return end
    _solid(
        paper.axes, rectangle(swatch, swatch + 1.5 * high, y, y + high), FILLS["resin"], LINES["spacer"].colour, 6, 0.3
    )
    paper.text(swatch + 1.5 * high + gap, y + 0.5 * high, "potting", va="center", color=QUIET)
    return last


def _chord_dimensions(paper: Paper, study, shape: Outlines):
    """Below the section: land, setback and chord; above it the free length along the sheet."""
    bend, design, s, sheet = study.bend, study.design, paper.scale, shape.sheet
    near, far = (-shape.half_height - row * s for row in ROWS)
    corner, front = sheet.inner[-1], shape.front
    left, under = shape.left, -0.5 * design.bond_line / MM - design.sheet_thickness / MM
    proud = ", rod proud" if bend.setback < 0 else ""
    setback = f"setback {show_input(bend.setback, 'mm')}{proud}"
    nose = (sum(shape.rod), 0.0)
    room = min(nose[0], corner[0]) / s - line_width(setback, SMALL)
    along_chord(paper, (left, under), (0.0, under), near, _land_words(design, room))
    foremost = (front, 0.0) if bend.setback < 0 else (corner[0], -corner[1])
    along_chord(paper, (left, under), foremost, far, f"chord {show(study.quantities['chord'], 'mm')}")
    if room < 25.0:  # between the strokes then, short enough to fit
        setback = setback.removesuffix(proud)
    along_chord(paper, nose, (corner[0], -corner[1]), near, setback, "left" if room > 25.0 else "none", "over")
    along_curve(paper, sheet.outer, 3.0, _free_words(study, shape, s), FREE_AT)


def _free_words(study, shape, scale):
    """Free length with the sheet's thickness, or alone where the words would reach the stroke at their start or the
    leader of the rod's name."""
    bend, rod = study.bend, shape.rod[0] / scale if _spacer_place(study, shape, scale) == "above" else np.inf
    free = f"free length {show_input(bend.free_length, 'mm')}"
    full = f"{free}, sheet {show_input(bend.sheet_thickness, 'mm')}"
    middle, half = FREE_AT * bend.free_length / MM / scale, 0.5 * line_width(full, SMALL)
    return full if half + 6.0 <= middle and middle + half + 2.0 <= rod else free


def _height_dimensions(paper: Paper, study, shape: Outlines):
    """In front of the section: mouth and outer thickness."""
    corner, outer, s = shape.sheet.inner[-1], shape.sheet.outer[-1], paper.scale
    mouth, lower = f"mouth\n{show(study.bend.mouth, 'mm')}", outer[1] - corner[1] + 1.5 * s
    across_chord(paper, mirrored(corner), corner, shape.front + 5.0 * s, mouth, "bottom", lower)
    thickness = f"outer thickness\n{show(study.quantities['outer_thickness'], 'mm')}"
    across_chord(paper, mirrored(outer), outer, shape.front + 12.0 * s, thickness)


def _land_words(design, room):
    """Land with bond line, or the land alone where the words do not fit into the room beside it [mm on paper]."""
    land = f"land {show_input(design.land_length, 'mm')}"
    full = f"{land}, bond line {show_input(design.bond_line, 'mm')}"
    return full if line_width(full, SMALL) + 8.0 <= room else land


def spacer_words(design) -> str:
    """What the spacer is: "tube 18 mm, wall 1.5 mm" or "rod 8 mm"."""
    size = show_input(design.spacer_diameter, "mm")
    return f"tube {size}, wall {show_input(design.spacer_wall, 'mm')}" if design.spacer_wall > 0 else f"rod {size}"


def _spacer_place(study, shape: Outlines, scale):
    """Where the name of the spacer stands: inside a large rod, in the hollow behind it where it fits, else above."""
    width = line_width(spacer_words(study.design), SMALL)
    x, radius = shape.rod
    if width + 3.0 < 1.85 * (radius - study.design.spacer_wall / MM) / scale:
        return "inside"
    start = x - radius - (width + 4.0) * scale
    hollow = np.interp(start, *shape.sheet.inner.T) / scale
    return "behind" if start > 0 and hollow > 2.6 else "above"


def _spacer_label(paper: Paper, study, shape: Outlines, key_end):
    words, s = spacer_words(study.design), paper.scale
    x, radius = shape.rod
    look = {"color": LINES["spacer"].colour}
    place = _spacer_place(study, shape, s)
    if place == "inside":
        paper.text(x, 0.18 * radius + 1.0 * s, words, ha="center", va="bottom", **look)
    elif place == "behind":
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
        paper.text(x - radius - 1.5 * s, 0.0, words, ha="right", va="center", bbox=ground, **look)
    else:
        row = 9.0 if x - (line_width(words, SMALL) + 2.0) * s > key_end else 12.6
        y = shape.half_height + row * s
        paper.line([x, x], [radius, y - 0.5 * s], **look)
        paper.text(x + s, y, words, ha="right", va="bottom", **look)


def describe_section(study) -> str:
    """One paragraph that says what the picture of the section shows, for readers who cannot see it.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> describe_section(evaluate(demo().design, local=False)).split(". ")[2]
    'Chord 239.8 mm, mouth 19.53 mm, outer thickness 23.53 mm'
    """
    bend, design, values = study.bend, study.design, study.quantities
    if bend.setback < 0:
        front = (
            f"The rod stands proud of the sheet ends by {show_input(-bend.setback, 'mm')}; the potting is two small "
            "pieces, one between the rod and each sheet."
        )
    else:
        front = (
            f"The sheet ends stand {show_input(bend.setback, 'mm')} in front of the rod; the space between rod and "
            "mouth is potted."
        )
    return (
        f"Section of {clean(design.title)}, to scale: two {show_input(design.sheet_thickness, 'mm')} sheets of "
        f"{design.sheet.name}, bonded over a {show_input(design.land_length, 'mm')} land at the trailing edge, on the "
        f"left, curve apart over {show(values['contact_arclength'], 'mm', 3)} until they rest on a "
        f"{spacer_words(design)}, then run straight to the front edge. {front} Chord {show(values['chord'], 'mm')}, "
        f"mouth {show(values['mouth'], 'mm')}, outer thickness {show(values['outer_thickness'], 'mm')}. The sheets are "
        f"shaded by bending strain: darkest at the land, {show(values['land_strain'], '%', 3)}, fading to none where "
        f"they meet the rod, at {show(values['contact_angle'], 'deg', 3)} to the chord line."
    )
