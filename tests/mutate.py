"""Whether the tests notice a fault: small seeded changes of a room's modules, each met by the tests that run its line.

    python tests/mutate.py ROOM [MODULE ...] [--each 10] [--seed 1] [--tests PATH ...] [--quick] [--most-cpu 60]

A copy of the tree is made in a temporary folder. First the tests run once, and it is kept which test runs which line,
in `.pytest_cache/mutate` for each file of tests until it or the package changes. Then one thing is changed at a time (a
comparison, an operator, a number, a sign, a condition, a dropped `abs`), and the tests that run its statement run until
one fails, then the rest of their files. What none of them notices, or not in the time given, is printed, with the line,
and is one of three: a test that is missing, a line that is not needed, or a change that changes nothing, which then
stands with its reason in `tests/equivalent_mutants.toml`.

Cheapest is one module with the files of tests that are about it, as in `mutate.py shop lifts --tests
tests/shop/test_lift_choice.py`. Fewer tests never make the figure better.

Ends with 1 where fewer than 95 % of the changes of any module are noticed.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
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
BRIEF = 0.2  # seconds: tests that take less and share nothing with others come first
IMPORT = 2.0  # seconds, about what it takes to import everything anew
MEANT = "not browser and not nightly"

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
        self.wanted, self.places, self.around = wanted, [], []
        self.statement, self.inside = (0, 0), False

    def _here(self, node, words):
        self.places.append((node.lineno, words))
        self.around.append((*self.statement, self.inside))
        return len(self.places) - 1 == self.wanted

    def visit(self, node):
        before = self.statement
        if isinstance(node, ast.stmt):  # its own lines, without those of the statements in it
            body = getattr(node, "body", None)
            self.statement = node.lineno, max(node.lineno, body[0].lineno - 1) if body else node.end_lineno
        found = super().visit(node)
        self.statement = before
        return found

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

    def visit_keyword(self, node):
        return node if node.arg == "strict" else self.generic_visit(node)  # guards `zip`, which a test cannot reach

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
        node.args, before = self.visit(node.args), self.inside
        self.inside = True
        node.body = [self.visit(part) for part in node.body]
        self.inside = before
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


def around(source: str) -> list:
    """(first line, last line, whether in a function) of the statements that they are in."""
    found = Changes()
    found.visit(ast.parse(source))
    return found.around


def changed(source: str, number: int) -> str:
    """The source with the change of this number."""
    return ast.unparse(ast.fix_missing_locations(Changes(number).visit(ast.parse(source))))


# ----- Which test runs which line, and whether any notices. Two processes in the copy do it (`mutation_processes`).

PLAIN = ["-q", "-o", "addopts=", "-p", "no:cacheprovider"]
NONE_FOUND = (4, 5)  # how pytest ends where a test of this name is not there, or none at all
SPENT, NOT_REACHED = 76, 77  # how a child ends whose time is up, or that holds no function with the change
TRACES = ROOT / ".pytest_cache" / "mutate"  # which test runs which line, for each file of tests as it last was


def _environment(tree, **more):
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPATH": str(tree), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"} | more


def _digests(tests):
    """{file of tests: digest of it and of all that it may use}, as names below the tree."""
    sources = [path for top in ("panelmech", "tests") for path in sorted((ROOT / top).rglob("*.py"))]
    shared = hashlib.sha256()
    for path in [*sources, *sorted((ROOT / "panelmech").rglob("*.toml"))]:
        if not path.name.startswith("test_") and not path.name.startswith("mutat"):
            shared.update(path.read_bytes())
    files = [ROOT / name.split("::")[0] for name in tests]
    files = [path for top in files for path in (sorted(top.rglob("test_*.py")) if top.is_dir() else [top])]
    return {
        str(path.relative_to(ROOT)): hashlib.sha256(shared.digest() + path.read_bytes()).hexdigest() for path in files
    }


class Trier:
    """Whether tests notice what was changed: a process that holds them collected, into which a change of a function is
    put, and one that imports everything anew, for what runs at import."""

    def __init__(self, tree, room, tests, most, marked):
        self.tree, self.room, self.most, self.marked = tree, room, most, marked
        self.live = self._start(["live", room, *tests, "-m", marked])
        self.fresh = self._start(["fresh"], PYTHONDONTWRITEBYTECODE="1")
        self.lines, self.took = defaultdict(lambda: defaultdict(list)), {}
        out = self.tree / "imported.json"
        _ask(self.live, {"imported": str(out)})
        told = json.loads(out.read_text())
        self.imported = defaultdict(set, {name: set(lines) for name, lines in told["lines"].items()})
        self.sharing = set(told["sharing"])
        self._trace(_digests(tests))

    def _start(self, words, **more):
        words = [sys.executable, "tests/mutation_processes.py", *words]
        environment = _environment(self.tree, **more)
        pipe = subprocess.PIPE
        return subprocess.Popen(words, cwd=self.tree, env=environment, stdin=pipe, stdout=pipe, text=True)

    def _trace(self, digests):
        """{module: {line: tests}} and {test: seconds}, kept for each file of tests until it or the package changes."""
        TRACES.mkdir(parents=True, exist_ok=True)
        kept = {name: TRACES / f"{self.room}-{name.replace('/', '-')}.json" for name in digests}
        found = {name: json.loads(path.read_text()) for name, path in kept.items() if path.exists()}
        for name in [name for name in digests if found.get(name, {}).get("digest") != digests[name] + self.marked]:
            out = self.tree / "traced.json"
            _ask(self.live, {"files": [name], "out": str(out)})
            found[name] = json.loads(out.read_text()) | {"digest": digests[name] + self.marked}
            if found[name]["failed"]:
                sys.exit(f"tests fail as they are: {found[name]['failed']}")
            out.unlink()
            kept[name].write_text(json.dumps(found[name]))
        for name in digests:
            self.took |= found[name]["took"]
            for module, by_line in found[name]["lines"].items():
                for line, names in by_line.items():
                    self.lines[module][int(line)] += [test for test in names if test]

    def notices(self, path, number):
        """Whether any does; None where time was up. First the tests that run the line, those of the quickest files
        before; then the rest of these files, since what a fixture or a cache keeps was worked out in the test that
        came first."""
        first, last, inside = around(path.read_text(encoding="utf-8"))[number]
        rows, code = range(first, last + 1), NOT_REACHED
        tests = {name for row in rows for name in self.lines[path.name][row]}
        if inside:
            call = {"path": str(path), "number": number, "tests": self._in_order(tests), "most": self.most}
            code = _ask(self.live, call)
        if code == NOT_REACHED or (code == 0 and self.imported[path.name] & set(rows)):
            return self._notices_anew(path, number)
        return None if code == SPENT else code != 0

    def _in_order(self, tests):
        file = lambda name: name.split("::")[0]  # noqa: E731
        asked, cost = set(tests), defaultdict(float)
        for name in asked:
            cost[file(name)] += self.took[name]  # those of one file may share what the first of them makes
        alone = {name for name in asked - self.sharing if self.took[name] < BRIEF}
        rest = {name for name in self.took if file(name) in cost} - alone
        place = lambda name: (name not in asked, cost[file(name)], file(name), self.took[name], name)  # noqa: E731
        return [*sorted(alone, key=lambda name: (self.took[name], name)), *sorted(rest, key=place)]

    def _notices_anew(self, path, number):
        """By the tests of the module, in a process that reads the changed file; one file of tests after the other."""
        tests = {name for names in self.lines[path.name].values() for name in names}
        files = defaultdict(list)
        for name in self._in_order(tests):
            files[name.split("::")[0]] += [name] * (name in tests)
        source, left = path.read_text(encoding="utf-8"), self.most
        path.write_text(changed(source, number), encoding="utf-8")
        try:
            for names in files.values():
                if left <= 0.0:
                    return None
                if self._fails(names):
                    return True
                left -= IMPORT + sum(self.took[name] for name in names)
        finally:
            path.write_text(source, encoding="utf-8")
        return False

    def _fails(self, names):
        patience = PATIENCE + 3 * int(sum(self.took[name] for name in names))
        code = _ask(self.fresh, [names, patience])
        if code in NONE_FOUND:  # the change has given a case of a test another name
            code = _ask(self.fresh, [[names[0].split("::")[0], "-m", self.marked], patience])
        return code != 0

    def close(self):
        for process in (self.live, self.fresh):
            process.stdin.close()
            process.wait()


def _ask(process, what):
    process.stdin.write(json.dumps(what) + "\n")
    process.stdin.flush()
    return int(process.stdout.readline())


def _is_excused(line, words, excused):
    """By the line and the change, or by how the line begins and any change of it, `*`."""
    return f"{line} | {words}" in excused or any(
        key.endswith(" | *") and line.startswith(key.removesuffix(" | *")) for key in excused
    )


def mutate(tree, module, trier, options, excused):
    """(changes tried, lines of those that nobody noticed); these are printed as they are found."""
    path = tree / "panelmech" / options.room / module
    source = path.read_text(encoding="utf-8")
    rows = source.splitlines()
    text = lambda line: rows[line - 1].strip()  # noqa: E731
    every = [(number, line, words) for number, (line, words) in enumerate(places_in(source))]
    counts = [change for change in every if not _is_excused(text(change[1]), change[2], excused)]
    most, tried = options.each, []
    while len(tried) < min(options.each, len(counts)):  # what is excused later leaves the others as they were
        drawn = random.Random(f"{options.seed} {module}").sample(every, min(most, len(every)))
        tried, most = [change for change in drawn if change in counts][: options.each], most + options.each
    missed = []
    for number, line, words in sorted(tried):
        noticed = trier.notices(path, number)
        if not noticed:
            missed.append(line)
            short = " (time was up)" if noticed is None else ""
            print(f"    {module}, line {line}: {words}: {text(line)}{short}", flush=True)
    return len(tried), missed


def arguments():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room")
    parser.add_argument("modules", nargs="*", help="names of modules; all of the room unless given")
    parser.add_argument("--each", type=int, default=10, help="changes of each module")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tests", nargs="*", help="files or folders; tests/ROOM and tests/validation unless given")
    parser.add_argument("--quick", action="store_true", help="without the tests marked slow")
    parser.add_argument(
        "--most-cpu", type=float, default=60.0, help="seconds of the tests of one change; then it is missed"
    )
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
        trier = Trier(tree, options.room, tests, options.most_cpu, f"{MEANT} and not slow" if options.quick else MEANT)
        for module in modules:
            known = excused.get(module.removesuffix(".py"), {})
            tried, missed = mutate(tree, module, trier, options, known)
            score[module] = (tried, len(missed))
            print(f"{module}: {tried - len(missed)} of {tried} noticed", flush=True)
        trier.close()
    tried, missed = (sum(row[i] for row in score.values()) for i in (0, 1))
    share = 1.0 - missed / tried if tried else 1.0
    print(f"{options.room}: {tried - missed} of {tried} noticed, {share:.1%}; {time.perf_counter() - begun:.0f} s")
    sys.exit(any(n and 1.0 - left / n < WANTED for n, left in score.values()))


if __name__ == "__main__":
    main()
