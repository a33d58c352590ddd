"""A pressure or a stress that nobody stated makes way for what the loads bring; one that was stated does not."""

import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.along_checks import evaluate_along
from panelmech.blade.blade import Blade
from panelmech.loads.cases import PointPush, SideForce
from panelmech.loads.in_place import IN_PLACE, in_place, with_loads
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.report.note import note_contents
from panelmech.report.records import record_of
from panelmech.study.study import evaluate

SAILING = SideForce("sailing", 2.0, 1025.0, angle=0.08, immersed_from=0.25)
PLAN = LoadPlan((PointPush("grounding", 40.0), SAILING), stations=7)
LOADS = evaluate_loads(LEEBOARD, PLAN)
STUDY = evaluate(LEEBOARD)


def test_defaults_make_way_with_what_the_loads_bring():
    counted = with_loads(STUDY, LOADS)
    for key, (_, under) in IN_PLACE.items():
        check, load = counted.check(key), LOADS.check(under)
        assert check.kind == "note" and check.verdict == "note" and check.value == load.value
        assert check.source.startswith("judged under the loads") and load.case in check.advice
        assert STUDY.check(key).kind == "limit"
    kept = {c.key for c in STUDY.limits} - set(IN_PLACE)
    assert {c.key for c in counted.limits} == kept
    assert counted.governing.key in kept and STUDY.governing.key not in kept


@pytest.mark.parametrize("key", IN_PLACE)
@pytest.mark.parametrize("how", ["typed", "another value"])
def test_what_the_builder_stated_stands_beside_the_loads(key, how):
    name = IN_PLACE[key][0]
    own = {"settled": (name,)} if how == "typed" else {name: 0.5 * getattr(LEEBOARD, name)}
    design = LEEBOARD.replace(**own)
    checks = in_place(evaluate(design).checks, design, evaluate_loads(design, PLAN))
    assert [c.kind for c in checks if c.key == key] == ["limit"]
    other = next(k for k in IN_PLACE if k != key)
    assert [c.kind for c in checks if c.key == other] == ["note"]


def test_loads_that_say_nothing_of_the_sheet_take_no_check_away():
    """A push bends but presses no skin; without the framed sheet the loads judge neither."""
    pushed = evaluate_loads(LEEBOARD, LoadPlan((PointPush("grounding", 40.0),), stations=5))
    kinds = {c.key: c.kind for c in in_place(STUDY.checks, LEEBOARD, pushed)}
    assert kinds["oil_canning"] == "limit" and kinds["skin_buckling"] == "note"
    without = evaluate_loads(LEEBOARD, LoadPlan((SAILING,), stations=5, local=False))
    assert in_place(STUDY.checks, LEEBOARD, without) == STUDY.checks


def test_along_the_span_too():
    blade = Blade(LEEBOARD, free_length=(0.225, 0.2))
    along = with_loads(evaluate_along(blade, 2), evaluate_loads(blade, PLAN))
    assert not {c.key for c in along.checks} & set(IN_PLACE)
    assert all(one.check(key).kind == "note" for one in along.studies for key in IN_PLACE)


def test_note_tells_both_sides_once():
    record = record_of(Blade(LEEBOARD), LoadSheet(PLAN))
    page = note_contents(STUDY, loads=record)["note.html"].decode()
    assert page.count("judged under the loads") == len(IN_PLACE)
    assert "Framed sheet pressed in (governs)" not in page
