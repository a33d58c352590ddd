"""Words and table beside the curves of a sheet pressed both ways."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech.job import demo
from panelmech.loads import evaluate_loads
from panelmech.loads.cases import PointPush, SealedAir
from panelmech.loads.plan import LoadPlan
from panelmech.loads.record import LoadRecord
from panelmech.mechanics.pressure_curve import TurnPoint
from panelmech.report.blocks import Heading, Paragraph, Picture, Table
from panelmech.report.pressing_rows import (
    powers_words,
    pressed_by,
    pressing_blocks,
    pressing_drawing,
    pressing_rows,
    pressing_table,
    pressing_words,
    reach_words,
)
from panelmech.study.bent_and_flat import SheetCurves, sheet_curves
from panelmech.units import format_number, show, show_input

THIN = DESIGN.replace(sheet_thickness=0.001, spacer_diameter=0.022, spacer_wall=0.0, pressure=290.0)
NO_WEDGE = DESIGN.replace(spacer_diameter=0.0534, setback=-0.03)


def test_rows_tell_deflections_ratios_and_powers():
    curves = sheet_curves(DESIGN)
    rows = {row[0]: row[1:] for row in pressing_rows(curves)}
    assert list(rows)[:3] == ["Edges drawing in, outward", "Edges drawing in, inward", "Edges drawing in, linear"]
    outward, linear = rows["Edges held, outward"], rows["Edges held, linear"]
    assert outward[0] == show(curves.deflection("bent", "held", "outward"), "mm", 3)
    assert outward[4].startswith("▽") and outward[4].endswith(
        format_number(curves.ratio("wedge", "held", "outward"), 3)
    )
    assert linear[4].startswith("△") and linear[2] == show(curves.linear("wedge", "held"), "mm", 3)
    pressed = curves.sheets["bent", "held"]
    assert outward[5] == f"{pressed.outward.working.exponents.thickness:.2f}"
    assert linear[6] == f"−{abs(pressed.exponents.length):.2f}"
    assert {len(row) for row in rows.values()} == {len(pressing_table(curves).columns) - 1}
    assert sum(column.share for column in pressing_table(curves).columns) == pytest.approx(1.0)


def test_sentences_name_the_stiffness_the_pressure_and_both_sides():
    words = " ".join(pressing_words(sheet_curves(DESIGN)))
    assert f"Stiffness, pressure over largest deflection, at {show_input(DESIGN.pressure, 'Pa')}" in words
    assert "less of it than the flat wedge's pressed outward with edges held" in words
    assert "stiffer" not in words and "snaps" not in words
    more = " ".join(pressing_words(sheet_curves(DESIGN, 500.0)))
    assert "less of it" not in more and "pressed outward with edges held" in more


def test_a_snap_through_stands_with_its_pressure():
    curves = sheet_curves(THIN)
    first = curves.sheets["bent", "held"].outward.turns[0]
    words = " ".join(pressing_words(curves))
    start = f"The bent sheet, edges held, pressed outward snaps through at {show(first.pressure, 'Pa', 3)}"
    assert (
        f"{start}, deflected by {show(first.deflection, 'mm', 3)}; the table tells the next state in which it stays."
        in words
    )
    before = sheet_curves(THIN, 0.9 * first.pressure)
    assert f"{start}, deflected by {show(first.deflection, 'mm', 3)}." in " ".join(pressing_words(before))


def test_a_sheet_that_does_not_stay_where_it_is_has_no_number():
    curves = sheet_curves(DESIGN)
    pressed = curves.sheets["bent", "held"]
    working = replace(pressed.outward.working, stable=False)
    turns = (TurnPoint("branching", 1000.0, 5e-4),)
    outward = replace(pressed.outward, working=working, turns=turns)
    sheets = {**curves.sheets, ("bent", "held"): replace(pressed, outward=outward)}
    lost = replace(curves, sheets=MappingProxyType(sheets))
    row = next(row for row in pressing_rows(lost) if row[0] == "Edges held, outward")
    assert row[1] == "–" and row[3] == show(curves.deflection("wedge", "held", "outward"), "mm", 3)
    assert set(row[4:]) == {"–"}
    told = "jumps to another shape at 1000 Pa, deflected by 0.500 mm; where it stays next is not told."
    assert told in " ".join(pressing_words(lost))


def test_what_is_missing_is_told():
    words = " ".join(pressing_words(sheet_curves(NO_WEDGE)))
    assert "cannot touch this rod" in words and "flat wedge's pressed" not in words
    assert [row[3] for row in pressing_rows(sheet_curves(NO_WEDGE))] == ["–"] * 6
    none = SheetCurves(1.0, 0.0, MappingProxyType({}), "the modulus is not known")
    assert [b for b in pressing_blocks(none)][1:] == [Paragraph("Not reckoned: the modulus is not known.")]
    assert pressing_drawing(none, DESIGN) == {}


def test_the_rule_of_the_cube_beside_its_real_powers():
    curves = sheet_curves(DESIGN)
    powers = [row[6] for row in pressing_rows(curves)]
    low, high = min(powers, key=float), max(powers, key=float)
    assert powers_words(curves).endswith(f"Of this sheet the power lies between {low} and {high}.")
    linear = powers_words(sheet_curves(DESIGN, 0.0))  # without a pressure to compare at there are the linear powers
    assert f"between {min(powers[2], powers[5])} and {max(powers[2], powers[5])}." in linear


def test_how_far_the_curves_go():
    assert reach_words(sheet_curves(DESIGN, 20000.0)).endswith(f"times that, {show(30000.0, 'Pa', 3)}.")
    assert "its own thickness" in reach_words(sheet_curves(DESIGN, 10.0))


def test_the_blocks_of_a_note():
    blocks = list(pressing_blocks(sheet_curves(DESIGN)))
    assert [type(b) for b in blocks] == [Heading, Paragraph, Picture, Table, Paragraph, Paragraph]
    assert "the pressing pressure of the design" in blocks[1].text
    nothing = list(pressing_blocks(sheet_curves(DESIGN, 0.0)))
    assert "without a pressure to compare at" in nothing[1].text


def test_loads_say_what_pressure_matters():
    assert pressed_by(None) == (None, "")
    blade = demo().blade
    push = LoadPlan((PointPush("tip aground", 40.0),), local=False)
    assert pressed_by(LoadRecord(blade, None, evaluate_loads(blade, push), ())) == (None, "")
    study = evaluate_loads(
        blade, LoadPlan((PointPush("tip aground", 40.0), SealedAir("sun", 293.0, 313.0)), local=False)
    )
    pressure, words = pressed_by(LoadRecord(blade, None, study, ()))
    assert pressure == pytest.approx(np.abs(study.response.pressure).max()) and pressure > 0.0
    assert words.endswith("(sun)")
