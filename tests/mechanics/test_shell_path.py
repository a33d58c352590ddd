"""The path itself: same ends and turns whatever the steps, stability as the energy has it, what cannot be followed."""

from dataclasses import fields, replace

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.mechanics import framed_sheet, press, solve_bend
from panelmech.mechanics.large_deflection import large_loading
from panelmech.mechanics.shell_large import LargeModel
from panelmech.mechanics.shell_model import FramedSheet, even_pressure, framed_edges
from panelmech.mechanics.shell_path import NoPathError, at_share, follow, stepped

FEW = (8, 10)


def loading(pressure, in_plane="held", thickness=0.001, degrees=FEW):
    bend = solve_bend(0.225, thickness, 0.022, 0.0003, 0.003)
    sheet = framed_sheet(bend, 0.85, 0.012, 18.6e9, 0.175, framed_edges(in_plane=in_plane))
    return large_loading(sheet, even_pressure(pressure), None, degrees, None)[0]


def random_loading(seed):
    """A thin bent sheet with some edges, under a pressure outward that takes many of them past a limit."""
    draw = np.random.default_rng(seed)
    while True:
        thickness, free = draw.choice([0.001, 0.0015, 0.002]), draw.uniform(0.1, 0.3)
        bend = solve_bend(free, thickness, draw.uniform(0.02, 0.24) * free, 0.0003, 0.002)
        if bend.feasible:
            break
    kinds = ("clamped", "supported")
    in_plane = draw.choice(["held", "held", "held", "diaphragm"])
    edges = framed_edges(*(str(draw.choice(kinds)) for _ in range(3)), str(in_plane))
    sheet = framed_sheet(bend, draw.uniform(0.6, 4.0) * free, 0.0, 20e9, 0.2, edges)
    gives = press(sheet, even_pressure(1.0)).largest_deflection
    return large_loading(sheet, even_pressure(draw.choice([0.3, 0.5, 0.8, 1.5]) * thickness / gives), None, None, None)[
        0
    ]


@by_day("seed", range(40), 30)
def test_steps_change_neither_the_end_nor_the_turns(seed):
    """Ends are solved to 1e-9; turns are placed to 1e-3 (limits) and 1e-5 (branchings) of a step."""
    loads = random_loading(seed)
    most = 0.1 * min(loads.model.sheet.length, loads.model.sheet.width) / loads.model.sheet.thickness
    paths = [follow(loads, *steps, most) for steps in ((0.1, 0.15), (0.2, 0.4), (1.0, 1.0))]
    first, *others = ([(t.kind, t.point.share) for t in path.turns] for path in paths)
    for turns in others:
        assert [kind for kind, _ in turns] == [kind for kind, _ in first]
        assert [share for _, share in turns] == pytest.approx([share for _, share in first], rel=1e-5, abs=1e-6)
    ends = [path.points[-1].state.amplitudes for path in paths]
    for end in ends[1:]:
        assert loads.size(end - ends[0]) < 1e-7 * loads.size(ends[0])


def test_stable_is_where_the_energy_rises_every_way():
    """Total energy about points of a path that snaps: up by every shape where it is told stable, down by one else."""
    loads = loading(300.0)
    path = follow(loads, 0.2, 0.4, 50.0)
    assert {point.stable for point in path.points} == {True, False}
    for point in path.points[1:]:
        shapes = np.linalg.eigh(point.slopes)[1][:, [0, 1, -1]].T
        rest = point.state.energy - point.share * loads.load @ point.state.amplitudes
        rises = []
        for shape in shapes:
            moved = [point.state.amplitudes + side * 1e-3 * shape / loads.size(shape) for side in (-1, 1)]
            total = [loads.model.state(a).energy - point.share * loads.load @ a - rest for a in moved]
            rises.append(sum(total) > 0.0)
        assert all(rises) is (point.own_negative == 0)


def test_points_are_in_equilibrium_and_lead_on():
    loads = loading(250.0)
    path = follow(loads, 0.2, 0.2, 50.0)
    last, (*_, before, end) = path.points[0], path.points
    assert last.share == 0.0
    assert end.share == 1.0
    for point in path.points:
        miss = point.state.gradient - point.share * loads.load
        assert np.abs(miss).max() < 1e-6 * np.abs(loads.load).max()
        assert loads.size(point.along) == pytest.approx(1.0)
    ahead, _ = stepped(before, 1e-3)
    moved = (ahead.state.amplitudes - before.state.amplitudes) / 1e-3
    assert loads.size(moved - before.along) < 1e-2  # of one: the path bends by that much over a step so short
    assert (ahead.share - before.share) / 1e-3 == pytest.approx(before.along_share, rel=1e-2)


def test_a_step_goes_as_far_as_it_says():
    """Else what is looked for within a step, a limit, may lie beyond its last place."""
    for point in follow(loading(250.0), 0.2, 0.2, 50.0).points[:-1]:
        new, _ = stepped(point, 0.07)
        moved = new.state.amplitudes - point.state.amplitudes
        assert point.along @ point.loading.model.metric @ moved == pytest.approx(0.07, rel=1e-7)


def test_the_path_bends_as_second_differences_of_it_say():
    h = 0.01
    for point in follow(loading(250.0), 0.2, 0.2, 50.0).points[:3]:
        back = replace(point, along=-point.along, along_share=-point.along_share)
        ahead, behind = (stepped(one, h)[0] for one in (point, back))
        amplitudes, share = point.bend
        assert (ahead.share - 2.0 * point.share + behind.share) / h**2 == pytest.approx(share, rel=2e-3)
        found = (ahead.state.amplitudes - 2.0 * point.state.amplitudes + behind.state.amplitudes) / h**2
        assert point.loading.size(found - amplitudes) < 2e-3 * point.loading.size(amplitudes)
        assert point.along @ point.loading.model.metric @ amplitudes == pytest.approx(0.0, abs=1e-9)


def test_the_first_limit_alone():
    whole, part = (follow(loading(300.0), 0.2, 0.4, 50.0, to_limit=to) for to in (False, True))
    assert [turn.kind for turn in part.turns] == ["limit"]
    assert part.turns[0].point.share == pytest.approx(whole.turns[0].point.share, rel=1e-9)
    assert len(part.points) < len(whole.points)
    assert part.points[-1].share < part.turns[0].point.share


def test_what_cannot_be_followed_says_how_far_it_came():
    loads = loading(1e6, "diaphragm")
    with pytest.raises(NoPathError, match="too large for a shallow sheet") as told:
        follow(loads, 1.0, 1.0, 3.0)
    assert 0.0 < told.value.share < 1.0
    assert at_share(loads, 1e3 + np.zeros(len(loads.load)), 1.0) is None  # a kilometre off: no state near
    with pytest.raises(NoPathError, match="does not converge"):
        follow(replace(loads, model=_Rough(*(getattr(loads.model, f.name) for f in fields(LargeModel)))), 1.0, 1.0, 3.0)


class _Rough(LargeModel):
    """Slopes that lead nowhere once the sheet has moved."""

    def tangent(self, state):
        return super().tangent(state) * (-1e3 if state.amplitudes.any() else 1.0)


def test_a_flat_sheet_has_no_turn():
    sheet = FramedSheet(0.2, 0.3, 0.001, 70e9, 0.3, None, framed_edges(in_plane="held"))
    for pressure in (1e4, -1e4):
        loads = large_loading(sheet, even_pressure(pressure), None, FEW, None)[0]
        path = follow(loads, 0.2, 0.4, 50.0)
        assert path.turns == ()
        assert all(point.stable for point in path.points)
        shares = [point.share for point in path.points]
        assert shares == sorted(shares)
