"""Templates at true scale, as closed outlines and marks in metres, each with its offset table.

End dam (fits in front of the rod), frame dam (fits in the hollow), outside gauge (the whole outer shape), nose
gauge, trailing-edge bevel gauge, and drilling marks for the two closing frames. Dams of inner ribs and solid zones are
frame dams at their places. Pieces that go inside are smaller by a
clearance along the exact normals. Every drawn point is on the exact curve to rounding; the straight pieces between stay
within 2 micrometres of it (`shop.outlines.TOLERANCE`), so paper, not the drawing, sets the accuracy. Each table gives
the exact half-thickness at round distances from the trailing edge.
"""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from ..blade.blade import Blade
from ..mechanics.bend import Bend
from ..study.design import Design
from ..units import FACTORS, lengths, read_choice, read_number, show_input
from .along_span import AlongSpan, Side, along_span
from .filled import inner_dams
from .outlines import (
    check_rise,
    front_pieces,
    height_at,
    hollow,
    inner,
    nose,
    nose_radius,
    notch,
    outer_face,
    outer_outline,
    parallel,
)
from .volumes import frame_plenty

# ----- Records of a template: what is cut, marked and drilled, and the table that says the same in numbers.
#
# Lengths in metres. x runs along the chord from the land end forward (the land has negative x), y across it from the
# chord line. Tables count x from the trailing edge, since that is what a rule can be held to.


MM = FACTORS["mm"]
KEEP = "keep the line on the piece: saw just outside it, then file to the middle of the line"
DRILL_CARE = "caution, dust: drill cured resin only, with extraction, eyes and mask on"
VENT_CARE = "caution, sealed hollow: the vent stays open ashore and before any heat"
BEVEL_CARE = "caution, dust: bevel wet or with extraction, mask on"
LEAVE = "leave the line on the waste: the edge of the gauge is the far side of the line"


@dataclass(frozen=True, eq=False)
class Path:
    """A chain of straight pieces."""

    points: np.ndarray  # (n, 2) [m]
    closed: bool
    kind: str  # "cut" or "mark"
    name: str


@dataclass(frozen=True, eq=False)
class Hole:
    """A hole to drill."""

    x: float  # of its centre [m]
    y: float  # m
    diameter: float  # m
    name: str


@dataclass(frozen=True, eq=False)
class OffsetTable:
    """The shape in numbers."""

    columns: tuple  # their names; the first is the distance from the trailing edge
    values: np.ndarray  # (n, m) [m], nan where a column has nothing there


@dataclass(frozen=True, eq=False)
class Template:
    """One template at true scale."""

    key: str  # short, for file names
    name: str
    paths: tuple  # of Path
    table: OffsetTable
    line: str  # which side of the line to saw
    count: int  # how many to make
    notes: tuple  # in words
    holes: tuple = ()  # of Hole
    part: str = ""  # title of the design, for every sheet
    stamp: str = ""  # its input hash, likewise
    land: float = math.nan  # from the trailing edge, where tables count from, to x = 0 [m]

    @property
    def box(self) -> tuple:
        """Left, bottom, right, top of all that is drawn [m]."""
        points = [path.points for path in self.paths]
        points += [
            [[h.x - h.diameter / 2, h.y - h.diameter / 2], [h.x + h.diameter / 2, h.y + h.diameter / 2]]
            for h in self.holes
        ]
        points = np.vstack(points)
        return (*(float(v) for v in points.min(axis=0)), *(float(v) for v in points.max(axis=0)))


def offset_csv(template: Template) -> str:
    """The offset table as CSV, in mm to a hundredth; an empty cell where a column has nothing."""
    rows = [",".join(f"{name} [mm]" for name in (c.replace(",", "") for c in template.table.columns))]
    rows += [",".join("" if math.isnan(v) else f"{v / MM:.2f}" for v in row) for row in template.table.values]
    return "\n".join(rows) + "\n"


# ----- Where holes through a closing frame go: on the chord line, behind the rod, with enough frame around them.
#
# The part is hung with its span upright for pouring: fill and vent go through the frame at the high end, the drain
# through the one at the low end (common practice, no source).


DRILLS = (8e-3, 6e-3, 5e-3, 4e-3, 3e-3, 2.5e-3, 2e-3, 1.5e-3, 1e-3)
WANTED = {"fill": 8e-3, "vent": 4e-3, "drain": 6e-3}  # judgement, no source
ENDS = {"high end": ("fill", "vent"), "low end": ("drain",)}
HUNG = {"root end": "high end", "tip end": "low end"}  # a tapered part is hung with its root up
LEAST_WALL = 1.0e-3  # m of frame around a hole, and at least half its diameter: judgement, no source


def wall(diameter: float) -> float:
    """Frame to leave between a hole and sheet, rod or the next hole [m]."""
    return max(LEAST_WALL, 0.5 * diameter)


def room_at(bend: Bend, x: float) -> float:
    """Distance from the chord line at `x` [m] to the inner faces [m], the exact curve at 2001 stations (an upper bound,
    at most 1e-5 of the free length too large)."""
    points = parallel(bend, np.linspace(0.0, bend.contact_arclength, 2001), inner(bend))
    return float(np.min(np.hypot(points[:, 0] - x, points[:, 1])))


def hole_places(bend: Bend, diameters: dict) -> tuple:
    """Holes one behind the other from the rod backwards, on the chord line.

    `diameters` [m] by name. ValueError, with the largest drill that fits, where one does not.
    """
    holes, edge = [], _rod_back(bend)
    for name, diameter in diameters.items():
        x = _place(bend, edge, diameter)
        if x is None:
            fits = next((d for d in DRILLS if d < diameter and _place(bend, edge, d) is not None), None)
            advice = "none fits" if fits is None else f"the largest drill that fits is {show_input(fits, 'mm')}"
            raise ValueError(
                f"{name} hole of {show_input(diameter, 'mm')} does not fit behind the rod with a wall of "
                f"{show_input(wall(diameter), 'mm')}: {advice}"
            )
        holes.append(Hole(x, 0.0, diameter, name))
        edge = x - 0.5 * diameter
    return tuple(holes)


def usual_holes(bend: Bend, names) -> tuple:
    """Holes of the usual size, or the next smaller drill that fits; ValueError where none does."""
    chosen, edge = {}, _rod_back(bend)
    for name in names:
        drill = next((d for d in DRILLS if d <= WANTED[name] and _place(bend, edge, d) is not None), None)
        if drill is None:
            raise ValueError(f"no {name} hole: not even a drill of {show_input(DRILLS[-1], 'mm')} fits behind the rod")
        chosen[name], edge = drill, _place(bend, edge, drill) - 0.5 * drill
    return hole_places(bend, chosen)


def _rod_back(bend):
    return bend.spacer_position - bend.spacer_radius


def _place(bend, edge, diameter):
    """x of a hole whose front wall ends at `edge`, or None where the faces are too near."""
    x = edge - wall(diameter) - 0.5 * diameter
    return x if x > 0.0 and room_at(bend, x) >= 0.5 * diameter + wall(diameter) else None


# ----- Templates at true scale, as closed outlines and marks in metres, each with its offset table.


STEPS = {  # m between the rows of a table, round in the unit lengths are shown in
    "mm": (1e-3, 2e-3, 5e-3, 10e-3, 20e-3, 50e-3, 100e-3, 200e-3, 500e-3),
    "inch": tuple(0.0254 * step for step in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 5, 10, 20)),
}
MOST_ROWS = 20
EDGE = 3e-3  # m left at the trailing edge: common practice, 3 to 4 mm
TICK = 1e-3  # m, half of a tick on the chord line, at most
TICK_SHARE = 0.2  # of the half-thickness of the piece, at most


def templates(
    part: Design | Blade | AlongSpan,
    *,
    clearance: float = 0.5e-3,
    nose_rise: float = 0.0,
    edge_thickness: float = EDGE,
    bevel_length: float | None = None,
    hole_diameters: dict | None = None,
    margin: float = 8e-3,
) -> tuple:
    """All templates of a part.

    Parameters
    ----------
    part : Design or Blade
        Of a blade with dimensions that change along the span, templates for root and tip end apart, and gauges for
        either side of every step.
    clearance : float
        By which end dam and frame dam are smaller all round [m]: tape and glue need room.
    nose_rise : float
        How far the nose is to be rounded beyond the mouth plane [m], an arc between the mouth corners; 0: as it is.
    edge_thickness : float
        Thickness to leave at the trailing edge [m]; where the edge is no thicker it stays square.
    bevel_length : float, optional
        Along the chord [m], at most the land; half the land where left out.
    hole_diameters : dict, optional
        {"fill", "vent", "drain"} [m]; any left out is the usual size or the next smaller one that fits.
    margin : float
        Plate left around a gauge's notch [m].

    Returns
    -------
    tuple of Template
        A piece of which the clearance leaves nothing, or a hole for which there is no room, is left out; the notes of
        the outside gauge say so.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For a number out of its range, a hole asked for that does not fit, or a part that `along_span` refuses.
    """
    read_number(clearance, "clearance", "mm", low=0.0)
    read_number(nose_rise, "nose rise", "mm", low=0.0)
    read_number(margin, "margin", "mm", low=1e-3, hint="a gauge needs that much around its notch")
    for name, value in (hole_diameters or {}).items():
        read_choice(name, "the name of a hole", WANTED)
        read_number(value, f"{name} hole", "mm", above=0.0)
    part, bevel = along_span(part), (edge_thickness, bevel_length)
    stamp = f"inputs {part.part.input_hash()}"
    made = [
        (side, template)
        for side in part.sides()
        for template in _of_section(
            part.design_at(side.place, side.before), clearance, nose_rise, bevel, hole_diameters or {}, margin, side
        )
    ]
    return tuple(
        replace(t, part=part.design.title, stamp=stamp, land=part.design_at(side.place, side.before).land_length)
        for side, t in _with_inner_dams(part, made, clearance)
    )


def _with_inner_dams(part, made, clearance):
    """(side, template) with the dams of inner ribs and solid zones: more of the frame dam of a part with one section,
    else one for each at its place."""
    if part.one_section:
        more = len(inner_dams(part))
        yield from ((s, replace(t, count=t.count + more) if t.key == "frame-dam" else t) for s, t in made)
        return
    yield from made
    for stretch, place in inner_dams(part):
        side = Side(f"{stretch.name}, {_mm(place)} from the root end", stretch.key, place, end=False)
        design = part.design_at(place)
        with suppress(_LeftOut):
            yield side, *_named((_frame_dam(design.bend(), design.land_length, clearance),), side)


def _of_section(design, clearance, rise, bevel, diameters, margin, side) -> tuple:
    """Templates of one section; of an end of a tapered part those for that end, named after it; at a step the gauges
    of the outside alone, since nothing closes the part there."""
    bend, land = design.bend(), design.land_length
    if rise != 0.0:
        check_rise(bend, rise)
    if not side.end:
        return _named((_outside_gauge(bend, land, rise, margin, ()), _nose_gauge(bend, land, rise, margin)), side)
    places = [place for place in ENDS if not side.name or place == HUNG[side.name]]
    made, missing = [], []
    for make, *values in (
        (_end_dam, bend, land, clearance),
        (_frame_dam, bend, land, clearance),
        (_nose_gauge, bend, land, rise, margin),
        (_bevel_gauge, design, bevel, margin),
        *((_drilling, bend, land, clearance, place, diameters) for place in places),
    ):
        try:
            made.append(make(*values))
        except _LeftOut as error:
            missing.append(str(error))
    made.insert(2 if len(made) > 2 else 0, _outside_gauge(bend, land, rise, margin, tuple(missing)))
    return _named(made, side) if side.name else tuple(made)


def _named(made, side) -> tuple:
    """Templates named after the section they are for."""
    return tuple(replace(t, key=f"{t.key}-{side.key}", name=f"{t.name}, {side.name}", count=1) for t in made)


class _LeftOut(ValueError):
    """Nothing remains of this template; the text says why."""


def _end_dam(bend, land, clearance) -> Template:
    outlines = front_pieces(bend, clearance)
    if not outlines:
        raise _LeftOut(
            f"no end dam: in front of the rod a clearance of {_mm(clearance)} leaves nothing to cut; close "
            "the front with tape"
        )
    notes = (f"clearance {_mm(clearance)} at sheets and rod; flush with the mouth",)
    if len(outlines) == 2:
        notes += ("the rod divides the front: an upper and a lower piece",)
    pieces = {f"end dam {i}": outline for i, outline in enumerate(outlines, 1)}
    front = bend.spacer_position + bend.spacer_radius + clearance
    return _inside_piece("End dam", bend, land, clearance, pieces, front, notes)


def _frame_dam(bend, land, clearance) -> Template:
    deep = frame_plenty("one to two centimetres")
    notes = (
        f"clearance {_mm(clearance)} at sheets and rod; the dam behind which the closing frame is poured, for which "
        f"{deep} is plenty (common practice)",
    )
    pieces = {"frame dam": _hollow(bend, clearance)}
    return _inside_piece("Frame dam", bend, land, clearance, pieces, _rod_back(bend) - clearance, notes)


def _inside_piece(name, bend, land, clearance, pieces, rod_edge, notes) -> Template:
    """What fits between sheets and rod: its pieces by name, the first with the table; `rod_edge`: x where the rod with
    its clearance ends [m]."""
    first, outlines = next(iter(pieces.values())), tuple(pieces.values())
    x = _stations(first[:, 0].min(), first[:, 0].max(), land, (rod_edge,))
    half = np.maximum(height_at(bend, x, inner(bend, clearance)), 0.0)  # rounding at the tip
    table = _table(x, land, {"half-thickness": half, "rod half-width": _rod_half(bend, x, clearance)})
    paths = tuple(Path(outline, True, "cut", label) for label, outline in pieces.items())
    return Template(name.lower().replace(" ", "-"), name, paths + _chord_marks(outlines, x), table, KEEP, 2, notes)


def _hollow(bend, clearance):
    try:
        return hollow(bend, clearance)
    except ValueError as error:
        raise _LeftOut(f"no frame dam: {error}") from None


def _outside_gauge(bend, land, rise, margin, missing) -> Template:
    outline = outer_outline(bend, land, rise)
    left, right, high = outline[:, 0].min() - margin, outline[:, 0].max() + margin, outline[:, 1].max() + margin
    plate = np.array([[left, -high], [right, -high], [right, high], [left, high]])
    x = _stations(outline[:, 0].min(), outline[:, 0].max(), land, _corners(bend))
    table = _table(x, land, {"half-thickness": _outer_half(bend, x, rise)})
    line = np.array([[left, 0.0], [right, 0.0]])
    paths = (
        Path(plate, True, "cut", "plate"),
        Path(outline, True, "cut", "outer outline"),
        Path(line, False, "mark", "chord line: saw along it for two half gauges"),
        *_ticks(x, outline[:, 1].max()),
    )
    notes = ("outer faces, bare: allow for what is laminated or faired on top", *missing)
    return Template("outside-gauge", "Outside gauge", paths, table, LEAVE, 1, notes)


def _nose_gauge(bend, land, rise, margin) -> Template:
    back = max(bend.spacer_position - 1.5 * bend.spacer_radius, 0.1 * bend.spacer_position)
    faces = outer_face(bend)
    first = np.array([[back, height_at(bend, back, 0.5 * bend.sheet_thickness)[0]]])
    upper = np.vstack([first, faces[faces[:, 0] > back + 1e-9], nose(bend, rise)])
    x = _stations(back, upper[:, 0].max(), land, _corners(bend), least=0.4)
    table = _table(x, land, {"half-thickness": _outer_half(bend, x, rise)})
    shape = (
        f"arc of {_mm(nose_radius(bend, rise))} radius between the mouth corners, {_mm(rise)} beyond the mouth"
        if rise > 0.0
        else "nose as it is: flush with the mouth"
        if bend.setback >= 0.0
        else "nose as it is: the rod stands proud of the sheet ends"
    )
    paths = (Path(notch(upper, back, margin), True, "cut", "nose gauge"), *_ticks(x, upper[:, 1].max()))
    return Template("nose-gauge", "Nose gauge", paths, table, LEAVE, 1, (shape,))


def _bevel_gauge(design, bevel, margin) -> Template:
    full, land = 2.0 * design.sheet_thickness + design.bond_line, design.land_length
    edge, length = bevel[0], 0.5 * land if bevel[1] is None else bevel[1]
    read_number(edge, "edge thickness", "mm", above=design.bond_line, hint="less would cut through to the bond line")
    read_number(length, "bevel length", "mm", above=0.0, high=land, hint="the land is no longer")
    square = edge >= full
    corner = [[-land, 0.5 * full]] if square else [[length - land, 0.5 * full], [-land, 0.5 * edge]]
    upper = np.array([[0.0, 0.5 * full], *corner, [-land, 0.0]])
    x = np.array([-land, 0.0]) if square else np.unique([-land, length - land, 0.0])
    half = np.interp(x, upper[-2::-1, 0], upper[-2::-1, 1])
    angle = np.degrees(np.arctan2(0.5 * (full - edge), length))
    words = (
        f"no bevel: the edge is {_mm(full)} thick, not more than the {_mm(edge)} asked for"
        if square
        else f"{_mm(edge)} left at the edge, bevel {_mm(length)} long, {angle:.1f} degrees on each side"
    )
    paths = (Path(notch(upper, 0.0, margin), True, "cut", "bevel gauge"), *_ticks(x, 0.5 * full))
    table = _table(x, land, {"half-thickness": half})
    notes = (words,) if square else (words, BEVEL_CARE)
    return Template("bevel-gauge", "Trailing-edge bevel gauge", paths, table, LEAVE, 1, notes)


def _drilling(bend, land, clearance, place, diameters) -> Template:
    names = ENDS[place]
    usual = {} if all(n in diameters for n in names) else {h.name: h.diameter for h in _usual(bend, names, place)}
    holes = hole_places(bend, {name: diameters.get(name, usual.get(name)) for name in names})
    crosses = [Path(np.array(ends), False, "mark", f"{h.name}, centre") for h in holes for ends in _cross(h)]
    paths = (Path(_hollow(bend, clearance), True, "mark", "closing frame"), *crosses)
    table = OffsetTable(("from trailing edge", "diameter"), np.array([[h.x + land, h.diameter] for h in holes]))
    words = tuple(
        f"{h.name} hole {_mm(h.diameter)}, centre {_mm(h.x + land)} from the trailing edge, on the chord line"
        for h in holes
    )
    words += (DRILL_CARE, *([VENT_CARE] if "vent" in names else []))
    key, prick = f"drilling-{place.replace(' ', '-')}", "prick the centres through the paper"
    return Template(key, f"Drilling marks, {place}", paths, table, prick, 1, words, holes)


def _usual(bend, names, place):
    try:
        return usual_holes(bend, names)
    except ValueError as error:
        raise _LeftOut(f"no drilling marks for the {place}: {error}") from None


def _cross(hole: Hole):
    reach = 0.5 * hole.diameter + TICK
    return ([[hole.x - reach, 0.0], [hole.x + reach, 0.0]], [[hole.x, -reach], [hole.x, reach]])


def _outer_half(bend, x, rise):
    """Half-thickness of the outer shape at x [m] from the land end."""
    s, c, t = np.sin(bend.contact_angle), np.cos(bend.contact_angle), bend.sheet_thickness
    corner = bend.mouth_position - t * s
    half = height_at(bend, np.clip(x, 0.0, corner), 0.5 * t)
    end = 0.5 * bend.mouth + (bend.mouth_position - x) * c / s  # the square-cut end
    half = np.where((x > corner) & (x <= bend.mouth_position), end, half)
    ahead = x > bend.mouth_position
    if np.any(ahead):
        radius = bend.spacer_radius if rise == 0.0 else nose_radius(bend, rise)
        centre = bend.spacer_position if rise == 0.0 else bend.mouth_position + rise - radius
        half = np.where(ahead, np.sqrt(np.maximum(radius**2 - (x - centre) ** 2, 0.0)), half)
    return half


def _corners(bend):
    """x of the outer and the inner corner of the square-cut end [m]."""
    return bend.mouth_position - bend.sheet_thickness * np.sin(bend.contact_angle), bend.mouth_position


def _rod_half(bend, x, clearance):
    """Half-width of the rod with its clearance at x [m]; nan beside it."""
    radius = bend.spacer_radius + clearance
    inside = radius**2 - (x - bend.spacer_position) ** 2
    return np.where(inside > -1e-9 * radius**2, np.sqrt(np.maximum(inside, 0.0)), np.nan)


def _stations(start, end, land, special=(), least=1.0):
    """x of the rows of a table [m]: both ends, the `special` places between them, and round distances from the trailing
    edge; of these, one nearer to an end than a third of a step is left out."""
    low, high = start + land, end + land
    steps = STEPS[lengths()]
    step = next((s for s in steps if (high - low) / s <= least * MOST_ROWS), steps[-1])
    between = step * np.arange(np.ceil(low / step), np.floor(high / step) + 1)
    between = between[(between > low + step / 3.0) & (between < high - step / 3.0)]
    special = [x + land for x in special if start < x < end]
    return np.unique(np.concatenate([[low], between, special, [high]])) - land


def _table(x, land, columns) -> OffsetTable:
    return OffsetTable(("from trailing edge", *columns), np.column_stack([x + land, *columns.values()]))


def _chord_marks(outlines, x) -> tuple:
    """The chord line under an outline, with the stations of its table."""
    points = np.vstack(outlines)
    tick = _tick(points[:, 1].max())
    line = np.array([[points[:, 0].min() - 2 * tick, 0.0], [points[:, 0].max() + 2 * tick, 0.0]])
    return (Path(line, False, "mark", "chord line"), *_ticks(x, points[:, 1].max()))


def _ticks(x, half) -> tuple:
    """Strokes across the chord line at `x`, short enough for a piece of this half-thickness."""
    tick = _tick(half)
    return tuple(Path(np.array([[v, -tick], [v, tick]]), False, "mark", "station") for v in x)


def _tick(half):
    return min(TICK, TICK_SHARE * half)


def _mm(length):
    return show_input(length, "mm", 4)
