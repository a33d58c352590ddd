"""The text of a figure changes with its curves, and with nothing else."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import evaluate
from panelmech.draw import study_figures
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure

SHEET = "glass-epoxy laminate, lengthwise"


@pytest.fixture(scope="module")
def study():
    return evaluate(LEEBOARD)


def sine(scale=1.0, **look):
    fig, ax = figure(100, 60)
    x = np.linspace(0.0, np.pi, 101)
    ax.plot(x, scale * np.sin(x), label="sine", **look)
    ax.set_xlabel("x [rad]")
    ax.set_title("A curve")
    return fig


def test_a_known_curve():
    """Area of half a sine: 2; trapezes over 100 parts give 2 (1 - (pi/100)^2/12), which is 2.000 to four digits."""
    assert figure_digest(sine()).splitlines() == [
        "axes 1: A curve",
        "  x: x [rad] (linear)",
        "  line 1 sine: 101 points, x 0 to 3.142, y 0 to 1, area 2",
    ]


@pytest.mark.parametrize("factor", [1.01, 0.99, 1.001])
def test_a_changed_curve_changes_the_text(factor):
    assert figure_digest(sine(factor)) != figure_digest(sine())


def test_a_bump_between_the_ends_changes_the_text():
    """Neither ends nor extremes move, only the area does."""
    fig = sine()
    line = fig.axes[0].lines[0]
    y = line.get_ydata().copy()
    y[20:30] *= 0.97
    line.set_ydata(y)
    assert figure_digest(fig) != figure_digest(sine())


def test_looks_and_rounding_noise_do_not_change_the_text():
    noisy = sine(1.0 + 1e-13, color="red", lw=5.0)
    noisy.set_dpi(33)
    assert figure_digest(noisy) == figure_digest(sine())


def test_rounding_noise_about_zero_is_written_as_zero():
    fig, ax = figure(100, 60)
    ax.plot([0.0, 1.0], [-1e-17, 1.0])
    assert "y 0 to 1" in figure_digest(fig)
    assert "-0" not in figure_digest(fig)


def test_points_that_are_no_numbers_are_counted():
    fig, ax = figure(100, 60)
    ax.plot([0.0, 1.0, 2.0], [1.0, np.nan, 3.0])
    ax.plot([], [])
    text = figure_digest(fig)
    assert "2 points, 1 not finite, x 0 to 2, y 1 to 3" in text
    assert "line 2: 0 points" in text


def test_shapes_give_extent_and_area():
    fig, ax = figure(100, 60)
    ax.fill([0.0, 2.0, 2.0, 0.0], [0.0, 0.0, 3.0, 3.0], label="box")
    assert "shape 1 box: 1 of 5 points, x 0 to 2, y 0 to 3, area 6" in figure_digest(fig)


def test_every_axes_has_its_block(study):
    text = figure_digest(study_figures.along_figure(study))
    assert text.count("axes ") == 2
    assert "curvature [1/m]" in text and "surface strain [%]" in text


def test_log_scales_and_rows_are_named(study):
    text = figure_digest(study_figures.ratios_figure(study))
    assert "(log)" in text
    assert "rows: " in text and "words: " in text


@pytest.mark.slow
def test_every_figure_of_a_study_follows_the_design(study):
    """One thousandth more of free length shows in every picture that has a curve or a section."""
    other = evaluate(study.design.replace(free_length=0.2255))
    for name, (_, draw, _) in study_figures.FIGURES.items():
        assert figure_digest(draw(study)) != figure_digest(draw(other)), name
        assert figure_digest(draw(study)) == figure_digest(draw(study)), name


def test_dimension_lines_are_counted_not_listed(study):
    text = figure_digest(study_figures.section_figure(study))
    assert "dimension lines" in text
    assert text.count("  line ") == 2  # the cross in the middle of the rod
    assert "chord " in text.split("words: ")[1]


def test_an_empty_figure_is_refused():
    fig, ax = figure(100, 60)
    ax.remove()
    with pytest.raises(ValueError, match="nothing to digest"):
        figure_digest(fig)
