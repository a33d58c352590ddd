"""Shop choices: one table validates them; the shop file says them again and refuses what it does not know."""

import json
from dataclasses import fields, replace
from datetime import datetime, time

import pytest

from panelmech import catalogue
from panelmech.shop.choices import (
    CHOICE_LIMITS,
    OPTIONS,
    SWITCHES,
    SYSTEMS,
    ShopChoices,
    choices_from_entry,
    choices_json,
    choices_to_entry,
)
from panelmech.units import to_si


def shop(**changes):
    return {"format": "panelmech shop", "schema": 1, "shop": {**choices_to_entry(ShopChoices()), **changes}}


def test_every_choice_has_its_limit_or_its_list():
    named = {*CHOICE_LIMITS, *OPTIONS, *SWITCHES, *SYSTEMS, "start", "settled"}
    assert named == {f.name for f in fields(ShopChoices)}


@pytest.mark.parametrize("name", CHOICE_LIMITS)
def test_limits_validate_both_ends(name):
    limit = CHOICE_LIMITS[name]
    assert limit.low <= limit.slider_low < limit.slider_high <= limit.high and limit.step > 0
    for end, beyond in ((limit.low, limit.low - 1.0), (limit.high, limit.high + 1.0)):
        changes = {name: to_si(end, limit.unit)}
        if name == "shop_temperature":
            changes["heat_limit"] = to_si(100.0, "degC")
        if name == "heat_limit":
            changes["shop_temperature"] = to_si(0.0, "degC")
        if name == "day_starts":
            changes["day_ends"] = to_si(23.5, "h")
        if name == "day_ends":
            changes["day_starts"] = 0.0
        assert getattr(ShopChoices(**changes), name) == to_si(end, limit.unit)
        with pytest.raises(ValueError, match="allowed is"):
            ShopChoices(**{**changes, name: to_si(beyond, limit.unit)})


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), None, "3", True, [1.0]])
def test_what_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="saw cut"):
        ShopChoices(kerf=bad)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"page": "A7"}, "give one of A4"),
        ({"lift_choice": "deep"}, "lesser of both"),
        ({"bond": "glue"}, "resin systems"),
        ({"foam": 1}, "true or false"),
        ({"start": "tomorrow"}, "2026-01-05 08:00"),
        ({"start": None}, "2026-01-05 08:00"),
        ({"day_starts": 20 * 3600.0, "day_ends": 8 * 3600.0}, "ends before it begins"),
        ({"day_starts": 12 * 3600.0, "day_ends": 12 * 3600.0}, "ends before it begins"),
        ({"start": "1899-12-31 23:59"}, "2026-01-05 08:00"),
        ({"start": "9001-01-01 00:00"}, "2026-01-05 08:00"),
        ({"heat_limit": 303.15, "shop_temperature": 308.15}, "not above the shop's"),
    ],
)
def test_choices_that_do_not_fit_are_refused_in_words(changes, words):
    with pytest.raises(ValueError, match=words):
        ShopChoices(**changes)


def test_replace_knows_its_fields():
    assert ShopChoices().replace(kerf=2e-3).kerf == 2e-3
    with pytest.raises(ValueError, match="no field blade"):
        ShopChoices().replace(blade=2e-3)


def test_clock_times():
    assert [ShopChoices(start=f"{y}-06-01 08:00").moment.year for y in (1900, 9000)] == [1900, 9000]
    choices = ShopChoices(start="2026-03-02 13:05", day_starts=6.5 * 3600.0)
    assert choices.moment == datetime(2026, 3, 2, 13, 5) and choices.day == (time(6, 30), time(22, 0))


def test_file_says_the_same_again(tmp_path):
    own = replace(catalogue.resin_systems["epoxy 5:1, fast hardener"], name="my own", pot_life=700.0)
    choices = ShopChoices(bond=own, shop_temperature=291.15, kerf=2.2e-3, waste=0.2, page="Letter", post_cure=True)
    choices.save(tmp_path / "shop.json")
    again = ShopChoices.load(tmp_path / "shop.json")
    assert again == choices and again.input_hash() == choices.input_hash()
    assert choices_json(again) == (tmp_path / "shop.json").read_text(encoding="utf-8")
    content = json.loads(choices_json(choices))["shop"]
    assert content["shop_temperature_c"] == 18.0 and content["kerf_mm"] == 2.2 and content["waste_percent"] == 20.0
    assert content["pot_volume_ml"] == 250.0 and content["scale_resolution_g"] == 0.1 and content["day_starts_h"] == 7.0
    assert (
        content["squeeze_out_percent"] == 30.0 and content["bead_length_mm"] == 10.0 and not content["front_in_frames"]
    )
    assert content["pour"] == ShopChoices().pour.name and content["bond"]["name"] == "my own"
    assert [p.name for p in tmp_path.iterdir()] == ["shop.json"]  # nothing half-written beside it


USUAL = {
    "shop_temperature_c": 22.0, "own_lift_mm": 6.0, "heat_limit_c": 60.0, "sheet_conductivity_w_mk": 0.3,
    "waste_percent": 15.0, "squeeze_out_percent": 30.0, "scale_resolution_g": 0.1, "least_batch_g": 10.0,
    "pot_volume_ml": 250.0, "pot_fill_percent": 50.0, "dam_clearance_mm": 0.5, "dam_inset_mm": 0.0,
    "front_in_frames": False, "nose_rise_mm": 0.0, "edge_thickness_mm": 3.0, "bead_length_mm": 10.0,
    "fillet_radius_mm": 0.0, "foam": False, "trim_front_mm": 3.0, "trim_back_mm": 0.0, "trim_ends_mm": 5.0,
    "kerf_mm": 3.0, "edge_trim_mm": 5.0, "stock_length_mm": 1200.0, "stock_width_mm": 1000.0, "keep_pairs": True,
    "service_temperature_c": 40.0, "post_cure": False, "post_cure_temperature_c": 50.0, "day_starts_h": 7.0,
    "day_ends_h": 22.0,
}  # fmt: skip


def test_a_file_that_says_nothing_means_what_it_always_meant():
    """A default that changes would change every file that leaves it out."""
    plain = choices_to_entry(choices_from_entry({}))
    assert {name: value for name, value in plain.items() if not isinstance(value, str)} == USUAL


def test_what_is_left_out_keeps_its_default():
    assert choices_from_entry({}) == ShopChoices()
    assert choices_from_entry({"kerf_mm": 2.0}) == ShopChoices(kerf=2e-3)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "not a readable shop file"),
        ("[]", "not a shop file"),
        (json.dumps({**shop(), "schema": 2}), "this version reads schema 1"),
        (json.dumps({**shop(), "more": 1}), "unknown key more"),
        (json.dumps(shop(kerf=3)), "unknown key kerf"),
        (json.dumps(shop(kerf_mm="3")), "give a number"),
        (json.dumps(shop(kerf_mm=True)), "give a number"),
        (json.dumps(shop(kerf_mm=99)), "allowed is"),
        (json.dumps(shop(pour="epoxi")), "not in the catalogue"),
        (json.dumps(shop(pour=3)), "give a name"),
        (json.dumps(shop(foam="yes")), "true or false"),
        (json.dumps(shop()).replace('"kerf_mm": 3.0', '"kerf_mm": NaN'), "must be finite"),
        (json.dumps(shop()).replace('"kerf_mm": 3.0', '"kerf_mm": 3.0, "kerf_mm": 2.0'), "stands twice"),
    ],
)
def test_files_that_are_none_are_refused_by_name(tmp_path, content, words):
    (tmp_path / "my shop.json").write_text(content, encoding="utf-8")
    with pytest.raises(ValueError, match=words) as error:
        ShopChoices.load(tmp_path / "my shop.json")
    assert str(error.value).strip("'\"").startswith("my shop.json")


def test_what_was_settled_is_kept_and_left_out_where_nothing_was():
    settled = ShopChoices(settled=("heat_limit",))
    assert choices_to_entry(settled)["settled"] == ["heat_limit"] and "settled" not in choices_to_entry(ShopChoices())
    assert choices_from_entry(choices_to_entry(settled)) == settled


def test_hash_changes_with_any_choice():
    base = ShopChoices()
    others = {"kerf": 2e-3, "page": "Letter", "foam": True, "start": "2026-01-06 08:00", "pour": base.bond}
    hashes = {base.input_hash(), *(base.replace(**{name: value}).input_hash() for name, value in others.items())}
    assert len(hashes) == 1 + len(others)
