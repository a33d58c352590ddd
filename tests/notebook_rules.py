"""What a stored notebook must look like. Each rule takes a notebook and yields complaints in words.

The comparison of outputs (nbval) does not look at a cell without an execution count, nor at the pixels of a
picture, and a reader without a kernel sees only what is stored: these rules close those holes.
"""

import ast
import importlib
import re
from pathlib import Path

import nbformat

from panelmech.published import SUBJECTS

NOTEBOOKS = Path(__file__).resolve().parents[1] / "notebooks"
PLANNED = (
    "00_start",
    "01_bend",
    "02_against_the_wedge",
    "03_trade_offs",
    "04_matched_pairs",
    "05_loads",
    "06_shop",
    "07_design_note",
    "08_published_cases",
)
START, PROOF = "00_start", "08_published_cases"  # pages without a panel
START_HEADINGS = ("The job", "Map", "Worked example", "Cautions")
PROOF_HEADINGS = ("How to read it", *SUBJECTS, "Own cross-checks", "Sources", "Next")
HEADINGS = ("How to read it", "Still picture", "Assumptions", "Check", "Next")
LONGEST_CELL = 15
IGNORE = "nbval-ignore-output"
KNOWN_TAGS = {IGNORE}
DIGEST = "axes 1: "  # how a figure's digest begins
NOT_FOR_BUILDERS = re.compile(r"input_hash|figure_digest|\btrial\b|compared by the tests")
TIMES = ("execution", "ExecuteTime", "collapsed_time")
SHOWS_PANEL = re.compile(r"\bpanel\b")
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
FOLDERS = re.compile(
    "|".join(
        (
            r"(?<![\w.])/(?:home|root|Users|tmp|var|usr|opt|mnt|work|private)/",
            r"\b[A-Za-z]:\\\\?[A-Za-z]",
            r"site-packages",
            r"file://",
            r"ipykernel_\d+",
        )
    )
)


def read(path):
    return nbformat.read(path, as_version=4)


def code_cells(notebook):
    """(number from 1, cell) of every code cell that holds any code."""
    cells = (cell for cell in notebook.cells if cell.cell_type == "code" and cell.source.strip())
    return list(enumerate(cells, start=1))


def outputs_of(notebook):
    return [(number, output) for number, cell in code_cells(notebook) for output in cell.outputs]


def output_text(output):
    """All text of one output: printed, shown or traced."""
    parts = [output.get("text", ""), *output.get("traceback", [])]
    parts += [str(value) for kind, value in output.get("data", {}).items() if not kind.startswith("image/p")]
    return "\n".join(parts)


def run_in_order(name, notebook):
    for number, cell in code_cells(notebook):
        if cell.execution_count != number:
            yield f"code cell {number} has run as number {cell.execution_count}: run them all in order"


def no_errors(name, notebook):
    for number, output in outputs_of(notebook):
        if output.output_type == "error":
            yield f"code cell {number} stores an error: {output.ename}"
        if output.get("name") == "stderr":
            yield f"code cell {number} stores a warning or other text on stderr"


def something_stored(name, notebook):
    if not any(output_text(output).strip() for _, output in outputs_of(notebook)):
        yield "no cell stores any text: nothing would be compared"


def no_state(name, notebook):
    if "widgets" in notebook.metadata:
        yield "stores widget state (metadata.widgets)"
    if notebook.metadata.get("kernelspec", {}).get("name") != "python3":
        yield "kernelspec is not python3"
    for number, cell in code_cells(notebook):
        stray = [key for key in TIMES if key in cell.metadata]
        if stray:
            yield f"code cell {number} stores times: {stray}"
    for number, output in outputs_of(notebook):
        if WIDGET_VIEW in output.get("data", {}):
            yield f"code cell {number} stores a widget id"
        if output.get("metadata"):
            yield f"code cell {number} stores output metadata"


def no_folders(name, notebook):
    for number, output in outputs_of(notebook):
        found = FOLDERS.search(output_text(output))
        if found:
            yield f"the output of code cell {number} names a folder of this machine: {found.group()}"
    for number, cell in enumerate(notebook.cells, start=1):
        found = FOLDERS.search(cell.source)
        if found:
            yield f"the text of cell {number} names a folder of this machine: {found.group()}"


def tags_on_panels_only(name, notebook):
    for number, cell in code_cells(notebook):
        tags = set(cell.metadata.get("tags", []))
        if tags - KNOWN_TAGS:
            yield f"code cell {number} has tags nobody uses: {sorted(tags - KNOWN_TAGS)}"
        if IGNORE in tags and not SHOWS_PANEL.search(cell.source):
            yield f"code cell {number} is left out of the comparison but shows no panel"


def thin_cells(name, notebook):
    for number, cell in code_cells(notebook):
        lines = [line for line in cell.source.splitlines() if not line.startswith("#")]
        if len(lines) > LONGEST_CELL:
            yield f"code cell {number} has {len(lines)} lines (at most {LONGEST_CELL}): use the package"
        if re.search(r"^\s*(async\s+def|def|class)\b", cell.source, re.MULTILINE):
            yield f"code cell {number} defines a function or class: that belongs into the package"


def through_doors(name, notebook):
    for number, cell in code_cells(notebook):
        tree = ast.parse(re.sub(r"^%", "#", cell.source, flags=re.MULTILINE))
        for node in ast.walk(tree):
            if isinstance(node, ast.Import) and any(alias.name.startswith("panelmech.") for alias in node.names):
                yield f"code cell {number} imports a module of the package: take its names through a door"
            elif isinstance(node, ast.ImportFrom) and node.module.split(".")[0] == "panelmech":
                door = importlib.import_module(node.module)
                offered = {*getattr(door, "__all__", ()), *getattr(door, "_ROOMS", ())}
                past = [alias.name for alias in node.names if alias.name not in offered]
                if past or node.module.count(".") > 1:
                    yield f"code cell {number} imports past a door: {node.module} {', '.join(past)}"


def figures_have_digests(name, notebook):
    for number, output in outputs_of(notebook):
        data = output.get("data", {})
        if "image/png" in data and not data.get("text/plain", "").startswith(DIGEST):
            yield f"code cell {number} shows a figure without its digest: its curves would not be compared"


def no_logs(name, notebook):
    """A page is for builders: what only tests need stands in tests."""
    for number, cell in enumerate(notebook.cells, start=1):
        shown = [
            output.data["text/html"] for output in cell.get("outputs", []) if "text/html" in output.get("data", {})
        ]
        found = NOT_FOR_BUILDERS.search("\n".join([cell.source, *shown]))
        if found:
            yield f"cell {number} holds what is for tests, not for builders: {found.group()}"


def code_is_folded(name, notebook):
    for number, cell in code_cells(notebook):
        if not cell.metadata.get("jupyter", {}).get("source_hidden"):
            yield f"code cell {number} stands open (jupyter.source_hidden): code is folded away in the page view"
        if not re.match(r"# \S", cell.source):
            yield f"code cell {number} does not open with a comment: that is what a reader sees of it, folded"


def panel_first(name, notebook):
    """After the title one sentence, after the sentence the one cell that brings the panel to life."""
    if name in (START, PROOF):
        return
    title, *paragraphs = notebook.cells[0].source.split("\n\n")
    if len(paragraphs) != 1 or len(re.findall(r"[.!?](?:\s|$)", paragraphs[0])) != 1:
        yield "has more or less than one sentence between its title and its panel"
    cell = notebook.cells[1]
    if cell.cell_type != "code" or cell.source.splitlines()[-1:] != ["panel"]:
        yield "its second cell does not show the panel"
    elif IGNORE not in cell.metadata.get("tags", []):
        yield f"the cell of its panel lacks the tag {IGNORE}"


def template(name, notebook):
    first = notebook.cells[0]
    if first.cell_type != "markdown" or not first.source.startswith("# "):
        yield "does not open with a title"
    if not any("%matplotlib inline" in cell.source for _, cell in code_cells(notebook)[:1]):
        yield "its first code cell lacks %matplotlib inline, without which a figure of one's own shows as text"
    text = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    found = re.findall(r"^## +(.+?) *$", text, re.MULTILINE)
    wanted = {START: START_HEADINGS, PROOF: PROOF_HEADINGS}.get(name, HEADINGS)
    if found != list(wanted):
        yield f"its headings are {found} instead of {list(wanted)}"


RULES = (
    run_in_order,
    no_errors,
    something_stored,
    no_state,
    no_folders,
    tags_on_panels_only,
    thin_cells,
    through_doors,
    figures_have_digests,
    no_logs,
    code_is_folded,
    panel_first,
    template,
)


def complaints(name, notebook):
    """Every complaint about a notebook, each with the rule it breaks."""
    return [f"{rule.__name__}: {text}" for rule in RULES for text in rule(name, notebook)]
