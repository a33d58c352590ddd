"""Whether the tests notice a fault: small seeded changes of a room's modules, each met by the tests that run its line.

    python tests/mutate.py ROOM [MODULE ...] [--each 10] [--seed 1] [--tests PATH ...]

A copy of the tree is made in a temporary folder, nothing else is written. First the tests of the room run once, and it
is kept which test runs which line. Then one thing is changed at a time (a comparison, an operator, a number, a sign, a
condition, a dropped `abs`), and the tests that run its line run until one fails, then their whole files. What none of
them notices is printed, with the line, and is one of three: a test that is missing, a line that is not needed, or a
change that changes nothing, which then stands with its reason in `tests/equivalent_mutants.toml`.

Ends with 1 where fewer than 95 % of the changes of any module are noticed.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
EQUIVALENT = ROOT / "tests" / "equivalent_mutants.toml"
WANTED = 0.95
PATIENCE = 30  # seconds, beside three times what the tests took: a change may make a loop endless
NOT_COPIED = shutil.ignore_patterns(".git", ".venv", ".ci", "__pycache__", "*.egg-info", ".pytest_cache", "out")
SLACK = 1e-6  # a number below is a slack for rounding, which a tenth more would not change: it is dropped
BRIEF, MOST_NAMES = 2.0, 200  # seconds, and how many: tests that are tried by name before whole files are
QUICK = "not browser and not nightly"

SWAPS = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult, ast.MatMult: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.And: ast.Or,
    ast.Or: ast.And,
}  # fmt: skip
OTHER = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any",
         "sin": "cos", "cos": "sin", "floor": "ceil", "ceil": "floor", "argmin": "argmax",
         "argmax": "argmin"}  # fmt: skip
DROPPED = ("abs", "sqrt")


class Changes(ast.NodeTransformer):
    """Counts the places where something can be changed, and changes the one numbered `wanted`."""

    def __init__(self, wanted=-1):
        self.wanted, self.places = wanted, []

    def _here(self, node, words):
        self.places.append((node.lineno, words))
        return len(self.places) - 1 == self.wanted

    def _swap(self, node, holder, key):
        old = holder[key] if isinstance(holder, list) else getattr(holder, key)
        new = SWAPS.get(type(old))
        if new and self._here(node, f"{type(old).__name__} for {new.__name__}"):
            if isinstance(holder, list):
                holder[key] = new()
            else:
                setattr(holder, key, new())

    def visit_Compare(self, node):
        for number in range(len(node.ops)):
            self._swap(node, node.ops, number)
        return self.generic_visit(node)

    def visit_BinOp(self, node):
        if not any(isinstance(side, ast.JoinedStr) or _is_text(side) for side in (node.left, node.right)):
            self._swap(node, node, "op")
        return self.generic_visit(node)

    def visit_UnaryOp(self, node):
        if isinstance(node.op, ast.USub | ast.Not) and self._here(node, f"{type(node.op).__name__} dropped"):
            return node.operand
        return self.generic_visit(node)

    def visit_Call(self, node):
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        if name == "dataclass":  # that every record is frozen is read off the source (test_house)
            return node
        if name in OTHER and self._here(node, f"{name} for {OTHER[name]}"):
            setattr(node.func, "attr" if isinstance(node.func, ast.Attribute) else "id", OTHER[name])
        if name in DROPPED and len(node.args) == 1 and self._here(node, f"{name} dropped"):
            return node.args[0]
        return self.generic_visit(node)

    def visit_Constant(self, node):
        if type(node.value) is bool:
            if self._here(node, f"{node.value} turned"):
                return ast.copy_location(ast.Constant(not node.value), node)
        elif type(node.value) in (int, float):
            new = node.value + 1 if type(node.value) is int else _other(node.value)
            if self._here(node, f"{node.value} for {new:g}"):
                return ast.copy_location(ast.Constant(new), node)
        return node

    def visit_If(self, node):
        if self._here(node, "condition turned"):
            node.test = ast.copy_location(ast.UnaryOp(ast.Not(), node.test), node.test)
        return self.generic_visit(node)

    visit_IfExp = visit_If

    def _plain(self, node):
        self._swap(node, node, "op")
        return self.generic_visit(node)

    visit_BoolOp = visit_AugAssign = _plain

    def _left_alone(self, node):
        return node

    # words, types, and what a name, a width or a digit in them is
    visit_JoinedStr = visit_Raise = visit_Assert = visit_Import = visit_ImportFrom = _left_alone

    def visit_AnnAssign(self, node):
        node.value = self.visit(node.value) if node.value else None
        return node

    def visit_arguments(self, node):
        node.defaults = [self.visit(value) for value in node.defaults]
        node.kw_defaults = [self.visit(value) if value else None for value in node.kw_defaults]
        return node

    def visit_FunctionDef(self, node):
        node.args, node.body = self.visit(node.args), [self.visit(part) for part in node.body]
        return node


def _other(value):
    return 0.1 if value == 0.0 else 0.0 if abs(value) < SLACK else 1.1 * value


def _is_text(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def places_in(source: str) -> list:
    """(line, words) of every place where something can be changed."""
    found = Changes()
    found.visit(ast.parse(source))
    return found.places


def changed(source: str, number: int) -> str:
    """The source with the change of this number."""
    return ast.unparse(ast.fix_missing_locations(Changes(number).visit(ast.parse(source))))


# ----- Which test runs which line, and whether any notices. Two processes in the copy do it, kept as text here.

TRACER = """
import json, time
import coverage, pytest

class Plugin:
    def __init__(self, cover):
        self.cover, self.took = cover, {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        self.cover.switch_context(item.nodeid)
        begun = time.process_time()
        answer = yield
        self.took[item.nodeid] = time.process_time() - begun
        return answer

def run(source, arguments, out):
    cover = coverage.Coverage(data_file=None, source=[source], config_file=False)
    cover.start()
    plugin = Plugin(cover)
    code = pytest.main(arguments, plugins=[plugin])
    cover.stop()
    data = cover.get_data()
    lines = {path: {n: c for n, c in data.contexts_by_lineno(path).items()} for path in data.measured_files()}
    json.dump({"code": int(code), "took": plugin.took, "lines": lines}, open(out, "w"))
"""

# What every test imports is imported once; each run of tests is a child of this process, ended where it takes too long,
# by the processor's time, since a machine may be busy with other things.
TRIER = """
import json, os, resource, sys
import hypothesis, numpy, pytest, scipy.integrate, scipy.interpolate, scipy.linalg, scipy.optimize

for line in sys.stdin:
    arguments, patience = json.loads(line)
    child = os.fork()
    if not child:
        code, nothing = 1, os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        resource.setrlimit(resource.RLIMIT_CPU, (patience, patience))
        try:
            code = int(pytest.main(arguments))
        finally:
            os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    print(code, flush=True)
"""
PLAIN = ["-x", "-q", "-o", "addopts=", "-p", "no:cacheprovider", "-m", QUICK]
NONE_FOUND = (4, 5)  # how pytest ends where a test of this name is not there, or none at all


def traced(tree, room, tests):
    """{module: {line: tests}} and {test: seconds}, from one run of the tests; it leaves the bytecode of the tree."""
    out = tree / "traced.json"
    (tree / "mutation_tracer.py").write_text(TRACER)
    arguments = [word for word in PLAIN if word != "-x"] + list(tests)
    call = f"import mutation_tracer; mutation_tracer.run({f'panelmech/{room}'!r}, {arguments!r}, {str(out)!r})"
    done = subprocess.run(
        [sys.executable, "-c", call], cwd=tree, env=_environment(tree), capture_output=True, text=True
    )
    found = json.loads(out.read_text()) if out.exists() else {"code": 1}
    if found["code"]:
        sys.exit(f"the tests fail as they are:\n{done.stdout[-3000:]}{done.stderr[-1000:]}")
    lines = {
        Path(path).name: {int(n): [name for name in names if name] for n, names in by_line.items()}
        for path, by_line in found["lines"].items()
    }
    return lines, found["took"]


def _environment(tree, **more):
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPATH": str(tree), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"} | more


class Trier:
    """Whether tests notice what was changed in the copy: a process that waits for names of tests."""

    def __init__(self, tree, took):
        self.took = took
        (tree / "mutation_trier.py").write_text(TRIER)
        self.process = subprocess.Popen(
            [sys.executable, "mutation_trier.py"], cwd=tree, env=_environment(tree, PYTHONDONTWRITEBYTECODE="1"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip

    def notices(self, tests) -> bool:
        """The tests that run the line, the quickest first; then the rest of their files, since what a fixture or a
        cache keeps was worked out in the test that came first."""
        names = sorted(tests, key=self.took.get)
        brief = [name for name in names if self.took[name] < BRIEF][:MOST_NAMES] or names[:1]
        files = {name.split("::")[0] for name in names}
        rest = [name for name in self.took if name.split("::")[0] in files and name not in set(brief)]
        return any(self._fails(some) for some in (brief, sorted(rest, key=self.took.get)) if some)

    def _fails(self, names):
        code = self._code(names)
        if code in NONE_FOUND:  # the change has given a case of a test another name
            code = self._code(sorted({name.split("::")[0] for name in names}))
        return code != 0

    def _code(self, names):
        patience = PATIENCE + 3 * int(sum(took for name, took in self.took.items() if name.startswith(tuple(names))))
        self.process.stdin.write(json.dumps([[*PLAIN, *names], patience]) + "\n")
        self.process.stdin.flush()
        return int(self.process.stdout.readline())

    def close(self):
        self.process.stdin.close()
        self.process.wait()


def mutate(tree, module, lines, trier, options, excused):
    """(changes tried, lines of those that nobody noticed); these are printed as they are found."""
    path = tree / "panelmech" / options.room / module
    source = path.read_text(encoding="utf-8")
    rows = source.splitlines()
    text = lambda line: rows[line - 1].strip()  # noqa: E731
    every = [
        (number, line, words)
        for number, (line, words) in enumerate(places_in(source))
        if f"{text(line)} | {words}" not in excused
    ]
    known = lines.get(module, {})
    every_test = sorted({name for names in known.values() for name in names})
    for kept in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
        kept.unlink()
    tried = random.Random(f"{options.seed} {module}").sample(every, min(options.each, len(every)))
    missed = []
    for number, line, words in sorted(tried):
        tests = known.get(line) or every_test  # what runs at import is no test's own
        path.write_text(changed(source, number), encoding="utf-8")
        if not tests or not trier.notices(tests):
            missed.append(line)
            print(f"    {module}, line {line}: {words}: {text(line)}", flush=True)
    path.write_text(source, encoding="utf-8")
    return len(tried), missed


def arguments():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room")
    parser.add_argument("modules", nargs="*", help="names of modules; all of the room unless given")
    parser.add_argument("--each", type=int, default=10, help="changes of each module")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tests", nargs="*", help="files or folders; tests/ROOM and tests/validation unless given")
    return parser.parse_args()


def main():
    options = arguments()
    room = ROOT / "panelmech" / options.room
    tests = options.tests or [f"tests/{options.room}", "tests/validation"]
    modules = [f"{name}.py" for name in options.modules] or sorted(p.name for p in room.glob("[!_]*.py"))
    excused = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8")).get(options.room, {})
    begun, score = time.perf_counter(), defaultdict(tuple)
    with tempfile.TemporaryDirectory(prefix="mutants-") as scratch:
        tree = Path(scratch) / "tree"
        shutil.copytree(ROOT, tree, ignore=NOT_COPIED)
        lines, took = traced(tree, options.room, tests)
        trier = Trier(tree, took)
        for module in modules:
            known = excused.get(module.removesuffix(".py"), {})
            tried, missed = mutate(tree, module, lines, trier, options, known)
            score[module] = (tried, len(missed))
            print(f"{module}: {tried - len(missed)} of {tried} noticed", flush=True)
        trier.close()
    tried, missed = (sum(row[i] for row in score.values()) for i in (0, 1))
    share = 1.0 - missed / tried if tried else 1.0
    print(f"{options.room}: {tried - missed} of {tried} noticed, {share:.1%}; {time.perf_counter() - begun:.0f} s")
    sys.exit(any(n and 1.0 - left / n < WANTED for n, left in score.values()))


if __name__ == "__main__":
    main()
