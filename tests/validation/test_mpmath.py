"""The exact bend against a 30-digit evaluation of its two equations.

The reference shares no code with the package: hypergeometric series of the mpmath library (checked here against
Legendre's elliptic integrals), the two equations of the bent pair with the wavenumber eliminated, and a secant search.
45 digits are carried, because the rise loses up to 18 at the smallest openings used here.

Measured on the designs below: largest relative error 8e-15 away from the fold, all results together.
"""

import mpmath as mp
import numpy as np
import pytest

from panelmech.mechanics.bend import solve_bend

REQUIRED = 1e-10  # what the package promises away from the fold
NAMES = ("contact_angle", "contact_arclength", "wavenumber", "spacer_position", "land_curvature", "mouth")


def integrals(angle):
    """I0 and I1 of the rectangular elastica: with x = sin psi both are hypergeometric series in x^2."""
    x, half, quarter = mp.sin(angle), mp.mpf(1) / 2, mp.mpf(1) / 4
    return (
        mp.sqrt(2 * x) * mp.hyp2f1(quarter, half, 5 * quarter, x * x),
        mp.sqrt(2) / 3 * x ** (3 * half) * mp.hyp2f1(3 * quarter, half, 7 * quarter, x * x),
    )


def surplus(angle, design):
    """Arclength by the elastica less arclength by the setback, for a given angle [m]; zero at an equilibrium."""
    length, t, d, g, e = design
    i0, i1 = integrals(angle)
    radius = d / 2
    rise = (radius + t / 2) * mp.cos(angle) - (t + g) / 2
    k = (mp.sqrt(2 * mp.sin(angle)) * mp.sin(angle) - i1 * mp.cos(angle)) / rise
    return i0 / k - (length - (e + radius * (1 + mp.sin(angle))) / mp.cos(angle))


def reference(design, guess):
    """The bent shape to 30 digits, the root nearest to `guess` (checked to be the smallest in `test_bend`)."""
    with mp.workdps(45):
        design = [mp.mpf(float(v)) for v in design]
        length, t, d, g, e = design
        guess = mp.mpf(float(guess))
        angle = mp.findroot(
            lambda th: surplus(th, design) / length,
            (guess, guess * (1 + mp.mpf("1e-15"))),
            solver="secant",
            tol=mp.mpf("1e-60"),
        )
        i0, i1 = integrals(angle)
        s, c, x, radius = mp.sin(angle), mp.cos(angle), mp.sqrt(2 * mp.sin(angle)), d / 2
        k = (x * s - i1 * c) / ((radius + t / 2) * c - (t + g) / 2)
        overhang = (e + radius * (1 + s)) / c
        return {
            "contact_angle": angle,
            "contact_arclength": i0 / k,
            "wavenumber": k,
            "spacer_position": (x * c + i1 * s) / k + (radius + t / 2) * s,
            "land_curvature": k * x,
            "mouth": 2 * (radius * c + overhang * s),
        }


def worst_error(designs):
    """Largest relative error over designs and results; near the fold separately."""
    bend = solve_bend(*designs)
    assert np.all(bend.feasible)
    errors = np.empty(len(designs[0]))
    for i, design in enumerate(zip(*designs, strict=True)):
        exact = reference(design, bend.contact_angle[i])
        errors[i] = max(abs(float(getattr(bend, n)[i] / exact[n] - 1)) for n in NAMES)
    return errors, bend


def seeded(count, seed, low, high, setback=(-0.02, 0.1), thickness=(0.002, 0.03), bond=(0.0, 0.01)):
    """Designs whose opening is a share, log-uniform between `low` and `high`, of the greatest opening."""
    rng = np.random.default_rng(seed)
    length = rng.uniform(0.08, 0.6, count)
    t, g, e = (length * rng.uniform(*span, count) for span in (thickness, bond, setback))
    most = solve_bend(length, t, g + 0.05 * length, g, e).greatest_spacer
    share = np.exp(rng.uniform(np.log(low), np.log(high), count))
    return length, t, g + share * (most - g), g, e


@pytest.mark.parametrize("angle", [0.01, 0.3, 0.8, 1.5])
def test_the_series_are_the_elliptic_integrals(angle):
    """Legendre's form with b = asin(sqrt 2 sin((pi/2 - psi)/2)) and modulus^2 = 1/2, to 30 digits."""
    with mp.workdps(45):
        half = mp.mpf(1) / 2
        b = mp.asin(mp.sqrt(2) * mp.sin((mp.pi / 2 - angle) / 2))
        i0 = mp.ellipk(half) - mp.ellipf(b, half)
        i1 = 2 * (mp.ellipe(half) - mp.ellipe(b, half)) - i0
        for series, elliptic in zip(integrals(angle), (i0, i1), strict=True):
            assert abs(series / elliptic - 1) < mp.mpf("1e-30")


@pytest.mark.parametrize(
    ("low", "high", "options"),
    [
        (0.02, 0.9, {"setback": (0, 0.3)}),  # ordinary parts
        (1e-9, 1e-3, {"setback": (0, 0.1)}),  # openings down to a billionth
        (1e-6, 0.9, {"thickness": (0.1, 1.0), "setback": (0, 0.1)}),  # sheets as thick as they are long
        (1e-9, 0.9, {"setback": (0.9, 0.985)}),  # the setback takes nearly the whole sheet
        (1e-4, 0.9, {"setback": (0.99999, 0.999999), "bond": (0, 0)}),  # all but a hundred thousandth of it
        (0.6, 0.9, {"setback": (-0.3, -0.1)}),  # the rod stands far out
    ],
    ids=["ordinary", "tiny openings", "thick sheets", "little free sheet", "hardly any free sheet", "rod proud"],
)
def test_away_from_the_fold(low, high, options, record_property):
    errors, bend = worst_error(seeded(50, 7, low, high, **options))
    record_property("worst relative error", float(errors.max()))
    assert not np.any(bend.near_fold)
    assert errors.max() < REQUIRED


def test_next_to_the_fold_the_result_says_so():
    """The error grows like the condition number, and the warning stands before it matters."""
    for gap in (1e-3, 1e-6, 1e-9):
        errors, bend = worst_error(seeded(10, 11, 1 - gap, 1 - gap * 0.999))
        assert np.all(bend.near_fold)
        # rounding of the inputs alone moves the angle by `condition` times 1.1e-16; 100 allows for the sums behind it
        assert np.all(errors < 100 * 1.1e-16 * bend.condition + 1e-13)
