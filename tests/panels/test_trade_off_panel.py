"""The trade-off panel without a browser: every question answers, answers can become the design, errors are said.

Without an event loop a panel finishes after every move, so pictures and samples are kept small here.
"""

import asyncio
import itertools
import re
import threading
import time
from functools import partial

import numpy as np
import pytest
from day_and_night import NIGHTLY, by_day
from leeboard_part import LEEBOARD

from panelmech import catalogue, evaluate
from panelmech.job.every import judge_of
from panelmech.job.job import demo
from panelmech.job.verdict import judge_part
from panelmech.loads.cases import PointPush
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.part_scatter import Come
from panelmech.loads.plan import LoadPlan
from panelmech.measured.as_measured import measured_range
from panelmech.panels import choose_view, guard, map_view, scatter_view, steps
from panelmech.panels import panel as engine
from panelmech.panels.map_view import COARSE, FINE, default_range, pick_values
from panelmech.panels.trade_off_panel import ASKED, MOST_KEPT, panel_trade
from panelmech.panels.trade_off_tables import table
from panelmech.study import framed_sheet
from panelmech.study.choose import combine
from panelmech.study.every import Standing, judge_design
from panelmech.study.sweeps import load_sweep
from panelmech.study.tolerances import default_tolerances
from panelmech.study.varying import input_label, input_unit
from panelmech.units import capital


@pytest.fixture
def small(monkeypatch, coarse, design_alone):
    monkeypatch.setattr(scatter_view, "MOVING", 2000)
    few = [catalogue[name] for name in (LEEBOARD.sheet.name, "acrylic, cast")]
    monkeypatch.setattr(choose_view, "combine", partial(combine, sheets=few))


@pytest.fixture
def panel(tmp_path, small):
    return panel_trade(LEEBOARD, jobs=tmp_path / "jobs", out=tmp_path / "out")


def set_to(panel, **values):
    for name, value in values.items():
        panel.controls.numbers[name].value = value


def every_widget(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_widget(child)


# ----- the whole -----


def test_every_question_answers_without_complaint_and_its_pictures_have_words(drawn, panel):
    for name, view in panel.views.items():
        panel.ask(name)
        assert panel.view is view and panel.place.children == (view.box,)
        assert view.alert.value == "" and view.words()
        assert not any("pm-stale" in part._dom_classes for part in view.good)
        classes = [c for w in every_widget(panel.box) for c in w._dom_classes if c.startswith("pm-")]
        named = [c for c in classes if re.fullmatch(r"pm-(output|x|y|x-from|asked|target|rank-by|kind|keep-design)", c)]
        assert len(named) == len(set(named))  # a control has one class of its own
        for picture in (p for p in vars(view).values() if type(p).__name__ == "ShownFigure"):
            assert bytes(picture.image.value).startswith(b"\x89PNG\r\n")
            assert "The picture in words" in picture.words.value and len(picture.words.value) > 110


@pytest.mark.slow
def test_only_the_question_that_is_seen_is_worked_out(panel):
    assert not hasattr(panel.views["scatter"], "result")
    set_to(panel, spacer_diameter=20)
    assert not hasattr(panel.views["scatter"], "result")
    panel.ask("scatter")
    assert panel.view.result.design.spacer_diameter == 0.02


@pytest.mark.slow
@pytest.mark.nightly  # by day a map and a search that cannot be, below
def test_impossible_settings_are_said_and_the_map_still_helps(panel):
    set_to(panel, free_length=15)
    assert panel.stale and "Cannot be bent so" in panel.alert.value
    assert "not to be made" in panel.view.here.value and panel.view.alert.value == ""
    for name in ("scatter", "compare", "choose"):
        panel.ask(name)
        assert "pm-is-fails" in panel.view.alert.value
        assert all("pm-stale" in part._dom_classes for part in panel.view.good)
    set_to(panel, free_length=225)
    panel.ask("scatter")
    assert panel.view.alert.value == "" and not panel.stale


@pytest.mark.slow
def test_settings_that_are_no_design_at_all_grey_the_view(panel):
    set_to(panel, spacer_wall=12)
    assert "Not possible" in panel.alert.value
    assert "pm-stale" in panel.view.picture.image._dom_classes
    set_to(panel, spacer_wall=1)
    assert "pm-stale" not in panel.view.picture.image._dom_classes


@pytest.mark.slow
def test_a_mistake_of_ours_is_said_in_the_view(panel, monkeypatch):
    monkeypatch.setattr("panelmech.panels.scatter_view.scatter", lambda *_: 1 / 0)
    panel.ask("scatter")
    assert "The workbook made a mistake" in panel.view.alert.value


@pytest.mark.slow
@by_day(
    ("name", "stem"),
    [("map", "map"), ("size", "size"), ("choose", "choice"), ("scatter", "scatter"), ("compare", "compared")],
    ("size", "size"),
)
def test_pictures_are_exported_with_the_plots(panel, monkeypatch, name, stem):
    monkeypatch.setattr(engine, "export_plots", lambda study, folder, pinned: folder.mkdir(parents=True) or [])
    folder = panel.out / "leeboard" / "plots"
    panel.ask(name)
    panel.export()
    assert f"{stem}.svg" in panel.keep.news.value
    assert all((folder / f"{stem}.{kind}").stat().st_size > 3000 for kind in ("svg", "pdf", "png"))


@pytest.mark.slow
@pytest.mark.nightly  # by day that of the bend's panel
def test_the_plots_of_the_design_are_exported_too(panel, monkeypatch):
    asked = []
    monkeypatch.setattr(panel.view, "export", lambda folder: asked.append(folder) or [])
    panel.export()
    assert asked == [panel.out / "leeboard" / "plots"] and (asked[0] / "section.svg").exists()


# ----- the map -----


@pytest.mark.slow
@pytest.mark.nightly  # by day that of the bend's panel
def test_a_move_redraws_and_the_way_back_gives_the_same_picture(panel):
    before = panel.view.picture.image.value
    set_to(panel, free_length=260)
    moved = panel.view.picture.image.value
    set_to(panel, free_length=225)
    assert moved != before and panel.view.picture.image.value == before


@pytest.mark.slow
def test_inputs_on_the_axes_move_only_the_ring(panel):
    drawn, picture = panel.view.sweep, panel.view.picture.image.value
    set_to(panel, spacer_diameter=22, sheet_thickness=2.5)
    assert panel.view.sweep is drawn and panel.view.picture.image.value != picture
    assert "spacer diameter 22 mm, sheet thickness 2.5 mm" in panel.view.here.value
    set_to(panel, setback=5)
    assert panel.view.sweep is not drawn


@pytest.mark.slow
def test_the_map_is_coarse_while_moving_and_fine_at_rest(small):
    async def drag():
        panel = panel_trade(LEEBOARD)
        panel.controls.numbers["free_length"].dragged(240.0)
        moving = panel.view.sweep.shape
        await asyncio.sleep(guard.REST + 0.1)
        return moving, panel.view.sweep.shape

    moving, resting = map_view.COARSE, map_view.FINE
    assert asyncio.run(drag()) == ((moving, moving), (resting, resting)) and moving < resting
    assert COARSE >= 60 and FINE > 2 * COARSE


def test_value_under_the_ring_is_the_studys(panel):
    assert "EI 640" in panel.view.here.value
    assert evaluate(LEEBOARD, local=False).quantities["chord_stiffness"] == pytest.approx(640.4, abs=0.05)


@pytest.mark.slow
def test_a_click_makes_the_nearest_size_one_can_buy_the_design(panel):
    view = panel.view
    sheets, spacers = LEEBOARD.sheet.stock_thicknesses, LEEBOARD.spacer.diameters
    assert view.picks == [list(spacers), [t for t in sheets if t <= 5.3e-3]]
    spot = next(s for s in view.spots.children if s.tooltip == "spacer diameter 25 mm, sheet thickness 3 mm")
    spot.click()
    assert (panel.design().spacer_diameter, panel.design().sheet_thickness) == (0.025, 0.003)
    assert panel.study.design == panel.design()


@pytest.mark.slow
def test_every_spot_covers_what_is_nearest_to_it(panel):
    view = panel.view
    for values, (name, swept), template in zip(
        view.picks,
        view.sweep.axes.items(),
        (view.spots.layout.grid_template_columns, view.spots.layout.grid_template_rows),
        strict=True,
    ):
        shares = [float(s) for s in re.findall(r"([\d.]+)fr", template)]
        shares = shares if name == "spacer_diameter" else shares[::-1]
        edges = swept[0] + np.concatenate([[0], np.cumsum(shares)]) / 100 * (swept[-1] - swept[0])
        assert sum(shares) == pytest.approx(100, abs=0.01)
        assert edges[1:-1] == pytest.approx(0.5 * (np.array(values)[1:] + np.array(values)[:-1]), abs=1e-6)
    assert len(view.spots.children) == len(view.picks[0]) * len(view.picks[1])


def test_round_values_where_nothing_is_bought_by_size():
    values = pick_values(LEEBOARD, "free_length", 0.08, 0.5)
    assert 5 <= len(values) <= 17 and np.allclose(np.diff(values), values[1] - values[0])
    assert np.allclose(np.array(values) / 1e-3, np.round(np.array(values) / 1e-3))
    assert pick_values(LEEBOARD, "friction", 0.301, 0.302)


def test_ranges_hold_what_one_can_buy_and_the_design():
    low, high = default_range(LEEBOARD, "spacer_diameter")
    assert low < 6 and high > 30
    low, high = default_range(LEEBOARD.replace(spacer_diameter=0.06), "spacer_diameter")
    assert high > 60
    low, high = default_range(LEEBOARD.replace(free_length=0.7), "free_length")
    assert low <= 80 and high >= 700


@pytest.mark.slow
def test_the_other_axis_gives_way(panel):
    view = panel.view
    view.x.value = "sheet_thickness"
    assert view.y.value == "spacer_diameter" and view.alert.value == ""
    assert tuple(view.sweep.axes) == ("sheet_thickness", "spacer_diameter")
    assert view.ends["x from"].value < 1 < 5 < view.ends["x to"].value < 6


@by_day(
    ("outputs", "inputs"),
    [
        (("i_chord_ratio", "rod_holds_reserve"), ("free_length", "friction")),
        (("least_reserve", "springback"), ("setback", "spacer_wall", "pressure")),
    ],
    (("i_chord_ratio", "rod_holds_reserve"), ("free_length", "friction")),
    ids=["some", "others"],
)
def test_any_output_over_any_two_inputs(panel, outputs, inputs):
    view = panel.view
    for output in outputs:
        view.output.value = output
        assert view.alert.value == "", output
    for name in inputs:
        view.x.value = name
        assert view.alert.value == "", name


@pytest.mark.nightly
@pytest.mark.slow
def test_a_falling_range_is_said(panel):
    view = panel.view
    view.ends["x from"].value = 40
    assert "let it rise" in view.alert.value and "pm-stale" in view.picture.image._dom_classes
    view.ends["x from"].value = 10
    assert view.alert.value == "" and view.sweep.axes["spacer_diameter"][0] == pytest.approx(0.01)


@pytest.mark.slow
def test_the_framed_sheet_counts_by_itself_and_is_let_go_when_the_map_changes(panel):
    view = panel.view
    assert "was worked out for" in view.here.value and "framed sheet pressed in" in view.picture.words.value
    assert view.frame_button.layout.display == "none"
    first = view.every
    set_to(panel, spacer_diameter=22)
    assert view.every is first and "was worked out for" in view.here.value
    set_to(panel, free_length=250)
    assert view.every is not first and view.every[0] == view._of_now()


@pytest.mark.slow
def test_the_ring_says_what_the_study_says_and_so_does_the_map_below(panel):
    view = panel.view
    for diameter, thickness in ((18, 2), (14, 1.5), (25, 4), (8, 0.8)):
        set_to(panel, spacer_diameter=diameter, sheet_thickness=thickness)
        found, study = judge_design(panel.design()), evaluate(panel.design())
        assert f" {capital(found.words())}" in view.here.value
        assert (found.verdict, found.name) == (study.verdict, study.governing.name)
    shown = view.with_every()
    rng = np.random.default_rng(4)
    for index in rng.permutation(np.argwhere(shown.feasible & ~shown.undecided))[:10]:
        study, found = evaluate(shown.design_at(*index)), judge_design(shown.design_at(*index))
        assert found.beyond or shown.governing(*index) == study.governing.name
        assert (shown["least_reserve"][tuple(index)] >= 1.0) == found.stands


async def until(seen):
    """Let the event loop run until something is seen; not for ever."""
    end = time.monotonic() + 300.0
    while not seen():
        assert time.monotonic() < end
        await asyncio.sleep(0.01)


UNUSED = itertools.count(231)  # free lengths: what was worked out once is kept, and done at once the next time


def at_work(panel, then):
    """Let the framed sheets be worked out within a running event loop, as in a notebook; do `then` after some."""

    async def work():
        set_to(panel, free_length=next(UNUSED))
        await until(lambda: "sheets done" in panel.view.frame_button.description)
        assert panel.view.frame_button.description.startswith("Stop: ") and panel.view._mapped() is None
        assert "not on the map yet" in panel.view.here.value
        then()
        await asyncio.sleep(0.05)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(steps, "SHOWN_EVERY", np.inf)  # however slow the machine, nothing is on the map yet
        asyncio.run(work())


@pytest.mark.slow
@pytest.mark.parametrize(
    "then",
    [
        pytest.param(lambda panel: panel.view.frame_button.click(), marks=NIGHTLY),
        pytest.param(lambda panel: set_to(panel, free_length=250), marks=NIGHTLY),
        lambda panel: set_to(panel, free_length=15),
    ],
    ids=["stopped", "another map", "no design"],
)
def test_framed_sheets_are_counted_and_can_be_stopped(panel, then):
    at_work(panel, lambda: then(panel))
    assert not panel.view.steps.at_work and panel.view.frame_button.description == map_view.COUNT
    assert panel.view.frame_button.layout.display is None or panel.view.stale


@pytest.mark.slow
@pytest.mark.nightly
def test_a_map_stopped_on_its_way_goes_on_where_it_was(panel):
    view = panel.view

    async def work():
        set_to(panel, free_length=next(UNUSED))
        await until(lambda: view._mapped() is not None and not view._mapped().complete)
        view.frame_button.click()
        stopped = view._mapped()
        assert not view.steps.at_work and view.frame_button.description == map_view.GO_ON
        assert view.frame_button.layout.display is None
        await asyncio.sleep(0.05)
        assert view._mapped() is stopped
        view.frame_button.click()
        await until(lambda: view._mapped().complete)
        assert view._mapped().done >= stopped.done

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(steps, "SHOWN_EVERY", 0.0)
        asyncio.run(work())
    assert view.frame_button.layout.display == "none"


@pytest.mark.slow
def test_every_point_of_a_map_counts_the_loads_of_the_job(tmp_path, small, monkeypatch):
    monkeypatch.setattr(map_view, "PART", 5)
    panel = panel_trade(demo(), jobs=tmp_path / "jobs", out=tmp_path / "out")
    view, shown = panel.view, panel.view.with_every()
    assert shown.shape == (5, 5) and shown.more and view.frame_button.layout.display == "none"
    assert "all, along the span and under the loads" in view.picture.words.value
    assert "Ring and map count" in view.here.value and not view._waits()
    judge = judge_of(demo())
    for index in ((0, 0), (2, 1), (4, 4)):
        found = judge(shown.design_at(*index))
        assert found.beyond or shown.undecided[index] or shown.governing(*index) == found.name
    view.output.value = "i_chord_ratio"
    assert view.with_every().more and "i_chord_ratio" in view.with_every().values


@pytest.mark.slow
@pytest.mark.nightly
def test_while_a_map_under_loads_is_worked_out_the_last_one_stands_greyed(tmp_path, small, monkeypatch):
    monkeypatch.setattr(map_view, "PART", 5)
    panel = panel_trade(demo(), jobs=tmp_path / "jobs", out=tmp_path / "out")
    view, before = panel.view, panel.view.picture.image.value

    async def work():
        set_to(panel, free_length=231)
        assert view._waits() and view.picture.image.value == before
        assert "pm-stale" in view.picture.image._dom_classes
        await until(lambda: not view._waits())
        assert view.picture.image.value != before and "pm-stale" not in view.picture.image._dom_classes

    asyncio.run(work())


def test_two_threads_never_draw_at_once(panel, monkeypatch):
    """JupyterLab brings moves on one thread, while timers run on another: one waits for the other."""
    inside, most = [], []

    def slow(count):
        inside.append(count)
        most.append(len(inside))
        time.sleep(0.05)
        inside.pop()

    monkeypatch.setattr(panel.view, "_draw", slow)
    threads = [threading.Thread(target=panel.view.update, args=(LEEBOARD,)) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1, 1, 1]


@pytest.mark.slow
@pytest.mark.nightly
def test_the_ring_may_move_while_framed_sheets_are_worked_out(panel):
    at_work(panel, lambda: set_to(panel, spacer_diameter=22))
    at_work_still = panel.view.steps.at_work and "Stop: " in panel.view.frame_button.description
    assert at_work_still or panel.view._mapped() is not None  # or done by now


@pytest.mark.slow
def test_the_numbers_of_a_map_are_written_and_read_back(panel, tmp_path):
    panel.view.export(tmp_path)
    for kind in ("csv", "npz"):
        again = load_sweep(tmp_path / f"map.{kind}", panel.view.sweep.design)
        np.testing.assert_allclose(again["chord_stiffness"], panel.view.sweep["chord_stiffness"], rtol=1e-14)


# ----- size -----


@pytest.mark.nightly  # by day one of them after the other, below
@pytest.mark.slow
def test_each_question_fills_the_fields_and_is_answered(panel):
    panel.ask("size")
    for asked, wanted in ASKED.items():
        panel.view.asked.value = asked
        assert panel.view.alert.value == ""
        if wanted:
            assert (panel.view.field.value, panel.view.output.value) == wanted[:2]
            assert panel.view.sizing.solutions


@pytest.mark.slow
@pytest.mark.nightly
def test_the_wedges_second_moment_follows_the_design_and_a_typed_target_stays(panel):
    panel.ask("size")
    view = panel.view
    view.asked.value = list(ASKED)[1]
    first = view.target.value
    set_to(panel, free_length=240)
    assert view.target.value > first
    view.target.value = 50_000
    set_to(panel, free_length=225)
    assert view.target.value == 50_000 and view.sizing.target == pytest.approx(50_000e-12)


@pytest.mark.slow
def test_an_answer_becomes_the_design(panel):
    panel.ask("size")
    panel.view.target.value = 30
    assert panel.view.asked.value == next(iter(ASKED))
    panel.view.choose()
    assert panel.study.quantities["outer_thickness"] == pytest.approx(0.03, rel=1e-9)
    panel.view.output.value = "mouth"
    assert panel.view.asked.value == list(ASKED)[-1]


@pytest.mark.slow
@by_day("asked", [list(ASKED)[2], list(ASKED)[3]], list(ASKED)[3])
def test_an_answer_at_a_limit_is_rounded_to_where_it_holds(panel, asked):
    panel.ask("size")
    panel.view.asked.value = asked
    assert "safe side" in panel.view.answers.options[0][0]
    check = panel.view.output.value.removesuffix("_reserve")
    panel.view.choose()
    found = evaluate(panel.design()).check(check)
    thinner = panel.design().replace(sheet_thickness=0.99 * panel.design().sheet_thickness)
    assert not found.beyond and (1.0 <= found.reserve < 1.01 or evaluate(thinner).check(check).beyond)


@pytest.mark.slow
def test_every_answer_says_how_the_part_stands_with_it(panel):
    """The largest spacer within one strain may fail another check; the framed sheet counts, too."""
    panel.ask("size")
    panel.view.asked.value = list(ASKED)[2]
    words = []
    for text, value in panel.view.answers.options:
        study = evaluate(panel.design().replace(spacer_diameter=value))
        assert f": {study.verdict}, governed by {study.governing.name[0].lower()}{study.governing.name[1:]}, " in text
        words.append(study.verdict)
    assert len(words) > 1


@pytest.mark.slow
def test_no_answer_is_a_sentence_and_nothing_to_choose(panel):
    panel.ask("size")
    panel.view.target.value = 900
    assert "no spacer diameter" in panel.view.words()
    assert panel.view.use.disabled and panel.view.answers.options == ()


# ----- choose -----


def test_every_row_is_what_the_study_says_and_becomes_the_design_and_what_was_refused_is_counted(panel):
    panel.ask("choose")
    view = panel.view
    assert "rows stand." in view.said.value and "framed sheet pressed in" in view.said.value
    assert view.halt.layout.display == "none" and len(view.order) > 5
    for i in view.order[::4]:
        study = evaluate(view.choices.design_at(i))
        assert study.verdict != "fails"
        assert view.choices.values["least_reserve"][i] == pytest.approx(study.least_reserve, rel=1e-12)
    judged = dict(view.choices.standing)
    view.y.value = "torsion_stiffness"  # another question of the same design: what is known stays
    assert judged.items() <= view.choices.standing.items()
    view.by.value = "outer_thickness"
    values = view.choices.values["outer_thickness"][view.order]
    assert np.all(np.diff(values) >= 0) and "Outer thickness" in view.listed.value
    view.y.value = view.x.value
    assert "weighed against itself" in view.alert.value
    view.y.value = "torsion_stiffness"
    view.chosen.index = 5
    row = view.order[5]
    view.choose()
    assert panel.design() == view.choices.design_at(row).replace(title="Leeboard")


@pytest.mark.slow
def test_rows_come_while_it_searches_and_it_can_be_stopped(panel):
    """Within an event loop, as in a notebook; until the first row comes, what stood before is grey."""

    async def work(then):
        panel.ask("choose")
        view = panel.view
        await until(lambda: view.steps.at_work)
        framed_sheet._kept.cache_clear()
        assert view.halt.layout.display is None and "pm-stale" in view.listed._dom_classes and not view.order
        await until(lambda: "so far" in view.said.value)
        then(view)
        await asyncio.sleep(0.1)
        assert not view.steps.at_work and view.halt.layout.display == "none"

    asyncio.run(work(lambda view: view.halt.click()))
    assert "Stopped: more may stand" in panel.view.said.value and "pm-stale" not in panel.view.said._dom_classes
    panel.ask("map")
    set_to(panel, free_length=230)
    asyncio.run(work(lambda view: set_to(panel, free_length=15)))
    assert panel.view.stale and "pm-stale" in panel.view.listed._dom_classes


@pytest.mark.slow
@pytest.mark.nightly
def test_limits_without_a_basis_are_named_where_they_leave_no_row(panel, monkeypatch):
    view = panel.views["choose"]
    monkeypatch.setattr(view, "judge", lambda: lambda design: Standing("unknown", 2.0, "own", "Own check"))
    panel.ask("choose")
    assert "one whose limit has no basis" in view.alert.value and not len(view.order)
    view.judged.value = False
    assert view.alert.value == "" and len(view.order) and "a limit has no basis" in view.listed.value


@pytest.mark.slow
@pytest.mark.nightly
def test_a_job_with_loads_counts_them(tmp_path, small):
    """Rows of a job hold along its span and under its loads; here of one thickness, so that it takes little time."""
    job = demo()
    panel = panel_trade(job.replace(loads=LoadSheet(LoadPlan((PointPush("push", 400.0),), local=False))), jobs=tmp_path)
    view = panel.views["choose"]
    assert "loads of the job" in view.counted() and "root end to tip" in view.counted()
    judge = view.judge()
    assert judge is view.judge() and judge(job.design).verdict == judge_of(panel.job())(job.design).verdict


@pytest.mark.slow
@pytest.mark.nightly  # by day in tests/study/test_choose.py
def test_prices_give_costs_and_a_bad_one_is_said(panel):
    panel.ask("choose")
    view = panel.view
    view.x.value = "cost"
    assert "No cost is known" in view.alert.value
    for kind, name in (
        ("sheet", LEEBOARD.sheet.name),
        ("spacer", LEEBOARD.spacer.name),
        ("resin", LEEBOARD.resin.name),
    ):
        view.prices[kind, name].value = "12,5"
    assert view.alert.value == "" and np.isfinite(view.choices.values["cost"][view.order]).all()
    view.prices["sheet", LEEBOARD.sheet.name].value = "2: 12,5; 3: 20"
    assert view.costs().sheet_per_m2 == {LEEBOARD.sheet.name: {2e-3: 12.5, 3e-3: 20.0}}
    assert view.alert.value == "" and set(view.choices.thickness[view.order]) <= {2e-3, 3e-3}
    for typed, said in (
        ("2: dear", "dear"),
        ("cheap", "or leave it empty"),
        ("-3", "zero or more"),
        ("2 kg: 3", "2 kg"),
    ):
        field = view.prices["sheet", LEEBOARD.sheet.name]
        field.typed(typed)
        assert said in field.wrong and said in view.alert.value and field.text == typed
    field.typed("3 mm: 12.5; 1/8 in: 20")
    assert field.wrong == view.alert.value == ""
    assert view.costs().sheet_per_m2 == {LEEBOARD.sheet.name: {3e-3: 12.5, 3.175e-3: 20.0}}
    view.prices["resin", LEEBOARD.resin.name].typed("")
    assert view.costs().resin_per_kg == {}


# ----- scatter -----


@pytest.mark.slow
@pytest.mark.nightly
def test_tolerances_come_from_the_catalogue_and_can_be_typed(panel):
    panel.ask("scatter")
    view = panel.view
    given = {t.field: t.size for t in default_tolerances(LEEBOARD)}
    assert {t.field: t.size for t in view.tolerances()} == pytest.approx(given, rel=1e-4)
    wide = np.ptp(view.result.outputs["i_chord"])
    view.sizes["sheet_thickness"].value = 0.05
    assert np.ptp(view.result.outputs["i_chord"]) < 0.5 * wide
    set_to(panel, setback=4)
    assert view.sizes["sheet_thickness"].value == 0.05
    modulus = view.sizes["modulus"].value = 7.0
    view.kinds["bond_line"].value = "deviation"
    view._reset()
    assert view.sizes["sheet_thickness"].value != 0.05 and view.sizes["modulus"].value != modulus
    assert view.kinds["bond_line"].value == view.kind.value == "band" and view.alert.value == ""
    view.kinds["bond_line"].value = "deviation"
    view.sizes["modulus"].value = modulus
    known = view.sizes["sheet_thickness"].value
    set_to(panel, sheet_thickness=3)  # what was typed stays, the rest goes by the other sheet
    assert view.sizes["sheet_thickness"].value != known and view.sizes["modulus"].value == modulus
    assert view.kinds["bond_line"].value == "deviation" and view.alert.value == ""


@pytest.mark.slow
@pytest.mark.nightly
def test_no_tolerance_is_no_scatter_and_too_wide_a_one_is_said(panel):
    panel.ask("scatter")
    for control in panel.view.sizes.values():
        control.value = 0
    assert "give one for each input" in panel.view.alert.value
    panel.view.sizes["sheet_thickness"].value = 2.5
    assert "lets it become" in panel.view.alert.value


@pytest.mark.slow
@pytest.mark.nightly
def test_all_parts_on_demand(panel):
    panel.ask("scatter")
    panel.view.work_out_all()
    assert len(panel.view.result.outputs["chord"]) == 100_000


@pytest.mark.slow
@pytest.mark.nightly
def test_each_tolerance_has_a_meaning_of_its_own(panel):
    """With the defaults a standard deviation goes too, and of one input alone."""
    panel.ask("scatter")
    view = panel.view
    view.kind.value = "deviation"
    assert view.alert.value == "" and {t.kind for t in view.tolerances()} == {"deviation"}
    assert "Left out, beyond what is possible" in view.tables.value
    view.kind.value = "band"
    view.kinds["setback"].value = "deviation"
    assert [t.field for t in view.tolerances() if t.kind == "deviation"] == ["setback"]
    assert view.kind.value is None  # not all are of one meaning
    view.kinds["setback"].value = "band"
    assert view.kind.value == "band"
    view.kinds["setback"].value = "deviation"
    assert "Seed" in view.tables.value and "Clopper–Pearson" in view.tables.value
    view.work_out_rare()
    assert "however rare" in view.progress.value


@pytest.mark.slow
def test_what_was_measured_is_pasted_and_inputs_go_together(panel):
    """What is wrong is said at the field; what stands in one that does not count is not read."""
    panel.ask("scatter")
    view = panel.view
    view.samples["setback"].value = "3"
    assert view.alert.value == "" and view.samples["setback"].layout.display == "none"
    view.kinds["setback"].value = "sample"
    assert "1 given; give two or more" in view.alert.value and "1 given" in view.samples["setback"].wrong
    assert view.samples["setback"].layout.display is None and view.sizes["setback"].box.layout.display == "none"
    view.samples["setback"].value = "3.2 2,9 3.1"
    assert view.alert.value == view.samples["setback"].wrong == ""
    assert set(view.result.samples["setback"]) == {3.2e-3, 2.9e-3, 3.1e-3}
    assert "setback: 3 values, their mean 2.22 % above the design" in view.said.value
    view.together.value = "sheet thickness, modulus = 2"
    assert "correlation of sheet thickness and modulus" in view.together.wrong.lower() and view.alert.value
    view.together.value = "sheet thickness, modulus = -0.5"
    samples = view.result.samples
    assert np.corrcoef(samples["sheet_thickness"], samples["modulus"])[0, 1] < -0.4
    assert "Correlation: sheet thickness with modulus −0.50." in view.said.value
    assert "of the variance goes with the" in view.said.value and "by itself" not in view.said.value
    assert "share what each causes" in view.tables.value and "goes with the" in view.picture.words.value
    view._reset()
    assert {t.kind for t in view.tolerances()} == {"band"}


@pytest.mark.slow
@pytest.mark.nightly
def test_two_sheets_alike_or_each_from_its_own(panel):
    panel.ask("scatter")
    view = panel.view
    assert "Not counted: two sheets that differ" in view.said.value and "camber" not in view.result.counted
    view.two.value = 0.0
    apart = view.result.counted["camber"].value
    assert apart > 0.2 and view.result.tolerance == demo().camber and "Camber of the part" in view.tables.value
    assert view.alike.box.layout.display == "none"
    view.two.value = "between"
    assert view.alike.box.layout.display is None and view.result.alike == view.alike.value
    view.alike.value = 0.9
    assert 0.0 < view.result.counted["camber"].value < apart
    view.alike.value = 1.5
    assert view.alert.value
    view.alike.value = 0.9
    view.work_out_rare()
    assert "Left out of that" in view.progress.value


@pytest.mark.slow
def test_scatter_goes_by_the_readings_of_the_sheets_and_counts_the_loads_on_demand(tmp_path, small, monkeypatch):
    monkeypatch.setattr(map_view, "PART", 5)
    job = demo()
    panel = panel_trade(job, jobs=tmp_path / "jobs", out=tmp_path / "out")
    panel.ask("scatter")
    view = panel.view
    known = measured_range(judge_part(job, "pair").record)
    given = {t.field: t.size for t in view.tolerances()}
    assert given["sheet_thickness"] == pytest.approx(known.thickness, rel=1e-3)
    assert given["modulus"] == pytest.approx(known.modulus, rel=1e-3)
    assert view.result.design == known.design and "as measured" in view.said.value
    asked = []
    monkeypatch.setattr(
        "panelmech.panels.scatter_view.part_scatter_steps",
        lambda blade, sheet, alone: asked.append((blade.root, sheet)) or iter([Come(1, 1, alone, True)]),
    )
    view.count_loads()
    assert asked == [(known.design, job.loads)] and "loads are counted" in view.progress.value


def test_every_tolerance_has_its_unit():
    assert (input_label("modulus"), input_unit("modulus")) == ("modulus", "%")
    assert (input_label("setback"), input_unit("setback")) == ("setback", "mm")


# ----- compare -----


@pytest.mark.slow
def test_designs_are_kept_compared_and_made_the_design_again(panel):
    panel.ask("compare")
    view = panel.view
    assert "do not differ" in view.words() and view.more.value == ""
    set_to(panel, spacer_diameter=24)
    assert "Leeboard, 18 mm spacer: spacer diameter 18 mm instead of 24 mm." in view.listed.value
    assert "Spacer diameter" in view.more.value and "Free length" not in view.more.value
    count = view.rest.button.title
    view.everything.value = True
    assert "Free length" in view.more.value and view.rest.button.title != count
    view.which.index = 0
    view.choose()
    assert panel.design() == LEEBOARD


@pytest.mark.slow
@pytest.mark.nightly
def test_a_kept_design_may_be_given_a_title(panel):
    panel.ask("compare")
    view = panel.view
    set_to(panel, spacer_diameter=24)
    view.add()
    set_to(panel, spacer_diameter=25)
    assert [name for name, _ in view.which.options] == ["Leeboard, 18 mm spacer", "Leeboard, 24 mm spacer"]
    assert view.which.value == 1 and view.name.value == "Leeboard"
    view.name.value = "Fat one"
    assert [name for name, _ in view.which.options] == ["Leeboard", "Fat one"] and view.which.value == 1
    assert "Fat one: spacer diameter 24 mm instead of 25 mm." in view.listed.value
    view.which.value = 0
    assert view.name.value == "Leeboard"
    view.which.value = 1
    view.choose()
    assert panel.design() == LEEBOARD.replace(spacer_diameter=0.024, title="Fat one")


@pytest.mark.slow
@pytest.mark.nightly
def test_at_most_four_stand_side_by_side(panel):
    panel.ask("compare")
    view = panel.view
    while len(view.kept) < MOST_KEPT:
        view.add()
    view.keep.click()
    assert "let one go first" in view.alert.value and len(view.found.studies) == MOST_KEPT + 1
    view.drop.click()
    assert view.alert.value == "" and len(view.kept) == MOST_KEPT - 1


# ----- tables -----


def test_tables_escape_what_users_wrote():
    assert "<b>" not in table(["<b>", "<b>"], [["<b>", "<b>"], "<b>"], "<b>").replace("<tbody>", "")
