"""What may be stated, up to its very limit: the last value that is taken and the first that is refused."""

from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.blade.blade import Blade
from panelmech.loads.beam import Held
from panelmech.loads.cases import Planform, PointPush, SealedAir, Severe, SideForce, WaterHead, load_case
from panelmech.loads.hydrodynamics import crossflow_coefficient, effective_aspect_ratio, lift, lift_slope, span_share
from panelmech.loads.load_study import _large_deflection
from panelmech.loads.plan import MOST_STATIONS, Factor, LoadPlan, Own, Stock, along, stations
from panelmech.loads.steering import balancing_helm, steering_bias
from panelmech.materials.stock import catalogue
from panelmech.mechanics.span_curves import SAME_PLACE, with_step
from panelmech.mechanics.unequal import solve_unequal
from panelmech.study.design import Design

HAIR = 1e-9
RIGHT = 0.5 * np.pi
PUSH = PointPush("push", 1.0)
Z = np.linspace(0.0, 0.9, 10)


def side(**given):
    return SideForce(**{"name": "a", "speed": 1.0, "density": 1000.0, "angle": 0.1, **given})


def stock(**given):
    return Stock(**{"length": 0.4, "diameter": 0.03, "wall": 0.0, "modulus": 70e9, "poisson": 0.3, **given})


def bias(aspect_factor=1.0, speed=1.0, density=1000.0):
    design = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
    return steering_bias(design, solve_unequal(0.225, 2e-3, 2e-3, 14.0, 11.0, 15e-3), speed, density, aspect_factor)


# what is stated, the last values taken, the first refused
LIMITS = {
    "speed": (lambda v: side(speed=v), [0.0], [-HAIR]),
    "density": (lambda v: side(density=v), [HAIR], [0.0]),
    "angle": (lambda v: side(angle=v), [-RIGHT, RIGHT], [-RIGHT - HAIR, RIGHT + HAIR]),
    "dry part": (lambda v: side(immersed_from=v), [0.0], [-HAIR]),
    "cross-flow": (lambda v: side(tip=v), [0.0], [-HAIR]),
    "end plate": (lambda v: side(end_plate=v), [1.0, 2.0], [1.0 - HAIR, 2.0 + HAIR]),
    "centre": (lambda v: side(centre=v), [0.0, 1.0], [-HAIR, 1.0 + HAIR]),
    "share of the skin": (lambda v: side(skin_share=v), [0.0, 1.0], [-HAIR, 1.0 + HAIR]),
    "place": (lambda v: PointPush("p", 1.0, v), [0.0, 1.0], [-HAIR, 1.0 + HAIR]),
    "place on the chord": (lambda v: PointPush("p", 1.0, 1.0, v), [0.0, 1.0], [-HAIR, 1.0 + HAIR]),
    "sealed at": (lambda v: SealedAir("s", v, 300.0), [HAIR], [0.0]),
    "heated to": (lambda v: SealedAir("s", 300.0, v), [HAIR], [0.0]),
    "outside": (lambda v: SealedAir("s", 300.0, 310.0, v), [HAIR], [0.0]),
    "depth": (lambda v: WaterHead("w", v, 1000.0), [0.0], [-HAIR]),
    "density of standing water": (lambda v: WaterHead("w", 1.0, v), [0.0], [-HAIR]),
    "factor of a case": (lambda v: Severe("s", PUSH, v, "mine"), [0.0], [-HAIR]),
    "safety factor": (Factor, [1.0], [1.0 - HAIR]),
    "limit of one's own": (Own, [HAIR], [0.0]),
    "length of the stock": (lambda v: stock(length=v), [HAIR], [0.0]),
    "diameter of the stock": (lambda v: stock(diameter=v), [HAIR], [0.0]),
    "wall of the stock": (lambda v: stock(wall=v), [0.0, 0.015], [-HAIR, 0.015 + HAIR]),
    "modulus of the stock": (lambda v: stock(modulus=v), [HAIR], [0.0]),
    "poisson of the stock": (lambda v: stock(poisson=v), [0.0, 0.5 - HAIR], [-HAIR, 0.5]),
    "strength of the stock": (lambda v: stock(strength=v), [HAIR], [0.0]),
    "stations": (lambda v: LoadPlan((PUSH,), stations=v), [5, MOST_STATIONS], [4, MOST_STATIONS + 1]),
    "bearings apart": (lambda v: Held((0.1, v)), [0.1 + HAIR], [0.1]),
    "span": (lambda v: effective_aspect_ratio(v, 1.0), [HAIR], [0.0]),
    "area": (lambda v: effective_aspect_ratio(1.0, v), [HAIR], [0.0]),
    "end plate of a ratio": (lambda v: effective_aspect_ratio(1.0, 1.0, v), [1.0, 2.0], [1.0 - HAIR, 2.0 + HAIR]),
    "taper": (crossflow_coefficient, [0.0, 2.0], [-HAIR, 2.0 + HAIR]),
    "angle of a lift": (lambda v: lift(v, 2.0), [-RIGHT, RIGHT], [-RIGHT - HAIR, RIGHT + HAIR]),
    "cross-flow of a lift": (lambda v: lift(0.1, 2.0, v), [0.0], [-HAIR]),
    "aspect ratio of a lift": (lambda v: lift(0.1, v), [HAIR], [0.0]),
    "aspect ratio": (lift_slope, [HAIR], [0.0]),
    "speed of a steered blade": (lambda v: bias(speed=v), [0.0], [-HAIR]),
    "density about a steered blade": (lambda v: bias(density=v), [HAIR], [0.0]),
    "aspect factor": (bias, [0.01, 100.0], [0.01 - HAIR, 100.0 + HAIR]),
    "speed of a rudder": (lambda v: balancing_helm(1.0, v, 0.1, 1.0), [HAIR], [0.0]),
    "area of a rudder": (lambda v: balancing_helm(1.0, 1.0, v, 1.0), [HAIR], [0.0]),
    "aspect ratio of a rudder": (lambda v: balancing_helm(1.0, 1.0, 0.1, v), [HAIR], [0.0]),
    "density about a rudder": (lambda v: balancing_helm(1.0, 1.0, 0.1, 1.0, 1.0, v), [HAIR], [0.0]),
    "greatest chord": (lambda v: Planform(Z, np.append(np.zeros(9), v), 0.0, 0.0), [HAIR], [0.0, -HAIR]),
    "chord somewhere": (lambda v: Planform(Z, np.append(np.full(9, 0.1), v), 0.0, 0.0), [0.0], [-HAIR]),
    "dry up to": (lambda v: span_share(with_step(Z, v), 0.2, start=v), [0.0, Z[-2], Z[-1] - HAIR], [Z[-1]]),
}


@pytest.mark.parametrize(("make", "taken", "refused"), LIMITS.values(), ids=[name.replace(" ", "-") for name in LIMITS])
def test_the_last_value_taken_and_the_first_refused(make, taken, refused):
    for value in taken:
        assert make(value) is not None
    for value in refused:
        with pytest.raises(ValueError, match="give|move|must"):
            make(value)


@pytest.mark.parametrize("at", range(1, 9))
def test_a_water_line_that_stands_once_is_refused_wherever_it_is(at):
    with pytest.raises(ValueError, match="must stand twice"):
        span_share(Z, 0.2, start=Z[at])


def test_a_narrow_blade_is_a_blade():
    """Nothing hangs on the size: a chord a thousandth as wide takes a thousandth of the force."""
    wide, narrow = (load_case(side(angle=None, coefficient=0.5), Planform(Z, v, 0.0, 0.0)) for v in (0.2, 0.2e-3))
    assert narrow.side_force == pytest.approx(1e-3 * wide.side_force, rel=1e-12)
    assert narrow.pressure == pytest.approx(wide.pressure, rel=1e-12)


def test_a_place_that_is_a_station_but_for_rounding_is_that_station():
    """A hair before or behind each: the sections read are the same, as far as no step stands there."""
    design = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
    line = along(Blade(design, free_length=(0.225, 0.165)), LoadPlan((PUSH,), stations=9))
    for hair in (-5e-9, 0.0, 5e-9):
        assert line.at(line.position + hair * line.blade.span).tolist() == line.index.tolist()
    assert line.at(0.5 * (line.position[3:4] + line.position[4:5])).tolist() == [3]


@pytest.mark.parametrize("span", [0.3, 1.5])
def test_a_place_no_hair_before_a_station_is_read_before_it(span):
    """What counts as one place is a share of the span, of a short part as of a long one."""
    design = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3).replace(span=span)
    line = along(Blade(design), LoadPlan((PUSH,), stations=9))
    hair = SAME_PLACE * span
    assert line.at(line.position[1:] - 0.8 * hair).tolist() == line.index[1:].tolist()
    assert line.at(line.position[1:] - 1.2 * hair).tolist() == line.index[:-1].tolist()
    for apart, count in ((0.8, 1), (1.2, 2)):
        pushes = [PointPush(f"push {i}", 1.0, place=0.37 + i * apart * SAME_PLACE) for i in (0, 1)]
        single, _ = stations(Blade(design), LoadPlan(pushes, stations=9))
        assert np.count_nonzero(np.abs(single - 0.37 * span) < 2.0 * hair) == count


@pytest.mark.parametrize("wet", [1e-3, 0.05, 0.4])
def test_every_water_line_stands_twice(wet):
    """However close to the root; one at the root itself does not."""
    design = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
    cases = side(immersed_from=wet), side(name="deep")
    single, double = stations(Blade(design), LoadPlan(cases, stations=9))
    for place, times in ((wet, 2), (0.0, 1)):
        assert np.count_nonzero(double == place) == times and np.count_nonzero(single == place) == 1


@pytest.mark.parametrize(
    ("model", "slope"),
    [
        ("helmbold", 3.36266),  # 6 pi / (2 + sqrt(13))
        ("lifting line", 3.53429),  # 1 / (1/(1.8 pi) + 1/(3 pi)) = 1.125 pi
        ("whicker-fehlner", 3.13837),  # 0.9 x 6 pi / (sqrt(13) + 1.8)
    ],
)
def test_slopes_of_lift_at_three_in_plain_arithmetic(model, slope):
    assert lift_slope(3.0, model) == pytest.approx(slope, rel=2e-6)


def test_the_drag_of_a_tip_up_to_twice_the_root():
    assert crossflow_coefficient(2.0) == pytest.approx(3.3) and crossflow_coefficient(0.0) == pytest.approx(0.1)
    with pytest.raises(ValueError, match="taper"):
        crossflow_coefficient(2.01)


def test_a_tip_that_moves_by_a_tenth_of_the_span_is_still_a_small_deflection():
    """To either side; by more it is doubtful, and the note says of which case."""
    tips = np.array([[0.0, 0.1], [0.0, -0.1], [0.0, 0.1001], [0.0, -0.2]])
    cases = [PointPush(name, 1.0) for name in ("a", "b", "c", "d")]
    notes = _large_deflection(SimpleNamespace(span=1.0), cases, SimpleNamespace(deflection=tips))
    assert [note.split(" of the span")[0] for note in notes] == [
        "c: the tip moves by 10.0 %",
        "d: the tip moves by 20.0 %",
    ]
