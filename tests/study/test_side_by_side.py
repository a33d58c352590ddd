"""Designs side by side."""

import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import catalogue
from panelmech.study.side_by_side import OVERVIEW, compare, design_names, difference_words


def test_only_what_differs_is_marked():
    other = DESIGN.replace(spacer_diameter=0.02)
    found = compare(DESIGN, other)
    inputs = [row.key for row in found.differences if row.group == "input"]
    assert inputs == ["spacer_diameter"]
    assert {"outer_thickness", "permanent_strain_reserve"} <= {row.key for row in found.differences}
    assert compare(DESIGN, DESIGN).differences == ()


def test_stock_is_compared_by_value():
    found = compare(DESIGN, DESIGN.replace(sheet=catalogue["woven GRP"]))
    assert "sheet" in [row.key for row in found.differences]


@pytest.mark.parametrize("count", [0, 1, 5])
def test_two_to_four_designs(count):
    with pytest.raises(ValueError, match="two to four"):
        compare(*[DESIGN] * count)


THICKER = DESIGN.replace(spacer_diameter=0.02)
THINNER = THICKER.replace(sheet_thickness=1.5e-3)
WOVEN = DESIGN.replace(sheet=catalogue["woven GRP"])


@pytest.mark.parametrize(
    ("designs", "names"),
    [
        ([DESIGN, DESIGN.replace(title="Rudder")], ("Leeboard", "Rudder")),
        ([DESIGN, THICKER], ("Leeboard, 18 mm spacer", "Leeboard, 20 mm spacer")),
        (
            [DESIGN, THICKER, THICKER.replace(title="Rudder")],
            ("Leeboard, 18 mm spacer", "Leeboard, 20 mm spacer", "Rudder"),
        ),
        ([THICKER, THINNER], ("Leeboard, 2 mm sheet", "Leeboard, 1.5 mm sheet")),
        (
            [DESIGN, THICKER, THINNER],
            (
                "Leeboard, 2 mm sheet, 18 mm spacer",
                "Leeboard, 2 mm sheet, 20 mm spacer",
                "Leeboard, 1.5 mm sheet, 20 mm spacer",
            ),
        ),
        ([DESIGN, WOVEN], (f"Leeboard, {DESIGN.sheet.name}", "Leeboard, woven GRP")),
        ([DESIGN, DESIGN.replace(setback=5e-3)], ("Leeboard, setback 3 mm", "Leeboard, setback 5 mm")),
        ([DESIGN, DESIGN], ("Leeboard (1)", "Leeboard (2)")),
        ([DESIGN.replace(title="  "), THICKER], ("Design", "Leeboard")),
    ],
)
def test_names_are_titles_made_unique_by_what_differs(designs, names):
    assert design_names(designs) == names and len(set(names)) == len(names)


def test_what_differs_is_said_beside_one_of_them():
    designs = [DESIGN, THICKER, THINNER]
    found, names = compare(*designs), ("first", "second", "third")
    assert difference_words(found, names) == (
        "first: sheet thickness 2 mm instead of 1.5 mm; spacer diameter 18 mm instead of 20 mm.",
        "second: sheet thickness 2 mm instead of 1.5 mm.",
    )
    assert difference_words(found, names, 1)[0] == "first: spacer diameter 18 mm instead of 20 mm."
    assert difference_words(compare(DESIGN, DESIGN), ("a", "b")) == ("a: the same inputs.",)


def test_the_overview_tells_what_governs_and_few_rows_more():
    found = compare(DESIGN, THINNER)
    assert [row.key for row in found.overview] == ["governing", "least_reserve", "mass", *OVERVIEW]
    governing, least, mass = found.overview[:3]
    for i, study in enumerate(found.studies):
        assert governing.texts[i] == study.governing.name and least.texts[i].startswith(study.verdict)
        assert least.values[i] == study.least_reserve
        assert mass.values[i] == study.quantities["mass_per_length"] * study.design.span


def test_rows_stand_by_how_far_the_designs_are_apart():
    found = compare(DESIGN, WOVEN.replace(spacer_diameter=0.02))
    shown = {row.key for row in found.overview}
    assert {row.key for row in found.ordered} == {row.key for row in found.rows} - shown
    inputs = [row for row in found.ordered if row.group == "input"]
    assert list(found.ordered[: len(inputs)]) == inputs
    assert [row.key for row in inputs[:2]] == ["sheet", "spacer_diameter"]
    for rows in (inputs, found.ordered[len(inputs) :]):
        apart = [row.apart for row in rows]
        assert apart == sorted(apart, reverse=True)
    spacer = inputs[1]
    assert spacer.apart == pytest.approx(0.1) and all(row.apart == 0.0 for row in found.rows if not row.differs)
