"""One look for everything that is drawn: colours, line styles and weights, verdict marks.

Plots for export and the live picture both read these tables, so the bent pair, the flat wedge and the spacer look the
same everywhere. Each colour stands here once and has a name; all else refers to names, so a colour is one line. Colours
differ in lightness as well as in hue: they stay apart for colour-blind readers and in grey print (tested by
simulation). No meaning hangs on colour alone: any two lines of one plot differ clearly in dashes, weight or lightness,
and each verdict has a mark.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..study.checks import CHECKS

# ----- Colours

INK = "#1c2a33"  # text and dimension lines
QUIET = "#5f6c74"  # secondary text
RULE = "#d7dde0"  # table rules, grid
PAPER = "#ffffff"
BAND = "#eef2f3"  # ground of the verdict line
GROUND = "#f1f1ee"  # under the hatching of what cannot be made
HATCHING = "#b9bfc3"  # of what cannot be made
PALE = "#cfdde2"  # a map's colours under the veil over what fails

PETROL = "#0c4f66"
GREY = "#8a8f98"
COPPER = "#b06118"
VIOLET = "#8936b2"
CRIMSON = "#b52c40"  # limits, and what fails one
TURQUOISE = "#369eb2"
OCHRE = "#a66e00"
GREEN = "#0b6650"
AMBER = "#8a5a00"
SLATE = "#4d5666"
PLUM = "#5d3a78"

SAND = "#ecdcbf"
MIST = "#dbe8ed"  # a sheet without strain: the light end of the ramp
STRAW = "#d9b25f"
CREAM = "#fbf3e8"
SILVER = "#e4e9eb"
IVORY = "#f6f1e4"

# ----- Lines


@dataclass(frozen=True)
class Line:
    """Colour, dash pattern (empty: solid) and weight in points of one kind of line. The pattern counts points in a live
    picture, weights of the line in a plot."""

    colour: str
    dashes: tuple = ()
    weight: float = 1.6


# fmt: off
LINES = {
    "bent": Line(PETROL, (), 1.8),
    "wedge": Line(GREY, (7, 3), 1.4),
    "spacer": Line(COPPER, (), 1.6),
    "pinned": Line(VIOLET, (8, 3, 2, 3), 1.4),
    "limit": Line(CRIMSON, (2, 2), 1.4),
    "permanent": Line(CRIMSON, (7, 2, 2, 2), 1.4),
    "second": Line(TURQUOISE, (3.5, 1.8), 1.6),
    "third": Line(OCHRE, (4, 1.4, 1, 1.4, 1, 1.4), 1.6),
}
THIN_LINES = {  # beside the curves
    "zero": Line(QUIET, (), 0.6),
    "nothing left": Line(INK, (), 0.6),  # where measured and predicted agree
    "chord line": Line(QUIET, (10, 2, 2, 2), 0.4),
    "as designed": Line(QUIET, (5, 3), 0.8),
    "close": Line(QUIET, (1, 2), 0.8),  # up to where a reserve is called close
    "contact": Line(COPPER, (1, 2), 0.8),  # of sheet and rod
    "one": Line(INK, (), 0.9),  # as much as the other
    "this design": Line(INK, (1, 3), 0.6),
    "median": Line(INK, (), 1.4),
    "quantile": Line(INK, (4, 2), 0.9),
    "creep": Line(OCHRE, (4, 2), 0.9),  # along the log of a part
}
BLANK_LINES = {  # marked on a blank; any other as "other line"
    "land line": Line(QUIET, (), 0.8),
    "rod line": Line(QUIET, (6, 2, 1, 2), 0.8),
    "back of the rod": Line(QUIET, (1, 2), 0.8),
    "other line": Line(QUIET, (4, 2), 0.8),
    "match mark": Line(CRIMSON, (), 1.6),
}
# On a map of two inputs all limits share the colour of limits; each check has its own dashes, in the order of the table
# of checks, and its name beside it. The last ones are for checks to come.
_CHECK_LINES = (
    LINES["limit"],
    LINES["permanent"],
    Line(CRIMSON, (), 1.4),
    Line(CRIMSON, (9, 3), 1.4),
    Line(CRIMSON, (1, 1.6), 1.6),
    Line(CRIMSON, (5, 1.5), 1.4),
    Line(CRIMSON, (12, 2, 3, 2, 3, 2), 1.4),
    Line(CRIMSON, (4, 1, 1, 1, 1, 1), 1.4),
    Line(CRIMSON, (16, 3), 1.4),
    Line(CRIMSON, (3, 5), 1.4),
)
CHECK_LINES = dict(zip((rule.key for rule in CHECKS), _CHECK_LINES, strict=False))
UNDER_LOAD = _CHECK_LINES[-1]  # of the limits under load, which are told apart by their names alone
CURVE_LINES = {  # curves with a name, against which the bent sheet is held
    "circle": Line(COPPER, (6, 2), 1.4),
    "parabola": Line(VIOLET, (8, 3, 2, 3), 1.4),
    "ellipse": Line(QUIET, (2, 2), 1.4),
    "hyperbola": Line(PETROL, (), 1.8),
    "small-angle cubic": Line(OCHRE, (4, 1.4, 1, 1.4, 1, 1.4), 1.6),
}
CASE_LINES = tuple(LINES[name] for name in ("bent", "spacer", "second", "third", "pinned", "wedge"))  # of load cases
USE_LINES = (  # of the use of limits, for the checks in their order, and from the start again
    *CASE_LINES,
    Line(PETROL, (1, 1.6), 1.6),
    Line(COPPER, (12, 3), 1.4),
    Line(TURQUOISE, (1, 3.5), 1.6),
    Line(INK, (4, 1.5, 1, 1.5), 1.2),
    Line(INK, (7, 1.5, 1, 1.5, 1, 1.5), 1.2),
    Line(INK, (4, 2), 1.2),
    Line(GREEN, (7, 3), 1.4),
)
# fmt: on

# ----- Areas and verdicts

FILLS = {"resin": SAND, "land": MIST, "bond": STRAW, "spacer": CREAM}
# Parts of a bar, neighbours far apart in lightness, each with its own hatching besides: (fill, hatch)
PARTS = ((PETROL, ""), (SAND, ""), (TURQUOISE, "///"), (SILVER, "..."), (OCHRE, ""), (IVORY, "xx"))

VERDICT_MARKS = {
    "holds": "●",
    "close": "◐",
    "fails": "✕",
    "unknown": "?",
    "unsure": "◌",
    "note": "▲",
    "more": "△",
    "less": "▽",
    "same": "=",
}
DEFAULT_MARK = "◇"  # beside a limit that is a default nobody has made his own
VERDICT_COLOURS = {
    "holds": GREEN,
    "close": AMBER,
    "fails": CRIMSON,
    "unknown": SLATE,
    "unsure": SLATE,
    "note": PLUM,
    "more": INK,
    "less": INK,
    "same": INK,
}

_RAMP = ((0.86, 0.91, 0.93), (0.36, 0.62, 0.70), (0.02, 0.21, 0.30))  # no strain, half, greatest: steadily darker


def strain_rgb(share: float) -> tuple:
    """Colour of a bending strain, (red, green, blue) from 0 to 1, for its share of the greatest: light to dark."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share of the greatest strain is {share}: give 0 to 1")
    low, high, part = (0, 1, 2 * share) if share < 0.5 else (1, 2, 2 * share - 1)
    return tuple(a + (b - a) * part for a, b in zip(_RAMP[low], _RAMP[high], strict=True))


def strain_colour(share: float) -> str:
    """The same as #rrggbb."""
    return "#" + "".join(f"{round(255 * c):02x}" for c in strain_rgb(share))


def map_ramp(count: int) -> list:
    """Colours of `count` bands of a map, light to middling dark: black words stay legible on every one."""
    return [strain_colour(0.02 + 0.64 * i / max(count - 1, 1)) for i in range(count)]
