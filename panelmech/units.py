"""Units at the edge, the one number formatter, and the one reader of numbers, choices and texts that come in.

Inside the package every number is a plain float in SI (m, N, Pa, rad, kg). Millimetres, megapascals and
degrees exist only where a person or a kept file meets the package. A `Quantity` says what a builder calls a
computed number and the unit it is shown in (the tables stand in `study.quantities` and `loads.plan`), a `Limit`
the same of an input, with what is accepted. After `show_lengths_in("inch")` all lengths, areas and volumes shown
through this module are in inches; kept files are the same under either choice.

What comes in goes through `read_number` and its kin: each gives back what it read, or raises a ValueError that says
what came in and what is allowed.
"""

from __future__ import annotations

import math
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import cached_property
from numbers import Real

import numpy as np

# fmt: off
# SI value = shown value * factor
FACTORS = {
    "": 1.0, "mm": 1e-3, "m": 1.0, "MPa": 1e6, "GPa": 1e9, "Pa": 1.0, "kPa": 1e3, "deg": math.pi / 180.0,
    "rad": 1.0, "%": 1e-2, "N": 1.0, "kN": 1e3, "N/m": 1.0, "kN/m": 1e3, "N/mm": 1e3, "N m": 1.0, "N m/m": 1.0,
    "J": 1.0, "J/m": 1.0, "J/m2": 1.0, "kg": 1.0, "g": 1e-3, "kg/m": 1.0, "kg/m3": 1.0, "1/m": 1.0, "m2": 1.0,
    "m3": 1.0, "mm2": 1e-6, "cm2": 1e-4, "mm4": 1e-12, "cm4": 1e-8, "cm3": 1e-6, "mL": 1e-6, "mm3": 1e-9,
    "N m2": 1.0, "x": 1.0, "fraction": 1.0, "micrometre/m": 1e-6, "m/s": 1.0, "s": 1.0, "min": 60.0, "h": 3600.0,
    "K": 1.0, "degC": 1.0, "kJ/kg": 1e3, "W/mK": 1.0, "W/m2K": 1.0, "W/m3K": 1.0,
    "in": 0.0254, "in2": 6.4516e-4, "in3": 1.6387064e-5, "in4": 4.162314256e-7,
}

OFFSETS = {"degC": 273.15}  # SI value of a shown zero, where that is not zero

PRETTY = {
    "deg": "°", "m2": "m²", "m3": "m³", "mm2": "mm²", "cm2": "cm²", "mm4": "mm⁴", "cm4": "cm⁴", "cm3": "cm³",
    "mm3": "mm³", "J/m2": "J/m²", "kg/m3": "kg/m³", "x": "×", "N m": "N·m", "N m/m": "N·m/m", "N m2": "N·m²",
    "degC": "°C", "W/mK": "W/(m·K)", "W/m2K": "W/(m²·K)", "W/m3K": "W/(m³·K)", "micrometre/m": "µm/m", "in2": "in²",
    "in3": "in³", "in4": "in⁴",
}

# in the keys of kept files
KEY_SUFFIX = {
    "mm": "mm", "MPa": "mpa", "GPa": "gpa", "Pa": "pa", "kPa": "kpa", "deg": "deg", "%": "percent", "J/m2": "j_m2",
    "kg/m3": "kg_m3", "": "", "x": "", "N": "n", "m/s": "m_s", "degC": "c", "mL": "ml", "g": "g", "h": "h",
    "W/mK": "w_mk", "m": "m", "fraction": "fraction", "min": "min", "s": "s", "K": "k", "kg": "kg",
}

INCHES = {"mm": "in", "m": "in", "mm2": "in2", "cm2": "in2", "m2": "in2", "mm3": "in3", "cm3": "in3", "m3": "in3",
          "mm4": "in4", "cm4": "in4"}  # what a unit is shown in where lengths are shown in inches
# fmt: on

LENGTHS = ("mm", "inch")  # what lengths may be shown in
SMALLEST, LARGEST = 1e-30, 1e30  # no measure in SI is beyond: powers and products of what comes in stay floats
_present = {"lengths": LENGTHS[0]}  # plain, not a context variable: panels call back on other threads than cells


def lengths() -> str:
    """What lengths are shown in at present, "mm" or "inch"."""
    return _present["lengths"]


def show_lengths_in(choice: str) -> None:
    """From now on show lengths in "mm" or "inch", in the whole process.

    Lengths, areas, volumes and second moments of the part follow; forces, masses, pressures, temperatures, speeds,
    litres, whatever is per length or area (N/m, J/m², 1/m), and words made before stay: evaluate a design anew.
    """
    _present["lengths"] = read_choice(choice, "lengths", LENGTHS)


@contextmanager
def lengths_in(choice: str):
    """Show lengths in "mm" or "inch" for as long as the `with` block runs, then as before."""
    before = lengths()
    try:
        show_lengths_in(choice)
        yield
    finally:
        show_lengths_in(before)


def shown_unit(unit: str) -> str:
    """The unit a quantity of this unit is shown in under the present choice: "mm" is "in" where that is inches."""
    return INCHES.get(unit, unit) if lengths() == "inch" else unit


def unit_words(unit: str) -> str:
    """The unit as printed under the present choice, for labels: `mm4` is mm⁴ or in⁴; an empty unit stays empty."""
    return pretty_unit(shown_unit(unit))


def in_shown(values, unit: str):
    """SI values, one or an array, as plain numbers of the unit they are shown in under the present choice."""
    return values / FACTORS[shown_unit(unit)]


@dataclass(frozen=True)
class Quantity:
    """What a builder calls a computed number, and the unit it is shown in."""

    label: str
    unit: str = ""
    digits: int = 4


@dataclass(frozen=True)
class Limit:
    """One numeric input: what a builder calls it, what is accepted, and the slider that sets it.

    field, label : name of the input in its record; what a builder calls it
    unit : unit on screen and in kept files, a key of `KEY_SUFFIX`
    low, high : least and greatest value accepted [unit]
    slider_low, slider_high, step : ends and step of its slider [unit]
    group, help : the tab or box its slider stands in; one line of help
    """

    field: str
    label: str
    unit: str
    low: float
    high: float
    slider_low: float
    slider_high: float
    step: float
    group: str
    help: str

    @property
    def key(self) -> str:
        """Key in a kept file, with the unit in it."""
        return with_suffix(self.field, self.unit)

    @cached_property
    def range(self) -> tuple:
        """Least and greatest value accepted [SI]."""
        return to_si(self.low, self.unit), to_si(self.high, self.unit)

    def read(self, value) -> float:
        """A value [SI] of this input as a float; ValueError unless it is a number within the limits."""
        number = _plain_number(value)
        low, high = self.range
        if number is None or not low <= number <= high:
            came, low_text, high_text = _apart(value, (low, high), self.unit)
            raise ValueError(f"{self.label} ({self.field}) is {came}: allowed is {low_text} to {high_text}")
        return number


def with_suffix(name: str, unit: str) -> str:
    """Key of a kept file: the name with its unit, `span` in "mm" is `span_mm`."""
    return f"{name}_{KEY_SUFFIX[unit]}" if KEY_SUFFIX[unit] else name


def pretty_unit(unit: str) -> str:
    """Unit as printed: `mm4` becomes `mm⁴`; an empty unit stays empty."""
    return PRETTY.get(unit, unit)


def capital(text: str) -> str:
    """The text with a capital first letter; the rest stays, unlike `str.capitalize`."""
    return f"{text[:1].upper()}{text[1:]}"


def format_number(value: float, digits: int = 4) -> str:
    """Write a number with `digits` significant digits, without exponent where that reads well.

    Not a number becomes an en dash, infinity a word. There is no minus zero. Plain decimals are used from
    1e-4 up to 1e7; outside, a power of ten. Trailing zeros are kept: they say how well a number is known.
    """
    value = float(value)
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "no limit" if value > 0 else "minus infinity"
    if value == 0.0:
        return "0"
    mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
    magnitude = int(exponent)
    if magnitude < -4 or magnitude >= 7:
        return f"{mantissa.replace('-', '−')}·10^{int(exponent)}".replace("^-", "^−")
    text = f"{value:.{max(digits - 1 - magnitude, 0)}f}"
    if magnitude >= digits:  # digits beyond the significant ones are rounded away, not printed as if known
        text = f"{round(value, digits - 1 - magnitude):.0f}"
    return text.replace("-", "−")


def show(value: float, unit: str = "", digits: int = 4) -> str:
    """SI value as text with its unit: `show(0.018, "mm")` gives `18.00 mm`, or `0.7087 in` (see `show_lengths_in`)."""
    unit = shown_unit(unit)
    text = format_number((float(value) - OFFSETS.get(unit, 0.0)) / FACTORS[unit], digits)
    return text if text in ("–", "no limit", "minus infinity") else _with_unit(text, unit)


def _with_unit(text, unit):
    return f"{text}{'' if unit in ('deg', '') else ' '}{pretty_unit(unit)}"


def in_unit(unit: str) -> str:
    """What follows "a number": `, in mm` or `, in inches`; nothing where there is no unit."""
    return f", in {unit_words(unit)}".replace("in in", "in inches") if unit else ""


def show_fixed(length: float, decimals: int, words: bool = True) -> str:
    """A length [m] to so many decimals of a millimetre, `18.0 mm`; in inches two more. `words`: with the unit."""
    text = _plain(in_shown(float(length), "mm"), decimals + 2 * (lengths() == "inch"))
    return f"{text} {unit_words('mm')}" if words else text


def _plain(number, decimals):
    """The number with so many decimals; there is no minus zero."""
    text = f"{number:.{decimals}f}"
    return text.replace("-", "−" if text.strip("-0.") else "")


def round_bound(value: float, unit: str = "", digits: int = 4, *, up: bool) -> float:
    """A limit [SI] rounded up or down to `digits` in the unit it is shown in, so that it stays on the allowed side.

    It is first moved by a billionth to that side, so that the rounding of the last digit cannot undo it.
    """
    unit = shown_unit(unit)
    number = float(value) / FACTORS[unit]
    if not math.isfinite(number) or number == 0.0:
        return float(value)
    exact = Decimal(number) + abs(Decimal(number)) * Decimal("1e-9" if up else "-1e-9")
    last = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    return to_si(float(exact.quantize(last, rounding=ROUND_CEILING if up else ROUND_FLOOR)), unit)


def show_measured(value: float, uncertainty: float, unit: str = "") -> str:
    """Value and its standard uncertainty, both to the two digits the uncertainty is worth: `2.0380 ± 0.0067 mm`."""
    unit = shown_unit(unit)
    shown, spread = float(value) / FACTORS[unit], abs(float(uncertainty)) / FACTORS[unit]
    if not (math.isfinite(shown) and math.isfinite(spread)) or spread == 0.0:
        return show(value, unit)
    decimals = max(1 - math.floor(math.log10(spread)), 0)
    return _with_unit(f"{_plain(shown, decimals)} ± {spread:.{decimals}f}", unit)


def show_input(value: float, unit: str = "", digits: int | None = None) -> str:
    """An input as text: as many digits as were entered (up to `digits`, or nine), no padding zeros. A length that has
    no end in inches, as most that were entered in mm, is shown to about 0.0001 in."""
    unit = shown_unit(unit)
    number = (float(value) - OFFSETS.get(unit, 0.0)) / FACTORS[unit]
    text = f"{number:.{digits or _entered_digits(value, unit)}g}".replace("-", "−")
    return _with_unit(text, unit)


def _entered_digits(value, unit):
    """Nine; of inches, where nine do not give the value back, four decimals with three to five digits."""
    rounded = unit in INCHES.values() and float(f"{value / FACTORS[unit]:.9g}") * FACTORS[unit]
    if not rounded or not math.isfinite(rounded) or math.isclose(rounded, value, rel_tol=1e-13):
        return 9
    return min(max(5 + math.floor(math.log10(abs(value / FACTORS[unit]))), 3), 5)


def to_si(shown: float, unit: str) -> float:
    """Value in a shown unit as SI. Exact but for degrees: 0.3 mm becomes 0.0003 m and not 0.00029999… m."""
    shift = _POWERS.get(unit)
    if (unit in OFFSETS or unit in _MULTIPLES) and math.isfinite(shown):
        return float(Decimal(repr(float(shown))) * _MULTIPLES.get(unit, 1) + Decimal(repr(OFFSETS.get(unit, 0.0))))
    if shift is None or not math.isfinite(shown):
        return float(shown) * FACTORS[unit]
    return float(Decimal(repr(float(shown))).scaleb(shift))


def from_si(value: float, unit: str) -> float:
    """SI value in a shown unit: the inverse of `to_si`, exact up to 15 digits, beyond (and of degrees) to rounding."""
    shift = _POWERS.get(unit)
    if unit in OFFSETS and math.isfinite(value):
        return float(Decimal(repr(float(value))) - Decimal(repr(OFFSETS[unit])))
    if unit in _MULTIPLES and math.isfinite(value):
        number = float(value) / FACTORS[unit]
        entered = float(f"{number:.15g}")
        return entered if to_si(entered, unit) == value else number
    if shift is None or not math.isfinite(value):
        return float(value) / FACTORS[unit]
    return float(Decimal(repr(float(value))).scaleb(-shift))


_MULTIPLES = {unit: Decimal(repr(FACTORS[unit])) for unit in ("min", "h", *dict.fromkeys(INCHES.values()))}
_POWERS = {
    unit: round(math.log10(factor))
    for unit, factor in FACTORS.items()
    if abs(math.log10(factor) - round(math.log10(factor))) < 1e-12
}


# ----- What comes in: numbers, arrays, choices, texts.


def read_number(
    value,
    name: str,
    unit: str = "",
    low: float = -LARGEST,
    high: float = LARGEST,
    *,
    above: float = -math.inf,
    below: float = math.inf,
    nan: bool = False,
    infinite: bool = False,
    hint: str = "",
) -> float:
    """One number that came in, as a float.

    Refused are truth values, texts, dates, complex numbers, arrays (of no axis is a number), masked values, None; and
    what no measure is: beyond `LARGEST`, or, where it must be positive, below `SMALLEST`.

    Parameters
    ----------
    value : number [SI]
    name : what it is called in the message; put the name of the record or the line before it where there is one
    unit : unit in which the message shows it, a key of `FACTORS`
    low, high : least and greatest value allowed [SI]
    above, below : ends that are not allowed themselves [SI]: `above=0` asks for a positive number
    nan, infinite : whether not a number and infinity may pass
    hint : what to do or to know, set after what is allowed

    Raises
    ------
    ValueError
        "<name> is <what came in>: give <what is allowed>; <hint>".

    >>> read_number(3e-3, "gap", "mm", low=0.0)
    0.003
    >>> read_number(-3e-3, "gap", "mm", above=0.0)
    Traceback (most recent call last):
    ValueError: gap is −3 mm: give a positive number, in mm
    """
    number = _plain_number(value)
    ends = (low, high, above, below)
    if number is None or not _inside(number, *ends, nan, infinite):
        raise ValueError(_refusal(name, value, unit, ends, "a finite number", "", hint))
    return number


def read_array(
    values,
    name: str,
    unit: str = "",
    low: float = -LARGEST,
    high: float = LARGEST,
    *,
    above: float = -math.inf,
    below: float = math.inf,
    nan: bool = False,
    infinite: bool = False,
    axes: int | None = None,
    least: int = 0,
    hint: str = "",
) -> np.ndarray:
    """Numbers that came in, as an array of floats of the same shape; a single number gives an array of no axis.

    As `read_number` for each of them. What is masked is missing: nan where that may pass, never its hidden value.
    `axes`: how many axes the array must have (None: any; 1: a list); `least`: how many numbers it must have. The
    message names the first number that is wrong. An array of floats is given back as it is, not copied.
    """
    out = _plain_array(values)
    if out is None or out.size < least or axes not in (None, out.ndim):
        count = f"{least} or more finite numbers" if least else "finite numbers"
        wanted = {None: count, 0: "one finite number", 1: f"a list of {count}"}.get(axes, f"{count} on {axes} axes")
        raise ValueError(f"{name} is {_raw(values)}: give {wanted}{in_unit(unit)}" + (f"; {hint}" if hint else ""))
    ends = (low, high, above, below)
    good = _inside(out, *ends, nan, infinite)
    if not np.all(good):
        first = int(np.flatnonzero(~np.ravel(good))[0])
        plain, where = (
            ("finite numbers", f" (number {first + 1} of {out.size})") if out.ndim else ("a finite number", "")
        )
        raise ValueError(_refusal(name, float(out.flat[first]), unit, ends, plain, where, hint))
    return out


def read_count(value, name: str, low: int = 0, high: float = math.inf, *, hint: str = "") -> int:
    """A whole number from `low` to `high` that came in, as an int; ValueError as `read_number`."""
    number = _plain_number(value)
    if number is None or not (low <= number <= high and number.is_integer()):
        wanted = f"of at least {low}" if high == math.inf else f"from {low} to {high}"
        raise ValueError(f"{name} is {_raw(value)}: give a whole number {wanted}" + (f"; {hint}" if hint else ""))
    return int(number)


def read_choice(value, name: str, options, *, hint: str = ""):
    """The one of the options (texts, or whole numbers) that came in; ValueError names them all."""
    if not isinstance(value, bool | np.bool_) and isinstance(value, str | Real):
        for option in options:
            if value == option:
                return option
    words = ", ".join(map(str, options))
    raise ValueError(f"{name} is {_raw(value)}: give one of {words}" + (f"; {hint}" if hint else ""))


def read_flag(value, name: str) -> bool:
    """True or False that came in; ValueError for anything else."""
    if not isinstance(value, bool | np.bool_):
        raise ValueError(f"{name} is {_raw(value)}: give true or false")
    return bool(value)


def read_text(value, name: str) -> str:
    """A text that came in; ValueError for anything else."""
    if not isinstance(value, str):
        raise ValueError(f"{name} is {_raw(value)}: give a text")
    return value


def _plain_number(value):
    """The value as a float, or None where it is no real number."""
    if type(value) is float:
        return value
    if type(value) is np.ndarray and value.ndim == 0:
        value = value[()]
    if isinstance(value, bool | np.bool_ | np.timedelta64) or not isinstance(value, Real | Decimal):
        return None
    try:
        return float(value)
    except OverflowError:  # a whole number beyond any float
        return None


def _plain_array(values):
    """The values as an array of floats, or None where one of them is no real number."""
    if isinstance(values, np.ma.MaskedArray) and values.dtype.kind in "fiu":
        return np.ma.filled(values.astype(float), np.nan)
    if isinstance(values, np.ndarray):
        return np.asarray(values, dtype=float) if values.dtype.kind in "fiu" else None
    if isinstance(values, list | tuple) and any(isinstance(value, np.ma.MaskedArray) for value in values):
        return None
    objects = np.asarray(values, dtype=object)
    numbers = [_plain_number(value) for value in objects.flat]
    return None if None in numbers else np.array(numbers, dtype=float).reshape(objects.shape)


def _inside(values, low, high, above, below, nan, infinite):
    """Which values lie within the ends; of a float one truth value, of an array one for each."""
    if nan and infinite and low == -math.inf and high == math.inf:
        return True
    above = SMALLEST if above == 0.0 else above
    good = (values >= low) & (values <= high) & (values > above) & (values < below)
    if infinite and min(high, below) >= LARGEST:
        good = good | (values == math.inf)
    if infinite and max(low, above) <= -LARGEST:
        good = good | (values == -math.inf)
    return good | (values != values) if nan else good


def _refusal(name, value, unit, ends, plain, where, hint):
    came, *texts = _apart(value, ends, unit)
    allowed = _range_words(ends, texts, plain, unit)
    if math.isfinite(number := _plain_number(value) or 0.0) and not SMALLEST < abs(number or 1.0) <= LARGEST:
        allowed += ", from 10^−30 to 10^30 in SI"
    return f"{name} is {came}{where}: give {allowed}" + (f"; {hint}" if hint else "")


def _range_words(ends, texts, plain, unit):
    """What is allowed between the ends, whose texts carry the unit."""
    low, high, above, below = ends
    from_open, to_open = above >= low, below <= high
    start, end = texts[2 if from_open else 0], texts[3 if to_open else 1]
    bounded = max(low, above) > -LARGEST, min(high, below) < LARGEST
    if bounded == (True, False) and max(low, above) == 0.0:
        positive = "a positive number" if plain.startswith("a ") else "positive numbers"
        return (positive if from_open else "zero or more") + in_unit(unit)
    if bounded == (True, False):
        return f"more than {start}" if from_open else f"{start} or more"
    if bounded == (False, True):
        return f"less than {end}" if to_open else f"at most {end}"
    if bounded == (False, False):
        return plain + in_unit(unit)
    if from_open:
        return f"between {start} and {end}, these two left out" if to_open else f"more than {start}, up to {end}"
    return f"{start} to below {end}" if to_open else f"{start} to {end}"


def end_words(ends, unit: str, digits: int | None = None):
    """Texts of the ends of a range, low and high in turn; what is rounded is rounded into the range."""
    for number, end in enumerate(ends):
        few = _entered_digits(end, shown_unit(unit)) if digits is None else 9
        yield show_input(round_bound(end, unit, few, up=number % 2 == 0) if few < 9 else end, unit, digits)


def _apart(value, ends, unit):
    """Texts of a value that came in and of the ends of its range, with as many digits as tell them apart."""
    number = _plain_number(value)
    if number is None or not math.isfinite(number):
        return [_raw(value if number is None else number), *end_words(ends, unit)]
    for digits in (None, 12, 15, 17):
        came, texts = show_input(number, unit, digits), [*end_words(ends, unit, digits)]
        if all(text != came for text, end in zip(texts, ends, strict=True) if end != number):
            return [came, *texts]
    return [f"{came} ({number!r} in SI)", *(f"{t} ({float(e)!r} in SI)" for t, e in zip(texts, ends, strict=True))]


def _raw(value) -> str:
    """What came in as it stands, cut where it is long."""
    text = " ".join(repr(value).split())
    return text if len(text) <= 100 else f"{text[:90]}…"
