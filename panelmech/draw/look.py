"""One look for everything that is drawn: colours, line styles and weights, verdict marks.

Plots for export and the live picture both read these tables, so the bent pair, the flat wedge and the spacer look the
same everywhere. Colours differ in lightness as well as in hue: they stay apart for colour-blind readers and in grey
print (tested by simulation). No meaning hangs on colour alone: each thing drawn also has its own line style, each
verdict a mark.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..study.checks import CHECKS


@dataclass(frozen=True)
class Line:
    """Colour, dash pattern in points (empty: solid) and weight in points of one kind of line."""

    colour: str
    dashes: tuple = ()
    weight: float = 1.6


INK = "#1c2a33"  # text and dimension lines
QUIET = "#5f6c74"  # secondary text
RULE = "#d7dde0"  # table rules, grid
PAPER = "#ffffff"
BAND = "#eef2f3"  # ground of the verdict line

LINES = {
    "bent": Line("#0c4f66", (), 1.8),
    "wedge": Line("#8a8f98", (6, 3), 1.4),
    "spacer": Line("#b06118", (), 1.6),
    "pinned": Line("#8936b2", (8, 3, 2, 3), 1.4),
    "limit": Line("#b52c40", (2, 2), 1.4),
    "permanent": Line("#b52c40", (7, 2, 2, 2), 1.4),
    "second": Line("#369eb2", (4, 2), 1.6),
    "third": Line("#a66e00", (1.5, 1.5), 1.8),
}
FILLS = {"resin": "#ecdcbf", "land": "#dbe8ed", "bond": "#d9b25f", "spacer": "#fbf3e8"}

VERDICT_MARKS = {
    "holds": "●",
    "close": "◐",
    "fails": "✕",
    "unknown": "?",
    "note": "▲",
    "more": "△",
    "less": "▽",
    "same": "=",
}
VERDICT_COLOURS = {
    "holds": "#0b6650",
    "close": "#8a5a00",
    "fails": "#b52c40",
    "unknown": "#4d5666",
    "note": "#5d3a78",
    "more": "#1c2a33",
    "less": "#1c2a33",
    "same": "#1c2a33",
}

_RAMP = ((0.86, 0.91, 0.93), (0.36, 0.62, 0.70), (0.02, 0.21, 0.30))  # no strain, half, greatest: steadily darker


def strain_rgb(share: float) -> tuple:
    """Colour of a bending strain, (red, green, blue) from 0 to 1, for its share of the greatest: light to dark."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share of the greatest strain is {share}: give 0 to 1")
    low, high, part = (0, 1, 2 * share) if share < 0.5 else (1, 2, 2 * share - 1)
    return tuple(a + (b - a) * part for a, b in zip(_RAMP[low], _RAMP[high], strict=True))


def hex_colour(rgb: tuple) -> str:
    """(red, green, blue), 0 to 1, as #rrggbb."""
    return "#" + "".join(f"{round(255 * c):02x}" for c in rgb)


# On a map of two inputs all limits share the colour of limits; each check has its own dashes, in the order of the table
# of checks, and its name beside it. The last ones are for checks to come.
_CHECK_LINES = (
    LINES["limit"],
    LINES["permanent"],
    Line("#b52c40", (), 1.4),
    Line("#b52c40", (9, 3), 1.4),
    Line("#b52c40", (1, 1.6), 1.8),
    Line("#b52c40", (5, 1.5), 1.4),
    Line("#b52c40", (12, 2, 3, 2, 3, 2), 1.4),
    Line("#b52c40", (4, 1, 1, 1, 1, 1), 1.4),
    Line("#b52c40", (14, 3), 1.4),
    Line("#b52c40", (3, 4), 1.6),
)
CHECK_LINES = dict(zip((rule.key for rule in CHECKS), _CHECK_LINES, strict=False))
GROUND = "#f1f1ee"  # under the hatching of what cannot be made
# Parts of a bar, neighbours far apart in lightness, each with its own hatching besides: (fill, hatch)
PARTS = (("#0c4f66", ""), ("#ecdcbf", ""), ("#369eb2", "///"), ("#e4e9eb", "..."), ("#a66e00", ""), ("#f6f1e4", "xx"))


def map_ramp(count: int) -> list:
    """Colours of `count` bands of a map, light to middling dark: black words stay legible on every one."""
    return [hex_colour(strain_rgb(0.02 + 0.64 * i / max(count - 1, 1))) for i in range(count)]
