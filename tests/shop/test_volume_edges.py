"""Volumes no picture shows: fillets, seal bead, holes, by polygons and plain arithmetic; what is printed beside."""

import numpy as np
import pytest

from panelmech.blade.blade import Blade, Table
from panelmech.shop.outlines import hollow, triangle_rules
from panelmech.shop.volumes import frame_plenty, volumes
from panelmech.study.design import Design
from panelmech.units import lengths, show_lengths_in


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


def area_and_length(points):
    x, y = points.T
    sides = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    return 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))), float(sides.sum())


@pytest.mark.parametrize("changes", [{}, {"setback": -3e-3}, {"bond_line": 1e-3, "sheet_thickness": 4e-3}])
def test_fillets_run_round_the_hollow_but_for_its_gap_at_the_land(leeboard, changes):
    """Two frames; the length from the hollow's own polygon, whose one straight side is the bond line. Chords within
    2 micrometres of the curve miss less than 1e-6 of its length."""
    part = leeboard.replace(**changes)
    made = volumes(part, fillet_radius=4e-3)["fillets at the frames"]
    around = area_and_length(hollow(part.bend()))[1] - part.bond_line
    assert made.volume == pytest.approx(2.0 * around * 16e-6 * (1.0 - np.pi / 4.0), rel=1e-5)
    assert "4 mm radius" in made.formula and made.material == "filler"


def test_no_frame_no_fillet(leeboard):
    rows = volumes(leeboard.replace(frame_width=0.0), fillet_radius=4e-3).rows
    assert not any("frame" in row.name for row in rows)


@pytest.mark.parametrize("inset", [0.0, 0.05])
def test_the_seal_bead_in_plain_arithmetic(leeboard, inset):
    """Legs of 3 mm: 4.5 mm2. Along two sides of the rod between the dams; round each dam along both sheets, 12 mm from
    the rod's centre to the mouth plane (9 mm of rod, 3 mm of setback), and half round the rod of 18 mm."""
    long = 2.0 * (850.0 - 2000.0 * inset) + 2.0 * (2.0 * 12.0 + 9.0 * np.pi)
    made = volumes(leeboard, dam_inset=inset)["seal bead"]
    assert made.volume == pytest.approx(4.5 * long * 1e-9, rel=1e-9) and made.material == "filler"


def test_a_rod_far_proud_is_sealed_half_round_only(leeboard):
    """Its centre before the mouth plane: nothing is left to seal along the sheets there."""
    proud = volumes(leeboard.replace(setback=-9.2e-3))["seal bead"]
    assert proud.volume == pytest.approx(4.5e-9 * (1700.0 + 18.0 * np.pi), rel=1e-9)


def test_hole_walls_in_plain_arithmetic(leeboard):
    """10 and 6 mm through frames of 15 mm, 1 mm of resin on the walls: pi x 16 x 15 x 1 mm3."""
    made = volumes(leeboard, holes=(10e-3, 6e-3))["hole walls"]
    assert made.volume == pytest.approx(np.pi * 16.0 * 15.0 * 1e-9, rel=1e-12) and made.material == "resin"
    assert "hole walls" not in volumes(leeboard).net


ALL = dict(dam_inset=0.03, front_in_frames=True, fillet_radius=4e-3, nose_rise=2e-3, foam=True, holes=(8e-3,))


@pytest.mark.parametrize("tapered", [False, True])
def test_the_numbers_printed_beside_a_volume_give_it(leeboard, tapered):
    """Area x length, as a builder would check it with a pocket calculator: four digits are printed."""
    part = Blade(leeboard, free_length=(0.225, 0.15)) if tapered else leeboard
    checked = 0
    for row in volumes(part, **ALL).rows:
        if " × " in row.formula:
            area, length = row.formula.split(" × ")
            assert area.endswith(" mm²") and length.endswith(" mm")
            product = float(area.removesuffix(" mm²")) * float(length.removesuffix(" mm")) * 1e-9
            assert product == pytest.approx(row.volume, rel=1.1e-3)
            checked += 1
    assert checked >= 8


def test_every_volume_gets_its_waste_and_belongs_to_one_material(leeboard):
    made = volumes(leeboard, waste=0.25, **ALL)
    assert made.waste == 0.25 and all(r.with_waste == pytest.approx(1.25 * r.volume, rel=1e-12) for r in made.rows)
    sums = {m: made.total(m, with_waste=False) for m in ("resin", "filler", "adhesive", "foam")}
    assert sum(sums.values()) == pytest.approx(sum(made.net.values())) and all(v > 0.0 for v in sums.values())
    assert sums["foam"] == made.net["foam"]
    assert volumes(leeboard).waste == 0.15


@pytest.mark.parametrize(
    ("changes", "rise", "proud", "behind"),
    [
        ({}, 0.0, False, True),
        ({"setback": 0.0}, 0.0, False, True),
        ({"setback": -3e-3}, 0.0, True, False),
        ({"setback": -3e-3}, 5e-3, False, True),
    ],
)
def test_words_of_the_edge_fill_say_what_is_there(leeboard, changes, rise, proud, behind):
    how = volumes(leeboard.replace(**changes), nose_rise=rise)["edge fill"].how
    assert ("fairing" in how, "corners" in how) == (proud, behind)


def test_both_are_said_where_the_rod_comes_out_along_the_span(leeboard):
    how = volumes(Blade(leeboard, setback=(3e-3, -3e-3)))["edge fill"].how
    assert "fairing" in how and "corners" in how


def test_the_front_beyond_the_dams_stands_at_both_ends_or_nowhere(leeboard):
    front = "front of the closing frame, "
    assert {front + "root end", front + "tip end"} <= set(volumes(leeboard, dam_inset=0.03, front_in_frames=True).net)
    for arguments in ({"front_in_frames": True}, {"dam_inset": 0.03}):
        assert not any(name.startswith(front) for name in volumes(leeboard, **arguments).net)
    assert volumes(leeboard, front_in_frames=True).notes == () == volumes(leeboard).notes


def test_dams_leave_some_of_the_span(leeboard):
    assert volumes(leeboard, dam_inset=0.4249)["potted nose"].volume > 0.0
    with pytest.raises(ValueError, match="leaves nothing"):
        volumes(leeboard, dam_inset=0.425)


def test_frames_up_to_twenty_millimetres_are_no_note(leeboard):
    assert volumes(leeboard.replace(frame_width=20e-3)).notes == ()
    assert "10 mm to 20 mm is plenty" in volumes(leeboard.replace(frame_width=20.1e-3)).notes[0]


def test_plenty_in_the_lengths_that_are_shown():
    was = lengths()
    try:
        show_lengths_in("mm")
        assert frame_plenty("10 to 20 mm") == "10 to 20 mm"
        show_lengths_in("inch")
        assert frame_plenty("10 to 20 mm") == "0.4 to 0.8 in"
    finally:
        show_lengths_in(was)


@pytest.mark.parametrize("name", ["dam_inset", "bead_length", "fillet_radius", "nose_rise", "squeeze_out", "waste"])
def test_nothing_is_a_number_and_less_is_refused(leeboard, name):
    volumes(leeboard, **{name: 0.0})
    for value in (-1e-9, float("nan"), float("inf")):
        with pytest.raises(ValueError):
            volumes(leeboard, **{name: value})


def test_a_stepped_part_adds_up_piece_by_piece(leeboard):
    """A rod that steps halfway: two pieces, each with its own area in the words, and the sum of both."""
    stepped = Blade(leeboard, spacer_diameter=Table((0.0, 0.425), (18e-3, 15e-3), stepped=True))
    made = volumes(stepped)["potted nose"]
    both = [volumes(leeboard.replace(spacer_diameter=d))["potted nose"].volume for d in (18e-3, 15e-3)]
    assert made.volume == pytest.approx(0.5 * sum(both), rel=1e-9)
    assert made.formula.count(" × 425 mm") == 2 and " + " in made.formula


def test_the_triangles_of_a_taper_are_those_of_its_root(leeboard):
    made = volumes(Blade(leeboard, free_length=(0.225, 0.15))).triangles
    assert made == triangle_rules(leeboard.bend())
