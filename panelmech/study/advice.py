"""What to change, and by how much, so that every check holds: worked out, and said in a sentence.

Sizes one can buy (spacer, sheet) and round values (free length, setback, span) are tried, one input at a time; where
none will do, a spacer and a sheet together. All candidates go through the arrays of `sweeps` at once; their framed
sheets are foretold from the nearest one worked out, as powers of what they hang on most. What is said of a candidate is
only what `evaluate` says of it, with all checks. The land changes no check, so it is not tried; nor is what the user
judges (margins, pressure, friction).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import capital, from_si, show, show_input, shown_unit, to_si
from .checks import LOCAL_RULES, framed_to_go_by
from .design import LIMITS, Design
from .study import Study, evaluate
from .sweeps import compute
from .verdicts import BEYOND, CLOSE, FAILS, HOLDS, ROUNDING, lower, worst_verdict

MOST = 8  # designs worked out in full for one advice; each takes some hundredths of a second
WAYS = 2  # ways looked for


@dataclass(frozen=True)
class Lever:
    """An input that may be changed.

    words : for a new value
    weight : how much a change is minded beside the same share of another; chord and span are the job
    reach : from and to which multiple of the present value it is tried
    """

    words: str
    weight: float
    reach: tuple


LEVERS = {
    "spacer_diameter": Lever("a {} spacer", 1.0, (0.2, 5.0)),
    "sheet_thickness": Lever("a {} sheet", 1.0, (0.4, 2.5)),
    "free_length": Lever("a free length of {}", 2.0, (0.6, 1.7)),
    "setback": Lever("a setback of {}", 2.0, ()),
    "span": Lever("a span of {}", 4.0, (0.4, 1.5)),
}
OF_LOADS = {  # inputs that change nothing of a design alone, but do under loads
    "spacer_wall": Lever("a rod with a wall of {}", 1.0, (0.3, 4.0)),
    "land_length": Lever("a land of {}", 1.0, (0.5, 3.0)),
}
OF_FITTINGS = {  # sizes of a bolt, a stud, a round stock
    "diameter": Lever("a diameter of {}", 1.0, (0.3, 4.0)),
    "length": Lever("a length of {}", 1.0, (0.5, 5.0)),
    "edge_distance": Lever("an edge distance of {}", 1.0, (0.5, 5.0)),
}


def lever_of(name: str) -> Lever:
    """The lever of an input, by its name."""
    return {**LEVERS, **OF_LOADS, **OF_FITTINGS}[name]


def _unit_of(name):
    return "mm" if name in OF_FITTINGS else LIMITS[name].unit


POWERS = {  # with which the reserves of `LOCAL_RULES` follow these quantities, about: near a flat strip's
    "sheet_thickness": (3.0, 1.7),
    "contact_arclength": (-3.0, -2.0),
    "spacer_diameter": (0.0, 0.3),
    "span": (-0.2, 0.0),
}


@dataclass(frozen=True)
class Way:
    """A changed design, as worked out.

    changes : input -> new value [SI]
    verdict : the worst of the checks that can be judged
    least_reserve : [-]; `governing`: name of the check that has it
    judged : whether every limit has a basis
    beyond : whether that check is beyond what can be told; the least reserve is then only one to go by
    """

    changes: dict
    verdict: str
    least_reserve: float
    governing: str
    judged: bool
    beyond: bool = False


@dataclass(frozen=True)
class Advice:
    """What to change, in `words`, and the `ways` the words are made of, the least change first; where none holds, the
    best one worked out. Without words there is nothing to change."""

    words: str = ""
    ways: tuple[Way, ...] = ()


def advise(of: Study | Design) -> Advice:
    """What would make every check hold.

    Parameters
    ----------
    of : Study or Design
        A study of a design, or a design that cannot be bent; one that can is evaluated first, and so is that of a study
        without its framed sheet.

    Returns
    -------
    Advice
        Empty where every check that can be judged holds already. The least change is by share of the present value,
        that of free length and setback counted twice, of span four times.

    Notes
    -----
    At most 8 designs are worked out, in about a third of a second. A way is looked for that holds; next, one that is
    close. That none was found is no proof that there is none.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> advise(evaluate(demo().design.replace(friction=0.05))).words
    'A 10 mm spacer instead of 18 mm and a 2.5 mm sheet instead of 2 mm would hold: least reserve 1.49, friction
    needed to hold the rod.'
    """
    design = of.design if isinstance(of, Study) else of
    study = of if isinstance(of, Study) and "press_deflection" in of.quantities else _evaluated(design)
    if study is not None and _verdict(study) not in (CLOSE, FAILS):
        return Advice()
    search = _Search(design, study)
    ones, pairs = (search.table(changes) for changes in (singles(design, study is None), _pairs(design)))
    needs = (1.0 + design.close_share, 1.0 - ROUNDING)[: 2 if study is None or _verdict(study) == FAILS else 1]
    for need in needs:
        for table in (ones, pairs):
            ways = search.ways(table, need)
            if ways:
                return Advice(_words(design, ways), ways)
    return _best(design, study, search, ones)


def _evaluated(design):
    try:
        return evaluate(design)
    except ValueError:
        return None


def _verdict(study):
    """The worst verdict of the checks that can be judged; what is beyond what can be told has to be mended too."""
    if _beyond(study):
        return FAILS
    return worst_verdict(check for check in study.limits if not np.isnan(check.reserve))


def _least(study):
    """Least reserve; where something is beyond what can be told that to go by, below one."""
    if not _beyond(study):
        return study.least_reserve
    return float(np.nanmin([study.least_reserve, *framed_reserves(study)]))


def _beyond(study):
    """The first check without a reserve because its value is beyond what can be told, or None."""
    return next((check for check in study.limits if check.beyond and np.isnan(check.reserve)), None)


def framed_reserves(study: Study) -> list:
    """Reserves of the framed sheet's checks to search by (`study.checks.framed_to_go_by`)."""
    return framed_to_go_by(study.design, known={**study.quantities, **study.extra["linear"]})


# ----- Candidates


def singles(design: Design, wide: bool, names=tuple(LEVERS)):
    """Changes of one input of `names` each; `wide`: reach further, for a design that cannot be bent."""
    values = {
        "spacer_diameter": design.spacer.diameters,
        "sheet_thickness": design.sheet.stock_thicknesses,
        "spacer_wall": [wall for wall in design.spacer.walls if wall < 0.5 * design.spacer_diameter],
    }
    for name in names:
        lever, present = lever_of(name), getattr(design, name)
        low, high = (share * present for share in lever.reach) if lever.reach else _setbacks(design)
        if wide and lever.reach:
            low, high = 0.1 * low, 3.0 * high
        size = present if lever.reach else design.spacer_diameter
        for value in values.get(name) or round_values(size, *_allowed(name, low, high), _unit_of(name)):
            if low <= value <= high and abs(value - present) > 1e-9:
                yield {name: float(value)}


def _setbacks(design):
    return min(design.setback, 0.0), max(design.setback, design.spacer_diameter)


def _allowed(name, low, high):
    return max(low, LIMITS[name].range[0]), min(high, LIMITS[name].range[1])


def round_values(size: float, low: float, high: float, unit: str = "mm") -> list:
    """Round values from low to high in the unit that is shown for `unit`, some 2 % of a size apart [SI]."""
    unit = shown_unit(unit)
    step = 0.02 * from_si(size, unit)
    decade = 10.0 ** np.floor(np.log10(step))
    step = decade * min((1.0, 2.0, 5.0, 10.0), key=lambda s: abs(np.log(s * decade / step)))
    low, high = (from_si(float(v), unit) for v in (low, high))
    return [to_si(float(f"{n * step:.9g}"), unit) for n in range(int(np.ceil(low / step)), int(high / step) + 1)]


def _pairs(design):
    ones = list(singles(design, False))
    spacers, sheets = ([c for c in ones if name in c] for name in ("spacer_diameter", "sheet_thickness"))
    return [spacer | sheet for spacer in spacers for sheet in sheets]


@dataclass(frozen=True, eq=False)
class _Table:
    """Candidates, the least change first. `size` of the change; `logs` of the quantities of `POWERS` (quantities,
    candidates); `quick`: reserves of the checks a sweep has (checks, candidates), nan where not known, zero where the
    part cannot be made."""

    changes: list
    size: np.ndarray
    logs: np.ndarray
    quick: np.ndarray


class _Search:
    """Works candidates out, MOST of them in all. `known`: [(logs of the quantities of `POWERS`, local reserves)]
    of designs worked out; `tried`:
    [(changes, Way)]."""

    def __init__(self, design, study):
        self.design, self.known, self.tried = design, [], []
        if study is not None:
            self._learn(study)

    def table(self, changes) -> _Table:
        """Candidates by arrays."""
        changes = sorted(changes, key=self._size)
        values = {
            name: np.array([c.get(name, getattr(self.design, name)) for c in changes], dtype=float) for name in LEVERS
        }
        designs = compute(self.design, values, len(changes))
        with np.errstate(divide="ignore", invalid="ignore"):
            logs = np.log([designs[name] for name in POWERS])
        quick = np.where(designs.made, designs.reserves, 0.0)
        return _Table(changes, np.array([self._size(c) for c in changes]), logs, quick)

    def _size(self, changes):
        return sum(LEVERS[name].weight * self._share(name, value) for name, value in changes.items())

    def _share(self, name, value):
        present = getattr(self.design, name)
        return abs(value - present) / self.design.free_length if name == "setback" else abs(np.log(value / present))

    def ways(self, table, need) -> tuple:
        """Up to `WAYS` ways that change different inputs and whose reserves are `need` at least."""
        found = {tuple(c): way for c, way in self.tried if self._enough(way, need) and c in table.changes}
        while len(self.tried) < MOST:
            i = next((i for i in np.flatnonzero(self.least(table) >= need) if self._open(table, i, found)), None)
            if i is None:
                break
            way = self.work_out(table.changes[i])
            if self._enough(way, need):
                found[tuple(way.changes)] = way
        return tuple(sorted(found.values(), key=lambda way: self._size(way.changes)))[:WAYS]

    def _open(self, table, i, found):
        """Whether a candidate is still to be worked out: not done yet, and of use beside what is found."""
        changes = table.changes[i]
        if changes in (c for c, _ in self.tried):
            return False
        better = found.get(tuple(changes))
        return table.size[i] < self._size(better.changes) if better else len(found) < WAYS

    def _enough(self, way, need):
        return way is not None and way.least_reserve >= need

    def least(self, table) -> np.ndarray:
        """Least reserve foretold for each candidate [-]."""
        reserves = np.vstack([table.quick, self._local(table)])
        return np.min(np.where(np.isnan(reserves), np.inf, reserves), axis=0, initial=np.inf)

    def _local(self, table):
        """Reserves of the framed sheet, foretold from the nearest design worked out; nan where none is."""
        foretold, nearest = np.full((len(LOCAL_RULES), len(table.changes)), np.nan), np.inf
        powers = np.array(list(POWERS.values())).T
        for logs, reserves in self.known:
            steps = table.logs - logs[:, None]
            apart = np.sum(np.abs(steps), axis=0)
            foretold = np.where(apart < nearest, reserves[:, None] * np.exp(powers @ steps), foretold)
            nearest = np.fmin(apart, nearest)
        return foretold

    def work_out(self, changes) -> Way | None:
        """The way of these changes; None where it cannot be made after all."""
        try:
            study = evaluate(self.design.replace(**changes))
        except ValueError:
            self.tried.append((changes, None))
            return None
        self._learn(study)
        beyond = _beyond(study)
        governing = beyond or study.governing
        name = governing.name if governing else ""
        way = Way(changes, _verdict(study), _least(study), name, not study.unknown, bool(beyond))
        self.tried.append((changes, way))
        return way

    def _learn(self, study):
        values = [study.quantities.get(name, getattr(study.design, name, None)) for name in POWERS]
        self.known.append((np.log(values), np.array(framed_reserves(study))))


# ----- Words


def _present(value, unit):
    """A present value; one that followed from another, with its many digits, to six."""
    return min(show_input(value, unit), show_input(value, unit, 6), key=len)


def phrase(design: Design, changes: dict) -> str:
    """Changes of inputs [SI] in words: "a 20 mm spacer instead of 18 mm"."""
    parts = (
        f"{lever_of(name).words.format(show_input(value, _unit_of(name)))} instead of "
        f"{_present(getattr(design, name), _unit_of(name))}"
        for name, value in changes.items()
    )
    return " and ".join(parts)


def _words(design, ways):
    first, *others = ways
    word = "would hold" if first.verdict == HOLDS else "would not fail, though it is close"
    known = "" if first.judged else ", as far as it can be judged"
    text = f"{capital(phrase(design, first.changes))} {word}{known}: {_reserve(first)}."
    same = [way for way in others if (way.verdict, way.judged) == (first.verdict, first.judged)]
    return " ".join([text, *(f"So would {phrase(design, way.changes)}: {_reserve(way)}." for way in same)])


def _reserve(way):
    if way.beyond:
        return f"{lower(way.governing)} still {BEYOND}"
    return f"least reserve {show(way.least_reserve, '', 3)}, {lower(way.governing)}"


def _best(design, study, search, ones):
    """Where nothing holds: the best of what was worked out, or of what is foretold."""
    foretold = search.least(ones)
    if not any(way for _, way in search.tried) and foretold.size and foretold.max() > 0.0:
        search.work_out(ones.changes[int(np.argmax(foretold))])
    ways = [way for _, way in search.tried if way is not None and np.isfinite(way.least_reserve)]
    best = max(ways, key=lambda way: way.least_reserve, default=None)
    none = "No size sold and no round value near the present one was found that holds"
    if best is None or (study is not None and best.least_reserve <= _least(study)):
        return Advice(f"{none}, nor one that comes nearer to it.")
    if best.verdict != FAILS:  # foretold too low
        return Advice(_words(design, [best]), (best,))
    return Advice(f"{none}; nearest to it comes {phrase(design, best.changes)}: {_reserve(best)}.", (best,))
