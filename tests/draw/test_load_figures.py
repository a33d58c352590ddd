"""Diagrams under load: what is drawn is what the study says, words fit on the paper, the same bytes each time."""

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD
from matplotlib.backends.backend_agg import FigureCanvasAgg

from panelmech.blade.blade import Blade, Table
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure, figure_bytes
from panelmech.draw.load_figures import DIAGRAMS, SHORT, describe_loads, draw_diagram, draw_use, loads_figure
from panelmech.loads.allowable import allowed
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SealedAir, SideForce
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import Judgement, LoadPlan, Own, Stock
from panelmech.units import FACTORS

CASES = (
    SideForce("sailing", 2.0, 1025.0, angle=0.08, immersed_from=0.25),
    PointPush("grounding", 60.0, 1.0, 0.5),
    SealedAir("sun", 293.15, 303.15),
)
STUDY = evaluate_loads(LEEBOARD, LoadPlan(CASES, Held((0.03, 0.25))))
STEPPED = evaluate_loads(
    Blade(LEEBOARD, spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True)),
    LoadPlan(CASES[:1], Held((-0.3, -0.05)), stock=Stock(0.35, 0.025, 0.0, 70e9, 0.3, 240e6), local=False),
)


def curves(ax):
    return {line.get_label(): line.get_xydata() for line in ax.lines if not line.get_label().startswith("_")}


@pytest.mark.parametrize("quantity", DIAGRAMS)
@pytest.mark.parametrize("study", [STUDY, STEPPED])
def test_a_diagram_is_the_record(quantity, study):
    fig, ax = figure()
    draw_diagram(ax, study, quantity)
    for name, row in zip(study.names, getattr(study.diagrams, quantity), strict=True):
        drawn = curves(ax)[name]
        assert drawn[:, 0] == pytest.approx(study.diagrams.position * 1e3)
        assert drawn[:, 1] == pytest.approx(row / FACTORS[DIAGRAMS[quantity][2]])


def test_use_is_value_over_limit_and_the_governing_place_is_ringed():
    fig, ax = figure()
    draw_use(ax, STUDY)
    found, check = curves(ax), STUDY.check("spacer_stress")
    assert found[SHORT["spacer_stress"]][:, 1].max() == pytest.approx(1 / check.reserve)
    (ring,) = [v for k, v in found.items() if k.startswith("governs: ")]
    assert ring[0] == pytest.approx([STUDY.governing.position * 1e3, 1 / STUDY.governing.reserve])
    assert "not drawn, no basis: potting, along the span; sheet, shear; nose, shear" in ax.get_xlabel()
    beyond = [SHORT[check.key] for check in STUDY.limits if check.beyond]
    assert SHORT["skin_pressed"] in beyond
    assert "not drawn, beyond what this can tell: " in ax.get_xlabel() and all(
        name in ax.get_xlabel() for name in beyond
    )
    drawn = {c.key for c in STUDY.checks if c.kind == "limit" and np.isfinite(c.reserve)}
    assert {SHORT[key] for key in drawn} == set(found) - {k for k in found if k.startswith("governs")}


def test_no_limit_is_left_out_where_all_are_known():
    """Every check there can be: all strengths given, a resting front, a stock."""
    judged = Judgement(resin_strength=Own(50e6), sheet_shear_strength=Own(60e6), nose_bond_strength=Own(8e6))
    cases = (CASES[1], SealedAir("shade", 293.15, 293.2))  # what is pressed harder is beyond what can be told
    study = evaluate_loads(
        LEEBOARD,
        LoadPlan(cases, Held((-0.3, -0.05)), judged, Stock(0.35, 0.025, 0.0, 70e9, 0.3, 240e6), front="resting"),
    )
    fig, ax = figure()
    draw_use(ax, study)
    keys = {c.key for c in study.checks if c.kind == "limit"}
    assert len(keys) == 13 and {SHORT[key] for key in keys} <= set(curves(ax))
    looks = [(line.get_color(), line._unscaled_dash_pattern) for line in ax.lines if line.get_label() in SHORT.values()]
    assert len(set(map(str, looks))) == 13


def test_allowables_are_drawn_where_they_are_near():
    fig, ax = figure()
    draw_diagram(ax, STUDY, "moment")
    drawn = curves(ax)["allowed alone"]
    assert drawn[:, 1] == pytest.approx(allowed(STUDY, "moment").value, nan_ok=True)
    fig, ax = figure()
    draw_diagram(ax, STUDY, "torque")  # about the axis: the allowable is about the shear centre
    assert "allowed alone" not in curves(ax)


def test_many_cases_are_drawn_as_their_envelope():
    cases = tuple(PointPush(f"push {i}", 10.0 * i, 0.1 * i) for i in range(1, 9))
    study = evaluate_loads(LEEBOARD, LoadPlan(cases, local=False))
    fig, ax = figure()
    draw_diagram(ax, study, "moment")
    found = curves(ax)
    assert set(found) - {"allowed alone"} == {"least of 8 cases", "greatest of 8 cases"}
    assert found["greatest of 8 cases"][:, 1] == pytest.approx(study.diagrams.moment.max(axis=0))


@pytest.mark.slow
@by_day("study", [STUDY, STEPPED], STEPPED)
def test_words_stay_on_the_paper_and_the_picture_repeats(study):
    fig = loads_figure(study)
    FigureCanvasAgg(fig).draw()
    wide, high = fig.get_size_inches() * fig.dpi
    (legend,) = fig.legends
    for ax in fig.axes:
        own = ax.get_legend().get_texts() if ax.get_legend() else legend.get_texts()
        for text in (ax.title, ax.xaxis.label, ax.yaxis.label, *own):
            box = text.get_window_extent()
            assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= wide and box.y1 <= high, text.get_text()
    assert len(fig.axes) == 5
    assert figure_bytes(loads_figure(study), "png", dpi=60) == figure_bytes(loads_figure(study), "png", dpi=60)
    assert "Bending moment" in figure_digest(fig) and "Governing" in describe_loads(study)


def test_unknown_diagram_is_refused():
    fig, ax = figure()
    with pytest.raises(ValueError, match="shear, moment, torque"):
        draw_diagram(ax, STUDY, "weight")
