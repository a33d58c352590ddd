"""Rare shares by subset simulation: tails that are known exactly, parts drawn one by one, what is not known."""

import numpy as np
import pytest
import scipy
from day_and_night import by_day

from panelmech import Design, catalogue, evaluate
from panelmech.study.rare import MOST_STEPS, ONE_IN, rare_share, subset_share
from panelmech.study.tolerances import Tolerance, scatter

DESIGN = Design(
    catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3, pressure=500.0, deflection_share=0.003
)
WAY = np.array([0.6, 0.5, -0.4, 0.3, 0.37]) / np.linalg.norm([0.6, 0.5, -0.4, 0.3, 0.37])
TAILS = {
    "plane, 1.3e-3": (lambda s: 3.0 - WAY @ s, scipy.stats.norm.sf(3.0)),
    "plane, 3.2e-5": (lambda s: 4.0 - WAY @ s, scipy.stats.norm.sf(4.0)),
    "plane, 2.9e-7": (lambda s: 5.0 - WAY @ s, scipy.stats.norm.sf(5.0)),
    "outside a circle, 3.7e-6": (lambda s: 25.0 - s[0] ** 2 - s[1] ** 2, scipy.stats.chi2.sf(25.0, 2)),
    "two sides, 6.3e-5": (lambda s: 4.0 - np.abs(s[0]), 2.0 * scipy.stats.norm.sf(4.0)),
}


@pytest.mark.slow
@by_day("name", TAILS, "two sides, 6.3e-5")
def test_tails_known_exactly_lie_in_the_interval_as_often_as_it_says(name):
    """Of 60 intervals at 95 % fewer than 51 hold what they should once in 3000 times (binomial). Steps met by one in
    ten of a finite number of parts lead to a share a few per cent too high (Au and Beck): 8 % is allowed, and the mean
    of 60 is known to 2 %."""
    limit, exact = TAILS[name]
    found = [subset_share(limit, 5, seed) for seed in range(60)]
    assert sum(one.low <= exact <= one.high for one in found) >= 51
    assert np.mean([one.value for one in found]) == pytest.approx(exact, rel=0.08)
    spread = np.std([one.value for one in found])  # of 60 known to 1/sqrt(120); four times that is allowed
    assert np.mean([one.error for one in found]) == pytest.approx(spread, rel=4 / np.sqrt(120))


def test_a_doubt_of_the_limit_widens_the_interval():
    sure, doubted = (subset_share(TAILS["plane, 3.2e-5"][0], 5, 1, doubt) for doubt in (0.0, 0.1))
    assert doubted.low < sure.low and doubted.high > sure.high
    assert doubted.low <= scipy.stats.norm.sf(4.1) and doubted.high >= scipy.stats.norm.sf(3.9)


def test_what_never_fails_is_told_by_how_far_was_looked():
    found = subset_share(lambda s: 20.0 - np.tanh(s[0]), 2)
    assert (found.value, found.high) == (0.0, float(ONE_IN**-MOST_STEPS))
    assert found.words().startswith("none found down to 1.0·10^−7 %")
    assert subset_share(lambda s: np.full(s.shape[1], np.inf), 2).value == 0.0
    assert subset_share(lambda s: np.full(s.shape[1], -1.0), 2).value == 1.0


@pytest.mark.nightly  # by day the tails known exactly
@pytest.mark.slow
def test_a_share_of_parts_that_can_be_drawn_one_by_one_is_the_same():
    """Thickness decides, as a normal number: what fails is met by drawing, and by steps."""
    stress = evaluate(DESIGN).check("skin_buckling").value
    asked = DESIGN.replace(service_stress=0.93 * stress)
    tolerances = [Tolerance("sheet_thickness", 0.04e-3, "deviation"), Tolerance("spacer_diameter", 0.1e-3)]
    drawn = scatter(asked, tolerances, count=100_000).counted["skin_buckling"]
    steps = rare_share(asked, tolerances, "skin_buckling")
    assert drawn.count > 100 and steps.low < drawn.interval[1] and drawn.interval[0] < steps.high
    assert steps.value == pytest.approx(drawn.value, rel=0.4) and 0 < steps.error < 0.2 * steps.value


def test_an_exact_tail_of_a_check_is_found():
    """Friction alone varies, as a normal number: it fails below the friction that is needed, a value known exactly."""
    needed = evaluate(DESIGN, local=False).check("rod_holds").value
    friction = needed + 4.2 * 0.01
    found = rare_share(
        DESIGN.replace(friction=friction), [Tolerance("friction", 0.01, "deviation")], "rod_holds", rules=()
    )
    assert found.low < scipy.stats.norm.cdf(-4.2) < found.high


@pytest.mark.slow
def test_what_is_not_known_is_not_none():
    no_table = DESIGN.replace(sheet=catalogue["birch plywood, face grain along chord"], sheet_thickness=0.4e-3)
    thickness = [Tolerance("sheet_thickness", 1e-5)]
    assert rare_share(no_table, thickness, "joint_opening", rules=()).words() == "not known"
    assert rare_share(no_table, thickness, rules=()).unknown == 1.0
    with pytest.raises(ValueError, match="key"):
        rare_share(DESIGN, key="strength")
