"""The stored notebooks are clean, complete and compared; and the rules that say so can fail."""

import copy
import re
import shutil
import subprocess
import sys
from base64 import b64decode

import nbformat
import notebook_rules as rules
import pytest

PATHS = sorted(rules.NOTEBOOKS.glob("*.ipynb"))
NAMES = [path.stem for path in PATHS]


def words_of(path):
    """All text of a notebook that is no code."""
    return "\n".join(cell.source for cell in rules.read(path).cells if cell.cell_type == "markdown")


def test_the_planned_notebooks_exist():
    assert [name for name in rules.PLANNED if name not in NAMES] == []


def test_notebooks_are_numbered_without_a_gap():
    assert [name[:3] for name in NAMES] == [f"{number:02}_" for number in range(len(NAMES))]


def test_notebooks_keep_the_rules():
    assert [f"{path.stem}: {text}" for path in PATHS for text in rules.complaints(path.stem, rules.read(path))] == []


def test_notebooks_are_linked_from_the_start():
    start = words_of(rules.NOTEBOOKS / "00_start.ipynb")
    assert [name for name in NAMES if name != "00_start" and f"({name}.ipynb)" not in start] == []


def test_links_between_notebooks_lead_somewhere():
    links = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
    targets = [(path, target) for path in PATHS for target in links.findall(words_of(path)) if ":" not in target]
    assert targets and [(path.name, to) for path, to in targets if not (path.parent / to).exists()] == []


def test_pictures_of_the_readme_are_those_of_the_notebooks():
    """The note's first sheet as it stands in its notebook, which is compared; nothing else lies about."""
    outputs = (output for _, output in rules.outputs_of(rules.read(rules.NOTEBOOKS / "07_design_note.ipynb")))
    shown = next(output.data["image/png"] for output in outputs if "image/png" in output.get("data", {}))
    assert (rules.NOTEBOOKS / "pictures" / "note.png").read_bytes() == b64decode(shown)
    assert sorted(path.name for path in (rules.NOTEBOOKS / "pictures").iterdir()) == ["note.png", "panel.png"]


# ----- the rules themselves: a clean notebook passes, and each kind of dirt is seen -----


FOLDED = {"jupyter": {"source_hidden": True}}


def a_clean_notebook():
    headings = "\n\n".join(f"## {heading}\n\nwords" for heading in rules.HEADINGS)
    book = nbformat.v4.new_notebook(metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}})
    digest = "axes 1: Strain\n  line 1: 82 points\n"
    picture = nbformat.v4.new_output("display_data", data={"image/png": "aGk=", "text/plain": digest})
    alive = FOLDED | {"tags": [rules.IGNORE]}
    book.cells = [
        nbformat.v4.new_markdown_cell("# A title\n\nOne sentence: this one, of 2.5 lines."),
        nbformat.v4.new_code_cell(
            "# Start\n%matplotlib inline\nimport panelmech\npanel", execution_count=1, metadata=alive
        ),
        nbformat.v4.new_markdown_cell(headings),
        nbformat.v4.new_code_cell("# A curve\nshow_figure(fig)", execution_count=2, outputs=[picture], metadata=FOLDED),
    ]
    return book


def soiled(change):
    book = copy.deepcopy(a_clean_notebook())
    change(book)
    return [text.split(":")[0] for text in rules.complaints("01_trial", book)]


def clear_outputs(book):
    for cell in book.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None


def store_stream(name, text):
    def change(book):
        book.cells[1].outputs = [nbformat.v4.new_output("stream", name=name, text=text)]

    return change


def store_beside_picture(kind, text):
    return lambda book: book.cells[3].outputs[0].data.update({kind: text})


def set_source(number, source):
    def change(book):
        book.cells[number].source = source

    return change


def set_metadata(number, **metadata):
    def change(book):
        book.cells[number].metadata.update(metadata)

    return change


HOME = "/" + "home/someone/panel.json"
DIRT = {
    "cleared": (clear_outputs, "run_in_order"),
    "run out of order": (lambda book: book.cells[3].update(execution_count=7), "run_in_order"),
    "stored error": (
        lambda book: book.cells[1].update(outputs=[nbformat.v4.new_output("error", ename="ValueError", evalue="bad")]),
        "no_errors",
    ),
    "stored warning": (store_stream("stderr", "careful"), "no_errors"),
    "home folder": (store_stream("stdout", "saved " + HOME), "no_folders"),
    "windows folder": (store_stream("stdout", "saved C:\\" + "Users\\someone"), "no_folders"),
    "folder in text": (set_source(0, "# A title\n\nopen " + HOME), "no_folders"),
    "widget state": (lambda book: book.metadata.update(widgets={}), "no_state"),
    "times": (set_metadata(1, execution={"iopub.execute_input": "12:00"}), "no_state"),
    "other kernel": (lambda book: book.metadata.kernelspec.update(name="mine"), "no_state"),
    "hidden cell": (set_metadata(3, tags=[rules.IGNORE]), "tags_on_panels_only"),
    "unknown tag": (set_metadata(3, tags=["nbval-skip"]), "tags_on_panels_only"),
    "function": (set_source(1, "%matplotlib inline\ndef f():\n    pass"), "thin_cells"),
    "long cell": (set_source(1, "%matplotlib inline\n" + "a = 1\n" * 15), "thin_cells"),
    "a file's name": (set_source(1, "%matplotlib inline\nfrom panelmech.draw import study_figures"), "through_doors"),
    "a file": (set_source(1, "%matplotlib inline\nfrom panelmech.draw.look import LINES"), "through_doors"),
    "no digest": (
        lambda book: book.cells[3].outputs[0].data.update({"text/plain": "<Figure>"}),
        "figures_have_digests",
    ),
    "hash": (set_source(3, "print(leeboard.input_hash())"), "no_logs"),
    "trial": (set_source(3, "trial = panels.panel_bend(leeboard)"), "no_logs"),
    "log": (store_beside_picture("text/html", "compared by the tests"), "no_logs"),
    "unnamed bar": (set_source(3, "show_figure(fig)"), "code_is_folded"),
    "open code": (lambda book: book.cells[3].update(metadata={}), "code_is_folded"),
    "two sentences": (set_source(0, "# A title\n\nOne. Two."), "panel_first"),
    "no sentence": (set_source(0, "# A title"), "panel_first"),
    "panel later": (lambda book: book.cells.insert(1, book.cells[2]), "panel_first"),
    "no panel": (set_source(1, "%matplotlib inline\nimport panelmech"), "panel_first"),
    "panel compared": (lambda book: book.cells[1].metadata.pop("tags"), "panel_first"),
    "no title": (set_source(0, "some words"), "template"),
    "no inline": (set_source(1, "import panelmech"), "template"),
    "heading missing": (set_source(2, "## How to read it"), "template"),
    "headings turned": (
        lambda book: book.cells[2].update(source="\n\n".join(f"## {heading}" for heading in reversed(rules.HEADINGS))),
        "template",
    ),
}


def test_a_clean_notebook_passes():
    assert soiled(lambda book: None) == []


@pytest.mark.parametrize(("change", "rule"), DIRT.values(), ids=DIRT)
def test_each_kind_of_dirt_is_seen(change, rule):
    assert rule in soiled(change)


@pytest.mark.slow
@pytest.mark.nightly  # by day each cell is compared with what is stored
@pytest.mark.parametrize("name", ["00_start.ipynb", "01_bend.ipynb"])
def test_stored_notebook_is_what_a_fresh_run_stores(tmp_path, name):
    """Refreshing changes nothing but perhaps pixels, and a second refresh changes no byte at all."""
    work = tmp_path / "notebooks"
    shutil.copytree(rules.NOTEBOOKS, work, ignore=shutil.ignore_patterns("out", ".ipynb_checkpoints"))
    book = work / name
    refresh = [sys.executable, str(work / "refresh.py")]
    check = subprocess.run([*refresh, "--check", str(book)], capture_output=True, text=True)
    assert check.returncode == 0, check.stdout + check.stderr
    subprocess.run([*refresh, str(book)], check=True, capture_output=True)
    once = book.read_bytes()
    subprocess.run([*refresh, str(book)], check=True, capture_output=True)
    assert book.read_bytes() == once
