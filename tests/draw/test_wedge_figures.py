"""The small panels of ratios, and the table they are drawn from."""

import math

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import InfeasibleBend
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure
from panelmech.draw.ratio_figures import describe_fair, draw_fair
from panelmech.draw.study_figures import fair_figure
from panelmech.study.study import evaluate
from panelmech.study.wedge_comparison import CONDITIONS, compare_with_wedge
from panelmech.study.wedge_levels import fair_table

ROWS = [("bending", (0.773, 0.739, 1.0, math.nan)), ("pressing", (2.33, 250.0, 0.001, 1.2))]


def panels(rows=ROWS):
    fig, axes = figure(110.0, 40.0, 1, 4, sharey=True)
    draw_fair(axes, rows, CONDITIONS)
    return fig, axes


def dots(ax):
    """(ratio, row, marker) of every dot."""
    lines = [line for line in ax.lines if line.get_markevery() == [1]]
    return [(line.get_xdata()[1], line.get_ydata()[1], line.get_marker()) for line in lines]


def test_a_dot_for_each_ratio_with_its_side():
    _, axes = panels()
    assert dots(axes[0]) == [(0.773, 0, "v"), (2.33, 1, "^")]
    assert dots(axes[1]) == [(0.739, 0, "v"), (100.0, 1, ">")]  # beyond the scale: an arrow at its end
    assert dots(axes[2]) == [(1.0, 0, "o"), (0.01, 1, "<")]
    assert dots(axes[3]) == [(1.2, 1, "^")]
    assert [text.get_text() for text in axes[3].texts] == ["?"]


def test_panels_share_the_axis_and_name_the_conditions():
    _, axes = panels()
    assert len({ax.get_xlim() for ax in axes}) == 1
    assert [ax.get_title(loc="center") for ax in axes] == ["spacer", "thickness", "mass", "2nd\nmoment"]
    assert [tick.get_text() for tick in axes[0].get_yticklabels()] == ["bending", "pressing"]
    low, high = axes[0].get_xlim()
    assert low < 0.01 and high > 100.0


@pytest.mark.parametrize("rows", [[], [("bending", (1.0, 2.0))]])
def test_what_does_not_fit_together_is_refused(rows):
    with pytest.raises(ValueError, match="one ratio of each row for each condition"):
        panels(rows)


def test_words_name_both_sides():
    words = describe_fair(ROWS, CONDITIONS)
    assert "With the same spacer the bent pair has more: pressing; less: bending." in words
    assert "With the same mass the bent pair has less: pressing." in words
    assert describe_fair([("a", (math.nan,))], ("x",)) == "With x the bent pair has as much, or it is not known."


def test_the_figure_carries_the_ratios_in_its_digest():
    text = figure_digest(fair_figure(evaluate(DESIGN, local=False), ROWS, CONDITIONS))
    assert "0.773" in text and "2.33" in text and "bending" in text


@pytest.mark.slow
def test_the_table_keeps_what_the_comparison_found():
    table = fair_table(DESIGN)
    for found, kept in zip(compare_with_wedge(DESIGN), table.comparisons, strict=True):
        assert found == kept
    assert fair_table(DESIGN.replace(title="another title")).levels == table.levels
    assert set(table.levels) == {"i_chord", "torsion_constant", "chord_stiffness", "torsion_stiffness"}
    assert all(np.isfinite(level.value) for ways in table.levels.values() for level in ways.values())
    assert table.enclosed[0] == pytest.approx(evaluate(DESIGN, local=False).quantities["enclosed_ratio"], rel=1e-12)


def test_no_table_of_what_cannot_be_bent():
    with pytest.raises(InfeasibleBend):
        fair_table(DESIGN.replace(spacer_diameter=0.2))
