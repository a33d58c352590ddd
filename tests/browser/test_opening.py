"""A notebook as a page: the panel comes to life by one key, and the README's address shows the page alone."""

import json
import re

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]

README = (harness.ROOT / "README.md").read_text(encoding="utf-8")
ADDRESS = re.search(r"^http://localhost:8888(/doc/tree/\S+)$", README, re.MULTILINE).group(1)


RESTART = "async () => { await window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart(); }"


@pytest.fixture(scope="module")
def bend(open_page):
    """A page of its own with a notebook as it is opened."""
    page = open_page("01_bend.ipynb")
    yield page
    page.evaluate(harness.END_KERNEL)
    page.close()


def shown_editors(page):
    return page.locator(".jp-CodeCell .jp-InputArea-editor:visible")


def test_a_click_below_the_bar_and_one_key_bring_the_panel_to_life(bend):
    first = bend.locator(".jp-CodeCell").first
    first.locator(".jp-OutputArea-output").first.click()
    bend.keyboard.press("Shift+Enter")
    panel = first.locator(harness.PANEL).first
    expect(panel.locator("svg").first).to_be_visible()
    harness.settle(bend)
    assert 0 < panel.bounding_box()["y"] < 400  # still in view, below its one sentence
    assert shown_editors(bend).count() == 0


def test_a_restarted_kernel_is_said_on_the_panel(bend):
    if not bend.locator(harness.PANEL).count():  # this test alone
        assert harness.run_first(bend) == []
    bend.evaluate(RESTART)
    bend.wait_for_selector(f"{harness.PANEL}.jupyter-widgets-disconnected", state="attached")
    words = bend.locator(harness.PANEL).first.evaluate("panel => getComputedStyle(panel, '::before').content")
    assert "Shift+Enter" in words and "kept" in words


def saves_the_workspace(response):
    """Whether a response says that the workspace was saved, with the list of files in view."""
    request = response.request
    if request.method != "PUT" or "/api/workspaces/" not in request.url:
        return False
    return json.loads(request.post_data)["data"]["layout-restorer:data"]["left"]["collapsed"] is False


def test_the_address_of_the_readme_shows_the_page_alone_in_a_used_workspace(context, server, watch):
    """In a browser of its own: beside another window of the same one JupyterLab takes another workspace."""
    alone = context.browser.new_context()
    alone.set_default_timeout(harness.PATIENCE)
    page = harness.open_notebook(alone, server, "00_start.ipynb", watch=watch)
    files = page.locator("#jp-left-stack")
    with page.expect_response(saves_the_workspace):  # a moment after the files are shown
        page.evaluate("async () => { await window.jupyterapp.commands.execute('filebrowser:activate'); }")
        expect(files).to_be_visible()
    page.goto(server.url + ADDRESS.removesuffix("?reset"))
    page.wait_for_function(harness.KERNEL_IS_IDLE)
    expect(files).to_be_visible()  # what the end of the address is for
    page.goto(server.url + ADDRESS)
    page.wait_for_function(harness.KERNEL_IS_IDLE)
    expect(files).to_be_hidden()
    assert shown_editors(page).count() == 0
    alone.close()
