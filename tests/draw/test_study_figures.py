"""Pictures: what is drawn equals the records, nothing overlaps or is cut off, files repeat, and no pyplot comes in."""

import math
import os
import re
import subprocess
import sys
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from day_and_night import NIGHTLY
from leeboard_part import LEEBOARD
from matplotlib.path import Path as Outline
from matplotlib.transforms import Affine2D

from panelmech import catalogue, evaluate
from panelmech.draw import figures, ratio_figures, section_figures, shapes, study_figures
from panelmech.draw.figures import INCH, STYLE, clean
from panelmech.draw.letters import line_width
from panelmech.draw.look import LINES, strain_rgb

DESIGNS = {
    "leeboard": LEEBOARD,
    "strongly bent": LEEBOARD.replace(free_length=0.2, sheet_thickness=3e-3, spacer_diameter=90e-3, setback=0.0),
    "rod proud": LEEBOARD.replace(setback=-6e-3),
    "slender": LEEBOARD.replace(free_length=0.5, sheet_thickness=1e-3, spacer_diameter=8e-3, spacer_wall=0.0),
    "thick": LEEBOARD.replace(free_length=0.4, sheet_thickness=6e-3, spacer_diameter=30e-3, setback=20e-3),
    "long land": LEEBOARD.replace(free_length=0.09, land_length=0.06, spacer_diameter=10e-3, spacer_wall=0.0),
    "thick bond": LEEBOARD.replace(bond_line=2e-3, setback=40e-3, spacer_diameter=6e-3, spacer_wall=0.0),
    "thick and short": LEEBOARD.replace(free_length=0.08, sheet_thickness=6e-3, spacer_diameter=14e-3),
    "small and proud": LEEBOARD.replace(free_length=0.1, sheet_thickness=1e-3, spacer_diameter=30e-3, setback=-9.5e-3),
    "flared": LEEBOARD.replace(free_length=0.5, sheet_thickness=1e-3, spacer_diameter=80e-3, setback=0.12),
    "no wedge": LEEBOARD.replace(
        free_length=0.1, sheet_thickness=1e-3, bond_line=1.5e-3, spacer_diameter=92e-3, setback=-66e-3
    ),
}
BY_DAY = ("leeboard", "rod proud", "no wedge")
KINDS = ("svg", "pdf", "png")


class Studies(dict):
    """{name of a design: its study}, worked out where it is asked for."""

    def __missing__(self, name):
        return self.setdefault(name, evaluate(DESIGNS[name]))


@pytest.fixture(scope="module")
def studies():
    return Studies()


@pytest.fixture(params=[name if name in BY_DAY else pytest.param(name, marks=NIGHTLY) for name in DESIGNS])
def study(request, studies):
    return studies[request.param]


def ring_area(ring):
    x, y = np.asarray(ring).T
    return 0.5 * abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


# ---- shapes against the records -----------------------------------------------------------------


def test_faces_are_the_outline_half_a_thickness_either_way(study):
    bend = study.bend
    faces = shapes.bent_faces(bend)
    x, y = bend.outline(faces.arclength * 1e-3)
    assert faces.middle * 1e-3 == pytest.approx(np.column_stack([x, y]), abs=1e-15)
    assert 0.5 * (faces.outer + faces.inner) == pytest.approx(faces.middle, abs=1e-12)
    assert np.hypot(*(faces.outer - faces.inner).T) * 1e-3 == pytest.approx(bend.sheet_thickness, rel=1e-12)


def test_faces_end_at_mouth_and_outer_thickness(study):
    faces = shapes.bent_faces(study.bend)
    assert 2e-3 * faces.inner[-1, 1] == pytest.approx(study.bend.mouth, rel=1e-9)
    assert 2e-3 * faces.outer[-1, 1] == pytest.approx(study.quantities["outer_thickness"], rel=1e-9)
    assert 1e-3 * faces.inner[-1, 0] == pytest.approx(study.bend.mouth_position, rel=1e-9)


def test_inner_face_touches_the_rod_and_never_enters_it(study):
    x, radius = study.bend.spacer_position * 1e3, 0.5e3 * study.design.spacer_diameter
    inner = shapes.bent_faces(study.bend).inner
    away = np.hypot(inner[:, 0] - x, inner[:, 1])
    assert away.min() == pytest.approx(radius, rel=1e-9)


def test_potting_has_the_area_of_the_record(study):
    """Polygons against the closed form; chords of an arc of 60 parts miss step²/12 of that part, up to 1e-3 R²."""
    pieces = shapes.potting_pieces(study.bend)
    assert len(pieces) == (1 if study.design.setback > 0 else 2)
    radius = 0.5e3 * study.design.spacer_diameter
    area = sum(ring_area(piece) for piece in pieces)
    assert area == pytest.approx(study.bend.front_area * 1e6, abs=1e-3 * radius**2)


def test_sheet_has_the_area_of_the_record(study):
    """Trapezes between 81 stations miss the curved sheet by far less than 1e-4."""
    assert 2 * ring_area(shapes.bent_faces(study.bend).ring) == pytest.approx(study.bent.area * 1e6, rel=1e-4)


def test_wedge_faces_end_at_its_thickness(studies):
    study = studies["leeboard"]
    faces = shapes.wedge_faces(study.wedge)
    assert 2e-3 * faces.outer[-1, 1] == pytest.approx(study.wedge.outer_thickness, rel=1e-12)


# ---- what the drawing functions put on the axes --------------------------------------------------


def section_axes(study, width=170.0):
    fig = study_figures.section_figure(study, width)
    return fig, fig.axes[0]


def labelled(artists, label):
    return [artist for artist in artists if artist.get_label() == label]


def test_section_draws_the_record(studies):
    study = studies["leeboard"]
    _, ax = section_axes(study)
    faces = shapes.bent_faces(study.bend)
    upper, lower = labelled(ax.collections, "sheet")
    corners = np.array([path.vertices[:4] for path in upper.get_paths()])
    assert corners[:, 0] == pytest.approx(faces.outer[:-1], abs=1e-12)
    assert corners[:, 3] == pytest.approx(faces.inner[:-1], abs=1e-12)
    assert corners[-1, 1] == pytest.approx(faces.outer[-1], abs=1e-12)
    mirror = np.array([path.vertices[:4] for path in lower.get_paths()])
    assert mirror == pytest.approx(corners * [1, -1], abs=1e-12)
    (rod,), (bore,) = labelled(ax.patches, "spacer"), labelled(ax.patches, "bore")
    assert rod.center == pytest.approx((study.bend.spacer_position * 1e3, 0.0))
    assert (rod.radius, bore.radius) == pytest.approx((9.0, 7.5))


def test_section_shades_are_the_strain(studies):
    study = studies["strongly bent"]
    _, ax = section_axes(study)
    upper = labelled(ax.collections, "sheet")[0]
    s = shapes.stations(study.bend)
    share = study.bend.curvature(0.5 * (s[1:] + s[:-1])) / study.bend.land_curvature
    assert upper.get_facecolors()[:, :3] == pytest.approx(
        np.array([strain_rgb(float(part)) for part in share]), abs=1e-12
    )


def test_a_solid_rod_has_no_bore(studies):
    _, ax = section_axes(studies["slender"])
    assert labelled(ax.patches, "bore") == []
    assert "rod 8 mm" in [text.get_text() for text in ax.texts]


def test_section_is_to_scale(study):
    """The same number of millimetres on paper for one drawn millimetre, both ways, also after the figure is drawn."""
    fig, ax = section_axes(study)
    fig.draw_without_rendering()
    (x0, y0), (x1, y1) = ax.transData.transform([(0.0, 0.0), (1.0, 1.0)])
    assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-9)


def test_section_names_every_dimension(study):
    _, ax = section_axes(study)
    words = " | ".join(text.get_text().replace("\n", " ") for text in ax.texts)
    for name in (
        "land ",
        "chord ",
        "setback ",
        "free length ",
        "mouth ",
        "outer thickness ",
        "surface strain",
        "potting",
    ):
        assert name in words
    assert ("rod proud" in words) == (study.design.setback < 0)


def boxes(fig, ax):
    """Every text of an axes as four corners in pixels, turned as it is drawn."""
    renderer = fig.canvas.get_renderer()
    out = {}
    for text in ax.texts:
        if not text.get_text():
            continue
        turn, mode = text.get_rotation(), text.get_rotation_mode()
        text.set_rotation(0.0)
        box = text.get_window_extent(renderer)
        text.set_rotation(turn)
        corners = np.array([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)])
        if turn:
            assert mode == "anchor"
            corners = (
                Affine2D()
                .rotate_deg_around(*text.get_transform().transform(text.get_position()), turn)
                .transform(corners)
            )
        out[text.get_text()] = corners
    return out


def overlap(one, other):
    """Whether two convex outlines overlap (separating axis)."""
    for ring in (one, other):
        for edge in np.roll(ring, -1, axis=0) - ring:
            normal = np.array([-edge[1], edge[0]])
            a, b = one @ normal, other @ normal
            if a.max() <= b.min() or b.max() <= a.min():
                return False
    return True


@pytest.mark.slow
@pytest.mark.parametrize("width", [120.0, 182.0])
def test_no_words_of_the_section_overlap_or_leave_the_page(study, width):
    fig, ax = section_axes(study, width)
    fig.draw_without_rendering()
    drawn = boxes(fig, ax)
    page = fig.bbox
    for words, corners in drawn.items():
        assert corners.min() >= 0 and corners[:, 0].max() <= page.x1 and corners[:, 1].max() <= page.y1, words
    clashes = [pair for pair in combinations(drawn, 2) if overlap(drawn[pair[0]], drawn[pair[1]])]
    assert clashes == []


@pytest.mark.parametrize("width", [120.0, 170.0])
def test_no_words_of_the_section_stand_on_a_sheet_or_a_line(study, width):
    """Words with a ground of their own may interrupt the line they belong to."""
    fig, ax = section_axes(study, width)
    fig.draw_without_rendering()
    ring = shapes.bent_faces(study.bend).ring
    sheets = [Outline(ax.transData.transform(side), closed=False) for side in (ring, ring * [1, -1])]
    grounded = {text.get_text() for text in ax.texts if text.get_bbox_patch() is not None}
    for words, corners in boxes(fig, ax).items():
        box = Outline(corners[[0, 1, 2, 3, 0]])
        assert not any(sheet.intersects_path(box, filled=True) for sheet in sheets), words
        if words not in grounded:
            crossed = [
                line
                for line in ax.lines
                if Outline(ax.transData.transform(line.get_xydata())).intersects_path(box, filled=False)
            ]
            assert crossed == [], words


def test_section_needs_room(studies):
    fig = figures.blank_figure(40, 30)
    with pytest.raises(ValueError, match="use a larger figure"):
        section_figures.draw_section(figures.axes_at(fig, 0, 0, 40, 30), studies["leeboard"])
    section_figures.draw_section(
        figures.axes_at(fig, 0, 0, 40, 30), studies["leeboard"], dimensions=False, strain_key=False
    )


def test_curves_draw_the_record(study):
    fig, (upper, lower) = figures.figure(170, 110, 2, 1)
    study_figures.draw_curvature(upper, study)
    study_figures.draw_strain(lower, study)
    s = shapes.stations(study.bend)
    assert upper.lines[0].get_xdata() * 1e-3 == pytest.approx(s, rel=1e-12)
    assert upper.lines[0].get_ydata() == pytest.approx(study.bend.curvature(s), rel=1e-12)
    assert lower.lines[0].get_ydata()[0] * 1e-2 == pytest.approx(study.quantities["land_strain"], rel=1e-12)
    assert lower.lines[0].get_ydata()[-1] == 0.0 or study.bend.overhang < 1e-9
    assert upper.get_ylim()[1] > upper.lines[0].get_ydata().max()


def legend_words(ax):
    return [text.get_text() for text in ax.get_legend().get_texts()]


def test_a_near_limit_is_a_line_and_a_far_one_is_named(studies):
    fig, ax = figures.figure()
    study_figures.draw_strain(ax, studies["strongly bent"])
    heights = [line.get_ydata()[0] for line in ax.lines if line.get_color() == LINES["limit"].colour]
    assert heights == pytest.approx([0.2, 1.0])  # % of the laminate, for good and while forming
    assert [t.get_text() for t in ax.texts] == ["limit for good 0.200 %", "limit while forming 1.00 %"]
    fig, ax = figures.figure()
    study_figures.draw_strain(ax, studies["leeboard"])
    assert ax.texts == [] or not any("limit" in t.get_text() for t in ax.texts)
    assert [words for words in legend_words(ax) if "limit" in words] == [
        "limit while forming 1.00 %, off the scale ↑",
        "limit for good 0.200 %, off the scale ↑",
    ]


def test_a_limit_without_basis_is_said_to_have_none():
    sheet = catalogue["glass-epoxy laminate, lengthwise"]
    bare = type(sheet)(
        "measured strip",
        modulus=20e9,
        poisson=0.2,
        density=1900.0,
        permanent_strain_limit=None,
        forming_strain_limit=None,
        source="own measurement",
    )
    study = evaluate(LEEBOARD.replace(sheet=bare))
    fig, ax = figures.figure()
    study_figures.draw_strain(ax, study)
    assert [words for words in legend_words(ax) if "limit" in words] == [
        "limit while forming has no basis",
        "limit for good has no basis",
    ]
    fig, ax = figures.figure()
    ratio_figures.draw_checks_reserve(ax, study)
    assert "unknown" in [text.get_text() for text in ax.texts]
    assert "has no basis" in study_figures.describe_along(study)


def test_against_wedge_draws_both_and_says_the_exaggeration(studies):
    study = studies["leeboard"]
    fig, ax = figures.figure()
    study_figures.draw_against_wedge(ax, study, 4)
    bent, wedge = labelled(ax.lines, "bent pair")[0], labelled(ax.lines, "flat wedge, same rod")[0]
    assert bent.get_xydata()[:-1] == pytest.approx(shapes.bent_faces(study.bend).ring)
    assert wedge.get_xydata()[:-1] == pytest.approx(shapes.wedge_faces(study.wedge).ring)
    assert ax.get_aspect() == 4
    assert "4 times larger" in ax.get_ylabel()
    fig, ax = figures.figure()
    study_figures.draw_against_wedge(ax, study)
    assert ax.get_aspect() == 1 and ax.get_ylabel() == "across [mm]"
    with pytest.raises(ValueError, match="1 for true shape"):
        study_figures.draw_against_wedge(ax, study, 0)


def test_without_a_wedge_the_picture_says_so(studies):
    study = studies["no wedge"]
    assert np.isnan(study.wedge.angle)
    fig, ax = figures.figure()
    study_figures.draw_against_wedge(ax, study)
    assert any("cannot touch" in text.get_text() for text in ax.get_legend().get_texts())
    assert labelled(ax.lines, "bent pair") and not labelled(ax.lines, "flat wedge, same rod")


def test_fitting_exaggeration_fills_but_never_passes_the_height(study):
    times = study_figures.fitting_exaggeration(study, 150.0, 60.0)
    height = times * study.quantities["outer_thickness"] / study.quantities["chord"] * 150.0
    assert times == 1 or height <= 60.0


def test_overlay_draws_each_design_with_its_own_line(studies):
    chosen = [studies[name] for name in ("leeboard", "rod proud", "slender", "thick")]
    fig, ax = figures.figure(170, 90)
    study_figures.draw_overlay(ax, chosen, 2)
    words = legend_words(ax)
    assert len(words) == len(set(words)) == 4
    assert len({line.get_color() for line in ax.lines}) == 4
    assert len({str(line._dash_pattern) for line in ax.lines}) == 4
    for study, label in zip(chosen, words, strict=True):
        drawn = labelled(ax.lines, label)[0].get_xydata()[:-1]
        assert drawn == pytest.approx(shapes.bent_faces(study.bend).ring)
    for count in (1, 5):
        with pytest.raises(ValueError, match="give two to 4"):
            study_figures.draw_overlay(ax, [studies["leeboard"]] * count)


def test_overlay_names_what_differs():
    _, ax = figures.figure(170, 90)
    thin = LEEBOARD.replace(sheet_thickness=1.5e-3)
    study_figures.draw_overlay(ax, [evaluate(design, local=False) for design in (LEEBOARD, thin)])
    assert legend_words(ax) == ["Leeboard, 2 mm sheet", "Leeboard, 1.5 mm sheet"]


def test_ratios_stand_where_they_belong():
    rows = [
        ("second moment", 0.7729),
        ("torsion", 1.25),
        ("equal", 1.0),
        ("none", math.nan),
        ("huge", 5e4),
        ("tiny", 1e-5),
    ]
    fig, ax = figures.figure()
    ratio_figures.draw_ratios(ax, rows)
    assert [text.get_text() for text in ax.texts] == [
        "0.773 ×",
        "1.25 ×",
        "1.00 ×",
        "no comparison",
        "50000 ×, off scale",
        "1.00·10^−5 ×, off scale",
    ]
    ends = {int(line.get_ydata()[0]): line.get_xdata()[1] for line in ax.lines if line.get_marker() in "ov^<>"}
    assert ends[0] == 0.7729 and ends[1] == 1.25 and 3 not in ends
    assert ends[4] == 1000.0 and ends[5] == 1e-3
    assert [label.get_text() for label in ax.get_yticklabels()] == [name for name, _ in rows]
    assert ax.get_xscale() == "log"
    with pytest.raises(ValueError, match="at least one"):
        ratio_figures.draw_ratios(ax, [])


def test_reserves_are_those_of_the_study(study):
    fig, ax = figures.figure(170, 70)
    ratio_figures.draw_checks_reserve(ax, study)
    top = ax.get_yticklabels()[0].get_text().replace("\n", " ")
    assert top == study.governing.name
    words = [text.get_text() for text in ax.texts]
    assert words[0].startswith(study.governing.verdict)
    assert len(words) == sum(check.kind == "limit" for check in study.checks)


def every_figure(study):
    return {name: draw(study) for name, (_, draw, _) in study_figures.FIGURES.items()}


def test_every_axis_has_a_unit(studies):
    """Rows of checks and ratios have names in place of a second axis."""
    for name, fig in every_figure(studies["leeboard"]).items():
        for ax in (ax for ax in fig.axes if ax.axison):
            assert "[" in ax.get_xlabel(), name
            if name in ("ratios", "reserve"):
                assert all(label.get_text()[:1].isalpha() for label in ax.get_yticklabels()), name
            else:
                assert "[" in ax.get_ylabel(), name


def test_every_figure_is_stamped_with_title_and_hash(studies):
    study = studies["leeboard"]
    for name, fig in every_figure(study).items():
        words = " ".join(text.get_text() for text in fig.texts)
        assert "Leeboard" in words and study.design.input_hash() in words, name


@pytest.mark.slow
def test_nothing_is_cut_off_or_overlaps_in_any_figure(study):
    """All that is drawn lies on the page, to a tenth of a millimetre, and no title, label or legend lies on another."""
    for name, fig in every_figure(study).items():
        fig.draw_without_rendering()
        box = fig.get_tightbbox(fig.canvas.get_renderer())  # inches
        wide, high = fig.get_size_inches()
        slack = 0.1 / INCH
        assert box.x0 >= -slack and box.y0 >= -slack and box.x1 <= wide + slack and box.y1 <= high + slack, name
        for ax in fig.axes:
            parts = [ax.xaxis.label, ax.yaxis.label, ax._left_title, *fig.texts] + (
                [ax.get_legend()] if ax.get_legend() else []
            )
            extents = [part.get_window_extent(fig.canvas.get_renderer()) for part in parts]
            extents = [extent for extent in extents if extent.width > 1]
            assert not any(one.overlaps(other) for one, other in combinations(extents, 2)), name


def test_descriptions_say_what_matters(study):
    words = section_figures.describe_section(study)
    assert study.design.title in words and study.design.sheet.name in words
    assert ("stands proud" in words) == (study.design.setback < 0)
    for _, _, describe in study_figures.FIGURES.values():
        text = describe(study)
        assert text.endswith(".") and "nan" not in text and "–" not in text and "\n" not in text


# ---- files ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_files_repeat_byte_for_byte(studies, kind, tmp_path):
    one = figures.save_figure(study_figures.section_figure(studies["leeboard"]), tmp_path / f"one.{kind}")
    other = figures.save_figure(study_figures.section_figure(studies["leeboard"]), tmp_path / f"other.{kind}")
    assert one.read_bytes() == other.read_bytes()
    changed = figures.figure_bytes(study_figures.section_figure(studies["rod proud"]), kind)
    assert changed != one.read_bytes()


@pytest.mark.slow
@pytest.mark.nightly
def test_files_repeat_in_another_process_with_other_settings(studies, tmp_path):
    """Not the hash seed, not the date, not the user's settings may show in a file."""
    settings = {
        "savefig.bbox": "tight",
        "font.size": 20,
        "axes.facecolor": "red",
        "lines.linewidth": 9,
        "axes.grid": False,
    }
    settings |= {"svg.hashsalt": "other", "savefig.dpi": 33, "pdf.compression": 0, "figure.autolayout": True}
    code = (
        "import sys, matplotlib\n"
        f"matplotlib.rcParams.update({settings!r})\n"
        "from panelmech import Design, catalogue, evaluate; from panelmech.draw import figures, study_figures\n"
        f"study = evaluate(Design(catalogue[{LEEBOARD.sheet.name!r}], 2e-3, 0.225, 15e-3, title='Leeboard'))\n"
        "for kind in ('svg', 'pdf', 'png'):\n"
        "    for name in ('section', 'along'):\n"
        "        figures.save_figure(study_figures.FIGURES[name][1](study), f'{sys.argv[1]}/{name}.{kind}')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONHASHSEED": "7", "SOURCE_DATE_EPOCH": "1"},
    )
    assert done.returncode == 0, done.stderr
    for name in ("section", "along"):
        for kind in KINDS:
            ours = figures.figure_bytes(study_figures.FIGURES[name][1](studies["leeboard"]), kind)
            assert (tmp_path / f"{name}.{kind}").read_bytes() == ours, (name, kind)


def test_size_is_exact_whatever_the_user_asked_for(studies):
    """A page trimmed to its content would be printed at another scale."""
    with matplotlib.rc_context({"savefig.bbox": "tight", "savefig.pad_inches": 1.0}):
        fig = study_figures.section_figure(studies["leeboard"], 170.0)
        picture = figures.figure_bytes(fig, "svg").decode()
        page = figures.figure_bytes(fig, "pdf")
    high = fig.get_size_inches()[1] * 72.0
    size = re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"', picture)
    assert [float(side) for side in size.groups()] == pytest.approx([170.0 / INCH * 72.0, high], abs=1e-3)
    box = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+)", page)
    assert [float(side) for side in box.groups()] == pytest.approx([170.0 / INCH * 72.0, high], abs=1e-3)


def test_text_alternative_goes_into_the_file(studies):
    words = section_figures.describe_section(studies["leeboard"])
    fig = study_figures.section_figure(studies["leeboard"])
    assert f"<title>{words}</title>" in figures.figure_bytes(fig, "svg", words).decode()
    assert words[:40].encode("latin-1") in figures.figure_bytes(fig, "png", words)


@pytest.mark.parametrize("name", ["a.gif", "a", "a.svgz"])
def test_unknown_formats_are_refused(studies, tmp_path, name):
    with pytest.raises(ValueError, match="give svg, pdf or png"):
        figures.save_figure(study_figures.section_figure(studies["leeboard"]), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_failed_write_keeps_the_old_file(studies, tmp_path, monkeypatch):
    target = tmp_path / "section.svg"
    target.write_text("old", encoding="utf-8")
    monkeypatch.setattr("os.replace", lambda *_: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        figures.save_figure(study_figures.section_figure(studies["leeboard"]), target)
    assert target.read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["section.svg"]


@pytest.mark.parametrize("size", [(5, 50), (50, 5), (3000, 50), (float("nan"), 50)])
def test_impossible_sizes_are_refused(size):
    with pytest.raises(ValueError, match="give 10 to 2000 mm"):
        figures.blank_figure(*size)


def test_titles_are_drawn_as_written():
    """Dollar signs and percent signs are the user's own, line breaks and control characters go, long titles are cut."""
    study = evaluate(LEEBOARD.replace(title="Board $5 or $6_x\n\tfor \x07 %d " + 60 * "long "))
    fig = study_figures.section_figure(study)
    figures.figure_bytes(fig, "svg")
    words = fig.texts[0].get_text()
    assert words.startswith("Board $5 or $6_x for %d long") and "…" in words
    assert clean("  a \n b ") == "a b"


def test_text_width_grows_with_text_and_size():
    assert line_width("chord 239.8 mm", 7.0) == pytest.approx(20.4, abs=1.5)  # measured on a print of the figure
    assert line_width("mm", 14.0) == pytest.approx(2 * line_width("mm", 7.0), rel=1e-6)


# ---- the user's session is left alone ---------------------------------------------------------------


@pytest.mark.nightly  # by day no import of it, in tests/test_house.py
@pytest.mark.slow
def test_no_pyplot_and_no_backend():
    code = (
        "import sys\n"
        "from panelmech import Design, catalogue, evaluate; from panelmech.draw import figures, study_figures\n"
        f"study = evaluate(Design(catalogue[{LEEBOARD.sheet.name!r}], 2e-3, 0.225, 15e-3))\n"
        "for _, draw, _ in study_figures.FIGURES.values(): figures.figure_bytes(draw(study), 'svg')\n"
        "import matplotlib\n"
        "print('matplotlib.pyplot' in sys.modules, matplotlib.get_backend(auto_select=False))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.split() == ["False", "None"], done.stderr


@pytest.mark.slow
def test_settings_are_left_as_they_were(studies):
    with matplotlib.rc_context({"font.size": 17.0, "savefig.bbox": "tight"}):
        before = dict(matplotlib.rcParams)
        figures.figure_bytes(study_figures.along_figure(studies["leeboard"]), "png")
        assert dict(matplotlib.rcParams) == before
    assert "backend" not in STYLE and "interactive" not in STYLE
