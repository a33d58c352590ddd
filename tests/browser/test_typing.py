"""What is typed into every field with a handle, on every panel: it stands, or is refused at the field in words."""

import re

import harness
import pytest
from playwright.sync_api import expect

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
PER_INCH = {"mm": 25.4, "m": 0.0254}
TRIED = set()  # fields tried in full
LOOKS_ONLY = "pm-exaggerate"  # changes the drawing, not the design: nothing is greyed while it is refused


def plain(value):
    return f"{value:.6f}".rstrip("0").rstrip(".")


def as_fraction(value, low, high):
    """A fraction near the value, and what it is."""
    for below in (8, 64, 1000, 100_000):
        above = round(value * below)
        if low <= above / below <= high and above:
            return f"{above}/{below}", above / below
    raise AssertionError(f"no fraction between {low} and {high}")


class Typist:
    """Types into one field and sees to the answer."""

    def __init__(self, page, found):
        self.page, self.found = page, found
        self.entry = page.locator(f"{harness.PANEL} .{found['name']}:visible").first
        self.node = self.entry.element_handle()
        self.field = self.entry.locator(".pm-field")

    def answer(self, invalid, place=None):
        """What stands once the field is refused, or taken and its handle at this place."""
        return self.page.wait_for_function(ANSWERED, arg=[self.node, invalid, place], timeout=30_000).json_value()

    def type(self, text, *answer):
        self.field.fill(text)
        self.field.press("Enter")
        return self.answer(*answer)

    def stands(self, text, value):
        """What was typed stands as typed, and is the value meant."""
        answer = self.type(text, False, value)
        about = f"{self.found['label']}: {text}"
        assert answer["text"] == text, about
        measured = self.found["label"].rsplit(", ")[-1] in PER_INCH  # a bare number needs no echo
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
            self.page.wait_for_selector(f"{harness.PANEL} .pm-stale", state="attached", timeout=30_000)
        return answer["says"]

    def escape(self, text):
        """Escape brings the last good text back."""
        self.field.press("Escape")
        assert self.answer(False)["text"] == text


def allowed_range(words):
    """The range that a refusal names."""
    low, high = re.search(r"give (−?[\d.e+]+).*? to (−?[\d.e+]+)", words).groups()
    return float(low.replace("−", "-")), float(high.replace("−", "-"))


def try_field(page, found):
    """Type everything a builder may type into one field."""
    typist = Typist(page, found)
    low, high = allowed_range(typist.refused("1e9"))
    ends = max(found["low"], low), min(found["high"], high)
    middle = ends[0] + 0.6 * (ends[1] - ends[0])  # not zero, of which no fraction is another number
    edges = ((found["high"], high), (found["low"], low))
    beyond = next((end + (edge - end) / 2 for end, edge in edges if edge != end), middle)
    typist.entry.locator("[role=slider]").press("ArrowLeft" if found["place"] > found["low"] else "ArrowRight")
    typist.answer(False)
    typist.stands(plain(beyond), float(plain(beyond)))
    typist.stands(f"{middle:.3f}".replace(".", ","), float(f"{middle:.3f}"))
    last, value = as_fraction(middle, low, high)
    typist.stands(last, value)
    per_inch = PER_INCH.get(found["label"].rsplit(", ")[-1])
    if per_inch:
        last = f"{middle / per_inch:.4f} in"
        typist.stands(last, float(last[:-3]) * per_inch)
    typist.refused("abc")
    typist.escape(last)
    typist.field.fill(found["text"])
    typist.field.press("Enter")


def try_briefly(page, found):
    """A field that was tried in full on another panel: a comma beyond its steps stands, nonsense is refused."""
    typist = Typist(page, found)
    value = float(f"{found['low'] + 0.61 * (found['high'] - found['low']):.3f}")
    typist.stands(f"{value:.3f}".replace(".", ","), value)
    typist.refused("abc")
    typist.field.fill(found["text"])
    typist.field.press("Enter")


@pytest.mark.parametrize(
    ("notebook", "name", "typed", "place"),
    [
        ("01_bend.ipynb", "free_length", "1200", 1200),
        ("01_bend.ipynb", "span", "2000", 2000),
        ("01_bend.ipynb", "sheet_thickness", "2,5", 2.5),
        ("01_bend.ipynb", "sheet_thickness", "1/8", 0.125),
        ("01_bend.ipynb", "spacer_diameter", "3/4 in", 19.05),
        ("05_loads.ipynb", "bearing_2", "-120", -120),
        ("05_loads.ipynb", "speed", "6 kn", 6 * 1852 / 3600),
    ],
)
def test_it_stands_after_a_handle_was_moved(opened, notebook, name, typed, place):
    """What was once changed without a word: clipped to the handle's old range, or read without comma, slash, unit."""
    page = opened(notebook)
    entry = page.locator(f"{harness.PANEL} .pm-{name}").first
    field, handle = entry.locator(".pm-field"), entry.locator("[role=slider]")
    before, after = harness.press_on_slider(page, name, "ArrowLeft", times=2)
    assert before != after
    harness.settle(page)
    field.fill(typed)
    field.press("Enter")
    expect(field).to_have_attribute("aria-invalid", "false")
    harness.settle(page)  # a report of the browser would come later than the answer
    assert field.input_value() == typed
    assert float(handle.get_attribute("aria-valuenow")) == pytest.approx(place, rel=1e-6)


@pytest.fixture(scope="module")
def opened(open_first):
    """A function that opens each notebook once."""
    pages = {}

    def page_of(notebook):
        if notebook not in pages:
            pages[notebook] = open_first(notebook)
            harness.open_folds(pages[notebook])
        return pages[notebook]

    yield page_of
    for page in pages.values():
        page.close()


@pytest.mark.parametrize("notebook", harness.PANEL_NOTEBOOKS)
def test_every_field_takes_what_a_builder_types(opened, notebook):
    panel, seen = opened(notebook), []
    for _ in harness.each_view(panel):
        harness.open_folds(panel)
        for found in panel.evaluate(FIELDS, [harness.PANEL, seen]):
            (try_briefly if found["name"] in TRIED else try_field)(panel, found)
            TRIED.add(found["name"])
            seen.append(found["name"])
    assert len(seen) >= 15  # the settings of a design alone are that many
