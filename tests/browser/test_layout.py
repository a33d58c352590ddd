"""Verdict, picture and first inputs in view together at every usual window; they stay while the controls scroll."""

import harness
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ROOMY = ((1000, 650), (1100, 860), (1280, 800), (1440, 900), (1600, 1000))  # from the second on two columns fit
WINDOWS = (*ROOMY, (800, 520))  # the last is 1000 x 650 at 125 %
SMALL = ((820, 1000), (667, 433), (640, 400), (500, 325))  # a tablet; 1000 at 150 %, 1280 and 1000 at 200 %
ALONE = 600  # narrower windows are tried with the list of files shut, as their users have it

SIDE_BAR = """async wanted => {
    const app = window.jupyterapp;
    if (app.shell.leftCollapsed === wanted) await app.commands.execute('application:toggle-left-area');
}"""
# Scroll the page until `far()` pixels are left, and all keeps its place; JupyterLab may need more than one go.
SCROLL = """const scrolled = async (page, far) => {
    const frame = () => new Promise(done => requestAnimationFrame(done));
    for (let still = 0, go = 0; still < 4 && go < 200; go += 1) {
        const left = far(), before = page.scrollTop;
        page.scrollTop += left;
        still = Math.abs(left) < 1 || page.scrollTop === before ? still + 1 : 0;
        await frame();
    }
};"""
# Scroll the panel's first line to the top of what is seen.
TO_ITS_TOP = f"""async panel => {{ {SCROLL}
    const page = panel.closest('.jp-WindowedPanel-outer');
    await scrolled(page, () => panel.getBoundingClientRect().top - page.getBoundingClientRect().top);
}}"""
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
MOVED = (
    "async control => {"
    + SCROLL
    + """
    const panel = control.closest('.pm-panel'), page = panel.closest('.jp-WindowedPanel-outer');
    await scrolled(page, () => control.getBoundingClientRect().bottom - page.getBoundingClientRect().bottom + 20);
    const seen = page.getBoundingClientRect(), box = control.getBoundingClientRect();
    const inside = node => node.getBoundingClientRect().top >= seen.top - 1
        && node.getBoundingClientRect().bottom <= seen.bottom + 1;
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const band = [...panel.querySelectorAll('.pm-bench-head .pm-band')].find(node => node.offsetParent);
    return {verdict: inside(band), picture: inside(panel.querySelector('.pm-picture svg')),
        control: inside(control) && control.contains(top), hit: top?.className};
}"""
)
# Wait until the page has this size and the panel in it keeps its place and size.
LAID_OUT = """async ([selector, width, height]) => {
    const frame = () => new Promise(done => requestAnimationFrame(done));
    const places = () => [innerWidth, innerHeight, ...[...document.querySelectorAll(
        `${selector}, ${selector} .pm-bench > *, .jp-WindowedPanel-outer`)].flatMap(node => {
            const {left, top, width, height} = node.getBoundingClientRect();
            return [left, top, width, height];
        })].join();
    const start = performance.now();
    let last = '', since = start;
    for (let still = 0; still < 8 || performance.now() - since < 130; ) {
        const now = places();
        if (now !== last || innerWidth !== width || innerHeight !== height) [still, since] = [0, performance.now()];
        else still += 1;
        last = now;
        if (performance.now() - start > 60000) throw new Error('the page does not come to rest');
        await frame();
    }
}"""


# Every panel in the workspace; the page without code shows the same panels, so one plain and one with views will do.
PAGES = [(name, False) for name in harness.PANEL_NOTEBOOKS] + [("01_bend.ipynb", True), ("05_loads.ipynb", True)]


@pytest.fixture(scope="module", params=PAGES, ids=lambda page: f"{page[0]}{'-doc' if page[1] else ''}")
def panel(request, open_first):
    return open_first(*request.param)


def resized(page, width, height):
    page.evaluate(SIDE_BAR, width >= ALONE)
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate(LAID_OUT, [harness.PANEL, width, height])
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


def test_verdict_and_picture_stay_by_the_control_that_is_moved(panel):
    harness.open_folds(panel)
    for width, height in SMALL:
        whole = resized(panel, width, height)
        for control in (".pm-first .pm-entry >> nth=-1", ".pm-controls .pm-entry:visible >> nth=-1"):
            seen = whole.locator(control).first.evaluate(MOVED)
            assert seen["verdict"] and seen["picture"] and seen["control"], (width, height, control, seen)


@pytest.mark.parametrize("notebook", ["01_bend.ipynb"])
def test_one_shift_enter_brings_it_all_into_view(notebook, open_page):
    """In a window of each size as it is opened; all but the first in a page that is shown already."""
    page = open_page(notebook)
    for number, (width, height) in enumerate(reversed(WINDOWS)):
        page.set_viewport_size({"width": width, "height": height})
        if number:
            page.evaluate(harness.TO_TOP)
        assert (harness.run_first_again if number else harness.run_first)(page) == []
        page.wait_for_function(
            f"panel => ({OUT_OF_VIEW})(document.querySelector(panel)).length === 0", arg=harness.PANEL
        )
        harness.settle(page)
        assert page.locator(harness.PANEL).first.evaluate(OUT_OF_VIEW) == [], (width, height)
    page.close()
