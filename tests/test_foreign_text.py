"""Files and numbers as other programs and hands write them: read right, or refused in the house's words, at once."""

import json
import time

import pytest

from panelmech.entries import plain_number, read_entry
from panelmech.files import parse_file
from panelmech.job import demo
from panelmech.materials import catalogue
from panelmech.measured.offsets import read_offsets
from panelmech.measured.readings import COLUMNS, parse_readings, read_readings, readings_csv
from panelmech.study.sweep_files import AXES, HASH, read_sweep

NO_NUMBERS = (
    "2_06", "\u0662\u0660\u0666", "\uff12\uff10\uff16", "1e5_0", "0x10", "inf", "nan", "1.2.3", "1e", "--1", "2\u00b2",
    "1 000", "1e9999", "", "\u00bd",
)  # fmt: skip
PARSERS = (
    "Expecting",
    "delimiter",
    "codec",
    "BOM",
    "Extra data",
    "Exceeds",
    "Invalid",
    "_csv",
    "Unterminated",
    "strict",
)
HEAD = ",".join(COLUMNS)
ROW = "A,thickness,10,,{},,,,,"


@pytest.mark.parametrize("text", NO_NUMBERS)
def test_what_is_no_plain_number_is_no_number_anywhere(text):
    with pytest.raises(ValueError, match="is not a number"):
        plain_number(text, True)
    with pytest.raises(ValueError, match="x is .*: give one number"):
        read_entry(text if text != "\u00bd" else "0x10", "x")
    with pytest.raises(ValueError, match="is not a number|needs its number"):
        parse_readings(f"{HEAD}\n{ROW.format(text)}")
    with pytest.raises(ValueError, match="line 2: offset_mm is .*: give a number in millimetres"):
        read_offsets(f"x_mm,offset_mm,face\n1,{text},upper\n")


@pytest.mark.parametrize(
    ("text", "value"), [("2.06", 2.06), ("\u22121.5e3", -1500.0), ("+.5", 0.5), ("5.", 5.0), (" 7 ", 7.0)]
)
def test_plain_numbers(text, value):
    assert plain_number(text) == value
    with pytest.raises(ValueError, match="is not a number"):
        plain_number("2,06")
    assert plain_number("2,06", True) == 2.06


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b'{"a": 3,0}', "line 1 reads .*3,0.*a number has a decimal point"),
        (b'{\n"a": 1\n"b": 2}', "line 3 reads"),
        (b'{"a": ', "breaks off"),
        ('{"a": 1}'.encode("utf-16"), "written in UTF-16: save it as UTF-8"),
        (b'{"a":\n "\xff"}', "line 2 holds what is no text in UTF-8"),
        (b'{\n"a\x00": 1}', "line 2 holds a zero byte"),
        (b'{"a": ' + b"9" * 6000 + b"}", "a number of 6000 digits is not allowed"),
        (b"[" * 200000, "nested too deeply"),
        (b'{"a": NaN}', "every number must be finite"),
    ],
)
def test_a_file_that_is_no_json_is_refused_in_words_of_the_house(tmp_path, raw, words):
    path = tmp_path / "part.json"
    path.write_bytes(raw)
    with pytest.raises(ValueError, match=f"part.json.*{words}") as refusal:
        parse_file(path, "study")
    assert not any(word in str(refusal.value) for word in PARSERS)


def test_a_byte_order_mark_and_line_ends_of_others_change_nothing(tmp_path):
    path, text = tmp_path / "part.json", json.dumps({"a": [1.5, 2]}, indent=1)
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert parse_file(path, "study") == {"a": [1.5, 2]}
    readings = demo().readings
    path.write_bytes(b"\xef\xbb\xbf" + readings_csv(readings).replace("\n", "\r\n").encode())
    assert read_readings(path) == readings


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("density = 2_060", "line 3 has the number 2_060"),
        ("density = 0x10", "line 3 has the number 0x10"),
        ("density = inf", "line 3 has the number inf"),
        ("density = 3,0", "line 3 reads .density = 3,0.: a number has a decimal point"),
        ('density = "1_0" # 2_0', "density"),
    ],
)
def test_own_stock_is_refused_in_words_of_the_house(tmp_path, text, words):
    path = tmp_path / "stock.toml"
    path.write_text(f'[sheets."2_0 mm, my 0x10"]\nsource = "3_0 # inf"\n{text}\n')
    with pytest.raises(ValueError, match=words) as refusal:
        catalogue.with_entries(path)
    assert not any(word in str(refusal.value) for word in PARSERS)


def test_a_quote_that_does_not_close_is_told_by_its_line():
    with pytest.raises(ValueError, match="not a CSV file: in line 2 a quote does not close"):
        parse_readings(f'{HEAD}\nA,"thick"ness,10,,2,,,,,')


def test_a_million_rows_are_refused_within_seconds(tmp_path):
    rows = "\n".join([HEAD, *[ROW.format(2.0)] * 10**6])
    table = "x_mm,offset_mm,face\n" + "1,2,upper\n" * 10**6
    (tmp_path / "map.csv").write_text(f"{HASH}0\n{AXES}1000000\nspan [mm],reason,governing\n" + "1,,\n" * 10**6)
    began = time.process_time()
    for read, words in (
        (lambda: parse_readings(rows), "1000001 rows"),
        (lambda: read_offsets(table), "1000001 lines"),
        (lambda: read_sweep(tmp_path / "map.csv", demo().design, ("",), ("",)), "save it as .npz"),
    ):
        with pytest.raises(ValueError, match=words):
            read()
    assert time.process_time() - began < 5.0
