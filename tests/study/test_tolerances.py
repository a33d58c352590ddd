"""Scatter: exact powers, linear error propagation, shares of a sum, the seed."""

import numpy as np
import pytest
from day_and_night import by_day

from panelmech import Design, catalogue, evaluate
from panelmech.study.checks import CHECKS, LOCAL_RULES
from panelmech.study.framed_parts import framed_parts
from panelmech.study.ranges import THICK
from panelmech.study.shares import interval
from panelmech.study.tolerances import (
    MOST_EXACT,
    Tolerance,
    default_tolerances,
    elasticities,
    scatter,
    variance_share,
)
from panelmech.study.varying import varying

DESIGN = Design(
    catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3, pressure=500.0, deflection_share=0.003
)
SMALL = tuple(Tolerance(n, s) for n, s in (("sheet_thickness", 2e-6), ("modulus", 1e-3), ("spacer_diameter", 1e-5)))


def test_exact_powers():
    """D goes with E t^3; strain with t times the opening over the square of the length, to first order."""
    thin = DESIGN.replace(sheet_thickness=0.3e-3, bond_line=0.0, spacer_diameter=2e-3, spacer_wall=0.0, setback=0.0)
    power = elasticities(thin, ["sheet_thickness", "modulus", "spacer_diameter", "free_length"])
    assert power["bending_stiffness"]["sheet_thickness"] == pytest.approx(3.0, abs=1e-7)
    assert power["bending_stiffness"]["modulus"] == pytest.approx(1.0, abs=1e-7)
    assert power["land_strain"]["sheet_thickness"] == pytest.approx(1.0, abs=0.01)
    assert power["land_strain"]["spacer_diameter"] == pytest.approx(1.0, abs=0.02)
    assert power["land_strain"]["free_length"] == pytest.approx(-2.0, abs=0.03)


def test_small_scatter_follows_linear_propagation():
    """JCGM 100:2008, 5.1.2, with the standard deviation of a band, half-width over root three."""
    found = scatter(DESIGN, SMALL, count=20_000)
    for name in ("contact_force", "land_strain", "outer_thickness"):
        value = np.mean(found.outputs[name])
        nominal = {"modulus": 1.0}
        parts = [
            found.elasticities[name][t.field]
            * t.standard_deviation
            / nominal.get(t.field, getattr(DESIGN, t.field, 1.0))
            for t in SMALL
        ]
        expected = abs(value) * np.sqrt(np.sum(np.square(parts)))
        assert np.std(found.outputs[name]) == pytest.approx(expected, rel=0.02)  # four times 1/sqrt(2 n)


def test_shares_of_a_sum_are_those_of_its_parts():
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-1, 1, (2, 50_000))
    assert variance_share(x, 3 * x + 4 * y) == pytest.approx(9 / 25, abs=0.02)
    assert variance_share(rng.uniform(size=50_000), x) < 0.005


def test_thickness_dominates_the_stiffness_of_the_demo():
    found = scatter(DESIGN, count=20_000)
    assert found.most_important("bending_stiffness")[0] == "sheet_thickness"
    assert sum(found.shares["contact_force"].values()) == pytest.approx(1.0, abs=0.05)


@pytest.mark.slow
def test_same_seed_same_numbers_and_failures_are_counted():
    light = DESIGN.replace(pressure=640.0)
    near = light.replace(deflection_share=light.deflection_share / evaluate(light).check("oil_canning").reserve)
    a, b = (scatter(near, count=2000) for _ in range(2))
    assert np.array_equal(a.outputs["contact_force"], b.outputs["contact_force"])
    assert np.array_equal(a.reserves["oil_canning"], b.reserves["oil_canning"])
    assert a.failing["any"] == a.failing["oil_canning"] > 0.1 and a.failing["not made"] == 0.0
    tight = scatter(DESIGN.replace(spacer_diameter=0.05), count=2000)
    assert 0.0 < tight.failing["permanent_strain"] <= tight.failing["any"] < 1.0


@pytest.mark.slow
@by_day("kind", ["band", "deviation"], "deviation")
def test_the_framed_sheet_of_a_part_is_that_of_its_study(kind):
    """Read between some tens of parts, within the doubt stated; moduli as at the nominal thickness."""
    wide = [Tolerance(t.field, t.size, kind) for t in default_tolerances(DESIGN) if t.field != "bond_line"]
    found = scatter(DESIGN, wide, count=2000)
    assert set(found.reserves) == {rule.key for rule in CHECKS}
    assert 0.0 < found.framed_doubt < (0.005 if kind == "band" else 0.5)
    for i in np.random.default_rng(8).integers(0, 2000, 8):
        fields = {name: float(v[i]) for name, v in found.samples.items() if name != "modulus"}
        factor = found.samples["modulus"][i]
        names = ("modulus", "span_modulus", "shear_modulus")
        sheet = DESIGN.sheet.with_own(**{name: getattr(DESIGN.sheet, name) * factor for name in names})
        study = evaluate(DESIGN.replace(sheet=sheet, **fields))
        for rule in CHECKS:
            off = found.framed_doubt if rule in LOCAL_RULES else 1e-9
            assert found.reserves[rule.key][i] == pytest.approx(study.check(rule.key).reserve, rel=off)


def test_parts_whose_framed_sheet_fails_are_counted():
    """So little allowed that about half the parts press in too far, by the spread of their thickness."""
    reserve = evaluate(DESIGN).check("oil_canning").reserve
    pressed = DESIGN.replace(deflection_share=DESIGN.deflection_share / reserve)
    found = scatter(pressed, count=2000)
    assert 0.2 < found.failing["oil_canning"] < 0.8 and found.failing["any"] >= found.failing["oil_canning"]
    assert found.failing["oil_canning"] == np.mean(found.reserves["oil_canning"] < 1.0)
    assert found.most_important("oil_canning_reserve")[0] == "sheet_thickness"
    left_out = scatter(pressed, count=2000, rules=())
    assert "oil_canning" not in left_out.failing and left_out.failing["any"] == 0.0


def test_parts_beyond_what_can_be_told_are_counted_apart():
    """Between frames so near that the sheet is about as thick as a thin plate may be: some of the parts thicker."""
    near = DESIGN.replace(span=0.05, frame_width=0.5 * (0.05 - DESIGN.sheet_thickness / THICK), pressure=100.0)
    found = scatter(near, count=2000)
    assert 0.2 < found.failing["beyond"] < 0.8
    assert found.failing["beyond"] == np.mean(np.isnan(found.reserves["oil_canning"]))
    assert scatter(DESIGN, SMALL, count=200).failing["beyond"] == 0.0


def test_framed_sheets_that_are_not_known_are_not_counted_as_failing():
    no_table = DESIGN.replace(sheet=catalogue["birch plywood, face grain along chord"], sheet_thickness=0.4e-3)
    found = scatter(no_table, [Tolerance("sheet_thickness", 1e-5)], count=200)
    assert np.isnan(found.reserves["oil_canning"]).all() and np.isnan(found.failing["oil_canning"])
    assert found.counted["oil_canning"].words() == found.counted["any"].words() == "not known"
    alone = scatter(DESIGN, [Tolerance("modulus", 0.1)], count=200)
    assert alone.reserves["skin_buckling"] / alone.samples["modulus"] == pytest.approx(
        evaluate(DESIGN).check("skin_buckling").reserve, rel=1e-9
    )


def _as_built(design, samples, i):
    """The design as one part of a scatter was built, its moduli as at the nominal thickness."""
    fields = {name: float(v[i]) for name, v in samples.items() if name != "modulus"}
    names = ("modulus", "span_modulus", "shear_modulus")
    sheet = design.sheet.with_own(**{name: getattr(design.sheet, name) * samples["modulus"][i] for name in names})
    return evaluate(design.replace(sheet=sheet, **fields))


@pytest.mark.slow
@by_day(("kind", "parts"), [("band", 100), ("band", 200), ("deviation", 200)], ("band", 100))
def test_every_share_agrees_with_every_part_worked_out(kind, parts):
    """A design of which many parts fail in one way or another: part by part the same verdict, whatever is read."""
    reserve = evaluate(DESIGN).check("oil_canning").reserve
    stress = evaluate(DESIGN).check("skin_buckling").value
    odd = DESIGN.replace(pressure=DESIGN.pressure * reserve, service_stress=0.95 * stress, friction=0.0625)
    tolerances = [Tolerance(t.field, t.size * (1.0 if kind == "band" else 0.5), kind) for t in default_tolerances(odd)]
    found = scatter(odd, tolerances, count=parts)
    fails = {key: np.zeros(parts, dtype=bool) for key in found.reserves}
    for i in range(parts):
        study = _as_built(odd, found.samples, i)
        for key in fails:
            fails[key][i] = study.check(key).verdict == "fails"
    counts = {key: int(v.sum()) for key, v in fails.items()} | {"any": int(np.any(list(fails.values()), axis=0).sum())}
    for key, count in counts.items():
        share = found.counted[key]
        assert share.count <= count <= share.count + share.undecided and share.unknown == 0
    assert found.counted["any"].undecided < 10
    assert sum(0 < count < parts for count in counts.values()) >= 4


@by_day(("kind", "factor"), [("band", 1.0), ("deviation", 0.5), ("deviation", 1.0)], ("deviation", 1.0))
def test_what_is_read_of_framed_sheets_is_as_far_off_as_it_says_at_most(kind, factor):
    """Over the whole range, the farthest parts among them."""
    tolerances = [Tolerance(t.field, factor * t.size, kind) for t in default_tolerances(DESIGN)]
    samples = varying(DESIGN, tolerances).draw(np.random.default_rng(8), 4000)
    parts = framed_parts(DESIGN, samples)
    read, doubt = parts.at(samples, 4000), parts.doubt_at(samples, 4000)
    for i in [*range(25), *np.argsort(-np.abs(samples["sheet_thickness"] - 2e-3))[:10], *np.argsort(-doubt)[:15]]:
        exact = parts.exact({name: float(v[i]) for name, v in samples.items()})
        for name, value in exact.items():
            assert read[name][i] == pytest.approx(value, rel=doubt[i])
    assert np.median(doubt) <= parts.doubt < (5e-3 if kind == "band" else 0.2)


@pytest.mark.slow
def test_parts_that_hang_on_the_error_are_worked_out_or_counted_as_undecided():
    reserve = evaluate(DESIGN).check("oil_canning").reserve
    pressed = DESIGN.replace(deflection_share=DESIGN.deflection_share / reserve)
    wide = [Tolerance(t.field, t.size, "deviation") for t in default_tolerances(DESIGN)]
    found = scatter(pressed, wide, count=20_000)
    share = found.counted["oil_canning"]
    assert found.worked_out == MOST_EXACT and share.undecided > 0
    assert share.interval[1] > interval(share.count, 20_000)[1]


def test_catalogue_gives_the_thickness_tolerance():
    first = default_tolerances(DESIGN)[0]
    assert first.field == "sheet_thickness" and first.size == pytest.approx(DESIGN.sheet.tolerance_at(2e-3))


@pytest.mark.parametrize("tolerances", [(Tolerance("bond_line", 1e-3),), (SMALL[0], SMALL[0])])
def test_impossible_tolerances_are_refused(tolerances):
    with pytest.raises(ValueError, match="tolerance"):
        scatter(DESIGN, tolerances, count=1000)
