"""The command line: exit codes, messages in plain words on stderr, never a traceback for a user's mistake."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from panelmech import Design, __version__, evaluate
from panelmech.__main__ import BAD_INPUT, EXIT_CODES, FINE, INFEASIBLE, MOVED, main
from panelmech._commands.usage import COMMANDS
from panelmech.shop.choices import ShopChoices

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "notebooks" / "studies" / "leeboard.json"


def run(*arguments, **settings):
    return subprocess.run(
        [sys.executable, "-m", "panelmech", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=os.environ | settings,
    )


@pytest.fixture
def files(tmp_path):
    """Study files of every kind, by name."""
    content = json.loads(DEMO.read_text(encoding="utf-8"))
    wrong = json.loads(DEMO.read_text(encoding="utf-8"))
    wrong["results"]["quantities"]["mouth"]["value"] *= 1.001
    kinds = {
        "fine": content,
        "moved": wrong,
        "infeasible": {**content, "design": {**content["design"], "spacer_diameter_mm": 150.0}},
        "failing": {**content, "design": {**content["design"], "friction": 0.05}},
        "holding": {**content, "design": {**content["design"], "pressure_pa": 500.0}},
        "bare": {key: value for key, value in content.items() if key != "results"},
        "strange": {"a": 1},
    }
    for name, kind in kinds.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(kind), encoding="utf-8")
    (tmp_path / "broken.json").write_text('{"format": ', encoding="utf-8")
    (tmp_path / "binary.json").write_bytes(b"\xff\xfe\x00")
    return lambda *names: [str(tmp_path / f"{name}.json") for name in names]


@pytest.mark.parametrize(
    ("names", "code"),
    [
        (["fine"], FINE),
        (["fine", "fine"], FINE),
        (["moved"], MOVED),
        (["fine", "moved"], MOVED),
        (["infeasible"], INFEASIBLE),
        (["infeasible", "moved"], INFEASIBLE),
        (["bare"], BAD_INPUT),
        (["strange"], BAD_INPUT),
        (["broken"], BAD_INPUT),
        (["binary"], BAD_INPUT),
        (["missing"], BAD_INPUT),
        (["infeasible", "moved", "broken", "fine"], BAD_INPUT),
    ],
)
def test_check_tells_by_its_exit_code_what_it_found(files, capsys, names, code):
    assert main(["check", *files(*names)]) == code
    said = capsys.readouterr()
    assert (said.err == "") is (code == FINE)
    assert "Traceback" not in said.err
    if "fine" in names:  # a bad file does not keep the others from being checked
        assert "none moved" in said.out


def test_a_moved_result_is_shown_in_a_table(files, capsys):
    main(["check", *files("moved")])
    said = capsys.readouterr()
    lines = said.out.splitlines()
    assert lines[0].split() == ["result", "stored", "now", "change", "allowed"]
    assert len(lines) == 4 and lines[2].startswith("mouth between the inner corners")
    assert ": The job: close. " in lines[3]
    assert "-0.000999" in lines[2] and "±1e-06" in lines[2]
    assert "1 of" in said.err and "python -m panelmech store" in said.err


def test_check_can_show_all_results(files, capsys):
    main(["check", "--all", *files("fine")])
    lines = capsys.readouterr().out.splitlines()
    study = evaluate(Design.load(files("fine")[0]))
    compared = len(study.quantities) + len(study.checks) + 2 * len(study.limits)  # these with limit and reserve
    assert len(lines) == 2 + compared + 2


def test_what_changed_is_said_by_its_kind(files, capsys):
    """Friction is a limit: no number of the shape moves, and yet the part stands otherwise."""
    assert main(["check", *files("failing")]) == MOVED
    err = capsys.readouterr().err
    assert "1 of 7 limits changed; 1 of 7 reserves moved" in err and "1 of 13 verdicts changed" in err
    assert "stored results moved" not in err and ": friction 0.3 → 0.05" in err


def test_a_file_of_before_says_what_it_does_not_hold(files, capsys):
    (path,) = files("fine")
    content = json.loads(Path(path).read_text(encoding="utf-8"))
    for name in ("limits", "reserves", "inputs"):
        content["results"].pop(name)
    Path(path).write_text(json.dumps(content), encoding="utf-8")
    assert main(["check", path]) == FINE
    assert "stored before limits, reserves and inputs were" in capsys.readouterr().out


def test_must_hold_fails_where_a_check_fails(files, capsys):
    (path,) = files("failing")
    assert main(["store", path]) == FINE
    assert main(["check", path]) == FINE
    assert main(["check", "--must-hold", path]) == MOVED
    assert "Friction needed to hold the rod: fails. Tie or tape" in capsys.readouterr().err.replace("tie or", "Tie or")
    assert main(["store", *files("holding")]) == FINE
    assert main(["check", "--must-hold", *files("holding")]) == FINE
    assert main(["check", "--must-hold", *files("fine")]) == FINE
    steep = Design.load(files("fine")[0]).replace(spacer_diameter=0.11, spacer_wall=0.0, toughness_margin=1.0)
    steep.save(path)  # its framed sheet is beyond what can be told, which is not surely well
    assert main(["store", path]) == FINE and main(["check", "--must-hold", path]) == MOVED


def test_store_makes_a_study_checkable(files, capsys):
    assert main(["store", *files("bare", "moved")]) == FINE
    assert main(["check", *files("bare", "moved")]) == FINE
    assert "stored" in capsys.readouterr().out
    assert main(["store", *files("infeasible")]) == INFEASIBLE
    assert main(["store", *files("strange")]) == BAD_INPUT


@pytest.mark.nightly  # by day the README's command, in tests/test_readme.py
@pytest.mark.slow
def test_note_writes_the_folder(files, tmp_path, capsys):
    out = tmp_path / "deep" / "note"
    assert main(["note", *files("failing"), "--out", str(out), "--must-hold"]) == MOVED
    said = capsys.readouterr()
    assert {p.name for p in out.iterdir()} == {
        "note.html",
        "note.pdf",
        "results.csv",
        "checks.csv",
        "comparison.csv",
        "note-files.csv",
        "study.json",
        "plots",
    }
    assert (
        said.out.startswith("The job: fails. Governing, of the design: friction needed to hold")
        and "note.pdf" in said.out
        and "Friction needed to hold" in said.err
    )


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("infeasible", INFEASIBLE, "use a spacer of at most"),
        ("missing", BAD_INPUT, "No such file"),
        ("strange", BAD_INPUT, "not a study file"),
        ("broken", BAD_INPUT, "not a readable study file"),
    ],
)
def test_note_that_cannot_be_written_leaves_nothing(files, tmp_path, capsys, name, code, words):
    before = sorted(tmp_path.iterdir())
    assert main(["note", *files(name), "--out", str(tmp_path / "note")]) == code
    assert words in capsys.readouterr().err and sorted(tmp_path.iterdir()) == before


@pytest.mark.slow
@pytest.mark.nightly
def test_shop_writes_the_pack_and_replaces_it(files, tmp_path, capsys):
    out, choices = tmp_path / "deep" / "shop", tmp_path / "shop.json"
    assert main(["shop", *files("fine"), "--out", str(out)]) == FINE
    said = capsys.readouterr()
    assert " pours. " in said.out and "ILLUSTRATIVE" in said.out and said.err == ""
    there = {p.name for p in out.iterdir()}
    assert there >= {"cut-list.pdf", "batch-sheet.html", "schedule.csv", "templates", "plots", "shop.json"}
    ShopChoices(shop_temperature=308.15, lift_choice="data sheet").save(choices)
    assert main(["shop", *files("fine"), "--out", str(out), "--choices", str(choices), "--must-hold"]) == MOVED
    assert "Hottest point of a lift as poured: fails" in capsys.readouterr().err
    assert ShopChoices.load(out / "shop.json") == ShopChoices.load(choices)
    assert {p.name for p in out.iterdir()} == there


def test_shop_that_cannot_be_written_leaves_nothing(files, tmp_path, capsys):
    out, choices = tmp_path / "shop", tmp_path / "shop.json"
    choices.write_text('{"format": "panelmech shop", "schema": 1, "shop": {"kerf": 3}}')
    cases = [
        (files("infeasible"), [], INFEASIBLE, "use a spacer of at most"),
        (files("broken"), [], BAD_INPUT, "not a readable study file"),
        (files("fine"), ["--choices", str(choices)], BAD_INPUT, f"{choices}: shop: unknown key kerf"),
        (files("fine"), ["--choices", str(tmp_path / "none.json")], BAD_INPUT, "No such file"),
        (files("fine"), ["--choices", files("fine")[0]], BAD_INPUT, "not a shop file"),
    ]
    before = sorted(tmp_path.iterdir())
    for study, more, code, words in cases:
        assert main(["shop", *study, "--out", str(out), *more]) == code
        assert words in capsys.readouterr().err and sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "COMMAND"),
        (["store"], "STUDY.json"),
        (["new"], "NAME"),
        (["rename", "a"], "NEW"),
        (["draw", "a.json"], "invalid choice"),
        (["check", "--tolerance", "1", "a.json"], "unrecognized"),
    ],
)
def test_wrong_usage_is_bad_input(arguments, words, capsys):
    with pytest.raises(SystemExit) as end:
        main(arguments)
    assert end.value.code == BAD_INPUT and words in capsys.readouterr().err


@pytest.mark.parametrize("command", [[], *([name] for name in COMMANDS)])
def test_help_documents_the_exit_codes(command, capsys):
    with pytest.raises(SystemExit) as end:
        main([*command, "--help"])
    assert end.value.code == FINE and EXIT_CODES in capsys.readouterr().out


def test_readme_documents_the_exit_codes():
    words = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    assert "exit code is 0 where all is well, 1 where any of these moved or changed" in words
    assert "2 for a file that cannot be read" in words and "3 for a design that cannot be bent" in words


@pytest.mark.slow
def test_as_a_program(files):
    """The same codes reach the shell, on a terminal that knows no superscripts too."""
    plain = run("check", "--all", *files("fine"), PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert plain.returncode == FINE and "none moved" in plain.stdout and plain.stderr == ""
    wrong = run("check", *files("moved", "infeasible"))
    assert wrong.returncode == INFEASIBLE and "Traceback" not in wrong.stderr


def test_the_version_is_told(capsys):
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out.strip() == f"panelmech {__version__}"


def test_commands_start_without_drawing_and_loads():
    """What only note, loads and shop need is imported by them."""
    code = "import sys, panelmech.__main__; print([n for n in ('matplotlib', 'panelmech.loads') if n in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("command", ["note", "shop", "papers", "loads"])
@pytest.mark.parametrize("place", ["", "  "])
def test_an_empty_place_for_papers_is_refused(capsys, command, place):
    with pytest.raises(SystemExit) as ended:
        main([command, "--out", place])
    assert ended.value.code == BAD_INPUT and "--out: is empty: give a folder" in capsys.readouterr().err
