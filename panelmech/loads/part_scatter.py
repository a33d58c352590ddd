"""Every check of many parts built to one design, each a little off, along the span and under the loads of a job.

A part under its loads takes some tenths of a second, so some tens of parts are worked out, with every check, and all
others are read between them, check by check (`study.fitted`). A part of which a verdict hangs on the error of that is
worked out itself, as many as are asked for; the rest is counted as undecided. It comes in steps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ..blade.along_checks import changes_along
from ..blade.blade import Blade
from ..study.checks import CHECKS
from ..study.fitted import Places, fitted
from ..study.shares import Share
from ..study.tolerances import Scatter, share_of
from ..study.varying import as_built
from ..study.verdicts import FAILS, ROUNDING, UNKNOWN
from .checks import LOAD_RULES
from .in_place import making_way
from .load_file import LoadSheet, fitting_checks
from .load_study import evaluate_loads
from .ranges import apart
from .standings import rated_along

MOST_EXACT, AT_A_TIME = 40, 10  # parts worked out because a verdict hangs on them; between two answers
ENOUGH, NEAR = 1e6, 3.0  # a reserve above which nothing is asked; up to which it matters how well it is read
LOADS = "loads."  # before the keys of checks under load


@dataclass(frozen=True, eq=False)
class Come:
    """How far a scatter under loads has come: parts worked out, of `aim` at first; `found`: a `Scatter` with every
    check counted, None before all of these are done; `complete`: nothing is left to do."""

    done: int
    aim: int
    found: Scatter | None = None
    complete: bool = False


def part_scatter(blade: Blade, sheet: LoadSheet, scattered: Scatter, most: int = MOST_EXACT) -> Scatter:
    """A scatter of designs with every check of the part counted.

    blade, sheet : the part, at whose root the designs stand, and its loads
    scattered : of the design at its root, with the checks of the framed sheet that count beside the loads
    most : parts worked out at most because a verdict hangs on them
    """
    *_, last = part_scatter_steps(blade, sheet, scattered, most)
    return last.found


def part_scatter_steps(blade: Blade, sheet: LoadSheet, scattered: Scatter, most: int = MOST_EXACT):
    """The same as a generator: gives a `Come` after each part, now and then with what is found."""
    parts = _Parts(blade, sheet, scattered)
    chosen = parts.places.chosen(scattered.samples)
    for done, i in enumerate(chosen, 1):
        parts.work_out(i)
        yield Come(done, len(chosen))
    parts.fit()
    yield Come(len(chosen), len(chosen), parts.found())
    for done in range(1, most + 1):
        i = parts.hanging()
        if i is None:
            break
        parts.work_out(i)
        yield Come(len(chosen) + done, len(chosen), parts.found() if done % AT_A_TIME == 0 else None)
    yield Come(len(parts.worked), len(chosen), parts.found(), True)


class Told(NamedTuple):
    """Of one check of one part: name, verdict; its reserve, and what is below one where the value is beyond what can be
    told; each endless where it does not apply, nan where it is not known [-]."""

    name: str
    verdict: str
    reserve: float
    told: float = np.inf


def every_check(blade: Blade, sheet: LoadSheet) -> dict:
    """{key: `Told`} of every limit of a part: along its span, and under its loads with fittings. ValueError for a part
    that cannot be made."""
    study = evaluate_loads(blade, sheet.plan)
    gone = making_way(blade.design, study)
    rules = tuple(rule for rule in CHECKS if rule.key not in gone)
    along = rated_along(blade, rules)
    found = {rule.key: Told(rule.name, along[rule.key].verdict, float(along[rule.key].reserve)) for rule in rules}
    under = {c.key: c for c in (*study.checks, *fitting_checks(study, sheet.fittings)) if c.kind == "limit"}
    found |= {f"{LOADS}{key}": Told(c.name, c.verdict, c.reserve) for key, c in under.items()}
    for rule in (rule for rule in LOAD_RULES if rule.key in under):
        reserve, told = _apart(rule, study)
        found[f"{LOADS}{rule.key}"] = found[f"{LOADS}{rule.key}"]._replace(reserve=reserve, told=told)
    return found


def _apart(rule, study):
    """(reserve, told) of a `Told`, the least over cases and places."""
    limit = rule.limit(study).value
    values = rule.values(study)[0] if rule.values else rule.of(study, study.response)
    reserve, told = (float(np.min(one)) for one in apart(rule.key, study, limit, values))
    return reserve, told


class _Parts:
    """Parts worked out, and what is read of the others, check by check; `logs`, `doubts`: (2, checks, parts) of the
    reserves, and of how far what can be told exceeds the value; nan where nothing can be read."""

    def __init__(self, blade, sheet, scattered):
        self.blade, self.sheet, self.scattered = blade, sheet, scattered
        self.places = Places.of(scattered.design, scattered.samples, tuple(scattered.samples))
        self.at_root = not changes_along(blade)  # then the checks of the design are known of every part
        self.made = ~np.isnan(scattered.outputs["contact_force"])
        self.worked: dict = {}  # part: {key: `Told`}; None where it cannot be made
        self.names: dict = {}
        self.keys: list = []

    def work_out(self, i) -> None:
        """Work out one part."""
        values = {name: float(column[i]) for name, column in self.scattered.samples.items()}
        try:
            found = every_check(self.blade.with_root(as_built(self.scattered.design, values)), self.sheet)
        except ValueError:
            self.worked[i] = None
            return
        self.names |= {key: one.name for key, one in found.items()}
        self.worked[i] = found

    def fit(self) -> None:
        """Read all parts between those worked out."""
        count = len(self.made)
        self.keys = [key for key in self.names if key.startswith(LOADS) or not self.at_root]
        places = self.places(self.scattered.samples, count)
        self.logs, self.doubts = (np.full((2, len(self.keys), count), np.nan) for _ in range(2))
        self.never = np.zeros(len(self.keys), dtype=bool)  # not known of any part worked out
        nodes = [i for i, one in self.worked.items() if one is not None]
        for row, key in enumerate(self.keys):
            told = [self.worked[i].get(key) for i in nodes]
            self.never[row] = all(one is None or (one.verdict == UNKNOWN and one.told == np.inf) for one in told)
            if len(nodes) == len(self.worked) and None not in told:
                columns = np.array([(one.reserve, one.told) for one in told])
                if not np.isnan(columns).any():
                    self._read(row, places, nodes, np.log(np.clip(columns, 1.0 / ENOUGH, ENOUGH)))

    def _read(self, row, places, nodes, logs):
        for which, fit in enumerate(fitted(places[nodes], logs) or ()):
            self.logs[which, row], self.doubts[which, row] = fit.read(places), fit.doubt(places)

    def _states(self):
        """(checks, parts) each: surely fails, hangs on what is read, not known."""
        limit = np.log1p(-ROUNDING)
        with np.errstate(invalid="ignore"):
            (fails, unknown), above = self.logs + self.doubts < limit, self.logs - self.doubts >= limit
        hangs = ~fails & (~above[0] | (~above[1] & ~unknown))
        hangs[self.never], unknown[self.never] = False, True
        for i, told in self.worked.items():
            verdicts = [FAILS if told is None else told[key].verdict if key in told else UNKNOWN for key in self.keys]
            fails[:, i] = [word == FAILS for word in verdicts]
            unknown[:, i], hangs[:, i] = [word == UNKNOWN for word in verdicts], False
        fails[:, ~self.made], hangs[:, ~self.made], unknown[:, ~self.made] = True, False, False
        return fails, hangs, unknown

    def hanging(self) -> int | None:
        """The part nearest to a limit of those whose verdict hangs on what is read; None for none."""
        fails, hangs, _ = self._states()
        open_ = hangs.any(axis=0) & ~fails.any(axis=0) & ~self._root("fails")
        if not open_.any():
            return None
        near = np.min(np.where(hangs, np.abs(np.nan_to_num(self.logs, nan=np.inf)), np.inf), axis=(0, 1))
        return int(np.flatnonzero(open_)[np.argmin(near[open_])])

    def _root(self, state):
        """Of the checks of the design, where they are the same all along the span; else of what only two sheets that
        differ tell."""
        if self.at_root:
            return self.scattered.parts[state]
        apart = state == "fails" and "apart" in self.scattered.parts
        return self.scattered.parts["apart"] if apart else np.zeros(len(self.made), dtype=bool)

    def found(self) -> Scatter:
        """The scatter with all of it counted."""
        fails, hangs, unknown = self._states()
        stays = self.scattered.counted if self.at_root else self.scattered.names  # these tell of two that differ
        root = {key: share for key, share in self.scattered.counted.items() if key in stays}
        beyond = self._root("beyond") | np.any(unknown & ~self.never[:, None], axis=0)
        apart = {"beyond": Share(int(np.sum(beyond)), len(beyond)), "not made": self.scattered.counted["not made"]}
        each = {key: share_of(*rows) for key, *rows in zip(self.keys, fails, hangs, unknown, strict=True)}
        every = {
            name: self._root(name) | np.any(rows, axis=0)
            for name, rows in (("fails", fails), ("hangs", hangs), ("unknown", unknown))
        }
        own = {key: share for key, share in root.items() if key not in ("any", *apart)}
        counted: dict[str, Share] = {**own, **each, "any": share_of(**every), **apart}
        reserves = {key: np.exp(row) for key, row in zip(self.keys, self.logs[0], strict=True)}
        near = self.logs[0] < np.log(NEAR)
        most = float(np.max(np.expm1(self.doubts[0][near]), initial=0.0))
        return replace(
            self.scattered,
            counted=counted,
            failing={key: share.value for key, share in counted.items()},
            reserves={**{k: v for k, v in self.scattered.reserves.items() if k in stays}, **reserves},
            names={**self.scattered.names, **self.names},
            parts={**self.scattered.parts, **every, "beyond": beyond},
            framed_doubt=max(most, self.scattered.framed_doubt),
            read=f"{len(self.worked)} parts worked out under the loads",
        )
