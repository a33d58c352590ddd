"""Lines without a verdict below the checks of a part under its loads."""

from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.loads.load_study import RodAlone
from panelmech.loads.notes import case_notes, rod_lines


def rod_notes(share, tips):
    rod = RodAlone(share, 2e6, 8e6, np.array(tips))
    return {note.key: note for note in rod_lines(SimpleNamespace(rod_alone=rod))}


def test_what_the_rod_bears_by_the_worst_case():
    """Of the cases the rod alone gives way most in, of which one bends neither; three figures of each share."""
    notes = rod_notes((0.2134567, 0.3345678), [3.0, np.nan, 4.5])
    share, stress, tip = (notes[key] for key in ("rod_share", "rod_alone_stress", "rod_alone_deflection"))
    assert share.value == 0.3345678 and "from 21.3 % to 33.5 % along the span" in share.advice
    assert stress.value == 8e6 and "2.00 MPa in the blade" in stress.advice
    assert tip.value == 4.5
    assert all(note.verdict == "note" for note in notes.values())


def test_where_nothing_bends_the_rod_alone_is_not_compared():
    assert np.isnan(rod_notes((0.2, 0.3), [np.nan])["rod_alone_deflection"].value)


@pytest.mark.parametrize("angle", [0.7, -0.7])
def test_a_stalled_blade_is_told_to_either_side(angle):
    """By the size of its angle against that of stall, of its case alone."""
    details = {"stalled": True, "angle": angle, "stall_angle": 0.5}
    cases = [
        SimpleNamespace(name="calm", source="", details={"stalled": False, "angle": 0.1, "stall_angle": 0.5}),
        SimpleNamespace(name="broach", source="somebody", details=details),
        SimpleNamespace(name="push", source="", details={}),
    ]
    (note,) = case_notes(SimpleNamespace(cases=cases))
    assert (note.value, note.limit, note.verdict, note.case) == (0.7, 0.5, "note", "broach")
    assert note.name.endswith(": broach")
