"""Templates on paper and in files: to scale as printed, nothing lost between tiles, read back by other programs."""

import hashlib
import io
import itertools
import os
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import ezdxf
import matplotlib
import numpy as np
import pytest
from day_and_night import by_day
from ezdxf.math import bulge_to_arc
from matplotlib.image import imread

from panelmech.draw.template_files import LAYERS, dxf, path_bulges, svg
from panelmech.draw.template_pages import plot_template, template_files, template_sheets, templates_pdf
from panelmech.shop.outlines import inner, nose_radius, parallel, pieces
from panelmech.shop.paper import BAR, EDGE, MOST_PAGES, lay_out
from panelmech.shop.templates import Path, offset_csv, templates

MM = 1e-3
DPI = 300
PIXEL = 25.4 / DPI  # mm
needs_poppler = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is not installed")


@pytest.fixture(scope="module")
def leeboard(root):
    from panelmech.study.design import Design

    return Design.load(root / "notebooks/studies/leeboard.json")


@pytest.fixture(scope="module")
def big(leeboard):
    """1 m of chord and 0.4 m thick: the outside gauge takes tiles in several rows and columns."""
    return leeboard.replace(free_length=0.9, sheet_thickness=0.006, spacer_diameter=0.3, setback=0.03, land_length=0.05)


@pytest.fixture(scope="module")
def made(leeboard):
    return {t.key: t for t in templates(leeboard)}


def pixels(pdf, folder, page=1):
    """Darkness 0 to 1 of one page at 300 dpi."""
    source, one = folder / "page.pdf", ["-f", str(page), "-l", str(page), "-singlefile"]
    source.write_bytes(pdf)
    asked = ["pdftoppm", "-r", str(DPI), "-gray", "-png", *one, source, folder / "page"]
    subprocess.run(asked, check=True, timeout=120)
    grey = imread(folder / "page.png")
    return 1.0 - (grey if grey.ndim == 2 else grey[..., 0])


def stroke_centre(dark):
    """Centre of a stroke [pixels] along an array of darkness summed across it."""
    return float(np.sum(np.arange(len(dark)) * dark) / np.sum(dark))


def bar_lengths(dark, layout):
    """Both check bars as printed [mm]: distance between the centres of their end strokes."""
    high = dark.shape[0]

    def centre(x, y, axis):
        """Of the stroke near a place [mm], looked at off the bar itself: from 0.8 to 1.8 mm beside its line."""
        if axis == "x":
            rows = slice(int(high - (y + 1.8) / PIXEL), int(high - (y + 0.8) / PIXEL))
            first = int((x - 1.5) / PIXEL)
            return first + stroke_centre(dark[rows, first : first + int(3.0 / PIXEL)].sum(axis=0))
        columns = slice(int((x + 0.8) / PIXEL), int((x + 1.8) / PIXEL))
        first = int(high - (y + 1.5) / PIXEL)
        return first + stroke_centre(dark[first : first + int(3.0 / PIXEL), columns].sum(axis=1))

    x0, y0, x1, _ = layout.level_bar
    level = (centre(x1, y0, "x") - centre(x0, y0, "x")) * PIXEL
    x0, y0, _, y1 = layout.upright_bar
    return level, (centre(x0, y0, "y") - centre(x0, y1, "y")) * PIXEL


@pytest.mark.slow
@needs_poppler
@by_day("page", ["A4", "Letter", "one"], "A4")
def test_the_bar_measures_100_mm_as_printed(made, tmp_path, page):
    dam = made["frame-dam"]
    layout = lay_out(dam, page, 0.0)
    dark = pixels(templates_pdf((dam,), page), tmp_path)
    wide, high = dark.shape[1] * PIXEL, dark.shape[0] * PIXEL
    if page != "one":
        assert (wide, high) == pytest.approx((layout.width, layout.height), abs=2 * PIXEL)
    else:
        layout = replace(layout, height=template_sheets(dam, page)[0].get_size_inches()[1] * 25.4)
    assert bar_lengths(dark, layout) == pytest.approx((100.0, 100.0), abs=0.1)  # the issue's own tolerance


@pytest.mark.slow
@pytest.mark.nightly
@needs_poppler
def test_every_sheet_of_a_tiled_part_carries_both_bars(big, tmp_path):
    """All sheets draw the same two lines; two tiles and the sheet with the table are measured as printed."""
    gauge = next(t for t in templates(big) if t.key == "outside-gauge")
    layout, pdf = lay_out(gauge, "A4"), templates_pdf((gauge,), "A4")
    assert layout.rows > 1 and layout.columns > 1
    sheets = template_sheets(gauge, "A4")
    for fig in sheets:
        drawn = [tuple(np.transpose(line.get_xydata()).T.ravel()) for line in fig.axes[0].lines]
        assert layout.level_bar in drawn and layout.upright_bar in drawn
    for page in (1, len(sheets) // 2, len(sheets)):
        assert bar_lengths(pixels(pdf, tmp_path, page), layout) == pytest.approx((100.0, 100.0), abs=0.1)


@needs_poppler
def test_the_shape_itself_is_to_scale(made, tmp_path):
    """Plate of the outside gauge, edge to edge in the printed page: its left and right side, half way up its corner."""
    gauge = made["outside-gauge"]
    layout = lay_out(gauge, "A4")
    dark = pixels(templates_pdf((gauge,), "A4"), tmp_path)
    left, bottom, right, top = (v / MM for v in gauge.box)
    tile = layout.tiles[0]
    y = layout.window[1] + (bottom + 4.0) - tile.bottom
    row = dark[int(dark.shape[0] - (y + 1.0) / PIXEL) : int(dark.shape[0] - y / PIXEL)].sum(axis=0)
    edges = [layout.window[0] + v - tile.left for v in (left, right)]
    firsts = [int((e - 1.0) / PIXEL) for e in edges]
    centres = [first + stroke_centre(row[first : first + int(2.0 / PIXEL)]) for first in firsts]
    assert (centres[1] - centres[0]) * PIXEL == pytest.approx(right - left, abs=0.05)  # half a pixel
    assert centres[0] * PIXEL == pytest.approx(edges[0], abs=0.1)


@pytest.mark.slow
def test_a_small_piece_takes_one_sheet_with_its_table(made):
    for template in made.values():
        assert len(template_sheets(template, "A4")) == 1
    texts = " ".join(t.get_text() for t in template_sheets(made["end-dam"], "A4")[0].axes[0].texts)
    assert "100 mm" in texts and "half-thickness, mm" in texts and "Make 2." in texts and "Leeboard: End dam" in texts


@pytest.mark.parametrize("page", ["A4", "Letter", "A3"])
def test_tiles_cover_everything_and_overlap(big, page):
    """Every drawn point is in some window; neighbours overlap; both draw their join line at the same place."""
    for template in templates(big):
        layout = lay_out(template, page)
        _, _, wide, high = layout.window
        tiles = {(t.row, t.column): t for t in layout.tiles}
        points = np.vstack([p.points for p in template.paths]) / MM
        covered = np.zeros(len(points), dtype=bool)
        for tile in layout.tiles:
            low = np.array([tile.left, tile.bottom])
            covered |= np.all((points >= low) & (points <= low + [wide, high]), axis=1)
        assert covered.all()
        for (row, column), tile in tiles.items():
            joins = {label: (axis, place) for axis, place, label in layout.joins(tile)}
            for other in (tiles.get((row, column + 1)), tiles.get((row + 1, column))):
                if other is None:
                    continue
                back = {label: (axis, place) for axis, place, label in layout.joins(other)}[tile.label]
                assert joins[other.label] == (back[0], pytest.approx(back[1], abs=1e-9))
                step = max(other.left - tile.left, other.bottom - tile.bottom)
                assert (wide if back[0] == "x" else high) - step == pytest.approx(layout.overlap, abs=1e-9)


def test_tiles_are_named_from_the_lower_left(big):
    gauge = next(t for t in templates(big) if t.key == "outside-gauge")
    layout = lay_out(gauge, "A4")
    assert layout.tiles[0].label == "A1" and layout.rows * layout.columns >= len(layout.tiles) > 3
    sheets = template_sheets(gauge, "A4")
    assert len(sheets) == len(layout.tiles) + 1
    words = [[t.get_text() for t in fig.axes[0].texts] for fig in sheets]
    assert all(any(t.label in w for w in page) for t, page in zip(layout.tiles, words, strict=False))
    assert any(w.startswith("joins A") for w in words[0])


def test_windows_with_nothing_in_them_are_left_out(made):
    edge = np.array([[0.0, 0.0], [0.9, 0.0], [0.9, 0.9], [0.9, 0.0]])
    bare = replace(made["end-dam"], paths=(Path(edge, True, "cut", "an angle"),), holes=())
    layout = lay_out(bare, "A4")
    assert len(layout.tiles) < layout.rows * layout.columns
    assert max(t.row for t in layout.tiles) == layout.rows - 1


@pytest.mark.slow
def test_one_sheet_is_as_large_as_it_must_be(big, leeboard):
    for template in (*templates(big), *templates(leeboard)):
        assert len(template_sheets(template, "one")) == 1  # with its table
    gauge = next(t for t in templates(big) if t.key == "outside-gauge")
    (fig,) = template_sheets(gauge, "one")
    wide, high = fig.get_size_inches() * 25.4
    left, bottom, right, top = (v / MM for v in gauge.box)
    assert wide > right - left + 2 * EDGE and high > top - bottom + BAR / 2


def test_paper_refuses_what_it_cannot_do(big, made):
    with pytest.raises(ValueError, match="give one of A4, A3, Letter, one"):
        lay_out(made["end-dam"], "A5")
    vast = np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 3.0], [0.0, 3.0], [1.5, 0.0], [1.5, 3.0], [0.0, 1.5], [3.0, 1.5]])
    paths = tuple(Path(vast + [0.0, 0.02 * i], True, "cut", "rows") for i in range(80))
    huge = replace(made["end-dam"], paths=paths)
    with pytest.raises(ValueError, match=f"at most {MOST_PAGES} are drawn"):
        lay_out(huge, "A4")
    with pytest.raises(ValueError, match="take A3, A4 or Letter"):
        lay_out(huge, "one")


def test_the_same_templates_give_the_same_bytes(made):
    chosen = (made["end-dam"], made["drilling-high-end"])
    first = templates_pdf(chosen)
    with matplotlib.rc_context({"font.size": 20, "lines.linewidth": 9}):  # nobody's own settings matter
        assert templates_pdf(chosen) == first
    assert b"CreationDate" not in first and b"ModDate" not in first


@pytest.mark.slow
def test_words_do_not_leave_the_sheet_or_meet(leeboard):
    """A very long title is shortened; no words of the head overlap, none lies outside the margins."""
    long = leeboard.replace(title="A very long title of a part that nobody would give to anything but a test " * 2)
    for template in templates(long):
        for page in ("A4", "Letter"):
            for fig in template_sheets(template, page):
                wide, high = fig.get_size_inches() * 25.4
                renderer = fig.canvas.get_renderer()
                boxes = [
                    (t.get_text(), t.get_window_extent(renderer)) for ax in fig.axes for t in ax.texts if t.get_text()
                ]
                scale = 25.4 / fig.dpi
                for words, box in boxes:
                    assert box.x0 * scale > EDGE - 1.0 and box.x1 * scale < wide - EDGE + 1.0, words
                    assert box.y0 * scale > EDGE - 1.0 and box.y1 * scale < high - EDGE + 1.0, words
                for i, (words, one) in enumerate(boxes):
                    for other_words, other in boxes[i + 1 :]:
                        apart = one.x1 <= other.x0 or other.x1 <= one.x0 or one.y1 <= other.y0 or other.y1 <= one.y0
                        assert apart, (words, other_words)


def read_dxf(text):
    return ezdxf.read(io.StringIO(text))


def drawn_points(entity, pieces=64):
    """Points along a polyline as a cutter would run it, arcs included, [mm]."""
    corners = list(entity.get_points("xyb"))
    if entity.closed:
        corners.append(corners[0])
    points = [np.array([corners[0][:2]])]
    for (x, y, bulge), (end_x, end_y, _) in itertools.pairwise(corners):
        share = np.linspace(0.0, 1.0, pieces + 1)[1:, None]
        if bulge == 0.0:
            points.append((1.0 - share) * [x, y] + share * [end_x, end_y])
            continue
        centre, _, _, radius = bulge_to_arc((x, y), (end_x, end_y), bulge)
        angle = np.arctan2(y - centre.y, x - centre.x) + 4.0 * np.arctan(bulge) * share
        points.append([centre.x, centre.y] + radius * np.hstack([np.cos(angle), np.sin(angle)]))
    return np.vstack(points)


@pytest.mark.parametrize("key", ["end-dam", "frame-dam", "outside-gauge", "drilling-high-end"])
def test_dxf_is_read_back_by_another_program(made, key):
    template = made[key]
    drawing = read_dxf(dxf(template))
    audit = drawing.audit()
    assert drawing.dxfversion == "AC1021" and not audit.errors and not audit.fixes
    assert drawing.units == ezdxf.units.MM and drawing.header["$INSUNITS"] == 4 and drawing.header["$MEASUREMENT"] == 1
    space = drawing.modelspace()
    assert {e.dxf.layer for e in space} <= set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
    lines = list(space.query("LWPOLYLINE"))
    assert len(lines) == len(template.paths)
    for entity, path in zip(lines, template.paths, strict=True):
        assert entity.closed == path.closed
        assert entity.dxf.layer == {"cut": "CUT", "mark": "MARKS"}[path.kind]
    circles = [(e.dxf.center.x, e.dxf.radius) for e in space.query('CIRCLE[layer=="HOLES"]')]
    np.testing.assert_allclose(
        circles, [(h.x / MM, h.diameter / 2 / MM) for h in template.holes] or np.empty((0,)), atol=0.6e-6
    )
    bars = [e.dxf.end - e.dxf.start for e in space.query('LINE[layer=="CHECK_BARS_100_MM"]')]
    assert [tuple(round(v, 6) for v in bar) for bar in bars] == [(100.0, 0.0, 0.0), (0.0, 100.0, 0.0)]
    words = " ".join(e.dxf.text for e in space.query('TEXT[layer=="TEXT"]'))
    assert template.name in words and "all in mm" in words and "inputs" in words
    start = template.table.values[0, 0] - min(template.paths[0].points[:, 0])  # the table's first row, the drawing's
    assert f"tables count from the trailing edge, at x = −{template.land / MM:.4g}" in words
    assert template.holes or "gauge" in key or start == pytest.approx(template.land)


@pytest.mark.slow
def test_every_point_of_an_outline_lies_on_the_dxf(made, big):
    """Corners to a nanometre; points that an arc replaces lie on it, to what six decimals of a mm leave of it."""
    for template in (*made.values(), *templates(big, nose_rise=0.01)):
        for entity, path in zip(read_dxf(dxf(template)).modelspace().query("LWPOLYLINE"), template.paths, strict=True):
            run, corners = drawn_points(entity), np.array(list(entity.get_points("xy")))
            for point in path.points / MM:
                if np.hypot(*(corners - point).T).min() > 1e-6:
                    off = off_the_arcs(entity, point)
                    assert off < 5e-6, (template.key, path.name, off)
            assert run.min(axis=0) == pytest.approx(path.points.min(axis=0) / MM, abs=2.1e-3)
            assert run.max(axis=0) == pytest.approx(path.points.max(axis=0) / MM, abs=2.1e-3)


def off_the_arcs(entity, point):
    """How far the nearest arc of a polyline passes a point [mm], its whole circle taken."""
    corners = list(entity.get_points("xyb"))
    off = [np.inf]
    for (x, y, bulge), (end_x, end_y, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        if bulge:
            centre, _, _, radius = bulge_to_arc((x, y), (end_x, end_y), bulge)
            off.append(abs(np.hypot(point[0] - centre.x, point[1] - centre.y) - radius))
    return min(off)


def test_arcs_about_the_rod_and_of_the_nose_are_true_arcs(leeboard):
    """Radius and centre as designed, to what rounding to a nanometre leaves; no straight piece stands for them."""
    bend, clearance, rise = leeboard.bend(), 0.5e-3, 4e-3
    made = {t.key: t for t in templates(leeboard, clearance=clearance, nose_rise=rise)}
    rod = (bend.spacer_position / MM, (bend.spacer_radius + clearance) / MM)
    radius = nose_radius(bend, rise)
    front = ((bend.mouth_position + rise - radius) / MM, radius / MM)
    expected = {"end-dam": rod, "frame-dam": rod, "outside-gauge": front, "nose-gauge": front}
    for key, (centre_x, radius) in expected.items():
        entity = max(read_dxf(dxf(made[key])).modelspace().query("LWPOLYLINE"), key=len)
        corners = list(entity.get_points("xyb"))
        arcs = [(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if a[2]]
        assert len(arcs) == 1, key
        (x, y, bulge), (end_x, end_y, _) = arcs[0]
        centre, _, _, drawn = bulge_to_arc((x, y), (end_x, end_y), bulge)
        assert (centre.x, centre.y, drawn) == pytest.approx((centre_x, 0.0, radius), abs=5e-6), key


def test_a_full_ring_becomes_two_half_circles_and_other_curves_stay_as_they_are():
    turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    ring = 30.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    corners = path_bulges(ring, closed=True)
    assert [c[:2] for c in corners] == [(30.0, 0.0), (-30.0, 0.0)] and [c[2] for c in corners] == [1.0, 1.0]
    assert [c[2] for c in path_bulges(ring[::-1], closed=True)] == [-1.0, -1.0]
    square = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]])  # four points on a circle are no arc
    assert [c[2] for c in path_bulges(square, closed=True)] == [0.0] * 4
    parabola = np.column_stack([np.linspace(0.0, 50.0, 40), np.linspace(0.0, 50.0, 40) ** 2 / 200.0])
    assert [c[2] for c in path_bulges(parabola, closed=False)] == [0.0] * 40
    uneven = 30.0 * np.column_stack([np.cos(turn**1.02), np.sin(turn**1.02)])  # on a circle, but not drawn as an arc
    assert {c[2] for c in path_bulges(uneven, closed=False)} == {0.0}


@pytest.mark.parametrize("thickness", [0.002, 0.004, 0.006])
@pytest.mark.parametrize("offset", ["outer", "inner"])
def test_straight_pieces_stay_within_two_micrometres_of_the_exact_curve(leeboard, thickness, offset):
    """Measured at 41 places of each piece, tight bends and thick sheets included; the inner face is the longer way."""
    for length, rod in ((0.12, 0.05), (0.2, 0.018), (0.9, 0.3)):
        bend = leeboard.replace(free_length=length, sheet_thickness=thickness, spacer_diameter=rod).bend()
        away = 0.5 * thickness if offset == "outer" else inner(bend, 0.5e-3)
        places = pieces(bend, 0.0, bend.contact_arclength, away)
        share = np.linspace(0.0, 1.0, 41)
        along = places[:-1, None] + share * np.diff(places)[:, None]
        curve = parallel(bend, along.ravel(), away).reshape(-1, 41, 2)
        chord = curve[:, -1] - curve[:, 0]
        normal = np.column_stack([-chord[:, 1], chord[:, 0]]) / np.hypot(*chord.T)[:, None]
        off = np.abs(np.einsum("ijk,ik->ij", curve - curve[:, :1], normal)).max()
        assert 0.0 < off <= 2e-6


@pytest.mark.slow
@by_day("seeds", ["1", "123"], "1")
def test_dxf_has_the_same_bytes_each_time_and_in_a_fresh_process(made, root, seeds):
    text = dxf(made["end-dam"])
    assert dxf(made["end-dam"]) == text
    code = (
        "from hashlib import sha256; from panelmech.study.design import Design\n"
        "from panelmech.draw.template_files import dxf; from panelmech.shop.templates import templates\n"
        "dam, *_ = templates(Design.load('notebooks/studies/leeboard.json'))\n"
        "print(sha256(dxf(dam).encode()).hexdigest())"
    )
    for seed in seeds:  # the order of sets of names hangs on it
        told = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run([sys.executable, "-c", code], cwd=root, env=told, capture_output=True, text=True)
        assert done.stdout.strip() == hashlib.sha256(text.encode()).hexdigest(), done.stderr


def test_writing_a_dxf_leaves_the_settings_of_the_library_alone(made):
    before = ezdxf.options.write_fixed_meta_data_for_testing
    dxf(made["end-dam"])
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_dxf_keeps_the_letters_of_a_title(made, tmp_path):
    """A title in any script comes back from the file as typed, on one line."""
    path = tmp_path / "template.dxf"
    path.write_text(dxf(replace(made["end-dam"], part="5° − 3 × Flügel\nδ")), encoding="utf-8")
    words = [e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT")]
    assert "5° − 3 × Flügel δ" in words


@pytest.mark.parametrize("key", ["end-dam", "frame-dam", "outside-gauge", "drilling-high-end"])
def test_svg_is_in_millimetres(made, key):
    template = made[key]
    tree = ElementTree.fromstring(svg(template))
    width, height = (float(re.fullmatch(r"([\d.]+)mm", tree.get(n))[1]) for n in ("width", "height"))
    assert [float(v) for v in tree.get("viewBox").split()] == [0.0, 0.0, width, height]
    name = "{http://www.w3.org/2000/svg}"
    shapes = [e for e in tree if e.tag in (f"{name}polygon", f"{name}polyline")]
    assert len(shapes) == len(template.paths)
    left, _, _, top = (v / MM for v in template.box)
    origin = None
    for entity, drawn in zip(shapes, template.paths, strict=True):
        points = np.array([[float(v) for v in pair.split(",")] for pair in entity.get("points").split()])
        shift = points - drawn.points / MM * [1.0, -1.0]
        origin = shift[0] if origin is None else origin
        np.testing.assert_allclose(shift, np.broadcast_to(origin, shift.shape), atol=1.1e-4)  # four decimals, twice
        assert (points >= 0.0).all() and (points <= [width, height]).all()
        assert (entity.tag == f"{name}polygon") == drawn.closed
    level, upright = (tree.find(f".//{name}path[@class='check-{n}']").get("d") for n in ("level", "upright"))
    assert level.endswith(" h 100") and upright.endswith(" v -100")
    x, y = (float(v) for v in re.match(r"M ([\d.]+) ([\d.]+)", upright).groups())
    assert x > 0.0 and y - 100.0 > 0.0


def test_svg_escapes_what_a_title_may_hold(made):
    odd = replace(made["end-dam"], part='A & B <fin> "2"')
    assert ElementTree.fromstring(svg(odd)).find("{http://www.w3.org/2000/svg}title").text.startswith('A & B <fin> "2"')


def test_offset_table_as_csv(made):
    rows = offset_csv(made["end-dam"]).splitlines()
    assert rows[0] == "from trailing edge [mm],half-thickness [mm],rod half-width [mm]"
    table = made["end-dam"].table.values / MM
    assert len(rows) == len(table) + 1
    for text, row in zip(rows[1:], table, strict=True):
        numbers = [float(v) if v else np.nan for v in text.split(",")]
        np.testing.assert_allclose(numbers, row, atol=0.0051)  # two decimals
    assert rows[-1].endswith(",")


def test_every_template_has_its_files(made):
    files = template_files((made["end-dam"], made["bevel-gauge"]))
    assert list(files) == [
        f"template-{key}.{end}" for key in ("end-dam", "bevel-gauge") for end in ("svg", "dxf", "csv")
    ]
    assert all(len(text) > 60 for text in files.values())


def test_plot_draws_on_the_axes_it_is_given(made):
    from panelmech.draw.figures import figure

    fig, ax = figure(120, 80)
    assert plot_template(ax, made["frame-dam"]) is ax
    assert ax.get_xlim()[0] < made["frame-dam"].box[0] / MM < ax.get_xlim()[1]
    assert len(ax.patches) == 1
