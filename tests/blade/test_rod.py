"""The rod in the blade: shares against beam theory in plain arithmetic, and other walls against other designs."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import evaluate
from panelmech.blade.blade import Blade, Table
from panelmech.blade.buoyancy import hydrostatics
from panelmech.blade.rod import rod_share, rod_walls
from panelmech.blade.sections import blade_sections
from panelmech.report.blade_rows import float_rows, rod_share_words, station_rows, wall_rows

TAPERED = Blade(DESIGN, free_length=(0.225, 0.15))


def test_share_of_an_even_blade():
    sections = blade_sections(Blade(DESIGN))
    found, rod = rod_share(sections), np.pi / 4 * (9e-3**4 - 7.5e-3**4) * DESIGN.spacer.modulus
    whole = evaluate(DESIGN, local=False).quantities["chord_stiffness"]
    assert found.rod_stiffness == pytest.approx(np.full(41, rod), rel=1e-12)
    assert found.share == pytest.approx(np.full(41, rod / whole), rel=1e-12)
    assert found.gain * found.share == pytest.approx(np.ones(41))
    assert (found.even_ratio, found.tip_ratio) == pytest.approx((whole / rod, whole / rod), rel=1e-12)
    tube = np.pi * (9e-3**2 - 7.5e-3**2) * DESIGN.spacer.density
    assert found.mass_share == pytest.approx(tube / sections.mass_per_length[0], rel=1e-12)


def test_tapered_tip_deflection_by_simpson():
    """Deflection of the tip from curvature, twice integrated outwards with Simpson's rule on 401 stations."""
    from scipy.integrate import cumulative_simpson

    sections = blade_sections(TAPERED, 401)
    share, z = rod_share(sections), sections.position
    for moment, ratio in (((z[-1] - z) ** 2 / 2.0, share.even_ratio), (z[-1] - z, share.tip_ratio)):
        tips = []
        for stiffness in (share.rod_stiffness, share.blade_stiffness):
            slope = cumulative_simpson(moment / stiffness, x=z, initial=0.0)
            tips.append(cumulative_simpson(slope, x=z, initial=0.0)[-1])
        assert ratio == pytest.approx(tips[0] / tips[1], rel=1e-5)  # trapezoids on 401 stations: 1/400^2


def test_other_walls_are_other_designs():
    walls = np.array([0.5e-3, 1.5e-3, 9e-3, 0.0])
    found = rod_walls(TAPERED, walls)
    now = rod_share(blade_sections(TAPERED))
    assert found.deflection[1] == pytest.approx(1.0, rel=1e-12)
    assert found.alone[1] == pytest.approx(now.even_ratio, rel=1e-12)
    assert found.deflection[2] == pytest.approx(found.deflection[3], rel=1e-12)  # half the diameter is a solid rod
    for index, wall in enumerate(walls):
        other = blade_sections(TAPERED.replace(design=DESIGN.replace(spacer_wall=wall)))
        assert found.root_share[index] == pytest.approx(other.shares["spacer"][0], rel=1e-12)
        assert found.mass[index] == pytest.approx(other.integrate(other.mass_per_length), rel=1e-12)
        assert found.rod_mass[index] == pytest.approx(other.masses["spacer"][0] * 0.85, rel=1e-12)
    assert rod_walls(TAPERED).wall.tolist() == list(DESIGN.spacer.walls)


@pytest.mark.parametrize("walls", [[-1e-3], [7.01e-3], [np.nan], []])
def test_walls_that_do_not_fit_are_refused(walls):
    blade = TAPERED.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True))
    with pytest.raises(ValueError, match="wall"):
        rod_walls(blade, walls)


def test_a_wall_is_none_or_one_that_a_tube_can_have():
    thin = TAPERED.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True))
    assert rod_walls(thin, [7e-3], 2).wall.tolist() == [7e-3]  # half of 14 mm
    assert rod_walls(TAPERED, [1e-5, 0.0], 2).wall.tolist() == [1e-5, 0.0]
    with pytest.raises(ValueError, match=r"0\.009 mm.*0\.01 mm.*or 0 for a solid rod"):
        rod_walls(TAPERED, [9e-6], 2)


def test_unknown_modulus_along_the_span_is_said():
    from dataclasses import replace

    sheet = replace(DESIGN.sheet, span_modulus=None)
    share = rod_share(blade_sections(Blade(DESIGN.replace(sheet=sheet))))
    assert np.isnan(share.share).all() and "unknown" in rod_share_words(share)


def test_tables_read_the_records():
    heads, rows = station_rows(TAPERED)
    assert len(rows) == 5 and all(len(row) == len(heads) for row in rows)
    assert rows[0][:4] == ("0", "240", "23.5", "9.81") and rows[-1][0] == "850.0"
    found = hydrostatics(TAPERED)
    rows = dict(float_rows(found))
    assert rows["mass, dry"] == "1.571 kg"
    assert "dry: floats up, held down with" in rows and "flooded: sinks, with" in rows
    heads, rows = wall_rows(rod_walls(TAPERED, [0.0, 1.5e-3]))
    assert rows[0][0] == "solid" and rows[1][:3] == ("1.50", "28.7", "1.00")
    words = rod_share_words(rod_share(blade_sections(TAPERED)))
    assert words.startswith("Of a side force's bending moment the rod carries 28.7 %")
