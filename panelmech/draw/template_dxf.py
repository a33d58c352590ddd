"""A template as DXF, release 12 in plain text, in millimetres: polylines, circles, lines and texts on five layers.

Release 12 has no unit of its own; the drawing says "mm" in a comment and in words, and every template carries two
100 mm check bars. Group codes from the published DXF reference for release 12 (from memory; read back in the tests).
"""

from __future__ import annotations

import unicodedata

from ..shop.templates import Template
from ..units import FACTORS

MM = FACTORS["mm"]
LAYERS = {"CUT": 7, "MARK": 8, "HOLE": 1, "CHECK": 5, "TEXT": 3}  # name and colour number
BAR = 100.0  # mm
BELOW = 12.0  # mm from the drawing down to the level check bar, and from its left edge to the upright one
TEXT = 3.0  # mm


def dxf(template: Template) -> str:
    """The template as a DXF file's text. x and y are those of the section, in mm; y = 0 is the chord line."""
    left, bottom, _, _ = (v / MM for v in template.box)
    x, y = left, bottom - BELOW
    body = []
    for path in template.paths:
        body += _polyline(path.points / MM, path.closed, "CUT" if path.kind == "cut" else "MARK")
    for hole in template.holes:
        body += _pairs(
            (0, "CIRCLE"), (8, "HOLE"), (10, hole.x / MM), (20, hole.y / MM), (30, 0.0), (40, 0.5 * hole.diameter / MM)
        )
        body += _text(hole.x / MM + 0.5 * hole.diameter / MM + 1.0, hole.y / MM + 1.0, hole.name, 2.0)
    body += _line((x, y), (x + BAR, y)) + _line((x - BELOW, y), (x - BELOW, y + BAR))
    words = [
        template.part,
        template.name,
        f"make {template.count}; {template.line}",
        *template.notes,
        template.stamp,
        "all in mm; both check bars are 100 mm",
    ]
    for i, word in enumerate(w for w in words if w):
        body += _text(x, y - (i + 1) * 1.6 * TEXT - 1.0, word, TEXT)
    head = _pairs(
        (999, "panelmech template, units mm"),
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        (0, "ENDSEC"),
    )
    return (
        "\n".join(head + _tables() + _pairs((0, "SECTION"), (2, "ENTITIES")) + body + _pairs((0, "ENDSEC"), (0, "EOF")))
        + "\n"
    )


def _tables():
    rows = _pairs(
        (0, "SECTION"),
        (2, "TABLES"),
        (0, "TABLE"),
        (2, "LTYPE"),
        (70, 1),
        (0, "LTYPE"),
        (2, "CONTINUOUS"),
        (70, 0),
        (3, "Solid line"),
        (72, 65),
        (73, 0),
        (40, 0.0),
        (0, "ENDTAB"),
        (0, "TABLE"),
        (2, "LAYER"),
        (70, len(LAYERS)),
    )
    for name, colour in LAYERS.items():
        rows += _pairs((0, "LAYER"), (2, name), (70, 0), (62, colour), (6, "CONTINUOUS"))
    return rows + _pairs((0, "ENDTAB"), (0, "ENDSEC"))


def _polyline(points, closed, layer):
    rows = _pairs((0, "POLYLINE"), (8, layer), (66, 1), (10, 0.0), (20, 0.0), (30, 0.0), (70, int(closed)))
    for x, y in points:
        rows += _pairs((0, "VERTEX"), (8, layer), (10, x), (20, y), (30, 0.0))
    return rows + _pairs((0, "SEQEND"), (8, layer))


def _line(start, end):
    return _pairs(
        (0, "LINE"), (8, "CHECK"), (10, start[0]), (20, start[1]), (30, 0.0), (11, end[0]), (21, end[1]), (31, 0.0)
    )


def _text(x, y, words, height):
    return _pairs((0, "TEXT"), (8, "TEXT"), (10, x), (20, y), (30, 0.0), (40, height), (1, plain(words)))


def plain(words: str) -> str:
    """The words in the letters every reader of release 12 knows: one line of ASCII, signs replaced by their like."""
    for sign, like in {"°": "%%d", "−": "-", "–": "-", "×": "x", "²": "2", "³": "3", "·": ".", "µ": "u"}.items():
        words = words.replace(sign, like)
    letters = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    return " ".join(letters.split())[:250]


def _pairs(*pairs):
    """Group codes and values, one a line; numbers to a millionth of a mm, without minus zero."""
    rows = []
    for code, value in pairs:
        rows += [f"{code:>3d}", f"{round(float(value), 6) + 0.0:.6f}" if isinstance(value, float) else str(value)]
    return rows
