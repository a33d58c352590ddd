"""Inner ribs and solid zones: what fills the hollow between the two closing frames, and the bays that are left.

A rib is a narrow one, a zone a long one: over its stretch of the span the hollow behind the rod is filled with the
design's potting resin. Positions run along the span from the root end. A zone that begins or ends in a closing frame,
or at the end of the part, stands on that frame and is reckoned from it; a rib stands free. Between two of all these
there is a bay of `LEAST_BAY` at least, or nothing: each bay is a framed sheet of its own.

What is filled counts with its mass, its room and its pours. A solid zone counts with its stiffness in the sections over
its stretch, as `mechanics.section` says: of the worked example a tenth more EI about the chord line and an eighth more
GJ. Behind its border the sheet takes about a thickness of the part until it has handed over to the resin, so a zone
counts from `HAND_OVER` within its ends on, but for the part's own. A rib is too short for that: its stiffness is left
out, on the safe side for stress and deflection.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..files import Listed, Nested, number
from ..units import read_number, show_input

LEAST_BAY = 10e-3  # m: less is no hollow that a dam can be set in; judgement, no source
HAND_OVER = 0.03  # m, about the thickness of ordinary parts: Saint-Venant's principle; the figure is judgement
SHORT = 0.01  # of the span, by which a part may be shorter than its zones run: it is cut to length with them in it
SAME_PLACE = 1e-9  # m: places closer than this are one


@dataclass(frozen=True)
class Rib:
    """A rib: `position` of its middle from the root end and `width` along the span [m]; ValueError where that is none.

    >>> rib = Rib(0.3, 0.012)
    >>> round(rib.start, 3), round(rib.end, 3)
    (0.294, 0.306)
    """

    position: float
    width: float

    def __post_init__(self):
        object.__setattr__(self, "position", read_number(self.position, "position of a rib", "mm", above=0.0))
        object.__setattr__(self, "width", read_number(self.width, "width of a rib", "mm", 1e-3, 1.0))

    @property
    def start(self) -> float:
        """From the root end [m]."""
        return self.position - 0.5 * self.width

    @property
    def end(self) -> float:
        """From the root end [m]."""
        return self.position + 0.5 * self.width


@dataclass(frozen=True)
class Zone:
    """A solid zone from `start` to `end` along the span [m from the root end]; ValueError where it ends before.

    >>> Zone(0.06, 0.02)
    Traceback (most recent call last):
    ValueError: a solid zone from 60 mm to 20 mm: it must end beyond its start
    """

    start: float
    end: float

    def __post_init__(self):
        object.__setattr__(self, "start", read_number(self.start, "start of a solid zone", "mm", 0.0))
        object.__setattr__(self, "end", read_number(self.end, "end of a solid zone", "mm", above=0.0))
        if not self.end > self.start:
            raise ValueError(
                f"a solid zone from {show_input(self.start, 'mm')} to {show_input(self.end, 'mm')}: it must end beyond "
                "its start"
            )


@dataclass(frozen=True)
class Stretch:
    """A filled stretch as it is poured, or a bay: its `name`, `start` and `end` [m from the root end], and `kind`:
    "rib", "zone" or "bay"."""

    name: str
    start: float
    end: float
    kind: str

    @property
    def length(self) -> float:
        """Along the span [m]."""
        return self.end - self.start

    @property
    def key(self) -> str:
        """Its name for files."""
        return self.name.replace(" ", "-")

    def words(self) -> str:
        """Its name and where it is."""
        return f"{self.name}, {_from_to(self.start, self.end)} from the root end"


@dataclass(frozen=True)
class Inside:
    """What fills the hollow between the closing frames: `ribs` and `zones`, each kept in order along the span.

    False where there is nothing. ValueError for anything but ribs and zones. Whether they fit a part: `why_not`.

    >>> inside = Inside((Rib(0.4, 0.012),), (Zone(0.0, 0.1),))
    >>> [stretch.name for stretch in inside.stretches(0.85, 0.015)]
    ['solid zone', 'rib']
    >>> [round(bay.length, 3) for bay in inside.bays(0.85, 0.015)]
    [0.294, 0.429]
    """

    ribs: tuple[Rib, ...] = ()
    zones: tuple[Zone, ...] = ()

    def __post_init__(self):
        for name, kind in (("ribs", Rib), ("zones", Zone)):
            given = getattr(self, name)
            wrong = [given] if not isinstance(given, tuple | list) else [i for i in given if not isinstance(i, kind)]
            if wrong:
                raise ValueError(f"{name} is {wrong[0]!r}: give a list of {kind.__name__}")
            object.__setattr__(self, name, tuple(sorted(given, key=lambda one: one.start)))

    def __bool__(self):
        return bool(self.ribs or self.zones)

    @property
    def _all(self):
        return sorted((*self.ribs, *self.zones), key=lambda one: (one.start, one.end))

    def stretches(self, span: float, frame: float) -> tuple[Stretch, ...]:
        """What is filled beside the closing frames of this width [m], in order along the span [m]; several of a kind
        are numbered."""
        made = []
        for one in self._all:
            kind = "rib" if isinstance(one, Rib) else "zone"
            name, among = ("rib", self.ribs) if kind == "rib" else ("solid zone", self.zones)
            number = f" {among.index(one) + 1}" if len(among) > 1 else ""
            start, end = (float(v) for v in np.clip((one.start, one.end), frame, max(frame, span - frame)))
            made.append(Stretch(f"{name}{number}", start, end, kind))
        return tuple(made)

    def bays(self, span: float, frame: float) -> tuple[Stretch, ...]:
        """The hollow stretches between frames, ribs and zones, in order along the span [m]; several are numbered."""
        filled = self.stretches(span, frame)
        starts, ends = (frame, *(s.end for s in filled)), (*(s.start for s in filled), span - frame)
        free = [(a, b) for a, b in zip(starts, ends, strict=True) if b - a > SAME_PLACE]
        numbers = [f"bay {i}" if len(free) > 1 else "bay" for i in range(1, len(free) + 1)]
        return tuple(Stretch(name, *ends, "bay") for name, ends in zip(numbers, free, strict=True))

    def _widths(self, span, frame):
        """(bays, ...) widths [m] of what is left before, between and behind all there is, none or less included."""
        low, high = _between(span, frame)
        ends = [np.clip(end, low, high) for one in self._all for end in (one.start, one.end)]
        edges = [low, *ends, high]
        edges = np.array(np.broadcast_arrays(*edges))
        return edges[1::2] - edges[::2]

    def least_bay(self, span, frame):
        """Width of the narrowest bay [m], floats or arrays."""
        if not self:
            return np.asarray(span) - 2.0 * np.asarray(frame)
        widths = self._widths(span, frame)
        return np.min(np.where(widths > SAME_PLACE, widths, np.inf), axis=0)

    def filled_length(self, span, frame):
        """Length that ribs and zones fill beside the closing frames [m], floats or arrays."""
        if not self:
            return 0.0
        low, high = _between(span, frame)
        return sum(np.clip(one.end, low, high) - np.clip(one.start, low, high) for one in self._all)

    def fits(self, span, frame):
        """Whether all fits a part of this span between frames of this width [m], floats or arrays; see `why_not`."""
        wrong = [wrong for wrong, _ in self._faults(span, frame)]
        return ~np.any(np.broadcast_arrays(*wrong), axis=0) if wrong else np.asarray(True)

    def stiff(self, span: float) -> list:
        """(from, to) [m] of what counts in the sections' stiffness: each solid zone less `HAND_OVER` at an end that is
        not the part's own, which then ends at infinity."""
        ends = [
            (
                zone.start + HAND_OVER if zone.start > SAME_PLACE else 0.0,
                zone.end - HAND_OVER if zone.end < span - SAME_PLACE else np.inf,
            )
            for zone in self.zones
        ]
        return [(low, high) for low, high in ends if low < high]

    def borders(self, span: float) -> tuple:
        """Places where the sections' stiffness steps at what is filled [m]."""
        return tuple(end for pair in self.stiff(span) for end in pair if 0.0 < end < span)

    def stiff_at(self, position, before, span: float) -> np.ndarray:
        """Whether places along a part [m], arrays, lie within what counts as solid; at its borders what is beyond, or
        `before` them."""
        position, before = np.asarray(position), np.asarray(before)
        found = np.zeros(np.broadcast_shapes(position.shape, before.shape), dtype=bool)
        for low, high in self.stiff(span):
            found |= np.where(before, (position > low) & (position <= high), (position >= low) & (position < high))
        return found

    def why_not(self, span: float, frame: float) -> str:
        """Why it does not fit such a part, in words that say what to do; "" where it does."""
        return next((words() for wrong, words in self._faults(span, frame) if wrong), "")

    def _faults(self, span, frame):
        """(whether it is so, floats or arrays; its words) of everything that can be wrong."""
        span, frame = np.asarray(span, dtype=float), np.asarray(frame, dtype=float)
        each, ends = self._all, (frame, span - frame)
        for one in each:
            off = (one.end <= ends[0]) | (one.start >= ends[1]) | (one.end > (1.0 + SHORT) * span)
            yield off, lambda one=one: _off_words(one, span, frame)
        for before, one in pairwise(each):
            yield one.start - before.end < LEAST_BAY - SAME_PLACE, lambda a=before, b=one: _near_words(a, b)
        for one, gap, end in _at_ends(each, ends):
            on_frame = (gap <= SAME_PLACE) if isinstance(one, Zone) else np.zeros(np.shape(gap), dtype=bool)
            yield (gap < LEAST_BAY - SAME_PLACE) & ~on_frame, lambda one=one, end=end: _at_frame_words(one, end)
        if each:
            hollow = np.any(self._widths(span, frame) > SAME_PLACE, axis=0)
            yield (
                ~hollow,
                lambda: (
                    "the solid zones leave nothing hollow: a part that is solid all along is no part of this worksheet"
                ),
            )


def _between(span, frame):
    """Ends of what lies between the frames [m]."""
    span, frame = np.asarray(span, dtype=float), np.asarray(frame, dtype=float)
    return frame, np.maximum(frame, span - frame)


def _from_to(start, end):
    return f"{show_input(start, 'mm', 4)} to {show_input(end, 'mm', 4)}"


def _at_ends(each, ends):
    """(rib or zone next to a closing frame, how far it is from that [m], name of the end) of both ends."""
    if each:
        yield each[0], each[0].start - ends[0], "root end"
        yield each[-1], ends[1] - each[-1].end, "tip end"


def _called(one):
    """A rib or a zone in words, by its place."""
    if isinstance(one, Rib):
        return f"the rib of {show_input(one.width, 'mm')} at {show_input(one.position, 'mm')}"
    return f"the solid zone from {_from_to(one.start, one.end)}"


def _off_words(one, span, frame):
    between = _from_to(float(frame), float(span - frame))
    return f"{_called(one)} is not on the part between its closing frames, {between} from the root end: move it there"


def _near_words(before, one):
    bay = show_input(LEAST_BAY, "mm")
    return f"{_called(one)} leaves no bay of at least {bay} to {_called(before)}: move them apart, or make one of both"


def _at_frame_words(one, end):
    least = f"a bay of at least {show_input(LEAST_BAY, 'mm')} to the closing frame at the {end}"
    if isinstance(one, Rib):
        return f"{_called(one)} leaves no bay: leave {least}, or give a solid zone that begins there"
    return f"{_called(one)} leaves a gap that is no bay: leave {least}, or let the zone run into the frame"


# ----- How it stands in a file: keys of their own, none where there is nothing.

KEPT_INSIDE = Nested(
    Inside,
    {
        "ribs": Listed(Nested(Rib, {name: number("mm") for name in ("position", "width")}), spare=True),
        "zones": Listed(Nested(Zone, {name: number("mm") for name in ("start", "end")}), spare=True),
    },
    spare=True,
)
