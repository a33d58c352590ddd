"""Inner ribs and solid zones in the shop: volumes, pours, order of the work, dams, marks, what they weigh."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.blade.sections import blade_sections
from panelmech.draw.blade_figures import describe_blade
from panelmech.job.job import demo
from panelmech.report.note import note_contents
from panelmech.report.shop_rows import cautions, lift_words
from panelmech.shop.along_span import along_span
from panelmech.shop.choices import ShopChoices
from panelmech.shop.filled import in_order, poured_ends
from panelmech.shop.pack import marks, mass_rows, parts, shop_pack
from panelmech.shop.volumes import volumes
from panelmech.study.inside import Inside, Rib, Zone
from panelmech.study.study import evaluate

INSIDE = Inside((Rib(0.4, 0.012), Rib(0.6, 0.02)), (Zone(0.0, 0.06), Zone(0.78, 0.85)))
EVEN = LEEBOARD.replace(span=0.85, frame_width=0.015, inside=INSIDE)
TAPERED = Blade(EVEN, free_length=(0.225, 0.165))
FREE = EVEN.replace(inside=Inside(INSIDE.ribs))


@pytest.fixture(scope="module")
def pack():
    return shop_pack(EVEN, demo().shop)


@pytest.fixture(scope="module")
def tapered():
    return shop_pack(TAPERED, demo().shop)


def steps(pack):
    return [step.name for step in pack.schedule.steps if step.key in ("frame", "inside", "foam")]


def test_volumes_by_hand(pack):
    """Of an even part: hollow area times length; the foam has what is left, less the bead."""
    area = EVEN.bend().void_area
    for name, length in {"solid zone 1": 0.045, "rib 1": 0.012, "rib 2": 0.02, "solid zone 2": 0.055}.items():
        assert pack.volumes[name].volume == pytest.approx(area * length, rel=1e-12)
        assert pack.volumes[name].material == "resin"
    plain = volumes(EVEN.replace(inside=Inside()), foam=True, bead_length=0.0)["foam"].volume
    foam = volumes(EVEN, foam=True, bead_length=0.0)["foam"]
    assert plain - foam.volume == pytest.approx(area * 0.132, rel=1e-9) and foam.formula.count("×") == 3


def test_pours_add_up_to_the_volumes_also_of_a_tapered_part(pack, tapered):
    for packed in (pack, tapered):
        for name in ("solid zone 1", "rib 1", "rib 2", "solid zone 2"):
            lines = [line for line in packed.of("inside") if line.name.casefold() == name]
            assert sum(line.volume for line in lines) == pytest.approx(packed.volumes[name].volume, rel=1e-9)
            assert lines[0].lifts == len(lines) and all(line.depth <= packed.heat.lift * 1.001 for line in lines)
    up = [line.volume for line in tapered.of("inside") if line.name == "Solid zone 1"]
    assert up == sorted(up)  # the part stands on its narrow tip, so every lift is wider than the one below


def test_the_part_stands_on_its_narrower_end():
    assert poured_ends(along_span(EVEN)) == ("root end", "tip end")
    assert poured_ends(along_span(TAPERED)) == ("tip end", "root end")
    assert poured_ends(along_span(TAPERED.with_root(EVEN.replace(inside=Inside())))) == ("root end", "tip end")
    assert [s.name for s in in_order(along_span(TAPERED))] == ["solid zone 2", "rib 2", "rib 1", "solid zone 1"]


def test_they_are_poured_between_the_frames_from_below_upwards(pack, tapered):
    assert [name.partition(", lift")[0] for name in dict.fromkeys(s.partition(", lift")[0] for s in steps(pack))] == [
        "Pour the closing frame, root end", "Pour solid zone 1", "Pour rib 1", "Pour rib 2", "Pour solid zone 2",
        "Pour the closing frame, tip end"]  # fmt: skip
    assert steps(tapered)[0] == "Pour the closing frame, tip end"
    assert steps(tapered)[-1] == "Pour the closing frame, root end"
    for packed in (pack, tapered):
        starts = [step.start for step in packed.schedule.steps]
        assert starts == sorted(starts)
        second = next(s for s in packed.schedule.steps if s.name == steps(packed)[-1])
        assert "This end up, onto the solid zone" in second.words
        assert not any("fill hole" in step.words for step in packed.schedule.steps)  # ribs would bar it
        drills = [step.name for step in packed.schedule.steps if step.key == "drill"]
        assert drills == ["Drill the fill, vent and drain holes"]


def test_a_rib_that_stands_free_goes_onto_its_dam_and_the_frame_onto_its_own():
    packed = shop_pack(FREE, demo().shop)
    rib = next(step for step in packed.schedule.steps if step.key == "inside")
    assert "its dam pushed in to its line" in rib.words and "tube" in rib.words
    last = next(s for s in packed.schedule.steps if s.name == "Pour the closing frame, tip end")
    assert "onto a dam set inside at the frame line" in last.words


def test_a_zone_at_one_end_alone_stands_on_that_frame_or_carries_it():
    for zone, on, under, last in (
        (Zone(0.0, 0.06), True, False, "onto a dam set inside at the frame line"),
        (Zone(0.78, 0.85), False, True, "onto the solid zone"),
    ):
        packed = shop_pack(EVEN.replace(inside=Inside((Rib(0.4, 0.012),), (zone,))), demo().shop)
        fills = {fill.name: fill for fill in packed.schedule.plan.inside}
        assert (fills["solid zone"].on, fills["solid zone"].under) == (on, under)
        assert not fills["rib"].on and not fills["rib"].under
        second = next(s for s in packed.schedule.steps if s.name == "Pour the closing frame, tip end")
        assert last in second.words


def test_lifts_follow_each_other_in_the_window_of_their_own_depth(pack):
    interval, names = pack.heat.interval, pack.heat.names
    fills = pack.schedule.plan.inside
    assert [fill.name for fill in fills] == ["solid zone 1", "rib 1", "rib 2", "solid zone 2"]
    for fill in fills:
        assert fill.window == interval.window(names.index(fill.name))
    assert len({fill.window for fill in fills}) == 4
    bare = shop_pack(EVEN.replace(frame_width=0.0), demo().shop)
    assert not any(fill.on or fill.under for fill in bare.schedule.plan.inside)
    assert next(t for t in bare.templates if t.key == "frame-dam").count == 2 + 4  # each stands on a dam of its own


def test_without_frames_and_with_foam_the_work_is_whole():
    bare = shop_pack(FREE.replace(frame_width=0.0), demo().shop)
    assert steps(bare) == ["Pour rib 1", "Pour rib 2"]
    foamed = shop_pack(FREE, demo().shop.replace(foam=True))
    assert steps(foamed) == [
        "Pour the closing frame, root end", "Fill the bay below rib 1 with foam", "Pour rib 1",
        "Fill the bay below rib 2 with foam", "Pour rib 2", "Fill the bay that is left with foam",
        "Pour the closing frame, tip end"]  # fmt: skip
    whole = [shop_pack(design, demo().shop) for design in (EVEN.replace(frame_width=0.0), FREE)]
    assert all(line.title in {t for s in p.schedule.steps for t in s.pours} for p in whole for line in p.pours)


def test_lifts_are_as_deep_and_as_hot_as_told(pack):
    depths = dict(zip(pack.heat.names, pack.heat.heat.depth, strict=True))
    for line in pack.of("inside"):
        assert depths[line.name[0].lower() + line.name[1:]] == pytest.approx(line.depth, rel=1e-9)
    words = " ".join(lift_words(pack))
    assert "Solid zone 2: lifts of 18.3 mm" in words and "Lift of 18.3 mm: next lift from" in words
    alike = shop_pack(EVEN.replace(inside=Inside((Rib(0.3, 0.012), Rib(0.6, 0.012)))), demo().shop)
    assert [name for name in alike.heat.names if "rib" in name] == ["rib 1"]  # two of one depth are one


def test_a_zone_too_deep_for_the_resin_is_refused_in_words():
    deep = EVEN.replace(inside=Inside(zones=(Zone(0.0, 0.6),)))
    with pytest.raises(ValueError, match="solid zone takes .* pours, and more than 10 are not sensible"):
        shop_pack(deep, demo().shop)


def test_dams_are_frame_dams_at_their_places(pack, tapered):
    """Even: more of the one dam, but none where a zone stands on the frame below; tapered: each its own."""
    count = {template.key: template.count for template in pack.templates}
    plain = {t.key: t.count for t in shop_pack(EVEN.replace(inside=Inside()), demo().shop).templates}
    assert count["frame-dam"] == plain["frame-dam"] + 3 and {**count, "frame-dam": 2} == plain
    keys = [template.key for template in tapered.templates if template.key.startswith("frame-dam")]
    assert keys == ["frame-dam-root", "frame-dam-tip", "frame-dam-rib-2", "frame-dam-rib-1", "frame-dam-solid-zone-1"]
    dam = next(t for t in tapered.templates if t.key == "frame-dam-rib-2")
    alone = shop_pack(TAPERED.design_at(0.61).replace(inside=Inside()), demo().shop)
    same = next(t for t in alone.templates if t.key == "frame-dam")
    assert np.allclose(dam.paths[0].points, same.paths[0].points, rtol=0.0, atol=1e-12)
    assert next(part for part in parts(tapered) if part.name == "Frame dam").count == 5


def test_their_faces_are_marked_on_the_blanks(pack):
    told = {name: (at, cut) for name, at, cut in marks(pack)}
    assert told["rib 1, root face, from the root end"] == ("394.0 mm", "399.0 mm")  # 5 mm of trim at the end
    assert told["rib 1, tip face, from the root end"][0] == "406.0 mm"
    assert told["solid zone 1, tip face, from the root end"][0] == "60.0 mm"
    assert "solid zone 1, root face, from the root end" not in told  # it stands on the frame
    assert told["frame lines, from each end"] == ("15.0 mm", "20.0 mm")


def test_what_they_weigh_and_what_to_mind(pack):
    masses, density = dict(mass_rows(pack)), demo().shop.pour.density()[0]
    assert masses["rib 1"] == pytest.approx(EVEN.bend().void_area * 0.012 * density, rel=1e-9)
    plain = dict(mass_rows(shop_pack(EVEN.replace(inside=Inside()), demo().shop)))
    filled = EVEN.bend().void_area * 0.132 * density
    assert masses["together"] - plain["together"] == pytest.approx(filled, rel=1e-9)
    assert "A bay that no tube opens stays sealed" in dict(cautions(pack, "batch"))["Sealed hollow."]
    assert any("go in through the tip end" in note for note in pack.notes)


def test_a_dam_of_which_nothing_is_left_is_told():
    wide = ShopChoices(dam_clearance=0.0095)
    notes = shop_pack(FREE, wide).notes
    assert any(note.startswith("no dam for the rib") for note in notes)


def test_note_and_picture_tell_of_them():
    words = describe_blade(blade_sections(Blade(EVEN), 5))
    assert words.endswith(
        "rib 2, 590 mm to 610 mm from the root end; solid zone 2, 780 mm to 835 mm from the root end."
    )
    text = note_contents(evaluate(EVEN))["note.html"].decode().replace("\xa0", " ")
    assert "400 x 12; 600 x 20 mm" in text and "0 to 60; 780 to 850 mm" in text
    assert "Ribs and solid zones along the span" in text and "Every bay between ribs needs its way out" in text
    assert "Ribs and solid zones" not in note_contents(evaluate(LEEBOARD))["note.html"].decode()
