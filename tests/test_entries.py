"""What a builder types: every number is read exactly or refused in words."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from panelmech.entries import WRITTEN, in_field, read_entries, read_entry
from panelmech.units import FACTORS, lengths_in

READ = [  # typed, unit of the input, value in SI, echo
    ("2.5", "mm", 0.0025, ""),
    ("2,5", "mm", 0.0025, "2.5 mm"),
    ("2.5mm", "mm", 0.0025, ""),
    ("1/8", "mm", 0.000125, "0.125 mm"),
    ("3/4 in", "mm", 0.01905, "19.05 mm"),
    ("1 1/2 in", "mm", 0.0381, "38.1 mm"),
    ("1-1/2 in", "mm", 0.0381, "38.1 mm"),
    ("1½ in", "mm", 0.0381, "38.1 mm"),
    ("5'3\"", "mm", 1.6002, "1600.2 mm"),
    ("5 ft 3 1/2 in", "mm", 1.6129, "1612.9 mm"),
    ("−5 ft 3 in", "mm", -1.6002, "−1600.2 mm"),
    ("4 cm", "mm", 0.04, "40 mm"),
    ("1,250", "mm", 0.00125, "1.25 mm"),  # a comma is never one of thousands
    ("1e3", "mm", 1.0, ""),
    ("6 kn", "m/s", 6 * 1852 / 3600, "3.08666667 m/s"),
    ("9 km/h", "m/s", 2.5, "2.5 m/s"),
    ("45°", "deg", math.radians(45), ""),
    ("4 1/2", "deg", math.radians(4.5), "4.5°"),
    ("12 kgf", "N", 117.6798, "117.6798 N"),
    ("1/2 lb", "g", 0.226796185, "226.796185 g"),
    ("0.25 L", "mL", 0.00025, "250 mL"),
    ("50 °F", "degC", 283.15, "10 °C"),
    ("22", "degC", 295.15, ""),
    ("10 MPa", "GPa", 1e7, "0.01 GPa"),
    ("20 min", "h", 1200.0, "0.333333333 h"),
    ("30 %", "%", 0.3, ""),
    ("100 J/m²", "J/m2", 100.0, ""),
    ("0,3", "", 0.3, "0.3"),
]
REFUSED = [
    "", " ", "abc", "2,", "2 . 5", "1.234,5", "1,234.5", "1 234", "2_06", "٣", "२", "1/0", "1/2/3", "0x10", "nan",
    "inf", "True", "--5", "5 mmm", "5 m m", "6 kg", "3 in 5 ft", "5 °C", "1e999999", "1e400", "12-", "3/4 in in", "½½",
    "5" * 3000,
]  # fmt: skip


@pytest.mark.parametrize(("typed", "unit", "value", "echo"), READ)
def test_what_can_be_read_is_read_and_echoed(typed, unit, value, echo):
    understood = read_entry(typed, "thing", unit)
    assert understood.value == pytest.approx(value, rel=4e-16, abs=0.0)
    assert understood.echo == echo


@pytest.mark.parametrize("typed", REFUSED)
def test_what_cannot_be_read_is_refused_with_what_came_and_an_example(typed):
    with pytest.raises(ValueError, match=r"^thing is .*: give ") as refused:
        read_entry(typed, "thing", "mm")
    assert len(str(refused.value)) < 200


def test_a_range_is_said_in_the_unit_shown():
    with pytest.raises(ValueError, match="rod is 9000 mm: give 1 mm to 2000 mm"):
        read_entry("9 m", "rod", "mm", 0.001, 2.0)
    with pytest.raises(
        ValueError, match="rod is '9 kg', which is a mass: give a length in mm, cm, m, in or ft; measure"
    ):
        read_entry("9 kg", "rod", "mm", hint="measure it")


def test_a_number_without_a_unit_is_in_the_unit_shown():
    assert read_entry("3/4", "rod", "mm", shown="mm").value == 0.00075
    assert read_entry("2 cm", "rod", "mm", shown="m").value == 0.02
    assert read_entry("0.5", "rod", "mm", shown="m").value == 0.5


def test_where_lengths_are_shown_in_inches_a_bare_number_is_in_inches():
    with lengths_in("inch"):
        assert read_entry("3/4", "rod", "mm").value == 0.01905
        assert read_entry("18 mm", "rod", "mm").echo == "0.7087 in"
        assert read_entry(in_field(0.018, "mm"), "rod", "mm").value == pytest.approx(0.018, rel=1e-9)
        with pytest.raises(ValueError, match="^rod is 'thick': give one number, in inches, as"):
            read_entry("thick", "rod", "mm")
    assert read_entry("3/4", "rod", "mm").value == 0.00075


@pytest.mark.parametrize(
    ("typed", "values"),
    [
        ("2.06 2.05 2.04", [2.06, 2.05, 2.04]),
        ("2,06 2,05; 2.04", [2.06, 2.05, 2.04]),
        ("2.06, 2.05, 2.04", [2.06, 2.05, 2.04]),
        ("1 1/2 in 2 in", [38.1, 50.8]),
        ("1/2 3/4 in", [12.7, 19.05]),  # one unit at the end is that of all
        ("5 mm 1 in", [5, 25.4]),
        ("", []),
    ],
)
def test_several_values_in_one_line(typed, values):
    read = [entry.value for entry in read_entries(typed, "thickness", "mm")]
    assert read == pytest.approx([v / 1000 for v in values], rel=4e-16)


@pytest.mark.parametrize("typed", ["2.06,2.05", "2.06 2.05 kg", "2.06 x", "2.06 2.05 oops", ";2.06"])
def test_a_line_with_anything_else_is_refused(typed):
    with pytest.raises(ValueError, match="thickness is "):
        read_entries(typed, "thickness", "mm")


def test_units_are_those_of_the_reference_tables():
    """SciPy's constants, which follow CODATA and the definitions of the units."""
    for kind, word, value in (
        ("length", "in", constants.inch), ("length", "ft", constants.foot), ("speed", "kn", constants.knot),
        ("speed", "km/h", constants.kmh), ("force", "kgf", constants.kgf), ("force", "lbf", constants.lbf),
        ("mass", "lb", constants.lb), ("mass", "oz", constants.oz), ("stress", "psi", constants.psi),
        ("stress", "bar", constants.bar), ("volume", "L", constants.liter),
    ):  # fmt: skip
        assert float(WRITTEN[kind][word]) == pytest.approx(value, rel=1e-15)
    fahrenheit = read_entry("451 °F", "paper", "degC").value
    assert fahrenheit == pytest.approx(constants.convert_temperature(451, "F", "K"), rel=1e-15)


@pytest.mark.parametrize("unit", [unit for unit in FACTORS if unit not in ("deg",)])
@given(number=st.floats(-1e6, 1e6, allow_nan=False).map(lambda v: float(f"{v:.9g}")))
def test_what_a_field_shows_reads_back_as_it_was(unit, number):
    shown = repr(number) if abs(number) > 1e-30 else "0"
    value = read_entry(shown, "thing", unit).value
    again = read_entry(in_field(value, unit), "thing", unit)
    assert again.echo == ""
    assert again.value == pytest.approx(value, rel=1e-9, abs=1e-12 if unit == "degC" else 0.0)
