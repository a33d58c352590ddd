"""What a builder types: numbers with a decimal point or comma, fractions, and the units he writes them in.

`read_entry` reads one value, `read_entries` several in one line. A comma is a decimal mark like the point, never one
of thousands, so that 1,250 is one and a quarter. Without a unit a number is in the unit the field shows. Everything
else is refused in words, never guessed at.

The inch, the foot and the pound are those of the international agreement of 1959 (25.4 mm, 0.453 592 37 kg), the
knot is 1852 m/h, the kilogram-force 9.806 65 N; all exact.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction as F

from .units import FACTORS, LARGEST, in_unit, pretty_unit, read_number, show_input, shown_unit, to_si

_INCH, _POUND, _GRAVITY = F(254, 10_000), F(45_359_237, 100_000_000), F(980_665, 100_000)
_PSI = _POUND * _GRAVITY / _INCH**2

# what is measured: words of a unit and its value in SI
# fmt: off
WRITTEN: dict[str, dict[str, F]] = {
    "length": {
        "mm": F(1, 1000), "cm": F(1, 100), "m": F(1), "in": _INCH, "inch": _INCH, "inches": _INCH, '"': _INCH,
        "″": _INCH, "ft": 12 * _INCH, "foot": 12 * _INCH, "feet": 12 * _INCH, "'": 12 * _INCH, "′": 12 * _INCH,
    },
    "area": {"mm2": F(1, 10**6), "cm2": F(1, 10**4), "m2": F(1), "in2": _INCH**2},
    "volume": {"mL": F(1, 10**6), "ml": F(1, 10**6), "cm3": F(1, 10**6), "L": F(1, 1000), "l": F(1, 1000),
               "m3": F(1), "in3": _INCH**3},
    "speed": {"m/s": F(1), "km/h": F(10, 36), "kn": F(1852, 3600), "knot": F(1852, 3600), "knots": F(1852, 3600),
              "ft/s": 12 * _INCH},
    "force": {"N": F(1), "kN": F(1000), "kgf": _GRAVITY, "lbf": _POUND * _GRAVITY},
    "mass": {"kg": F(1), "g": F(1, 1000), "lb": _POUND, "oz": _POUND / 16},
    "stress": {"Pa": F(1), "kPa": F(1000), "MPa": F(10**6), "GPa": F(10**9), "N/mm2": F(10**6), "bar": F(10**5),
               "psi": _PSI, "ksi": 1000 * _PSI},
    "density": {"kg/m3": F(1), "g/cm3": F(1000)},
    "time": {"s": F(1), "min": F(60), "h": F(3600)},
    "share": {"%": F(1, 100)},
    "ratio": {"x": F(1), "×": F(1)},
    "angle": {"deg": F(1), "°": F(1)},                 # in degrees: no fraction is exact in radians
    "temperature": {"degC": F(1), "°C": F(1), "C": F(1), "degF": F(5, 9), "°F": F(5, 9), "F": F(5, 9)},  # degrees C
}
# fmt: on
EXAMPLES = {
    "length": "2.5 or 2,5 or 3/4 in or 4 cm",
    "speed": "2.5 or 5 kn or 9 km/h",
    "force": "120 or 12 kgf or 25 lbf",
    "mass": "120 or 0.12 kg or 1/2 lb",
    "volume": "250 or 0.25 L",
    "stress": "12.5 or 12,5 or 1800 psi",
    "temperature": "22 or 22,5 or 72 °F",
    "angle": "4 or 4,5 or 4 1/2",
}
UNITS_SAID = {
    "length": "mm, cm, m, in or ft",
    "speed": "m/s, km/h or kn",
    "force": "N, kN, kgf or lbf",
    "mass": "kg, g, lb or oz",
    "volume": "mL, L, cm³ or in³",
    "stress": "Pa, kPa, MPa, GPa or psi",
    "temperature": "°C or °F",
    "time": "s, min or h",
}
_KIND = {unit: kind for kind, units in WRITTEN.items() for unit in units if unit in FACTORS}
_KIND |= {"fraction": "share"}
_EXACT_ELSEWHERE = {"angle": "deg", "temperature": "degC"}  # kinds whose numbers above are in this unit, not in SI
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_POWERS = re.compile(r"(?<=[A-Za-z])[²³]")
_SIGNS = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "⁄": "/"})
_DECIMAL = r"(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_NUMBER = re.compile(rf"([+-]?)\s*(?:(?:([0-9]+)(?:\s+|-))?([0-9]+)\s?/\s?([0-9]+)|({_DECIMAL}))(?![0-9./_]|,(?!\s))")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_WORDS = sorted({word for units in WRITTEN.values() for word in units} | set(FACTORS) - {""}, key=len, reverse=True)
_UNIT = re.compile(rf"\s*(?:(['\"′″])|({'|'.join(map(re.escape, _WORDS))})(?![A-Za-z0-9/°%]))")
_GAP = re.compile(r"\s*;\s*|,\s+|\s+")
_FEET, _INCHES = ("ft", "foot", "feet", "'", "′"), ("in", "inch", "inches", '"', "″")
_LONGEST = 2000  # characters of a line of entries


@dataclass(frozen=True)
class Understood:
    """A value as it was understood.

    value : in SI
    echo : the value in the unit shown, where the text said it in another way (a fraction, a comma, a unit); else ""
    """

    value: float
    echo: str = ""


def read_entry(
    text: str,
    name: str,
    unit: str = "",
    low: float = -LARGEST,
    high: float = LARGEST,
    *,
    shown: str | None = None,
    hint: str = "",
    **ends,
) -> Understood:
    """One value as typed.

    Parameters
    ----------
    text : what was typed
    name : what it is called in the message
    unit : unit of the input, a key of `units.FACTORS`
    low, high : least and greatest value allowed [SI]; further ends as of `units.read_number`
    shown : unit of a number typed without one; by default the one `unit` is shown in (mm or, by choice, inches)
    hint : what to do or to know, set after what is allowed

    Raises
    ------
    ValueError
        Where the text is no number, has a unit of another kind, or is out of range: what came in, what is allowed.

    >>> read_entry("3/4 in", "rod", "mm")
    Understood(value=0.01905, echo='19.05 mm')
    >>> read_entry("1,5", "sheet", "mm", low=0.0005, high=0.01).value
    0.0015
    >>> read_entry("1.234,5", "chord", "mm")
    Traceback (most recent call last):
    ValueError: chord is '1.234,5': give one number, in mm, as 2.5 or 2,5 or 3/4 in or 4 cm
    """
    shown = shown_unit(unit) if shown is None else shown
    parts = _scan(text, name, unit, shown, hint)
    if len(parts) == 2 and parts[0].word in _FEET and parts[1].word in _INCHES and not parts[1].negative:
        inches = _exact(parts[1], unit, shown)
        value = _float(_exact(parts[0], unit, shown) + (-inches if parts[0].negative else inches))
    elif len(parts) == 1:
        value = _value(parts[0], unit, shown)
    else:
        raise ValueError(_unread(text, name, shown, hint))
    value = read_number(value, name, unit, low, high, hint=hint, **ends)
    return Understood(value, "" if parts[0].plain else show_input(value, shown))


def read_entries(
    text: str,
    name: str,
    unit: str = "",
    low: float = -LARGEST,
    high: float = LARGEST,
    *,
    shown: str | None = None,
    hint: str = "",
    **ends,
) -> list[Understood]:
    """Several values as typed, with blanks, semicolons, or commas and blanks between them; none for an empty text.

    Arguments and errors as of `read_entry`. A unit after the last number alone holds for all of them.

    >>> [entry.value for entry in read_entries("2,06 2,05; 2.04 mm", "thickness", "mm")]
    [0.00206, 0.00205, 0.00204]
    """
    shown = shown_unit(unit) if shown is None else shown
    if not text.strip():
        return []
    parts = _scan(text, name, unit, shown, hint, many=True)
    if parts[-1].word and not any(part.word for part in parts[:-1]):
        last = parts[-1]
        parts = [replace(part, word=last.word, plain=last.plain and part.plain) for part in parts]
    values = [read_number(_value(p, unit, shown), name, unit, low, high, hint=hint, **ends) for p in parts]
    return [Understood(v, "" if p.plain else show_input(v, shown)) for v, p in zip(values, parts, strict=True)]


def plain_number(text: str, decimal_comma: bool = False) -> float:
    """A number written in a file: digits 0 to 9, sign, one decimal mark, exponent, and nothing else.

    A comma is the mark only where told. ValueError for anything else, as underscores, other digits, 0x10, inf, nan.

    >>> plain_number("2.06"), plain_number("−1,5e3", decimal_comma=True)
    (2.06, -1500.0)
    """
    line = text.strip().replace("−", "-")
    if not _PLAIN.fullmatch(line) or ("," in line and not decimal_comma):
        raise ValueError(f"{_short(text)} is not a number")
    value = float(line.replace(",", "."))
    if not math.isfinite(value):
        raise ValueError(f"{_short(text)} is not a number")
    return value


def in_field(value: float, unit: str, shown: str | None = None, digits: int | None = None) -> str:
    """A value [SI] as the text of a field: in the unit shown, without it; read back by `read_entry` as it was, to the
    digits asked for or nine."""
    text = show_input(value, shown_unit(unit) if shown is None else shown, digits or 9)
    return re.match(r"[−0-9.e+-]+|–|no limit|minus infinity|.*", text).group()


@dataclass(frozen=True)
class _Part:
    """A number as typed: exact value, the unit's word or "", and whether it says no more than the field shows."""

    exact: F
    word: str
    plain: bool
    negative: bool


def _scan(text, name, unit, shown, hint, many=False):
    """Numbers and units of a text, in order; ValueError where something else stands in it: of `many`, the first word
    that is wrong is named."""
    line = text.translate(_SIGNS).strip() if isinstance(text, str) else ""
    line = _POWERS.sub(lambda power: "2" if power[0] == "²" else "3", line)
    for sign, fraction in _VULGAR.items():
        line = line.replace(sign, f" {fraction}").strip()
    parts, at = [], 0
    while at < len(line) and len(line) <= _LONGEST:
        text = line[at:].split()[0] if many else text
        number = _NUMBER.match(line, at)
        if number is None or (number.group(4) and int(number.group(4)) == 0):
            raise ValueError(_unread(text, name, shown, hint, many))
        unit_word = _UNIT.match(line, number.end())
        at = unit_word.end() if unit_word else number.end()
        parts.append(_part(number, unit_word.group(1) or unit_word.group(2) if unit_word else "", shown))
        _same_kind(parts[-1].word, text, name, unit, shown, hint)
        gap = _GAP.match(line, at)
        at = gap.end() if gap else at
        if not gap and at < len(line) and parts[-1].word not in _FEET:
            raise ValueError(_unread(text, name, shown, hint, many))
    if not parts:
        raise ValueError(_unread(text, name, shown, hint, many))
    return parts


def _part(number, word, shown):
    sign, whole, above, under, decimal = number.groups()
    exact = F(decimal.replace(",", ".")) if decimal else F(int(above), int(under)) + int(whole or 0)
    plain = bool(decimal) and "," not in decimal and word in ("", shown, pretty_unit(shown))
    return _Part(-exact if sign == "-" else exact, word, plain, sign == "-")


def _same_kind(word, text, name, unit, shown, hint):
    """ValueError where a unit measures something else than the input."""
    kind = _KIND.get(unit)
    if word and word != unit and word not in (WRITTEN[kind] if kind else ()):
        given = next((f", which is a {k}" for k, units in WRITTEN.items() if word in units), "")
        means = f"a {kind} in {UNITS_SAID[kind]}" if kind in UNITS_SAID else f"it in {pretty_unit(unit)}"
        means = means if unit else "a number without a unit"
        raise ValueError(f"{name} is {_short(text)}{given}: give {means}" + (f"; {hint}" if hint else ""))


def _value(part, unit, shown):
    """A part in SI."""
    if part.word == "" or part.word == unit or _KIND.get(unit) in _EXACT_ELSEWHERE:
        own = _EXACT_ELSEWHERE.get(_KIND.get(unit), "") if part.word else ""
        number = part.exact * WRITTEN[_KIND[unit]].get(part.word, 1) if own else part.exact
        if own == "degC" and part.word in ("degF", "°F", "F"):
            number = (part.exact - 32) * F(5, 9)
        return _si(number, own or (shown if part.word == "" else unit))
    return _float(_exact(part, unit, shown))


def _si(number, unit):
    """As `to_si`, of an exact number."""
    kind = _KIND.get(unit)
    if kind and kind not in _EXACT_ELSEWHERE and unit in WRITTEN[kind]:
        return _float(number * WRITTEN[kind][unit])
    return to_si(_float(number), unit)


def _exact(part, unit, shown):
    return part.exact * WRITTEN[_KIND[unit]][part.word or shown]


def _float(number):
    try:
        return float(number)
    except OverflowError:
        return math.inf if number > 0 else -math.inf


def _unread(text, name, shown, hint, many=False):
    kind = _KIND.get(shown, "")
    example = EXAMPLES.get(kind, "2.5 or 2,5")
    wanted = "numbers with blanks between them" if many else "one number"
    came = "empty" if not str(text).strip() else _short(text)
    return f"{name} is {came}: give {wanted}{in_unit(shown)}, as {example}" + (f"; {hint}" if hint else "")


def _short(text):
    words = repr(" ".join(str(text).split()))
    return words if len(words) <= 60 else f"{words[:50]}…"
