"""Verdict, picture and first inputs in view together at every usual window; they stay while the controls scroll."""

import harness
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ROOMY = ((1000, 650), (1280, 800), (1600, 1000))
WINDOWS = (*ROOMY, (800, 520))  # the last is 1000 x 650 at 125 %
SMALL = ((820, 1000), (667, 433), (640, 400), (500, 325))  # a tablet; 1000 at 150 %, 1280 and 1000 at 200 %
ALONE = 600  # narrower windows are tried with the list of files shut, as their users have it

SIDE_BAR = """async wanted => {
    const app = window.jupyterapp;
    if (app.shell.leftCollapsed === wanted) await app.commands.execute('application:toggle-left-area');
}"""
# Scroll the panel's first line to the top of what is seen; JupyterLab may need more than one go.
TO_ITS_TOP = """async panel => {
    const page = panel.closest('.jp-WindowedPanel-outer');
    for (let go = 0; go < 4; go += 1) {
        page.scrollTop += panel.getBoundingClientRect().top - page.getBoundingClientRect().top;
        await new Promise(done => setTimeout(done, 60));
    }
}"""
# What of the panel is not wholly inside the part of the page that is seen.
OUT_OF_VIEW = """panel => {
    const seen = panel.closest('.jp-WindowedPanel-outer').getBoundingClientRect();
    const wanted = [panel.querySelector('.pm-picture svg'),
        [...panel.querySelectorAll('.pm-bench-head .pm-band')].find(band => band.offsetParent),
        ...panel.querySelectorAll('.pm-first > *')];
    return wanted.filter(node => {
        const box = node.getBoundingClientRect();
        return box.width < 20 || box.height < 10 || box.top < seen.top - 1 || box.bottom > seen.bottom + 1
            || box.left < seen.left - 1 || box.right > seen.right + 1;
    }).map(node => [String(node.className.baseVal ?? node.className), node.getBoundingClientRect().toJSON(),
        seen.toJSON()]);
}"""
# Everything around and in the panel that can be scrolled sideways.
SIDEWAYS = """panel => {
    const around = [];
    for (let node = panel; node; node = node.parentElement) around.push(node);
    return [...around, ...panel.querySelectorAll('*')].filter(node => node.scrollWidth > node.clientWidth
        && node.clientWidth && /auto|scroll/.test(getComputedStyle(node).overflowX)).map(node => node.className);
}"""
# Scroll a control to where its user has it, at the lower end of what is seen, and see what covers it.
MOVED = """async control => {
    const panel = control.closest('.pm-panel'), page = panel.closest('.jp-WindowedPanel-outer');
    for (let go = 0; go < 4; go += 1) {
        page.scrollTop += control.getBoundingClientRect().bottom - page.getBoundingClientRect().bottom + 20;
        await new Promise(done => setTimeout(done, 60));
    }
    const seen = page.getBoundingClientRect(), box = control.getBoundingClientRect();
    const inside = node => node.getBoundingClientRect().top >= seen.top - 1
        && node.getBoundingClientRect().bottom <= seen.bottom + 1;
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const band = [...panel.querySelectorAll('.pm-bench-head .pm-band')].find(node => node.offsetParent);
    return {verdict: inside(band), picture: inside(panel.querySelector('.pm-picture svg')),
        control: inside(control) && control.contains(top), hit: top?.className};
}"""


# Every panel in the workspace; the page without code shows the same panels, so one plain and one with views will do.
PAGES = [(name, False) for name in harness.PANEL_NOTEBOOKS] + [("01_bend.ipynb", True), ("05_loads.ipynb", True)]


@pytest.fixture(scope="module", params=PAGES, ids=lambda page: f"{page[0][:2]}-{'doc' if page[1] else 'lab'}")
def panel(request, open_first):
    page = open_first(*request.param)
    yield page
    page.close()


def resized(page, width, height):
    page.evaluate(SIDE_BAR, width >= ALONE)
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_timeout(350)  # JupyterLab lays itself out
    return page.locator(harness.PANEL).first


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_verdict_picture_and_first_inputs_are_seen_together(panel, dark):
    harness.use_theme(panel, dark)
    for width, height in WINDOWS:
        whole = resized(panel, width, height)
        whole.evaluate(TO_ITS_TOP)
        assert whole.evaluate(OUT_OF_VIEW) == [], (width, height)
    harness.use_theme(panel, False)


def test_nothing_scrolls_sideways(panel):
    for view in harness.each_view(panel):
        harness.open_folds(panel)
        for width, height in ROOMY:
            assert resized(panel, width, height).evaluate(SIDEWAYS) == [], (view, width, height)


@pytest.mark.parametrize(("width", "height"), SMALL)
def test_verdict_and_picture_stay_by_the_control_that_is_moved(panel, width, height):
    whole = resized(panel, width, height)
    harness.open_folds(panel)
    for control in (".pm-first .pm-entry >> nth=-1", ".pm-controls .pm-entry:visible >> nth=-1"):
        seen = whole.locator(control).first.evaluate(MOVED)
        assert seen["verdict"] and seen["picture"] and seen["control"], (control, seen)


@pytest.mark.parametrize(("width", "height"), WINDOWS)
def test_one_shift_enter_brings_it_all_into_view(context, server, watch, width, height):
    page = harness.open_notebook(context, server, "01_bend.ipynb", False, watch)
    page.set_viewport_size({"width": width, "height": height})
    assert harness.run_first(page) == []
    page.wait_for_timeout(2600)
    assert page.locator(harness.PANEL).first.evaluate(OUT_OF_VIEW) == []
    page.close()
