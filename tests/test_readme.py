"""The README's commands, links and example are true."""

import contextlib
import io
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from packaging.specifiers import SpecifierSet

import panelmech

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
INSTALL = 'python3 -m venv .venv && .venv/bin/python -m pip install -e ".[lab,test]" && '


def blocks(language):
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def commands():
    return [line for block in blocks("sh") for line in block.splitlines()]


def test_job_comes_first_in_one_paragraph():
    parts = README.split("\n\n")
    assert parts[0].startswith("# ") and "\n" not in parts[0]
    assert 60 < len(parts[1].split()) <= 95  # read in half a minute
    assert not parts[1].startswith(("#", "!", "-"))
    assert parts[2].startswith("![")


def test_two_commands_do_all_their_own_set_up():
    starts = [line.removeprefix(INSTALL) for line in commands() if line.startswith(INSTALL)]
    assert starts == [".venv/bin/jupyter lab notebooks/00_start.ipynb", ".venv/bin/python -m pytest -n auto"]


def test_ci_runs_the_readme_command():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert 'command=$(python3 .ci/readme_command.py "$work/venv")' in script
    assert 'bash -euo pipefail -c "$command"' in script


def test_python_floor_is_the_projects():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    floor = re.search(r"Python (\d+\.\d+) or newer", README).group(1)
    assert SpecifierSet(project["requires-python"]) == SpecifierSet(f">={floor}")


def test_named_files_exist():
    named = re.findall(r"\]\(([^):]+)\)", README) + re.findall(r'src="([^"]+)"', README)
    named += [word for line in commands() for word in shlex.split(line) if word.startswith("notebooks/")]
    assert named and [name for name in named if not (ROOT / name).exists()] == []


@pytest.mark.slow
def test_command_without_a_browser_writes_the_note(tmp_path, monkeypatch):
    line = next(line for line in commands() if "-m panelmech" in line)
    words = shlex.split(line)[3:]
    from panelmech.__main__ import main

    monkeypatch.chdir(ROOT)
    words[words.index("--out") + 1] = str(tmp_path / "leeboard")
    assert main(words) == 0
    assert list((tmp_path / "leeboard").rglob("*.html"))


def test_version_is_the_packages_and_its_changes_are_listed():
    version = re.search(r"This is version (\S+);", README).group(1)
    assert version == panelmech.__version__
    assert re.findall(r"^## (.+)$", (ROOT / "CHANGES.md").read_text(encoding="utf-8"), re.MULTILINE)[0] == version


def test_python_example_prints_what_the_readme_shows():
    (code,) = blocks("python")
    shown = blocks("text")[-1]
    assert len(code.splitlines()) <= 12
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        exec(compile(code, "README.md", "exec"), {})
    assert printed.getvalue() == shown


def test_notebooks_are_named():
    names = [path.stem for path in (ROOT / "notebooks").glob("*.ipynb")]
    assert len(names) > 7 and [name for name in names if f"`{name}`" not in README] == []
