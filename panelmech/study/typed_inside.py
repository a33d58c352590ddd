"""Inner ribs and solid zones as a builder types them: "300 x 12; 550 x 20" and "0 to 60; 780 to 850"."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from ..entries import in_field, read_entries, read_entry
from ..units import pretty_unit, shown_unit
from .inside import Inside, Rib, Zone

RIBS, ZONES = "300 x 12; 550 x 20", "0 to 60; 400 to 450"  # how they are typed
_BY, _TO = re.compile(r"\s*[x×]\s*", re.IGNORECASE), re.compile(r"\s+to\s+", re.IGNORECASE)


def read_ribs(text: str, shown: str | None = None) -> tuple[Rib, ...]:
    """Ribs as typed: the places of their middles from the root end, x, their width, several with semicolons between
    them; places of one width may stand together. None for an empty text; ValueError in words for anything else.

    shown : unit of numbers without one; by default that lengths are shown in

    >>> [(rib.position, rib.width) for rib in read_ribs("300 x 12; 500 700 x 20")]
    [(0.3, 0.012), (0.5, 0.02), (0.7, 0.02)]
    """
    ribs: list[Rib] = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        sides = _BY.split(part)
        if len(sides) != 2 or not all(side.strip() for side in sides):
            raise ValueError(
                f"{part!r} is no rib: give the place of its middle from the root end, x, and its width, as “{RIBS}”"
            )
        width = read_entry(sides[1], "width of a rib", "mm", shown=shown).value
        places = read_entries(sides[0], "position of a rib", "mm", shown=shown)
        ribs += [Rib(place.value, width) for place in places]
    return Inside(tuple(ribs)).ribs


def read_zones(text: str, shown: str | None = None) -> tuple[Zone, ...]:
    """Solid zones as typed: where each begins and ends, from the root end, several with semicolons between them.
    Arguments and errors as of `read_ribs`.

    >>> read_zones("0 to 60; 40 cm to 45 cm")
    (Zone(start=0.0, end=0.06), Zone(start=0.4, end=0.45))
    """
    zones = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        ends = _TO.split(part)
        if len(ends) != 2 or not all(end.strip() for end in ends):
            raise ValueError(f"{part!r} is no solid zone: give where it begins and ends, as “{ZONES}”")
        names = ("start of a solid zone", "end of a solid zone")
        zones.append(Zone(*(read_entry(e, n, "mm", shown=shown).value for e, n in zip(ends, names, strict=True))))
    return Inside(zones=tuple(zones)).zones


def ribs_text(ribs, unit: bool = False) -> str:
    """Ribs as the text of a field, which `read_ribs` reads; with the unit behind it, for papers."""
    return _joined((f"{in_field(rib.position, 'mm')} x {in_field(rib.width, 'mm')}" for rib in ribs), unit)


def zones_text(zones, unit: bool = False) -> str:
    """Zones as the text of a field, which `read_zones` reads; with the unit behind it, for papers."""
    return _joined((f"{in_field(zone.start, 'mm')} to {in_field(zone.end, 'mm')}" for zone in zones), unit)


def _joined(texts, unit):
    text = "; ".join(texts)
    return f"{text} {pretty_unit(shown_unit('mm'))}" if unit and text else text


class Typed(NamedTuple):
    """A kind of what fills the hollow, as typed: its `label`, an `example`, what is to be known of it (`tip`), what
    reads a text and what writes one."""

    label: str
    example: str
    tip: str
    read: Callable
    text: Callable


TYPED = {  # by the field of `Inside`
    "ribs": Typed("inner ribs", RIBS, "middle from the root end x width, of the potting resin", read_ribs, ribs_text),
    "zones": Typed("solid zones", ZONES, "from the root end, filled with the potting resin", read_zones, zones_text),
}


def inside_texts(inside: Inside, unit: bool = False) -> dict:
    """{field: text} of the ribs and of the zones there are; `unit`: with it behind."""
    return {name: kind.text(getattr(inside, name), unit) for name, kind in TYPED.items() if getattr(inside, name)}
