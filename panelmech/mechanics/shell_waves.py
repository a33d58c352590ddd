"""The framed sheet one wave along the span at a time: its critical compression where the frames only support it.

Where both frames support the sheet and hold it along their edge only ('diaphragm'), its shapes come apart along the
span: each is a function of x times a sine of y (Levy's way; Timoshenko and Woinowsky-Krieger, Theory of Plates and
Shells, ch. 6; for shells ch. 15). With b the wavenumber n pi / width,

    u = g(x) sin(b y)    v = h(x) cos(b y)    w = f(x) sin(b y)

and the energy of `shell_ritz` becomes one over x alone, however many waves there are. Frames that hold the sheet more
(clamped, or held both ways) take shapes away from the same energy, and so give no lower critical value (Rayleigh):
for these the lowest of all wavenumbers is a bound from below, and tells how many half waves to expect.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .numerics import gauss
from .ritz_bases import bending_basis, in_plane_basis, product_integral
from .shell_model import CURVATURE_NODES, Edge
from .shell_ritz import turning

SUPPORTING = Edge("supported", "diaphragm")  # a frame at which the waves come apart
STEP = 1.12  # ratio of neighbouring wavenumbers in the first search
NEAR = 1.05  # values so close to the lowest are looked at more closely


@dataclass(frozen=True, eq=False)
class Waves:
    """Matrices of one sheet over x alone, divided by D11; `critical` takes the wavenumber.

    bending: (K0, K2, K4), the powers of b in the bending energy of f. work: of the compression over b^2.
    in_plane: (A0, A1, A2) of g and h together, coupling: (C0, C1) of these with f; None where the sheet is flat.
    """

    bending: tuple
    work: np.ndarray
    in_plane: tuple | None
    coupling: tuple | None

    def stiffness(self, wavenumbers):
        """Matrices of f for waves of each wavenumber [1/m], u and v eliminated, divided by D11: (k, n, n)."""
        b = np.asarray(wavenumbers, float)[:, None, None]
        k0, k2, k4 = self.bending
        stiffness = k0 + b**2 * k2 + b**4 * k4
        if self.in_plane is not None:
            a0, a1, a2 = self.in_plane
            factor = np.linalg.cholesky(a0 + b * a1 + b**2 * a2)
            part = np.linalg.solve(factor, self.coupling[0] + b * self.coupling[1])
            stiffness = stiffness - part.transpose(0, 2, 1) @ part
        return stiffness

    def critical(self, wavenumbers):
        """Lowest compression for waves of each wavenumber [1/m], divided by D11; inf where nothing is compressed.
        Shape (k,)."""
        return lowest_compression(self.stiffness(wavenumbers), self.work, wavenumbers)


def lowest_compression(stiffness, work, wavenumbers):
    """Lowest N with K f = N b^2 G f for each wavenumber b [1/m]; K (k, n, n) positive definite, G (n, n); inf where
    nothing is compressed. Shape (k,)."""
    lower = np.linalg.cholesky(stiffness)
    half = np.linalg.solve(lower, np.broadcast_to(work, lower.shape))
    most = np.linalg.eigvalsh(np.linalg.solve(lower, half.transpose(0, 2, 1)))[:, -1] * np.square(wavenumbers)
    return np.divide(1.0, most, out=np.full_like(most, np.inf), where=most > 0.0)


def waves(sheet, degree, share):
    """`Waves` of a `FramedSheet` with polynomials of `degree` along x; share: of the compression, at
    `curvature_stations`."""
    e, scale, r = sheet.edges, 2 / sheet.length, sheet.ratios
    f = bending_basis(e.land.bending, e.rod.bending, degree, nodes=CURVATURE_NODES)
    weights, kappa = gauss(CURVATURE_NODES)[1] / scale, sheet.curvature_values

    def integral(first, p, second, q):
        return product_integral(first, p, second, q) * scale ** (p + q - 1)

    def weighted(first, p, second, weight):
        return first.values[p].T @ ((weights * weight)[:, None] * second.values[0]) * scale**p

    work = weighted(f, 0, f, share)
    mixed, stretch = integral(f, 2, f, 0), 12 / sheet.thickness**2
    bending = integral(f, 2, f, 2), 4 * r.d66 * integral(f, 1, f, 1) - r.d12 * (mixed + mixed.T)
    bending = (*bending, r.d22 * integral(f, 0, f, 0))
    if sheet.springs:
        bending = bending[0] + turning(sheet, f), *bending[1:]
    if sheet.is_flat:
        return Waves(bending, work, None, None)
    g, h = (
        in_plane_basis(*(edge.in_plane in choices for edge in (e.land, e.rod)), degree + 1, nodes=CURVATURE_NODES)
        for choices in (("diaphragm", "free"), ("free",))
    )
    n = len(g)
    a0, a1, a2 = (np.zeros((n + len(h),) * 2) for _ in range(3))
    a0[:n, :n], a0[n:, n:] = r.a11 * integral(g, 1, g, 1), r.a66 * integral(h, 1, h, 1)
    a1[:n, n:] = r.a66 * integral(g, 0, h, 1) - r.a12 * integral(g, 1, h, 0)
    a1[n:, :n] = a1[:n, n:].T
    a2[:n, :n], a2[n:, n:] = r.a66 * integral(g, 0, g, 0), r.a22 * integral(h, 0, h, 0)
    c0, c1 = (np.zeros((n + len(h), len(f))) for _ in range(2))
    c0[:n], c1[n:] = -r.a11 * weighted(g, 1, f, kappa), r.a12 * weighted(h, 0, f, kappa)
    curved = bending[0] + stretch * r.a11 * weighted(f, 0, f, kappa**2)
    return Waves(
        (curved, *bending[1:]), work, tuple(stretch * a for a in (a0, a1, a2)), tuple(stretch * c for c in (c0, c1))
    )


def lowest(sheet, waves, guess, most_share=1.0):
    """(compression / D11, half waves) of the lowest critical value over all whole numbers of half waves.

    guess: half waves to begin with, any positive number; most_share: the largest share of the compression. The search
    ends where the bending along the span alone resists more: N share >= (d22 - d12^2) b^2. (inf, 1) where nothing is
    compressed.
    """
    return search(waves.critical, sheet, guess, most_share)


def search(critical, sheet, guess, most_share):
    """`lowest` of any function of wavenumbers [1/m], an array, that bending along the span alone bounds from below."""
    unit = np.pi / sheet.width
    first = float(critical([unit * max(1, round(guess))])[0])
    if not np.isfinite(first):
        return np.inf, 1
    least = (sheet.ratios.d22 - sheet.ratios.d12**2) / most_share
    last = max(1, int(np.sqrt(first / least) / unit))
    numbers = np.unique(np.round(np.geomspace(1, last, 2 + int(np.log(last) / np.log(STEP)))).astype(int))
    values = critical(unit * numbers)
    while (between := _between(numbers, values)).size:
        numbers, values = np.concatenate([numbers, between]), np.concatenate([values, critical(unit * between)])
        order = np.argsort(numbers)
        numbers, values = numbers[order], values[order]
    k = int(np.argmin(values))
    return float(values[k]), int(numbers[k])


def _between(numbers, values):
    """Whole numbers halfway to both neighbours of each that is lowest among these and close to the lowest of all."""
    around = np.pad(values, 1, constant_values=np.inf)
    low = (values <= around[:-2]) & (values <= around[2:]) & (values < NEAR * values.min())
    gaps = np.flatnonzero((low[1:] | low[:-1]) & (np.diff(numbers) > 1))
    return (numbers[gaps] + numbers[gaps + 1]) // 2
