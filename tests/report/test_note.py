"""The design note: what it says, that it needs nothing else, repeats byte for byte and clips nothing."""

import csv
import hashlib
import io
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest
from day_and_night import by_day, examples
from hypothesis import given
from hypothesis import strategies as st

from panelmech import Design, InfeasibleBend, __version__, catalogue, evaluate
from panelmech.draw.letters import drawable
from panelmech.report import html_page, note, pdf_page
from panelmech.report.blocks import Bullets, Heading, Pair, Paragraph, Picture, Signatures, Table, Verdict, glue
from panelmech.report.note_text import compose, title_of
from panelmech.report.pages import BOTTOM, HEIGHT, LEFT, RIGHT, WIDTH, leading, word_width, wrap
from panelmech.study import wedge_comparison as fair
from panelmech.study.design import LIMITS
from panelmech.study.kept_results import LIMIT, RESERVE, RESULT, VERDICT
from panelmech.study.quantities import QUANTITIES
from panelmech.study.regression import check as recompute
from panelmech.study.study import sensitivity
from panelmech.study.verdicts import FAILS, UNKNOWN
from panelmech.units import FACTORS, format_number, show

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"
HOSTILE = '</style></title><script>alert("1")</script> & <b>bold</b> $\\frac{1}{2}$ \\" } @page { size: A3 }'


def hostile(design):
    return design.replace(
        title=f"{HOSTILE} {HOSTILE} {HOSTILE}",
        purpose="A long purpose that goes on and on. " * 30
        + "\nsecond paragraph "
        + "unbreakable" * 40
        + " 漢字 \U0001f6a3",
        made_by="A builder with a long name and an address, Harbour Lane 12, Somewhere by the Sea, and more of it",
        ident="IDENT-0123456789-ABCDEFGHIJ-0123456789",
        issued="the first of March of that year",
    )


def designs():
    demo = Design.load(DEMO)
    return {
        "demo": demo,
        "unknown limit": demo.replace(
            sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3, title="Plywood"
        ),
        "failing": demo.replace(
            sheet=catalogue["aluminium 5052-H32"],
            sheet_thickness=4e-3,
            free_length=0.15,
            spacer_diameter=30e-3,
            adhesive=catalogue.adhesives["plain epoxy, not toughened"],
            friction=0.1,
        ),
        "rod proud": demo.replace(setback=-6e-3),
        "hostile": hostile(demo),
    }


@pytest.fixture(scope="module")
def demo_study():
    return evaluate(Design.load(DEMO))


@pytest.fixture(scope="module")
def written(demo_study, tmp_path_factory):
    return note.write_note(demo_study, tmp_path_factory.mktemp("note") / "leeboard")


@pytest.fixture(scope="module")
def html(written):
    return written.html.read_text(encoding="utf-8")


def every(kind, blocks):
    """All blocks of one kind, those side by side included."""
    for block in blocks:
        if isinstance(block, kind):
            yield block
        elif isinstance(block, Pair):
            yield from every(kind, (*block.left, *block.right))


def page_of(study):
    """The HTML page without its drawings (they take most of the time)."""
    blocks = compose(study)
    svgs = {block.name: "<svg ></svg>" for block in every(Picture, blocks)}
    return html_page.page(title_of(study.design), "foot", blocks, svgs)


def words_of(page):
    """What a reader of the page sees, blanks made plain."""
    parser = Reader()
    parser.feed(page)
    return " ".join(" ".join(parser.words).replace("\u00a0", " ").split())


class Reader(HTMLParser):
    """Collects words and ids, and sees that tags are closed in order."""

    VOID = ("meta", "col", "br", "path", "use", "rect", "circle", "line")

    def __init__(self):
        super().__init__()
        self.words, self.ids, self.links, self.open, self.tags = [], [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        attrs = dict(attrs)
        self.ids += [attrs["id"]] if "id" in attrs else []
        self.links += [attrs["href"]] if "href" in attrs else []
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in self.VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        if tag not in self.VOID:
            assert self.open and self.open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data):
        if not self.open or self.open[-1] not in ("style",):
            self.words.append(data)


# --- the folder -------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_folder_holds_the_whole_note_and_nothing_else(written):
    names = {str(p.relative_to(written.folder)) for p in written.folder.rglob("*") if p.is_file()}
    plots = {
        f"plots/{n}.{k}"
        for n in ("section", "wedge", "strain", "curvature", "ratios", "reserves", "pressing")
        for k in ("svg", "pdf", "png")
    }
    assert names == {"note.html", "note.pdf", "results.csv", "checks.csv", "comparison.csv", "study.json", LIST} | plots
    assert {str(p.relative_to(written.folder)) for p in written.plots} == plots
    assert [p.name for p in written.folder.parent.iterdir()] == ["leeboard"]  # no temporary folder is left


_HASHES = """
import hashlib, sys
from panelmech import Design, evaluate
from panelmech.report.note import note_contents
for name, content in sorted(note_contents(evaluate(Design.load(sys.argv[1]))).items()):
    print(name, hashlib.sha256(content).hexdigest())
"""


@pytest.mark.slow
@pytest.mark.nightly
def test_reruns_give_the_same_bytes(written, tmp_path):
    """Again in another process with another hash seed, clock, backend and matplotlib settings."""
    settings = tmp_path / "matplotlibrc"
    settings.write_text("font.size: 19\nsavefig.bbox: tight\nsvg.fonttype: none\npdf.fonttype: 3\naxes.grid: True\n")
    other = {
        "PYTHONHASHSEED": "77",
        "SOURCE_DATE_EPOCH": "1000000000",
        "MPLBACKEND": "svg",
        "TZ": "Asia/Tokyo",
        "MATPLOTLIBRC": str(settings),
    }
    done = subprocess.run(
        [sys.executable, "-c", _HASHES, str(DEMO)], env=os.environ | other, capture_output=True, text=True, check=True
    )
    there = dict(line.rsplit(" ", 1) for line in done.stdout.splitlines())
    here = {
        str(p.relative_to(written.folder)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in written.folder.rglob("*")
        if p.is_file() and p.name != LIST
    }
    assert there == here


LIST = note.LISTS["note"]


def fake(monkeypatch, **contents):
    """Let `write_note` write a few small files: what is tested is how, not what."""
    files = {"note.html": html_page.page("t", "f", (), {}).encode(), "plots/section.svg": b"<svg/>"} | contents
    monkeypatch.setattr(note, "note_contents", lambda study, *_, **__: files)
    return files


def test_second_note_replaces_the_first_and_leaves_other_files_alone(demo_study, tmp_path, monkeypatch):
    fake(monkeypatch, **{"results.csv": b"one"})
    note.write_note(demo_study, tmp_path / "n")
    (tmp_path / "n" / "my photo.jpg").write_bytes(b"mine")
    fake(monkeypatch, **{"results.csv": b"two"})
    note.write_note(demo_study, tmp_path / "n")
    assert (tmp_path / "n" / "results.csv").read_bytes() == b"two"
    there = sorted(p.name for p in (tmp_path / "n").iterdir())
    assert there == ["my photo.jpg", LIST, "note.html", "plots", "results.csv"]


@pytest.mark.parametrize("name", ["results.csv", "note.html"])
def test_files_that_are_no_note_are_not_overwritten(demo_study, tmp_path, monkeypatch, name):
    fake(monkeypatch, **{"results.csv": b"two"})
    (tmp_path / name).write_text("my own")
    with pytest.raises(FileExistsError, match="give another folder"):
        note.write_note(demo_study, tmp_path)
    assert (tmp_path / name).read_text() == "my own" and [p.name for p in tmp_path.iterdir()] == [name]


def test_a_full_disk_leaves_the_earlier_note_whole(demo_study, tmp_path, monkeypatch):
    fake(monkeypatch, **{"results.csv": b"one"})
    note.write_note(demo_study, tmp_path / "n")
    before = {p: p.read_bytes() for p in (tmp_path / "n").rglob("*") if p.is_file()}
    fake(monkeypatch, **{"results.csv": b"two", "z.csv": b"more"})
    real = os.fsync
    calls = []
    monkeypatch.setattr(
        os, "fsync", lambda handle: calls.append(handle) or (real(handle) if len(calls) < 3 else full())
    )
    with pytest.raises(OSError, match="No space"):
        note.write_note(demo_study, tmp_path / "n")
    assert {p: p.read_bytes() for p in (tmp_path / "n").rglob("*") if p.is_file()} == before


def full():
    raise OSError(28, "No space left on device")


def test_a_file_in_the_place_of_the_folder_is_refused(demo_study, tmp_path, monkeypatch):
    fake(monkeypatch)
    (tmp_path / "n").write_text("mine")
    with pytest.raises(NotADirectoryError, match="give a folder"):
        note.write_note(demo_study, tmp_path / "n")


def test_infeasible_design_gives_its_reason_and_no_folder(tmp_path):
    with pytest.raises(InfeasibleBend, match="use a spacer of at most"):
        note.write_note(Design.load(DEMO).replace(spacer_diameter=0.2), tmp_path / "n")
    assert list(tmp_path.iterdir()) == []


# --- the page ---------------------------------------------------------------------------------------------------------


def test_page_needs_nothing_from_outside(html):
    assert "http" not in html and "src=" not in html and "@import" not in html
    reader = Reader()
    reader.feed(html)
    assert not {"script", "link", "iframe", "object", "img", "image"} & set(reader.tags)
    assert re.findall(r"url\((?!#)", html) == []


def test_page_is_sound_html(html):
    reader = Reader()
    reader.feed(html)
    assert reader.open == []
    assert len(reader.ids) == len(set(reader.ids)) > 20
    assert {link.removeprefix("#") for link in reader.links} <= set(reader.ids)
    assert set(re.findall(r"url\(#([^)]*)\)", html)) <= set(reader.ids)


@pytest.mark.slow
@by_day("name", designs(), "unknown limit", "failing")
def test_page_says_every_check_with_value_limit_reserve_verdict_and_source(name):
    study = evaluate(designs()[name])
    words = words_of(page_of(study))
    for check in study.checks:
        parts = (check.value_text(), check.reserve_text(), check.verdict)
        if check.kind != "comparison":  # those are rows of the fair comparison, in its own words
            parts += (check.name, check.source)
        for part in parts:
            assert " ".join(part.split()) in words, f"{check.key}: {part}"
        if check.kind == "limit" and check.limit == check.limit:
            assert f"{'≤' if check.need == 'at most' else '≥'} {check.limit_text()}" in words
        if check.verdict in (FAILS, UNKNOWN) and check.advice:
            assert check.advice[1:] in words
    assert study.headline() in words
    assert words.count("(governs)") == 1 and f"{study.governing.name} (governs)" in words


@pytest.mark.slow
def test_without_a_flat_wedge_there_is_no_comparison_but_still_a_verdict():
    """Straight sheets cannot touch so large a rod so far out; that is no missing basis of a limit."""
    design = Design.load(DEMO).replace(
        free_length=0.2, sheet_thickness=3.5e-3, spacer_diameter=79e-3, setback=-49e-3, spacer_wall=0.0
    )
    study = evaluate(design)
    words = words_of(page_of(study))
    assert study.unknown == () and "No basis to judge" not in words
    assert "The flat wedge of these sheets cannot touch this rod: there is no comparison." in words
    assert "nan" not in words.split()
    assert [b.name for b in every(Picture, compose(study))] == ["section", "wedge"]  # no empty table, no empty panels
    for condition in fair.CONDITIONS:
        assert f"No flat wedge with {condition}:" in words


def test_kinds_of_verdict_are_all_met():
    """The designs above cover what they are named for."""
    found = {name: {c.verdict for c in evaluate(design).checks} for name, design in designs().items()}
    assert "unknown" in found["unknown limit"] and "fails" in found["failing"]
    assert evaluate(designs()["demo"]).unknown == () and evaluate(designs()["unknown limit"]).unknown


def test_page_says_who_what_and_with_which_software(html, demo_study):
    words, design = words_of(html), demo_study.design
    for part in (
        f"panelmech {__version__}",
        design.input_hash(),
        design.purpose,
        "Design note",
        "Owner",
        "Made by",
        "Approved by",
        "Date of issue",
        "Revision",
        "Identification number",
        "Language",
        "Sheet",
    ):
        assert part in words, part
    for role in ("Made by", "Checked by", "Approved by"):
        assert f"{role} name, signature, date" in words


def test_page_gives_every_input_and_the_source_of_every_material_value(demo_study):
    words, design = words_of(page_of(demo_study)), demo_study.design
    for name, limit in LIMITS.items():
        assert limit.label[1:] in words, name
    for record, quantities in (
        (design.sheet, ("modulus", "poisson", "density", "permanent_strain_limit")),
        (design.adhesive, ("toughness",)),
        (design.spacer, ("modulus",)),
        (design.resin, ("density",)),
    ):
        assert record.name in words
        for quantity in quantities:
            basis, source = record.basis_of(quantity)
            assert basis in words.lower() and source in words


def test_cautions_give_stored_energy_and_spread_force(html, demo_study):
    words, q = words_of(html), demo_study.quantities
    cautions = words[words.index("Cautions") :]
    assert f"holds {show(q['strain_energy_total'], 'J', 3)}" in cautions
    assert f"presses on the rod with {show(q['contact_force_total'], 'N', 3)}" in cautions
    assert f"pressed forward with {show(q['push_out_total'], 'N', 3)}" in cautions
    assert "certifies nothing" in words


@pytest.mark.parametrize("name", designs())
def test_stiffer_is_never_said_without_which(name):
    words = words_of(page_of(evaluate(designs()[name])))
    assert re.findall(r"[^.]*stiffer[^.]*\.", words) == [
        m
        for m in re.findall(r"[^.]*stiffer[^.]*\.", words)
        if "depends on which stiffness is meant" in m
        or "a real sheet may be a third stiffer" in m  # the source of a modulus says so, of the sheet's own modulus
    ]


def test_words_of_the_comparison_follow_the_ratios(demo_study):
    words = words_of(page_of(demo_study))
    sentence = re.search(r"The bent pair has more of: (.*?); less of: (.*?)\.", words)
    more, less = (
        [c.name.split(", of ")[0].lower() for c in demo_study.checks if c.kind == "comparison" and c.verdict == word]
        for word in ("more", "less")
    )
    assert [name in sentence[1].lower() for name in more] == [True] * len(more) and len(more) >= 1
    assert [name in sentence[2].lower() for name in less] == [True] * len(less) and len(less) >= 1


def comparison_of(study):
    """{measure key: cells of its row} of the fair comparison in the note."""
    table = next(b for b in compose(study) if isinstance(b, Table) and b.columns[0].head == "What is compared")
    return dict(zip((*fair.MEASURES, "enclosed"), table.rows, strict=True))


@pytest.mark.slow
@by_day("name", ["demo", "unknown limit", "failing"], "failing")
def test_comparison_is_that_of_the_fair_conditions(name):
    design = designs()[name]
    rows, found = comparison_of(evaluate(design)), fair.compare_with_wedge(design)
    assert [c.condition for c in found] == list(fair.CONDITIONS)
    marks = {"stiffer": "△", "softer": "▽", "the same": "="}
    for key, measure in fair.MEASURES.items():
        assert rows[key][0].lower() == measure.short
        ratios = [c.ratios[key] for c in found]
        expected = ["–" if r != r else f"{marks[fair.side(r)]}\u00a0{format_number(r, 3)}" for r in ratios]
        assert list(rows[key][3:7]) == expected, key
        for field, cell in (("spacer_diameter", rows[key][7]), ("sheet_thickness", rows[key][8])):
            level = fair.overtaking(design, key, field)
            if fair.side(ratios[0]) != "softer":
                assert cell == "–", key
            else:
                assert cell.removesuffix("\u00a0✕") == ("none" if level != level else show(level, "mm", 3)), key
                fails = level == level and fair.failing_with(design, field, level) != ()
                assert cell.endswith("✕") == fails, key
    assert any(row[7].endswith("✕") for row in rows.values()) == (name == "failing")


def test_comparison_shows_both_values_and_what_the_other_wedges_have(demo_study):
    rows, q, words = comparison_of(demo_study), demo_study.quantities, words_of(page_of(demo_study))
    assert rows["i_chord"][1:3] == (show(q["i_chord"], "mm4"), show(q["wedge_i_chord"], "mm4"))
    assert rows["enclosed"][1:4] == (
        show(q["enclosed_area"], "cm2"),
        show(q["wedge_enclosed_area"], "cm2"),
        f"▽\u00a0{format_number(q['enclosed_ratio'], 3)}",
    )
    thicker, moment = fair.same_thickness_wedge(demo_study.design), fair.same_moment_wedge(demo_study.design)
    assert f"for the same outer thickness, a spacer of {show(thicker.spacer_diameter, 'mm', 3)}" in words
    assert f"for the same second moment, a spacer of {show(moment.spacer_diameter, 'mm', 3)}" in words
    assert f"sheets of {show(fair.same_mass_wedge(demo_study.design).sheet_thickness, 'mm', 4)}" in words


def test_comparison_file_holds_every_ratio(written, demo_study):
    rows = list(csv.DictReader(io.StringIO(written.comparison.read_text(encoding="utf-8"))))
    assert len(rows) == len(fair.MEASURES) * len(fair.CONDITIONS)
    by_condition = {c.condition: c for c in fair.compare_with_wedge(demo_study.design)}
    for row in rows:
        comparison = by_condition[row["condition"]]
        assert float(row["bent_over_flat"]) == pytest.approx(comparison.ratios[row["key"]], rel=1e-11)
        assert float(row["wedge_spacer_diameter_si"]) == pytest.approx(comparison.wedge.spacer_diameter, rel=1e-11)
        assert row["measure"] == fair.MEASURES[row["key"]].words
    levels = {r["key"]: r["level_spacer_diameter_si"] for r in rows if r["condition"] == "the same spacer"}
    level = fair.overtaking(demo_study.design, "i_chord")
    assert float(levels["i_chord"]) == pytest.approx(level, rel=1e-11) and levels["curve_moment"] == ""


def test_picture_of_the_ratios_is_in_the_page_and_says_it_in_words(html, demo_study):
    picture = next(b for b in every(Picture, compose(demo_study)) if b.name == "ratios")
    assert "With the same spacer the bent pair has more: one sheet along the span" in picture.alt
    assert "less: sheets, bending about the chord, sheets, twisting" in picture.alt
    assert f'aria-label="{picture.alt}"' in html


def test_hostile_texts_stay_text():
    page = page_of(evaluate(hostile(Design.load(DEMO))))
    reader = Reader()
    reader.feed(page)
    assert reader.open == [] and "script" not in reader.tags and "b" in reader.tags
    assert page.count("</style>") == 1 and "<b>bold" not in page
    assert HOSTILE in words_of(page)


def test_foot_of_the_page_cannot_leave_its_string():
    page = html_page.page("t", 'a"; } body { display: none } /* \\', (), {})
    foot = re.search(r"@bottom-left \{ content: \"(.*)\"; font", page)[1]
    assert re.fullmatch(r"(?:[A-Za-z0-9 ]|\\[0-9a-f]{6})*", foot)


# --- tables -----------------------------------------------------------------------------------------------------------


def test_results_table_holds_every_quantity_in_si_and_as_shown(written, demo_study):
    rows = list(csv.DictReader(io.StringIO(written.results.read_text(encoding="utf-8"))))
    assert [row["name"] for row in rows] == list(demo_study.quantities)
    for row in rows:
        value, quantity = demo_study.quantities[row["name"]], QUANTITIES[row["name"]]
        assert (row["label"], row["unit"]) == (quantity.label, quantity.unit)
        if value != value:
            assert (row["name"], row["value_si"], row["shown"]) == ("press_lets_go", "", "")
            continue
        assert float(row["value_si"]) == pytest.approx(value, rel=1e-11, abs=0)  # written with 12 digits
        assert float(row["shown"]) * FACTORS[row["unit"]] == pytest.approx(
            value, rel=10 ** (1 - quantity.digits), abs=0
        )


def test_checks_table_holds_every_check_and_one_governs(written, demo_study):
    rows = list(csv.DictReader(io.StringIO(written.checks.read_text(encoding="utf-8"))))
    assert [(row["key"], row["verdict"], row["source"]) for row in rows] == [
        (c.key, c.verdict, c.source) for c in demo_study.checks
    ]
    assert [row["key"] for row in rows if row["governs"]] == [demo_study.governing.key]
    governing = next(row for row in rows if row["governs"])
    assert float(governing["reserve"]) == pytest.approx(demo_study.governing.reserve, rel=1e-11)


def test_spreadsheets_take_no_text_for_a_formula(demo_study):
    sheet = demo_study.design.sheet.with_own(source="=cmd()", permanent_strain_limit=0.002)
    rows = list(csv.DictReader(io.StringIO(note.checks_csv(evaluate(demo_study.design.replace(sheet=sheet))))))
    assert next(row["source"] for row in rows if row["key"] == "permanent_strain") == "'=cmd()"


def test_study_file_of_the_note_is_the_study_and_checks_out(written, demo_study):
    assert Design.load(written.study) == demo_study.design
    outcome = recompute(written.study)
    assert outcome.moved == () and outcome.missing == ()
    limits = sum(check.kind == "limit" for check in demo_study.checks)
    expected = {RESULT: len(demo_study.quantities), VERDICT: len(demo_study.checks), LIMIT: limits, RESERVE: limits}
    assert Counter(c.kind for c in outcome.comparisons) == expected


def test_sensitivity_starts_from_the_design_and_covers_the_governing_check(demo_study):
    rows = sensitivity(demo_study.design)
    assert rows[0][0] == "as designed" and len(rows) == 6
    assert rows[0][1]["least_reserve"] == demo_study.governing.reserve
    keys = [c.key for c in demo_study.limits if c.key != "oil_canning"]  # as where loads judge the skin
    rows = sensitivity(demo_study.design, keys)
    assert rows[0][1]["least_reserve"] == demo_study.governing.reserve
    thin = demo_study.design.sheet_thickness - demo_study.design.sheet.tolerance_at(demo_study.design.sheet_thickness)
    thinner = evaluate(demo_study.design.replace(sheet_thickness=thin))
    assert rows[1][1]["least_reserve"] == thinner.governing.reserve < demo_study.governing.reserve
    assert rows[-1][0].startswith("worst corner: sheet thinner")
    assert rows[-1][1]["least_reserve"] <= min(numbers["least_reserve"] for _, numbers in rows)


@pytest.mark.slow
@pytest.mark.nightly
def test_sensitivity_marks_what_is_not_possible(demo_study):
    greatest = demo_study.quantities["greatest_spacer"]
    design = demo_study.design.replace(spacer_diameter=greatest - 0.2e-3)
    larger = dict(sensitivity(design))["spacer 0.5 mm larger"]
    assert larger is None
    table = next(b for b in compose(evaluate(design)) if isinstance(b, Table) and b.columns[0].head == "Change")
    assert table.rows[-2][-1] == table.rows[-1][-1] == "not possible" and set(table.rows[-1][1:-1]) == {"–"}


# --- the sheets of the PDF --------------------------------------------------------------------------------------------


def sheets_of(study):
    blocks = compose(study)
    pictures = {block.name: (50.0, lambda pages, x, y: None) for block in every(Picture, blocks)}
    return pdf_page.lay_out(title_of(study.design), note.foot_of(study.design, "inputs"), blocks, pictures)


def boxes_of(figure):
    """(left, top, right, bottom) [mm] and text of every text on a sheet."""
    for text in figure.texts:
        x, y = text.get_position()
        size = text.get_fontsize()
        width = word_width(text.get_text(), size, text.bold)
        left = x * WIDTH
        base = HEIGHT * (1 - y)
        yield (left, base - 0.72 * leading(size) / 1.32, left + width, base), text.get_text()


@by_day("name", designs(), "failing", "hostile")
def test_no_text_leaves_the_sheet_or_lies_on_another(name):
    for figure in sheets_of(evaluate(designs()[name])).figures:
        boxes = [(box, text) for box, text in boxes_of(figure) if text.strip()]
        for (left, top, right, bottom), text in boxes:
            assert LEFT - 0.1 <= left and right <= RIGHT + 0.3, text  # 0.3: a glyph may lean over its width
            assert 5 < top and bottom < BOTTOM + 8, text
        for i, (a, text) in enumerate(boxes):
            for b, other in boxes[i + 1 :]:
                apart = a[2] <= b[0] + 0.1 or b[2] <= a[0] + 0.1 or a[3] <= b[1] or b[3] <= a[1]
                assert apart, f"{text!r} lies on {other!r}"


def test_boxes_to_sign_in_never_stand_alone_on_a_page_of_the_pdf():
    """Wherever the page ends, something they are signed for stands with them."""
    line, signed = "A line of words.", Signatures((("Made by", ""), ("Checked by", "")))
    last = Bullets((("", "what is signed for"),) * 4)
    for lines in range(70, 100):
        for before in (Paragraph("what is signed for"), last):
            blocks = (Heading("Beginning"), *[Bullets((("", line),))] * lines, Heading("Middle"), before)
            figures = pdf_page.lay_out("Part", "foot", (*blocks, Heading("Signatures"), signed), {}).figures
            words = [text.get_text() for text in figures[-1].texts]
            assert "what is signed for" in words and "Signatures" in words, (lines, before)
            assert not any("Middle" in [t.get_text() for t in f.texts][-3:] for f in figures[:-1]), (lines, before)


def test_pdf_is_a4_and_short(written):
    content = written.pdf.read_bytes()
    boxes = re.findall(rb"/MediaBox \[([^\]]*)\]", content)
    assert 1 <= len(boxes) <= 5
    for box in boxes:
        assert [float(part) for part in box.split()] == pytest.approx(
            [0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01
        )
    assert b"CreationDate" not in content


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_pdf_says_the_same(written, demo_study):
    done = subprocess.run(["pdftotext", "-layout", str(written.pdf), "-"], capture_output=True, text=True, check=True)
    words = " ".join(done.stdout.replace("\u00a0", " ").split())
    sheets = len(re.findall(rb"/MediaBox", written.pdf.read_bytes()))
    for part in (
        demo_study.headline(),
        demo_study.design.input_hash(),
        f"panelmech {__version__}",
        f"Sheet 1/{sheets}",
        f"Sheet {sheets}/{sheets}",
        "Cautions",
        "Signatures",
        "Sensitivity to sheet thickness and spacer",
    ):
        assert part in words, part
    for check in demo_study.checks:
        told = check.value_text().split() if check.beyond else [check.value_text()]  # wraps in its column
        assert all(part in words for part in told) and f"{check.verdict}" in words


def test_a_text_longer_than_a_sheet_runs_on():
    study = evaluate(Design.load(DEMO).replace(purpose="word " * 2000, title="title " * 100))
    figures = sheets_of(study).figures
    assert len(figures) > 3
    assert sum(text.count("word") for figure in figures for _, text in boxes_of(figure)) == 2000


@pytest.mark.slow
@examples(30)
@given(st.text(max_size=200), st.floats(10, 190), st.sampled_from([6.3, 7.2, 9.0]))
def test_wrapped_lines_fit_and_nothing_is_lost(text, width, size):
    lines = wrap(text, width, size)
    assert "".join("".join(lines).split()) == "".join(text.split())
    for line in lines:
        assert word_width(line, size) <= width or len(line) == 1, "too wide"


def test_numbers_keep_their_units():
    assert glue("0.2 % of 18.0 mm, 3.4 × and 12 N·m/m; 3 mmm, 2 sheets") == (
        "0.2\u00a0% of 18.0\u00a0mm, 3.4\u00a0× and 12\u00a0N·m/m; 3 mmm, 2 sheets"
    )
    assert glue("≥ 20.0 min, ≤ own") == "≥\u00a020.0\u00a0min, ≤ own"


def test_letters_the_font_lacks_are_replaced_in_the_open():
    assert drawable("a＝b 漢 c\x07d") == "a=b □ c d"


def test_every_kind_of_block_has_markup_and_a_place():
    with pytest.raises(TypeError, match="no markup"):
        html_page.markup("text", {})
    with pytest.raises(TypeError, match="no drawing"):
        pdf_page.draw("text", None, 0.0, 1.0)
    assert "holds" in html_page._verdict(Verdict("holds").word, "holds")


@pytest.mark.slow
@pytest.mark.nightly
def test_letters_that_no_font_has_are_told_on_the_first_page_and_drawn_as_boxes(demo_study, recwarn):
    """A box in the pictures as on the pages, without a warning; by number and name on the page. A job that writes in
    letters that there are is told nothing."""
    plain, odd = (demo_study.design.replace(title=title) for title in ("Лодка é", "船 🚤 é"))
    told = "The font of papers and drawings lacks these letters, and a box stands for each: U+8239"
    pages = {design.title: note.note_contents(evaluate(design)) for design in (plain, odd)}
    assert told not in pages[plain.title]["note.html"].decode()
    html = pages[odd.title]["note.html"].decode()
    assert told in html and "U+1F6A4 SPEEDBOAT" in html and "U+00E9" not in html
    assert "□ □ é" in pages[odd.title]["plots/strain.svg"].decode()
    assert not [w for w in recwarn if "Glyph" in str(w.message)]
