"""Long work of a view, step by step: what has come is shown as it comes, and the panel's moves and presses go between.

The work is a generator. Where there is no event loop, as in a plain script, all of it is done at once
and shown at the end.
"""

from __future__ import annotations

import asyncio
import time

from .guard import loop_runs

PAUSE = 0.002  # seconds between two stretches of work, for the moves and presses that have come
STRETCH = 0.05  # seconds of work between two pauses, at least one step
SHOWN_EVERY = 0.5  # seconds between two times that what has come is shown


class Steps:
    """Works a generator off. `guarded(step)` does a step and tells whether it went well, as of a view; `told(item)` is
    called after each stretch with what came last, `shown(item)` now and then and at the end, then `ended()`."""

    def __init__(self, guarded, told, shown, ended):
        self._guarded, self._told, self._shown, self._ended = guarded, told, shown, ended
        self._work, self._item, self._last = None, None, 0.0

    @property
    def at_work(self) -> bool:
        """Whether there is work left."""
        return self._work is not None

    def set(self, work) -> None:
        """Take up work, in place of what there was; `go_on` begins it."""
        self._work, self._item, self._last = work, None, time.perf_counter()

    def stop(self) -> None:
        """Let the work be."""
        self._work = None

    def go_on(self) -> None:
        """Work for a while, and come back for more when what else has come is done."""
        self._go_on(self._work)

    def _go_on(self, work):
        while work is not None and self._work is work and self._guarded(lambda: self._stretch(work)):
            try:
                asyncio.get_running_loop().call_later(PAUSE, self._go_on, work)
                return
            except RuntimeError:
                pass

    def _stretch(self, work):
        start = time.perf_counter()
        try:
            while self._work is work and time.perf_counter() - start < STRETCH:
                self._take(next(work))
        except StopIteration:
            self._work = None
            self.show()
            self._ended()
        except BaseException:
            self._work = None
            raise
        else:
            if self._work is work and self._item is not None:  # not stopped by a press that came just now
                self._told(self._item)
                if time.perf_counter() - self._last > SHOWN_EVERY and loop_runs():
                    self.show()

    def _take(self, item):
        """What came; a step that brings nothing new to show gives None."""
        self._item = self._item if item is None else item

    def show(self) -> None:
        """Show what has come until now."""
        if self._item is not None:
            self._told(self._item)
            self._shown(self._item)
            self._last = time.perf_counter()
