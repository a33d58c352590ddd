"""The inspection record in the note: its numbers are the report's, and without readings the note is what it was."""

from pathlib import Path

import pytest

from panelmech import Design, evaluate
from panelmech.__main__ import BAD_INPUT, FINE, MOVED, main
from panelmech.measured.pair import judge_pair
from panelmech.measured.readings import Readings, read_readings, write_readings
from panelmech.measured.typed import as_typed, rows_from_text
from panelmech.report import note, records
from panelmech.report.blocks import Banner, Bullets, Heading, Picture, Signatures, Table
from panelmech.report.note_text import compose
from panelmech.report.pair_rows import verdict_words
from panelmech.units import show, show_measured

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN, DEMO = Design.load(STUDIES / "leeboard.json"), read_readings(STUDIES / "leeboard_readings.csv")


@pytest.fixture(scope="module")
def study():
    return evaluate(DESIGN)


@pytest.fixture(scope="module")
def report():
    return judge_pair(DESIGN, DEMO, 0.5e-3)


@pytest.fixture(scope="module")
def plain(study):
    return note.note_contents(study)


@pytest.fixture(scope="module")
def full(study, report):
    return note.note_contents(study, report)


def tables(report):
    blocks = list(records.inspection_blocks(report))
    blocks += [b for pair in blocks if hasattr(pair, "left") for b in (*pair.left, *pair.right)]
    return {b.caption: b for b in blocks if isinstance(b, Table)}


@pytest.mark.slow
def test_record_stands_before_the_signatures_and_nothing_else_moves(study, report):
    before, after = compose(study), note.before_signatures(compose(study), records.inspection_blocks(report))
    assert after[: len(before) - 2] == before[:-2] and after[-2:] == before[-2:]
    assert isinstance(after[-1], Signatures) and after[-2] == Heading("Signatures")
    record = after[len(before) - 2 : -2]
    assert isinstance(record[0], Heading) and isinstance(record[-1], Signatures)


@pytest.mark.slow
@pytest.mark.nightly
def test_other_files_are_those_of_a_note_without(plain, full):
    """The record adds: no file of the plain note but the note itself differs by a byte."""
    assert "readings.csv" not in plain and not any("cambered" in name for name in plain)
    assert {n for n in plain if plain[n] != full[n]} == {"note.html", "note.pdf"}
    assert set(full) - set(plain) == {
        "readings.csv",
        *(f"plots/{name}.{kind}" for name in ("cambered", "log") for kind in ("svg", "pdf", "png")),
    }


@pytest.mark.slow
def test_without_readings_no_word_of_them_is_in_the_note(plain):
    assert b"nspection record" not in plain["note.html"] and b"readings.csv" not in plain["note.html"]


def test_numbers_are_the_computed_ones(report):
    found = tables(report)
    values = {row[0]: row[1:] for row in found["The two sheets"].rows}
    assert values["Thickness, mean"] == tuple(
        show_measured(s.thickness.value, s.thickness.uncertainty, "mm") for s in report.sheets
    )
    assert values["Bending stiffness D, per metre of span"] == tuple(show(d, "N m") for d in report.stiffness)
    moduli = [row[1] for row in found["Measured moduli"].rows]
    assert moduli == [show_measured(t.result.value, t.result.uncertainty, "GPa") for t in report.tests]
    assert found["Measured moduli"].rows[0][3].startswith(report.tests[0].result.dominant)
    camber = show_measured(abs(report.camber.value), report.camber.expanded, "mm")
    assert found["The pair"].rows[0][1] == f"{camber} (95 %), towards A"
    parts = {row[0]: row[2] for row in found["Uncertainty of the camber"].rows}
    assert parts["Thickness of sheet A"] == show(report.camber.contributions["thickness of sheet A"], "mm", 2)
    assert found["Measured moduli"].rows[0][2] == show(report.tests[0].result.details["linear"], "GPa")
    assert found["Measured moduli"].rows[-1][2] == "–"  # the closed pair has no such formula
    best = report.inspection.pairings[0]
    assert found["How to lay the sheets together"].rows[0][0] == f"Best: {best.flip}; {best.turn}"


def test_verdict_is_the_banner(report):
    banner = next(b for b in records.inspection_blocks(report) if isinstance(b, Banner))
    assert banner.verdict == report.inspection.verdict and banner.text.startswith(verdict_words(report))


def test_log_has_room_for_what_is_still_to_be_measured(report):
    log = tables(report)["Log of the part as built"]
    assert [row[0] for row in log.rows] == ["1 h", "24 h", "7 days"] and log.rows[0][1] == "23.70 mm"
    assert log.columns[-1].look == "blank" and all(row[-1] == "" for row in log.rows)
    first = Readings([r for r in DEMO.rows if r.time is None or r.time == 86400.0])
    later = tables(judge_pair(DESIGN, first, 1e-3))["Log of the part as built"]
    assert [row[:2] for row in later.rows] == [("1 h", ""), ("24 h", "23.60 mm"), ("7 days", "")]


def test_every_reading_is_in_the_summary_once(report):
    rows = [row for row in tables(report)["Readings"].rows if not isinstance(row, str)]
    kinds = {r.kind.label for r in DEMO.rows if r.time is None and r.measured != "offset"}
    assert {row[0].lower() for row in rows} == {k.lower() for k in kinds}


def test_pictures_of_the_record_are_drawn(report):
    drawn = records.inspection_drawings(report)
    named = {b.name for b in records.inspection_blocks(report) if isinstance(b, Picture)}
    assert named == set(drawn) and all(item.size[0] == pytest.approx(182.0) for item in drawn.values())


@pytest.mark.slow
def test_page_shows_the_record_and_the_file_goes_back(plain, full):
    html = full["note.html"].decode()
    for words in ("Inspection record", "invented for the worked example", "18.43 ± 0.21", "Log of the part as built"):
        assert words in html.replace("\u00a0", " ")
    assert html.count("<svg") == plain["note.html"].decode().count("<svg") + 2
    assert full["readings.csv"].decode() == (STUDIES / "leeboard_readings.csv").read_text(encoding="utf-8")


@pytest.mark.slow
def test_a_report_for_another_design_is_refused(study, report):
    with pytest.raises(ValueError, match="judge the pair for this design"):
        note.note_contents(evaluate(DESIGN.replace(spacer_diameter=0.02), local=False), report)


@pytest.mark.slow
@pytest.mark.nightly
def test_command_line(tmp_path, capsys):
    study, readings = str(STUDIES / "leeboard.json"), str(STUDIES / "leeboard_readings.csv")
    assert main(["note", study, "--readings", readings, "--out", str(tmp_path / "a")]) == FINE
    assert "readings.csv" in capsys.readouterr().out
    assert read_readings(tmp_path / "a" / "readings.csv") == DEMO
    assert "0.500 mm allowed" in (tmp_path / "a" / "note.html").read_text(encoding="utf-8").replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("text", "more", "words"),
    [
        ("sheet,measured,value_mm\nA,twist,x\n", [], "mine.csv: row 2, column value_mm: 'x' is not a number"),
        ("sheet,measured,value_mm\nA,twist,1\n", [], "sheet A: no thickness readings"),
        (None, [], "No such file"),
        ("sheet,measured\n", ["--camber", "0"], "--camber is 0 mm: give a positive number"),
        ("sheet,measured\n", ["--camber", "0,5 N"], "--camber is '0,5 N', which is a force: give a length in mm"),
        ("sheet,measured\n", ["--camber", "half"], "--camber is 'half': give one number, in mm"),
    ],
)
def test_command_line_says_what_is_wrong(tmp_path, capsys, text, more, words):
    path = tmp_path / "mine.csv"
    if text:
        path.write_text(text, encoding="utf-8")
    out = tmp_path / "note"
    arguments = ["note", str(STUDIES / "leeboard.json"), "--readings", str(path), "--out", str(out), *more]
    assert main(arguments) == BAD_INPUT
    assert words in capsys.readouterr().err and not out.exists()


def odd_readings(tmp_path, name, sheet, text):
    """A file like the demo's, with one kind of reading as typed."""
    rows = rows_from_text(name, sheet, text, as_typed(DEMO.of(name, sheet))[1])
    return str(write_readings(tmp_path / "odd.csv", DEMO.replaced(name, sheet, rows)))


@pytest.mark.slow
@pytest.mark.nightly
def test_command_line_counts_no_reading_in_doubt(tmp_path, capsys, monkeypatch):
    study, out = str(STUDIES / "leeboard.json"), str(tmp_path / "note")
    odd = odd_readings(tmp_path, "three-point force", "A", "49")
    arguments = ["note", study, "--readings", odd, "--out", out]
    assert main(arguments) == FINE
    assert (
        "The two sheets: not sure yet. Force in the middle of sheet A (strip on two supports): 49 N"
        in capsys.readouterr().out
    )
    page = (tmp_path / "note" / "note.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert (
        'class="banner unsure"' in page and "The two sheets: not sure yet." in page and "In doubt, not counted." in page
    )
    assert "1 in doubt is not counted" in page and read_readings(tmp_path / "note" / "readings.csv") == read_readings(
        odd
    )
    there = [
        path for path in (tmp_path / "note").rglob("*") if path.suffix in (".html", ".pdf", ".csv", ".json", ".svg")
    ]
    written = {path.relative_to(tmp_path / "note").as_posix(): path.read_bytes() for path in there}
    monkeypatch.setattr(note, "note_contents", lambda *_, **__: written)  # from here on what counts is the verdict
    assert main([*arguments, "--must-hold"]) == MOVED
    assert "the two sheets: Camber of the two sheets: not sure yet" in capsys.readouterr().err
    arguments[1], arguments[3] = str(tmp_path / "told.json"), str(STUDIES / "leeboard_readings.csv")
    Design.load(study).replace(pressure=1000.0).save(arguments[1])  # the default is beyond what can be told
    assert main([*arguments, "--must-hold"]) == FINE and "The two sheets: holds." in capsys.readouterr().out
    arguments[3] = odd_readings(tmp_path, "thickness", "A", "2.36 2.36 2.37 2.36 2.36 2.37")
    assert main([*arguments, "--must-hold", "--camber", "1/254 in"]) == MOVED  # 0.1 mm
    assert "the two sheets: Camber of the two sheets: fails" in capsys.readouterr().err


def test_command_line_says_what_too_many_doubts_leave(tmp_path, capsys):
    odd = odd_readings(tmp_path, "thickness", "A", "20.6 2.05 2.04 2.03 2.03 2.02")
    arguments = ["note", str(STUDIES / "leeboard.json"), "--readings", odd, "--out", str(tmp_path / "note")]
    assert main(arguments) == BAD_INPUT
    said = capsys.readouterr().err
    assert (
        f"{odd}, for " in said and "not sure yet: thickness of sheet A: 20.6 mm" in said and "do you mean 2.06" in said
    )


def test_a_doubt_is_a_bullet_of_the_record():
    odd = DEMO.replaced("twist", "A", rows_from_text("twist", "A", "30"))
    doubted = judge_pair(DESIGN, odd, 0.5e-3)
    bullets = [b for b in records.inspection_blocks(doubted) if isinstance(b, Bullets)]
    assert ("In doubt, not counted.", f"T{doubted.doubts[0].line[1:]}") in bullets[0].items
    assert next(b for b in records.inspection_blocks(doubted) if isinstance(b, Banner)).verdict == "unsure"
