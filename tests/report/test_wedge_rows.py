"""Both sides of the bent pair against the flat wedge, and where the bent pair draws level."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import evaluate
from panelmech.report.published import Answer, bend_answers, note_answers, published_text, section_answers
from panelmech.report.wedge_rows import both_sides, full_comparison, level_words
from panelmech.study.wedge_comparison import overtaking
from panelmech.study.wedge_levels import LEVELLED, drawing_level


def study_of(**changes):
    return evaluate(LEEBOARD.replace(**changes), local=False)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"spacer_diameter": 0.03},
        {"sheet_thickness": 5e-4},
        {"spacer_diameter": 0.005},
        {"setback": 0.02, "bond_line": 1e-3},
        {"free_length": 0.12, "spacer_diameter": 0.012},
    ],
)
def test_drawing_level_agrees_with_root_finding(changes):
    study = study_of(**changes)
    for measure, spacer in drawing_level(study).items():
        assert spacer == pytest.approx(overtaking(study.design, measure), rel=1e-4)


def test_drawing_level_has_the_known_limit_for_thin_sheets_and_small_openings():
    study = study_of(
        free_length=1.0, sheet_thickness=5e-5, bond_line=0.0, spacer_diameter=0.01, setback=-0.00499, spacer_wall=0.0
    )
    level = drawing_level(study)
    # (33/140)/(1/3) and 9/16 of the wedge's, growing with the square; the opening of 1 % moves them by some 1e-3
    assert level["i_chord"] / 0.01 == pytest.approx((140 / 99) ** 0.5, rel=3e-3)
    assert level["torsion_constant"] / 0.01 == pytest.approx(4 / 3, rel=3e-3)


def test_drawing_level_says_so_where_no_spacer_is_enough():
    study = study_of(spacer_diameter=0.09)
    level = drawing_level(study)
    assert np.isnan(level["torsion_constant"])
    assert "no spacer these sheets take" in level_words(study, level)[LEVELLED.index("torsion_constant")]


def test_rows_take_their_side_from_their_ratio():
    sides = {row.key: row for row in both_sides(study_of())}
    assert sides["i_chord"].side == "softer" and sides["curve_moment"].side == "stiffer"
    assert sides["i_normal"].side == "the same"
    for row in sides.values():
        assert row.ratio == pytest.approx(row.bent / row.flat, rel=1e-12)
    flared = {row.key: row.side for row in both_sides(study_of(free_length=0.1, spacer_diameter=0.016, setback=0.05))}
    assert flared["chord_stiffness"] == "stiffer"  # a strongly bent, flared pair overtakes


def test_without_a_wedge_nothing_is_claimed():
    study = study_of(spacer_diameter=0.0534, setback=-0.03)
    assert {row.side for row in both_sides(study) if row.key != "curve_moment"} == {"unknown"}
    full = full_comparison(study)
    assert full.why[0]


def test_published_constants_are_met_and_gaps_have_a_reason():
    study = study_of()
    gauss, lemniscate, force, moment = bend_answers(study)
    assert gauss.gap_text() == lemniscate.gap_text() == "none"  # 1e-9 relative
    assert 0 < abs(force.gap) < 0.01 and 0 < abs(moment.gap) < 0.01  # small opening: the beam table is close
    assert [a.gap_text() for a in note_answers(study)] == ["none"]
    thin = section_answers(study)[:3]
    assert max(abs(a.gap) for a in thin) < 3e-3  # an opening of 1 % of the free length
    assert all(a.reason and a.source for a in (*bend_answers(study), *section_answers(study), *note_answers(study)))


def test_own_cross_checks_stand_apart_from_what_is_published():
    """What compares ours with ours is never under the heading "published"."""
    answers = (Answer("a", 1.0, 1.0, "none", "book"), Answer("b", 2.0, 2.0, "none", "here", own=True))
    words = published_text(answers)
    first, second = words.index("published"), words.index("Own cross-checks")
    assert first < words.index("a  ") < second < words.index("b  ") and "other road" in words
    assert "published" not in published_text(answers[1:]) and "Own cross-checks" not in published_text(answers[:1])
    assert all(answer.own for answer in note_answers(study_of()))
