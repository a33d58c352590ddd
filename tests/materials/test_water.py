"""Density of water: plain properties of the formula. Published values stand in validation/test_eos80.py."""

import numpy as np
import pytest

from panelmech.materials.water import OCEAN_SALINITY, water_density


def test_scalar_and_array():
    assert isinstance(water_density(), float)
    table = water_density(np.array([[5.0], [20.0]]), np.array([0.0, 10.0, 35.0]))
    assert table.shape == (2, 3)
    assert table[1, 2] == water_density(20.0, OCEAN_SALINITY)
    assert np.all(np.diff(table, axis=1) > 0.0) and np.all(np.diff(table, axis=0) < 0.0)  # salt heavier, warm lighter


def test_fresh_water_is_heaviest_at_four_degrees():
    t = np.linspace(0.0, 10.0, 10001)
    assert t[np.argmax(water_density(t))] == pytest.approx(3.98, abs=0.01)  # textbook value, from memory


@pytest.mark.parametrize("bad", [(-3.0, 0.0), (41.0, 0.0), (15.0, -1.0), (15.0, 43.0), (np.nan, 0.0), (15.0, np.nan)])
def test_outside_the_range_is_refused(bad):
    with pytest.raises(ValueError, match="give .*; the range of the equation"):
        water_density(*bad)


def test_edges_of_the_range():
    assert np.isfinite(water_density([-2.0, 40.0], [0.0, 42.0])).all()
