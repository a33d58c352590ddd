"""When a framed sheet buckles under compression along the span together with shear: a region, for any loads at once.

The compression goes across the sheet as its distance from the chord line. The shear flow has two parts: of the torque,
even from land to rod, and of the side force, which runs with the first moment of the sheet and is zero on the mean
(`bent_flow`). Which of these three together buckle the sheet hangs on the sheet alone. What it bears is a convex region
in the space of the three: where two states are stable, so is every one between, since the energy of any shape is linear
in the forces (Rayleigh). So points on its surface are worked out, and between them is read by straight lines, which lie
inside: on the safe side.

Between frames that only support it the shapes come apart along the span but for the shear: each is a sum of f_n(x)
sin(n pi y / width), with u and v eliminated (`shell_waves`). Compression couples no two waves; shear, whose work is
2 N_xy w,x w,y, couples waves of odd number with waves of even number by

    2 n m / (n^2 - m^2) * integral of N_xy (f_n' f_m - f_n f_m') dx

(derived here; Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., 1961, section 9.7 for the supported plate). Of
a bay of very many waves the ends hardly matter: it is taken as endless, a wave f(x) e^(iky). The critical shear is then
up to 1.7 % less where that begins (12 sheets drawn at random); one of them bore 3 % more beside the highest share of
compression, which is 0.4 % of all forces.
The mirror image along the span is a state with the shear reversed, so the sign of the shear as a whole does not matter,
only that of its two parts to each other.

Frames that hold the sheet more take shapes away and bear no less. Compression and shear are taken as unchanged along
the span.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import legendre

from .bend import Bend
from .numerics import gauss
from .ritz_bases import bending_basis
from .shell import buckling_degrees, curvature_stations, proportions
from .shell_model import CURVATURE_NODES, FramedSheet
from .shell_waves import lowest, waves

LEVELS = 1.0 - (np.arange(4, 0, -1) / 4.0) ** 2  # shares of the critical compression at which shear is worked out [-]
TURNS = 8  # mixtures of the two parts of the shear at each of them
_ANGLES = np.pi / TURNS * np.arange(TURNS)
SIDE = (
    4.6  # flow of a side force at the rod that counts like a flow of one of a torque: a sheet bears so much more of it
)
MOST_WAVES = 14  # half waves of the compression alone beyond which the bay is taken as endless
MORE_WAVES, FEWEST_WAVES = 1.5, 8  # waves counted per half wave of the compression alone, and beside these
_RATIOS = np.geomspace(0.1, 2.5, 60)  # wavenumbers of an endless bay, over that of the compression alone
NODES = len(LEVELS) * TURNS


def sheared_limits(sheet: FramedSheet, share, flow) -> tuple:
    """(critical compression alone [Pa], critical shear flows (`NODES`,) [N/m]) of a `FramedSheet`.

    share : callable of the arclength from the land end [m]: the compression over its value at the rod, as for
        `mechanics.shell.uneven_critical_stress`, whose stress the first is
    flow : callable of the same: the shear flow of a side force over its value at the rod, as of `bent_flow`

    The flows are critical beside the shares `LEVELS` of the critical compression, in that order, for `TURNS` mixtures
    of the two parts of the shear each: a times cos q of a torque, even everywhere, with a times `SIDE` times sin q of a
    side force, at the rod, q = 0, pi/`TURNS` and so on; a is what stands here. For `share_of_critical`. Within 0.3 % of
    a much finer solution (60 sheets drawn at random, up to nine times as wide as long), 5 to 15 ms. Frames that hold
    the sheet more than supporting it only make it bear more. ValueError where nothing is compressed.
    """
    x = curvature_stations(sheet.length)
    counted, degree = share(x), buckling_degrees(sheet, 1.0)[0]
    if not np.max(counted) > 0.0:
        raise ValueError("the share of the compression is nowhere positive: nothing can buckle")
    matrices = waves(sheet, degree, counted)
    critical, count = lowest(sheet, matrices, proportions(sheet)[0], float(np.max(counted)))
    couplings = _couplings(sheet, degree, (np.ones_like(x), SIDE * flow(x)))
    roots = _endless if count > MOST_WAVES else _in_bay
    largest = list(roots(sheet, matrices, couplings, critical, count))
    flows = sheet.bending_stiffness / np.concatenate(largest)
    return float(sheet.bending_stiffness * critical / sheet.thickness), flows


def share_of_critical(compression, even, side, flows):
    """Share of the forces at which a sheet buckles [-]: their factor's inverse; broadcast.

    compression : over the critical one alone [-], 0 or more
    even, side : shear flow of the torque, and of the side force at the rod, with their signs [N/m]
    flows : of `sheared_limits`, along the first axis [N/m]

    Never below the exact share (but for what `sheared_limits` is off), by a fiftieth more on the mean, 6 % at most, and
    with compression alone exact.
    """
    flows = np.asarray(flows)
    table = flows.reshape(len(LEVELS), TURNS, *flows.shape[1:])
    even, side = np.broadcast_arrays(even, np.asarray(side) / SIDE)
    bears, along = _in_direction(table, np.arctan2(side, even)), np.append(LEVELS, 1.0)
    shear = np.hypot(even, side)
    passed = sum(compression * bears[j] > shear * along[j] for j in range(1, len(LEVELS)))
    best = np.full(np.broadcast_shapes(np.shape(compression), bears.shape[1:]), np.nan)
    for j in range(len(LEVELS)):
        first, second = bears[j], bears[j + 1] if j + 1 < len(LEVELS) else 0.0
        used = compression * (first - second) + shear * (along[j + 1] - along[j])
        best = np.where(passed == j, used / (along[j + 1] * first - along[j] * second), best)
    return best


def _in_direction(table, angle):
    """Critical shear of a mixture at each level, between its two neighbours; table (levels, turns, ...)."""
    step, shape = np.pi / TURNS, table.shape[2:]
    turn = np.mod(np.nan_to_num(angle), np.pi) / step
    before = np.minimum(turn.astype(int), TURNS - 1)
    past, count = (turn - before) * step, int(np.prod(shape))
    rows, place = table.reshape(len(table), -1), np.arange(count).reshape(shape)
    one, other = (np.take(rows, (before + more) % TURNS * count + place, axis=1) for more in (0, 1))
    return np.sin(step) / (np.sin(step - past) / one + np.sin(past) / other)


def bent_flow(bend: Bend):
    """Shear flow of a side force through the shear centre across one bent sheet of a closed cell, over its value at the
    rod, as a function of the arclength [m]: it changes with the sheet's distance from the chord line, and its mean is
    zero, for the cell does not twist (`mechanics.section.wall_flow`). For a single bend."""
    nodes, _ = gauss(CURVATURE_NODES)
    length = float(bend.contact_arclength)
    heights = bend.outline(0.5 * length * (1.0 + nodes))[1]
    series = np.linalg.solve(legendre.legvander(nodes, CURVATURE_NODES - 1), heights)
    moment = legendre.legint(series, lbnd=-1.0)
    moment[0] = 0.0  # its mean
    at_rod = legendre.legval(1.0, moment)
    return lambda arclength: legendre.legval(2.0 * np.asarray(arclength) / length - 1.0, moment) / at_rod


def _couplings(sheet, degree, flows):
    """Of each flow the matrix of integrals of flow (f_i' f_j - f_i f_j') over the length, of the functions of x."""
    weights = gauss(CURVATURE_NODES)[1]
    edges = sheet.edges
    f = bending_basis(edges.land.bending, edges.rod.bending, degree, nodes=CURVATURE_NODES)
    parts = (f.values[1].T @ ((weights * flow)[:, None] * f.values[0]) for flow in flows)
    return [part - part.T for part in parts]


def _reduced(sheet, matrices, wavenumbers, critical):
    """Of each level the inverse of Cholesky's factor of the stiffness left, (waves, functions, functions)."""
    stiffness = matrices.stiffness(wavenumbers)
    work = matrices.work * np.square(wavenumbers)[:, None, None]
    for level in LEVELS:
        yield np.linalg.inv(np.linalg.cholesky(stiffness - level * critical * work))


def _in_bay(sheet, matrices, couplings, critical, count):
    """Largest roots of every mixture at each level, waves of the bay."""
    numbers = np.arange(1, int(MORE_WAVES * count) + FEWEST_WAVES + 1)
    odd, even = numbers[::2], numbers[1::2]
    share = 4.0 / sheet.width * np.outer(odd, even) / np.subtract.outer(odd**2, even**2)
    for inverse in _reduced(sheet, matrices, np.pi * numbers / sheet.width, critical):
        left, right = inverse[::2], inverse[1::2].transpose(0, 2, 1)
        pair = [_coupled(left, share, each, right) for each in couplings]
        yield _of_mixtures(*pair)


def _coupled(left, share, coupling, right):
    """(rows of odd waves, rows of even waves): each left @ coupling @ right, times its share."""
    parts = (left @ coupling)[:, None] @ right[None] * share[..., None, None]
    return parts.transpose(0, 2, 1, 3).reshape(left.shape[0] * left.shape[1], -1)


def _endless(sheet, matrices, couplings, critical, count):
    """The same of a bay without end: the worst of all wavenumbers."""
    wavenumbers = np.pi * count / sheet.width * _RATIOS
    for inverse in _reduced(sheet, matrices, wavenumbers, critical):
        first, second = (
            inverse @ (each * wavenumbers[:, None, None]) @ inverse.transpose(0, 2, 1) for each in couplings
        )
        yield np.max(_of_mixtures(first, second), axis=1)


def _of_mixtures(first, second):
    """Largest singular value of cos q times one matrix and sin q times the other, for every q: (turns, ...)."""
    if first.shape[-1] < first.shape[-2]:
        first, second = np.swapaxes(first, -1, -2), np.swapaxes(second, -1, -2)
    one, two = first @ np.swapaxes(first, -1, -2), second @ np.swapaxes(second, -1, -2)
    both = first @ np.swapaxes(second, -1, -2)
    both = both + np.swapaxes(both, -1, -2)
    c, s = (turn.reshape(-1, *[1] * one.ndim) for turn in (np.cos(_ANGLES), np.sin(_ANGLES)))
    return np.sqrt(np.linalg.eigvalsh(c * c * one + c * s * both + s * s * two)[..., -1])
