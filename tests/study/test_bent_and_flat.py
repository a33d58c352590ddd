"""Bent and flat sheets of a design pressed in one model."""

import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import InfeasibleBend
from panelmech.materials import catalogue
from panelmech.mechanics import press_large
from panelmech.mechanics.shell_model import even_pressure
from panelmech.study import Inside, Rib
from panelmech.study.bent_and_flat import SHEETS, WAYS, sheet_curves
from panelmech.study.framed_sheet import IN_PLANE, bent_sheet, sheet_compliance, wedge_local, wedge_sheet


def test_every_sheet_is_pressed_at_the_pressure_of_the_design():
    curves = sheet_curves(DESIGN)
    assert curves.working == DESIGN.pressure and curves.most >= 1.5 * curves.working and not curves.why
    assert set(curves.sheets) == {(name, edges) for name in SHEETS for edges in IN_PLANE}
    for (name, _), pressed in curves.sheets.items():
        assert (pressed.exponents is None) == (pressed.inward.working.exponents is None) == (name != "bent")
    signs = dict(zip(WAYS, (1.0, -1.0), strict=True))
    for edges in IN_PLANE:
        bent = bent_sheet(DESIGN, edges)
        for way, sign in signs.items():
            load = even_pressure(sign * DESIGN.pressure)
            for name, sheet in (("bent", bent), ("flat", bent.flat())):
                wanted = abs(press_large(sheet, load).largest_deflection)
                assert curves.deflection(name, edges, way) == pytest.approx(wanted, rel=1e-7)  # Newton's method
    wedge = wedge_sheet(DESIGN)
    held = wedge.with_edges(wedge.edges.with_in_plane("held"))
    for edges, sheet in (("free", wedge), ("held", held)):
        wanted = abs(press_large(sheet, even_pressure(DESIGN.pressure)).largest_deflection)
        assert curves.deflection("wedge", edges, "inward") == pytest.approx(wanted, rel=1e-7)


def test_the_linear_numbers_are_those_of_the_linear_comparison():
    curves, linear = sheet_curves(DESIGN), wedge_local(DESIGN, keys=("press_free",))["press_free"]
    # the two models take other degrees
    assert curves.linear("wedge", "held") == pytest.approx(DESIGN.pressure / linear, rel=1e-4)
    assert curves.linear("wedge", "free") == curves.linear("wedge", "held")  # a flat sheet, by the linear theory
    assert curves.linear_ratio("flat", "free") == curves.linear("flat", "free") / curves.linear("bent", "free")
    assert curves.ratio("wedge", "held", "inward") == pytest.approx(
        curves.deflection("wedge", "held", "inward") / curves.deflection("bent", "held", "inward")
    )


def test_a_bent_sheet_with_held_edges_has_less_stiffness_outward_than_inward():
    """Towards its centre of curvature its arch flattens; and what a flat sheet has more of depends on the pressure."""
    curves = sheet_curves(DESIGN)
    assert curves.ratio("wedge", "held", "outward") < 1.0 < curves.ratio("wedge", "held", "inward")
    assert sheet_curves(DESIGN, 500.0).ratio("wedge", "held", "outward") > 1.0
    small = sheet_curves(DESIGN, 1.0)
    # a pressure of 1 Pa deflects by some 1e-3 of the thickness
    assert small.ratio("wedge", "held", "outward") == pytest.approx(small.linear_ratio("wedge", "held"), rel=5e-3)


def test_small_pressures_are_seen_up_to_where_a_sheet_bends_by_its_thickness():
    small = sheet_curves(DESIGN, 1.0)
    flat = small.sheets["flat", "free"]
    assert small.most * flat.per_pressure == pytest.approx(DESIGN.sheet_thickness, rel=1e-4)
    assert small.working < small.most == sheet_curves(DESIGN, 0.0).most
    none = sheet_curves(DESIGN, 0.0)
    assert none.sheets["bent", "held"].outward.working is None
    assert none.deflection("bent", "held", "outward") != none.deflection("bent", "held", "outward")  # nan


def test_of_several_bays_the_widest_counts():
    ribbed = DESIGN.replace(inside=Inside(ribs=(Rib(0.3, 0.02),)))
    widest = max(bay.length for bay in ribbed.bays)
    curves = sheet_curves(ribbed)
    assert all(pressed.sheet.width == pytest.approx(widest) for pressed in curves.sheets.values())
    assert curves.linear("bent", "free") <= DESIGN.pressure * sheet_compliance(DESIGN) * (1 + 1e-3)


def test_what_is_missing_says_why():
    no_wedge = sheet_curves(DESIGN.replace(spacer_diameter=0.0534, setback=-0.03))
    assert "cannot touch this rod" in no_wedge.why and ("wedge", "free") not in no_wedge.sheets
    assert no_wedge.ratio("wedge", "free", "inward") != no_wedge.ratio("wedge", "free", "inward")  # nan
    ply = catalogue["birch plywood, face grain along chord"]  # in a thickness nobody has measured
    unknown = sheet_curves(DESIGN.replace(sheet=ply, sheet_thickness=2e-3))
    assert not unknown.sheets and "not known" in unknown.why
    with pytest.raises(InfeasibleBend):
        sheet_curves(DESIGN.replace(spacer_diameter=0.2))


@pytest.mark.parametrize("pressure", [-1.0, 1e8, float("nan"), "2"])
def test_a_pressure_that_no_design_may_state_is_refused(pressure):
    with pytest.raises(ValueError, match="working pressure"):
        sheet_curves(DESIGN, pressure)
