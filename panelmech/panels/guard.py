"""What keeps callbacks of panels safe: one lock, one guard that says what goes wrong, one timer for a resting hand."""

from __future__ import annotations

import asyncio
from pathlib import Path

from ..measured.readings import NotSureYet
from ..mechanics.bend import InfeasibleBend
from ..study.verdicts import UNSURE, said
from ..units import capital
from .parts import ONE_AT_A_TIME
from .study_tables import alert, band

REST = 0.25  # seconds without a move after which the rest is computed
LATER = 0.8  # the same for what takes a third of a second; only where somebody may be watching


def guarded(step, wrong, well=None) -> bool:
    """Do `step()`, one at a time over all panels, and tell whether it went well: a notebook would hide what goes wrong.

    Then `wrong(html)` is called with what to say, else `well()`.
    """
    with ONE_AT_A_TIME:
        try:
            step()
        except Exception as error:  # whatever it is, the panel must say it
            wrong(error_alert(error))
            return False
        if well is not None:
            well()
        return True


def error_alert(error: Exception) -> str:
    """What went wrong, as an HTML message."""
    lead, words = in_words(error)
    return band(UNSURE, lead, words) if isinstance(error, NotSureYet) else alert(words, lead)


def in_words(error: Exception) -> tuple[str, str]:
    """What went wrong as (lead, words) for a message."""
    if isinstance(error, InfeasibleBend):
        return "Cannot be bent so", f"{_sentence(error)} What is greyed is the last setting that worked."
    if isinstance(error, NotSureYet):
        return capital(said(UNSURE)), _sentence(error)
    if isinstance(error, ValueError):
        return "Not possible", _sentence(error)
    if isinstance(error, OSError):
        name = Path(error.filename).name if error.filename else ""
        return "The file could not be used", f"{name}: {error.strerror or error}."
    return (
        "The workbook made a mistake",
        f"{type(error).__name__}: {error}. What is greyed does not belong to these settings.",
    )


def _sentence(error):
    words = str(error)
    name_first = "." in words.partition(" ")[0].rstrip(".:,")  # a file's name stays as it is
    return f"{words if name_first else capital(words)}{'' if words.endswith('.') else '.'}"


def loop_runs() -> bool:
    """Whether an event loop runs, so that something can be done later."""
    try:
        asyncio.get_running_loop()
    except RuntimeError:
        return False
    return True


class AtRest:
    """Does `action()` when the hand has rested: `wait` after every move, `stop` when it is done before its time.

    With a `delay` [s] of its own it is something that nobody waits for, left out where there is no event loop.
    """

    def __init__(self, action, delay: float | None = None):
        self._action, self._delay, self._timer = action, delay, None

    def wait(self) -> None:
        """Do it when no move comes for `REST` seconds or the delay; now where there is no event loop, as in a plain
        script, and no delay."""
        self.stop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            if self._delay is None:
                self._action()
        else:
            self._timer = loop.call_later(self._delay or REST, self._action)

    def stop(self) -> None:
        """Wait no more."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
