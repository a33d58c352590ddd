"""The part along its span: the record, its file, and the sections of all stations against single designs."""

import json

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import InfeasibleBend, catalogue, evaluate
from panelmech.blade.blade import ALONG_FIELDS, Blade, Table, blade_from_entry, blade_to_entry, buildable
from panelmech.blade.sections import blade_sections, roots_of, span_rule, worst_stations
from panelmech.study.quantities import BENDING_QUANTITIES

TAPERED = Blade(DESIGN, free_length=(0.225, 0.15))
EVERYTHING = Blade(
    DESIGN,
    free_length=Table((0.0, 0.3, 0.85), (0.225, 0.21, 0.14)),
    land_length=(15e-3, 10e-3),
    setback=(3e-3, -2e-3),
    spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True),
    spacer_wall=1e-3,
    sheet_thickness=(2.2e-3, 1.6e-3),
    bond_line=(0.3e-3, 0.2e-3),
)

OF_SECTIONS = [name for name in BENDING_QUANTITIES if name != "centroid_x"]  # that of sections is the composite one's


def test_every_station_is_the_single_design_of_that_place():
    sections = blade_sections(EVERYTHING, np.linspace(0.0, 0.85, 7))
    for index, place in enumerate(sections.position):
        found = evaluate(EVERYTHING.design_at(place), local=False).quantities
        for name in OF_SECTIONS:
            assert getattr(sections, name)[index] == pytest.approx(found[name], rel=1e-12), (name, place)
        assert sections.centroid_x[index] == pytest.approx(found["whole_centroid_x"], rel=1e-12)
        assert sections.shares["spacer"][index] == pytest.approx(found["spacer_share"], rel=1e-12)


def test_many_roots_at_once_are_the_blades_one_by_one():
    blade = Blade(
        DESIGN,
        free_length=(0.225, 0.165),
        setback=Table((0.0, 0.3, DESIGN.span), (0.003, 0.001, 0.002)),
        spacer_diameter=Table((0.0, 0.4), (0.018, 0.012), stepped=True),
        spacer_wall=Table((0.0,), (0.001,), stepped=True),
        bond_line=3e-4,
    )
    roots = [
        DESIGN,
        *(DESIGN.replace(free_length=x, setback=y, bond_line=5e-4) for x, y in ((0.3, 0.0), (0.165, 1e-3))),
    ]
    roots.append(DESIGN.replace(spacer_diameter=0.02, spacer_wall=0.002))
    position, before = (
        np.array([0.0, 0.1, 0.3, 0.4, 0.4, 0.7, DESIGN.span]),
        np.array([0, 0, 0, 1, 0, 0, 1], dtype=bool),
    )
    found = blade.values_with_roots(roots_of(roots), position, before)
    for i, root in enumerate(roots):
        one = blade.with_root(root)
        new, old = one.values_at(position), one.values_at(position, before=True)
        for name in ALONG_FIELDS:
            assert found[name][i] == pytest.approx(np.where(before, old[name], new[name]), rel=1e-14)
    runs_out = Blade(DESIGN.replace(spacer_wall=0.001), spacer_wall=(0.001, 0.0005))
    with pytest.raises(ValueError, match="a wall cannot run down"):
        runs_out.takes_roots(roots_of([runs_out.design, DESIGN.replace(spacer_wall=0.0)]))


def test_a_constant_blade_has_the_same_section_everywhere():
    sections = blade_sections(Blade(DESIGN))
    found = evaluate(DESIGN, local=False).quantities
    assert sections.position.shape == (41,)
    for name in OF_SECTIONS:
        assert getattr(sections, name) == pytest.approx(np.full(41, found[name]), rel=1e-12), name


def test_dimensions_along_the_span_in_plain_arithmetic():
    values = EVERYTHING.values_at(np.array([0.0, 0.15, 0.4, 0.85]))
    assert values["free_length"] == pytest.approx([0.225, 0.2175, 0.21 - 0.07 * 0.1 / 0.55, 0.14])
    assert values["setback"] == pytest.approx([3e-3, 3e-3 - 5e-3 * 0.15 / 0.85, 3e-3 - 5e-3 * 0.4 / 0.85, -2e-3])
    assert list(values["spacer_diameter"]) == [18e-3, 18e-3, 14e-3, 14e-3]  # of a step the new value
    assert EVERYTHING.values_at(0.4, before=True)["spacer_diameter"] == 18e-3
    sides = (EVERYTHING.design_at(0.4), EVERYTHING.design_at(0.4, before=True))
    assert [design.spacer_diameter for design in sides] == [14e-3, 18e-3]
    assert EVERYTHING.breakpoints == (0.0, 0.3, 0.4, 0.85)
    assert EVERYTHING.steps == (0.4,)


def test_stations_hold_breakpoints_and_both_sides_of_a_step():
    sections = blade_sections(EVERYTHING, 11)
    assert np.all(np.diff(sections.position) > 0.0)
    assert {0.0, 0.3, 0.4, 0.85} <= set(sections.position)
    at = int(np.flatnonzero(sections.position == 0.4)[0])
    assert sections.position[at - 1] == pytest.approx(0.4, abs=1e-9)
    assert list(sections.numbers["spacer_diameter"][at - 1 : at + 1]) == [18e-3, 14e-3]
    assert len(blade_sections(TAPERED, 11).position) == 11


def test_the_line_that_is_kept_straight():
    rod = blade_sections(TAPERED)
    assert rod.rod_x == pytest.approx(0.0, abs=1e-15)
    assert rod.leading_edge_x == pytest.approx(12e-3)  # even rod and setback: 9 + 3 mm in front of the axis
    front = blade_sections(TAPERED.replace(straight="leading edge"))
    assert front.leading_edge_x == pytest.approx(0.0, abs=1e-15)
    back = blade_sections(TAPERED.replace(straight="trailing edge"))
    assert back.trailing_edge_x == pytest.approx(0.0, abs=1e-15)
    for sections in (rod, front, back):
        assert sections.leading_edge_x - sections.trailing_edge_x == pytest.approx(sections.chord, rel=1e-12)


def test_taper_follows_the_small_angle_limit():
    """Strain t/2 . 3 delta/s_c^2 and opening energy D (3 delta/s_c^2)^2, for a thin rod in long sheets.

    Their first error is of the order of th^2 = 0.02^2; 0.2 % leaves room for the numbers before it.
    """
    blade = Blade(DESIGN.replace(spacer_diameter=5e-3, spacer_wall=0.0), free_length=(0.4, 0.2))
    sections = blade_sections(blade, 9)
    arc, delta = sections.bend.contact_arclength, 0.5 * (5e-3 - 0.3e-3)
    assert sections.contact_angle.max() < 0.02
    assert sections.land_strain == pytest.approx(1.5 * 2e-3 * delta / arc**2, rel=2e-3)
    stiffness = sections.numbers["bending_modulus"] * (2e-3) ** 3 / 12.0
    assert sections.opening_energy == pytest.approx(stiffness * (3.0 * delta / arc**2) ** 2, rel=4e-3)


@pytest.mark.parametrize("scale", [0.5, 3.0])
def test_scaling(scale):
    lengths = {n: scale * getattr(DESIGN, n) for n in (*ALONG_FIELDS, "span", "frame_width")}
    small = blade_sections(TAPERED, 9)
    large = blade_sections(Blade(DESIGN.replace(**lengths), free_length=(scale * 0.225, scale * 0.15)), 9)
    powers = {
        "chord": 1,
        "land_strain": 0,
        "enclosed_area": 2,
        "displaced_area": 2,
        "displaced_x": 1,
        "land_end_x": 1,
        "chord_stiffness": 4,
        "torsion_stiffness": 4,
        "section_modulus": 3,
        "mass_per_length": 2,
        "opening_energy": 1,
    }
    for name, power in powers.items():
        assert getattr(large, name) == pytest.approx(scale**power * getattr(small, name), rel=1e-10), name


def test_areas_add_up_and_the_outline_holds_all():
    """Enclosed = hollow + rod + potting; outline = enclosed + sheets + land, where the rod does not stand proud."""
    sections = blade_sections(TAPERED)
    rod = np.pi * 9e-3**2
    assert sections.enclosed_area == pytest.approx(sections.void_area + sections.front_area + rod, rel=1e-12)
    sheets = 2.0 * sections.numbers["free_length"] * 2e-3
    land = 15e-3 * (2 * 2e-3 + 0.3e-3)
    assert sections.displaced_area == pytest.approx(sections.enclosed_area + sheets + land, rel=1e-12)


def test_the_worst_station_is_the_worst_of_single_studies():
    blade = TAPERED.replace(spacer_diameter=Table((0.0, 0.5), (18e-3, 14e-3), stepped=True))
    sections = blade_sections(blade, 9)
    places = [p for p in sections.position if p not in set(np.array(blade.steps) - 1e-9 * blade.span)]
    for worst in worst_stations(sections):
        reserves = [evaluate(blade.design_at(p), local=False).check(worst.key).reserve for p in places]
        reserves.append(evaluate(blade.design_at(0.5, before=True), local=False).check(worst.key).reserve)
        assert worst.reserve == pytest.approx(min(reserves), rel=1e-6)  # the station before the step is 1e-9 off it


def test_a_limit_without_a_basis_stays_unknown_along_the_span():
    """Birch plywood with a table of moduli, its permanent limit known; okoume has none."""
    blade = Blade(
        DESIGN.replace(sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3),
        free_length=(0.3, 0.25),
    )
    found = {worst.key: worst for worst in worst_stations(blade_sections(blade))}
    assert found["permanent_strain"].verdict == "unknown" and np.isnan(found["permanent_strain"].limit)
    assert found["greatest_spacer"].verdict == "holds"


def test_an_infeasible_station_is_named():
    blade = Blade(DESIGN, free_length=(0.225, 0.03))
    with pytest.raises(
        InfeasibleBend,
        match=r"^828.7 mm from the root end: spacer diameter 18.00 mm .*free length of "
        r"at least 38.00 mm instead of 34.88 mm \(2 of 41 stations",
    ):
        blade_sections(blade)
    sections = blade_sections(blade, allow_infeasible=True)
    assert list(sections.feasible) == [True] * 39 + [False] * 2
    assert "larger than the greatest one" in sections.reason[-1] and sections.reason[0] == ""
    assert np.isnan(sections.chord[-2:]).all() and np.isfinite(sections.chord[:-2]).all()
    assert np.isnan(sections.displaced_area[-1])
    verdicts = {worst.key: (worst.verdict, worst.position) for worst in worst_stations(sections)}
    assert verdicts["forming_strain"] == ("fails", sections.position[39])


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"free_length": (0.225, 0.003)},
            r"850 mm from the root end: free length \(free_length\) is 3 mm: allowed is 5",
        ),
        ({"free_length": float("nan")}, "free_length is nan: give a finite number, in mm"),
        ({"free_length": "long"}, "free_length"),
        ({"free_length": (0.2, 0.2, 0.2)}, "taper has two values"),
        ({"spacer_wall": (1.5e-3, 0.0)}, "solid rod"),
        ({"spacer_diameter": (18e-3, 2e-3)}, "850 mm from the root end: spacer wall 1.5 mm is more than half"),
        ({"setback": Table((0.0, 0.5), (0.0, 1e-3))}, "ends at 500 mm but the tip is at 850 mm"),
        ({"setback": Table((0.0, 0.9), (0.0, 1e-3), True)}, "step at 900 mm is not on the span"),
        ({"straight": "nose"}, "straight is 'nose': give one of rod"),
        ({"design": 3}, "give a Design"),
        ({"chord": 0.2}, "a blade has no field chord"),
    ],
)
def test_wrong_dimensions_are_refused_by_name(changes, words):
    with pytest.raises(ValueError, match=words):
        Blade(DESIGN).replace(**changes)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (((0.1, 0.85), (1.0, 2.0)), "first position is 100 mm"),
        (((0.0, 0.4, 0.4), (1.0, 2.0, 3.0)), "must rise"),
        (((0.0,), (1.0,)), "give at least 2"),
        (((0.0, 0.85), (1.0,)), "one value for each"),
        (((0.0, float("inf")), (1.0, 2.0)), "finite"),
        (((0.0, 1.0), (1.0, 2.0), "yes"), "true or false"),
    ],
)
def test_wrong_tables_are_refused(rows, words):
    with pytest.raises(ValueError, match=words):
        Table(*rows)


def test_what_does_not_fit_just_before_a_step_is_refused():
    """The wall has grown to 6 mm where a rod of 10 mm ends; the one of 18 mm that goes on there would take it."""
    rod = Table((0.0, 0.4), (10e-3, 18e-3), stepped=True)
    with pytest.raises(ValueError, match="400 mm from the root end: spacer wall 6 mm is more than half"):
        Blade(DESIGN, spacer_diameter=rod, spacer_wall=Table((0.0, 0.4, 0.85), (1e-3, 6e-3, 6e-3)))


@pytest.mark.parametrize(
    ("name", "values", "words"),
    [
        ("setback", (3e-3, 1e-3), "setback steps at 400 mm from the root end, where the rod goes on"),
        ("free_length", (0.225, 0.2), "free_length steps at 400 mm .* each sheet is one flat piece"),
        ("sheet_thickness", (2e-3, 1.5e-3), "the sheets run from 1.5 mm to 2 mm thick"),
    ],
)
def test_what_cannot_jump_is_said(name, values, words):
    part = Blade(DESIGN, **{name: Table((0.0, 0.4), values, stepped=True)})
    with pytest.raises(ValueError, match=words):
        buildable(part)
    if name == "setback":  # where the rod steps, each piece is set for itself
        buildable(part.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True)))


def test_stations_may_be_as_close_as_one_likes():
    assert blade_sections(TAPERED, [0.1, 0.1001]).numbers["free_length"] == pytest.approx(
        [0.225 - 0.075 * z / 0.85 for z in (0.1, 0.1001)], rel=1e-12
    )


def test_wrong_stations_are_refused():
    for stations in (1, 2.5, True, [0.2, 0.1], [0.0, 0.9], [-1e-3, 0.1]):
        with pytest.raises(ValueError, match=r"station|position"):
            blade_sections(TAPERED, stations)


@pytest.mark.parametrize(
    "blade",
    [Blade(DESIGN), TAPERED, EVERYTHING.replace(sheet_thickness=2.2e-3), TAPERED.replace(straight="trailing edge")],
)
def test_blade_file_round_trip(blade, tmp_path):
    path = tmp_path / "part.json"
    blade.save(path)
    assert Blade.load(path) == blade
    assert blade_from_entry(blade_to_entry(blade)) == blade
    assert Blade.load(path).input_hash() == blade.input_hash()
    assert [p.name for p in tmp_path.iterdir()] == ["part.json"]


def test_the_hash_changes_with_any_dimension():
    hashes = {
        Blade(DESIGN).input_hash(),
        TAPERED.input_hash(),
        EVERYTHING.input_hash(),
        TAPERED.replace(straight="leading edge").input_hash(),
        TAPERED.replace(free_length=(0.225, 0.15 + 1e-9)).input_hash(),
        TAPERED.replace(design=DESIGN.replace(sheet=catalogue["woven GRP"])).input_hash(),
    }
    assert len(hashes) == 6


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda c: c.update(format="panelmech study"), '"format": "panelmech blade"'),
        (lambda c: c.update(schema=2), "schema is 2; this version reads schema 1"),
        (lambda c: c.update(sweep_deg=3), "unknown key sweep_deg"),
        (lambda c: c["along_span"].update(chord_mm=3), "along_span: unknown key chord_mm"),
        (lambda c: c["along_span"].update(free_length_mm={"root": 225}), "free_length_mm: missing tip"),
        (lambda c: c["along_span"].update(free_length_mm={"root": 225, "tip": 1, "mid": 3}), "unknown key mid"),
        (lambda c: c["along_span"].update(free_length_mm={"root": 225, "tip": True}), "tip is True: give a number"),
        (lambda c: c["along_span"].update(free_length_mm={"positions_mm": [0, 850]}), "missing values"),
        (lambda c: c["along_span"].update(free_length_mm={"positions_mm": 1, "values": [1]}), "give a list"),
        (
            lambda c: c["along_span"].update(free_length_mm={"positions_mm": [0], "values": [1], "between": "curved"}),
            "between is 'curved': give one of straight, stepped",
        ),
        (lambda c: c["along_span"].update(free_length_mm=1), "free_length.*allowed is 5 mm"),
        (lambda c: c.update(along_span=[1]), "along_span is"),
        (lambda c: c["design"].update(colour="red"), "unknown key colour"),
        (lambda c: c.pop("design"), "blade: missing design"),
    ],
)
def test_wrong_blade_files_are_refused(change, words, tmp_path):
    path = tmp_path / "part.json"
    TAPERED.save(path)
    content = json.loads(path.read_text())
    change(content)
    path.write_text(json.dumps(content))
    with pytest.raises(ValueError, match=words) as caught:
        Blade.load(path)
    assert str(caught.value).startswith("part.json")


@pytest.mark.parametrize("text", ["", "[1", '{"format": 1, "format": 2}', '{"format": NaN}', "[" * 100000, "\ud800"])
def test_what_is_no_blade_file_is_refused(text, tmp_path):
    path = tmp_path / "part.json"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    with pytest.raises(ValueError, match="part.json"):
        Blade.load(path)


def test_a_failed_save_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "part.json"
    TAPERED.save(path)
    monkeypatch.setattr("os.replace", lambda *a: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        TAPERED.replace(straight="trailing edge").save(path)
    monkeypatch.undo()
    assert Blade.load(path) == TAPERED and len(list(tmp_path.iterdir())) == 1


def test_the_span_rule_is_exact_for_polynomials_and_respects_steps():
    places, weights = span_rule(EVERYTHING, (0.1,))
    assert np.all(np.diff(places) > 0.0)
    assert np.sum(weights * places**19) == pytest.approx(0.85**20 / 20.0, rel=1e-13)
    steps = EVERYTHING.values_at(places)["spacer_diameter"]
    assert np.sum(weights * steps) == pytest.approx(18e-3 * 0.4 + 14e-3 * 0.45, rel=1e-13)


def test_integrate_is_the_trapezoidal_rule():
    sections = blade_sections(TAPERED, 5)
    assert sections.integrate(sections.position) == pytest.approx(0.85**2 / 2.0)
