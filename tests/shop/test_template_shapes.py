"""Outlines of the templates: on the exact curves, clear by the clearance, closed, and the tables say the same."""

import itertools

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.blade.blade import Blade
from panelmech.mechanics.bend import solve_bend
from panelmech.shop.outlines import (
    TOLERANCE,
    arclength_at,
    front_pieces,
    height_at,
    hollow,
    inner,
    nose_radius,
    outer_outline,
    parallel,
    pieces,
    reaches_circle,
)
from panelmech.shop.templates import _outer_half, _stations, hole_places, room_at, templates, wall
from panelmech.units import FACTORS, lengths, show_lengths_in

TINY = dict(
    free_length=0.03,
    sheet_thickness=0.0004,
    spacer_diameter=0.003,
    setback=0.0005,
    land_length=0.003,
    span=0.05,
    frame_width=0.003,
    spacer_wall=0.0,
)
ROUNDING = 1e-11  # m: of the solver's contact, 1e-10 of lengths below a tenth of a metre


@pytest.fixture(scope="module")
def leeboard(root):
    from panelmech.study.design import Design

    return Design.load(root / "notebooks/studies/leeboard.json")


def made(design, **choices):
    return {template.key: template for template in templates(design, **choices)}


def cut(template, name=None):
    paths = [p for p in template.paths if p.kind == "cut" and (name is None or p.name == name)]
    return paths[-1].points


def area(points):
    x, y = points.T
    return 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def crosses_itself(points):
    """Whether any two edges of a closed chain that are not neighbours cross."""
    a, b = points, np.roll(points, -1, axis=0)

    def side(p, q, r):
        way, to = q - p, r - p
        return np.sign(way[..., 0] * to[..., 1] - way[..., 1] * to[..., 0])

    i, j = np.triu_indices(len(points), 2)
    keep = ~((i == 0) & (j == len(points) - 1))
    i, j = i[keep], j[keep]
    return bool(
        np.any(
            (side(a[i], b[i], a[j]) * side(a[i], b[i], b[j]) < 0)
            & (side(a[j], b[j], a[i]) * side(a[j], b[j], b[i]) < 0)
        )
    )


def distance_to_face(bend, points):
    """Distance of points of the upper half from the exact inner face, by search and a finer search."""
    s = np.linspace(0.0, bend.free_length, 40001)
    face = parallel(bend, s, inner(bend))
    out = []
    for point in points:
        d = np.hypot(*(face - point).T)
        k = int(np.clip(np.argmin(d), 1, len(s) - 2))
        fine = parallel(bend, np.linspace(s[k - 1], s[k + 1], 401), inner(bend))
        out.append(np.hypot(*(fine - point).T).min())
    return np.array(out)


def test_a_parallel_curve_keeps_its_distance(leeboard):
    """1 mm inside the inner face, measured as a distance, not by the formula that made it."""
    bend = leeboard.bend()
    points = parallel(bend, np.linspace(0.02, 0.2, 7), inner(bend, 1e-3))
    np.testing.assert_allclose(distance_to_face(bend, points), 1e-3, atol=1e-9)  # step 28 nm of the search


def test_a_curve_folds_beyond_the_tightest_radius(leeboard):
    """Seen at the land end, where it is: the parallel curve runs on up to there and turns back beyond."""
    bend = leeboard.bend()
    x = parallel(bend, np.array([0.0, 1e-6]), 0.999 / bend.land_curvature)[:, 0]
    assert x[1] > x[0]
    with pytest.raises(ValueError, match="folds: the tightest radius is"):
        parallel(bend, [0.0], 1.001 / bend.land_curvature)


def test_pieces_of_a_drawn_curve_stay_within_the_tolerance():
    for ratio in (0.03, 0.24):
        bend = solve_bend(0.3, 2e-3, 0.6 * ratio)
        s = pieces(bend, 0.0, bend.free_length, 1e-3)
        ends, middle = parallel(bend, s, 1e-3), parallel(bend, 0.5 * (s[1:] + s[:-1]), 1e-3)
        off = np.hypot(*(middle - 0.5 * (ends[1:] + ends[:-1])).T)
        assert off.max() < TOLERANCE * 1.001  # sagitta; equal at the tightest place to third order
        assert off.max() > 0.2 * TOLERANCE or len(s) < 30  # and no finer than need be


def test_places_on_the_curve_are_found_to_rounding(leeboard):
    bend = leeboard.bend()
    x = np.linspace(0.0, 0.22, 12)
    s = arclength_at(bend, x, inner(bend, 2e-3))
    np.testing.assert_allclose(parallel(bend, s, inner(bend, 2e-3))[:, 0], x, atol=1e-14)
    with pytest.raises(ValueError, match="off the curve"):
        arclength_at(bend, [0.3], 0.0)
    with pytest.raises(ValueError, match="folds"):
        parallel(bend, [0.0], 3.0)


@pytest.mark.parametrize("setback", [3e-3, 0.0, -3e-3])
@pytest.mark.parametrize("clearance", [0.0, 0.5e-3, 1e-3])
def test_inside_pieces_clear_faces_and_rod_by_the_clearance(leeboard, setback, clearance):
    bend = leeboard.replace(setback=setback).bend()
    centre = np.array([bend.spacer_position, 0.0])
    for piece in (hollow(bend, clearance), *front_pieces(bend, clearance)):
        assert not crosses_itself(piece)
        gap = np.hypot(*(piece - centre).T) - bend.spacer_radius
        assert gap.min() == pytest.approx(clearance, abs=ROUNDING)
        to_face = distance_to_face(bend, np.abs(piece[:: max(len(piece) // 25, 1)]))
        assert to_face.min() >= clearance - 1e-9
    assert front_pieces(bend, clearance)[0][:, 0].max() == pytest.approx(bend.mouth_position, abs=ROUNDING)


def test_without_clearance_the_pieces_are_the_exact_areas(leeboard):
    """Chords of 2 micrometres along 0.45 m and 0.07 m of outline: at most two thirds of that times the length."""
    for setback in (3e-3, 0.0, -3e-3):
        bend = leeboard.replace(setback=setback).bend()
        assert area(hollow(bend)) == pytest.approx(bend.void_area, abs=0.67 * TOLERANCE * 0.45)
        assert sum(map(area, front_pieces(bend))) == pytest.approx(bend.front_area, abs=0.67 * TOLERANCE * 0.07)


def test_the_rod_divides_the_front_where_it_reaches_the_mouth(leeboard):
    counts = [len(front_pieces(leeboard.replace(setback=e).bend(), 0.5e-3)) for e in (1e-3, 0.51e-3, 0.49e-3, -3e-3)]
    assert counts == [1, 1, 2, 2]
    upper, lower = front_pieces(leeboard.replace(setback=-3e-3).bend(), 0.5e-3)
    np.testing.assert_allclose(lower, upper[::-1] * [1, -1])


def test_what_the_clearance_eats_is_left_out_and_said(leeboard):
    keys = made(leeboard.replace(setback=-3e-3), clearance=2e-3)
    assert "end-dam" not in keys
    assert any("no end dam" in note for note in keys["outside-gauge"].notes)
    bare = made(leeboard.replace(**TINY), clearance=2e-3)
    assert "frame-dam" not in bare and next(iter(bare)) == "outside-gauge"
    assert any("no frame dam" in note for note in bare["outside-gauge"].notes)


def test_outer_outline_is_the_section_with_land_and_front(leeboard):
    """Area: sheets 2 t (land + L), bond line g x land, and what is between the faces."""
    bend = leeboard.bend()
    outline = outer_outline(bend, 0.015)
    whole = 2 * 0.002 * 0.24 + 0.3e-3 * 0.015 + bend.enclosed_area
    assert area(outline) == pytest.approx(whole, abs=0.67 * TOLERANCE * 0.5)
    assert outline[:, 0].min() == -0.015 and not crosses_itself(outline)
    assert 2 * outline[:, 1].max() == pytest.approx(bend.outer_thickness, abs=1e-15)


def test_a_proud_rod_stands_out_of_the_outer_outline(leeboard):
    bend = leeboard.replace(setback=-3e-3).bend()
    outline = outer_outline(bend, 0.015)
    assert outline[:, 0].max() == pytest.approx(bend.free_chord, abs=1e-15)
    assert not crosses_itself(outline)


@pytest.mark.parametrize("setback", [3e-3, 0.0, -3e-3])
def test_rounded_nose(leeboard, setback):
    """The arc goes through both corners of the mouth and reaches as far beyond it as asked."""
    design = leeboard.replace(setback=setback)
    bend, gauge = design.bend(), made(design, nose_rise=4e-3)["nose-gauge"]
    points = cut(gauge)
    half, rise, radius = 0.5 * bend.mouth, 4e-3, nose_radius(bend, 4e-3)
    assert radius == pytest.approx((half**2 + rise**2) / (2 * rise), rel=1e-14)
    ahead = points[(points[:, 0] > bend.mouth_position + 1e-9) & (np.abs(points[:, 1]) < half)]
    centre = bend.mouth_position + rise - radius
    np.testing.assert_allclose(np.hypot(ahead[:, 0] - centre, ahead[:, 1]), radius, rtol=1e-12)
    assert ahead[:, 0].max() == pytest.approx(bend.mouth_position + rise, abs=1e-14)
    assert not crosses_itself(points)


@pytest.mark.parametrize(("rise", "setback"), [(-1e-3, 3e-3), (0.02, 3e-3), (2e-3, -3e-3), (float("nan"), 0.0)])
def test_a_nose_that_cannot_be_is_refused(leeboard, rise, setback):
    with pytest.raises(ValueError, match="nose rise"):
        templates(leeboard.replace(setback=setback), nose_rise=rise)


def test_bevel_in_plain_arithmetic(leeboard):
    """4.3 mm thick, 3 mm left, 7.5 mm long: atan(0.65/7.5) = 4.953 degrees on each side."""
    gauge = made(leeboard)["bevel-gauge"]
    assert "5.0 degrees" in gauge.notes[0]
    np.testing.assert_allclose(gauge.table.values, [[0.0, 1.5e-3], [7.5e-3, 2.15e-3], [15e-3, 2.15e-3]], atol=1e-15)
    assert gauge.box == pytest.approx((-23e-3, -10.15e-3, 0.0, 10.15e-3), abs=1e-15)  # 8 mm of plate around it
    points = cut(gauge)
    assert np.any(np.all(np.isclose(points, [-0.015, 1.5e-3], atol=1e-12), axis=1))
    assert not crosses_itself(points)
    square = made(leeboard, edge_thickness=4.3e-3)["bevel-gauge"]
    assert "no bevel" in square.notes[0]
    with pytest.raises(ValueError, match="cut through to the bond line"):
        templates(leeboard, edge_thickness=0.3e-3)
    with pytest.raises(ValueError, match="up to 15 mm; the land is no longer"):
        templates(leeboard, bevel_length=16e-3)


def test_tables_say_what_is_drawn(leeboard):
    """Each row on the outline as drawn: between two points of it, within the drawing's tolerance."""
    for setback, rise in ((3e-3, 0.0), (3e-3, 4e-3), (-3e-3, 0.0)):
        keys = made(leeboard.replace(setback=setback), nose_rise=rise)
        for key, name in (("frame-dam", None), ("outside-gauge", "outer outline"), ("nose-gauge", None)):
            outline, table = cut(keys[key], name), keys[key].table.values
            for x, half in table[:, :2] - [0.015, 0.0]:
                upper = outline[outline[:, 1] >= -1e-12]
                start, end = upper, np.roll(upper, -1, axis=0)
                share = np.clip(
                    np.sum(([x, half] - start) * (end - start), axis=1)
                    / np.maximum(np.sum((end - start) ** 2, axis=1), 1e-30),
                    0,
                    1,
                )
                near = np.hypot(*(start + share[:, None] * (end - start) - [x, half]).T).min()
                assert near < TOLERANCE * 1.01, (key, x, half)


@pytest.mark.parametrize(
    ("unit", "steps"),
    [("mm", (1, 2, 5, 10, 20, 50, 100, 200, 500)), ("inch", (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 5, 10, 20))],
)
def test_rows_of_a_table_stand_at_the_marks_of_a_rule(unit, steps):
    """Of a length of just twenty steps all of a table's rows are at them; a little more takes the next wider step, but
    for the widest. A nose gauge asks for no more than eight."""
    size, was = FACTORS["mm" if unit == "mm" else "in"], lengths()
    try:
        show_lengths_in(unit)
        for step, wider in itertools.pairwise((*steps, steps[-1])):
            rows = _stations(0.0, 19.999 * step * size, 0.0) / size
            assert rows[:-1] == pytest.approx(step * np.arange(20), rel=1e-12)
            assert _stations(0.0, 20.5 * step * size, 0.0)[1] == pytest.approx(wider * size, rel=1e-12)
        assert len(_stations(0.0, 7.999 * steps[3] * size, 0.0, least=0.4)) == 9
        assert len(_stations(0.0, 8.5 * steps[3] * size, 0.0, least=0.4)) < 9
    finally:
        show_lengths_in(was)


def test_the_square_cut_end_is_straight_between_its_corners():
    bend = solve_bend(0.1, 3e-3, 0.024)
    (x0, y0), t = (bend.mouth_position, 0.5 * bend.mouth), 3e-3
    x1, y1 = x0 - t * np.sin(bend.contact_angle), y0 + t * np.cos(bend.contact_angle)
    share = np.array([0.0, 0.25, 0.5, 0.99])
    found = _outer_half(bend, x0 + share * (x1 - x0), 0.0)
    assert found == pytest.approx(y0 + share * (y1 - y0), rel=1e-12)


def test_table_of_the_frame_in_plain_arithmetic(leeboard):
    """Half-thickness at 200 mm from the trailing edge, by the exact bend's own outline: clearance along the normal."""
    bend = leeboard.bend()
    table = made(leeboard)["frame-dam"].table
    row = table.values[np.argmin(np.abs(table.values[:, 0] - 0.2))]
    assert row[0] == pytest.approx(0.2, abs=1e-15)
    s = reaches_circle(bend, -0.0015, 0.0095)
    s = np.linspace(0.1, s, 200001)
    x, y = bend.outline(s)
    a = bend.tangent_angle(s)
    assert row[1] == pytest.approx(np.interp(0.185, x + 0.0015 * np.sin(a), y - 0.0015 * np.cos(a)), abs=1e-10)
    assert height_at(bend, 0.185, -0.0015)[0] == pytest.approx(row[1], abs=1e-15)
    assert table.columns == ("from trailing edge", "half-thickness", "rod half-width")
    assert np.all(np.diff(table.values[:, 0]) > 0.0)


def test_holes_leave_a_wall_and_lie_on_the_chord_line(leeboard):
    keys = made(leeboard)
    bend = leeboard.bend()
    assert [h.name for h in keys["drilling-high-end"].holes] == ["fill", "vent"]
    assert [h.name for h in keys["drilling-low-end"].holes] == ["drain"]
    assert [t.count for key, t in keys.items() if key.startswith("drilling")] == [1, 1]
    for template in (keys["drilling-high-end"], keys["drilling-low-end"]):
        front = bend.spacer_position - bend.spacer_radius
        for hole in template.holes:
            assert hole.y == 0.0
            assert front - (hole.x + hole.diameter / 2) >= wall(hole.diameter) - 1e-12
            assert room_at(bend, hole.x) >= hole.diameter / 2 + wall(hole.diameter)
            front = hole.x - hole.diameter / 2


def test_holes_asked_for_are_made_or_refused(leeboard):
    holes = made(leeboard, hole_diameters={"vent": 3e-3})["drilling-high-end"].holes
    assert [h.diameter for h in holes] == [6e-3, 3e-3]
    with pytest.raises(ValueError, match="drain hole of 20 mm does not fit .* largest drill that fits is 6 mm"):
        templates(leeboard, hole_diameters={"drain": 20e-3})
    with pytest.raises(ValueError, match="name of a hole is 'plug'"):
        templates(leeboard, hole_diameters={"plug": 5e-3})
    with pytest.raises(ValueError, match="none fits"):
        hole_places(leeboard.replace(**TINY).bend(), {"vent": 4e-3})


def test_no_room_for_holes_is_said(leeboard):
    keys = made(leeboard.replace(**TINY))
    assert not [key for key in keys if key.startswith("drilling")]
    assert sum("no drilling marks" in note for note in keys["outside-gauge"].notes) == 2


def test_scale(leeboard):
    """All lengths doubled: every cut outline twice as large (points sit elsewhere, so area and box are compared)."""
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
    small, large = made(leeboard), made(twice, clearance=1e-3, margin=16e-3, edge_thickness=6e-3)
    for key in ("end-dam", "frame-dam", "outside-gauge", "nose-gauge", "bevel-gauge"):
        one, other = cut(small[key]), cut(large[key])
        assert area(other) == pytest.approx(4 * area(one), abs=4 * TOLERANCE * 0.6)
        np.testing.assert_allclose(np.ptp(other, axis=0), 2 * np.ptp(one, axis=0), atol=1e-9)


@pytest.mark.slow
@by_day("tries", [12, 60], 12)
def test_many_shapes(leeboard, tries):
    """Drawn at random, slender to strongly bent, thin to thick, rod proud to deep: no outline crosses itself, the
    areas are the closed forms within the drawing's tolerance (0.39 of the bound was the worst of 400)."""
    rng, made_count = np.random.default_rng(5), 0
    for _ in range(tries):
        length = 10 ** rng.uniform(-2.0, 0.5)
        radius = length * 10 ** rng.uniform(-2.0, -0.6)
        try:
            design = leeboard.replace(
                free_length=length,
                spacer_diameter=2 * radius,
                setback=radius * rng.uniform(-1, 1),
                spacer_wall=0.0,
                sheet_thickness=max(length * 10 ** rng.uniform(-3.3, -1.6), 5e-5),
                span=max(length, 0.05),
                land_length=max(0.05 * length, 1e-3),
                frame_width=3e-3,
            )
            bend = design.bend()
        except ValueError:  # cannot be bent, or thicker than a design allows
            continue
        made_count += 1
        slack = 0.67 * TOLERANCE * (2.5 * length + 10 * radius)
        assert area(hollow(bend)) == pytest.approx(bend.void_area, abs=slack)
        assert sum(map(area, front_pieces(bend))) == pytest.approx(bend.front_area, abs=slack)
        for template in templates(design, clearance=radius * rng.uniform(0.0, 0.1), margin=max(0.03 * length, 1e-3)):
            for path in (p for p in template.paths if p.kind == "cut" and len(p.points) < 400):
                assert not crosses_itself(path.points), (template.key, design)
    assert made_count > 0.75 * tries


def test_both_ends_of_a_tapered_part(leeboard):
    blade = Blade(leeboard, free_length=(0.225, 0.15))
    keys = {t.key: t for t in templates(blade)}
    assert {"end-dam-root", "end-dam-tip", "frame-dam-tip", "drilling-high-end-root"} <= set(keys)
    assert "drilling-low-end-tip" in keys
    assert "drilling-low-end-root" not in keys and keys["end-dam-tip"].count == 1
    tip = made(blade.design_at(0.85))["frame-dam"]
    np.testing.assert_array_equal(cut(keys["frame-dam-tip"]), cut(tip))
    assert keys["frame-dam-root"].name.endswith("root end")


def test_every_template_says_whose_it_is_and_which_side_of_the_line(leeboard):
    for template in templates(leeboard):
        assert template.part == "Leeboard" and leeboard.input_hash() in template.stamp
        assert template.line and template.count >= 1 and template.notes
        assert len(template.table.values) and len(template.table.columns) == template.table.values.shape[1]


@pytest.mark.parametrize(
    "wrong", [{"clearance": -1e-3}, {"clearance": float("inf")}, {"margin": 0.5e-3}, {"hole_diameters": {"vent": 0.0}}]
)
def test_wrong_numbers_are_refused(leeboard, wrong):
    with pytest.raises(ValueError, match="give|at least"):
        templates(leeboard, **wrong)
