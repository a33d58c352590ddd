"""Pictures of the part: what is drawn is what the records say, nothing cut off, the same bytes each time."""

import matplotlib
import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD as DESIGN
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from mpl_toolkits.mplot3d import proj3d

from panelmech.blade.blade import Blade, Table
from panelmech.blade.sections import blade_sections
from panelmech.draw.blade_figures import (
    blade_figure,
    describe_blade,
    draw_blade,
    draw_planform,
    draw_section_stack,
    planform_figure,
    section_stack_figure,
    station_at,
)
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure_bytes

TAPERED = blade_sections(Blade(DESIGN, free_length=(0.225, 0.15)))
THICK = Blade(DESIGN.replace(spacer_diameter=0.06, free_length=0.2, span=0.5), straight="trailing edge")
STUB = Blade(DESIGN.replace(span=0.25, frame_width=0.0, spacer_wall=0.0), setback=-4e-3)
STEPPED = Blade(DESIGN, spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True))
FIGURES = (blade_figure, planform_figure, section_stack_figure)


def box_of(text, ax):
    """Where a text stands on the figure [pixels]; one in space is projected first, as when it is drawn."""
    if ax.name != "3d":
        return text.get_window_extent()
    x, y, _ = proj3d.proj_transform(*text.get_position_3d(), ax.get_proj())
    flat = Text(
        x,
        y,
        text.get_text(),
        transform=ax.transData,
        fontsize=text.get_fontsize(),
        figure=ax.figure,
        ha=text.get_ha(),
        va=text.get_va(),
        fontfamily=text.get_fontfamily(),
    )
    return flat.get_window_extent()


@pytest.mark.parametrize("make", FIGURES)
@pytest.mark.parametrize("blade", [TAPERED.blade, THICK, STUB, STEPPED])
def test_nothing_is_cut_off(make, blade):
    """Every word and every drawn point lies on the paper."""
    fig = make(blade_sections(blade, 21))
    FigureCanvasAgg(fig).draw()
    wide, high = fig.get_size_inches() * fig.dpi
    for ax in fig.axes:
        for text in ax.texts:
            box = box_of(text, ax)
            assert box.x0 > 0 and box.y0 > 0 and box.x1 < wide and box.y1 < high, text.get_text()
        if ax.name == "3d":
            points = [path.vertices for group in ax.collections for path in group.get_paths()]
        else:
            points = [patch.get_patch_transform().transform_path(patch.get_path()).vertices for patch in ax.patches]
        seen = ax.transData.transform(np.vstack(points))
        assert np.all(seen > 0) and np.all(seen < (wide, high))


@pytest.mark.slow
@by_day("make", FIGURES, *FIGURES[:-1] if FIGURES[-1].__name__ == "section_stack_figure" else FIGURES[:1])
def test_same_bytes_and_a_digest_that_sees_a_change(make):
    first, again = make(TAPERED), make(TAPERED)
    assert figure_bytes(first, "png", dpi=60) == figure_bytes(again, "png", dpi=60)
    assert figure_digest(first) == figure_digest(again)
    other = make(blade_sections(TAPERED.blade.replace(free_length=(0.225, 0.152))))
    assert figure_digest(other) != figure_digest(first)


def test_planform_draws_the_edges_to_scale():
    fig = planform_figure(TAPERED)
    ax = fig.axes[0]
    rings = {patch.get_label(): patch.get_xy() for patch in ax.patches}
    assert rings["land"][:, 1].min() == pytest.approx(1e3 * TAPERED.trailing_edge_x.min())
    assert rings["rod"][:, 1].max() == pytest.approx(9.0) and rings["rod"][:, 0].max() == pytest.approx(850.0)
    low, high = ax.transData.transform([(0.0, 0.0), (1.0, 1.0)])
    assert (high - low)[0] == pytest.approx((high - low)[1])
    words = " ".join(text.get_text() for text in ax.texts)
    assert "239.8 mm" in words and "164.7 mm" in words and "span 850.0 mm" in words


def test_picture_in_space_is_to_scale():
    """Length of the nose edge and of the root's chord on paper have the ratio of the view, the same for all zooms."""
    fig = blade_figure(TAPERED)
    ax = fig.axes[0]
    low, high = ax.get_xlim(), ax.get_ylim()
    box = np.asarray(ax._box_aspect)
    sides = np.array([np.ptp(low), np.ptp(high), np.ptp(ax.get_zlim())])
    assert box / box[0] == pytest.approx(sides / sides[0], rel=1e-9)
    assert sides[0] == pytest.approx(850.0)


def test_sections_of_a_stack_are_those_of_their_places():
    fig = section_stack_figure(TAPERED, [0.0, 0.4, 0.85])
    assert len(fig.axes) == 3
    for ax, place in zip(fig.axes, (0.0, 0.4, 0.85), strict=True):
        station = station_at(TAPERED, place)
        rod = next(patch for patch in ax.patches if patch.get_label() == "spacer")
        assert rod.center[0] == pytest.approx(1e3 * station.bend.spacer_position)
        assert np.ptp(ax.get_xlim()) == pytest.approx(np.ptp(fig.axes[0].get_xlim()))


def test_functions_draw_on_axes_they_are_given():
    fig = Figure(figsize=(8, 6))
    FigureCanvasAgg(fig)
    before = dict(matplotlib.rcParams)
    draw_blade(fig.add_axes((0.0, 0.5, 1.0, 0.5), projection="3d"), TAPERED)
    draw_planform(fig.add_axes((0.0, 0.0, 0.5, 0.4)), TAPERED)
    draw_section_stack([fig.add_axes((0.5, 0.0, 0.5, 0.2))], TAPERED, [0.2])
    assert len(fig.axes) == 3 and dict(matplotlib.rcParams) == before


def test_words():
    words = describe_blade(TAPERED)
    assert words.startswith("The tapered part, span 850.0 mm: at the root end chord 239.8 mm, 23.5 mm thick;")
    assert describe_blade(blade_sections(THICK, 3)).endswith("The trailing edge is straight along the span.")
