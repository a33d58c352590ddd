"""Fair comparisons: the conditions are met, levels are verified by substitution, words follow the numbers."""

import re

import numpy as np
import pytest

from panelmech import Design, catalogue
from panelmech.fair import (
    CONDITIONS,
    MEASURES,
    bent_measures,
    compare_with_wedge,
    open_twist_ratio,
    overtaking,
    side,
    verdict,
    wedge_measures,
)
from panelmech.section import bent_pair, wedge_pair
from panelmech.study import gather
from panelmech.whole import whole_section

SLENDER = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
FLARED = SLENDER.replace(spacer_diameter=0.09)
THICK = SLENDER.replace(sheet_thickness=4e-3, free_length=0.15)
THIN = SLENDER.replace(
    sheet_thickness=0.1e-3, free_length=0.4, spacer_diameter=4e-3, bond_line=0.0, setback=0.0, spacer_wall=0.0
)


def test_conditions_are_met():
    by_name = {c.condition: c for c in compare_with_wedge(SLENDER, local=False)}
    assert tuple(by_name) == CONDITIONS
    bend, numbers = SLENDER.bend(), gather(SLENDER)
    thick = by_name["the same outer thickness"].wedge
    assert thick.wedge().outer_thickness == pytest.approx(bend.outer_thickness, rel=1e-9)
    moment = by_name["the same second moment"].wedge
    assert wedge_pair(moment.wedge()).i_chord == pytest.approx(bent_pair(bend).i_chord, rel=1e-9)
    heavy = by_name["the same mass"].wedge
    mass = whole_section(heavy.wedge(), gather(heavy)).mass_per_length
    assert mass == pytest.approx(whole_section(bend, numbers).mass_per_length, rel=1e-9)


@pytest.mark.parametrize("key", ["i_chord", "torsion_constant", "chord_stiffness", "torsion_stiffness"])
@pytest.mark.parametrize("field", ["spacer_diameter", "sheet_thickness"])
def test_levels_by_substitution(key, field):
    level = overtaking(SLENDER, key, field)
    assert level > getattr(SLENDER, field)
    reached = bent_measures(SLENDER.replace(**{field: level}), local=False)[key]
    assert reached == pytest.approx(wedge_measures(SLENDER, local=False)[key], rel=1e-5)


def test_small_angle_levels():
    """sqrt(140/99) = 1.19 for the second moment, 4/3 for the torsion constant (thin sheets, small opening)."""
    assert overtaking(THIN, "i_chord") / THIN.spacer_diameter == pytest.approx(np.sqrt(140 / 99), rel=0.03)
    assert overtaking(THIN, "torsion_constant") / THIN.spacer_diameter == pytest.approx(4 / 3, rel=0.03)


def test_level_or_ahead_and_impossible():
    assert overtaking(FLARED, "i_chord") == FLARED.spacer_diameter
    assert np.isnan(overtaking(FLARED, "torsion_constant"))
    with pytest.raises(ValueError, match="measure"):
        overtaking(SLENDER, "beauty")


def test_words_differ_where_the_numbers_do():
    texts = {}
    for name, design in (("slender", SLENDER), ("flared", FLARED), ("thick", THICK)):
        (same,) = compare_with_wedge(design, local=False, conditions=("the same spacer",))
        texts[name] = " ".join(verdict(design, same))
        chord = side(same.ratios["i_chord"])
        assert chord == ("stiffer" if name == "flared" else "softer")
    assert len(set(texts.values())) == 3
    assert "no spacer these sheets take" in texts["flared"]


def test_stiffer_always_says_in_what():
    (same,) = compare_with_wedge(SLENDER, conditions=("the same spacer",))
    for line in verdict(SLENDER, same):
        for match in re.finditer(r"stiffer|softer", line):
            assert re.match(r" than the flat wedge with [a-z ]+ in ", line[match.end() :])
    assert any("clamped land" in line for line in verdict(SLENDER, same))
    assert set(same.ratios) <= set(MEASURES)


def test_closing_the_front_stops_the_twist():
    """Bredt's cell over thin rectangles b t^3 / 3 (any text on torsion)."""
    t, land = 2e-3, (2 * 2e-3 + 0.3e-3) ** 3 * 15e-3 / 3
    leaves = 2 * 0.225 * t**3 / 3 + land
    assert open_twist_ratio(SLENDER) == pytest.approx(
        1 + bent_pair(SLENDER.bend()).torsion_constant / leaves, rel=1e-12
    )
