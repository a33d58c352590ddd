"""Every check of a part over two inputs, along its span and under its loads: what a map of a job with loads is made of.

All but the framed sheets is worked out for every cell, many together (`loads.standings`). A framed sheet is a plate
problem for every shape: some shapes are worked out, as far apart as can be among all cells and places along the span,
and between them is read in all dimensions that differ (`study.between`). A cell whose verdict or governing check hangs
on the doubt of that is worked out itself; where there are too many, the rest is told as not decided. First comes a map
of few cells, then the whole.
"""

from __future__ import annotations

from collections import ChainMap
from copy import copy
from dataclasses import fields, replace

import numpy as np

from ..blade.along_checks import worst_place
from ..blade.blade import ALONG_FIELDS, Blade
from ..blade.sections import NUMBERS, STOCK, roots_of
from ..mechanics.shell_sheared import NODES
from ..study import between
from ..study.between import evenly
from ..study.checks import CHECKS, LOCAL_RULES, judge, to_go_by
from ..study.design import Design
from ..study.every_map import CODES, Mapped, hangs, least_of
from ..study.framed_sheet import measured, modulus_known, sheet_compliance
from ..study.grain import sheet_grain
from ..study.pressed_face import SHAPED_BY
from ..study.sweeps import ELSEWHERE, GOVERNS, NOT_DECIDED, Sweep
from ..study.verdicts import Rated, worst_of_each
from ..units import read_count
from .checks import LOAD_RULES, close_share_of, rate_all, rate_places
from .in_place import IN_PLACE, guessed
from .load_file import LoadSheet, fitting_lines
from .many import of_each
from .ranges import BY_PRESSING, reserve_to_go_by, told_within
from .response import parabola_weights, skin_limits, stretches
from .standings import NOT_COUNTED, Alike, places_along

COARSE = 12  # cells each way of the first look
TOGETHER = 200  # cells worked out together
FIRST, BATCH, MOST = 9, 24, 400  # framed sheets: for a first look, then at a time, at most
# deflection of one sheet per pressure, linear; critical stress under the loads, under an even one; critical shear
# beside the first; deflection of a face of the pair under the pressure of the design, over that
PRESS, UNEVEN, EVEN, SHEARED, PRESSED = 0, 1, 2, slice(3, 3 + NODES), 3 + NODES
MEASURES = 4 + NODES
UNDER_LOADS = [PRESS, UNEVEN, *range(MEASURES)[SHEARED]]
_SIZES = *(name for name in SHAPED_BY if name not in ("sheet", "modulus_rule")), "pressure", "deflection_share"
LOADS = "loads."  # before the keys of checks under load
BY_FRAMED = tuple(rule for rule in LOAD_RULES if rule.local or rule.key in BY_PRESSING)
_AS_DESIGN = tuple(f.name for f in fields(Design) if f.init and f.name not in (*ALONG_FIELDS, *STOCK, *NUMBERS))


def part_map(blade: Blade, sheet: LoadSheet, swept: Sweep, most: int = MOST) -> Sweep:
    """A map with every check of a part counted, along its span and under its loads.

    blade, sheet : the part, at whose root the designs of the map stand, and its loads
    swept : a sweep over two numeric inputs, of a design at the root
    most : framed sheets worked out at most

    Its values hold the reserves of the checks of a design, each at its worst place along the span, and those of the
    checks under load as `Sweep.more`. What can be made at the root alone has the reason `sweeps.ELSEWHERE`. Cells that
    could not be decided govern as `sweeps.NOT_DECIDED`. ValueError for a sweep that is no map.
    """
    *_, last = part_map_steps(blade, sheet, swept, most)
    return last.sweep


def part_map_steps(blade: Blade, sheet: LoadSheet, swept: Sweep, most: int = MOST):
    """The same as a generator: gives a `study.every_map.Mapped` of few cells, then of all of them as they go on; in
    between, None after each stretch of work."""
    most = read_count(most, "most", 1)
    if len(swept.axes) != 2 or swept.records:
        raise ValueError("a map varies two numeric inputs")
    kept: dict = {}
    if max(swept.shape) > COARSE:
        few = _PartMap(blade, sheet, _thinned(swept), kept)
        yield from few.begin()
        yield from few.work_out(few.open, min(FIRST, most))
        yield few.mapped()
    whole = _PartMap(blade, sheet, swept, kept)
    yield from whole.begin()
    yield from whole.work_out(whole.open, min(between.SPREAD, most) - whole.done)
    mapped = whole.mapped()
    while mapped.undecided and whole.done < most:
        yield mapped
        yield from whole.work_out(whole.undecided, min(BATCH, most - whole.done))
        mapped = whole.mapped()
    yield replace(mapped, complete=True)


def _thinned(swept):
    """The same map with few cells, its first and last among them."""
    index = [np.unique(np.linspace(0, n - 1, min(n, COARSE)).round().astype(int)) for n in swept.shape]
    axes = {name: values[i] for (name, values), i in zip(swept.axes.items(), index, strict=True)}
    values = {name: column[np.ix_(*index)] for name, column in swept.values.items()}
    codes = {name: getattr(swept, name)[np.ix_(*index)] for name in ("reason_code", "governing_code")}
    return replace(swept, axes=axes, values=values, **codes)


class _Some:
    """Cells that differ in sizes and `NUMBERS` alone and can be made: `exact`, checks that hang on no framed sheet, and
    the others.

    made : which of the designs can be made; the others below are of these
    places : along the span at which framed sheets count, each a position [m] and whether it is read before a step there
    sizes : (cells, places, dimensions) of those sheets, as of `SHAPED_BY`; wanted: (places, measures) what counts there
    """

    def __init__(self, blade, sheet, designs):
        self.alike = alike = Alike(blade, sheet, designs)
        takes = alike.blade.takes_roots(roots_of(designs))
        self.made = [i for i in alike.made if takes[i]]
        self.blade, self.designs = alike.blade, [designs[i] for i in self.made]
        self.exact: dict = {}
        self.once: dict = {}  # of checks of `BY_PRESSING`: what they are rated by, and how with the doubt left out
        if not self.made:
            return
        self.study, self.solved = alike.study(self.made), alike.solved.some(self.made)
        _ = self.study.response.combined_strain  # now, while what it is made of is at hand
        self.under = BY_FRAMED if alike.local else ()
        quick = [rule for rule in LOAD_RULES if rule not in self.under]
        along = {key: named for (_, key), named in alike.along(self.made).items()}
        self.exact = {**along, **_under(self.study, quick, sheet.fittings)}
        self.counted = self._counted()
        self._lay_out(alike.position)

    def few(self, which) -> _Some:
        """Of these the places `which` alone, for `framed`."""
        some = copy(self)
        some.once = {}
        made = [self.made[i] for i in which]
        some.study, some.solved = self.alike.study(made), self.alike.solved.some(made)
        some.counted = {rule: cells[which] for rule, cells in self.counted.items()}
        return some

    def _counted(self):
        """{rule: cells in which it counts} of the framed sheet of a design along the span."""
        ask = {key: np.zeros(len(self.made), dtype=bool) for key in IN_PLACE}
        if self.under:
            ones = np.ones(np.shape(self.study.along.sections.land_end_x))
            study = self._with(ones, ones, np.repeat(ones, NODES, axis=1))
            for key, (_, by) in IN_PLACE.items():
                ask[key] = next(rule for rule in self.under if rule.key == by).asks(study)
        bare = [guessed(design) for design in self.designs]
        gives_way = {key: asks & np.array([key in keys for keys in bare]) for key, asks in ask.items()}
        counted = {rule: ~gives_way.get(rule.key, np.zeros(len(self.made), dtype=bool)) for rule in LOCAL_RULES}
        return {rule: cells for rule, cells in counted.items() if cells.any()}

    def _lay_out(self, position):
        """Places, their framed sheets, and how those under load are read along the span."""
        parts = list(stretches(self.blade, position)) if self.under else []
        ends = [place for _, _, three in parts for place in three]
        along = places_along(self.blade) if self.counted else []
        self.places, self.ends, self.along = [*ends, *along], slice(0, len(ends)), slice(len(ends), None)
        self.wanted = np.zeros((len(self.places), MEASURES), dtype=bool)
        self.wanted[self.ends, UNDER_LOADS], self.wanted[self.along, [PRESSED, EVEN]] = True, True
        self.weights = np.zeros((len(position), len(ends)))
        for i, (here, share, _) in enumerate(parts):
            self.weights[here, 3 * i : 3 * i + 3] = parabola_weights(share)
        columns = [np.array(column) for column in zip(*self.places, strict=True)] or [np.zeros(0)] * 2
        self.values = self.blade.values_with_roots(roots_of(self.designs), columns[0], columns[1].astype(bool))
        shape = len(self.made), len(self.places)
        whole = {name: np.array([[getattr(design, name)] for design in self.designs]) for name in _SIZES}
        sizes = {name: np.broadcast_to(values, shape) for name, values in {**whole, **self.values}.items()}
        self.sizes = np.stack([sizes[name] for name in _SIZES], axis=-1)

    def design(self, cell, place):
        """The design of a cell at one of the places."""
        return self.designs[cell].replace(**{name: float(v[cell, place]) for name, v in self.values.items()})

    def framed(self, logs, doubts, sign) -> dict:
        """{key: (name, `Rated` of each cell)} of the checks that hang on framed sheets.

        logs, doubts : (cells, places, measures); sign : of the doubt that is added
        """
        found = {}
        if self.counted:
            both = (logs + sign * doubts)[:, self.along][..., [PRESSED, EVEN]]
            press, even = np.exp(np.moveaxis(both, -1, 0)[:, :, None])
            press = self.solved.numbers["pressure"] * press
            known = ChainMap({"press_deflection": press, "buckling_stress": even}, self.solved)
            rated = judge(self.solved.numbers, known, tuple(self.counted))
            for rule, cells in self.counted.items():
                one = _to_go_by(worst_place(rated[rule.key]), to_go_by(rule, self.solved.numbers, known))
                found[rule.key] = rule.name, Rated(*map(np.where, [cells] * 5, one, NOT_COUNTED))
        if self.under:
            logs, doubts = logs[:, self.ends], doubts[:, self.ends]
            lines = self.weights @ logs + sign * (np.abs(self.weights) @ doubts)
            lines = np.exp(np.moveaxis(lines, -1, 1))
            study = self._with(lines[:, [PRESS]], lines[:, [UNEVEN]], lines[:, SHEARED])
            found |= _under(study, [rule for rule in self.under if rule.local])
            told = (rule for rule in self.under if not rule.local and rule.applies(study))
            found |= {f"{LOADS}{rule.key}": (rule.name, self._told(rule, study)) for rule in told}
        return found

    def _told(self, rule, study):
        """`Rated` of each part by a check of which only how far it can be told hangs on the framed sheet: rated once,
        and then again for parts alone of which that is another."""
        if rule.key not in self.once:
            limit, values = rule.limit(study).value, rule.values(study)[0]
            share = np.broadcast_to(close_share_of(study), (len(values), 1, 1))
            self.once[rule.key] = limit, (values, np.broadcast_to(limit, values.shape), share), None
        limit, given, last = self.once[rule.key]
        within = np.broadcast_to(told_within(rule.key, study, limit)[0], given[0].shape)
        again = np.ones(len(within), bool) if last is None else np.any(within != last[0], axis=(-2, -1))
        if not again.any():
            return last[1]
        rated = _each(*(part[again] for part in given), within[again])
        if last is None:
            self.once[rule.key] = limit, given, (within, rated)
            return rated
        whole = Rated(*(column.copy() for column in last[1]))
        for column, values in zip(whole, rated, strict=True):
            column[again] = values
        return whole

    def _with(self, press, buckling, sheared):
        plan, local = replace(self.study.plan, local=True), {"press": press, "buckling": buckling, "sheared": sheared}
        study = replace(self.study, plan=plan, local=local)
        vars(study)["here"] = self.study.here  # hangs on no framed sheet
        return study


def _under(study, rules, fittings=()):
    """{key: (name, `Rated` of each part)} of checks under load."""
    found = {}
    for rule in rules:
        if rule.applies(study):
            limit = rule.limit(study).value
            rated = rule.rated(study, limit)
            if rated is not None:
                one = of_each(rated, study)
                found[f"{LOADS}{rule.key}"] = rule.name, _to_go_by(one, lambda r=rule, v=limit: r.to_go_by(study, v))
    for line in fitting_lines(study, fittings):
        found[f"{LOADS}{line.key}"] = line.name, of_each(rate_places(line.values, line.limit.value, study), study)
    return found


def _each(values, limit, share, within):
    """`Rated` of each part, (parts, cases, places) of everything."""
    one = worst_of_each(rate_all(values, limit, share, within))
    return _to_go_by(one, lambda: reserve_to_go_by(values, limit, within))


def _to_go_by(rated, reserve):
    """`Rated` of each part, where it is beyond what can be told with the least reserve to go by, which is below one."""
    far = rated.beyond & np.isnan(rated.reserve)
    if not np.any(far):
        return rated
    reserve = np.asarray(reserve() if callable(reserve) else reserve)
    low = np.min(np.where(np.isnan(reserve), np.inf, reserve).reshape(len(far), -1), axis=1)
    return rated._replace(reserve=np.where(far, low, rated.reserve))


class _PartMap:
    """A map on its way: `done` framed sheets; cells of the flattened map that can be made, `open`, and `undecided`.

    kept : logarithms of framed sheets by their sizes, to which new ones are added
    read : {key: (name, `Rated` of every cell)} of the checks that are sure; of those that hang on framed sheets, as
        they are read; and with their doubt taken off and added
    """

    def __init__(self, blade, sheet, swept, kept):
        self.blade, self.sheet, self.swept, self.kept = blade, sheet, swept, kept
        self.size, self.some = swept.feasible.size, []
        self.reasons = swept.reason_code.ravel().copy()
        self.open, self.undecided = np.zeros(self.size, dtype=bool), np.zeros(self.size, dtype=bool)
        self.read: list = []

    @property
    def done(self):
        """Framed sheets worked out."""
        return len(self.kept)

    def begin(self):
        """Work out all but the framed sheets, some cells at a time; None after each."""
        kinds: dict = {}
        for cell in np.flatnonzero(self.reasons == 0):
            design = self.swept.design_at(*np.unravel_index(cell, self.swept.shape))
            kinds.setdefault(tuple(getattr(design, name) for name in _AS_DESIGN), []).append((cell, design))
        for alike in kinds.values():
            for start in range(0, len(alike), TOGETHER):
                self._add(alike[start : start + TOGETHER])
                yield None
        self._gather()

    def _add(self, pairs):
        """Some cells with their designs; those that cannot be worked out together are taken apart."""
        cells, designs = np.array([cell for cell, _ in pairs]), [design for _, design in pairs]
        try:
            some = _Some(self.blade, self.sheet, designs)
        except (ValueError, ArithmeticError):
            for half in (pairs[: len(pairs) // 2], pairs[len(pairs) // 2 :]) if len(pairs) > 1 else ():
                self._add(half)
            if len(pairs) == 1:
                self.reasons[cells] = ELSEWHERE
            return
        self.reasons[np.delete(cells, some.made)] = ELSEWHERE
        if some.made:
            self.open[cells[some.made]] = True
            self.some.append((cells[some.made], some))

    def _gather(self):
        """All framed sheets, each shape once."""
        sizes = [some.sizes.reshape(-1, len(_SIZES)) for _, some in self.some] or [np.zeros((0, len(_SIZES)))]
        self.shapes, rows = np.unique(np.concatenate(sizes), axis=0, return_inverse=True)
        parts = np.split(rows.ravel(), np.cumsum([len(part) for part in sizes])[:-1])
        self.rows = [row.reshape(some.sizes.shape[:2]) for row, (_, some) in zip(parts, self.some, strict=False)]
        known, self.first = np.zeros((len(self.shapes), MEASURES), dtype=bool), {}
        for number, (rows, (_, some)) in enumerate(zip(self.rows, self.some, strict=True)):
            for place, wanted in enumerate(some.wanted):
                known[rows[:, place]] |= wanted
            for cell, place in np.ndindex(rows.shape):
                self.first.setdefault(int(rows[cell, place]), (number, cell, place))
        known &= self._sure()
        differ = [column for column in self.shapes.T if np.ptp(column) > 0.0] if len(self.shapes) else []
        places = evenly(differ) if differ else np.zeros((len(self.shapes), 1))
        self.between = between.Between(places, known)
        for shape in range(len(self.shapes)):
            if (key := self.shapes[shape].tobytes()) in self.kept:
                self.between.put(shape, self.kept[key])

    def _sure(self):
        """(shapes, measures): where the sheet's moduli are known as far as each needs them."""
        thickness, sure = (
            self.shapes[:, _SIZES.index("sheet_thickness")],
            np.zeros((len(self.shapes), MEASURES), dtype=bool),
        )
        for t in np.unique(thickness):
            one = self.swept.design.replace(sheet_thickness=float(t))
            sure[thickness == t] = modulus_known(one) and sheet_grain(one).buckling
            for measure in (PRESS, PRESSED):
                sure[thickness == t, measure] = modulus_known(one)
        return sure

    def work_out(self, cells, count):
        """Work out so many more framed sheets of these cells (cells,), each as far as can be from those that are; None
        after each."""
        among = np.zeros(len(self.shapes), dtype=bool)
        for rows, (own, _) in zip(self.rows, self.some, strict=True):
            among[rows[cells[own]]] = True
        among &= self.between.known.any(axis=1)
        for _ in range(count):
            shape = self.between.farthest(among)
            if shape is None:
                return
            logs = self.kept[self.shapes[shape].tobytes()] = self._logs(shape)
            self.between.put(shape, logs)
            yield None

    def _logs(self, shape):
        number, cell, place = self.first[shape]
        design, known = self.some[number][1].design(cell, place), self.between.known[shape]
        logs = np.full(MEASURES, np.nan)
        names = [name for name, at in (("press_deflection", PRESSED), ("buckling_stress", EVEN)) if known[at]]
        found = {name: value for (name, _), value in measured(design, names).items()}
        logs[[PRESSED, EVEN]] = [found.get(name, np.nan) for name in ("press_deflection", "buckling_stress")]
        if known[PRESS]:
            logs[PRESS] = sheet_compliance(design)
        if known[UNEVEN]:
            logs[UNEVEN], logs[SHEARED] = skin_limits(design)
        return np.log(logs)

    def mapped(self, complete=False) -> Mapped:
        """Read what lies between, and say what is decided by that. Once all is read, cells that are decided stay as
        they are."""
        again = self.undecided if self.read else self.open
        asked = np.zeros(len(self.shapes), dtype=bool)
        parts = []
        for rows, (cells, some) in zip(self.rows, self.some, strict=True):
            which = np.flatnonzero(again[cells])
            if len(which):
                asked[rows[which]] = True
                parts.append((cells[which], rows[which], some if len(which) == len(cells) else some.few(which)))
        self.between.read(asked)
        self._fill(parts)
        sure = ~self.between.known.any(axis=1)
        sure[self.between.nodes] = True
        unread = self._any_of(self.between.unread)
        exact, rated, *ends = self.read
        hang = hangs(*(_reserves(found) for found in (exact, *ends))) if exact else unread
        self.undecided = again & (unread | hang) & self._any_of(~sure)
        return Mapped(self._sweep({**exact, **rated}), self.done, int(self.undecided.sum()), complete)

    def _fill(self, parts):
        """Checks of some cells, (cells, rows, some) each, put to what is read: those that are sure, and those that hang
        on framed sheets, as they are and with their doubt taken off or added."""
        if not self.read:
            self.read = [{}, {}, {}, {}]
            for cells, some in self.some:
                self._put(self.read[0], cells, some.exact)
        logs, doubts = self.between.logs, np.where(self.between.unread[:, None], 0.0, self.between.doubts)
        for found, sign in zip(self.read[1:], (0.0, -1.0, 1.0), strict=True):
            for cells, rows, some in parts:
                with np.errstate(over="ignore", invalid="ignore"):
                    self._put(found, cells, some.framed(logs[rows], doubts[rows], sign))

    def _any_of(self, shapes):
        """(cells,) whether that is so of any framed sheet of a cell."""
        found = np.zeros(self.size, dtype=bool)
        for rows, (cells, _) in zip(self.rows, self.some, strict=True):
            found[cells] = np.any(shapes[rows], axis=1)
        return found

    def _put(self, found, cells, part):
        """Into {key: (name, `Rated` of every cell)} those of some; not counted where a check does not apply."""
        for key, (name, rated) in part.items():
            if key not in found:
                found[key] = name, Rated(*(np.full(self.size, blank) for blank in NOT_COUNTED))
            for column, values in zip(found[key][1], rated, strict=True):
                column[cells] = values

    def _sweep(self, found):
        """The map with what was found of every check."""
        order = [*(rule.key for rule in CHECKS), *(f"{LOADS}{rule.key}" for rule in LOAD_RULES)]
        keys = sorted(found, key=lambda key: order.index(key) if key in order else len(order))
        more = {key: found[key][0] for key in keys if key not in CODES}
        place_of = {**CODES, **{key: len(GOVERNS) + i for i, key in enumerate(more)}}
        codes = np.array([*(place_of[key] for key in keys), -1], dtype=int)
        least, place = np.full(self.size, np.nan), np.full(self.size, -1)
        if keys:
            least, place = least_of(_reserves({key: found[key] for key in keys}))
        shape = self.swept.shape
        governing = np.where(self.undecided, NOT_DECIDED, codes[place]).astype(np.int8).reshape(shape)
        own = {f"{key}_reserve": found[key][1].reserve.reshape(shape).copy() for key in keys}
        made = (self.reasons == 0).reshape(shape)
        values = {name: np.where(made, column, np.nan) for name, column in self.swept.values.items()}
        values |= {**own, "least_reserve": least.reshape(shape)}
        reasons = self.reasons.reshape(shape)
        return replace(self.swept, values=values, governing_code=governing, reason_code=reasons, more=more)


def _reserves(found):
    return {key: rated for key, (_, rated) in found.items()}
