"""How a drawing lies on pages, by hand: A4 has a window of 177 x 244 mm upright and 264 x 157 mm across."""

from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.shop.paper import Tile, lay_out, of_sheets


def drawing(points, closed=True, holes=()):
    """A template of one line through points [mm], with holes."""
    points = np.array(points, dtype=float)
    every = np.vstack([points, np.array(holes, dtype=float).reshape(-1, 2)])
    return SimpleNamespace(
        name="drawing",
        box=(*(every.min(axis=0) * 1e-3), *(every.max(axis=0) * 1e-3)),
        paths=(SimpleNamespace(points=points * 1e-3, closed=closed),),
        holes=tuple(SimpleNamespace(x=x * 1e-3, y=y * 1e-3) for x, y in holes),
    )


def box(width, height):
    """A rectangle about the origin."""
    return drawing([(-0.5 * width, -0.5 * height), (0.5 * width, -0.5 * height),
                    (0.5 * width, 0.5 * height), (-0.5 * width, 0.5 * height)])  # fmt: skip


def labels(layout):
    return [tile.label for tile in layout.tiles]


def test_one_page_with_room_for_words_and_bars():
    """20 mm of edges, 13 mm of strip; 18 mm of head, 15 mm of foot. The drawing hangs 1 mm below the top."""
    wide, high = lay_out(box(100.0, 50.0)), lay_out(box(50.0, 100.0))
    assert (wide.width, wide.height) == (297.0, 210.0) and wide.window == (10.0, 25.0, 264.0, 157.0)
    assert (high.width, high.height) == (210.0, 297.0) and high.window == (10.0, 25.0, 177.0, 244.0)
    assert [(t.row, t.column, t.left, t.bottom) for t in wide.tiles] == [(0, 0, -132.0, 25.0 + 1.0 - 157.0)]
    assert wide.joins(wide.tiles[0]) == () and wide.overlap == 10.0
    assert wide.level_bar == (10.0, 16.0, 110.0, 16.0) and wide.upright_bar == (283.0, 25.0, 283.0, 125.0)


@pytest.mark.parametrize(
    ("size", "grid"),
    [
        ((262.0, 155.0), (1, 1)),
        ((262.01, 100.0), (2, 1)),
        ((516.0, 100.0), (2, 1)),  # two windows of 264 less 10 of overlap, less 2 around
        ((516.01, 100.0), (3, 1)),
        ((100.0, 476.0), (1, 2)),
        ((100.0, 476.01), (1, 3)),
    ],
)
def test_as_few_pages_as_cover_it(size, grid):
    layout = lay_out(box(*size))
    assert (layout.columns, layout.rows) == grid


def test_two_pages_side_by_side_and_their_join():
    """Two windows and their overlap are 518 mm; the middle of the overlap is the join, on both."""
    layout = lay_out(box(300.0, 50.0))
    first, second = layout.tiles
    assert (first.left, second.left) == (-259.0, -5.0) and first.bottom == second.bottom == 26.0 - 157.0
    assert layout.joins(first) == (("x", 0.0, "A2"),) and layout.joins(second) == (("x", 0.0, "A1"),)


@pytest.mark.parametrize(("height", "shift"), [(298.0, 12.0), (470.0, 3.0), (476.0, 0.0)])
def test_the_chord_line_keeps_off_the_join_where_there_is_room(height, shift):
    """Two windows of 244 mm and their overlap are 478 mm: half of what is left moves, 12 mm at most."""
    layout = lay_out(box(100.0, height))
    low, high = layout.tiles
    assert (low.bottom, high.bottom) == pytest.approx((-239.0 + shift, -5.0 + shift))
    for tile, other in ((low, "B1"), (high, "A1")):
        ((axis, place, label),) = layout.joins(tile)
        assert (axis, label) == ("y", other) and place == pytest.approx(shift)


def test_three_pages_above_each_other_stay_in_the_middle():
    layout = lay_out(box(100.0, 600.0))
    assert [t.bottom for t in layout.tiles] == pytest.approx([-356.0, -122.0, 112.0])
    assert [len(layout.joins(t)) for t in layout.tiles] == [1, 2, 1]


def test_pages_that_would_stay_empty_are_left_out():
    """An open corner, 500 x 280 mm, in windows across: two columns and two rows, one of them empty unless the corner is
    closed, or has a hole there."""
    corner = [(0.0, 140.0), (0.0, 0.0), (500.0, 0.0), (500.0, 280.0)]
    assert labels(lay_out(drawing(corner, closed=False))) == ["A1", "A2", "B2"]
    assert labels(lay_out(drawing(corner))) == ["A1", "A2", "B1", "B2"]
    assert labels(lay_out(drawing(corner, closed=False, holes=[(10.0, 270.0)]))) == ["A1", "A2", "B1", "B2"]


def test_what_lies_in_an_overlap_is_on_both_pages():
    """A line across 300 mm with a stroke up at 0: both pages have it."""
    row = [(-150.0, 0.0), (150.0, 0.0)]
    assert labels(lay_out(drawing(row, closed=False))) == ["A1", "A2"]
    short = lay_out(drawing([(-150.0, 0.0), (4.0, 0.0)], closed=False, holes=[(150.0, 0.0)]))
    assert labels(short) == ["A1", "A2"]


def test_a_plotters_page_is_as_large_as_it_must_be():
    """33 mm beside and 53 mm above and below; at least 215 x 112 mm for bars and words, in whole millimetres."""
    least, large = lay_out(box(100.0, 50.0), "one"), lay_out(box(300.2, 200.0), "one", room_below=40.0)
    assert (least.width, least.height) == (248.0, 165.0) and least.window[2:] == (215.0, 112.0)
    assert (large.width, large.height) == (336.0, 295.0) and labels(large) == ["A1"]
    assert lay_out(box(300.2, 200.0), "one").height == 255.0


@pytest.mark.parametrize(("fits", "too_large"), [((1965.0, 50.0), (1965.1, 50.0)), ((100.0, 1945.0), (100.0, 1945.1))])
def test_a_plotters_page_up_to_two_metres(fits, too_large):
    assert max(lay_out(box(*fits), "one").width, lay_out(box(*fits), "one").height) == 2000.0
    with pytest.raises(ValueError, match="at most 2000 mm is drawn: take A3, A4 or Letter"):
        lay_out(box(*too_large), "one")


def test_rows_have_letters_and_columns_numbers():
    names = {0: "A1", 25: "Z1", 26: "AA1", 51: "AZ1", 52: "BA1", 701: "ZZ1", 702: "AAA1"}
    assert {row: Tile(row, 0, 0.0, 0.0).label for row in names} == names
    assert Tile(2, 8, 0.0, 0.0).label == "C9"


def test_sheets_to_read_are_on_the_paper_of_the_country():
    assert [of_sheets(page) for page in ("A4", "A3", "one", "Letter")] == ["A4", "A4", "A4", "Letter"]
