"""One direction of flow: a module imports only from above; the mechanics stay free of drawing and widgets."""
import ast
import subprocess
import sys
from fnmatch import fnmatch
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "panelmech"

# Top first; * stands for any ending. A module may import from the lines above its own and from its own line, so
# long as nothing runs in a circle.
FLOW = (
    ("units",),
    ("kept_file",),
    ("_stock*", "_entr*", "materials"),
    ("legendre", "collocation", "elastica"),
    ("branch", "reasons", "bend", "wedge"),
    ("strip*",),
    ("forming", "section", "whole"),
    ("measure", "sheet_tests", "unequal*", "real_bend*", "curve*", "inspection"),
    ("span_*", "cells", "lift", "loads", "fittings"),
    ("design",),
    ("shell*",),
    ("grain", "local", "quantities", "checks", "study"),
    ("water", "blade*", "afloat*"),
    ("land", "care", "camber", "steering", "offset_table", "bench_offsets"),
    ("response", "load_plan", "load_stations", "load_framed", "load_checks", "load_study", "load_fittings", "load_file",
     "load_allowed", "load_words"),
    ("sweep*", "scatter", "size*", "choose", "compare", "fair", "aging", "load_size"),
    ("readings*", "pair_*"),
    ("shop*",),
    ("regression", "against_wedge", "fair_table", "published", "load_published"),
    ("look", "picture*", "plot*", "digest"),
    ("note*",),
    ("panel*", "bench*"),
    ("__main__",),
)
MECHANICS = ("units", "materials", "design", "elastica", "bend", "strip", "forming", "section", "shell", "study",
             "loads", "span_beam", "response", "fittings", "load_study", "load_size")
NUMERICAL = {"numpy", "scipy"}
ALLOWED = {"plot": {"matplotlib", "mpl_toolkits", "contourpy"}, "note": {"matplotlib"},
           "bench": {"ipywidgets", "IPython", "matplotlib"}}
ALLOWED["panel"] = ALLOWED["bench"] | {"jupyter_server"}
LONGEST_BODY = 40

MODULES = sorted(path.stem for path in PACKAGE.glob("*.py"))


def level_of(name):
    """Line of FLOW a module stands in, or None."""
    return next((level for level, names in enumerate(FLOW) if any(fnmatch(name, mask) for mask in names)), None)


def tree_of(name):
    return ast.parse((PACKAGE / f"{name}.py").read_text(encoding="utf-8"))


def imports_of(name):
    """Full names of everything a module imports, also inside functions; own modules as `panelmech.x`."""
    found = set()
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(filter(None, ["panelmech" if node.level else "", node.module or ""]))
            found |= {f"{base}.{alias.name}" for alias in node.names}
    return found


def own_imports(name):
    parts = (full.split(".") for full in imports_of(name) if full.startswith("panelmech."))
    return {part[1] for part in parts if part[1] in MODULES}


def outside_imports(name):
    tops = {full.split(".")[0] for full in imports_of(name)}
    return tops - set(sys.stdlib_module_names) - {"panelmech"}


def functions_of(name):
    return [node for node in ast.walk(tree_of(name)) if isinstance(node, ast.FunctionDef)]


def body_length(function):
    """Lines of a function without its decorators, signature and docstring."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


def test_mechanics_modules_exist():
    assert [name for name in MECHANICS if name not in MODULES] == []


def test_every_module_has_its_place_in_the_flow():
    assert [name for name in MODULES if level_of(name) is None and name != "__init__"] == []


def test_nothing_runs_in_a_circle():
    graph = {name: own_imports(name) for name in MODULES if name != "__init__"}
    assert len(list(TopologicalSorter(graph).static_order())) == len(graph)     # raises CycleError


@pytest.mark.parametrize("name", [name for name in MODULES if name != "__init__"])
def test_module_imports_only_from_above(name):
    wrong = {other for other in own_imports(name) if level_of(other) > level_of(name)}
    assert wrong == set(), f"{name} imports {sorted(wrong)}, which stand below it"


@pytest.mark.parametrize("name", MODULES)
def test_module_uses_only_the_libraries_it_may(name):
    """A module may use what its family, the first word of its name, is allowed."""
    family = name.split("_")[0].removesuffix("s")
    assert outside_imports(name) - NUMERICAL - ALLOWED.get(family, set()) == set()


@pytest.mark.parametrize("name", MODULES)
def test_no_drawing_state(name):
    """pyplot keeps figures alive and changes the caller's backend: the package stays off it."""
    assert not {full for full in imports_of(name) if "pyplot" in full or full.split(".")[0] == "pylab"}


def test_mechanics_load_without_matplotlib_and_widgets():
    code = ("import sys\n"
            f"for name in {MECHANICS!r}: __import__('panelmech.' + name)\n"
            "print([name for name in ('matplotlib', 'ipywidgets', 'IPython', 'PIL') if name in sys.modules])")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr


@pytest.mark.parametrize("name", MODULES)
def test_functions_stay_short(name):
    long = {node.name: body_length(node) for node in functions_of(name) if body_length(node) > LONGEST_BODY}
    assert long == {}, f"functions of {name} with more than {LONGEST_BODY} lines: {long}"


@pytest.mark.parametrize("name", MODULES)
def test_module_says_what_it_models(name):
    assert ast.get_docstring(tree_of(name)), f"{name} has no docstring"


@pytest.mark.parametrize("name", [name for name in MODULES if not name.startswith("_")])
def test_public_functions_and_classes_have_docstrings(name):
    public = (ast.FunctionDef, ast.ClassDef)
    bare = [node.name for node in tree_of(name).body
            if isinstance(node, public) and not node.name.startswith("_") and not ast.get_docstring(node)]
    assert bare == []
