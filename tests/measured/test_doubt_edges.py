"""Every width of the rules of doubt from both sides and both signs: what just passes, what is just doubted."""

from dataclasses import replace
from pathlib import Path

import pytest

from panelmech import Design
from panelmech.measured.plausible import doubts
from panelmech.measured.readings import KINDS, Readings, Row, read_readings

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN = Design.load(STUDIES / "leeboard.json")
DEMO = read_readings(STUDIES / "leeboard_readings.csv")
# without the bench tests of the modulus, which take long and are doubted by a rule of their own
PART = Readings(r for r in DEMO.rows if r.kind.group not in ("three-point", "droop", "opened"))
MM = 1e-3


def doubted(name, values, sheet="A", places=None, base=PART):
    """(kind, sheet, rows) of every doubt with these values [in mm, or kg/m3, N] instead of those of one kind."""
    rows, scale = base.of(name, sheet), MM if KINDS[name].unit == "mm" else 1.0
    like = rows[0] if rows else Row(sheet, name, values[0] * scale)
    places = [like.place] * len(values) if places is None else [p * MM for p in places]
    made = [replace(like, value=v * scale, place=p) for v, p in zip(values, places, strict=True)]
    return [(d.measured, d.sheet, d.rows) for d in doubts(base.replaced(name, sheet, made), DESIGN)]


# kind: what passes, what is doubted, all readings of the kind alike
EDGES = {
    # 2 mm, and twice the tolerance of the catalogue, 0.2175 mm, on either side
    "thickness": ((1.566, 2.434), (1.564, 2.436), 6),
    "three-point thickness": ((1.566, 2.434), (1.564, 2.436), 1),
    "droop thickness": ((1.566, 2.434), (1.564, 2.436), 1),
    "droop density": ((912.5, 2737.5), (912.0, 2738.0), 1),  # half of 1825 kg/m3 off, itself allowed
    "bow base": ((60.0, 480.0), (59.9, 480.1), 1),  # a quarter and twice 240 mm
    "twist": ((12.0, -12.0), (12.1, -12.1), 1),  # a twentieth of 240 mm
}


@pytest.mark.parametrize("name", EDGES)
def test_alike_readings_on_both_sides_of_a_width(name):
    passes, found, count = EDGES[name]
    bare = name not in ("thickness", "bow base", "twist")
    base = Readings(r for r in PART.rows if r.measured in ("thickness",)) if bare else PART
    for value in passes:
        assert doubted(name, [value] * count, base=base) == []
    for value in found:
        assert doubted(name, [value] * count, base=base) == [(name, "A", tuple(range(count)))]


def test_a_sheet_without_a_tolerance_may_be_a_quarter_off():
    design = DESIGN.replace(sheet=replace(DESIGN.sheet, thickness_tolerance=None))
    for value, count in ((1.51, 0), (2.49, 0), (1.49, 1), (2.51, 1)):
        rows = [replace(r, value=value * MM) for r in PART.of("thickness", "A")]
        assert len(doubts(PART.replaced("thickness", "A", rows), design)) == count


@pytest.mark.parametrize(("places", "count"), [((0.0, 867.0), 0), ((0.0, 867.1), 1)])
def test_places_count_up_to_a_fiftieth_beyond_the_end(places, count):
    found = doubted("thickness", [2.0, 2.0, 2.0, 2.0, 2.0, 2.0], places=[50.0, 100.0, 200.0, 300.0, *places])
    assert found == [("thickness", "A", (5,))] * count


@pytest.mark.parametrize(("place", "rows"), [(229.2, []), (229.4, [("offset", "A", (7,))])])
def test_offsets_count_up_to_a_fiftieth_beyond_the_front_edge(place, rows):
    """The chord in front of the land is 224.82 mm long; a fiftieth more is 229.31 mm."""
    values = [2.3, 3.0, 4.1, 5.1, 6.7, 8.3, 10.0, 11.4]
    assert doubted("offset", values, places=[20, 50, 80, 110, 140, 170, 200, place]) == rows


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_bow_up_to_a_twentieth_of_its_base(sign):
    both = PART.replaced("bow, marked face down", "A", [Row("A", "bow, marked face down", -sign * 11.9 * MM)])
    assert doubted("bow, marked face up", [sign * 11.9], base=both) == []
    assert doubted("bow, marked face up", [sign * 12.1], base=both) == [("bow, marked face up", "A", (0,))]


@pytest.mark.parametrize("larger", ["up", "down"])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_half_the_sum_of_both_bows_is_no_more_than_the_sag(larger, sign):
    """5 q L^4 / (384 EI) with q = 1825 x 9.80665 x 0.002 = 35.794 N/m2, L = 0.24 m, EI = 18.616e9 x 8e-9/12 = 12.411:
    0.1246 mm. Three times that and the step of 0.1 mm, and 0.3 mm more: 0.974 mm. The larger of the two is doubted."""
    names = [f"bow, marked face {way}" for way in ("up", "down")]
    names = names if larger == "up" else names[::-1]
    for sum_of_both, found in ((1.946, []), (1.950, [(names[0], "A", (0,))])):
        other = replace(PART.of(names[1], "A")[0], value=-sign * 1.0 * MM)
        base = PART.replaced(names[1], "A", [other])
        assert doubted(names[0], [sign * (1.0 + sum_of_both)], base=base) == found


def test_the_part_as_built_may_be_half_off():
    """23.527 mm is predicted: 11.763 to 35.290 mm."""
    for value, found in ((11.8, 0), (35.2, 0), (11.7, 3), (35.4, 3)):
        assert doubted("as-built thickness", [value] * 3, "pair") == (
            [("as-built thickness", "pair", (0, 1, 2))] if found else []
        )


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_two_repeats_up_to_a_tenth_apart(sign):
    """3.5 times 2 % of their middle, times the square root of a half: 4.95 % from the middle either way."""
    for off, found in ((0.0494, []), (0.0496, [("bow base", "A", (0, 1))])):
        assert doubted("bow base", [240.0 * (1 + sign * off), 240.0 * (1 - sign * off)]) == found


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_repeats_unlike_the_others(sign):
    """Alike ones leave the floor: 3.5 x 2 % of 240 mm is 16.8 mm. Scattered ones their own width: the median of the
    distances 0, 5, 5, 10, 10, 15 and the odd one's is 10 mm, so 3.5 x 1.4826 x 10 mm is 51.9 mm."""
    for off, found in ((16.7, []), (16.9, [("bow base", "A", (3,))])):
        assert doubted("bow base", [240.0, 240.0, 240.0, 240.0 + sign * off]) == found
    for off, found in ((51.8, []), (52.0, [("bow base", "A", (6,))])):
        values = [240.0 + sign * v for v in (0.0, 5.0, -5.0, 10.0, -10.0, -15.0, off)]
        assert doubted("bow base", values) == found


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_near_zero_two_tenths_of_a_millimetre_are_the_floor(sign):
    """3.5 x 0.2 mm from the others; of two, 0.495 mm from their middle."""
    for off, found in ((0.69, []), (0.71, [("twist", "A", (3,))])):
        assert doubted("twist", [0.0, 0.0, 0.0, sign * off]) == found
    for off, found in ((0.49, []), (0.50, [("twist", "A", (0, 1))])):
        assert doubted("twist", [sign * off, -sign * off]) == found


@pytest.mark.parametrize(("force", "found"), [(14.6, 0), (15.1, 1), (1.67, 0), (1.61, 1)])
def test_a_modulus_up_to_three_times_or_a_third_of_the_catalogue(force, found):
    """4.9 N is 18.4 GPa beside 18.616 (0.99 times): 14.6 N is 2.95 and 15.1 N 3.05 times it, 1.67 N 1/2.97, 1.61 N
    1/3.08."""
    bench = Readings(r for r in DEMO.rows if r.measured == "thickness" or r.kind.group == "three-point")
    rows = [replace(bench.of("three-point force", "A")[0], value=force)]
    told = doubts(bench.replaced("three-point force", "A", rows), DESIGN)
    assert len(told) == found and all(f"that of {DESIGN.sheet.name} in the catalogue" in d.words for d in told)


@pytest.mark.filterwarnings("error")
def test_one_face_alone_says_nothing_of_the_sag():
    """Of a bow read with one face up only there is no mean of the other."""
    assert doubts(Readings(r for r in DEMO.rows if r.measured != "bow, marked face down"), DESIGN) == ()
