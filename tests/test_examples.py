"""Every public verb shows an example in its description; pytest runs them all (`--doctest-modules`)."""

import doctest
import importlib
import inspect

import pytest

ROOMS = ("blade", "job", "loads", "materials", "measured", "mechanics", "study", "shop", "draw", "report", "published")
DOORS = ("panelmech", *(f"panelmech.{room}" for room in ROOMS))
# The door of the panels stands apart: all that it hands out is made for a notebook's screen.
_WHY = {
    "a picture: `section_figure` shows how one is made, `describe_…` what it tells": """
        against_wedge_figure along_figure blade_figure camber_map_figure cambered_figure front_figure loads_figure
        log_figure map_figure named_figure offsets_figure overlay_figure planform_figure pressing_figure
        published_figure ratios_figure scatter_figure shares_figure sizing_figure thickness_figure""",
    "a picture of a shop pack, or its words: a pack takes two seconds, its example stands at `shop_pack`": """
        heat_figures schedule_plot stock_figure template_sheets describe_schedule""",
    "whole papers, to be looked at, seconds of drawing: README and the commands' examples show how they are made": """
        first_page note_contents shop_contents write_load_record write_note write_papers write_shop""",
    "what pictures are drawn from: `describe_published` shows how one is used": """
        buckling_pictures curve_pictures heat_pictures lift_pictures plate_pictures""",
    "a table of names, no verb: `published_cases` shows one": "SUBJECTS",
}
ON_SCREEN = {name: why for why, names in _WHY.items() for name in names.split()}
MOST_LINES = 8  # of code in one example, imports counted


def offered():
    """{name: verb} of all doors."""
    doors = [importlib.import_module(name) for name in DOORS]
    return {name: getattr(door, name) for door in doors for name in door.__all__}


VERBS = offered()


def examples_of(verb):
    """The examples in the description of a verb, or of what it is one of: `catalogue` is a `Catalogue`."""
    described = verb if inspect.isclass(verb) or inspect.isroutine(verb) else type(verb)
    return doctest.DocTestParser().get_examples(described.__doc__ or "")


@pytest.mark.parametrize("name", sorted(set(VERBS) - set(ON_SCREEN)))
def test_every_verb_has_an_example_that_shows_an_answer(name):
    examples = examples_of(VERBS[name])
    assert examples and (examples[-1].want or examples[-1].exc_msg), f"{name}: give an example with its answer"
    assert sum(one.source.count("\n") for one in examples) <= MOST_LINES
    assert not any(one.options.get(doctest.SKIP) for one in examples)


def test_only_what_is_there_and_has_none_is_left_out():
    assert set(ON_SCREEN) <= set(VERBS) and all(ON_SCREEN.values())
    assert [name for name in ON_SCREEN if examples_of(VERBS[name])] == []
