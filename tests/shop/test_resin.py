"""Resin systems: the generic entries, own entries, ratios and densities that must agree, and what is refused."""

import json
from dataclasses import FrozenInstanceError, replace

import pytest

from panelmech.materials.stock import (
    BASES,
    EntryError,
    ResinSystem,
    catalogue,
    from_entry,
    to_entry,
)
from panelmech.shop.agree import takes_filler
from panelmech.units import from_si, to_si

SYSTEMS = list(catalogue.resin_systems.values())
SLOW = "epoxy 3:1 by volume, slow clear hardener"


def a_system(**changes):
    values = dict(
        name="mine", source="", weight_ratio=2.2, volume_ratio=2.0, resin_density=1100.0, hardener_density=1000.0
    )
    return ResinSystem(**values | changes)


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda s: s.name)
def test_every_value_has_basis_and_source_and_the_data_agree(system):
    for quantity in system.QUANTITIES:
        basis, text = system.basis_of(quantity)
        assert basis in BASES and text
        assert basis != "user" and (basis == "no basis") == (getattr(system, quantity) in (None, ()))
    assert system.notes() == ()
    low, high = (1050.0, 1150.0) if takes_filler(system) else (1150.0, 1450.0)  # a paste comes with its filler
    assert low < system.density()[0] < high


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda s: s.name)
def test_entries_lead_back_to_the_same_record(system):
    assert from_entry(ResinSystem, json.loads(json.dumps(to_entry(system)))) == system


def test_published_ratios():
    """By weight and by volume as makers' guides give them: 3.5 and 3, 5 and 5, 100:47 and 2."""
    pairs = [(s.weight_ratio, s.volume_ratio) for s in SYSTEMS[:3]]
    assert pairs[:2] == [(3.5, 3.0), (5.0, 5.0)]
    assert pairs[2] == (pytest.approx(100.0 / 47.0, abs=5e-5), 2.0)


def test_the_first_is_slow_and_meant_for_potting():
    first = SYSTEMS[0]
    assert first.name == SLOW and first.lift_depth == 6e-3 and first.pot_life == 2400.0
    assert first.rated_temperature == 295.15 and first.pot_life_mass == 0.1


def test_ratio_by_weight_is_volume_ratio_times_densities():
    """2 : 1 by volume with 1100 and 1000 kg/m3 is 2.2 : 1 by weight; the mix has 3200 kg in 3 m3."""
    assert a_system().ratio_gap() == pytest.approx(0.0, abs=1e-15)
    by_volume = a_system(weight_ratio=None)
    assert by_volume.ratio_by_weight()[0] == pytest.approx(2.2) and "by volume" in by_volume.ratio_by_weight()[1]
    assert by_volume.density()[0] == pytest.approx(3200.0 / 3.0)
    assert a_system(mixed_density=1050.0).density()[0] == 1050.0


def test_a_contradiction_is_named_with_its_amount():
    """5 : 1 by weight and by volume with densities 1150 and 1000: 5 / 5.75 is 13 % less."""
    odd = a_system(
        weight_ratio=5.0, volume_ratio=5.0, resin_density=1150.0, hardener_density=1000.0, ratio_tolerance=0.05
    )
    assert odd.ratio_gap() == pytest.approx(5.0 / 5.75 - 1.0)
    (note,) = odd.notes()
    assert "contradict" in note and "−13.0 %" in note and "5.75 : 1" in note
    mix = a_system(mixed_density=1200.0, ratio_tolerance=0.05)
    assert "+12.5 %" in mix.notes()[0]
    assert a_system(weight_ratio=2.2 * 1.019, ratio_tolerance=0.05).notes() == ()
    assert len(a_system(weight_ratio=2.2 * 1.021, ratio_tolerance=0.05).notes()) == 1


def test_what_is_not_known_is_said_not_guessed():
    bare = ResinSystem("bare", "label on the tin", weight_ratio=2.0)
    assert bare.ratio_gap() is None and bare.basis_of("pot_life")[0] == "no basis"
    assert "tolerance" in bare.notes()[0]
    with pytest.raises(ValueError, match="mixed_density.*weigh 100 mL"):
        bare.density()
    with pytest.raises(ValueError, match="both densities"):
        ResinSystem("bare", "", volume_ratio=2.0).ratio_by_weight()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"weight_ratio": None, "volume_ratio": None}, "the ratio by weight, by volume or both"),
        ({"weight_ratio": 0.0}, "weight_ratio"),
        ({"weight_ratio": float("nan")}, "weight_ratio"),
        ({"ratio_tolerance": 5.0}, "ratio_tolerance is 500 %: give between 0 % and 100 %"),
        ({"pot_life": 600.0}, "at which pot_life holds"),
        ({"rated_temperature": 22.0}, "295.15"),
        ({"tack_from": 60.0, "rated_temperature": 295.0}, "both ends"),
        ({"tack_from": 60.0, "tack_until": 50.0, "rated_temperature": 295.0}, "after tack_from"),
    ],
)
def test_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        a_system(**changes)


def test_own_entries_override_and_keep_the_rest():
    own = catalogue.with_entries({"resin_systems": {SLOW: {"pot_life_min": 33, "source": "tin of May"}}})
    system, before = own.resin_systems[SLOW], catalogue.resin_systems[SLOW]
    assert system.pot_life == 1980.0 and system.basis_of("pot_life") == ("user", "tin of May")
    assert system.lift_depth == before.lift_depth and before.pot_life == 2400.0
    ratio = catalogue.with_entries({"resin_systems": {SLOW: {"weight_ratio": 3.0}}}).resin_systems[SLOW]
    assert "contradict" in ratio.notes()[0]  # the volumes of the old data do not fit the new weights


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"weight_ratio": 2.0, "pot_live_min": 5}, "did you mean pot_life_min"),
        ({"weight_ratio": 200.0}, "weight_ratio is 200"),
        ({"weight_ratio": "2:1"}, "give a number"),
        (
            {"weight_ratio": 2.0, "rated_temperature_c": 295.15},
            "rated_temperature_c is 295.15; a plausible.*-15 and 100",
        ),
        ({"weight_ratio": 2.0, "pot_life_min": 1, "pot_life_s": 60}, "both pot_life_min and pot_life_s"),
        ({"weight_ratio": 2.0, "lift_depth_mm": 6000}, "mind the unit"),
    ],
)
def test_entries_refused(entry, words):
    with pytest.raises(EntryError, match=words):
        from_entry(ResinSystem, entry, "x")


def test_times_and_temperatures_cross_exactly():
    assert to_si(22.0, "degC") == 295.15 and from_si(295.15, "degC") == 22.0
    assert to_si(1.5, "h") == 5400.0 and from_si(5400.0, "min") == 90.0
    assert to_si(0.03, "min") == 1.8 != 0.03 * 60.0
    system = from_entry(ResinSystem, {"weight_ratio": 2.0, "rated_temperature_c": -5, "pot_life_h": 1.5}, "x")
    assert (system.rated_temperature, system.pot_life) == (268.15, 5400.0)
    odd = replace(system, pot_life=5400.000000000001, rated_temperature=268.1234567890123)
    assert from_entry(ResinSystem, to_entry(odd)) == odd


def test_frozen():
    with pytest.raises(FrozenInstanceError):
        SYSTEMS[0].pot_life = 1.0
