"""All papers of a job: from one state, into one folder, each page naming it; stale files go, a hand's own stay."""

import csv
import io

import pytest

from panelmech.job.job import demo
from panelmech.measured.readings import Readings
from panelmech.report import papers
from panelmech.report.papers import BY_HAND, LIST, LIST_HEAD, PAPERS, write_papers

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


REAL, KNOWN = papers._worked_out, {}


def worked_out(job, origin):
    """As `papers._worked_out`, each job once."""
    if origin.hash not in KNOWN:
        KNOWN[origin.hash] = REAL(job, origin)
    return papers._State(job, origin, KNOWN[origin.hash].made, KNOWN[origin.hash].why)


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
    assert "Not written: not sure yet" in page and "Not written: " in page.split("Shop pack")[1]
    assert any(line.startswith("Inspection record, left out: not sure yet") for line in made.words)


def test_a_kind_that_there_is_not_is_refused(tmp_path):
    with pytest.raises(ValueError, match="give some of note, inspection, loads, shop"):
        write_papers(JOB, tmp_path / "p", ("notes",))
    assert not (tmp_path / "p").exists()


def test_progress_is_told_before_each_step(quick, tmp_path):
    told = []
    write_papers(BARE, tmp_path, progress=lambda *step: told.append(step))
    assert [step[0] for step in told] == list(range(6)) and {step[1] for step in told} == {6}
