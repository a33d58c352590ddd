"""A job's folder: nothing lost, nothing torn, every earlier state found again, whoever writes at the same time."""

import errno
import json
import os
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise

import pytest
from day_and_night import by_day

from panelmech.job import demo, keep, read_history, read_job, start_job, state_after, step
from panelmech.job import folder as folder_module
from panelmech.job.change_words import words_of
from panelmech.job.changes import applied, difference, leaves
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


def test_a_line_that_cannot_be_read_is_left_out_and_what_hangs_on_it_is_said(folder):
    now, states = demo(), [demo()]
    for span in (0.9, 1.0, 1.1):
        now = keep(folder, now, changed(now, span=span), "t").job
        states.append(now)
    step(folder, "t")
    path = folder / HISTORY
    lines = path.read_text(encoding="utf-8").splitlines()
    for number, bad in ((1, b"\xff\xfe"), (2, b"{"), (3, b'{"number": "3", "changes": {"a": [1]}}'), (1, b"[]")):
        broken = [line.encode() for line in lines]
        broken[number] = bad
        path.write_bytes(b"\n".join(broken) + b"\n")
        history = read_history(folder)
        assert len(history) == len(lines) - 1 and state_after(history, number) == states[number - 1]
        with pytest.raises(ValueError, match=f"how the job stood after change {number + 1}: a line of it is missing"):
            state_after(history, number + 1)
    path.write_text("\n".join([*lines[:3], lines[4]]), encoding="utf-8")  # the line that was undone is gone
    after = keep(folder, states[2], changed(states[2], setback=0.0), "t").job
    assert step(folder, "t") == states[2] and step(folder, "t", forward=True) == after


def test_a_history_that_is_gone_begins_anew(folder):
    (folder / HISTORY).unlink()
    assert read_history(folder) == () and step(folder, "t") is None
    after = keep(folder, demo(), changed(demo(), span=0.9), "t").job
    history = read_history(folder)
    assert [e.number for e in history] == [1, 2] and state_after(history, 1) == demo() and read_job(folder) == after


@pytest.mark.parametrize(("module", "name"), [(folder_module, "_append"), (os, "fsync"), (os, "replace")])
@pytest.mark.parametrize("gone_well", [0, 1])
def test_a_full_disk_leaves_job_and_history_as_they_were(folder, monkeypatch, module, name, gone_well):
    """Wherever it fails: in the new job file, or after it in the history. What is put back goes through."""
    before, real = {path.name: path.read_bytes() for path in folder.iterdir()}, getattr(module, name)
    calls = []

    def failing(*arguments):
        calls.append(name)
        if len(calls) == gone_well + 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "job.json")
        return real(*arguments)

    monkeypatch.setattr(module, name, failing)
    if gone_well and name != "fsync":  # each is called once
        keep(folder, demo(), demo().replace(camber=0.4e-3), "t")
        before = {path.name: path.read_bytes() for path in folder.iterdir()}
    now = read_job(folder)
    with pytest.raises(OSError, match="No space left on device"):
        keep(folder, now, changed(now, span=0.9), "t")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    assert keep(folder, now, changed(now, span=0.9), "t").job.design.span == 0.9


def test_half_a_line_on_a_full_disk_is_taken_back(folder, monkeypatch):
    before = (folder / HISTORY).read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(errno.ENOSPC, "full")))
        with pytest.raises(OSError, match="full"):
            folder_module._append(folder / HISTORY, b"half a line")
    assert (folder / HISTORY).read_bytes() == before


def test_a_folder_that_may_not_be_written_is_named(folder, monkeypatch):
    def denied(path, *_, **__):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(folder_module, "open", denied, raising=False)
    with pytest.raises(PermissionError, match=r"Permission denied: '.*rudder"):
        keep(folder, demo(), changed(demo(), span=0.9), "t")
    assert read_job(folder) == demo() and len(read_history(folder)) == 1


def test_a_folder_that_stays_locked_is_named(folder, monkeypatch):
    monkeypatch.setattr(folder_module, "PATIENCE", 0.05)
    with folder_module.locked(folder), pytest.raises(TimeoutError, match="stays locked by another program"):
        keep(folder, demo(), changed(demo(), span=0.9), "t")
    assert keep(folder, demo(), changed(demo(), span=0.9), "t").job.design.span == 0.9


def test_a_hand_waits_as_long_as_others_get_through(folder, monkeypatch):
    tries, free = [], folder_module._try

    def busy(stream):  # others write, for much longer than the patience
        tries.append(stream)
        os.utime(folder / HISTORY, ns=(0, len(tries) * 10**9))
        return len(tries) > 20 and free(stream)

    monkeypatch.setattr(folder_module, "PATIENCE", 0.02)
    monkeypatch.setattr(folder_module, "_try", busy)
    assert keep(folder, demo(), changed(demo(), span=0.9), "t").job.design.span == 0.9


KILLED = """
import os, random, signal, sys, time
from panelmech.job import folder as f
from panelmech.job import demo, keep, read_job

place, rounds = sys.argv[1], int(sys.argv[2])
chance = random.Random(3)
for number in range(rounds):
    child = os.fork()
    if child == 0:
        now = read_job(place)
        while True:
            now = keep(place, now, now.with_design(now.design.replace(span=chance.uniform(0.5, 2.0))), "killed").job
    was, end = os.stat(os.path.join(place, f.JOB)).st_mtime_ns, time.monotonic() + 5.0
    while os.stat(os.path.join(place, f.JOB)).st_mtime_ns == was and time.monotonic() < end:
        time.sleep(0.0005)
    time.sleep(chance.uniform(0.0, 0.03))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    read_job(place)
    with open(os.path.join(place, f.LOCK), "a+b") as stream:
        assert f._try(stream), "the lock outlived its process"
now = read_job(place)
last = keep(place, now, now.with_design(now.design.replace(span=0.77)), "after all").job
history = f.read_history(place)
assert [entry.number for entry in history] == list(range(1, len(history) + 1))
assert f.state_after(history, len(history)) == last == read_job(place)
assert not [name for name in os.listdir(place) if name.endswith(".part")]
print(len(history))
"""


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@by_day("times", [8, 50], 8)
def test_processes_killed_at_any_moment_leave_a_job_and_a_free_lock(folder, times):
    run = [sys.executable, "-c", KILLED, folder, str(times)]
    run = subprocess.run(run, capture_output=True, text=True, timeout=300)
    assert run.returncode == 0, run.stderr
    assert int(run.stdout) > times  # each had begun to write


SAME = """
import sys
from panelmech.job import keep, read_job
folder, me, count = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
for number in range(count):
    before = read_job(folder)
    after = before.with_design(before.design.replace(span=0.5 + 0.1 * me + 0.001 * number))
    assert keep(folder, before, after, f"process {me}").job == after
"""


@pytest.mark.slow
@by_day(("hands", "count"), [(2, 5), (8, 8)], (2, 5))
def test_processes_on_one_field_leave_every_value_in_the_history(folder, hands, count):
    run = [subprocess.Popen([sys.executable, "-c", SAME, folder, str(me), str(count)]) for me in range(hands)]
    assert [process.wait() for process in run] == [0] * hands
    history = read_history(folder)
    values = sorted(entry.changes["design/span_mm"][1] for entry in history[1:])
    wanted = sorted(round(500 + 100 * me + number, 9) for me in range(hands) for number in range(count))
    assert values == pytest.approx(wanted) and len(history) == hands * count + 1
    assert all(a.changes["design/span_mm"][1] == b.changes["design/span_mm"][0] for a, b in pairwise(history[1:]))
    assert state_after(history, len(history)) == read_job(folder)


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
@by_day(("hands", "count"), [((0, 7), 8), (range(8), 12)], ((0, 7), 8), ids=["two", "eight"])
def test_processes_on_one_job_lose_nothing_and_tear_nothing(folder, hands, count):
    run = [subprocess.Popen([sys.executable, "-c", WRITER, folder, str(me), str(count)]) for me in hands]
    seen = 0
    while any(process.poll() is None for process in run):
        read_job(folder)  # never half a file
        seen += 1
    assert [process.returncode for process in run] == [0] * len(hands) and seen > 1
    lines = (folder / HISTORY).read_text(encoding="utf-8").splitlines()
    entries = [json.loads(line) for line in lines]
    assert [entry["number"] for entry in entries] == list(range(1, len(hands) * count + 2))
    final, history = read_job(folder), read_history(folder)
    assert state_after(history, history[-1].number) == final
    last = pytest.approx(0.001 * count)  # of each hand
    assert (final.design.span - 0.5, final.design.frame_width - 0.01) == (last, last)


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
