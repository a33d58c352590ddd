"""What a stored notebook must look like. Each rule takes a notebook and yields complaints in words.

The comparison of outputs (nbval) does not look at a cell without an execution count, nor at the pixels of a
picture, and a reader without a kernel sees only what is stored: these rules close those holes.
"""

import ast
import importlib
import re
from pathlib import Path

import nbformat

NOTEBOOKS = Path(__file__).resolve().parents[1] / "notebooks"
PLANNED = (
    "00_start",
    "01_bend",
    "02_against_the_wedge",
    "03_trade_offs",
    "04_matched_pairs",
    "05_loads",
    "06_shop",
    "08_design_note",
)
START_HEADINGS = ("The job", "Map", "Set-up", "Worked example", "Cautions")
HEADINGS = ("Purpose", "Set-up", "Still picture", "Panel", "Assumptions", "Check", "Next")
LONGEST_CELL = 15
IGNORE = "nbval-ignore-output"
KNOWN_TAGS = {IGNORE}
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
        lines = cell.source.splitlines()
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
    for number, cell in code_cells(notebook):
        kinds = {kind for output in cell.outputs for kind in output.get("data", {})}
        shown = any("axes 1: " in output_text(output) for output in cell.outputs)  # how a digest begins
        if "image/png" in kinds and not ("figure_digest(" in cell.source and shown):
            yield f"code cell {number} shows a figure but no figure_digest: its curves would not be compared"


def template(name, notebook):
    first = notebook.cells[0]
    if first.cell_type != "markdown" or not first.source.startswith("# "):
        yield "does not open with a title"
    if not any("%matplotlib inline" in cell.source for _, cell in code_cells(notebook)[:1]):
        yield "its first code cell lacks %matplotlib inline, without which a figure shows as text"
    text = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    found = re.findall(r"^## +(.+?) *$", text, re.MULTILINE)
    wanted = START_HEADINGS if name == "00_start" else HEADINGS
    missing = [heading for heading in wanted if heading not in found]
    if missing:
        yield f"lacks the headings {missing}"
    elif [heading for heading in found if heading in wanted] != list(wanted):
        yield f"has its headings in another order than {list(wanted)}"


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
    template,
)


def complaints(name, notebook):
    """Every complaint about a notebook, each with the rule it breaks."""
    return [f"{rule.__name__}: {text}" for rule in RULES for text in rule(name, notebook)]
