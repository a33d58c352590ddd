"""Units at the edge and the number formatter."""

import math
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from panelmech.study.design import LIMITS
from panelmech.study.quantities import QUANTITIES
from panelmech.units import (
    FACTORS,
    INCHES,
    KEY_SUFFIX,
    OFFSETS,
    PRETTY,
    format_number,
    from_si,
    in_shown,
    lengths,
    lengths_in,
    pretty_unit,
    read_array,
    read_choice,
    read_count,
    read_flag,
    read_number,
    read_text,
    round_bound,
    show,
    show_fixed,
    show_input,
    show_lengths_in,
    show_measured,
    shown_unit,
    to_si,
    unit_words,
)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.0, 4, "0"),
        (-0.0, 4, "0"),
        (1.0, 4, "1.000"),
        (18.0, 4, "18.00"),
        (0.000123456, 4, "0.0001235"),
        (9.9996, 4, "10.00"),
        (99995.0, 4, "100000"),
        (123456.0, 4, "123500"),
        (1234567.0, 3, "1230000"),
        (12345678.0, 4, "1.235·10^7"),
        (0.0000123, 3, "1.23·10^−5"),
        (-0.5, 3, "−0.500"),
        (-1e-9, 2, "−1.0·10^−9"),
        (math.nan, 4, "–"),
        (math.inf, 4, "no limit"),
        (-math.inf, 4, "minus infinity"),
        (0.99996, 4, "1.000"),
        (999.96, 4, "1000"),
        (9999999.0, 4, "1.000·10^7"),
    ],
)
def test_numbers(value, digits, text):
    assert format_number(value, digits) == text


def test_every_number_reads_back_to_its_digits():
    rng = np.random.default_rng(2)
    for value in np.concatenate((10 ** rng.uniform(-9, 12, 300), -(10 ** rng.uniform(-9, 12, 300)))):
        for digits in (2, 3, 4, 6):
            text = format_number(value, digits).replace("−", "-").replace("·10^", "e")
            assert float(text) == pytest.approx(value, rel=0.5000001 * 10 ** (1 - digits))


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.018, "mm", "18.00 mm"),
        (math.pi / 4, "deg", "45.00°"),
        (0.005, "%", "0.5000 %"),
        (2.4e10, "GPa", "24.00 GPa"),
        (1.5, "", "1.500"),
        (math.nan, "mm", "–"),
        (math.inf, "mm", "no limit"),
        (2.0, "x", "2.000 ×"),
        (0.0, "mm", "0 mm"),
    ],
)
def test_show(value, unit, text):
    assert show(value, unit) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.225, "mm", "225 mm"),
        (0.3e-3, "mm", "0.3 mm"),
        (-4e-3, "mm", "−4 mm"),
        (0.25, "%", "25 %"),
        (0.3, "", "0.3"),
    ],
)
def test_an_input_shows_what_was_entered(value, unit, text):
    assert show_input(value, unit) == text


@pytest.mark.parametrize("unit", sorted(set(FACTORS) - set(OFFSETS)))
def test_there_and_back(unit):
    rng = np.random.default_rng(1)
    for shown in [float(f"{v:.15g}") for v in rng.uniform(-1, 1, 300) * 10 ** rng.uniform(-3, 3, 300)]:
        si = to_si(float(shown), unit)
        assert si == pytest.approx(shown * FACTORS[unit], rel=1e-15)
        assert f"{from_si(si, unit):.14g}" == f"{shown:.14g}"
        if unit not in ("deg", "min", "h"):  # all 15 digits, bit for bit; pi and 60 are no powers of ten
            assert from_si(si, unit) == shown


def test_decimal_units_are_shifted_exactly():
    assert to_si(0.9, "mm") == 0.0009 and 0.9 * 1e-3 != 0.0009
    assert from_si(0.0003, "mm") == 0.3
    assert to_si(18, "mm") == 0.018
    assert math.isnan(to_si(math.nan, "mm")) and to_si(math.inf, "mm") == math.inf


def test_inches_are_exact():
    assert [to_si(1.0, unit) for unit in ("in", "in2", "in3", "in4")] == [
        0.0254,
        0.0254**2,
        1.6387064e-5,
        4.162314256e-7,
    ]
    for unit, power in (("in", 1), ("in2", 2), ("in3", 3), ("in4", 4)):
        assert Fraction(repr(FACTORS[unit])) == Fraction("0.0254") ** power
    for text in ("3/4", "1/8", "8 7/8", "33 15/32", "1/64"):
        shown = float(sum(Fraction(part) for part in text.split()))
        si = to_si(shown, "in")
        assert si == float(Fraction("0.0254") * Fraction(shown)) and from_si(si, "in") == shown
        assert to_si(from_si(si, "mm"), "mm") == si  # kept in millimetres, it comes back as the same inches
        with lengths_in("inch"):
            assert show_input(si, "mm") == f"{shown:.9g} in"


INCH_TEXTS = [
    (lambda: show(0.018, "mm"), "18.00 mm", "0.7087 in"),
    (lambda: show(math.nan, "mm"), "–", "–"),
    (lambda: show(6.4516e-4, "cm2", 3), "6.45 cm²", "1.00 in²"),
    (lambda: show(4.162314256e-7, "mm4"), "416200 mm⁴", "1.000 in⁴"),
    (lambda: show(2.0, "m"), "2.000 m", "78.74 in"),
    (lambda: show(0.01, "1/m"), "0.01000 1/m", "0.01000 1/m"),
    (lambda: show(1e-6, "mL"), "1.000 mL", "1.000 mL"),
    (lambda: show(1e6, "MPa"), "1.000 MPa", "1.000 MPa"),
    (lambda: show(4.0, "J/m2"), "4.000 J/m²", "4.000 J/m²"),
    (lambda: show(1e-4, "micrometre/m"), "100.0 µm/m", "100.0 µm/m"),
    (lambda: show_input(2e-3, "mm"), "2 mm", "0.0787 in"),
    (lambda: show_input(-0.0254, "mm"), "−25.4 mm", "−1 in"),
    (lambda: show_input(0.0, "mm"), "0 mm", "0 in"),
    (lambda: show_input(2e-3, "mm", 12), "2 mm", "0.0787401574803 in"),
    (lambda: show_measured(2.0383e-3, 6.7e-6, "mm"), "2.0383 ± 0.0067 mm", "0.08025 ± 0.00026 in"),
    (lambda: show_fixed(0.2254, 1), "225.4 mm", "8.874 in"),
    (lambda: show_fixed(-1e-9, 2, words=False), "0.00", "0.0000"),
    (lambda: unit_words("mm4"), "mm⁴", "in⁴"),
    (lambda: unit_words("kg/m"), "kg/m", "kg/m"),
    (lambda: in_shown(0.0508, "mm"), 50.8, 2.0),
    (lambda: show(round_bound(0.018, "mm", 3, up=True), "mm", 3), "18.1 mm", "0.709 in"),
    (lambda: show(round_bound(0.018, "mm", 3, up=False), "mm", 3), "17.9 mm", "0.708 in"),
]


@pytest.mark.parametrize(("text", "mm", "inch"), INCH_TEXTS)
def test_the_choice_of_lengths_is_followed_and_goes_back(text, mm, inch):
    near = pytest.approx if not isinstance(mm, str) else str
    assert text() == near(mm)
    with lengths_in("inch"):
        assert text() == near(inch)
        with lengths_in("mm"):
            assert text() == near(mm)
        assert text() == near(inch)
    assert text() == near(mm) and lengths() == "mm"


def test_a_choice_of_lengths_that_is_none_is_refused_and_changes_nothing():
    with pytest.raises(ValueError, match="lengths is 'cm': give one of mm, inch"), lengths_in("cm"):
        pass
    with pytest.raises(KeyError), lengths_in("inch"):
        raise KeyError
    assert lengths() == "mm"


def test_the_choice_holds_on_every_thread():
    show_lengths_in("inch")
    try:
        with ThreadPoolExecutor(1) as pool:
            assert pool.submit(show, 0.0254, "mm").result() == "1.000 in"
    finally:
        show_lengths_in("mm")


def test_lengths_alone_are_turned_and_each_to_the_same_power():
    for unit, shown in INCHES.items():
        power = math.log(FACTORS[shown]) / math.log(0.0254)
        assert power == pytest.approx(round(power), abs=1e-12)
        letters = unit.lstrip("cm")
        assert f"{round(power)}".replace("1", "") == letters
        assert shown_unit(unit) == unit
        with lengths_in("inch"):
            assert shown_unit(unit) == shown


@pytest.mark.parametrize("end", [50e-3, 0.05e-3, 0.1e-3, 1.0, 0.0254])
def test_a_range_told_in_inches_lies_within_the_range(end):
    with lengths_in("inch"):
        for words, ends, beyond in (("at most ", {"high": end}, 1.01 * end), (" or more", {"low": end}, 0.99 * end)):
            with pytest.raises(ValueError) as caught:
                read_number(beyond, "gap", "mm", **ends)
            told = str(caught.value).split("give ")[1].replace(words, "").removesuffix(" in")
            assert read_number(to_si(float(told), "in"), "gap", "mm", **ends) == pytest.approx(
                end, rel=1e-2
            )  # three digits or more
        with pytest.raises(ValueError, match="^gap is −1 in: give a positive number, in inches$"):
            read_number(-0.0254, "gap", "mm", above=0.0)


@pytest.mark.parametrize("up", [True, False])
def test_bounds_are_rounded_to_the_safe_side(up):
    rng = np.random.default_rng(4)
    for value in np.concatenate((10 ** rng.uniform(-6, 1, 300), -(10 ** rng.uniform(-6, 1, 300)))):
        for digits in (3, 4, 7):
            bound = round_bound(value, "mm", digits, up=up)
            assert bound >= value if up else bound <= value
            assert abs(bound - value) <= 1.0001 * abs(value) * 10 ** (1 - digits)
            if 1e-7 < abs(value) < 1:  # shown without a power of ten: what is printed is the bound itself
                assert to_si(float(show(bound, "mm", digits).split()[0].replace("−", "-")), "mm") == bound
    assert round_bound(0.0, "mm", up=up) == 0.0 and round_bound(math.inf, "mm", up=up) == math.inf
    assert round_bound(58.18e-3, "mm", up=False) < 58.18e-3  # on the limit itself it goes one digit further


def test_every_quantity_has_a_unit_that_can_be_shown():
    for name, quantity in QUANTITIES.items():
        assert quantity.unit in FACTORS, name
        assert quantity.label and quantity.label == quantity.label.strip()
    labels = [q.label for q in QUANTITIES.values()]
    assert len(set(labels)) == len(labels)
    assert set(PRETTY) <= set(FACTORS) and set(KEY_SUFFIX) <= set(FACTORS)
    assert pretty_unit("mm4") == "mm⁴" and pretty_unit("mm") == "mm"


@pytest.mark.parametrize(("shown", "si"), [(22.0, 295.15), (-18.0, 255.15), (0.0, 273.15), (54.4, 327.55)])
def test_celsius_is_shifted_exactly(shown, si):
    assert to_si(shown, "degC") == si and from_si(si, "degC") == shown
    assert show(si, "degC", 3) == f"{format_number(shown, 3)} °C"
    assert show_input(si, "degC") == f"{shown:g} °C".replace("-", "−")


@pytest.mark.parametrize(
    ("value", "spread", "unit", "text"),
    [
        (2.0383e-3, 6.7e-6, "mm", "2.0383 ± 0.0067 mm"),
        (18.433e9, 0.1359e9, "GPa", "18.43 ± 0.14 GPa"),
        (-0.3112e-3, 0.0718e-3, "mm", "−0.311 ± 0.072 mm"),
        (1.07058, 0.01635, "", "1.071 ± 0.016"),
        (1234.0, 57.0, "N", "1234 ± 57 N"),
        (123456.0, 5700.0, "N", "123456 ± 5700 N"),
        (0.0, 0.012, "N", "0.000 ± 0.012 N"),
        (-0.0001, 0.012, "N", "0.000 ± 0.012 N"),
        (math.radians(0.25), math.radians(0.05), "deg", "0.250 ± 0.050°"),
        (2e-3, 0.0, "mm", "2.000 mm"),
        (math.nan, 0.1, "mm", "–"),
        (1.0, math.inf, "N", "1.000 N"),
    ],
)
def test_value_with_its_uncertainty(value, spread, unit, text):
    assert show_measured(value, spread, unit) == text


NOT_NUMBERS = (
    [True, np.True_, "2", b"2", None, 1j, [1.0], np.array([1.0]), np.array(True), np.ma.masked, {}, object]
    + [np.datetime64("2026-01-05"), np.timedelta64(3), datetime(2026, 1, 5), 10**400]
    + [math.nan, math.inf, -math.inf, np.float64("nan")]
)


@pytest.mark.parametrize("value", NOT_NUMBERS, ids=repr)
def test_what_is_no_number_is_refused(value):
    with pytest.raises(ValueError, match="^gap is .*: give a finite number, in mm$"):
        read_number(value, "gap", "mm")
    if np.ndim(value) == 0:
        with pytest.raises(ValueError, match="gap is .*: give"):
            read_array([1.0, value], "gap", "mm")


@pytest.mark.parametrize("value", [2, 2.0, np.int8(2), np.float32(2), np.array(2.0), Decimal(2), Fraction(2)], ids=repr)
def test_what_is_a_number_is_a_float(value):
    assert type(read_number(value, "gap")) is float and read_number(value, "gap") == 2.0
    assert read_array(value, "gap").shape == () and read_array([[value, 3]], "gap").tolist() == [[2.0, 3.0]]


@pytest.mark.parametrize(
    ("value", "ends", "words"),
    [
        (0.0, {"above": 0}, "gap is 0 mm: give a positive number, in mm"),
        (-1e-3, {"low": 0}, "gap is −1 mm: give zero or more, in mm"),
        (9e-3, {"low": 1e-3, "high": 8e-3}, "gap is 9 mm: give 1 mm to 8 mm"),
        (8e-3, {"low": 1e-3, "below": 8e-3}, "gap is 8 mm: give 1 mm to below 8 mm"),
        (1e-3, {"above": 1e-3, "high": 8e-3}, "gap is 1 mm: give more than 1 mm, up to 8 mm"),
        (8e-3, {"above": 1e-3, "below": 8e-3}, "gap is 8 mm: give between 1 mm and 8 mm, these two left out"),
        (1e-3, {"above": 1e-3}, "gap is 1 mm: give more than 1 mm"),
        (1e-3, {"low": 2e-3}, "gap is 1 mm: give 2 mm or more"),
        (1e-3, {"below": 1e-3}, "gap is 1 mm: give less than 1 mm"),
        (3e-3, {"high": 1e-3}, "gap is 3 mm: give at most 1 mm"),
        (math.inf, {"low": 0, "hint": "measure it"}, "gap is inf: give zero or more, in mm; measure it"),
    ],
)
def test_a_number_out_of_range_is_told_what_is_allowed(value, ends, words):
    for read in (read_number, read_array):
        with pytest.raises(ValueError) as caught:
            read(value, "gap", "mm", **ends)
        assert str(caught.value) == words


@pytest.mark.parametrize("unit", ["mm", "in", "", "degC", "GPa", "deg", "h", "%"])
def test_near_a_limit_as_many_digits_are_printed_as_tell_the_two_apart(unit):
    rng = np.random.default_rng(7)
    for limit in 10 ** rng.uniform(-5, 5, 300):
        value = np.nextafter(limit, np.inf)
        with pytest.raises(ValueError) as caught:
            read_number(value, "gap", unit, high=limit)
        came, allowed = str(caught.value).split(": give at most ")
        assert came != f"gap is {allowed}"


def test_ends_belong_to_the_range_or_not():
    assert read_number(1.0, "x", low=1.0, high=1.0) == 1.0
    for ends in ({"above": 1.0}, {"below": 1.0}):
        with pytest.raises(ValueError):
            read_number(1.0, "x", **ends)
    assert read_number(math.inf, "x", low=0, infinite=True) == math.inf
    assert math.isnan(read_number(math.nan, "x", low=0, nan=True))
    for value, ends in ((math.inf, {"high": 3}), (-math.inf, {"low": 0}), (math.inf, {"below": 3})):
        with pytest.raises(ValueError):
            read_number(value, "x", infinite=True, **ends)


def test_arrays_keep_their_shape_and_tell_which_number_is_wrong():
    given = np.array([[1.0, 2.0], [3.0, np.nan]])
    assert read_array(given, "gap", nan=True) is given
    assert read_array(np.array([1, 2], dtype=np.int32), "gap").dtype == float
    assert read_array([np.array([1.0, 2.0]), [3, 4]], "gap").shape == (2, 2)
    with pytest.raises(ValueError, match=r"gap is nan \(number 4 of 4\): give positive numbers, in mm"):
        read_array(given, "gap", "mm", above=0)
    for wrong in ([1.0], [], 3.0, [[1.0, 2.0]], "12", [[1, 2], [3]]):
        with pytest.raises(ValueError, match="gap is .*: give a list of 2 or more finite numbers; two at least"):
            read_array(wrong, "gap", axes=1, least=2, hint="two at least")


@pytest.mark.parametrize(
    "values",
    [
        [np.ma.array([1.0], mask=[True]), [2.0]],
        np.array([True, False]),
        [1.0, True],
        np.array(["1", "2"]),
        np.array([1j]),
        np.array(["2026-01-05"], dtype="datetime64[D]"),
        np.array([3], dtype="timedelta64[s]"),
        [1.0, None],
        {"a": 1.0},
    ],
    ids=repr,
)
def test_arrays_of_anything_else_are_refused(values):
    with pytest.raises(ValueError, match="gap is .*: give finite numbers"):
        read_array(values, "gap", nan=True)


def test_masked_counts_as_missing_and_never_as_its_hidden_value():
    given = np.ma.array([1.0, 2.0, 3], mask=[False, True, False])
    assert np.array_equal(read_array(given, "gap", nan=True), [1.0, np.nan, 3.0], equal_nan=True)
    with pytest.raises(ValueError, match=r"gap is nan \(number 2 of 3\): give finite numbers"):
        read_array(given, "gap")
    for hidden in (np.ma.masked, np.ma.array(2.0, mask=True)):
        assert np.isnan(read_array(hidden, "gap", nan=True))
        for read in (read_array, read_number):
            with pytest.raises(ValueError, match="gap is .*: give"):
                read(hidden, "gap")


def test_what_no_measure_is_is_refused():
    for value, ends in ((1e31, {}), (-1e300, {}), (1e-31, {"above": 0.0}), (5e-324, {"above": 0.0})):
        for read in (read_array, read_number):
            with pytest.raises(ValueError, match="gap is .*: give .*, from 10\\^−30 to 10\\^30 in SI"):
                read(value, "gap", "mm", **ends)
    assert read_number(1e30, "gap") == 1e30 and read_number(1e-300, "gap", low=0.0) == 1e-300
    assert read_number(1e300, "gap", low=-math.inf, high=math.inf) == 1e300


def test_choices_counts_flags_and_texts():
    assert read_choice(np.str_("bar"), "kind", ("bar", "tube")) == "bar" and read_choice(2, "planes", (1, 2)) == 2
    for value in ("rod", ["bar"], None, 1, np.array(["bar"])):
        with pytest.raises(ValueError, match="kind is .*: give one of bar, tube; as bought"):
            read_choice(value, "kind", {"bar": 1, "tube": 2}, hint="as bought")
    with pytest.raises(ValueError, match="planes is True: give one of 1, 2"):
        read_choice(True, "planes", (1, 2))
    assert read_count(5.0, "stations", 5) == 5 and type(read_count(np.int64(7), "stations")) is int
    for value in (4, 5.5, True, "5", math.nan, math.inf, -1):
        with pytest.raises(ValueError, match="stations is .*: give a whole number of at least 5"):
            read_count(value, "stations", 5)
    with pytest.raises(ValueError, match="lifts is 101: give a whole number from 1 to 100"):
        read_count(101, "lifts", 1, 100)
    assert read_flag(np.True_, "wet") is True and read_text("", "remark") == ""
    for read, value, words in ((read_flag, 1, "true or false"), (read_text, 1, "a text")):
        with pytest.raises(ValueError, match=f"it is 1: give {words}"):
            read(value, "it")


@pytest.mark.parametrize("value", [0.0, "2", True, None, math.nan, 1.0, math.inf])
def test_an_input_is_within_its_limit_or_refused(value):
    limit = LIMITS["sheet_thickness"]
    assert limit.read(0.002) == 0.002 and limit.key == "sheet_thickness_mm"
    with pytest.raises(ValueError, match=r"sheet thickness \(sheet_thickness\) is .*: allowed is 0.05 mm to 50 mm"):
        limit.read(value)
