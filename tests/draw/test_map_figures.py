"""Maps and the pictures beside them: what is drawn equals the records, names stand where they belong and clear."""

import io
from itertools import combinations, pairwise

import numpy as np
import pytest
from leeboard_part import LEEBOARD
from matplotlib.image import imread

from panelmech import catalogue
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import INCH, KEY, Entry, figure_bytes, text_size
from panelmech.draw.live_map import LiveMap
from panelmech.draw.look import CHECK_LINES, map_ramp
from panelmech.draw.map_figures import counted, describe_map, map_box, map_figure, map_outputs, redraw_map
from panelmech.draw.map_grid import CELL, SHORT_REASONS, Room, band_edges
from panelmech.draw.trade_off_figures import (
    describe_front,
    describe_scatter,
    describe_shares,
    describe_sizing,
    front_figure,
    scatter_figure,
    shares_figure,
    sizing_figure,
)
from panelmech.study.checks import LOCAL_RULES, RULES
from panelmech.study.choose import combine, unbeaten
from panelmech.study.sizing import size
from panelmech.study.sweeps import REASONS, sweep
from panelmech.study.tolerances import Tolerance, scatter

STOCK = dict(spacer_diameter=(4.5e-3, 31.5e-3), sheet_thickness=(0.5e-3, 5.3e-3))
CASES = {
    "leeboard": (LEEBOARD, "i_chord", STOCK),
    "acrylic": (LEEBOARD.replace(sheet=catalogue["acrylic, cast"], sheet_thickness=3e-3), "chord_stiffness", STOCK),
    "short": (LEEBOARD.replace(free_length=0.1), "outer_thickness", {**STOCK, "spacer_diameter": (4e-3, 0.1)}),
    "lengths": (LEEBOARD, "least_reserve", dict(free_length=(0.03, 0.4), setback=(-10e-3, 40e-3))),
    "unjudged": (LEEBOARD.replace(adhesive=catalogue.adhesives["unknown - measure it"]), "opening_energy", STOCK),
    "wall": (LEEBOARD, "mass_per_length", dict(spacer_wall=(0.0, 5e-3), friction=(0.02, 0.3))),
}


def swept(name, count=60):
    design, output, ends = CASES[name]
    return sweep(
        design, map_outputs(output), local=False, **{k: np.linspace(*v, count) for k, v in ends.items()}
    ), output


@pytest.fixture(scope="module", params=CASES)
def case(request):
    found, output = swept(request.param)
    figure = map_figure(found, output)
    figure_bytes(figure, "png", dpi=100)
    return found, output, figure


def reserves_at(found, points, key):
    """The reserve of a check at points of a map, in its shown units, computed anew."""
    names = list(found.axes)
    scale = [1.0 if name == "friction" else 1e-3 for name in names]
    key = f"{key}_reserve"
    return np.array(
        [
            sweep(found.design, [key], local=False, **{n: [v * s] for n, v, s in zip(names, p, scale, strict=True)})[
                key
            ][0, 0]
            for p in points
        ]
    )


# ----- room for words -----


def test_words_are_placed_clear_of_what_is_taken_and_of_each_other():
    room = Room(60.0, 40.0)
    room.take_line([(0.0, 20.0), (60.0, 20.0)], 1)
    boxes = []
    for _ in range(4):
        middle = room.place("some words", 6.0)
        assert middle is not None
        boxes.append((*middle, *text_size("some words", 6.0)))
    for x, y, wide, high in boxes:
        assert abs(y - 20.0) > high / 2 and wide / 2 <= x <= 60 - wide / 2 and high / 2 <= y <= 40 - high / 2
    for (a, b, w, h), (c, d, *_) in combinations(boxes, 2):
        assert abs(a - c) >= w or abs(b - d) >= h


def test_no_room_is_said_and_nothing_is_taken():
    room = Room(10.0, 10.0)
    assert room.place("far too many words for ten millimetres", 6.0) is None
    assert not room.owner.any()


def test_words_on_a_line_follow_it_and_stand_upright():
    slope = np.column_stack([np.linspace(0, 60, 40), np.linspace(40, 0, 40)])
    for line in (slope, slope[::-1]):
        room = Room(60.0, 40.0)
        room.take_line(line, 1)
        (x, y), angle = room.place_on_line("a limit", 6.0, [line], 1)
        assert angle == pytest.approx(np.degrees(np.arctan2(-40, 60)), abs=1e-6)
        assert y == pytest.approx(40 - x * 40 / 60, abs=CELL)


def test_words_do_not_go_on_a_line_that_is_too_short_bent_or_crossed():
    room = Room(60.0, 40.0)
    assert room.place_on_line("a limit", 6.0, [np.array([(10.0, 10.0), (12.0, 10.0)])], 1) is None
    turn = np.linspace(0, 2 * np.pi, 60)
    ring = 30 + 4 * np.column_stack([np.cos(turn), np.sin(turn)])
    assert room.place_on_line("a limit", 6.0, [ring], 1) is None
    line = np.array([(0.0, 20.0), (20.0, 20.0)])
    room.take_line([(10.0, 0.0), (10.0, 40.0)], 2)
    assert room.place_on_line("rather a long limit", 6.0, [line], 1) is None


# ----- bands of colour -----


@pytest.mark.parametrize(
    "values", [[1.0, 9.0], [3e-4, 0.9], [-5.0, 70.0], [7.0, 7.0], [0.0, 0.0], [1.0, 1e12], [2.0, 2.0 + 1e-15]]
)
def test_bands_hold_every_value_and_are_few(values):
    edges = band_edges(np.array([*values, np.nan]))
    assert edges[0] <= min(values) and max(values) <= edges[-1] * (1 + 1e-12)
    assert np.all(np.diff(edges) > 0) and 2 <= len(edges) <= 20


def test_bands_of_nothing():
    assert np.all(np.diff(band_edges(np.full(3, np.nan))) > 0)


def test_bands_get_darker_one_by_one_so_that_grey_print_reads_the_same():
    for count in (2, 5, 12):
        grey = [sum(w * int(c[i : i + 2], 16) for w, i in ((0.21, 1), (0.72, 3), (0.07, 5))) for c in map_ramp(count)]
        assert np.all(np.diff(grey) < 0)


def test_each_limit_has_its_own_dashes():
    assert set(CHECK_LINES) == {rule.key for rule in (*RULES, *LOCAL_RULES)}
    assert len({look.dashes for look in CHECK_LINES.values()}) == len(CHECK_LINES)


def test_every_reason_has_its_short_words():
    assert len(SHORT_REASONS) == len(REASONS) and all(SHORT_REASONS[1:])


# ----- the map -----


def test_a_limit_runs_where_its_reserve_is_one(case):
    """Read between the designs of a 60 x 60 grid by straight lines of the logarithm; 3 % measured at worst."""
    found, _, figure = case
    for line in figure.axes[0].lines:
        if line.get_label().startswith("_limit "):
            points = line.get_xydata()[:: max(len(line.get_xydata()) // 7, 1)]
            values = reserves_at(found, points, line.get_label().removeprefix("_limit "))
            assert values[np.isfinite(values)] == pytest.approx(1.0, rel=0.04)


def test_there_is_a_line_for_every_check_that_passes_one_and_none_without_a_basis(case):
    found, _, figure = case
    drawn = {line.get_label().removeprefix("_limit ") for line in figure.axes[0].lines}
    for rule in RULES:
        values = found[f"{rule.key}_reserve"]
        crosses = np.nanmin(values, initial=np.inf) < 1.0 < np.nanmax(values, initial=-np.inf)
        assert (rule.key in drawn) == crosses


def test_ticks_point_to_the_side_that_fails(case):
    found, _, figure = case
    lines = figure.axes[0].lines
    for line, ticks in pairwise(lines):
        if line.get_label().startswith("_limit "):
            strokes = ticks.get_xydata().reshape(-1, 3, 2)[1:-1:6]
            key = line.get_label().removeprefix("_limit ")
            inner, outer = (reserves_at(found, strokes[:, i], key) for i in (0, 1))
            known = np.isfinite(inner) & np.isfinite(outer)
            assert np.all(outer[known] < inner[known])


def test_names_stand_in_their_regions(case):
    found, _, figure = case
    ax = figure.axes[0]
    x, y = (np.asarray(v) for v in found.axes.values())
    for text in ax.texts:
        if text.get_transform() == ax.transAxes:
            continue
        place = text.get_position()
        scale = [1.0 if n == "friction" else 1e-3 for n in found.axes]
        i, j = (int(np.argmin(np.abs(v - p * s))) for v, p, s in zip((x, y), place, scale, strict=True))
        words = text.get_text().replace("\n", " ")
        if words.startswith("Governs: "):
            assert found.governing(i, j).lower() == words.removeprefix("Governs: ").lower()
        elif words.lower() in SHORT_REASONS:
            assert SHORT_REASONS[found.reason_code[i, j]] == words.lower()


def test_every_reason_and_governing_check_is_named_somewhere(case):
    found, _, figure = case
    words = " ".join(text.get_text().replace("\n", " ") for text in figure.axes[0].texts).lower()
    for code in np.unique(found.reason_code[found.reason_code > 0]):
        assert SHORT_REASONS[code] in words
    for code in np.unique(found.governing_code[found.governing_code >= 0]):
        assert RULES[code].name.lower() in words


def test_no_words_overlap_or_leave_the_page(case):
    _, _, figure = case
    renderer, page = figure.canvas.get_renderer(), figure.bbox
    texts = [t for ax in figure.axes for t in (*ax.texts, ax._left_title, ax.title)] + figure.texts
    texts += [label for ax in figure.axes for axis in (ax.xaxis, ax.yaxis) for label in (axis.label,)]
    boxes = [(t.get_text(), t, t.get_window_extent(renderer)) for t in texts if t.get_text()]
    for words, _, box in boxes:
        assert box.x0 >= page.x0 - 1 and box.x1 <= page.x1 + 1 and box.y0 >= page.y0 - 1 and box.y1 <= page.y1 + 1, (
            words
        )
    level = [(words, box) for words, t, box in boxes if t.get_rotation() in (0.0, 90.0)]
    for (a, first), (b, second) in combinations(level, 2):
        assert not first.padded(-1).overlaps(second.padded(-1)), (a, b)


def test_words_alone_in_a_legend_begin_where_the_map_does(case):
    """No room is left before them for a piece of line that is not there."""
    found, _, figure = case
    begins = counted(found).split(",")[0]
    told = next(text for text in figure.axes[0].texts if text.get_text().startswith(begins))
    assert told.get_position()[0] == 0.0
    keyed = Entry("this design", "mark")
    assert keyed.width - Entry("this design").width == pytest.approx(keyed.key) and keyed.key > KEY


def test_the_design_is_ringed_or_said_to_be_outside():
    found, output = swept("leeboard")
    ax = map_figure(found, output).axes[0]
    (ring,) = (line for line in ax.lines if line.get_label() == "_design")
    assert ring.get_xydata()[0] == pytest.approx((18.0, 2.0))
    ax = map_figure(found, output, LEEBOARD.replace(spacer_diameter=0.05)).axes[0]
    assert not [line for line in ax.lines if line.get_label() == "_design"]
    assert "this design lies outside the map" in [text.get_text() for text in ax.texts]


def test_dots_are_the_sizes_one_can_buy():
    found, output = swept("leeboard")
    ax = map_figure(found, output).axes[0]
    (dots,) = (line for line in ax.lines if line.get_label() == "_stock")
    spacers, sheets = (sorted(set(column.round(9))) for column in dots.get_xydata().T)
    assert spacers == pytest.approx([1e3 * d for d in LEEBOARD.spacer.diameters])
    assert sheets == pytest.approx([1e3 * t for t in LEEBOARD.sheet.stock_thicknesses if t <= 5.3e-3])


@pytest.mark.slow
@pytest.mark.nightly
def test_a_second_map_in_the_same_figure_is_what_a_new_figure_shows():
    figure = map_figure(*swept("lengths"))
    for name in ("acrylic", "short"):
        redraw_map(figure, *swept(name))
        assert figure_digest(figure) == figure_digest(map_figure(*swept(name)))


def test_map_box_is_where_the_map_is():
    figure = map_figure(*swept("leeboard"), None, 150.0, 90.0)
    left, top, wide, high = map_box(150.0, 90.0)
    box = figure.axes[0].get_position()
    assert (box.x0, 1 - box.y1, box.width, box.height) == pytest.approx((left, top, wide, high))
    assert figure.get_size_inches() * INCH == pytest.approx((150.0, 90.0))


def test_files_repeat_and_carry_title_and_hash():
    first, second = (figure_bytes(map_figure(*swept("acrylic")), "svg", "words") for _ in range(2))
    assert first == second
    figure = map_figure(*swept("leeboard"))
    assert any(LEEBOARD.input_hash() in t.get_text() and "Leeboard" in t.get_text() for t in figure.texts)


def test_an_output_that_is_nowhere_known_is_said_to_be():
    design = CASES["unjudged"][0]
    found = sweep(
        design, map_outputs("joint_opening_reserve"), local=False, **{k: np.linspace(*v, 9) for k, v in STOCK.items()}
    )
    words = [text.get_text() for text in map_figure(found, "joint_opening_reserve").axes[0].texts]
    assert any("not known anywhere" in text for text in words)


@pytest.mark.parametrize(
    "axes",
    [
        dict(span=[0.5, 0.6, 0.7], setback=[0.0, 1e-3, 2e-3], friction=[0.1, 0.2, 0.3]),
        dict(sheet=["woven GRP", "acrylic, cast", "polycarbonate"], setback=[0.0, 1e-3, 2e-3]),
        dict(span=[0.7, 0.6, 0.5], setback=[0.0, 1e-3, 2e-3]),
        dict(span=[0.5, 0.6], setback=[0.0, 1e-3, 2e-3]),
    ],
)
def test_what_is_no_map_is_refused(axes):
    with pytest.raises(ValueError, match="a map needs"):
        map_figure(sweep(LEEBOARD, map_outputs("i_chord"), local=False, **axes), "i_chord")


def test_words_say_what_the_map_shows(case):
    found, output, _ = case
    words = describe_map(found, output)
    assert "Map of" in words and "can be made" in words and "This design stands at" in words
    assert ("Not to be made" in words) == bool(np.any(found.reason_code))


# ----- scatter, shares, choice, sizing -----


@pytest.fixture(scope="module")
def parts():
    return scatter(LEEBOARD, count=4000)


def test_columns_add_up_to_all_parts_and_quantiles_stand_where_they_are(parts):
    ax = scatter_figure(parts, "i_chord", 2.9e-8).axes[0]
    assert sum(patch.get_height() for patch in ax.patches if patch.get_transform() != ax.transAxes) > 99.999
    upright = sorted(line.get_xdata()[0] for line in ax.lines if list(line.get_ydata()) == [0, 1])
    expected = [*np.quantile(parts.outputs["i_chord"], (0.05, 0.5, 0.95)) * 1e12, 2.9e4]
    assert upright == pytest.approx(sorted(expected))


@pytest.mark.nightly
@pytest.mark.slow
def test_a_limit_far_from_all_parts_is_named_not_drawn(parts):
    ax = scatter_figure(parts, "permanent_strain_reserve").axes[0]
    assert any("limit: reserve of one, below this picture" in text.get_text() for text in ax.texts)
    close = scatter(LEEBOARD.replace(spacer_diameter=0.05), count=2000)
    ax = scatter_figure(close, "permanent_strain_reserve").axes[0]
    assert any(list(line.get_xdata()) == [1.0, 1.0] for line in ax.lines)


def test_bars_are_the_shares(parts):
    ax = shares_figure(parts, ["i_chord", "chord_stiffness"]).axes[0]
    bars = [patch for group in ax.containers for patch in group]
    for row, output in enumerate(["i_chord", "chord_stiffness"]):
        wide = [p.get_width() for p in bars if p.get_y() + p.get_height() / 2 == pytest.approx(row)]
        shares = [100 * share for share in parts.shares[output].values() if share > 0]
        assert wide == pytest.approx([*shares, 100 - sum(shares)] if sum(shares) < 100 else shares)


def test_shares_of_inputs_that_go_together_overlap_and_are_all_seen():
    pair = {("sheet_thickness", "modulus"): -0.8}
    parts = scatter(LEEBOARD, count=4000, rules=(), correlation=pair)
    ax = shares_figure(parts, ["i_chord", "chord_stiffness"]).axes[0]
    ends = [p.get_x() + p.get_width() for group in ax.containers for p in group]
    assert max(ends) == pytest.approx(100 * sum(parts.shares["i_chord"].values())) and max(ends) > 120
    assert max(ends) == pytest.approx(ax.get_xlim()[1]) and "overlap" in ax.get_title(loc="left") + ax.get_title()
    words = {text.get_text() for text in ax.texts}
    assert not any("acting together" in one for one in words)


def test_names_of_results_stay_on_the_sheet():
    few = scatter(LEEBOARD, count=500, rules=())
    figure = shares_figure(few, list(few.shares))
    figure.canvas.draw()
    labels = figure.axes[0].get_yticklabels()
    assert len(labels) == len(few.shares) > 10
    assert [label.get_text() for label in labels if label.get_window_extent().x0 < 0.0] == []


def test_the_part_in_the_middle_is_called_what_it_is(parts):
    for words in ("as designed", "sheets as measured"):
        ax = scatter_figure(parts, "i_chord", 2.9e-8, middle=words).axes[0]
        assert sum(words in text.get_text() for text in ax.texts) == 1


def test_an_input_that_changes_nothing_leaves_no_bar():
    still = scatter(LEEBOARD, (Tolerance("modulus", 0.1),), count=2000)
    words = [t.get_text() for t in shares_figure(still, ["i_chord"]).axes[0].texts]
    assert "does not vary, or is not known" in words


@pytest.mark.slow
def test_front_is_joined_in_order_and_the_design_ringed():
    choices = combine(LEEBOARD, sheets=[LEEBOARD.sheet, *list(catalogue.sheets.values())[:3]])
    front = unbeaten(choices, ("mass", "chord_stiffness"))
    ax = front_figure(choices, "mass", "chord_stiffness", front, (1.7, 640.0)).axes[0]
    dots, joined, ring = (line for line in ax.lines if line.get_transform() == ax.transData)
    assert len(dots.get_xdata()) == choices.possible.sum()
    assert sorted(joined.get_xdata()) == pytest.approx(sorted(choices.values["mass"][front]))
    assert np.all(np.diff(joined.get_xdata()) >= 0) and np.all(np.diff(joined.get_ydata()) >= 0)
    assert ring.get_xydata()[0] == pytest.approx((1.7, 640.0))
    assert f"beats {len(front)} of them" in describe_front(choices, "mass", "chord_stiffness", front)


def test_sizing_shows_every_answer_and_the_sizes_beside_it():
    found = size(LEEBOARD, "spacer_diameter", "outer_thickness", 0.03)
    ax = sizing_figure(found).axes[0]
    points = [
        line.get_xydata() for line in ax.lines if line.get_marker() == "o" and line.get_transform() == ax.transData
    ]
    assert points[0] == pytest.approx(np.array([(1e3 * s, 30.0) for s in found.solutions]))
    assert points[1] == pytest.approx(np.array([(1e3 * s.value, 1e3 * s.output) for s in found.stock]))
    assert describe_sizing(found) == " ".join(found.words)


def test_pictures_in_words(parts):
    assert "nine in ten" in describe_scatter(parts, "i_chord") and "sheet thickness" in describe_scatter(
        parts, "i_chord"
    )
    assert describe_shares(parts, ["i_chord"]).count("sheet thickness") == 1
    nothing = describe_scatter(scatter(CASES["unjudged"][0], count=200), "joint_opening_reserve")
    assert "not known" in nothing


def picture_of(png):
    return imread(io.BytesIO(png))[..., :3]


@pytest.mark.slow
def test_a_live_map_looks_like_one_drawn_from_the_start():
    """Also after moves that change bands, legend and axes, and from nothing known back to something known."""
    live, unknown = LiveMap(152.0, 96.0, 100.0), CASES["unjudged"][0]
    short = LEEBOARD.replace(free_length=0.12)
    for design, output in (
        (LEEBOARD, "i_chord"),
        (LEEBOARD.replace(free_length=0.226), "i_chord"),
        (short, "i_chord"),
        (unknown, "joint_opening_reserve"),
        (LEEBOARD, "joint_opening_reserve"),
        (LEEBOARD, "outer_thickness"),
    ):
        found = sweep(design, map_outputs(output), local=False, **{k: np.linspace(*v, 30) for k, v in STOCK.items()})
        live.draw(found, output, design)
        quick = picture_of(live.quick_png())
        whole = picture_of(figure_bytes(map_figure(found, output, design, 152.0, 96.0), "png", dpi=100.0))
        assert np.array_equal(quick, whole), (design.title, output)
