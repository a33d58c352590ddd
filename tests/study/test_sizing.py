"""Sizing backwards, verified by substitution."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import evaluate
from panelmech.study.design import LIMITS
from panelmech.study.sizing import SIZED_OUTPUTS, outputs_at, size
from panelmech.units import to_si

LOCAL = tuple(name for name in SIZED_OUTPUTS if name.startswith(("press", "buckling", "oil", "skin")))
INPUT_ONLY = ("developed_length",)  # a sum of inputs


def span_of(field):
    """The slider's range [SI], kept to where this pair can be bent."""
    low, high = (to_si(v, LIMITS[field].unit) for v in (LIMITS[field].slider_low, LIMITS[field].slider_high))
    return max(low, 4e-3) if field == "spacer_diameter" else low, high


@pytest.mark.parametrize(
    ("field", "output"),
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


def test_an_output_that_does_not_depend_on_the_input_is_said_to():
    here = evaluate(DESIGN, local=False).quantities["i_chord"]
    found = size(DESIGN, "span", "i_chord", here)
    assert found.solutions == () and "does not depend on the span" in found.words[0]


def test_a_jump_past_the_target_is_no_solution():
    """The modulus that resists bending jumps where the sheet becomes wide: ten times its thickness."""
    narrow, wide = DESIGN.sheet.modulus, DESIGN.sheet.modulus / (1 - DESIGN.sheet.poisson**2)
    found = size(DESIGN.replace(frame_width=0.0), "span", "bending_modulus", 0.5 * (narrow + wide), 0.01, 0.1)
    assert wide > narrow and found.solutions == ()
    assert (np.nanmin(found.scan[1]), np.nanmax(found.scan[1])) == pytest.approx((narrow, wide))


@pytest.mark.parametrize("seed", range(6))
def test_every_answer_substituted_gives_the_target(seed):
    """Targets drawn from what the range gives, so that there always is an answer; several are all found."""
    rng = np.random.default_rng(seed)
    field = rng.choice(["spacer_diameter", "sheet_thickness", "free_length", "setback"])
    output = rng.choice([name for name in SIZED_OUTPUTS if name not in LOCAL and name not in INPUT_ONLY])
    swept = outputs_at(DESIGN, field, output, np.linspace(*span_of(field), 57))
    known = swept[np.isfinite(swept)]
    target = float(rng.uniform(known.min(), known.max()))
    found = size(DESIGN, field, output, target, *span_of(field))
    assert found.solutions or np.ptp(known) <= 1e-12 * np.max(np.abs(known)), (field, output)
    values = outputs_at(DESIGN, field, output, found.solutions) if found.solutions else []
    assert values == pytest.approx([target] * len(found.solutions), rel=1e-8, abs=1e-9 * np.ptp(known))


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
    with pytest.raises(ValueError, match=r"colour|beauty|target|span"):
        size(DESIGN, *call)
