"""Volumes of the shop: against dense polygons of the exact outline, a Monte Carlo volume, and plain arithmetic."""

import numpy as np
import pytest

from panelmech.blade.blade import Blade
from panelmech.mechanics.bend import solve_bend
from panelmech.shop.outlines import (
    bead_area,
    edge_area,
    fillet_area,
    front_pieces,
    hollow,
    inner,
    nose,
    parallel,
    round_bead_area,
    rounding_area,
    triangle_rules,
)
from panelmech.shop.volumes import volumes
from panelmech.study.design import Design

# Setback 0 and -3 mm split the front in two; the last is strongly bent.
SETBACKS = (3e-3, 0.0, -3e-3)
# A chord of a drawn curve stays within 2 micrometres of it, so an outline's area is off by at most 2/3 of that times
# its length; 2e-6 m times half a metre of outline, over areas of 10 mm2 and more, is well below this.
POLYGON = 1.5e-6


def shoelace(points):
    x, y = points.T
    return 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def length(points):
    return float(np.sum(np.hypot(*(points - np.roll(points, 1, axis=0)).T)))


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


@pytest.mark.parametrize("setback", SETBACKS)
def test_nose_and_frames_are_the_polygons_times_their_lengths(leeboard, setback):
    design = leeboard.replace(setback=setback)
    bend, made = design.bend(), volumes(design, dam_inset=0.02)
    pieces = front_pieces(bend)
    front, void = sum(shoelace(p) for p in pieces), shoelace(hollow(bend))
    assert len(pieces) == (1 if setback > 0 else 2)
    slack = POLYGON * sum(length(p) for p in pieces)
    assert made["potted nose"].volume == pytest.approx(front * 0.81, abs=slack * 0.81)
    slack = POLYGON * length(hollow(bend)) * 0.015
    for end in ("root end", "tip end"):
        assert made[f"closing frame, {end}"].volume == pytest.approx(void * 0.015, abs=slack)


def test_monte_carlo_volume_of_nose_and_hollow(leeboard):
    """400 000 points in a box around the section, one seed: within four standard deviations of the count."""
    bend, rng, count = leeboard.bend(), np.random.default_rng(7), 400_000
    width, half = bend.mouth_position, 0.5 * bend.mouth
    x, y = rng.uniform(0.0, width, count), rng.uniform(-half, half, count)
    face = parallel(bend, np.linspace(0.0, bend.free_length, 20001), inner(bend))
    between = np.abs(y) < np.interp(x, *face.T)
    rod = np.hypot(x - bend.spacer_position, y) < bend.spacer_radius
    contact = bend.spacer_position - bend.spacer_radius * np.sin(bend.contact_angle)
    made = volumes(leeboard, waste=0.0)
    for row, inside, depth in (
        ("potted nose", between & ~rod & (x > contact), 0.85),
        ("closing frame, root end", between & ~rod & (x <= contact), 0.015),
    ):
        share = np.mean(inside)
        volume = share * width * 2.0 * half * depth
        spread = np.sqrt(share * (1.0 - share) / count) * width * 2.0 * half * depth
        assert abs(made[row].volume - volume) < 4.0 * spread
        assert spread < 0.02 * volume  # sharp enough to tell the triangle rule from the truth


def test_areas_of_a_negative_setback_by_monte_carlo(leeboard):
    """The fairing beside a proud rod: between sheet end, mouth plane, rod and the line from corner to rod."""
    bend = leeboard.replace(setback=-3e-3).bend()
    radius, t, a = bend.spacer_radius, bend.sheet_thickness, bend.contact_angle
    inner_corner = np.array([radius + bend.setback, 0.5 * bend.mouth])
    outer = inner_corner + t * np.array([-np.sin(a), np.cos(a)])
    touch = np.arctan2(outer[1], outer[0]) - np.arccos(radius / np.hypot(*outer))
    normal = np.array([np.cos(touch), np.sin(touch)])
    rng, count = np.random.default_rng(3), 400_000
    low, high = np.array([outer[0] - 1e-4, 0.0]), np.array([radius, outer[1]])
    p = rng.uniform(low, high, (count, 2))
    ahead = np.where(p[:, 1] > inner_corner[1], (p - inner_corner) @ [np.cos(a), np.sin(a)], p[:, 0] - inner_corner[0])
    inside = (p @ normal < radius) & (np.hypot(*p.T) > radius) & (ahead > 0.0) & (np.arctan2(*p.T[::-1]) > touch)
    share = np.mean(inside)
    box = np.prod(high - low)
    spread = np.sqrt(share * (1.0 - share) / count) * box
    assert abs(edge_area(bend) - 2.0 * share * box) < 2.0 * 4.0 * spread
    assert spread < 0.02 * share * box


def test_edge_fill_behind_the_mouth_plane_in_plain_arithmetic(leeboard):
    """Two right triangles with legs t and t tan(angle); 2 mm and 3.5746 degrees give 4 x 0.062472 = 0.2499 mm2."""
    bend = leeboard.bend()
    assert edge_area(bend) == pytest.approx(0.2499e-6, rel=2e-4)  # four digits above


def test_nose_rounding_against_the_polygon(leeboard):
    for setback in SETBACKS:
        bend = leeboard.replace(setback=setback).bend()
        upper = nose(bend, 5e-3)
        cap = shoelace(np.vstack([upper, [[bend.mouth_position, 0.0]]]))
        half = np.arccos(min((bend.spacer_radius + setback) / bend.spacer_radius, 1.0))
        rod = bend.spacer_radius**2 * (half - np.sin(half) * np.cos(half))
        assert rounding_area(bend, 5e-3) == pytest.approx(2.0 * cap - rod, abs=POLYGON * 2 * length(upper))
    assert rounding_area(bend, 0.0) == 0.0


def test_half_round_nose_is_half_a_disc(leeboard):
    bend = leeboard.bend()
    assert rounding_area(bend, 0.5 * bend.mouth) == pytest.approx(np.pi * bend.mouth**2 / 8.0, rel=1e-12)


def test_bead_against_the_polygon_and_the_closed_form(leeboard):
    bend = leeboard.bend()
    for reach in (1e-3, 10e-3, 80e-3):
        face = parallel(bend, np.linspace(0.0, reach, 4001), inner(bend))
        upper = np.vstack([[[0.0, 0.0]], face, [[face[-1, 0], 0.0]]])
        chords = 2.0 * reach * (reach / 4000) ** 2 * bend.land_curvature / 12.0  # what 4000 straight pieces miss
        assert bead_area(bend, reach) == pytest.approx(2.0 * shoelace(upper), abs=chords + 1e-16)
    # a stick as thick as the rod leaves just the hollow: closed form of the elastica against Gauss's rule
    assert round_bead_area(bend, bend.spacer_radius) == pytest.approx(bend.void_area, rel=1e-10)


def test_round_bead_is_less_than_the_flat_one_to_its_contact(leeboard):
    bend = leeboard.bend()
    areas = [round_bead_area(bend, r) for r in (0.5e-3, 1e-3, 3e-3, 9e-3)]
    assert areas == sorted(areas) and areas[0] > 0.0


def test_fillets_in_plain_arithmetic():
    assert fillet_area(10e-3) == pytest.approx(100e-6 * (1.0 - np.pi / 4.0), rel=1e-12)
    assert fillet_area(0.0) == 0.0
    assert fillet_area(1.0, np.pi / 3) == pytest.approx(np.sqrt(3) - np.pi / 3, rel=1e-12)
    with pytest.raises(ValueError, match="between 0° and 180°"):
        fillet_area(1.0, np.pi)


def test_a_fillet_in_a_sharp_corner_is_the_polygon():
    """3 degrees: corner, both ends of the arc and the arc between them in 2000 chords (2e-7 of the sector missed)."""
    half = np.radians(1.5)
    turn = np.linspace(0.5 * np.pi + half, 1.5 * np.pi - half, 2001)  # about the centre, 1 / sin(half) from the corner
    arc = np.column_stack([1.0 / np.sin(half) + np.cos(turn), np.sin(turn)])
    assert fillet_area(1.0, 2.0 * half) == pytest.approx(shoelace(np.vstack([[[0.0, 0.0]], arc])), rel=1e-6)


def test_glue_line_squeeze_out_and_waste_in_plain_arithmetic(leeboard):
    """15 mm x 0.3 mm x 850 mm = 3825 mm3; 30 % of it pressed out; 15 % waste on both."""
    made = volumes(leeboard, waste=0.15, squeeze_out=0.3)
    assert made["glue line"].volume == pytest.approx(3.825e-6, rel=1e-12)
    assert made["squeeze-out"].volume == pytest.approx(1.1475e-6, rel=1e-12)
    assert made["glue line"].with_waste == pytest.approx(1.15 * 3.825e-6, rel=1e-12)
    assert made.total("adhesive") == pytest.approx(1.15 * 4.9725e-6, rel=1e-12)
    assert made.total("adhesive", with_waste=False) == pytest.approx(4.9725e-6, rel=1e-12)
    assert made.total("foam") == 0.0


def test_foam_is_the_hollow_between_the_frames_less_the_bead(leeboard):
    bend = leeboard.bend()
    made = volumes(leeboard, foam=True, bead_length=20e-3)
    assert made["foam"].volume == pytest.approx((bend.void_area - bead_area(bend, 20e-3)) * 0.82, rel=1e-12)


def test_all_volumes_together_fill_the_inside(leeboard):
    """Nose, frames, foam, bead between the frames, and rod make up the area between the faces times the span."""
    made, bend = volumes(leeboard, foam=True), leeboard.bend()
    bead = bead_area(bend, 10e-3) * 0.82
    parts = sum(made[n].volume for n in ("potted nose", "closing frame, root end", "closing frame, tip end", "foam"))
    rod = np.pi * bend.spacer_radius**2 * 0.85
    assert parts + bead + rod == pytest.approx(bend.enclosed_area * 0.85, rel=1e-12)


@pytest.mark.parametrize("ratio", np.linspace(0.03, 0.2, 6))
@pytest.mark.parametrize("setback", [0.0, 0.02])
def test_triangle_rule_is_too_much_by_a_fifth_to_three_quarters(ratio, setback):
    """Slender to strongly bent, thin to thick sheet: each of the three triangles, the truth from polygons."""
    for thickness, bond in ((1e-4, 0.0), (4e-3, 3e-4)):
        bend = solve_bend(0.25, thickness, 2 * 0.25 * ratio, bond, 0.25 * setback)
        rules = {rule.which: rule for rule in triangle_rules(bend)}
        assert list(rules) == ["to the mouth", "to the contact", "void without the rod"]
        slack = POLYGON * length(hollow(bend))
        assert rules["void without the rod"].true == pytest.approx(shoelace(hollow(bend)), abs=slack)
        # by sampling 100 shapes: to the mouth 1.22 to 1.33, to the contact 1.27 to 1.41, void 1.28 to 1.75
        assert 1.2 < rules["to the mouth"].ratio < 1.34 < 1.26 * rules["to the contact"].ratio
        assert rules["to the contact"].ratio < rules["void without the rod"].ratio < 1.75
    thin = triangle_rules(solve_bend(0.25, 1e-6, 0.002, 0.0, 0.0))
    assert thin[1].ratio == pytest.approx(4.0 / 3.0, rel=2e-2)  # small-angle limit, mechanics: 3/8 against 1/2


def test_scale(leeboard):
    """All lengths doubled: every area four, every volume eight times as large."""
    twice = leeboard.replace(
        **{
            name: 2 * getattr(leeboard, name)
            for name in (
                "sheet_thickness",
                "free_length",
                "land_length",
                "bond_line",
                "spacer_diameter",
                "setback",
                "span",
                "frame_width",
                "spacer_wall",
            )
        }
    )
    small, large = (
        volumes(leeboard, foam=True, fillet_radius=2e-3),
        volumes(twice, foam=True, fillet_radius=4e-3, bead_length=20e-3),
    )
    for one, other in zip(small.rows, large.rows, strict=True):
        if one.name == "seal bead":  # its legs stay
            continue
        assert other.volume == pytest.approx(8.0 * one.volume, rel=1e-9)


def test_taper_is_integrated_along_the_span(leeboard):
    """A blade that does not taper is the plain part; a straight land taper has the mean land; a tapered hollow lies
    between Simpson's and the ends, and agrees with a rule of 400 slices."""
    same = volumes(Blade(leeboard), foam=True)
    for one, other in zip(volumes(leeboard, foam=True).rows, same.rows, strict=True):
        assert other.volume == pytest.approx(one.volume, rel=1e-12)
    blade = Blade(leeboard, free_length=(0.225, 0.15), land_length=(0.02, 0.01))
    made = volumes(blade)
    assert made["glue line"].volume == pytest.approx(0.015 * 0.3e-3 * 0.85, rel=1e-12)
    places = (np.arange(400) + 0.5) / 400
    bends = solve_bend(0.225 - 0.075 * places, 2e-3, 18e-3, 0.3e-3, 3e-3)
    assert made["potted nose"].volume == pytest.approx(0.85 * np.mean(bends.front_area), rel=1e-5)  # midpoint, 400
    assert made["closing frame, root end"].volume > made["closing frame, tip end"].volume


def test_front_beyond_the_dams(leeboard):
    made = volumes(leeboard, dam_inset=0.03, front_in_frames=True)
    front = leeboard.bend().front_area
    assert made["front of the closing frame, tip end"].volume == pytest.approx(0.03 * front, rel=1e-12)
    assert made["potted nose"].volume == pytest.approx(0.79 * front, rel=1e-12)
    open_front = volumes(leeboard, dam_inset=0.03)
    assert any("left open for 30 mm" in note for note in open_front.notes)


def test_notes_on_wide_frames(leeboard):
    assert volumes(leeboard).notes == ()
    assert "is plenty (common practice" in volumes(leeboard.replace(frame_width=30e-3)).notes[0]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"dam_inset": -1e-3}, "dam inset is −1 mm"),
        ({"dam_inset": 0.5}, "leaves nothing of the span"),
        ({"squeeze_out": float("nan")}, "squeeze-out is nan"),
        ({"bead_length": 0.21}, "would reach the rod"),
        ({"waste": "much"}, "waste is 'much'"),
        ({"nose_rise": 0.05}, "half the mouth"),
    ],
)
def test_wrong_numbers_are_refused(leeboard, wrong, words):
    with pytest.raises(ValueError, match=words):
        volumes(leeboard, **wrong)


def test_unknown_row_names_those_there_are(leeboard):
    with pytest.raises(KeyError, match="there are potted nose"):
        volumes(leeboard)["nose"]


def test_no_bead_no_fillets_no_row(leeboard):
    names = [row.name for row in volumes(leeboard, bead_length=0.0, squeeze_out=0.0).rows]
    assert "hinge-line bead" not in names and "squeeze-out" not in names and "fillets at the frames" not in names
