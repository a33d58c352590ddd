"""The panel of matched pairs without a browser: readings are typed, the verdict follows, errors are said.

Without an event loop a panel finishes after every move, so pictures are kept small here.
"""

import asyncio
import re
from pathlib import Path

import pytest
from day_and_night import by_day

from panelmech import Design
from panelmech.job import verdict
from panelmech.measured.pair import as_clamped, judge_pair
from panelmech.measured.readings import KINDS, Readings, read_readings
from panelmech.panels import guard
from panelmech.panels import panel as engine
from panelmech.panels import view as panel_view
from panelmech.panels.pair_panel import panel_pairs
from panelmech.panels.readings import Bench, field_class
from panelmech.panels.study_tables import plain
from panelmech.report.pair_rows import verdict_words
from panelmech.units import show

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN = Design.load(STUDIES / "leeboard.json")
DEMO = read_readings(STUDIES / "leeboard_readings.csv")
JUDGED = verdict._has
THICKER = "2.39 2.38 2.37 2.36 2.36 2.35"


@pytest.fixture
def panel(tmp_path, monkeypatch, sketched):
    """The job is judged by its design and its sheets."""
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    monkeypatch.setattr(verdict, "_has", lambda job, kind: kind in ("design", "pair") and JUDGED(job, kind))
    (tmp_path / "studies").mkdir()
    return panel_pairs(DESIGN, DEMO, jobs=tmp_path / "jobs", out=tmp_path / "out")


STEMS = {
    "sheets": ["thickness"],
    "pair": ["cambered", "camber-map"],
    "land": ["land-slope"],
    "later": ["log"],
    "shape": ["named-curves", "offsets"],
}


def field(panel, name, sheet, part="values"):
    return panel.views["readings"].fields[name, sheet, part]


def every_widget(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_widget(child)


@pytest.mark.slow
def test_the_table_comes_first_with_every_reading_in_it(panel):
    assert panel.shown == "readings" and panel.view.alert.value == ""
    assert field(panel, "thickness", "A").value == "2.06 2.05 2.04 2.03 2.03 2.02"
    assert field(panel, "thickness", "B", "where").value == "50 200 350 500 650 800"
    assert field(panel, "thickness", "A", "step").value == "0.01"
    assert field(panel, "as-built thickness", "pair", "where").value == "1 24 168"
    for name, kind in KINDS.items():
        for sheet in kind.on:
            assert bool(field(panel, name, sheet).value) == bool(DEMO.of(name, sheet))


def test_every_field_has_a_name_and_a_class_of_its_own(panel):
    fields = panel.views["readings"].fields
    spoken = [f.spoken for f in fields.values()]
    assert len(set(spoken)) == len(spoken) and all(spoken)
    assert field(panel, "thickness", "A").spoken == "Thickness, sheet A, mm"
    assert field(panel, "droop width", "B").spoken == "Width of the strip (strip over an edge), sheet B, mm"
    assert field(panel, "as-built thickness", "pair", "where").spoken.endswith("the pair, hours")
    assert all(KINDS[name].allowed in f.help for (name, _, part), f in fields.items() if part == "values")
    classes = [field_class(*key) for key in fields]
    assert len(set(classes)) == len(classes) and field_class("thickness", "A", "values") == "pm-read-thickness-a"
    assert field_class("bow, marked face up", "B", "where") == "pm-read-bow-marked-face-up-b-where"


@pytest.mark.slow
def test_every_view_answers_without_complaint_and_its_pictures_have_words(drawn, panel):
    for name, view in panel.views.items():
        panel.ask(name)
        assert view.alert.value == "" and view.words()
        assert not any("pm-stale" in part._dom_classes for part in view.good)
        for picture in (p for p in vars(view).values() if type(p).__name__ == "ShownFigure"):
            assert bytes(picture.image.value).startswith(b"\x89PNG\r\n") and len(plain(picture.words.value)) > 60
        classes = [c for w in every_widget(panel.box) for c in w._dom_classes]
        named = [c for c in classes if re.fullmatch(r"pm-(tolerance|slope|bow|give|left|pair|question|rod)", c)]
        assert len(named) == len(set(named))  # classes of views do not clash


def test_verdict_is_the_reports(panel):
    assert verdict_words(judge_pair(DESIGN, DEMO, 0.5e-3)) in plain(panel.pair.value)
    assert "pm-is-holds" in panel.pair.value


@pytest.mark.slow
def test_a_typed_reading_changes_the_verdict_and_the_way_back_restores_it(panel):
    before = panel.pair.value
    field(panel, "thickness", "A").value = THICKER
    rows = panel.bench.readings.of("thickness", "A")
    assert [r.value for r in rows] == pytest.approx([1e-3 * float(v) for v in THICKER.split()])
    assert "pm-is-unsure" in panel.pair.value  # 0.9 mm of 0.5 allowed, from bows that were read once
    assert verdict_words(judge_pair(DESIGN, panel.bench.readings, 0.5e-3)) in plain(panel.pair.value)
    field(panel, "thickness", "A").value = "2.06 2.05 2.04 2.03 2.03 2.02"
    assert panel.pair.value == before


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("thickness", "2.06 2.05 2.o4 2.03 2.03 2.02", "give numbers with blanks between them"),
        ("thickness", "2.06 2.05", "values 2, places 6"),
        ("thickness", "206 2.05 2.04 2.03 2.03 2.02", "206 mm is out of range; allowed is 0.1 to 60 mm"),
    ],
)
def test_what_is_wrong_is_said_marked_and_greyed(panel, name, text, words):
    panel.ask("sheets")
    good = field(panel, name, "A").value
    field(panel, name, "A").value = text
    assert words in plain(panel.pair.value) and "pm-is-fails" in panel.pair.value
    assert words in plain(panel.view.alert.value)
    assert all("pm-stale" in part._dom_classes for part in panel.view.good)
    assert words in field(panel, name, "A", "where" if "places" in words else "values").wrong
    assert panel.bench.readings.of("thickness", "A")[0].note
    panel.ask("readings")
    assert field(panel, name, "A").value == text  # left as typed, to be put right
    field(panel, name, "A").value = good
    assert panel.view.alert.value == "" and "pm-is-holds" in panel.pair.value
    assert field(panel, name, "A").wrong == field(panel, name, "A", "where").wrong == ""


@pytest.mark.slow
def test_what_was_typed_stands_and_what_was_understood_is_told(panel):
    typed = "5/64 in 2,05 2.04 2.03 2.03 2.02"
    field(panel, "thickness", "A").typed(typed)
    assert field(panel, "thickness", "A").value == typed == field(panel, "thickness", "A").text
    assert field(panel, "thickness", "A").echo == "= 1.984375 mm, 2.05 mm, 2.04 mm, 2.03 mm, 2.03 mm, 2.02 mm"
    assert panel.bench.readings.of("thickness", "A")[0].value == pytest.approx(1.984375e-3, rel=1e-12)
    field(panel, "thickness", "A").typed("2.06 2.05 2.04 2.03 2.03 2.02")
    assert field(panel, "thickness", "A").echo == ""
    field(panel, "thickness", "A").typed("2,06 2.05 2.04 2.03 203/100 2.02")  # the same readings
    assert field(panel, "thickness", "A").echo.startswith("= 2.06 mm, 2.05 mm")


def test_places_that_cannot_be_read_are_told_at_the_places(panel):
    field(panel, "thickness", "B", "where").typed("50 200 350 5oo 650 800")
    assert field(panel, "thickness", "B", "where").wrong.startswith("Places of thickness of sheet B is '5oo': ")
    assert field(panel, "thickness", "B").wrong == "" and "Not possible" in plain(panel.pair.value)
    field(panel, "thickness", "A", "step").typed("fine")
    assert field(panel, "thickness", "A", "step").wrong.startswith("Step of thickness is 'fine'")


def doubted(panel, name, sheet):
    """Words at a field in doubt, and its buttons."""
    view = panel.views["readings"]
    assert field(panel, name, sheet).doubt
    boxes = view.asked[name].children
    return field(panel, name, sheet).echo, {b.description: b for box in boxes for b in box.children}


@pytest.mark.slow
def test_a_reading_in_doubt_is_asked_back_at_its_field_and_put_right(panel):
    before = panel.pair.value
    field(panel, "thickness", "A").typed("20.6 2.05 2.04 2.03 2.03 2.02")
    words, buttons = doubted(panel, "thickness", "A")
    assert words == "20.6 mm for a sheet of 2 mm: do you mean 2.06 mm? Not counted."
    assert plain(panel.pair.value).startswith("◌ Not sure yet. Thickness of sheet A: 20.6 mm for a sheet of 2 mm")
    assert "pm-is-unsure" in panel.pair.value and "pm-is-unsure" in panel.view.alert.value
    assert panel.views["readings"].folds["sheets"].button.title.endswith(": 1 to look at")
    assert not field(panel, "thickness", "B").doubt
    buttons["Sheet A: put 2.06 mm"].click()
    assert panel.pair.value == before and panel.view.alert.value == ""
    assert field(panel, "thickness", "A").value.startswith("2.06 2.05") and field(panel, "thickness", "A").echo == ""
    assert not field(panel, "thickness", "A").doubt
    assert panel.views["readings"].asked["thickness"].children == ()


@pytest.mark.slow
@pytest.mark.nightly  # by day in tests/measured/test_plausible.py
def test_a_confirmed_reading_counts_and_is_kept_so(panel):
    view = panel.views["readings"]
    field(panel, "three-point force", "B").typed("49")
    assert "not sure yet" in plain(panel.pair.value)
    _, buttons = doubted(panel, "three-point force", "B")
    buttons["Sheet B: 49 N is right, count it"].click()
    assert "not sure yet" not in plain(panel.pair.value)
    assert (
        field(panel, "three-point force", "B").echo == "confirmed: 49 N"
        and view.asked["three-point force"].children == ()
    )
    assert panel.job().readings.of("three-point force", "B")[0].confirmed
    field(panel, "three-point force", "B").typed("50")  # another reading, not confirmed
    assert "not sure yet" in plain(panel.pair.value)


@pytest.mark.slow
def test_readings_stand_while_lengths_are_shown_in_inches_and_back(panel):
    view, show = panel.views["readings"], panel.controls.show["lengths"]
    show.value = "inch"
    try:
        assert panel.bench.readings == DEMO and field(panel, "thickness", "A").value.startswith("0.0811023622 0.080")
        assert field(panel, "thickness", "A").spoken == "Thickness, sheet A, in"
        assert "At, in from the marked end" in view.labels["thickness", "where"].value
        field(panel, "thickness", "A").typed(field(panel, "thickness", "A").value.replace("0.0811023622", "0.811"))
        assert "0.811 in for a sheet of" in doubted(panel, "thickness", "A")[0]
        kept = panel.bench.readings.of("thickness", "A")[1:]
        assert [r.note for r in kept] == [r.note for r in DEMO.of("thickness", "A")[1:]]
    finally:
        show.value = "mm"
    assert field(panel, "thickness", "A").value == "20.5994 2.05 2.04 2.03 2.03 2.02"


def test_a_doubt_is_told_beside_another_field_that_is_wrong(panel):
    field(panel, "twist", "A").typed("?")
    field(panel, "bow base", "B").typed("2400")
    assert "do you mean 240 mm" in doubted(panel, "bow base", "B")[0] and field(panel, "twist", "A").wrong
    assert panel.views["readings"].folds["sheets"].button.title.endswith(": 2 to look at")


@pytest.mark.slow
def test_an_emptied_field_takes_the_readings_away_and_says_what_is_missing(panel):
    field(panel, "three-point width", "A").value = ""
    assert not panel.bench.readings.of("three-point width", "A")
    assert "Sheet A, strip on two supports: width of the strip" in plain(panel.views["readings"].said.value)


@pytest.mark.nightly  # by day in tests/measured/test_one_pass.py
@pytest.mark.slow
def test_a_step_counts_for_both_sheets(panel):
    before = panel.bench.report(DESIGN).sheets[1].thickness.uncertainty
    field(panel, "thickness", "A", "step").value = "0.1"
    assert {r.resolution for s in "AB" for r in panel.bench.readings.of("thickness", s)} == {1e-4}
    assert panel.bench.report(DESIGN).sheets[1].thickness.uncertainty > before


@pytest.mark.slow
@pytest.mark.nightly
def test_tolerance_judges(panel):
    panel.ask("pair")
    panel.view.tolerance.value = 0.2  # 0.07 ± 0.40 mm is not sure to stay within it
    assert "pm-is-unsure" in panel.pair.value and plain(panel.pair.value).startswith(
        "◌ The two sheets: not sure yet. The tolerance"
    )
    panel.view.tolerance.value = 0.1
    field(panel, "thickness", "A").value = THICKER
    assert "pm-is-fails" in panel.pair.value and "0.100 mm allowed" in plain(panel.pair.value)
    panel.view.tolerance.value = 0.0
    assert "camber allowed is 0 mm: give 0.001 mm or more" in panel.view.alert.value.lower()
    assert "0.100 mm allowed" in plain(panel.pair.value)


@pytest.mark.slow
def test_slope_bow_and_adhesive_change_land_and_rod(panel):
    panel.ask("land")
    report = judge_pair(DESIGN, DEMO, 0.5e-3)
    panel.view.slope.value = 0.5
    clamp = as_clamped(report, 0.5 * 3.141592653589793 / 180)
    assert show(clamp.real.contact_force * 0.85, "N") in panel.view.table.value
    assert show(clamp.rod.pull_out * 0.85, "N", 3) in panel.view.rod.value
    panel.view.bow.value = False
    assert show(as_clamped(report, clamp.land_slope, with_bow=False).real.mouth, "mm") in panel.view.table.value
    before = panel.view.table.value
    panel.view.give.value = True
    assert panel.view.table.value != before and "adhesive lets each sheet turn" in panel.view.said.value


def test_a_slope_that_frees_the_rod_is_said(panel):
    panel.ask("land")
    panel.views["land"].slope.max = 20.0
    panel.views["land"].slope.value = 15.0
    assert "Not possible" in panel.view.alert.value and "pm-stale" in panel.view.table._dom_classes


@pytest.mark.slow
def test_share_left_and_log(panel):
    panel.ask("later")
    panel.view.left.value = 50
    assert "50 % left" in panel.view.table.value and "24 h" in panel.view.log.value
    field(panel, "as-built thickness", "pair").value = ""
    assert "as-built" not in panel.view.alert.value  # values and times no longer agree: said on top
    assert "values 0, times 3" in plain(panel.pair.value)
    field(panel, "as-built thickness", "pair", "where").value = ""
    assert "No thickness of the part has been measured yet" in panel.view.said.value


def test_offsets_may_be_measured_from_any_line_which_the_job_keeps(panel):
    panel.ask("shape")
    view = panel.view
    assert "any straight line" not in view.explained.value and "Camber of the part: holds" in plain(
        view.explained.value
    )
    view.line.value = "free"
    assert "count as measured from any straight line" in view.explained.value
    assert "Camber of the part: not sure yet" in plain(view.explained.value)
    job = panel.work.desk.job
    assert job.offsets_from == "free" and panel.own(job).offsets_from == "free"
    panel.set_own(job.replace(offsets_from="chord"))
    assert view.line.value == panel.bench.line == "chord"


@pytest.mark.slow
@pytest.mark.nightly
def test_no_offsets_no_picture_of_them(panel):
    panel.ask("shape")
    for part in ("values", "where"):
        for sheet in "AB":
            field(panel, "offset", sheet, part).value = ""
    assert panel.view.offsets.box.layout.display == "none"
    assert "No offsets have been measured" in panel.view.explained.value


def test_no_readings_at_all(tmp_path):
    panel = panel_pairs(DESIGN, jobs=tmp_path, out=tmp_path)
    assert "Not sure yet. Sheet A: no thickness readings; give six or more" in plain(panel.pair.value)
    assert "pm-is-unsure" in panel.pair.value
    for name in panel.views:
        panel.ask(name)
        assert "no thickness readings" in panel.view.alert.value


def test_an_impossible_design_is_said(panel):
    panel.controls.numbers["free_length"].value = 15
    assert panel.stale and "pm-is-fails" in panel.pair.value
    panel.controls.numbers["free_length"].value = 225
    assert not panel.stale and "pm-is-holds" in panel.pair.value


def test_a_mistake_of_ours_is_said(panel, monkeypatch):
    monkeypatch.setattr("panelmech.panels.readings.judge_pair", lambda *_: 1 / 0)
    field(panel, "twist", "A").value = "0.4"
    assert "The workbook made a mistake" in panel.pair.value and "made a mistake" in panel.view.alert.value


def test_moves_of_the_design_are_followed_when_the_hand_rests():
    async def drag():
        panel = panel_pairs(DESIGN, DEMO)
        before = panel.pair.value
        panel.controls.numbers["free_length"].dragged(240.0)
        moving = panel.pair.value == before and "pm-stale" in panel.pair._dom_classes
        await asyncio.sleep(guard.REST + 0.3)
        return moving, panel.pair.value != before and "pm-stale" not in panel.pair._dom_classes

    assert asyncio.run(drag()) == (True, True)


def test_set_clears_what_was_wrong(panel):
    field(panel, "twist", "A").value = "?"
    panel.views["readings"].set(DEMO)
    assert panel.bench.wrong == {} and field(panel, "twist", "A").value == "0.3"
    assert field(panel, "twist", "A").wrong == ""


@pytest.mark.slow
@by_day("name", STEMS, "land")
def test_pictures_are_exported(panel, monkeypatch, name):
    monkeypatch.setattr(engine, "export_plots", lambda *_: [])
    (panel.out / "leeboard" / "plots").mkdir(parents=True)
    panel.ask(name)
    panel.export()
    for stem in STEMS[name]:
        assert f"{stem}.svg" in panel.keep.news.value
        assert (panel.out / "leeboard" / "plots" / f"{stem}.pdf").stat().st_size > 3000


@pytest.mark.slow
@pytest.mark.nightly  # by day the note of the panel of the bend, and the record on a note in tests/report
def test_note_of_the_panel_has_the_record(panel):
    panel.write_note()
    folder = panel.out / "leeboard" / "note"
    assert "Inspection record" in (folder / "note.html").read_text(encoding="utf-8")
    assert read_readings(folder / "readings.csv") == DEMO


def test_state_of_the_bench_is_comparable():
    assert Bench(DEMO).state == Bench(DEMO).state != Bench(Readings()).state
