"""The load panel without a browser: it says what the study says, follows every move, keeps files, and says errors.

Without an event loop a panel finishes after every move.
"""

import re
from dataclasses import replace
from html import escape, unescape
from pathlib import Path

import pytest
from day_and_night import by_day

from panelmech.blade.blade import Blade, Table
from panelmech.draw.live_svg_loads import loads_picture
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SideForce
from panelmech.loads.hydrodynamics import LIFT_MODELS
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.meanings import load_meaning
from panelmech.loads.plan import LoadPlan, Own, Stock
from panelmech.panels import load_panel, load_views
from panelmech.panels import panel as engine
from panelmech.panels import view as panel_view
from panelmech.panels.load_controls import (
    BAR,
    BEARINGS,
    BY_ANGLE,
    BY_COEFFICIENT,
    CASES,
    LIFTS,
    LOAD_LIMITS,
    NEW_STOCK,
    NO_FORCE,
    NO_STOCK,
    OWN_LIMITS,
    ROOT,
    SAME,
    STEP,
    STOCK,
    TABLE,
    first_loads,
)
from panelmech.units import show

pytestmark = pytest.mark.usefixtures("sketched", "without_pours")

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
SHEET = LoadSheet.load(STUDIES / "leeboard_loads.json")
BLADE = Blade.load(STUDIES / "leeboard_blade.json")


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    (tmp_path / "studies").mkdir()
    return load_panel.panel_loads(BLADE, SHEET, jobs=tmp_path / "jobs", out=tmp_path / "out")


def set_to(panel, **values):
    for name, value in values.items():
        panel.bench.controls.numbers[name].value = value


def study_of(panel):
    return panel.bench.study(panel.design())


def every_widget(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_widget(child)


# ----- settings -----


def test_the_settings_are_what_was_given(panel):
    assert panel.bench.state(panel.design()) == (BLADE, SHEET)


PARTS = (
    BLADE.design,
    Blade(BLADE.design, spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True)),
    Blade(BLADE.design, free_length=Table((0.0, 0.3, 0.85), (0.225, 0.21, 0.16))),
    Blade(BLADE.design, free_length=0.2),
)


@pytest.mark.slow
@by_day("part", PARTS, PARTS[1], PARTS[2])
def test_every_kind_of_part_comes_through(part, tmp_path):
    panel = load_panel.panel_loads(part, SHEET, jobs=tmp_path, out=tmp_path)
    blade = part if isinstance(part, Blade) else Blade(part)
    found = panel.bench.state(panel.design())[0]
    places = (0.0, 0.3, 0.4, 0.85)
    for name, values in blade.values_at(places).items():
        assert found.values_at(places)[name] == pytest.approx(values, rel=1e-12), name


@pytest.mark.parametrize(
    "plan",
    [
        LoadPlan((PointPush("one", 5.0, 0.3), PointPush("two", 6.0, 0.2), PointPush("three", 7.0)), local=False),
        LoadPlan(
            (SideForce("first", 1.0, 998.0, coefficient=0.3), SideForce("second", 2.0, 1025.0, angle=0.1)),
            Held((-0.3, -0.05)),
            stock=Stock(0.35, 0.03, 0.0, 70e9, 0.3, 240e6),
            local=False,
        ),
    ],
)
def test_what_has_no_control_is_kept(plan, tmp_path):
    panel = load_panel.panel_loads(BLADE, LoadSheet(plan), jobs=tmp_path, out=tmp_path)
    found = panel.bench.state(panel.design())[1].plan
    assert [c for c in found.cases if c in plan.cases] == list(plan.cases)
    assert replace(found, cases=plan.cases) == plan
    assert ("Kept from the file" in panel.bench.controls.rest.value) == (len(plan.cases) > 1)


def test_a_stock_has_controls_and_its_values_are_kept(tmp_path):
    """Poisson's ratio and the place of the torque have none: they stay while it is held as in the file."""
    stock = Stock(0.37, 0.0285, 0.0025, 71.5e9, 0.31, 235e6, "a data sheet")
    plan = LoadPlan((PointPush("push", 20.0),), Held((-0.31, -0.07), torque_at=-0.3), stock=stock, local=False)
    panel = load_panel.panel_loads(BLADE, LoadSheet(plan), jobs=tmp_path, out=tmp_path)
    controls = panel.bench.controls
    shown = {name: controls.numbers[name].value for name in STOCK}
    assert shown == {
        "stock_length": 370,
        "stock_diameter": 28.5,
        "stock_wall": 2.5,
        "stock_modulus": 71.5,
        "stock_strength": 235,
    }
    assert panel.bench.state(panel.design())[1].plan.stock == stock
    set_to(panel, stock_diameter=32, stock_strength=250)
    controls.basis["stock"].value = "my own test"
    changed = replace(stock, diameter=0.032, strength=250e6, source="my own test")
    assert study_of(panel).plan.stock == changed
    check = study_of(panel).check("stock_stress")
    assert check.limit == pytest.approx(250e6 / 3) and "my own test" in check.source
    set_to(panel, stock_strength=0)
    assert study_of(panel).check("stock_stress").verdict == "unknown"
    controls.lists["held"].value = ROOT
    assert study_of(panel).plan.held == Held() and study_of(panel).plan.stock is None
    hidden = [controls.numbers[name].box for name in STOCK] + [controls.basis["stock"], controls.lists["stock"]]
    assert {box.layout.display for box in hidden} == {"none"}
    controls.lists["held"].value = BEARINGS
    assert study_of(panel).plan.held == plan.held and study_of(panel).plan.stock == replace(changed, strength=None)
    assert {box.layout.display for box in hidden} == {None}


def test_a_stock_is_added_and_taken_away(panel):
    controls = panel.bench.controls
    assert controls.numbers["stock_length"].layout.display == "none" and SHEET.plan.stock is None
    controls.lists["stock"].value = BAR
    set_to(panel, stock_length=400, stock_diameter=30, bearing_1=-350, bearing_2=-60)
    plan = panel.bench.state(panel.design())[1].plan
    expected = replace(SHEET.plan, held=Held((-0.35, -0.06)), stock=replace(NEW_STOCK, length=0.4, diameter=0.03))
    assert plan == expected
    assert study_of(panel).check("stock_stress").value == pytest.approx(
        evaluate_loads(BLADE, replace(expected, local=False)).check("stock_stress").value
    )
    set_to(panel, stock_wall=20)
    assert "at most half the diameter" in panel.loads.value
    controls.lists["stock"].value = NO_STOCK
    assert "the part runs from" in panel.loads.value
    set_to(panel, bearing_1=40, bearing_2=220)
    assert panel.bench.state(panel.design())[1] == SHEET and panel.summary().startswith("◐ The job: close")


def test_the_lift_formula_and_the_end_plate(panel):
    """The force is that of the statement; every formula there is can be chosen; a file's own are shown and kept."""
    controls = panel.bench.controls
    assert {key for _, key in LIFTS} == set(LIFT_MODELS)
    for model in LIFT_MODELS:
        controls.lists["lift"].value = model
        set_to(panel, end_plate=1.5)
        statement = replace(SHEET.plan.cases[0], model=model, end_plate=1.5)
        found = panel.bench.state(panel.design())[1].plan
        assert found.cases[0] == statement and found.cases[1].statement == statement
        cases = (statement, replace(SHEET.plan.cases[1], statement=statement), *SHEET.plan.cases[2:])
        plan = replace(SHEET.plan, cases=cases, local=False)
        assert study_of(panel).cases[0].side_force == evaluate_loads(BLADE, plan).cases[0].side_force
        assert escape(LIFT_MODELS[model][1]) in controls.lift_source.value
    controls.lists["lift_by"].value = BY_COEFFICIENT
    for box in (controls.numbers["end_plate"].box, controls.lists["lift"], controls.lift_source):
        assert box.layout.display == "none"
    set_to(panel, end_plate=2.5)
    assert "End plate factor is 2.5" in panel.loads.value
    own = replace(
        SHEET, plan=replace(SHEET.plan, cases=(replace(SHEET.plan.cases[0], model="helmbold", end_plate=1.37),))
    )
    controls.set(BLADE, own)
    assert panel.bench.state(panel.design())[1] == own and controls.lists["lift"].value == "helmbold"


@pytest.mark.slow
def test_a_move_is_the_study_of_that_plan(panel):
    set_to(panel, speed=2.6, tip_free_length=150, tip_push=55, bearing_2=260, strength=2.5)
    cases = list(SHEET.plan.cases)
    cases[0] = replace(cases[0], speed=2.6)
    cases[1] = replace(cases[1], statement=cases[0])
    cases[2] = replace(cases[2], force=55.0)
    strength = replace(SHEET.plan.judgement.strength, value=2.5)
    plan = replace(
        SHEET.plan,
        cases=tuple(cases),
        held=Held((0.04, 0.26)),
        judgement=replace(SHEET.plan.judgement, strength=strength),
    )
    expected = evaluate_loads(BLADE.replace(free_length=(0.225, 0.15)), plan)
    assert panel.summary().splitlines()[1].endswith(expected.headline())
    for check in expected.checks:
        assert study_of(panel).check(check.key).value == pytest.approx(check.value, rel=1e-12, nan_ok=True)


@pytest.mark.slow
def test_a_case_of_nothing_is_no_case(panel):
    set_to(panel, tip_push=0, mid_push=0, severe=0, head=0, heated_to=20)
    assert study_of(panel).names == ("sailing",)
    set_to(panel, severe=1.5, tip_push=20)
    assert study_of(panel).names == ("sailing", "broach", "tip aground")
    assert study_of(panel).cases[1].side_force == pytest.approx(1.5 * study_of(panel).cases[0].side_force)


def test_loads_without_a_side_force_are_shown_and_kept_without_one(panel):
    sheet, controls = replace(SHEET, plan=replace(SHEET.plan, cases=SHEET.plan.cases[2:])), panel.bench.controls
    panel.set_job(panel.job().replace(loads=sheet))
    assert controls.lists["lift_by"].value == NO_FORCE and "sailing" not in study_of(panel).names
    hidden = [controls.numbers[name].box for name in ("speed", "angle", "coefficient", "end_plate", "severe")]
    assert {box.layout.display for box in hidden} == {"none"}
    assert controls.numbers["immersed_from"].layout.display is None  # mass and float count on it
    assert panel.job().loads == sheet


def test_a_side_force_is_taken_away_and_added(panel):
    lift_by = panel.bench.controls.lists["lift_by"]
    assert lift_by.value == BY_ANGLE
    lift_by.value = NO_FORCE
    assert not set(study_of(panel).names) & {"sailing", "broach"}  # the severe case is the sailing one, times a factor
    lift_by.value = BY_ANGLE
    assert panel.bench.state(panel.design())[1] == SHEET
    pushed = LoadSheet(LoadPlan((PointPush("push", 20.0),), local=False))
    panel.bench.controls.set(BLADE, pushed)
    set_to(panel, speed=2)
    assert panel.bench.state(panel.design())[1] == pushed
    lift_by.value = BY_ANGLE
    set_to(panel, angle=4)
    assert study_of(panel).names == ("push", "sailing") and study_of(panel).cases[1].side_force != 0.0


def test_every_row_of_cases_has_its_settings():
    for row in CASES:
        assert set(row.settings) <= set(LOAD_LIMITS) and len(row.none) == len(row.settings)
        assert not row.counts(*row.none)  # what is shown where there is no such case makes none
        assert {LOAD_LIMITS[name].group for name in row.settings} == {"pushes"}


@pytest.mark.slow
def test_lists_choose_how_it_is_held_and_loaded(panel):
    controls = panel.bench.controls
    controls.lists["held"].value = ROOT
    assert study_of(panel).plan.held.bearings == () and controls.numbers["bearing_1"].layout.display == "none"
    controls.lists["held"].value = BEARINGS
    controls.lists["lift_by"].value = BY_COEFFICIENT
    set_to(panel, coefficient=0.5)
    assert study_of(panel).cases[0].details["lift_coefficient"] == 0.5
    controls.lists["rod"].value = STEP
    set_to(panel, step_at=400, second_rod=14)
    assert study_of(panel).blade.values_at([0.3, 0.5])["spacer_diameter"] == pytest.approx([18e-3, 14e-3])
    controls.lists["taper"].value = SAME
    assert study_of(panel).blade.free_length is None and TABLE not in controls.lists["taper"].options


def test_fresh_water_carries_less(panel):
    before = study_of(panel).cases[0].side_force
    water = panel.bench.controls.lists["water"]
    water.value = water.options[0][1]
    assert study_of(panel).cases[0].side_force == pytest.approx(before * water.value / 1026.0)


def test_a_strength_of_my_own_and_none(panel):
    controls = panel.bench.controls
    controls.own["nose_bond_strength"].value = 0.0
    assert study_of(panel).check("nose_shear").verdict == "unknown"
    assert "Not judged, since no strength is known: nose, shear" in panel.view.said.value
    controls.own_source.value = "torn off by hand"
    controls.own["nose_bond_strength"].value = 1.0
    assert study_of(panel).plan.judgement.nose_bond_strength == Own(1e6, "torn off by hand")
    assert study_of(panel).check("nose_shear").verdict == "fails"


def test_every_limit_has_a_control_and_every_control_a_class_of_its_own(panel):
    classes = [c for w in every_widget(panel.box) for c in w._dom_classes if c.startswith("pm-")]
    wanted = [f"pm-{name}" for name in LOAD_LIMITS] + [f"pm-own-{name}" for name in OWN_LIMITS]
    assert {name: classes.count(name) for name in wanted} == dict.fromkeys(wanted, 1)


# ----- views -----


def test_every_view_answers_without_complaint(panel):
    for name, view in panel.views.items():
        panel.ask(name)
        assert panel.view is view and view.alert.value == "" and view.words()
        assert not any("pm-stale" in part._dom_classes for part in view.good)


def test_the_live_picture_says_governing_check_case_and_place(panel):
    picture = panel.views["loads"].picture.value
    assert picture == loads_picture(study_of(panel)) and picture.count("<polyline") >= 24
    assert "broach, 220 mm" in picture and "allowed at least 38.1 N·m: skin buckling" in picture
    assert "your own limit" in picture and "nan" not in picture
    label = re.search('aria-label="([^"]*)"', picture)[1]
    assert study_of(panel).headline() in label.replace("&#x27;", "'")


def test_the_picture_escapes_what_the_user_typed():
    push = PointPush('<b>"x"', 10.0)
    picture = loads_picture(evaluate_loads(BLADE, LoadPlan((push,), local=False)))
    assert "<b>" not in picture and "&lt;b&gt;" in picture


def test_many_cases_and_no_basis_are_drawn_too():
    cases = tuple(PointPush(f"push {i}", 10.0 * i, 0.1 * i) for i in range(1, 9))
    picture = loads_picture(evaluate_loads(BLADE, LoadPlan(cases, local=False)))
    assert "allowed at least" in picture and "rest unknown" in picture
    assert "least of 8 cases" in picture and "no basis" in picture and "no limit of your own" in picture


@pytest.mark.slow
def test_a_move_of_the_loads_keeps_all_checks_in_view_and_one_of_the_part_greys_those_to_come(panel, monkeypatch):
    panel.ask("checks")
    monkeypatch.setattr(engine, "loop_runs", lambda: True)  # somebody watches, and the hand has not rested
    monkeypatch.setattr(type(panel), "settle", lambda self: None)
    set_to(panel, speed=2.2)
    assert "pm-old" not in panel.view.listed.value and "so far" not in panel.loads.value
    set_to(panel, tip_free_length=160)
    assert panel.view.listed.value.count('class="pm-old"') == 2 and "so far" in panel.loads.value
    monkeypatch.undo()
    panel.finish()
    assert "pm-old" not in panel.view.listed.value and "so far" not in panel.loads.value


def test_views_that_are_slow_are_greyed_by_a_move_until_the_hand_rests(panel, monkeypatch):
    panel.ask("rod")
    monkeypatch.setattr(engine, "loop_runs", lambda: True)  # somebody watches, and the hand has not rested
    monkeypatch.setattr(type(panel), "settle", lambda self: None)
    set_to(panel, speed=2.4)
    assert "pm-stale" in panel.view.said._dom_classes
    monkeypatch.undo()
    panel.finish()
    assert "pm-stale" not in panel.view.said._dom_classes


def test_the_float_view_uses_the_water_of_the_loads(panel):
    panel.ask("float")
    before = panel.view.listed.value
    set_to(panel, immersed_from=100)
    assert panel.view.listed.value != before and "To trim, dry" in panel.view.listed.value
    panel.view.fill.value = -3
    assert "Filler in the hollow is −3 kg/m³" in panel.view.alert.value


def test_fittings_are_kept_with_the_loads(panel):
    panel.ask("fittings")
    view = panel.view
    view.fields[0].value = 5.0
    (bolt, _) = panel.bench.state(panel.design())[1].fittings
    assert bolt.name == "pivot bolt" and bolt.diameter == 0.005 and bolt.bolt_shear == SHEET.fittings[0].bolt_shear
    assert show(2 * bolt.diameter, "mm", 3) not in view.listed.value and "5.10 MPa" in view.listed.value
    view.fields[6].value = 0.0
    assert len(panel.bench.state(panel.design())[1].fittings) == 1 and "uphaul" not in view.listed.value
    panel.bench.controls.lists["held"].value = ROOT
    assert "there is no bearing 0" in view.alert.value


@pytest.mark.slow
@pytest.mark.nightly
def test_sizing_answers_and_the_answer_becomes_the_design(panel):
    panel.ask("size")
    view = panel.view
    view.output.value = "spacer_stress_reserve"
    assert view.target.value == 1.5
    view.target.value = 2.5
    view.work_out()
    assert "spacer wall 2.663 mm" in view.said.value and view.answers.options
    assert all("governed by" in text for text, _ in view.answers.options)
    view.choose()
    panel.ask("loads")
    assert panel.design().spacer_wall == pytest.approx(2.663e-3, abs=1e-6)
    assert study_of(panel).check("spacer_stress").reserve == pytest.approx(2.5, rel=1e-6)
    panel.ask("size")
    assert "pm-stale" in view.said._dom_classes


def test_sizing_a_tapered_length_is_refused_in_words(panel):
    panel.ask("size")
    panel.view.field.value = "free_length"
    panel.view.guarded(panel.view.work_out)
    assert "The blade gives its own free length along the span" in panel.view.alert.value


# ----- errors -----


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"bearing_2": 40}, "two at one place hold no moment"),
        ({"bearing_2": 4000}, "the part runs from"),
        ({"immersed_from": 900}, "less than the span"),
        ({"tip_free_length": 30}, "Cannot be bent so"),
        ({"strength": 0.2}, "Factor on strength is 0.2"),
        ({"heated_to": -500}, "Heated to is −500 °C"),
    ],
)
def test_what_cannot_be_is_said_and_comes_right_again(settings, words, panel):
    before = {name: panel.bench.controls.numbers[name].value for name in settings}
    set_to(panel, **settings)
    assert words in panel.loads.value and "pm-is-fails" in panel.view.alert.value
    assert "pm-stale" in panel.view.picture._dom_classes
    set_to(panel, **before)
    assert panel.summary().startswith("◐ The job: close. Governing, of the part under its loads: skin buckling, share")
    assert panel.view.alert.value == ""


def test_a_mistake_of_ours_is_said(panel, monkeypatch):
    monkeypatch.setattr(load_views, "evaluate_loads", lambda *_: 1 / 0)
    set_to(panel, speed=1.0)
    assert "The workbook made a mistake" in panel.loads.value


# ----- the job -----


def test_the_job_holds_part_and_loads_as_set(panel):
    set_to(panel, speed=1.2, tip_free_length=190)
    job = panel.job()
    assert job.loads.plan.cases[0].speed == 1.2 and job.blade.free_length == (0.225, 0.19)


def test_a_job_without_loads_shows_a_proposal_that_counts_once_it_is_taken(tmp_path):
    panel = load_panel.panel_loads(BLADE, jobs=tmp_path, out=tmp_path)
    assert panel.job().loads is None and "No loads have been stated" in panel.not_yet.value
    panel.take_button.click()
    assert panel.job().loads == first_loads() and panel.not_yet.value == ""
    assert panel.take_button.layout.display == "none"


def test_a_proposal_that_is_changed_is_the_builders_own(tmp_path):
    panel = load_panel.panel_loads(BLADE, jobs=tmp_path, out=tmp_path)
    set_to(panel, speed=1.5)
    assert panel.job().loads.plan.cases[0].speed == 1.5 and panel.not_yet.value == ""


def test_the_record_is_written_of_the_job_as_it_stands(panel, monkeypatch):
    asked = []
    monkeypatch.setattr(engine, "write_papers", lambda *what, **_: asked.append(what) or 1 / 0)
    panel.record.click()
    job, folder, kinds = asked[0][:3]
    assert (job.blade, job.loads, kinds) == (BLADE, SHEET, ("loads",)) and folder == panel.out / "tapered-leeboard"


def test_the_check_that_governs_under_load_is_explained(panel):
    check = panel.bench.complete.governing
    assert check.name.lower() in panel.meaning.value.lower() and load_meaning(check.key) in unescape(
        panel.meaning.value
    )
