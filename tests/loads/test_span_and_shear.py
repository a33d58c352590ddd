"""Span modulus and shear modulus of the sheets: partner values, isotropic relation, entries, what is unknown."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.materials.stock import EntryError, Sheet, catalogue, from_entry, to_entry

GLASS, GLASS_CROSS = "glass-epoxy laminate, lengthwise", "glass-epoxy laminate, crosswise"
BIRCH_CHORD, BIRCH_SPAN = "birch plywood, face grain along chord", "birch plywood, face grain along span"
OKOUME_CHORD = "okoume plywood, face grain along chord"
ISOTROPIC = ("acrylic, cast", "acrylic, extruded", "polycarbonate", "aluminium 5052-H32", "aluminium 6061-T6")
UNLIKE = tuple(name for name in catalogue if name not in ISOTROPIC)
NEW = {"modulus_gpa": 10.0, "poisson": 0.2, "density_kg_m3": 1500}


def a_sheet(**changes):
    values = dict(
        name="mine",
        modulus=18e9,
        poisson=0.2,
        density=1800.0,
        permanent_strain_limit=None,
        forming_strain_limit=None,
        source="measured",
    )
    return Sheet(**values | changes)


# -- the catalogue ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ISOTROPIC)
def test_isotropic_sheets_keep_the_isotropic_relations(name):
    """Bulk modulus from E and G and from E and nu must agree: E G / (3 (3G - E)) = E / (3 (1 - 2 nu)).

    G is kept to 1e-4 GPa; near nu = 0.37 the bulk modulus magnifies a relative error of G about fourfold.
    """
    sheet = catalogue[name]
    assert sheet.span_modulus == sheet.modulus
    young, shear = sheet.modulus, sheet.shear_modulus
    rounding = 0.5e5 / shear
    bulk = young / (3 * (1 - 2 * sheet.poisson))
    magnified = 3 * shear / abs(3 * shear - young)
    assert young * shear / (3 * (3 * shear - young)) == pytest.approx(bulk, rel=1.1 * magnified * rounding)
    assert sheet.basis_of("span_modulus")[0] == "derived"


@pytest.mark.parametrize("name", UNLIKE)
def test_the_isotropic_relation_is_not_used_where_directions_differ(name):
    """Fibres at 0 and 90 degrees shear through what binds them, so G lies well below E/2(1+nu).

    The bounds catch that relation and a slip of unit: the values lie between 0.08 and 0.51 of it.
    """
    sheet = catalogue[name]
    if sheet.shear_modulus is None:
        assert sheet.basis_of("shear_modulus")[0] == "no basis"
    else:
        t = sheet.stock_thicknesses[0]
        stiffest = max(sheet.modulus_at(t), sheet.span_modulus_at(t))
        isotropic = stiffest / (2 * (1 + sheet.poisson))
        assert 0.05 < sheet.shear_modulus / isotropic < 0.6
        assert sheet.basis_of("shear_modulus")[0] == "from memory"


@pytest.mark.parametrize(("one", "other"), [(GLASS, GLASS_CROSS), (GLASS_CROSS, GLASS)])
def test_glass_epoxy_takes_its_partner_along_the_span(one, other):
    assert catalogue[one].span_modulus == catalogue[other].modulus != catalogue[one].modulus
    assert "without a source" in catalogue[one].basis_of("span_modulus")[1]
    assert catalogue[one].shear_modulus == catalogue[other].shear_modulus  # one and the same plane


@pytest.mark.parametrize("name", [GLASS, GLASS_CROSS])
def test_glass_epoxy_keeps_the_reciprocal_relation(name):
    """nu_chord / E_chord = nu_span / E_span; both ratios are kept to four figures."""
    other = GLASS_CROSS if name == GLASS else GLASS
    sheet = catalogue[name]
    nu_span = sheet.poisson * sheet.span_modulus / sheet.modulus
    assert catalogue[other].poisson == pytest.approx(nu_span, rel=4e-4)


def test_woven_grp_shear_from_fibre_and_resin():
    """Halpin and Tsai's rule for shear, shape factor 1, in its other form, the concentric cylinders of Hashin and
    Rosen (1964): Gm ((Gf + Gm) + V (Gf - Gm)) / ((Gf + Gm) - V (Gf - Gm)). Inputs from memory, kept to the MPa.
    """
    fibre, resin, share = 72e9 / 2.44, 3.5e9 / 2.70, 0.32
    plus, minus = fibre + resin, share * (fibre - resin)
    sheet = catalogue["woven GRP"]
    assert sheet.shear_modulus == pytest.approx(resin * (plus + minus) / (plus - minus), abs=0.51e6)
    assert sheet.span_modulus == sheet.modulus


def test_every_stock_thickness_has_a_span_modulus():
    for sheet in catalogue.sheets.values():
        found = sheet.span_modulus_at(np.array(sheet.stock_thicknesses))
        assert np.all((found > 0.5e9) & (found < 100e9))


# -- by thickness -------------------------------------------------------------------------------------------


def test_by_thickness():
    birch = catalogue[BIRCH_CHORD]
    assert birch.span_modulus_at(3.6e-3) == pytest.approx(6.806e9, rel=1e-14)
    assert isinstance(birch.span_modulus_at(3.6e-3), float)
    middle = math.sqrt(3.6e-3 * 6.4e-3)  # straight in both logarithms: geometric means
    assert birch.span_modulus_at(middle) == pytest.approx(math.sqrt(6.806e9 * 7.656e9), rel=1e-13)
    found = birch.span_modulus_at([[3e-3, 5e-3, 20e-3]])
    assert found.shape == (1, 3) and list(np.isnan(found[0])) == [True, False, True]
    assert birch.table_range("span_modulus") == (3.6e-3, 17.6e-3)
    assert "17.6 mm" in birch.why_unknown("span_modulus", 20e-3)
    shear = birch.shear_modulus_at([3e-3, 20e-3, 0.0, math.nan])
    assert list(shear[:2]) == [0.62e9, 0.62e9] and np.isnan(shear[2:]).all()
    with pytest.raises(ValueError, match="allowed: modulus, span_modulus"):
        birch.table_range("shear_modulus")


def test_bending_along_the_span_is_as_tension_unless_given():
    glass, birch = catalogue[GLASS], catalogue[BIRCH_CHORD]
    assert glass.span_bending_modulus is None and glass.span_bending_at(2e-3) == glass.span_modulus
    assert birch.span_bending_at(3.6e-3) == pytest.approx(1.029e9, rel=1e-14)
    assert birch.table_range("span_bending_modulus") == (3.6e-3, 17.6e-3)
    found = birch.span_bending_at([3e-3, 5e-3])
    # straight in the logarithms: 1.029 (5/3.6)^p with p = ln(4.763/1.029)/ln(6.4/3.6)
    power = math.log(4.763 / 1.029) / math.log(6.4 / 3.6)
    assert math.isnan(found[0]) and found[1] == pytest.approx(1.029e9 * (5 / 3.6) ** power, rel=1e-12)
    own = birch.with_own("strip bent along the span", span_bending_modulus=1.2e9)
    assert own.span_bending_table is None and own.span_bending_at(30e-3) == 1.2e9
    assert own.span_table == birch.span_table and own.basis_of("span_bending_modulus")[0] == "user"
    entry = catalogue.with_entries({"sheets": {"x": NEW | {"span_modulus_gpa": 9, "span_bending_modulus_gpa": 2}}})["x"]
    assert entry.span_bending_at(2e-3) == 2e9 and to_entry(entry)["span_bending_modulus_gpa"] == 2


def test_what_is_not_known_is_nan_with_a_reason():
    mine, okoume = a_sheet(), catalogue[OKOUME_CHORD]
    assert math.isnan(mine.span_modulus_at(2e-3)) and np.isnan(mine.shear_modulus_at([1e-3, 2e-3])).all()
    assert mine.why_unknown("span_modulus", 2e-3) == "mine has no span modulus: no value is given"
    assert "could be read" in okoume.why_unknown("shear_modulus", 4e-3)
    assert "positive" in catalogue[GLASS].why_unknown("shear_modulus", -1.0)
    assert catalogue[GLASS].why_unknown("shear_modulus", 2e-3) == ""
    with pytest.raises(ValueError, match="no quantity 'density'"):
        mine.why_unknown("density", 2e-3)


# -- records and entries ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"span_modulus": 0.0}, "span_modulus is 0 GPa: give a positive number, in GPa; None"),
        ({"span_modulus": math.nan}, "span_modulus is nan"),
        ({"span_bending_modulus": -1e9}, "span_bending_modulus is −1"),
        ({"span_bending_table": ((1e-3, 1e9), (2e-3, 2e9))}, "within those of span_bending_table"),
        ({"shear_modulus": "4"}, "shear_modulus is '4'"),
        ({"shear_modulus": -4e9}, "shear_modulus is −4"),
        ({"shear_modulus": True}, "shear_modulus is True"),
        ({"span_table": ((1e-3, 1e9), (2e-3, 2e9))}, "span_modulus is None: give a value within those of span_table"),
        ({"span_modulus": 3e9, "span_table": ((1e-3, 1e9), (2e-3, 2e9))}, "within those of span_table"),
        ({"span_modulus": 1e9, "span_table": ((1e-3, 1e9),)}, "two rows"),
        ({"bases": {"shear_modulus": "published"}, "sources": {"span_table": "x"}}, "sources names 'span_table'"),
    ],
)
def test_a_sheet_refuses_in_words(changes, words):
    with pytest.raises(ValueError, match=words):
        a_sheet(**changes)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (NEW | {"span_modulus_gpa": 15168.0}, "span_modulus_gpa is 15168; .*mind the unit"),
        (NEW | {"span_modulus_gpa": None}, "span_modulus_gpa is None"),
        (NEW | {"shear_modulus_gpa": math.nan}, "shear_modulus_gpa is nan"),
        (NEW | {"shear_modulus_mpa": 620.0}, "did you mean shear_modulus"),
        (NEW | {"shear_modulus_gpa": 4.0, "shear_modulus_pa": 4e9}, "both shear_modulus_gpa and shear_modulus_pa"),
        (NEW | {"span_table_mm_gpa": [[1, 9], [2, 8]]}, "span_modulus is None"),
        (NEW | {"span_modulus_gpa": 8.5, "span_table_mm_gpa": [[1, 9, 2]]}, "rows"),
        (NEW | {"shear_table_mm_gpa": [[1, 9], [2, 8]]}, "unknown key shear_table_mm_gpa"),
        (NEW | {"sources": {"shear_modulus": {"basis": "published", "text": "x", "page": 3}}}, "give basis and text"),
        (NEW | {"sources": {"shear_modulus": {"basis": "guess"}}}, "basis is 'guess'"),
    ],
)
def test_own_entries_are_refused_in_words(entry, words):
    with pytest.raises(EntryError, match=words):
        catalogue.with_entries({"sheets": {"x": entry}})


def test_a_table_over_a_known_sheet_needs_the_plain_value():
    with pytest.raises(EntryError, match="span_table is given without span_modulus"):
        catalogue.with_entries({"sheets": {BIRCH_CHORD: {"span_table_mm_gpa": [[2, 9], [3, 8]]}}})


def test_an_own_sheet_may_leave_both_out():
    own = catalogue.with_entries({"sheets": {"x": NEW}})["x"]
    assert own.span_modulus is None and own.shear_modulus is None
    assert own.basis_of("span_modulus") == ("no basis", "no value is given")
    assert not {key for key in to_entry(own) if key.startswith(("span", "shear"))}


def test_a_changed_modulus_leaves_the_rest_as_it_was():
    for name in (BIRCH_CHORD, "acrylic, cast"):
        before = catalogue[name]
        by_entry = catalogue.with_entries({"sheets": {name: {"modulus_gpa": 12.0}}})[name]
        for after in (by_entry, before.with_own(modulus=12e9)):
            assert after.modulus_at(5e-3) == 12e9
            for quantity in ("span_modulus", "shear_modulus"):
                assert getattr(after, quantity) == getattr(before, quantity)
                assert after.basis_of(quantity) == before.basis_of(quantity)
            assert after.span_table == before.span_table


def test_the_sources_of_isotropic_sheets_name_their_figures():
    """So they still say where a value comes from once a user's own modulus stands beside it."""
    for name in ISOTROPIC:
        sheet = catalogue[name]
        for quantity in ("span_modulus", "shear_modulus"):
            assert f"{sheet.modulus / 1e9:g} GPa" in sheet.basis_of(quantity)[1]
        assert f"{sheet.poisson:g}" in sheet.basis_of("shear_modulus")[1]


def test_an_own_value_takes_the_place_of_the_span_table():
    own = catalogue[BIRCH_SPAN].with_own("strip in tension", span_modulus=9e9)
    assert own.span_table is None and own.span_modulus_at(30e-3) == 9e9
    assert own.basis_of("span_modulus") == ("user", "strip in tension")
    assert own.modulus_table == catalogue[BIRCH_SPAN].modulus_table
    entries = {OKOUME_CHORD: {"shear_modulus_gpa": 0.5, "source": "frame test"}}
    okoume = catalogue.with_entries({"sheets": entries})[OKOUME_CHORD]
    assert okoume.shear_modulus_at(4e-3) == 0.5e9
    assert okoume.basis_of("shear_modulus") == ("user", "frame test")
    assert okoume.span_table == catalogue[OKOUME_CHORD].span_table


def moduli():
    return st.none() | st.floats(1e6, 2e12, exclude_min=True, exclude_max=True)


def span_moduli():
    """Below 25 times that along the chord: beyond, the Poisson's ratio of 0.2 is that of no elastic sheet."""
    return st.none() | st.floats(1e6, 4.4e11, exclude_min=True)


@given(span=span_moduli(), shear=moduli(), tabled=st.booleans())
def test_any_values_survive_the_way_there_and_back(span, shear, tabled):
    table = ((1e-3, span), (2e-3, span)) if tabled and span is not None else None
    sheet = a_sheet(span_modulus=span, shear_modulus=shear, span_table=table)
    assert from_entry(Sheet, json.loads(json.dumps(to_entry(sheet)))) == sheet


def test_entries_keep_the_usual_units():
    entry = to_entry(catalogue[BIRCH_CHORD])
    assert entry["span_modulus_gpa"] == 6.806 and entry["shear_modulus_gpa"] == 0.62
    assert entry["span_table_mm_gpa"][0] == [3.6, 6.806]
    assert entry["sources"]["span_modulus"]["basis"] == "from memory"
    lost = replace(catalogue[BIRCH_CHORD], span_modulus=None, span_table=None)
    assert to_entry(lost)["sources"]["span_modulus"]["basis"] == "from memory"
    assert lost.basis_of("span_modulus")[0] == "no basis"
