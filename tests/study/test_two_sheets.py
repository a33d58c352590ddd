"""Parts whose two sheets differ: where each sheet lies, what the part makes of it, how both are drawn, what counts."""

import numpy as np
import pytest
import scipy

from panelmech import Design, catalogue
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.unequal import solve_unequal
from panelmech.study.checks import LOCAL_RULES
from panelmech.study.rare import rare_share
from panelmech.study.tolerances import Tolerance, default_tolerances, scatter
from panelmech.study.two_sheets import CAMBER, TwoSheets, sheets_words
from panelmech.study.varying import MODULUS, varying

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3, pressure=100.0, service_stress=20e6)
TOLERANCES = default_tolerances(DESIGN)
COUNT, ALLOWED = 4000, 0.5e-3


def drawn(alike, count=COUNT, seed=3, **more):
    known = varying(DESIGN, TOLERANCES, alike=alike, **more)
    scores = np.random.default_rng(seed).standard_normal((known.scores, count))
    return known.of_scores(scores), known.second_of_scores(scores)


def sheets(alike=0.0, count=COUNT):
    return TwoSheets.of(DESIGN, *drawn(alike, count), count)


def test_each_sheet_lies_as_in_a_matched_pair_over_another_rod():
    """Angle and place of the contact, and the wave number, to rounding of two solvers that end at 1e-13."""
    two = sheets()
    each = {name: values.reshape(-1, 2).T for name, values in two.each.items()}
    assert np.ptp(each["spacer_diameter"]) > 1e-3
    for i in (0, 1):
        names = ("sheet_thickness", "spacer_diameter", "bond_line", "setback")
        alone = solve_bend(DESIGN.free_length, *(each[name][i] for name in names))
        for name in ("contact_angle", "contact_arclength", "wavenumber"):
            exact = getattr(two.bend, f"{name}_{i + 1}")
            np.testing.assert_allclose(getattr(alone, name), exact, rtol=1e-9)


def test_what_counts_of_a_part_is_that_of_the_exact_bend():
    """Strain of the worse sheet, energy of both, the angle at which the line through both contacts leaves them."""
    two, found = sheets(), scatter(DESIGN, TOLERANCES, COUNT, rules=(), alike=0.0, camber=ALLOWED, seed=3)
    strain = np.max([two.bend.surface_strain(i) for i in (1, 2)], axis=0)
    limit = DESIGN.sheet.permanent_strain_limit
    np.testing.assert_allclose(found.reserves["permanent_strain"], limit / strain, rtol=1e-8)
    np.testing.assert_allclose(found.reserves[CAMBER], ALLOWED / np.abs(two.camber), rtol=1e-12)
    np.testing.assert_allclose(found.reserves["rod_holds"], DESIGN.friction / _friction_needed(two.bend), rtol=1e-9)
    alike = scatter(DESIGN, [Tolerance("sheet_thickness", 0.0)], 100, rules=())
    toughness = alike.reserves["joint_opening"][0] * alike.outputs["opening_energy"][0]
    d = [_stiffness(two, i, alike.outputs["bending_stiffness"][0]) for i in (0, 1)]
    np.testing.assert_allclose(found.reserves["joint_opening"], toughness / two.bend.opening_energy(*d), rtol=1e-8)


def _stiffness(two, i, nominal):
    thick, modulus = (two.each[name].reshape(-1, 2).T[i] for name in ("sheet_thickness", MODULUS))
    return nominal * modulus * (thick / DESIGN.sheet_thickness) ** 3


def _friction_needed(bend):
    """From the two contacts on the rod: its two forces are on one line."""
    normals = np.array([[-np.sin(bend.contact_angle_1), np.cos(bend.contact_angle_1)]])
    normals = np.concatenate([normals, [[-np.sin(bend.contact_angle_2), -np.cos(bend.contact_angle_2)]]])
    line = normals[0] - normals[1]
    line = line / np.linalg.norm(line, axis=0)
    return np.tan(np.arccos(np.sum(line * normals[0], axis=0)))


def test_each_sheet_has_the_distribution_that_is_known_and_goes_with_its_fellow():
    """Of so many a correlation is known to 1/sqrt(n), and four times that is allowed; of bands it is that of ranks,
    6/pi asin(r/2) of the scores' r (Pearson, 1907)."""
    together = {("sheet_thickness", MODULUS): -0.5}
    first, second = drawn(0.8, 20_000, correlation=together)
    assert set(second) == {"sheet_thickness", MODULUS} < set(first)
    for name, values in second.items():
        one = next(t for t in TOLERANCES if t.field == name)
        middle = DESIGN.sheet_thickness if name == "sheet_thickness" else 1.0
        assert scipy.stats.kstest(values, "uniform", (middle - one.size, 2.0 * one.size)).pvalue > 1e-3
    for a, b, r in (
        (first["sheet_thickness"], second["sheet_thickness"], 0.8),
        (first[MODULUS], second[MODULUS], 0.8),
        (second["sheet_thickness"], second[MODULUS], -0.5),
        (first["sheet_thickness"], second[MODULUS], -0.4),
        (first["setback"], second[MODULUS], 0.0),
    ):
        assert np.corrcoef(a, b)[0, 1] == pytest.approx(6 / np.pi * np.arcsin(r / 2), abs=4 / np.sqrt(20_000))


def test_sheets_that_are_next_to_alike_make_the_parts_of_alike_sheets():
    """Their difference is of the order of the root of 2e-12, of the tolerances."""
    near = scatter(DESIGN, TOLERANCES, 500, alike=1.0 - 1e-12, camber=ALLOWED)
    assert near.counted[CAMBER].count == 0 and near.counted["any"].count == near.counted["skin_buckling"].count
    for i in (0, 17):
        same = [Tolerance(name, kind="sample", values=(v[i], v[i])) for name, v in near.samples.items()]
        one = scatter(DESIGN, same, 100)
        for key, reserve in one.reserves.items():
            doubt = near.framed_doubt if key in [rule.key for rule in LOCAL_RULES] else 1e-4
            assert near.reserves[key][i] == pytest.approx(reserve[0], rel=doubt, nan_ok=True), key


def test_what_is_taken_half_way_between_is_off_by_the_square_of_half_the_difference():
    """The outer thickness, which the exact bend of both tells, too."""
    off = []
    for share in (0.02, 0.04):
        t = DESIGN.sheet_thickness * (1.0 + share * np.array([1.0, -1.0]))
        bend = solve_unequal(DESIGN.free_length, *t, *t**3, DESIGN.spacer_diameter, DESIGN.bond_line, DESIGN.setback)
        off.append(float(bend.outer_thickness / DESIGN.bend().outer_thickness - 1.0))
    assert off[1] / off[0] == pytest.approx(4.0, rel=0.05) and abs(off[1]) < 0.04**2


def test_the_camber_counts_among_the_parts_that_fail():
    """Against parts drawn with other numbers, each by its exact bend: both shares to four of their standard errors."""
    found = scatter(DESIGN, TOLERANCES, COUNT, rules=(), alike=0.5, camber=ALLOWED)
    other = np.abs(TwoSheets.of(DESIGN, *drawn(0.5, seed=9), COUNT).camber) > ALLOWED
    p = np.mean(other)
    assert found.counted[CAMBER].value == pytest.approx(p, abs=4 * np.sqrt(2 * p * (1 - p) / COUNT)) and 0.1 < p < 0.9
    assert found.counted["any"].count >= found.counted[CAMBER].count and found.labels[CAMBER].startswith("Camber")
    assert not scatter(DESIGN, TOLERANCES, COUNT, rules=(), camber=ALLOWED).counted.get(CAMBER)
    assert np.array_equal(found.parts["apart"], found.reserves[CAMBER] < 1.0)


def test_the_framed_sheet_that_is_worse_off_counts():
    """Against the framed sheet of both sheets of some parts that differ most, each worked out as a matched pair."""
    found = scatter(DESIGN, TOLERANCES, 400, alike=0.0, camber=ALLOWED, seed=3)
    two = TwoSheets.of(DESIGN, *drawn(0.0, 400), 400)
    for i in np.argsort(-np.abs(two.bend.rod_offset))[:3]:
        least = []
        for row in (2 * i, 2 * i + 1):
            same = [Tolerance(n, kind="sample", values=(v[row], v[row])) for n, v in two.each.items()]
            least.append(scatter(DESIGN, same, 100).reserves["skin_buckling"][0])
        assert found.reserves["skin_buckling"][i] == pytest.approx(min(least), rel=found.framed_doubt)
        assert abs(least[0] / least[1] - 1.0) > 3 * found.framed_doubt


@pytest.mark.slow
def test_a_rare_camber_is_met_by_steps_as_by_drawing():
    wide = scatter(DESIGN, TOLERANCES, 40_000, rules=(), alike=0.9, camber=1.2e-3).counted[CAMBER]
    steps = rare_share(DESIGN, TOLERANCES, CAMBER, rules=(), alike=0.9, camber=1.2e-3)
    assert 20 < wide.count < 400 and steps.low < wide.interval[1] and wide.interval[0] < steps.high
    with pytest.raises(ValueError, match="key"):
        rare_share(DESIGN, TOLERANCES, CAMBER, rules=(), camber=1.2e-3)


@pytest.mark.parametrize("wrong", [{"alike": 1.5}, {"alike": -0.1}, {"alike": 0.5, "camber": 0.0}])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match="how alike both sheets|camber allowed"):
        scatter(DESIGN, TOLERANCES, 200, rules=(), **wrong)


def test_the_words_tell_what_is_counted():
    alike, apart = sheets_words(1.0), sheets_words(0.8, ALLOWED)
    assert "Not counted: two sheets that differ" in alike and "common practice" in alike
    assert "correlated with its fellow by 0.80" in apart and "0.500 mm allowed" in apart
    assert all("bow" in text.split("Not counted")[1] for text in (alike, apart))
