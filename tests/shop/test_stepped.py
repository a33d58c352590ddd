"""The shop pack of a part whose rod steps: volumes by slices, masses that add up, pieces, jogs, gauges, and what cannot
be built refused where it is entered."""

from pathlib import Path

import numpy as np
import pytest
from day_and_night import by_day
from roads import sliced_part

from panelmech.blade.blade import Blade, Table, buildable
from panelmech.blade.buoyancy import hydrostatics
from panelmech.job.job import Job, demo
from panelmech.loads.cases import PointPush
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.plan import LoadPlan
from panelmech.panels.load_controls import STEP, LoadControls
from panelmech.report.shop_rows import lift_words, triangle_words
from panelmech.shop.along_span import AlongSpan
from panelmech.shop.blanks import blanks
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import marks, mass_rows, parts, shop_pack
from panelmech.shop.templates import templates
from panelmech.shop.volumes import volumes

STUDIES = Path(__file__).parents[2] / "notebooks" / "studies"
BLADE = Blade.load(STUDIES / "leeboard_blade.json")
STRAIGHT = BLADE.design
ROD = Table((0.0, 0.4), (18e-3, 14e-3), stepped=True)
STEPPED = BLADE.replace(spacer_diameter=ROD)
EVEN = Blade(STRAIGHT, spacer_diameter=ROD)  # no taper beside the step
SOLID_ROOT = BLADE.replace(spacer_wall=Table((0.0, 0.3), (0.0, 1.5e-3), stepped=True))
TWICE = BLADE.replace(spacer_diameter=Table((0.0, 0.3, 0.6), (18e-3, 15e-3, 12e-3), stepped=True))
THIN = ShopChoices(lift_choice="own", own_lift=5e-3)  # three lifts each


@pytest.fixture(scope="module")
def pack():
    return shop_pack(STEPPED, THIN)


@by_day("blade", [STEPPED, EVEN, SOLID_ROOT, TWICE], TWICE, SOLID_ROOT, ids=["tapered", "even", "solid root", "twice"])
def test_volumes_by_slices_of_polygons(blade):
    """Second road: polygons of each slice's own outline, midpoint rule on either side of every step."""
    net, frame = volumes(blade).net, STRAIGHT.frame_width
    within = {"rel": 2e-5}  # midpoint rule of 60 slices and chords of 4000 pieces
    assert net["potted nose"] == pytest.approx(sliced_part.sliced(blade, sliced_part.front_area), **within)
    assert net["glue line"] == pytest.approx(sliced_part.sliced(blade, sliced_part.land_area), rel=1e-12)
    for end, stretch in {"root": (0.0, frame), "tip": (blade.span - frame, blade.span)}.items():
        found = sliced_part.sliced(blade, sliced_part.hollow_area, *stretch)
        assert net[f"closing frame, {end} end"] == pytest.approx(found, **within)


@pytest.mark.parametrize("blade", [STEPPED, SOLID_ROOT], ids=["tapered", "solid root"])
def test_masses_add_up_and_are_those_of_slices_and_of_the_part_afloat(blade):
    found = shop_pack(blade, THIN)
    listed, afloat = dict(mass_rows(found)), hydrostatics(blade).masses
    assert sum(mass for words, mass in listed.items() if words != "together") == pytest.approx(listed["together"])
    rod = [part for part in parts(found) if part.name.startswith("Spacer")]
    assert sum(part.mass for part in rod) == listed["spacer"]
    metal = sliced_part.sliced(blade, sliced_part.rod_area) * STRAIGHT.spacer.density
    assert listed["spacer"] == pytest.approx(metal, rel=1e-12) == pytest.approx(afloat["spacer"], rel=1e-9)
    sheets = 2.0 * sliced_part.sliced(blade, sliced_part.sheet_area) * STRAIGHT.sheet.density
    assert listed["two sheets"] == pytest.approx(sheets, rel=1e-12)
    resin = STRAIGHT.resin.density / THIN.pour.density()[0]  # there the cured resin of the design
    assert listed["potted nose"] * resin == pytest.approx(afloat["potting"], rel=1e-9)
    assert listed["closing frames"] * resin == pytest.approx(afloat["closing frames"], rel=1e-9)


@pytest.mark.parametrize(
    "none",
    [
        BLADE.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 18e-3), stepped=True)),
        BLADE.replace(spacer_wall=Table((0.0, 0.4), (1.5e-3, 1.5e-3), stepped=True)),
    ],
)
def test_a_step_of_nothing_is_the_part_without_it(none):
    """Sums are cut at the place of the step: rounding of Gauss's rules. Marks, parts, templates are the same."""
    found, plain = shop_pack(none, THIN), shop_pack(BLADE, THIN)
    for name, volume in plain.volumes.net.items():
        assert found.volumes.net[name] == pytest.approx(volume, rel=1e-10), name
    assert dict(mass_rows(found)) == pytest.approx(dict(mass_rows(plain)), rel=1e-10)
    for mine, other in zip(found.pours, plain.pours, strict=True):
        assert (mine.name, mine.lift, mine.lifts, mine.pots.count) == (
            other.name,
            other.lift,
            other.lifts,
            other.pots.count,
        )
        assert (mine.depth, mine.volume) == pytest.approx((other.depth, other.volume), rel=1e-10, nan_ok=True)
    assert [t.key for t in found.templates] == [t.key for t in plain.templates]
    for mine, other in zip(found.templates, plain.templates, strict=True):
        assert np.array_equal(mine.table.values, other.table.values, equal_nan=True) and mine.notes == other.notes
    assert marks(found) == marks(plain) and [p.size for p in parts(found)] == [p.size for p in parts(plain)]
    assert found.taper == plain.taper and found.rod == plain.rod == ()
    assert found.blanks.pair[0].area == pytest.approx(plain.blanks.pair[0].area, rel=1e-12)
    assert (found.spring, found.push) == pytest.approx((plain.spring, plain.push), rel=1e-10)


def test_extremes_up_to_a_step_are_those_of_the_side_before_it():
    """Free length times radius, 225 to 165 mm over 850 mm and 9 mm up to the step at 400 mm, 7 mm beyond."""
    part, value = AlongSpan(STEPPED), lambda b: 1e6 * b.free_length * b.spacer_radius
    at = 225.0 - 60.0 * 400.0 / 850.0
    assert part.extremes(0.0, 0.4, value) == pytest.approx((9.0 * at, 9.0 * 225.0), rel=1e-12)
    assert part.extremes(0.4, 0.85, value) == pytest.approx((7.0 * 165.0, 7.0 * at), rel=1e-12)
    assert part.extremes(0.0, 0.85, value) == pytest.approx((7.0 * 165.0, 9.0 * 225.0), rel=1e-12)


def test_lifts_of_the_nose_by_slices_with_a_level_top(pack):
    """Second road: on either side of the step 200 slices, each filled to levels even in front of the rod's axis."""
    low = -max(b.spacer_radius * np.sin(b.contact_angle) for b in _sides(STEPPED))
    high = max(b.mouth_position - b.spacer_position for b in _sides(STEPPED))
    lines = pack.of("nose")
    assert [line.depth for line in lines] == pytest.approx([(high - low) / 3.0] * 3, rel=1e-12)
    below = [_filled_below(low + (high - low) * share) for share in (0.0, 1 / 3, 2 / 3, 1.0)]
    assert [line.volume for line in lines] == pytest.approx(list(np.diff(below)), rel=2e-4)  # 400 strips across, slices
    assert sum(line.volume for line in lines) == pytest.approx(pack.volumes.net["potted nose"], rel=1e-12)


def _sides(blade):
    """Sections at both ends and on both sides of every step."""
    designs = [blade.design_at(0.0), blade.design_at(blade.span)]
    designs += [blade.design_at(place, before) for place in blade.steps for before in (True, False)]
    return [design.bend() for design in designs]


def _filled_below(level):
    """Volume in front of the rod below a level [m in front of its axis], by strips across each slice."""

    def area(design, bend):
        radius, angle = bend.spacer_radius, bend.contact_angle
        u = np.linspace(
            -radius * np.sin(angle), max(min(level, radius + design.setback), -radius * np.sin(angle)), 4001
        )
        faces = radius * np.cos(angle) + (u + radius * np.sin(angle)) * np.tan(angle)
        rod = np.sqrt(np.maximum(radius**2 - np.clip(u, -radius, radius) ** 2, 0.0))
        return float(np.trapezoid(2.0 * (faces - rod), u))

    return sliced_part.sliced(STEPPED, area)


def test_the_rod_is_cut_at_the_step_and_each_piece_is_listed(pack):
    rod = {part.name: part for part in parts(pack) if part.name.startswith("Spacer")}
    assert {name: part.size for name, part in rod.items()} == {
        "Spacer, piece 1 of 2": "18 mm, 1.5 mm wall, 400.0 mm long",
        "Spacer, piece 2 of 2": "14 mm, 1.5 mm wall, 450.0 mm long",
    }
    assert [part.cut[1] for part in rod.values()] == [0.4, pytest.approx(0.45)]
    (words,) = pack.rod
    assert "butted 400 mm from the root end, on one axis" in words and "goes into the thicker" in words
    assert "15 mm" in words and words in pack.notes
    assert ("cut of the rod, from the root end", "400.0 mm", "405.0 mm") in marks(pack)
    tight = shop_pack(BLADE.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 16e-3), stepped=True)), THIN)
    assert "does not go into the thicker" in tight.rod[0]
    assert [p.name for p in parts(shop_pack(TWICE, THIN))[2:5]] == [f"Spacer, piece {n} of 3" for n in (1, 2, 3)]


def test_a_wall_that_steps_changes_the_rod_and_nothing_else():
    found, plain = (shop_pack(blade, THIN) for blade in (SOLID_ROOT, BLADE))
    sizes = [p.size for p in parts(found) if p.name.startswith("Spacer")]
    assert sizes == ["18 mm, solid, 300.0 mm long", "18 mm, 1.5 mm wall, 550.0 mm long"]
    assert [t.key for t in found.templates] == [t.key for t in plain.templates]
    cut = {("cut of the rod, from the root end", "300.0 mm", "305.0 mm")}
    assert set(marks(found)) - set(marks(plain)) == cut and found.taper == plain.taper
    straight = shop_pack(Blade(STRAIGHT, spacer_wall=Table((0.0, 0.3), (0.0, 1.5e-3), stepped=True)), THIN)
    direct = shop_pack(STRAIGHT, THIN)
    assert straight.taper == () and [t.key for t in straight.templates] == [t.key for t in direct.templates]
    assert straight.volumes.net == pytest.approx(direct.volumes.net, rel=1e-10)
    assert "tapered" not in " ".join((*straight.notes, *lift_words(straight)))


def test_gauges_stand_for_either_side_of_the_step(pack):
    shapes = {template.key: template for template in pack.templates}
    for side, before in (("rootward", True), ("tipward", False)):
        gauge = shapes[f"outside-gauge-step-{side}"]
        bend = STEPPED.design_at(0.4, before).bend()
        widest = 0.5 * bend.mouth + bend.sheet_thickness * np.cos(bend.contact_angle)
        assert np.nanmax(gauge.table.values[:, 1]) == pytest.approx(widest, abs=1e-9)
        assert "step at 400 mm" in gauge.name and f"nose-gauge-step-{side}" in shapes
    assert not [key for key in shapes if "step" in key and ("dam" in key or "frame" in key)]
    assert len({t.key for t in templates(TWICE)}) == len(templates(TWICE)) == 12 + 8


def test_edges_of_the_blank_jog_where_the_rods_line_does_not_and_the_marks_say_so(pack):
    """By hand: with its rod straight the sheet moves by the difference of the distances to the contact."""
    (before, beyond) = (STEPPED.design_at(0.4, b) for b in (True, False))
    jog = before.bend().contact_arclength - beyond.bend().contact_arclength
    upper = pack.blanks.pair[0]
    edge = upper.line("trailing edge").points
    at = edge[np.isclose(edge[:, 1], 0.4)]
    assert len(at) == 2 and at[1, 0] - at[0, 0] == pytest.approx(jog, rel=1e-9) and -3e-3 < jog < -2e-3
    assert any(f"jog by {abs(jog) * 1e3:.1f} mm, back" in note for note in pack.notes)
    rod = upper.line("rod line").points
    assert np.ptp(rod[:, 0]) < 1e-12  # that one is straight
    lines = {name: text for name, text, _ in marks(pack)}
    first, second = (design.land_length + design.bend().contact_arclength for design in (before, beyond))
    assert lines["rod line, 0 to 400 mm from the root"].endswith(f"to {first * 1e3:.1f} mm")
    assert lines["rod line, 400 to 850 mm from the root"].startswith(f"{second * 1e3:.1f} to ")
    assert lines["land line"] == "15.0 mm" and lines["front edge, developed"] == "240.0 to 180.0 mm"
    still = blanks(STEPPED.replace(straight="trailing edge"))
    assert np.ptp(still.pair[0].line("trailing edge").points[:, 0]) == 0.0
    assert not any("jog" in note for note in still.notes)
    apart = abs(before.bend().spacer_position - beyond.bend().spacer_position) * 1e3
    (words,) = shop_pack(STEPPED.replace(straight="trailing edge"), THIN).rod
    assert f"their axes {apart:.1f} mm apart; plug" in words and apart > 2.0


def test_a_setback_that_steps_with_the_rod_keeps_the_edges_straight():
    """Beyond the step set back by as much more as keeps the distance to the contact: no jog is left to be told."""
    target = STEPPED.design_at(0.4, before=True).bend().contact_arclength
    low, high = 3e-3, 8e-3
    for _ in range(60):
        setback = 0.5 * (low + high)
        thin = STEPPED.design_at(0.4).replace(setback=setback).bend()
        low, high = (setback, high) if thin.contact_arclength > target else (low, setback)
    found = blanks(STEPPED.replace(setback=Table((0.0, 0.4), (3e-3, setback), stepped=True)))
    assert 5e-3 < setback < 6e-3 and not any("jog" in note for note in found.notes)


def test_the_words_of_the_pour_speak_of_the_step(pack):
    said = " ".join((*lift_words(pack), triangle_words(pack), *pack.notes))
    assert "Stepped: dams" in said and "dam its lower part" in said and "at the root end" in said
    assert "Beyond 400 mm from the root end the sheets stand off the thinner rod" in said
    assert "up to the step on either side" in said and "will run the step out" in said
    nose = pack.volumes["potted nose"].formula
    assert nose.count("×") == 2 and "× 400 mm + " in nose and nose.endswith("× 450 mm")
    thicker_tip = BLADE.replace(spacer_diameter=Table((0.0, 0.4), (14e-3, 18e-3), stepped=True))
    assert any("Before 400 mm from the root end" in line for line in lift_words(shop_pack(thicker_tip, THIN)))


def test_a_step_within_a_closing_frame_counts_on_either_side():
    near = BLADE.replace(spacer_diameter=Table((0.0, 0.01), (18e-3, 14e-3), stepped=True))
    found = sliced_part.sliced(near, sliced_part.hollow_area, 0.0, STRAIGHT.frame_width)
    assert volumes(near).net["closing frame, root end"] == pytest.approx(found, rel=2e-5)


# ----- What cannot be built is refused where it is entered.


UNBUILDABLE = [
    ({"free_length": Table((0.0, 0.4), (0.225, 0.2), True)}, "free_length steps at 400 mm.*one flat piece"),
    ({"land_length": Table((0.0, 0.4), (15e-3, 10e-3), True)}, "land_length steps at 400 mm.*one flat piece"),
    ({"bond_line": Table((0.0, 0.4), (3e-4, 6e-4), True)}, "bond_line steps at 400 mm.*one flat piece"),
    ({"sheet_thickness": (2e-3, 1.5e-3)}, "from 1.5 mm to 2 mm thick along the span.*of one thickness"),
    ({"setback": Table((0.0, 0.4), (3e-3, 5e-3), True)}, "setback steps at 400 mm.*the rod goes on"),
    ({"setback": Table((0.0, 0.3), (3e-3, 5e-3), True), "spacer_diameter": ROD}, "setback steps at 300 mm"),
]


@pytest.mark.parametrize(("along", "words"), UNBUILDABLE)
def test_what_cannot_be_built_is_refused_where_it_is_entered(along, words, tmp_path):
    blade = Blade(STRAIGHT, **along)  # the record itself is a second road's
    for make in (lambda: Job(blade), lambda: demo().replace(blade=blade), lambda: blade.save(tmp_path / "x.json")):
        with pytest.raises(ValueError, match=words):
            make()
    for verb in (shop_pack, volumes, blanks, templates):
        with pytest.raises(ValueError, match=words):
            verb(blade)


def test_a_file_that_cannot_be_built_is_refused_when_it_is_read(tmp_path):
    path = tmp_path / "stepped.json"
    STEPPED.save(path)
    assert Blade.load(path) == STEPPED == buildable(STEPPED)
    path.write_text(path.read_text(encoding="utf-8").replace('"spacer_diameter_mm": {', '"land_length_mm": {'))
    with pytest.raises(ValueError, match="stepped.json: .*land_length steps at 400 mm"):
        Blade.load(path)


def test_what_the_load_panel_lets_a_builder_enter_can_be_packed():
    loads = LoadSheet(LoadPlan((PointPush("aground", 40.0),)))
    controls = LoadControls(BLADE, loads)
    controls.lists["rod"].value = STEP
    controls.numbers["second_rod"].put(14e-3)
    entered = controls.blade(STRAIGHT)
    assert entered.steps and shop_pack(entered, THIN).rod
    with_setback = STEPPED.replace(setback=Table((0.0, 0.4), (3e-3, 5e-3), stepped=True))
    controls.set(with_setback, loads)
    controls.numbers["step_at"].put(0.5)
    with pytest.raises(ValueError, match="setback steps at 400 mm"):
        controls.blade(STRAIGHT)
