"""The load panel in a real browser: the speed moves the governing line and the picture, every view opens."""

import harness
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture(scope="module", params=["05_loads.ipynb"])
def loads(request, open_first):
    return open_first(request.param)


def part(page, name):
    return page.locator(f"{harness.PANEL} .pm-{name}").first


def test_the_speed_moves_the_governing_line_and_the_picture(loads):
    line, picture = part(loads, "loads"), part(loads, "load-picture")
    expect(picture.locator("svg")).to_be_visible()
    expect(line).to_contain_text("close")
    words, drawn = line.inner_text(), picture.inner_html()
    assert "broach" in words
    before, after = harness.press_on_slider(loads, "speed", "ArrowRight", times=10)
    assert before != after
    expect(line).not_to_have_text(words, use_inner_text=True)
    expect(line).to_contain_text("fails. Governing: skin buckling, share along the span")
    assert picture.inner_html() != drawn
    harness.press_on_slider(loads, "speed", "ArrowLeft", times=10)
    expect(line).to_have_text(words, use_inner_text=True)


@pytest.mark.parametrize(
    ("view", "name", "words"),
    [
        ("Checks", "load-checks", "Sheet, stress along the span"),
        ("Part", "stations", "chord"),
        ("Rod", "rod-said", "the rod carries"),
        ("Float", "float", "flooded"),
        ("Fittings", "fittings", "pivot bolt"),
        ("Size", "load-sizing", "work it out"),
        ("Loads", "load-said", "two bearings"),
    ],
)
def test_every_view_opens_and_answers(loads, view, name, words):
    loads.locator(f"{harness.PANEL} .pm-question button", has_text=view).first.click()
    expect(part(loads, name)).to_contain_text(words)
    assert loads.locator(f"{harness.PANEL} .pm-view .pm-message:visible", has_text="Not possible").count() == 0
