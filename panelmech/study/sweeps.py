"""Many designs at once: labelled arrays over any inputs, vectorised end to end.

`sweep(design, spacer_diameter=..., sheet_thickness=...)` computes every output of the study of one design on the
grid of the given values, by the same functions. Categorical inputs (sheet, adhesive, spacer) take names or records.
Where a design is not feasible the outputs are nan and a reason code says why; what is not known of one that is, another
code says. Large grids are worked through in chunks, so that only the outputs asked for take memory.

The framed sheet (`shell`) is a plate problem of its own for every sheet and shape: it is worked out one by one, and may
be left out. `study.every_map` has it for a map's thousands.
"""

from __future__ import annotations

from collections import ChainMap
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ..materials.stock import Adhesive, Sheet, Spacer, catalogue
from ..mechanics.bend_solver import IN_THE_LAND
from ..mechanics.bend_solver import REASONS as BEND_REASONS
from ..units import read_array
from .checks import CHECKS, LOCAL_RULES, RULES, judge
from .design import LIMITS, Design
from .framed_sheet import local_quantities
from .quantities import BENDING_QUANTITIES, Pick, Solved, gather
from .sweep_files import STOPPED, read_sweep, write_sweep
from .verdicts import least

CHUNK = 4096  # designs worked through together: their stations stay in the processor's cache
FRAMED_CHUNK = 64  # the same where each takes some hundredths of a second
MEMORY_LIMIT = 1.5 * 2**30  # bytes of results that one sweep may fill
REASONS = (  # why a part cannot be made; saved sweeps hold the codes, so what is new comes last
    *BEND_REASONS[:IN_THE_LAND],
    "the spacer wall is more than half the spacer diameter: use a thinner wall",
    "the closing frames leave nothing of the span: make them narrower or the span longer",
    STOPPED,
    BEND_REASONS[IN_THE_LAND],
    "the part cannot be made elsewhere along its span: change what runs along it",
    "inner ribs and solid zones do not fit the span between the closing frames: move them, or make the span longer",
)
WALL_TOO_THICK, NO_SPAN, NOT_REACHED, SPACER_IN_THE_LAND, ELSEWHERE, NO_ROOM = (IN_THE_LAND + i for i in range(6))
_SHEET, _FLAT = "is not known of this sheet at this thickness", "the flat wedge over the same rod"
UNKNOWNS = {  # why a number of a part that can be made is not told, by what is missing; bits of `unknown_code`
    "modulus": f"the modulus along the bend {_SHEET}: no forces, no stiffness",
    "span_modulus": f"the modulus along the span {_SHEET}: no stiffness of the whole part",
    "shear_modulus": f"the shear modulus {_SHEET}: no torsion",
    "forming_limit": f"the strain limit while forming {_SHEET}",
    "permanent_limit": f"the strain limit for good {_SHEET}",
    "toughness": "the toughness of this adhesive is not known",
    "spacer_modulus": "the modulus of this spacer is not known: no stiffness of the whole part",
    "spacer_poisson": "Poisson's ratio of this spacer is not known: no torsion",
    "spacer_density": "the density of this spacer is not known: no mass",
    "resin_modulus": "the modulus of this resin is not known: no stiffness of the whole part",
    "resin_poisson": "Poisson's ratio of this resin is not known: no torsion",
    "resin_density": "the density of this resin is not known: no mass",
    "density": "the density of this sheet is not known: no mass",
    "wedge": f"{_FLAT} cannot be made: nothing to compare with",
    "beyond": "a check is beyond what can be told",
}
STOCK = {"sheet": (Sheet, "sheets"), "adhesive": (Adhesive, "adhesives"), "spacer": (Spacer, "spacers")}
RESERVES = tuple(rule.reserve for rule in RULES)
GOVERNS = (*(rule.name for rule in CHECKS), "not decided")  # words of the codes of what governs
NOT_DECIDED = len(GOVERNS) - 1  # read between designs worked out, too near a limit or another check to tell
FRAMED_RESERVES = tuple(rule.reserve for rule in LOCAL_RULES)
OUTPUTS = (*BENDING_QUANTITIES, *RESERVES, "least_reserve")


@dataclass(frozen=True, eq=False)
class Sweep:
    """Results on a grid. `axes` maps each input to its values (SI, or names of stock), in the order of the array axes;
    `values` maps each output to an array of that shape (SI, nan where not feasible); `reason_code` indexes `REASONS`;
    `governing_code` indexes `GOVERNS`, first the checks of `study.checks.CHECKS`; -1 where nothing could be judged.
    `complete` is False if it was stopped: the rest then has the reason "not worked out". `more`: further checks that
    count, as those under loads, {key: name}, each with its reserve among the values; their codes follow `GOVERNS`.

    >>> from panelmech import sweep
    >>> from panelmech.job import demo
    >>> swept = sweep(demo().design, local=False, spacer_diameter=[0.018, 0.024, 0.15])
    >>> swept.feasible.tolist(), swept.governing(1)
    ([True, True, False], 'Bending strain, for good')
    """

    design: Design
    axes: dict
    values: dict
    reason_code: np.ndarray
    governing_code: np.ndarray
    complete: bool = True
    records: dict = field(default_factory=dict, repr=False)
    more: dict = field(default_factory=dict, repr=False)

    @property
    def shape(self) -> tuple:
        """Number of values on each axis."""
        return tuple(len(v) for v in self.axes.values())

    def __getitem__(self, output: str) -> np.ndarray:
        if output not in self.values:
            raise ValueError(f"this sweep has no output {output!r}; it has {', '.join(self.values)}")
        return self.values[output]

    @property
    def feasible(self) -> np.ndarray:
        """True where the design can be made: that is about its shape. What is not known of it: `unknown_code`."""
        return self.reason_code == 0

    @cached_property
    def unknown_code(self) -> np.ndarray:
        """For each design that can be made the bits of `UNKNOWNS`, first bit first, that leave an output nan; 0 where
        all is known. The framed sheet's own doubts are left out. Worked out when first asked for."""
        code = np.zeros(self.reason_code.size, dtype=np.int32)
        for part in chunks(code.size):
            arrays = _grid_arrays(self.axes, self.records, self.shape, part)
            code[part] = compute(self.design, arrays, part.stop - part.start).unknown_code
        return np.where(self.feasible, code.reshape(self.shape), 0)

    def unknown(self, *index) -> tuple:
        """Why outputs at this index are nan though the design can be made, in words; empty where all is known."""
        code = int(self.unknown_code[index])
        return tuple(words for bit, words in enumerate(UNKNOWNS.values()) if code >> bit & 1)

    def reason(self, *index) -> str:
        """Why the design at this index is not feasible; empty if it is."""
        return REASONS[self.reason_code[index]]

    def governing(self, *index) -> str:
        """Name of the check with the smallest reserve at this index; empty where nothing could be judged."""
        code = int(self.governing_code[index])
        return (*GOVERNS, *self.more.values())[code] if code >= 0 else ""

    @property
    def checks(self) -> dict:
        """{key: name} of the checks whose reserves it holds, in the order in which they count."""
        every = {**{rule.key: rule.name for rule in CHECKS}, **self.more}
        return {key: name for key, name in every.items() if f"{key}_reserve" in self.values}

    @property
    def undecided(self) -> np.ndarray:
        """True where what governs, or how, could not be told (`study.every_map`)."""
        return self.governing_code == NOT_DECIDED

    def design_at(self, *index) -> Design:
        """The design at this index, as a record of its own; ValueError where one of its inputs is not allowed."""
        changes = {}
        for (name, values), i in zip(self.axes.items(), index, strict=True):
            changes[name] = self.records[name][i] if name in self.records else float(values[i])
        return self.design.replace(**changes)

    def save(self, path) -> None:
        """Write the sweep with its input hash: `.npz` (everything) or `.csv` (a row a design, in shown units). Both are
        read back by `load_sweep`."""
        write_sweep(self, path, REASONS)


def load_sweep(path, design: Design | None = None) -> Sweep:
    """Read a saved sweep. `.npz` holds its design; for `.csv` give the `design` it was made from, which must have the
    stored input hash. Numbers from a CSV are as saved but for the last digit, since units were converted; names of
    stock are looked up in the design, then in the catalogue. ValueError if the file is no sweep, or its inputs do not
    match its hash."""
    read = read_sweep(path, design, REASONS, GOVERNS)
    if "records" not in read:
        stock = {name: read["axes"][name] for name in STOCK if name in read["axes"]}
        read["records"] = {name: tuple(_record(name, str(i), design) for i in items) for name, items in stock.items()}
    return Sweep(**read)


def sweep(design: Design, outputs=None, progress=None, local: bool = True, **axes) -> Sweep:
    """Study a grid of designs.

    Parameters
    ----------
    design : Design
        Gives every input that is not on an axis.
    outputs : sequence of str, optional
        Which outputs to keep, of `OUTPUTS` and `FRAMED_RESERVES`; all by default.
    progress : callable, optional
        Called as `progress(done, total)` after each chunk; a true answer stops the sweep (the rest stays nan,
        with a reason that says so).
    local : bool
        Also judge the framed sheet, so that least reserve and governing check are those of every check. It takes some
        10 ms for each sheet and shape; without it they are those of the quick checks.
    **axes
        One or more inputs by name: numbers in SI, or for sheet, adhesive and spacer records or names of the catalogue.

    Returns
    -------
    Sweep

    Raises
    ------
    ValueError
        Unknown input or output, a value outside the limits, or results that would not fit in memory.

    >>> from panelmech import sweep
    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> swept = sweep(demo().design, ["outer_thickness"], local=False, spacer_diameter=[0.016, 0.018, 0.020])
    >>> [show(value, "mm") for value in swept.values["outer_thickness"]]
    ['21.23 mm', '23.53 mm', '25.86 mm']
    """
    outputs = _known_outputs(outputs, local)
    records, axes = _checked_axes(axes)
    shape = tuple(len(values) for values in axes.values())
    total = int(np.prod(shape))
    _refuse_too_large(total, outputs)
    values = {name: np.full(total, np.nan) for name in outputs}
    reasons, governing = np.full(total, NOT_REACHED, dtype=np.int8), np.full(total, -1, dtype=np.int8)
    complete = True
    for part in chunks(total, FRAMED_CHUNK if local else CHUNK):
        arrays = _grid_arrays(axes, records, shape, part)
        designs = compute(design, arrays, part.stop - part.start)
        designs = designs.with_framed(_framed(design, arrays, designs.made)) if local else designs
        reasons[part], governing[part] = designs.reason_code, least(designs.reserves)
        for name, column in values.items():
            column[part] = designs[name]
        if progress is not None and progress(part.stop, total) and part.stop < total:
            complete = False
            break
    return Sweep(
        design,
        axes,
        {n: v.reshape(shape) for n, v in values.items()},
        reasons.reshape(shape),
        governing.reshape(shape),
        complete,
        records,
    )


def _grid_arrays(axes, records, shape, part):
    """Inputs of a part of the grid, counted through."""
    index = np.unravel_index(np.arange(part.start, part.stop), shape)
    return {
        name: Pick(records[name], i) if name in records else axis[i]
        for (name, axis), i in zip(axes.items(), index, strict=True)
    }


def _framed(design, arrays, made):
    """Quantities of the framed sheet of many designs, one by one; nan where not made."""
    found = {rule.quantity: np.full(len(made), np.nan) for rule in LOCAL_RULES}
    for i in np.flatnonzero(made):
        changes = {n: v.records[v.index[i]] if isinstance(v, Pick) else float(v[i]) for n, v in arrays.items()}
        quantities = local_quantities(design.replace(**changes), wanted=tuple(found), both=False)
        for name, column in found.items():
            column[i] = quantities[name]
    return found


def chunks(total: int, size: int = CHUNK):
    """Slices of designs to be worked through together."""
    return (slice(start, min(start + size, total)) for start in range(0, total, size))


@dataclass(frozen=True, eq=False)
class Designs:
    """Many designs, one value a design in every array; `designs[output]` is worked out when it is asked for.

    solved : quantities, as of `study.quantities`
    judged : `study.verdicts.Rated` by key of the check
    reason_code : index into `REASONS`, 0 where the design can be made
    """

    solved: Solved
    judged: dict
    reason_code: np.ndarray

    def __getitem__(self, output: str) -> np.ndarray:
        if output == "least_reserve":
            return np.fmin.reduce(self.reserves, axis=0)
        judged = self.judged.get(output.removesuffix("_reserve")) if output.endswith("_reserve") else None
        return self._where_made(self.solved[output] if judged is None else judged.reserve)

    def with_framed(self, quantities: dict, rules=LOCAL_RULES) -> Designs:
        """The same with checks of the framed sheet among theirs, by its `quantities`, arrays by name [SI]."""
        known = ChainMap(quantities, self.solved)
        return replace(self, judged={**self.judged, **judge(self.solved.numbers, known, rules)})

    def _where_made(self, values):
        return np.where(self.made, values, np.nan)

    @property
    def made(self) -> np.ndarray:
        """True where the design can be made."""
        return self.reason_code == 0

    @property
    def unknown_code(self) -> np.ndarray:
        """Bits of `UNKNOWNS`; 0 where all is known, or where not made."""
        numbers, code = self.solved.numbers, np.zeros(self.reason_code.shape, dtype=np.int32)
        lacking = {name: np.isnan(numbers[name]) for name in UNKNOWNS if name in numbers}
        lacking |= {"wedge": np.isnan(self.solved.wedge.angle), "beyond": np.any(self.beyond, axis=0)}
        for bit, name in enumerate(UNKNOWNS):
            code |= np.where(self.made & lacking[name], 1 << bit, 0).astype(np.int32)
        return code

    @property
    def reserves(self) -> np.ndarray:
        """(checks, designs) in the order of `study.checks.CHECKS` [-]; nan where not known, or not to be made."""
        return np.array([self._where_made(rated.reserve) for rated in self.judged.values()])

    @property
    def fails(self) -> np.ndarray:
        """(checks, designs): True where a check fails."""
        return np.array([np.broadcast_to(rated.fails, self.reason_code.shape) for rated in self.judged.values()])

    @property
    def beyond(self) -> np.ndarray:
        """(checks, designs): True where a check is unknown since its value is beyond what can be told."""
        rows = (rated.beyond & rated.unknown & self.made for rated in self.judged.values())
        return np.array([np.broadcast_to(row, self.reason_code.shape) for row in rows])

    @property
    def unknown(self) -> np.ndarray:
        """(checks, designs): True where a check cannot be judged."""
        return np.array([np.broadcast_to(rated.unknown, self.reason_code.shape) for rated in self.judged.values()])


def compute(design: Design, arrays: dict, size: int, **reading) -> Designs:
    """`size` designs given as flat arrays; the core of sweep, sizing, choice and scatter. `reading` goes to `gather`:
    how material values are read."""
    arrays = {"spacer_diameter": np.full(size, design.spacer_diameter), **arrays}  # so that every result is an array
    numbers = gather(design, **reading, **arrays)
    solved = Solved(numbers)
    codes = np.array(solved.bend.reason_code)
    codes[codes == IN_THE_LAND] = SPACER_IN_THE_LAND
    wall = np.broadcast_to(numbers["spacer_wall"] > 0.5 * np.asarray(numbers["spacer_diameter"]), size)
    frames = np.broadcast_to(2.0 * np.asarray(numbers["frame_width"]) >= numbers["span"], size)
    codes[(codes == 0) & wall] = WALL_TOO_THICK
    codes[(codes == 0) & frames] = NO_SPAN
    codes[(codes == 0) & ~design.inside.fits(numbers["span"], numbers["frame_width"])] = NO_ROOM
    return Designs(solved, judge(numbers, solved), codes)


def _known_outputs(outputs, local):
    every = (*OUTPUTS, *FRAMED_RESERVES) if local else OUTPUTS
    outputs = every if outputs is None else tuple(outputs)
    unknown = [name for name in outputs if name not in every]
    if unknown:
        raise ValueError(f"unknown output {', '.join(map(str, unknown))}; known are {', '.join(every)}")
    return outputs


def _checked_axes(axes):
    """Records of categorical axes, and all axes as labelled one-dimensional values."""
    if not axes:
        raise ValueError("a sweep needs at least one input to vary, for example spacer_diameter=[0.016, 0.018, 0.02]")
    records, labelled = {}, {}
    for name, given in axes.items():
        if name in STOCK:
            records[name] = tuple(_record(name, item) for item in given)
            labelled[name] = np.array([item.name for item in records[name]])
        elif name in LIMITS:
            labelled[name] = _numbers(name, given)
        else:
            raise ValueError(f"{name} cannot be swept; inputs are {', '.join([*LIMITS, *STOCK])}")
        if len(labelled[name]) == 0:
            raise ValueError(f"{name}: give at least one value")
    return records, labelled


def _record(name, item, design=None):
    kind, stock = STOCK[name]
    if design is not None and getattr(design, name).name == item:
        return getattr(design, name)
    if isinstance(item, str):
        return getattr(catalogue, stock)[item]
    if not isinstance(item, kind):
        raise ValueError(f"{name}: {item!r} is neither a {kind.__name__} nor a name of the catalogue")
    return item


def _numbers(name, given):
    limit = LIMITS[name]
    words = f"{limit.label} ({name})"
    return read_array(given, words, limit.unit, *limit.range, axes=1, least=1, hint="as a list, in SI").copy()


def _refuse_too_large(total, outputs):
    needed = total * (8 * len(outputs) + 2)
    if needed > MEMORY_LIMIT:
        raise ValueError(
            f"{total} designs with {len(outputs)} outputs need {needed / 2**30:.1f} GiB: name fewer outputs "
            f"(outputs=[...]) or vary fewer values; allowed is {MEMORY_LIMIT / 2**30:.1f} GiB"
        )
