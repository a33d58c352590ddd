"""One framed sheet, bent and flat, pressed at large deflection: the table beside its curves, and the powers by which
its stiffness follows its sizes, in the numbers of one design.

"Stiffness" is pressure over largest deflection, and each text says at what pressure. No mechanics: numbers come from
`study.bent_and_flat`.
"""

from __future__ import annotations

import math
from itertools import product

from ..draw.look import VERDICT_MARKS
from ..loads.record import LoadRecord
from ..mechanics.pressure_curve import SIZES
from ..study.bent_and_flat import BEYOND, SHEETS, WAYS, SheetCurves
from ..study.design import Design
from ..study.framed_sheet import IN_PLANE
from ..study.wedge_comparison import side
from ..units import capital, format_number, show, show_input
from .blocks import Column, Heading, Paragraph, Picture, Table
from .check_rows import HELD
from .drawings import laid_out

OWN = "the pressing pressure of the design"
NAMES = {"bent": "the bent sheet", "flat": "the same sheet laid flat", "wedge": "the flat wedge's sheet"}
EDGES = {"free": "edges drawing in", "held": "edges held"}
PARTS = {"thickness": "thickness", "length": "length", "width": "free span"}
_MARKS = {"stiffer": "more", "softer": "less", "the same": "same"}
LINEAR = "linear"
_COLUMNS = (
    Column("Bent", 0.085, "number"),
    Column("Flat, land clamped", 0.095, "number"),
    Column("Flat wedge's", 0.09, "number"),
    Column("Stiffness, bent over flat", 0.1, "number"),
    Column("Bent over flat wedge's", 0.1, "number"),
    *(Column(f"Power of {word}", 0.095, "number") for word in PARTS.values()),
)


def pressing_rows(curves: SheetCurves) -> tuple:
    """Rows of the table, each way and by the linear theory: words, deflections of bent, flat and wedge's sheet,
    stiffness of the bent one over both, powers by which it follows thickness, length and span.

    >>> from panelmech.job import demo
    >>> from panelmech.study import sheet_curves
    >>> for row in pressing_rows(sheet_curves(demo().design))[3:5]:
    ...     print(*row[:4], *(ratio.split()[-1] for ratio in row[4:6]), row[6], sep="; ")
    Edges held, outward; 2.04 mm; 1.17 mm; 1.53 mm; 0.573; 0.747; 2.95
    Edges held, inward; 0.557 mm; 1.17 mm; 1.53 mm; 2.10; 2.74; 1.23
    """
    return tuple(_row(curves, edges, way) for edges in IN_PLANE for way in (*WAYS, LINEAR))


def _row(curves, edges, way):
    linear = way == LINEAR
    deflections = [curves.linear(n, edges) if linear else curves.deflection(n, edges, way) for n in SHEETS]
    others = SHEETS[1:]
    ratios = [curves.linear_ratio(n, edges) if linear else curves.ratio(n, edges, way) for n in others]
    powers = _powers(curves, edges, way)
    words = f"{capital(EDGES[edges])}, {way}"
    return words, *map(_deflection, deflections), *map(_ratio, ratios), *map(_power, powers)


def _powers(curves, edges, way):
    """Exponents of the bent sheet's stiffness by `SIZES`; nan where there are none."""
    state = curves.sheets["bent", edges] if way == LINEAR else curves.state("bent", edges, way)
    return [getattr(state.exponents, size) if state else math.nan for size in SIZES]


def _power(value):
    if not math.isfinite(value):
        return "–"
    return f"{value:.2f}".replace("-", "−").replace("−0.00", "0.00")


def _deflection(value):
    return show(value, "mm", 3) if math.isfinite(value) else "–"


def _ratio(value):
    if not math.isfinite(value):
        return "–"
    return f"{VERDICT_MARKS[_MARKS[side(value)]]}{HELD}{format_number(value, 3)}"


def pressing_table(curves: SheetCurves) -> Table:
    """Largest deflections at the pressure where the sheets are compared, what they say of stiffness, and how that of
    the bent sheet follows its sizes."""
    at = f"at {show_input(curves.working, 'Pa', 4)}" if curves.working else "at no pressure"
    columns = Column(f"Largest deflection {at}", 0.245, "label"), *_COLUMNS
    return Table(f"One sheet {at}, bent and flat, the same model", columns, pressing_rows(curves))


def pressing_words(curves: SheetCurves) -> tuple:
    """What the curves say, in sentences: of which stiffness the bent sheet has more than the flat wedge's and of which
    less, how far off the linear theory is, where a sheet snaps through, why a sheet or part of a curve is missing."""
    return (*_sides(curves), *_linear_words(curves), *_turn_words(curves), *_missing_words(curves))


def _cases(curves, of):
    """(words, value that is known) of both edges and ways."""
    values = ((f"pressed {way} with {EDGES[edges]}", of(edges, way)) for edges, way in product(IN_PLANE, WAYS))
    return [(words, value) for words, value in values if math.isfinite(value)]


def _sides(curves):
    told = _cases(curves, lambda edges, way: curves.ratio("wedge", edges, way))
    groups = {
        word: [f"{words} ({format_number(v, 3)} times)" for words, v in told if side(v) == word] for word in _MARKS
    }
    than = {"stiffer": "more of it than", "softer": "less of it than", "the same": "as much of it as"}
    parts = [f"{than[word]} the flat wedge's {', '.join(found)}" for word, found in groups.items() if found]
    if parts:
        at = show_input(curves.working, "Pa", 4)
        yield f"Stiffness, pressure over largest deflection, at {at}: the bent sheet has {'; '.join(parts)}."


def _linear_words(curves):
    off = [
        curves.linear(name, edges) / curves.deflection(name, edges, way)
        for name, edges, way in product(SHEETS, IN_PLANE, WAYS)
    ]
    off = [value for value in off if math.isfinite(value)]
    if off:
        low, high = (format_number(value, 3) for value in (min(off), max(off)))
        yield f"The linear theory tells between {low} and {high} times these deflections."


def _turn_words(curves):
    for (name, edges), pressed in curves.sheets.items():
        for way in WAYS:
            first = next(iter(getattr(pressed, way).turns), None)
            if first:
                does = "snaps through" if first.kind == "limit" else "jumps to another shape"
                yield (
                    f"{capital(NAMES[name])}, {EDGES[edges]}, pressed {way} {does} at {show(first.pressure, 'Pa', 3)}, "
                    f"deflected by {show(first.deflection, 'mm', 3)}{_after(curves, name, edges, way, first)}."
                )


def _after(curves, name, edges, way, first):
    """What the table tells of a sheet that has let go before the pressure compared at."""
    if not 0.0 < first.pressure < curves.working:
        return ""
    known = curves.state(name, edges, way) is not None
    return "; the table tells the next state in which it stays" if known else "; where it stays next is not told"


def _missing_words(curves):
    if curves.why:
        yield f"{capital(curves.why)}."
    for (name, edges), pressed in curves.sheets.items():
        ways = [way for way in WAYS if getattr(pressed, way).stopped]
        if ways:
            curve = getattr(pressed, ways[0])
            yield (
                f"{capital(NAMES[name])}, {EDGES[edges]}, is not followed beyond {show(curve.pressure.max(), 'Pa', 3)} "
                f"{' and '.join(ways)}: {curve.stopped}."
            )


def powers_words(curves: SheetCurves) -> str:
    """What of the rule of the cube is true of this sheet."""
    found = [_powers(curves, edges, way)[0] for edges, way in product(IN_PLANE, (*WAYS, LINEAR))]
    known = [value for value in found if math.isfinite(value)]
    low, high = _power(min(known)), _power(max(known))
    return (
        "Power: the bent sheet's stiffness goes with a size to this power, material, the other sizes and the curvature "
        "at each share of the length kept; below zero a larger size makes it less. Rule of thumb (common practice, no "
        "source): the stiffness of a panel goes with the cube of its thickness, as that of a flat sheet does by the "
        f"linear theory. Of this sheet the power lies between {low} and {high}."
    )


# ----- In a note.


def pressed_by(loads: LoadRecord | None) -> tuple:
    """(pressure, what it is in words) of the load case that presses most; (None, "") where none does."""
    pressures = None if loads is None else abs(loads.study.response.pressure)
    if pressures is None or not pressures.size or not pressures.max() > 0.0:
        return None, ""
    case = loads.study.names[int(pressures.max(axis=-1).argmax())]
    return float(pressures.max()), f"the most that a load case presses with ({case})"


def pressing_blocks(curves: SheetCurves, what: str = ""):
    """The blocks of a note: curves, table, words; `what` the pressure is, in words, by default the design's own."""
    yield Heading("One framed sheet pressed, bent and flat")
    if not curves.sheets:
        yield Paragraph(f"Not reckoned: {curves.why}.")
        return
    at = (
        f"at {show_input(curves.working, 'Pa', 4)}, {what or OWN}"
        if curves.working
        else "without a pressure to compare at"
    )
    yield Paragraph(
        f"One sheet alone, the same model at large deflection for bent and flat, {at}. {reach_words(curves)}"
    )
    yield Picture("pressing", described(curves))
    yield pressing_table(curves)
    yield Paragraph(" ".join(pressing_words(curves)))
    yield Paragraph(powers_words(curves), quiet=True)


def reach_words(curves: SheetCurves) -> str:
    """How far the curves go, and why."""
    if curves.most <= BEYOND * curves.working:
        return f"The curves go on to {format_number(BEYOND, 2)} times that, {show(curves.most, 'Pa', 3)}."
    return (
        f"The curves go on to {show(curves.most, 'Pa', 3)}, where by the linear theory the sheet laid flat would give "
        "by its own thickness."
    )


def described(curves: SheetCurves) -> str:
    """Text alternative of the curves."""
    from ..draw.pressing_figures import describe_pressing

    return describe_pressing(curves)


def pressing_drawing(curves: SheetCurves, design: Design) -> dict:
    """The drawing of the curves for a note: {name: `LaidOut`}; none without sheets."""
    from ..draw.pressing_figures import pressing_figure

    return {"pressing": laid_out(described(curves), pressing_figure, curves, design)} if curves.sheets else {}
