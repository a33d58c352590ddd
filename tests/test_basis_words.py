"""Every basis word that the program keeps is one of the list: catalogue, loads, fittings, shop, readings, verdict."""

from dataclasses import fields, is_dataclass, replace

import pytest

from panelmech.job.job import demo
from panelmech.job.verdict import judge_job
from panelmech.loads.cases import Severe
from panelmech.loads.fittings import BearingBolt, BondedStud
from panelmech.loads.plan import Factor, Own
from panelmech.materials.records import BASES
from panelmech.materials.resin_system import ResinSystem
from panelmech.materials.stock import catalogue
from panelmech.measured.as_measured import measured_range
from panelmech.shop.resin import FILLERS, check_weighed, filled_mix
from panelmech.study.study import SheetRange, stock_range
from panelmech.study.tolerances import Tolerance, default_tolerances
from panelmech.study.verdicts import CHECK_BASES

RECORDS = [
    record
    for kind in ("sheets", "spacers", "adhesives", "resins", "resin_systems")
    for record in getattr(catalogue, kind).values()
]
SENTENCES = (Severe,)  # of a severe case the basis is a sentence of the builder's, in his load file


def bases(thing, where="", seen=None):
    """(where, word) of every basis within records, lists and dicts."""
    seen = set() if seen is None else seen
    if id(thing) in seen:
        return
    seen.add(id(thing))
    if isinstance(thing, dict):
        for key, value in thing.items():
            yield from bases(value, f"{where}[{key!r}]", seen)
    elif isinstance(thing, (tuple, list)):
        for i, value in enumerate(thing):
            yield from bases(value, f"{where}[{i}]", seen)
    elif is_dataclass(thing):
        for field in fields(thing):
            value, place = getattr(thing, field.name, None), f"{where}.{field.name}"
            if field.name.endswith("basis") and isinstance(value, str):
                yield from [] if isinstance(thing, SENTENCES) else [(f"{type(thing).__name__} {place}", value)]
            elif field.name == "bases":
                yield from ((f"{place}[{name!r}]", word) for name, word in value.items())
            else:
                yield from bases(value, place, seen)


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r.name)
def test_every_property_of_the_catalogue(record):
    found = {quantity: record.basis_of(quantity)[0] for quantity in record.QUANTITIES}
    assert found and set(found.values()) <= set(BASES), found
    assert set(record.bases.values()) <= set(BASES)


def test_everything_a_job_keeps():
    """Its inputs, and what comes of them: design, readings, loads with fittings, pours."""
    job = demo()
    fittings = (
        BearingBolt("pivot", 0, 0.006, 0.01, 0.02, pull=200.0, bolt_shear=Own(2e8, "bolt of grade 4.6")),
        BondedStud("eye", 0.006, 0.01, 300.0),
    )
    if not job.loads.plan.held.bearings:
        fittings = fittings[1:]
    job = job.replace(loads=replace(job.loads, fittings=(*job.loads.fittings, *fittings)))
    verdict = judge_job(job)
    found = dict(bases((job, verdict)))
    assert {place: word for place, word in found.items() if word not in CHECK_BASES} == {}
    kinds = {place.split()[0] for place in found}
    assert {"Check", "Factor", "Inspection", "FilledMix"} <= kinds
    names = {check.name for part in verdict.parts for check in part.checks}
    assert {"eye, shear of the bond", "Friction needed to hold the rod"} <= names
    assert sum(key.startswith("Check") for key in found) >= len(names)


def test_what_is_measured_or_mixed_beside_a_job():
    job = demo()
    report = judge_job(job).of("pair").record
    ranges = (stock_range(job.design), measured_range(report))
    tolerances = [default_tolerances(one.design, one) for one in ranges]
    mixes = [filled_mix(1e-5, 1100.0, name, "hangs") for name in FILLERS]
    weighed = [check_weighed(s, 0.1, 0.05) for s in catalogue.resin_systems.values()]
    found = dict(bases((ranges, tolerances, dict(FILLERS), mixes, weighed, report)))
    assert {place: word for place, word in found.items() if word not in BASES} == {}
    assert {"SheetRange", "Tolerance", "Filler", "FilledMix", "OffRatio", "Inspection"} <= {k.split()[0] for k in found}


def test_a_strange_word_is_noticed_and_a_factor_refuses_it():
    odd = Tolerance("setback", 1e-3, basis="guess")
    assert dict(bases([odd])) == {"Tolerance [0].basis": "guess"}
    assert ResinSystem in {type(record) for record in RECORDS} and SheetRange(None, 0.0, "user").measured == ()
    with pytest.raises(ValueError, match="the basis of a safety factor"):
        Factor(2.0, "a guess")
