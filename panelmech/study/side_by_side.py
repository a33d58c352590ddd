"""Two to four designs side by side: their names, what differs between them in words, inputs and outputs in rows."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..units import show, show_input
from .design import LIMITS, Design
from .quantities import QUANTITIES, mass_over_span
from .study import Study, evaluate
from .typed_inside import TYPED
from .verdicts import BEYOND, lower

STOCK = {"sheet": "sheet", "adhesive": "adhesive", "spacer": "spacer stock", "resin": "resin"}
SAME = 1e-9  # relative; closer than this counts as equal


@dataclass(frozen=True)
class ComparedRow:
    """One line: `key`, `label`, the text for each design, the values [SI; None for texts], whether they differ, and
    `group`: "overview", "input", "result" or "check"."""

    key: str
    label: str
    texts: tuple
    values: tuple
    differs: bool
    group: str

    @property
    def apart(self) -> float:
        """How far the designs are apart: largest less least value over the largest magnitude [-]; 0 where they do not
        differ, infinite for texts and where only some are known or finite."""
        if not self.differs:
            return 0.0
        values = np.array([np.nan if value is None else value for value in self.values], dtype=float)
        return float(np.ptp(values) / np.max(np.abs(values))) if np.all(np.isfinite(values)) else np.inf


@dataclass(frozen=True, eq=False)
class SideBySide:
    """Designs side by side; `studies` in the order given, `rows` in the order inputs, results, checks; `overview`, the
    few rows that tell most."""

    studies: tuple
    rows: tuple
    overview: tuple = ()

    @property
    def differences(self) -> tuple:
        """The rows in which the designs differ."""
        return tuple(row for row in self.rows if row.differs)

    @property
    def ordered(self) -> tuple:
        """All rows but those of the overview: inputs first, then results and checks together; the further apart the
        designs are in a row, the earlier it stands."""
        shown = {row.key for row in self.overview}
        rows = (row for row in self.rows if row.key not in shown)
        return tuple(sorted(rows, key=lambda row: (row.group != "input", -row.apart)))


def compare(*designs: Design | Study) -> SideBySide:
    """Set two to four designs (or studies) side by side; ValueError for another number, InfeasibleBend as
    `evaluate`.

    >>> from panelmech.job import demo
    >>> design = demo().design
    >>> found = compare(design, design.replace(spacer_diameter=0.022))
    >>> [row.texts for row in found.overview if row.key == "least_reserve"]
    [('holds, 1.33 ×', 'holds, 1.45 ×')]
    """
    if not 2 <= len(designs) <= 4:
        raise ValueError(f"{len(designs)} designs: give two to four")
    studies = tuple(d if isinstance(d, Study) else evaluate(d) for d in designs)
    return SideBySide(studies, (*_inputs(studies), *_results(studies), *_checks(studies)), tuple(_overview(studies)))


def _inputs(studies):
    designs = [s.design for s in studies]
    for name, limit in LIMITS.items():
        values = tuple(getattr(d, name) for d in designs)
        yield ComparedRow(
            name, limit.label, tuple(show_input(v, limit.unit) for v in values), values, _differ(values), "input"
        )
    for name, label in STOCK.items():
        records = [getattr(d, name) for d in designs]
        names = tuple(r.name for r in records)
        yield ComparedRow(name, label, names, (None,) * len(names), any(r != records[0] for r in records), "input")
    for name, kind in TYPED.items():
        told = tuple(kind.text(getattr(d.inside, name)) for d in designs)
        if any(told):
            texts = tuple(words or "none" for words in told)
            yield ComparedRow(name, kind.label, texts, (None,) * len(texts), len(set(texts)) > 1, "input")


OVERVIEW = {  # result: what it is called where there is little room; all of the whole section
    "chord": "chord",
    "outer_thickness": "outer thickness at the front",
    "chord_stiffness": "bending stiffness EI about the chord line",
    "normal_stiffness": "bending stiffness EI about the normal axis",
    "torsion_stiffness": "torsion stiffness GJ",
}


def _overview(studies):
    """What governs, the least reserve, the mass, and the results of `OVERVIEW`."""
    governing = tuple("–" if s.governing is None else s.governing.name for s in studies)
    yield ComparedRow(
        "governing", "governing check", governing, (None,) * len(studies), len(set(governing)) > 1, _FIRST
    )
    reserves = tuple(s.least_reserve for s in studies)
    texts = tuple(f"{s.verdict}, {show(s.least_reserve, 'x', 3)}" for s in studies)
    yield ComparedRow("least_reserve", "verdict, least reserve", texts, reserves, _differ(reserves), _FIRST)
    masses = tuple(mass_over_span(s.design, s.quantities) for s in studies)
    texts = tuple(show(mass, "kg") for mass in masses)
    yield ComparedRow("mass", "mass of the part", texts, masses, _differ(masses), _FIRST)
    for row in (row for row in _results(studies) if row.key in OVERVIEW):
        yield replace(row, label=OVERVIEW[row.key], group=_FIRST)


_FIRST = "overview"


def _results(studies):
    for name, quantity in QUANTITIES.items():
        if all(name in s.quantities for s in studies):
            values = tuple(s.quantities[name] for s in studies)
            yield ComparedRow(
                name, quantity.label, tuple(s.text(name) for s in studies), values, _differ(values), "result"
            )


def _checks(studies):
    for check in studies[0].checks:
        others = [next((c for c in s.checks if c.key == check.key), None) for s in studies]
        if check.kind != "limit" or None in others:
            continue
        values = tuple(c.reserve for c in others)
        texts = tuple(f"{c.verdict}, {BEYOND if c.beyond else c.reserve_text()}" for c in others)
        yield ComparedRow(
            f"{check.key}_reserve",
            f"Reserve: {lower(check.name)}",
            texts,
            values,
            _differ(values),
            "check",
        )


def _differ(values):
    first = values[0]
    return any(
        not (v == first or (np.isnan(v) and np.isnan(first)) or abs(v - first) <= SAME * abs(first)) for v in values
    )


# ----- Names, and what differs in words


def design_names(designs) -> tuple:
    """A name for each design: its title, with as many inputs as tell apart those of the same title ("Leeboard, 16 mm
    spacer"); alike in all inputs they are numbered."""
    titles = [" ".join(design.title.split()) or "Design" for design in designs]
    names = [
        _named(title, design, _namesakes(titles, designs, title)) for title, design in zip(titles, designs, strict=True)
    ]
    return tuple(
        name if names.count(name) == 1 else f"{name} ({names[:i].count(name) + 1})" for i, name in enumerate(names)
    )


def _namesakes(titles, designs, title):
    return [design for design, own in zip(designs, titles, strict=True) if own == title]


def _named(title, design, namesakes):
    return ", ".join([title, *(_input_words(design, name) for name in telling_inputs(namesakes))])


_NOUNS = {"sheet_thickness": "sheet", "spacer_diameter": "spacer"}


def _input_words(design, name):
    text = _input_text(design, name)
    return f"{text} {_NOUNS[name]}" if name in _NOUNS else text if name in STOCK else f"{LIMITS[name].label} {text}"


def _input_text(design, name):
    return getattr(design, name).name if name in STOCK else show_input(getattr(design, name), LIMITS[name].unit)


def telling_inputs(designs, most: int = 3) -> tuple:
    """The fewest inputs, `most` at most, that tell the designs apart, the most telling ones; in the order of the design
    where they are equally telling."""
    texts = {name: [_input_text(design, name) for design in designs] for name in ("sheet", *LIMITS, *STOCK)}
    differing = [name for name, own in texts.items() if len(set(own)) > 1]
    chosen: list[str] = []

    def told(names):
        return len(set(zip(*(texts[name] for name in names), strict=True)))

    while differing and len(chosen) < most and (not chosen or told(chosen) < told(differing)):
        chosen.append(max((n for n in differing if n not in chosen), key=lambda name: told([*chosen, name])))
    return tuple(chosen)


def difference_words(found: SideBySide, names, beside: int = -1) -> tuple[str, ...]:
    """For each design but the one of number `beside`: its name, in which inputs it differs from that one and by what;
    `names` of all, in their order."""
    inputs = [row for row in found.rows if row.group == "input" and row.differs]
    out = []
    for i, name in enumerate(names):
        if i == beside % len(names):
            continue
        parts = [f"{r.label} {r.texts[i]} instead of {r.texts[beside]}" for r in inputs if _row_differs(r, i, beside)]
        out.append(f"{name}: {'; '.join(parts) or 'the same inputs'}.")
    return tuple(out)


def _row_differs(row, i, beside):
    return row.texts[i] != row.texts[beside] or _differ((row.values[i], row.values[beside]))
