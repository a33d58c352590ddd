"""What is typed into every field with a handle, on every panel: it stands, or is refused at the field in words.

Every field gets a text to refuse and one to take; all that may be typed is tried on one field of each unit.
"""

import re

import harness
import pytest

from panelmech.study.design import LIMITS

pytestmark = [pytest.mark.browser, pytest.mark.slow]

FIELDS = """([panel, seen]) => [...document.querySelectorAll(`${panel} .pm-entry:has(.pm-handle)`)].map(entry => {
    const handle = entry.querySelector('.pm-handle'), names = [...entry.classList].filter(c => c.startsWith('pm-'));
    const found = {name: names.find(c => !['pm-entry', 'pm-wrong'].includes(c)), label: entry.innerText.split('\\n')[0],
        low: Number(handle.ariaValueMin), high: Number(handle.ariaValueMax), disabled: handle.ariaDisabled === 'true',
        place: Number(handle.ariaValueNow),
        text: entry.querySelector('.pm-field').value, shown: entry.offsetParent !== null};
    return found;
}).filter(found => found.shown && !found.disabled && !seen.includes(found.name))"""
ANSWERED = """([entry, invalid, place]) => {
    const field = entry.querySelector('.pm-field'), says = entry.querySelector('.pm-says');
    const now = Number(entry.querySelector('.pm-handle').ariaValueNow);
    if (field.getAttribute('aria-invalid') !== String(invalid)) return null;
    if (place !== null && Math.abs(now - place) > 1e-6 * (1 + Math.abs(place))) return null;
    const style = getComputedStyle(field);
    return {text: field.value, says: says.hidden ? '' : says.innerText,
        border: style.borderTopColor, width: parseFloat(style.borderTopWidth),
        described: field.getAttribute('aria-describedby') === says.id};
}"""
STANDS = """entry => [entry.isConnected, entry.querySelector('.pm-field').value, entry.innerText,
    entry.querySelector('.pm-handle').ariaValueNow].join(' | ')"""
MARK_AFTER_A_STEP = """([panel, name]) => {
    const entry = document.querySelector(`${panel} .pm-${name}`), field = entry.querySelector('.pm-field');
    const key = new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true});
    entry.querySelector('[role=slider]').dispatchEvent(key);
    field.focus();
    field.select();
    return field.value;
}"""
PER_INCH = {"mm": 25.4, "m": 0.0254}
DESIGN = harness.PANEL_NOTEBOOKS[0]  # its panel has the settings of a design alone, which all panels have
DESIGN_UNITS = {"mm", "×", "%", "Pa", "MPa", ""}
LOOKS_ONLY = "pm-exaggerate"  # changes the drawing, not the design: nothing is greyed while it is refused


def notebook_of(page):
    return re.search(r"\w+\.ipynb", page.url).group()


def plain(value):
    return f"{value:.6f}".rstrip("0").rstrip(".")


def as_fraction(value, low, high):
    """A fraction near the value, and what it is."""
    for below in (8, 64, 1000, 100_000):
        above = round(value * below)
        if low <= above / below <= high and above:
            return f"{above}/{below}", above / below
    raise AssertionError(f"no fraction between {low} and {high}")


def unit(found):
    """The unit that a field names; empty where it has none."""
    return found["label"].rpartition(", ")[2] if ", " in found["label"] else ""


class Typist:
    """Types into one field and sees to the answer."""

    def __init__(self, page, found):
        self.page, self.found = page, found
        self.entry = page.locator(f"{harness.PANEL} .{found['name']}:visible").first
        self.node = self.entry.element_handle()
        self.field = self.entry.locator(".pm-field")

    def answer(self, invalid, place=None):
        """What stands once the field is refused, or taken and its handle at this place."""
        try:
            return self.page.wait_for_function(ANSWERED, arg=[self.node, invalid, place]).json_value()
        except Exception as error:
            stands = self.node.evaluate(STANDS)
            raise AssertionError(f"wanted invalid {invalid}, handle at {place}; there stands {stands}") from error

    def type(self, text, *answer):
        self.field.fill(text)
        self.field.press("Enter")
        return self.answer(*answer)

    def stands(self, text, value):
        """What was typed stands as typed, and is the value meant."""
        answer = self.type(text, False, value)
        about = f"{self.found['label']}: {text}"
        assert answer["text"] == text, about
        measured = unit(self.found) in PER_INCH  # a bare number needs no echo
        assert answer["says"].startswith("= ") or not measured or re.fullmatch(r"-?[\d.]+", text), about

    def refused(self, text):
        """What was typed stands as typed, red, with words below; what it leaves is greyed."""
        answer = self.type(text, True)
        about = f"{self.found['label']}: {text}"
        assert answer["text"] == text, about
        assert "give" in answer["says"] and answer["described"], about
        red, green, blue = map(int, re.findall(r"\d+", answer["border"])[:3])
        assert red > 2 * max(green, blue) and answer["width"] >= 2, (about, answer["border"], answer["width"])
        if self.found["name"] != LOOKS_ONLY:
            self.page.wait_for_selector(f"{harness.PANEL} .pm-stale", state="attached")
        return answer["says"]

    def escape(self, text):
        """Escape brings the last good text back."""
        self.field.press("Escape")
        assert self.answer(False)["text"] == text


def allowed_range(words):
    """The range that a refusal names."""
    low, high = re.search(r"give (−?[\d.e+]+).*? to (−?[\d.e+]+)", words).groups()
    return float(low.replace("−", "-")), float(high.replace("−", "-"))


def try_field(page, found, in_full):
    """Type what is beyond all, refused with the range that is allowed, and a number with a comma, beyond the handle's
    steps and ends where the range goes further; in full everything else a builder may type."""
    typist = Typist(page, found)
    low, high = allowed_range(typist.refused("1e9"))
    ends = max(found["low"], low), min(found["high"], high)
    middle = ends[0] + 0.61 * (ends[1] - ends[0])  # not zero, of which no fraction is another number
    edges = ((found["high"], high), (found["low"], low))
    beyond = next((end + (edge - end) / 2 for end, edge in edges if edge != end), middle)
    if in_full:
        typist.escape(found["text"])
        typist.entry.locator("[role=slider]").press("ArrowLeft" if found["place"] > found["low"] else "ArrowRight")
        typist.answer(False)
        typist.stands(plain(middle), float(plain(middle)))
    text = plain(beyond)
    typist.stands(text.replace(".", ","), float(text))
    if in_full:
        last, value = as_fraction(middle, low, high)
        typist.stands(last, value)
        if unit(found) in PER_INCH:
            last = f"{middle / PER_INCH[unit(found)]:.4f} in"
            typist.stands(last, float(last[:-3]) * PER_INCH[unit(found)])
        typist.refused("abc")
        typist.escape(last)
    typist.field.fill(found["text"])
    typist.field.press("Enter")


HAND_THEN_TYPED = {  # notebook: (field, what is typed, value), once clipped to the handle's old range or misread
    "01_bend.ipynb": [
        ("free_length", "1200", 1200),
        ("span", "2000", 2000),
        ("sheet_thickness", "2,5", 2.5),
        ("sheet_thickness", "1/8", 0.125),
        ("spacer_diameter", "3/4 in", 19.05),
    ],
    "05_loads.ipynb": [("bearing_2", "-120", -120), ("speed", "6 kn", 6 * 1852 / 3600)],
}


@pytest.mark.parametrize("panel", HAND_THEN_TYPED, indirect=True)
def test_it_stands_after_a_handle_was_moved(panel):
    harness.open_folds(panel)
    for name, typed, place in HAND_THEN_TYPED[notebook_of(panel)]:
        entry = panel.locator(f"{harness.PANEL} .pm-{name}").first
        field, handle = entry.locator(".pm-field"), entry.locator("[role=slider]")
        before, after = harness.press_on_slider(panel, name, "ArrowLeft", times=2)
        assert before != after
        harness.settle(panel)
        field.fill(typed)
        field.press("Enter")
        harness.settle(panel)  # a report of the browser would come later than the answer
        assert field.get_attribute("aria-invalid") == "false", typed
        assert field.input_value() == typed
        assert float(handle.get_attribute("aria-valuenow")) == pytest.approx(place, rel=1e-6), typed


def test_who_types_right_after_a_step_of_the_handle_types_over_all(open_first):
    """The answer to the step comes while the field is marked; it is not put before what is typed."""
    page = open_first(harness.PANEL_NOTEBOOKS[0])
    before = page.evaluate(MARK_AFTER_A_STEP, [harness.PANEL, "spacer_diameter"])
    harness.settle(page)
    field = page.locator(f"{harness.PANEL} .pm-spacer_diameter .pm-field").first
    assert field.input_value() != before
    page.keyboard.insert_text("12.5")
    page.keyboard.press("Enter")
    harness.settle(page)
    assert field.input_value() == "12.5" and field.get_attribute("aria-invalid") == "false"


def test_every_field_takes_what_a_builder_types(panel):
    harness.open_folds(panel)
    alike = notebook_of(panel) != DESIGN  # of the settings that all panels have, one is tried again
    seen, units = [f"pm-{name}" for name in LIMITS if alike and name != "span"], set(DESIGN_UNITS) if alike else set()
    for _ in harness.each_view(panel):
        harness.open_folds(panel)
        for found in panel.evaluate(FIELDS, [harness.PANEL, seen]):
            try_field(panel, found, in_full=unit(found) not in units)
            units.add(unit(found))
            seen.append(found["name"])
        harness.settle(panel)
    assert len(seen) >= 15  # the settings of a design alone are that many
    assert units >= DESIGN_UNITS
