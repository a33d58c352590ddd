"""The shop pack: its numbers agree with direct computation, and what is cut, mixed and built agree with each other."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import InfeasibleBend, catalogue, evaluate
from panelmech.report.shop_rows import (
    batch_csv_rows,
    cautions,
    cut_csv_rows,
    lift_words,
    needs_rows,
    schedule_csv_rows,
    step_rows,
    system_rows,
    volume_csv_rows,
    weigh_rows,
)
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import marks, mass_rows, parts, shop_pack, stock_words
from panelmech.shop.pours import front_area_below, lift_count, nose_depth
from panelmech.shop.resin import mix_batch
from panelmech.shop.volumes import FRAME_PLENTY
from panelmech.study.verdicts import CLOSE, FAILS, HOLDS

SLOW = catalogue.resin_systems["slow casting resin, 2:1 by volume"]
COARSE = ShopChoices(scale_resolution=0.005)


@pytest.fixture(scope="module")
def pack():
    return shop_pack(LEEBOARD)


@pytest.fixture(scope="module")
def warm():
    """In a warm shop lifts are thinner, and there are more of them."""
    return shop_pack(LEEBOARD, ShopChoices(shop_temperature=303.15))


# ----- lifts of the nose -----


@pytest.mark.parametrize("setback", [-8e-3, -3e-3, 0.0, 3e-3, 12e-3])
def test_front_below_the_whole_depth_is_the_front(setback):
    bend = LEEBOARD.replace(setback=setback).bend()
    assert front_area_below(bend, nose_depth(bend)) == pytest.approx(bend.front_area, rel=1e-9)  # rounding


def test_front_below_a_depth_by_counting_points():
    """Second road: random points between contacts and mouth; within four standard errors of the count."""
    bend = LEEBOARD.bend()
    radius, angle, depth = bend.spacer_radius, bend.contact_angle, nose_depth(bend)
    points = np.random.default_rng(7).uniform(size=(400_000, 2))
    x, y = points[:, 0] * depth, (2.0 * points[:, 1] - 1.0) * 0.5 * bend.mouth
    face = radius * np.cos(angle) + x * np.tan(angle)
    outside = np.hypot(x - radius * np.sin(angle), y) > radius
    for share in (0.2, 0.5, 0.9):
        inside = (np.abs(y) < face) & outside & (x < share * depth)
        area = inside.mean() * depth * bend.mouth
        error = 4.0 * depth * bend.mouth * np.sqrt(inside.mean() / len(points))
        assert front_area_below(bend, share * depth) == pytest.approx(area, abs=error)


def test_front_below_ends_and_order():
    bend = LEEBOARD.bend()
    depths = np.linspace(-1e-3, nose_depth(bend) + 1e-3, 50)
    areas = front_area_below(bend, depths)
    assert areas[0] == 0.0 and areas[-1] == front_area_below(bend, nose_depth(bend)) and np.all(np.diff(areas) >= 0.0)


@pytest.mark.parametrize(("depth", "count"), [(0.012, 2), (0.0121, 3), (0.003, 1), (0.018, 3)])
def test_lifts_are_as_few_as_the_depth_allows(depth, count):
    assert lift_count(depth, 0.006) == count


# ----- volumes, grams -----


def test_pours_add_up_to_the_volumes(pack, warm):
    for found in (pack, warm):
        there = {row.name: row.volume for row in found.volumes.rows}
        assert sum(line.volume for line in found.of("nose")) == pytest.approx(there["potted nose"], rel=1e-12)
        frames = there["closing frame, root end"] + there["closing frame, tip end"]
        assert sum(line.volume for line in found.of("frame")) == pytest.approx(frames, rel=1e-12)
        total = sum(row.volume for row in found.volumes.rows if row.material != "foam")
        assert sum(line.volume for line in found.pours) == pytest.approx(total, rel=1e-12)


def test_what_no_choice_has_changed_is_not_made_again(pack):
    """And what one has changed is: blanks, templates, volumes."""
    other = shop_pack(LEEBOARD, ShopChoices(page="Letter", pot_volume=90e-6))
    assert other.blanks is pack.blanks and other.templates is pack.templates and other.volumes is pack.volumes
    moved = shop_pack(LEEBOARD, ShopChoices(trim_ends=0.02, dam_clearance=1e-3, waste=0.3))
    assert moved.blanks.pair[0].developed is not pack.blanks.pair[0].developed
    more, before = (sum(row.with_waste for row in one.volumes.rows) for one in (moved, pack))
    assert moved.templates is not pack.templates and more > before
    thick = shop_pack(LEEBOARD.replace(spacer_diameter=0.02))
    assert thick.templates is not pack.templates and thick.spring > pack.spring


def test_nose_and_frames_are_the_exact_areas_times_their_lengths(pack):
    bend = LEEBOARD.bend()
    nose = bend.front_area * LEEBOARD.span
    assert sum(line.volume for line in pack.of("nose")) == pytest.approx(nose, rel=1e-12)
    for line in pack.of("frame"):
        assert line.volume * line.lifts == pytest.approx(bend.void_area * LEEBOARD.frame_width, rel=1e-12)


def test_grams_are_the_volume_times_the_density_with_waste(pack):
    (line,) = pack.of("nose")
    density, ratio = SLOW.density()[0], SLOW.ratio_by_weight()[0]
    needed = line.volume * 1.15 * density
    assert needed <= line.resin + line.hardener <= 1.05 * needed  # up to a twentieth more for the ratio's sake
    assert line.resin / line.hardener == pytest.approx(ratio, rel=0.25 * SLOW.ratio_tolerance)
    assert line.batch == mix_batch(SLOW, line.volume / line.pots.count, 0.15, 1e-4)


def test_no_pot_is_larger_than_its_heat_or_itself_allows(pack):
    for line in pack.pours:
        assert line.batch.mass <= line.pots.limit * (1.0 + 1e-9)
    small = shop_pack(LEEBOARD, ShopChoices(pot_volume=60e-6))
    assert max(line.batch.mass for line in small.pours) <= 30e-6 * SLOW.density()[0] * (1.0 + 1e-9)
    assert sum(line.pots.count for line in small.pours) > sum(line.pots.count for line in pack.pours)


def test_small_pours_are_mixed_up_to_what_is_worth_mixing(pack):
    (edge,) = pack.of("fill")
    assert edge.batch.mass > 10.0 * edge.volume * SLOW.density()[0]
    assert 10e-3 <= edge.batch.mass < 10.5e-3  # never less than is worth mixing, the scale's steps more
    finer = shop_pack(LEEBOARD, ShopChoices(least_batch=0.0))
    assert finer.of("fill")[0].batch.mass < 1.5e-3


def test_needed_resin_is_the_sum_of_all_pots(pack):
    for name, resin, hardener, mix in needs_rows(pack):
        lines = [line for line in pack.pours if line.system.name == name]
        direct = 1e3 * sum(li.pots.count * li.batch.resin for li in lines)
        assert float(resin.split()[0]) == pytest.approx(direct, abs=0.05)  # shown to a tenth of a gram
        assert float(mix.split()[0]) == pytest.approx(float(resin.split()[0]) + float(hardener.split()[0]), abs=0.11)


# ----- cut list -----


def test_cut_list_weighs_what_the_section_weighs(pack):
    """Mass of the cut list against the section's mass per length: two roads to sheets, rod and potted nose."""
    of = dict(mass_rows(pack))
    resin = LEEBOARD.resin.density / SLOW.density()[0]  # the section takes the cured resin of the design
    listed = of["two sheets"] + of["spacer"] + of["potted nose"] * resin
    section = evaluate(LEEBOARD, local=False).quantities["mass_per_length"] * LEEBOARD.span
    assert listed == pytest.approx(section, rel=1e-9)  # rounding of the areas
    assert of["two sheets"] == pytest.approx(2 * 0.240 * 0.850 * 0.002 * LEEBOARD.sheet.density, rel=1e-12)
    assert of["together"] == pytest.approx(sum(of.values()) - of["together"], rel=1e-12)


def test_cut_sizes_are_finished_sizes_and_trim(pack):
    upper, lower = parts(pack)[:2]
    assert upper.cut == pytest.approx((0.240 + 0.003, 0.850 + 2 * 0.005, 0.002)) and lower.cut == upper.cut
    assert upper.grain == "along the chord" and {p.name for p in parts(pack)} >= {"Spacer", "End dam", "Frame dam"}
    without = shop_pack(LEEBOARD, ShopChoices(trim_front=0.0, trim_ends=0.0, trim_back=4e-3))
    assert parts(without)[0].cut == pytest.approx((0.244, 0.850, 0.002))
    assert {name: (a, b) for name, a, b in marks(without)}["land line"] == ("15.0 mm", "19.0 mm")


def test_blanks_that_do_not_fit_on_the_stock_are_refused():
    with pytest.raises(ValueError, match="take a larger sheet"):
        shop_pack(LEEBOARD, ShopChoices(stock_length=0.5, stock_width=0.5))
    assert "1 stock sheet" in stock_words(shop_pack(LEEBOARD))


# ----- heat, lifts, schedule, checks -----


def test_warmer_shop_means_thinner_lifts(pack, warm):
    assert warm.heat.lift < pack.heat.lift
    assert len(warm.of("nose")) > len(pack.of("nose")) and len(warm.of("frame")) > len(pack.of("frame"))
    for found in (pack, warm):
        assert np.all(found.heat.heat.peak <= found.choices.heat_limit)
        assert np.all(found.heat.heat.depth <= found.heat.lift * (1.0 + 1e-9))
        assert sum(step.key == "lift" for step in found.schedule.steps) == len(found.of("nose"))
        assert sum(step.key == "frame" for step in found.schedule.steps) == len(found.of("frame"))
    assert any("next lift from" in line for line in lift_words(warm))


def test_lift_by_each_choice(pack):
    assert pack.heat.lift == min(pack.heat.deepest.depth, SLOW.lift_depth)
    assert shop_pack(LEEBOARD, ShopChoices(lift_choice="data sheet")).heat.lift == SLOW.lift_depth
    assert shop_pack(LEEBOARD, ShopChoices(lift_choice="heat")).heat.lift == pack.heat.deepest.depth
    own = shop_pack(LEEBOARD, ShopChoices(lift_choice="own", own_lift=5e-3))
    assert own.heat.lift == 5e-3 and len(own.of("nose")) == 3


def test_a_lift_that_gets_too_hot_fails_its_check_and_says_so():
    hot = shop_pack(LEEBOARD, ShopChoices(lift_choice="data sheet", shop_temperature=308.15))
    check = hot.checks[0]
    assert check.key == "pour_heat" and check.verdict == FAILS and "thinner lifts" in check.advice
    assert shop_pack(LEEBOARD).checks[0].verdict == CLOSE  # in a shop 3 K warmer it runs away
    assert shop_pack(LEEBOARD, ShopChoices(lift_choice="own", own_lift=6e-3)).checks[0].verdict == HOLDS


def test_no_lift_shallow_enough_is_refused_with_what_to_do():
    fast = catalogue.resin_systems["epoxy 5:1, fast hardener"]
    with pytest.raises(ValueError, match="take a slower resin"):
        shop_pack(LEEBOARD, ShopChoices(pour=fast, shop_temperature=308.15, heat_limit=311.15, dam="insulating"))


def test_trade_facts_are_checks(pack):
    """1 to 2 cm of closing frame is plenty; slow hardener for potting; about 2 : 1 by volume, not quite by weight."""
    verdicts = {check.key: check.verdict for check in pack.checks}
    assert {"frame_depth", "slow_hardener", "ratios"} <= set(verdicts) and set(verdicts.values()) == {HOLDS, CLOSE}
    assert [key for key, verdict in verdicts.items() if verdict == CLOSE] == ["pour_heat"]
    deep = shop_pack(LEEBOARD.replace(frame_width=2 * FRAME_PLENTY[1]))
    assert {check.key: check.verdict for check in deep.checks}["frame_depth"] == FAILS
    assert SLOW.volume_ratio == 2.0 and SLOW.weight_ratio != SLOW.volume_ratio
    assert abs(SLOW.weight_ratio / SLOW.volume_ratio - 1.0) < 0.25


def test_energy_and_force_are_the_study_s(pack):
    found = evaluate(LEEBOARD, local=False).quantities
    assert (pack.spring, pack.push) == (found["strain_energy_total"], found["push_out_total"])
    said = dict(cautions(pack, "schedule"))
    assert "0.266 J" in said["Stored spring."] and "3.75 N" in said["Stored spring."]


def test_every_sheet_puts_the_data_sheets_first(pack):
    for sheet in ("cut", "batch", "schedule"):
        assert cautions(pack, sheet)[0][1].startswith("Safety data sheets, labels and local rules come first")
    words = " ".join(text for sheet in ("cut", "batch", "schedule") for _, text in cautions(pack, sheet))
    for subject in ("sensitises", "alight", "extraction", "vent open"):
        assert subject in words


def test_without_frames_or_front_there_is_less_to_pour():
    bare = shop_pack(LEEBOARD.replace(frame_width=0.0), ShopChoices(bead_length=0.0, squeeze_out=0.0))
    assert bare.of("frame") == () and bare.of("bead") == () and not any(s.key == "frame" for s in bare.schedule.steps)
    inset = shop_pack(LEEBOARD, ShopChoices(dam_inset=15e-3, front_in_frames=True))
    assert len(inset.of("front")) == 2 and inset.of("front")[0].depth == pytest.approx(15e-3)
    assert sum(li.volume for li in (*inset.of("nose"), *inset.of("front"))) == pytest.approx(
        sum(li.volume for li in shop_pack(LEEBOARD).of("nose")), rel=1e-12
    )


def test_what_cannot_be_bent_says_why():
    with pytest.raises(InfeasibleBend, match="use a spacer of at most"):
        shop_pack(LEEBOARD.replace(spacer_diameter=0.15))


def test_a_system_without_tack_is_refused_by_name():
    bare = catalogue.with_entries(
        {
            "resin_systems": {
                "bare": {"source": "test", "weight_ratio": 2.0, "mixed_density_kg_m3": 1100, "lift_depth_mm": 6}
            }
        }
    )
    with pytest.raises(ValueError, match="bare: tack_from is not known"):
        shop_pack(LEEBOARD, ShopChoices(pour=bare.resin_systems["bare"]))


# ----- rows and files -----


def test_rows_are_full(pack, warm):
    for found in (pack, warm):
        assert len(weigh_rows(found)) == len(found.pours) and len(step_rows(found)) == len(found.schedule.steps)
        assert len(system_rows(found)) == 7
        for rows in (cut_csv_rows(found), batch_csv_rows(found), schedule_csv_rows(found), volume_csv_rows(found)):
            head, *body = rows
            assert body and all(len(row) == len(head) for row in body)
            assert all(isinstance(cell, str) and "nan" not in cell for row in rows for cell in row)


def test_csv_of_pours_carries_the_cure_label_wherever_heat_is_told(pack):
    head, *rows = batch_csv_rows(pack)
    hot, label = head.index("hottest [°C]"), head.index("cure data")
    assert any(row[hot] for row in rows)
    assert all(("ILLUSTRATIVE" in row[label]) is bool(row[hot]) for row in rows)


@pytest.mark.parametrize("step", [0.02, 0.0525, 0.1])
def test_a_scale_too_coarse_for_a_pot_is_said(step):
    """Once it divided the pour among more and more pots without end."""
    with pytest.raises(ValueError, match="steps of [0-9.]+ g are too coarse: .* weigh in finer steps"):
        shop_pack(LEEBOARD, ShopChoices(scale_resolution=step, pot_volume=5e-5))
    assert max(line.pots.each / line.pots.limit for line in shop_pack(LEEBOARD, COARSE).pours) <= 1.0 + 1e-9
