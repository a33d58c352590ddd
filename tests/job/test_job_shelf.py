"""The shelf: names that are plain file names everywhere, what is taken, renamed, duplicated, put away, taken in."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.blade import Blade
from panelmech.job import (
    Job,
    demo,
    duplicate,
    job_names,
    job_of,
    keep,
    new_job,
    open_job,
    open_name,
    read_history,
    read_job,
    rename,
    shelf_of,
    take_in,
)
from panelmech.job.shelf import CURRENT, free_name, plain_name, remove
from panelmech.shop.choices import ShopChoices
from panelmech.study.design import Design

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    monkeypatch.delenv("PANELMECH_JOB", raising=False)
    new_job("rudder", demo(), "a test", "holds", tmp_path / "jobs")
    return tmp_path / "jobs"


@pytest.mark.parametrize(
    "name",
    ["", " ", ".", "..", "../x", "a/b", "a\\b", "/etc", "C:x", "con", "CON.txt", "aux ", "nul.", "lpt9", "com1.tar.gz"]
    + ["con .x", "-x", "+", ".x", "x" * 81, "a\nb", "a\0b", "a*", "a?", "<a>", 'a"b', "a|b", "𐌰" * 61, "\udcff"],
)
def test_what_is_no_plain_file_name_is_refused_in_words(shelf, name):
    with pytest.raises(ValueError, match="cannot be the name of a job: use letters, digits"):
        new_job(name, demo(), "t", shelf=shelf)
    assert job_names(shelf) == ["rudder"] and sorted(p.name for p in shelf.parent.iterdir()) == ["jobs"]


@pytest.mark.parametrize("name", ["x" * 80, "Ruder groß", "舵 1", "v1.2+b", "_a", "Über-Ruder", "console", "9"])
def test_names_of_any_language_are_kept(shelf, name):
    folder = new_job(name, demo(), "t", shelf=shelf)
    assert folder.parent == shelf and name in job_names(shelf) and job_of(name, shelf) == demo()
    open_job(name, shelf)
    assert open_name(shelf) == name


def test_a_letter_typed_in_two_ways_is_one_name(shelf):
    new_job("Ru\u0301der", demo(), "t", shelf=shelf)
    assert "R\u00fader" in job_names(shelf)
    with pytest.raises(FileExistsError):
        new_job("R\u00fader", demo(), "t", shelf=shelf)


@given(name=st.text(max_size=90))
def test_a_name_stays_within_its_folder_or_is_refused(name):
    try:
        plain = plain_name(name)
    except ValueError:
        return
    assert (Path(plain).name == plain and plain == plain.strip(" .")) or plain[:1] not in (" ", ".")
    assert plain_name(plain) == plain and len(plain.encode()) <= 240


def test_ends_that_a_file_system_drops_are_dropped_everywhere(shelf):
    new_job("spare. ", demo(), "t", shelf=shelf)
    open_job(" spare.", shelf)
    assert open_name(shelf) == "spare"


def test_the_demo_is_never_written_to(shelf):
    for name in ("demo", "Demo", " DEMO "):
        for change in (lambda n: new_job(n, demo(), "t", shelf=shelf), lambda n: rename("rudder", n, shelf)):
            with pytest.raises(ValueError, match="the demo is never written to"):
                change(name)
        assert open_job(name, shelf) == demo() and open_name(shelf) == "demo"
    shutil.copytree(shelf / "rudder", shelf / "demo")
    assert job_names(shelf) == ["rudder"] and [item.name for item in shelf_of(shelf)] == ["rudder", "demo"]


def test_a_taken_name_is_refused_whatever_its_capitals(shelf):
    (shelf / "other").mkdir()
    (shelf / "other" / "notes.txt").write_text("mine")
    (shelf / "a file").write_text("mine")
    for name in ("rudder", "RUDDER", "other", "a file"):
        with pytest.raises(FileExistsError, match="give another name"):
            new_job(name, demo(), "t", shelf=shelf)
    assert free_name("Rudder", shelf) == "Rudder-2" and free_name("demo", shelf) == "demo-2"


def test_a_name_whose_job_could_not_be_begun_is_free_again(shelf, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device", "job.json")

    with monkeypatch.context() as patch:
        patch.setattr("panelmech.job.folder.write_atomically", full)
        with pytest.raises(OSError, match="No space left"):
            new_job("spare", demo(), "t", shelf=shelf)
    assert new_job("spare", demo(), "t", shelf=shelf) and job_of("spare", shelf) == demo()


def test_rename_takes_history_and_papers_along_and_stays_open(shelf):
    after = keep(shelf / "rudder", demo(), demo().replace(camber=0.4e-3), "t").job
    (shelf / "rudder" / "papers").mkdir()
    open_job("rudder", shelf)
    folder = rename("rudder", "Tiller", shelf)
    assert (read_job(folder), open_name(shelf), job_names(shelf)) == (after, "Tiller", ["Tiller"])
    assert len(read_history(folder)) == 2 and (folder / "papers").is_dir()
    assert rename("Tiller", "tiller", shelf).name == "tiller"
    new_job("spare", demo(), "t", shelf=shelf)
    for name, error in (("spare", FileExistsError), ("SPARE", FileExistsError), ("..", ValueError)):
        with pytest.raises(error):
            rename("tiller", name, shelf)
    with pytest.raises(ValueError, match="there is no job 'gone'"):
        rename("gone", "x", shelf)
    assert job_names(shelf) == ["spare", "tiller"]


def test_duplicate_begins_anew_as_the_other_stands(shelf):
    after = keep(shelf / "rudder", demo(), demo().replace(camber=0.4e-3), "t", "close").job
    folder = duplicate("rudder", "spare", "a test", shelf)
    (entry,) = read_history(folder)
    assert read_job(folder) == after and (entry.by, entry.verdict) == ("a test, from rudder", "close")
    assert read_job(duplicate("Demo", "lee", "t", shelf)) == demo()


def test_what_is_removed_lies_aside_and_can_come_back(shelf):
    first = remove("rudder", shelf)
    new_job("rudder", demo().replace(loads=None), "t", shelf=shelf)
    second = remove("rudder", shelf)
    assert job_names(shelf) == [] and first != second and read_job(first) == demo()
    shutil.move(first, shelf / "rudder")
    assert job_of("rudder", shelf) == demo()
    with pytest.raises(ValueError, match="there is no job 'none'"):
        remove("none", shelf)
    (shelf / "rudder" / "job.json").write_text("{")
    assert remove("rudder", shelf).is_dir() and job_names(shelf) == []


@pytest.mark.parametrize("text", ["", "{", "[]", '{"open": 3}', '{"open": "../rudder"}', '{"open": "gone"}', "\x00"])
def test_a_torn_note_of_the_open_job_opens_the_demo(shelf, text):
    (shelf / CURRENT).write_text(text)
    assert open_name(shelf) == "demo"


def test_the_environment_goes_before_what_somebody_opened(shelf, monkeypatch):
    open_job("rudder", shelf)
    monkeypatch.setenv("PANELMECH_JOB", "demo")
    assert open_name(shelf) == "demo"


def test_the_shelf_lists_what_cannot_be_read_with_the_reason(shelf):
    (shelf / "torn").mkdir()
    (shelf / "torn" / "job.json").write_text('{"format": "pan')
    items = {item.name: item for item in shelf_of(shelf)}
    assert items["torn"].job is None and "not a readable job file" in items["torn"].wrong
    assert items["rudder"].job == demo() and items["rudder"].verdict == "holds" and items["demo"].open


def test_older_files_of_each_kind_are_taken_in():
    files = {path.name: path for path in STUDIES.iterdir()}
    empty = Job(Design.load(files["leeboard.json"]))
    job, words = take_in(empty, files["leeboard_blade.json"])
    assert job.blade == Blade.load(files["leeboard_blade.json"]) and words == "part along its span"
    job, words = take_in(job, files["leeboard_readings.csv"])
    assert job.readings == demo().readings and words == "readings of the bench"
    job, words = take_in(job, files["leeboard_loads.json"])
    assert job.loads == demo().loads and words == "loads"
    job, words = take_in(job, files["leeboard.json"])
    assert job.blade == empty.blade and job.loads == demo().loads and words == "design"


def test_shop_and_job_files_and_folders_of_jobs_are_taken_in(shelf, tmp_path):
    ShopChoices(kerf=1e-3).save(tmp_path / "shop.json")
    assert take_in(demo(), tmp_path / "shop.json") == (demo().replace(shop=ShopChoices(kerf=1e-3)), "shop's choices")
    plain = demo().replace(loads=None)
    assert take_in(plain, shelf / "rudder") == take_in(plain, shelf / "rudder" / "job.json") == (demo(), "whole job")


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("x.json", "{}", "x.json is no file of the workbook"),
        ("x.json", '{"format": ["panelmech job"]}', "x.json is no file of the workbook"),
        ("x.json", "{", "x.json is not a readable workbook file"),
        ("x.json", '{"format": "panelmech study", "schema": 1, "design": {"span_mm": 3}}', "x.json: design: missing"),
        ("x.csv", "a,b\n1,2\n", "x.csv, row 1: unknown column"),
        ("x.csv", "", "x.csv is empty"),
    ],
)
def test_what_cannot_be_taken_in_is_named(tmp_path, name, text, words):
    (tmp_path / name).write_text(text)
    with pytest.raises(ValueError, match=words):
        take_in(demo(), tmp_path / name)


MAKER = """
import sys
from panelmech.job import demo, new_job
try:
    new_job("spare", demo().replace(camber=1e-3 * int(sys.argv[2])), "t", shelf=sys.argv[1])
except FileExistsError:
    sys.exit(7)
"""


@pytest.mark.slow
def test_of_four_that_make_one_job_at_once_one_does(shelf):
    runs = [subprocess.Popen([sys.executable, "-c", MAKER, shelf, str(n)]) for n in range(1, 5)]
    codes = [run.wait() for run in runs]
    assert sorted(codes) == [0, 7, 7, 7]
    made = read_job(shelf / "spare")
    assert made.camber == pytest.approx(1e-3 * (1 + codes.index(0))) and len(read_history(shelf / "spare")) == 1
    assert json.loads((shelf / "spare" / "job.json").read_text())["schema"] == 1
