"""The shop panel without a browser: it follows design and choices, says what is wrong, and writes the pack.

Without an event loop a panel finishes after every move.
"""

import asyncio
import json

import pytest
from leeboard_part import LEEBOARD

from panelmech import catalogue
from panelmech.job.verdict import judge_part
from panelmech.panels import shop_panel
from panelmech.panels import view as panel_view
from panelmech.panels.controls import LABELS, OPEN, SHOP_GROUPS, ShopControls
from panelmech.report import shop_sheets
from panelmech.shop.choices import CHOICE_LIMITS, OPTIONS, SHOP_JUDGED, SWITCHES, SYSTEMS, ShopChoices
from panelmech.shop.pack import shop_pack
from panelmech.study.inside import Inside, Rib, Zone

pytestmark = pytest.mark.usefixtures("sketched")


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    return shop_panel.panel_shop(LEEBOARD, jobs=tmp_path / "jobs", out=tmp_path / "out")


def stale(part):
    return "pm-stale" in part._dom_classes


def pack_line(panel):
    return panel.summary().splitlines()[1]


def test_every_choice_has_one_control_in_one_place():
    named = [*OPEN, *(name for group in SHOP_GROUPS.values() for name in group)]
    whose = {f"mine_{name}" for name in SHOP_JUDGED}
    assert sorted(named) == sorted({*CHOICE_LIMITS, *OPTIONS, *SWITCHES, *SYSTEMS, *whose, "start"})
    controls = ShopControls(ShopChoices())
    assert controls.choices() == ShopChoices()
    assert {*controls.lists, *controls.switches, "start"} == set(LABELS)


def test_controls_show_any_choices_again():
    own = ShopChoices(
        kerf=2.25e-3,
        page="Letter",
        foam=True,
        start="2026-02-03 09:30",
        pot_volume=123e-6,
        day_ends=20.5 * 3600.0,
        pour=catalogue.resin_systems["epoxy 3:1 by volume, slow clear hardener"],
        lift_choice="own",
    )
    controls, heard = ShopControls(ShopChoices()), []
    controls.on_change(lambda: heard.append(1))
    controls.set(own)
    assert controls.choices() == own and heard == []
    controls.numbers["kerf"].value = 4.0
    assert heard == [1] and controls.choices() == own.replace(kerf=4e-3)


@pytest.mark.slow
def test_every_view_shows_the_pack(panel):
    for name, view in panel.views.items():
        panel.ask(name)
        assert panel.shown == name and panel.place.children == (view.box,)
        assert view.alert.value == "" and view.words() and not any(stale(part) for part in view.good)
    assert "243.0 × 860.0" in panel.views["cut"].words()
    assert "35.2 g" in panel.views["pour"].words()
    assert "by illustrative cure data" in pack_line(panel)
    for name in ("pour", "heat", "schedule"):
        assert "ILLUSTRATIVE" in panel.views[name].words()
    assert "Safety data sheets" in panel.views["schedule"].words() and "0.266 J" in panel.views["schedule"].words()


def test_ribs_are_told_with_the_pours(tmp_path):
    inside = Inside((Rib(0.3, 0.012), Rib(0.5, 0.012)), (Zone(0.0, 0.06),))
    panel = shop_panel.panel_shop(LEEBOARD.replace(inside=inside), jobs=tmp_path / "jobs", out=tmp_path / "out")
    assert "solid zone in 3 lifts of 15.0 mm, rib 1 in 1 lift of 12.0 mm; hottest" in pack_line(panel)
    for name in panel.views:
        panel.ask(name)
        assert panel.view.alert.value == "" and panel.view.words()


@pytest.mark.slow
def test_a_warmer_shop_changes_lifts_and_batches(panel):
    panel.ask("pour")
    before, words = pack_line(panel), panel.view.words()
    panel.shop.numbers["shop_temperature"].value = 30
    assert "8 pours" in before and "11 pours" in pack_line(panel)
    assert "lift 1/2" in panel.view.words() and "lift 1/2" not in words
    panel.shop.numbers["shop_temperature"].value = 22
    assert pack_line(panel) == before and panel.view.words() == words


@pytest.mark.slow
def test_pack_of_the_panel_is_the_pack_of_the_package(panel):
    panel.shop.numbers["waste"].value = 20
    panel.controls.numbers["spacer_diameter"].value = 20
    direct = shop_pack(panel.design(), ShopChoices(waste=0.2))
    assert [line.batch for line in panel.pack.pours] == [line.batch for line in direct.pours]


@pytest.mark.slow
def test_a_move_of_the_design_moves_the_pack(panel):
    before = panel.pack
    panel.controls.numbers["span"].value = 600
    assert panel.pack is not before and panel.pack.design.span == 0.6
    panel.shop.lists["page"].value = "Letter"
    assert panel.pack.choices.page == "Letter"


def test_what_is_wrong_in_the_shop_is_said_and_greyed(panel):
    panel.shop.numbers["shop_temperature"].value = 60
    assert "Shop temperature" in panel.shop_alert.value and "give " in panel.shop_alert.value
    assert stale(panel.line) and all(stale(part) for part in panel.view.good) and panel.write_button.disabled
    assert not panel.stale  # the design itself is fine
    panel.shop.numbers["shop_temperature"].value = 22
    assert panel.shop_alert.value == "" and not stale(panel.line) and not panel.write_button.disabled
    panel.set_shop(ShopChoices(stock_length=0.5, stock_width=0.5))
    assert "take a larger sheet" in panel.shop_alert.value
    panel.shop.start.value = "next Monday"
    assert "Start is" in panel.shop_alert.value


def test_a_design_that_cannot_be_bent_greys_the_pack(panel):
    panel.controls.numbers["spacer_diameter"].value = 150
    assert "Cannot be bent so" in panel.alert.value and panel.shop_alert.value == "" and panel.write_button.disabled
    assert all(stale(part) for part in panel.view.good)
    panel.controls.numbers["spacer_diameter"].value = 18
    assert not any(stale(part) for part in panel.view.good) and not panel.write_button.disabled


def test_a_view_that_fails_says_so(panel, monkeypatch):
    monkeypatch.setattr(shop_panel.words, "pour_tables", lambda pack: 1 / 0)
    panel.ask("pour")
    assert "The workbook made a mistake" in panel.view.alert.value


def test_a_batch_as_weighed_is_judged(panel):
    panel.ask("pour")
    view = panel.view
    assert "Type both" in view.said.value
    view.resin.value, view.hardener.value = 35.2, 16.0
    assert "On ratio" in view.said.value
    view.hardener.value = 18.0
    assert "too much hardener" in view.said.value and "fails" in view.said.value and "Stir in" in view.said.value
    view.hardener.value = -1.0
    assert "Hardener is −1 g: give zero or more, in g" in view.alert.value


@pytest.mark.slow
@pytest.mark.nightly
def test_lists_of_views_choose_what_is_drawn(panel):
    panel.ask("heat")
    first = panel.view.heat.image.value
    panel.view.which.index = 1
    assert panel.view.heat.image.value != first
    panel.ask("templates")
    words = panel.view.said.value
    panel.view.which.value = "outside-gauge"
    assert panel.view.said.value != words and "1 sheet of A4, 256 mm" in panel.view.said.value
    panel.shop.lists["page"].value = "one"
    assert "one sheet, as large as it must be" in panel.view.said.value


@pytest.mark.slow
@pytest.mark.nightly
def test_the_button_writes_the_pack(panel, tmp_path):
    panel.shop.numbers["dam_clearance"].value = 0.8
    panel.write_button.click()
    folder = tmp_path / "out" / "leeboard" / "shop"
    assert "batch-sheet.pdf" in panel.keep.news.value and (folder / "templates" / "templates.pdf").exists()
    assert json.loads((folder / "shop.json").read_text(encoding="utf-8"))["shop"]["dam_clearance_mm"] == 0.8


@pytest.mark.slow
def test_a_folder_with_other_files_is_left_alone(panel, tmp_path, monkeypatch):
    monkeypatch.setattr(shop_sheets, "shop_contents", lambda pack, *_: {"cut-list.csv": b"ours"})
    folder = tmp_path / "out" / "leeboard" / "shop"
    folder.mkdir(parents=True)
    (folder / "cut-list.csv").write_text("my own")
    panel.write_button.click()
    assert "no papers of a job" in panel.keep.news.value and (folder / "cut-list.csv").read_text() == "my own"


@pytest.mark.slow
def test_while_the_hand_moves_the_pack_waits(tmp_path, monkeypatch):
    """With an event loop nothing is worked out before the hand rests."""
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    made = []
    monkeypatch.setattr(shop_panel, "judge_part", lambda *asked: made.append(asked) or judge_part(*asked))

    async def drag():
        panel = shop_panel.panel_shop(LEEBOARD, out=tmp_path)
        before = len(made)
        for celsius in (23, 24, 25):
            panel.shop.numbers["shop_temperature"].value = celsius
        assert len(made) == before and stale(panel.line) and all(stale(part) for part in panel.view.good)
        await asyncio.sleep(0.6)
        assert len(made) == before + 1 and not stale(panel.line)
        assert panel.pack.choices.shop_temperature == 298.15

    asyncio.run(drag())


def test_numbers_stand_before_the_pictures(panel):
    """With an event loop a choice shows its numbers at once; the picture of before stays grey until it is drawn."""

    async def choose():
        panel.shop.numbers["stock_length"].value = 2500
        panel.rest.stop()
        panel.settle()
        view = panel.view
        assert panel.pack.choices.stock_length == 2.5 and not stale(panel.line) and not stale(view.listed)
        assert view.picture.waits and stale(view.picture.image)
        before = view.picture.image.value
        await asyncio.sleep(0.5)
        assert not view.picture.waits and not stale(view.picture.image) and view.picture.image.value != before
        panel.ask("heat")  # seen for the first time, its pictures follow too
        assert panel.view.heat.waits and panel.view.depth.waits
        await asyncio.sleep(0.5)
        assert panel.view.heat.image.value and panel.view.depth.image.value and not stale(panel.view.depth.image)
        panel.later.stop(), panel.judging.stop(), panel.judging_on.stop()

    asyncio.run(choose())


def test_no_view_is_left_with_a_picture_to_come_where_no_loop_runs(panel):
    for name, view in panel.views.items():
        panel.ask(name)
        panel.shop.numbers["kerf"].value += 0.5
        panel.finish()
        assert not any(picture.waits for picture in view.pictures)
        assert all(picture.image.value for picture in view.pictures)
