"""Laws of scale: each result of a study follows lengths and moduli as its unit says, and no verdict moves."""

from dataclasses import fields, replace
from pathlib import Path

import pytest

from panelmech import Design, catalogue, evaluate
from panelmech.study.quantities import QUANTITIES

DEMO = Design.load(Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json")
DESIGNS = {
    "glass on a tube": DEMO,
    "near its limits": DEMO.replace(spacer_diameter=0.045, free_length=0.19, setback=0.0),
    "aluminium, a rod that stands proud": DEMO.replace(
        sheet=catalogue["aluminium 6061-T6"], sheet_thickness=1e-3, spacer_wall=0.0, setback=-2e-3
    ),
    "a pressure that is borne": DEMO.replace(span=0.25, pressure=300.0),
}
# A result is a product of powers of a length, of a modulus and of a density: the powers of each unit.
POWERS = {
    "": (0, 0, 0), "%": (0, 0, 0), "deg": (0, 0, 0), "mm": (1, 0, 0), "cm2": (2, 0, 0), "mm2": (2, 0, 0),
    "cm3": (3, 0, 0), "mm4": (4, 0, 0), "Pa": (0, 1, 0), "MPa": (0, 1, 0), "GPa": (0, 1, 0), "N/m": (1, 1, 0),
    "J/m2": (1, 1, 0), "N": (2, 1, 0), "kN": (2, 1, 0), "N m/m": (2, 1, 0), "J/m": (2, 1, 0), "N m": (3, 1, 0),
    "J": (3, 1, 0), "N m2": (4, 1, 0), "kg": (3, 0, 1), "kg/m": (2, 0, 1),
}  # fmt: skip
LENGTHS = ("sheet_thickness", "free_length", "land_length", "bond_line", "spacer_diameter", "setback", "span",
           "frame_width", "spacer_wall")  # fmt: skip
OWN = {"modulus": (0, 1, 0), "span_modulus": (0, 1, 0), "span_bending_modulus": (0, 1, 0), "shear_modulus": (0, 1, 0),
       "strength": (0, 1, 0), "tensile_strength": (0, 1, 0), "shear_strength": (0, 1, 0), "toughness": (1, 1, 0),
       "density": (0, 0, 1)}  # fmt: skip


def times(powers, scales):
    factor = 1.0
    for power, scale in zip(powers, scales, strict=True):
        factor *= scale**power
    return factor


def scaled_stock(stock, scales):
    names = {field.name for field in fields(stock)} & set(OWN)
    return stock.with_own(**{n: getattr(stock, n) * times(OWN[n], scales) for n in names if getattr(stock, n)})


def scaled(design, scales):
    values = {name: getattr(design, name) * scales[0] for name in LENGTHS}
    values |= {name: getattr(design, name) * scales[1] for name in ("pressure", "service_stress")}
    stock = {name: scaled_stock(getattr(design, name), scales) for name in ("sheet", "adhesive", "spacer", "resin")}
    return replace(design, **values, **stock)


@pytest.mark.parametrize("scales", [(10, 1, 1), (0.2, 1, 1), (1, 10, 1), (1, 1, 3), (3, 0.25, 0.5)], ids=str)
@pytest.mark.parametrize("name", DESIGNS)
def test_every_result_follows_its_unit_and_no_verdict_moves(name, scales):
    design = DESIGNS[name]
    one, other = evaluate(design), evaluate(scaled(design, scales))
    assert set(one.quantities) == set(other.quantities) and {q.unit for q in QUANTITIES.values()} <= set(POWERS)
    for key, value in one.quantities.items():
        expected = value * times(POWERS[QUANTITIES[key].unit], scales)
        assert other.quantities[key] == pytest.approx(expected, rel=1e-7, abs=1e-15, nan_ok=True), key
    for check, same in zip(one.checks, other.checks, strict=True):
        assert (check.key, check.verdict) == (same.key, same.verdict)
        factor = times(POWERS[check.unit], scales)
        for field in ("value", "limit"):
            expected = getattr(check, field) * factor
            assert getattr(same, field) == pytest.approx(expected, rel=1e-7, nan_ok=True), (check.key, field)
        assert same.reserve == pytest.approx(check.reserve, rel=1e-7, nan_ok=True), check.key
