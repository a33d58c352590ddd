"""Doubts about readings: each rule finds what it is for and leaves the rest alone; what is doubted does not count."""

from dataclasses import replace
from pathlib import Path

import honest
import pytest
from day_and_night import by_day

from panelmech import Design, catalogue
from panelmech.measured.pair import judge_pair
from panelmech.measured.plausible import doubts, examine
from panelmech.measured.readings import KINDS, NotSureYet, Readings, Row, read_readings
from panelmech.measured.typed import as_typed, rows_from_text
from panelmech.report.pair_rows import verdict_words
from panelmech.units import show_input

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN = Design.load(STUDIES / "leeboard.json")
DEMO = read_readings(STUDIES / "leeboard_readings.csv")
DESIGNS = (
    DESIGN,
    DESIGN.replace(
        sheet=catalogue["birch plywood, face grain along chord"],
        sheet_thickness=3.6e-3,
        free_length=0.5,
        spacer_diameter=0.02,
    ),
    DESIGN.replace(sheet=catalogue["acrylic, cast"], sheet_thickness=3e-3, free_length=0.4, spacer_diameter=0.02),
    DESIGN.replace(sheet=catalogue["aluminium 6061-T6"], sheet_thickness=1e-3),
)
SLIPS = (10.0, 0.1, 25.4, 1.0 / 25.4)
# what nothing else tells of, and what changes next to nothing: see the module
NOT_FOUND = ("twist", "three-point support radius", "bow, marked face up", "bow, marked face down")


def typed(name, sheet, values, where=None):
    """The demo with other readings of one kind, places and step kept."""
    rows = DEMO.of(name, sheet)
    _, places, step = as_typed(rows)
    return DEMO.replaced(
        name, sheet, rows_from_text(name, sheet, values, places if where is None else where, step, rows)
    )


def slipped(name, sheet, factor, only=None):
    """The demo with readings of one kind, or only one of them, a factor off; None where no field takes that."""
    try:
        rows = [
            replace(r, value=r.value * factor) if only in (None, i) else r for i, r in enumerate(DEMO.of(name, sheet))
        ]
    except ValueError:
        return None
    return DEMO.replaced(name, sheet, rows)


def test_the_worked_example_leaves_no_doubt():
    assert doubts(DEMO, DESIGN) == () and examine(DEMO, DESIGN).counted is DEMO


# rule: readings, where the doubt stands, its words, what may be meant in the unit of the field
FOUND = {
    "decimal point": (
        typed("thickness", "A", "20.6 2.05 2.04 2.03 2.03 2.02"),
        ("thickness", "A", (0,)),
        "20.6 mm for a sheet of 2 mm: do you mean 2.06 mm?",
    ),
    "inch": (
        typed("thickness", "B", "1.96 1.97 50.0 1.97 1.98 1.98"),
        ("thickness", "B", (2,)),
        "50 mm for a sheet of 2 mm: do you mean 1.969 mm?",
    ),
    "another sheet": (
        typed("thickness", "B", "1.96 1.97 2.6 1.97 1.98 1.98"),
        ("thickness", "B", (2,)),
        "2.6 mm for a sheet of 2 mm: is that right?",
    ),
    "strip": (
        typed("droop thickness", "A", "20.4 2.03"),
        ("droop thickness", "A", (0,)),
        "20.4 mm for a sheet of 2 mm: do you mean 2.04 mm?",
    ),
    "density": (
        typed("droop density", "B", "185"),
        ("droop density", "B", (0,)),
        "1825 kg/m³ in the catalogue: do you mean 1850 kg/m³?",
    ),
    "place": (
        typed("thickness", "A", "2.06 2.05 2.04 2.03 2.03 2.02", "50 200 350 500 650 8000"),
        ("thickness", "A", (5,)),
        "2.02 mm at 8000 mm, while the part is 850 mm long along the span: is that right?",
    ),
    "place of an offset": (
        typed("offset", "B", "2.4 2.9 4 5.4 6.9 8.7 10.5 11.8", "20 50 80 110 140 170 200 240"),
        ("offset", "B", (7,)),
        "from the land end to its front edge",
    ),
    "offset": (
        typed("offset", "A", "23 3 4.1 5.1 6.7 8.3 10 11.3"),
        ("offset", "A", (0,)),
        "23 mm, far from the bent shape there: do you mean 2.3 mm?",
    ),
    "as built": (
        typed("as-built thickness", "pair", "23.7 236 23.5"),
        ("as-built thickness", "pair", (1,)),
        "236 mm where 23.5 mm is predicted: do you mean 23.6 mm?",
    ),
    "base": (typed("bow base", "A", "24"), ("bow base", "A", (0,)), "do you mean 240 mm?"),
    "bow turned over": (
        typed("bow, marked face up", "A", "4"),
        ("bow, marked face up", "A", (0,)),
        "4 mm, while the other face has −0.6 mm, and a bow turned over changes its sign: do you mean 0.4 mm?",
    ),
    "more bow than any": (typed("twist", "A", "30"), ("twist", "A", (0,)), "more than any flat sheet has"),
    "repeats": (
        typed("three-point deflection", "A", "2.04 2.03 2.40 2.05"),
        ("three-point deflection", "A", (2,)),
        "2.4 mm, unlike the others, about 2.04 mm: is that right?",
    ),
    "two repeats": (
        typed("three-point deflection", "A", "2.04 2.40"),
        ("three-point deflection", "A", (0, 1)),
        "unlike the other, 16 % apart",
    ),
    "modulus": (
        typed("three-point force", "A", "49"),
        ("three-point force", "A", (0,)),
        "49 N, and so a modulus of 184 GPa, 9.9 times that of glass-epoxy laminate, lengthwise in the catalogue: do "
        "you mean 4.9 N? Or look at: deflection under it, width of the strip.",
    ),
    "no modulus of any sheet": (
        typed("droop overhang", "B", "5000"),
        ("droop overhang", "B", (0,)),
        "which no sheet has: do you mean 500 mm?",
    ),
    "no strip hangs so": (
        typed("droop", "A", "500 500"),
        ("droop", "A", (0, 1)),
        "500 mm, 500 mm, but a droop of 1 times the overhang tells nothing: do you mean 19.69 mm, 19.69 mm?",
    ),
    "opened": (
        typed("opening force", "pair", "310 315"),
        ("opening force", "pair", (0, 1)),
        "do you mean 31 N, 31.5 N?",
    ),
}


@pytest.mark.parametrize(("readings", "where", "words"), FOUND.values(), ids=FOUND)
def test_each_rule_finds_its_reading(readings, where, words):
    (found,) = doubts(readings, DESIGN)
    assert (found.measured, found.sheet, found.rows) == where and words in found.words
    unit = KINDS[found.measured].unit
    assert all(show_input(value, unit) in found.words for value in found.suggestion)
    assert found.line.startswith(KINDS[found.measured].label)


# as odd as may be without a doubt
LEFT_ALONE = {
    "thickness": typed("thickness", "A", "2.3 2.31 2.32 2.33 2.34 2.35"),
    "place": typed("thickness", "A", "2.06 2.05 2.04 2.03 2.03 2.02", "0 200 350 500 650 850"),
    "offset of a land that gives way": typed("offset", "A", "2.6 3.9 5.4 7 8.9 11 13 14.5"),
    "as built": typed("as-built thickness", "pair", "26 25 24"),
    "bow": typed("bow, marked face up", "A", "1.2"),
    "base before cutting": typed("bow base", "A", "400"),
    "repeats": typed("droop", "A", "20 21.5 21.5"),
    "two repeats": typed("droop", "A", "20 21.5"),
    "density": typed("droop density", "A", "1400"),
    "modulus": typed("three-point force", "A", "9.8"),
}


@pytest.mark.parametrize("readings", LEFT_ALONE.values(), ids=LEFT_ALONE)
def test_no_rule_doubts_what_may_be(readings):
    assert doubts(readings, DESIGN) == ()


@pytest.mark.slow
@by_day(
    "name",
    [name for name in KINDS if name not in NOT_FOUND],
    "thickness",
    "droop",
    "three-point deflection",
    "three-point force",
    "offset",
)
def test_every_slip_is_found_at_its_field_and_what_was_meant_is_suggested(name):
    """A decimal point or an inch wrong in all readings of a kind, or in the first alone."""
    for sheet in KINDS[name].on:
        rows = DEMO.of(name, sheet)
        for factor in SLIPS:
            for only in (None, 0) if len(rows) > 1 and factor > 1.0 else (None,):
                readings = slipped(name, sheet, factor, only) if rows else None
                if readings is None:  # none in the demo, or no field takes it
                    continue
                (found,) = doubts(readings, DESIGN)
                assert (found.measured, found.sheet) == (name, sheet), (factor, found.line)
                for i, value in zip(found.rows, found.suggestion, strict=True):
                    assert value == pytest.approx(rows[i].value, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("design", DESIGNS, ids=lambda design: design.sheet.name)
def test_slips_of_thickness_are_found_in_every_honest_set(design):
    for seed in range(12):
        readings = honest.honest(design, seed, tests=False)
        for sheet in "AB":
            rows = readings.of("thickness", sheet)
            for factor in SLIPS:
                wrong = [_slip(row, factor) if i == seed % len(rows) else row for i, row in enumerate(rows)]
                found = [d for d in doubts(readings.replaced("thickness", sheet, wrong), design) if d.sheet == sheet]
                assert found[0].measured == "thickness" and found[0].rows == (seed % len(rows),)


def _slip(row, factor):
    """A row a factor off; beside the table's range where there is no such row."""
    try:
        return replace(row, value=row.value * factor)
    except ValueError:
        return replace(row, value=min(max(row.value * factor, 0.1e-3), 60e-3))


@pytest.mark.slow
@by_day(("count", "tested"), [(25, 1), (250, 5)], (25, 1))
def test_honest_readings_are_hardly_ever_doubted(count, tested):
    """Of 1,000 honest sets without bench tests, and 20 with them, less than one in a hundred leaves a doubt.

    (Of 1,000 sets with the bench tests, four designs, none did.)
    """
    false = sum(
        bool(doubts(honest.honest(d, 1000 * k + i, False), d)) for k, d in enumerate(DESIGNS) for i in range(count)
    )
    assert false <= 0.01 * count * len(DESIGNS)
    assert not any(doubts(honest.honest(d, i), d) for d in DESIGNS for i in range(tested))


# ----- what a doubt does -----


def test_what_is_in_doubt_does_not_count_and_the_verdict_is_not_sure_yet():
    odd = typed("three-point force", "A", "49")
    report, without = (judge_pair(DESIGN, r, 0.5e-3) for r in (odd, DEMO.replaced("three-point force", "A", ())))
    assert report.verdict == "unsure" and report.camber == without.camber
    assert report.given == odd and report.readings == without.readings
    words = verdict_words(report)
    assert (
        words.startswith("Force in the middle of sheet A (strip on two supports): 49 N, and so")
        and "in doubt is not counted" in words
    )


def test_too_few_without_what_is_in_doubt():
    odd = typed("thickness", "A", "20.6 2.05 2.04 2.03 2.03 2.02")
    with pytest.raises(
        NotSureYet, match="do you mean 2.06 mm. Without what is in doubt, sheet A: 5 thickness"
    ) as caught:
        judge_pair(DESIGN, odd, 0.5e-3)
    assert caught.value.doubts == doubts(odd, DESIGN)


def test_a_confirmed_reading_counts_however_odd_it_looks():
    odd = typed("three-point force", "A", "49")
    sure = odd.replaced("three-point force", "A", [r.confirm() for r in odd.of("three-point force", "A")])
    assert doubts(sure, DESIGN) == ()
    test = next(t for t in judge_pair(DESIGN, sure, 0.5e-3).tests if t.sheet == "A" and t.method == "three-point")
    assert test.result.value == pytest.approx(184e9, rel=0.01)
    hanging = typed("droop", "A", "600 600")
    hanging = hanging.replaced("droop", "A", [r.confirm() for r in hanging.of("droop", "A")])
    with pytest.raises(ValueError, match="sheet A, strip over an edge: a droop of 1.2 times"):
        judge_pair(DESIGN, hanging, 0.5e-3)


def test_only_what_is_not_confirmed_is_doubted():
    odd = typed("thickness", "A", "20.6 20.5 2.04 2.03 2.03 2.02")
    rows = odd.of("thickness", "A")
    (found,) = doubts(odd.replaced("thickness", "A", [rows[0].confirm(), *rows[1:]]), DESIGN)
    assert found.rows == (1,)


def test_equal_readings_are_told_apart_by_their_place_in_the_row():
    odd = typed("three-point deflection", "A", "20.4 20.4 2.04 2.03 2.05 2.04")
    seen = examine(odd, DESIGN)
    assert [d.rows for d in seen.doubts] == [(0, 1)]
    assert [r.value for r in seen.counted.of("three-point deflection", "A")] == [2.04e-3, 2.03e-3, 2.05e-3, 2.04e-3]


def test_a_table_not_complete_yet_is_seen_through_all_the_same():
    begun = Readings([Row("A", "thickness", 20.6e-3, 0.05), Row("A", "droop", 0.3), Row("A", "droop overhang", 0.3)])
    assert [d.measured for d in doubts(begun, DESIGN)] == ["thickness", "droop"]
    assert doubts(Readings(), DESIGN) == ()
