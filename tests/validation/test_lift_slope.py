"""Lift slope of low blades against a published number and a table of formulas.

Sources: Prestero T. (2001), MIT thesis, Table 2.2: fin lift slope 3.12 per radian at effective aspect ratio 2.21,
section slope 0.9 of 2 pi. Whicker L.F. and Fehlner L.F. (1958), DTMB Report 933, and Lloyd (1989) for the stall angle,
as quoted by Kjellberg M., Gerhardt F. and Werner S. (2023), eqs 46-58. Helmbold's formula from memory.
"""

import numpy as np
import pytest

from panelmech.loads.hydrodynamics import lift, lift_slope, stall_angle
from panelmech.published.water import REMUS, STALL

RATIOS = [0.5, 1.0, 1.5, 2.0, 2.21, 3.0, 4.0, 6.0]
TABLE = {  # eight decimals, recomputed from the formulas in another program
    "helmbold": [0.773495458, 1.48325885, 2.0943951, 2.60258057, 2.78797368, 3.36265873, 3.88322208, 4.52866374],
    "whicker-fehlner": [
        0.732201144,
        1.40108314,
        1.97262795,
        2.44353713,
        2.61414914,
        3.13836637,
        3.60634197,
        4.17613018,
    ],
    "lifting line": [1.22931886, 2.01959528, 2.57039399, 2.97624567, 3.11652259, 3.53429174, 3.89990812, 4.34989752],
}


def test_the_published_number():
    assert round(lift_slope(REMUS[0], "lifting line"), 2) == REMUS[1]


@pytest.mark.parametrize("model", TABLE)
def test_the_table(model):
    assert lift_slope(RATIOS, model) == pytest.approx(TABLE[model], abs=5.1e-9)  # half of the table's last digit


def test_stall_angles():
    """Degrees to four decimals; both branches meet at an aspect ratio of 3."""
    ratios, degrees = zip(*STALL, strict=True)
    assert np.degrees(stall_angle(ratios)) == pytest.approx(degrees, abs=5e-5)
    assert stall_angle(3.0) == pytest.approx(0.565, abs=1e-12) and stall_angle(8.0) == 0.565


def test_the_limits_of_the_slope():
    """Slender wing pi AR / 2 for a vanishing aspect ratio; 2 pi and 0.9 of it for a long one."""
    assert lift_slope(1e-6, "helmbold") == pytest.approx(np.pi / 2 * 1e-6, rel=1e-6)
    assert lift_slope(1e9, "helmbold") == pytest.approx(2 * np.pi, rel=1e-8)
    for model in ("whicker-fehlner", "lifting line"):
        assert lift_slope(1e9, model) == pytest.approx(0.9 * 2 * np.pi, rel=1e-8)


def test_the_cross_flow_term_by_hand():
    found = lift(-0.2, 2.0, 0.8)
    assert found.coefficient == pytest.approx(-2.44353713 * 0.2 - 0.8 / 2.0 * 0.04, rel=2e-9)
    assert not found.stalled and lift(0.7, 2.0).stalled
