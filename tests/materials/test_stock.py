"""Stock records, the catalogue, entries: what is promised to builders about their own files included."""

import copy
import json
import math
import pickle
import tomllib
from dataclasses import FrozenInstanceError, replace
from importlib import resources

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.materials import stock as materials
from panelmech.materials.stock import (
    BASES,
    Adhesive,
    EntryError,
    Resin,
    Sheet,
    Spacer,
    UnknownName,
    catalogue,
    from_entry,
    to_entry,
)

PSI = 0.45359237 * 9.80665 / 0.0254**2
GLASS = "glass-epoxy laminate, lengthwise"
BIRCH_CHORD = "birch plywood, face grain along chord"
BIRCH_SPAN = "birch plywood, face grain along span"
EVERY = [r for shelf in ("sheets", "adhesives", "spacers", "resins") for r in getattr(catalogue, shelf).values()]


def a_sheet(**changes):
    values = dict(
        name="mine",
        modulus=18e9,
        poisson=0.2,
        density=1800.0,
        permanent_strain_limit=0.002,
        forming_strain_limit=0.01,
        source="measured",
    )
    return Sheet(**values | changes)


# -- the catalogue's own values -----------------------------------------------------------------------------


@pytest.mark.parametrize("record", EVERY, ids=lambda r: r.name)
def test_every_quantity_states_basis_and_source(record):
    assert record.source
    for quantity in record.QUANTITIES:
        value = getattr(record, quantity)
        if quantity == "walls" and value == ():
            continue  # a solid rod
        if quantity == "span_bending_modulus" and value is None:
            continue  # as in tension
        assert quantity in record.bases and quantity in record.sources
        basis, text = record.basis_of(quantity)
        assert basis in BASES and basis != "user" and len(text) > 5
        assert (basis == "no basis") == (value is None or value == ())


def test_every_source_that_is_published_can_be_looked_up():
    """Published means author or body, and table, clause or number; a maker is never named."""
    marks = ("Table", "table", "6.9.2.3.5", "Engineering Materials")
    for record in EVERY:
        for quantity in record.QUANTITIES:
            basis, text = record.basis_of(quantity)
            if basis == "published":
                assert any(mark in text for mark in marks), (record.name, quantity, text)


@pytest.mark.parametrize("sheet", catalogue.sheets.values(), ids=lambda s: s.name)
def test_sheets_are_plausible(sheet):
    assert 0.5e9 < sheet.modulus < 100e9
    assert 400 < sheet.density < 2800
    assert sheet.stock_thicknesses == tuple(sorted(set(sheet.stock_thicknesses)))
    assert all(0.5e-3 <= t <= 20e-3 for t in sheet.stock_thicknesses)
    for t in sheet.stock_thicknesses:
        assert math.isfinite(sheet.modulus_at(t))
        forming, permanent = sheet.forming_limit_at(t), sheet.permanent_limit_at(t)
        if math.isfinite(forming) and math.isfinite(permanent):
            assert permanent <= forming, (sheet.name, t)  # what it bears for good it bears on the day
        if sheet.permanent_strain_limit is not None and sheet.strength is not None:
            assert permanent * sheet.modulus_at(t) <= sheet.strength_at(t) * 1.0001  # four-figure rounding


@pytest.mark.parametrize("sheet", catalogue.sheets.values(), ids=lambda s: s.name)
def test_plain_limit_is_the_lowest_of_its_table(sheet):
    for limit, table in (("forming_strain_limit", "forming_table"), ("permanent_strain_limit", "permanent_table")):
        rows = getattr(sheet, table)
        if rows is not None:
            assert getattr(sheet, limit) == min(value for _, value in rows)


# published value -> what the catalogue must hold; relative tolerance 5e-4: the catalogue keeps four figures,
# limits rounded down
def _value(name, field):
    return getattr(catalogue[name], field)


@pytest.mark.parametrize(
    ("name", "field", "recomputed"),
    [
        # a laminator's chart of NEMA minima: 2700 and 2200 kpsi, 55000 and 45000 psi
        (GLASS, "modulus", 2700e3 * PSI),
        ("glass-epoxy laminate, crosswise", "modulus", 2200e3 * PSI),
        (GLASS, "strength", 55000 * PSI),
        ("glass-epoxy laminate, crosswise", "strength", 45000 * PSI),
        ("glass-epoxy laminate, crosswise", "poisson", 0.175 * 2200 / 2700),
        # rule of mixtures, inputs from memory; recomputed here from the weights
        ("woven GRP", "density", 1 / (0.5 / 2550 + 0.5 / 1200)),
        ("woven GRP", "modulus", 0.32 * 0.5 * 72e9 + 0.68 * 3.5e9),
        # makers: kgf/cm2, psi and least radius over thickness
        ("acrylic, cast", "modulus", 30000 * 9.80665e4),
        ("acrylic, cast", "strength", 1050 * 9.80665e4),
        ("acrylic, cast", "permanent_strain_limit", 1 / (2 * 180)),
        ("acrylic, extruded", "modulus", 480e3 * PSI),
        ("acrylic, extruded", "strength", 17000 * PSI),
        ("acrylic, extruded", "permanent_strain_limit", 750 * PSI / (480e3 * PSI)),
        ("polycarbonate", "modulus", 345e3 * PSI),
        ("polycarbonate", "strength", 13500 * PSI),
        ("polycarbonate", "permanent_strain_limit", 1 / (2 * 100)),
        # Aluminum Design Manual, Table 3.3-1M: minimum yield over modulus; for good three quarters of it
        ("aluminium 5052-H32", "permanent_strain_limit", 0.75 * 160e6 / 70.3e9),
        ("aluminium 5052-H32", "forming_strain_limit", 160e6 / 70.3e9),
        # minimum yield from memory
        ("aluminium 6061-T6", "permanent_strain_limit", 0.75 * 240e6 / 68.9e9),
        ("aluminium 6061-T6", "forming_strain_limit", 240e6 / 68.9e9),
        # ADR (2017) 6.9.2.3.5
        (GLASS, "permanent_strain_limit", 0.002),
        ("woven GRP", "permanent_strain_limit", 0.002),
    ],
)
def test_values_recomputed_from_their_sources(name, field, recomputed):
    assert _value(name, field) == pytest.approx(recomputed, rel=5e-4)


def test_glass_volume_fraction_of_woven_grp():
    glass, resin = 0.5 / 2550, 0.5 / 1200
    assert glass / (glass + resin) == pytest.approx(0.32, rel=1e-12)


@pytest.mark.parametrize("name", [GLASS, "glass-epoxy laminate, crosswise"])
def test_glass_epoxy_forming_limit_is_half_the_strain_at_break_rounded_down(name):
    sheet = catalogue[name]
    half = sheet.strength / sheet.modulus / 2
    assert half * 0.97 < sheet.forming_strain_limit <= half  # 1.02 % kept as 1.0 %
    assert sheet.basis_of("forming_strain_limit")[0] == "common practice"


def test_glass_epoxy_thickness_tolerance():
    """A maker's table: 0.19 mm at 1.6 mm, 0.30 mm at 3.2 mm; the line goes through both."""
    sheet = catalogue[GLASS]
    np.testing.assert_allclose(sheet.tolerance_at([1.6e-3, 3.2e-3]), [0.19e-3, 0.30e-3], rtol=1e-12)
    assert catalogue["acrylic, cast"].tolerance_at(3e-3) == pytest.approx(0.7e-3)  # 0.4 mm + 10 %
    assert math.isnan(catalogue["polycarbonate"].tolerance_at(3e-3))


def test_adhesive_toughness_as_published():
    """Viana et al. (2019) Frattura ed Integrita Strutturale 48:286-303, Table 1, in N/mm; 1 N/mm = 1000 J/m2."""
    found = {name: a.toughness for name, a in catalogue.adhesives.items()}
    assert found["brittle epoxy paste"] == pytest.approx(0.2e3)
    assert found["ductile epoxy paste"] == pytest.approx(0.43e3)
    assert found["ductile polyurethane"] == pytest.approx(2.36e3)
    assert found["unknown - measure it"] is None
    assert catalogue.adhesives["plain epoxy, not toughened"].basis_of("toughness")[0] == "from memory"


def test_mixed_epoxy_density():
    """A maker's guide: 4195 g per US gallon of 231 cubic inches."""
    recomputed = 4.195 / (231 * 0.0254**3)
    assert catalogue.resins["epoxy, unfilled"].density == pytest.approx(recomputed, rel=3e-3)  # kept as 1110


def test_limits_without_a_readable_source_are_left_out():
    for name in ("okoume plywood, face grain along chord", "okoume plywood, face grain along span"):
        assert catalogue[name].permanent_strain_limit is None
        assert catalogue[name].basis_of("permanent_strain_limit")[0] == "no basis"
    for name in ("acrylic, cast", "acrylic, extruded", "polycarbonate"):
        assert catalogue[name].forming_strain_limit is None
        assert "crack" in catalogue[name].basis_of("forming_strain_limit")[1]


def test_defaults_stand_first():
    assert next(iter(catalogue)) == GLASS
    assert 2e-3 in catalogue[GLASS].stock_thicknesses
    assert 18e-3 in next(iter(catalogue.spacers.values())).diameters
    assert next(iter(catalogue.adhesives.values())).toughness == 430


def test_data_files_are_package_data():
    found = {file.name for file in (resources.files("panelmech.materials") / "data").iterdir()}
    assert {"sheets.toml", "sheets_isotropic.toml", "adhesives.toml", "spacers.toml", "resins.toml"} <= found


# -- by thickness -------------------------------------------------------------------------------------------


def test_constant_and_tabled_values_by_thickness():
    glass, birch = catalogue[GLASS], catalogue[BIRCH_CHORD]
    assert glass.modulus_at(0.002) == glass.modulus
    assert isinstance(birch.modulus_at(3.6e-3), float)
    for t, modulus in birch.modulus_table:
        assert birch.modulus_at(t) == pytest.approx(modulus, rel=1e-14)
    at = birch.modulus_at(np.full((2, 3), 5e-3))
    assert at.shape == (2, 3)
    middle = math.sqrt(3.6e-3 * 6.4e-3)  # straight in both logarithms: geometric means
    assert birch.modulus_at(middle) == pytest.approx(math.sqrt(16.471e9 * 12.737e9), rel=1e-13)


def test_outside_a_table_is_nan_with_a_reason_never_an_extrapolation():
    birch = catalogue[BIRCH_CHORD]
    low, high = birch.table_range("modulus")
    assert (low, high) == (3.6e-3, 17.6e-3)
    found = birch.modulus_at([0.99 * low, low, high, 1.01 * high, -1.0, math.nan])
    assert list(np.isnan(found)) == [True, False, False, True, True, True]
    assert math.isfinite(birch.modulus_at(3.6 * 1e-3)) and 3.6 * 1e-3 != 3.7e-3
    assert "17.6 mm" in birch.why_unknown("modulus", 0.02)
    assert "20 mm" in birch.why_unknown("modulus", 0.02)
    assert birch.why_unknown("modulus", 4e-3) == ""
    assert "positive" in birch.why_unknown("modulus", -1.0)
    assert catalogue[GLASS].table_range("modulus") is None
    assert math.isnan(catalogue[GLASS].modulus_at(0.0))
    okoume = catalogue["okoume plywood, face grain along chord"]
    assert math.isnan(okoume.permanent_limit_at(4e-3))
    assert "no bending strength" in okoume.why_unknown("permanent_strain_limit", 4e-3)
    with pytest.raises(ValueError, match="allowed: modulus"):
        birch.table_range("density")


def test_grain_directions_of_the_forming_table():
    """Face grain along the chord is bent along its fibres (bend axis at 90 degrees to it): the larger radius."""
    along, across = catalogue[BIRCH_CHORD], catalogue[BIRCH_SPAN]
    t = np.array([1e-3, 3.6e-3, 9e-3])
    assert np.all(along.forming_limit_at(t) < across.forming_limit_at(t))
    assert np.all(along.modulus_at(along.stock_thicknesses) > across.modulus_at(along.stock_thicknesses))


# -- records ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"modulus": -1.0}, "modulus is −1e−09 GPa: give a positive number, in GPa"),
        ({"modulus": math.nan}, "modulus is nan"),
        ({"modulus": True}, "modulus is True"),
        ({"modulus": "18"}, "modulus is '18'"),
        ({"modulus": 10**400}, "modulus"),
        ({"modulus": np.array([1.0, 2.0])}, "modulus"),
        ({"poisson": 0.5}, "poisson is 0.5: give 0 to below 0.5"),
        ({"poisson": -0.01}, "poisson is −0.01: give 0 to below"),
        ({"density": math.inf}, "density"),
        ({"density": None}, "density is None"),
        ({"permanent_strain_limit": 0.2}, "is 20 %: give between 0 % and 20 %, these two left out; None where"),
        ({"forming_strain_limit": 0.0}, "is 0 %: give between 0 % and 20 %"),
        ({"strength": -3}, "None where there is no basis"),
        ({"name": " "}, "name"),
        ({"source": None}, "source is None: give a text"),
        ({"grain": 3}, "grain"),
        ({"stock_thicknesses": (0.002, -1)}, "stock_thicknesses"),
        ({"stock_thicknesses": "12"}, "stock_thicknesses"),
        ({"stock_thicknesses": 0.002}, "stock_thicknesses"),
        ({"thickness_tolerance": (0.1,)}, "thickness_tolerance"),
        ({"thickness_tolerance": (0.0, 1.0)}, "thickness_tolerance"),
        ({"modulus_table": ((0.001, 18e9),)}, "two rows"),
        ({"modulus_table": ((0.002, 18e9), (0.001, 18e9))}, "rising"),
        ({"modulus_table": ((0.001, 1e9), (0.002, 2e9))}, "within those of modulus_table"),
        ({"forming_table": ((0.001, 0.01), (0.002, 0.3))}, "forming_table is 0.3 .*: give less than 0.2"),
        ({"modulus_table": 3}, "modulus_table"),
        (
            {"poisson": 0.25, "span_modulus": 16 * 18e9},
            "poisson is 0.25: give less than 0.25, the square root of 18 GPa",
        ),
        ({"poisson": 0.4, "span_bending_modulus": 180e9}, "less than 0.316, .* over 180 GPa along the span"),
        (
            {"modulus": 9e9, "modulus_table": ((0.001, 18e9), (0.002, 9e9)), "span_modulus": 240e9},
            "less than 0.193, the square root of 9 GPa .* over 240 GPa",
        ),
        ({"sources": {"colour": "x"}}, "allowed: modulus"),
        ({"bases": {"modulus": "guessed"}}, "give one of published"),
        ({"bases": {"modulus": "no basis"}}, "has a value"),
        ({"sources": [1]}, "mapping"),
    ],
)
def test_sheet_refuses_in_words(changes, words):
    with pytest.raises(ValueError, match=words):
        a_sheet(**changes)


@pytest.mark.parametrize("ratio", [0.1, 1.0, 3.9, 16.0, 400.0])
def test_poisson_is_refused_where_a_sheet_would_give_more_than_was_put_in(ratio):
    """On the two sides of the limit: the stiffness matrix in plane stress, inverse of the compliance, is positive."""
    for share in (0.999, 1.001):
        poisson, chord = share / math.sqrt(ratio), 18e9
        inverse = np.array([[1 / chord, -poisson / chord], [-poisson / chord, 1 / (ratio * chord)]])
        sound = bool(np.all(np.linalg.eigvalsh(inverse) > 0.0))
        assert sound == (share < 1.0)
        if poisson < 0.5 and sound:
            assert a_sheet(poisson=poisson, span_modulus=ratio * chord).poisson == poisson
        elif poisson < 0.5:
            with pytest.raises(ValueError, match="beyond which no elastic sheet can be"):
                a_sheet(poisson=poisson, span_modulus=ratio * chord)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Adhesive("glue", -1.0, "x"),
        lambda: Adhesive("glue", 100.0, "x", modulus=math.nan),
        lambda: Spacer("rod", 1e9, 0.3, 1000.0, "x", walls=(0.02,), diameters=(0.01,)),
        lambda: Spacer("rod", 1e9, 0.3, 0.0, "x"),
        lambda: Resin("", 1e9, 0.3, 1000.0, "x"),
        lambda: Resin("r", 1e9, 0.6, 1000.0, "x"),
    ],
)
def test_the_other_records_refuse(make):
    with pytest.raises(ValueError, match=": give "):
        make()


def test_records_are_frozen_hashable_and_travel():
    for record in EVERY:
        assert hash(record) == hash(pickle.loads(pickle.dumps(record)))
        assert pickle.loads(pickle.dumps(record)) == record == copy.deepcopy(record)
    with pytest.raises(FrozenInstanceError):
        catalogue[GLASS].modulus = 1.0
    with pytest.raises(TypeError):
        catalogue.sheets["x"] = 1
    with pytest.raises(TypeError):
        catalogue[GLASS].sources["modulus"] = "mine"


def test_basis_of_what_nobody_stated():
    sheet = a_sheet(forming_strain_limit=None)
    assert sheet.basis_of("modulus") == ("user", "measured")
    assert sheet.basis_of("forming_strain_limit") == ("no basis", "no value is given")
    with pytest.raises(ValueError, match="no quantity 'colour'"):
        sheet.basis_of("colour")
    lost = replace(catalogue[GLASS], permanent_strain_limit=None)  # no value, so no published basis either
    assert lost.basis_of("permanent_strain_limit") == ("no basis", "no value is given")


def test_own_values_take_the_place_of_table_and_basis():
    own = catalogue[BIRCH_CHORD].with_own("three-point test", modulus=14e9, name="my birch")
    assert own.modulus_at(1e-3) == 14e9
    assert own.basis_of("modulus") == ("user", "three-point test")
    assert own.basis_of("density") == catalogue[BIRCH_CHORD].basis_of("density")
    assert own.name == "my birch" and catalogue[BIRCH_CHORD].modulus_at(3.6e-3) != 14e9


# -- names --------------------------------------------------------------------------------------------------


def test_unknown_names_are_answered_with_near_ones():
    for error in (ValueError, KeyError, UnknownName):
        with pytest.raises(error, match="near it: birch plywood"):
            catalogue["birch plywod"]
    with pytest.raises(ValueError, match="ductile epoxy paste"):
        catalogue.adhesives["ductile epoxy"]
    assert "nothing like it" not in catalogue and GLASS in catalogue
    assert catalogue.sheets.get("nothing like it") is None
    assert len(catalogue) == len(catalogue.sheets) == len(list(catalogue))


# -- the user's own entries ---------------------------------------------------------------------------------

OWN = """
[sheets."glass-epoxy laminate, lengthwise"]
modulus_gpa = 21.4
source = "strip from my sheet"

[sheets."my laminate"]
modulus_gpa = 19
poisson = 0.15
density_kg_m3 = 1800
permanent_strain_limit_percent = 0.2
[sheets."my laminate".sources]
modulus = { basis = "published", text = "a standard, Table 1" }

[adhesives."unknown - measure it"]
toughness_j_m2 = 310
"""


def test_own_file_overrides_and_adds(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(OWN, encoding="utf-8")
    own = catalogue.with_entries(path)
    glass, mine = own[GLASS], own["my laminate"]
    assert glass.modulus == 21.4e9 and glass.basis_of("modulus") == ("user", "strip from my sheet")
    assert glass.density == catalogue[GLASS].density and glass.basis_of("density")[0] == "maker's guide"
    assert mine.basis_of("modulus") == ("published", "a standard, Table 1")
    assert mine.basis_of("permanent_strain_limit")[0] == "user"
    assert mine.basis_of("forming_strain_limit")[0] == "no basis"
    assert own.adhesives["unknown - measure it"].toughness == 310
    assert own.adhesives["unknown - measure it"].basis_of("toughness")[0] == "user"
    assert "my laminate" not in catalogue and catalogue[GLASS].modulus != 21.4e9
    assert own == catalogue.with_entries(tomllib.loads(OWN)) == catalogue.with_entries(str(path))


def test_own_value_replaces_a_table():
    own = catalogue.with_entries({"sheets": {BIRCH_CHORD: {"modulus_gpa": 14.0}}})
    assert own[BIRCH_CHORD].modulus_at(2e-3) == 14e9
    assert own[BIRCH_CHORD].forming_table == catalogue[BIRCH_CHORD].forming_table
    table = [[3.0, 15.0], [6.0, 12.0]]
    own = catalogue.with_entries({"sheets": {BIRCH_CHORD: {"modulus_gpa": 15.0, "modulus_table_mm_gpa": table}}})
    assert own[BIRCH_CHORD].table_range("modulus") == (3e-3, 6e-3)
    assert own[BIRCH_CHORD].basis_of("modulus")[0] == "user"


NEW = {"modulus_gpa": 10.0, "poisson": 0.2, "density_kg_m3": 1500}


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({"sheet": {}}, "'sheet' is not known; allowed: sheets"),
        ({"sheets": []}, "sheets is"),
        ({"sheets": {"x": 3}}, "'x' is 3"),
        ({"sheets": {"x": {"modulus_gpa": 10.0, "poisson": 0.2}}}, "'x': missing density_kg_m3"),
        ({"sheets": {"x": NEW | {"modulus_mpa": 1.0}}}, "'x': unknown key modulus_mpa; did you mean modulus"),
        ({"sheets": {"x": NEW | {"modulus_gpa": "10"}}}, "'x', modulus_gpa is '10': give a number"),
        ({"sheets": {"x": NEW | {"modulus_gpa": True}}}, "modulus_gpa is True"),
        ({"sheets": {"x": NEW | {"modulus_gpa": None}}}, "modulus_gpa is None"),
        ({"sheets": {"x": NEW | {"modulus_gpa": math.nan}}}, "modulus_gpa is nan"),
        ({"sheets": {"x": NEW | {"modulus_gpa": 10**400}}}, "modulus_gpa"),
        ({"sheets": {"x": NEW | {"modulus_gpa": 18600.0}}}, "modulus_gpa is 18600; .*mind the unit"),
        ({"sheets": {"x": NEW | {"modulus_pa": 1e10}}}, "both modulus_gpa and modulus_pa"),
        ({"sheets": {"x": NEW | {"density_kg_m3": 0.0}}}, "density_kg_m3 is 0; a plausible"),
        ({"sheets": {"x": NEW | {"poisson": 0.5}}}, "poisson is 0.5"),
        ({"sheets": {"x": NEW | {"span_modulus_gpa": 400.0}}}, "'x': poisson is 0.2: give less than 0.158, the square"),
        ({"sheets": {BIRCH_SPAN: {"poisson": 0.3}}}, "poisson is 0.3: give less than 0.249, .* over 16.47 GPa"),
        ({"sheets": {"x": NEW | {"permanent_strain_limit_percent": 30}}}, "permanent_strain_limit_percent is 30"),
        ({"sheets": {"x": NEW | {"stock_thicknesses_mm": [2, math.inf]}}}, "stock_thicknesses_mm"),
        ({"sheets": {"x": NEW | {"stock_thicknesses_mm": "2"}}}, "a list of finite numbers"),
        ({"sheets": {"x": NEW | {"stock_thicknesses_mm": [2000]}}}, "stock_thicknesses_mm is 2000"),
        ({"sheets": {"x": NEW | {"tolerance_abs_mm": 0.1}}}, "together"),
        ({"sheets": {"x": NEW | {"modulus_table_mm_gpa": [[1, 2, 3]]}}}, "rows"),
        ({"sheets": {"x": NEW | {"modulus_table_mm_gpa": [[1, 9], [2000, 11]]}}}, "modulus_table_mm_gpa is 2000"),
        ({"sheets": {"x": NEW | {"modulus_table_mm_gpa": [[2, 9], [1, 11]]}}}, "rising"),
        ({"sheets": {BIRCH_CHORD: {"modulus_table_mm_gpa": [[2, 9], [3, 11]]}}}, "without modulus"),
        ({"sheets": {"x": NEW | {"source": 3}}}, "source is 3"),
        ({"sheets": {"x": NEW | {"name": "y"}}}, "calls itself 'y'"),
        ({"sheets": {"x": NEW | {"sources": "book"}}}, "sources is 'book'"),
        ({"sheets": {"x": NEW | {"sources": {"colour": {}}}}}, "'colour': no such quantity"),
        ({"sheets": {"x": NEW | {"sources": {"modulus": "book"}}}}, "give basis and text"),
        ({"sheets": {"x": NEW | {"sources": {"modulus": {"basis": "guess"}}}}}, "basis is 'guess'"),
        ({"sheets": {"x": NEW | {"sources": {"modulus": {"text": 1}}}}}, "text is 1"),
        ({"sheets": {"x": NEW | {"sources": {"modulus": {"basis": ["a"]}}}}}, "basis is"),
        ({"sheets": {" ": NEW}}, "not empty"),
        ({"sheets": {"x": NEW | {3: 4}}}, "unknown key 3"),
        ({"adhesives": {"x": {"toughness_j_m2": -5}}}, "adhesive 'x', toughness_j_m2 is -5"),
        ({"spacers": {"x": NEW | {"walls_mm": [2, "a"]}}}, "spacer 'x', walls_mm"),
        ({"resins": {"x": NEW | {"walls_mm": [2]}}}, "resin 'x': unknown key walls_mm"),
    ],
)
def test_own_entries_are_refused_in_words(entries, words):
    with pytest.raises(EntryError, match=words):
        catalogue.with_entries(entries)


@pytest.mark.parametrize("text", ["[sheets", "a = 1\na = 2\n", "x = " + "[" * 5000, "sheets = 3", "\x00"])
def test_a_file_that_is_no_catalogue_is_refused_with_its_name(tmp_path, text):
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(EntryError, match="bad.toml"):
        catalogue.with_entries(path)


def test_a_missing_file_or_a_wrong_argument_is_refused(tmp_path):
    with pytest.raises(EntryError, match="cannot be read"):
        catalogue.with_entries(tmp_path / "none.toml")
    with pytest.raises(EntryError, match="cannot be read"):
        catalogue.with_entries(tmp_path)
    with pytest.raises(EntryError, match="path of a TOML file"):
        catalogue.with_entries(3)
    path = tmp_path / "latin.toml"
    path.write_bytes(b'a = "\xe9"')
    with pytest.raises(EntryError, match="latin.toml"):
        catalogue.with_entries(path)


def test_an_entry_needs_a_name():
    with pytest.raises(EntryError, match="there is no name"):
        from_entry(Sheet, NEW)
    assert from_entry(Sheet, NEW, "x") == from_entry(Sheet, NEW | {"name": "x"})


# -- there and back -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("record", EVERY, ids=lambda r: r.name)
def test_entries_lead_back_to_the_same_record_through_json(record):
    entry = json.loads(json.dumps(to_entry(record), allow_nan=False))
    assert from_entry(type(record), entry) == record


def test_entries_keep_the_usual_units():
    entry = to_entry(catalogue[BIRCH_CHORD])
    assert entry["modulus_gpa"] == 16.471 and entry["density_kg_m3"] == 680
    assert entry["forming_table_mm_percent"][0] == [0.889, 0.875]
    assert entry["sources"]["modulus"]["basis"] == "from memory"
    assert from_entry(Sheet, NEW | {"modulus_gpa": 18.616}, "x").modulus == 18.616e9 == 18616000000.0


def test_an_implausible_record_is_refused_on_the_way_out():
    with pytest.raises(EntryError, match="modulus_gpa is 1e-09"):
        to_entry(a_sheet(modulus=1.0))


def logs(low, high):
    return st.floats(low, high, exclude_min=True, exclude_max=True)


@given(
    modulus=logs(1e6, 2e12),
    poisson=st.floats(0, 0.4999),
    density=logs(1.0, 3e4),
    forming=st.none() | logs(1e-7, 0.2),
    permanent=st.none() | logs(1e-7, 0.2),
    strength=st.none() | logs(1e4, 2e10),
    stock=st.lists(logs(1e-6, 0.5), max_size=4),
    tolerance=st.none() | st.tuples(st.floats(0, 0.1), st.floats(0, 0.99)),
    scale=logs(1e-3, 1.0),
)
def test_any_sheet_survives_the_way_there_and_back(
    modulus, poisson, density, forming, permanent, strength, stock, tolerance, scale
):
    table = ((1e-3 * scale, modulus), (0.3 * scale, modulus))
    sheet = Sheet(
        "any",
        modulus,
        poisson,
        density,
        permanent,
        forming,
        "",
        strength=strength,
        stock_thicknesses=stock,
        thickness_tolerance=tolerance,
        modulus_table=table if scale > 0.5 else None,
    )
    assert from_entry(Sheet, json.loads(json.dumps(to_entry(sheet)))) == sheet


def test_a_value_no_usual_unit_can_hold_goes_out_in_si():
    """Some floats in Pa are no float in GPa; of 200 neighbours some must take the SI key, and all come back."""
    keys = set()
    modulus = 1.9e9
    for _ in range(200):
        modulus = math.nextafter(modulus, math.inf)
        entry = to_entry(a_sheet(modulus=modulus))
        keys |= {key for key in entry if key.startswith("modulus")}
        assert from_entry(Sheet, entry).modulus == modulus
    assert keys == {"modulus_gpa", "modulus_pa"}


def test_the_module_lists_its_public_names():
    assert all(hasattr(materials, name) for name in materials.__all__)


def test_a_thickness_that_is_no_number_is_refused():
    sheet = next(iter(catalogue.sheets.values()))
    for wrong in ("2", True, np.array([1j]), np.array(["2026-01-05"], dtype="datetime64[D]")):
        with pytest.raises(ValueError, match="thickness is .*: give"):
            sheet.modulus_at(wrong)
    assert np.isnan(sheet.modulus_at(np.ma.array([2e-3, 2e-3], mask=[False, True]))).tolist() == [False, True]
