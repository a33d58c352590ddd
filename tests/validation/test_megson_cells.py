"""Torsion of several cells: a three-cell wing section and two rectangular cells.

Source: Megson T.H.G., An Introduction to Aircraft Structural Analysis (2010), Example 22.2: shear flows 7.1, 8.9 and
4.2 N/mm under 11.3e6 N mm. The ten-digit values were recomputed from its inputs in another program; the two rectangular
cells are exact fractions (Bredt-Batho, by hand).
"""

import pytest
from roads.torsion_cells import OUTSIDE, Wall, cells_torsion

LENGTH = {
    "12o": (1650, 1.22, 24200),
    "12i": (508, 2.03, 27600),
    "13": (775, 1.22, 24200),
    "24": (775, 1.22, 24200),
    "34": (380, 1.63, 27600),
    "35": (508, 0.92, 20700),
    "46": (508, 0.92, 20700),
    "56": (254, 0.92, 20700),
}
PARTS = {
    "12o": (0, OUTSIDE),
    "12i": (0, 1),
    "13": (1, OUTSIDE),
    "24": (1, OUTSIDE),
    "34": (1, 2),
    "35": (2, OUTSIDE),
    "46": (2, OUTSIDE),
    "56": (2, OUTSIDE),
}


def flexibility(length, thickness, shear):
    return length * 1e-3 / (shear * 1e6 * thickness * 1e-3)


def test_three_cells():
    walls = [Wall(*PARTS[name], flexibility(*LENGTH[name])) for name in LENGTH]
    found = cells_torsion([0.258, 0.355, 0.161], walls)
    flows = found.flows * 11.3e6 * 1e-3 * 1e-3  # N/mm
    assert [round(q, 1) for q in flows] == [7.1, 8.9, 4.2]
    assert flows == pytest.approx([7.086432831, 8.882054441, 4.152614926], rel=1e-9)  # ten digits given


@pytest.mark.parametrize(
    ("thickness", "torsion_constant", "flows"),
    [((2, 2, 2), 9043478.260869565, (3600 / 23, 3200 / 23)), ((2, 3, 4), 10370370.37037037, (4400 / 27, 5200 / 27))],
)
def test_two_rectangular_cells(thickness, torsion_constant, flows):
    """200 x 100 and 100 x 100 on the middle lines; thickness of cell 1's own walls, of cell 2's, of the web between
    them. Flows at a unit of G times rate of twist. mm, G = 1."""
    one, two, web = thickness
    walls = [Wall(0, OUTSIDE, 500 / one), Wall(1, OUTSIDE, 300 / two), Wall(0, 1, 100 / web)]
    found = cells_torsion([20000.0, 10000.0], walls)
    assert found.torsion_stiffness == pytest.approx(torsion_constant, rel=1e-12)
    assert found.flows * found.torsion_stiffness == pytest.approx(flows, rel=1e-12)
