"""How deep a lift is poured by each choice, and from how many lifts on a resin is not for potting."""

from types import SimpleNamespace

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.shop.agree import pouring_systems
from panelmech.shop.along_span import along_span
from panelmech.shop.choices import ShopChoices
from panelmech.shop.heat import loss_between_sheets
from panelmech.shop.lifts import MOST_LIFTS, _chosen, _depths, _pour, _refuse_too_many
from panelmech.shop.pours import nose_depth

CHOICES = ShopChoices()


def deepest(by_heat, sheet=0.02):
    least = by_heat if sheet is None else min(by_heat, sheet)
    return SimpleNamespace(depth=by_heat, recommended=least, limit=333.15, note="it boils")


def with_sheet(depth):
    return CHOICES.replace(pour=CHOICES.pour.with_own("thick", lift_depth=depth))


@pytest.mark.parametrize(
    ("by_heat", "follows"),
    [(0.03, "the data sheet, the lesser"), (0.02, "the data sheet, the lesser"), (0.01, "the heat, the lesser")],
)
def test_the_lesser_of_data_sheet_and_heat(by_heat, follows):
    """Of two alike the data sheet, which somebody vouches for."""
    assert _chosen(with_sheet(0.02), deepest(by_heat)) == (min(by_heat, 0.02), follows)


def test_without_a_data_sheets_depth_the_heat_alone_or_ones_own():
    assert _chosen(with_sheet(None), deepest(0.01, None)) == (0.01, "the heat alone")
    for choice, words in (("heat", (0.01, "the heat, as chosen")), ("own", (0.007, "your own choice"))):
        choices = with_sheet(None).replace(lift_choice=choice, own_lift=0.007)
        assert _chosen(choices, deepest(0.01, None)) == words
    with pytest.raises(ValueError, match="deepest pour is not known: choose the lift by heat, or an own depth"):
        _chosen(with_sheet(None).replace(lift_choice="data sheet"), deepest(0.01, None))
    assert _chosen(with_sheet(0.02).replace(lift_choice="data sheet"), deepest(0.01))[0] == 0.02


def test_no_lift_stays_below_the_limit():
    for choice in ("heat", "lesser of both"):
        with pytest.raises(ValueError, match="no lift stays at or below 60.0 °C: it boils; take a slower resin"):
            _chosen(with_sheet(0.02).replace(lift_choice=choice), deepest(np.nan))
    assert _chosen(with_sheet(0.02).replace(lift_choice="own", own_lift=0.005), deepest(np.nan))[0] == 0.005


def refused(depths, lift, choices=CHOICES):
    try:
        _refuse_too_many(choices, depths, lift, "the heat alone")
    except ValueError as error:
        return str(error)
    return None


def test_as_many_lifts_as_are_sensible_and_one_more():
    """Ten lifts of 2 mm are 20 mm; the deepest of all that is poured counts."""
    assert MOST_LIFTS == 10 and refused({"nose": 0.02, "closing frames": 0.01}, 0.002) is None
    told = refused({"nose": 0.0201, "closing frames": 0.01}, 0.002)
    assert "in lifts of 2.0 mm, by the heat alone, the nose takes 11 pours, and more than 10 are not sensible" in told
    assert "the closing frames takes 15 pours" in refused({"nose": 0.02, "closing frames": 0.03}, 0.002)


def test_others_are_named_whose_data_sheets_allow_it():
    """Those of 6 mm take ten lifts up to 60 mm, those of 20 mm up to 200 mm; not the one that is chosen."""
    known = {system.name: system for system in pouring_systems()}
    for name in known:
        choices = CHOICES.replace(pour=known[name])
        for depth in (0.06, 0.0601, 0.2, 0.2001):
            can = [s.name for s in known.values() if s.lift_depth and 10.0 * s.lift_depth >= depth and s.name != name]
            told = refused({"nose": depth}, 0.002, choices)
            assert told.endswith("sheets: " + ", ".join(can) if can else "make the part less deep")


def test_what_is_poured_in_lifts():
    part = along_span(LEEBOARD)
    assert _depths(part, CHOICES.replace(dam_inset=0.0)) == pytest.approx(
        {"nose": nose_depth(LEEBOARD.bend()), "closing frames": LEEBOARD.frame_width}
    )
    inset = CHOICES.replace(dam_inset=0.012, front_in_frames=True)
    assert _depths(part, inset)["front of the frames"] == 0.012
    assert "front of the frames" not in _depths(part, inset.replace(front_in_frames=False))
    bare = along_span(LEEBOARD.replace(frame_width=0.0))
    assert list(_depths(bare, CHOICES)) == ["nose"]


@pytest.mark.parametrize(("mouth", "radius", "gap"), [(0.02, 0.0095, 0.02), (0.018, 0.01, 0.02)])
def test_the_gap_is_as_wide_as_mouth_or_rod(mouth, radius, gap):
    bend = SimpleNamespace(mouth=mouth, spacer_radius=radius, sheet_thickness=0.003)
    part = SimpleNamespace(span=1.0, extremes=lambda low, high, of: (0.0, of(bend)), bend_at=lambda z: bend)
    loss = loss_between_sheets(gap, 0.003, CHOICES.sheet_conductivity)
    assert _pour(part, CHOICES).side_loss == pytest.approx(loss, rel=1e-12)
