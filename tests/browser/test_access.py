"""Every panel by keyboard, by ear, in both themes: folds open, Tab meets every control, the wheel changes nothing."""

import re
from itertools import pairwise

import harness
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]

# Number every control below `root` that is seen and can be used; note each that gets the focus, and how it shows.
WATCH_FOCUS = """root => {
    const rgb = colour => {  // whatever way a colour is written
        const at = Object.assign(document.createElement('canvas'), {width: 1, height: 1}).getContext('2d');
        at.fillStyle = colour;
        at.fillRect(0, 0, 1, 1);
        return [...at.getImageData(0, 0, 1, 1).data];
    };
    const light = colour => [0.2126, 0.7152, 0.0722].reduce((sum, share, n) => {
        const part = colour[n] / 255;
        return sum + share * (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    }, 0);
    const ground = node => {
        const colour = rgb(getComputedStyle(node).backgroundColor);
        return colour[3] || !node.parentElement ? colour : ground(node.parentElement);
    };
    const contrast = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);
    const kinds = 'button, input, select, textarea, summary, a[href], [role=slider], [tabindex="0"]';
    const all = [...root.querySelectorAll(kinds)].filter(node =>
        node.checkVisibility({visibilityProperty: true, contentVisibilityAuto: false})
        && !node.disabled && node.ariaDisabled !== 'true'
        && !node.matches('.pm-spot[tabindex="-1"], .pm-spots *'));  // a point of the map is typed among the inputs
    all.forEach((node, number) => (node.dataset.walked = number));
    window.metByTab = [];
    window.watchFocus?.abort();
    window.watchFocus = new AbortController();
    document.addEventListener('focusin', event => {
        const node = event.target, style = getComputedStyle(node);
        const inside = root.contains(node);
        window.metByTab.push({inside, number: inside ? Number(node.dataset.walked ?? -1) : null,
            name: [node.tagName, node.className, node.innerText, node.closest('.pm-entry')?.className].join(' '),
            outline: style.outlineStyle === 'none' ? 0 : parseFloat(style.outlineWidth),
            contrast: contrast(rgb(style.outlineColor), ground(node.parentElement))});
    }, {signal: window.watchFocus.signal});
    return all.map(node => `${node.tagName} ${node.className} ${node.innerText}`);
}"""
SERIOUS = ("serious", "critical")


def test_every_fold_opens_and_shuts_by_the_keyboard(panel):
    shut = panel.locator(f"{harness.PANEL} .pm-fold[aria-expanded=false]:visible")
    opened = 0
    while shut.count():
        fold = shut.first.element_handle()
        inside = "fold => [...fold.closest('.pm-fold-box').querySelectorAll('.pm-folded-in')][0].offsetParent !== null"
        for key, state in (("Enter", "true"), ("Space", "false"), ("Enter", "true")):
            fold.press(key)
            panel.wait_for_function(
                "([fold, state]) => fold.getAttribute('aria-expanded') === state"
                f" && String(({inside})(fold)) === state",
                arg=[fold, state],
            )
        opened += 1
    assert opened >= 4


def walk(page, root):
    """Press Tab from the first control below `root` (a selector) on until the focus leaves it: what was met."""
    names = page.locator(root).first.evaluate(WATCH_FOCUS)
    if not names:
        return names, []
    page.keyboard.press("Shift")  # from now on the focus is moved by the keyboard
    page.locator(f"{root} [data-walked='0']").first.evaluate("node => node.focus({focusVisible: true})")
    for _ in range(len(names) // 20 + 1):
        for _ in range(20):
            page.keyboard.press("Tab")
        met = page.evaluate("window.metByTab")
        if any(not one["inside"] for one in met):
            break
    left = next((n for n, one in enumerate(met) if not one["inside"]), len(met))
    return names, met[:left]


def test_tab_meets_every_control_once_and_the_focus_is_seen(panel):
    """In the dark theme on every other notebook: the colours are the same on all."""
    harness.use_theme(panel, int(re.search(r"/(\d\d)_", panel.url).group(1)) % 2 == 0)
    for number, view in enumerate(harness.each_view(panel)):
        harness.open_folds(panel)
        root = f"{harness.PANEL} .pm-view" if number else harness.PANEL  # what stands around the views stays
        names, met = walk(panel, root)
        numbers = [one["number"] for one in met]
        missed = [names[n] for n in range(len(names)) if n not in numbers]
        assert (missed, sorted(numbers)) == ([], list(range(len(names)))), view
        for one in met:
            assert one["outline"] >= 2 and one["contrast"] >= 3, (view, one)
    harness.use_theme(panel, False)


def serious(page, root, **options):
    """What a checker finds below `root` that keeps somebody out."""
    found = Axe().run(page, {"include": [[root]]}, {"resultTypes": ["violations"], **options}).response["violations"]
    return [(f["id"], [node["html"] for node in f["nodes"]]) for f in found if f["impact"] in SERIOUS]


def test_nothing_serious_in_any_view_in_either_theme(panel):
    """Colours alone hang on the theme."""
    for number, view in enumerate(harness.each_view(panel)):
        harness.open_folds(panel)
        expect(panel.locator(f"{harness.PANEL} .pm-stale:visible")).to_have_count(0)  # what is greyed may be pale
        root = f"{harness.PANEL} .pm-view" if number else harness.PANEL  # what stands around the views stays
        assert serious(panel, root) == [], view
        harness.use_theme(panel)
        assert serious(panel, root, runOnly=["color-contrast"]) == [], view
        harness.use_theme(panel, False)


REST = 300  # [ms] that words and hand rest before anything is read out; a timer may be a little early
WATCH_WORDS = """panel => {
    window.spokenBefore = panel.querySelector('.pm-spoken');
    window.spokenAt = [], window.pressedAt = [];
    const note = list => () => list.push(performance.now());
    new MutationObserver(note(window.spokenAt)).observe(
        window.spokenBefore, {childList: true, characterData: true, subtree: true});
    document.addEventListener('keydown', note(window.pressedAt), true);
}"""
SPOKEN = """panel => ({
    same: panel.querySelector('.pm-spoken') === window.spokenBefore,
    places: [...panel.querySelectorAll('[role=status], [aria-live]')].map(node => node.className),
    words: window.spokenBefore.textContent, spokenAt: window.spokenAt, pressedAt: window.pressedAt,
})"""


def test_what_is_read_out_stays_one_place_and_waits_for_the_hand_to_rest(panel):
    whole = panel.locator(harness.PANEL).first
    words = whole.locator(".pm-spoken").inner_text()
    assert words.strip()
    whole.evaluate(WATCH_WORDS)
    harness.press_on_slider(panel, "sheet_thickness", "ArrowRight", times=8)
    panel.wait_for_function("() => window.spokenAt.length > 0")
    harness.settle(panel)
    after = whole.evaluate(SPOKEN)
    assert after["same"] and after["places"] == ["pm-spoken"]
    assert after["words"] != words
    pressed, spoken = after["pressedAt"], after["spokenAt"]
    in_motion = [(a, b) for a, b in pairwise(pressed) if b - a < REST]
    assert [at for at in spoken if any(a < at < b for a, b in in_motion)] == []
    assert all(later - before > 0.9 * REST for before, later in pairwise(spoken))
    harness.press_on_slider(panel, "sheet_thickness", "ArrowLeft", times=8)
    harness.settle(panel)


SCROLLED = """panel => {
    let node = panel;
    while (!(node.scrollHeight > node.clientHeight + 5 && getComputedStyle(node).overflowY.match(/auto|scroll/)))
        node = node.parentElement;
    return node.scrollTop;
}"""


@pytest.mark.parametrize("part", [".pm-field", ".pm-handle"])
def test_the_wheel_scrolls_and_changes_nothing(panel, part):
    whole = panel.locator(harness.PANEL).first
    entry = whole.locator(".pm-entry:has(.pm-handle):visible").first
    target, field, handle = entry.locator(part), entry.locator(".pm-field"), entry.locator(".pm-handle")
    state = lambda: (field.input_value(), handle.get_attribute("aria-valuenow"))  # noqa: E731
    target.scroll_into_view_if_needed()
    before, top = state(), whole.evaluate(SCROLLED)
    target.focus()
    target.hover()
    for step in (120, 120, -60):
        panel.mouse.wheel(0, step)
    panel.wait_for_function(f"top => ({SCROLLED})(document.querySelector('{harness.PANEL}')) !== top", arg=top)
    harness.settle(panel)
    assert state() == before
