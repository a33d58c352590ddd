"""Sizing backwards, verified by substitution."""

import numpy as np
import pytest

from panelmech import Design, catalogue, evaluate
from panelmech.size import size

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)


@pytest.mark.parametrize(
    "field, output",
    [
        ("spacer_diameter", "outer_thickness"),
        ("spacer_diameter", "i_chord"),
        ("sheet_thickness", "contact_force"),
        ("free_length", "land_strain"),
        ("setback", "front_area"),
    ],
)
def test_random_targets_are_met(field, output):
    rng = np.random.default_rng(8)
    here = evaluate(DESIGN, local=False).quantities[output]
    for target in here * rng.uniform(0.7, 1.4, 3):
        found = size(DESIGN, field, output, target)
        assert found.solutions
        for design in found.designs():
            assert evaluate(design, local=False).quantities[output] == pytest.approx(target, rel=1e-9)


def test_largest_spacer_within_the_permanent_strain():
    found = size(DESIGN, "spacer_diameter", "permanent_strain_reserve", 1.0)
    (design,) = found.designs()
    assert evaluate(design, local=False).check("permanent_strain").reserve == pytest.approx(1.0, rel=1e-9)
    assert found.stock and all(s.value in DESIGN.spacer.diameters for s in found.stock)


def test_thinnest_sheet_for_a_pressing_stiffness():
    (thickness,) = size(DESIGN, "sheet_thickness", "press_deflection", 1e-3, 1.8e-3, 3e-3).solutions
    study = evaluate(DESIGN.replace(sheet_thickness=thickness))
    assert study.quantities["press_deflection"] == pytest.approx(1e-3, rel=1e-6)


def test_no_solution_is_a_sentence():
    found = size(DESIGN, "spacer_diameter", "outer_thickness", 0.3)
    assert found.solutions == () and "no spacer diameter" in found.words[0] and "runs from" in found.words[0]


@pytest.mark.parametrize(
    "call",
    [
        ("colour", "i_chord", 1.0),
        ("span", "beauty", 1.0),
        ("span", "i_chord", np.nan),
        ("span", "i_chord", 1.0, 2.0, 1.0),
    ],
)
def test_bad_calls_are_refused(call):
    with pytest.raises(ValueError):
        size(DESIGN, *call)
