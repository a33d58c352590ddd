"""Checks in tables and CSV files: one wording for note, load record and shop; a column is one line."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from leeboard_part import LEEBOARD

from panelmech import evaluate
from panelmech.report.blocks import Column, Verdict, text_lines
from panelmech.report.check_rows import check_fields, checks_table, limit_words, name_words, source_words
from panelmech.report.folder import Field, csv_rows, csv_text

STUDY = evaluate(LEEBOARD, local=False)
CHECK = next(check for check in STUDY.checks if check.kind == "limit" and check.need == "at most")


def test_the_limit_says_its_side_and_what_is_not_known():
    assert limit_words(CHECK) == f"≤\u00a0{CHECK.limit_text()}" and limit_words(CHECK, " ").startswith("≤ ")
    assert limit_words(replace(CHECK, need="at least")).startswith("≥")
    assert limit_words(replace(CHECK, limit=float("nan"))) == "no basis"
    assert limit_words(replace(CHECK, kind="note")) == "–"


def test_name_and_source_are_sentences():
    assert name_words(CHECK, CHECK) == f"{CHECK.name} (governs)" and name_words(CHECK) == CHECK.name
    words = source_words(replace(CHECK, basis="user", source="own test", advice="thinner sheet"))
    assert words == "Own value: own test. Thinner sheet."


def test_the_heads_say_what_stands_in_a_table_of_checks():
    columns = (Column("Check", 0.5), Column("Verdict", 0.2), Column("Limit", 0.3))
    table = checks_table("Checks", columns, (CHECK, "Fittings", CHECK), CHECK, {"Limit": lambda check, _: "own"})
    row = (f"{CHECK.name} (governs)", Verdict(CHECK.verdict), "own")
    assert table.rows == (row, "Fittings", row) and table.columns == columns
    with pytest.raises(KeyError, match="Colour"):
        checks_table("Checks", (Column("Colour", 1.0),), (CHECK,))


def test_a_column_of_a_csv_file_is_shown_in_its_unit():
    fields = (
        Field("part", lambda p: p.name),
        Field("length", lambda p: p.length, "mm"),
        Field("n", lambda p: p.n, "", 2),
    )
    parts = (
        SimpleNamespace(name="=1+1", length=0.0123456789, n=1234.5),
        SimpleNamespace(name="b", length=float("nan"), n=2),
    )
    assert csv_rows(fields, parts) == (("part", "length [mm]", "n"), ("=1+1", "12.3457", "1.2e+03"), ("b", "", "2"))
    assert csv_text(csv_rows(fields[:1], parts)) == "part\n'=1+1\nb\n"


def test_more_columns_stand_in_front_of_the_basis():
    heads = [field.name for field in check_fields(None, Field("case", str))]
    assert heads[:3] == ["key", "name", "kind"] and heads[-4:] == ["case", "basis", "source", "advice"]


def test_lines_of_plain_text_keep_their_columns():
    assert text_lines((("", "a"), ("name", "1.5", "side")), (6, 4)) == ["         a", "name   1.5  side"]
