"""The shop pack of a tapered part: an untapered blade is its design, and a taper agrees with other roads to it."""

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from panelmech import Design, evaluate
from panelmech.__main__ import BAD_INPUT, FINE, main
from panelmech.blade.blade import Blade, Table
from panelmech.blade.buoyancy import hydrostatics
from panelmech.draw.figures import style
from panelmech.report import shop_sheets
from panelmech.report.shop_rows import lift_words
from panelmech.report.shop_sheets import SHEETS, sheet_pages
from panelmech.shop.along_span import AlongSpan, along_span
from panelmech.shop.blanks import blanks
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import marks, mass_rows, parts, shop_pack
from panelmech.shop.pours import front_area_below
from panelmech.shop.templates import templates
from panelmech.shop.volumes import volumes

STUDIES = Path(__file__).parents[2] / "notebooks" / "studies"
BLADE = Blade.load(STUDIES / "leeboard_blade.json")
STRAIGHT = Design.load(STUDIES / "leeboard.json")
THIN = ShopChoices(lift_choice="own", own_lift=5e-3)  # three lifts each


@pytest.fixture(scope="module")
def pack():
    return shop_pack(BLADE, THIN)


@pytest.mark.parametrize(
    "blade",
    [
        Blade(STRAIGHT),
        Blade(STRAIGHT, free_length=(0.225, 0.225)),
        Blade(STRAIGHT, straight="leading edge"),
        Blade(STRAIGHT, spacer_diameter=Table((0.0, 0.4), (18e-3, 18e-3), stepped=True)),
    ],
)
def test_an_untapered_blade_gives_the_pack_of_its_design(blade):
    """Word for word: every field but the arrays is equal, and arrays are equal to the last digit."""
    direct, found = shop_pack(STRAIGHT), shop_pack(blade)
    assert found.blade is None and found.design == STRAIGHT and found.stamp == direct.stamp
    for name in ("volumes", "pours", "checks", "spring", "push", "notes", "taper"):
        assert getattr(found, name) == getattr(direct, name), name
    assert [t.key for t in found.templates] == [t.key for t in direct.templates] and found.taper == ()
    for a, b in zip(found.blanks, direct.blanks, strict=True):
        assert np.array_equal(a.outline, b.outline) and a.mass == b.mass
    assert np.array_equal(found.heat.heat.peak, direct.heat.heat.peak)


@pytest.mark.slow
@pytest.mark.nightly
def test_sheets_of_an_untapered_blade_are_those_of_its_design_byte_for_byte():
    with style():
        blade, design = (shop_sheets._Sheets(shop_pack(part)) for part in (Blade(STRAIGHT), STRAIGHT))
        assert blade.files() == design.files()
        for (make, *of_blade), (_, *of_design) in zip(blade.templates(), design.templates(), strict=True):
            assert make(*of_blade) == make(*of_design)


def test_masses_are_those_of_the_part_afloat(pack):
    """Second road: the water module integrates areas of the section along the span. Rounding of Gauss's rules."""
    listed, other = dict(mass_rows(pack)), hydrostatics(BLADE).masses
    resin = BLADE.design.resin.density / THIN.pour.density()[0]  # there the cured resin of the design
    assert listed["two sheets"] == pytest.approx(other["sheets"] + other["land"], rel=1e-9)
    assert listed["spacer"] == pytest.approx(other["spacer"], rel=1e-9)
    assert listed["potted nose"] * resin == pytest.approx(other["potting"], rel=1e-9)
    assert listed["closing frames"] * resin == pytest.approx(other["closing frames"], rel=1e-9)


def test_a_tapered_rod_weighs_what_its_areas_weigh():
    blade = BLADE.replace(spacer_diameter=(18e-3, 14e-3))
    found = shop_pack(blade)
    assert dict(mass_rows(found))["spacer"] == pytest.approx(hydrostatics(blade).masses["spacer"], rel=1e-9)
    (rod,) = (part for part in parts(found) if part.name == "Spacer")
    assert rod.size == "18 mm to 14 mm, 1.5 mm wall, 850.0 mm long" and rod.cut[0] == 18e-3


def test_lifts_add_up_to_what_is_poured(pack):
    for key, names in (("nose", ["potted nose"]), ("frame", ["closing frame, root end", "closing frame, tip end"])):
        lines = pack.of(key)
        assert len(lines) == 3 * len(names)
        whole = sum(pack.volumes[name].volume for name in names)
        assert sum(line.volume for line in lines) == pytest.approx(whole, rel=1e-12)


def test_lifts_of_the_nose_by_slices_along_the_span(pack):
    """Second road: 400 slices (midpoint rule), each filled to levels that are even in front of the rod's axis, from the
    lowest contact to the highest mouth of both ends."""
    bends = [BLADE.design_at((i + 0.5) / 400 * BLADE.span).bend() for i in range(400)]
    ends = [BLADE.design_at(z).bend() for z in (0.0, BLADE.span)]
    low = -max(b.spacer_radius * np.sin(b.contact_angle) for b in ends)
    high = max(b.mouth_position - b.spacer_position for b in ends)
    assert pack.of("nose")[0].depth == pytest.approx((high - low) / 3.0, rel=1e-12)
    level = [
        np.mean([front_area_below(b, h + b.spacer_radius * np.sin(b.contact_angle)) for b in bends]) * BLADE.span
        for h in np.linspace(low, high, 4)
    ]
    lines = [line.volume for line in pack.of("nose")]
    assert lines == pytest.approx(list(np.diff(level)), rel=1e-5)  # midpoint rule, step^2


def test_the_root_takes_more_than_the_tip_and_lifts_follow_the_taper(pack):
    root = [line.volume for line in pack.of("frame") if "root" in line.name]
    tip = [line.volume for line in pack.of("frame") if "tip" in line.name]
    assert min(root) > max(tip)
    assert np.all(np.diff(root) < 0.0) and np.all(np.diff(tip) > 0.0)  # first lift at the end: widest, or narrowest
    direct = AlongSpan(BLADE).integral(0.0, 5e-3, lambda _, b: b.void_area)
    assert root[0] == pytest.approx(direct, rel=1e-9)


def test_energy_and_force_lie_between_those_of_the_ends_and_agree_with_slices(pack):
    """Second road: Simpson's rule over the study of each place."""
    places = np.linspace(0.0, BLADE.span, 9)
    studies = [evaluate(BLADE.design_at(z), local=False).quantities for z in places]
    weights = np.array([1, 4, 2, 4, 2, 4, 2, 4, 1]) / 24.0
    for name, value in (("strain_energy_total", pack.spring), ("push_out_total", pack.push)):
        found = np.array([study[name] for study in studies])  # each for the whole span
        assert value == pytest.approx(float(weights @ found), rel=1e-4)  # Simpson's error on 8 pieces
        assert found.min() < value < found.max()


def test_heat_is_reckoned_where_the_gap_is_widest():
    """As deep a lift as at the worse end; the two ends differ, since the rod does."""
    blade = BLADE.replace(spacer_diameter=(18e-3, 13e-3))
    found, *ends = (
        shop_pack(part).heat.deepest.depth for part in (blade, blade.design_at(0.0), blade.design_at(blade.span))
    )
    assert found == min(ends) and max(ends) > 1.02 * min(ends)


def test_templates_marks_and_parts_are_for_both_ends(pack):
    keys = {template.key for template in pack.templates}
    assert {"end-dam-root", "end-dam-tip", "frame-dam-root", "frame-dam-tip", "outside-gauge-tip"} <= keys
    assert {p.name: p.count for p in parts(pack) if "template" in p.size} == {"End dam": 2, "Frame dam": 2}
    lines = {name: text for name, text, _ in marks(pack)}
    assert lines["front edge, developed"] == "240.0 to 180.0 mm" and lines["land line"] == "15.0 mm"
    assert any("rod level" in words for words in lift_words(pack))


def test_a_mouth_that_is_not_level_with_the_rod_is_told():
    rising = shop_pack(BLADE.replace(setback=(3e-3, 8e-3)))
    assert any("differs in height by 5.0 mm" in words for words in rising.taper)
    assert not any("differs in height" in words for words in shop_pack(BLADE).taper)


def test_what_is_no_part_is_refused_in_words():
    with pytest.raises(ValueError, match="give a Design, or a Blade"):
        shop_pack("leeboard")


@pytest.mark.slow
def test_sheets_of_a_tapered_part_are_two_pages_at_most(pack):
    usual = shop_pack(BLADE)
    assert max(len(sheet_pages(usual, name)) for name in SHEETS) <= 2
    said = " ".join(t.get_text() for t in sheet_pages(usual, "cut-list")[0].texts)
    assert BLADE.input_hash() in said and "243.4 to 182.6" in said and "own template" in said


@pytest.mark.slow
@pytest.mark.nightly
def test_shop_command_takes_a_part_along_its_span(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(shop_sheets, "PACK_FIGURES", ())  # they take most of the time
    out = tmp_path / "pack"
    assert main(["shop", str(STUDIES / "leeboard_blade.json"), "--out", str(out)]) == FINE
    assert "8 pours" in capsys.readouterr().out and Blade.load(out / "blade.json") == BLADE
    assert not (out / "study.json").exists() and (out / "templates" / "template-end-dam-tip.dxf").exists()


@pytest.mark.slow
@pytest.mark.nightly
def test_shop_command_packs_a_stepped_rod_and_refuses_a_stepped_sheet(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(shop_sheets, "PACK_FIGURES", ())  # they take most of the time
    path, out = tmp_path / "stepped.json", tmp_path / "pack"
    BLADE.replace(spacer_diameter=Table((0.0, 0.4), (18e-3, 14e-3), stepped=True)).save(path)
    assert main(["shop", str(path), "--out", str(out)]) == FINE
    assert "8 pours" in capsys.readouterr().out
    assert "Spacer, piece 2 of 2" in (out / "cut-list.csv").read_text(encoding="utf-8")
    assert (out / "templates" / "template-outside-gauge-step-tipward.dxf").exists()
    path.write_text(path.read_text(encoding="utf-8").replace('"spacer_diameter_mm": {', '"land_length_mm": {'))
    assert main(["shop", str(path), "--out", str(tmp_path / "no")]) == BAD_INPUT
    assert "land_length steps at 400 mm" in capsys.readouterr().err and not (tmp_path / "no").exists()


def test_an_end_speaks_of_its_own_holes_only():
    """No drill is thin enough for the tip: its gauge says so of the low end, and no gauge of another end."""
    narrow = BLADE.replace(free_length=(0.24, 0.025), spacer_diameter=(18e-3, 3e-3), setback=(3e-3, 1e-3))
    shapes = {template.key: template for template in templates(narrow)}
    assert "drilling-high-end-root" in shapes and "drilling-low-end-tip" not in shapes
    notes = {end: " ".join(shapes[f"outside-gauge-{end}"].notes) for end in ("root", "tip")}
    assert "no drilling marks for the low end" in notes["tip"]
    assert "high end" not in notes["tip"] and "drilling" not in notes["root"]


def test_blanks_volumes_and_templates_take_the_part_as_it_is():
    """A blade, and the blade along its span as the pack hands it on, give the same; what no pack takes none of them
    takes."""
    part = along_span(BLADE)
    assert along_span(part) is part and volumes(part) == volumes(BLADE)
    assert np.array_equal(blanks(part).pair[0].outline, blanks(BLADE).pair[0].outline)
    assert [t.key for t in templates(part)] == [t.key for t in templates(BLADE)]
    for verb in (blanks, volumes, templates):
        with pytest.raises(ValueError, match="of one thickness"):
            verb(BLADE.replace(sheet_thickness=(2e-3, 1.5e-3)))


def test_every_field_of_the_pack_is_filled(pack):
    assert all(getattr(pack, item.name) is not None for item in fields(pack))
