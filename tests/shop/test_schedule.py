"""The build by the clock: order, waits and windows on their safe ends, nights, gates, and what is refused."""

import itertools
from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from panelmech.materials.stock import ResinSystem, catalogue
from panelmech.shop.resin import times_at
from panelmech.shop.schedule import HANDS_ON, Plan, plan_build
from panelmech.shop.working_day import clock, in_hours, next_clock

FAST = catalogue.resin_systems["epoxy 5:1, fast hardener"]
SLOW = catalogue.resin_systems["epoxy 3:1 by volume, slow clear hardener"]
START = datetime(2026, 3, 2, 9, 0)  # a Monday; invented
PLAN = Plan(START, FAST, SLOW, 295.15, lifts=3, post_cure=323.15)


def step(schedule, key, number=0):
    return [s for s in schedule.steps if s.key == key][number]


@pytest.fixture(scope="module")
def build():
    return plan_build(PLAN)


def test_order(build):
    """The inside faces before closing; the scrap joint before spreading; both frames; the vent before heat."""
    keys = [s.key for s in build.steps]
    assert keys == [
        "prepare",
        "bond",
        "bond_cure",
        "scrap",
        "spread",
        "true",
        "dams",
        "seal",
        "lift",
        "lift",
        "lift",
        "nose_set",
        "frame",
        "frame_cure",
        "drill",
        "frame",
        "cure",
        "drill",
        "plug",
        "vent",
        "full_cure",
        "vented",
        "post_cure",
    ]
    assert [s.start for s in build.steps] == sorted(s.start for s in build.steps)
    assert all(a.end <= b.start for a, b in zip(build.steps, build.steps[1:], strict=False))
    assert [s.key for s in build.steps if s.kind == "gate"] == ["scrap", "true", "vented"]
    assert "scrap joint" in step(build, "scrap").name and build.end == build.steps[-1].end


def test_clock_times_in_plain_arithmetic(build):
    """Two hours of preparing, one of bonding; stressed 24 h later at the data sheet's own temperature."""
    assert step(build, "bond").start == START + timedelta(hours=2)
    assert step(build, "bond_cure").end == START + timedelta(hours=3 + 24)
    assert step(build, "spread").start == START + timedelta(hours=27)


def test_waits_take_the_slow_end_and_windows_the_quick_one():
    cold = plan_build(replace(PLAN, shop_temperature=289.15))
    times = times_at(SLOW, 289.15)
    wait = step(cold, "cure")
    assert (wait.end - wait.start).total_seconds() == pytest.approx(times["stress_time"].slow, abs=1.0)
    wait, bond = step(cold, "bond_cure"), times_at(FAST, 289.15)
    assert (wait.end - wait.start).total_seconds() == pytest.approx(bond["stress_time"].slow, abs=1.0)
    bead, lift = step(cold, "seal"), step(cold, "lift")
    assert (lift.start - bead.start).total_seconds() >= times["tack_from"].slow
    assert (lift.latest - bead.start).total_seconds() == pytest.approx(times["tack_until"].quick, abs=1.0)
    assert times["stress_time"].slow > times["stress_time"].quick


def test_every_lift_meets_the_one_before_in_its_window(build):
    chain = [s for s in build.steps if s.key in ("seal", "lift")]
    for before, after in itertools.pairwise(chain):
        assert before.start + timedelta(seconds=SLOW.tack_from) <= after.start <= after.latest
        assert after.latest == before.start + timedelta(seconds=SLOW.tack_until)
    assert build.warnings == ()


def test_the_heats_own_window_takes_the_place_of_tack():
    found = plan_build(replace(PLAN, lift_window=(4 * 3600.0, 6 * 3600.0), window_label="ILLUSTRATIVE, no product"))
    first, second = step(found, "lift"), step(found, "lift", 1)
    assert timedelta(hours=4) <= second.start - first.start <= timedelta(hours=4, minutes=5)
    assert second.latest == first.start + timedelta(hours=6)
    assert first.latest - step(found, "seal").start == timedelta(seconds=SLOW.tack_until)  # the bead is a thin film
    assert any("ILLUSTRATIVE" in note for note in found.notes)


def test_work_waits_for_the_morning_and_the_chain_for_a_better_hour(build):
    for s in build.steps:
        if s.kind != "wait" and not s.warnings:
            assert time(7, 0) <= s.start.time() and s.end.time() <= time(22, 0)
    late = plan_build(replace(PLAN, start=START.replace(hour=21)))
    assert step(late, "prepare").start == datetime(2026, 3, 3, 7, 0)
    many = plan_build(replace(PLAN, lifts=5, lift_window=(3 * 3600.0, 4 * 3600.0)))
    assert step(many, "seal").start.time() == time(7, 0)  # five lifts just fit into a day that starts with the bead


def test_night_work_is_a_warning_never_moved_out_of_its_window():
    many = plan_build(replace(PLAN, lifts=8, lift_window=(4 * 3600.0, 5 * 3600.0)))
    assert any("out of working hours" in warning for warning in many.warnings)
    chain = [s for s in many.steps if s.key == "lift"]
    for before, after in itertools.pairwise(chain):
        assert before.start + timedelta(hours=4) <= after.start <= before.start + timedelta(hours=5)


def test_no_window_means_a_secondary_bond_and_a_warning():
    missed = plan_build(replace(PLAN, lifts=2, lift_window=(6 * 3600.0, 5 * 3600.0)))
    second = step(missed, "lift", 1)
    assert "secondary bond" in second.warnings[0] and second.latest is None
    assert second.start - step(missed, "lift").start >= timedelta(seconds=SLOW.stress_time)


def test_hands_that_are_too_slow_for_the_resin():
    slow_hands = plan_build(replace(PLAN, hands_on={"bond": 7200.0, "lift": 3000.0}))
    assert "working time may be only 60.0 min" in step(slow_hands, "bond").warnings[0]
    assert "pot life may be only 40.0 min" in step(slow_hands, "lift").warnings[0]
    assert len(slow_hands.warnings) == 4


def test_a_day_too_short_and_a_window_too_short_for_the_clock():
    short = plan_build(replace(PLAN, day=(time(8, 0), time(9, 0))))
    assert any("longer than a working day" in warning for warning in short.warnings)
    narrow = plan_build(replace(PLAN, hands_on={"seal": 1837.0}, lift_window=(7261.0, 7262.0)))
    assert any("too short for the clock" in warning for warning in narrow.warnings)


def test_notes_of_shop_and_resin():
    cold = plan_build(replace(PLAN, shop_temperature=283.15))
    assert any("may never cure" in note and note.startswith("pour") for note in cold.notes)
    assert any("judgement" in note for note in cold.notes)
    odd = plan_build(replace(PLAN, pour=SLOW.with_own(weight_ratio=3.0)))
    assert any("contradict" in note for note in odd.notes)


def test_without_frames_and_post_cure():
    plain = plan_build(replace(PLAN, frames=0, post_cure=None))
    assert not {"frame", "nose_set", "vented", "post_cure"} & {s.key for s in plain.steps}
    one = plan_build(replace(PLAN, frames=1))
    assert [s.key for s in one.steps].count("frame") == 1 and "frame_cure" not in [s.key for s in one.steps]


def test_how_the_second_frame_is_poured():
    """Through the fill hole, once the first has cured and is drilled; onto a dam or foam where there is none."""

    def keys_and_how(**changes):
        made = plan_build(replace(PLAN, **changes))
        keys = [s.key for s in made.steps]
        return keys, [s.words for s in made.steps if s.key == "frame"]

    keys, (first, second) = keys_and_how()
    assert "frame_cure" in keys and "frame_set" not in keys and first.startswith("This end down, through the open")
    assert second.startswith("This end down, through the fill hole; air leaves by the vent")
    for changes, onto in (
        ({"holes": ()}, "onto a dam set inside at the frame line"),
        ({"foam": 1e-3}, "onto the foam"),
    ):
        keys, (_, second) = keys_and_how(**changes)
        assert "frame_set" in keys and "frame_cure" not in keys and second.startswith(f"This end up, {onto}")
    keys, words = keys_and_how(frames=1)
    assert len(words) == 1 and not {"frame_set", "frame_cure"} & set(keys)


def test_frames_in_lifts():
    deep = plan_build(replace(PLAN, frame_lifts=2))
    frames = [s for s in deep.steps if s.key == "frame"]
    assert [s.name[-11:] for s in frames] == ["lift 1 of 2", "lift 2 of 2"] * 2
    for first, second in (frames[:2], frames[2:]):
        assert first.start + timedelta(seconds=SLOW.tack_from) <= second.start <= second.latest
    assert not any("frame of 10 mm" in note for note in deep.notes)
    assert any("frame of 10 mm takes 2 lifts of at most 6.0 mm, 1 planned" in note for note in plan_build(PLAN).notes)


def test_another_start_moves_all_by_whole_days():
    later = plan_build(replace(PLAN, start=START + timedelta(days=7)))
    assert [s.start - timedelta(days=7) for s in later.steps] == [s.start for s in plan_build(PLAN).steps]


def test_places_in_a_working_day():
    day, hour = (time(7), time(22)), timedelta(hours=1)
    assert in_hours(datetime(2026, 3, 2, 5), hour, day) == datetime(2026, 3, 2, 7)
    assert in_hours(datetime(2026, 3, 2, 21), hour, day) == datetime(2026, 3, 2, 21)
    assert in_hours(datetime(2026, 3, 2, 21, 5), hour, day) == datetime(2026, 3, 3, 7)
    assert in_hours(datetime(2026, 3, 2, 9), timedelta(hours=16), day) is None
    assert next_clock(datetime(2026, 3, 2, 9, 0)) == datetime(2026, 3, 2, 9, 0)
    assert next_clock(datetime(2026, 3, 2, 23, 55, 1)) == datetime(2026, 3, 3)


def test_text(build):
    assert clock(datetime(2026, 11, 5, 7, 5)) == "Thu 5 Nov 07:05"
    first = build.steps[0]
    assert first.name == "Prepare both inside faces" and clock(first.start) == "Mon 2 Mar 09:00"
    assert clock(first.end) == "Mon 2 Mar 11:00" and sum(one.latest is not None for one in build.steps) == 3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"hands_on": {"bonding": 60.0}}, "prepare, bond"),
        ({"hands_on": {"bond": -1.0}}, "more than 0 s, up to"),
        ({"lifts": -1}, "lifts is -1: give a whole number from 0 to 100"),
        ({"frames": 3}, "frames is 3: give a whole number from 0 to 2"),
        ({"frame_lifts": 0}, "frame_lifts is 0: give a whole number from 1 to 20"),
        ({"day": (time(9), time(8))}, "working hours"),
        ({"post_cure": 280.0}, "warmer than the shop"),
        ({"lift_window": (0.0, 5.0)}, "lift_window"),
        ({"pour": ResinSystem("bare", "", weight_ratio=5.0)}, "tack_from is not known"),
        ({"bond": ResinSystem("bare", "", weight_ratio=5.0)}, "stress_time is not known"),
        ({"lift_window": (float("nan"), 5.0)}, "lift_window"),
    ],
)
def test_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        replace(PLAN, **changes)


def test_own_times_are_kept_and_cannot_be_written_to():
    plan = replace(PLAN, hands_on={"bond": 1800.0})
    assert plan.takes("bond") == timedelta(minutes=30) and plan.takes("dams") == timedelta(seconds=HANDS_ON["dams"])
    with pytest.raises(TypeError):
        plan.hands_on["bond"] = 1.0
