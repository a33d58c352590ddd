"""The panel of matched pairs in a real browser: a reading typed with the keyboard changes the verdict."""

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]
GOOD = "2.06 2.05 2.04 2.03 2.03 2.02"


@pytest.fixture(scope="module", params=["04_matched_pairs.ipynb"])
def pairs(request, open_first):
    return open_first(request.param)


def part(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name}")


def type_reading(page, name, text):
    field = part(page, f"read-{name}").locator("input")
    field.scroll_into_view_if_needed()
    field.fill(text)
    field.press("Tab")
    return field


def test_a_typed_reading_changes_the_verdict(pairs):
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")
    field = type_reading(pairs, "thickness-a", "2.39 2.38 2.37 2.36 2.36 2.35")
    expect(part(pairs, "pair")).to_contain_text("The two sheets: not sure yet.")
    expect(part(pairs, "read-thickness-b").locator("input")).to_be_focused()  # the next field to fill in
    field.fill(GOOD)
    field.press("Enter")
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")


def style(field):
    """How the border of a field is really drawn, whatever the page's own style says."""
    return field.evaluate(
        "n => (({borderTopStyle: s, borderTopWidth: w, borderTopColor: c}) => [s, w, c])(getComputedStyle(n))"
    )


def test_what_is_no_number_is_said_and_marked(pairs):
    plain = style(part(pairs, "read-thickness-a").locator("input"))
    field = type_reading(pairs, "thickness-a", GOOD.replace("2.05", "2.o5"))
    expect(part(pairs, "pair")).to_contain_text("give numbers with blanks between them")
    expect(part(pairs, "read-thickness-a")).to_contain_text("Thickness of sheet A is '2.o5'")
    expect(field).to_have_attribute("aria-invalid", "true")
    assert style(field) == ["solid", "2px", "rgb(181, 44, 64)"] != plain
    assert field.evaluate("n => getComputedStyle(n).boxShadow").startswith("rgb(181, 44, 64)")
    expect(part(pairs, "read-thickness-b").locator("input")).to_be_focused()
    assert field.input_value() == GOOD.replace("2.05", "2.o5")
    type_reading(pairs, "thickness-a", GOOD)
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")
    expect(pairs.locator(f"{harness.PANEL} .pm-wrong")).to_have_count(0)
    assert style(field) == plain


def test_commas_fractions_and_units_are_understood_and_told(pairs):
    field = type_reading(pairs, "thickness-a", "2,06 2.05 2.04 2.03 203/100 2,02")
    expect(part(pairs, "read-thickness-a")).to_contain_text("= 2.06 mm, 2.05 mm, 2.04 mm, 2.03 mm, 2.03 mm, 2.02 mm")
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")
    assert field.input_value() == "2,06 2.05 2.04 2.03 203/100 2,02"
    type_reading(pairs, "thickness-a", GOOD)


def test_a_slip_is_asked_back_at_its_field_and_answered_by_keyboard(pairs):
    field = type_reading(pairs, "thickness-a", GOOD.replace("2.06", "20.6"))
    expect(part(pairs, "read-thickness-a")).to_contain_text("do you mean 2.06 mm? Not counted.")
    expect(part(pairs, "pair")).to_contain_text("Not sure yet.")
    assert style(field)[:2] == ["dashed", "2px"]
    part(pairs, "read-thickness-a-take").press("Enter")
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")
    expect(field).to_have_value(GOOD)
    type_reading(pairs, "bow-base-b", "2400")
    expect(part(pairs, "pair")).to_contain_text("Not sure yet.")
    part(pairs, "read-bow-base-b-confirm").press("Enter")
    expect(part(pairs, "read-bow-base-b")).to_contain_text("confirmed: 2400 mm")
    expect(part(pairs, "pair")).to_contain_text("not sure yet. The tolerance lies within")  # B next to flat: 0.59 mm
    type_reading(pairs, "bow-base-b", "240")
    expect(part(pairs, "pair")).to_contain_text("The two sheets: holds.")


def test_every_field_has_a_name_of_its_own_and_every_group_opens_by_keyboard(pairs):
    names = pairs.locator(f"{harness.PANEL} .pm-readings .pm-field").evaluate_all("ns => ns.map(n => n.ariaLabel)")
    assert len(set(names)) == len(names) > 50 and "Thickness, sheet A, mm" in names
    for fold in pairs.locator(f"{harness.PANEL} .pm-readings .pm-fold").all()[1:]:
        fold.press("Enter")
        expect(fold).to_have_attribute("aria-expanded", "true")
    expect(part(pairs, "read-droop-overhang-b").locator("input")).to_be_visible()


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
