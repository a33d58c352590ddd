"""Proof that the notebook regression can fail: each test harms a copy of the project and runs the comparison on it.

The copy carries the project's own pytest settings. Its `panelmech` comes first on the path, so the notebook under test
runs the harmed package, not the installed one.
"""

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import nbformat
import notebook_rules as rules
import pytest

ROOT = Path(__file__).resolve().parents[1]
BOOK = "01_bend.ipynb"
SHORT = "00_start.ipynb"  # enough where neither curves nor a panel are looked at
pytestmark = pytest.mark.slow


@pytest.fixture
def copy(tmp_path):
    """A copy of package, notebooks and settings, with what is compiled already (by each file's time and size)."""
    rubbish = shutil.ignore_patterns("out", ".ipynb_checkpoints")
    for name in ("panelmech", "notebooks"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=rubbish)
    (tmp_path / "tests").mkdir()
    shutil.copy(ROOT / "tests" / "nbval_sanitize.cfg", tmp_path / "tests")
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def environment(folder):
    path = os.pathsep.join((str(folder), str(ROOT / "tests" / "light")))
    return os.environ | {"PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"}


@dataclass(frozen=True)
class Comparison:
    """Outcome of the project's notebook comparison: number of cells that failed, and the report."""

    failed: int
    text: str

    @property
    def raised(self):
        """Whether some cell failed by an exception: then its numbers were never compared."""
        return "caused an exception" in self.text

    @property
    def noticed(self):
        """Whether the notebook ran through and an output came out otherwise."""
        return self.failed > 0 and not self.raised and "outputs differ" in self.text


def compare(folder, book):
    """Run the project's notebook comparison on one notebook of a copy."""
    command = [sys.executable, "-m", "pytest", "-vv", "-p", "no:cacheprovider", f"notebooks/{book}"]
    done = subprocess.run(command, cwd=folder, env=environment(folder), capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stdout + done.stderr  # anything else: the run itself broke
    assert re.search(r"\d+ (passed|failed)", done.stdout), done.stdout
    found = re.search(r"(\d+) failed", done.stdout)
    return Comparison(int(found.group(1)) if found else 0, done.stdout)


def append(path, code):
    path.write_text(path.read_text(encoding="utf-8") + code, encoding="utf-8")


def scale_modulus(folder, factor):
    """Let the package compute with a modulus `factor` times the right one; inputs and their hash stay as they are."""
    append(
        folder / "panelmech" / "mechanics" / "forming.py",
        f"""

_right_modulus = bending_modulus

def bending_modulus(modulus, *rest):
    return _right_modulus(modulus * {factor!r}, *rest)
""",
    )


def test_copy_is_what_runs_and_passes_unharmed(copy):
    ask = [sys.executable, "-c", "import panelmech; print(panelmech.__file__)"]
    done = subprocess.run(ask, cwd=copy / "notebooks", env=environment(copy), capture_output=True, text=True)
    assert Path(done.stdout.strip()).parent == copy / "panelmech"
    outcome = compare(copy, SHORT)
    assert outcome.failed == 0, outcome.text


def test_modulus_off_by_a_thousandth_fails(copy):
    scale_modulus(copy, 1.001)
    outcome = compare(copy, BOOK)
    assert outcome.noticed, outcome.text


SCALE_CURVES = """

from matplotlib.axes import Axes
_plot = Axes.plot
Axes.plot = lambda self, x, y, *rest, **more: _plot(self, x, [value * 1.01 for value in y], *rest, **more)
"""


@pytest.mark.slow
@pytest.mark.nightly
def test_curve_off_by_a_hundredth_fails(copy):
    """Only what is drawn changes, no number the notebook prints: the digests, stored beside the pixels, must notice."""
    append(copy / "panelmech" / "draw" / "study_figures.py", SCALE_CURVES)
    outcome = compare(copy, BOOK)
    assert outcome.noticed, outcome.text


@pytest.mark.slow
@pytest.mark.nightly
def test_cleared_outputs_pass_the_comparison_but_not_the_rules(copy):
    """The hole itself, so that we learn if it closes one day, and the rule that covers it."""
    path = copy / "notebooks" / SHORT
    book = rules.read(path)
    for cell in book.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    nbformat.write(book, path)
    scale_modulus(copy, 1.25)
    outcome = compare(copy, SHORT)
    assert outcome.failed == 0, outcome.text
    assert any(text.startswith("run_in_order") for text in rules.complaints("00_start", book))
