"""The rule of the floors: a room imports from floors below its own only; the mechanics stay free of drawing.

Everything here reads folders and files as they stand, so a new room or module is judged without a line added, except
its place in `FLOORS`. Each test names every offender at once.
"""

import ast
import importlib
import subprocess
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "panelmech"

# Ground floor first. A room, or a file beside the rooms, imports from lower floors only; rooms of one floor are
# strangers to each other; inside a room anything goes that does not run in a circle.
FLOORS = (
    {"units", "_door"},
    {"entries"},
    {"files"},
    {"materials"},
    {"mechanics"},
    {"study"},
    {"measured", "blade"},
    {"loads", "shop"},
    {"job", "published"},
    {"draw"},
    {"report"},
    {"panels", "_commands"},
    {"__main__"},
)
NUMERICAL = {"numpy", "scipy"}
# What a room may import beside the standard library; a room not named here may have numpy and scipy.
LIBRARIES = {
    "units": {"numpy"},
    "_door": set(),
    "entries": set(),
    "files": set(),
    "materials": {"numpy"},
    "job": set(),
    "draw": NUMERICAL | {"matplotlib", "mpl_toolkits", "contourpy", "ezdxf", "fontTools"},
    "report": NUMERICAL | {"matplotlib"},
    "panels": NUMERICAL | {"matplotlib", "anywidget", "ipywidgets", "traitlets", "IPython", "jupyter_server"},
}
LIGHT = [room for floor in FLOORS[:9] for room in sorted(floor)]  # rooms that need no picture and no widget
LONGEST_BODY = 40
LONGEST_MODULE = 500


def name_of(path):
    """Dotted name of a module below the package: `mechanics.bend`, and `mechanics` for a room's door."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 1 else parts)


TREES = {name_of(path): ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py"))}
DOORS = {name for name in TREES if (PACKAGE / name / "__init__.py").exists()}


def room_of(name):
    return name.split(".")[0]


def floor_of(name):
    """Floor a module stands on, or None."""
    return next((number for number, rooms in enumerate(FLOORS) if room_of(name) in rooms), None)


@cache
def imports_of(name):
    """Full dotted names of everything a module imports, also inside functions; own modules start with a dot."""
    found = set()
    for node in ast.walk(TREES[name]):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = own_base(name, node) if node.level else node.module
            found |= {f"{base}.{alias.name}" for alias in node.names}
    return {full.replace("panelmech.", ".", 1) if full.startswith("panelmech.") else full for full in found}


def own_base(name, node):
    """`.mechanics.bend` for `from ..mechanics.bend import x` in any room, `` for `from .. import x`."""
    home = name.split(".") if name in DOORS else name.split(".")[:-1]
    return ".".join(["", *home[: len(home) - node.level + 1], *filter(None, [node.module])])


def own_imports(name):
    """Modules and doors of the package that a module imports from."""
    found = set()
    for full in (full.lstrip(".") for full in imports_of(name) if full.startswith(".")):
        place = full if full in TREES else full.rpartition(".")[0]
        found |= {place} if place in TREES else set()
    return found - {name}


def outside_imports(name):
    tops = {full.split(".")[0] for full in imports_of(name) if not full.startswith(".")}
    return tops - set(sys.stdlib_module_names) - {"__future__"}


def functions_of(name):
    return [node for node in ast.walk(TREES[name]) if isinstance(node, ast.FunctionDef)]


def body_length(function):
    """Lines of a function without its decorators, signature and docstring."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


def test_every_room_has_its_floor():
    assert [name for name in TREES if floor_of(name) is None and name != "__init__"] == []


def test_every_floor_is_built():
    assert [room for rooms in FLOORS for room in rooms if room not in TREES] == []


def test_a_room_imports_from_lower_floors_only():
    wrong = [
        f"{name} -> {other}"
        for name in TREES
        if name != "__init__"
        for other in own_imports(name)
        if room_of(other) != room_of(name) and not floor_of(other) < floor_of(name)
    ]
    assert wrong == []


def test_no_room_goes_through_its_own_door():
    assert [name for name in TREES if name not in DOORS and room_of(name) in own_imports(name)] == []


def handed_out(door):
    """Public names of a door."""
    return importlib.import_module(f"panelmech.{door}").__all__ if door != "__init__" else []


def test_a_name_that_a_door_hands_out_stands_in_one_module_of_its_room():
    made = {
        (room_of(name), node.name, name)
        for name, tree in TREES.items()
        for node in tree.body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
    }
    offers = {
        (door, name): [m for room, n, m in made if (room, n) == (door, name)]
        for door in DOORS
        for name in handed_out(door)
    }
    assert {key: sorted(modules) for key, modules in offers.items() if len(modules) > 1} == {}


def test_nothing_runs_in_a_circle():
    graph = {name: own_imports(name) for name in TREES if name != "__init__"}
    assert len(list(TopologicalSorter(graph).static_order())) == len(graph)  # raises CycleError


def test_a_room_uses_only_the_libraries_it_may():
    wrong = {
        name: more
        for name in TREES
        if (more := outside_imports(name) - LIBRARIES.get(room_of(name), NUMERICAL)) and name != "__init__"
    }
    assert wrong == {}


def test_no_drawing_state():
    """pyplot keeps figures alive and changes the caller's backend: the package stays off it."""
    assert [
        name for name in TREES for full in imports_of(name) if "pyplot" in full or full.split(".")[0] == "pylab"
    ] == []


@cache
def loaded_by_light_rooms():
    """What stands in `sys.modules` after every module below `draw` was imported, in a fresh process."""
    modules = [f"panelmech.{name}" for name in TREES if room_of(name) in LIGHT]
    code = f"import importlib, sys\nfor name in {modules!r}: importlib.import_module(name)\nprint(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


def test_rooms_below_draw_load_without_matplotlib_and_widgets():
    assert loaded_by_light_rooms() & {"matplotlib", "ipywidgets", "IPython", "PIL"} == set()


def test_thin_doors_bring_in_no_matplotlib_and_no_widgets():
    code = (
        "import sys, panelmech.draw, panelmech.report, panelmech.panels\n"
        "print({'matplotlib', 'ezdxf', 'ipywidgets', 'IPython', 'PIL'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stdout.strip()) == (0, "set()"), done.stderr


def test_what_a_thin_door_offers_is_there():
    for room in ("draw", "report", "panels", "published"):
        door = importlib.import_module(f"panelmech.{room}")
        modules = {name.split(".")[1] for name in TREES if room_of(name) == room and "." in name}
        assert all(getattr(door, name) is not None for name in door.__all__)
        assert set(door.__all__) & modules == set()


def test_parts_of_scipy_load_where_they_are_used():
    """`import scipy` is quick and fetches a part when it is first named; the parts together take half a second."""
    parts = {f"scipy.{part}" for part in ("integrate", "interpolate", "linalg", "optimize", "sparse", "special")}
    assert loaded_by_light_rooms() & parts == set()


def test_functions_and_modules_stay_short():
    long = {
        f"{name}.{node.name}": body_length(node)
        for name in TREES
        for node in functions_of(name)
        if body_length(node) > LONGEST_BODY
    }
    lengths = {name_of(path): len(path.read_text(encoding="utf-8").splitlines()) for path in PACKAGE.rglob("*.py")}
    assert long | {name: lines for name, lines in lengths.items() if lines > LONGEST_MODULE} == {}


def test_every_module_says_what_it_models():
    assert [name for name, tree in TREES.items() if not ast.get_docstring(tree)] == []


def test_every_record_is_frozen():
    loose = []
    for name, tree in TREES.items():
        for node in (n for n in ast.walk(tree) if isinstance(n, ast.ClassDef) and not n.name.startswith("_")):
            for made in (d for d in node.decorator_list if "dataclass" in ast.unparse(d)):
                if "frozen=True" not in ast.unparse(made):
                    loose.append(f"{name}.{node.name}")
    assert not loose


def test_public_functions_and_classes_have_docstrings():
    public = (ast.FunctionDef, ast.ClassDef)
    bare = [
        f"{name}.{node.name}"
        for name, tree in TREES.items()
        if not name.split(".")[-1].startswith("_")
        for node in tree.body
        if isinstance(node, public) and not node.name.startswith("_") and not ast.get_docstring(node)
    ]
    assert bare == []


def test_every_room_is_reached_from_the_top():
    code = "import panelmech; print(all(getattr(panelmech, room).__doc__ for room in panelmech._ROOMS))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stdout.strip()) == (0, "True"), done.stderr
    import panelmech

    assert set(panelmech._ROOMS) == {door for door in DOORS if not door.startswith("_")}
    assert len(panelmech.__all__) + len(panelmech._ROOMS) <= 31


def test_records_are_frozen_and_those_of_arrays_are_no_numbers_to_compare():
    """Nothing flows back: every record is frozen. One that may hold arrays is equal to itself only, since arrays have
    no one answer to that."""
    found = {"not frozen": [], "compares arrays": []}
    for module, tree in TREES.items():
        for record in (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef)):
            for made in record.decorator_list:
                if getattr(getattr(made, "func", made), "id", "") == "dataclass":
                    given = {word.arg: ast.unparse(word.value) for word in getattr(made, "keywords", ())}
                    kinds = [ast.unparse(part.annotation) for part in record.body if isinstance(part, ast.AnnAssign)]
                    if given.get("frozen") != "True":
                        found["not frozen"].append(f"{module}.{record.name}")
                    if given.get("eq") != "False" and any("ndarray" in kind for kind in kinds):
                        found["compares arrays"].append(f"{module}.{record.name}")
    assert found == {"not frozen": [], "compares arrays": []}
