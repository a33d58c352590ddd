"""Fair comparisons: the conditions are met, levels are verified by substitution, words follow the numbers."""

import re
from functools import lru_cache

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD as SLENDER

from panelmech import InfeasibleBend, catalogue, evaluate
from panelmech.mechanics.section import bent_pair, composite_section, wedge_pair
from panelmech.study import wedge_comparison as fair_module
from panelmech.study.framed_sheet import LOCAL_KEYS, bent_local, wedge_local
from panelmech.study.quantities import gather
from panelmech.study.wedge_comparison import (
    CONDITIONS,
    MEASURES,
    bent_measures,
    change_words,
    compare_with_wedge,
    open_twist_ratio,
    overtaking,
    ratio_words,
    share_words,
    side,
    verdict,
    wedge_measures,
)

FLARED = SLENDER.replace(spacer_diameter=0.09)
THICK = SLENDER.replace(sheet_thickness=4e-3, free_length=0.15)
STRONG = SLENDER.replace(free_length=0.1, spacer_diameter=0.016, setback=0.05)  # flared far beyond its rod
NO_WEDGE = SLENDER.replace(spacer_diameter=0.0534, setback=-0.03)  # bent sheets reach the rod, straight ones do not
BLIND = SLENDER.replace(sheet=catalogue["birch plywood, face grain along chord"])  # known from 3.6 mm on
DESIGNS = {"slender": SLENDER, "flared": FLARED, "thick": THICK, "strong": STRONG, "no wedge": NO_WEDGE, "blind": BLIND}
THIN = SLENDER.replace(
    sheet_thickness=0.1e-3, free_length=0.4, spacer_diameter=4e-3, bond_line=0.0, setback=0.0, spacer_wall=0.0
)


def test_conditions_are_met():
    by_name = {c.condition: c for c in compare_with_wedge(SLENDER, local=False)}
    assert tuple(by_name) == CONDITIONS
    bend, numbers = SLENDER.bend(), gather(SLENDER)
    thick = by_name["the same outer thickness"].wedge
    assert thick.wedge().outer_thickness == pytest.approx(bend.outer_thickness, rel=1e-9)
    moment = by_name["the same second moment"].wedge
    assert wedge_pair(moment.wedge()).i_chord == pytest.approx(bent_pair(bend).i_chord, rel=1e-9)
    heavy = by_name["the same mass"].wedge
    mass = composite_section(heavy.wedge(), gather(heavy)).mass_per_length
    assert mass == pytest.approx(composite_section(bend, numbers).mass_per_length, rel=1e-9)


@pytest.mark.parametrize("key", ["i_chord", "torsion_constant", "chord_stiffness", "torsion_stiffness"])
@pytest.mark.parametrize("field", ["spacer_diameter", "sheet_thickness"])
def test_levels_by_substitution(key, field):
    level = overtaking(SLENDER, key, field)
    assert level > getattr(SLENDER, field)
    reached = bent_measures(SLENDER.replace(**{field: level}), local=False)[key]
    assert reached == pytest.approx(wedge_measures(SLENDER, local=False)[key], rel=1e-5)


def test_small_angle_levels():
    """sqrt(140/99) = 1.19 for the second moment, 4/3 for the torsion constant (thin sheets, small opening)."""
    assert overtaking(THIN, "i_chord") / THIN.spacer_diameter == pytest.approx(np.sqrt(140 / 99), rel=0.03)
    assert overtaking(THIN, "torsion_constant") / THIN.spacer_diameter == pytest.approx(4 / 3, rel=0.03)


def test_level_or_ahead_and_impossible():
    assert overtaking(FLARED, "i_chord") == FLARED.spacer_diameter
    assert np.isnan(overtaking(FLARED, "torsion_constant"))
    with pytest.raises(ValueError, match="measure"):
        overtaking(SLENDER, "beauty")


def test_words_differ_where_the_numbers_do():
    texts = {}
    for name, design in (("slender", SLENDER), ("flared", FLARED), ("thick", THICK)):
        (same,) = compare_with_wedge(design, local=False, conditions=("the same spacer",))
        texts[name] = " ".join(verdict(design, same))
        chord = side(same.ratios["i_chord"])
        assert chord == ("stiffer" if name == "flared" else "softer")
    assert len(set(texts.values())) == 3
    assert "no spacer these sheets take" in texts["flared"]


def test_stiffer_always_says_in_what():
    (same,) = compare_with_wedge(SLENDER, conditions=("the same spacer",))
    for line in verdict(SLENDER, same):
        for match in re.finditer(r"stiffer|softer", line):
            assert re.match(r" than the flat wedge with [a-z ]+ in ", line[match.end() :])
    assert any("clamped land" in line for line in verdict(SLENDER, same))
    assert set(same.ratios) <= set(MEASURES)


def test_closing_the_front_stops_the_twist():
    """Bredt's cell over thin rectangles b t^3 / 3 (any text on torsion)."""
    t, land = 2e-3, (2 * 2e-3 + 0.3e-3) ** 3 * 15e-3 / 3
    leaves = 2 * 0.225 * t**3 / 3 + land
    assert open_twist_ratio(SLENDER) == pytest.approx(
        1 + bent_pair(SLENDER.bend()).torsion_constant / leaves, rel=1e-12
    )


# --- ratios and conditions ---------------------------------------------------------------------------------------


@lru_cache
def comparisons(name):
    return compare_with_wedge(DESIGNS[name])


@lru_cache
def words(name):
    return {c.condition: verdict(DESIGNS[name], c) for c in comparisons(name)}


@by_day("name", ["slender", "flared", "thick", "strong"], "slender")
def test_ratios_are_those_of_direct_calls(name):
    for found in comparisons(name):
        bent, flat = DESIGNS[name], found.wedge
        assert set(found.ratios) == set(MEASURES)
        pairs = bent_pair(bent.bend()), wedge_pair(flat.wedge())
        for key in ("i_chord", "torsion_constant", "i_normal", "curve_moment"):
            assert found.ratios[key] == getattr(pairs[0], key) / getattr(pairs[1], key)
        wholes = composite_section(bent.bend(), gather(bent)), composite_section(flat.wedge(), gather(flat))
        for key in ("chord_stiffness", "torsion_stiffness"):
            assert found.ratios[key] == getattr(wholes[0], key) / getattr(wholes[1], key)
        locals_ = bent_local(bent), wedge_local(flat)
        for key in LOCAL_KEYS:
            assert found.ratios[key] == pytest.approx(locals_[0][key] / locals_[1][key], rel=1e-9)
        assert all(type(ratio) is float for ratio in found.ratios.values())


@pytest.mark.parametrize("name", ["slender", "flared", "thick", "strong"])
def test_conditions_hold_on_other_designs_and_change_one_thing(name):
    design, bend = DESIGNS[name], DESIGNS[name].bend()
    wedges = {c.condition: c.wedge for c in comparisons(name)}
    assert wedges["the same spacer"] == design
    wedge = wedges["the same outer thickness"]
    assert wedge.wedge().outer_thickness == pytest.approx(bend.outer_thickness, rel=1e-9)
    assert wedge == design.replace(spacer_diameter=wedge.spacer_diameter)
    wedge = wedges["the same second moment"]
    assert wedge_pair(wedge.wedge()).i_chord == pytest.approx(bent_pair(bend).i_chord, rel=1e-9)
    assert wedge == design.replace(spacer_diameter=wedge.spacer_diameter)
    wedge = wedges["the same mass"]
    masses = composite_section(wedge.wedge(), gather(wedge)), composite_section(bend, gather(design))
    assert masses[0].mass_per_length == pytest.approx(masses[1].mass_per_length, rel=1e-9)
    assert wedge == design.replace(sheet_thickness=wedge.sheet_thickness)


def test_a_wedge_may_take_a_rod_its_bent_pair_could_not():
    """As thick at the front as a bent pair near its greatest spacer: the wedge's rod is beyond that."""
    end = SLENDER.replace(spacer_diameter=0.92 * SLENDER.bend().greatest_spacer)
    (found,) = compare_with_wedge(end, conditions=("the same outer thickness",))
    with pytest.raises(InfeasibleBend):
        found.wedge.bend()
    assert np.isfinite(list(found.ratios.values())).all()


def test_a_tube_too_thick_for_a_smaller_spacer_becomes_solid():
    solid = SLENDER.replace(spacer_wall=9e-3)
    (found,) = compare_with_wedge(solid, local=False, conditions=("the same second moment",))
    assert found.wedge.spacer_diameter < 18e-3
    assert found.wedge.spacer_wall == pytest.approx(0.5 * found.wedge.spacer_diameter, rel=1e-12)


def test_no_wedge_and_unknown_conditions_are_said():
    for local in (True, False):
        found = compare_with_wedge(NO_WEDGE, local=local)
        assert all(c.wedge is None and c.ratios == {} for c in found)
        assert "cannot touch this rod" in found[0].why and "all else kept" in found[1].why
        (line,) = verdict(NO_WEDGE, found[0])
        assert line.startswith("There is no flat wedge with the same spacer to compare with: ")
    with pytest.raises(ValueError, match="'the same price' is no condition.*the same mass"):
        compare_with_wedge(SLENDER, conditions=("the same price",))
    with pytest.raises(InfeasibleBend):
        compare_with_wedge(SLENDER.replace(spacer_diameter=0.13))


def test_an_unknown_modulus_leaves_what_is_geometry():
    same = comparisons("blind")[0]
    for key in ("i_chord", "torsion_constant", "i_normal", "curve_moment"):
        assert np.isfinite(same.ratios[key])
    for key in (*LOCAL_KEYS, "chord_stiffness"):
        assert np.isnan(same.ratios[key])
    lines = words("blind")["the same spacer"]
    (unknown,) = [line for line in lines if line.startswith("Not known, for want of a material value: ")]
    assert MEASURES["press_free"].words in unknown and share_words(BLIND) == ()


# --- levels ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("key", "ratio"), [("i_chord", (140 / 99) ** 0.5), ("torsion_constant", 4 / 3)])
def test_levels_in_the_limit(key, ratio):
    """(33/140 * 3)^(-1/2) = 1.19 and 4/3 = 1.33, with sheets that end at the contact.

    The setback is that of the present rod (minus its radius, a hair less); the larger rod then stands off the sheet's
    end, which moves the contact by 0.2 % of the free length.
    """
    limit = THIN.replace(free_length=1.0, sheet_thickness=5e-5, spacer_diameter=0.01, setback=-0.00499, span=2.0)
    assert overtaking(limit, key) / 0.01 == pytest.approx(ratio, rel=3e-3)
    assert round(ratio, 2) in (1.19, 1.33)


@pytest.mark.parametrize("key", MEASURES)
def test_already_level_or_ahead_is_the_present_value(key):
    same = comparisons("slender")[0]
    if same.ratios[key] >= 1.0:
        for field in ("spacer_diameter", "sheet_thickness"):
            assert overtaking(SLENDER, key, field) == getattr(SLENDER, field)
    else:
        level = overtaking(SLENDER, key)
        assert level > SLENDER.spacer_diameter or (key == "i_normal" and np.isnan(level))


def test_a_local_measure_can_be_levelled_too(monkeypatch):
    """No bent sheet of the same rod is softer than the wedge's, so the mark is put higher: twice the wedge's value."""
    own = bent_local(SLENDER, keys=("press_free",))["press_free"]
    monkeypatch.setattr(fair_module, "wedge_local", lambda d, w, keys: {"press_free": 2.0 * own})
    level = overtaking(SLENDER, "press_free", "sheet_thickness")
    reached = bent_local(SLENDER.replace(sheet_thickness=level), keys=("press_free",))["press_free"]
    assert reached == pytest.approx(2.0 * own, rel=1e-5)
    assert level / 2e-3 == pytest.approx(2 ** (1 / 3), rel=0.02)  # the cube of the thickness, or nearly


def test_no_level_without_a_wedge_or_a_modulus():
    assert np.isnan(overtaking(NO_WEDGE, "i_chord")) and np.isnan(overtaking(NO_WEDGE, "press_free"))
    assert np.isnan(overtaking(BLIND, "chord_stiffness")) and np.isnan(overtaking(BLIND, "press_free"))
    with pytest.raises(ValueError, match="'i_chord' with 'span'"):
        overtaking(SLENDER, "i_chord", "span")


@pytest.mark.parametrize(
    ("root", "end", "found"),
    [(1.5, 4.0, 1.5), (1.5, 1.503, 1.5), (1.5, 1.497, np.nan), (3.99, 9.0, 3.99), (4.1, 9.0, np.nan)],
)
def test_a_level_just_before_the_sheets_end_is_found(root, end, found):
    """A lead that is a number up to `end` only, searched from 1 to 4."""
    lead = lambda x: x - root if x <= end else np.nan  # noqa: E731
    assert fair_module._first_level(lead, 1.0, 4.0, 9) == pytest.approx(found, rel=1e-5, nan_ok=True)


def test_a_sheet_known_up_to_a_thickness_is_not_followed_beyond():
    """Plywood of 17 mm: the table ends at 17.6 mm, the level would be some 20 % thicker."""
    ply = BLIND.replace(sheet_thickness=17e-3, free_length=1.0, spacer_diameter=0.1)
    assert np.isfinite(compare_with_wedge(ply, local=False)[0].ratios["chord_stiffness"])
    assert np.isnan(overtaking(ply, "chord_stiffness", "sheet_thickness"))
    assert np.isfinite(overtaking(ply, "i_chord", "sheet_thickness"))  # geometry alone
    assert "no sheet up to four times as thick that bends so and is known" in " ".join(
        change_words(ply, {"chord_stiffness": 0.8})
    )


# --- words -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DESIGNS)
def test_no_output_says_stiffer_without_saying_in_what(name):
    """Over every condition: each "stiffer" and "softer" is followed by the wedge meant and by a measure's name."""
    names = "|".join(re.escape(m.words) for m in MEASURES.values())
    said = re.compile(rf"(stiffer|softer) than the flat wedge with ({'|'.join(CONDITIONS)}) in ({names}): ")
    for lines in words(name).values():
        text = " ".join(lines)
        assert len(re.findall(r"stiff|soft", text)) == len(said.findall(text)), text


@pytest.mark.parametrize("name", DESIGNS)
def test_every_measure_stands_once_on_its_side(name):
    for comparison in comparisons(name):
        lines = words(name)[comparison.condition]
        starts = {
            "stiffer": "The bent pair is stiffer",
            "softer": "The bent pair is softer",
            "the same": "No different",
            "unknown": "Not known",
        }
        for key, ratio in comparison.ratios.items():
            holding = [line for line in lines if MEASURES[key].words in line]
            assert len(holding) == 1 and holding[0].startswith(starts[side(ratio)]), key
            if side(ratio) in ("stiffer", "softer"):
                assert f"{MEASURES[key].words}: {ratio_words(ratio)}" in holding[0]


def test_the_verdict_turns_where_it_must():
    """Slender: softer about the chord line, harder to press. Strongly bent and flared: stiffer about the chord line,
    softer in twist. Thick: a sheet that hardly curves against its thickness gains less along the span."""

    def line(name, word):
        lines = [x for x in words(name)["the same spacer"] if x.startswith(f"The bent pair is {word}")]
        return lines[0] if lines else ""

    about, twist = MEASURES["i_chord"].words, MEASURES["torsion_constant"].words
    assert about in line("slender", "softer") and MEASURES["press_free"].words in line("slender", "stiffer")
    for name in ("flared", "strong"):
        assert about in line(name, "stiffer") and twist in line(name, "softer")
    assert about in line("thick", "softer")
    gains = {name: comparisons(name)[0].ratios["curve_moment"] for name in ("slender", "thick", "flared")}
    assert gains["thick"] < gains["slender"] < gains["flared"]
    heavy = comparisons("strong")[2]
    assert heavy.condition == "the same mass" and side(heavy.ratios["press_free"]) == "softer"
    assert "even pressing" in next(x for x in words("strong")["the same mass"] if "softer" in x)


def test_another_wedge_says_what_it_has():
    text = words("slender")
    moment, mass = (
        next(c.wedge for c in comparisons("slender") if c.condition == name)
        for name in ("the same second moment", "the same mass")
    )
    assert f"a spacer diameter of {1e3 * moment.spacer_diameter:.2f} mm, the bent pair of 18.00 mm" in " ".join(
        text["the same second moment"]
    )
    assert f"a sheet thickness of {1e3 * mass.sheet_thickness:.3f} mm, the bent pair of 2.000 mm" in " ".join(
        text["the same mass"]
    )
    assert not any("That wedge has" in line for line in text["the same spacer"])


@pytest.mark.parametrize("name", ["slender", "flared", "strong"])
def test_shares_multiply_to_the_whole(name):
    """land times curvature times free length, edges free and held; three digits each: within 1 %."""
    ratios = comparisons(name)[0].ratios
    for line, measure in zip(share_words(DESIGNS[name]), ("press", "buckling"), strict=True):
        land, free, held, length, whole_free, whole_held = map(float, re.findall(r"([\d.]+) times", line))
        assert land * free * length == pytest.approx(whole_free, rel=0.01)
        assert land * held * length == pytest.approx(whole_held, rel=0.01)
        assert whole_free == pytest.approx(ratios[f"{measure}_free"], rel=0.006)  # three digits
        assert whole_held == pytest.approx(ratios[f"{measure}_held"], rel=0.006)


def test_a_level_that_cannot_be_made_says_which_check_fails():
    near = FLARED.replace(spacer_diameter=0.05)
    (line,) = change_words(near, {"torsion_constant": 0.5})
    level = overtaking(near, "torsion_constant")
    study = evaluate(near.replace(spacer_diameter=level), local=False)
    assert study.check("permanent_strain").verdict == "fails"
    assert "(but fails there: bending strain, for good" in line
    (line,) = change_words(SLENDER, {"i_chord": 0.77})
    assert "fails" not in line


@pytest.mark.parametrize(
    ("ratio", "words_"),
    [
        (0.004, "only 0.40 % of it"),
        (0.5, "50 % less"),
        (0.996, "the same"),
        (0.994, "1 % less"),
        (1.004, "the same"),
        (1.23, "23 % more"),
        (1.99, "99 % more"),
        (1.996, "2.0 times"),
        (40.07, "40 times"),
        (np.nan, "unknown"),
        (np.inf, "unknown"),
    ],
)
def test_ratio_words(ratio, words_):
    assert ratio_words(ratio) == words_


# --- one sheet along the span, and the open pair ------------------------------------------------------------------


def test_one_sheets_own_moment_is_that_of_its_principal_axis():
    """A curved line is deep: 1 + 12 var(residual) / t^2 of a flat sheet's, in the thin, shallow limit.

    The residual is what is left of the curve after its mean straight line, inclination included, is taken off. With
    the inclination left in, a flat sheet set at an angle would count as many times its own moment, which is a matter
    of axes and not of stiffness.
    """
    thin = SLENDER.replace(sheet_thickness=1e-4, free_length=1.0, spacer_diameter=0.02, bond_line=0.0, span=2.0)
    bend, s = thin.bend(), np.linspace(0.0, 1.0, 20001)
    x, y = bend.outline(s)
    (a, b), inclined = np.polyfit(x, y, 1), 1 + 12 * np.var(y) / 1e-8
    expected = 1 + 12 * np.var(y - a * x - b) / 1e-8
    found = compare_with_wedge(thin, local=False, conditions=("the same spacer",))[0].ratios["curve_moment"]
    assert found == pytest.approx(expected, rel=1e-3)  # square of the inclination, 0.02
    assert inclined > 5 * found
    flat = wedge_pair(thin.wedge()).curve_moment
    assert flat == pytest.approx(1e-12 / 12, rel=1e-6)  # a flat sheet at any angle


@pytest.mark.slow
def test_the_open_pair_twists_as_finite_elements_say():
    """Open torsion constant of the straight pair with its land, one body, by `sectionproperties` (warping solved).

    Thin rectangles b t^3 / 3 leave out the ends and the corner at the land: 1 - 0.63 t / b for the land alone, which
    is a quarter of the whole. Measured: 3.8 % high.
    """
    pytest.importorskip("sectionproperties")
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    wedge, t, g, b = SLENDER.wedge(), 2.0, 0.3, 15.0
    (x0, x1), (y0, y1) = (1e3 * v for v in wedge.outline())
    c, s = np.cos(wedge.angle), np.sin(wedge.angle)
    leaf = np.array([(0.0, g / 2), (x1 + s, y1 - c), (x1 - s, y1 + c), (x0 - s, y0 + c)])
    land = Polygon([(-b, -g / 2 - t), (0.2, -g / 2 - t), (0.2, g / 2 + t), (-b, g / 2 + t)])
    body = unary_union([Polygon(leaf), Polygon(leaf * [1, -1]), land])
    geometry = Geometry(body)
    geometry.create_mesh(mesh_sizes=[1.0])
    section = Section(geometry)
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    cell = bent_pair(SLENDER.bend()).torsion_constant * 1e12
    open_ = cell / (open_twist_ratio(SLENDER) - 1.0)
    assert open_ == pytest.approx(section.get_j(), rel=0.05)
