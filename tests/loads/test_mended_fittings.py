"""What mends a fitting, by hand: bonded studs against 5.5 MPa over three, and against two diameters of bond."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.loads.cases import PointPush
from panelmech.loads.fittings import BondedStud
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.mend import DIAMETERS, _sides_of_own, mended_fittings
from panelmech.loads.plan import LoadPlan
from panelmech.study.verdicts import CLOSE, FAILS, HOLDS


@pytest.fixture(scope="module")
def study():
    return evaluate_loads(LEEBOARD, LoadPlan((PointPush("push", 1.0),), stations=5, local=False))


def advice(study, *stud):
    return [(check.verdict, check.advice) for check in mended_fittings(study, (BondedStud("stud", *stud),))]


def test_a_stud_too_short_for_its_pull(study):
    """3 x 5 kN over pi x 10 mm x 5.5 MPa is 86.8 mm: 87 mm does. No stock size up to four times its own does."""
    (verdict, words), (close, more) = advice(study, 0.01, 0.02, 5000.0)
    assert verdict == FAILS and words == "a length of 87 mm instead of 20 mm: 1.00 times"
    assert close == CLOSE and "a length of 25 mm instead of 20 mm: 1.25 times" in more
    assert "a diameter of 8 mm instead of 10 mm: 1.25 times" in more


def test_a_stud_bonded_over_less_than_two_diameters(study):
    """Two diameters long, or the next size that is sold below half its length: 6 mm of 7.5 mm."""
    (verdict, words), (short, more) = advice(study, 0.01, 0.015, 500.0)
    assert (verdict, words) == (HOLDS, "") and short == FAILS
    assert "a length of 20 mm instead of 15 mm: 1.00 times" in more
    assert "a diameter of 6 mm instead of 10 mm: 1.25 times" in more


def test_a_stud_that_holds_and_one_that_nothing_mends(study):
    """Up to five times its length is looked for: 100 mm hold 5.76 of 50 kN."""
    assert advice(study, 0.01, 0.03, 500.0) == [(HOLDS, ""), (HOLDS, "")]
    words = advice(study, 0.01, 0.02, 50_000.0)[0][1]
    assert (
        words.startswith("no one size mends it alone") and "a length of 100 mm instead of 20 mm: 0.115 times" in words
    )


def test_sizes_that_are_tried_are_sold_and_nearest_first():
    """From 0.3 to 4 times a diameter as sold, without its own; lengths from half to five times, in round steps."""
    stud = BondedStud("stud", 0.01, 0.02, 5000.0)
    thinner, thicker, shorter, longer = _sides_of_own(stud, ("diameter", "length"))
    assert [1e3 * one["diameter"] for one in thinner] == pytest.approx([8.0, 6.0, 5.0, 4.0, 3.0])
    assert [1e3 * one["diameter"] for one in thicker] == pytest.approx([d for d in DIAMETERS if 10 < d <= 40])
    for side, first, last in ((shorter, 0.0195, 0.010), (longer, 0.0205, 0.100)):
        values = np.array([one["length"] for one in side])
        assert (values[0], values[-1]) == pytest.approx((first, last))
        assert np.abs(np.diff(values)) == pytest.approx(np.full(len(values) - 1, 0.0005), rel=1e-9)


def test_a_size_with_nothing_on_one_side_has_one_side():
    """The greatest that is sold within reach of 48 mm is itself; of what is not sold round sizes are tried."""
    names = ("diameter",)
    (thinner,) = _sides_of_own(BondedStud("stud", 0.048, 0.1, 1.0), names)
    assert thinner[0]["diameter"] == pytest.approx(0.042)
    odd = _sides_of_own(BondedStud("stud", 0.2, 0.5, 1.0), names)  # in steps of 5 mm, about 2 % of it
    assert [side[0]["diameter"] for side in odd] == pytest.approx([0.195, 0.205])
