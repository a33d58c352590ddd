"""Templates at true scale, as closed outlines and marks in metres, each with its offset table.

End dam (fits in front of the rod), closing frame (fits in the hollow), outside gauge (the whole outer shape), nose
gauge, trailing-edge bevel gauge, and drilling marks for the two closing frames. Pieces that go inside are smaller by a
clearance along the exact normals. Every drawn point is on the exact curve to rounding; the straight pieces between stay
within 2 micrometres of it (`shop.curves.TOLERANCE`), so paper, not the drawing, sets the accuracy. Each table gives the
exact half-thickness at round distances from the trailing edge.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..blade.blade import Blade
from ..study.design import Design
from ..units import show_input
from .curves import height_at, inner
from .holes import ENDS, hole_places, usual_holes
from .outlines import check_rise, front_pieces, hollow, nose, nose_radius, notch, outer_face, outer_outline
from .template_records import KEEP, LEAVE, Hole, OffsetTable, Path, Template

STEPS = (1e-3, 2e-3, 5e-3, 10e-3, 20e-3, 50e-3, 100e-3, 200e-3, 500e-3)  # m between the rows of a table
MOST_ROWS = 20
EDGE = 3e-3  # m left at the trailing edge: common practice, 3 to 4 mm
TICK = 1e-3  # m, half of a tick on the chord line, at most
TICK_SHARE = 0.2  # of the half-thickness of the piece, at most


def templates(
    design: Design,
    blade: Blade | None = None,
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
    design : Design
    blade : Blade, optional
        The same part with dimensions that change along the span: templates for root and tip end apart.
    clearance : float
        By which end dam and closing frame are smaller all round [m]: tape and glue need room.
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
        For a number out of its range, or a hole asked for that does not fit.
    """
    _check(clearance, margin, hole_diameters)
    bevel = (edge_thickness, bevel_length)
    sections = (
        ((design, ""),)
        if blade is None
        else ((blade.design_at(0.0), "root end"), (blade.design_at(blade.span), "tip end"))
    )
    whole = design if blade is None else blade
    about = {"part": sections[0][0].title, "stamp": f"inputs {whole.input_hash()}"}
    return tuple(
        replace(template, **about)
        for section, end in sections
        for template in _of_section(section, clearance, nose_rise, bevel, hole_diameters or {}, margin, end)
    )


def _of_section(design, clearance, rise, bevel, diameters, margin, end) -> tuple:
    bend, land = design.bend(), design.land_length
    if rise != 0.0:
        check_rise(bend, rise)
    made, missing = [], []
    inside = ((_end_dam, (bend, land, clearance)), (_closing_frame, (bend, land, clearance)))
    marks = tuple((_drilling, (bend, land, clearance, place, diameters)) for place in ENDS)
    for make, args in (
        *inside,
        (_nose_gauge, (bend, land, rise, margin)),
        (_bevel_gauge, (design, bevel, margin)),
        *marks,
    ):
        try:
            made.append(make(*args))
        except _LeftOut as error:
            missing.append(str(error))
    made.insert(2 if len(made) > 2 else 0, _outside_gauge(bend, land, rise, margin, tuple(missing)))
    if not end:
        return tuple(made)
    made = [t for t in made if not (t.key.startswith("drilling") and not t.key.endswith(_place_of(end)))]
    return tuple(replace(t, key=f"{t.key}-{end.split()[0]}", name=f"{t.name}, {end}", count=1) for t in made)


class _LeftOut(ValueError):
    """Nothing remains of this template; the text says why."""


def _place_of(end):
    """Which drilling marks an end of a tapered part gets: the root hangs up."""
    return {"root end": "high-end", "tip end": "low-end"}[end]


def _end_dam(bend, land, clearance) -> Template:
    outlines = front_pieces(bend, clearance)
    if not outlines:
        raise _LeftOut(
            f"no end dam: in front of the rod a clearance of {_mm(clearance)} leaves nothing to cut; close "
            "the front with tape"
        )
    front = bend.spacer_position + bend.spacer_radius + clearance
    x = _stations(outlines[0][:, 0].min(), outlines[0][:, 0].max(), land, (front,))
    half = height_at(bend, x, inner(bend, clearance))
    table = _table(x, land, {"half-thickness": half, "rod half-width": _rod_half(bend, x, clearance)})
    notes = (f"clearance {_mm(clearance)} at sheets and rod; flush with the mouth",)
    if len(outlines) == 2:
        notes += ("the rod divides the front: an upper and a lower piece",)
    paths = tuple(Path(o, True, "cut", f"end dam {i}") for i, o in enumerate(outlines, 1))
    return Template("end-dam", "End dam", paths + _chord_marks(outlines, x), (), table, KEEP, 2, notes)


def _closing_frame(bend, land, clearance) -> Template:
    outline = _hollow(bend, clearance)
    back = bend.spacer_position - bend.spacer_radius - clearance
    x = _stations(outline[:, 0].min(), outline[:, 0].max(), land, (back,))
    half = np.maximum(height_at(bend, x, inner(bend, clearance)), 0.0)  # rounding at the tip
    table = _table(x, land, {"half-thickness": half, "rod half-width": _rod_half(bend, x, clearance)})
    notes = (f"clearance {_mm(clearance)} at sheets and rod; one to two centimetres deep is plenty (common practice)",)
    paths = (Path(outline, True, "cut", "closing frame"), *_chord_marks((outline,), x))
    return Template("closing-frame", "Closing frame", paths, (), table, KEEP, 2, notes)


def _hollow(bend, clearance):
    try:
        return hollow(bend, clearance)
    except ValueError as error:
        raise _LeftOut(f"no closing frame: {error}") from None


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
    return Template("outside-gauge", "Outside gauge", paths, (), table, LEAVE, 1, notes)


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
    return Template("nose-gauge", "Nose gauge", paths, (), table, LEAVE, 1, (shape,))


def _bevel_gauge(design, bevel, margin) -> Template:
    full, land = 2.0 * design.sheet_thickness + design.bond_line, design.land_length
    edge, length = bevel[0], 0.5 * land if bevel[1] is None else bevel[1]
    if not design.bond_line < edge:
        raise ValueError(
            f"edge thickness {show_input(edge, 'mm')}: the bevel would cut through to the bond line; give "
            f"more than {show_input(design.bond_line, 'mm')}"
        )
    if not 0.0 < length <= land:
        raise ValueError(
            f"bevel length {show_input(length, 'mm')}: give more than 0 and at most the land, {show_input(land, 'mm')}"
        )
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
    return Template(
        "bevel-gauge",
        "Trailing-edge bevel gauge",
        (Path(notch(upper, 0.0, margin), True, "cut", "bevel gauge"), *_ticks(x, 0.5 * full)),
        (),
        _table(x, land, {"half-thickness": half}),
        LEAVE,
        1,
        (words,),
    )


def _drilling(bend, land, clearance, place, diameters) -> Template:
    names = ENDS[place]
    if any(name in diameters for name in names):
        usual = {} if all(n in diameters for n in names) else {h.name: h.diameter for h in _usual(bend, names, place)}
        holes = hole_places(bend, {n: diameters.get(n, usual.get(n)) for n in names})
    else:
        holes = _usual(bend, names, place)
    outline = _hollow(bend, clearance)
    crosses = [Path(np.array(ends), False, "mark", f"{h.name}, centre") for h in holes for ends in _cross(h)]
    values = np.array([[h.x + land, h.diameter] for h in holes])
    words = tuple(
        f"{h.name} hole {_mm(h.diameter)}, centre {_mm(h.x + land)} from the trailing edge, on the chord line"
        for h in holes
    )
    return Template(
        f"drilling-{place.replace(' ', '-')}",
        f"Drilling marks, {place}",
        (Path(outline, True, "mark", "closing frame"), *crosses),
        holes,
        OffsetTable(("from trailing edge", "diameter"), values),
        "prick the centres through the paper",
        1,
        words,
    )


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
    step = next((s for s in STEPS if (high - low) / s <= least * MOST_ROWS), STEPS[-1])
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
    return f"{length * 1e3:.4g} mm"


def _check(clearance, margin, diameters):
    for name, value in (("clearance", clearance), ("margin", margin)):
        if not (isinstance(value, int | float) and np.isfinite(value) and value >= 0.0):
            raise ValueError(f"{name} is {value!r}: give 0 or more, in metres")
    if margin < 1e-3:
        raise ValueError(f"margin {show_input(margin, 'mm')}: a gauge needs at least 1 mm around its notch")
    known = [name for names in ENDS.values() for name in names]
    for name, value in (diameters or {}).items():
        if name not in known:
            raise ValueError(f"no hole {name!r}: there are {', '.join(known)}")
        if not (isinstance(value, int | float) and np.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} hole {value!r}: give a diameter above 0, in metres")
