"""Pictures of the part along its span: in space, from the side (planform), and its sections one under the other.

Pure functions on axes they are given; they read `BladeSections` and draw, in millimetres. The picture in space needs an
axes made with projection="3d" by the caller. The upper sheet is shaded by bending strain, light for none, as in the
section drawing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.patches import Polygon
from mpl_toolkits.mplot3d import proj3d
from mpl_toolkits.mplot3d.art3d import Poly3DCollection

from ..blade.sections import BladeSections, blade_outline, sheet_arclengths, upper_sheet
from ..mechanics.bend import Bend
from ..mechanics.forming import surface_strain
from ..study.design import Design
from ..units import show
from .figures import INCH, SMALL, STAMP_ROOM, axes_at, blank_figure, clean, in_style, stamped, style
from .look import FILLS, INK, LINES, PAPER, QUIET, strain_rgb
from .section_figures import draw_parts, set_paper
from .shapes import MM, mirrored, section_outlines

VIEW = {"elev": 26.0, "azim": 140.0, "roll": 0.0}  # from above, the root end and the nose towards the reader
POINTS = 34  # along a sheet in space
POURED = "potting, closing frames"
WORDS = 19.0  # mm on paper left and right of the planform
SHOWN = 9  # stations drawn as lines
WORD_ROOM = np.array([54.0, 24.0])  # mm on paper left free for words beside and below the part in space


@dataclass(frozen=True, eq=False)
class Station:
    """What `draw.section_figures.draw_parts` reads of a study: the bend and the design of one place along the span."""

    design: Design
    bend: Bend


def station_at(sections: BladeSections, position: float) -> Station:
    """The section at a place [m] from the root end, ready to draw."""
    design = sections.blade.design_at(position)
    return Station(design, design.bend())


@in_style
def draw_blade(ax, sections: BladeSections) -> None:
    """The part in space, to scale, on an axes of projection "3d"; no axes lines, words give span, root and tip.

    Seen from above with the root end and the nose towards the reader.
    """
    outline, upper = blade_outline(sections, POINTS), upper_sheet(sections, POINTS, "outer")
    ax.computed_zorder = False  # drawn from the back to the front: lower sheet, nose, upper sheet, root end
    last = outline.x.shape[1]
    for columns, colour in (
        (np.arange(last - POINTS, last), FILLS["land"]),
        (np.arange(POINTS - 1, last - POINTS + 1), FILLS["resin"]),
    ):
        _add(ax, _cells(outline, columns), colour, 1)
    _add(ax, _cells(upper, np.arange(POINTS)), _shades(sections), 2)
    for index in _shown(sections):
        _curve(ax, upper.z[index] + 0.0 * upper.x[index], upper.x[index], upper.y[index], 0.35)
    for point in (0, 1, -1):
        _curve(ax, upper.z, upper.x[:, point], upper.y[:, point], 0.6)
    _curve(ax, outline.z, outline.x[:, last - POINTS], outline.y[:, last - POINTS], 0.6)
    _root_end(ax, sections)
    _frame(ax, outline)
    _words(ax, sections, outline)


def _cells(surface, columns):
    """Quadrilaterals between neighbouring stations and points, (n, 4, 3): span, chord, thickness [mm]."""
    grid = surface.points()[:, columns][..., [2, 0, 1]] / MM
    return np.stack([grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]], axis=2).reshape(-1, 4, 3)


def _add(ax, polygons, colours, zorder, edge=None):
    """Filled polygons; without an edge colour each is edged in its own, so that no light seams show between them."""
    edge = colours if edge is None else edge
    ax.add_collection3d(Poly3DCollection(polygons, facecolors=colours, edgecolors=edge, lw=0.4, zorder=zorder))


def _curve(ax, along, x, y, weight, colour=INK, zorder=3):
    ax.plot(along / MM, x / MM, y / MM, color=colour, lw=weight, zorder=zorder)


def _shades(sections):
    """Colour of every cell of the upper sheet by its bending strain over the greatest of the part; the land is flat."""
    strain = surface_strain(sections.bend, sheet_arclengths(sections.bend, POINTS))
    middle = 0.25 * (strain[:-1, :-1] + strain[1:, :-1] + strain[1:, 1:] + strain[:-1, 1:])
    share = np.hstack([np.zeros((len(middle), 1)), middle / strain.max()])
    return [strain_rgb(float(value)) for value in share.ravel()]


def _shown(sections):
    """Indices of the stations that are drawn as lines: even along the span."""
    wanted = np.linspace(0.0, sections.position[-1], SHOWN)
    return np.unique([int(np.argmin(np.abs(sections.position - place))) for place in wanted])


def _root_end(ax, sections):
    """The cut face at the root end: hollow, land, sheets, potting, rod."""
    shape, offset = section_outlines(station_at(sections, 0.0)), sections.land_end_x[0] / MM
    inner = np.vstack([shape.sheet.inner, mirrored(shape.sheet.inner[::-1])])
    pieces = [(inner, QUIET, 4), (shape.bond, FILLS["bond"], 5)]
    pieces += [(piece, FILLS["resin"], 5) for piece in shape.potting]
    for side in (np.asarray, mirrored):
        pieces += [(side(shape.sheet.ring), FILLS["land"], 6), (side(shape.land), FILLS["land"], 6)]
    turn = np.linspace(0.0, 2.0 * np.pi, 61)
    circle, (centre, radius) = np.column_stack([np.cos(turn), np.sin(turn)]), shape.rod
    pieces.append(([centre, 0.0] + radius * circle, FILLS["spacer"], 7))
    if shape.bore > 0.0:
        pieces.append(([centre, 0.0] + shape.bore * circle, PAPER, 8))
    for ring, colour, zorder in pieces:
        corners = np.column_stack([np.zeros(len(ring)), ring[:, 0] + offset, ring[:, 1]])
        _add(ax, [corners], colour, zorder, LINES["spacer"].colour if zorder >= 7 else INK)


def _frame(ax, outline):
    """Equal scale all ways, the view, as large as the axes and the words allow, and nothing but the part."""
    points = outline.points().reshape(-1, 3)[:, [2, 0, 1]] / MM
    low, high = points.min(axis=0), points.max(axis=0)
    for axis, start, end in zip("xyz", low, high, strict=True):
        getattr(ax, f"set_{axis}lim")(start, end)
    ax.set_proj_type("ortho")
    ax.view_init(**VIEW)
    ax.set_axis_off()
    room = np.array(ax.get_position(original=True).size) * ax.figure.get_size_inches() * INCH - WORD_ROOM
    ax.set_box_aspect(high - low, zoom=1.0)
    ax.apply_aspect()
    across, up, _ = proj3d.proj_transform(*points.T, ax.get_proj())
    seen = np.ptp(ax.transData.transform(np.column_stack([across, up])), axis=0) / ax.figure.dpi * INCH
    ax.set_box_aspect(high - low, zoom=float((room / seen).min()))
    for artist in (*ax.collections, *ax.lines):
        artist.set_clip_on(False)  # the axes itself shrinks to a square


def _words(ax, sections, outline):
    front, under = outline.x / MM, outline.y.min(axis=1) / MM
    middle, look = len(outline.z) // 2, {"fontsize": SMALL, "color": INK, "parse_math": False, "zorder": 9}
    words, place = f"span {show(sections.blade.span, 'mm')}  ", (front[middle].max(), 1.6 * under[middle])
    ax.text(outline.z[middle] / MM, *place, words, ha="right", va="top", **look)
    for index, name, side, level in ((0, "root end", "center", "top"), (-1, "tip", "right", "center")):
        along = sections.position[index] / MM + (-0.02 if index == 0 else 0.02) * sections.blade.span / MM
        words, y = f"{name}\n{_size_words(sections, index)}", under[index] if index == 0 else 0.0
        ax.text(along, front[index].max(), y, words, ha=side, va=level, **look)


def _size_words(sections, index):
    return f"chord {show(sections.chord[index], 'mm')}\n{show(sections.outer_thickness[index], 'mm', 3)} thick"


@in_style
def draw_planform(ax, sections: BladeSections) -> None:
    """The part from the side, to scale, on an axes of its final size: span to the right, leading edge up.

    Land, hollow, rod, potting, closing frames, inner ribs and solid zones; thin lines at even stations, chords at root
    and tip.
    """
    z = sections.position / MM
    numbers = sections.numbers
    radius = 0.5 * np.asarray(numbers["spacer_diameter"])
    lines = (sections.trailing_edge_x, sections.land_end_x, sections.rod_x - radius, sections.rod_x + radius)
    rows = [v / MM for v in (*lines, sections.leading_edge_x)]
    paper = set_paper(ax, (0.0, z[-1], rows[0].min(), rows[-1].max()), (WORDS, WORDS, 11.0, 10.0))
    fills = (FILLS["land"], PAPER, FILLS["spacer"], FILLS["resin"])
    names = ("land", "hollow", "rod", _poured(sections))
    for low, high, colour, name in zip(rows[:-1], rows[1:], fills, names, strict=True):
        ring = np.vstack([np.column_stack([z, low]), np.column_stack([z, high])[::-1]])
        edge = LINES["spacer"].colour if name == "rod" else INK
        ax.add_patch(Polygon(ring, facecolor=colour, edgecolor=edge, lw=0.5, zorder=1 + (name == "rod"), label=name))
    _closing_frames(ax, sections, z, rows)
    for index in _shown(sections):
        paper.line([z[index]] * 2, [rows[0][index], rows[-1][index]], lw=0.35, zorder=3)
    _planform_words(paper, sections, z, rows)


def _poured(sections):
    """What the colour of the resin is, in the legend."""
    return f"{POURED}, ribs, solid zones" if sections.blade.design.inside else POURED


def _closing_frames(ax, sections, z, rows):
    """The hollow that closing frames, ribs and solid zones fill."""
    width, span = sections.blade.design.frame_width / MM, z[-1]
    ends = ((0.0, width), (span - width, span)) if width > 0.0 else ()
    for start, end in (*ends, *((s.start / MM, s.end / MM) for s in sections.blade.design.filled)):
        along = np.linspace(start, end, 9)
        low, high = np.interp(along, z, rows[1]), np.interp(along, z, rows[2])
        ring = np.vstack([np.column_stack([along, low]), np.column_stack([along, high])[::-1]])
        ax.add_patch(
            Polygon(ring, facecolor=FILLS["resin"], edgecolor=INK, lw=0.4, zorder=1.5, label=_poured(sections))
        )


def _planform_words(paper, sections, z, rows):
    s, low, high = paper.scale, rows[0].min(), rows[-1].max()
    for index, place, side in ((0, -3.0 * s, "right"), (-1, z[-1] + 3.0 * s, "left")):
        name = "root end" if index == 0 else "tip"
        words = f"{name}\nchord\n{show(sections.chord[index], 'mm')}"
        paper.text(place, 0.5 * (rows[0][index] + rows[-1][index]), words, ha=side, va="center")
    paper.text(z[-1], high + 1.5 * s, "leading edge", ha="right", va="bottom", color=QUIET)
    handles = {patch.get_label(): patch for patch in paper.axes.patches}
    corner = WORDS * s / np.ptp(paper.axes.get_xlim()), 1.0
    look = {"loc": "upper left", "ncols": len(handles), "borderaxespad": 0.0, "handlelength": 1.6}
    paper.axes.legend(handles.values(), handles.keys(), bbox_to_anchor=corner, **look)
    y = low - 3.0 * s
    paper.line([0.0, z[-1]], [y, y])
    for end in (0.0, z[-1]):
        paper.stroke(end, y)
    paper.text(0.5 * z[-1], y - 1.0 * s, f"span {show(sections.blade.span, 'mm')}", ha="center", va="top")


@in_style
def draw_section_stack(axes, sections: BladeSections, positions) -> None:
    """Sections at places [m] from the root end, one on each axes, at one scale, the lines kept straight one under
    the other.

    `axes`: as many as positions, of their final size; the first is on top.
    """
    stations = [station_at(sections, float(place)) for place in positions]
    shapes = [section_outlines(station) for station in stations]
    offsets = np.interp(positions, sections.position, sections.land_end_x) / MM
    left = min(o + shape.left for o, shape in zip(offsets, shapes, strict=True))
    right = max(o + shape.front for o, shape in zip(offsets, shapes, strict=True))
    half = max(shape.half_height for shape in shapes)
    for ax, place, offset, station in zip(axes, positions, offsets, stations, strict=True):
        set_paper(ax, (left - offset, right - offset, -half, half), (2.0, 50.0, 1.0, 1.0))
        draw_parts(ax, station, 0.35)
        words = f"{show(place, 'mm')} from the root end\n{_own_size(station)}"
        look = {"ha": "right", "va": "center", "fontsize": SMALL, "color": INK, "parse_math": False}
        ax.text(1.0, 0.5, words, transform=ax.transAxes, **look)


def _own_size(station):
    bend = station.bend
    chord = station.design.land_length + bend.free_chord
    return (
        f"chord {show(chord, 'mm')}\nthickness {show(bend.outer_thickness, 'mm', 3)}, "
        f"{show(bend.outer_thickness / chord, '%', 3)}"
    )


def blade_figure(sections: BladeSections, width_mm: float = 170.0, height_mm: float = 95.0):
    """The part in space, stamped."""
    fig = blank_figure(width_mm, height_mm)
    ax = fig.add_axes((0.0, STAMP_ROOM / height_mm, 1.0, 1.0 - STAMP_ROOM / height_mm), projection="3d")
    draw_blade(ax, sections)
    _stamped(fig, sections)
    with style():
        fig.draw_without_rendering()  # a picture in space is projected when drawn; a digest reads what was drawn
    return fig


def planform_figure(sections: BladeSections, width_mm: float = 170.0, highest_mm: float = 150.0):
    """The planform to scale, as large as the width and `highest_mm` allow, stamped."""
    edges = sections.leading_edge_x.max() - sections.trailing_edge_x.min()
    height = min((width_mm - 40.0) * edges / sections.blade.span + 21.0 + STAMP_ROOM, highest_mm)
    fig = blank_figure(width_mm, height)
    draw_planform(axes_at(fig, 1.0, STAMP_ROOM, width_mm - 2.0, height - STAMP_ROOM - 1.0), sections)
    return _stamped(fig, sections)


def section_stack_figure(sections: BladeSections, positions=None, width_mm: float = 170.0):
    """Sections at places along the span, to scale, stamped; by default at root, quarters and tip."""
    places = np.linspace(0.0, sections.blade.span, 5) if positions is None else np.asarray(positions, dtype=float)
    edges = sections.leading_edge_x.max() - sections.trailing_edge_x.min()
    row = max(sections.outer_thickness.max() / edges * (width_mm - 54.0) + 3.0, 13.0)
    height = row * len(places) + STAMP_ROOM + 1.0
    fig = blank_figure(width_mm, height)
    axes = [axes_at(fig, 1.0, height - 1.0 - row * (i + 1), width_mm - 2.0, row) for i in range(len(places))]
    draw_section_stack(axes, sections, places)
    return _stamped(fig, sections)


def _stamped(fig, sections):
    blade = sections.blade
    return stamped(fig, note=f"{clean(blade.design.title)} · inputs {blade.input_hash()}")


def describe_blade(sections: BladeSections) -> str:
    """What the pictures show, in words, for readers who cannot see them.

    >>> from panelmech.job import demo
    >>> from panelmech.blade.sections import blade_sections
    >>> describe_blade(blade_sections(demo().blade, 5))
    'The tapered part, span 850.0 mm: at the root end chord 239.8 mm, 23.5 mm thick; at the tip chord 179.7 mm,
    24.1 mm thick. The rod is straight along the span.'
    """
    kind = "The part" if np.ptp(sections.chord) < 1e-9 else "The tapered part"
    ends = [_size_words(sections, index).replace("\n", ", ") for index in (0, -1)]
    filled = "; ".join(stretch.words() for stretch in sections.blade.design.filled)
    return (
        f"{kind}, span {show(sections.blade.span, 'mm')}: at the root end {ends[0]}; at the tip "
        f"{ends[1]}. The {sections.blade.straight} is straight along the span."
        + (f" Inside: {filled}." if filled else "")
    )
