"""The load file: what was stated comes back, what is not known is refused by name, the demo files load."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from panelmech.blade.blade import Blade
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from panelmech.loads.fittings import BearingBolt, BondedStud
from panelmech.loads.load_file import CASES, FITTINGS, LoadSheet, fitting_checks, sheet_text, sheet_to_entry
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import Factor, Judgement, LoadPlan, Own, Stock
from panelmech.units import to_si

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
SAILING = SideForce(
    "sailing",
    2.3,
    1025.7,
    angle=to_si(4.3, "deg"),
    end_plate=1.4,
    tip=0.8,
    immersed_from=0.213,
    centre=0.31,
    skin_share=0.5,
    mirrored=False,
    spread="proportional to chord",
    model="helmbold",
)
EVERYTHING = LoadSheet(
    LoadPlan(
        (
            SAILING,
            Severe("broach", SAILING, 2.2, "a guess"),
            SideForce("drift", 0.7, 998.0, coefficient=-0.3),
            PointPush("ground", 61.3, 0.97, 0.3, lasting=True),
            SealedAir("sun", 291.15, 333.65, 99.3e3),
            WaterHead("full", 0.413, 998.2, inside=False, lasting=False),
        ),
        Held((-0.31, -0.07), torque_at=-0.3),
        Judgement(
            Factor(2.7, "user", "tested"),
            sheet_strength=Own(123.4e6, "my test"),
            resin_strength=Own(41e6),
            tip_twist=Own(to_si(1.7, "deg"), "wish"),
        ),
        Stock(0.35, 0.03, 0.0025, 70e9, 0.3, 240e6, "a data sheet"),
        front="resting",
        axis_x=0.0123,
        stations=31,
        local=False,
    ),
    "Everything",
    "invented",
    (
        BearingBolt("bolt", 1, 0.008, 0.024, 0.03, 1, 120.0, Own(200e6), None, Own(9e6, "cut")),
        BondedStud("eye", 0.006, 0.02, 90.0),
    ),
)
PLAIN = LoadSheet(LoadPlan((PointPush("push", 10.0),)))


def test_the_kinds_used_are_all_there_are():
    """So that the round trip below covers every kind of case and fitting, and every field of each."""
    assert {type(c) for c in EVERYTHING.plan.cases} == {kind.make for kind in CASES.values()}
    assert {type(f) for f in EVERYTHING.fittings} == {kind.make for kind in FITTINGS.values()}
    for kind in (*CASES.values(), *FITTINGS.values()):
        assert set(kind.fields) == set(kind.make.__dataclass_fields__)


@pytest.mark.parametrize("sheet", [EVERYTHING, PLAIN])
def test_what_was_written_comes_back_to_the_last_bit(sheet, tmp_path):
    sheet.save(tmp_path / "loads.json")
    found = LoadSheet.load(tmp_path / "loads.json")
    assert found == sheet and found.input_hash() == sheet.input_hash()
    assert sheet_text(found) == (tmp_path / "loads.json").read_text(encoding="utf-8")


def test_units_stand_in_the_keys():
    entry = sheet_to_entry(EVERYTHING)
    assert entry["cases"][0]["angle_deg"] == 4.3 and entry["cases"][0]["immersed_from_mm"] == 213.0
    assert entry["cases"][4]["heated_to_c"] == 60.5 and entry["cases"][4]["outside_kpa"] == 99.3
    assert entry["held"] == {"bearings_mm": [-310.0, -70.0], "torque_at_mm": -300.0}
    assert entry["judgement"]["sheet_strength_mpa"] == {"value": 123.4, "source": "my test"}
    assert entry["stock"]["modulus_gpa"] == 70.0 and entry["framed_sheet"] is False


def test_the_hash_follows_every_input():
    other = replace(EVERYTHING, plan=replace(EVERYTHING.plan, axis_x=0.0124))
    assert other.input_hash() != EVERYTHING.input_hash()


def changed(entry, path, value):
    *way, last = path
    for step in way:
        entry = entry[step]
    if value is KeyError:
        del entry[last]
    else:
        entry[last] = value


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("format",), "panelmech study", 'must be a JSON table with "format": "panelmech loads"'),
        (("schema",), 2, "schema is 2; this version reads schema 1"),
        (("speed",), 3, "unknown key speed; known are"),
        (("cases", 0, "speed"), 3, "cases, number 1: unknown key speed"),
        (("cases", 0, "kind"), "wind", "cases, number 1: kind is 'wind': give one of side force"),
        (("cases", 0, "kind"), ["push"], "kind is ['push']"),
        (("cases", 0, "speed_m_s"), KeyError, "cases, number 1: missing speed_m_s"),
        (("cases", 0, "speed_m_s"), True, "cases, number 1, speed_m_s is True: give a number"),
        (("cases", 0, "speed_m_s"), "2", "give a number"),
        (("cases", 0, "speed_m_s"), 10**400, "give a finite number"),
        (("cases", 0, "speed_m_s"), -1, "speed is −1 m/s: give zero or more"),
        (("cases", 0, "speed_m_s"), -1, "cases, number 1, speed_m_s: sailing"),
        (("cases", 0, "model"), "guess", "cases, number 1, model: sailing: model is 'guess': give one of whicker"),
        (
            ("cases", 0, "end_plate"),
            2.5,
            "cases, number 1, end_plate: sailing: end_plate is 2.5: give 1 to 2",
        ),
        (("cases", 0, "end_plate"), 0.99, "cases, number 1, end_plate: sailing"),
        (("cases", 0, "tip_shape"), 1, "unknown key tip_shape"),
        (("cases", 0, "tip"), -0.1, "cases, number 1, tip: sailing: tip is −0.1: give zero or more"),
        (("cases", 0, "angle_deg"), 91, "cases, number 1, angle_deg: sailing"),
        (("cases", 0, "immersed_from_mm"), -1, "cases, number 1, immersed_from_mm: sailing"),
        (("cases", 1, "of", "model"), "", "cases, number 2, of, model: sailing: model is ''"),
        (
            ("cases", 4, "sealed_at_c"),
            -273.15,
            "cases, number 5, sealed_at_c: sun: sealed_at is 0 K: give a positive number",
        ),
        (("cases", 4, "heated_to_c"), -300, "cases, number 5, heated_to_c: sun"),
        (("cases", 4, "outside_kpa"), 0, "cases, number 5, outside_kpa: sun: outside is 0 Pa: give a positive number"),
        (("cases", 5, "depth_mm"), -1, "cases, number 6, depth_mm: full"),
        (("cases", 5, "density_kg_m3"), -1, "cases, number 6, density_kg_m3: full"),
        (("cases", 1, "of"), 3, "cases, number 2, of: kind is 3"),
        (("cases", 1, "of", "mirrored"), 1, "mirrored is 1: give true or false"),
        (("cases",), KeyError, "loads: missing cases"),
        (("cases",), [], "load cases are []"),
        (("held", "bearings_mm"), [1], "held: 1 bearings are given"),
        (("held", "bearings_mm"), 1, "held, bearings_mm is 1: give a list"),
        (("judgement", "strength", "value"), 0.5, "a safety factor is 0.5"),
        (("judgement", "sheet_strength_mpa"), 100, "judgement, sheet_strength_mpa is 100: give a table"),
        (("judgement", "sheet_strength_mpa", "value"), -1, "judgement, sheet_strength_mpa: a limit is −1"),
        (("stock", "wall_mm"), 99, "stock, wall_mm: stock: wall is 99 mm: give 0 mm to"),
        (("stations",), 41.0, "stations is 41.0: give a whole number"),
        (("front",), "loose", "front is 'loose'"),
        (("title",), 3, "title is 3: give a text"),
        (("fittings", 1, "name"), "bolt", "give each a name of its own"),
        (("fittings", 0, "planes"), 1.5, "planes is 1.5: give a whole number"),
    ],
)
def test_what_is_wrong_is_refused_by_name(path, value, words, tmp_path):
    content = json.loads(sheet_text(EVERYTHING))
    changed(content, path, value)
    (tmp_path / "mine.json").write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(ValueError, match="^mine.json") as caught:
        LoadSheet.load(tmp_path / "mine.json")
    assert words in str(caught.value)


@pytest.mark.parametrize(
    "text", ['{"format": "panelmech loads", "schema": 1, "schema": 1}', "{", "[]", '{"a": NaN}', "[" * 100_000]
)
def test_what_is_no_load_file_is_refused(text, tmp_path):
    (tmp_path / "mine.json").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match="^mine.json"):
        LoadSheet.load(tmp_path / "mine.json")


def test_a_failed_save_leaves_the_old_file(tmp_path):
    PLAIN.save(tmp_path / "loads.json")
    before = (tmp_path / "loads.json").read_bytes()
    broken = replace(PLAIN)
    object.__setattr__(broken, "plan", replace(PLAIN.plan))
    object.__setattr__(broken.plan, "axis_x", float("nan"))  # which no plan lets in
    with pytest.raises(ValueError, match="nan"):
        broken.save(tmp_path / "loads.json")
    assert (tmp_path / "loads.json").read_bytes() == before and len(list(tmp_path.iterdir())) == 1


def test_what_is_no_sheet_is_refused():
    with pytest.raises(ValueError, match="give a LoadPlan"):
        LoadSheet(3)
    with pytest.raises(ValueError, match="give BearingBolts and BondedStuds"):
        LoadSheet(PLAIN.plan, fittings=("bolt",))
    for words in ({"title": 3}, {"remark": None}):
        with pytest.raises(ValueError, match="must be texts"):
            LoadSheet(PLAIN.plan, **words)


def test_the_demo_files_are_saved_as_they_load_and_say_they_are_invented(tmp_path):
    sheet, blade = LoadSheet.load(STUDIES / "leeboard_loads.json"), Blade.load(STUDIES / "leeboard_blade.json")
    for name, record in (("leeboard_loads", sheet), ("leeboard_blade", blade)):
        record.save(tmp_path / "again.json")
        assert (tmp_path / "again.json").read_bytes() == (STUDIES / f"{name}.json").read_bytes()
    assert "invented" in sheet.title and "invented" in sheet.remark and "Invented" in blade.design.purpose
    study = evaluate_loads(blade, replace(sheet.plan, local=False))
    checks = fitting_checks(study, sheet.fittings)
    assert study.unknown == () and {c.verdict for c in checks} == {"holds"} and len(checks) == 5
