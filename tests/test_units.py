"""Units at the edge and the number formatter."""

import math

import numpy as np
import pytest

from panelmech.units import (
    FACTORS,
    KEY_SUFFIX,
    OFFSETS,
    PRETTY,
    QUANTITIES,
    format_number,
    from_si,
    pretty_unit,
    round_bound,
    show,
    show_input,
    show_measured,
    to_si,
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
        assert quantity.factor == FACTORS[quantity.unit]
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
