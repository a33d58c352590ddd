"""Verdicts: the one rule by which every check of study, loads, shop and bench is judged.

A check is a value beside its limit. The reserve is how many times the limit exceeds the value (a ceiling) or the value
the limit (a floor). "fails": the reserve is below one; "close": above one by less than a stated share; "holds"; and
"unknown" where value or limit has no basis. Of what is measured the bench may also be "unsure", said as "not sure yet":
a reading is missing or in doubt, or its uncertainty reaches over the limit. Comparisons with the flat wedge say "more",
"less" or "same": of what, stands in their name.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ..materials.records import BASES
from ..materials.stock import Sheet
from ..units import show, show_input

HOLDS, CLOSE, FAILS, UNKNOWN = VERDICTS = ("holds", "close", "fails", "unknown")
UNSURE = "unsure"  # of a measured pair only
WORST_FIRST = (FAILS, UNKNOWN, CLOSE, HOLDS)
BEYOND = "beyond what this can tell"  # instead of a value outside its model
LETS_GO = "lets go before"  # instead of a deflection that is no longer small or steady
DEFAULT = "default, not yet yours"  # basis of a limit that nobody has set himself
CHECK_BASES = (*BASES, DEFAULT)  # what the limit of a check may rest on
ROUNDING = 1e-9  # a reserve below one by less than this is at its limit


class Rated(NamedTuple):
    """Value and limit [SI], reserve [-], code of the verdict (index into `VERDICTS`), and whether the value is beyond
    what can be told; floats or arrays."""

    value: np.ndarray
    limit: np.ndarray
    reserve: np.ndarray
    code: np.ndarray
    beyond: np.ndarray | bool = False

    @property
    def fails(self) -> np.ndarray:
        """True where the check fails."""
        return self.code == VERDICTS.index(FAILS)

    @property
    def unknown(self) -> np.ndarray:
        """True where value or limit is not known."""
        return self.code == VERDICTS.index(UNKNOWN)

    @property
    def verdict(self) -> str:
        """Word for a single value."""
        return VERDICTS[int(self.code)]


def rate(value, limit, close_share, ceiling: bool = True, within=np.inf) -> Rated:
    """Rate values against limits, floats or arrays that broadcast, nan or None where not known.

    `close_share` [-]: what the reserve may be above one and still be called close. Nothing asked of a ceiling leaves an
    endless reserve. `within`: greatest value that can be told. Beyond it a value is unknown, without a reserve; but
    with a ceiling that lies within, it surely fails, and the reserve is the greatest it can be.
    """
    value, limit = np.asarray(value, dtype=float), np.asarray(limit, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        reserve = np.where((value == 0.0) & ~np.isnan(limit), np.inf, limit / value) if ceiling else value / limit
    share = np.asarray(close_share, dtype=float)
    code = np.where(reserve < 1.0 - ROUNDING, 2, np.where((share > 0.0) & (reserve < 1.0 + share), 1, 0))
    code = np.where(np.isnan(reserve), 3, code)
    beyond = value > within
    if not np.any(beyond):
        return Rated(value, limit, reserve, code, beyond)
    sure = beyond & (limit < within) if ceiling else np.zeros_like(beyond)
    with np.errstate(divide="ignore", invalid="ignore"):
        most = np.where(sure, limit / within, np.nan)
    return Rated(value, limit, np.where(beyond, most, reserve), np.where(beyond, np.where(sure, 2, 3), code), beyond)


def least(reserves) -> np.ndarray:
    """Index of the check with the least reserve, from reserves (checks, ...); -1 where none is known."""
    known = ~np.all(np.isnan(reserves), axis=0)
    return np.where(known, np.argmin(np.where(np.isnan(reserves), np.inf, reserves), axis=0), -1)


@dataclass(frozen=True)
class Check:
    """One line of a table of checks.

    Attributes
    ----------
    key, name : str
        By which code and people know it.
    value, limit : float
        SI; a comparison or note has no limit (nan).
    reserve : float
        How many times the limit exceeds the value, or the value the limit where `need` is "at least" [-].
    verdict : str
        One of `VERDICTS`; of a comparison "more", "less", "same", of a note "note".
    unit : str
        On screen.
    basis, source : str
        Of the limit: in a word or two, and in full.
    advice : str
        What helps where it fails, what to enter where it is unknown, and what to know of the value.
    kind : str
        "limit", "comparison" or "note".
    need : str
        "at most" or "at least".
    case : str
        The load case that governs; empty where there are none.
    position : float
        Where it governs, from the root end [m]; nan where it has no place.
    along : tuple
        Positions [m], values and limits of the case with the least reserve at each place, for a plot; may be empty.
    beyond : str
        Why the value is beyond what can be told; it is then nan. "" where it is not.

    >>> from panelmech.job import demo
    >>> from panelmech import evaluate
    >>> check = evaluate(demo().design, local=False).check("permanent_strain")
    >>> check.verdict, check.value_text(), check.limit_text()
    ('holds', '0.0587 %', '0.200 %')
    """

    key: str
    name: str
    value: float
    limit: float
    reserve: float
    verdict: str
    unit: str
    basis: str
    source: str
    advice: str = ""
    kind: str = "limit"
    need: str = "at most"
    case: str = ""
    position: float = np.nan
    along: tuple = field(default=(), compare=False, repr=False)
    beyond: str = ""

    @property
    def default(self) -> bool:
        """Whether its limit is a default that nobody has made his own."""
        return self.basis == DEFAULT

    def value_text(self) -> str:
        """Value with unit, or that it is beyond what can be told, or that what is pressed lets go."""
        return LETS_GO if np.isposinf(self.value) else BEYOND if self.beyond else show(self.value, self.unit, 3)

    def limit_text(self) -> str:
        """Limit with unit; a dash where there is none."""
        return show(self.limit, self.unit, 3)

    def reserve_text(self) -> str:
        """Reserve as a multiple; a dash where there is none, and "no load" where nothing is asked."""
        if np.isposinf(self.reserve):
            return "no load"
        most = "at most " if self.beyond and self.reserve == self.reserve else ""
        return most + show(self.reserve, "x", 3 if self.reserve < 1000 else 2)

    def judged_text(self) -> str:
        """Its name, its value and its limit in words, as they stand within a sentence; a default is told as one."""
        need = "allowed" if self.need == "at most" else "needed"
        default = f" ({DEFAULT})" if self.default else ""
        return f"{lower(self.name)}, {self.value_text()} with {self.limit_text()} {need}{default}"

    def where_text(self) -> str:
        """The governing case and place in words."""
        place = f", {show(self.position, 'mm', 3)} from the root" if np.isfinite(self.position) else ""
        return f"{self.case}{place}" if self.case else ""


NOT_SAID = "a value it is reckoned from is not known: see the notes"


def check_of(
    rated: Rated,
    key: str,
    name: str,
    unit: str,
    basis: str,
    source: str,
    *,
    advice: str = "",
    missing: str = "",
    remark: str = "",
    ceiling: bool = True,
    beyond: str = "",
    **where,
) -> Check:
    """The line of one rated value. `advice` is said where it fails, `missing` where it is unknown, `remark` always,
    `beyond` where it is beyond what can be told: up to where, and why; `where`: case, position, along."""
    value, limit, reserve = (float(part) for part in rated[:3])
    why = (beyond or "outside its model") if rated.beyond else ""
    said = {FAILS: advice, UNKNOWN: "" if why else missing or NOT_SAID}.get(rated.verdict, "")
    words, need = "; ".join(filter(None, (said, why, remark))), "at most" if ceiling else "at least"
    value, more = (np.nan if why else value), {"need": need, "beyond": why, **where}
    return Check(key, name, value, limit, reserve, rated.verdict, unit, basis, source, words, **more)


def note_of(key: str, name: str, value, unit: str, source: str, words: str, basis: str = "derived", **more) -> Check:
    """A line that is shown without verdict; `more`: fields of `Check`, the limit for one."""
    fields = {"limit": np.nan, "reserve": np.nan, "verdict": "note", "kind": "note", **more}
    return Check(key=key, name=name, value=float(value), unit=unit, basis=basis, source=source, advice=words, **fields)


def worst(rated: Rated, names, position) -> tuple[Rated, dict]:
    """The rating with the least reserve of (cases, stations), and where: `case`, `position`, `along` of a `Check`.

    `names` of the cases, `position` of the stations [m]. What fails without a reserve (it cannot be made) counts as
    least; what is beyond what can be told stands before all that hold; where nothing is known the largest value stands.
    """
    rated = Rated(*np.broadcast_arrays(*(np.atleast_2d(part) for part in rated)))
    order = _worst_first(rated)
    case, station = np.unravel_index(np.argmin(order), order.shape)
    worst_case = np.argmin(order, axis=0)[None]
    told = np.where(rated.beyond, np.nan, rated.value), rated.limit
    along = (position, *(np.take_along_axis(part, worst_case, axis=0)[0] for part in told))
    where = {"case": names[case], "position": float(position[station]), "along": along}
    return Rated(*(np.asarray(part)[case, station] for part in rated)), where


def worst_of_each(rated: Rated) -> Rated:
    """The same of many parts at once: (parts, cases, stations) to (parts,)."""
    rated = Rated(*np.broadcast_arrays(*rated))
    flat = _worst_first(rated).reshape(len(rated.value), -1)
    at = np.arange(len(flat)), np.argmin(flat, axis=1)
    return Rated(*(np.reshape(part, flat.shape)[at] for part in rated))


def _worst_first(rated):
    """What the worst of (..., cases, stations) is the least of."""
    if not np.any(np.isnan(rated.reserve)):
        return rated.reserve
    order = np.where(np.isnan(rated.reserve) & rated.fails, -np.inf, rated.reserve)
    order = np.where(np.isnan(order) & rated.beyond, 1.0 - ROUNDING, order)
    nothing = np.all(np.isnan(order), axis=(-2, -1), keepdims=True)
    order = np.where(np.isnan(order), np.where(nothing, -rated.value, np.inf), order)
    return np.where(np.isnan(order), np.inf, order)


def missing_values(needs, thickness) -> str:
    """What to do about values of materials that a check needs and that are not known, in words; "" where all are.

    `needs`: pairs of (material, its quantity); `thickness` [m], one or more: of a sheet whose values depend on it.
    """
    missing: dict[tuple, list[str]] = {}
    for record, quantity in dict.fromkeys(needs):
        if not _known(record, quantity, thickness):
            ends = record.table_range(quantity) if isinstance(record, Sheet) and quantity in record.TABLES else None
            missing.setdefault((record.name, ends), []).append(quantity.replace("_", " "))
    return "; ".join(_what_to_enter(name, ends, " and ".join(words)) for (name, ends), words in missing.items())


def _known(record, quantity, thickness):
    if isinstance(record, Sheet):
        return not any(record.why_unknown(quantity, float(t)) for t in np.unique(thickness))
    return getattr(record, quantity) is not None


def _what_to_enter(name, ends, words):
    only = f" (known for {show_input(ends[0], 'mm')} to {show_input(ends[1], 'mm')} only)" if ends else ""
    return f"enter the {words} of {name}, measured or from a data sheet{only}"


class Judged:
    """What follows from a table of `checks`; a study is one."""

    checks: tuple

    @property
    def limits(self) -> tuple:
        """Checks against a limit; comparisons and notes left out."""
        return tuple(c for c in self.checks if c.kind == "limit")

    @property
    def governing(self) -> Check | None:
        """The check with the smallest reserve, None where none could be judged."""
        return min((c for c in self.limits if not np.isnan(c.reserve)), key=lambda c: c.reserve, default=None)

    @property
    def least_reserve(self) -> float:
        """Reserve of the governing check [-]; nan where there is none."""
        return np.nan if self.governing is None else self.governing.reserve

    @property
    def unknown(self) -> tuple:
        """Checks that could not be judged because a limit has no basis."""
        return tuple(c for c in self.limits if c.verdict == UNKNOWN)

    @property
    def verdict(self) -> str:
        """The worst of all checks: that of the governing one, or "unknown" if that one holds but another could not be
        judged."""
        return worst_verdict(self.checks)

    def headline(self) -> str:
        """The governing check in one or two sentences, with its case and place if it has them; then what could not be
        judged."""
        governing, unknown = self.governing, not_judged(self.unknown)
        if governing is None:
            return unknown
        if np.isposinf(governing.reserve):
            return "No load."
        most = "at most " if governing.beyond else ""
        text = f"Governing: {governing.judged_text()}; reserve {most}{show(governing.reserve, '', 3)} times."
        return " ".join(filter(None, (text, self.where_words(), unknown)))

    def where_words(self) -> str:
        """Case and place of the governing check in a sentence; "" where it has none."""
        governing = self.governing
        return f"Case and place: {governing.where_text()}." if governing is not None and governing.case else ""

    def check(self, key: str) -> Check:
        """The check with this key; ValueError if there is none."""
        for item in self.checks:
            if item.key == key:
                return item
        raise ValueError(f"there is no check {key!r}; there are {', '.join(c.key for c in self.checks)}")


def not_judged(unknown) -> str:
    """What could not be judged, and of what kind, in a sentence or two; "" for nothing."""
    names = {words: [lower(c.name) for c in unknown if bool(c.beyond) == far] for far, words in _NOT_JUDGED}
    return " ".join(f"{words}: {', '.join(told)}." for words, told in names.items() if told)


_NOT_JUDGED = ((False, "No basis to judge"), (True, BEYOND.capitalize()))


def worst_verdict(checks) -> str:
    """The worst verdict among checks: fails, unknown, close, holds; "unknown" where there is none."""
    words = {c.verdict for c in checks if c.kind == "limit"}
    return next((word for word in WORST_FIRST if word in words), UNKNOWN)


def said(verdict: str) -> str:
    """A verdict as people read it."""
    return "not sure yet" if verdict == UNSURE else verdict


def lower(words: str) -> str:
    """Words as they stand within a sentence."""
    return words[:1].lower() + words[1:]
