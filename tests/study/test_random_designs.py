"""Random designs over all that is allowed, of the whole catalogue: every output is a number, or a code says why."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from panelmech.job import demo
from panelmech.materials.stock import catalogue
from panelmech.mechanics.bend import InfeasibleBend, solve_bend
from panelmech.study.design import LIMITS
from panelmech.study.quantities import Pick
from panelmech.study.sweeps import (
    CHUNK,
    OUTPUTS,
    REASONS,
    SPACER_IN_THE_LAND,
    UNKNOWNS,
    compute,
    load_sweep,
    sweep,
)
from panelmech.units import to_si

GEOMETRY = ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")
MUST_BE_POSITIVE = ("void_area", "bending_stiffness", "contact_force", "chord", "outer_thickness", "mass")


def random_designs(rng, size):
    """Inputs of many designs: within the sliders, or evenly by logarithm over what is allowed, each in turn."""
    arrays = {}
    for name, limit in LIMITS.items():
        low, high = limit.range
        near = [to_si(end, limit.unit) for end in (limit.slider_low, limit.slider_high)]
        far = np.exp(rng.uniform(np.log(max(low, 1e-6 * high)), np.log(high), size)) if low >= 0.0 else None
        arrays[name] = rng.uniform(*near, size) if far is None or rng.random() < 0.7 else far
    for name in ("sheet", "adhesive", "spacer", "resin"):
        records = tuple(getattr(catalogue, f"{name}s").values())
        arrays[name] = Pick(records, rng.integers(len(records), size=size))
    return arrays


def judged(designs, size):
    """How many can be made; asserts that each of their numbers is finite, or that a code says why it is not."""
    made, code = designs.made, designs.unknown_code
    assert np.all(code[~made] == 0) and np.all(designs.reason_code[~made] > 0)
    for name in OUTPUTS:
        values = np.broadcast_to(designs[name], size)
        assert np.all(np.isnan(values[~made])), name
        assert np.all(np.isfinite(values[made & (code == 0)])), name
        assert not np.any(np.isinf(values)), name
    for name in MUST_BE_POSITIVE:
        if name in OUTPUTS:
            assert not np.any(designs[name][made] < 0.0), name
    return np.count_nonzero(made)


def test_every_output_of_a_random_design_is_finite_or_coded():
    rng = np.random.default_rng(14)
    assert sum(judged(compute(demo().design, random_designs(rng, CHUNK), CHUNK), CHUNK) for _ in range(2)) > 2000


@pytest.mark.nightly
@pytest.mark.slow
def test_every_output_of_a_million_random_designs_is_finite_or_coded():
    rng = np.random.default_rng(141)
    chunks = -(-(10**6) // CHUNK)
    assert sum(judged(compute(demo().design, random_designs(rng, CHUNK), CHUNK), CHUNK) for _ in range(chunks)) > 3e5


PLYWOOD = "birch plywood, face grain along chord"  # measured at its stock thicknesses only


def test_what_is_not_known_is_coded_and_leaves_the_part_feasible(tmp_path):
    thicknesses = [0.003, 0.0064, 0.008]
    swept = sweep(
        demo().design, ("bending_stiffness", "void_area"), local=False, sheet_thickness=thicknesses, sheet=[PLYWOOD]
    )
    assert swept.feasible.all() and np.isfinite(swept["void_area"]).all()
    known = np.isfinite(swept["bending_stiffness"])
    assert known[:, 0].tolist() == [False, True, True]
    assert np.array_equal(swept.unknown_code & 1 == 0, known)
    assert swept.unknown(0, 0)[0] == UNKNOWNS["modulus"] and swept.reason(0, 0) == ""
    for name in ("map.npz", "map.csv"):
        swept.save(tmp_path / name)
        again = load_sweep(tmp_path / name, demo().design)
        assert np.array_equal(again.unknown_code, swept.unknown_code) and again.complete


def test_a_spacer_that_reaches_into_the_land_cannot_be_made():
    """Hand check: a rod of 20.2 mm between sheets 20 mm apart at the land, of which 28 mm are free behind a setback of
    10 mm: its front stands 18 mm from the land end, so its back would stand 2 mm in the land."""
    short = dict(bond_line=0.020, spacer_diameter=0.0202, free_length=0.028, setback=0.010, sheet_thickness=0.001)
    with pytest.raises(InfeasibleBend, match="reaches back into the land"):
        solve_bend(*(short[name] for name in GEOMETRY))
    design = demo().design.replace(spacer_wall=0.0)
    swept = sweep(
        design, local=False, free_length=[0.028, 0.05], **{k: [v] for k, v in short.items() if k != "free_length"}
    )
    assert swept.reason_code.ravel().tolist() == [SPACER_IN_THE_LAND, 0]
    assert swept.reason(0, 0, 0, 0, 0) == REASONS[SPACER_IN_THE_LAND]
    assert swept["void_area"].ravel()[1] > 0.0


@given(st.floats(0.01, 0.2), st.floats(1e-3, 0.02), st.floats(1e-4, 1.0), st.floats(-0.3, 0.9), st.floats(0.01, 0.2))
def test_behind_every_rod_there_is_a_hollow(length, bond_line, more, setback, thickness):
    bend = solve_bend([length], thickness * length, bond_line * (1.0 + more), bond_line, setback * length)
    assume(bend.feasible[0])
    assert bend.spacer_position[0] >= bend.spacer_radius[0] and bend.void_area[0] > 0.0
