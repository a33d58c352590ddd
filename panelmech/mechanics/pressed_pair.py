"""Both sheets of a pair as one: pressed on one face or on both, and buckling of the face that is compressed.

A sheet of a pair is not clamped at its land: the land is a strip where two sheets are bonded, and it turns with both.
The front is a rod, or rod and potting, which both sheets share. Since both sheets are alike, every load is half one
that is alike on both faces and half one that is opposite, and each half is a framed sheet of its own (derived here):

    alike       by symmetry the land cannot turn, but by the give of its adhesive (a spring); nothing holds the front
                along the chord: land 'diaphragm', rod 'diaphragm'
    opposite    the land turns freely, for what one sheet asks of it the other takes away; land and front cannot come
                nearer, for the sheets hold them against each other: land 'supported' and 'held', rod 'held'

    load on one face, p:  that face w = alike(p/2) + opposite(p/2),  the other one w = alike(p/2) - opposite(p/2)

So a load on one face gives between the two, a load on both faces alike (filling, heated air, depth of water) the one,
a suction on one face with as much pressure on the other (a side force) the other. Front 'resting': the rod supports the
sheets, which may turn on it; 'potted': it clamps them, but for the give of resin and nose. Linear, as
`mechanics.shell`; leaves out the twisting of the land as a bar between the frames, and a movement of the front across
the chord (the whole blade's).

Buckling of one compressed face couples the halves: with K_s and K_a their stiffness for a wave along the span and G the
work of the compression, which only one face has,

    (K_s s, K_a a) = N/2 (G_ss s + G_sa a, G_as s + G_aa a)

for the least N of all waves (frames that support the sheet and hold it along their edge: `mechanics.shell_waves`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from ..units import read_array, read_choice
from .numerics import gauss
from .ritz_bases import bending_basis
from .shell import buckling_degrees, press, proportions
from .shell_fields import Field, added, find_largest
from .shell_model import CURVATURE_NODES, Edge, Edges, FramedSheet, SheetLoad, curvature_stations, even_pressure
from .shell_waves import SUPPORTING, lowest_compression, search, waves

FACES = ("one", "both", "opposite")
FRONTS = {"resting": "supported", "potted": "clamped"}  # how the rod's edge bends


@dataclass(frozen=True, eq=False)
class PairPress:
    """A pair under a load on its faces.

    Attributes
    ----------
    faces, front : as asked
    deflection, other : of the face that is pressed and of the other one, each outward from the other sheet: `Field` [m]
    largest_deflection, largest_at : of the pressed face with its sign, searched over it, and its place (x, y) [m]
    other_largest : of the other face [m]
    error : as of `press`, the greater of both halves [-]
    notes : where the theory is stretched, in words
    """

    sheet: FramedSheet = field(repr=False)
    load: SheetLoad
    faces: str
    front: str
    deflection: Field = field(repr=False)
    other: Field = field(repr=False)
    largest_deflection: float
    largest_at: tuple
    other_largest: float
    error: float
    notes: tuple


@dataclass(frozen=True)
class Give:
    """What resists the turning of the ends of one sheet of a pair, moment per radian and metre of span [N m/rad per m];
    None: endless.

    land : the bond, against the turning of each sheet's own half (`bonded_end`)
    front : of a potted front the resin, against the turning of the sheet in it
    nose : of a potted front the whole, against its own turning with both sheets: half of it for each, which is
        GJ pi^2 / (2 width^2) of rod and potting for the longest wave between frames, the softest (derived here)
    """

    land: float | None = None
    front: float | None = None
    nose: float | None = None

    @property
    def opposite(self):
        """At the front, where both sheets turn alike: resin and nose one behind the other; None: endless."""
        given = [spring for spring in (self.front, self.nose) if spring is not None]
        if not given:
            return None
        return 0.0 if 0.0 in given else 1.0 / sum(1.0 / spring for spring in given)


RIGID = Give()


def halves(sheet: FramedSheet, front: str = "potted", give: Give = RIGID) -> tuple:
    """(alike, opposite): the `FramedSheet`s of a pair whose faces move alike and opposite.

    sheet : one sheet of the pair; its land and rod edges are replaced, its frames stay.
    front : a key of `FRONTS`. give : `Give`; of the front where it is potted only.
    """
    frames, turns = _frames(sheet), FRONTS[read_choice(front, "front", FRONTS)] == "supported"
    kept = None if sheet.curvature is None else sheet.curvature_values
    out = []
    for land, in_plane, own, spring in (
        ("clamped", "diaphragm", give.land, give.front),
        ("supported", "held", None, give.opposite),
    ):
        spring = 0.0 if turns else spring
        edges = Edges(_edge(land, own, in_plane), _edge("clamped", spring, in_plane), *frames)
        out.append(replace(sheet, curvature=kept, edges=edges, land_spring=own, rod_spring=spring))
    return tuple(out)


def _edge(bending, spring, in_plane):
    return Edge(bending if spring is None else "supported", in_plane)


def _frames(sheet):
    return sheet.edges.near_frame, sheet.edges.far_frame


def press_pair(sheet, load=None, faces="one", front="potted", give=RIGID, degrees=None) -> PairPress:
    """A pair under a `SheetLoad` (default: even pressure of 1 kPa) on one face, on both alike, or opposite on both.

    sheet, front, give : as of `halves`. faces : one of `FACES`. degrees : as of `press`. The load is positive
    outward on the pressed face. Raises ValueError for other words, and as `press`.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.mechanics.pressed_pair import press_pair
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> [show(press_pair(sheet, None, faces).largest_deflection, "mm", 3) for faces in ("one", "both", "opposite")]
    ['0.353 mm', '0.420 mm', '0.290 mm']
    """
    read_choice(faces, "faces", FACES)
    load = load or even_pressure()
    counted = {"one": (0.5, 0.5), "both": (1.0, 0.0), "opposite": (0.0, 1.0)}[faces]
    parts = [
        (share, press(half, load, degrees))
        for share, half in zip(counted, halves(sheet, front, give), strict=True)
        if share
    ]
    sign = -1.0 if faces == "opposite" else 1.0
    own = [share * one.deflection.coefficients for share, one in parts]
    others = [own[0] * sign, *(-part for part in own[1:])]
    deflection, other = (Field(added(*series), sheet.length, sheet.width) for series in (own, others))
    largest, x, y = find_largest(deflection)
    return PairPress(
        sheet,
        load,
        faces,
        front,
        deflection,
        other,
        largest,
        (x, y),
        find_largest(other)[0],
        max(one.error for _, one in parts),
        tuple(dict.fromkeys(note for _, one in parts for note in one.notes)),
    )


def pair_critical_stress(sheet, share=None, front="potted", give=RIGID) -> float:
    """Compression along the span at which one face of a pair buckles while the other carries none [Pa].

    share : of the compression at `curvature_stations(length)`, (n,), or a function of the arclength [m]; default even.
    sheet, front, give : as of `halves`; the frames must support the sheet and hold it along their edge.
    Within 1e-5, never below. Raises ValueError for other frames, and where nothing is compressed.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.mechanics.pressed_pair import pair_critical_stress
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> [show(pair_critical_stress(sheet, front=front), "MPa", 3) for front in ("resting", "potted")]
    ['9.31 MPa', '11.2 MPa']
    """
    if not sheet.edges.near_frame == sheet.edges.far_frame == SUPPORTING:
        raise ValueError(
            f"the frames are {sheet.edges.words()}: the buckling of a pair is known for frames that support the sheet "
            "and hold it along their edge, free to draw in ('supported', 'diaphragm')"
        )
    counted = _share(sheet, share)
    if not np.max(counted) > 0.0:
        raise ValueError("the share of the compression is nowhere positive: nothing can buckle")
    both = halves(sheet, front, give)
    degree, bases = buckling_degrees(sheet, 1.0)[0], []
    for half in both:
        land, rod = half.edges.land.bending, half.edges.rod.bending
        bases.append(bending_basis(land, rod, degree, nodes=CURVATURE_NODES))
    weight = 0.5 * gauss(CURVATURE_NODES)[1] * sheet.length / 2 * counted
    values = np.concatenate([basis.values[0] for basis in bases], axis=1)
    work = values.T @ (weight[:, None] * values)
    parts = [waves(half, degree, counted) for half in both]

    def critical(wavenumbers):
        b = np.asarray(wavenumbers, float)
        each = [part.stiffness(b) for part in parts]
        first = each[0].shape[-1]
        whole = np.zeros((len(b), len(work), len(work)))
        whole[:, :first, :first], whole[:, first:, first:] = each
        return lowest_compression(whole, work, b)

    found, _ = search(critical, sheet, proportions(sheet)[0], float(np.max(counted)))
    return float(sheet.bending_stiffness * found / sheet.thickness)


def _share(sheet, share):
    if share is None:
        return np.ones(CURVATURE_NODES)
    stations = curvature_stations(sheet.length)
    given = read_array(share(stations) if callable(share) else share, "share of the compression", axes=1)
    if given.shape != (CURVATURE_NODES,):
        raise ValueError(
            f"the share of the compression came with shape {given.shape}: give {CURVATURE_NODES} values at "
            "curvature_stations(length), or a function of the arclength"
        )
    return given
