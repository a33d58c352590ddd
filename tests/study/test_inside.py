"""Inner ribs and solid zones of a design: what fits, the file, the bays, masses, advice."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.blade.blade import Blade, blade_from_entry, blade_to_entry
from panelmech.blade.buoyancy import hydrostatics
from panelmech.blade.sections import blade_sections, void_centroid
from panelmech.job.change_words import words_of
from panelmech.job.changes import difference, leaves
from panelmech.job.every import judge_of
from panelmech.job.job import demo, from_sections, to_sections
from panelmech.loads.cases import PointPush
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.loads.response import framed_along, framed_bounds_along, framed_sheet_at
from panelmech.loads.sizing import LOAD_OUTPUTS
from panelmech.mechanics.filled_strip import give_of_filling
from panelmech.mechanics.section import composite_section, hollow_moments
from panelmech.shop.outlines import hollow
from panelmech.study import more_ribs
from panelmech.study.bays import bay_design, bay_designs, bay_gives, without_ribs
from panelmech.study.checks import LOCAL_RULES
from panelmech.study.design import Design, from_entry, plain_inputs, to_entry
from panelmech.study.every import judge_design
from panelmech.study.every_map import check_map
from panelmech.study.framed_sheet import (
    IN_PLANE,
    bent_local,
    bent_sheet,
    local_quantities,
    sheet_compliance,
    wedge_local,
)
from panelmech.study.inside import HAND_OVER, LEAST_BAY, Inside, Rib, Zone
from panelmech.study.mend import with_mends
from panelmech.study.more_ribs import ribs_needed, ribs_words, with_more_ribs
from panelmech.study.quantities import Solved, gather, mass_over_span
from panelmech.study.side_by_side import compare
from panelmech.study.study import evaluate
from panelmech.study.sweeps import NO_ROOM, sweep
from panelmech.study.typed_inside import read_ribs, read_zones, ribs_text, zones_text
from panelmech.units import lengths_in

PLAIN = demo().design
RIBS, ZONES = (Rib(0.3, 0.012), Rib(0.5, 0.02)), (Zone(0.0, 0.06),)
RIBBED = PLAIN.replace(inside=Inside(RIBS, ZONES))
WITHOUT = Inside()


# ----- What fits, and what is refused in words


def test_bays_and_fillings_along_the_span_by_hand():
    """Frames of 15 mm on 850 mm; a zone to 60 mm stands on the first; ribs from 294 to 306 and from 490 to 510 mm."""
    assert [(s.name, s.start, s.end) for s in RIBBED.filled] == [
        ("solid zone", 0.015, 0.06), ("rib 1", 0.294, 0.306), ("rib 2", 0.49, 0.51)]  # fmt: skip
    assert [(b.name, b.start, b.end) for b in RIBBED.bays] == [
        ("bay 1", 0.06, 0.294), ("bay 2", 0.306, 0.49), ("bay 3", 0.51, 0.835)]  # fmt: skip
    assert [(b.start, b.end) for b in PLAIN.bays] == [(0.015, 0.835)] and PLAIN.filled == ()
    assert not PLAIN.inside and RIBBED.inside
    between = RIBBED.span, RIBBED.frame_width
    assert RIBBED.inside.filled_length(*between) == pytest.approx(0.045 + 0.012 + 0.02, rel=1e-12)
    assert RIBBED.inside.least_bay(*between) == pytest.approx(0.184, rel=1e-12)
    assert WITHOUT.least_bay(*between) == PLAIN.span - 2.0 * PLAIN.frame_width


def test_ribs_and_zones_are_kept_in_order_along_the_span():
    assert Inside(RIBS[::-1]) == Inside(RIBS) and hash(Inside(list(RIBS))) == hash(Inside(RIBS))


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        (Inside((Rib(0.02, 0.012),)), "the rib of 12 mm at 20 mm leaves no bay: leave a bay of at least 10 mm to the"),
        (Inside((Rib(0.9, 0.012),)), "not on the part between its closing frames, 15 mm to 835 mm from the root"),
        (Inside((Rib(0.4, 0.012), Rib(0.415, 0.012))), "leaves no bay of at least 10 mm to the rib of 12 mm at 400 mm"),
        (Inside((Rib(0.4, 0.012),), (Zone(0.3, 0.4),)), "leaves no bay .* the solid zone from 300 mm to 400 mm"),
        (Inside(zones=(Zone(0.0, 0.85),)), "nothing hollow"),
        (Inside(zones=(Zone(0.0, 0.01),)), "not on the part between its closing frames"),
        (Inside(zones=(Zone(0.8, 0.9),)), "the solid zone from 800 mm to 900 mm is not on the part"),
        (Inside(zones=(Zone(0.02, 0.06),)), "leaves a gap that is no bay: .*, or let the zone run into the frame"),
        (Inside(zones=(Zone(0.7, 0.83),)), "closing frame at the tip end, or let the zone run into the frame"),
    ],
)
def test_what_does_not_fit_is_refused_in_words(inside, words):
    with pytest.raises(ValueError, match=words):
        PLAIN.replace(inside=inside)


def test_records_refuse_what_they_cannot_be():
    for make, words in (
        (lambda: Rib(0.0, 0.01), "position of a rib is 0 mm"),
        (lambda: Rib(0.3, 0.0), "width of a rib"),
        (lambda: Zone(-0.01, 0.1), "start of a solid zone"),
        (lambda: Zone(0.1, 0.1), "it must end beyond its start"),
        (lambda: Inside(("rib",)), "ribs is 'rib'"),
        (lambda: Inside(Rib(0.3, 0.01)), "ribs is Rib"),
        (lambda: PLAIN.replace(inside=RIBS), "give an Inside"),
    ):
        with pytest.raises(ValueError, match=words):
            make()


def test_a_part_cut_a_little_short_keeps_its_zone_at_the_tip():
    """A zone to the tip of a part whose span is drawn by chance: within a hundredth it is the same part."""
    tip = PLAIN.replace(inside=Inside(zones=(Zone(0.8, 0.85),)))
    assert tip.replace(span=0.8485).filled[0].end == pytest.approx(0.8335, rel=1e-12)
    with pytest.raises(ValueError, match="not on the part"):
        tip.replace(span=0.84)


places = st.integers(0, 90).map(lambda n: round(0.01 * n, 6))


@given(
    st.lists(st.tuples(places, st.integers(2, 60)), max_size=3),
    st.lists(st.tuples(places, st.integers(5, 300)), max_size=2),
    st.lists(st.integers(300, 900), min_size=3, max_size=3),
    st.integers(0, 60),
)
def test_many_spans_at_once_fit_as_each_alone(ribs, zones, spans, frame):
    inside = Inside(
        tuple(Rib(at + 1e-3, 1e-3 * w) for at, w in ribs), tuple(Zone(at, at + 1e-3 * w) for at, w in zones)
    )
    spans, frame = 1e-3 * np.array(spans), 1e-3 * frame
    fits, least = inside.fits(spans, frame), inside.least_bay(spans, frame)
    for span, one, bay in zip(spans, np.broadcast_to(fits, spans.shape), least, strict=True):
        try:
            made = PLAIN.replace(span=float(span), frame_width=frame, inside=inside)
        except ValueError:
            assert not one or 2.0 * frame >= span
            continue
        assert one
        assert bay == pytest.approx(min(b.length for b in made.bays), rel=1e-9)
        assert min(b.length for b in made.bays) >= LEAST_BAY * (1.0 - 1e-6)
        whole = sum(s.length for s in (*made.bays, *made.filled)) + 2.0 * frame
        assert whole == pytest.approx(span, rel=1e-9)
        assert sum(s.length for s in made.filled) == pytest.approx(
            inside.filled_length(span, frame), rel=1e-9, abs=1e-12
        )


def test_a_sweep_says_that_they_do_not_fit():
    swept = sweep(RIBBED, local=False, span=[0.4, 0.85], sheet_thickness=[0.0015, 0.002])
    assert swept.reason_code.tolist() == [[NO_ROOM] * 2, [0, 0]]
    assert "ribs and solid zones do not fit" in swept.reason(0, 0)


# ----- Files, hash, words of a change


def test_a_design_without_them_is_what_it_was():
    """No key in files, and the hash that the demo had before there were any."""
    assert "inside" not in to_entry(PLAIN) and "inside" not in plain_inputs(PLAIN)
    assert PLAIN.input_hash() == "6edf86a0ee87"
    assert from_entry({k: v for k, v in to_entry(RIBBED).items() if k != "inside"}) == PLAIN


def test_they_go_through_study_blade_and_job_files(tmp_path):
    RIBBED.save(tmp_path / "study.json")
    assert Design.load(tmp_path / "study.json") == RIBBED
    blade = demo().blade.with_root(RIBBED)
    assert blade_from_entry(blade_to_entry(blade)) == blade
    job = demo().with_design(RIBBED)
    assert from_sections(to_sections(job)) == job
    hashes = {d.input_hash() for d in (PLAIN, RIBBED, RIBBED.replace(inside=Inside(RIBS)))}
    assert len(hashes) == 3 and len({demo().blade.with_root(d).input_hash() for d in (PLAIN, RIBBED)}) == 2


def test_a_file_says_where_it_is_wrong():
    entry = to_entry(RIBBED)
    entry["inside"]["ribs"][1]["width_mm"] = 0
    with pytest.raises(ValueError, match="inside, ribs, number 2.*width"):
        from_entry(entry)
    entry["inside"]["ribs"][1] = {"position_mm": 300, "width": 12}
    with pytest.raises(ValueError, match="unknown key width"):
        from_entry(entry)


def test_a_change_of_them_is_told_in_words():
    before, after = (leaves(to_sections(demo().with_design(d))) for d in (PLAIN, RIBBED))
    assert words_of(difference(before, after)) == (
        "inner ribs and solid zones none → ribs 12 mm at 300 mm, 20 mm at 500 mm, zones 0 mm to 60 mm"
    )
    other = leaves(to_sections(demo().with_design(PLAIN.replace(inside=Inside(RIBS[:1], ZONES)))))
    assert words_of(difference(after, other)) == (
        "inner ribs and solid zones: ribs 12 mm at 300 mm, 20 mm at 500 mm → 12 mm at 300 mm"
    )


@pytest.mark.parametrize("shown", ["mm", "inch"])
def test_what_is_typed_is_read_as_it_is_written(shown):
    with lengths_in(shown):
        for read, text, records in ((read_ribs, ribs_text, RIBS), (read_zones, zones_text, (Zone(0.1, 0.2),))):
            for one, other in zip(read(text(records)), records, strict=True):
                assert vars(one) == pytest.approx(vars(other), rel=1e-4)


def test_what_is_typed_wrong_is_refused_in_words():
    assert read_ribs("") == read_zones(" ; ") == ()
    assert read_ribs("12 in x 1/2 in") == (Rib(0.3048, 0.0127),)
    for read, text, words in (
        (read_ribs, "300", "'300' is no rib: give the place of its middle from the root end, x, and its width"),
        (read_ribs, "300 x", "is no rib"),
        (read_ribs, "300 x wide", "width of a rib is 'wide'"),
        (read_ribs, "300 x 2 kg", "give a length"),
        (read_zones, "0 - 60", "is no solid zone: give where it begins and ends"),
        (read_zones, "60 to 0", "end of a solid zone|beyond"),
    ):
        with pytest.raises(ValueError, match=words):
            read(text)


# ----- Bays: each as a design of that span


STURDY = PLAIN.replace(inside=Inside((Rib(0.3, 0.06), Rib(0.5, 0.06)), (Zone(0.0, 0.06), Zone(0.7, 0.85))))


@pytest.mark.parametrize("design", [RIBBED, STURDY, with_more_ribs(PLAIN, 5)])
def test_each_bay_is_the_sheet_of_a_design_of_its_span_with_what_its_ends_give(design):
    alone = [local_quantities(bay_design(PLAIN, bay)) for bay in design.bays]
    gives = bay_gives(design, design.bend())
    plain, found = local_quantities(PLAIN), local_quantities(design)
    zoned = local_quantities(without_ribs(design))
    press = "press_deflection"
    bays = max(one[press] + PLAIN.pressure * give for one, give in zip(alone, gives, strict=True))
    assert found[press] == pytest.approx(min(bays, plain[press], zoned[press]), rel=1e-9)
    one_face = local_quantities(design, both=False)
    assert one_face["press_deflection"] == found["press_deflection"] <= plain["press_deflection"]
    assert one_face["buckling_stress"] == found["buckling_stress"] == zoned["buckling_stress"]


def test_buckling_is_that_of_the_bays_between_frames_and_zones():
    """Ribs are left out of it; a zone is an end."""
    bays = [local_quantities(PLAIN.replace(span=width, frame_width=0.0)) for width in (0.64,)]
    found = local_quantities(STURDY)
    for choice in IN_PLANE:
        name = f"buckling_stress_{choice}"
        assert found[name] == min(one[name] for one in bays)
    assert local_quantities(with_more_ribs(PLAIN, 3))["buckling_stress"] == local_quantities(PLAIN)["buckling_stress"]


def test_what_a_rib_carries_by_hand():
    """A rib of 12 mm between bays of 294 - 60 = 234 and 490 - 306 = 184 mm carries 12 + 117 + 92 = 221 mm of pressure;
    at the closing frame nothing gives."""
    sheet, resin = PLAIN.sheet, PLAIN.resin
    modulus = float(sheet.modulus_at(PLAIN.sheet_thickness))

    def give(width, least, carried):
        return carried * give_of_filling(PLAIN.bend(), width, least, modulus, resin.modulus, resin.poisson)

    zone = give(0.045, 0.117, 0.045 + 0.117)
    first, second = give(0.012, 0.092, 0.221), give(0.02, 0.092, 0.02 + 0.092 + 0.1625)
    gives = bay_gives(RIBBED, RIBBED.bend())
    assert gives == pytest.approx([max(zone, first), max(first, second), second], rel=1e-9)
    assert bay_gives(PLAIN, PLAIN.bend()) == [0.0]
    many = with_more_ribs(PLAIN, 25)  # bays of 20 mm: flanges reach half of them, less than a tenth of 212 mm
    bay = (0.82 - 25 * 0.012) / 26
    each = [give(0.012, 0.5 * bay, 0.012 + bay)] * 26
    assert bay_gives(many, many.bend()) == pytest.approx(each, rel=1e-9)


def test_more_ribs_and_wider_ones_give_less():
    presses = [local_quantities(with_more_ribs(PLAIN, n))["press_deflection"] for n in (1, 3, 5, 7)]
    assert presses == sorted(presses, reverse=True) and len(set(presses)) == 4
    wide = [local_quantities(with_more_ribs(PLAIN, 4, width))["press_deflection"] for width in (0.006, 0.012, 0.03)]
    assert wide == sorted(wide, reverse=True)


def test_the_widest_bay_is_the_sheet_that_is_drawn_and_bays_of_one_width_are_worked_out_once():
    assert bent_sheet(RIBBED).width == pytest.approx(0.325, rel=1e-12)
    assert len(bay_designs(with_more_ribs(PLAIN, 4))) == 1 and bay_designs(PLAIN) == (PLAIN,)


def test_bent_and_flat_sheet_are_compared_bay_by_bay():
    for local in (bent_local, wedge_local):
        for key, of in (("press_free", RIBBED), ("buckling_free", without_ribs(RIBBED))):
            alone = [local(bay, keys=(key,)) for bay in bay_designs(of)]
            assert local(RIBBED, keys=(key,)) == {key: min(one[key] for one in alone)}


def test_a_check_says_which_bay_counts():
    study = evaluate(STURDY)
    words = "of 3 bays the worst is bay 1, 60 mm to 270 mm from the root end; with what ribs and solid zones give"
    assert words in study.check("oil_canning").advice
    words = "of the one bay, 60 mm to 700 mm from the root end; reckoned without the ribs, since they give"
    assert words in study.check("skin_buckling").advice
    even = with_more_ribs(PLAIN, 5)
    assert "each of 6 bays alike; with what ribs and solid zones give" in evaluate(even).check("oil_canning").advice
    soft = PLAIN.replace(inside=Inside((Rib(0.425, 0.002),)))
    assert "reckoned without the ribs, since they give" in evaluate(soft).check("oil_canning").advice
    assert "bay" not in evaluate(PLAIN).check("skin_buckling").advice
    zoned = evaluate(without_ribs(STURDY)).check("skin_buckling").advice
    assert zoned.endswith("of the one bay, 60 mm to 700 mm from the root end")


def test_under_loads_every_place_is_judged_by_the_worst_bay():
    position, blade = np.array([0.1, 0.6]), demo().blade.with_root(STURDY)
    alone = framed_along(demo().blade, position, {})
    found, bound = framed_along(blade, position, {}), framed_bounds_along(blade, position)
    assert np.all(found["press"] < alone["press"]) and np.all(found["buckling"] >= 0.999 * alone["buckling"])
    assert np.all(bound["press"] <= found["press"]) and np.all(bound["buckling"] >= found["buckling"])
    here = framed_sheet_at(STURDY)
    assert here["press"] == pytest.approx(sheet_compliance(STURDY), rel=1e-9)
    assert here["buckling"] == framed_sheet_at(PLAIN.replace(span=0.64, frame_width=0.0))["buckling"]


def test_a_map_judges_a_ribbed_part_as_it_is_judged_alone():
    swept = check_map(sweep(RIBBED, local=False, spacer_diameter=[0.016, 0.02], sheet_thickness=[0.0015, 0.002]))
    for i, j in np.ndindex(2, 2):
        alone = judge_design(swept.design_at(i, j))
        assert swept["least_reserve"][i, j] == pytest.approx(alone.reserve, rel=1e-9) or alone.beyond
        rates = {rule.reserve: evaluate(swept.design_at(i, j)).check(rule.key).reserve for rule in LOCAL_RULES}
        for name, reserve in rates.items():
            assert math.isnan(reserve) or swept[name][i, j] == pytest.approx(reserve, rel=1e-9)


# ----- Masses and float


def test_mass_and_hollow_by_hand():
    """An even part: what is filled is hollow area times length, of the potting resin."""
    area = PLAIN.bend().void_area
    with_, without = hydrostatics(Blade(RIBBED)), hydrostatics(Blade(PLAIN))
    for name, length in {"solid zone": 0.045, "rib 1": 0.012, "rib 2": 0.02}.items():
        assert with_.masses[name] == pytest.approx(area * length * PLAIN.resin.density, rel=1e-9)
    filled = area * 0.077
    assert with_.mass - without.mass == pytest.approx(filled * PLAIN.resin.density, rel=1e-9)
    assert without.hollow.amount - with_.hollow.amount == pytest.approx(filled, rel=1e-9)
    assert without.flood.amount - with_.flood.amount == pytest.approx(1000.0 * filled, rel=1e-9)
    assert with_.volume == pytest.approx(without.volume, rel=1e-12)
    moved = (with_.solid.first_position - without.solid.first_position) / (filled * PLAIN.resin.density)
    assert moved == pytest.approx((0.045 * 0.0375 + 0.012 * 0.3 + 0.02 * 0.5) / 0.077, rel=1e-9)
    foamed = hydrostatics(Blade(RIBBED), fill_density=50.0)
    assert foamed.masses["filler"] == pytest.approx(50.0 * area * (0.82 - 0.077), rel=1e-9)


def test_the_mass_compared_and_chosen_by_counts_them():
    quantities = evaluate(RIBBED, local=False).quantities
    filled = PLAIN.bend().void_area * 0.077 * PLAIN.resin.density
    assert mass_over_span(RIBBED, quantities) - mass_over_span(PLAIN, quantities) == pytest.approx(filled, rel=1e-9)
    assert mass_over_span(PLAIN, quantities) == quantities["mass_per_length"] * PLAIN.span
    rows = {row.key: row for row in compare(PLAIN, RIBBED).rows}
    assert rows["ribs"].texts == ("none", "300 x 12; 500 x 20") and rows["ribs"].differs
    assert rows["zones"].texts == ("none", "0 to 60")
    assert not {"ribs", "zones"} & {row.key for row in compare(PLAIN, PLAIN.replace(span=0.9)).rows}
    overview = {row.key: row.values for row in compare(PLAIN, RIBBED).overview}
    assert overview["mass"][1] - overview["mass"][0] == pytest.approx(filled, rel=1e-9)


def test_the_mass_along_a_tapered_part_is_that_of_its_float():
    blade = demo().blade.with_root(RIBBED)
    exact = sum(mass for name, mass in hydrostatics(blade).masses.items() if name.startswith(("rib", "solid")))
    assert blade_sections(blade, 401).filled_mass == pytest.approx(exact, rel=1e-5)  # straight between 401 stations
    assert "mass" in LOAD_OUTPUTS


# ----- The sections: a long solid zone counts with its stiffness


LONG = PLAIN.replace(inside=Inside((Rib(0.5, 0.02),), (Zone(0.0, 0.2), Zone(0.7, 0.85))))


def test_moments_of_the_hollow_against_its_outline():
    """The outline's straight pieces lie within 2 micrometres of the exact one, of a hollow some 10 mm high."""
    bend = PLAIN.bend()
    (x, y), (x1, y1) = hollow(bend, 0.0).T, np.roll(hollow(bend, 0.0), -1, axis=0).T
    cross = x * y1 - x1 * y
    drawn = (
        cross.sum() / 2.0,
        (cross * (x + x1)).sum() / 6.0,
        (cross * (x * x + x * x1 + x1 * x1)).sum() / 12.0,
        (cross * (y * y + y * y1 + y1 * y1)).sum() / 12.0,
    )
    assert hollow_moments(bend) == pytest.approx(np.abs(drawn), rel=1e-3)
    assert hollow_moments(bend)[0] == pytest.approx(bend.void_area, rel=1e-9)
    assert void_centroid(bend) == pytest.approx(hollow_moments(bend)[1] / bend.void_area, rel=1e-12)


def test_a_filled_section_by_hand():
    """EA, EI and the neutral axis gain what the resin has; its mass and the shear flow are left as they were."""
    bend, numbers, modulus = PLAIN.bend(), gather(PLAIN), PLAIN.resin.modulus
    empty, full = (composite_section(bend, {**numbers, "filled": share}) for share in (0.0, 1.0))
    area, first, second, across = hollow_moments(bend)
    assert full.axial_stiffness - empty.axial_stiffness == pytest.approx(modulus * area, rel=1e-9)
    assert full.chord_stiffness - empty.chord_stiffness == pytest.approx(modulus * across, rel=1e-9)
    centre = (empty.axial_stiffness * empty.centroid_x + modulus * first) / full.axial_stiffness
    assert full.centroid_x == pytest.approx(centre, rel=1e-12)
    about = empty.normal_stiffness + empty.axial_stiffness * empty.centroid_x**2 + modulus * second
    assert full.normal_stiffness == pytest.approx(about - full.axial_stiffness * centre**2, rel=1e-9)
    shear = modulus / (2.0 * (1.0 + PLAIN.resin.poisson))
    bar = area**4 / (40.0 * (second - first**2 / area + across))
    assert full.torsion_stiffness - empty.torsion_stiffness == pytest.approx(shear * bar, rel=1e-9)
    assert full.cell_stiffness == empty.cell_stiffness and full.mass_per_length == empty.mass_per_length
    flows = [Solved({**numbers, "filled": share}).flow for share in (0.0, 1.0)]
    assert vars(flows[0]) == vars(flows[1])


def test_a_zone_counts_from_within_its_ends_and_a_rib_never():
    stiff, hollow_ = (evaluate(PLAIN, local=False).quantities["chord_stiffness"] * k for k in (1.0983, 1.0))
    sections = blade_sections(Blade(LONG))
    filled = sections.numbers["filled"].astype(bool)
    assert np.all(np.diff(sections.position) > 0.0)
    assert sections.chord_stiffness[filled] == pytest.approx(stiff, rel=1e-4)
    assert sections.chord_stiffness[~filled] == pytest.approx(hollow_, rel=1e-12)
    borders = sections.position[np.flatnonzero(np.diff(filled)) + 1]
    assert borders == pytest.approx([0.2 - HAND_OVER, 0.7 + HAND_OVER], rel=1e-9)
    assert np.array_equal(filled, LONG.inside.stiff_at(sections.position, False, LONG.span))
    assert LONG.inside.stiff_at([0.17, 0.73], True, LONG.span).tolist() == [True, False]
    short = Blade(PLAIN.replace(inside=Inside((), (Zone(0.4, 0.455),))))
    assert np.ptp(blade_sections(short).chord_stiffness) == 0.0 and short.section_steps == ()


def test_nothing_but_stiffness_hangs_on_a_zone_in_the_sections():
    with_, without = (blade_sections(Blade(design), np.linspace(0.0, 0.85, 18)) for design in (LONG, PLAIN))
    for name in ("displaced_area", "displaced_x", "void_area", "mass_per_length", "land_strain", "shear_centre_x"):
        assert getattr(with_, name) == pytest.approx(getattr(without, name), rel=1e-12)
    assert hydrostatics(Blade(LONG)).volume == pytest.approx(hydrostatics(Blade(PLAIN)).volume, rel=1e-12)


@pytest.mark.parametrize("tapered", [False, True])
def test_the_part_bends_less_and_is_stressed_less_where_it_is_solid(tapered):
    """Held at the root by a fixed end, a push on the tip: statics leave the moment, so stress goes with EI."""
    make = demo().blade.with_root if tapered else Blade
    plan = LoadPlan((PointPush("push", 50.0),), local=False)
    hollow_, solid = (evaluate_loads(make(design), plan) for design in (PLAIN, LONG))
    ratio = hollow_.along["chord_stiffness"][0] / solid.along["chord_stiffness"][0]
    assert ratio < 0.93
    stress = [study.response.sheet_stress[0, 0] for study in (hollow_, solid)]
    assert stress[1] == pytest.approx(ratio * stress[0], rel=1e-9)
    tips = [abs(study.diagrams.deflection[0, -1]) for study in (hollow_, solid)]
    assert 0.9 * tips[0] < tips[1] < 0.98 * tips[0]
    moments = [study.response.moment[0] for study in (hollow_, solid)]
    assert moments[0][0] == pytest.approx(moments[1][0], rel=1e-12)


def test_many_parts_with_a_zone_come_to_what_each_does_alone():
    job = demo().with_design(LONG)
    designs = [LONG.replace(spacer_diameter=d, sheet_thickness=t) for d in (0.016, 0.02) for t in (0.0015, 0.002)]
    together, alone = judge_of(job).together(designs), [judge_of(job)(design) for design in designs]
    assert [one.verdict for one in together] == [one.verdict for one in alone]
    assert [one.reserve for one in together] == pytest.approx([one.reserve for one in alone], rel=1e-9)


# ----- What inner ribs do for a check


def test_the_fewest_ribs_that_are_enough():
    found = ribs_needed(HEAVY, "oil_canning", 1.0)
    count = len(found.inside.ribs)
    fewer = with_more_ribs(HEAVY, count - 1) if count > 1 else HEAVY
    assert evaluate(found).check("oil_canning").verdict != "fails" and evaluate(found).check("oil_canning").reserve > 1
    assert not evaluate(fewer).check("oil_canning").reserve >= 1.0
    assert ribs_needed(PLAIN.replace(pressure=1e6), "oil_canning", 1.0) is None


HEAVY = PLAIN.replace(pressure=6000.0)


@pytest.mark.parametrize("design", [PLAIN, RIBBED, PLAIN.replace(span=0.2), PLAIN.replace(span=0.12)])
def test_no_fewer_and_no_more_ribs_than_by_trying_each_number(design, monkeypatch):
    """With a reserve that is one over the widest bay: its least number is the first that gives enough, up to 16."""

    def reserve(changed, rules):
        return [1.0 / max(bay.length for bay in changed.bays)]

    monkeypatch.setattr(more_ribs, "framed_to_go_by", reserve)
    each = [with_more_ribs(design, count) for count in range(1, 17)]
    assert [one is None for one in each] == sorted(one is None for one in each)  # once it is too narrow it stays so
    most = max((reserve(one, ())[0] for one in each if one), default=1.0)
    for need in (0.1, *(reserve(one, ())[0] for one in each if one), 1.01 * most):
        wanted = next((one for one in each if one and reserve(one, ())[0] >= need), None)
        assert ribs_needed(design, "oil_canning", need) == wanted


def test_as_many_ribs_as_leave_bays_of_the_least_width():
    """Five bays of just a centimetre with four ribs of 12 mm between take 98 mm."""
    span = 2.0 * PLAIN.frame_width + 5 * LEAST_BAY + 4 * 0.012
    assert len(with_more_ribs(PLAIN.replace(span=span + 1e-6), 4).inside.ribs) == 4
    assert with_more_ribs(PLAIN.replace(span=span - 1e-6), 4) is None
    narrow = PLAIN.replace(span=0.1, inside=Inside((Rib(0.03, 0.01),)))
    assert [round(bay.length, 6) for bay in narrow.bays] == [0.01, 0.05]
    assert len(with_more_ribs(narrow, 1).inside.ribs) == 2 and with_more_ribs(narrow, 2) is None


def test_what_is_said_of_more_ribs():
    one, two = (with_more_ribs(PLAIN, count) for count in (1, 2))
    assert ribs_words(PLAIN, one) == "an inner rib of 12 mm, at 425 mm, bays of at most 404 mm"
    assert ribs_words(PLAIN, two) == "2 inner ribs of 12 mm, bays of at most 265 mm"
    assert ribs_words(one, with_more_ribs(one, 1)) == "one more inner rib of 12 mm, bays of at most 404 mm"
    assert ribs_words(one, with_more_ribs(one, 2)) == "2 more inner ribs of 12 mm, bays of at most 196 mm"


def test_more_ribs_part_the_widest_bay_first():
    more = with_more_ribs(RIBBED, 2)
    assert len(more.inside.ribs) == 4 and more.inside.zones == ZONES
    widths = sorted(bay.length for bay in more.bays)
    assert widths[-1] == pytest.approx(0.184, rel=1e-9)  # of 234, 184, 325 mm the widest and the next are parted
    assert with_more_ribs(PLAIN.replace(span=0.1), 5) is None


def test_the_table_of_checks_says_what_ribs_do():
    check = with_mends(evaluate(HEAVY)).check("oil_canning")
    assert "inner ribs of 12 mm, bays of at most" in check.advice
