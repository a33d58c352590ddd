"""Shop pictures: what is drawn equals the records, the label is on each, words stay apart, files repeat."""

import itertools
from datetime import datetime

import numpy as np
import pytest

from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import axes_at, blank_figure, figure_bytes
from panelmech.draw.pour_figures import (
    describe_lift_depth,
    describe_pour,
    describe_schedule,
    draw_cure,
    draw_lift_depth,
    draw_schedule,
    draw_temperature,
    lift_depth_figure,
    pour_figure,
    schedule_figure,
)
from panelmech.materials.stock import catalogue
from panelmech.shop.cure import ILLUSTRATIVE
from panelmech.shop.deepest import lift_depth
from panelmech.shop.heat import Pour, loss_between_sheets, older_lift, pour_heat
from panelmech.shop.schedule import Plan, plan_build

NOSE = Pour(bottom=older_lift(ILLUSTRATIVE, 0.02), side_loss=loss_between_sheets(0.02, 0.002, 0.3))
SLOW, FAST = (
    catalogue.resin_systems[name] for name in ("epoxy 3:1 by volume, slow clear hardener", "epoxy 5:1, fast hardener")
)


@pytest.fixture(scope="module")
def heat():
    return pour_heat(NOSE, [0.006, 0.02])


@pytest.fixture(scope="module")
def found():
    return lift_depth(NOSE, 333.15, deepest=0.03, stated_depth=0.006)


@pytest.fixture(scope="module")
def build():
    return plan_build(Plan(datetime(2026, 3, 2, 9), FAST, SLOW, 295.15, lifts=3, hands_on={"bond": 7200.0}))


def an_axes(left=20.0):
    return axes_at(blank_figure(170, 90), left, 15, 165 - left, 50)


def lines(ax):
    return {line.get_label(): line.get_xydata() for line in ax.lines if not line.get_label().startswith("_")}


def test_temperature_is_the_record(heat):
    ax = an_axes()
    assert draw_temperature(ax, heat, 1, limit=333.15) is ax
    drawn = lines(ax)
    assert drawn["hottest point"] == pytest.approx(np.column_stack([heat.time / 3600, heat.hottest[:, 1] - 273.15]))
    assert drawn["centre"][:, 1] == pytest.approx(heat.centre[:, 1] - 273.15)
    low, high = ax.get_ylim()
    assert low < 22.0 and high > heat.peak[1] - 273.15
    peaks = [line.get_xydata()[0] for line in ax.lines if line.get_marker() == "o"]
    assert peaks[0] == pytest.approx([heat.peak_time[1] / 3600, heat.peak[1] - 273.15])
    assert ax.get_xlim()[1] > heat.peak_time[1] / 3600


def test_cure_is_the_record(heat):
    ax = an_axes()
    draw_cure(ax, heat)
    for words, values in (("hottest point", heat.hottest_cure), ("centre", heat.centre_cure), ("top", heat.top_cure)):
        assert lines(ax)[words][:, 1] == pytest.approx(100.0 * values[:, 0])


@pytest.mark.slow
def test_depth_is_the_record(found):
    ax = an_axes()
    assert draw_lift_depth(ax, found) is ax
    assert lines(ax)["peak"] == pytest.approx(np.column_stack([1e3 * found.curve[0], found.curve[1] - 273.15]))
    marks = [line.get_xydata()[0] for line in ax.lines if len(line.get_xydata()) == 1]
    assert marks[0] == pytest.approx([1e3 * found.depth, found.peak - 273.15])


@pytest.mark.nightly
@pytest.mark.slow
def test_a_search_without_answer_is_drawn_without_marks():
    none = lift_depth(NOSE, 333.15, shallowest=0.02, deepest=0.06)
    ax = an_axes()
    draw_lift_depth(ax, none)
    assert not [line for line in ax.lines if len(line.get_xydata()) == 1] and "No lift" in describe_lift_depth(none)


def test_every_picture_of_heat_carries_the_label(heat, found):
    for fig in (pour_figure(heat), lift_depth_figure(found)):
        blocks = figure_digest(fig).split("axes ")[1:]
        assert blocks and all("ILLUSTRATIVE" in block for block in blocks)
    assert "ILLUSTRATIVE" in describe_pour(heat) and "ILLUSTRATIVE" in describe_lift_depth(found)


def test_schedule_is_the_record(build):
    ax = an_axes(60.0)
    assert draw_schedule(ax, build) is ax
    bars = [bar for bar in ax.patches if bar.get_height() == pytest.approx(0.62)]
    steps = [step for step in build.steps if step.kind != "gate"]
    assert [bar.get_width() for bar in bars] == pytest.approx([(s.end - s.start).total_seconds() / 3600 for s in steps])
    assert bars[0].get_x() == 9.0 and [t.get_text() for t in ax.get_yticklabels()][1] == "Bond the land"
    assert sum(text.get_text() == "▲" for text in ax.texts) == len([s for s in build.steps if s.warnings]) == 1
    assert "Warnings: Bond the land" in describe_schedule(build)


def test_part_of_a_schedule(build):
    ax = an_axes(60.0)
    draw_schedule(ax, build, ("seal", "lift"))
    assert len(ax.get_yticklabels()) == 4 and not [text for text in ax.texts if text.get_text() == "▲"]
    assert any(":" in label.get_text() for label in ax.get_xticklabels())  # clock times where all is within two days
    with pytest.raises(ValueError, match="prepare, bond"):
        draw_schedule(ax, build, ("seel",))


@pytest.mark.slow
def test_files_repeat_and_nothing_leaves_the_paper(heat, found, build):
    for make in (
        lambda: pour_figure(heat, 1, 333.15),
        lambda: lift_depth_figure(found),
        lambda: schedule_figure(build),
    ):
        fig = make()
        assert figure_bytes(fig) == figure_bytes(make())
        paper = fig.bbox
        for ax in fig.axes:
            (low, high), (bottom, top) = sorted(ax.get_xlim()), sorted(ax.get_ylim())
            ticks = [t for t in ax.get_xticklabels() if low <= t.get_position()[0] <= high]
            ticks += [t for t in ax.get_yticklabels() if bottom <= t.get_position()[1] <= top]
            for text in [*ax.texts, *ticks]:
                if text.get_text() and text.get_visible():
                    box = text.get_window_extent()
                    assert paper.x0 <= box.x0 and box.x1 <= paper.x1 and paper.y0 <= box.y0 and box.y1 <= paper.y1


def test_dates_do_not_touch(build):
    fig = schedule_figure(build)
    fig.draw_without_rendering()
    boxes = [label.get_window_extent() for label in fig.axes[0].get_xticklabels() if label.get_text()]
    assert len(boxes) > 2 and all(a.x1 < b.x0 for a, b in itertools.pairwise(boxes))
