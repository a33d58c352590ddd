"""A template as SVG in millimetres: width and height in mm, one unit of the view box is 1 mm.

Cut lines solid, marks dashed, holes as circles with their names, words below, and two 100 mm check bars.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from ..shop.templates import Template
from ..units import FACTORS

MM = FACTORS["mm"]
BAR = 100.0  # mm
EDGE = 6.0  # mm of empty paper around all
TEXT = 3.2  # mm, height of the letters' em
LINE = 5.0  # mm from line to line of words
STYLES = {
    "cut": 'fill="none" stroke="#000" stroke-width="0.2" stroke-linejoin="round"',
    "mark": 'fill="none" stroke="#555" stroke-width="0.15" stroke-dasharray="2 1"',
    "hole": 'fill="none" stroke="#000" stroke-width="0.15"',
    "check": 'fill="none" stroke="#000" stroke-width="0.2"',
}


def svg(template: Template) -> str:
    """The template as an SVG file's text, true to scale."""
    left, bottom, right, top = (v / MM for v in template.box)
    make = f"make {template.count}; {template.line}"
    words = [w for w in (template.part, template.name, make, *template.notes, template.stamp) if w]
    words = [line for word in words for line in _folded(word, max(right - left, BAR))]
    wide = max(right - left, BAR) + 14.0 + 2.0 * EDGE
    drawing = max(top - bottom, BAR)
    high = drawing + 16.0 + LINE * len(words) + 2.0 * EDGE
    x0, y0 = EDGE + 14.0 - left, EDGE + drawing + bottom  # origin of the section on the paper; y runs down

    def place(points):
        return " ".join(f"{_number(x / MM + x0)},{_number(y0 - y / MM)}" for x, y in points)

    rows = [
        f'<{"polygon" if p.closed else "polyline"} class="{p.kind}" points="{place(p.points)}" {STYLES[p.kind]}/>'
        for p in template.paths
    ]
    for h in template.holes:
        cx, cy = h.x / MM + x0, y0 - h.y / MM
        rows.append(
            f'<circle class="hole" cx="{_number(cx)}" cy="{_number(cy)}" r="{_number(0.5 * h.diameter / MM)}" '
            f"{STYLES['hole']}/>"
        )
        rows.append(_text(cx, cy - 0.5 * h.diameter / MM - 2.0, h.name, 2.4, "middle"))
    rows += _bars(EDGE + 14.0, EDGE + drawing + 6.0)
    rows += [_text(EDGE, EDGE + drawing + 16.0 + LINE * i, word, TEXT) for i, word in enumerate(words)]
    size = f'width="{_number(wide)}mm" height="{_number(high)}mm" viewBox="0 0 {_number(wide)} {_number(high)}"'
    name = escape(f"{template.part}: {template.name}" if template.part else template.name)
    return (
        "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>',
                f"<title>{name}</title>",
                *rows,
                "</svg>",
            ]
        )
        + "\n"
    )


def _bars(x, y):
    """Both check bars, with strokes at their ends and their words."""
    style = STYLES["check"]
    level = (
        f'<path class="check-level" d="M {_number(x)} {_number(y)} h 100" {style}/>'
        f'<path d="M {_number(x)} {_number(y - 1.5)} v 3 m 100 -3 v 3" {style}/>'
    )
    up, foot = x - 10.0, y - 6.0
    upright = (
        f'<path class="check-upright" d="M {_number(up)} {_number(foot)} v -100" {style}/>'
        f'<path d="M {_number(up - 1.5)} {_number(foot)} h 3 m -3 -100 h 3" {style}/>'
    )
    return [
        level,
        upright,
        _text(x + 50.0, y + 4.0, "100 mm: measure it, and the upright one, before you cut", 2.8, "middle"),
    ]


def _text(x, y, words, size, anchor="start"):
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" font-size="{size}" font-family="sans-serif" '
        f'text-anchor="{anchor}">{escape(words)}</text>'
    )


def _folded(words, width):
    """Lines of about `width` mm, an average letter taken as half its size wide."""
    most, lines = max(20, int(width / (0.52 * TEXT))), [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) + 1 > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _number(value):
    return f"{round(float(value), 4) + 0.0:.4f}".rstrip("0").rstrip(".")
