"""One job in every notebook, today and tomorrow: refresh, new kernel, next day, two notebooks at once.

A server of its own, on which no job is pinned.
"""

import shutil

import harness
import pytest
from playwright.sync_api import expect

from panelmech.job import demo, job_of, new_job, open_job, read_history
from panelmech.study.design import write_study

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SAVE = "async () => { await window.jupyterapp.commands.execute('docmanager:save'); }"
END = "async () => { await window.jupyterapp.shell.currentWidget.sessionContext.shutdown(); }"
BEND, LOADS, NOTE = "01_bend.ipynb", "05_loads.ipynb", "07_design_note.ipynb"


@pytest.fixture(scope="module")
def server(tmp_path_factory, chromium):
    """A server on a copy of the notebooks, on which no job is pinned."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PANELMECH_JOB")
        with harness.lab_server(tmp_path_factory.mktemp("jobs")) as running:
            yield running


@pytest.fixture(autouse=True)
def empty_shelf(server):
    """No test finds the jobs of another."""
    shutil.rmtree(jobs_of(server), ignore_errors=True)


@pytest.fixture
def opened(context, server, watch):
    """A function that opens a notebook and brings its panel to life."""

    def page_of(notebook):
        page = harness.open_notebook(context, server, notebook, watch=watch)
        assert harness.run_first(page) == []
        return page

    return page_of


def jobs_of(server):
    return server.folder / "jobs"


def bytes_of(folder):
    """Every file that a notebook might write; notebooks and compiled modules are JupyterLab's and Python's."""
    theirs = (".ipynb", ".pyc")
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.suffix not in theirs}


def type_into(page, name, text):
    field = page.locator(f"{harness.PANEL} .pm-{name} .pm-field").first
    field.fill(text)
    field.press("Enter")


def line(page):
    return page.locator(f"{harness.PANEL} .pm-job").first


def value_of(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name} .pm-field").first


def press(page, name):
    page.locator(f"{harness.PANEL} .pm-{name}").first.click()


def test_a_change_outlives_refresh_kernel_and_day_and_shows_in_the_other_notebooks(opened, server, context, watch):
    page = opened(BEND)
    expect(line(page)).to_contain_text("Job: demo")
    type_into(page, "spacer_diameter", "20 mm")
    expect(line(page)).to_contain_text("Job: trial")
    page.evaluate(SAVE)
    page.reload()
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_function(harness.KERNEL_IS_IDLE)
    asleep = page.locator(".jp-Notebook .pm-stored").first
    expect(asleep).to_contain_text("press Shift+Enter")
    assert "not found" not in page.locator(".jp-Notebook").inner_text()
    harness.run_first(page)
    expect(value_of(page, "spacer_diameter")).to_have_value("20")
    page.evaluate(END)  # the next day
    page.close()
    page = opened(BEND)
    expect(value_of(page, "spacer_diameter")).to_have_value("20")
    other = opened(LOADS)
    expect(line(other)).to_contain_text("Job: trial")
    expect(value_of(other, "spacer_diameter")).to_have_value("20")
    type_into(other, "setback", "1")  # seen in the first notebook without a hand there
    expect(value_of(page, "setback")).to_have_value("1")
    expect(line(page)).to_contain_text("Changed by loads: setback 3 mm → 1 mm")
    press(page, "undo")  # and taken back there, and so here
    expect(value_of(other, "setback")).to_have_value("3")
    other.evaluate(END)
    page.evaluate(END)


@pytest.mark.nightly  # by day without a browser, in tests/panels/test_job_panel.py, like the next but one
def test_renamed_and_begun_from_the_screen_and_an_older_study_taken_in(opened, server):
    write_study(server.folder / "studies" / "old.json", demo().design.replace(title="Old study", span=0.66))
    page = opened(BEND)
    page.locator(f"{harness.PANEL} .pm-all-jobs .pm-fold").click()
    page.locator(f"{harness.PANEL} .pm-job-name input").fill("rudder")
    page.keyboard.press("Tab")
    press(page, "new-job")
    expect(line(page)).to_contain_text("Job: rudder")
    page.locator(f"{harness.PANEL} .pm-take-in .pm-fold").click()
    page.locator(f"{harness.PANEL} .pm-files select").select_option("studies/old.json")
    press(page, "take-in:not(.pm-fold-box)")
    expect(value_of(page, "span")).to_have_value("660")
    page.locator(f"{harness.PANEL} .pm-job-name input").fill("old rudder")
    page.keyboard.press("Tab")
    press(page, "rename-job")
    expect(line(page)).to_contain_text("Job: old rudder")
    job = job_of("old rudder", jobs_of(server))
    assert (job.design.title, job.design.span) == ("Old study", 0.66)
    assert [entry.by for entry in read_history(jobs_of(server) / "old rudder")] == ["bend", "bend"]
    page.evaluate(END)


@pytest.mark.parametrize("notebook", ["06_shop.ipynb", NOTE])  # whose cells tell of files
def test_a_job_of_the_command_line_opens_in_the_panel_and_run_all_leaves_every_byte(context, server, watch, notebook):
    mine = demo().with_design(demo().design.replace(title="My rudder", span=0.7))
    new_job("rudder", mine, "command line", shelf=jobs_of(server))
    open_job("rudder", jobs_of(server))
    before = bytes_of(server.folder)
    page = harness.open_notebook(context, server, notebook, watch=watch)
    assert harness.run_all(page) == []
    expect(line(page)).to_contain_text("Job: rudder, My rudder")
    expect(value_of(page, "span")).to_have_value("700")
    page.evaluate(END)
    page.close()
    assert bytes_of(server.folder) == before


@pytest.mark.nightly
def test_from_an_empty_shelf_to_a_printed_pack_of_an_own_tapered_part_in_few_actions(opened, server):
    """Every click, choice and entry is counted: under 25, of which 15 are the part's own numbers."""
    actions, page = 0, opened(LOADS)
    own = {  # what is the part's own: six first inputs, taper, title, loads
        "sheet_thickness": "3 mm",
        "free_length": "240",
        "spacer_diameter": "20",
        "setback": "2",
        "span": "0.9 m",
        "speed": "5 kn",
        "angle": "5",
    }
    for name, text in own.items():
        type_into(page, name, text)
        actions += 1
    page.locator(f"{harness.PANEL} .pm-fold", has_text="Part along the span").first.click()
    type_into(page, "tip_free_length", "180")
    actions += 2
    title = page.locator(f"{harness.PANEL} .pm-title input, {harness.PANEL} .pm-title textarea").first
    title.fill("Rudder of the dinghy")
    title.press("Tab")
    actions += 1
    harness.settle(page)
    press(page, "papers")
    actions += 1
    expect(page.locator(f"{harness.PANEL} .pm-group-box .pm-message").first).to_contain_text("Written:")
    papers = jobs_of(server) / "trial" / "papers"
    assert (papers / "shop" / "templates" / "templates.pdf").is_file() and (papers / "note" / "note.pdf").is_file()
    job = job_of("trial", jobs_of(server))
    assert job.blade.free_length == (0.24, 0.18) and job.design.title == "Rudder of the dinghy"
    assert actions + 1 < 25  # and one to bring the panel to life
    page.evaluate(END)
