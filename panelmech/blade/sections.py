"""The sections of a blade at many stations along its span, all solved at once.

Every station is the exact bend of its own dimensions, as if the sheets were bent there on their own: `blade.taper_fit`
says how far neighbouring stations are from fitting one flat sheet. Section properties are those of the composite
section (`mechanics.section`), square to the line that is kept straight; a leading edge or rod that runs at an angle to
the span makes the true normal section narrower by the cosine of that angle, which is left out.

x of the part runs forward from the line that is kept straight; x of a section, as everywhere, from its own land end.
`land_end_x` turns one into the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend, InfeasibleBend, solve_bend
from ..mechanics.numerics import gauss_places
from ..mechanics.section import bore_radius, composite_section, hollow_moments, sheet_moments
from ..study.checks import RULES, judge
from ..study.design import JUDGED
from ..study.quantities import BENDING_QUANTITIES, Pick, Solved, gather
from ..study.verdicts import Check, worst
from ..units import read_array, read_choice, read_count, show
from .blade import ALONG_FIELDS, Blade

# ----- Areas of a bent section within its outer outline, and their centroids: what floats, what is hollow.
#
# The outline is the part as bonded and potted: land with its bond line, outer faces of the sheets, square-cut ends,
# mouth plane; a rod that stands proud counts in full. A nose shaped or faired later is not in it. All areas are exact
# solid areas; first moments of the curved part by Gauss's rule as in `section`.


def outer_areas(bend: Bend, numbers: dict) -> dict:
    """Areas [m2] and centroids [m, from the land end] of a bent section, floats or arrays.

    `displaced_area`, `displaced_x` of all within the outer outline; `void_x` of the hollow behind the rod; `sheets_x`
    of the two sheets over the free length; `potting_x` (the rod's centre where there is none); `bond_area` of the
    adhesive in the land, `bond_x`; `bore_area` of the tube.
    """
    ones = {"span_modulus": 1.0, "spacer_modulus": 1.0, "resin_modulus": 1.0}
    solid = dict(numbers, filled=0.0, spacer_wall=0.0 * np.asarray(numbers["spacer_wall"]), **ones)
    parts = composite_section(bend, solid)  # with every modulus 1, EA is the area of sheets, land, rod and potting
    bond = numbers["land_length"] * numbers["bond_line"] + 0.0 * bend.void_area
    void_x, bond_x = void_centroid(bend), -0.5 * numbers["land_length"]
    solids = parts.axial_stiffness * parts.centroid_x
    area = parts.axial_stiffness + bond + bend.void_area
    return {
        "displaced_area": area,
        "displaced_x": (solids + bond * bond_x + bend.void_area * void_x) / area,
        "void_x": void_x,
        "sheets_x": sheet_moments(bend)[0] / (bend.free_length * bend.sheet_thickness),
        "potting_x": _potting_x(bend, solid),
        "bond_area": bond,
        "bond_x": bond_x,
        "bore_area": np.pi * bore_radius(numbers) ** 2,
    }


def _potting_x(bend, solid):
    """Centroid of the potting: that of the section in which the resin alone has a modulus."""
    with np.errstate(invalid="ignore", divide="ignore"):
        resin = composite_section(bend, dict(solid, span_modulus=0.0, spacer_modulus=0.0))
        return np.where(resin.axial_stiffness > 0.0, resin.centroid_x, bend.spacer_position)


def void_centroid(bend: Bend):
    """x of the centroid of the hollow between the inner faces and behind the rod [m from the land end]."""
    return hollow_moments(bend)[1] / bend.void_area


# ----- Stations.


STOCK = ("sheet", "spacer")  # records that may differ between many parts, beside sizes
NUMBERS = (*JUDGED, "frame_width")  # numbers of a design that may, too: nothing along the span hangs on them
MOST_STATIONS = 100_000  # along the span, or points along a sheet
STEP_GAP = 1e-9  # of the span: how far before a step its old value is read


@dataclass(frozen=True, eq=False)
class BladeSections:
    """Sections along the span; every array has one value for each station, root end first.

    Attributes
    ----------
    position : from the root end [m], strictly rising; a step of a dimension has two stations a billionth of the span
        apart
    numbers : all inputs by name as of `study.quantities.gather`
    bend, composite : the bent shape and the modulus-weighted section, with its `shares` and `masses` by part (bond
        line, closing frames: see `hydrostatics`)
    land_end_x : in the frame of the part, x forward from the line kept straight [m]
    displaced_area, displaced_x : area within the outer outline [m2], its centroid from the land end [m]
    centroid_x, shear_centre_x : from the land end; the neutral axis in the plane of the chord, the shear centre [m]
    chord, outer_thickness : trailing edge to front-most point, largest thickness [m]
    thickness_ratio : outer thickness over chord [-]
    axial_stiffness : EA [N]
    chord_stiffness, normal_stiffness : EI about the chord line (a side force) and about the normal axis [N m2]
    torsion_stiffness : GJ [N m2]
    section_modulus : of the skin's outer fibre, for bending about the chord line [m3]
    mass_per_length : [kg/m]
    enclosed_area, void_area, front_area : between the inner faces, behind the rod, of the potting [m2]
    land_strain : bending strain at the land [-]
    land_moment, contact_force, push_out_force : of forming, per metre of span [N m/m, N/m, N/m]
    opening_energy, strain_energy : of forming, per area of land [J/m2] and per metre of span [J/m]
    contact_angle : [rad]
    greatest_spacer : its diameter [m]
    friction_needed : that keeps the rod in [-]
    """

    blade: Blade
    position: np.ndarray
    solved: Solved
    land_end_x: np.ndarray
    displaced_area: np.ndarray
    displaced_x: np.ndarray

    def __getattr__(self, name):
        """A quantity of `study.quantities.QUANTITIES`, worked out when it is first asked for."""
        if name in BENDING_QUANTITIES:
            return np.broadcast_to(self.solved[name], self.shape)
        raise AttributeError(f"sections have no {name!r}")

    @property
    def shape(self) -> tuple:
        """Of every array: (stations,), of many parts at once (parts, 1, stations)."""
        return np.shape(self.land_end_x)

    @property
    def numbers(self) -> dict:
        """All inputs by name as of `study.quantities.gather`."""
        return self.solved.numbers

    @property
    def bend(self):
        """The bent shapes."""
        return self.solved.bend

    @property
    def composite(self):
        """Modulus-weighted sections."""
        return self.solved.composite

    @property
    def centroid_x(self):
        """Neutral axis in the plane of the chord, from the land end [m]."""
        return self.composite.centroid_x

    @property
    def feasible(self):
        """True where the sheets take the spacer."""
        return self.bend.feasible

    @property
    def reason(self):
        """Why not, in words; empty where feasible."""
        return self.bend.reason

    @property
    def shares(self) -> dict:
        """Share of EI about the chord line by part [-]."""
        return self.composite.shares

    @property
    def masses(self) -> dict:
        """Mass per metre of span by part [kg/m]."""
        return self.composite.masses

    @property
    def cell_area(self):
        """Between the two mid-surfaces, land end to the line through the contacts [m2]."""
        return self.bend.cell_area

    @property
    def trailing_edge_x(self):
        """x of the trailing edge in the frame of the part [m]."""
        return self.land_end_x - self.numbers["land_length"]

    @property
    def leading_edge_x(self):
        """x of the front-most point in the frame of the part [m]."""
        return self.land_end_x + self.bend.free_chord

    @property
    def rod_x(self):
        """x of the rod's axis in the frame of the part [m]."""
        return self.land_end_x + self.bend.spacer_position

    def integrate(self, values):
        """Integral along the span of one value for each station, straight between stations (trapezoidal rule)."""
        return float(np.trapezoid(values, self.position))

    @property
    def filled_mass(self) -> float:
        """Mass of ribs and solid zones [kg], the hollow straight between stations; `hydrostatics` has it exactly."""
        design, mass = self.blade.design, 0.0
        for stretch in design.filled:
            inner = self.position[(self.position > stretch.start) & (self.position < stretch.end)]
            places = np.array([stretch.start, *inner, stretch.end])
            area = np.interp(places, self.position, self.void_area)
            mass += design.resin.density * float(np.trapezoid(area, places))
        return mass

    def judged(self) -> dict:
        """Every forming rule rated at every station (see `study.checks.judge`)."""
        return judge(self.numbers, self.solved)


def blade_sections(blade: Blade, stations=41, allow_infeasible: bool = False) -> BladeSections:
    """Sections of a blade at stations along its span.

    Parameters
    ----------
    blade : Blade
    stations : int or array
        Number of even stations from the root end to the tip, at least 2; places where a dimension changes its taper are
        added, and two at every step. Or positions from the root end [m], rising; of a step they read the new value.
    allow_infeasible : bool
        Return nan and a `reason` at stations that cannot be bent, instead of raising.

    Raises
    ------
    InfeasibleBend
        Names the first station that cannot be bent, and the quantity to change there.
    ValueError
        For stations that are not on the span or do not rise.
    """
    position = _positions(blade, stations)
    before = reads_before(blade, position)
    values = {
        name: np.where(before, old, new)
        for (name, new), old in zip(
            blade.values_at(position).items(), blade.values_at(position, before=True).values(), strict=True
        )
    }
    numbers = {
        name: np.broadcast_to(value, position.shape) if np.ndim(value) == 0 and name in ALONG_FIELDS else value
        for name, value in gather(blade.design, **values, **_filled(blade, position, before)).items()
    }
    solved = Solved(numbers)
    if not allow_infeasible:
        _refuse_infeasible(solved.bend, position)
    with np.errstate(invalid="ignore"):
        areas = outer_areas(solved.bend, numbers)
    x = land_end(blade.straight, numbers, solved.bend)
    return BladeSections(blade, position, solved, x, areas["displaced_area"], areas["displaced_x"])


def solved_along(blade: Blade, designs, position, before) -> Solved:
    """Designs at the root of a blade at places along it, (parts, 1, places) in every array; they differ in `STOCK`,
    `NUMBERS` and the sizes of `blade.ALONG_FIELDS`. position, before: as of `Blade.values_with_roots`."""
    sizes = blade.values_with_roots(roots_of(designs), position, before)
    arrays = {name: values[:, None, :] for name, values in sizes.items()}
    shape = arrays["free_length"].shape
    picked = {name: _picked([getattr(design, name) for design in designs], shape) for name in STOCK}
    own = {name: np.array([getattr(design, name) for design in designs]) for name in NUMBERS}
    arrays |= {name: np.broadcast_to(v[:, None, None], shape) for name, v in own.items() if np.ptp(v) > 0.0}
    arrays |= {name: np.broadcast_to(v, shape) for name, v in _filled(blade, position, before).items()}
    return Solved(gather(designs[0], **arrays, **picked))


def _filled(blade, position, before):
    """Whether the hollow is filled at places along a blade that has solid zones, as `gather` takes it."""
    stiff = blade.design.inside.stiff_at(position, before, blade.span)
    return {"filled": stiff.astype(float)} if np.any(stiff) else {}


def roots_of(designs) -> dict:
    """Sizes of designs at the root of a blade, (parts,) [m], as `Blade.values_with_roots` takes them."""
    return {name: np.array([getattr(design, name) for design in designs]) for name in ALONG_FIELDS}


def _picked(records, shape):
    same = {id(record): record for record in records}  # a record is compared field by field, which takes long
    place = {record: i for i, record in enumerate(dict.fromkeys(same.values()))}
    by_id = {key: place[record] for key, record in same.items()}
    index = np.array([by_id[id(record)] for record in records])
    return Pick(tuple(place), np.broadcast_to(index[:, None, None], shape))


def worst_stations(sections: BladeSections) -> tuple[Check, ...]:
    """Every forming check at the station where its reserve is least; where none can be judged, of the largest value."""
    judged, design = sections.judged(), sections.blade.design
    worst_of = ((rule, *worst(judged[rule.key], ("",), sections.position)) for rule in RULES)
    return tuple(rule.check(design, {}, rated, **where) for rule, rated, where in worst_of)


def span_rule(blade: Blade, places=(), order: int = 12):
    """Positions [m] and weights [m] of a rule that integrates smooth functions of the station along the span.

    Gauss's rule on every stretch between breakpoints, the steps respected; further `places` [m] begin a new stretch
    (a water line, the end of a closing frame), and so does the place where the setback passes through zero. Exact to
    rounding for ordinary tapers, to 1e-8 where the setback passes through zero (tested).
    """
    places, order = read_array(places, "places", "mm", axes=1).tolist(), read_count(order, "order", 1, 200)
    inner = [p for p in (*places, *_rod_meets_mouth(blade)) if 0.0 < p < blade.span]
    borders = np.unique([*blade.section_places, *inner])
    return gauss_places(borders, order)


def _positions(blade, stations):
    if read_array(stations, "stations").ndim:
        position = read_array(stations, "stations", "mm", axes=1, least=1).copy()
        if np.any(np.diff(position) <= 0.0):
            raise ValueError("stations must be a row of positions that rise from the root end to the tip")
        return position
    count = read_count(stations, "stations", 2, MOST_STATIONS, hint="or positions [m]")
    even, fixed = np.linspace(0.0, blade.span, count), np.array(blade.section_places)
    apart = np.abs(even[:, None] - fixed).min(axis=1) > 1e-6 * blade.span
    return np.sort(np.concatenate([even[apart], fixed, _before_steps(blade)]))


def _rod_meets_mouth(blade):
    """Places where a tapered setback passes through zero: the potting's area has no second derivative there."""
    ends = np.array(blade.breakpoints)
    start, stop = blade.values_at(ends[:-1])["setback"], blade.values_at(ends[1:], before=True)["setback"]
    crossing = start * stop < 0.0
    return (ends[:-1] + np.diff(ends) * start / np.where(crossing, start - stop, 1.0))[crossing]


def reads_before(blade: Blade, position):
    """Of stations, whether each is one just before a step, which reads the old value."""
    return np.isin(position, _before_steps(blade))


def _before_steps(blade):
    return np.array(blade.section_steps) - STEP_GAP * blade.span


def _refuse_infeasible(bend, position):
    wrong = np.flatnonzero(~bend.feasible)
    if not wrong.size:
        return
    at = int(wrong[0])
    inputs = (bend.free_length, bend.sheet_thickness, bend.spacer_diameter, bend.bond_line, bend.setback)
    more = f" ({wrong.size} of {len(position)} stations cannot be bent)" if wrong.size > 1 else ""
    try:
        solve_bend(*(float(values[at]) for values in inputs))
    except InfeasibleBend as error:
        raise InfeasibleBend(f"{show(position[at], 'mm')} from the root end: {error}{more}") from None


def land_end(straight: str, numbers: dict, bend: Bend):
    """x of the land end where x = 0 is the line kept straight [m], one of `blade.STRAIGHT_LINES`."""
    if straight == "trailing edge":
        return numbers["land_length"] + 0.0 * bend.spacer_position
    return -(bend.free_chord if straight == "leading edge" else bend.spacer_position)


# ----- The part in space: outlines of its stations, from which pictures, surfaces and volumes are made.
#
# Frame of the part: x forward from the line kept straight (see `blade`), y across the chord, z along the span from the
# root end to the tip. Every outline has the same number of points for the same piece of the section, so that joining
# them from station to station gives the surface.


CURVED_SHARE = 0.85  # of the points along a sheet lie behind the contact, where it is bent
NOSE_POINTS = 15  # across the mouth, or round a rod that stands proud


@dataclass(frozen=True, eq=False)
class BladeSurface:
    """Points of the part in space [m]: `x` and `y` of shape (stations, points), `z` of shape (stations,).

    `closed`: each row runs once around the section, from the trailing edge over the upper side, the mouth and the lower
    side back to the trailing edge, the first point not repeated. Else it runs along the upper sheet, trailing edge to
    front edge.
    """

    x: np.ndarray
    y: np.ndarray
    z: np.ndarray
    closed: bool

    def points(self) -> np.ndarray:
        """x, y, z of every point, shape (stations, points, 3) [m]."""
        return np.stack([self.x, self.y, np.broadcast_to(self.z[:, None], self.x.shape)], axis=-1)

    def volume(self) -> float:
        """Volume within a closed surface, straight between points and stations [m3]: areas by the prismoid rule.

        Between two stations every point moves straight, so the area is a quadratic in z and Simpson's rule exact.
        """
        if not self.closed:
            raise ValueError("only a closed surface has a volume: take `blade_outline`")
        middle = [0.5 * (v[1:] + v[:-1]) for v in (self.x, self.y)]
        ends = _enclosed(self.x, self.y)
        return float(np.sum(np.diff(self.z) * (ends[1:] + ends[:-1] + 4.0 * _enclosed(*middle)) / 6.0))


def blade_outline(sections: BladeSections, points: int = 61) -> BladeSurface:
    """Closed outer outline of every station, `points` along each sheet: what is under water, as bonded and potted."""
    upper_x, upper_y = _sheet_rows(sections, read_count(points, "points", 3, MOST_STATIONS), 1.0)
    corner_x, corner_y = _end_of_sheet(sections, -1.0)
    nose_x, nose_y = _nose(sections, corner_x, corner_y)
    x = np.hstack([upper_x, nose_x, upper_x[:, ::-1]])
    y = np.hstack([upper_y, nose_y, -upper_y[:, ::-1]])
    return BladeSurface(x, y, sections.position, True)


def upper_sheet(sections: BladeSections, points: int = 61, face: str = "middle") -> BladeSurface:
    """Upper sheet from the trailing edge to the front edge: its "outer", "middle" or "inner" face."""
    sides = {"outer": 1.0, "middle": 0.0, "inner": -1.0}
    side = sides[read_choice(face, "face", sides)]
    return BladeSurface(*_sheet_rows(sections, points, side), sections.position, False)


def sheet_arclengths(bend, points: int = 61):
    """Arclengths from the land end [m] of the points along a sheet, trailing edge left out: (stations, points - 1)."""
    points = read_count(points, "points", 4)
    bent = min(max(2, round(CURVED_SHARE * (points - 1))), points - 2)
    ahead = np.linspace(0.0, 1.0, points - bent)[1:]
    arc, rest = bend.contact_arclength[:, None], bend.overhang[:, None]
    arclength = np.hstack([arc * np.linspace(0.0, 1.0, bent), arc + rest * ahead])
    return np.minimum(arclength, np.asarray(bend.free_length)[:, None])


def _sheet_rows(sections, points, side):
    """x, y of a face of the upper sheet, trailing edge first, then the land end."""
    bend, offset = sections.bend, sections.land_end_x[:, None]
    arclength = sheet_arclengths(bend, points)
    x, y = bend.outline(arclength)
    angle, half = bend.tangent_angle(arclength), 0.5 * side * np.asarray(bend.sheet_thickness)[:, None]
    x, y = x - half * np.sin(angle), y + half * np.cos(angle)
    start = -np.asarray(sections.numbers["land_length"])[:, None]
    return offset + np.hstack([start, x]), np.hstack([y[:, :1], y])


def _end_of_sheet(sections, side):
    """Corner of the front edge of the upper sheet, (stations,)."""
    x, y = _sheet_rows(sections, 4, side)
    return x[:, -1], y[:, -1]


def _nose(sections, corner_x, corner_y):
    """From the upper inner corner across the mouth plane, round a rod that stands proud of it, to the lower one."""
    radius = np.asarray(sections.bend.spacer_radius)
    share = np.linspace(1.0, -1.0, NOSE_POINTS)
    proud = np.asarray(sections.bend.setback) < 0.0
    reach = np.clip((corner_x - sections.rod_x) / radius, -1.0, 1.0)
    turn = np.arccos(reach)[:, None] * share
    arc_x, arc_y = sections.rod_x[:, None] + radius[:, None] * np.cos(turn), radius[:, None] * np.sin(turn)
    flat_x, flat_y = corner_x[:, None] + 0.0 * share, corner_y[:, None] * share
    x, y = np.where(proud[:, None], arc_x, flat_x), np.where(proud[:, None], arc_y, flat_y)
    ends = corner_x[:, None], corner_y[:, None]
    return np.hstack([ends[0], x, ends[0]]), np.hstack([ends[1], y, -ends[1]])


def _enclosed(x, y):
    """Area within closed rows of points, positive clockwise: upper side first, then back along the lower one."""
    return 0.5 * np.sum(y * np.roll(x, -1, axis=1) - x * np.roll(y, -1, axis=1), axis=1)
