"""Sheets with a grain against the exact series of an orthotropic plate and shallow shell, recomputed here.

Timoshenko S.P. and Woinowsky-Krieger S., Theory of Plates and Shells, 2nd ed. 1959, ch. 11: the plate's equation
D11 w,xxxx + 2 H w,xxyy + D22 w,yyyy = q with H = D12 + 2 D66, and the Navier series of the supported rectangle.
Lekhnitskii S.G., Anisotropic Plates, 1968: buckling of the supported rectangle and of the long one. Both from memory,
each derived again below. The shallow shell of uniform curvature is the same series with the membrane's term (derived):

    with F the stress function, N_x = F,yy, N_y = F,xx, N_xy = -F,xy, compatibility reads
    S22 F,xxxx + (2 S12 + S66) F,xxyy + S11 F,yyyy = -kappa w,yy,  S11 = 1/(E1 t), S12 = -nu12/(E1 t), S66 = 1/(G t);
    for w = W sin(alpha x) sin(beta y) this adds kappa^2 beta^4 / (S22 alpha^4 + (2 S12 + S66) alpha^2 beta^2 +
    S11 beta^4) to D11 alpha^4 + 2 H alpha^2 beta^2 + D22 beta^4.
"""

import numpy as np
import pytest
from numpy.polynomial import Polynomial

from panelmech.mechanics.shell import buckle, press
from panelmech.mechanics.shell_model import CLAMPED, SUPPORTED, FramedSheet, even_pressure, framed_edges

# modulus, poisson, span modulus, shear modulus, stretch moduli: made-up, laminate, one layer, plywood both ways
GRAINS = {
    "laminate": (18.6e9, 0.175, 15.2e9, 4.0e9, None),
    "one layer": (38e9, 0.28, 9e9, 3.6e9, None),
    "one layer across": (9e9, 0.28 * 9 / 38, 38e9, 3.6e9, None),
    "weave at a slant": (10e9, 0.6, 10e9, 9e9, None),
    "plywood": (16.5e9, 0.05, 1.03e9, 0.62e9, (10.7e9, 6.8e9)),
    "plywood across": (1.03e9, 0.05, 16.5e9, 0.62e9, (6.8e9, 10.7e9)),
}
grains = pytest.mark.parametrize("grain", GRAINS.values(), ids=GRAINS)


def sheet_of(grain, width, kappa=None, edges=SUPPORTED, length=0.2, thickness=0.002):
    modulus, poisson, span, shear, stretch = grain
    return FramedSheet(length, width, thickness, modulus, poisson, kappa, edges, span, shear, stretch)


def plate_stiffness(grain, thickness=0.002):
    """D11, D22, D12, D66 written out."""
    one, nu12, two, shear, _ = grain
    nu21 = nu12 * two / one
    scale = thickness**3 / 12
    one, two = one / (1 - nu12 * nu21), two / (1 - nu12 * nu21)
    return [scale * q for q in (one, two, nu12 * two, shear)]


def resistance(sheet, grain, a2, b2):
    """Load over deflection of one term, from squares of alpha and beta [Pa/m]."""
    d11, d22, d12, d66 = plate_stiffness(grain, sheet.thickness)
    one, two = grain[4] or (grain[0], grain[2])
    s11, s22, s12, s66 = (1 / (e * sheet.thickness) for e in (one, two, -one / grain[1], grain[3]))
    kappa = float(sheet.curvature_values[0])
    membrane = s22 * a2**2 + (2 * s12 + s66) * a2 * b2 + s11 * b2**2
    return d11 * a2**2 + 2 * (d12 + 2 * d66) * a2 * b2 + d22 * b2**2 + kappa**2 * b2**2 / membrane


def navier(sheet, grain, x, y, terms=1199):
    """Deflection under unit pressure and its second derivatives xx, yy at one point."""
    m = np.arange(1, terms, 2)
    alpha, beta = m * np.pi / sheet.length, m * np.pi / sheet.width
    a2, b2 = np.meshgrid(alpha**2, beta**2, indexing="ij")
    waves = np.outer(np.sin(alpha * x), np.sin(beta * y))
    w = 16 / np.pi**2 / np.outer(m, m) / resistance(sheet, grain, a2, b2) * waves
    return w.sum(), -(a2 * w).sum(), -(b2 * w).sum()


# --- pressing ----------------------------------------------------------------------------------------------------


@grains
@pytest.mark.parametrize("width", [0.1, 0.2, 0.5])
def test_supported_plate_under_even_pressure(grain, width):
    """The Navier series, cut at 600 odd terms: its tail falls like 1/m^5 in the deflection, 1/m^3 in the moments."""
    sheet = sheet_of(grain, width)
    result = press(sheet, even_pressure(1.0), (24, 36))
    d11, d22, d12, _ = plate_stiffness(grain)
    assert sheet.bending_stiffness == pytest.approx(d11, rel=1e-14)
    for x, y in ((0.1, width / 2), (0.03, 0.2 * width)):
        w, xx, yy = navier(sheet, grain, x, y)
        assert float(result.deflection(x, y)) == pytest.approx(w, rel=1e-6)
        m_x, m_y, _ = result.moments(x, y)
        largest = max(abs(d11 * xx), abs(d22 * yy))
        assert m_x == pytest.approx(-(d11 * xx + d12 * yy), abs=1e-4 * largest)
        assert m_y == pytest.approx(-(d12 * xx + d22 * yy), abs=1e-4 * largest)
    assert result.error < 1e-5


@grains
@pytest.mark.parametrize(("width", "kappa"), [(0.2, 1.0), (0.6, 3.0), (1.0, 0.5)])
def test_uniform_curvature_under_even_pressure(grain, width, kappa):
    sheet = sheet_of(grain, width, kappa)
    result = press(sheet, even_pressure(1.0), (24, 48))
    largest = abs(result.largest_deflection)
    for x, y in ((0.1, width / 2), (0.03, 0.2 * width), (0.15, 0.08 * width)):
        assert float(result.deflection(x, y)) == pytest.approx(navier(sheet, grain, x, y)[0], abs=2e-6 * largest)
    assert result.error < 5e-5


def test_a_clamped_plate_is_an_even_one_stretched():
    """With H = sqrt(D11 D22) the scale y' = y (D11/D22)^(1/4) turns the equation into that of an even plate of D11.

    The clamped square's 0.00126532 q a^4/D (recomputed for Timoshenko's Table 35) then holds for the plate with
    b = a (D22/D11)^(1/4); so does the critical coefficient 10.07 of the clamped square, N being N' sqrt(D22/D11).
    """
    one, two, nu12 = 20e9, 5e9, 0.3
    nu21 = nu12 * two / one
    shear = (np.sqrt(one * two) - nu12 * two) / (1 - nu12 * nu21) / 2
    grain = (one, nu12, two, shear, None)
    sheet = sheet_of(grain, 0.2 * (two / one) ** 0.25, None, CLAMPED)
    d11 = plate_stiffness(grain)[0]
    pressed = press(sheet, even_pressure(1.0), (26, 26))
    assert pressed.middle_deflection == pytest.approx(0.001265319087 * 0.2**4 / d11, rel=1e-7)
    even = FramedSheet(0.2, 0.2, 0.002, one, 0.3, edges=sheet.edges)
    ours, theirs = (buckle(s, (22, 22)).coefficient for s in (sheet, even))
    assert ours == pytest.approx(theirs * np.sqrt(two / one), rel=1e-9)


@pytest.mark.parametrize("in_plane", ["diaphragm", "held"])
def test_a_long_bay_is_a_strip_or_an_arch(in_plane):
    """Supported strip of uniform curvature: D11 w'''' = 1 + kappa N, N = 0 where the edges draw in, or
    N = -(A11/a) integral of kappa w where they are held. The span's moduli enter through nu12 nu21 alone."""
    grain, a, kappa = GRAINS["one layer"], 0.2, 0.3
    edges = framed_edges("supported", "supported", "supported", in_plane)
    sheet = sheet_of(grain, 5.0, kappa, edges, thickness=0.004)
    d11 = plate_stiffness(grain, 0.004)[0]
    shape = Polynomial([0, a**3, 0, -2 * a, 1]) / 24 / d11  # the supported strip under unit load
    stretching = 12 / 0.004**2 * d11 / a * kappa * shape.integ()(a) if in_plane == "held" else 0.0
    exact = shape(0.07) * (1 - kappa * stretching / (1 + kappa * stretching))
    result = press(sheet, even_pressure(1.0), (14, 60))
    assert float(result.deflection(0.07, 2.5)) == pytest.approx(exact, rel=2e-5)
    assert in_plane == "diaphragm" or exact < 0.8 * shape(0.07)


# --- buckling ----------------------------------------------------------------------------------------------------


@grains
@pytest.mark.parametrize("width", [0.13, 0.2, 0.51])
def test_buckling_of_the_supported_plate(grain, width):
    """N = (pi^2/a^2) min over m of D11 r^2 + 2 H + D22/r^2, r = b/(m a), m half waves along the compression."""
    sheet, (d11, d22, d12, d66) = sheet_of(grain, width), plate_stiffness(grain)
    waves = np.arange(1, 30)
    ratio = width / (waves * 0.2)
    loads = np.pi**2 / 0.2**2 * (d11 * ratio**2 + 2 * (d12 + 2 * d66) + d22 / ratio**2)
    result = buckle(sheet, (18, 36))
    assert result.line_load == pytest.approx(loads.min(), rel=1e-8)
    assert result.half_waves == waves[loads.argmin()]


@grains
def test_buckling_of_the_long_supported_plate(grain):
    """2 pi^2/a^2 (sqrt(D11 D22) + D12 + 2 D66), reached where half waves of a (D22/D11)^(1/4) fit the length."""
    d11, d22, d12, d66 = plate_stiffness(grain)
    half_wave = 0.2 * (d22 / d11) ** 0.25
    limit = 2 * np.pi**2 / 0.2**2 * (np.sqrt(d11 * d22) + d12 + 2 * d66)
    fits, between = (buckle(sheet_of(grain, n * half_wave), (16, 36)) for n in (5.0, 5.45))
    assert fits.line_load == pytest.approx(limit, rel=1e-8) and fits.half_waves == 5
    assert limit < between.line_load < 1.02 * limit  # half waves a tenth off: (1.1^2 + 1/1.1^2)/2 = 1.018 at most


@grains
@pytest.mark.parametrize(("width", "kappa"), [(0.2, 1.0), (0.4, 3.0)])
def test_buckling_of_uniform_curvature(grain, width, kappa):
    sheet = sheet_of(grain, width, kappa)
    b2 = (np.arange(1, 60) * np.pi / width) ** 2
    a2, b2 = np.meshgrid((np.arange(1, 9) * np.pi / 0.2) ** 2, b2, indexing="ij")
    loads = resistance(sheet, grain, a2, b2) / b2
    result = buckle(sheet, (20, 48))
    assert result.line_load == pytest.approx(loads.min(), rel=1e-7)
    assert result.next_line_load == pytest.approx(np.sort(loads, axis=None)[1], rel=1e-6)
