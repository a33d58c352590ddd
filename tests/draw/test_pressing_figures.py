"""The curves of a sheet pressed both ways, bent and flat."""

from types import MappingProxyType

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN
from matplotlib.colors import same_color

from panelmech import units
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import axes_at, blank_figure
from panelmech.draw.pressing_figures import LOOKS, describe_pressing, draw_pressing, pressing_figure, pressing_legend
from panelmech.study.bent_and_flat import SheetCurves, sheet_curves
from panelmech.study.framed_sheet import IN_PLANE

THIN = DESIGN.replace(sheet_thickness=0.001, spacer_diameter=0.022, spacer_wall=0.0, pressure=290.0)  # snaps through


def lines_of(ax, name, **look):
    return [
        line
        for line in ax.lines
        if same_color(line.get_color(), LOOKS[name].colour)
        and all(getattr(line, f"get_{k}")() == v for k, v in look.items())
    ]


def drawn(curves, edges):
    ax = axes_at(blank_figure(100.0, 80.0), 15.0, 15.0, 80.0, 60.0)
    draw_pressing(ax, curves, edges)
    return ax


def test_curves_run_both_ways_with_a_dot_where_sheets_are_compared():
    curves = sheet_curves(DESIGN)
    ax = drawn(curves, "held")
    dots = {
        (round(float(line.get_xdata()[0]), 9), float(line.get_ydata()[0]))
        for line in ax.lines
        if line.get_marker() == "o"
    }
    pairs = [(name, way, sign) for name in LOOKS for way, sign in (("outward", 1), ("inward", -1))]
    assert dots == {
        (round(1e3 * sign * curves.deflection(name, "held", way), 9), sign * DESIGN.pressure)
        for name, way, sign in pairs
    }
    for name, look in LOOKS.items():
        solid = lines_of(ax, name, linewidth=look.weight)
        assert len(solid) == 2  # one each way
        reach = [np.abs(line.get_xdata()).max() for line in solid]
        low, high = ax.get_xlim()
        assert -low > 0 and max(reach) < max(high, -low)  # no curve is cut off
    assert ax.get_ylim()[1] > curves.most


def test_past_a_limit_the_curve_is_dotted_and_the_limit_marked():
    curves = sheet_curves(THIN)
    ax = drawn(curves, "held")
    turns = curves.sheets["bent", "held"].outward.turns
    marks = [line for line in ax.lines if line.get_marker() == "v"]
    assert [float(line.get_ydata()[0]) for line in marks] == [turn.pressure for turn in turns]
    dotted = lines_of(ax, "bent", linewidth=1.0)
    assert len(dotted) == 1
    # from the one limit to the other
    assert [dotted[0].get_ydata()[0], dotted[0].get_ydata()[-1]] == pytest.approx([t.pressure for t in turns])
    words = [entry.words for entry in pressing_legend(ax, curves).entries]
    assert "snaps through, or back" in words and "does not stay there by itself" in words
    usual = [entry.words for entry in pressing_legend(ax, sheet_curves(DESIGN)).entries]
    assert "snaps through, or back" not in usual and "does not stay there by itself" not in usual


def test_the_figure_has_both_edges_and_names_its_pressure():
    text = figure_digest(pressing_figure(sheet_curves(DESIGN), DESIGN))
    assert "edges drawing in" in text and "edges held" in text
    assert "pressure, outward + [Pa]" in text


def test_lengths_follow_the_choice_of_inches():
    units.show_lengths_in("inch")
    try:
        text = figure_digest(pressing_figure(sheet_curves(DESIGN), DESIGN))
        assert "largest deflection [in]" in text and "[mm]" not in text
        assert " in" in describe_pressing(sheet_curves(DESIGN))
    finally:
        units.show_lengths_in("mm")


def test_words_tell_each_sheet_each_way():
    curves = sheet_curves(DESIGN)
    words = describe_pressing(curves)
    for edges in IN_PLANE:
        for way in ("outward", "inward"):
            assert units.show(curves.deflection("bent", edges, way), "mm", 3) in words
    assert "At " not in describe_pressing(sheet_curves(DESIGN, 0.0))


def test_no_figure_of_nothing():
    none = SheetCurves(1.0, 0.0, MappingProxyType({}), "no modulus")
    with pytest.raises(ValueError, match="no modulus"):
        pressing_figure(none, DESIGN)
