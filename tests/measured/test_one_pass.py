"""One pass from readings to camber: defaults said, nothing unmeasured sure, what is shared counted once, two tests."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.job import demo
from panelmech.measured.draws import DRAWS, Drawn, draw_camber, drawn_beside
from panelmech.measured.modulus_tests import DENSITY
from panelmech.measured.one_pass import BOW, MODULUS, STRIP_OF, UNMEASURED_BOW
from panelmech.measured.pair import judge_pair
from panelmech.measured.pair_words import _more, drawn_words, known_words, towards, verdict_words
from panelmech.measured.readings import KINDS, REPEAT_DOF, Readings, Row
from panelmech.measured.repeats import MOST, repeats_for
from panelmech.measured.worth import Reading, coverage_factor, effective_dof
from panelmech.report.pair_rows import contribution_rows, reading_rows
from panelmech.study.study import stock_range
from panelmech.units import to_si

DESIGN, DEMO = demo().design, demo().readings


def without(*kinds):
    return Readings([r for r in DEMO.rows if r.measured not in kinds])


def blank():
    """Everything measured, once, with no step given."""
    seen, rows = set(), []
    for r in DEMO.rows:
        if r.measured in ("thickness", "offset", "as-built thickness") or (r.measured, r.sheet) not in seen:
            seen.add((r.measured, r.sheet))
            rows.append(replace(r, resolution=0.0))
    return Readings(rows)


@pytest.fixture(scope="module")
def report():
    return judge_pair(DESIGN, DEMO, 0.5e-3)


# -- what a reading is worth --------------------------------------------------------------------------------


def test_pooled_scatter_in_plain_arithmetic():
    """Readings 1, 2, 3 scatter by 1 with 2 degrees; pooled with 2 at 4: s2 = (4 x 4 + 2 x 1)/6 = 3; of three, 1."""
    pooled = Reading("x", (1.0, 2.0, 3.0), 0.0, 2.0, 4.0)
    assert pooled.deviation == pytest.approx(np.sqrt(3.0)) and pooled.uncertainty == pytest.approx(1.0)
    assert pooled.dof == pytest.approx(6.0)
    one = Reading("x", (1.0,), np.sqrt(12.0), 1.0, 4.0)  # a step as uncertain as the scatter: 2^2 / (1/4) = 16
    assert one.uncertainty == pytest.approx(np.sqrt(2.0)) and one.dof == pytest.approx(16.0)
    assert Reading("x", (1.0,), band=np.sqrt(3.0)).uncertainty == pytest.approx(1.0)
    assert Reading("x", (1.0,), band=1.0).dof == np.inf == Reading("x", (1.0,)).dof
    assert Reading("x", (1.0, 3.0)).dof == 1.0


def test_the_guides_degrees_of_freedom_and_factors():
    """JCGM 100:2008, Table G.2 (three digits printed), and equal parts: degrees add up."""
    for dof, factor in ((1, 12.71), (2, 4.30), (4, 2.78), (10, 2.23), (50, 2.01), (np.inf, 1.960)):
        assert coverage_factor(dof) == pytest.approx(factor, abs=0.0051)
    assert effective_dof((1.0, 1.0), (5.0, 5.0)) == pytest.approx(10.0)
    assert effective_dof((0.0, 1.0), (1.0, 7.0)) == pytest.approx(7.0) and effective_dof((0.0,), (3.0,)) == np.inf


def test_draws_lie_evenly_on_both_sides():
    """A step of 2 and a band of 3 lie within 1 + 3 either way; with the scatter 2 of one reading the variance is
    4 + 1/3 + 9/3. Tolerances: five standard errors of a mean and of a variance of so many."""
    count, chance = 40_000, np.random.default_rng(1)
    flat = Reading("x", (5.0,), resolution=2.0, band=3.0).draw(chance, count)
    both = Reading("x", (5.0,), resolution=2.0, repeat=2.0, band=3.0).draw(chance, count)
    assert 3.9 < np.max(flat) <= 4.0 and 3.9 < -np.min(flat) <= 4.0
    for drawn, variance in ((flat, 1.0 / 3.0 + 3.0), (both, 4.0 + 1.0 / 3.0 + 3.0)):
        assert np.mean(drawn) == pytest.approx(0.0, abs=5.0 * np.sqrt(variance / count))
        assert np.mean(drawn**2) == pytest.approx(variance, rel=5.0 * np.sqrt(2.0 / count))


# -- nobody measured it -------------------------------------------------------------------------------------


def test_blank_steps_and_single_readings_are_not_exact():
    found = judge_pair(DESIGN, blank(), 0.5e-3)
    for (kind, _), reading in found.inputs.inputs.items():
        assert reading.resolution == pytest.approx(to_si(KINDS[kind].tool.step, KINDS[kind].unit))
        assert reading.uncertainty > 0.0
    assert found.camber.uncertainty > 1.5 * judge_pair(DESIGN, DEMO, 0.5e-3).camber.uncertainty
    assert not found.sure and found.verdict == "unsure"
    words = " ".join(found.taken)
    assert words.count("no step is given") == len({kind for kind, _ in found.inputs.inputs})
    assert "thickness of sheet A and sheet B: 0.05 mm is taken, that of a caliper (common practice" in words
    assert "read once only" in words and "overhang (strip over an edge) of sheet A and sheet B, 0.5 mm" in words
    rows = {r[0]: r[-1] for r in reading_rows(blank()) if isinstance(r, list)}
    assert rows["Thickness"] == "0.05 mm, default"


def test_a_step_that_was_typed_is_never_replaced(report):
    for r in DEMO.rows:
        got = DEMO.reading(r.measured, r.sheet)
        assert got.resolution == max(x.resolution for x in DEMO.of(r.measured, r.sheet)) > 0.0
        assert got.values == tuple(x.value for x in DEMO.of(r.measured, r.sheet))
    assert "no step is given" not in " ".join(report.taken)
    assert not any("default" in row[-1] for row in reading_rows(DEMO) if isinstance(row, list))


def test_a_modulus_of_nobody_has_the_band_of_the_scatter():
    found = judge_pair(DESIGN, without(*(k for k in KINDS if KINDS[k].group in ("three-point", "droop"))), 0.5e-3)
    share, names = stock_range(DESIGN).modulus, [found.inputs.inputs[MODULUS, s].name for s in "AB"]
    assert found.used == (None, None) and found.verdict == "unsure" and not found.sure
    for name in names:  # of both by itself: D of A over B changes by the share over the root of three, camber with it
        slope = abs(found.camber.slopes[name])
        assert found.camber.contributions[name] == pytest.approx(slope * share / np.sqrt(3.0), rel=1e-9)
        assert slope == pytest.approx(0.25 * (DESIGN.spacer_diameter - DESIGN.bond_line), rel=0.15)  # small deflections
    words = " ".join(found.taken)
    assert "Young's modulus of sheet A and sheet B is not measured" in words and "10 % either way" in words
    assert "density of the sheet" not in words  # where there is no test, there is none to be measured
    assert "Repeating does not help" in verdict_words(found)


def test_a_bow_or_density_of_nobody_has_a_band():
    design = DESIGN.replace(free_length=0.2318)  # and 15 mm of land: 246.8 mm, of which half a per cent is 1.234 mm
    found = judge_pair(design, without("bow, marked face up", "droop density"), 0.5e-3)
    most = 8.0 * UNMEASURED_BOW / design.developed_length  # of an arc of that rise over that length
    assert [found.inputs.inputs[BOW, s].band for s in "AB"] == pytest.approx([most, most])
    assert found.inputs.inputs["droop density", "pair"].band == pytest.approx(DENSITY * DESIGN.sheet.density)
    words = " ".join(found.taken)
    assert "the bow of sheet A and sheet B is not measured: it is taken as flat to within 1.2 mm over 246.8 mm" in words
    assert "the density of the sheet is not" in words
    assert found.verdict == "unsure" and not found.sure


# -- shared -------------------------------------------------------------------------------------------------


def test_one_rig_for_both_sheets_cancels(report):
    """Weight and supports move both moduli alike: D of A over B stays. With other readings of B they are two."""
    parts = report.ratio.contributions
    for kind in ("force in the middle", "distance of the supports"):
        assert parts[f"{kind} (strip on two supports), both sheets"] < 2e-3 * report.ratio.uncertainty * 10
    moved = DEMO.replaced("three-point span", "B", [Row("B", "three-point span", 0.201, resolution=5e-4)])
    found = judge_pair(DESIGN, moved, 0.5e-3).ratio.contributions
    for sheet in "AB":
        own = found[f"distance of the supports of sheet {sheet} (strip on two supports)"]
        assert own > 20.0 * parts["distance of the supports (strip on two supports), both sheets"]


def test_a_strip_that_borrows_the_sheets_thickness():
    """E goes with 1/t3 and D with E t3: the sheet's mean cancels but for the rolling on the supports; what is left of
    the thickness is how far the strip may be off the mean."""
    kinds = [k for k in KINDS if KINDS[k].group == "droop"]
    found = judge_pair(DESIGN, without("three-point thickness", *kinds), 0.5e-3)
    parts, sheet = found.ratio.contributions, found.sheets[0]
    strip = parts["thickness of the strip cut from sheet A, not measured"]
    assert parts["thickness of sheet A"] < 0.03 * strip
    three = 3.0 * sheet.thickness.details["scatter"] / sheet.thickness.value * found.ratio.value
    assert strip == pytest.approx(three, rel=0.02)  # rolling on the supports: a hundredth
    assert (STRIP_OF, "A") in found.inputs.inputs and "thickness of the strip cut from" in " ".join(found.taken)


def test_two_tests_that_share_the_strip_do_not_look_surer_than_it():
    """Without own thickness both tests hang on one strip: the mean is no surer than that leaves it."""
    found = judge_pair(DESIGN, without("three-point thickness", "droop thickness"), 0.5e-3)
    strip = "thickness of the strip cut from sheet A, not measured"
    used = found.used[0].result
    sheet = found.sheets[0].thickness
    least = (
        2.0 * sheet.details["scatter"] / sheet.value * used.value
    )  # a droop goes with the square, the other the cube
    assert used.contributions[strip] > least and used.uncertainty > least


def test_tests_that_disagree_widen_the_modulus(report):
    assert not report.inputs.disagree
    off = DEMO.replaced("droop", "A", [replace(r, value=1.25 * r.value) for r in DEMO.of("droop", "A")])
    found = judge_pair(DESIGN, off, 0.5e-3)
    assert any("the two tests of sheet A differ by" in n for n in found.notes)
    two = [t.result.value for t in found.tests if t.sheet == "A"]
    gap = found.used[0].result.contributions["gap between the two tests of sheet A"]
    assert gap == pytest.approx(0.5 * abs(two[0] - two[1]) / np.sqrt(3.0), rel=1e-9)
    assert found.camber.uncertainty > report.camber.uncertainty


# -- by draws -----------------------------------------------------------------------------------------------


def test_the_linear_rule_holds_for_the_demo_and_draws_agree(report):
    sides = report.inspection.pairings[0].sides
    assert report.drawn is None
    found = draw_camber(report.inputs, sides, report.camber)
    half = 0.5 * (found.high - found.low)  # both ends together known to about a fifteenth
    assert found.unbent < 0.01 and half == pytest.approx(report.camber.expanded, rel=0.2)


def test_where_it_does_not_hold_the_camber_is_drawn(report):
    """A strip whose deflection was read with a coarse step: its modulus goes with one over it."""
    rough = DEMO
    for sheet in "AB":
        rows = [replace(r, resolution=6e-3) for r in DEMO.of("three-point deflection", sheet)]
        rough = rough.replaced("three-point deflection", sheet, rows)
    kinds = [k for k in KINDS if KINDS[k].group == "droop"]
    rough = Readings([r for r in rough.rows if r.measured not in kinds])
    found = judge_pair(DESIGN, rough, 0.5e-3)
    assert found.drawn is not None and found.drawn.count == DRAWS and not found.sure
    assert "draws (seed" in verdict_words(found)
    sides = found.inspection.pairings[0].sides
    assert drawn_beside(found.inputs, sides, found.camber) == found.drawn  # the same seed, the same interval


@pytest.mark.parametrize(
    ("low", "high", "sure"),
    [
        (-0.4, 0.4, True),
        (-0.6, 0.4, False),
        (0.6, 0.9, True),
        (-0.9, -0.6, True),
        (0.4, 0.9, False),
        (-0.9, 0.9, False),
    ],
)
def test_an_interval_is_sure_on_one_side_of_the_tolerance(low, high, sure):
    assert Drawn(low, high, 0.0).sure(0.5) is sure


def test_what_was_drawn_is_said_with_its_ends_or_with_what_cannot_be_bent():
    said = [drawn_words(SimpleNamespace(drawn=d)) for d in (None, *(Drawn(-1e-3, 2e-3, u) for u in (0.049, 0.051)))]
    assert said[0] == "" and said[1].endswith(" 95 % lie between −1.0 mm and 2.0 mm, towards A positive.")
    assert said[2].endswith(" 5.1 % of such pairs cannot be bent.")
    assert [_more(count) for count in (1, 2)] == ["one more reading", "2 more readings"]
    assert [towards(offset) for offset in (-0.5, 0.5)] == ["B", "A"]


# -- which reading to take again ----------------------------------------------------------------------------


def test_as_many_more_readings_make_it_sure_and_one_fewer_do_not(report):
    room = 0.9 * report.camber.expanded
    advice = repeats_for(report.inputs, report.camber, room)
    assert not advice.sure and not advice.hopeless and advice.more

    def with_more(more):
        inputs = {}
        for key, r in report.inputs.inputs.items():
            n = more.get(r.name, 0)
            parts = r.deviation / np.sqrt(len(r.values) + n), r.by_step_of(len(r.values) + n)
            inputs[key] = np.hypot(*parts), effective_dof(parts, (r.chance_dof + n, np.inf))
        slopes = [abs(report.camber.slopes[r.name]) for r in report.inputs.inputs.values()]
        parts = [s * u for s, (u, _) in zip(slopes, inputs.values(), strict=True)]
        return coverage_factor(effective_dof(parts, [d for _, d in inputs.values()])) * float(np.hypot.reduce(parts))

    assert with_more({}) == pytest.approx(report.camber.expanded, rel=1e-9)
    assert with_more(advice.more) < room
    for name in advice.more:
        assert with_more({**advice.more, name: advice.more[name] - 1}) >= room


def test_what_repeats_cannot_do_is_said(report):
    """With bows read to a millimetre, on the same step however often: with the finer step of the demo, which is as wide
    as hands scatter, there is next to nothing that repeating does not make smaller."""
    coarse = Readings([replace(r, resolution=1e-3) if r.measured.startswith("bow, ") else r for r in DEMO.rows])
    fine, report = report, judge_pair(DESIGN, coarse, demo().camber)
    assert repeats_for(fine.inputs, fine.camber, 1e-6).left < 1e-6
    hopeless = repeats_for(report.inputs, report.camber, 1e-6)
    assert hopeless.hopeless and not hopeless.more and 1e-6 < hopeless.left < report.camber.expanded
    assert hopeless.rules in report.camber.contributions
    assert repeats_for(report.inputs, report.camber, 1.0).sure
    near = judge_pair(DESIGN, coarse, abs(report.camber.value) + 1e-6)
    assert "Repeating does not help" in verdict_words(near) and hopeless.rules in verdict_words(near)
    assert known_words(fine)[-1] == "No reading need be repeated for this tolerance."
    assert MOST > 1 and REPEAT_DOF > 1


def test_the_table_is_ranked_and_leaves_out_what_counts_for_nothing(report):
    rows = contribution_rows(report)
    shares = [float(r[3].split()[0]) for r in rows]
    assert shares == sorted(shares, reverse=True) and 95.0 < sum(shares) < 101.0
    assert rows[0][0].lower() == report.camber.dominant.lower() and rows[0][1] == "once"
