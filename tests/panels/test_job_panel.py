"""The job in the panels: kept as it changes, found again, undone and redone, shared by notebooks."""

import asyncio
import json
import os
import threading
from html import unescape

import pytest
from day_and_night import by_day

from panelmech import panels
from panelmech.blade.blade import Blade
from panelmech.job import demo, job_names, job_of, keep, new_job, open_job, open_name, read_history, read_job, verdict
from panelmech.job.agree import agree
from panelmech.job.shelf import CURRENT
from panelmech.panels import desk, work
from panelmech.panels.study_tables import plain
from panelmech.report import papers
from panelmech.study.design import write_study

MAKERS = [
    panels.panel_bend,
    panels.panel_wedge,
    panels.panel_trade,
    panels.panel_pairs,
    panels.panel_loads,
    panels.panel_shop,
    panels.panel_note,
]


FEW = [panels.panel_bend, panels.panel_loads, panels.panel_shop]
OF_PANELS = by_day("makers", [FEW, MAKERS], FEW, ids=["some", "all"])


@pytest.fixture
def bench(tmp_path, monkeypatch, coarse, design_alone):
    """An empty folder to work in, with no job pinned. What is tested is what is kept."""
    monkeypatch.delenv("PANELMECH_JOB")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def bytes_of(folder):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def mine(**changes):
    job = demo()
    return job.with_design(job.design.replace(**{"title": "My rudder", "span": 0.7, **changes}))


def line(panel):
    return plain(panel.keep.said.value)


# ----- the demo, and a job of one's own -----


@OF_PANELS
def test_the_demo_is_shown_and_nothing_is_written_until_something_changes(bench, makers):
    for make in makers:
        panel = make(demo())
        panel.summary()
        assert panel.job() == demo() and "Job: demo; root end shown; your first change" in line(panel)
    assert list(bench.iterdir()) == []


@OF_PANELS
def test_the_first_change_of_the_demo_begins_a_job_that_every_panel_shows(bench, makers):
    panel = panels.panel_bend(demo())
    panel.controls.numbers["spacer_diameter"].typed("20 mm")
    assert (
        job_names() == ["trial"]
        and open_name() == "trial"
        and "Job: trial, Leeboard; root end shown; kept" in line(panel)
    )
    changed = demo().with_design(demo().design.replace(spacer_diameter=0.02))
    for make in makers:
        other = make(demo())
        assert other.job() == changed and "Job: trial" in line(other)


@OF_PANELS
def test_running_everything_again_leaves_every_byte_of_a_job(bench, whole_verdict, makers):
    new_job("rudder", mine(sheet_thickness=0.0019876543210123), "a test")
    open_job("rudder")
    before = bytes_of(bench)
    for _ in range(1 if makers == FEW else 2):
        for make in makers:
            panel = make(demo())
            panel.summary()
            assert panel.job() == mine(sheet_thickness=0.0019876543210123)
    assert bytes_of(bench) == before


def test_what_is_given_beside_the_demo_is_shown_and_kept_under_its_title(bench):
    open_job("demo")
    panel = panels.panel_bend(mine().design)
    assert panel.design().title == "My rudder" and job_names() == []
    panel.controls.numbers["span"].typed("71 cm")
    assert job_names() == ["my-rudder"] and job_of("my-rudder").design.span == 0.71


@pytest.mark.slow
def test_of_each_panel_its_own_settings_are_kept(bench):
    new_job("rudder", mine(), "a test")
    open_job("rudder")
    panels.panel_pairs(demo()).views["pair"].tolerance.typed("0,4")
    loads = panels.panel_loads(demo())
    loads.bench.controls.numbers["speed"].typed("6 kn")
    loads.bench.controls.numbers["tip_free_length"].typed("150")
    panels.panel_shop(demo()).shop.numbers["kerf"].typed("2")
    panels.panel_note(demo()).keep.texts["made_by"].value = "the yard"
    job = job_of("rudder")
    assert (job.camber, job.shop.kerf, job.design.made_by) == (0.4e-3, 0.002, "the yard")
    assert job.loads.plan.cases[0].speed == pytest.approx(3.0867, abs=1e-4) and job.blade.free_length[1] == 0.15
    assert {entry.by for entry in read_history("jobs/rudder")} >= {"matched pairs", "loads", "shop", "design note"}


def test_lengths_belong_to_the_job(bench, monkeypatch):
    monkeypatch.delenv("PANELMECH_LENGTHS")
    panel = panels.panel_bend(demo())
    try:
        panel.controls.show["lengths"].value = "inch"
        assert job_of("trial").lengths == "inch"
        assert panels.panel_wedge(demo()).controls.numbers["span"].label == "Span, in"
    finally:
        panels.panel_bend(mine()).controls.show["lengths"].value = "mm"


def test_a_refused_entry_keeps_the_last_good_state(bench):
    panel = panels.panel_bend(demo())
    panel.controls.numbers["span"].typed("700")
    panel.controls.numbers["span"].typed("abc")
    assert job_of("trial").design.span == 0.7 and panel.controls.numbers["span"].text == "abc"


REFUSED = {  # panel: (what is refused, what is typed after it, what then is in the job)
    "bend": (
        lambda p: p.controls.numbers["span"].typed("abc"),
        lambda p: p.controls.numbers["setback"].typed("2"),
        lambda job: (job.design.span, job.design.setback) == (0.85, 0.002),
    ),
    "pairs": (
        lambda p: field_of(p, "thickness", "A").typed("2.05 abc"),
        lambda p: [field_of(p, "thickness", "B").typed("1.9 2 2 2 2 2"), p.views["pair"].tolerance.typed("0,4")],
        lambda job: (
            [row.value for row in job.readings.of("thickness", "B")] == pytest.approx([0.0019, *[0.002] * 5])
            and job.readings.of("thickness", "A") == demo().readings.of("thickness", "A")
            and job.camber == 0.4e-3
        ),
    ),
    "loads": (
        lambda p: p.bench.controls.numbers["speed"].typed("fast"),
        lambda p: p.bench.controls.numbers["tip_free_length"].typed("150"),
        lambda job: job.blade.free_length[1] == 0.15 and job.loads.plan.cases[0].speed == 2.0,
    ),
    "shop": (
        lambda p: p.shop.numbers["kerf"].typed("-1"),
        lambda p: p.shop.numbers["waste"].typed("20"),
        lambda job: job.shop.kerf == demo().shop.kerf and job.shop.waste == 0.2,
    ),
    "start": (
        lambda p: setattr(p.shop.start, "value", "tomorrow"),
        lambda p: [p.shop.numbers["waste"].typed("20"), p.controls.numbers["setback"].typed("2")],
        lambda job: (job.shop.start, job.shop.waste, job.design.setback) == (demo().shop.start, 0.2, 0.002),
    ),
}


def field_of(panel, measured, sheet):
    return panel.views["readings"].fields[measured, sheet, "values"]


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_typed_beside_a_refused_field_is_kept_for_the_next_day(bench, case):
    refuse, go_on, stands = REFUSED[case]
    kind = {"start": "shop"}.get(case, case)
    panel = getattr(panels, f"panel_{kind}")(demo())
    refuse(panel)
    assert not tuple(job_names())
    go_on(panel)
    assert stands(job_of("trial"))
    assert "Kept. All but what is refused" in line(panel)
    assert stands(getattr(panels, f"panel_{kind}")(demo()).job())


def test_a_chord_that_is_refused_changes_no_length_when_the_rest_is_kept(bench):
    panel = panels.panel_bend(demo())
    panel.controls.given["chord"].typed("abc")
    panel.controls.numbers["span"].typed("700")
    assert job_of("trial") == demo().with_design(demo().design.replace(span=0.7))
    panel.controls.given["chord"].typed("1")  # no free length gives it: the design cannot be, the span stays as it was
    panel.controls.numbers["span"].typed("720")
    assert job_of("trial").design.span == 0.7 and "refused" not in panel.controls.given["chord"].wrong


def test_a_refused_field_that_is_mended_no_longer_counts_as_left_out(bench):
    panel = panels.panel_bend(demo())
    panel.controls.numbers["span"].typed("abc")
    panel.controls.numbers["setback"].typed("2")
    panel.controls.numbers["span"].typed("850")
    assert "refused" not in line(panel) and job_of("trial").design.span == 0.85


# ----- undo, redo, history -----


@pytest.mark.slow
def test_undo_and_redo_go_through_changes_of_every_panel(bench):
    panel = panels.panel_bend(demo())
    assert panel.keep.buttons["undo"].disabled
    panel.controls.numbers["spacer_diameter"].typed("20")
    loads = panels.panel_loads(demo())
    loads.bench.controls.numbers["speed"].typed("3")
    loads.keep.buttons["undo"].click()
    assert loads.bench.controls.numbers["speed"].value == 2.0
    loads.keep.buttons["undo"].click()
    assert loads.controls.numbers["spacer_diameter"].value == 18 and job_of("trial") == demo()
    assert loads.keep.buttons["undo"].disabled
    loads.keep.buttons["redo"].click()
    loads.keep.buttons["redo"].click()
    job = job_of("trial")
    assert job.design.spacer_diameter == 0.02 and job.loads.plan.cases[0].speed == 3.0
    assert loads.keep.buttons["redo"].disabled


@pytest.mark.slow
@pytest.mark.nightly  # by day by commands, in tests/test_command_jobs.py
def test_the_history_says_when_what_and_how_it_stood_and_leads_back(bench, whole_verdict):
    panel = panels.panel_bend(demo())
    for size in ("20", "22", "24"):
        panel.controls.numbers["spacer_diameter"].typed(size)
    assert read_history("jobs/trial")[-1].verdict == ""  # a hand that goes on is not kept waiting for it
    panel.finish()
    panel.keep.folds["history"].button.opened = True
    words, last = plain(panel.keep.history.value), read_history("jobs/trial")[-1]
    assert "spacer diameter 22 mm → 24 mm" in words and last.verdict in words
    assert (
        plain(panel.parts["verdict"].value)
        .partition("The job: ")[2]
        .startswith(last.verdict[0].lower() + last.verdict[1:])
    )
    panel.keep.entries.value = 2
    panel.keep.buttons["go-back"].click()
    assert panel.design().spacer_diameter == 0.02
    panel.keep.buttons["undo"].click()
    assert panel.design().spacer_diameter == 0.024


# ----- others at work -----


def test_a_change_from_elsewhere_is_shown_and_said(bench):
    panel, other = panels.panel_bend(demo()), panels.panel_loads(mine())
    panel.controls.numbers["span"].typed("800")
    elsewhere = job_of("trial")
    keep("jobs/trial", elsewhere, elsewhere.with_design(elsewhere.design.replace(setback=0.001)), "loads")
    work.Work.watching = panel.work
    panel.work.look()
    assert panel.design().setback == 0.001 and "Changed by loads: setback 3 mm → 1 mm" in line(panel)
    assert other.design().title == "My rudder"  # shown for itself, not following


@pytest.mark.slow
@pytest.mark.nightly
def test_a_verdict_that_comes_late_hides_no_change_from_elsewhere(bench, whole_verdict):
    """Kept here, undone there, and only then is it known here how it stood."""
    panel, other = panels.panel_loads(demo()), panels.panel_bend(demo())
    panel.controls.numbers["setback"].typed("1")
    other.work.look()
    other.keep.buttons["undo"].click()
    panel.finish()
    work.Work.watching = panel.work
    panel.work.look()
    assert panel.design().setback == 0.003 and "Changed by bend: undo: setback 1 mm → 3 mm" in line(panel)


@pytest.mark.slow
def test_a_change_from_elsewhere_just_after_ones_own_is_shown(bench, monkeypatch):
    """The other hand is quicker than the look at the folder that follows keeping, undoing and opening."""
    panel = panels.panel_bend(demo())
    panel.controls.numbers["span"].typed("800")

    def overtaken(does, setback):
        def does_and_then_another(*given, **named):
            done = does(*given, **named)
            job = job_of("trial")
            keep("jobs/trial", job, job.with_design(job.design.replace(setback=setback)), "loads")
            return done

        return does_and_then_another

    for number, (name, do) in enumerate(
        [
            ("keep", lambda: panel.controls.numbers["span"].typed("810")),
            ("step", panel.keep.buttons["undo"].click),
            ("open_job", panel.work.open_chosen),
        ]
    ):
        panel.keep.folds["shelf"].button.opened = True
        panel.keep.jobs.value = "trial"
        with monkeypatch.context() as patch:
            patch.setattr(desk, name, overtaken(getattr(desk, name), 0.001 + 0.0005 * number))
            do()
        work.Work.watching = panel.work
        panel.work.look()
        assert panel.design().setback == 0.001 + 0.0005 * number, name


def test_what_was_typed_a_moment_ago_stays_when_a_change_from_elsewhere_is_shown(bench):
    async def typed_and_looked():
        panel = panels.panel_bend(mine(span=0.8))
        panel.controls.numbers["spacer_diameter"].typed("20")
        panel.settle()
        job = job_of("my-rudder")
        keep("jobs/my-rudder", job, job.with_design(job.design.replace(setback=0.001)), "loads")
        panel.controls.numbers["span"].typed("810")
        panel.work.look()
        return panel.design(), line(panel)

    design, said = asyncio.run(typed_and_looked())
    assert (design.span, design.setback) == (0.81, 0.001) and "Meanwhile elsewhere: setback 3 mm → 1 mm" in said
    assert job_of("my-rudder").design == design


def test_undo_takes_back_what_was_typed_a_moment_ago(bench):
    """Before the hand has rested: in a notebook what is typed is kept a little later."""

    async def typed_and_undone():
        panel = panels.panel_bend(demo())
        panel.controls.numbers["spacer_diameter"].typed("20")
        panel.settle()
        panel.controls.numbers["spacer_diameter"].typed("22")
        panel.keep.buttons["undo"].click()
        return panel.design().spacer_diameter

    assert asyncio.run(typed_and_undone()) == 0.02
    assert [e.what for e in read_history("jobs/trial")][-2:] == [
        "spacer diameter 20 mm → 22 mm",
        "undo: spacer diameter 22 mm → 20 mm",
    ]


def test_a_job_opened_elsewhere_is_shown_here_too(bench):
    new_job("rudder", mine(), "a test")
    panel = panels.panel_bend(demo())
    open_job("rudder")
    panel.work.look()
    assert panel.job() == mine() and "opened elsewhere" in line(panel)


def test_while_something_is_refused_here_a_change_from_elsewhere_waits(bench):
    panel = panels.panel_bend(demo())
    panel.controls.numbers["span"].typed("800")
    panel.controls.numbers["span"].typed("abc")
    elsewhere = job_of("trial")
    keep("jobs/trial", elsewhere, elsewhere.with_design(elsewhere.design.replace(setback=0.001)), "loads")
    panel.work.look()
    assert panel.controls.numbers["span"].text == "abc" and panel.controls.numbers["setback"].value == 3
    panel.controls.numbers["span"].typed("810")
    assert job_of("trial").design.setback == 0.001 and job_of("trial").design.span == 0.81
    assert panel.design().setback == 0.001 and "Meanwhile elsewhere: setback 3 mm → 1 mm" in line(panel)


def test_what_gives_way_is_said(bench):
    panel = panels.panel_bend(demo())
    panel.controls.numbers["span"].typed("800")
    elsewhere = job_of("trial")
    keep("jobs/trial", elsewhere, elsewhere.with_design(elsewhere.design.replace(span=0.9)), "loads")
    panel.controls.numbers["span"].typed("700")
    assert "Gave way to what stands here: span 900 mm → 700 mm; undo brings it back" in line(panel)
    panel.keep.buttons["undo"].click()
    assert panel.design().span == 0.9


# ----- the shelf -----


def test_jobs_are_begun_renamed_opened_and_put_away(bench):
    panel = panels.panel_bend(demo())
    buttons, said = panel.keep.buttons, panel.keep.news
    buttons["new-job"].click()
    assert "Type the name of the new job first" in said.value
    panel.keep.name.value = "board"
    buttons["new-job"].click()
    assert open_name() == "board" and "Job: board, Leeboard" in line(panel)
    buttons["new-job"].click()
    assert "there is such a job already" in said.value.lower()
    panel.controls.numbers["span"].typed("700")
    panel.keep.name.value = "long board"
    buttons["rename-job"].click()
    assert job_names() == ["long board"] and len(read_history("jobs/long board")) == 2
    panel.keep.folds["shelf"].button.opened = True
    assert "long board (open)" in plain(panel.keep.shelf.value) and panel.keep.shelf.value.count("<svg") == 2
    panel.keep.jobs.value = "demo"
    buttons["open-job"].click()
    assert panel.job() == demo() and open_name() == "demo"
    panel.keep.jobs.value = "long board"
    buttons["remove-job"].click()
    assert job_names() == [] and read_job("jobs/.removed/long board").design.span == 0.7


def test_names_that_cannot_be_are_refused(bench):
    panel = panels.panel_bend(demo())
    for name in ("../outside", "a/b", "..", "con", ".hidden", "x" * 200, "c:\\d", "demo", "Demo"):
        panel.keep.news.value = ""
        panel.keep.name.value = name
        panel.keep.buttons["new-job"].click()
        assert 'role="alert"' in panel.keep.news.value and job_names() == [], name


def test_a_job_that_cannot_be_read_is_said_and_the_given_one_is_shown(bench):
    new_job("rudder", mine(), "a test")
    open_job("rudder")
    (bench / "jobs" / "rudder" / "job.json").write_text('{"format": "panelm')
    panel = panels.panel_bend(demo())
    assert panel.job() == demo() and "could not be opened" in line(panel) and "readable" in line(panel)
    panel.keep.folds["shelf"].button.opened = True
    assert "cannot be read" in plain(panel.keep.shelf.value)


def test_a_folder_that_cannot_be_written_is_said_and_the_settings_stand(bench, monkeypatch):
    panel = panels.panel_bend(demo())

    def full(*arguments, **settings):
        raise OSError(28, "No space left on device", str(bench / "jobs" / "trial" / "job.json"))

    with monkeypatch.context() as patch:
        patch.setattr("panelmech.panels.desk.keep", full)
        panel.controls.numbers["span"].typed("700")
    assert "No space left on device" in line(panel) and panel.design().span == 0.7
    panel.controls.numbers["setback"].typed("2")  # both are kept as soon as it can be
    assert (job_of("trial").design.span, job_of("trial").design.setback) == (0.7, 0.002)


# ----- papers -----


@pytest.mark.slow
def test_from_an_empty_shelf_to_the_papers_of_an_own_tapered_part_in_few_entries(bench, whole_verdict, monkeypatch):
    """Every entry is counted, as with a mouse in the browser by night: under 25."""
    monkeypatch.setattr(papers, "_CONTENTS", {kind: lambda state: {"page.html": b"page"} for kind in papers.PAPERS})
    panel = panels.panel_loads(demo())
    own = {"sheet_thickness": "3 mm", "free_length": "240", "spacer_diameter": "20", "setback": "2", "span": "0.9 m"}
    under = {"speed": "5 kn", "angle": "5", "tip_free_length": "180"}
    fields = [(panel.controls.numbers[name], text) for name, text in own.items()]
    fields += [(panel.bench.controls.numbers[name], text) for name, text in under.items()]
    assert len(fields) + 4 < 25  # a click to bring it to life, one to unfold, the title, the button
    with monkeypatch.context() as patch:  # a hand that goes on: only where it comes to rest is the job judged
        patch.setattr(verdict, "_has", lambda job, kind: kind == "design")
        for field, text in fields:
            field.typed(text)
        panel.keep.texts["title"].value = "Rudder of the dinghy"
    panel.keep.buttons["papers"].click()
    assert "Written:" in panel.keep.news.value, panel.keep.news.value
    assert (bench / "jobs" / "trial" / "papers" / "shop" / "page.html").is_file()
    job = job_of("trial")
    assert job.blade.free_length == (0.24, 0.18) and job.design.title == "Rudder of the dinghy"


# ----- files of one kind -----


def test_older_files_are_found_and_taken_in(bench):
    (bench / "studies").mkdir()
    write_study(bench / "studies" / "old.json", mine(title="Old study").design)
    (bench / "studies" / "notes.json").write_text('{"format": "something else"}')
    panel = panels.panel_bend(demo())
    panel.keep.folds["files"].button.opened = True
    found = [value for _, value in panel.keep.files.options]
    assert found == ["", os.path.join("studies", "old.json")]
    panel.keep.files.value = found[1]
    panel.keep.buttons["take-in"].click()
    assert panel.design().title == "Old study" and job_of("trial").blade == Blade(mine(title="Old study").design)
    assert "Taken in from old.json" in panel.keep.news.value
    panel.keep.buttons["undo"].click()
    assert panel.job() == demo()


def test_files_that_cannot_be_taken_in_say_why(bench):
    panel = panels.panel_bend(demo())
    (bench / "bad.csv").write_text("sheet,measured,value_mm\nA,twist,x\n", encoding="utf-8")
    (bench / "torn.json").write_text('{"format": "panelm')
    (bench / "other.json").write_text('{"format": "something else"}')
    for name, words in (
        ("", "name the file first"),
        ("nowhere.json", "there is no file nowhere.json"),
        ("bad.csv", "row 2, column value_mm: 'x' is not a number"),
        ("torn.json", "not a readable workbook file"),
        ("other.json", "is no file of the workbook"),
    ):
        panel.keep.file.value = name
        panel.keep.buttons["take-in"].click()
        assert words in unescape(panel.keep.news.value).replace("Name the", "name the").replace("There", "there"), name
    assert job_names() == [] and panel.job() == demo()


def test_what_is_open_is_one_small_file(bench):
    panels.panel_bend(demo()).controls.numbers["span"].typed("700")
    assert json.loads((bench / "jobs" / CURRENT).read_text()) == {"open": "trial"}


# ----- one adhesive -----


@pytest.mark.nightly  # by day without a panel, in tests/shop/test_agree.py
@pytest.mark.slow
def test_the_adhesive_that_is_checked_is_the_one_that_is_weighed(bench):
    panel = panels.panel_shop(demo())
    first = panel.job()
    assert agree(first) == ""
    other = next(a for a in dict(panel.controls.choices["adhesive"].options).values() if a != first.design.adhesive)
    panel.controls.choices["adhesive"].value = other
    job = job_of("trial")
    assert job.design.adhesive == other and job.shop.bond != first.shop.bond and agree(job) == ""
    assert panel.shop.lists["bond"].value == job.shop.bond and panel.pack.choices == job.shop
    panel.shop.lists["bond"].value = first.shop.bond
    job = job_of("trial")
    assert job.shop.bond == first.shop.bond and job.design.adhesive != other and agree(job) == ""
    assert panel.controls.choices["adhesive"].value == job.design.adhesive and panel.job() == job


# ----- compared -----


@pytest.mark.slow
@pytest.mark.nightly
def test_the_design_of_another_job_is_set_beside_the_present_one(bench):
    new_job("rudder", mine(), "a test")
    panel = panels.panel_trade(demo())
    panel.ask("compare")
    panel.view.job.value = "rudder"
    panel.view.add_job.click()
    assert [study.design.title for study in panel.view.kept] == ["Leeboard", "My rudder"]
    assert "My rudder" in plain(panel.view.listed.value) and panel.job() == demo()


# ----- two threads -----


def test_what_a_hand_does_while_the_panel_fills_its_own_fields_is_heard(bench):
    """JupyterLab hands over what was typed on another thread than the timer's that fills fields."""
    panel = panels.panel_bend(demo())
    with panel.controls.quietly():
        hand = threading.Thread(target=lambda: panel.controls.numbers["span"].typed("700"))
        hand.start()
        hand.join()
        panel.controls.numbers["setback"].put(0.001)  # the panel's own: nobody hears of it
    assert panel.study.design.span == 0.7 and job_of("trial").design.span == 0.7


def test_two_threads_that_fill_fields_in_turn_leave_nobody_unheard(bench):
    """One begins, the other begins, the first ends, the other ends; the hand of either is heard afterwards."""
    panel = panels.panel_bend(demo())
    begun, first_done = threading.Event(), threading.Event()

    def other():
        with panel.controls.quietly():
            begun.set()
            first_done.wait(10)

    thread = threading.Thread(target=other)
    heard = []
    panel.controls.on_change(lambda: heard.append(True))
    with panel.controls.quietly():
        thread.start()
        assert begun.wait(10)
        panel.controls.numbers["span"].typed("640")
    assert not heard
    first_done.set()
    thread.join()
    panel.controls.numbers["span"].typed("650")
    assert heard
