"""Designs side by side."""

import pytest

from panelmech import Design, catalogue
from panelmech.study.side_by_side import compare

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)


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
