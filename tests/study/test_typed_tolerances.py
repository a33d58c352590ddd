"""What is typed of measured samples and correlations: as it is understood, and refused in words."""

import pytest

from panelmech import Design, catalogue
from panelmech.study.typed_tolerances import read_input, read_sample, read_together, sample_text

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
NAMES = ("sheet_thickness", "modulus", "setback")


def test_a_sample_is_read_in_its_unit():
    found = read_sample(DESIGN, "sheet_thickness", "2.05 1.98; 2,01")
    assert found.values == pytest.approx((1.98e-3, 2.01e-3, 2.05e-3)) and found.kind == "sample"
    own = float(DESIGN.sheet.modulus_at(2e-3))
    moduli = read_sample(DESIGN, "modulus", f"{own / 1e9:.9g} {1.1 * own / 1e9:.9g}")
    assert moduli.values == pytest.approx((1.0, 1.1))
    assert sample_text(DESIGN, moduli) == "modulus: 2 values, their mean 5 % above the design"
    about = read_sample(DESIGN, "setback", "2.9 3.1")
    assert sample_text(DESIGN, about) == "setback: 2 values about the design"
    low = read_sample(DESIGN, "setback", "2.9 2.9 2.9")
    assert sample_text(DESIGN, low).endswith("their mean 3.33 % below the design")
    assert sample_text(DESIGN.replace(setback=0.0), low) == "setback: 3 values"


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("setback", "", "0 given; give two or more"),
        ("setback", "3.1", "1 given"),
        ("setback", "3.1 2.9 kg", "measured values of setback"),
        ("setback", "3.1 two", "blanks between them"),
    ],
)
def test_a_sample_that_cannot_be_is_refused(field, text, words):
    with pytest.raises(ValueError, match=words):
        read_sample(DESIGN, field, text)


def test_inputs_go_together_as_typed():
    assert read_together("", NAMES) == {}
    assert read_together("Sheet-thickness , modulus = −0,5; modulus,setback=1/4", NAMES) == {
        ("sheet_thickness", "modulus"): -0.5,
        ("modulus", "setback"): 0.25,
    }
    assert read_input("sheet thickness", NAMES) == "sheet_thickness"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("setback", "tells of no two inputs"),
        ("setback, modulus", "tells of no two inputs"),
        ("setback, modulus =", "tells of no two inputs"),
        ("setback, modulus, friction = 1", "tells of no two inputs"),
        ("setback, width = 1", "'width' is no input that varies: give one of sheet thickness, modulus, setback"),
        ("setback, setback = 1", "two different inputs"),
        ("setback, modulus = 0.1; modulus, setback = 0.2", "given twice"),
        ("setback, modulus = 1.2", "correlation of setback and modulus"),
        ("setback, modulus = much", "correlation of setback and modulus"),
    ],
)
def test_what_tells_of_no_correlation_is_refused(text, words):
    with pytest.raises(ValueError, match=words):
        read_together(text, NAMES)
