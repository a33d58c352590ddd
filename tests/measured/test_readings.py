"""The readings of a pair: what is allowed, the CSV file they are kept in, and what was typed into a table."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.measured.readings import (
    COLUMNS,
    GROUPS,
    KINDS,
    Readings,
    Row,
    parse_readings,
    read_readings,
    readings_csv,
    to_number,
    write_readings,
)
from panelmech.measured.typed import as_typed, heard, rows_from_text

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard_readings.csv"
HEAD = ",".join(COLUMNS)


def table(*rows):
    return "\n".join([HEAD, *rows]) + "\n"


def test_demo_is_invented_and_says_so_in_every_row():
    rows = read_readings(DEMO).rows
    assert len(rows) > 60 and all("invented" in row.note for row in rows)
    assert {row.kind.group for row in rows} == set(GROUPS)


def test_units_stand_in_the_column_names_and_values_are_si():
    assert [c for c in COLUMNS if c.endswith(("_mm", "_h", "_n", "_g", "_kg_m3"))] == list(COLUMNS[2:8])
    rows = parse_readings(
        table(
            "A,thickness,50,,2.06,,,,0.01,",
            "B,three-point force,,,,4.9,,,,",
            "A,droop end weight,,,,,12.5,,,",
            "A,droop density,,,,,,1850,,",
            "pair,as-built thickness,,24,23.6,,,,0.05,after lunch",
        )
    ).rows
    assert rows[0] == Row("A", "thickness", 2.06e-3, 0.05, None, 1e-5, "")
    assert [r.value for r in rows[1:4]] == [4.9, 0.0125, 1850.0]
    assert rows[4] == Row("pair", "as-built thickness", 0.0236, None, 86400.0, 5e-5, "after lunch")


def test_demo_goes_round_byte_for_byte():
    assert readings_csv(read_readings(DEMO)) == DEMO.read_text(encoding="utf-8")


@given(st.data())
def test_any_readings_go_round(data):
    rows = []
    for name in data.draw(st.lists(st.sampled_from(list(KINDS)), max_size=6)):
        kind = KINDS[name]
        share = data.draw(st.integers(0, 1000)) / 1000
        text = f"{kind.low + share * (kind.high - kind.low):.7g}"
        where = "12.5" if kind.place or kind.timed else ""
        rows += rows_from_text(name, data.draw(st.sampled_from(kind.on)), text, where, "0.05")
    note = data.draw(st.text(st.characters(blacklist_categories=("Cc", "Cs")), max_size=12)).strip()
    if rows:
        rows[0] = Row(**{**vars(rows[0]), "note": note})
    readings = Readings(rows)
    assert parse_readings(readings_csv(readings)) == readings


def test_written_in_one_step_and_nothing_left_behind(tmp_path):
    path = tmp_path / "mine.csv"
    path.write_text("old", encoding="utf-8")
    assert write_readings(path, read_readings(DEMO)) == path
    assert read_readings(path) == read_readings(DEMO)
    assert [p.name for p in tmp_path.iterdir()] == ["mine.csv"]


def test_semicolons_decimal_commas_and_a_byte_order_mark(tmp_path):
    path = tmp_path / "other.csv"
    text = table("A;thickness;50;;2,06;;;;0,01;a, b").replace(HEAD, HEAD.replace(",", ";"))
    path.write_text("\ufeff" + text, encoding="utf-8")
    assert read_readings(path).rows == (Row("A", "thickness", 2.06e-3, 0.05, None, 1e-5, "a, b"),)


def test_columns_may_be_left_out_and_stand_in_any_order():
    rows = parse_readings("value_mm,sheet,measured\n0.4,A,twist\n\n0.2,B,twist\n").rows
    assert [(r.sheet, r.value) for r in rows] == [("A", 0.4e-3), ("B", 0.2e-3)]


# row, then what the message must hold: where, what came in, what is allowed
WRONG = {
    "not a number": ("A,thickness,50,,2.o6,,,,,", ["row 2, column value_mm", "'2.o6'", "0.1 to 60 mm"]),
    "out of range": ("A,thickness,50,,206,,,,,", ["row 2, column value_mm", "206 mm", "0.1 to 60 mm"]),
    "nothing": ("A,thickness,50,,,,,,,", ["row 2, column value_mm", "needs its number here", "0.1 to 60 mm"]),
    "wrong unit": ("A,three-point force,,,4.9,,,,,", ["column value_n", "nothing in value_mm", "0.01 to 10000 N"]),
    "two values": ("A,thickness,50,,2.06,3,,,,", ["column value_mm", "nothing in value_n"]),
    "no place": ("A,thickness,,,2.06,,,,,", ["column place_mm", "nothing came in", "the marked end"]),
    "a place": ("A,twist,50,,0.3,,,,,", ["column place_mm", "50 mm", "leave it empty"]),
    "no time": ("pair,as-built thickness,,,23.5,,,,,", ["column after_h", "nothing came in", "hours after forming"]),
    "a time": ("A,twist,,24,0.3,,,,,", ["column after_h", "24 h", "leave it empty"]),
    "sheet": ("C,thickness,50,,2.06,,,,,", ["column sheet", "'C'", "A, B"]),
    "pair": ("A,opening force,,,,30,,,,", ["column sheet", "'A'", "pair"]),
    "kind": ("A,thicknes,50,,2.06,,,,,", ["column measured", "'thicknes'", "thickness; bow"]),
    "step": ("A,twist,,,0.3,,,,-0.1,", ["column resolution_same_unit", "zero or more"]),
    "nan": ("A,twist,,,nan,,,,,", ["column value_mm", "'nan' is not a number"]),
    "too long": ("A,twist,,,0.3,,,,,a,b", ["1 cells too many"]),
    "too short": ("A", ["column measured", "''"]),
}


@pytest.mark.parametrize(("row", "words"), WRONG.values(), ids=WRONG)
def test_errors_name_row_column_what_came_in_and_what_is_allowed(row, words):
    with pytest.raises(ValueError, match="readings.csv: ") as caught:
        parse_readings(table(row), "readings.csv")
    assert all(word in str(caught.value) for word in words), str(caught.value)


def test_several_errors_are_told_at_once_but_not_all():
    with pytest.raises(ValueError, match="row 2.*row 3.*and 3 more"):
        parse_readings(table(*["A,twist,,,x,,,,,"] * 8))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("a,b\n1,2\n", "unknown column 'a'"),
        ("sheet,value_mm\nA,1\n", "missing column 'measured'"),
        ("sheet,sheet,measured\n", "stands twice"),
        (f'{HEAD}\nA,"twist\n', "not a CSV file"),
    ],
)
def test_a_file_that_is_no_table_of_readings(text, words):
    with pytest.raises(ValueError, match=words):
        parse_readings(text, "mine.csv")


def test_a_file_that_is_no_text(tmp_path):
    (tmp_path / "x.csv").write_bytes(b"\xff\xfe\x00\x41")
    with pytest.raises(ValueError, match="UTF-8"):
        read_readings(tmp_path / "x.csv")


def test_a_row_checks_itself():
    with pytest.raises(ValueError, match="thickness of sheet A.*0.1 to 60 mm"):
        Row("A", "thickness", 2.0, 0.05)  # metres taken for millimetres
    with pytest.raises(KeyError):
        Readings().of("weight", "A")


def test_repeated_readings_are_one_and_the_coarsest_step_counts():
    rows = [Row("A", "twist", v, None, None, s) for v, s in ((1e-3, 1e-4), (3e-3, 5e-4))]
    reading = Readings(rows).reading("twist", "A")
    assert (reading.mean, reading.resolution) == (2e-3, 5e-4)
    assert Readings(rows).reading("twist", "B") is None


def test_replaced_rows_stand_where_the_old_ones_stood():
    readings = read_readings(DEMO)
    rows = rows_from_text("twist", "A", "0.5 0.6", "", "0.1")
    new = readings.replaced("twist", "A", rows)
    first = readings.rows.index(readings.of("twist", "A")[0])
    assert new.rows[first : first + 2] == rows and len(new.rows) == len(readings.rows) + 1
    assert new.replaced("twist", "A", readings.of("twist", "A")) == readings


@pytest.mark.parametrize("name", KINDS)
def test_what_is_typed_comes_back(name):
    for sheet in KINDS[name].on:
        rows = read_readings(DEMO).of(name, sheet)
        assert rows_from_text(name, sheet, *as_typed(rows), before=rows) == rows


def test_a_changed_reading_loses_its_note():
    rows = read_readings(DEMO).of("thickness", "A")
    values, where, step = as_typed(rows)
    new = rows_from_text("thickness", "A", values.replace("2.06", "2.07", 1), where, step, before=rows)
    assert new[0].note == "" and all("invented" in row.note for row in new[1:])


def test_typed_numbers_take_commas_semicolons_fractions_and_units():
    def values(name, text):
        return [r.value for r in rows_from_text(name, "A", text)]

    assert values("twist", "0,3; 0.4, 0.5") == [0.3e-3, 0.4e-3, 0.5e-3]
    assert values("twist", "1/8 in 0,3") == [3.175e-3, 0.3e-3]
    assert values("twist", "3 1/2; 4 mm") == [3.5e-3, 4e-3]
    assert values("three-point force", "1 kgf") == [9.80665] and values("droop end weight", "1/2 lb") == [0.226796185]
    assert rows_from_text("as-built thickness", "pair", "23.5", "30 min")[0].time == 1800.0
    assert rows_from_text("twist", "A", "0.3", "", "1/100 in")[0].resolution == pytest.approx(0.254e-3, rel=1e-12)
    assert to_number("−1,5") == -1.5
    with pytest.raises(ValueError, match="thickness of sheet B: values 2, places 1"):
        rows_from_text("thickness", "B", "2.0 2.1", "50")


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (("x", "50"), "thickness of sheet B is 'x': give numbers with blanks between them, in mm"),
        (("2.0", "5o"), "places of thickness of sheet B is '5o'"),
        (("2.0", "50", "0.01 0.02"), "step of thickness is '0.01 0.02': give one number"),
        (("2.0", "50", "-0.01"), "step of thickness is −0.01 mm"),
        (("2 N", "50"), "which is a force: give a length"),
        (("2.06 2.05 2.o4 2.03", "50"), "thickness of sheet B is '2.o4': give numbers with blanks between them"),
        (("1.234,5", "50"), "thickness of sheet B is '1.234,5'"),
    ],
)
def test_what_cannot_be_read_is_said_with_the_field(texts, words):
    with pytest.raises(ValueError, match=re.escape(words)):
        rows_from_text("thickness", "B", *texts)


def test_what_was_understood_is_told_where_it_was_typed_in_another_way():
    assert heard("thickness", "A", "values", "3/32 in 2.4") == "2.38125 mm, 2.4 mm"
    assert heard("thickness", "A", "values", "2.4 2.5") == "" == heard("thickness", "A", "where", "")
    assert heard("thickness", "A", "where", "1 ft") == "304.8 mm"
    assert heard("as-built thickness", "pair", "where", "90 min") == "1.5 h"
    assert heard("three-point force", "A", "step", "0,5") == "0.5 N"


def test_a_confirmed_reading_says_so_in_its_note_and_goes_round():
    row = Row("A", "twist", 0.3e-3, note="by lamplight")
    assert not row.confirmed and not Row("A", "twist", 0.3e-3, note="unconfirmed").confirmed
    assert row.confirm().note == "confirmed; by lamplight" and row.confirm().confirm() == row.confirm()
    assert (
        Row("A", "twist", 0.3e-3).confirm().note == "confirmed"
        and Row("A", "twist", 1e-3, note="Confirmed: yes").confirmed
    )
    assert parse_readings(readings_csv(Readings([row.confirm()]))).rows == (row.confirm(),)
    values = as_typed([row.confirm()])
    assert rows_from_text("twist", "A", *values, before=[row.confirm()])[0].confirmed
    assert not rows_from_text("twist", "A", "0.4", before=[row.confirm()])[0].confirmed  # another reading


def test_a_cell_that_swallows_rows_is_told_without_repeating_them():
    rows = table(*["A,droop,,,20.5,,,,0.5,ours"] * 30).splitlines()
    rows[3], rows[20] = rows[3].replace("droop", '"droop'), "20.5,ours" + '"'
    with pytest.raises(ValueError, match="row 4, column measured: .* characters, from .* quotation mark") as refused:
        parse_readings("\n".join(rows))
    assert len(str(refused.value)) < 300
