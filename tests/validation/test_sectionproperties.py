"""Area, centroid and second moments against the library `sectionproperties`, and that library against closed forms.

Its geometric properties are exact for the polygon it is given, whatever the mesh, so the gap is that of the polygon,
which falls with the square of the number of stations (measured). 80 against 40 chords leave 3e-8 after extrapolation.
Reference values of the library itself: recomputed with version 3.10.2 and by closed form.
"""

import numpy as np
import pytest
from sectionproperties.analysis import Section
from sectionproperties.pre import CompoundGeometry, Geometry
from shapely import Polygon

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.section import bent_pair, wedge_pair
from panelmech.mechanics.wedge import solve_wedge

MM = 1e3
DESIGNS = [
    (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3),
    (0.3, 6e-3, 0.12, 1e-3, 10e-3),
    (0.2, 1e-3, 0.04, 0.1e-3, -4e-3),
    (0.1, 8e-3, 0.02, 2e-3, 1e-3),
    (1.0, 4e-3, 0.45, 1e-3, 0.0),
]


def pair(x, y, th, t):
    """Two mirrored sheets with square-cut ends, in mm."""
    h = 0.5 * t
    upper = np.r_[np.c_[x + h * np.sin(th), y - h * np.cos(th)], np.c_[x - h * np.sin(th), y + h * np.cos(th)][::-1]]
    return CompoundGeometry([Geometry(Polygon(upper * MM)), Geometry(Polygon(upper * [MM, -MM]))])


def by_library(shape):
    section = Section(shape.create_mesh(mesh_sizes=[0.0]))  # 0: as coarse as the outline allows
    section.calculate_geometric_properties()
    ixx, iyy, _ = section.get_ic()
    return {
        "area": section.get_area() / MM**2,
        "centroid_x": section.get_c()[0] / MM,
        "i_chord": ixx / MM**4,
        "i_normal": iyy / MM**4,
    }


@pytest.mark.parametrize("design", DESIGNS)
def test_bent_pair(design):
    bend = solve_bend(*design)

    def of(chords):
        s = np.linspace(0, design[0], chords + 1)
        return by_library(pair(*bend.outline(s), bend.tangent_angle(s), design[1]))

    found, coarse, fine = bent_pair(bend), of(40), of(80)
    for name, value in fine.items():
        assert getattr(found, name) == pytest.approx(value, rel=5e-5), name
        # measured: 3e-8 at most, terms of the fourth order and the kink at the contact between two stations
        assert getattr(found, name) == pytest.approx(value + (value - coarse[name]) / 3, rel=1e-7), name


@pytest.mark.parametrize("design", DESIGNS)
def test_flat_wedge(design):
    wedge = solve_wedge(*design)
    x, y = wedge.outline()
    found, expected = wedge_pair(wedge), by_library(pair(x, y, np.full(2, wedge.angle), design[1]))
    for name, value in expected.items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-9), name


def test_the_library_on_hollow_triangles():
    """Two rows computed with version 3.10.2 (mm): what it measures is what this project takes it to measure."""

    def tube(corners):
        hole = Polygon(corners).buffer(-2, join_style="mitre")
        return Geometry(Polygon(corners, [list(hole.exterior.coords)]))

    equilateral = by_library(tube([(0, 0), (100, 0), (50, 50 * 3**0.5)]))
    side, inner = 100.0, 100 - 2 * 2 * 3**0.5  # closed form of the second moment: sqrt(3) a^4 / 96
    assert equilateral["area"] * MM**2 == pytest.approx(579.215390309, rel=1e-11)
    assert equilateral["i_chord"] * MM**4 == pytest.approx(450396.906556, rel=1e-11)
    assert equilateral["i_chord"] * MM**4 == pytest.approx(3**0.5 / 96 * (side**4 - inner**4), rel=1e-9)
    wedge = by_library(tube([(0, 0), (300, -30), (300, 30)]))
    for name, value in (("area", 1277.145174038), ("i_chord", 355958.555618472), ("i_normal", 10297899.285865195)):
        assert wedge[name] * MM ** (2 if name == "area" else 4) == pytest.approx(value, rel=1e-11), name
    assert wedge["centroid_x"] * MM == pytest.approx(167.548444738, rel=1e-11)
