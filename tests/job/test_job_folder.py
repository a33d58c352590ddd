"""A job's folder: nothing lost, nothing torn, every earlier state found again, whoever writes at the same time."""

import json
import subprocess
import sys
from dataclasses import replace

import pytest

from panelmech.job import demo, keep, read_history, read_job, start_job, state_after, step
from panelmech.job.changes import applied, difference, leaves, words_of
from panelmech.job.folder import HISTORY, JOB
from panelmech.job.job import to_sections


def changed(job, **changes):
    return job.with_design(job.design.replace(**changes))


@pytest.fixture
def folder(tmp_path):
    start_job(tmp_path / "rudder", demo(), "a test", "holds")
    return tmp_path / "rudder"


def test_a_change_stands_in_the_file_and_in_words_in_the_history(folder):
    after = changed(demo(), spacer_diameter=0.02)
    kept = keep(folder, demo(), after, "01_bend", "close")
    assert kept.job == after == read_job(folder) and not kept.others and not kept.replaced
    first, second = read_history(folder)
    assert (first.what, second.by, second.verdict) == ("made", "01_bend", "close")
    assert second.what == "spacer diameter 18 mm → 20 mm" and second.hash == after.input_hash()


def test_what_is_not_changed_leaves_every_byte(folder):
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    keep(folder, demo(), demo(), "01_bend")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_undo_and_redo_go_all_the_way_and_past_each_other(folder):
    states = [demo()]
    for span in (0.9, 1.0, 1.1):
        states.append(keep(folder, states[-1], changed(states[-1], span=span), "01_bend").job)
    assert [step(folder, "t") for _ in range(4)] == [states[2], states[1], states[0], None]
    assert [step(folder, "t", forward=True) for _ in range(4)] == [states[1], states[2], states[3], None]
    step(folder, "t")
    other = keep(folder, states[2], changed(states[2], setback=0.001), "01_bend").job
    assert step(folder, "t", forward=True) is None  # a new change ends what could be done again
    assert read_job(folder) == other and step(folder, "t") == states[2]


def test_every_state_of_the_history_is_found_again(folder):
    states, now = [demo()], demo()
    for number in range(5):
        now = keep(folder, now, changed(now, span=0.9 + 0.01 * number), "t").job
        states.append(now)
    history = read_history(folder)
    assert [state_after(history, entry.number) for entry in history] == states


def test_two_hands_at_once_both_stand(folder):
    mine, theirs = changed(demo(), span=0.9), changed(demo(), setback=0.001)
    keep(folder, demo(), theirs, "05_loads")
    kept = keep(folder, demo(), mine, "01_bend")
    assert kept.job.design.span == 0.9 and kept.job.design.setback == 0.001
    assert kept.others == "setback 3 mm → 1 mm" and not kept.replaced


def test_what_gives_way_is_said_and_comes_back_by_undo(folder):
    theirs = changed(demo(), span=1.0)
    keep(folder, demo(), theirs, "05_loads")
    kept = keep(folder, demo(), changed(demo(), span=0.9), "01_bend")
    assert kept.job.design.span == 0.9 and kept.replaced == "span 1000 mm → 900 mm"
    assert step(folder, "01_bend") == theirs


def test_changes_that_cannot_stand_together_leave_the_last_whole_and_the_other_in_the_history(folder):
    theirs, mine = changed(demo(), frame_width=0.2), changed(demo(), span=0.35)
    keep(folder, demo(), theirs, "05_loads")
    kept = keep(folder, demo(), mine, "01_bend")
    assert kept.job == mine and kept.replaced == "closing frame 200 mm → 15 mm"
    assert step(folder, "01_bend") == theirs


def test_a_file_changed_by_hand_joins_the_history(folder):
    by_hand = changed(demo(), span=0.8)
    by_hand.save(folder / JOB)
    keep(folder, by_hand, changed(by_hand, setback=0.0), "01_bend")
    made, outside, mine = read_history(folder)
    assert outside.what == "changed outside the workbook: span 850 mm → 800 mm"
    assert state_after(read_history(folder), 2) == by_hand and mine.what == "setback 3 mm → 0 mm"


def test_a_torn_last_line_loses_no_other(folder):
    after = keep(folder, demo(), changed(demo(), span=0.9), "t").job
    with open(folder / HISTORY, "a", encoding="utf-8") as stream:
        stream.write('{"number": 3, "ti')
    last = keep(folder, after, changed(after, span=1.0), "t").job
    assert read_job(folder) == last and [e.what for e in read_history(folder)][-1] == "span 900 mm → 1000 mm"
    assert step(folder, "t") == after


def test_a_job_is_not_started_over_another(folder):
    with pytest.raises(FileExistsError, match="holds a job already"):
        start_job(folder, demo(), "t")


WRITER = """
import sys
from panelmech.job import keep, read_job
folder, me, count = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
FIELDS = ("span", "setback", "land_length", "friction", "pressure", "toughness_margin", "close_share", "frame_width")
for number in range(count):
    before = read_job(folder)
    value = {"span": 0.5, "setback": 0.0, "land_length": 0.01, "friction": 0.1, "pressure": 1000.0,
             "toughness_margin": 2.0, "close_share": 0.1, "frame_width": 0.01}[FIELDS[me]] * 1.0 + 0.001 * (number + 1)
    after = before.with_design(before.design.replace(**{FIELDS[me]: value}))
    keep(folder, before, after, f"process {me}")
"""


@pytest.mark.slow
def test_eight_processes_on_one_job_lose_nothing_and_tear_nothing(folder):
    count = 12
    run = [subprocess.Popen([sys.executable, "-c", WRITER, folder, str(me), str(count)]) for me in range(8)]
    seen = 0
    while any(process.poll() is None for process in run):
        read_job(folder)  # never half a file
        seen += 1
    assert [process.returncode for process in run] == [0] * 8 and seen > 1
    lines = (folder / HISTORY).read_text(encoding="utf-8").splitlines()
    entries = [json.loads(line) for line in lines]
    assert [entry["number"] for entry in entries] == list(range(1, 8 * count + 2))
    final, history = read_job(folder), read_history(folder)
    assert state_after(history, history[-1].number) == final
    assert (final.design.span, final.design.frame_width) == (0.512, 0.022)  # of each hand the last


def test_words_tell_a_few_changes_and_count_the_rest():
    job = demo()
    other = changed(job, span=0.9, setback=0.0, friction=0.2, title="Rudder").replace(camber=0.4e-3)
    words = words_of(difference(leaves(to_sections(job)), leaves(to_sections(other))))
    assert words == "title “Leeboard” → “Rudder”; setback 3 mm → 0 mm; span 850 mm → 900 mm; and 2 more"


def test_a_change_and_its_way_back():
    job, other = demo(), demo().replace(loads=None, lengths="inch")
    one, two = leaves(to_sections(job)), leaves(to_sections(other))
    assert applied(one, difference(one, two)) == two and applied(two, difference(two, one)) == one


def test_a_loadless_job_keeps_its_loads_out_of_the_file(tmp_path):
    job = replace(demo(), loads=None)
    start_job(tmp_path / "x", job, "t")
    assert read_job(tmp_path / "x") == job
