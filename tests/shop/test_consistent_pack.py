"""A pack agrees with itself, over random parts and choices: what is mixed, of which resin, when, and on which sheet."""

import re
from collections import Counter

import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from leeboard_part import LEEBOARD
from matplotlib.text import Text

from panelmech import InfeasibleBend
from panelmech.draw.figures import style
from panelmech.draw.shop_figures import stock_figure
from panelmech.draw.template_pages import sheet_count, template_sheets
from panelmech.job.job import Job
from panelmech.job.verdict import judge_job
from panelmech.report.shop_rows import WEIGH_HEADS, day_rows, weigh_rows
from panelmech.report.shop_sheets import SHEETS, _pictures, _placed, _Sheets, compose_sheet, sheet_pages
from panelmech.shop.agree import bonding_systems, pouring_systems
from panelmech.shop.checks import heat_check
from panelmech.shop.choices import ShopChoices
from panelmech.shop.heat import Margin, pour_heat, pour_margin
from panelmech.shop.lifts import MOST_LIFTS
from panelmech.shop.pack import parts, shop_pack
from panelmech.shop.resin import times_at
from panelmech.shop.schedule import BONDED, LOUD, WORKED, spring_words
from panelmech.study.inside import Inside, Rib, Zone

INSIDES = (  # of a span of a metre
    Inside(),
    Inside((Rib(0.5, 0.012),)),
    Inside((Rib(0.4, 0.02), Rib(0.6, 0.012)), (Zone(0.0, 0.15),)),
    Inside(zones=(Zone(0.3, 0.35), Zone(0.85, 1.0))),
)


def scaled(inside, span):
    """The same on another span."""
    ribs = tuple(Rib(rib.position * span, rib.width) for rib in inside.ribs)
    return Inside(ribs, tuple(Zone(zone.start * span, zone.end * span) for zone in inside.zones))


designs = st.builds(
    lambda rod, setback, frame, span, inside: LEEBOARD.replace(
        spacer_diameter=rod, setback=setback, frame_width=frame, span=span, inside=scaled(inside, span)
    ),
    st.floats(0.008, 0.024),
    st.floats(-3e-3, 10e-3),
    st.sampled_from([0.0, 0.01, 0.015, 0.03]),
    st.floats(0.3, 0.9),
    st.sampled_from(INSIDES),
)
choices = st.builds(
    ShopChoices,
    bond=st.sampled_from(bonding_systems()),
    pour=st.sampled_from(pouring_systems()),
    lift_choice=st.just("own"),
    own_lift=st.floats(4e-3, 20e-3),
    scale_resolution=st.sampled_from([1e-4, 1e-3, 5e-3]),
    least_batch=st.sampled_from([0.0, 5e-3, 10e-3, 20e-3]),
    pot_volume=st.floats(30e-6, 500e-6),
    waste=st.floats(0.0, 0.4),
    bead_length=st.sampled_from([0.0, 0.01]),
    fillet_radius=st.sampled_from([0.0, 5e-3]),
    nose_rise=st.sampled_from([0.0, 3e-3]),
    dam_inset=st.sampled_from([0.0, 0.03]),
    front_in_frames=st.booleans(),
    foam=st.booleans(),
    post_cure=st.booleans(),
    dam_clearance=st.sampled_from([0.5e-3, 3e-3]),
)


def packed(design, chosen):
    """A pack, or None for what is refused in words."""
    try:
        return shop_pack(design, chosen)
    except (ValueError, InfeasibleBend) as error:
        assert len(str(error)) > 20  # said, with a way out
        return None


@pytest.mark.slow
@settings(max_examples=2, deadline=None, phases=(Phase.explicit, Phase.generate))  # each takes seconds
@given(designs, choices)
def test_schedule_batches_and_templates_agree(design, chosen):
    pack = packed(design, chosen)
    assume(pack is not None)
    steps = [step for step in pack.schedule.steps if step.key in WORKED]
    mixed = Counter(title for step in steps for title in step.pours)
    assert mixed == Counter(line.title for line in pack.pours)  # each is mixed at one step, nothing else is mixed
    assert all(step.pours for step in steps) and not any(s.pours for s in pack.schedule.steps if s.key not in WORKED)
    of = {line.title: line for line in pack.pours}
    for step in steps:
        systems = {of[title].system for title in step.pours}
        assert systems == {chosen.bond if step.key in BONDED else chosen.pour}
        assert step.system == next(iter(systems)).name
        stated = times_at(next(iter(systems)), chosen.shop_temperature).get(WORKED[step.key])
        assert step.within == stated.quick if stated else np.isnan(step.within)
    windows_are_the_resin_s(pack, chosen)
    holes_are_on_templates(pack)
    batches_are_worth_mixing(pack, chosen)


def windows_are_the_resin_s(pack, chosen):
    """The seal bead's window is that of its own resin."""
    times = times_at(of_key(pack, "seal")[0].system, chosen.shop_temperature) if of_key(pack, "seal") else None
    if times is None:
        assert not {"seal", "lift"} & {step.key for step in pack.schedule.steps}
        return
    seal, lift = (next(s for s in pack.schedule.steps if s.key == key) for key in ("seal", "lift"))
    assert (lift.latest - seal.start).total_seconds() == pytest.approx(times["tack_until"].quick, abs=1.0)


def of_key(pack, key):
    return [line for line in pack.pours if line.key == key]


def holes_are_on_templates(pack):
    """What the schedule drills, plugs and opens is drawn."""
    drawn = {hole.name for template in pack.templates for hole in template.holes}
    said = {step.key: step for step in pack.schedule.steps}
    closed = bool(of_key(pack, "frame"))
    drilled = " ".join(step.name for step in pack.schedule.steps if step.key == "drill")
    assert {name for name in ("fill", "vent", "drain") if name in drilled} == (drawn if closed else set())
    assert ("vent" in said) == ("vent" in drawn and closed)
    assert ("plug" in said) == (bool(drawn) and closed) == bool(of_key(pack, "plug"))
    through = [step for step in pack.schedule.steps if "fill hole" in step.words]
    assert not through or any("fill" in s.name and s.end <= through[0].start for s in pack.schedule.steps)


def batches_are_worth_mixing(pack, chosen):
    for line in pack.pours:
        batch = line.batch
        assert batch.mass >= chosen.least_batch - 1e-12 and batch.mass <= line.pots.limit * (1.0 + 1e-9)
        assert abs(batch.hardener_off) <= line.system.ratio_tolerance * (1.0 + 1e-9)
        assert line.pots.count * batch.mixed_volume >= line.volume * (1.0 + chosen.waste) * (1.0 - 1e-9)
        for part in (batch.resin, batch.hardener):
            assert part / chosen.scale_resolution == pytest.approx(round(part / chosen.scale_resolution), abs=1e-6)


def test_one_thing_is_a_closing_frame():
    pack = shop_pack(LEEBOARD)
    assert not any("closing frame" in template.name.lower() for template in pack.templates)
    assert "Frame dam" in {part.name for part in parts(pack)} and len(of_key(pack, "frame")) == 2


def test_no_column_is_for_a_pot_and_for_a_pour():
    pack = shop_pack(LEEBOARD)
    head = dict(zip(WEIGH_HEADS, zip(*weigh_rows(pack), strict=True), strict=True))
    assert all(("each pot" in name) != (name in ("Fills, in all", "Pots")) for name in WEIGH_HEADS[3:8])
    (nose,) = of_key(pack, "nose")
    at = [line.title for line in pack.pours].index(nose.title)
    assert nose.pots.count == 2 and float(head["Resin, each pot"][at].split()[0]) == pytest.approx(
        1e3 * nose.resin / 2, abs=0.05
    )


def test_a_scale_or_a_pot_that_cannot_is_refused_with_a_way_out():
    with pytest.raises(ValueError, match="least worth mixing: take a larger pot"):
        shop_pack(LEEBOARD, ShopChoices(pot_volume=10e-6))
    with pytest.raises(ValueError, match="weigh in finer steps"):
        shop_pack(LEEBOARD, ShopChoices(scale_resolution=5e-3, pot_volume=50e-6, least_batch=0.0))


# ----- margin and depth -----


def test_a_pour_that_a_little_carelessness_spoils_is_close_at_best():
    pack = shop_pack(LEEBOARD)
    heat, check = pack.heat.heat, pack.checks[0]
    warm = pour_heat(
        type(heat.pour)(**{**vars(heat.pour), "shop_temperature": heat.pour.shop_temperature + 3.0}), heat.depth
    )
    assert pack.heat.margin.warmer == pytest.approx(warm.peak, abs=0.3)
    assert (warm.peak - warm.pour.shop_temperature > 1.5 * (heat.peak - heat.pour.shop_temperature)).any()
    assert heat.peak.max() < pack.choices.heat_limit and check.verdict == "close"
    assert "3 K warmer" in check.advice and "runs away" in check.advice


def test_margin_in_plain_arithmetic():
    heat = shop_pack(LEEBOARD).heat.heat
    shop, rise = heat.pour.shop_temperature, heat.peak - heat.pour.shop_temperature
    calm = Margin(heat, shop + 1.2 * rise, shop + 3.0 + 1.2 * rise)
    assert calm.misses(353.15) == ()
    assert "poured a tenth deeper it reaches" in calm.misses(shop + 1.1 * rise.max())[0]
    away = Margin(heat, shop + 1.6 * rise, shop + 3.0 + rise)
    assert len(away.misses(400.0)) == 1 and "runs away" in away.misses(400.0)[0]
    assert heat_check(320.0, 333.15, "x", away.misses(400.0)).verdict == "close"
    assert heat_check(340.0, 333.15, "x", away.misses(400.0)).verdict == "fails"
    assert heat_check(320.0, 333.15, "x").verdict == "holds"


@pytest.mark.slow
def test_margin_is_that_of_the_deeper_lift():
    heat = shop_pack(LEEBOARD).heat.heat
    deeper = pour_heat(heat.pour, 1.1 * heat.depth)
    assert pour_margin(heat).deeper == pytest.approx(deeper.peak, abs=0.3)  # K, cells not halved


def test_a_resin_not_for_potting_is_answered_once_with_those_that_are():
    thin = LEEBOARD.resin, ShopChoices().pour.with_own("tin", lift_depth=1e-3)
    with pytest.raises(
        ValueError, match="not for potting here: in lifts of 1.0 mm, by the data sheet.*15 pours"
    ) as told:
        shop_pack(LEEBOARD, ShopChoices(pour=thin[1]))
    assert "epoxy 3:1 by volume" in str(told.value) and str(told.value).count("not for potting") == 1
    assert MOST_LIFTS < 15


def test_cure_data_beside_the_data_sheet_and_which_the_depth_follows():
    pack = shop_pack(LEEBOARD)
    rows = " ".join(pack.heat.deepest.rows())
    assert "The data sheet allows 20.0 mm, by the cure data it is 25 mm: alike" in rows
    assert pack.heat.follows == "the data sheet, the lesser"
    shallow = ShopChoices(pour=ShopChoices().pour.with_own("tin", lift_depth=8e-3))
    apart = shop_pack(LEEBOARD, shallow)
    assert "3.1 times more, so these cure data are not those of this resin" in " ".join(apart.heat.deepest.rows())
    assert shop_pack(LEEBOARD, shallow.replace(lift_choice="heat")).heat.follows == "the heat, as chosen"


# ----- cautions -----


@pytest.mark.parametrize(("spring", "loud", "word"), [(0.3, 0, "Stored"), (2.0, 1, "CAUTION"), (17.0, 2, "DANGER")])
def test_a_stored_spring_is_as_loud_as_it_is_strong(spring, loud, word):
    told, words = spring_words(spring, 100.0)
    assert told == loud and words.startswith(word) and "J drive the rod out with 100 N" in words
    assert LOUD[0] < LOUD[1]


def test_the_spring_stands_at_its_step_and_before_it_where_it_is_loud():
    strong = shop_pack(LEEBOARD.replace(sheet_thickness=0.006, spacer_diameter=0.03))
    rows = day_rows(strong)
    at = next(i for i, row in enumerate(rows) if row[1].startswith("Spread"))
    assert isinstance(rows[at - 1], str) and rows[at - 1].startswith("DANGER, STORED SPRING") and strong.spring > 10.0
    calm = shop_pack(LEEBOARD)
    (step,) = [step for step in calm.schedule.steps if step.key == "spread"]
    assert "0.266 J" in step.words and "3.75 N" in step.words and step.loud == 0
    assert any("judgement, no source" in note for note in calm.schedule.notes if "spring" in note)


@pytest.mark.parametrize("name", ["batch-sheet", "schedule"])
def test_cautions_take_one_line_each(name):
    (page,) = [p for p in sheet_pages(shop_pack(LEEBOARD), name) if any("Dust." in t.get_text() for t in p.texts)]
    words = [text.get_text() for text in page.texts]
    for lead in ("Epoxy.", "Heat.", "Dust.", "Sealed hollow."):
        assert words[words.index(lead) + 2] in ("–", *words) and lead in words
    dashes = [t for t in page.texts if t.get_text() == "–" and t.get_position()[0] < 0.08]
    assert len(dashes) >= 5


# ----- sheets -----


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("lift", [2e-3, 6e-3, 15e-3])
def test_no_sheet_is_nearly_empty_and_none_is_of_another_paper(page, lift):
    title = "A rudder with a long title that has to wrap on every sheet of the pack, for the harbour launch"
    pack = shop_pack(LEEBOARD.replace(title=title), ShopChoices(page=page, lift_choice="own", own_lift=lift))
    for name in SHEETS:
        pages = _placed(pack, name, compose_sheet(pack, name), _pictures(pack, name))
        size = {tuple(round(25.4 * side, 1) for side in figure.get_size_inches()) for figure in pages.figures}
        assert size == {(215.9, 279.4) if page == "Letter" else (210.0, 297.0)}
        assert min(pages.filled) >= 0.25, (name, pages.filled)
        words = " ".join(t.get_text() for t in pages.figures[0].texts)
        assert all(word in words for word in title.split())


def test_sheets_are_numbered_over_the_whole_pack():
    pack = shop_pack(LEEBOARD)
    with style():
        sheets = _Sheets(pack)
        made = sheets.files()
        for make, *given_to in sheets.templates():
            made |= make(*given_to)
    count = sum(len(re.findall(rb"/Type /Page\b", made[name])) for name in made if name.endswith(".pdf"))
    before = sum(len(sheet_pages(pack, name)) for name in SHEETS)
    assert before + sheet_count(pack.templates) == count and "templates/templates.pdf" in made
    last = template_sheets(pack.templates[-1], "A4", count, count)[-1]
    assert f"Sheet {count}/{count}" in " ".join(text.get_text() for ax in last.axes for text in ax.texts)


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_templates_are_as_easy_to_read_as_the_sheets(page):
    title = "A rudder with a long title that has to wrap on every sheet of the pack, for the harbour launch"
    for template in shop_pack(LEEBOARD.replace(title=title)).templates:
        for figure in template_sheets(template, page):
            texts = [text for ax in figure.axes for text in ax.texts]
            assert min(text.get_fontsize() for text in texts) >= 8.0
            words = " ".join(text.get_text() for text in texts)
            assert all(word in words for word in (*title.split(), template.name.split(",")[0])), words


def test_stock_picture_has_no_small_type():
    texts = stock_figure(shop_pack(LEEBOARD)).findobj(Text)
    assert min(text.get_fontsize() for text in texts if text.get_text()) >= 8.0


def test_what_makes_the_pours_close_is_what_the_job_names():
    pours = judge_job(Job(LEEBOARD)).of("shop")
    assert pours.verdict == "close" and "hottest point of a lift" in pours.headline()
    assert "3 K warmer" in pours.headline() and "reserve" not in pours.headline()
