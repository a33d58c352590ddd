"""The processes that `mutate.py` starts in its copy of the tree: `python mutation_processes.py live TEST ...`, and
`... fresh`. Both read a line of JSON for each thing wanted and answer with one number."""

from __future__ import annotations

import ast
import gc
import itertools
import json
import os
import resource
import sys
import time
import types
from pathlib import Path

import coverage
import pytest
from mutate import NOT_REACHED, PLAIN, SPENT, Changes


def codes_of(source, path, number):
    """{(name, line): code} of all functions of this source with the change of this number, and of the classes."""
    tree = ast.fix_missing_locations(Changes(number).visit(ast.parse(source)))
    found, left = {}, [compile(tree, path, "exec", dont_inherit=True)]
    while left:
        inner = [part for part in left.pop().co_consts if isinstance(part, types.CodeType)]
        found |= {(code.co_qualname, code.co_firstlineno): code for code in inner}
        left += inner
    return found


def put_in(path, number):
    """How many functions that this process holds have the change now."""
    codes, count = codes_of(Path(path).read_text(encoding="utf-8"), path, number), 0
    for function in gc.get_objects():
        if type(function) is types.FunctionType and function.__code__.co_filename == path:
            old = function.__code__
            new = codes.get((old.co_qualname, old.co_firstlineno), old)
            if new != old:
                function.__code__, count = new, count + 1
    return count


class Live:
    """Tests collected once. What is wanted of them is done in a child, which a change of one function is put into."""

    def __init__(self, room, wanted, answers):
        self.room, self.wanted, self.answers, self.failed = room, wanted, answers, []
        self.cover = self._cover()
        self.cover.start()

    def _cover(self):
        return coverage.Coverage(data_file=None, source=[f"panelmech/{self.room}"], config_file=False)

    def pytest_runtest_logreport(self, report):
        self.failed += [report.nodeid] * report.failed

    def pytest_collectreport(self, report):
        self.failed += [report.nodeid] * report.failed

    def pytest_runtestloop(self, session):
        self.cover.stop()
        data = self.cover.get_data()
        self.imported = {Path(path).name: data.lines(path) for path in data.measured_files()}
        self.items = {item.nodeid: item for item in session.items}
        for line in self.wanted:
            call = json.loads(line)
            child = os.fork()
            if not child:
                code = 1
                try:
                    code = self._answer(call)
                finally:
                    os._exit(code)
            print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), file=self.answers, flush=True)
        return True

    def _answer(self, call):
        if "imported" in call:
            told = {"lines": self.imported, "sharing": [*filter(self._shares, self.items)]}
            return Path(call["imported"]).write_text(json.dumps(told)) and 0
        return self._trace(**call) if "out" in call else self._try(**call)

    def _shares(self, name):
        """Whether a test asks for what others of its file ask for, too."""
        fixtures = self.items[name]._fixtureinfo.name2fixturedefs.values()
        return any(some[-1].scope not in ("function", "session") for some in fixtures)

    def _run(self, names):
        """Runs them in this order; name and seconds of each as it is done."""
        for name, after in itertools.pairwise([*names, None]):
            item, begun = self.items[name], time.process_time()
            item.ihook.pytest_runtest_protocol(item=item, nextitem=self.items.get(after))
            yield name, time.process_time() - begun

    def _trace(self, files, out):
        cover = self._cover()
        names = [name for name in self.items if name.split("::")[0] in files]
        took = {}
        cover.start()
        cover.switch_context(names[0] if names else "")
        for name, seconds in self._run(names):
            took[name] = seconds
            cover.switch_context(names[min(len(took), len(names) - 1)])
        cover.stop()
        data = cover.get_data()
        lines = {Path(path).name: data.contexts_by_lineno(path) for path in data.measured_files()}
        Path(out).write_text(json.dumps({"took": took, "lines": lines, "failed": self.failed}))
        return 0

    def _try(self, path, number, tests, most):
        """0 where none of them fails, 1 where one does, else why it is not known."""
        hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
        resource.setrlimit(resource.RLIMIT_CPU, (2 * int(most) + 30, hard))  # a change may make a loop endless
        try:
            if not put_in(path, number):
                return NOT_REACHED
        except ValueError:  # other names of an outer function are asked for
            return NOT_REACHED
        begun = time.process_time()
        for _ in self._run(tests):
            if self.failed:
                return 1
            if time.process_time() - begun > most:
                return SPENT
        return 0


def live(room, *arguments):
    wanted, answers = os.fdopen(os.dup(0)), os.fdopen(os.dup(1), "w")
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1):
        os.dup2(nothing, stream)
    sys.exit(int(pytest.main([*PLAIN, *arguments], plugins=[Live(room, wanted, answers)])))


def fresh():
    """Each run of tests is a child of a process which has imported nothing of ours, so that what was changed in a file
    counts from its import on; it is ended where it takes too long, by the processor's time."""
    import hypothesis  # noqa: F401
    import numpy  # noqa: F401
    import scipy.integrate
    import scipy.interpolate
    import scipy.linalg
    import scipy.optimize  # noqa: F401

    for line in sys.stdin:
        names, patience = json.loads(line)
        child = os.fork()
        if not child:
            code, nothing = 1, os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(nothing, stream)
            resource.setrlimit(resource.RLIMIT_CPU, (patience, patience))
            try:
                code = int(pytest.main(["-x", *PLAIN, *names]))
            finally:
                os._exit(code)
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)


if __name__ == "__main__":
    live(*sys.argv[2:]) if sys.argv[1] == "live" else fresh()
