"""What a skin pressure does to land and sheets, and how far it presses a face: the figures of the loads against pairs
at large deflection, one face pressed, both, and both opposite ways."""

from dataclasses import replace

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD

from panelmech.loads.cases import PointPush, WaterHead
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.loads.ranges import OUTWARD_TO, RESTING_MORE
from panelmech.loads.response import ANYWHERE_MORE, FRAMED_MORE, FRONTS
from panelmech.mechanics import framed_sheet, solve_bend
from panelmech.mechanics.large_deflection import ONE_LOAD, large_face_strains, path_under
from panelmech.mechanics.large_pair import pair_loading
from panelmech.mechanics.pressed_pair import RIGID
from panelmech.mechanics.pressing import pair_degrees
from panelmech.mechanics.shell import largest_deflection
from panelmech.mechanics.shell_fields import Field, bending_moments, find_largest
from panelmech.mechanics.shell_model import Edge, Edges, even_pressure
from panelmech.study.ranges import HALF


def drawn(rng):
    """(sheet whose edges may draw in, linear deflection per pressure to judge by [m/Pa])."""
    while True:
        length, thickness = rng.uniform(0.1, 0.4), rng.choice([0.0008, 0.0015, 0.002, 0.003])
        try:
            bend = solve_bend(length, thickness, rng.uniform(0.015, 0.12) * length, 0.0003, rng.uniform(0.0, 0.006))
        except ValueError:
            continue
        if bend.feasible and bend.contact_arclength > 0.3 * length:
            span = 0.024 + float(bend.contact_arclength) * np.exp(rng.uniform(np.log(0.8), np.log(6.0)))
            grain = {} if rng.random() < 0.6 else {"span_modulus": rng.uniform(6e9, 25e9), "shear_modulus": 2e9}
            free, held = (framed_sheet(bend, span, 0.012, 18e9, 0.2, _edges(word), **grain) for word in _EDGES)
            linear = max(abs(largest_deflection(one, even_pressure(1e3))) / 1e3 for one in (free, held))
            return free, linear


_EDGES = ("diaphragm", "held")


def _edges(word):
    side = Edge("supported", word)
    return Edges(Edge("clamped", word), side, side, side)


def pair_under(sheet, pressure, faces, front):
    """Displacements (u, v, w) of both sheets under an outward pressure."""
    loading, _ = pair_loading(sheet, even_pressure(pressure), faces, front, RIGID, pair_degrees(sheet))
    end, model = path_under(loading, even_pressure(pressure), ONE_LOAD).points[-1], loading.model
    sets, both = model.own.sets, model.split(end.state.amplitudes)
    for state, bent in zip(end.state.sheets, both, strict=True):
        plane = np.split(state.in_plane, [len(sets.u)])
        parts = zip((sets.u, sets.v, sets.w), (*plane, bent), strict=True)
        yield tuple(Field(functions.series(part), sheet.length, sheet.width) for functions, part in parts)


def strain_on_a_face(sheet, fields):
    """Largest along chord or span of both faces [-], over what is taken at the place for a strip's of 1 at its land."""
    x, y = np.linspace(0.0, sheet.length, 41)[:, None], np.linspace(0.0, sheet.width, 61)
    middle, bending = (part[:2] for part in large_face_strains(sheet, fields, x, y))
    most = FRAMED_MORE + (ANYWHERE_MORE - FRAMED_MORE) * x / sheet.length
    return max(np.max(np.abs(middle + bending) / most), np.max(np.abs(middle - bending) / most))


@pytest.mark.parametrize("front", FRONTS)
@pytest.mark.parametrize("faces", ["one", "both", "opposite"])
@by_day("seed", range(12), 0)
def test_figures_of_a_skin_pressure_are_the_most_there_can_be(seed, faces, front):
    sheet, linear = drawn(np.random.default_rng(seed))
    for share in (HALF, OUTWARD_TO * HALF):
        pressure = share * sheet.thickness / linear
        sheets = list(pair_under(sheet, pressure, faces, front))
        moment = FRONTS[front] * pressure * sheet.length**2
        y = np.linspace(0.0, sheet.width, 61)
        opening = 0.5 * sum(bending_moments(sheet, w, 0.0 * y, y)[0] for _, _, w in sheets)
        assert np.max(np.abs(opening)) < FRAMED_MORE * moment
        strain = 0.5 * sheet.thickness * moment / sheet.bending_stiffness
        assert max(strain_on_a_face(sheet, one) for one in sheets) < strain
        if share == HALF:
            most = RESTING_MORE if front == "resting" else 1.05
            assert max(abs(find_largest(w)[0]) for _, _, w in sheets) < most * share * sheet.thickness


def test_a_front_that_only_rests_is_told_of_with_more():
    case = WaterHead("water", 0.005, 1000.0)
    potted, resting = (evaluate_loads(LEEBOARD, LoadPlan((case,), stations=5, front=f)) for f in FRONTS)
    pressed, more = potted.check("skin_pressed"), resting.check("skin_pressed")
    assert more.value == pytest.approx(RESTING_MORE * pressed.value)
    assert "only rests" in more.source and "only rests" not in pressed.source


def test_beyond_what_pairs_were_tried_nothing_holds_by_the_figures():
    lasting = replace(LEEBOARD.sheet, permanent_strain_limit=0.19, forming_strain_limit=0.19)
    press = evaluate_loads(LEEBOARD, LoadPlan((PointPush("push", 1.0),), stations=5)).local["press"][0]
    for share, verdict in ((0.9 * OUTWARD_TO, "holds"), (1.1 * OUTWARD_TO, "unknown")):
        head = share * HALF * LEEBOARD.sheet_thickness / press / 9806.65
        found = evaluate_loads(
            LEEBOARD.replace(sheet=lasting), LoadPlan((WaterHead("water", head, 1000.0),), stations=5)
        )
        assert found.check("short_strain").verdict == verdict
