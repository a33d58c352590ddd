"""Buckling under membrane forces that act together: published coefficients, a series of sines, convexity, convergence.

Coefficients are N b^2 / (pi^2 D), b the side along the chord. "Independent": a program kept apart (quartic B-splines,
full shallow shell, two meshes), to the digits it was noted with; where a published figure exists it stands beside it.
"""

import numpy as np
import pytest
from day_and_night import by_day, examples
from hypothesis import given
from hypothesis import strategies as st

from panelmech.mechanics.shell import buckle, uneven_critical_stress
from panelmech.mechanics.shell_model import CLAMPED, SUPPORTED, FramedSheet, framed_edges
from panelmech.mechanics.shell_stresses import MembraneForces, buckle_under

B, T, E, NU = 0.1, 0.001, 10e9, 0.3
SHEAR = MembraneForces(shear=1.0)


def sheet(ratio=1.0, edges=SUPPORTED, curvature=None, poisson=NU, **grain):
    return FramedSheet(B, ratio * B, T, E, poisson, curvature, edges, **grain)


def coefficient(of, forces=SHEAR):
    return buckle_under(of, forces).factor * B**2 / (np.pi**2 * of.bending_stiffness)


# ----- Flat, in shear


# (width over length, supported: independent; Timoshenko & Gere, Theory of Elastic Stability, 2nd ed., Table 9-10, from
# memory; clamped: independent)
IN_SHEAR = [
    (1.0, 9.3245, 9.34, 14.6421), (1.2, 7.9835, 8.0, 12.6434), (1.5, 7.0700, 7.1, 11.4583), (2.0, 6.5460, 6.6, 10.2480),
    (2.5, 6.0329, 6.1, 9.8594), (3.0, 5.8401, 5.9, 9.5343), (4.0, 5.6245, 5.7, 9.2952),
]  # fmt: skip


@pytest.mark.parametrize(("ratio", "supported", "table", "clamped"), IN_SHEAR)
def test_flat_plate_in_shear(ratio, supported, table, clamped):
    found = coefficient(sheet(ratio))
    assert found == pytest.approx(supported, abs=1e-4)
    assert table - 0.1 < found < table + 0.05  # one decimal, by a series of few terms, which errs upwards
    assert coefficient(sheet(ratio, CLAMPED)) == pytest.approx(clamped, abs=1.1e-4)


def test_long_plate_in_shear_tends_to_the_infinite_one():
    """5.336 and 8.978 (independent; 5.35 in Timoshenko & Gere and 8.98 in Southwell & Skan 1924, from memory). The ends
    add in proportion to the square of width over length: two lengths lead to the infinite one."""
    for edges, infinite in ((SUPPORTED, 5.33632), (CLAMPED, 8.97778)):
        short, long = (coefficient(sheet(ratio, edges)) for ratio in (6.0, 9.0))
        assert infinite < long < short
        assert long - (short - long) / (9.0**2 / 6.0**2 - 1) == pytest.approx(infinite, rel=2e-3)


# ----- Curved, in shear: Z = b^2 sqrt(1 - nu^2) / (r h). Independent, for NACA TN 1348 gives charts only


CURVED = {
    ("supported", "diaphragm", 1.0): {1: 9.3532, 5: 9.9928, 10: 11.569, 20: 15.055, 30: 17.375, 100: 33.2},
    ("supported", "held", 1.0): {1: 9.4174, 5: 11.120, 10: 13.205, 20: 16.386, 30: 19.590, 100: 37.4},
    ("clamped", "diaphragm", 1.0): {1: 14.656, 5: 14.973, 10: 15.879, 20: 18.641, 30: 21.682, 100: 36.7},
    ("supported", "diaphragm", 2.0): {1: 6.5586, 5: 6.8492, 10: 7.643, 20: 9.941, 30: 12.440, 100: 25.8},
}


@by_day(("case", "z"), [(case, z) for case, row in CURVED.items() for z in row], *((case, 30) for case in CURVED))
def test_curved_plate_in_shear(case, z):
    bending, in_plane, ratio = case
    curvature, known = z * T / (B**2 * np.sqrt(1 - NU**2)), CURVED[case][z]
    found = coefficient(sheet(ratio, framed_edges(bending, bending, bending, in_plane), lambda x: 0 * x + curvature))
    rounding = 0.5 * 10.0 ** -len(str(known).partition(".")[2])
    assert found == pytest.approx(known, abs=rounding + 1e-5 * known)


# ----- With a grain, a long strip: theta = sqrt(D1 D2) / D3, N b^2 = 4 C (D1 D2^3)^(1/4), below one 4 C sqrt(D2 D3)


# Seydel 1933 as in Lekhnitskii, Anisotropic Plates, from memory; the independent program agrees to 0.2 %
STRIPS = {
    0.2: (11.797, 18.853), 0.5: (12.196, 19.904), 1.0: (13.167, 22.152), 2.0: (10.792, 18.767), 3.0: (9.938, 17.571),
    5.0: (9.230, 16.586), 10.0: (8.684, 15.831),
}  # fmt: skip


@by_day("theta", STRIPS, 0.2, 3.0)
def test_long_strip_with_a_grain_in_shear(theta):
    """The last part as for the long plate above: from two lengths to the infinite one. Poisson's ratio 0, D1 = D2."""
    stiffness = E * T**3 / 12
    scale = B**2 / 4 / (stiffness if theta >= 1 else stiffness * np.sqrt(1 / theta))
    grain = {"span_modulus": E, "shear_modulus": E / theta / 2}
    for edges, known in zip((SUPPORTED, CLAMPED), STRIPS[theta], strict=True):
        lengths = (buckle_under(sheet(r, edges, poisson=0.0, **grain), SHEAR).factor * scale for r in (6.0, 9.0))
        short, long = lengths
        assert known * 0.998 < long < short
        assert long - (short - long) / (9.0**2 / 6.0**2 - 1) == pytest.approx(known, rel=4e-3)


# ----- Together


# share of the shear that is left beside a share of the compression along the span (independent)
TOGETHER = {
    1.0: {0.25: 0.8645, 0.5: 0.7057, 0.75: 0.5001},
    2.0: {0.25: 0.8671, 0.5: 0.7070, 0.75: 0.5007},
    4.0: {0.25: 0.8712, 0.5: 0.7231, 0.75: 0.5150},
}


@pytest.mark.parametrize("ratio", TOGETHER)
def test_shear_beside_compression_along_the_longer_side(ratio):
    plate = sheet(ratio)
    alone, critical = buckle_under(plate, SHEAR).factor, buckle(plate).line_load
    for share, known in TOGETHER[ratio].items():
        left = buckle_under(plate, SHEAR, MembraneForces(along_span=-share * critical)).factor / alone
        assert left == pytest.approx(known, abs=6e-5)
        assert left == pytest.approx(np.sqrt(1 - share), rel=0.031)  # Rc + Rs^2 = 1, good to 3 % here


def test_shear_beside_compression_across_a_long_plate_is_no_matter_of_the_formula():
    """0.840 (independent), where Rc + Rs^2 = 1 says 0.707. Compression across alone: (1 + (b/a)^2)^2, exact."""
    plate = sheet(4.0)
    across, alone = (buckle_under(plate, f).factor for f in (MembraneForces(along_chord=-1.0), SHEAR))
    assert across * B**2 / np.pi**2 / plate.bending_stiffness == pytest.approx((1 + 1 / 16) ** 2, rel=1e-9)
    left = buckle_under(plate, SHEAR, MembraneForces(along_chord=-0.5 * across)).factor / alone
    assert left == pytest.approx(0.840, abs=6e-4) and left > 1.18 * np.sqrt(0.5)


def by_sines(ratio, forces, terms=14):
    """Least factor for a supported flat even plate from double sine series (Timoshenko & Gere, section 8.2): a second
    road without a function or an integral of the program's. Errs upwards, the less the more terms."""
    a, b, m = B, ratio * B, np.arange(1, terms + 1)
    count = 6 * terms
    x, y = (side * (np.arange(count) + 0.5) / count for side in (a, b))
    n_x, n_y, n_xy = forces.at(x[:, None], y[None, :])
    ax, ay = m * np.pi / a, m * np.pi / b
    sx, cx = np.sin(np.outer(x, ax)), np.cos(np.outer(x, ax)) * ax
    sy, cy = np.sin(np.outer(y, ay)), np.cos(np.outer(y, ay)) * ay

    def work(n, left_x, left_y, right_x, right_y):
        found = np.einsum("xy,xi,yj,xk,yl->ijkl", n, left_x, left_y, right_x, right_y, optimize=True)
        return found.reshape(terms**2, terms**2) * a * b / count**2

    together = work(n_x, cx, sy, cx, sy) + work(n_y, sx, cy, sx, cy)
    shear = work(n_xy, cx, sy, sx, cy)
    stiffness = (0.25 * a * b * E * T**3 / 12 / (1 - NU**2) * np.add.outer(ax**2, ay**2) ** 2).ravel()
    root = 1 / np.sqrt(stiffness)
    return 1 / np.linalg.eigvalsh(-(together + shear + shear.T) * np.outer(root, root))[-1]


VARYING = {
    "bending in its plane": MembraneForces(along_span=lambda x, y: -x / B),
    "growing along the span, with shear": MembraneForces(
        along_span=lambda x, y: -(x / B) * (1 - y / (1.7 * B)), shear=lambda x, y: 0.4 * (1 - (x / B) ** 2)
    ),
    "all three": MembraneForces(lambda x, y: -np.cos(3 * y / B), -0.6, lambda x, y: 0.7 * y / B),
}


@by_day("case", VARYING, "all three")
def test_forces_that_vary_agree_with_a_series_of_sines(case):
    forces = VARYING[case]
    found = buckle_under(sheet(1.7), forces).factor
    coarse, fine = (by_sines(1.7, forces, terms) for terms in (8, 14))
    assert found <= fine * (1 + 2e-5) and fine / found - 1 < 2e-3 and fine <= coarse * (1 + 1e-6)


def test_even_and_uneven_compression_are_those_of_the_shell():
    bent = sheet(4.0, framed_edges("clamped"), lambda x: 2.0 * (1 - x / B))
    even = buckle_under(bent, MembraneForces(along_span=-1.0))
    assert even.factor == pytest.approx(buckle(bent).line_load, rel=1e-4) and even.error < 1e-4
    assert even.half_waves == buckle(bent).half_waves
    share = buckle_under(bent, MembraneForces(along_span=lambda x, y: -x / B)).factor / T
    assert share == pytest.approx(uneven_critical_stress(bent, lambda x: x / B), rel=1e-4)


def test_a_sheet_does_not_care_which_way_a_shear_leans_nor_where_its_axes_point():
    plate, turned = sheet(2.0), FramedSheet(2 * B, B, T, E, NU, None, SUPPORTED)
    both = MembraneForces(-1.0, -0.3, 0.8), MembraneForces(-0.3, -1.0, -0.8)
    one, other = buckle_under(plate, both[0]).factor, buckle_under(turned, both[1]).factor
    assert one == pytest.approx(other, rel=1e-6)
    bent = sheet(2.0, curvature=lambda x: 2.0 + 0 * x)
    assert buckle_under(bent, SHEAR).factor == pytest.approx(
        buckle_under(bent, MembraneForces(shear=-1.0)).factor, rel=1e-9
    )


@examples(5)
@given(st.lists(st.floats(-1.0, 1.0), min_size=6, max_size=6), st.floats(0.05, 0.95))
def test_what_does_not_buckle_is_convex(six, share):
    """Between two sets of forces under which a sheet just does not buckle there is none under which it does
    (Papkovich 1941, as quoted elsewhere; from Rayleigh's quotient, which is linear in the forces)."""
    bent, sets = sheet(2.0, framed_edges("clamped"), lambda x: 1.0 + 0 * x), np.reshape(six, (2, 3))
    if np.abs(sets).max(axis=1).min() < 0.1:
        return
    factors = [buckle_under(bent, MembraneForces(*forces)).factor for forces in sets]
    if not np.all(np.isfinite(factors)):
        return
    between = share * factors[0] * sets[0] + (1 - share) * factors[1] * sets[1]
    if np.abs(between).max() > 1e-3 * max(factors):
        assert buckle_under(bent, MembraneForces(*between)).factor >= 1 - 1e-3


def test_stretched_along_the_span_it_bears_more_and_stretched_alone_it_never_buckles():
    plate = sheet(2.0)
    alone = buckle_under(plate, SHEAR).factor
    assert buckle_under(plate, SHEAR, MembraneForces(along_span=0.5 * alone)).factor > 1.2 * alone
    never = buckle_under(plate, MembraneForces(along_span=1.0))
    assert (never.factor, never.mode, never.half_waves, never.error) == (np.inf, None, 0, 0)


@pytest.mark.parametrize(
    ("forces", "always", "words"),
    [
        (MembraneForces(), None, "zero everywhere: give at least one"),
        (MembraneForces(along_span=lambda x, y: np.zeros(3)), None, r"along_span came with shape \(3,\) for places of"),
        (SHEAR, MembraneForces(along_span=-1e9), "buckles under the membrane forces that are there always"),
    ],
)
def test_forces_that_cannot_be_are_refused(forces, always, words):
    with pytest.raises(ValueError, match=words):
        buckle_under(sheet(2.0), forces, always)


def test_a_force_that_is_not_a_number_is_refused_where_it_is_stated():
    with pytest.raises(ValueError, match="membrane force shear is nan: give a finite number, in N/m"):
        MembraneForces(shear=np.nan)
    with pytest.raises(ValueError, match="membrane force along_chord is"):
        buckle_under(sheet(2.0), MembraneForces(along_chord=lambda x, y: np.full(x.shape, np.inf)))


# ----- Convergence: the accuracy that its docstring states


def drawn(seed):
    """A sheet and forces at random, as the docstring of `buckle_under` says."""
    rng = np.random.default_rng(seed)
    length = rng.uniform(0.08, 0.4)
    width, thickness = (length * np.exp(rng.uniform(*np.log(ends))) for ends in ((0.5, 9.0), (0.002, 0.03)))
    turn = rng.choice([0.0, rng.uniform(0.02, 0.8)])
    edges = framed_edges(*map(str, rng.choice(["clamped", "supported"], 3)), str(rng.choice(["diaphragm", "held"])))
    ratio, shear = np.exp(rng.uniform(-1.2, 1.2)), np.exp(rng.uniform(-2.0, -0.5))
    grain = {"span_modulus": ratio * E, "shear_modulus": shear * np.sqrt(ratio) * E} if rng.random() < 0.5 else {}
    some = rng.uniform(-1.0, 1.0, 3)
    forces = [
        SHEAR,
        MembraneForces(along_span=lambda x, y: -x / length, shear=some[0]),
        MembraneForces(
            along_span=lambda x, y: -(x / length) * (1 - y / width) ** 2, shear=lambda x, y: some[1] * (1 - y / width)
        ),
        MembraneForces(*some),
        MembraneForces(along_chord=-1.0),
    ][rng.integers(5)]
    bend = (lambda x: 2 * turn / length * (1 - x / length)) if turn else None
    return FramedSheet(length, width, thickness, E, 0.2, bend, edges, **grain), forces


@by_day("seed", range(100), 0)
def test_the_factor_is_as_sure_as_stated(seed):
    panel, forces = drawn(seed)
    found = buckle_under(panel, forces)
    if not np.isfinite(found.factor):
        return
    finer = tuple(2 * int(0.65 * degree) + more for degree, more in zip(found.degrees, (4, 6), strict=True))
    off = found.factor / buckle_under(panel, forces, degrees=finer).factor - 1
    assert -1e-8 < off <= min(2e-5, found.error + 1e-8)  # functions only added: a finer model is never above
