"""Room reckoned from words is what matplotlib finds by laying out, and no text stands outside or on another's axes."""

import numpy as np
import pytest

from panelmech.draw import margins
from panelmech.draw.figures import INCH, STAMP_ROOM, figure, freeze
from panelmech.draw.margins import PAD, fit


def drawn(rows=1, columns=1, most=1.0, across=3.0, more=""):
    """Curves, named, with numbers up to `most`."""
    fig, axes = figure(150.0, 45.0 * rows, rows, columns, squeeze=False)
    x = np.linspace(0.0, across, 50)
    for i, ax in enumerate(axes.flat):
        ax.plot(x, most * (i + 1) * np.sin(x))
        ax.set_xlabel(f"along the span [mm]{more}")
        ax.set_ylabel("height [mm]")
        ax.set_title("Height", y=1.0)
    return fig, [list(row) for row in axes]


def places(fig):
    """Of each axes, left, foot, right and top [mm]."""
    return np.array([ax.get_position().extents * np.tile(fig.get_size_inches() * INCH, 2) for ax in fig.axes])


KINDS = [
    dict(),
    dict(most=12345.0),
    dict(most=1e-4, across=1000.0),
    dict(more="\nnot drawn"),
    dict(columns=2),
    dict(rows=2, columns=2),
]


@pytest.mark.parametrize("kind", KINDS)
def test_axes_stand_where_a_layout_puts_them(kind):
    laid_out = places(freeze(drawn(**kind)[0]))
    fig, rows = drawn(**kind)
    fit(fig, rows)
    # it measures letters on pixels, and leaves 2 % between axes besides
    assert places(fig) == pytest.approx(laid_out, abs=1.5)


@pytest.mark.parametrize("kind", KINDS)
def test_all_words_have_room(kind):
    fig, rows = drawn(**kind)
    fit(fig, rows)
    high = fig.bbox.height
    boxes = [ax.get_tightbbox() for ax in fig.axes]
    for box in boxes:
        assert box.x0 >= 0.0 and box.x1 <= fig.bbox.width and box.y1 <= high
        assert box.y0 >= STAMP_ROOM / INCH * fig.dpi
    for i, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[:i])


def test_names_stand_where_matplotlib_would_put_them(monkeypatch):
    def names():
        fig, ((ax,),) = drawn()
        fit(fig, [[ax]])
        fig.draw_without_rendering()
        return np.array([label.get_window_extent().get_points() for label in (ax.xaxis.label, ax.yaxis.label)])

    ours = names()
    monkeypatch.setattr(margins, "place_names", lambda ax: None)
    assert ours == pytest.approx(names(), abs=0.5 / INCH * 150.0)  # half a millimetre: it measures on pixels


def test_room_is_kept_at_the_head():
    tops = []
    for top in (0.0, 8.0):
        fig, rows = drawn()
        fit(fig, rows, top=top)
        tops.append(fig.axes[0].get_tightbbox().y1 / fig.dpi * INCH)
    assert tops[0] == pytest.approx(45.0 - PAD, abs=0.5)
    assert tops[0] - tops[1] == pytest.approx(8.0, abs=1e-6)


def test_heights_are_shared_out():
    fig, rows = drawn(rows=2)
    fit(fig, rows, (1.0, 3.0))
    first, second = (ax.get_position().height for ax in fig.axes)
    assert second == pytest.approx(3.0 * first)
