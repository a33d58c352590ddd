"""The map in a real browser: it follows the keyboard, a click on it picks a design, every question opens."""

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PATIENT = harness.PATIENCE  # [ms]
REDRAWN = "old => { const all = document.querySelectorAll('.pm-map-frame img'); return [...all].at(-1).src !== old; }"


@pytest.fixture(scope="module", params=["03_trade_offs.ipynb"])
def trade(request, open_first):
    return open_first(request.param)


def field(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name} input").last


def source(page):
    return page.locator(f"{harness.PANEL} .pm-map-frame img").get_attribute("src")


def test_the_map_follows_the_keyboard(trade):
    expect(trade.locator(f"{harness.PANEL} .pm-map-frame img")).to_be_visible()
    here = trade.locator(f"{harness.PANEL} .pm-here")
    expect(here).to_contain_text("Ring and map count", timeout=PATIENT)  # the whole verdict comes as the hand rests
    expect(trade.locator(f"{harness.PANEL} button.pm-framed")).to_be_hidden(timeout=PATIENT)  # and every point's
    words, drawn = here.inner_text(), source(trade)
    harness.press_on_slider(trade, "free_length", "ArrowRight", times=3)  # off the axes: the map moves
    expect(here).not_to_have_text(words, use_inner_text=True)
    trade.wait_for_function(REDRAWN, arg=drawn)
    harness.press_on_slider(trade, "free_length", "ArrowLeft", times=3)
    expect(here).to_have_text(words, use_inner_text=True, timeout=PATIENT)


def test_a_click_on_the_map_makes_that_the_design(trade):
    frame = trade.locator(f"{harness.PANEL} .pm-map-frame")
    frame.scroll_into_view_if_needed()
    spot = trade.locator(f"{harness.PANEL} .pm-spot[title='spacer diameter 25 mm, sheet thickness 3 mm']")
    box = spot.bounding_box()
    around = frame.bounding_box()
    assert around["x"] < box["x"] and box["x"] + box["width"] < around["x"] + around["width"]
    trade.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(trade.locator(f"{harness.PANEL} .pm-here")).to_contain_text("spacer diameter 25 mm, sheet thickness 3 mm")
    expect(field(trade, "spacer_diameter")).to_have_value("25")
    expect(field(trade, "sheet_thickness")).to_have_value("3")


def test_a_typed_point_is_ringed(trade):
    field(trade, "spacer_diameter").fill("19.3")
    field(trade, "spacer_diameter").press("Enter")
    expect(trade.locator(f"{harness.PANEL} .pm-here")).to_contain_text("spacer diameter 19.3 mm")


def test_every_point_of_the_map_of_a_job_with_loads_counts_them(trade):
    counted = "the loads of the job with its fittings. "
    expect(trade.locator(f"{harness.PANEL} .pm-here")).to_contain_text(counted, timeout=PATIENT)
    expect(trade.locator(f"{harness.PANEL} button.pm-framed")).to_be_hidden(timeout=PATIENT)


def test_rows_of_a_choice_are_counted_and_can_be_stopped(trade):
    trade.locator(f"{harness.PANEL} .pm-question button", has_text="Choose").click()
    said = trade.locator(f"{harness.PANEL} .pm-progress")
    expect(said).to_contain_text("so far", timeout=PATIENT)
    trade.locator(f"{harness.PANEL} button.pm-stop-choosing").click()
    expect(said).to_contain_text("Stopped: more may stand", timeout=PATIENT)
    expect(trade.locator(f"{harness.PANEL} button.pm-stop-choosing")).to_be_hidden()


@pytest.mark.parametrize(
    ("question", "part"),
    [("Size", "pm-sizing"), ("Choose", "pm-ranking"), ("Scatter", "pm-scatter-tables"), ("Compare", "pm-compared")],
)
def test_every_question_opens_and_answers(trade, question, part):
    trade.locator(f"{harness.PANEL} .pm-question button", has_text=question).click()
    expect(trade.locator(f"{harness.PANEL} .{part}")).to_contain_text("m", timeout=PATIENT)
    shown = trade.locator(f"{harness.PANEL} .pm-view .pm-message:visible", has_text="Not possible")
    assert shown.count() == 0


def test_an_answer_of_sizing_becomes_the_design(trade):
    trade.locator(f"{harness.PANEL} .pm-question button", has_text="Size").click()
    expect(trade.locator(f"{harness.PANEL} .pm-sizing")).to_contain_text("spacer diameter")
    before = field(trade, "spacer_diameter").input_value()
    trade.locator(f"{harness.PANEL} button.pm-use-answer").click()
    expect(field(trade, "spacer_diameter")).not_to_have_value(before)
