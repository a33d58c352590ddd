"""Templates on paper and in files: to scale as printed, nothing lost between tiles, read back by other programs."""

import re
import shutil
import subprocess
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import ezdxf
import matplotlib
import numpy as np
import pytest
from matplotlib.image import imread

from panelmech.draw.template_dxf import dxf, plain
from panelmech.draw.template_pages import plot_template, template_sheets, templates_pdf, write_templates
from panelmech.draw.template_svg import svg
from panelmech.shop.paper import BAR, EDGE, MOST_SHEETS, lay_out
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


@needs_poppler
@pytest.mark.parametrize("page", ["A4", "Letter", "one"])
def test_the_bar_measures_100_mm_as_printed(made, tmp_path, page):
    dam = made["closing-frame"]
    layout = lay_out(dam, page, 0.0)
    dark = pixels(templates_pdf((dam,), page), tmp_path)
    wide, high = dark.shape[1] * PIXEL, dark.shape[0] * PIXEL
    if page != "one":
        assert (wide, high) == pytest.approx((layout.width, layout.height), abs=2 * PIXEL)
    else:
        layout = replace(layout, height=template_sheets(dam, page)[0].get_size_inches()[1] * 25.4)
    assert bar_lengths(dark, layout) == pytest.approx((100.0, 100.0), abs=0.1)  # the issue's own tolerance


@needs_poppler
@pytest.mark.slow
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


def test_one_sheet_is_as_large_as_it_must_be(big, leeboard):
    for template in (*templates(big), *templates(leeboard)):
        assert len(template_sheets(template, "one")) == 1  # with its table
    gauge = next(t for t in templates(big) if t.key == "outside-gauge")
    (fig,) = template_sheets(gauge, "one")
    wide, high = fig.get_size_inches() * 25.4
    left, bottom, right, top = (v / MM for v in gauge.box)
    assert wide > right - left + 2 * EDGE and high > top - bottom + BAR / 2


def test_paper_refuses_what_it_cannot_do(big, made):
    with pytest.raises(ValueError, match="give A4, A3, Letter or one"):
        lay_out(made["end-dam"], "A5")
    vast = np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 3.0], [0.0, 3.0], [1.5, 0.0], [1.5, 3.0], [0.0, 1.5], [3.0, 1.5]])
    paths = tuple(Path(vast + [0.0, 0.02 * i], True, "cut", "rows") for i in range(80))
    huge = replace(made["end-dam"], paths=paths)
    with pytest.raises(ValueError, match=f"at most {MOST_SHEETS} are drawn"):
        lay_out(huge, "A4")
    with pytest.raises(ValueError, match="take A3, A4 or Letter"):
        lay_out(huge, "one")


def test_the_same_templates_give_the_same_bytes(made):
    chosen = (made["end-dam"], made["drilling-high-end"])
    first = templates_pdf(chosen)
    with matplotlib.rc_context({"font.size": 20, "lines.linewidth": 9}):  # nobody's own settings matter
        assert templates_pdf(chosen) == first
    assert b"CreationDate" not in first and b"ModDate" not in first


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


@pytest.mark.parametrize("key", ["end-dam", "closing-frame", "outside-gauge", "drilling-high-end"])
def test_dxf_is_read_back_by_another_program(made, tmp_path, key):
    template = made[key]
    path = tmp_path / "template.dxf"
    path.write_text(dxf(template), encoding="ascii")
    drawing = ezdxf.readfile(path)
    assert drawing.dxfversion == "AC1009" and not drawing.audit().errors
    space = drawing.modelspace()
    lines = [e for e in space if e.dxftype() == "POLYLINE"]
    assert len(lines) == len(template.paths)
    for entity, drawn in zip(lines, template.paths, strict=True):
        points = np.array([v.dxf.location for v in entity.vertices])
        np.testing.assert_allclose(points[:, :2], drawn.points / MM, atol=0.6e-6)  # six decimals of a mm
        assert entity.is_closed == drawn.closed
        assert entity.dxf.layer == {"cut": "CUT", "mark": "MARK"}[drawn.kind]
    circles = [(e.dxf.center.x, e.dxf.radius) for e in space if e.dxftype() == "CIRCLE"]
    np.testing.assert_allclose(
        circles, [(h.x / MM, h.diameter / 2 / MM) for h in template.holes] or np.empty((0,)), atol=0.6e-6
    )
    bars = [(e.dxf.end - e.dxf.start) for e in space if e.dxftype() == "LINE" and e.dxf.layer == "CHECK"]
    assert [tuple(round(v, 6) for v in bar) for bar in bars] == [(100.0, 0.0, 0.0), (0.0, 100.0, 0.0)]
    words = " ".join(e.dxf.text for e in space if e.dxftype() == "TEXT")
    assert template.name in words and "100 mm" in words and "inputs" in words


def test_dxf_keeps_to_ascii_and_one_line():
    assert plain("5° × 3 mm²\nüber") == "5%%d x 3 mm2 uber"


@pytest.mark.parametrize("key", ["end-dam", "closing-frame", "outside-gauge", "drilling-high-end"])
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


def test_all_files_are_written(made, tmp_path):
    files = write_templates((made["end-dam"], made["bevel-gauge"]), tmp_path / "deep" / "pack", "Letter")
    assert [f.name for f in files] == ["templates-letter.pdf"] + [
        f"template-{key}.{end}" for key in ("end-dam", "bevel-gauge") for end in ("svg", "dxf", "csv")
    ]
    assert all(f.stat().st_size > 60 for f in files)
    assert not [f for f in (tmp_path / "deep" / "pack").iterdir() if f not in files]
    with pytest.raises(ValueError, match="no templates"):
        write_templates((), tmp_path)


def test_plot_draws_on_the_axes_it_is_given(made):
    from panelmech.draw.figures import figure

    fig, ax = figure(120, 80)
    assert plot_template(ax, made["closing-frame"]) is ax
    assert ax.get_xlim()[0] < made["closing-frame"].box[0] / MM < ax.get_xlim()[1]
    assert len(ax.patches) == 1
