"""Changes in words: every kind of value a job holds, loads case by case, readings by their count."""

from dataclasses import replace

import pytest
from day_and_night import examples
from hypothesis import given
from random_jobs import jobs

from panelmech.blade.blade import Table
from panelmech.job import demo
from panelmech.job.change_words import words_of
from panelmech.job.changes import difference, leaves
from panelmech.job.job import to_sections
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush
from panelmech.materials.stock import catalogue
from panelmech.measured.readings import Readings
from panelmech.shop.choices import ShopChoices
from panelmech.units import lengths_in

JOB = demo()
LOADS, PLAN = JOB.loads, JOB.loads.plan
SAILING, BROACH, *REST = PLAN.cases


def told(after, before=JOB):
    return words_of(difference(leaves(to_sections(before)), leaves(to_sections(after))))


def designed(**changes):
    return JOB.with_design(JOB.design.replace(**changes))


def loaded(**changes):
    return JOB.replace(loads=replace(LOADS, plan=replace(PLAN, **changes)))


def read(rows):
    return JOB.replace(readings=Readings(rows))


ROWS = JOB.readings.rows
OWN = replace(catalogue["woven GRP"], name="my sheet")
WRIST = PointPush("wrist", 50.0)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (designed(spacer_diameter=0.02), "spacer diameter 18 mm → 20 mm"),
        (designed(pressure=2500.0), "pressing pressure 2000 Pa → 2500 Pa"),
        (designed(deflection_share=0.02), "deflection allowed 1 % → 2 %"),
        (designed(service_stress=6e6), "skin stress in use 5 MPa → 6 MPa"),
        (designed(friction=0.25), "friction 0.3 → 0.25"),
        (designed(toughness_margin=3.0), "margin on toughness 2 × → 3 ×"),
        (designed(modulus_rule="wide sheet"), "modulus rule “by width” → “wide sheet”"),
        (designed(sheet=catalogue["woven GRP"]), "sheet “glass-epoxy laminate, lengthwise” → “woven GRP”"),
        (designed(sheet=OWN), "sheet “glass-epoxy laminate, lengthwise” → “my sheet”"),
        (designed(title="Rudder", ident="7"), "title “Leeboard” → “Rudder”; number none → “7”"),
        (JOB.replace(blade=JOB.blade.replace(free_length=None)), "free length along the span 225 mm to 165 mm → none"),
        (
            JOB.replace(blade=JOB.blade.replace(spacer_diameter=Table((0.0, 0.4), (0.018, 0.016), True))),
            "spacer diameter along the span none → steps 18 mm at 0 mm, 16 mm at 400 mm",
        ),
        (JOB.replace(blade=JOB.blade.replace(straight="leading edge")), "line that is kept straight “rod” → “leading"),
        (JOB.replace(shop=ShopChoices(shop_temperature=298.15)), "shop temperature 22 °C → 25 °C"),
        (JOB.replace(shop=ShopChoices(foam=True)), "foam no → yes"),
        (JOB.replace(shop=ShopChoices(pot_volume=5e-4)), "mixing pot 250 mL → 500 mL"),
        (JOB.replace(shop=ShopChoices(page="A3")), "paper of the templates “A4” → “A3”"),
        (JOB.replace(camber=0.4e-3), "camber allowed 0.5 mm → 0.4 mm"),
        (JOB.replace(lengths="inch"), "lengths shown in “mm” → “inch”"),
        (read((*ROWS, ROWS[0], ROWS[0])), "readings of the bench: 2 rows added"),
        (read(ROWS[1:]), "readings of the bench: 1 row removed"),
        (read((replace(ROWS[0], value=0.00207), *ROWS[1:])), "readings of the bench: 1 row changed"),
        (read((replace(ROWS[0], value=0.00207), *ROWS[1:], ROWS[5])), "readings of the bench: 2 rows added, 1 row rem"),
        (read((ROWS[1], ROWS[0], *ROWS[2:])), "readings of the bench: in another order"),
        (loaded(cases=(replace(SAILING, speed=3.0), BROACH, *REST)), "sailing: speed 2 m/s → 3 m/s"),
        (
            loaded(cases=(replace(SAILING, speed=3.0, angle=0.1047197551196598, lasting=True), BROACH, *REST)),
            "sailing: speed 2 m/s → 3 m/s; angle 4° → 6°; and 1 more",
        ),
        (
            loaded(cases=(SAILING, replace(BROACH, statement=replace(BROACH.statement, speed=3.0)), *REST)),
            "broach: speed 2 m/s → 3 m/s",
        ),
        (loaded(cases=(SAILING, replace(BROACH, factor=3.0), *REST)), "broach: factor 2 → 3"),
        (loaded(cases=(*PLAN.cases, WRIST)), "wrist added"),
        (loaded(cases=(SAILING, *REST)), "broach removed"),
        (loaded(cases=(replace(SAILING, name="reaching"), BROACH, *REST)), "sailing is now called reaching"),
        (loaded(held=Held((0.05, 0.22))), "how the part is held: bearings 40 mm, 220 mm → 50 mm, 220 mm"),
        (
            loaded(judgement=replace(PLAN.judgement, strength=replace(PLAN.judgement.strength, value=2.0))),
            "factors and own limits under load: strength 3 → 2",
        ),
        (
            loaded(judgement=replace(PLAN.judgement, resin_strength=None)),
            "factors and own limits under load: resin strength 50 MPa → none",
        ),
        (JOB.replace(loads=replace(LOADS, fittings=LOADS.fittings[1:])), "pivot bolt removed"),
        (loaded(stations=51), "stations along the span 41 → 51"),
        (JOB.replace(loads=None), "loads removed: sailing, broach, tip aground, "),
    ],
)
def test_one_change_in_words(after, words):
    assert told(after).startswith(words)


def test_loads_stated_for_the_first_time():
    assert told(JOB, JOB.replace(loads=None)).startswith("loads added: sailing, broach, tip aground")


def test_own_stock_under_one_name_is_told_by_what_changed_in_it():
    first, second = (designed(sheet=replace(OWN, density=value)) for value in (1800.0, 1850.0))
    assert told(second, first) == "sheet “my sheet”: density 1800 kg/m³ → 1850 kg/m³"


def test_lengths_are_told_in_the_unit_shown():
    with lengths_in("inch"):
        assert told(designed(spacer_diameter=0.0254)) == "spacer diameter 0.7087 in → 1 in"


def test_the_first_are_told_and_the_rest_counted():
    after = designed(span=0.9, setback=0.0, friction=0.2, title="Rudder").replace(camber=0.4e-3)
    assert told(after).endswith("span 850 mm → 900 mm; and 2 more") and words_of({}) == "nothing"


@pytest.mark.nightly  # by day the changes above and below
@pytest.mark.slow
@examples(6)
@given(one=jobs, two=jobs)
def test_any_change_has_words_of_a_readable_length(one, two):
    assert 0 < len(told(two, one)) < 900
