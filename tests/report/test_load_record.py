"""Loads in the note and as a record: every number is the study's, the same bytes each time, without them no change."""

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelmech import Design, evaluate
from panelmech.__main__ import main
from panelmech.blade.blade import Blade
from panelmech.loads.allowable import allowed
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LOAD_QUANTITIES
from panelmech.report import note, records
from panelmech.report.blocks import Banner, Paragraph, Table, Verdict
from panelmech.units import FACTORS, show

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
SHEET = LoadSheet.load(STUDIES / "leeboard_loads.json")
BLADE = Blade.load(STUDIES / "leeboard_blade.json")
RECORD = records.record_of(BLADE, SHEET)
STUDY = evaluate_loads(BLADE, SHEET.plan)


def table(caption):
    return next(b for b in records.load_blocks(RECORD) if isinstance(b, Table) and b.caption == caption)


def rows_of(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_the_checks_of_the_table_are_those_of_the_study():
    rows = [row for row in table("Checks under load with case and place").rows if not isinstance(row, str)]
    checks = (*STUDY.checks, *RECORD.fittings)
    assert len(rows) == len(checks)
    for row, check in zip(rows, checks, strict=True):
        assert row[0].removesuffix(" (governs)") == check.name and row[1] == check.value_text()
        assert row[3:6] == (check.reserve_text(), Verdict(check.verdict), check.where_text())
        assert check.source in row[6]
    assert [row[0] for row in rows if row[0].endswith("(governs)")] == [f"{STUDY.governing.name} (governs)"]


def test_the_cases_of_the_table_are_those_of_the_study():
    rows = table("Load cases").rows
    for i, (row, case) in enumerate(zip(rows, STUDY.cases, strict=True)):
        assert row[0].startswith(case.name) and row[0].endswith("which stays") == case.lasting
        assert row[1] == show(case.side_force, "N", 3)
        assert row[4] == show(np.max(np.abs(STUDY.diagrams.moment[i])), "N m", 3)


def test_the_banner_names_check_case_and_place():
    (banner,) = [b for b in records.load_blocks(RECORD) if isinstance(b, Banner)]
    assert banner.text == STUDY.headline() and banner.verdict == STUDY.verdict
    assert "broach, 220 mm from the root" in banner.text


def test_unknown_is_said_not_passed_over():
    bare = replace(SHEET, plan=replace(SHEET.plan, judgement=replace(SHEET.plan.judgement, nose_bond_strength=None)))
    record = records.record_of(BLADE, bare)
    found = next(b for b in records.load_blocks(record) if isinstance(b, Table) and b.caption.startswith("Checks"))
    (row,) = [r for r in found.rows if r[0].startswith("Nose")]
    assert row[2] == "no basis" and row[4] == Verdict("unknown")


def test_csv_of_checks_has_twelve_digits_and_the_place():
    rows = rows_of(records.load_checks_csv(RECORD))
    for row, check in zip(rows, (*STUDY.checks, *RECORD.fittings), strict=True):
        assert row["key"] == check.key and float(row["value_si"]) == pytest.approx(check.value, rel=1e-11)
        assert row["case"] == check.case
        assert (row["position_m"] == "") == bool(np.isnan(check.position))
    assert [row["key"] for row in rows if row["governs"]] == ["skin_buckling"]


def test_csv_of_diagrams_is_the_record():
    rows = rows_of(records.load_diagrams_csv(RECORD))
    d = STUDY.diagrams
    assert len(rows) == len(STUDY.names) * len(d.position)
    mine = [row for row in rows if row["case"] == "broach"]
    index = STUDY.names.index("broach")
    for name in records.DIAGRAMS:
        unit = LOAD_QUANTITIES[name]
        got = np.array([float(row[f"{name.replace('_', ' ')} [{unit.unit}]"]) for row in mine])
        values = getattr(d, name)[index] / FACTORS[unit.unit]
        assert got == pytest.approx(values, rel=1e-9, abs=1e-11 * np.abs(values).max())  # ten digits, noise taken out
    limit = np.array([float(row["allowed moment [N m]"]) for row in mine])
    assert limit == pytest.approx(allowed(STUDY, "moment").value, rel=1e-9)
    assert not any("e-1" in row["shear [N]"] for row in mine)


def test_a_note_for_another_design_is_refused():
    design = Design.load(STUDIES / "leeboard.json")
    records.check_loads(RECORD, design)  # another title is the same design
    with pytest.raises(ValueError, match="give the part and the note the same design"):
        records.check_loads(RECORD, design.replace(spacer_wall=2e-3))


@pytest.mark.slow
@pytest.mark.nightly
def test_the_note_holds_the_loads_and_without_them_is_as_it_was(tmp_path, monkeypatch):
    study = evaluate(BLADE.design)
    plain, with_loads = note.note_contents(study), note.note_contents(study, loads=RECORD)
    assert set(with_loads) - set(plain) == {
        *records.LOAD_FILES,
        *(f"plots/{n}.{k}" for n in ("planform", "loads") for k in ("svg", "pdf", "png")),
    }
    same = set(plain) - {"note.html", "note.pdf", "checks.csv"}  # loads judge the framed sheet in place of defaults
    assert {name: with_loads[name] for name in same} == {name: plain[name] for name in same}
    page = with_loads["note.html"].decode()
    assert "Loads along the span" in page and "Signatures" in page.split("Loads along the span")[1]
    assert "ISO 12215-8" in page and "ISO 12215-8" not in plain["note.html"].decode()
    monkeypatch.setattr(note, "note_contents", lambda *_, **__: with_loads)
    written = note.write_note(study, tmp_path / "out", loads=RECORD)
    assert written.names()[-4:] == records.LOAD_FILES
    assert LoadSheet.load(tmp_path / "out" / "loads.json") == SHEET
    assert Blade.load(tmp_path / "out" / "part.json") == BLADE


@pytest.mark.nightly
@pytest.mark.slow
def test_the_record_is_written_the_same_twice_and_replaces_itself(tmp_path, capsys, monkeypatch):
    arguments = ["loads", str(STUDIES / "leeboard_blade.json"), "--plan", str(STUDIES / "leeboard_loads.json"), "--out"]
    assert main([*arguments, str(tmp_path / "a")]) == 0 and main([*arguments, str(tmp_path / "b")]) == 0
    names = sorted(p.relative_to(tmp_path / "a") for p in (tmp_path / "a").rglob("*") if p.is_file())
    assert {str(n) for n in names} >= {"loads.html", "loads.pdf", *records.LOAD_FILES}
    for name in names:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name
    assert "Case and place: broach, 220 mm from the root." in capsys.readouterr().out
    page = (tmp_path / "a" / "loads.html").read_text(encoding="utf-8")
    assert "Tapered leeboard: load record" in page and str(tmp_path) not in page
    files = {name.as_posix(): (tmp_path / "a" / name).read_bytes() for name in names} | {"loads.html": b"another page"}
    monkeypatch.setattr(note, "record_contents", lambda record, **_: files)  # from here on it is the folder that counts
    assert main([*arguments, str(tmp_path / "a")]) == 0
    assert (tmp_path / "a" / "loads.html").read_bytes() == b"another page"
    assert names == sorted(p.relative_to(tmp_path / "a") for p in (tmp_path / "a").rglob("*") if p.is_file())
    (tmp_path / "c").mkdir()
    (tmp_path / "c" / "loads.json").write_text("mine")
    assert main([*arguments, str(tmp_path / "c")]) == 2
    assert (tmp_path / "c" / "loads.json").read_text() == "mine"


@pytest.fixture
def quick(monkeypatch):
    """What is tested is the command, not the page."""
    monkeypatch.setattr(note, "record_contents", lambda record, **_: {"loads.html": b"page"})


def test_the_command_takes_a_study_and_judges(quick, tmp_path, capsys):
    plan = tmp_path / "hard.json"
    severe = replace(SHEET.plan.cases[2], force=400.0)
    replace(SHEET, plan=replace(SHEET.plan, cases=(severe,), local=False)).save(plan)
    arguments = ["loads", str(STUDIES / "leeboard.json"), "--plan", str(plan), "--out", str(tmp_path / "out")]
    assert main(arguments) == 0
    assert main([*arguments[:-1], str(tmp_path / "again"), "--must-hold"]) == 1
    assert "Rod, stress along the span: fails" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("study", "plan", "code", "words"),
    [
        ("leeboard.json", "leeboard.json", 2, "not a load file"),
        ("leeboard_loads.json", "leeboard_loads.json", 2, "not a study file"),
        ("leeboard.json", "nowhere.json", 2, "No such file"),
    ],
)
def test_wrong_files_are_said(study, plan, code, words, quick, tmp_path, capsys):
    assert main(["loads", str(STUDIES / study), "--plan", str(STUDIES / plan), "--out", str(tmp_path / "out")]) == code
    assert words in capsys.readouterr().err and not (tmp_path / "out").exists()


@pytest.mark.parametrize(("command", "flag"), [("loads", "--plan"), ("note", "--loads")])
@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("end_plate", 3.0, "cases, number 1, end_plate: sailing: end_plate is 3"),
        ("immersed_from_mm", 900.0, "less than the span, 850 mm"),
    ],
)
def test_a_mistake_in_the_load_file_is_told_of_that_file(command, flag, key, value, words, quick, tmp_path, capsys):
    """Its name stands first, also where it only does not fit the part."""
    content = json.loads((STUDIES / "leeboard_loads.json").read_text(encoding="utf-8"))
    content["cases"] = content["cases"][:1]
    content["cases"][0][key] = value
    plan = tmp_path / "mine.json"
    plan.write_text(json.dumps(content), encoding="utf-8")
    assert main([command, str(STUDIES / "leeboard.json"), flag, str(plan), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert said.startswith(str(plan)) and words in said and said.count("mine.json") == 1
    assert not (tmp_path / "out").exists()


def test_a_part_that_cannot_be_read_is_told_of_its_own_file(tmp_path, capsys):
    study, loads = str(STUDIES / "leeboard.json"), str(STUDIES / "leeboard_loads.json")
    assert main(["note", study, "--out", str(tmp_path), "--loads", loads, "--part", loads]) == 2
    assert capsys.readouterr().err.startswith(f"{loads}: ")


def test_the_note_command_takes_loads(monkeypatch, tmp_path, capsys):
    asked = []
    monkeypatch.setattr(note, "write_note", lambda study, out, pair=None, loads=None, *_: asked.append(loads) or 1 / 0)
    study = str(STUDIES / "leeboard.json")
    with pytest.raises(ZeroDivisionError):
        main(["note", study, "--out", str(tmp_path), "--loads", str(STUDIES / "leeboard_loads.json")])
    assert asked[0].blade == Blade(Design.load(study)) and asked[0].sheet == SHEET
    assert main(["note", study, "--out", str(tmp_path), "--part", study]) == 2
    assert "--part is given without --loads" in capsys.readouterr().err


def test_every_sentence_ends():
    words = [b.text for b in records.load_blocks(RECORD) if isinstance(b, Paragraph)]
    assert all(text.endswith(".") for text in words)
