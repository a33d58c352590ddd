"""Results stored in a study file: what counts as moved, and what is refused."""

import copy
import json
import math
from pathlib import Path

import pytest

from panelmech import Design, InfeasibleBend, catalogue, evaluate
from panelmech.study.design import plain_inputs, read_study, write_study
from panelmech.study.kept_results import LIMIT, RESERVE
from panelmech.study.quantities import QUANTITIES
from panelmech.study.regression import (
    DEFAULT_TOLERANCE,
    changed_inputs,
    check,
    moved_results,
    results_of,
    store,
    table_text,
)
from panelmech.units import from_si

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"


@pytest.fixture
def study_file(tmp_path):
    path = tmp_path / "leeboard.json"
    path.write_bytes(DEMO.read_bytes())
    return path


def changed(path, change):
    """Rewrite a study file after `change` of its content."""
    content = json.loads(path.read_text(encoding="utf-8"))
    change(content)
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


def test_stored_results_of_the_demo_have_not_moved():
    outcome = check(DEMO)
    assert table_text(outcome.moved).count("\n") == 1, table_text(outcome.moved)
    assert not outcome.inputs_changed


def test_demo_stores_every_quantity_and_every_verdict():
    design, results = read_study(DEMO)
    study = evaluate(design)
    assert set(results["quantities"]) == set(study.quantities)
    assert results["verdicts"] == {c.key: c.verdict for c in study.checks}
    assert set(results["limits"]) == set(results["reserves"]) == {c.key for c in study.limits}
    assert results["inputs"] == json.loads(json.dumps(plain_inputs(design)))
    for c in study.limits:
        assert results["limits"][c.key]["basis"] == c.basis
        known = pytest.approx(from_si(c.limit, c.unit), rel=DEFAULT_TOLERANCE)
        assert results["limits"][c.key] == {"value": known, "unit": c.unit, "basis": c.basis}
        reserve = results["reserves"][c.key]["value"]
        assert (reserve is None) == math.isnan(c.reserve) and (reserve is None or reserve == pytest.approx(c.reserve))
    assert results["input_hash"] == design.input_hash() and results["tolerance"] == DEFAULT_TOLERANCE
    for name, value in study.quantities.items():
        stored = results["quantities"][name]
        assert stored["unit"] == QUANTITIES[name].unit
        known = pytest.approx(from_si(value, stored["unit"]), rel=DEFAULT_TOLERANCE)
        assert stored["value"] is None if value != value else stored["value"] == known


@pytest.mark.parametrize(
    ("factor", "moved"), [(1 + 0.9e-6, False), (1 + 1.1e-6, True), (1 - 1.1e-6, True), (-1.0, True)]
)
def test_a_result_moves_when_it_leaves_the_default_tolerance(study_file, factor, moved):
    def change(content):
        content["results"]["quantities"]["mouth"]["value"] *= factor

    assert check(study_file).holds
    names = [c.name for c in check(changed(study_file, change)).moved]
    assert names == (["mouth"] if moved else [])


@pytest.mark.parametrize(("share", "moved"), [(0.9e-3, False), (1.1e-3, True)])
def test_one_result_can_have_its_own_tolerance_and_storing_keeps_it(study_file, share, moved):
    def change(content):
        content["results"]["quantities"]["mouth"]["tolerance"] = 1e-3

    def shift(content):
        content["results"]["quantities"]["mouth"]["value"] *= 1 + share

    store(changed(study_file, change))
    assert read_study(study_file)[1]["quantities"]["mouth"]["tolerance"] == 1e-3
    assert bool(check(changed(study_file, shift)).moved) is moved


def test_a_changed_verdict_has_moved(study_file):
    changed(study_file, lambda content: content["results"]["verdicts"].update(permanent_strain="fails"))
    (line,) = check(study_file).moved
    assert (line.stored, line.now) == ("fails", "holds") and "Bending strain, for good" in line.label


def test_a_changed_input_is_named_as_the_reason(study_file):
    changed(study_file, lambda content: content["design"].update(sheet_thickness_mm=2.02))
    outcome = check(study_file)
    assert outcome.inputs_changed and "land_strain" in {c.name for c in outcome.moved}
    assert outcome.changed == {"sheet_thickness_mm": (2.0, 2.02)}


def test_a_lower_friction_is_named_though_no_number_of_the_shape_moves(study_file):
    changed(study_file, lambda content: content["design"].update(friction=0.08))
    outcome = check(study_file)
    assert [(c.name, c.kind) for c in outcome.moved] == [("rod_holds", LIMIT), ("rod_holds", RESERVE)]
    assert outcome.changed == {"friction": (0.3, 0.08)} and outcome.inputs_changed and not outcome.holds
    limit, reserve = outcome.moved
    assert limit.stored == "0.3000, default, not yet yours" and limit.now == "0.08000, user"
    assert reserve.change == pytest.approx(0.08 / 0.3 - 1.0)


def test_a_limit_of_the_catalogue_that_changed_is_named_where_nothing_else_moved(study_file):
    """What a builder sees whose catalogue has another limit than the one of before."""

    def earlier(content):
        results = content["results"]
        results["limits"]["permanent_strain"]["value"] = 0.25
        results["reserves"]["permanent_strain"]["value"] *= 1.25
        results["inputs"]["sheet"]["permanent_strain_limit_percent"] = 0.25
        results["input_hash"] = "of before"

    outcome = check(changed(study_file, earlier))
    assert [(c.name, c.kind) for c in outcome.moved] == [("permanent_strain", LIMIT), ("permanent_strain", RESERVE)]
    ((before, after),) = outcome.changed.values()
    assert list(outcome.changed) == ["sheet"]
    assert changed_inputs(before, after) == {"permanent_strain_limit_percent": (0.25, 0.2)}


def test_another_basis_of_the_same_limit_has_changed(study_file):
    changed(study_file, lambda content: content["design"].update(settled=["friction"]))
    (line,) = check(study_file).moved
    assert (line.kind, line.now) == (LIMIT, "0.3000, user") and line.change == 0.0


def test_a_file_of_before_is_compared_as_far_as_it_goes_and_says_what_it_lacks(study_file):
    def earlier(content):
        for name in ("limits", "reserves", "inputs"):
            content["results"].pop(name)

    outcome = check(changed(study_file, earlier))
    assert outcome.holds and outcome.lacks == ("limits", "reserves", "inputs")
    store(study_file)
    assert check(study_file).lacks == ()


def test_a_single_limit_that_is_not_stored_fails_by_name(study_file):
    changed(study_file, lambda content: content["results"]["limits"].pop("rod_holds"))
    outcome = check(study_file)
    assert outcome.missing == ("limit: Friction needed to hold the rod",) and not outcome.holds


def test_a_reserve_has_the_tolerance_of_what_it_judges(study_file):
    def change(content):
        content["results"]["quantities"]["buckling_stress"].update(tolerance=1e-3)
        for table, key in (("quantities", "buckling_stress"), ("reserves", "skin_buckling")):
            content["results"][table][key]["value"] *= 1 + 5e-4

    assert check(changed(study_file, change)).holds
    store(study_file)
    changed(study_file, lambda c: c["results"]["reserves"]["skin_buckling"].update(value=1.0))
    assert [c.name for c in check(study_file).moved] == ["skin_buckling"]


@pytest.mark.parametrize("hash_", [None, "", "0123456789ab"])
def test_a_missing_or_another_hash_fails(study_file, hash_):
    def change(content):
        content["results"].pop("input_hash")
        if hash_ is not None:
            content["results"]["input_hash"] = hash_

    outcome = check(changed(study_file, change))
    assert outcome.moved == () and outcome.inputs_changed and not outcome.holds


def test_what_is_not_stored_fails_by_name(study_file):
    assert check(study_file).holds
    changed(study_file, lambda c: (c["results"]["quantities"].pop("mouth"), c["results"]["verdicts"].popitem()))
    outcome = check(study_file)
    assert outcome.moved == () and not outcome.inputs_changed and not outcome.holds
    assert outcome.missing[0] == QUANTITIES["mouth"].label and outcome.missing[1].startswith("verdict: ")
    store(study_file)
    assert check(study_file).holds


def test_a_softer_modulus_of_one_in_a_thousand_is_found(study_file):
    design, results = read_study(study_file)
    sheet = design.sheet.with_own(modulus=design.sheet.modulus * 0.999)
    names = {c.name for c in moved_results(design.replace(sheet=sheet), results).moved}
    assert {"contact_force", "opening_energy", "strain_energy"} <= names and "mouth" not in names


def test_what_is_not_known_is_stored_as_null_and_moves_when_it_becomes_known(tmp_path):
    design = Design.load(DEMO).replace(spacer_diameter=3e-3, spacer_wall=0.0, setback=-1e-3)
    study = evaluate(design)
    study.quantities["i_chord_ratio"] = math.nan  # as where the flat wedge cannot touch the rod
    write_study(tmp_path / "s.json", design, results_of(study))
    assert json.loads((tmp_path / "s.json").read_text())["results"]["quantities"]["i_chord_ratio"]["value"] is None
    (line,) = check(tmp_path / "s.json").moved
    assert line.name == "i_chord_ratio" and line.stored == "not known"


def test_both_unknown_has_not_moved(tmp_path):
    design = Design.load(DEMO).replace(sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3)
    write_study(tmp_path / "s.json", design)
    store(tmp_path / "s.json")
    outcome = check(tmp_path / "s.json")
    assert outcome.moved == () and outcome.study.unknown != ()


def test_a_stored_zero_must_stay_zero(study_file):
    assert read_study(study_file)[1]["quantities"]["nose_step"]["value"] == 0
    changed(study_file, lambda content: content["design"].update(setback_mm=-3.0))
    (line,) = [c for c in check(study_file).moved if c.name == "nose_step"]
    assert line.change == math.inf


def test_table_shows_digits_enough_to_see_the_change(study_file):
    def change(content):
        content["results"]["quantities"]["chord"]["value"] *= 1 + 2e-6

    (line,) = check(changed(study_file, change)).moved
    assert line.stored != line.now
    text = table_text((line,))
    assert text.splitlines()[0].split() == ["result", "stored", "now", "change", "allowed"]
    assert text.splitlines()[2].startswith("chord ") and "mm" in text and "−" not in text.split("mm")[-1]


_BAD = {
    "no results": (lambda c: c.pop("results"), "no results are stored"),
    "results empty": (lambda c: c.update(results={}), "no results are stored"),
    "nothing in them": (lambda c: c.update(results={"quantities": {}}), "empty"),
    "results no table": (lambda c: c.update(results=[1]), "give a table"),
    "unknown key": (lambda c: c["results"].update(tolerence=1), "unknown key tolerence"),
    "unknown quantity": (lambda c: c["results"]["quantities"].update(chrod=1), "no such result"),
    "bare number": (lambda c: c["results"]["quantities"].update(chord=239.8), "value and unit"),
    "unknown key of one": (lambda c: c["results"]["quantities"]["chord"].update(tol=1), "unknown key tol"),
    "text for a number": (lambda c: c["results"]["quantities"]["chord"].update(value="1"), "finite number"),
    "true for a number": (lambda c: c["results"]["quantities"]["chord"].update(value=True), "finite number"),
    "other unit": (lambda c: c["results"]["quantities"]["chord"].update(unit="m"), "is stored in 'mm'"),
    "tolerance of two": (lambda c: c["results"].update(tolerance=2), "0 to 1"),
    "tolerance as text": (lambda c: c["results"]["quantities"]["chord"].update(tolerance="1"), "0 to 1"),
    "unknown verdict key": (lambda c: c["results"]["verdicts"].update(strnegth="holds"), "there is no check"),
    "verdict no word": (lambda c: c["results"]["verdicts"].update(rod_holds=1), "give a word"),
    "limit no table": (lambda c: c["results"]["limits"].update(rod_holds=1), "value and unit and basis"),
    "limit without unit": (lambda c: c["results"]["limits"]["rod_holds"].pop("unit"), "value and unit and basis"),
    "limit in strange unit": (lambda c: c["results"]["limits"]["rod_holds"].update(unit="cubit"), "give one of"),
    "basis no word": (lambda c: c["results"]["limits"]["rod_holds"].update(basis=1), "give a word"),
    "limit of no check": (lambda c: c["results"]["limits"].update(x={"value": 1, "unit": "", "basis": ""}), "no check"),
    "reserve no number": (lambda c: c["results"]["reserves"]["rod_holds"].update(value="1"), "finite number"),
    "inputs no table": (lambda c: c["results"].update(inputs=[1]), "keys and values"),
    "verdicts no table": (lambda c: c["results"].update(verdicts=[1]), "must be a table"),
}


@pytest.mark.parametrize("name", _BAD)
def test_stored_results_that_make_no_sense_are_refused(study_file, name):
    change, words = _BAD[name]
    with pytest.raises(ValueError, match=words):
        check(changed(study_file, change))


def test_a_number_too_large_for_a_float_is_refused(study_file):
    text = study_file.read_text(encoding="utf-8")
    value = json.loads(text)["results"]["quantities"]["chord"]["value"]
    for wrong in ("1e999", "1" * 400):
        study_file.write_text(text.replace(repr(value), wrong, 1), encoding="utf-8")
        with pytest.raises(ValueError, match="finite number"):
            check(study_file)


def test_storing_is_all_or_nothing_and_leaves_the_design_as_it_was(study_file):
    before = Design.load(study_file)
    store(study_file)
    assert study_file.read_bytes() == DEMO.read_bytes() or check(study_file).moved == ()
    assert Design.load(study_file) == before
    assert [p.name for p in study_file.parent.iterdir()] == [study_file.name]


def test_infeasible_design_is_told_apart(study_file):
    kept = study_file.read_bytes()
    for run in (check, store):
        changed(study_file, lambda content: content["design"].update(spacer_diameter_mm=150.0))
        infeasible = study_file.read_bytes()
        with pytest.raises(InfeasibleBend):
            run(study_file)
        assert study_file.read_bytes() == infeasible
        study_file.write_bytes(kept)


def test_results_do_not_share_state_between_studies():
    study = evaluate(Design.load(DEMO))
    first = results_of(study)
    kept = copy.deepcopy(first)
    results_of(study, first)["quantities"]["chord"]["value"] = 0.0
    assert first == kept
