"""What the panels of the notebooks say, word for word, when their settings are moved.

The words stand in `panel_words/`, one file for each panel, so that a change of words shows as a difference to read.
Store them anew with `PYTHONPATH=tests python tests/panels/test_panel_words.py`, then read what
`git diff tests/panels/panel_words` shows. By day each panel says its first lines, by night all.
"""

from itertools import islice
from pathlib import Path

import pytest
from day_and_night import by_day

from panelmech import Design, panels
from panelmech.blade import Blade
from panelmech.loads import LoadSheet
from panelmech.measured import read_readings
from panelmech.report import sides_text
from panelmech.shop import ShopChoices

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
WORDS = Path(__file__).with_name("panel_words")
LEEBOARD = Design.load(STUDIES / "leeboard.json")
READINGS = read_readings(STUDIES / "leeboard_readings.csv")


def first_line(panel):
    return panel.summary().splitlines()[0]


def first_two(panel):
    """How the job stands, and how what the panel is about."""
    return " | ".join(panel.summary().splitlines()[:2])


def moved(panel, *moves):
    """A line for each move of a control of the design, then one for the leeboard again."""
    for name, value in moves:
        panel.controls.numbers[name].value = value
        yield f"{name} {value}: {panel.summary()}"
    panel.set(LEEBOARD)
    yield f"leeboard again: {panel.summary()}"


def bend():
    lengths = ("spacer_diameter", 80), ("free_length", 120), ("free_length", 300)
    yield from moved(panels.panel_bend(LEEBOARD), ("spacer_diameter", 30), ("sheet_thickness", 4), *lengths)


def wedge():
    panel = panels.panel_wedge(LEEBOARD)
    for line in moved(panel, ("spacer_diameter", 24), ("spacer_diameter", 60), ("free_length", 120)):
        yield line
        if not panel.stale:
            yield sides_text(panel.study)


def trade():
    panel = panels.panel_trade(LEEBOARD)
    for question in ("map", "size", "scatter"):
        panel.ask(question)
        yield f"{question}: {panel.view.words().splitlines()[0]}"
    panel.ask("map")
    panel.view.choose(22e-3, 1.5e-3)
    yield f"picked on the map: {first_line(panel)}"
    panel.ask("compare")
    different = panel.view.found.differences
    yield f"compared: {len(different)} rows differ, the first {different[0].label}"
    panel.controls.numbers["free_length"].value = 20
    yield f"too short: {first_line(panel)}"


TYPED = ("2.26 2.25 2.24 2.23 2.23 2.22", "2.26 2.25 2,24 2.23 2.23", "2.06 2.05 2.04 2.o3 2.03 2.02")


def pairs():
    panel = panels.panel_pairs(LEEBOARD, READINGS)
    for view in ("sheets", "pair", "land", "later"):
        panel.ask(view)
        yield f"{view}: {panel.view.words().splitlines()[0]}"
    for typed in TYPED:
        panel.views["readings"].fields["thickness", "A", "values"].value = typed
        yield f"{typed}: {first_two(panel)}"
    panel.views["readings"].set(READINGS)
    panel.ask("pair")
    panel.view.tolerance.value = 0.3
    yield f"0.3 mm allowed: {first_two(panel)}"


def loads():
    sheet = LoadSheet.load(STUDIES / "leeboard_loads.json")
    panel = panels.panel_loads(Blade.load(STUDIES / "leeboard_blade.json"), sheet)
    yield f"as saved: {first_two(panel)}"
    settings = panel.bench.controls.numbers
    moves = ("at 3 m/s", "speed", 3.0), ("at rest", "speed", 0.0), ("sealed and hot", "heated_to", 50)
    for said, name, value in (*moves, ("no bearings", "bearing_2", settings["bearing_1"].value)):
        settings[name].value = value
        yield f"{said}: {first_two(panel)}"


def shop():
    panel = panels.panel_shop(LEEBOARD)
    for celsius in (15, 22, 30, 60):
        panel.shop.numbers["shop_temperature"].value = celsius
        yield f"shop at {celsius} °C: {panel.summary().splitlines()[1]}"
    panel.set_shop(ShopChoices(stock_length=0.8, stock_width=0.6))
    yield f"small stock: {panel.summary().splitlines()[1]}"


def note():
    yield from moved(panels.panel_note(LEEBOARD), ("toughness_margin", 4), ("close_share", 90))


SAID = {each.__name__: each for each in (bend, wedge, trade, pairs, loads, shop, note)}


def words_of(name, most=None):
    """All that a panel says, or what its first moves bring."""
    return "\n".join(islice(SAID[name](), most)) + "\n"


@pytest.mark.slow
@by_day("most", [None, 2], 2, ids=["all", "first"])
@pytest.mark.parametrize("name", SAID)
def test_panel_says_what_is_stored(sketched, name, most):
    said, stored = words_of(name, most), (WORDS / f"{name}.txt").read_text(encoding="utf-8")
    assert said == stored if most is None else stored.startswith(said) and len(said) > 100


def test_every_panel_of_the_door_is_asked():
    assert sorted(name for name in panels.__all__ if name.startswith("panel_")) == sorted(
        f"panel_{name}" for name in SAID
    )


def test_words_that_changed_are_noticed(monkeypatch):
    """A callback that fails shows in no notebook's output; it must show here."""
    from panelmech.panels import panel

    right, calls = panel.evaluate, []

    def broken(*inputs, **options):
        calls.append(inputs)
        if len(calls) > 1:
            raise RuntimeError("broken on purpose")
        return right(*inputs, **options)

    monkeypatch.setattr(panel, "evaluate", broken)
    words = words_of("bend", 2)
    assert "broken on purpose" in words and not (WORDS / "bend.txt").read_text(encoding="utf-8").startswith(words)


if __name__ == "__main__":
    WORDS.mkdir(exist_ok=True)
    for name in SAID:
        (WORDS / f"{name}.txt").write_text(words_of(name), encoding="utf-8", newline="\n")
