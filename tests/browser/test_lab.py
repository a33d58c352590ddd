"""The workbook in a real browser: JupyterLab in a headless Chromium, moved by keyboard.

Skipped where there is no Chromium, unless PANELMECH_REQUIRE_BROWSER is set: then its absence is a failure.
"""
import os

import harness
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]
REQUIRED = os.environ.get("PANELMECH_REQUIRE_BROWSER", "") not in ("", "0")


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    if harness.find_browser() is None:
        if REQUIRED:
            pytest.fail("PANELMECH_REQUIRE_BROWSER is set, but no Chromium was found")
        pytest.skip("no Chromium found")
    with harness.lab_server(tmp_path_factory.mktemp("lab")) as running:
        yield running


@pytest.fixture(scope="module")
def context(server):
    with harness.browser_context() as window:
        yield window


@pytest.fixture
def watch():
    """Collects what a page must not do; looked at when the test is over."""
    seen = harness.Watch()
    yield seen
    assert seen.errors == []
    assert seen.outside == []


@pytest.fixture
def opened(context, server, watch):
    """Open a notebook, run it, and hand over its page; every cell must have run without an error."""
    pages = []

    def open_and_run(notebook, app=False):
        page = harness.open_notebook(context, server, notebook, app, watch)
        pages.append(page)
        assert harness.run_all(page) == []
        return page

    yield open_and_run
    for page in pages:
        page.close()


def test_moving_the_spacer_slider_changes_picture_and_checks(opened):
    from playwright.sync_api import expect
    page = opened("01_bend.ipynb")
    picture, checks, verdict = (page.locator(f".pm-{name}").first for name in ("picture", "checks", "verdict"))
    expect(picture.locator("svg")).to_be_visible()
    assert verdict.inner_text().strip()
    drawn, table = picture.inner_html(), checks.inner_text()

    before, after = harness.press_on_slider(page, "spacer_diameter", "ArrowRight", times=4)

    assert before != after
    expect(checks).not_to_have_text(table, use_inner_text=True)
    page.wait_for_function("old => document.querySelector('.pm-picture').innerHTML !== old", arg=drawn)
    moved = checks.inner_text()

    harness.press_on_slider(page, "spacer_diameter", "ArrowLeft", times=4)
    expect(checks).not_to_have_text(moved, use_inner_text=True)
    assert checks.inner_text() == table         # back where it was: the same numbers


def test_every_control_has_a_name_and_keyboard_access(opened):
    page = opened("01_bend.ipynb")
    handles = page.locator(".pm-panel [role=slider]")
    assert handles.count() >= 5
    for number in range(handles.count()):
        assert handles.nth(number).get_attribute("tabindex") == "0"
    names = page.locator(".pm-panel .widget-slider label, .pm-panel .jupyter-widgets.widget-slider label")
    assert all(text.strip() for text in names.all_inner_texts())


def test_app_view_shows_the_panel_without_code(opened):
    page = opened("01_bend.ipynb", app=True)
    from playwright.sync_api import expect
    expect(page.locator(".pm-picture svg").first).to_be_visible()
    editors = page.locator(".jp-CodeCell .jp-InputArea-editor:visible")
    assert editors.count() == 0


def test_note_button_writes_a_note_that_opens(opened, context, server, watch):
    page = opened("08_design_note.ipynb")
    earlier = set(server.folder.rglob("*.html"))
    page.locator("button.pm-note").click()
    page.wait_for_function("() => document.querySelector('.pm-message')?.innerText.trim().length > 0")
    page.wait_for_function(harness.KERNEL_IS_IDLE)
    written = set(server.folder.rglob("*.html")) - earlier
    assert len(written) >= 1, page.locator(".pm-message").first.inner_text()

    note = context.new_page()
    watch.follow(note)
    note.goto(sorted(written)[0].as_uri())
    headings = " ".join(note.locator("h1, h2").all_inner_texts()).lower()
    for word in ("input", "result", "check", "caution"):
        assert word in headings
    pictures = note.locator("svg, img")
    assert pictures.count() >= 1 and pictures.first.is_visible()
    note.close()
