"""Energy of a sheet at large deflection: slopes, limit of small loads, elimination, springs, force left by forming."""

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.shell_large import EdgeGive, LargeModel, large_sets
from panelmech.mechanics.shell_model import (
    CURVATURE_NODES,
    SUPPORTED,
    Edge,
    Edges,
    FramedSheet,
    even_pressure,
    framed_edges,
    framed_sheet,
    point_force,
)
from panelmech.mechanics.shell_ritz import displaced, load_work

DEGREES = (8, 10)


def bent(in_plane="diaphragm", **grain):
    bend = solve_bend(0.225, 0.002, 0.03, 0.0003, 0.003)
    return framed_sheet(bend, 0.5, 0.012, 18.6e9, 0.175, framed_edges(in_plane=in_plane), **grain)


def model(sheet, parity="even", degrees=DEGREES, more=4, give=None, formed=None):
    sets = large_sets(sheet.edges, degrees, parity, more)
    return LargeModel(sheet, sets, sheet.ratios, give or EdgeGive(), formed)


def somewhere(part, size=1.0, seed=0):
    """Amplitudes of a wavy w, about `size` thicknesses."""
    a = np.random.default_rng(seed).normal(size=len(part.sets.w)) / (1.0 + np.arange(len(part.sets.w)))
    return size * a / np.sqrt(a @ part.metric @ a)


GRAIN = dict(span_modulus=9e9, shear_modulus=4e9, stretch_moduli=(16e9, 12e9))
KINDS = [("diaphragm", "even"), ("diaphragm", "odd"), ("held", "all")]


@by_day(("in_plane", "parity"), KINDS, KINDS[0])
def test_slopes_are_those_of_the_energy(in_plane, parity):
    """Central differences: their error is the square of the step, 1e-8 of the third slope."""
    part = model(bent(in_plane, **GRAIN), parity, give=None if in_plane == "held" else EdgeGive(land=1e9))
    at, way = somewhere(part, 2.0), somewhere(part, 1.0, seed=1)
    state, step = part.state(at), 1e-4
    more, less = part.state(at + step * way), part.state(at - step * way)
    assert (more.energy - less.energy) / (2 * step) == pytest.approx(state.gradient @ way, rel=1e-7)
    second = (more.gradient - less.gradient) / (2 * step)
    assert part.tangent(state) @ way == pytest.approx(second, abs=1e-7 * np.abs(second).max())


@by_day(("in_plane", "parity"), [*KINDS, ("held", "odd")], ("held", "odd"))
def test_at_rest_it_is_the_linear_sheet(in_plane, parity):
    """With the same functions of u and v (one degree more than w) the answer is the same to rounding."""
    sheet = bent(in_plane, **GRAIN)
    part = model(sheet, parity, more=1)
    work = load_work(sheet, point_force(1.0, 0.07, 0.11, 0.02), DEGREES, parity)
    rest = part.state(np.zeros(work.size))
    mine = np.linalg.solve(part.tangent(rest), work.ravel())
    u, v, w = displaced(sheet, work, DEGREES, parity)
    small = 1e-9 * mine  # of which the squares are nothing
    in_plane_part = part.state(small).in_plane * 1e9
    for series, other in (
        (part.sets.w.series(mine), w),
        (part.sets.u.series(in_plane_part[: len(part.sets.u)]), u),
        (part.sets.v.series(in_plane_part[len(part.sets.u) :]), v),
    ):
        assert series == pytest.approx(other, abs=1e-7 * np.abs(other).max())


def under_pressure(part, size=1.0):
    """Amplitudes of the sheet's linear answer to even pressure, a mean deflection of `size` thicknesses."""
    slopes = part.tangent(part.state(np.zeros(len(part.sets.w))))
    a = np.linalg.solve(slopes, load_work(part.sheet, even_pressure(1.0), DEGREES, "even").ravel())
    return size * a / np.sqrt(a @ part.metric @ a)


def test_u_and_v_are_in_equilibrium_and_enough():
    """No work is left on any u and v; ten degrees more of them change the membrane energy by less than 1e-6."""
    sheet = bent("held")
    few, many = (model(sheet, more=more) for more in (4, 14))
    at = under_pressure(few, 3.0)
    state = few.state(at)
    work = few._in_plane_work(state.forces)
    assert np.abs(work).max() < 1e-9 * np.abs(few._in_plane_work(np.abs(state.forces))).max()
    bending = 0.5 * at @ few.bending @ at
    stretching, less = state.energy - bending, many.state(at).energy - bending
    assert stretching > bending  # it is the stretching that is looked at
    assert less <= stretching * (1 + 1e-12)  # more freedom never needs more energy
    assert stretching == pytest.approx(less, rel=1e-6)


def test_half_the_span_is_the_whole():
    """An even w among all functions has the same energy and forces as among the even ones."""
    sheet = bent()
    even, whole = model(sheet), model(sheet, "all")
    at = somewhere(even, 2.0)
    across = at.reshape(-1, len(even.sets.w.along_y)) @ even.sets.w.along_y.coefficients
    again = np.linalg.lstsq(whole.sets.w.along_y.coefficients.T, across.T, rcond=None)[0].T
    one, other = even.state(at), whole.state(again.ravel())
    assert other.energy == pytest.approx(one.energy, rel=1e-9)
    half = one.slope_x.shape[1]
    for mine, theirs in zip(one.forces, other.forces, strict=True):
        assert theirs[:, half:] == pytest.approx(mine, abs=1e-8 * np.abs(mine).max())


@pytest.mark.parametrize("name", ["land", "rod", "near_frame", "far_frame"])
def test_springs_lie_between_free_and_held(name):
    sheet = bent()
    parity = "all"
    held = Edges(**{n: Edge(e.bending, "held" if n == name else e.in_plane) for n, e in sheet.edges._items()})
    free, stiff = (model(s, parity) for s in (sheet, sheet.with_edges(held)))
    at = somewhere(free, 2.0)
    energies = [model(sheet, parity, give=EdgeGive(**{name: k})).state(at).energy for k in (0.0, 1e8, 1e10, 1e15)]
    assert energies == sorted(energies)
    assert energies[0] == free.state(at).energy
    assert energies[1] > energies[0] * 1.0001  # each edge's spring is felt
    assert energies[-1] == pytest.approx(stiff.state(at).energy, rel=1e-5)  # 1e15 N/m^2 is 1e5 of the sheet's own


def test_springs_are_refused_where_they_say_nothing():
    with pytest.raises(ValueError, match="rod came with a spring of 1000 Pa, but is held"):
        EdgeGive(rod=1000.0).check(framed_edges(in_plane="held"))
    for wrong in (-1.0, np.nan, np.inf, "soft", True):
        with pytest.raises(ValueError, match="spring of the near frame"):
            EdgeGive(near_frame=wrong)


def test_a_force_left_by_forming_counts_as_compression():
    """Even compression of 4 pi^2 D/b^2 along the chord takes a supported square's stiffness away (k = 4)."""
    sheet = FramedSheet(0.1, 0.1, 0.001, 70e9, 0.3, edges=SUPPORTED)
    critical = 4 * np.pi**2 * sheet.bending_stiffness / sheet.length**2
    for share, stable in ((0.9999, True), (1.0001, False)):
        part = model(sheet, formed=np.full(CURVATURE_NODES, -share * critical))
        slopes = part.tangent(part.state(np.zeros(len(part.sets.w))))
        assert bool(np.linalg.eigvalsh(slopes)[0] > 0.0) is stable


def test_a_sheet_that_cannot_be_solved_is_refused():
    sheet = FramedSheet(0.1, 0.1, 0.001, 70e9, 0.3, edges=SUPPORTED)
    part = LargeModel(sheet, large_sets(SUPPORTED, DEGREES, "even"), type(sheet.ratios)(1, 0, 1, 1, 1, 2.0, 1, 1))
    with pytest.raises(ValueError, match="not positive definite"):
        _ = part.factor
