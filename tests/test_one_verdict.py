"""One verdict: every place that says how a job stands says the same of the same job.

Over random jobs, of the worked example with other sizes, stock, loads, readings and shop's choices: papers, index page,
exit codes, panels, history, shelf and the judge of map and choice. What papers print has a unit or says that it is a
pure number, and names a basis of the one list.
"""

import random
import re
import shutil
from dataclasses import replace
from html import unescape

import pytest
from day_and_night import by_day

from panelmech import panels
from panelmech.__main__ import main
from panelmech.blade.blade import Blade
from panelmech.job.every import judge_of
from panelmech.job.job import demo
from panelmech.job.shelf import new_job, shelf_of
from panelmech.job.verdict import WORST_FIRST, judge_job, worst_word
from panelmech.materials.stock import catalogue
from panelmech.measured.readings import Readings
from panelmech.panels.study_tables import plain
from panelmech.report import note, papers, shop_sheets
from panelmech.report.blocks import Banner, Column, Pair, Table
from panelmech.report.job_words import with_job
from panelmech.study.inside import Inside, Rib, Zone
from panelmech.study.verdicts import CHECK_BASES, CLOSE, FAILS, HOLDS, UNSURE, said
from panelmech.units import FACTORS, pretty_unit

DEMO = demo()
FINE, MOVED, BAD_INPUT, INFEASIBLE = range(4)
SIZES = ("sheet_thickness", "free_length", "spacer_diameter", "land_length", "frame_width", "friction", "pressure")
FEW = (3, 4, 5, 7)  # fails by loads and pours, close, fails by its pours alone, unknown
MANY = range(8, 20)


def random_job(seed):
    """The worked example with some of it changed by chance: what holds, what fails, what cannot be."""
    chance = random.Random(seed)
    design, blade = DEMO.design, DEMO.blade
    for name in chance.sample(SIZES, 2):
        design = design.replace(**{name: getattr(design, name) * chance.choice((0.6, 0.9, 1.0, 1.0, 1.2))})
    if chance.random() < 0.2:
        design = design.replace(sheet=chance.choice(sorted(catalogue.sheets.values(), key=lambda s: s.name)))
    blade = Blade(design) if chance.random() < 0.6 else blade.with_root(design)
    few = chance.choice((0, 0, 0, 2, len(DEMO.readings.rows)))
    warm, by = chance.choice((290.0, 295.0, 295.0, 295.0, 308.0)), chance.choice(("lesser of both", "data sheet"))
    choices = DEMO.shop.replace(shop_temperature=warm, lift_choice=by)
    if chance.random() < 0.1:
        choices = choices.replace(stock_length=0.15)
    return DEMO.replace(blade=blade, readings=Readings(DEMO.readings.rows[:few]), loads=loads(chance), shop=choices)


def loads(chance):
    if chance.random() < 0.4:
        return None
    times, plan = chance.choice((0.5, 0.8, 1.5)), replace(DEMO.loads.plan, stations=9)
    cases = (replace(c, speed=times * c.speed) if hasattr(c, "speed") else c for c in plan.cases)
    return replace(DEMO.loads, plan=replace(plan, cases=tuple(cases)))


class _Pages:
    """Pages that nobody needs to see here."""

    figures = (None,)

    def finish(self, *_):
        """Nothing to number."""

    def pdf(self, *_):
        """No PDF."""
        return b""


@pytest.fixture
def told(monkeypatch):
    """{paper: its blocks} of all papers that are written, none of them drawn or laid out."""
    found = {}

    def pages(design, stamp, blocks, *_, document="design note", **__):
        found[document] = blocks
        return (b"", b""), {"plots/section.svg": b""}

    monkeypatch.setattr(note, "_pages", pages)
    monkeypatch.setattr(papers._State, "drawings", lambda self, kind: {})
    for name in ("study_drawings", "along_drawings", "load_drawings", "inspection_drawings"):
        monkeypatch.setattr(note, name, lambda *_, **__: {})
    monkeypatch.setattr(shop_sheets, "_html", lambda pack, name, blocks, *_: found.update({name: blocks}) or b"")
    monkeypatch.setattr(shop_sheets, "_placed", lambda *_: _Pages())
    monkeypatch.setattr(shop_sheets, "_stamped_templates", lambda *_: [])
    monkeypatch.setattr(shop_sheets, "sheet_count", lambda *_: 0)
    monkeypatch.setattr(shop_sheets._Sheets, "templates", lambda self: ())
    monkeypatch.setattr(shop_sheets, "PACK_FIGURES", ())
    return found


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder of its own to work in, nothing pinned."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PANELMECH_JOB", raising=False)
    return tmp_path


def code_of(verdict):
    """The exit code that a verdict asks for."""
    return INFEASIBLE if not verdict.bent else FINE if verdict.word in (HOLDS, CLOSE) else MOVED


def same_everywhere(job, told, place, capsys, kinds):
    verdict = judge_job(job)
    new_job("part", job, "a test", said(verdict.word))
    line = f"The job: {said(verdict.word)}. "
    assert main(["check", "part", "--must-hold"]) == code_of(verdict)
    out, err = capsys.readouterr()
    assert out.startswith(f"part: {line}") and all(
        f"{part.title}: {check.name if check else ''}" in err for part, check in verdict.failing if verdict.bent
    )
    assert main(["papers", "part", "--must-hold"]) == code_of(verdict)
    if verdict.bent:
        assert capsys.readouterr().out.startswith(line)
        in_papers(verdict, told, (place / "jobs" / "part" / "papers" / "index.html").read_text(encoding="utf-8"))
        for command, kind in (("shop", "shop"), ("loads", "loads"), ("note", "design")):
            if getattr(verdict.of(kind), "record", None):
                assert main([command, "part", "--must-hold"]) == code_of(verdict), command
    for kind in kinds:
        in_panel(verdict, kind(job, jobs=place / "none", out=place / "out"))
    assert next(item.verdict for item in shelf_of("jobs") if item.name == "part") == said(verdict.word)
    beside = [part.word for part in verdict.parts if part.kind in ("design", "loads")]
    if all(part.record for part in verdict.parts if part.kind in ("design", "loads")):
        assert judge_of(job)(job.design).verdict == worst_word(beside)
    shutil.rmtree("jobs")


def in_papers(verdict, told, index):
    assert f"The job: {said(verdict.word)}." in unescape(index)
    records = {part.kind for part in verdict.parts if part.record}
    assert len(told) == sum({"design": 1, "pair": 1, "measured": 0, "loads": 1, "shop": 3}[kind] for kind in records)
    for document, blocks in told.items():
        banner = blocks[1]
        assert isinstance(banner, Banner) and banner.about == "The job", document
        assert (banner.verdict, banner.text) == (verdict.word, verdict.headline), document
    told.clear()


def in_panel(verdict, panel):
    panel.finish()
    if panel.stale:
        assert not verdict.bent and verdict.word == FAILS
    else:
        assert plain(panel.parts["verdict"].value).partition(" ")[2].startswith(verdict.line)
        assert panel.summary().splitlines()[0] == plain(panel.parts["verdict"].value)


@pytest.mark.slow
@by_day("seed", FEW, 5)
def test_every_place_says_the_same_of_a_job(seed, told, place, capsys):
    same_everywhere(random_job(seed), told, place, capsys, (panels.panel_bend,))


@pytest.mark.slow
@by_day("seed", MANY, 16)
def test_every_place_says_the_same_of_many_jobs(seed, told, place, capsys):
    every = (panels.panel_bend, panels.panel_pairs, panels.panel_shop, panels.panel_loads)
    job = random_job(seed)
    same_everywhere(job, told, place, capsys, every if job.loads else every[:-1])


@pytest.mark.slow
def test_jobs_by_chance_are_of_every_kind():
    """The test above tries something: of its jobs some hold and some do not."""
    words = {judge_job(random_job(seed)).word for seed in FEW}
    assert len(words) > 2 and words <= set(WORST_FIRST)


def test_a_job_that_cannot_be_bent_is_told_so_everywhere(told, place, capsys):
    wide = DEMO.with_design(DEMO.design.replace(spacer_diameter=0.15))
    same_everywhere(wide, told, place, capsys, (panels.panel_bend, panels.panel_pairs))


RIBBED = Inside((Rib(0.3, 0.012), Rib(0.5, 0.02)), (Zone(0.0, 0.06),))


@pytest.mark.slow
@pytest.mark.parametrize("tapered", [False, True])
def test_every_place_says_the_same_of_a_job_with_ribs(tapered, told, place, capsys):
    design = DEMO.design.replace(inside=RIBBED)
    sheet = replace(DEMO.loads, plan=replace(DEMO.loads.plan, stations=9))
    job = DEMO.replace(blade=DEMO.blade.with_root(design) if tapered else Blade(design), loads=sheet)
    same_everywhere(job, told, place, capsys, (panels.panel_bend, panels.panel_shop, panels.panel_loads))


@pytest.mark.slow
def test_a_panel_forgets_what_is_no_longer_so(place):
    panel = panels.panel_pairs(DEMO)
    panel.views["readings"].fields["thickness", "A", "values"].value = "2.39 2.38 2.37 2.36 2.36 2.35"
    in_panel(judge_job(panel.job()), panel)
    assert panel.verdict.word == UNSURE
    panel = panels.panel_shop(DEMO.replace(readings=Readings()))
    panel.shop.numbers["shop_temperature"].value = 15
    assert plain(panel.parts["verdict"].value).partition(" ")[2].startswith("The design: ")
    in_panel(judge_job(panel.job()), panel)
    assert panel.verdict.word == FAILS and panel.verdict.governing[0].kind == "shop"


# ----- What was wrong: papers and exit codes told of their own part alone.


@pytest.mark.slow
def test_a_note_with_loads_that_fail_does_not_exit_with_0(told, place, capsys):
    DEMO.design.save("part.json")
    plan = DEMO.loads.plan
    fast = tuple(replace(case, speed=4.0) if hasattr(case, "speed") else case for case in plan.cases)
    replace(DEMO.loads, plan=replace(plan, cases=fast)).save("fast.json")
    assert main(["note", "part.json", "--out", "note"]) == FINE
    assert main(["note", "part.json", "--out", "loaded", "--loads", "fast.json", "--must-hold"]) == MOVED
    out, err = capsys.readouterr()
    assert "The job: fails. Governing, of the part under its loads: " in out
    assert "the part under its loads: Skin buckling, share of critical compression and shear: fails" in err
    assert told["design note"][1].verdict == FAILS


@pytest.mark.nightly  # by day the jobs by chance
@pytest.mark.slow
def test_a_shop_pack_of_a_design_that_fails_does_not_exit_with_0(told, place, capsys):
    DEMO.design.replace(spacer_diameter=0.06, sheet_thickness=0.003).save("part.json")
    assert main(["shop", "part.json", "--out", "pack", "--must-hold"]) == MOVED
    out, err = capsys.readouterr()
    assert "The job: fails. Governing, of the design: " in out and "The pours: " in out
    assert "the design: Opening energy of the land: fails" in err
    assert all(told[name][1].verdict == FAILS for name in shop_sheets.SHEETS)


# ----- What papers print.


UNITS = {pretty_unit(unit) for unit in FACTORS if unit}
PURE = re.compile(r"\bover\b|[Pp]ower of|ratio|coefficient|\bNo\.|Pots|[Ff]riction|[Ff]actor|[Rr]eserve")
BARE = re.compile(r"[≤≥+\-−±\s]*\d[\d.,\s]*")  # beside △, ▽ or = a number is bent over flat, as is said below them


@pytest.fixture
def paper_blocks(told, tmp_path):
    papers.write_papers(DEMO, tmp_path / "papers")
    return dict(told)


def tables(blocks):
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Pair):
            yield from tables((*block.left, *block.right))


def bare(table):
    """(row, head, cell) of every number that stands without a unit and is not told to be a pure one."""
    for row in (row for row in table.rows if isinstance(row, tuple)):
        for column, cell in zip(table.columns, row, strict=True):
            head_unit = column.head.rpartition(", ")[2] in UNITS
            pure = PURE.search(f"{column.head} {row[0]} {table.caption}")
            if isinstance(cell, str) and BARE.fullmatch(cell) and not head_unit and not pure:
                yield row[0], column.head, cell


def test_every_number_in_a_table_has_a_unit_or_says_that_it_is_pure(paper_blocks):
    found = {(name, *cell) for name, blocks in paper_blocks.items() for t in tables(blocks) for cell in bare(t)}
    assert found == set()


def test_a_number_without_a_unit_is_noticed():
    columns = Column("Case"), Column("Side force", look="number")
    table = Table("Loads", columns, (("sailing", "54.6"), ("aground", "4 N")))
    assert list(bare(table)) == [("sailing", "Side force", "54.6")]


@by_day("seed", FEW, 5)
def test_every_basis_is_one_of_the_list(seed):
    verdict = judge_job(random_job(seed))
    assert {check.basis for part in verdict.parts for check in part.checks} <= set(CHECK_BASES)


def test_a_paper_tells_what_it_has_counted_and_what_not():
    verdict = judge_job(DEMO)
    _, banner, counted = with_job((None,), verdict, ("design", "pair"))
    words = " ".join(f"{lead} {text}" for lead, text in counted.items)
    assert banner.lead == "The job: close."
    for part in verdict.parts:
        assert f"{part.title}, {said(part.word)}" in words
        assert (part.counted in words and part.not_counted in words) is (part.kind in ("design", "pair"))
