"""All papers of a job: from one state, into one folder, each page naming it; stale files go, a hand's own stay."""

import csv
import io
import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from panelmech import evaluate
from panelmech.blade.along_checks import evaluate_along
from panelmech.blade.blade import Blade
from panelmech.job.job import demo
from panelmech.loads.in_place import with_loads
from panelmech.measured.readings import Readings
from panelmech.report import note, papers
from panelmech.report.beside import ALONE, Beside
from panelmech.report.folder import digest_of
from panelmech.report.papers import BY_HAND, LIST, LIST_HEAD, PAPERS, write_papers
from panelmech.units import lengths, show

JOB = demo()
BARE = JOB.replace(readings=Readings(), loads=None)  # nothing measured, no loads: quick to write


@pytest.fixture
def quick(monkeypatch):
    """What is tested is the folder, not the pages: each paper is a page that tells its job, and a drawing."""

    def files(kind):
        return lambda state: {
            f"{kind}.html": f"{state.origin.job} {state.origin.hash}".encode(),
            f"plots/{state.origin.hash}.svg": b"drawn",
        }

    monkeypatch.setattr(papers, "_CONTENTS", {kind: files(kind) for kind in PAPERS})
    monkeypatch.setattr(papers, "_worked_out", worked_out)
    monkeypatch.setattr(papers._State, "begin", lambda state, asked: None)


REAL, KNOWN = papers._worked_out, {}


def worked_out(job, origin, beside):
    """As `papers._worked_out`, each job once."""
    if origin.hash not in KNOWN:
        KNOWN[origin.hash] = REAL(job, origin, beside)
    return replace(KNOWN[origin.hash], job=job, origin=origin, beside=beside)


def there(folder):
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    return {name for name in names if not name.endswith(".lock")}


def rows_of(folder):
    return list(csv.reader(io.StringIO((folder / LIST).read_text(encoding="utf-8"))))


def test_the_list_names_every_file_with_its_paper_job_and_state(quick, tmp_path):
    write_papers(JOB, tmp_path / "p", name="my board")
    head, *rows = rows_of(tmp_path / "p")
    assert tuple(head) == LIST_HEAD
    assert {row[0] for row in rows} == there(tmp_path / "p") - {LIST}
    assert {(row[3], row[4]) for row in rows} == {("my board", JOB.input_hash())}
    assert {row[2] for row in rows} == {*PAPERS, "index.html"}


def test_of_an_earlier_state_only_what_a_hand_has_touched_stays(quick, tmp_path):
    first = write_papers(JOB, tmp_path, name="a")
    assert (first.removed, first.left) == ((), ())
    old = JOB.input_hash()
    (tmp_path / "photo.jpg").write_bytes(b"mine")
    (tmp_path / "shop" / "mine.txt").write_bytes(b"mine")
    (tmp_path / "shop" / "plots" / f"{old}.svg").write_bytes(b"my own corrections")
    (tmp_path / "shop" / "shop.html").write_bytes(b"with my remarks")
    second = write_papers(BARE, tmp_path, name="a")
    assert set(second.left) == {"photo.jpg", "shop/mine.txt", f"shop/plots/{old}.svg", f"shop/shop-{BY_HAND}.html"}
    assert (tmp_path / f"shop/shop-{BY_HAND}.html").read_bytes() == b"with my remarks"
    assert f"note/plots/{old}.svg" in second.removed and "loads/loads.html" in second.removed
    assert not (tmp_path / "loads").exists() and not (tmp_path / "inspection").exists()
    assert there(tmp_path) == {row[0] for row in rows_of(tmp_path)[1:]} | {LIST, *second.left}
    assert {row[4] for row in rows_of(tmp_path)[1:]} == {BARE.input_hash()}
    third = write_papers(BARE, tmp_path, name="a")
    assert third.removed == () and third.left == second.left


def test_one_paper_alone_leaves_those_of_the_same_state_and_removes_those_of_another(quick, tmp_path):
    write_papers(JOB, tmp_path, name="a")
    same = write_papers(JOB, tmp_path, "shop", name="a")
    assert same.removed == () and (tmp_path / "note" / "note.html").exists()
    assert "note/note.html" in {row[0] for row in rows_of(tmp_path)}
    other = write_papers(JOB.replace(camber=0.4e-3), tmp_path, ("shop",), name="a")
    assert not (tmp_path / "note").exists() and len(other.removed) == 7
    assert "has not been written of this state" in (tmp_path / "index.html").read_text(encoding="utf-8")


def test_another_jobs_folder_is_refused_unless_told(quick, tmp_path):
    write_papers(BARE, tmp_path, name="a")
    before = {name: (tmp_path / name).read_bytes() for name in there(tmp_path)}
    with pytest.raises(FileExistsError, match="holds the papers of 'a', these are of 'b': give another folder"):
        write_papers(BARE, tmp_path, name="b")
    assert {name: (tmp_path / name).read_bytes() for name in there(tmp_path)} == before
    write_papers(BARE, tmp_path, name="b", replace=True)
    assert "b " in (tmp_path / "note" / "note.html").read_text()


def test_the_folder_beside_a_jobs_own_file_stays_its_own_under_another_name(quick, tmp_path):
    folder = tmp_path / "new name" / "papers"
    write_papers(BARE, folder, name="old name")
    BARE.save(tmp_path / "new name" / "job.json")
    write_papers(BARE, folder, name="new name")
    assert {row[3] for row in rows_of(folder)[1:]} == {"new name"}


def test_files_that_are_no_papers_are_not_overwritten(quick, tmp_path):
    (tmp_path / "note").mkdir()
    (tmp_path / "note" / "note.html").write_text("mine")
    with pytest.raises(FileExistsError, match="no papers of a job: give another folder"):
        write_papers(BARE, tmp_path)
    assert there(tmp_path) == {"note/note.html"} and (tmp_path / "note" / "note.html").read_text() == "mine"


def test_what_cannot_be_made_is_said_and_the_rest_is_written(quick, tmp_path):
    lone = JOB.replace(readings=Readings(JOB.readings.rows[:6]), shop=JOB.shop.replace(stock_length=0.3))
    made = write_papers(lone, tmp_path, name="a")
    assert [paper.kind for paper in made.written] == ["note", "loads"]
    why = {item.kind: item.why for item in made.left_out}
    assert why["inspection"].startswith("not sure yet: ") and "take a larger sheet" in why["shop"]
    page = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert "Not written, for what stands below: inspection record, shop pack." in page
    assert "Not written: not sure yet" in page and "Not written: " in page.split("Shop pack")[1]
    assert any(line.startswith("Inspection record, left out: not sure yet") for line in made.words)


def test_the_front_page_tells_job_state_and_date_of_issue(quick, tmp_path):
    job = BARE.with_design(BARE.design.replace(issued="2026-12-01", title="<b>Board</b>"))
    write_papers(job, tmp_path, name="my & board")
    page = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert f"job {job.input_hash()}" in page and "2026-12-01" in page and "Job: my &amp; board" in page
    assert "&lt;b&gt;Board" in page and "<b>Board" not in page


def test_a_kind_that_there_is_not_is_refused(tmp_path):
    with pytest.raises(ValueError, match="give some of note, inspection, loads, shop"):
        write_papers(JOB, tmp_path / "p", ("notes",))
    assert not (tmp_path / "p").exists()


def test_progress_is_told_before_each_step(quick, tmp_path):
    told = []
    write_papers(BARE, tmp_path, progress=lambda *step: told.append(step))
    assert [step[0] for step in told] == list(range(6)) and {step[1] for step in told} == {6}


def test_eight_at_once_leave_one_whole_state(quick, tmp_path):
    states = (JOB, BARE)
    for job in states:
        write_papers(job, tmp_path / "first", name="a", replace=True)  # worked out before the race
    with ThreadPoolExecutor(8) as hands:
        list(hands.map(lambda i: write_papers(states[i % 2], tmp_path / "p", name="a"), range(8)))
    rows = rows_of(tmp_path / "p")[1:]
    assert len({row[4] for row in rows}) == 1
    assert there(tmp_path / "p") == {row[0] for row in rows} | {LIST}
    for name, digest, *_ in rows:
        assert digest_of((tmp_path / "p" / name).read_bytes()) == digest


def test_a_reading_in_doubt_is_named_as_not_counted(quick, tmp_path):
    def slipped(measured):
        """The demo's job with a decimal point slipped in the first reading of a kind."""
        rows = list(JOB.readings.rows)
        first = next(i for i, row in enumerate(rows) if row.measured == measured)
        rows[first] = replace(rows[first], value=10.0 * rows[first].value)
        return JOB.replace(readings=Readings(tuple(rows)))

    made = write_papers(slipped("thickness"), tmp_path)  # six of them are the fewest
    (item,) = made.left_out
    assert item.kind == "inspection" and item.why.startswith("not sure yet: ") and "20.6 mm" in item.why
    made = write_papers(slipped("droop"), tmp_path)
    (pair,) = [paper.standing for paper in made.written if paper.kind == "inspection"]
    assert pair.verdict == "unsure" and "in doubt" in pair.told
    assert pair.counted == "77 of 78 readings" and "1 reading in doubt" in pair.not_counted
    assert "1 reading in doubt" in (tmp_path / "index.html").read_text(encoding="utf-8").replace("\u00a0", " ")


def test_a_part_that_cannot_be_bent_has_a_front_page_that_says_so(quick, tmp_path):
    blade = JOB.blade.replace(free_length=(0.225, 0.03))
    made = write_papers(JOB.replace(blade=blade), tmp_path)
    why = {item.kind: item.why for item in made.left_out}
    assert (
        why["note"].startswith("cannot be bent so: 850.0 mm from the root end: ") and "loads" in why and "shop" in why
    )
    assert made.index.exists() and not (tmp_path / "note").exists()


def test_the_note_counts_every_place_of_a_tapered_part(quick, tmp_path):
    tapered = write_papers(BARE, tmp_path / "tapered")
    even = write_papers(BARE.replace(blade=BARE.design), tmp_path / "even")
    assert "at 9 places from root end to tip" in tapered.written[0].standing.counted
    assert "places" not in even.written[0].standing.counted


# ----- The pages themselves.


@pytest.mark.slow
def test_every_page_names_job_and_state(whole):
    made, _ = whole
    stamp = f"job {JOB.input_hash()} my board"
    pages = [path for paper in made.written for path in paper.files if path.suffix == ".html"]
    assert len(pages) == 6
    for path in (*pages, made.index):
        page = path.read_text(encoding="utf-8")
        assert f"job {JOB.input_hash()}</span>" in page and "Job: my board</span>" in page, path
        foot = re.search(r'@bottom-left \{ content: "([^"]*)"', page)[1]
        assert stamp in re.sub(r"\\([0-9a-f]{6})", lambda code: chr(int(code[1], 16)), foot), path


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler")
def test_every_sheet_of_paper_names_job_and_state(whole):
    made, _ = whole
    papers_only = [path for paper in made.written for path in paper.files if path.suffix == ".pdf"]
    assert sum(path.parent.name == "plots" for path in papers_only) > 10
    for path in papers_only:
        text = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True).stdout
        *sheets, _ = text.split("\f")
        assert sheets and all(_is_named(path, sheet) for sheet in sheets), path


def _is_named(path, sheet):
    """A drawing whose stamp has no room for the whole name shows its beginning, and the whole state."""
    short = path.name == "wedge.pdf" and re.search(rf"job {JOB.input_hash()} m[y board]*…", sheet)
    return short or f"job {JOB.input_hash()} my board" in sheet


@pytest.mark.slow
@pytest.mark.parametrize(
    "kinds", [("inspection",), pytest.param(tuple(PAPERS), marks=pytest.mark.nightly)], ids=" ".join
)
def test_the_same_job_gives_the_same_bytes_also_from_two_processes(whole, tmp_path, kinds, monkeypatch):
    made, _ = whole
    kept, end = [], Beside.__exit__
    monkeypatch.delenv(ALONE)
    monkeypatch.setattr("panelmech.report.beside._cores", lambda: 2)
    monkeypatch.setattr(papers, "LONG", set(PAPERS))
    monkeypatch.setattr(Beside, "__exit__", lambda self, *error: kept.append(self.process) or end(self, *error))
    again = write_papers(JOB, tmp_path / "again", kinds, name="my board")
    first = {name: (made.folder / name).read_bytes() for name in there(made.folder)}
    papers_again = {name for name in there(again.folder) if "/" in name}
    assert papers_again == {name for name in first if name.partition("/")[0] in kinds}
    assert all((again.folder / name).read_bytes() == first[name] for name in papers_again)
    assert kept[0] is not None  # nothing was given to the second process that it could not do
    if kinds == tuple(PAPERS):
        assert {name: (again.folder / name).read_bytes() for name in there(again.folder)} == first


@pytest.mark.slow
def test_one_paper_written_again_leaves_every_byte(whole):
    made, _ = whole
    first = {name: (made.folder / name).read_bytes() for name in there(made.folder)}
    assert write_papers(JOB, made.folder, ("inspection",), name="my board").removed == ()
    assert {name: (made.folder / name).read_bytes() for name in there(made.folder)} == first


@pytest.mark.slow
def test_papers_are_written_in_reasonable_time(whole):
    assert whole[1] < 200.0  # of one processor; 30 to 45 measured


@pytest.mark.slow
def test_links_of_the_front_page_lead_to_files_that_are_there(whole):
    made, _ = whole
    links = re.findall(r'href="([^"#]+)"', made.index.read_text(encoding="utf-8"))
    assert len(links) == 14 and all((made.folder / link).is_file() for link in links)


@pytest.mark.slow
def test_no_clock_and_no_folder_in_the_files(whole):
    made, _ = whole
    for name in there(made.folder):
        content = (made.folder / name).read_bytes()
        assert b"CreationDate" not in content and not re.search(rb"/(home|tmp|work)/", content), name


@pytest.mark.slow
@pytest.mark.nightly
def test_lengths_are_those_of_the_job(tmp_path):
    write_papers(BARE.replace(lengths="inch"), tmp_path, ("note",))
    assert lengths() == "mm"
    page = (tmp_path / "note" / "note.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "Lengths are in inches" in page and "span 33.46 in" in page


@pytest.mark.slow
def test_the_note_of_a_tapered_part_tells_of_the_whole_part(whole):
    made, _ = whole
    page = (made.folder / "note" / "note.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "is the same all along its span" not in page and "Checks at the root end" in page
    along = with_loads(evaluate_along(JOB.blade), made.verdict.of("loads").record.study)
    assert along.headline() == made.verdict.of("design").told and along.headline() in page
    for check in along.checks:
        assert f"{check.value_text()}</td>" in page and check.reserve_text() in page
    assert f"The bent pair holds {show(along.totals['strain_energy_total'], 'J', 3)}" in page
    assert page.count("Drawing: The tapered part, span 850") == 1  # told once, not again with the loads
    rows = list(csv.DictReader(io.StringIO((made.folder / "note" / "span-checks.csv").read_text(encoding="utf-8"))))
    assert len(rows) == len(along.position) * len(along.checks)
    results = (made.folder / "note" / "results.csv").read_text(encoding="utf-8")
    assert f"{along.totals['sheet_mass']:.6g}"[:6] in results
    assert Blade.load(made.folder / "note" / "part.json") == JOB.blade


def test_a_note_by_itself_tells_of_the_whole_part_only_where_it_changes(monkeypatch, tmp_path):
    asked = []
    files = dict.fromkeys(note.FILES, b"") | {"plots/section.svg": b""}
    monkeypatch.setattr(note, "note_contents", lambda study, *more, **_: asked.append(more) or files)
    for blade in (None, Blade(JOB.design), JOB.blade):
        written = note.write_note(evaluate(JOB.design, local=False), tmp_path / "n", blade=blade)
        shutil.rmtree(tmp_path / "n")
    assert [more[:2] for more in asked] == [(None, None)] * 3
    assert [more[2] is None for more in asked] == [True, True, False] and asked[2][2].blade == JOB.blade
    assert written.names()[-2:] == ("span-checks.csv", "part.json")
