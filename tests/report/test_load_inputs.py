"""What a load record is reckoned from stands on it: each figure is found again from the words of the paper alone."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from panelmech.blade.buoyancy import hydrostatics
from panelmech.job.job import demo
from panelmech.loads.cases import PointPush, SealedAir, SideForce, WaterHead
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.plan import Stock
from panelmech.loads.record import record_of
from panelmech.materials.water import water_density
from panelmech.report import load_inputs, load_rows
from panelmech.report.blocks import Table
from panelmech.report.note import record_contents

JOB = demo()
RECORD = record_of(JOB.blade, JOB.loads)


def record(*cases, **plan):
    """Of the demo's part under other cases."""
    given = replace(JOB.loads.plan, cases=cases, local=False, stations=11, **plan)
    return record_of(JOB.blade, LoadSheet(given))


def facts(made=RECORD):
    """{case: (as stated, from it)} of the record's table."""
    (table,) = [block for block in load_inputs.case_facts(made) if isinstance(block, Table)]
    return {row[0]: row[1:] for row in table.rows}


def found(pattern, words):
    """The one number that the words give in this place."""
    (value,) = re.findall(pattern.replace("#", r"([\d.]+)"), words)
    return float(value)


CASES = [
    SideForce("a", 2.0, 1026.0, angle=math.radians(4.0), immersed_from=0.25),
    SideForce("b", 3.5, 998.2, angle=math.radians(-7.0), end_plate=1.6, model="helmbold", tip=0.8),
    SideForce("c", 1.2, 1010.0, coefficient=0.4, centre=0.4, spread="proportional to chord"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_side_force_is_found_again_from_the_paper(case):
    """Speed, water, area and lift coefficient as printed give the side force as printed, to the digits printed; so
    does the lift coefficient from slope, cross-flow, aspect ratio and angle."""
    stated, follows = facts(record(case))[case.name]
    speed, density = found(r"speed # m/s", stated), found(r"water # kg", stated)
    area, pressure = found(r"one side, # cm²", follows), found(r"stagnation pressure # Pa", follows)
    assert pressure == pytest.approx(0.5 * density * speed**2, rel=6e-4)
    ratio, span = found(r"aspect ratio #,", follows), found(r"over # mm of span", follows)
    plate = found(r"end plate factor #;", stated)
    assert ratio == pytest.approx(plate * (0.1 * span) ** 2 / area, rel=1.6e-3)
    if case.angle is None:
        coefficient = found(r"lift coefficient #;", stated)
        assert "cannot be told" in follows
    else:
        coefficient = found(r"lift coefficient −?#;", follows)
        angle, slope = math.radians(found(r"to the flow −?#°", stated)), found(r"lift slope # per radian", follows)
        crossflow = found(r"cross-flow coefficient #, lift", follows)
        assert coefficient == pytest.approx(slope * angle + crossflow / ratio * angle**2, rel=2e-3)
        assert "Lloyd 1989" in follows and found(r"stalls at #°", follows) > 0.0
    force = found(r"side force −?# N", follows)
    assert force == pytest.approx(coefficient * pressure * area * 1e-4, rel=1.6e-3)


def test_every_case_states_its_inputs():
    words = {name: " ".join(cells) for name, cells in facts().items()}
    assert list(words) == [case.name for case in JOB.loads.plan.cases]
    assert "wet from 250 mm" in words["sailing"] and "25 % of the chord" in words["sailing"]
    assert "sailing times 2" in words["broach"] and "builder's own judgement" in words["broach"]
    assert "40 N across the chord; at 100 % of the span" in words["tip aground"]
    assert "closed at 20 °C, brought to 23 °C" in words["warmed, vented"]
    assert (
        "100 mm of water inside" in words["flooded, lifted out"] and "limits for good" in words["flooded, lifted out"]
    )


@pytest.mark.parametrize("temperature", [4.0, 12.0, 25.0])
@pytest.mark.parametrize(("salinity", "name"), [(0.0, "fresh water"), (35.0, "sea water")])
def test_the_water_is_named_with_its_temperature(temperature, salinity, name):
    words = load_inputs.water_words(water_density(temperature, salinity))
    assert name in words and words.endswith(
        f"at {temperature:.0f} °C" if temperature > 9.0 else f"{temperature:.1f} °C"
    )


@pytest.mark.parametrize("density", [850.0, 1010.0, 1100.0])
def test_what_is_no_such_water_is_not_called_so(density):
    assert load_inputs.water_words(density) == "neither fresh water nor that of the open sea"


def test_the_axis_the_place_and_the_holding_of_torque_are_said():
    words, d = load_inputs.axis_words(RECORD.study), RECORD.study.diagrams
    planform = RECORD.study.along.planform
    assert found(r"there; the greatest, # N·m", words) == pytest.approx(np.max(np.abs(d.torque)), rel=5e-3)
    ahead = 1e3 * (planform.leading_edge_x[0] - planform.axis_x)
    assert found(r"root end, # mm behind", words) == pytest.approx(ahead, rel=1e-3)
    assert "in broach at 0 mm" in words and "held at the root end" in words
    assert "no case turns the part" in load_inputs.axis_words(record(PointPush("p", 10.0)).study)


def test_the_stock_is_stated():
    stock = Stock(0.3, 0.03, 0.003, 70e9, 0.33, 200e6, "a tube at hand")
    (words,) = load_inputs.stock_words(record(PointPush("p", 10.0), stock=stock).study)
    for part in ("300 mm long", "30 mm, wall 3 mm", "70 GPa", "0.33", "200 MPa", "a tube at hand"):
        assert part in words


def test_mass_and_float_are_those_of_the_part_in_the_water_of_its_loads():
    words, hydro = load_inputs.float_words(RECORD), hydrostatics(JOB.blade, 1026.0, 0.25)
    assert found(r"fairing, has # kg\.", words) == pytest.approx(hydro.mass, rel=5e-4)
    for name, net in (("dry", hydro.net_dry), ("flooded", hydro.net_flooded)):
        way = "sinks, with" if net < 0.0 else "floats up, held down with"
        assert found(f"{name} it {way} # N", words) == pytest.approx(abs(net), rel=5e-3)


def test_the_sun_on_a_sealed_hollow_is_told_until_it_is_counted():
    assert "13.8 kPa" in load_rows.sun_words(RECORD.study)
    assert "vent the hollow" in load_rows.sun_words(RECORD.study)
    counted = record(SealedAir("sun", 293.15, 334.15), WaterHead("w", 0.1, 1000.0)).study
    assert "vent the hollow" not in load_rows.sun_words(counted)


def test_surface_and_blunt_front_are_noted_where_they_are():
    notes = " ".join(RECORD.study.notes)
    assert "sailing: the part pierces the surface" in notes and "5.0 % of the chord behind" in notes
    deep = " ".join(record(replace(CASES[0], immersed_from=0.0)).study.notes)
    assert "pierces" not in deep and "thickest place" in deep
    assert "thickest place" not in " ".join(record(PointPush("p", 10.0)).study.notes)


@pytest.mark.slow
def test_the_record_by_itself_names_every_material_and_its_moduli():
    html = record_contents(RECORD)["loads.html"].decode()
    design = JOB.design
    for name in (design.sheet.name, design.adhesive.name, design.spacer.name, design.resin.name):
        assert html.count(name) >= 1
    assert html.count("Material value") >= 1 and "Shear modulus" in html
