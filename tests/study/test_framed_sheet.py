"""One framed sheet of a design: against direct calls of shell and strip, plate theory, and the rules of growth."""

from dataclasses import fields, replace

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from panelmech import Design, Sheet, catalogue, evaluate
from panelmech.mechanics import press_both_ways
from panelmech.mechanics.bend import InfeasibleBend
from panelmech.mechanics.large_pair import press_large_pair
from panelmech.mechanics.pressed_pair import press_pair
from panelmech.mechanics.pressing import pair_degrees, pair_pressings
from panelmech.mechanics.shell import buckle, critical_stress, deflection_degrees, largest_deflection, press
from panelmech.mechanics.shell_model import even_pressure, framed_edges, framed_sheet, point_force
from panelmech.mechanics.strip import Support, even_strip_pressure, strip_response
from panelmech.study.checks import LOCAL_RULES
from panelmech.study.design import TEXTS
from panelmech.study.ends import pair_give
from panelmech.study.every import judge_design, rate_design
from panelmech.study.framed_sheet import (
    IN_PLANE,
    LOCAL_KEYS,
    SHAPED_BY,
    bent_local,
    bent_sheet,
    buckling_stress,
    local_notes,
    local_quantities,
    point_pressing,
    pressing,
    sheet_compliance,
    wedge_length,
    wedge_local,
    wedge_sheet,
)
from panelmech.study.grain import sheet_grain
from panelmech.study.pressed_face import shape_of
from panelmech.units import show

PARTS = ("adhesive", "spacer", "resin")

SHEET = Sheet(
    name="own",
    modulus=20e9,
    poisson=0.2,
    density=1900.0,
    permanent_strain_limit=0.01,
    forming_strain_limit=0.02,
    source="test strip",
)


def remark(key, design):
    """What stands with the value of a check of the framed sheet."""
    (rule,) = (rule for rule in LOCAL_RULES if rule.key == key)
    return rule.remark(design, local_quantities(design))


@pytest.fixture
def design():
    return Design(SHEET, 2e-3, 0.225, 15e-3, bond_line=0.3e-3, spacer_diameter=18e-3, setback=3e-3, span=0.5)


def flat_strip_stiffness(design, length, number):
    """D / (number L^4): even pressure over the largest deflection of a straight wide strip."""
    return 20e9 / (1 - 0.2**2) * design.sheet_thickness**3 / 12 / (number * length**4)


@pytest.mark.parametrize("choice", ["free", "held"])
def test_the_bent_sheet_is_the_shells(design, choice):
    """The shell called by hand, with the load the check asks for in place of the unit load."""
    edges = framed_edges("clamped", "supported", "supported", {"free": "diaphragm", "held": "held"}[choice])
    sheet = framed_sheet(design.bend(), 0.5, 15e-3, 20e9, 0.2, edges)
    found = local_quantities(design)
    inwards, degrees = even_pressure(-design.pressure), deflection_degrees(sheet)
    deflection = abs(press(sheet, inwards, degrees).largest_deflection)
    assert found[f"buckling_stress_{choice}"] == pytest.approx(buckle(sheet).line_load / 2e-3, rel=1e-5)
    stiffness = bent_local(design)
    assert 1 / stiffness[f"press_{choice}"] == pytest.approx(deflection / design.pressure, rel=1e-9)
    pushed = press(sheet, point_force(-50.0, footprint=0.02)).largest_deflection / 50.0
    assert 1 / stiffness[f"point_{choice}"] == pytest.approx(abs(pushed), rel=1e-9)
    strip = strip_response(
        design.bend(), 20e9 / 0.96 * 8e-9 / 12, even_strip_pressure(7.0), Support("clamped", "potted", choice)
    )
    assert stiffness[f"strip_{choice}"] == pytest.approx(7.0 / abs(strip.deflection_max), rel=1e-9)


def test_a_pressed_face_is_the_pairs(design):
    """The pair at large deflection called by hand: both ways, potted with what its ends give, and resting."""
    bend, sheet, found = design.bend(), bent_sheet(design), local_quantities(design)
    give, degrees = pair_give(design, bend), pair_degrees(sheet)
    for name, pressure, front in (
        ("press_deflection", 1.0, "potted"),
        ("press_deflection_inward", -1.0, "potted"),
        ("press_deflection_resting", 1.0, "resting"),
    ):
        load = even_pressure(pressure * design.pressure)
        pressed = press_large_pair(sheet, load, "one", front, give, degrees)
        assert found[name] == pytest.approx(abs(pressed.largest_deflection), rel=1e-7)
    linear = press_pair(sheet, even_pressure(design.pressure), "one", "potted", give).largest_deflection
    assert found["press_deflection_linear"] == pytest.approx(linear, rel=1e-3)
    assert np.isnan(found["press_lets_go"])


def test_what_the_ends_give_by_hand(design):
    """Bed of the bond 2 E/g, of the nose 2 E over the mouth; a land many wavelengths long turns by M/(D lam); the rod
    by GJ pi^2/(2 b^2), an aluminium tube of 18 by 1.5 mm between frames 470 mm apart."""
    bend = design.bend()
    give, d = pair_give(design, bend), float(design.sheet.modulus / 0.96 * 8e-9 / 12)
    lam = (2 * design.adhesive.modulus / 0.3e-3 / (4 * d)) ** 0.25
    assert lam * design.land_length > 4 and give.land == pytest.approx(d * lam, rel=1e-3)
    outer, inner = 9e-3, 7.5e-3
    shear = design.spacer.modulus / (2 * (1 + design.spacer.poisson))
    by_hand = 0.5 * shear * 0.5 * np.pi * (outer**4 - inner**4) * (np.pi / 0.47) ** 2
    assert give.nose == pytest.approx(by_hand, rel=1e-9)
    lam = (2 * design.resin.modulus / bend.mouth / (4 * d)) ** 0.25
    assert lam * bend.overhang > 3 and give.front == pytest.approx(d * lam, rel=0.01)
    proud = design.replace(setback=-8e-3)  # little is bonded ahead of the contact: a rigid bar turns by 12 M/(k l^3)
    ahead = proud.bend().overhang
    lam = (2 * design.resin.modulus / proud.bend().mouth / (4 * d)) ** 0.25
    assert 0 < lam * ahead < 1
    assert pair_give(proud, proud.bend()).front == pytest.approx(lam**4 * d * ahead**3 / 3, rel=0.02)


def test_a_face_that_lets_go_fails_and_says_where(design):
    thin = design.replace(
        sheet_thickness=0.4e-3, spacer_diameter=50e-3, pressure=300.0, deflection_share=0.2, frame_width=5e-3
    )
    study = evaluate(thin)
    check, lets_go = study.check("oil_canning"), study.quantities["press_lets_go"]
    assert 0.0 < lets_go < 300.0 and np.isnan(study.quantities["press_deflection"])
    assert check.verdict == "fails" and check.reserve < 1.0 and check.value_text() == "lets go before"
    assert f"snaps through or jumps at {show(lets_go, 'Pa', 3)}" in check.advice
    below = local_quantities(thin.replace(pressure=0.9 * lets_go))
    assert np.isnan(below["press_lets_go"]) and np.isfinite(below["press_deflection"])
    hard = design.replace(sheet_thickness=0.4e-3, spacer_diameter=30e-3, pressure=3000.0, deflection_share=0.2)
    found = local_quantities(hard)  # outward it does not let go, and far less than is allowed; inward it jumps
    assert found["press_lets_go"] < 3000.0 and np.isinf(found["press_deflection_inward"])
    standing = judge_design(thin)
    assert standing.verdict == "fails" and rate_design(thin)["oil_canning"].reserve == pytest.approx(check.reserve)


def test_the_wedges_sheet_is_a_simply_supported_plate(design):
    """Navier's double series (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, ch. 5), and the
    buckling of a supported plate, N = (m b/a + a/(m b))^2 pi^2 D / b^2 at its least (Timoshenko and Gere, Theory of
    Elastic Stability). The series to 199 x 199 terms is good to 1e-7; the Ritz solution to 1e-5."""
    a, b, stiffness = wedge_length(design), 0.47, 20e9 / 0.96 * 8e-9 / 12
    n = np.arange(1, 200, 2)
    m, k = np.meshgrid(n, n)
    shape = m**2 / a**2 + k**2 / b**2
    middle = 16 / (np.pi**6 * stiffness) * np.sum(np.sin(m * np.pi / 2) * np.sin(k * np.pi / 2) / (m * k * shape**2))
    flat = wedge_local(design)
    assert 1 / flat["press_free"] == pytest.approx(middle, rel=1e-5)
    waves = np.arange(1, 20)
    critical = np.pi**2 * stiffness / a**2 * np.min((waves * a / b + b / (waves * a)) ** 2)
    assert flat["buckling_free"] == pytest.approx(critical / 2e-3, rel=1e-4)
    for name in ("press", "point", "buckling", "strip"):
        assert flat[f"{name}_free"] == flat[f"{name}_held"]  # a flat sheet does not care
    held = wedge_sheet(design)
    assert pressing(held) == pytest.approx(middle, rel=1e-5)
    assert buckling_stress(held) == pytest.approx(critical / 2e-3, rel=1e-4)


def test_both_strips_are_potted_at_the_front(design):
    """Flat limits of beam theory: hinged and fixed 1/184.634, fixed and fixed 1/384; the same front on both sides, so
    that the comparison is of the land and the curve."""
    flat = wedge_local(design)["strip_free"]
    # largest deflection of the hinged-fixed beam: x = (1 + sqrt 33)/16 of the length, w = (x - 3 x^3 + 2 x^4)/48
    x = (1 + 33**0.5) / 16
    number = (x - 3 * x**3 + 2 * x**4) / 48
    assert 1 / number == pytest.approx(184.634, rel=1e-5)
    assert flat == pytest.approx(flat_strip_stiffness(design, wedge_length(design), number), rel=1e-6)
    shallow = design.replace(spacer_diameter=1e-3, spacer_wall=0.0)  # rise a quarter of the thickness
    bent = bent_local(shallow, keys=("strip_free",))["strip_free"]
    # nearly flat: the rest is the curvature's, of the order of (rise / thickness)^2
    assert bent == pytest.approx(flat_strip_stiffness(shallow, shallow.bend().contact_arclength, 1 / 384), rel=1e-3)
    ratio = bent / wedge_local(shallow, keys=("strip_free",))["strip_free"]
    assert ratio == pytest.approx(384 * number, rel=2e-3)  # 2.08


@pytest.mark.parametrize("changes", [{}, {"spacer_diameter": 0.08}, {"frame_width": 0.1}, {"sheet_thickness": 1e-3}])
def test_a_check_takes_the_worse_of_both_edges(design, changes):
    found = local_quantities(design.replace(**changes))
    assert found["buckling_stress"] == min(found["buckling_stress_free"], found["buckling_stress_held"])
    assert found["buckling_stress_held"] > found["buckling_stress_free"]
    assert found["press_deflection_inward"] < found["press_deflection"] < found["press_deflection_resting"]


def test_answers_go_with_the_load_and_the_modulus(design):
    """Every modulus twice as great: twice the pressure presses as far, and twice the stress is borne. More pressure
    presses farther, outward by more than in proportion, inward by less."""
    twice = design.replace(
        sheet=own(modulus=40e9),
        **{part: replace(s, modulus=2 * s.modulus) for part in PARTS if (s := getattr(design, part))},
        pressure=2 * design.pressure,
    )
    one, found = local_quantities(design), local_quantities(twice)
    for name, value in one.items():
        assert found[name] == pytest.approx((1 if name.startswith("press") else 2) * value, rel=1e-7, nan_ok=True)
    more = local_quantities(design.replace(pressure=1.5 * design.pressure))
    assert more["press_deflection"] > 1.5 * one["press_deflection"]
    assert more["press_deflection_inward"] < 1.5 * one["press_deflection_inward"]
    assert more["press_deflection_linear"] == pytest.approx(1.5 * one["press_deflection_linear"], rel=1e-9)
    assert more["buckling_stress"] == one["buckling_stress"]


def test_only_what_is_asked_for(design):
    assert set(local_quantities(design, wanted=("buckling_stress",))) == {
        "buckling_stress",
        "buckling_stress_free",
        "buckling_stress_held",
    }
    everything = bent_local(design)
    assert tuple(everything) == LOCAL_KEYS
    for key in ("point_held", "strip_free"):
        assert bent_local(design, keys=(key,)) == {key: pytest.approx(everything[key], rel=1e-12)}
    assert list(wedge_local(design, keys=("press_held",))) == ["press_held"]


def test_an_unknown_modulus_gives_no_number(design):
    """Plywood in a thickness nobody has measured: nan, not a refusal of the whole comparison."""
    ply = catalogue["birch plywood, face grain along chord"]
    thin = design.replace(sheet=ply, sheet_thickness=2e-3)
    for answer in (local_quantities(thin), bent_local(thin), wedge_local(thin)):
        assert answer and all(np.isnan(value) for value in answer.values())
    assert local_notes(thin, thin.bend()) == ()
    assert remark("oil_canning", thin) == remark("skin_buckling", thin) == ""


def test_what_cannot_be_is_refused_in_words(design):
    with pytest.raises(ValueError, match="leaves nothing of the span.*make the frames narrower or the span longer"):
        design.replace(frame_width=0.25)
    with pytest.raises(ValueError, match=r"two frames of 260 mm do not fit.*narrower than 250 mm"):
        framed_sheet(design.bend(), 0.5, 0.26, 20e9, 0.2)
    with pytest.raises(InfeasibleBend):
        bent_local(design.replace(spacer_diameter=0.13))
    no_wedge = design.replace(spacer_diameter=0.0534, setback=-0.03)
    for ask in (wedge_length, wedge_sheet, wedge_local):
        with pytest.raises(ValueError, match="cannot touch this rod"):
            ask(no_wedge)


def test_frames_almost_as_wide_as_the_span_are_doubtful_and_said_so(design):
    even = design.replace(sheet=catalogue["aluminium 6061-T6"])
    narrow = even.replace(frame_width=0.24)  # 20 mm left of 500: ten thicknesses
    (note,) = local_notes(narrow, narrow.bend())
    assert "thicker than a twentieth of its smaller side" in note
    assert local_notes(even, even.bend()) == ()


# --- growth: common practice, no source --------------------------------------------------------------------------


def test_panel_stiffness_goes_with_the_cube_of_thickness(design):
    """The trade's rule (common practice, no source): exact for a flat sheet; for the bent one with edges drawing in
    near it, with edges held less, for there the curve carries and stretching goes with the thickness itself."""
    flat = wedge_local(design, keys=("press_free",))["press_free"]
    thick = design.replace(sheet_thickness=2.2e-3)
    length = wedge_length(thick) / wedge_length(design)  # a thicker sheet moves the contact a little
    power = np.log(wedge_local(thick, keys=("press_free",))["press_free"] / flat) / np.log(1.1)
    assert power == pytest.approx(3.0, abs=4 * abs(np.log(length)) / np.log(1.1) + 1e-6)
    powers = {c: press_both_ways(bent_sheet(design, c), 1.0, exponents=True).exponents.thickness for c in IN_PLANE}
    assert 2.8 < powers["free"] <= 3.0 and 1.0 < powers["held"] < powers["free"]


def test_narrower_free_span_stiffens_by_the_cube_to_the_fourth_power(design):
    """Where the free span is clearly the short side: a strip across it has the fourth power of its length in its
    deflection; what land and rod still carry, and the curve, take something off. Where the chord is short the span
    hardly counts. Measured: 3.6 bent, 3.9 flat at 120 by 430 mm; 2.3 where the span is only half the chord."""
    short = design.replace(free_length=0.45, span=0.15, spacer_diameter=0.03)  # free span 120, land to rod 430 mm
    wider = short.replace(frame_width=20e-3)
    assert wider.bend().contact_arclength > 3 * 0.12

    def power(first, second, ratio):
        return np.log(pressing(first) / pressing(second)) / np.log(ratio)

    for choice in IN_PLANE:
        assert 3.0 < power(bent_sheet(short, choice), bent_sheet(wider, choice), 120 / 110) < 4.0
    assert 3.0 < power(wedge_sheet(short), wedge_sheet(wider), 120 / 110) < 4.0
    long = design.replace(span=1.2)
    assert abs(power(bent_sheet(long, "free"), bent_sheet(long.replace(frame_width=25e-3), "free"), 1170 / 1150)) < 0.3


def test_a_small_sheet_is_pressed_on_a_small_square(design):
    """The 20 mm square shrinks with a narrow free span, so that it always lies on the sheet."""
    narrow = design.replace(frame_width=0.23)  # 40 mm left
    sheet = bent_sheet(narrow, "free")
    direct = press(sheet, point_force(1.0, footprint=0.01)).largest_deflection
    assert point_pressing(sheet) == pytest.approx(abs(direct), rel=1e-9)


# --- a grain -----------------------------------------------------------------------------------------------------


BIRCH, ACROSS = (f"birch plywood, face grain along {way}" for way in ("chord", "span"))


def grain_share(chord, span, shear, poisson):
    """Buckling stress along the span of a long flat supported sheet with a grain, over that of an even sheet of the
    chord's modulus: N = 2 pi^2 (sqrt(D11 D22) + D12 + 2 D66) / a^2 (Lekhnitskii, from memory) against 4 pi^2 D / a^2.
    """
    one, two = (modulus / (1.0 - poisson**2 * span / chord) for modulus in (chord, span))
    return (np.sqrt(one * two) + poisson * two + 2.0 * shear) * (1.0 - poisson**2) / (2.0 * chord)


def test_grain_share_is_the_long_plates():
    """Least over the length of the half wave of the energy of a supported orthotropic strip, found by search."""
    one, two, shear, poisson = 16e9, 6e9, 0.7e9, 0.05
    other = poisson * two / one
    d11, d22, d12 = (v / (1 - poisson * other) for v in (one, two, poisson * two))

    def load(x):  # half wave x long on a width of one
        return np.pi**2 * (d11 * x**2 + 2 * (d12 + 2 * shear) + d22 / x**2)

    least = minimize_scalar(load, bounds=(0.1, 10), method="bounded", options={"xatol": 1e-10}).fun
    even = 4 * np.pi**2 * one / (1 - poisson**2)
    assert grain_share(one, two, shear, poisson) == pytest.approx(least / even, rel=1e-9)
    assert grain_share(one, one, one / (2 * 1.3), 0.3) == pytest.approx(1.0, rel=1e-12)


def even(sheet):
    """The framed sheet without its grain."""
    return replace(sheet, span_modulus=None, shear_modulus=None, stretch_moduli=None)


@pytest.mark.parametrize(
    ("name", "thickness"),
    [(BIRCH, 3.6e-3), (ACROSS, 6.4e-3), ("woven GRP", 2e-3), ("glass-epoxy laminate, lengthwise", 2e-3)],
)
def test_a_long_flat_sheet_buckles_by_the_closed_form(design, name, thickness):
    """The wedge's sheet, long: the shell's share of an even sheet's stress is the closed form's, as both come near the
    long sheet's limit. The odd half wave leaves up to 1 % on either side (six half waves or more)."""
    long = design.replace(sheet=catalogue[name], sheet_thickness=thickness, span=1.9)
    stock, sheet = long.sheet, wedge_sheet(long)
    share = grain_share(
        stock.modulus_at(thickness), stock.span_bending_at(thickness), stock.shear_modulus, stock.poisson
    )
    assert buckling_stress(sheet) / buckling_stress(even(sheet)) == pytest.approx(share, rel=0.02)


def test_the_framed_sheets_have_the_grain_of_the_stock(design):
    """Bending and stretching of plywood each by its own moduli; in a lay-up of equal plies both ways add up alike."""
    ply = design.replace(sheet=catalogue[BIRCH], sheet_thickness=3.6e-3)
    for sheet in (bent_sheet(ply, "held"), wedge_sheet(ply)):
        assert sheet.modulus == pytest.approx(16.471e9, rel=1e-12)
        assert sheet.span_modulus == pytest.approx(1.029e9, rel=1e-12) and sheet.shear_modulus == 0.62e9
        assert sheet.stretch_moduli == pytest.approx((10.694e9, 6.806e9), rel=1e-12)
        assert sheet.stretch_moduli[0] == pytest.approx(catalogue[ACROSS].span_modulus_at(3.6e-3), rel=1e-12)
    glass = design.replace(sheet=catalogue["glass-epoxy laminate, lengthwise"])
    sheet = bent_sheet(glass)
    assert (sheet.span_modulus, sheet.shear_modulus, sheet.stretch_moduli) == (15.168e9, 4e9, None)
    assert bent_sheet(design).span_modulus is None  # nothing known: as before


def test_the_grain_is_counted_in_pressing_and_in_buckling(design):
    """Face grain along the chord: what bridges land and rod is as stiff as in an even sheet, buckling is not."""
    ply = design.replace(sheet=catalogue[BIRCH], sheet_thickness=3.6e-3)
    found, sheets = local_quantities(ply), [bent_sheet(ply, c) for c in IN_PLANE]
    assert found["buckling_stress"] == pytest.approx(min(map(buckling_stress, sheets)), rel=1e-12)
    assert sheet_compliance(ply) == pytest.approx(max(map(pressing, sheets)), rel=1e-12)
    share = grain_share(16.471e9, 1.029e9, 0.62e9, 0.05)  # 0.16: of a long flat sheet; bent and clamped it is near
    assert share < buckling_stress(sheets[0]) / buckling_stress(even(sheets[0])) < 1.2 * share
    assert 1.0 < pressing(sheets[0]) / pressing(even(sheets[0])) < 1.5
    across = wedge_sheet(ply.replace(sheet=catalogue[ACROSS]))  # stiff along the span: less deflection, higher stress
    assert buckling_stress(across) > buckling_stress(even(across)) and pressing(across) < pressing(even(across))


def test_what_is_not_known_keeps_the_even_sheet_and_says_so(design):
    assert remark("skin_buckling", design) == ""
    (note,) = local_notes(design, design.bend())
    assert note.startswith("Framed sheet: reckoned as if its modulus were the same both ways. Own has no span modulus")
    okoume = design.replace(sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3)
    found = local_quantities(okoume)
    assert np.isnan(found["buckling_stress"]) and np.isnan(found["buckling_stress_free"])
    assert sheet_compliance(okoume) == pytest.approx(
        max(pressing(even(bent_sheet(okoume, c))) for c in IN_PLANE), rel=1e-12
    )
    assert found["press_deflection"] > 0.0
    assert "shear modulus is not known" in remark("skin_buckling", okoume)
    (note,) = local_notes(okoume, okoume.bend())
    assert (
        "the pressing in is reckoned as if its modulus were the same both ways" in note and "no shear modulus" in note
    )


def own(**changes):
    given = {
        "name": "own",
        "modulus": 20e9,
        "poisson": 0.2,
        "density": 1900.0,
        "permanent_strain_limit": 0.01,
        "forming_strain_limit": 0.02,
        "source": "test strip",
    }
    return Sheet(**{**given, **changes})


def test_bending_not_known_at_a_thickness_is_not_guessed(design):
    """Birch with the user's own chord and tension moduli, in a thickness its table of bending does not hold."""
    thick = catalogue[BIRCH].with_own("strip", modulus=10e9, span_modulus=8e9)
    found = sheet_grain(design.replace(sheet=thick, sheet_thickness=0.02, free_length=0.9, spacer_diameter=0.05))
    assert found.moduli == {} and not found.buckling and found.remark.endswith("span bending modulus is not known")
    assert "Span bending modulus of birch" in found.note and "17.6 mm" in found.note
    okoume = catalogue["okoume plywood, face grain along chord"].with_own("frame test", shear_modulus=0.5e9)
    found = sheet_grain(design.replace(sheet=okoume, sheet_thickness=4e-3))
    assert found.moduli["span_modulus"] == pytest.approx(0.722e9, rel=1e-12) and found.buckling
    assert found.counted == "grain counted, 0.722 GPa along the span in bending"


def test_a_sheet_that_is_the_same_every_way_is_not_doubted(design):
    for name, thickness in (("aluminium 6061-T6", 2e-3), ("acrylic, cast", 4e-3)):
        same = sheet_grain(design.replace(sheet=catalogue[name], sheet_thickness=thickness))
        assert (same.counted, same.remark, same.note) == ("", "", "") and same.pressing and same.buckling
    no_shear = sheet_grain(design.replace(sheet=own(span_modulus=20.1e9)))
    assert no_shear.moduli == {} and no_shear.buckling and "shear modulus" in no_shear.note
    plain, full = (
        local_quantities(design.replace(sheet=own(**grain)))
        for grain in ({}, {"span_modulus": 20e9, "shear_modulus": 20e9 / 2.4})
    )
    assert full == pytest.approx(plain, rel=1e-7, nan_ok=True)


def test_the_words_give_the_values(design):
    ply = sheet_grain(design.replace(sheet=catalogue[BIRCH], sheet_thickness=3.6e-3))
    assert ply.counted == "grain counted, 1.03 GPa along the span in bending"
    glass = sheet_grain(design.replace(sheet=catalogue["woven GRP"]))
    assert glass.counted == "grain counted"  # its moduli stand with the materials


@pytest.mark.parametrize(
    "moduli",
    [
        # 20 + 5 - 24.2 = 0.8 GPa left along the chord in tension, and nu12 nu21 = 0.2^2 * 24.2 / 0.8 = 1.21
        {"span_modulus": 24.2e9, "span_bending_modulus": 5e9, "shear_modulus": 4e9},
        {"span_modulus": 40e9, "span_bending_modulus": 5e9, "shear_modulus": 4e9},  # nothing left along the chord
    ],
)
def test_moduli_no_sheet_can_have_give_no_number_but_words(design, moduli):
    odd = design.replace(sheet=own(**moduli))
    for answer in (local_quantities(odd), bent_local(odd), wedge_local(odd)):
        assert answer and all(np.isnan(value) for value in answer.values())
    (note,) = local_notes(odd, odd.bend())
    assert note.startswith("Framed sheet: not reckoned, for the sheet's moduli cannot be.")
    assert (
        "less than 0.181, the square root of 0.8 GPa" in note
        or "25.0 GPa along chord and span together, no more than the 40.0 GPa" in note
    )
    assert remark("skin_buckling", odd) == "the sheet's moduli cannot be"


@pytest.mark.parametrize("field", [f.name for f in fields(Design)])
def test_what_is_kept_hangs_on_all_that_shapes_the_sheet(design, field):
    """A framed sheet is kept by `SHAPED_BY`, a pressed face by `pressed_face.shape_of`: nothing else changes them."""
    other = {
        "sheet": catalogue["acrylic, cast"],
        "adhesive": list(catalogue.adhesives.values())[-1],
        "spacer": list(catalogue.spacers.values())[-1],
        "resin": list(catalogue.resins.values())[-1],
        "modulus_rule": "narrow strip",
        "settled": ("pressure",),
    }
    before = design.replace(bond_line=0.4e-3)
    value = other[field] if field in other else getattr(before, field)
    value = f"{value} too" if field in TEXTS else value * 1.05 if isinstance(value, float) else value
    after = before.replace(**{field: value})
    exact = [bent_sheet(one, choice) for one in (before, after) for choice in ("free", "held")]
    alike = [pressing(sheet) for sheet in exact[:2]] == [pressing(sheet) for sheet in exact[2:]]
    assert alike == (field not in SHAPED_BY)
    assert local_quantities(after)["buckling_stress_held"] == pytest.approx(buckling_stress(exact[3]), rel=1e-12)
    kept, bend = local_quantities(after, both=False)["press_deflection"], after.bend()
    way, _ = pair_pressings(exact[2], after.pressure, 0.0, give=pair_give(after, bend))
    assert kept == pytest.approx(way.at(after.pressure), rel=1e-12)
    if local_quantities(before, both=False)["press_deflection"] != kept:
        assert field == "pressure" or shape_of(before) != shape_of(after)


def test_the_quick_numbers_are_those_of_the_full_answers(design):
    for choice in ("free", "held"):
        sheet = bent_sheet(design, choice)
        degrees = deflection_degrees(sheet)
        assert largest_deflection(sheet) == pytest.approx(press(sheet, None, degrees).largest_deflection, rel=1e-12)
        assert largest_deflection(sheet) == pytest.approx(press(sheet).largest_deflection, rel=1e-5)  # what both claim
        assert critical_stress(sheet) == pytest.approx(buckle(sheet).stress, rel=1e-5)
    with pytest.raises(ValueError, match="point force"):
        largest_deflection(sheet, point_force(1.0))


def test_edges_that_may_draw_in_buckle_no_later_than_held_ones(design):
    """What searches go by, of sheets even and with a grain, short and long: the lesser of both edges, exactly."""
    rng = np.random.default_rng(6)
    for name in ("glass-epoxy laminate, lengthwise", "birch plywood, face grain along chord", "aluminium 6061-T6"):
        for t in catalogue[name].stock_thicknesses[:3]:
            length, rod = rng.uniform(0.15, 0.4), rng.uniform(8e-3, 20e-3)
            changes = dict(sheet_thickness=t, free_length=length, spacer_diameter=rod)
            one = design.replace(sheet=catalogue[name], **changes)
            both, alone = (local_quantities(one, both=both) for both in (True, False))
            np.testing.assert_equal({key: both[key] for key in alone}, alone)
            assert len(both) == len(alone) + 4
            assert both["buckling_stress"] <= both["buckling_stress_held"]
