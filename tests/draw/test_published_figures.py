"""Pictures of the published cases: dots lie on their lines, each source is named once."""

import numpy as np
import pytest

from panelmech import published
from panelmech.draw import describe_published, published_figure
from panelmech.published.curve import normal_end

PICTURES = {name: getattr(published, f"{name}_pictures") for name in ("curve", "plate", "buckling", "lift", "heat")}


@pytest.mark.parametrize("name", PICTURES)
def test_dots_lie_on_their_lines(name):
    """Within 1.5 % of the height of the picture: straight lines between stations, and what the sources round."""
    for picture in PICTURES[name]():
        high = np.ptp(np.concatenate([np.asarray(y, dtype=float) for _, _, y in picture.lines]))
        for line, spots in zip(picture.lines, picture.dots, strict=False):
            if spots:
                (_, x, y), (_, across, up) = line, spots
                steps = np.linspace(0, len(x) - 1, 4001)
                near = [np.interp(steps, np.arange(len(x)), np.asarray(v, dtype=float)) for v in (x, y)]
                wide = np.ptp(near[0])
                for a, u in zip(across, up, strict=True):
                    assert np.min(np.hypot((near[0] - a) / wide, (near[1] - u) / high)) < 0.015, (picture.title, a)


@pytest.mark.parametrize("name", ["curve", "lift"])
def test_every_line_is_drawn_and_each_source_named_once(name):
    pictures = PICTURES[name]()
    figure = published_figure(pictures)
    for ax, picture in zip(figure.axes, pictures, strict=True):
        assert len(ax.lines) == len(picture.lines) + sum(bool(spots) for spots in picture.dots)
        told = [text.get_text() for text in ax.get_legend().get_texts()]
        assert len(set(told)) == len(told) and {line[0] for line in picture.lines} <= set(told)
    words = describe_published(pictures)
    assert all(picture.title in words for picture in pictures)


@pytest.mark.parametrize("name", PICTURES)
def test_no_title_runs_out_of_the_figure_or_into_the_next_one(name):
    figure = published_figure(PICTURES[name]())
    figure.draw_without_rendering()
    titles = [ax._left_title.get_window_extent() for ax in figure.axes]
    ends = [*(ax.get_tightbbox().x0 for ax in figure.axes[1:]), figure.bbox.width]
    assert all(title.x1 < end and title.y1 < figure.bbox.height for title, end in zip(titles, ends, strict=True))


def test_shapes_of_the_sheet_end_where_the_closed_form_says():
    shapes = published.curve_pictures()[0]
    for (_, x, y), degrees in zip(shapes.lines, (15, 30, 45, 60, 75, 90), strict=True):
        _, across, up, _ = normal_end(np.radians(degrees))
        assert (x[0], y[0]) == pytest.approx((0.0, 0.0), abs=1e-12)
        assert (x[-1], y[-1]) == pytest.approx((across, up), rel=1e-9)
        assert np.degrees(np.arctan2(y[-1] - y[-2], x[-1] - x[-2])) == pytest.approx(degrees, abs=0.2)
        assert np.sum(np.hypot(np.diff(x), np.diff(y))) == pytest.approx(1.0, rel=1e-3)
