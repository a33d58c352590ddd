"""Tolerances, measured samples and correlations as a builder types them, in a panel or on the command line."""

from __future__ import annotations

from ..entries import read_entries, read_entry
from .design import LIMITS, Design
from .varying import MODULUS, SAMPLE, Tolerance, input_label, nominal

TOGETHER = "sheet thickness, modulus = -0.5"  # how it is typed


def read_sample(design: Design, field: str, text: str) -> Tolerance:
    """A `Tolerance` of the values measured on parts or stock, with blanks between them: of lengths in mm, of the
    modulus in GPa, where no other unit stands behind a value. ValueError in words for fewer than two, or what can be no
    such value.

    >>> from panelmech.job import demo
    >>> read_sample(demo().design, "setback", "3.2 2,9 3").values
    (0.0029, 0.003, 0.0032)
    """
    name, unit = f"measured values of {input_label(field)}", "GPa" if field == MODULUS else LIMITS[field].unit
    values = [entry.value for entry in read_entries(text, name, unit)]
    if len(values) < 2:
        raise ValueError(f"{name}: {len(values)} given; give two or more, as measured, with blanks between them")
    per = float(design.sheet.modulus_at(design.sheet_thickness)) if field == MODULUS else 1.0
    return Tolerance(field, kind=SAMPLE, values=tuple(value / per for value in values))


def sample_text(design: Design, tolerance: Tolerance) -> str:
    """How far the middle of a measured sample is off the design, in a clause; "" where it is not.

    >>> from panelmech.job import demo
    >>> sample_text(demo().design, read_sample(demo().design, "setback", "3 3.4"))
    'setback: 2 values, their mean 6.67 % above the design'
    """
    middle, mean = nominal(design, tolerance.field), sum(tolerance.values) / len(tolerance.values)
    count = f"{input_label(tolerance.field)}: {len(tolerance.values)} values"
    if not middle:
        return count
    off = mean / middle - 1.0
    if abs(off) < 5e-4:
        return f"{count} about the design"
    return f"{count}, their mean {100 * abs(off):.3g} % {'above' if off > 0.0 else 'below'} the design"


def read_input(text: str, names) -> str:
    """Which of these inputs a text names, by name or label; ValueError with all of them.

    >>> read_input("Sheet thickness", ("sheet_thickness", "modulus"))
    'sheet_thickness'
    """
    names = tuple(names)
    for name in names:
        if _plain(text) in (_plain(name), _plain(input_label(name))):
            return name
    allowed = ", ".join(input_label(name) for name in names)
    raise ValueError(f"{text.strip() or 'nothing'!r} is no input that varies: give one of {allowed}")


def _plain(text):
    return " ".join(text.replace("_", " ").replace("-", " ").casefold().split())


def read_together(text: str, names) -> dict:
    """{(input, input): correlation} of what was typed as `TOGETHER`, several with semicolons between them.

    `names`: inputs that vary. ValueError in words for anything else; whether all of them can be together is told by
    `study.varying.varying`.

    >>> read_together("sheet thickness, modulus = -0.5", ("sheet_thickness", "modulus"))
    {('sheet_thickness', 'modulus'): -0.5}
    """
    found = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        pair, sign, share = part.partition("=")
        two = pair.split(",")
        if len(two) != 2 or not sign or not share.strip():
            raise ValueError(f"{part!r} tells of no two inputs how they go together: give it as “{TOGETHER}”")
        first, second = (read_input(name, names) for name in two)
        if first == second:
            raise ValueError(f"{part!r} names one input twice: give two different inputs, as “{TOGETHER}”")
        if (first, second) in found or (second, first) in found:
            raise ValueError(f"{input_label(first)} with {input_label(second)} is given twice: give it once")
        name = f"correlation of {input_label(first)} and {input_label(second)}"
        found[first, second] = read_entry(share, name, "", -1.0, 1.0).value
    return found
