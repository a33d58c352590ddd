"""A second process that works on what it is given while this one goes on: on two cores papers take less time.

It is a new Python that imports this package, not a copy of this process: a copy of one that has threads, as a
notebook's has, may stand still for good at a lock that one of them held, and not every system makes copies. What is
given is a function of a module with its arguments; what comes back is what it returns, the same bytes as here. What is
not begun there when it is asked for is worked out here, and so is all of it where there is one core only, where no
second process can be started, or it ends, or cannot do something: what goes wrong is then told as it would be without.
"""

from __future__ import annotations

import json
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections import deque
from contextlib import suppress
from importlib import import_module

from ..units import lengths, lengths_in

ALONE = "PANELMECH_ONE_PROCESS"  # variable: where it is set, there is no second process
AT_ONCE = ("panelmech.report.drawings",)  # what the second process imports before it is given anything
_START = "import json, sys; sys.path[:] = json.loads(sys.argv[1]); from panelmech.report.beside import serve; serve()"


class Later:
    """What a function returns, worked out when it is asked for, unless the second process has done so before."""

    def __init__(self, beside: Beside, function, args: tuple):
        self.beside, self.function, self.args = beside, function, args
        self.told, self.done, self.value, self.error = b"", False, None, None

    def result(self):
        """What the function returns, or raises."""
        self.beside.finish(self)
        if self.error is not None:
            raise self.error
        return self.value

    def work_out(self) -> None:
        """Here and now."""
        try:
            self.value = self.function(*self.args)
        except Exception as error:
            self.error = error
        self.done = True


class Beside:
    """What works on functions beside this process, as long as the `with` block runs: a second process, or with `alone`
    none.

    They must depend on nothing but their arguments and on what lengths are shown in.
    """

    def __init__(self, alone: bool = False):
        self.waiting, self.change, self.process = deque(), threading.Condition(), None
        if not alone and not os.environ.get(ALONE) and _cores() > 1:
            with suppress(OSError, ValueError, TypeError, RuntimeError):
                self.process = _started()
                threading.Thread(target=self._feed, args=(self.process,), daemon=True).start()

    def __enter__(self) -> Beside:
        return self

    def __exit__(self, *_) -> None:
        self._end()

    def later(self, function, *args) -> Later:
        """What the function of these arguments will return; earlier ones are begun first."""
        item = Later(self, function, args)
        if self.process is not None:  # told now, for what it hangs on may grow while it waits
            try:
                item.told = pickle.dumps((lengths(), function, args), pickle.HIGHEST_PROTOCOL)
            except Exception:
                self._end()
        with self.change:
            self.waiting.append(item)
            self.change.notify_all()
        return item

    def finish(self, item: Later) -> None:
        """Have an item done: here where it is not begun; where it is, others that wait are done here meanwhile."""
        while not item.done:
            with self.change:
                mine = item if item in self.waiting else self.waiting[0] if self.waiting else None
                if mine is not None:
                    self.waiting.remove(mine)
                elif self.process is None:
                    mine = item
                elif not item.done:
                    self.change.wait()
            if mine is not None:
                mine.work_out()

    def _feed(self, process):
        """Give the second process one item after the other, until it is not wanted any more."""
        item = None
        try:
            pickle.load(process.stdout)  # it is ready
            while (item := self._next()) is not None:
                process.stdin.write(item.told)
                process.stdin.flush()
                value = pickle.load(process.stdout)
                with self.change:
                    item.value, item.done = value, True
                    self.change.notify_all()
        except Exception:
            self._end()

    def _next(self):
        """The next item that waits, taken; None where there is no second process any more."""
        with self.change:
            while self.process is not None and not self.waiting:
                self.change.wait()
            return self.waiting.popleft() if self.process is not None else None

    def _end(self):
        """End the second process; what waits, and what was begun there, is worked out here when it is asked for."""
        with self.change:
            process, self.process = self.process, None
            self.change.notify_all()
        if process is not None:
            process.kill()
            process.communicate()


def _cores():
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _started():
    """The second process; what it has to say goes nowhere, since what goes wrong in it is done again here."""
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    hidden = getattr(subprocess, "CREATE_NO_WINDOW", 0)
    command = [sys.executable, "-c", _START, json.dumps(list(map(str, sys.path)))]
    return subprocess.Popen(command, **pipes, creationflags=hidden)


def serve(modules=AT_ONCE) -> None:
    """What the second process does until nobody asks any more; `modules` are imported first."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # to be stopped is the first one's business, which then ends this
    given, back = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what is printed must not come among the answers
    for name in modules:
        import_module(name)
    answer = True
    with suppress(EOFError, BrokenPipeError):
        while True:
            pickle.dump(answer, back, pickle.HIGHEST_PROTOCOL)
            back.flush()
            shown, function, args = pickle.load(given)
            with lengths_in(shown):
                answer = function(*args)
