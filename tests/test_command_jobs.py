"""The command line on jobs: made, opened, sized, judged; found by name, folder or file; every example runs."""

import csv
import json
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from day_and_night import by_day

from panelmech.__main__ import BAD_INPUT, FINE, INFEASIBLE, MOVED, main
from panelmech._commands.usage import COMMANDS, PROGRAM
from panelmech.job import demo, duplicate, new_job, open_job, open_name, read_history, read_job
from panelmech.job.agree import agree
from panelmech.job.every import judge_of
from panelmech.job.folder import keep
from panelmech.job.typed import FIRST
from panelmech.materials.stock import catalogue
from panelmech.report import papers
from panelmech.study.inside import Inside, Rib, Zone
from panelmech.study.study import evaluate

STUDIES = Path(__file__).resolve().parents[1] / "notebooks" / "studies"
SHEET = "glass-epoxy laminate, lengthwise"
SIX = {
    "--sheet": SHEET,
    "--sheet-thickness": "2 mm",
    "--free-length": "22,5 cm",
    "--spacer-diameter": "18",
    "--setback": "3",
    "--span": "850 mm",
}


def words_of(options):
    return [word for pair in options.items() for word in pair]


@pytest.fixture(autouse=True)
def bench(tmp_path, monkeypatch):
    """An empty folder to work in, with the files of the worked example, and nothing to answer on the terminal."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PANELMECH_JOB", raising=False)
    for path in STUDIES.iterdir():
        shutil.copy(path, tmp_path)
    return tmp_path


@pytest.fixture
def rudder(bench):
    """A job like the demo, open; its folder."""
    folder = duplicate("demo", "rudder", "a test")
    open_job("rudder")
    return folder


def answers(monkeypatch, *texts):
    """A terminal on which these answers are typed; the questions asked."""
    left, asked = list(texts), []

    def answer(question):
        asked.append(question)
        if not left:
            raise EOFError
        return left.pop(0)

    monkeypatch.setattr("builtins.input", answer)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    return asked


EXAMPLES = [name for name in COMMANDS if name != "papers"]  # whose example is run below


@pytest.fixture
def quick(monkeypatch):
    """Papers of a few bytes: what is on them is told by the tests of the reports."""
    files = {name: b"quick" for name in ("note.html", "results.csv", "shop.json")}
    monkeypatch.setattr(papers, "_CONTENTS", {kind: lambda state: files for kind in papers.PAPERS})


@pytest.mark.slow
@by_day("name", EXAMPLES, *(name for name in EXAMPLES if name not in ("choose", "note", "pair", "size")))
def test_every_example_runs(name, rudder, capsys, quick):
    """As it stands in the help, from the folder of the jobs."""
    if name == "new":
        shutil.rmtree(rudder)
    words = shlex.split(COMMANDS[name].example)
    assert words[0] == name and main(words) == FINE
    assert capsys.readouterr().err == ""


def test_the_help_of_each_command_shows_its_example(capsys):
    for name, command in COMMANDS.items():
        with pytest.raises(SystemExit):
            main([name, "--help"])
        assert f"example:\n  {PROGRAM} {command.example}\n" in capsys.readouterr().out


# ----- new


def test_a_job_is_made_from_the_six_first_inputs_and_is_open(bench, capsys):
    assert main(["new", "My rudder", *words_of(SIX), "--title", "Rudder"]) == FINE
    said, job = capsys.readouterr().out, read_job(bench / "jobs" / "My rudder")
    assert (
        "Free length: 225 mm" in said
        and f"Sheet: {SHEET}" in said
        and "The job: close. Governing, of the pours" in said
    )
    design = job.design
    assert (design.free_length, design.spacer_diameter, design.span, design.title) == (0.225, 0.018, 0.85, "Rudder")
    assert open_name() == "My rudder" and job.loads is None and not job.readings.rows
    assert [(e.by, e.verdict) for e in read_history(bench / "jobs" / "My rudder")] == [("command line", "close")]


@pytest.mark.slow
def test_finished_sizes_stand_for_free_length_and_spacer(bench):
    given = {k: v for k, v in SIX.items() if k not in ("--free-length", "--spacer-diameter")}
    assert main(["new", "x", *words_of(given), "--chord", "240 mm", "--outer-thickness", "15/16 in"]) == FINE
    found = evaluate(read_job("jobs/x").design, local=False).quantities
    assert found["chord"] == pytest.approx(0.24, rel=1e-11)
    assert found["outer_thickness"] == pytest.approx(15 / 16 * 0.0254, rel=1e-11)


def test_numbers_without_a_unit_are_in_the_lengths_asked_for(bench):
    inches = SIX | {"--sheet-thickness": "2 mm", "--spacer-diameter": "3/4", "--setback": "1/8"}
    assert main(["new", "x", *words_of(inches), "--lengths", "inch"]) == FINE
    job = read_job("jobs/x")
    assert (job.lengths, job.design.spacer_diameter) == ("inch", pytest.approx(0.01905, rel=1e-15))


def test_ribs_and_zones_are_typed_as_in_a_panel(bench, capsys):
    assert main(["new", "x", *words_of(SIX), "--ribs", "30 cm x 12; 500 x 20", "--zones", "0 to 60"]) == FINE
    assert read_job("jobs/x").design.inside == Inside((Rib(0.3, 0.012), Rib(0.5, 0.02)), (Zone(0.0, 0.06),))
    assert "Inner ribs: 300 x 12; 500 x 20 mm\nSolid zones: 0 to 60 mm" in capsys.readouterr().out
    assert main(["new", "y", *words_of(SIX), "--ribs", "300"]) == BAD_INPUT
    assert "'300' is no rib" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({"--sheet": "glass laminat"}, BAD_INPUT, "near it: glass-epoxy laminate"),
        ({"--sheet": "glass-epoxy laminate"}, BAD_INPUT, "glass-epoxy laminate, crosswise"),  # two of them
        ({"--span": "85 kg"}, BAD_INPUT, "span is '85 kg', which is a mass: give a length"),
        ({"--span": "1.234,5"}, BAD_INPUT, "span is '1.234,5'"),
        ({"--sheet-thickness": "70"}, BAD_INPUT, "sheet thickness is 70 mm: give 0.05 mm to 50 mm"),
        ({"--chord": "240"}, BAD_INPUT, "both free length and finished chord are given"),
        ({"--spacer-diameter": "2"}, BAD_INPUT, "spacer wall 1.5 mm is more than half the spacer diameter"),
        ({"--spacer-diameter": "150"}, INFEASIBLE, "use a spacer of at most"),
        ({"--outer-thickness": "9", "--spacer-diameter": None}, FINE, "is made and open"),
        ({"--outer-thickness": "900", "--spacer-diameter": None}, INFEASIBLE, "cannot be reached"),
        ({"--span": None, "--sheet": None}, BAD_INPUT, "missing: --sheet, --span."),
        ({"--spacer-diameter": None}, BAD_INPUT, "missing: --spacer-diameter or --outer-thickness."),
    ],
)
def test_what_cannot_be_makes_nothing(bench, capsys, changes, code, words):
    given = {k: v for k, v in (SIX | changes).items() if v is not None}
    assert main(["new", "x", *words_of(given)]) == code
    said = capsys.readouterr()
    assert words in said.out + said.err and (bench / "jobs").exists() is (code == FINE)
    assert "Traceback" not in said.err


@pytest.mark.parametrize("name", ["demo", "Demo", "..", "a/b", "con", "", ".hidden", "x" * 81])
def test_a_name_that_is_none_is_refused_before_anything_is_asked(bench, monkeypatch, name):
    asked = answers(monkeypatch)
    assert main(["new", name]) == BAD_INPUT
    assert not asked and not (bench / "jobs").exists()


def test_a_taken_name_is_refused(rudder, capsys, monkeypatch):
    before, asked = {p.name: p.read_bytes() for p in rudder.iterdir()}, answers(monkeypatch)
    assert main(["new", "Rudder", *words_of(SIX)]) == BAD_INPUT
    assert "there is such a job already" in capsys.readouterr().err and not asked
    assert {p.name: p.read_bytes() for p in rudder.iterdir()} == before


def test_on_a_terminal_what_is_missing_is_asked_for(bench, monkeypatch, capsys):
    asked = answers(monkeypatch, "", "oak", "LENGTHWISE", "2mm", "chord 9 1/2 in", "18 kg", "18", "3", "85 cm")
    assert main(["new", "rudder"]) == FINE
    said, design = capsys.readouterr().out, read_job("jobs/rudder").design
    assert len(asked) == 9 and asked[4].startswith("Free length, or chord and the finished chord [mm]")
    assert "  acrylic, cast" in said and "which is a mass" in said and "Finished chord: 241.3 mm" in said
    assert evaluate(design, local=False).quantities["chord"] == pytest.approx(0.2413, rel=1e-11)


@pytest.mark.slow
def test_a_terminal_asks_again_for_a_part_that_cannot_be_bent(bench, monkeypatch, capsys):
    asked = answers(monkeypatch, "150", "outer 24 mm")
    assert main(["new", "rudder", *words_of({k: v for k, v in SIX.items() if k != "--spacer-diameter"})]) == FINE
    assert len(asked) == 2 and "se a spacer of at most" in capsys.readouterr().out
    assert evaluate(read_job("jobs/rudder").design, local=False).quantities["outer_thickness"] == pytest.approx(0.024)


def test_answers_that_end_early_make_nothing(bench, monkeypatch, capsys):
    answers(monkeypatch, SHEET)
    assert main(["new", "rudder"]) == BAD_INPUT
    assert "nothing is made" in capsys.readouterr().err and not (bench / "jobs").exists()


def test_without_a_terminal_nothing_waits(bench):
    done = subprocess.run(
        [sys.executable, "-m", "panelmech", "new", "x"], stdin=subprocess.DEVNULL, capture_output=True, text=True
    )
    assert done.returncode == BAD_INPUT and "missing: --sheet" in done.stderr


@pytest.mark.nightly  # by day in the panel of the job
@pytest.mark.slow
def test_older_files_become_a_job(bench, capsys):
    files = ["leeboard_blade.json", "leeboard_readings.csv", "leeboard_loads.json"]
    assert main(["new", "lee", "--from", *files]) == FINE
    job = read_job("jobs/lee")
    assert (job.blade.free_length, job.readings, job.loads) == ((0.225, 0.165), demo().readings, demo().loads)
    said = capsys.readouterr().out
    assert "leeboard_readings.csv: readings of the bench taken in." in said
    assert main(["new", "lee two", "--from", "jobs/lee", "--span", "0.9 m"]) == FINE
    assert (read_job("jobs/lee two").blade.span, read_job("jobs/lee two").blade.free_length) == (0.9, (0.225, 0.165))
    assert main(["new", "lee three", "--from", "leeboard.json", "--span", "0.9 m"]) == FINE
    assert (read_job("jobs/lee three").design.span, read_job("jobs/lee three").blade.free_length) == (0.9, None)
    assert main(["new", "lee four", "--from", "jobs/lee/job.json"]) == FINE
    assert read_job("jobs/lee four") == job


def test_a_file_that_cannot_be_taken_in_is_named(bench, capsys):
    Path("odd.json").write_text('{"format": "other"}')
    for name, words in (("odd.json", "is no file of the workbook"), ("none.json", "No such file")):
        assert main(["new", "x", "--from", "leeboard.json", name]) == BAD_INPUT
        said = capsys.readouterr().err
        assert said.startswith(name) and words in said and not (bench / "jobs").exists()


def test_readings_alone_do_not_make_a_design(bench, capsys):
    assert main(["new", "x", "--from", "leeboard_readings.csv"]) == BAD_INPUT
    assert "missing: --sheet" in capsys.readouterr().err


def test_another_adhesive_is_weighed_too(bench, capsys):
    assert main(["new", "x", *words_of(SIX), "--adhesive", "ductile polyurethane"]) == FINE
    job = read_job("jobs/x")
    assert job.design.adhesive.name == "ductile polyurethane"
    assert job.shop.bond.name == "polyurethane adhesive, 1:1 by volume" and agree(job) == ""
    new_job("apart", job.replace(shop=demo().shop), "t")
    assert main(["open", "apart"]) == FINE
    assert "Checked and weighed are not the same: " in capsys.readouterr().out


def test_own_stock_is_taken(bench):
    Path("own.toml").write_text(f'[sheets."{SHEET}"]\nmodulus_gpa = 21.4\nsource = "my strip"\n')
    assert main(["new", "x", *words_of(SIX), "--stock", "own.toml"]) == FINE
    assert read_job("jobs/x").design.sheet.modulus_at(0.002) == pytest.approx(21.4e9)
    assert catalogue[SHEET].modulus_at(0.002) != pytest.approx(21.4e9)


# ----- A job in the place of a study


@pytest.mark.parametrize("word", ["rudder", "jobs/rudder", "jobs/rudder/job.json", "./jobs/rudder/", None])
def test_a_job_is_found_by_name_folder_file_and_by_being_open(rudder, capsys, word):
    assert main(["check", *([word] if word else [])]) == FINE
    said = capsys.readouterr().out
    assert "rudder: The design: holds. Governing: " in said and "rudder: The two sheets: holds" in said
    assert said.count("rudder: The job: close. Governing, of the part with its sheets as measured: ") == 1
    assert ("The open job: rudder." in said) is (word is None)


def test_without_a_job_of_ones_own_the_demo_is_taken_and_said(bench, capsys):
    assert main(["check"]) == FINE
    assert "No job is open; this is the demo." in capsys.readouterr().out
    for command in ("note", "papers", "loads", "shop"):
        assert main([command]) == BAD_INPUT
        assert "only a job of your own has a folder" in capsys.readouterr().err


def test_jobs_may_stand_elsewhere(bench, capsys):
    assert main(["new", "rudder", *words_of(SIX), "--jobs", "shelf/mine"]) == FINE
    assert main(["check", "rudder", "--jobs", "shelf/mine"]) == FINE and main(["check", "rudder"]) == BAD_INPUT
    assert "there is no job 'rudder' in the folder jobs; there are: demo" in capsys.readouterr().err


@pytest.mark.nightly
@pytest.mark.slow
def test_lengths_are_the_jobs_own_unless_told(bench, capsys):
    new_job("rudder", demo().replace(lengths="inch"), "t")
    main(["check", "rudder"])
    assert "8.66 in from the root" in capsys.readouterr().out
    main(["check", "rudder", "--lengths", "mm"])
    assert "220 mm from the root" in capsys.readouterr().out


@pytest.mark.slow
def test_must_hold_judges_design_loads_and_sheets_of_a_job(rudder, capsys):
    assert main(["check", "rudder", "--must-hold"]) == FINE
    weak = demo().with_design(demo().design.replace(friction=0.05)).replace(camber=0.1e-3)
    new_job("weak", weak, "t")
    assert main(["check", "weak"]) == FINE and capsys.readouterr().err == ""
    assert main(["check", "weak", "--must-hold"]) == MOVED
    said = capsys.readouterr().err
    assert "weak: the design: Friction needed to hold the rod: fails" in said
    assert "weak: the two sheets: Camber of the two sheets: not sure yet" in said


def test_a_job_stores_results_that_check_compares(rudder, capsys):
    assert main(["check", "rudder"]) == FINE and "stored" not in capsys.readouterr().out
    assert main(["store", "rudder"]) == FINE and "stored in results.json" in capsys.readouterr().out
    assert main(["check", "rudder"]) == FINE and "none moved" in capsys.readouterr().out
    keep(rudder, read_job(rudder), read_job(rudder).replace(camber=0.4e-3), "t")
    assert main(["check", "rudder"]) == MOVED
    said = capsys.readouterr()
    assert "The two sheets: limit: Camber of the two sheets" in said.out
    assert "1 of" in said.err and "limits changed" in said.err and "camber allowed 0.5 mm → 0.4 mm" in said.err
    assert main(["store", "rudder"]) == main(["check", "rudder"]) == FINE


def test_the_demo_stores_no_results(bench, capsys):
    assert main(["store", "demo"]) == BAD_INPUT and "never written to" in capsys.readouterr().err


def test_scatter_counts_parts_by_the_tolerances_typed(rudder, capsys):
    words = ["scatter", "rudder", "--without-loads", "--count", "500", "--seed", "7"]
    assert main(words) == FINE
    said = capsys.readouterr().out
    assert "mm (measured); modulus ±" in said and "% (measured); spacer diameter ± 0.10 mm (common practice)" in said
    assert "500 parts, seed 7. Sheets: thickness as measured" in said and "0 of 500: below 0.60 %" in said
    assert main([*words, "--tolerance", "setback=0", "--tolerance", "friction=0.2,deviation"]) == FINE
    said = capsys.readouterr().out
    assert "setback" not in said.split("Parts that fail")[0] and "friction standard deviation 0.20" in said
    assert "normal distribution of friction" in said and "Friction needed to hold the rod" in said
    assert main([*words, "--together", "sheet thickness,modulus=-0.5"]) == FINE
    said = capsys.readouterr().out
    assert "Correlation: sheet thickness with modulus −0.50." in said and "Not counted: two sheets that differ" in said
    assert main([*words, "--together", "sheet thickness"]) == BAD_INPUT and "--together" in capsys.readouterr().err
    assert main([*words, "--together", "setback,setback=1"]) == BAD_INPUT
    assert "two different inputs" in capsys.readouterr().err
    for wrong in ("x=1", "setback", "setback=1,sample", "setback=1 kg"):
        assert main([*words, "--tolerance", wrong]) == BAD_INPUT and "--tolerance" in capsys.readouterr().err


def test_scatter_takes_what_was_measured_and_two_sheets_that_differ(rudder, capsys):
    words = ["scatter", "rudder", "--without-loads", "--count", "500", "--seed", "7"]
    assert main([*words, "--measured", "setback=3.2 2,9 3.1", "--alike", "0.8"]) == FINE
    said = capsys.readouterr().out
    assert "setback: 3 values, their mean 2.22 % above the design (as measured)" in said
    assert "correlated with its fellow by 0.80" in said and "Camber of the part, as its two sheets differ" in said
    assert main([*words, "--rare"]) == FINE
    assert "Left out of that: the part along its span and under its loads" in capsys.readouterr().out
    for option, wrong in (("--measured", "setback=3"), ("--measured", "x=1 2"), ("--together", "setback,x=1")):
        assert main([*words, option, wrong]) == BAD_INPUT and option in capsys.readouterr().err
    assert main([*words, "--alike", "1.5"]) == BAD_INPUT and "how alike both sheets are" in capsys.readouterr().err


def test_a_torn_job_is_named(rudder, capsys):
    (rudder / "job.json").write_text('{"format": "panelmech job", "schema"')
    for words in (["check", "rudder"], ["open", "rudder"], ["undo", "rudder"], ["check", "jobs/rudder/job.json"]):
        assert main(words) == BAD_INPUT
        assert "job.json is not a readable job file" in capsys.readouterr().err
    assert main(["open"]) == FINE and "cannot be read: job.json is not" in capsys.readouterr().out


def test_an_infeasible_job_opens_and_says_so(bench, capsys):
    new_job("wide", demo().replace(blade=demo().design.replace(spacer_diameter=0.15), loads=None), "t")
    assert main(["open", "wide"]) == INFEASIBLE
    assert "use a spacer of at most" in capsys.readouterr().err and open_name() == "wide"


def test_papers_of_a_job_stand_in_its_folder(rudder, capsys, quick):
    assert main(["note", "--must-hold"]) == FINE
    assert f"state {read_job(rudder).input_hash()}" in capsys.readouterr().out
    assert (rudder / "papers" / "note" / "note.html").exists() and not (rudder / "papers" / "shop").exists()
    words = shlex.split(COMMANDS["papers"].example)
    assert words[0] == "papers" and main(words) == FINE
    folder = rudder / "papers"
    assert {p.name for p in folder.iterdir()} >= {"index.html", "note", "inspection", "loads", "shop"}
    assert main(["check"]) == FINE and "files, are of this state of the job." in capsys.readouterr().out
    (folder / "note/results.csv").write_text("mine")
    (folder / "shop/shop.json").unlink()
    assert main(["check"]) == FINE
    told = "Changed or gone since they were written: note/results.csv, shop/shop.json."
    assert told in capsys.readouterr().out
    (folder / ".papers.csv.ready").mkdir()
    assert main(["check"]) == FINE and "Their writing was ended in its midst" in capsys.readouterr().out


def test_papers_with_other_files_do_not_stand_among_the_jobs_own(rudder, capsys):
    cases = [("note", "--readings", "leeboard_readings.csv"), ("loads", "--plan", "leeboard_loads.json")]
    for words in cases:
        assert main([words[0], "rudder", *words[1:]]) == BAD_INPUT
        assert "does not stand among its own" in capsys.readouterr().err
    assert not (rudder / "papers").exists()


def test_papers_of_a_study_file_are_refused(bench, capsys):
    assert main(["papers", "leeboard.json", "--out", "x"]) == BAD_INPUT
    assert "make one with new NAME --from FILE" in capsys.readouterr().err


# ----- Questions


@pytest.mark.slow
def test_size_answers_with_verdicts_and_keeps_one(rudder, capsys):
    ask = ["size", "--change", "spacer-diameter", "--so-that", "Outer thickness at the front edge", "--is", "1 in"]
    assert main(ask) == FINE
    said, before = capsys.readouterr().out, read_job(rudder)
    assert (
        "of 25.40 mm: spacer diameter" in said
        and "\n1  Spacer diameter, exactly" in said
        and "holds, governed by strain" in said
    )
    assert before == demo() and main([*ask, "--keep"]) == FINE
    after, last = read_job(rudder), read_history(rudder)[-1]
    assert evaluate(after.design).quantities["outer_thickness"] == pytest.approx(0.0254, rel=1e-9)
    assert after.blade.free_length == (0.225, 0.165) and (last.by, last.verdict) == ("command line", "close")
    assert main([*ask, "--keep", "3"]) == FINE and read_job(rudder).design.spacer_diameter == 0.02


@pytest.mark.slow
@pytest.mark.nightly
def test_a_reserve_is_kept_on_the_safe_side(rudder):
    ask = ["size", "--change", "spacer diameter", "--so-that", "permanent_strain_reserve", "--is", "1", "--keep"]
    assert main(ask) == FINE
    assert evaluate(read_job(rudder).design).check("permanent_strain").reserve >= 1.0


@pytest.mark.slow
@pytest.mark.nightly
def test_size_under_loads_of_the_tapered_part(rudder, capsys):
    ask = ["size", "--under-loads", "--change", "spacer wall", "--so-that", "spacer stress reserve", "--is", "2"]
    assert main(ask) == FINE and "spacer wall" in capsys.readouterr().out
    assert main([ask[0], "leeboard.json", *ask[1:]]) == BAD_INPUT
    assert "no loads are stated" in capsys.readouterr().err
    assert main([*ask[:3], "free length", *ask[4:]]) == BAD_INPUT
    assert "the blade gives its own free length along the span" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "--change is missing"),
        (["--change", "spacr"], "spacer_diameter"),
        (["--change", "span", "--so-that", "thick"], "outer_thickness"),
        (["--change", "span", "--so-that", "chord"], "--is is missing: give the chord"),
        (["--change", "span", "--so-that", "chord", "--is", "2 kg"], "which is a mass"),
        (
            ["--change", "free length", "--so-that", "chord", "--is", "240", "--keep", "7"],
            "--keep has 7: give one of 1",
        ),
    ],
)
def test_size_says_what_it_needs(rudder, capsys, words, told):
    assert main(["size", *words]) == BAD_INPUT
    assert told in capsys.readouterr().err and read_job(rudder) == demo()


def test_nothing_is_kept_where_there_is_no_job(bench, capsys):
    ask = ["--change", "free length", "--so-that", "chord", "--is", "300 mm", "--keep"]
    before = Path("leeboard.json").read_bytes()
    for word, told in (("demo", "the demo"), ("leeboard.json", "no job of a folder")):
        assert main(["size", word, *ask]) == BAD_INPUT
        assert told in capsys.readouterr().err
    assert Path("leeboard.json").read_bytes() == before and not Path("jobs").exists()


@pytest.mark.slow
def test_choose_ranks_writes_and_keeps(rudder, capsys):
    assert main(["choose", "--by", "chord_stiffness", "--count", "3", "--csv", "all.csv", "--keep", "2"]) == FINE
    said, rows = capsys.readouterr().out, list(csv.DictReader(Path("all.csv").read_text("utf-8").splitlines()))
    stiff = [float(value) for row in rows for head, value in row.items() if head.startswith("bending stiffness")]
    assert (
        stiff == sorted(stiff, reverse=True)
        and f"{len(rows)} rows written to all.csv." in said
        and len(rows) == 3
        and "\n3  " in said
    )
    assert "\n4  " not in said and {row["every limit has a basis"] for row in rows} == {"yes"}
    design = read_job(rudder).design
    assert judge_of(read_job(rudder))(design).stands
    assert "were judged with every check" in said and "Kept in rudder: fails" not in said
    assert (design.sheet.name, design.spacer.name) == (rows[1]["sheet"], rows[1]["spacer"])
    assert design.sheet_thickness * 1e3 == pytest.approx(float(rows[1]["sheet thickness [mm]"]))


def test_choose_tells_a_terminal_how_far_it_has_come(bench, capsys, monkeypatch):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert main(["choose", "leeboard.json", "--by", "chord_stiffness", "--count", "2"]) == FINE
    said = capsys.readouterr()
    assert said.err.endswith("2 rows stand\n") and "combinations judged" in said.err
    assert "rows stand" not in said.out


@pytest.mark.slow
@pytest.mark.nightly
def test_choose_shows_what_no_other_beats(rudder, capsys):
    assert main(["choose", "leeboard.json", "--count", "2"]) == FINE
    assert "that no other beats in mass of the part and bending stiffness" in capsys.readouterr().out


@pytest.mark.slow
def test_pair_judges_the_jobs_readings_or_those_given(rudder, capsys):
    assert main(["pair"]) == FINE
    laid = "Holds. Laid with the marked face in on sheet A, out on sheet B, the blade's mean line ends 0.07 ± 0.40"
    said = capsys.readouterr().out
    assert laid in said and "The part by its offsets.\nCamber of the part: holds." in said
    assert main(["pair", "--offsets-from", "free"]) == FINE
    assert "count as measured from any straight line" in capsys.readouterr().out
    assert main(["pair", "--camber", "1/254 in", "--must-hold"]) == MOVED
    assert "the two sheets: not sure yet" in capsys.readouterr().err
    assert main(["pair", "leeboard.json"]) == BAD_INPUT and "there are no readings" in capsys.readouterr().err
    assert main(["pair", "leeboard.json", "--readings", "leeboard_readings.csv"]) == FINE
    assert main(["pair", "--camber", "0"]) == BAD_INPUT and "--camber is" in capsys.readouterr().err


# ----- The shelf


def test_open_lists_opens_and_says_what_there_is(rudder, capsys):
    duplicate("rudder", "spare", "t")
    assert main(["open"]) == FINE
    rows = [line.split() for line in capsys.readouterr().out.splitlines()]
    assert ["open", "rudder", "Leeboard"] in [row[:3] for row in rows] and ["demo", "Leeboard"] in rows
    assert main(["open", "spare"]) == FINE and open_name() == "spare"
    assert main(["open", "other"]) == BAD_INPUT
    assert "there are: demo, rudder, spare" in capsys.readouterr().err and open_name() == "spare"
    assert main(["open", "demo"]) == FINE and open_name() == "demo"


@pytest.mark.slow
def test_undo_redo_and_history(rudder, capsys):
    main(["size", "--change", "free length", "--so-that", "chord", "--is", "250 mm", "--keep"])
    after = read_job(rudder)
    assert main(["undo"]) == FINE and read_job(rudder) == demo()
    assert main(["undo"]) == FINE and "rudder: nothing to undo." in capsys.readouterr().out
    assert main(["redo"]) == FINE and read_job(rudder) == after
    assert main(["history"]) == FINE
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines[-4:]] == ["1", "2", "3", "4"] and "undo: free length" in lines[-2]
    for command in ("undo", "redo", "history"):
        assert main([command, "demo"]) == BAD_INPUT


def test_rename_and_duplicate(rudder, capsys):
    assert main(["duplicate", "rudder", "spare"]) == FINE and main(["rename", "rudder", "tiller"]) == FINE
    assert read_job("jobs/tiller") == read_job("jobs/spare") == demo() and open_name() == "tiller"
    for words in (["rename", "tiller", "spare"], ["duplicate", "tiller", "demo"], ["rename", "none", "x"]):
        assert main(words) == BAD_INPUT
    assert "Traceback" not in capsys.readouterr().err and sorted(p.name for p in Path("jobs").glob("*/")) == [
        "spare",
        "tiller",
    ]


def test_the_six_first_inputs_are_asked_in_the_order_of_the_panel():
    assert FIRST == tuple(option.removeprefix("--").replace("-", "_") for option in SIX)


def test_a_job_file_that_lies_alone_is_read_and_not_kept(rudder, capsys):
    shutil.copy(rudder / "job.json", "mine.json")
    assert json.loads(Path("mine.json").read_text())["format"] == "panelmech job"
    assert main(["check", "mine.json"]) == FINE
    assert main(["undo", "mine.json"]) == BAD_INPUT and "nothing is kept" in capsys.readouterr().err
