"""What mends one check, worked out: which input, how much, and what then.

For every check of a study that fails, is close, or is beyond what can be told. Sizes that are sold and round values are
tried, as in `study.advice`, one input at a time; what is said of a change is what `evaluate` says of the changed
design. An input that does next to nothing for a check is not named for it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ..units import lengths, show
from .advice import LEVERS, lever_of, phrase, singles
from .checks import LOCAL_RULES, framed_to_go_by
from .design import Design
from .more_ribs import HELPED, ribs_needed, ribs_words
from .study import Study, evaluate
from .sweeps import compute
from .verdicts import BEYOND, CLOSE, FAILS, ROUNDING, UNKNOWN, Check, lower

WAYS = 2  # inputs named for one check
WORTH = 1.05  # the least by which an input must raise a reserve to be worth naming
_LOCAL = {rule.key: rule for rule in LOCAL_RULES}


@dataclass(frozen=True)
class Mend:
    """A change of one input for one check.

    changes : input -> new value [SI]
    reserve : of the check then [-]
    enough : whether the check then holds, or no longer fails
    then : names of other checks that fail or cannot be told then, but not now
    """

    changes: dict
    reserve: float
    enough: bool
    then: tuple


def with_mends(study: Study) -> Study:
    """The study with what mends each check that needs it in the check's advice, in front of what stands there. Takes
    some tenths of a second for each; kept for a study that comes again."""
    return _with_mends(study, lengths())


@lru_cache(maxsize=8)
def _with_mends(study, told_in):
    return replace(study, checks=tuple(_with_mend(study, check) for check in study.checks))


def _with_mend(study, check):
    words = mend_words(study.design, mends(study, check.key)) if needs_mending(check) else ""
    words = "; or ".join(filter(None, (words, _ribs(study, check) if words and check.key in HELPED else "")))
    return replace(check, advice="; ".join(filter(None, (words, check.advice)))) if words else check


def _ribs(study, check):
    """What inner ribs do for a check of the framed sheet, in words; "" where no number of them is enough."""
    need = 1.0 + study.design.close_share if check.verdict == CLOSE else 1.0 - ROUNDING
    more = ribs_needed(study.design, check.key, need)
    mend = None if more is None else _mend(study, check.key, {"inside": more.inside}, _study(more, {}))
    return _told(ribs_words(study.design, more), mend) if mend is not None and mend.enough else ""


def needs_mending(check: Check) -> bool:
    """Whether a check fails, is close, or is beyond what can be told."""
    return check.kind == "limit" and (check.verdict in (FAILS, CLOSE) or untold(check))


def untold(check: Check) -> bool:
    """Whether a check is unknown because its value is beyond what can be told."""
    return bool(check.beyond) and check.verdict == UNKNOWN


def mends(study: Study, key: str) -> tuple[Mend, ...]:
    """Changes of one input each that mend a check of a study, the lesser first, two at most; where none does, the one
    that does most for it, if any does something. ValueError for a check that there is not."""
    design = study.design
    sides = [side for name in LEVERS for side in sides_of(design, name)]
    return search(study, key, _reserves(design, key), sides, lambda changes: _study(design, changes))


def search(judged, key: str, reserve, sides, work_out) -> tuple[Mend, ...]:
    """`mends` of any table of checks.

    judged : what was judged, with `design`, `limits` and `check`
    reserve : changes, several -> reserve of the check for each, to go by; nan where it cannot be made
    sides : of each input the changes to try, less or more than at present, the nearest first
    work_out : changes -> what comes of them, as `judged`; None where it cannot be made
    """
    design, check = judged.design, judged.check(key)
    need = 1.0 + design.close_share if check.verdict == CLOSE else 1.0 - ROUNDING
    present, found, best = reserve([{}])[0], [], None
    for side in sides:
        i, most = _first(reserve, side, need)
        if i is not None:
            found.append(side[i])
            if len({tuple(changes) for changes in found}) == WAYS:
                break
        elif most is not None and most[1] > WORTH * present and (best is None or most[1] > best[1]):
            best = most
    found = _each_once(sorted(found, key=lambda changes: _size(design, changes)))
    told = [mend for mend in (_mend(judged, key, changes, work_out(changes)) for changes in found) if mend]
    enough = [mend for mend in told if mend.enough][:WAYS]
    rest = told if best is None else [*told, _mend(judged, key, best[0], work_out(best[0]))]
    return tuple(enough) or tuple(mend for mend in rest if mend)[:1]


def mend_words(design: Design, found) -> str:
    """What mends a check, in words without a full stop; that nothing tried does, where there is none."""
    if not found:
        return "no change of one size near the present one helps it"
    told = "; or ".join(_words(design, mend) for mend in found)
    return told if found[0].enough else f"no one size mends it alone; the most does {told}"


def _words(design, mend):
    return _told(phrase(design, mend.changes), mend)


def _told(what, mend):
    then = f", but then {', '.join(map(lower, mend.then))} would not hold" if mend.then else ""
    reserve = BEYOND if np.isnan(mend.reserve) else f"{show(mend.reserve, '', 3)} times"
    return f"{what}: {reserve}{then}"


def _reserves(design, key):
    """A function from changes to the reserve of the check, to go by; nan where it cannot be made."""
    if key in _LOCAL:
        return lambda changes: np.array([_framed(design, key, one) for one in changes])

    def quick(changes):
        names = {name for one in changes for name in one}
        values = {name: np.array([one.get(name, getattr(design, name)) for one in changes]) for name in names}
        rated = compute(design, values or {"span": np.array([design.span])}, len(changes)).judged[key]
        return np.where(rated.beyond & rated.unknown, 0.0, np.broadcast_to(rated.reserve, len(changes)))

    return quick


def _framed(design, key, changes):
    try:
        return framed_to_go_by(design.replace(**changes), (_LOCAL[key],))[0]
    except ValueError:
        return np.nan


def sides_of(design: Design, name: str) -> list:
    """Changes of one input, less and more than at present, the nearest first."""
    values = sorted(change[name] for change in singles(design, False, (name,)))
    present = getattr(design, name)
    less, more = [v for v in values if v < present][::-1], [v for v in values if v > present]
    return [[{name: value} for value in side] for side in (less, more) if side]


def _first(reserve, side, need):
    """(the first of changes in order that has the need, or None; (the most that one does, its reserve) or None).

    Taken as if it rose along the order, so few are worked out: what is said of it is worked out after all.
    """
    last = len(side) - 1
    while last > 0 and np.isnan(reserve([side[last]])[0]):
        last //= 2
    end = reserve([side[last]])[0]
    if not end >= need:
        return None, None if np.isnan(end) else (side[last], end)
    low, high = -1, last
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reserve([side[middle]])[0] >= need else (middle, high)
    return high, (side[last], end)


def _size(design, changes):
    ((name, value),) = changes.items()
    present = getattr(design, name)
    if name == "setback" or not present > 0.0 or not value > 0.0:
        share = abs(value - present) / design.free_length
    else:
        share = abs(np.log(value / present))
    return lever_of(name).weight * share


def _each_once(found):
    seen = set()
    for changes in found:
        (name,) = changes
        if name not in seen:
            seen.add(name)
            yield changes
        if len(seen) > WAYS:
            return


def _study(design, changes):
    try:
        return evaluate(design.replace(**changes))
    except ValueError:
        return None


def _mend(study, key, changes, after):
    if after is None:
        return None
    bad = {c.key for c in study.limits if c.verdict == FAILS or untold(c)}
    then = tuple(c.name for c in after.limits if (c.verdict == FAILS or untold(c)) and c.key not in {*bad, key})
    check, before = after.check(key), study.check(key)
    good = (CLOSE, FAILS) if before.verdict == CLOSE else (FAILS,)
    return Mend(changes, check.reserve, check.verdict not in good and not untold(check), then)
