"""A finished chord or outer thickness that is given: met exactly, once, or refused with what can be had."""

import re

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD as DESIGN

from panelmech import InfeasibleBend, evaluate
from panelmech.mechanics.bend import greatest_spacer, solve_bend
from panelmech.study import with_given
from panelmech.study.design import LIMITS

KINDS = (("chord",), ("outer_thickness",), ("chord", "outer_thickness"))
FOLLOW = {"chord": "free_length", "outer_thickness": "spacer_diameter"}


def finished(design):
    bend = design.bend()
    return {"chord": design.land_length + bend.free_chord, "outer_thickness": bend.outer_thickness}


def anywhere(rng, field, most=np.inf):
    """A value [m] of an input, evenly spread in its logarithm over all that is allowed."""
    low, high = LIMITS[field].range
    return float(np.exp(rng.uniform(np.log(max(low, 1e-5)), np.log(min(high, most)))))


def random_parts(seed, count):
    """Parts over the whole range allowed, no sheet thicker than its free length, some next to the greatest spacer."""
    rng = np.random.default_rng(seed)
    while count:
        length, bond_line = anywhere(rng, "free_length"), rng.choice([0.0, 3e-4, anywhere(rng, "bond_line")])
        thickness = anywhere(rng, "sheet_thickness", length)
        setback = float(np.clip(length * rng.choice([0.0, rng.uniform(-0.3, 0.3)]), -1.0, 1.0))
        most = greatest_spacer(length, bond_line, setback, thickness)
        spacer = bond_line + (most - bond_line) * rng.choice([rng.uniform(), 1.0 - 10.0 ** rng.uniform(-4.0, 0.0)])
        bend = solve_bend([length], thickness, spacer, bond_line, setback)
        if bend.feasible[0] and bend.condition[0] < 99.0 and 1e-4 <= spacer <= 2.0:
            count -= 1
            yield DESIGN.replace(
                free_length=length,
                sheet_thickness=thickness,
                bond_line=float(bond_line),
                setback=setback,
                spacer_diameter=float(spacer),
                spacer_wall=0.0,
                land_length=anywhere(rng, "land_length"),
            )


@by_day("count", [60, 510], 60)
def test_over_the_whole_range_it_is_met_to_rounding_and_leads_back_to_the_part(count):
    rng = np.random.default_rng(5)
    for i, part in enumerate(random_parts(4, count)):
        given = {name: value for name, value in finished(part).items() if name in KINDS[i % 3]}
        start = part.replace(**{FOLLOW[name]: anywhere(rng, FOLLOW[name]) for name in given})
        design = with_given(start, **given)
        assert {name: finished(design)[name] for name in given} == pytest.approx(given, rel=1e-12)
        for field in FOLLOW.values():  # one answer only; next to the greatest spacer digits are lost
            assert getattr(design, field) == pytest.approx(getattr(part, field), rel=1e-9)
        assert design == start.replace(**{FOLLOW[name]: getattr(design, FOLLOW[name]) for name in given})


@pytest.mark.slow
def test_the_outer_thickness_grows_with_the_spacer_and_the_chord_with_the_free_length():
    shares = np.concatenate([np.geomspace(1e-4, 0.5, 60), 1.0 - np.geomspace(0.5, 1e-4, 60)[1:]])
    for part in random_parts(6, 150):
        sheets = part.sheet_thickness, part.bond_line, part.setback
        most = part.bend().greatest_spacer
        spacers = part.bond_line + shares * (most - part.bond_line)
        thickness = solve_bend(part.free_length, sheets[0], spacers, *sheets[1:]).outer_thickness
        lengths = part.free_length * np.geomspace(0.5, 2.0, 120)
        chord = solve_bend(lengths, sheets[0], part.spacer_diameter, *sheets[1:]).free_chord
        assert np.all(np.diff(thickness[np.isfinite(thickness)]) > 0.0)
        assert np.all(np.diff(chord[np.isfinite(chord)]) > 0.0)


def test_the_study_shows_what_was_given():
    study = evaluate(with_given(DESIGN, chord=0.240, outer_thickness=0.024), local=False)
    assert study.quantities["chord"] == pytest.approx(0.240, rel=1e-12)
    assert study.quantities["outer_thickness"] == pytest.approx(0.024, rel=1e-12)


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ({"chord": 0.03}, "chord"),
        ({"chord": 9.0}, "chord"),
        ({"outer_thickness": 4e-3}, "outer_thickness"),
        ({"outer_thickness": 0.3}, "outer_thickness"),
        ({"chord": 0.24, "outer_thickness": 0.4}, "outer_thickness"),
    ],
)
def test_the_refusal_names_what_can_be_had_and_that_can(given, name):
    start = DESIGN.replace(spacer_wall=0.0)
    with pytest.raises(InfeasibleBend, match=r"cannot be reached: it can be [\d.]+ mm to [\d.]+ mm with ") as refused:
        with_given(start, **given)
    ends = [1e-3 * float(text) for text in re.findall(r"it can be ([\d.]+) mm to ([\d.]+)", str(refused.value))[0]]
    for end, beyond in zip(ends, (0.998, 1.002), strict=True):
        assert finished(with_given(start, **{**given, name: end}))[name] == pytest.approx(end, rel=1e-12)
        with pytest.raises(InfeasibleBend):
            with_given(start, **{**given, name: end * beyond})


@pytest.mark.parametrize(
    ("change", "given"),
    [
        ({"spacer_diameter": 4e-4, "bond_line": 1e-3}, {"chord": 0.2}),
        ({"setback": 0.3}, {"outer_thickness": 0.02}),
        ({}, {"chord": 0.01, "outer_thickness": 0.02}),
    ],
)
def test_where_nothing_can_be_had_it_says_so(change, given):
    with pytest.raises(InfeasibleBend, match=r"cannot be reached: no .* makes a part with .*; change one of these"):
        with_given(DESIGN.replace(spacer_wall=0.0, **change), **given)


@pytest.mark.parametrize("given", [{}, {"chord": -0.2}, {"chord": np.nan}, {"outer_thickness": 0.0}, {"chord": "240"}])
def test_what_is_no_length_is_refused(given):
    with pytest.raises(ValueError, match="chord|outer thickness"):
        with_given(DESIGN, **given)


def test_a_wall_that_does_not_fit_the_spacer_that_follows_is_refused_in_words():
    with pytest.raises(ValueError, match="spacer wall 3 mm is more than half the spacer diameter"):
        with_given(DESIGN.replace(spacer_wall=3e-3), outer_thickness=6e-3)
