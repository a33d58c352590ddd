"""The workbook in a real browser: JupyterLab in a headless Chromium, moved by keyboard."""

import shutil

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PICTURE, CHECKS, VERDICT = (f"{harness.PANEL} .pm-{part}" for part in ("picture", "checks", "verdict"))


@pytest.fixture(scope="module", params=["01_bend.ipynb"])
def bend(request, open_first):
    """Notebook 01, run."""
    page = open_first(request.param)
    assert harness.run_all(page) == []
    return page


def test_moving_the_spacer_slider_changes_picture_and_checks(bend):
    page = bend
    picture, checks, verdict = (page.locator(part).first for part in (PICTURE, CHECKS, VERDICT))
    expect(picture.locator("svg")).to_be_visible()
    assert verdict.inner_text().strip()
    drawn, table = picture.inner_html(), checks.inner_text()

    before, after = harness.press_on_slider(page, "spacer_diameter", "ArrowRight", times=4)

    assert before != after
    harness.wait_until(page, CHECKS, "innerText", "!==", table)
    harness.wait_until(page, PICTURE, "innerHTML", "!==", drawn)
    moved = checks.inner_text()

    harness.press_on_slider(page, "spacer_diameter", "ArrowLeft", times=4)
    harness.wait_until(page, CHECKS, "innerText", "!==", moved)
    harness.wait_until(page, CHECKS, "innerText", "===", table)  # back where it was: the same numbers


def test_every_handle_has_a_name_and_keyboard_access(bend):
    handles = bend.locator(f"{harness.PANEL} [role=slider]")
    assert handles.count() >= 7  # the lengths alone are that many
    for number in range(handles.count()):
        assert handles.nth(number).get_attribute("tabindex") == "0"
    label = "handle => document.getElementById(handle.getAttribute('aria-labelledby')).textContent"
    names = handles.evaluate_all(f"handles => handles.map({label})")
    assert all(name.strip() for name in names) and len(set(names)) == len(names)


@pytest.mark.parametrize("notebook", ["02_against_the_wedge.ipynb"])
def test_app_view_shows_the_panel_without_code(open_and_run, notebook):
    page = open_and_run(notebook, app=True)
    expect(page.locator(f"{PICTURE} svg").first).to_be_visible()
    editors = page.locator(".jp-CodeCell .jp-InputArea-editor:visible")
    assert editors.count() == 0
    page.close()


@pytest.mark.parametrize("notebook", ["07_design_note.ipynb"])
def test_note_button_writes_a_note_that_opens(open_first, context, server, watch, notebook):
    page = open_first(notebook)
    shutil.rmtree(server.folder / "out", ignore_errors=True)  # what others wrote
    page.locator("button.pm-note").click()
    expect(page.locator(".pm-message", has_text="note.html")).to_be_visible()
    written = list(server.folder.rglob("note.html"))
    assert len(written) == 1

    note = context.new_page()
    watch.follow(note)
    note.goto(written[0].as_uri())
    headings = " ".join(note.locator("h1, h2").all_inner_texts()).lower()
    for word in ("input", "result", "check", "caution"):
        assert word in headings
    pictures = note.locator("svg, img")
    assert pictures.count() >= 1 and pictures.first.is_visible()
    note.close()
