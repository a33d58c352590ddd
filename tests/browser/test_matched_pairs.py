"""The panel of matched pairs in a real browser: a reading typed with the keyboard changes the verdict."""

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]
GOOD = "2.06 2.05 2.04 2.03 2.03 2.02"


@pytest.fixture(scope="module")
def pairs(open_and_run):
    page = open_and_run("04_matched_pairs.ipynb")
    yield page
    page.close()


def part(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name}")


def type_reading(page, name, text):
    field = part(page, f"read-{name}").locator("input")
    field.fill(text)
    field.press("Tab")
    return field


def test_a_typed_reading_changes_the_verdict(pairs):
    expect(part(pairs, "pair")).to_contain_text("Holds.")
    field = type_reading(pairs, "thickness-a", "2.26 2.25 2.24 2.23 2.23 2.22")
    expect(part(pairs, "pair")).to_contain_text("Fails.")
    expect(part(pairs, "read-thickness-b").locator("input")).to_be_focused()  # the next field to fill in
    field.fill(GOOD)
    field.press("Enter")
    expect(part(pairs, "pair")).to_contain_text("Holds.")


def test_what_is_no_number_is_said_and_marked(pairs):
    type_reading(pairs, "thickness-a", GOOD.replace("2.05", "2.o5"))
    expect(part(pairs, "pair")).to_contain_text("give numbers with blanks between them")
    expect(pairs.locator(f"{harness.PANEL} .pm-read-thickness-a.pm-wrong")).to_be_visible()
    type_reading(pairs, "thickness-a", GOOD)
    expect(part(pairs, "pair")).to_contain_text("Holds.")
    expect(pairs.locator(f"{harness.PANEL} .pm-wrong")).to_have_count(0)


@pytest.mark.parametrize(
    ("view", "shown", "words"),
    [
        ("Sheets", "moduli", "counts"),
        ("Pair", "pairing", "Best:"),
        ("Land and rod", "rod", "pulls it out"),
        ("Later", "later", "80 % left"),
        ("Shape", "offsets-said", "explained best"),
    ],
)
def test_every_view_opens_and_answers(pairs, view, shown, words):
    part(pairs, "question").locator("button", has_text=view).click()
    expect(part(pairs, shown)).to_contain_text(words)
    expect(pairs.locator(f"{harness.PANEL} .pm-view img:visible").first).to_be_visible()
    wrong = pairs.locator(f"{harness.PANEL} .pm-view .pm-message:visible", has_text="Not possible")
    assert wrong.count() == 0


def test_the_slope_is_moved_by_the_keyboard(pairs):
    part(pairs, "question").locator("button", has_text="Land and rod").click()
    table = part(pairs, "clamp")
    words = table.inner_text()
    harness.press_on_slider(pairs, "slope", "ArrowRight", times=4)
    expect(table).not_to_have_text(words, use_inner_text=True)
