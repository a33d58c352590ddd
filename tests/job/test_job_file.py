"""A job's file: whatever a job holds comes back exactly; whatever a hand does to the file is said in words."""

import copy
import json
from dataclasses import replace

import pytest
from day_and_night import by_day, examples
from hypothesis import given
from random_jobs import jobs

from panelmech.job import Job, demo, keep, read_history, read_job, start_job, state_after, step
from panelmech.job.change_words import words_of
from panelmech.job.changes import applied, difference, leaves, sections_of
from panelmech.job.folder import JOB
from panelmech.job.job import from_sections, job_text, to_sections
from panelmech.measured.readings import Readings
from panelmech.study.design import LIMITS


def plain(sections):
    """As it is in the file."""
    return json.loads(json.dumps(sections, allow_nan=False))


@pytest.mark.slow
@examples(6)
@given(job=jobs)
def test_a_random_job_goes_through_its_file_exactly(job):
    there = from_sections(plain(to_sections(job)))
    assert there == job and job_text(there) == job_text(job) and there.input_hash() == job.input_hash()


@pytest.mark.nightly
@pytest.mark.slow
@examples(5)
@given(one=jobs, two=jobs)
def test_a_change_between_random_jobs_and_its_way_back_are_exact(one, two):
    first, second = (leaves(plain(to_sections(job))) for job in (one, two))
    changes = {path: tuple(pair) for path, pair in plain(difference(first, second)).items()}
    assert applied(first, changes) == second
    assert from_sections(sections_of(applied(first, changes))) == two
    back = {path: (after, before) for path, (before, after) in changes.items()}
    assert from_sections(sections_of(applied(second, back))) == one
    words = words_of(changes)
    assert (words and "{" not in words.replace("“", "")) or any("{" in str(v) for v in first.values())


@pytest.mark.nightly  # by day jobs by hand, in tests/job/test_job_folder.py
@pytest.mark.slow
@examples(2)
@given(one=jobs, two=jobs, three=jobs)
def test_random_jobs_go_through_folder_history_and_undo(tmp_path_factory, one, two, three):
    folder = tmp_path_factory.mktemp("jobs") / "x"
    start_job(folder, one, "t")
    states = [one, *(keep(folder, before, after, "t").job for before, after in ((one, two), (two, three)))]
    assert states == [one, two, three] and read_job(folder) == three
    history = read_history(folder)
    assert state_after(history, history[-1].number) == three and state_after(history, 1) == one
    for _ in history[1:]:
        step(folder, "t")
    assert read_job(folder) == one


def test_a_note_of_several_lines_stays_readable():
    row = replace(demo().readings.rows[0], note="one\r\ntwo\rthree")
    there = from_sections(plain(to_sections(demo().replace(readings=Readings((row,))))))
    assert there.readings.rows[0].note == "one\ntwo\nthree"


def test_the_line_of_the_offsets_stands_in_a_file_only_where_it_is_not_the_usual_one():
    """So files of before are read as they were, with the same hash."""
    usual, free = demo(), demo().replace(offsets_from="free")
    assert "offsets_from" not in job_text(usual) and to_sections(free)["job"]["offsets_from"] == "free"
    assert from_sections(plain(to_sections(free))) == free and free.input_hash() != usual.input_hash()
    changes = difference(leaves(to_sections(usual)), leaves(to_sections(free)))
    assert words_of(changes) == "line that offsets are measured from: the chord line → any straight line"
    assert (
        from_sections(sections_of(applied(leaves(to_sections(free)), {k: v[::-1] for k, v in changes.items()})))
        == usual
    )
    with pytest.raises(ValueError, match="offsets_from.*chord"):
        demo().replace(offsets_from="edge")


def test_a_text_that_looks_like_no_text_is_a_text(tmp_path):
    """What stands for a key that is not there, and marks that end a line elsewhere, are texts like any other."""
    start_job(tmp_path / "x", demo(), "t")
    now = demo()
    for title in ("(nothing)", "null", "two\u2028lines", "a\x85b", "c\x1cd", "tab\tand\nline", ""):
        now = keep(tmp_path / "x", now, now.with_design(now.design.replace(title=title)), "t").job
        assert read_job(tmp_path / "x").design.title == title
    history = read_history(tmp_path / "x")
    assert len(history) == 8 and state_after(history, 4).design.title == "two\u2028lines"
    assert step(tmp_path / "x", "t").design.title == "tab\tand\nline"


def every_key(tree, path=()):
    """Places of all keys below the top, in lists too."""
    items = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in items:
        yield (*path, key)
        if not (isinstance(key, int) and key > 1):  # of a list the first two items
            yield from every_key(value, (*path, key))


def at(tree, path):
    for key in path:
        tree = tree[key]
    return tree


WRONG = (None, "wrong", -1e9, [], {}, True)
SOME = ("wrong", -1e9, [])
CONTENT = json.loads(job_text(demo()))


@pytest.mark.slow
@pytest.mark.parametrize("section", [key for key in CONTENT if key not in ("format", "schema")])
@by_day("values", [SOME, WRONG], SOME, ids=["some", "all"])
def test_whatever_a_hand_writes_into_a_job_is_taken_or_refused_in_words(tmp_path, section, values):
    """Every value in turn replaced by values of other kinds: a job, or an error that names the file and the section."""
    taken, refused = 0, 0
    for path in every_key(CONTENT[section], (section,)):
        for wrong in values:
            content = copy.deepcopy(CONTENT)
            at(content, path[:-1])[path[-1]] = wrong
            text = json.dumps(content)
            (tmp_path / JOB).write_text(text, encoding="utf-8")
            try:
                job = Job.load(tmp_path / JOB)
            except ValueError as error:
                refused += 1
                words = str(error)
                assert words.startswith(f"{JOB}: ") or "not a readable" in words, (path, wrong, words)
                assert len(words) < 1200 and "Traceback" not in words
            else:
                taken += 1
                assert from_sections(plain(to_sections(job))) == job
    assert refused > taken


@pytest.mark.parametrize("section", ["design", "part", "loads", "shop", "job", "readings"])
def test_an_unknown_key_is_named(tmp_path, section):
    content = copy.deepcopy(CONTENT)
    content[section]["spann_mm"] = 3
    (tmp_path / JOB).write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(ValueError, match="spann_mm"):
        Job.load(tmp_path / JOB)


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_an_input_out_of_range_is_named(tmp_path, name):
    content = copy.deepcopy(CONTENT)
    content["design"][LIMITS[name].key] = LIMITS[name].high * 2 + 1e7
    (tmp_path / JOB).write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(ValueError, match=rf"{JOB}: design: .*\({name}\) is .*allowed is"):
        Job.load(tmp_path / JOB)


def test_a_job_file_cut_off_anywhere_is_refused_in_words(tmp_path):
    text = job_text(demo())
    for end in range(0, len(text) - 2, 97):
        (tmp_path / JOB).write_text(text[:end], encoding="utf-8")
        with pytest.raises(ValueError, match="job.json is not a readable job file"):
            Job.load(tmp_path / JOB)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[]", "not a job file"),
        ('{"format": "panelmech study", "schema": 1}', "not a job file"),
        ('{"format": "panelmech job", "schema": 2}', "schema is 2; this version reads schema 1"),
        ('{"format": "panelmech job", "schema": 1}', "design"),
        ('{"format": "panelmech job", "schema": 1, "design": {}, "design": {}}', "key design stands twice"),
        ('{"format": "panelmech job", "schema": 1, "rows": {}}', "unknown key rows"),
        ("[" * 100_000, "nested too deeply"),
        ("\x00\x01", "not a readable job file"),
    ],
)
def test_what_is_no_job_file_says_so(tmp_path, text, words):
    (tmp_path / JOB).write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        Job.load(tmp_path / JOB)
