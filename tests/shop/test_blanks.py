"""Blanks and their layout: lengths in plain arithmetic, mirror images, grain, nothing overlaps, nothing is lost."""

import numpy as np
import pytest

from panelmech.blade.blade import Blade, Table
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure
from panelmech.draw.shop_figures import plot_blank, plot_nesting
from panelmech.materials.stock import catalogue
from panelmech.shop.blanks import FlatLine, blanks, grain_of
from panelmech.shop.nesting import _choices, _largest_empty, nest

EXACT = 1e-12


@pytest.fixture(scope="module")
def leeboard(root):
    from panelmech.study.design import Design

    return Design.load(root / "notebooks/studies/leeboard.json")


@pytest.fixture(scope="module")
def pair(leeboard):
    return blanks(leeboard)


def area(points):
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def inside(points, polygon):
    """Which points lie inside a convex anticlockwise polygon."""
    edge = np.roll(polygon, -1, axis=0) - polygon
    to = points[:, None, :] - polygon
    return np.all(edge[:, 0] * to[..., 1] - edge[:, 1] * to[..., 0] > 1e-9, axis=1)


def test_developed_length_is_land_and_free_length(pair, leeboard):
    """15 + 225 mm, span 850 mm: 0.204 m2, and 0.204 x 2 mm x 1825 kg/m3 = 0.7446 kg each."""
    for blank in pair:
        assert blank.developed == pytest.approx((0.24, 0.24), abs=EXACT)
        assert np.ptp(blank.outline, axis=0) == pytest.approx([0.24, 0.85], abs=EXACT)
        assert blank.area == pytest.approx(0.204, abs=EXACT)
        assert blank.mass == pytest.approx(0.7446, rel=1e-12)


def test_lines_on_the_flat_sheet(pair, leeboard):
    bend, upper = leeboard.bend(), pair.pair[0]
    places = {line.name: line.from_trailing_edge[0] for line in upper.lines}
    assert places["land line"] == pytest.approx(0.015, abs=EXACT)
    assert places["rod line"] == pytest.approx(0.015 + bend.contact_arclength, abs=EXACT)
    assert places["front edge"] - places["rod line"] == pytest.approx(bend.overhang, abs=1e-11)  # solver's residual
    assert places["land line"] < places["back of the rod"] < places["rod line"]
    # the back of the rod stands square below that place of the inner face
    s = places["back of the rod"] - 0.015
    x = bend.outline(np.array([s]))[0][0] + 0.001 * np.sin(bend.tangent_angle(s))
    assert x == pytest.approx(bend.spacer_position - 0.009, abs=1e-11)
    assert upper.line("frame line, root end").from_root == pytest.approx(0.015, abs=EXACT)
    assert upper.line("frame line, tip end").from_root == pytest.approx(0.835, abs=EXACT)
    with pytest.raises(KeyError, match="there are trailing edge"):
        upper.line("spacer")


def test_the_two_hands_are_mirror_images(leeboard):
    upper, lower = blanks(Blade(leeboard, free_length=(0.225, 0.15)), trim_front=2e-3, trim_ends=5e-3).pair
    flipped = lower.outline[::-1] * [1.0, -1.0] + [0.0, 0.85]
    assert (upper.hand, lower.hand) == ("upper", "lower")
    np.testing.assert_allclose(flipped, upper.outline, atol=EXACT)
    assert area(upper.outline) == pytest.approx(area(lower.outline), rel=1e-12) and area(upper.outline) > 0.0
    assert lower.line("rod line").from_trailing_edge == upper.line("rod line").from_trailing_edge
    np.testing.assert_allclose(lower.match_marks[:, :, 1], 0.85 - upper.match_marks[:, :, 1], atol=EXACT)


def test_trim_is_added_all_round(leeboard):
    blank = blanks(leeboard, trim_front=3e-3, trim_back=2e-3, trim_ends=5e-3).pair[0]
    assert np.ptp(blank.outline, axis=0) == pytest.approx([0.245, 0.86], abs=EXACT)
    assert blank.cut_length == pytest.approx((0.245, 0.245), abs=EXACT)
    assert np.ptp(blank.finished, axis=0) == pytest.approx([0.24, 0.85], abs=EXACT)
    assert blank.mass == pytest.approx(0.7446, rel=1e-12)  # of the finished blank
    assert blank.line("land line").from_trailing_edge == pytest.approx((0.015, 0.015), abs=EXACT)


@pytest.mark.parametrize("straight", ["trailing edge", "leading edge", "rod"])
def test_a_taper_keeps_its_straight_line(leeboard, straight):
    blade = Blade(leeboard, free_length=(0.225, 0.15), straight=straight)
    upper = blanks(blade).pair[0]
    name = {"leading edge": "front edge", "rod": "rod line"}.get(straight, straight)
    assert np.ptp(upper.line(name).points[:, 0]) < EXACT
    assert upper.developed == pytest.approx((0.24, 0.165), abs=EXACT)
    # a straight taper: mean width times span, whatever line is straight (between stations all is straight)
    assert area(upper.finished) == pytest.approx(0.5 * (0.24 + 0.165) * 0.85, rel=1e-12)
    bend = blade.design_at(0.85).bend()
    assert upper.line("rod line").from_trailing_edge[1] == pytest.approx(0.015 + bend.contact_arclength, abs=EXACT)


def test_a_part_that_widens_counts_from_its_trailing_edge_at_the_root(leeboard):
    """165 mm at the root end, 240 mm at the tip, front edge straight: the trailing edge runs back by 75 mm."""
    upper = blanks(Blade(leeboard, free_length=(0.15, 0.225), straight="leading edge"), trim_front=2e-3).pair[0]
    for outline, front in ((upper.finished, 0.165), (upper.outline, 0.167)):
        corners = outline[np.isin(outline[:, 1], (0.0, 0.85))]
        np.testing.assert_allclose(corners, [[0, 0], [front, 0], [front, 0.85], [-0.075, 0.85]], atol=EXACT)
    np.testing.assert_allclose(upper.match_marks[:, 0], [[-0.25 * 0.075, 0.2125], [-0.75 * 0.075, 0.6375]], atol=EXACT)


def test_a_line_runs_from_step_to_step():
    line = FlatLine("rod line", np.zeros((6, 2)), (1.0, 6.0), np.nan, ((2.0, 3.0), (4.0, 5.0)))
    assert line.runs == ((1.0, 2.0), (3.0, 4.0), (5.0, 6.0))


def test_a_taper_says_whether_flat_sheets_take_it(leeboard):
    easy = blanks(Blade(leeboard, free_length=(0.225, 0.15))).notes[-1]
    hard = blanks(Blade(leeboard, free_length=(0.225, 0.1), spacer_diameter=(0.05, 0.005))).notes[-1]
    assert "the line that is straight, the rod" in easy and ": negligible (our own scale" in easy
    assert ": matters (" in hard or ": small (" in hard
    assert "; stretch or shortening to fit one flat sheet: at most about " in easy and "is called" not in easy
    assert not any("straight" in note for note in blanks(leeboard).notes)


def test_wedge_cut_with_trim_runs_on_straight(leeboard):
    blade = Blade(leeboard, free_length=(0.225, 0.15), straight="trailing edge")
    outline = blanks(blade, trim_ends=0.017).pair[0].outline
    slope = -0.075 / 0.85
    assert outline[:, 0].max() == pytest.approx(0.24 - 0.017 * slope, abs=EXACT)


def test_blanks_refuse_what_they_cannot_do(leeboard):
    with pytest.raises(ValueError, match="trim_front is −1 mm"):
        blanks(leeboard, trim_front=-1e-3)
    stepped = Blade(leeboard, free_length=Table((0.0, 0.4), (0.225, 0.2), stepped=True))
    with pytest.raises(ValueError, match="one flat piece from the root end to the tip"):
        blanks(stepped)


@pytest.mark.parametrize(
    ("name", "grain"),
    [
        ("glass-epoxy laminate, lengthwise", "chord"),
        ("glass-epoxy laminate, crosswise", "span"),
        ("birch plywood, face grain along chord", "chord"),
        ("birch plywood, face grain along span", "span"),
    ],
)
def test_grain_from_the_words_of_the_sheet(name, grain):
    assert grain_of(catalogue[name]) == grain


def test_every_sheet_of_the_catalogue_has_a_readable_grain():
    assert {grain_of(sheet) for sheet in catalogue.sheets.values()} == {"chord", "span", "none"}


def test_grain_that_cannot_be_read_is_asked_for(leeboard):
    from dataclasses import replace

    odd = replace(leeboard.sheet, grain="as it comes")
    with pytest.raises(ValueError, match='give grain="chord"'):
        grain_of(odd)
    assert grain_of(odd, "span") == "span"
    with pytest.raises(ValueError, match="one of chord, span, none"):
        grain_of(odd, "north")


def check_layout(nesting):
    """All on the sheet inside its trim, no two nearer than the kerf (straight-edged pieces), areas add up."""
    low = nesting.edge_trim - 1e-9
    for p in nesting.placed:
        left, bottom, right, top = p.box
        assert left >= low and bottom >= low
        assert right <= nesting.stock_length - low and top <= nesting.stock_width - low
        assert abs(area(p.outline)) == pytest.approx(p.blank.area, rel=1e-9)
        np.testing.assert_allclose(p.on_sheet(p.blank.outline), p.outline, atol=EXACT)
        assert np.linalg.det(p.turn) == pytest.approx(1.0 if p.face == "up" else -1.0)
    for i, one in enumerate(nesting.placed):
        for other in nesting.placed[i + 1 :]:
            if one.sheet == other.sheet:
                gap = max(
                    one.box[0] - other.box[2],
                    other.box[0] - one.box[2],
                    one.box[1] - other.box[3],
                    other.box[1] - one.box[3],
                )
                assert gap >= nesting.kerf - 1e-9
    total = sum(p.blank.area for p in nesting.placed)
    assert nesting.blank_area == pytest.approx(total, rel=1e-12)
    stock = nesting.sheets * nesting.stock_length * nesting.stock_width
    assert nesting.offcut_area == pytest.approx(stock - total, rel=1e-12)
    assert nesting.offcut_share == pytest.approx(1.0 - total / stock, rel=1e-9)


def test_one_pair_on_one_sheet_in_plain_arithmetic(pair):
    """Side by side along the sheet: 2 x 240 + 3 = 483 mm; what is left right of it is 1180 - 483 - 3 = 694 x 980."""
    made = nest(pair, 1.2, 1.0, 3e-3, edge_trim=0.01)
    check_layout(made)
    assert made.sheets == 1 and made.notes == ()
    assert made.offcut_share == pytest.approx(1.0 - 2 * 0.204 / 1.2, rel=1e-12)
    assert made.largest_offcut == pytest.approx((0, 0.496, 0.01, 1.19, 0.99), abs=1e-9)


def test_grain_is_obeyed_even_where_it_costs_a_sheet(leeboard, pair):
    """Grain along the chord and along the sheet: 483 x 850 does not fit on 500 x 800, though turned it would."""
    with pytest.raises(ValueError, match="both sheets side by side: needs 483 mm x 850 mm"):
        nest(pair, 0.8, 0.6, 3e-3)
    either = nest(blanks(leeboard, grain="none"), 0.9, 0.5, 3e-3)
    check_layout(either)
    across = nest(pair, 0.9, 0.5, 3e-3, stock_grain="width")
    check_layout(across)
    for made in (either, across):
        box = made.placed[0].box
        assert box[2] - box[0] == pytest.approx(0.85, abs=EXACT)
    with pytest.raises(ValueError, match="grain along the chord"):
        nest(pair, 0.9, 0.5, 3e-3)


def test_a_pair_may_be_split_only_when_asked(pair):
    with pytest.raises(ValueError, match='let the two lie apart, without "blanks of the pair side by side"'):
        nest(pair, 0.4, 0.9, 3e-3)
    made = nest(pair, 0.4, 0.9, 3e-3, keep_pairs=False)
    check_layout(made)
    assert made.sheets == 2
    with pytest.raises(ValueError, match="both sheets side by side.*take a larger sheet, or turn the grain$"):
        nest(pair, 0.4, 0.8, 3e-3)  # apart they would not fit either, so that is not advised
    with pytest.raises(ValueError, match="Leeboard, upper sheet: needs 240 mm x 850 mm"):
        nest(pair, 0.4, 0.8, 3e-3, keep_pairs=False)


def test_several_parts_fill_shelves_and_sheets(leeboard, pair):
    small = blanks(leeboard.replace(span=0.3, title="Rudder"))
    made = nest([pair, pair, small, small], 1.22, 1.22, 3e-3, edge_trim=5e-3)
    check_layout(made)
    assert len(made.placed) == 8 and made.sheets == 1  # 850 + 300 + 3 mm deep, 2 x 483 + 3 long
    for part in (pair, small):
        for one in (p for p in made.placed if p.blank is part.pair[0]):
            mates = [p for p in made.placed if p.blank is part.pair[1] and p.sheet == one.sheet]
            assert any(
                min(abs(m.box[0] - one.box[2]), abs(m.box[1] - one.box[3])) == pytest.approx(3e-3, abs=1e-9)
                for m in mates
            )
    assert nest([pair] * 5, 1.22, 1.22, 3e-3).sheets == 3  # two pairs on a sheet
    check_layout(nest([pair] * 5, 1.22, 1.22, 3e-3))


def test_head_to_tail_saves_length_and_lays_one_face_down(leeboard):
    """Wedge-cut 240 to 165 mm: 240 + 165 + kerf along the slope = 408.01 mm in place of 483, whatever is cut off the
    ends later."""
    wedge, turned = (0.225, 0.15), (0.15, 0.225)
    for lengths, straight, trim in (
        (wedge, "trailing edge", 0.0),
        (wedge, "leading edge", 0.0),
        (turned, "trailing edge", 0.02),
    ):
        pair = blanks(Blade(leeboard, free_length=lengths, straight=straight), trim_ends=trim)
        made = nest(pair, 1.2, 1.0, 3e-3, head_to_tail=True)
        boxes = np.array([p.box for p in made.placed])
        reach = boxes[:, 2].max() - boxes[:, 0].min()
        assert reach == pytest.approx(0.405 + 3e-3 * np.hypot(1.0, 0.075 / 0.85), abs=1e-9)
        assert sorted(p.face for p in made.placed) == ["down", "up"]
        assert "lies face down" in made.notes[0]
        one, other = made.placed[0].outline, made.placed[1].outline
        other = other if area(other) > 0 else other[::-1]
        dense = np.concatenate([np.linspace(a, b, 50) for a, b in zip(one, np.roll(one, -1, axis=0), strict=True)])
        assert not inside(dense, other).any()
        nearest = min(np.min(distance(other, point)) for point in dense)
        assert nearest == pytest.approx(3e-3, abs=1e-9)
    plain = nest(blanks(leeboard), 1.2, 1.0, 3e-3, head_to_tail=True)
    assert all(p.face == "up" for p in plain.placed)  # nothing to gain without a taper


def distance(polygon, point):
    """Distances of a point from the edges of a polygon."""
    start, end = polygon, np.roll(polygon, -1, axis=0)
    along = np.clip(np.sum((point - start) * (end - start), axis=1) / np.sum((end - start) ** 2, axis=1), 0.0, 1.0)
    return np.hypot(*(start + along[:, None] * (end - start) - point).T)


def test_largest_offcut_is_clear_of_every_blank(leeboard):
    parts = [blanks(leeboard.replace(span=s, title=f"Part {s}")) for s in (0.3, 0.5, 0.7)]
    made = nest(parts, 1.5, 1.3, 4e-3, edge_trim=8e-3)
    check_layout(made)
    sheet, left, bottom, right, top = made.largest_offcut
    for p in (p for p in made.placed if p.sheet == sheet):
        gap = max(p.box[0] - right, left - p.box[2], p.box[1] - top, bottom - p.box[3])
        assert gap >= 4e-3 - 1e-9
    assert (right - left) * (top - bottom) > 0.2 * 1.5 * 1.3


def test_the_largest_rectangle_beside_two_boxes():
    """1 x 0.6 m with a box of 0.3 x 0.1 in a corner and one in the middle: 0.5 x 0.5 to the left of it; with a kerf of
    2 cm, 0.48 x 0.48. The same with the sheet turned, and with 5 cm more all round that are cut off."""
    corner, middle = (0.0, 0.5, 0.3, 0.6), (0.5, 0.2, 0.6, 0.4)
    assert _largest_empty([corner, middle], 1.0, 0.6, 0.0, 0.0) == pytest.approx((0.0, 0.0, 0.5, 0.5))
    assert _largest_empty([corner, middle], 1.0, 0.6, 0.02, 0.0) == pytest.approx((0.0, 0.0, 0.48, 0.48))
    turned = [(y0, x0, y1, x1) for x0, y0, x1, y1 in (corner, middle)]
    assert _largest_empty(turned, 0.6, 1.0, 0.0, 0.0) == pytest.approx((0.0, 0.0, 0.5, 0.5))
    moved = [tuple(v + 0.05 for v in box) for box in (corner, middle)]
    assert _largest_empty(moved, 1.1, 0.7, 0.0, 0.05) == pytest.approx((0.05, 0.05, 0.55, 0.55))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"kerf": -1e-3}, "kerf is −1 mm"),
        ({"stock_length": 0.0}, "stock length is 0 mm"),
        ({"stock_width": float("nan")}, "stock width is nan"),
        ({"edge_trim": 0.6}, "leaves nothing"),
        ({"edge_trim": 0.599}, "needs 483 mm x 850 mm .* has 2 mm x 2 mm"),
        ({"stock_grain": "up"}, "give one of length, width"),
        ({"parts": []}, "give the blanks"),
    ],
)
def test_nest_refuses_wrong_input(pair, wrong, words):
    given = {"parts": pair, "stock_length": 1.2, "stock_width": 1.2, "kerf": 3e-3} | wrong
    with pytest.raises(ValueError, match=words):
        nest(**given)


def test_up_to_three_blocks_are_laid_in_every_mixture():
    assert len(_choices([(1, 2)] * 3)) == 8 and _choices([(1, 2), (1, 2), (1,), (1, 2)]) == [(1, 1, 1, 1), (2, 2, 1, 2)]


def test_different_sheets_are_not_mixed(leeboard, pair):
    thick = blanks(leeboard.replace(sheet_thickness=3e-3))
    with pytest.raises(ValueError, match="come from different sheets"):
        nest([pair, thick], 2.0, 1.2, 3e-3)


def test_drawings_hold_what_they_should(leeboard):
    pair = blanks(Blade(leeboard, free_length=(0.225, 0.15)), trim_front=5e-3)
    fig, ax = figure(170, 150)
    assert plot_blank(ax, pair.pair[0]) is ax
    text = figure_digest(fig)
    assert "rod line 227.4 root, 152.1 tip" in text and "frame line 15.0" in text and "grain" in text
    made = nest(pair, 1.2, 1.0, 3e-3, head_to_tail=True)
    fig, ax = figure(170, 150)
    assert plot_nesting(ax, made) is ax
    assert "lower, face down" in figure_digest(fig) and "Sheet 1 of 1" in ax.get_title(loc="left")
    with pytest.raises(ValueError, match="sheet 1 is not there"):
        plot_nesting(ax, made, 1)
