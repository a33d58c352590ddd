"""One quantity of a stock record: how it is checked, kept in files and labelled."""

import math
from dataclasses import KW_ONLY, dataclass
from typing import Any

import numpy as np

from ..units import read_array, read_number


@dataclass(frozen=True)
class Property:
    """One quantity of a stock record: how it is checked, kept in files and labelled.

    name : field of the record
    label : what notes call it
    unit : usual unit, in notes and in the key of an entry; the record itself is in SI
    plausible : (least, most) in an entry [SI], wide enough for any real stuff, narrow enough to catch a wrong unit;
        a least of 0 says that the value may be 0, else it is positive
    table : field with its values over thickness, "" where it has none
    below : the value must be below this [SI]
    needed : an entry must give it; else it may be None
    shape : "number", "list" of lengths, "pair" (absolute [m], relative [-]), or "names" of other stock
    noted : place among the inputs of a design note, 0 where it does not stand there
    """

    name: str
    label: str
    unit: str
    plausible: tuple = ()
    table: str = ""
    _: KW_ONLY
    below: float = math.inf
    needed: bool = False
    shape: str = "number"
    noted: int = 0

    def read(self, value, where: str):
        """A value of the record, checked; ValueError, beginning with `where`, unless it is as the row says."""
        if self.shape == "names":
            return _read_names(value, where)
        if self.shape == "list":
            return tuple(read_array(value, where, self.unit, above=0.0, axes=1).tolist())
        if value is None and not self.needed:
            return None
        if self.shape == "pair":
            return self._read_pair(value, where)
        ends: dict[str, Any] = {"low": 0.0} if self.plausible[0] == 0.0 else {"above": 0.0}
        hint = "" if self.needed else "None where there is no basis"
        return read_number(value, where, self.unit, below=self.below, hint=hint, **ends)

    def _read_pair(self, value, where):
        allowed = "(absolute in metres, relative as a fraction below 1), neither negative, or None if unknown"
        pair = read_array(value, where, low=0.0, axes=1, hint=allowed)
        if len(pair) != 2 or pair[1] >= 1.0:
            raise ValueError(f"{where} is {value!r}: give {allowed}")
        return tuple(pair.tolist())

    def read_table(self, rows, value, label: str):
        """The rows of its table over thickness, checked, `value` [SI] being the plain one; ValueError as `read`."""
        if rows is None:
            return None
        where = f"{label}: {self.table}"
        allowed = "at least two rows (thickness in metres, value in SI units), positive, thickness rising"
        out = read_array(rows, where, above=0.0, axes=2, hint=allowed)
        if len(out) < 2 or out.shape[1] != 2 or np.any(np.diff(out[:, 0]) <= 0.0):
            raise ValueError(f"{where} is {rows!r}: give {allowed}")
        read_array(out[:, 1], where, below=self.below)
        low, high = out[:, 1].min(), out[:, 1].max()
        if value is None or not low <= value <= high:
            span = f"{low:g} to {high:g}"
            raise ValueError(f"{label}: {self.name} is {value!r}: give a value within those of {self.table}, {span}")
        return tuple(map(tuple, out.tolist()))


def _read_names(value, where):
    sound = isinstance(value, tuple | list) and all(isinstance(name, str) and name.strip() for name in value)
    if not sound or len(set(value)) != len(value):
        raise ValueError(f"{where} is {value!r}: give a list of names, none twice, or an empty one")
    return tuple(value)
