"""What a notebook's page shows beside its panel: one output of two forms for a figure, words folded below it."""

import base64
from pathlib import Path

import pytest

from panelmech import Design, draw, evaluate, panels
from panelmech.panels import notebook_page
from panelmech.report import first_page

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"


@pytest.fixture(scope="module")
def demo_study():
    return evaluate(Design.load(STUDIES / "leeboard.json"))


@pytest.fixture
def shown(monkeypatch):
    """What was displayed, in order."""
    outputs = []
    monkeypatch.setattr(
        notebook_page, "display", lambda what, raw=False, metadata=None: outputs.append(what if raw else what.data)
    )
    return outputs


def test_a_figure_is_a_picture_for_readers_and_a_digest_for_the_comparison(shown, demo_study):
    fig = draw.section_figure(demo_study)
    panels.show_figure(fig, "a <section>")
    picture, words = shown
    assert base64.b64decode(picture["image/png"]).startswith(b"\x89PNG")
    assert picture["text/plain"] == draw.figure_digest(fig)
    assert "a &lt;section&gt;" in words and "<details" in words


def test_no_words_nothing_below(shown, demo_study):
    panels.show_figure(draw.section_figure(demo_study))
    assert len(shown) == 1


@pytest.mark.slow
def test_a_sheet_of_a_paper_is_compared_by_its_drawings_and_its_words(shown, demo_study):
    panels.show_sheet(first_page(demo_study))
    picture, words = shown
    assert picture["text/plain"].count("axes 1: ") >= 1
    assert demo_study.design.title in words and "The words on this sheet" in words


def test_texts_are_set_as_in_a_panel(shown):
    panels.show_texts("<p>one</p>", "<p>two</p>")
    assert shown == ['<div class="pm-panel pm-stored"><p>one</p><p>two</p></div>']


def test_what_is_stored_of_a_panel_is_two_lines(demo_study):
    """Below a long text the next cell would be out of view, and running the panel's cell would scroll to it."""
    stored = panels.panel_bend(demo_study.design)._repr_mimebundle_()
    assert "press Shift+Enter" in stored["text/html"] and "press Shift+Enter" in stored["text/plain"]
    assert (
        "The job: close." in stored["text/html"]
        and len(stored["text/html"]) < 800
        and "<svg" not in stored["text/html"]
    )
