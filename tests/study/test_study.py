"""The study of one design: quantities, checks, verdicts, notes, sensitivity."""

from dataclasses import replace

import numpy as np
import pytest

from panelmech.materials.stock import Adhesive, Sheet, catalogue
from panelmech.mechanics import forming, section
from panelmech.mechanics.bend import InfeasibleBend, solve_bend
from panelmech.study.checks import LOCAL_RULES, RULES, SAME_WITHIN, judge
from panelmech.study.design import LIMITS, Design
from panelmech.study.mend import with_mends
from panelmech.study.quantities import QUANTITIES, Pick, gather, quantities
from panelmech.study.study import evaluate, sensitivity
from panelmech.study.verdicts import CLOSE, FAILS, HOLDS, UNKNOWN, VERDICTS

SHEET = Sheet(
    name="own",
    modulus=20e9,
    poisson=0.2,
    density=1900.0,
    permanent_strain_limit=0.01,
    forming_strain_limit=0.02,
    source="test strip",
)
BLIND = Sheet(
    name="blind",
    modulus=20e9,
    poisson=0.2,
    density=1900.0,
    permanent_strain_limit=None,
    forming_strain_limit=None,
    source="none",
)


@pytest.fixture
def design():
    return Design(SHEET, 2e-3, 0.225, 15e-3, bond_line=0.3e-3, spacer_diameter=18e-3, setback=3e-3, span=0.85)


@pytest.fixture
def study(design):
    return evaluate(design, local=False)


def test_the_main_quantities_by_hand(design, study):
    """From the shape alone, with D and the strain written out again."""
    q, bend = study.quantities, solve_bend(0.225, 2e-3, 18e-3, 0.3e-3, 3e-3)
    stiffness = 20e9 / (1 - 0.2**2) * 8e-9 / 12
    expected = {
        "bending_modulus": 20e9 / 0.96,
        "bending_stiffness": stiffness,
        "contact_angle": bend.contact_angle,
        "land_strain": 1e-3 * bend.land_curvature,
        "land_stress": 20e9 / 0.96 * 1e-3 * bend.land_curvature,
        "land_radius": 1 / bend.land_curvature,
        "radius_ratio": 500 / bend.land_curvature,
        "contact_force": stiffness * bend.wavenumber**2,
        "contact_force_total": 0.85 * stiffness * bend.wavenumber**2,
        "land_moment": stiffness * bend.land_curvature,
        "opening_energy": stiffness * bend.land_curvature**2,
        "push_out_total": 0.85 * stiffness * bend.land_curvature**2,
        "friction_needed": np.tan(bend.contact_angle),
        "developed_length": 0.24,
        "chord": 0.015 + bend.mouth_position,
        "outer_thickness": bend.outer_thickness,
        "thickness_ratio": bend.outer_thickness / (0.015 + bend.mouth_position),
        "greatest_spacer": bend.greatest_spacer,
        "sheet_mass": 2 * 0.24 * 2e-3 * 1900 * 0.85,
        "enclosed_area": bend.enclosed_area,
        "springback": 0.5 * (bend.mouth - 0.3e-3),
        "strain_energy_total": 0.85 * study.forming.strain_energy,
        "i_chord": section.bent_section(design).i_chord,
        "wedge_i_chord": section.flat_wedge_section(design).i_chord,
        "i_chord_ratio": section.bent_section(design).i_chord / section.flat_wedge_section(design).i_chord,
    }
    for name, value in expected.items():
        assert q[name] == pytest.approx(value, rel=1e-12), name
    assert {name for name in q if name not in QUANTITIES} == set()
    assert all(type(value) is float for value in q.values())


def test_the_whole_table_of_quantities_is_filled(design):
    full = evaluate(design)
    assert set(full.quantities) == set(QUANTITIES)
    assert set(quantities(gather(design))) <= set(QUANTITIES)


def test_every_check_says_what_it_rests_on(design):
    study = evaluate(design)
    limits = [c for c in study.checks if c.kind == "limit"]
    assert [c.key for c in limits] == [r.key for r in (*RULES, *LOCAL_RULES)]
    for check in study.checks:
        assert check.name and check.basis and check.source, check.key
        assert check.value_text() and check.limit_text() and check.reserve_text()
    for check in limits:
        expected = check.limit / check.value if check.need == "at most" else check.value / check.limit
        assert check.reserve == pytest.approx(expected, rel=1e-14, nan_ok=bool(check.beyond))
    for check in study.checks:
        if check.kind != "limit":
            assert np.isnan(check.limit) and np.isnan(check.reserve)
    assert "own" in study.check("forming_strain").source or study.check("forming_strain").source == "test strip"
    with pytest.raises(ValueError, match="there is no check 'x'; there are forming_strain"):
        study.check("x")


@pytest.mark.parametrize(("share", "verdict"), [(0.999, FAILS), (1.001, CLOSE), (1.249, CLOSE), (1.251, HOLDS)])
def test_verdict_by_the_reserve(design, study, share, verdict):
    """25 % is called close; the limit of the sheet is set to a share of the strain it bears."""
    sheet = Sheet(
        name="own",
        modulus=20e9,
        poisson=0.2,
        density=1900.0,
        permanent_strain_limit=0.05,
        forming_strain_limit=study.quantities["land_strain"] * share,
        source="test strip",
    )
    made = evaluate(design.replace(sheet=sheet))
    check = made.check("forming_strain")
    assert check.reserve == pytest.approx(share) and check.verdict == verdict
    assert bool(with_mends(made).check("forming_strain").advice) == (verdict in (FAILS, CLOSE))


def test_close_share_is_the_users(design, study):
    small = evaluate(design.replace(friction=1.5 * study.quantities["friction_needed"]), local=False).design
    assert evaluate(small.replace(close_share=0.49), local=False).check("rod_holds").verdict == HOLDS
    assert evaluate(small.replace(close_share=0.51), local=False).check("rod_holds").verdict == CLOSE


def test_the_two_strain_verdicts_are_kept_apart(design, study):
    strain = study.quantities["land_strain"]
    between = Sheet(
        name="own",
        modulus=20e9,
        poisson=0.2,
        density=1900.0,
        permanent_strain_limit=0.9 * strain,
        forming_strain_limit=2 * strain,
        source="test strip",
    )
    found = evaluate(design.replace(sheet=between), local=False)
    assert found.check("forming_strain").verdict == HOLDS and found.check("permanent_strain").verdict == FAILS
    assert found.governing.key == "permanent_strain" and found.verdict == FAILS


def test_the_governing_check_has_the_smallest_reserve(design):
    for changes in ({}, {"friction": 0.05}, {"spacer_diameter": 0.11}, {"toughness_margin": 20}, {"setback": -5e-3}):
        study = evaluate(design.replace(**changes), local=False)
        reserves = [c.reserve for c in study.checks if c.kind == "limit"]
        assert study.governing.reserve == min(reserves)
        text = study.headline()
        assert text.startswith(f"Governing: {study.governing.name[0].lower()}{study.governing.name[1:]}")
        assert study.governing.value_text() in text and study.governing.limit_text() in text


def test_no_basis_is_said_and_never_taken_for_good(design):
    study = evaluate(design.replace(sheet=BLIND), local=False)
    assert {c.key for c in study.unknown} == {"forming_strain", "permanent_strain"}
    for check in study.unknown:
        assert np.isnan(check.limit) and np.isnan(check.reserve) and check.limit_text() == "–" and check.advice
    assert study.governing.verdict != FAILS and study.verdict == UNKNOWN
    assert "No basis to judge: bending strain, while forming, bending strain, for good." in study.headline()
    assert sum("strain limit" in note or "strain" in note for note in study.notes) >= 2
    failing = evaluate(design.replace(sheet=BLIND, friction=0.01), local=False)
    assert failing.verdict == FAILS  # what fails for sure is not hidden by what is not known


def test_an_adhesive_without_toughness(design):
    bare = Adhesive(name="own glue", toughness=None, source="none")
    check = evaluate(design.replace(adhesive=bare), local=False).check("joint_opening")
    assert check.verdict == UNKNOWN


def test_the_rod_holds_itself_where_friction_exceeds_the_tangent(design, study):
    needed = np.tan(study.bend.contact_angle)
    for friction, verdict in ((needed * 0.99, FAILS), (needed * 1.3, HOLDS)):
        assert evaluate(design.replace(friction=friction), local=False).check("rod_holds").verdict == verdict


def test_the_joint_is_judged_with_its_margin(design):
    for margin in (1.0, 2.5):
        study = evaluate(design.replace(toughness_margin=margin), local=False)
        check = study.check("joint_opening")
        assert check.limit == pytest.approx(design.adhesive.toughness / margin)
        assert check.value == pytest.approx(study.quantities["push_out_force"], rel=1e-12)


@pytest.mark.parametrize("changes", [{}, {"spacer_diameter": 0.1}, {"setback": -5e-3}])
def test_comparisons_say_of_what(design, changes):
    study = evaluate(design.replace(**changes), local=False)
    comparisons = [c for c in study.checks if c.kind == "comparison"]
    assert len(comparisons) == 5
    for check in comparisons:
        expected = "same" if abs(check.value - 1) <= SAME_WITHIN else "more" if check.value > 1 else "less"
        assert check.verdict == expected
        assert "of wedge" in check.name or "of flat sheet" in check.name
        assert "stiff" not in check.name
    lift = study.check("lift_off")
    assert lift.kind == "note" and "bond the front" in lift.advice


def test_a_wedge_that_cannot_touch_makes_no_verdict_unknown(design):
    """The rod so far out that bent sheets just touch it and straight ones, shorter along the chord, do not."""
    far_out = design.replace(sheet_thickness=4.29e-3, spacer_diameter=59.5e-3, bond_line=1.8e-3, setback=-33.9e-3)
    study = evaluate(far_out, local=False)
    assert np.isnan(study.wedge.angle)
    assert any("no comparison" in note for note in study.notes)
    assert study.check("i_chord_ratio").verdict == UNKNOWN and study.unknown == ()
    assert study.verdict == study.governing.verdict


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"spacer_diameter": 0.1143}, "ill-conditioned"),
        ({"setback": -4e-3}, "stands proud by 4.00 mm"),
        ({"bond_line": 0.6e-3}, "over 0.5 mm"),
        ({"bond_line": 0.01e-3}, "starved"),
        ({"land_length": 5e-3}, "land is shorter"),
        ({"sheet_thickness": 8e-3, "spacer_diameter": 0.1}, "Hooke's law"),
        ({"free_length": 0.04, "spacer_diameter": 5e-3}, "times the thickness"),
        ({"span": 0.03, "frame_width": 0.0}, "neither a narrow strip nor a wide sheet"),
    ],
)
def test_notes_on_doubtful_inputs(design, changes, words):
    assert any(words in note for note in evaluate(design.replace(**changes), local=False).notes)
    assert not any(words in note for note in evaluate(design, local=False).notes)


def test_the_modulus_is_stated(design):
    assert "wide sheet" in evaluate(design, local=False).modulus_words
    narrow = evaluate(design.replace(modulus_rule="narrow strip"), local=False)
    assert "narrow strip: as chosen" in narrow.modulus_words
    assert narrow.quantities["bending_modulus"] == 20e9
    short = evaluate(design.replace(span=0.019, frame_width=0.0), local=False)
    assert short.quantities["bending_modulus"] == 20e9 and "below 10" in short.modulus_words


def test_infeasible_designs_raise_the_reason(design):
    with pytest.raises(InfeasibleBend, match="greatest one"):
        evaluate(design.replace(spacer_diameter=0.13))


# --- arrays and sensitivity -----------------------------------------------------------------------------------------


def test_arrays_give_the_same_numbers_and_verdicts(design):
    d = np.array([6e-3, 18e-3, 60e-3, 0.1, 0.2])
    t = np.array([[1e-3], [2e-3]])
    numbers = gather(design, spacer_diameter=d, sheet_thickness=t)
    found = quantities(numbers)
    judged = judge(numbers, found)
    for i in range(2):
        for j in range(5):
            if j == 4:
                assert np.isnan(np.broadcast_to(found["contact_angle"], (2, 5))[i, j])
                assert all(VERDICTS[np.broadcast_to(part[3], (2, 5))[i, j]] == FAILS for part in judged.values())
                continue
            one = evaluate(design.replace(spacer_diameter=float(d[j]), sheet_thickness=float(t[i, 0])), local=False)
            for name, value in found.items():
                single = one.quantities[name]
                value = np.broadcast_to(value, (2, 5))[i, j]
                tolerance = 1e-6 if name == "condition" else 1e-10
                assert value == pytest.approx(single, rel=tolerance, nan_ok=True), name
            for key, parts in judged.items():
                assert VERDICTS[np.broadcast_to(parts[3], (2, 5))[i, j]] == one.check(key).verdict, key


def test_stock_picked_design_by_design(design):
    pick = Pick((SHEET, BLIND), np.array([0, 1, 0]))
    numbers = gather(design, sheet=pick, spacer_diameter=np.array([10e-3, 18e-3, 18e-3]))
    np.testing.assert_array_equal(np.isnan(numbers["forming_limit"]), [False, True, False])
    codes = judge(numbers, quantities(numbers))["forming_strain"][3]
    assert [VERDICTS[c] for c in codes][1] == UNKNOWN and VERDICTS[codes[0]] != UNKNOWN


def test_gather_passes_every_input_on(design):
    numbers = gather(design)
    for name in LIMITS:
        assert numbers[name] == getattr(design, name)
    stiffness = forming.bending_stiffness(numbers["bending_modulus"], 2e-3)
    assert quantities(numbers)["bending_stiffness"] == stiffness


@pytest.mark.slow
def test_sensitivity_is_that_of_separate_studies(design):
    design = design.replace(pressure=500.0)  # so that all is told
    rows = dict(sensitivity(design))
    changes = {
        "as designed": {},
        "sheet 0.1 mm thinner": {"sheet_thickness": 1.9e-3},  # no tolerance is stated of this sheet: a twentieth
        "sheet 0.1 mm thicker": {"sheet_thickness": 2.1e-3},
        "spacer 0.5 mm smaller": {"spacer_diameter": 17.5e-3},
        "spacer 0.5 mm larger": {"spacer_diameter": 18.5e-3},
    }
    assert list(rows)[:-1] == list(changes)
    for words, change in changes.items():
        study = evaluate(design.replace(**change))
        assert rows[words]["least_reserve"] == pytest.approx(study.governing.reserve, rel=1e-9)
        for name in ("contact_force", "land_strain", "i_chord_ratio", "opening_energy"):
            assert rows[words][name] == pytest.approx(study.quantities[name], rel=1e-9), (words, name)
    assert rows["sheet 0.1 mm thicker"]["contact_force"] > rows["as designed"]["contact_force"]


def test_sensitivity_next_to_the_end(design):
    """What cannot be bent, or is no design, has no numbers; the row is there."""
    large = design.replace(spacer_diameter=0.1145)
    rows = dict(sensitivity(large))
    assert rows["spacer 0.5 mm larger"] is None and rows["as designed"] is not None
    tiny = dict(sensitivity(design.replace(spacer_diameter=0.7e-3, spacer_wall=0.0, bond_line=0.1e-3)))
    assert tiny["spacer 0.5 mm larger"] is not None and tiny["spacer 0.5 mm smaller"] is not None
    tiny = dict(sensitivity(design.replace(spacer_diameter=0.55e-3, spacer_wall=0.0, bond_line=0.1e-3)))
    assert tiny["spacer 0.5 mm smaller"] is None


def test_the_catalogue_can_be_studied():
    """Every sheet of the catalogue gives a study in which each verdict is one of the four words, never a bare nan."""
    for sheet in catalogue.sheets.values():
        t = sheet.stock_thicknesses[0] if sheet.stock_thicknesses else 2e-3
        study = evaluate(Design(sheet, t, 0.3, 20e-3, spacer_diameter=12e-3, spacer_wall=0.0), local=False)
        for check in study.checks:
            if check.kind == "limit":
                assert check.verdict in VERDICTS
                assert (check.verdict == UNKNOWN) == bool(np.isnan(check.reserve)), (sheet.name, check.key)


# -- what is not known says what to enter ---------------------------------------------------------------------------


def thin_birch(**changes):
    """Birch of 3 mm: the catalogue knows its moduli from 3.6 mm on."""
    return Design(catalogue["birch plywood, face grain along chord"], 3e-3, 0.225, 0.015, **changes)


def test_lift_off_without_a_modulus_says_why_it_is_unknown():
    lift = evaluate(thin_birch(pressure=50e3)).check("lift_off")
    assert lift.value_text() == "–" and lift.advice.startswith(
        "whether it stays on at 50000 Pa is not known: enter the modulus of birch plywood"
    )
    assert "known for 3.6 mm to 17.6 mm only" in lift.advice


def test_unknown_advises_the_missing_value_and_no_other_geometry():
    study = evaluate(thin_birch(adhesive=replace(catalogue.adhesives["ductile epoxy paste"], toughness=None)))
    assert {c.key for c in study.unknown} == {"joint_opening", "oil_canning", "skin_buckling"}
    for check in study.unknown:
        assert "thicker" not in check.advice and "thinner" not in check.advice and "spacer" not in check.advice
    joint = study.check("joint_opening").advice
    assert joint.startswith("enter the toughness of ductile epoxy paste") and "enter the modulus of birch" in joint
    okoume = Design(catalogue["okoume plywood, face grain along chord"], 4e-3, 0.225, 0.015)
    assert "enter the shear modulus of okoume" in evaluate(okoume).check("skin_buckling").advice
