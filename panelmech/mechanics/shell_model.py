"""What a framed sheet is: its size, curvature, edges and load. Records and their checks; no mechanics.

The developed sheet lies on x in [0, length] along the chord (arclength from the land end to the rod) and y in
[0, width] along the span, between the two closing frames. The deflection w is positive towards the centre of
curvature: for a bent pair that is *outward*, away from the other sheet. Pressure and point force are positive
the same way; the analysis is linear, so a load pressing in changes the sign of every answer and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ..materials.two_ways import complement, goes_with
from ..units import read_array, read_choice, read_number, show, show_input
from .numerics import gauss

# ----- Stiffness of a sheet whose grain runs along the chord or along the span: its moduli differ the two ways.
#
# Plane stress with the material's axes along chord (1) and span (2):
#
#     Q11 = E1 / (1 - nu12 nu21)   Q22 = E2 / (1 - nu12 nu21)   Q12 = nu12 Q22 = nu21 Q11   Q66 = G
#
# (Lekhnitskii S.G., Anisotropic Plates, 1968; Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, ch. 11).
# D = Q t^3/12 resists bending, A = Q t stretching. `poisson` is nu12: what a pull along the *chord* takes off the span;
# that of a pull along the span follows from nu12 / E1 = nu21 / E2. Everything is divided by D11 = Q11 t^3/12.
#
# The layers of a plywood count differently in bending (outer ones most) and in stretching (all alike), so the two may
# be given moduli of their own; the shear modulus and Poisson's ratio then serve both. Leaves out: bending that
# stretches (a lay-up not symmetric about its middle) and a grain at a slant to the chord.


@dataclass(frozen=True)
class StiffnessRatios:
    """Stiffnesses of a sheet over D11 [-]. In bending: d22, d12, d66 (D22, D12, D66). In stretching, times t^2/12:
    a11, a22, a12, a66. complement: 1 - nu12 nu21 in bending, so that D11 = E1 t^3 / (12 complement)."""

    d22: float
    d12: float
    d66: float
    a11: float
    a22: float
    a12: float
    a66: float
    complement: float


def stiffness_ratios(modulus, poisson, span_modulus=None, shear_modulus=None, stretch_moduli=None):
    """`StiffnessRatios` of a sheet.

    modulus [Pa] along the chord and poisson [-] (nu12). span_modulus, shear_modulus [Pa]: None for an even sheet, with
    E2 = E1, G = E1/(2 (1 + nu)). stretch_moduli: (chord, span) [Pa] in tension and compression where they differ from
    those in bending. Raises ValueError for a span modulus without a shear modulus, for a modulus that is not positive
    and finite, and where 1 - nu12 nu21 is not positive, which no elastic sheet can have (`materials.two_ways`).
    """
    modulus = read_number(modulus, "modulus of a framed sheet", "GPa", above=0.0)
    if span_modulus is None and shear_modulus is None and stretch_moduli is None:
        read_number(poisson, "Poisson's ratio", above=-1.0, below=0.5)
        shear = 0.5 * (1.0 - poisson)
        return StiffnessRatios(1.0, poisson, shear, 1.0, 1.0, poisson, shear, 1.0 - poisson**2)
    if shear_modulus is None:
        raise ValueError(
            "a sheet with a grain came without its shear modulus: give shear_modulus in Pa, or leave "
            "span_modulus and stretch_moduli out for a sheet that is the same every way"
        )
    span = modulus if span_modulus is None else span_modulus
    stretch = (modulus, span) if stretch_moduli is None else tuple(stretch_moduli)
    poisson = read_number(poisson, "Poisson's ratio", above=-100.0, below=100.0)
    for name, value, axes in (
        ("span_modulus", span, 0),
        ("shear_modulus", shear_modulus, 0),
        ("stretch_moduli", stretch, 1),
    ):
        read_array(value, f"{name} of a framed sheet", "GPa", above=0.0, axes=axes)
    span = float(span)
    complement, stretching = _complement(modulus, span, poisson), _complement(*stretch, poisson, " in tension")
    one, shear = modulus / complement, float(shear_modulus)
    a11, a22 = (value / stretching / one for value in stretch)
    return StiffnessRatios(
        span / modulus, poisson * span / modulus, shear / one, a11, a22, poisson * a22, shear / one, complement
    )


def _complement(chord, span, poisson, how=""):
    """1 - nu12 nu21; ValueError where it is not positive."""
    value = complement(chord, span, poisson)
    if not value > 0.0:
        came = show_input(poisson, "", 4)
        raise ValueError(f"Poisson's ratio of a pull along the chord is {came}: give {goes_with(chord, span, how)}")
    return value


# ----- Edges, sheet and load.


CURVATURE_NODES = 48
BENDING = ("clamped", "supported", "free")
IN_PLANE = ("diaphragm", "held", "free")
EDGE_NAMES = ("land", "rod", "near_frame", "far_frame")
IN_PLANE_WORDS = {
    "diaphragm": "held along the edge, free to draw in across it",
    "held": "held both ways",
    "free": "free both ways",
}


@dataclass(frozen=True)
class Edge:
    """How one edge is held.

    bending: 'clamped' (no deflection, no slope), 'supported' (no deflection, free to turn), 'free'.
    in_plane: 'diaphragm' (held along the edge, free normal to it), 'held' (both ways), 'free' (neither).
    """

    bending: str = "supported"
    in_plane: str = "diaphragm"

    def __post_init__(self):
        read_choice(self.bending, "edge bending", BENDING)
        read_choice(self.in_plane, "edge in_plane", IN_PLANE)


def _short(edges, name):
    return ", ".join(f"{where.replace('_', ' ')} {getattr(edge, name)}" for where, edge in edges._items())


def _corners(where):
    """The ends of an edge of the unit square, and 0 if it lies across x, 1 if across y."""
    return {
        "land": ([(0, 0), (0, 1)], 0),
        "rod": ([(1, 0), (1, 1)], 0),
        "near_frame": ([(0, 0), (1, 0)], 1),
        "far_frame": ([(0, 1), (1, 1)], 1),
    }[where]


def _deflection_restraints(edges):
    """Restraints on the rigid motion w = c0 + c1 x + c2 y, one row each."""
    rows = [[0, 0, 0]]
    for where, edge in edges._items():
        points, across = _corners(where)
        rows += [[1, x, y] for x, y in points if edge.bending != "free"]
        rows += [[0, 1 - across, across]] if edge.bending == "clamped" else []
    return np.array(rows)


def _in_plane_restraints(edges):
    """Restraints on the rigid motion u = c0 - c2 y, v = c1 + c2 x, one row each."""
    rows = [[0, 0, 0]]
    for where, edge in edges._items():
        points, across = _corners(where)
        along_x, along_y = [[1, 0, -y] for _, y in points], [[0, 1, x] for x, _ in points]
        tangential, normal = (along_x, along_y) if across else (along_y, along_x)
        rows += tangential if edge.in_plane != "free" else []
        rows += normal if edge.in_plane == "held" else []
    return np.array(rows)


@dataclass(frozen=True)
class Edges:
    """The four edges: land (x = 0), rod (x = length), near frame (y = 0), far frame (y = width).

    Raises ValueError where the choice leaves the sheet free to move as a rigid body, and names the motion.
    """

    land: Edge = Edge("clamped")
    rod: Edge = Edge()
    near_frame: Edge = Edge()
    far_frame: Edge = Edge()

    def __post_init__(self):
        if np.linalg.matrix_rank(_deflection_restraints(self)) < 3:
            raise ValueError(
                f"the edges leave a mechanism in bending ({_short(self, 'bending')}): the sheet can move "
                "or swing as a rigid body; clamp one edge, or support a second one"
            )
        if np.linalg.matrix_rank(_in_plane_restraints(self)) < 3:
            raise ValueError(
                "the edges leave a mechanism in the plane of the sheet "
                f"({_short(self, 'in_plane')}): it can slide or turn as a rigid body; choose "
                "'diaphragm' or 'held' on at least one land or rod edge and one frame"
            )

    @property
    def mirror(self):
        """True where both frames hold the sheet alike, so that the span has a plane of symmetry."""
        return self.near_frame == self.far_frame

    def with_in_plane(self, choice):
        """The same edges with this in-plane choice everywhere, except on edges that are free in the plane."""
        return Edges(**{name: e if e.in_plane == "free" else replace(e, in_plane=choice) for name, e in self._items()})

    def words(self):
        """The edge conditions in a builder's words."""
        names = ("land", "rod", "frames") if self.mirror else ("land", "rod", "near frame", "far frame")
        named = [(name, edge) for name, (_, edge) in zip(names, self._items(), strict=False)]
        plane = {}
        for name, edge in named:
            plane.setdefault(IN_PLANE_WORDS[edge.in_plane], []).append(name)
        return (
            ", ".join(f"{name} {edge.bending}" for name, edge in named)
            + "; in the plane of the sheet "
            + "; ".join(f"{', '.join(who)} {what}" for what, who in plane.items())
        )

    def _items(self):
        return [(name, getattr(self, name)) for name in EDGE_NAMES]


def framed_edges(land="clamped", rod="supported", frames="supported", in_plane="diaphragm"):
    """`Edges` with both frames alike and one in-plane choice for all four edges."""
    frame = Edge(frames, in_plane)
    return Edges(Edge(land, in_plane), Edge(rod, in_plane), frame, frame)


SUPPORTED, CLAMPED = (framed_edges(bending, bending, bending) for bending in ("supported", "clamped"))  # all four


@dataclass(frozen=True, eq=False)
class FramedSheet:
    """One sheet between land, rod and two closing frames.

    Shallow thin shell, linear: thickness well below length and width, deflection below about half the thickness. The
    stress left by forming is left out. Raises ValueError for a size that is not positive or finite, for a Poisson's
    ratio outside (-1, 0.5), or one that does not go with the moduli (`stiffness_ratios`), and for curvature of the
    wrong shape.

    Attributes
    ----------
    length, width : arclength from the land to the rod, free span between the frames [m]
    thickness : [m]
    modulus, poisson : along the chord [Pa], and of a pull along the chord [-]
    curvature : None (flat), a function of the arclength [m] that takes an array, or its values at
        `curvature_stations(length)` [1/m]
    edges : `Edges`
    span_modulus, shear_modulus : None for a sheet that is the same every way [Pa]
    stretch_moduli : (chord, span) where the sheet's modulus in tension is not that in bending [Pa]
    land_spring, rod_spring : moment per radian that resists the turning of a 'supported' land or rod edge, per metre of
        span [N m/rad per m]; None: it turns freely
    """

    length: float
    width: float
    thickness: float
    modulus: float
    poisson: float
    curvature: Callable | np.ndarray | None = field(default=None, repr=False)
    edges: Edges = Edges()
    span_modulus: float | None = None
    shear_modulus: float | None = None
    stretch_moduli: tuple | None = None
    land_spring: float | None = None
    rod_spring: float | None = None

    def __post_init__(self):
        for name, unit in (("length", "mm"), ("width", "mm"), ("thickness", "mm"), ("modulus", "Pa")):
            read_number(getattr(self, name), f"{name} of a framed sheet", unit, above=0.0)
        self._check_springs()
        _ = self.ratios  # refuses what no sheet can have
        values = self.curvature_values
        if values.shape != (CURVATURE_NODES,) or not np.all(np.isfinite(values)):
            raise ValueError(
                f"curvature came with shape {values.shape}; give None, a function of arclength, or "
                f"{CURVATURE_NODES} finite values at curvature_stations(length)"
            )

    def _check_springs(self):
        for name in ("land", "rod"):
            spring, bending = getattr(self, f"{name}_spring"), getattr(self.edges, name).bending
            if spring is not None and bending != "supported":
                raise ValueError(
                    f"the {name} came with a spring against turning, but is {bending}: make that edge 'supported', or "
                    "leave its spring out"
                )
            if spring is not None:
                read_number(spring, f"spring of the {name}", "N", 0.0)

    @property
    def springs(self):
        """{-1 (land) or 1 (rod): spring} of the edges that turn against one [N m/rad per m]."""
        return {side: spring for side, spring in ((-1.0, self.land_spring), (1.0, self.rod_spring)) if spring}

    @cached_property
    def ratios(self):
        """`StiffnessRatios` of the sheet: every stiffness over D11."""
        return stiffness_ratios(self.modulus, self.poisson, self.span_modulus, self.shear_modulus, self.stretch_moduli)

    @cached_property
    def curvature_values(self):
        """Curvature at `curvature_stations(length)` [1/m], shape (CURVATURE_NODES,)."""
        if self.curvature is None:
            return np.zeros(CURVATURE_NODES)
        given = self.curvature(curvature_stations(self.length)) if callable(self.curvature) else self.curvature
        given = np.asarray(given, dtype=float)
        return np.full(CURVATURE_NODES, float(given)) if given.ndim == 0 else given

    @cached_property
    def is_flat(self):
        """True where the curvature is zero everywhere."""
        return not np.any(self.curvature_values)

    @property
    def bending_stiffness(self):
        """D11 = E t^3 / (12 (1 - nu12 nu21)), along the chord, per metre [N m]; nu^2 for an even sheet."""
        return self.modulus * self.thickness**3 / (12.0 * self.ratios.complement)

    def with_edges(self, edges):
        """The same sheet held by other `Edges`; its curvature is not worked out again."""
        return replace(self, curvature=None if self.curvature is None else self.curvature_values, edges=edges)

    def flat(self):
        """The same sheet and edges without curvature."""
        return replace(self, curvature=None)

    def notes(self):
        """Where the shallow thin-sheet theory is stretched, in words; shape: a tuple, empty if nowhere."""
        notes = ["stress left by forming is not in these numbers"] if not self.is_flat else []
        if self.thickness > 0.05 * min(self.length, self.width):
            notes.append(
                "the sheet is thicker than a twentieth of its smaller side: shear, left out here, would "
                "add to the deflection"
            )
        turn = float(np.abs(gauss(CURVATURE_NODES)[1] @ self.curvature_values) * self.length / 2)
        if turn > 0.8:
            notes.append(
                f"the sheet turns through {np.degrees(turn):.0f} degrees: shallow-shell theory is only a guide"
            )
        return tuple(notes)


FOOTPRINT = 0.02  # side of the square that a force acts on where none is given: about a thumb's [m]


@dataclass(frozen=True)
class SheetLoad:
    """A load on the sheet, positive towards the centre of curvature. Use the functions below to make one.

    kind: 'even', 'chord' or 'span' (hydrostatic) or 'point'. size: pressure (the largest one) [Pa] or force
    [N]. deep: which end is deep. x, y: place of the point [m], None for the middle. footprint: side of a
    square [m].
    """

    kind: str
    size: float
    deep: str = ""
    x: float | None = None
    y: float | None = None
    footprint: float = 0.0

    def words(self):
        """The load in words."""
        return {
            "even": "even pressure",
            "chord": f"pressure growing along the chord, deepest at the {self.deep}",
            "span": f"pressure growing along the span, deepest at the {self.deep} frame",
            "point": f"force on a square of {show(self.footprint, 'mm', 3)}",
        }[self.kind]


def even_pressure(pressure=1000.0):
    """The same pressure [Pa] everywhere."""
    return SheetLoad("even", read_number(pressure, "pressure", "Pa"))


def hydrostatic_along_chord(pressure, deep="land"):
    """Pressure from zero to `pressure` [Pa] in a straight line along the chord; deep end 'land' or 'rod'."""
    return SheetLoad("chord", read_number(pressure, "pressure", "Pa"), read_choice(deep, "deep end", ("land", "rod")))


def hydrostatic_along_span(pressure, deep="far"):
    """Pressure from zero to `pressure` [Pa] in a straight line along the span; deep end the 'near' or 'far' frame."""
    return SheetLoad("span", read_number(pressure, "pressure", "Pa"), read_choice(deep, "deep end", ("near", "far")))


def point_force(force, x=None, y=None, footprint=FOOTPRINT):
    """A force [N] at (x, y) [m], by default in the middle, spread evenly over a square of side `footprint` [m], by
    default a thumb's.

    A force always has a footprint: the strain under one without has no limit in thin-sheet theory. Raises ValueError
    for one that is not positive.
    """
    footprint = read_number(footprint, "footprint of a force", "mm", above=0.0)
    x, y = (None if v is None else read_number(v, f"{n} of a point force", "mm") for n, v in (("x", x), ("y", y)))
    return SheetLoad("point", read_number(force, "force", "N"), x=x, y=y, footprint=footprint)


def curvature_stations(length):
    """Arclengths at which sampled curvature is wanted [m], shape (CURVATURE_NODES,), from the land to the rod."""
    return 0.5 * length * (1.0 + gauss(CURVATURE_NODES)[0])


def framed_sheet(bend, span, frame_width, modulus, poisson, edges=None, **grain):
    """`FramedSheet` of one sheet of a bent pair between two closing frames.

    bend: a single feasible `Bend`. span: over all [m]; frame_width: of each closing frame [m]; the free span
    is what is left between them. modulus [Pa], poisson [-]. edges: `Edges`, by default land clamped, the rest
    supported. grain: span_modulus, shear_modulus, stretch_moduli of `FramedSheet`. Raises ValueError where the frames
    leave no free span or the bend is not feasible.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(sheet.length, "mm", 4), show(sheet.width, "mm", 3)
    ('212.4 mm', '826 mm')
    """
    if not bool(np.all(bend.feasible)):
        raise ValueError(f"the sheet cannot be framed: {bend.reason}")
    return FramedSheet(
        float(bend.contact_arclength),
        free_span(span, frame_width),
        float(bend.sheet_thickness),
        modulus,
        poisson,
        bend.curvature,
        edges or Edges(),
        **grain,
    )


def free_span(span, frame_width):
    """Span between the closing frames, span - 2 frame_width [m]. Raises ValueError where nothing is left."""
    span = read_number(span, "span", "mm", above=0.0)
    frame_width = read_number(frame_width, "frame width", "mm", 0.0)
    if not 2 * frame_width < span:
        raise ValueError(
            f"two frames of {show_input(frame_width, 'mm', 4)} do not fit in a span of {show_input(span, 'mm', 4)}: "
            f"make each frame narrower than {show_input(0.5 * span, 'mm', 4)}"
        )
    return float(span - 2 * frame_width)
