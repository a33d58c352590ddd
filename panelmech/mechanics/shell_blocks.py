"""Symmetric matrices in blocks on the diagonal and beside it: their factor, and the lowest values of a pair of them.

What `shell_ritz` makes of a framed sheet. The work grows with the number of blocks, where that of a full matrix grows
with its cube. Nothing here knows of sheets.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

STEPS = 300  # of Lanczos's iteration, at most
CLOSE = 1e-6  # rest of a vector found, relative to its value: that of the value is smaller still, by its square


class NotPositive(ValueError):
    """The matrix is not positive definite."""


@dataclass(frozen=True, eq=False)
class Blocks:
    """Symmetric matrix: square blocks on the `diagonal`, and `below` each but the last the one that couples it with the
    next."""

    diagonal: list
    below: list

    @property
    def cuts(self):
        """Rows at which a new block begins, the first left out."""
        return np.cumsum([len(block) for block in self.diagonal])[:-1]

    @property
    def size(self):
        """Rows."""
        return sum(map(len, self.diagonal))

    def factored(self):
        """`Factor` of a positive definite matrix. Raises `NotPositive`."""
        upper, beside, here = [], [], self.diagonal[0]
        for k in range(len(self.diagonal)):
            block, failed = scipy.linalg.lapack.dpotrf(here.T, lower=0, clean=1)
            if failed:
                raise NotPositive("the matrix is not positive definite")
            upper.append(block)
            if k < len(self.below):
                step = scipy.linalg.blas.dtrsm(1.0, block, self.below[k].T, lower=0, trans_a=1)
                beside.append(step)
                here = self.diagonal[k + 1] - step.T @ step
        return Factor(tuple(upper), tuple(beside), self.cuts)


def side_by_side(several):
    """One `Blocks` of several that have nothing to do with each other."""
    diagonal, below = [], []
    for each in several:
        if diagonal:
            below.append(np.zeros((len(each.diagonal[0]), len(diagonal[-1]))))
        diagonal += each.diagonal
        below += each.below
    return Blocks(diagonal, below)


@dataclass(frozen=True, eq=False)
class Factor:
    """Cholesky's factor U of a matrix U' U: blocks `upper` on the diagonal, `beside` right of each but the last."""

    upper: tuple
    beside: tuple
    cuts: np.ndarray

    def forward(self, right):
        """U'^-1 times a vector."""
        out, carried = [], 0.0
        for k, given in enumerate(np.split(right, self.cuts)):
            out.append(scipy.linalg.lapack.dtrtrs(self.upper[k], given - carried, lower=0, trans=1)[0])
            carried = self.beside[k].T @ out[-1] if k < len(self.beside) else 0.0
        return np.concatenate(out)

    def backward(self, right):
        """U^-1 times a vector."""
        out, carried, given = [], 0.0, np.split(right, self.cuts)
        for k in range(len(given) - 1, -1, -1):
            out.append(scipy.linalg.lapack.dtrtrs(self.upper[k], given[k] - carried, lower=0)[0])
            carried = self.beside[k - 1] @ out[-1] if k else 0.0
        return np.concatenate(out[::-1])

    def solve(self, right):
        """The matrix's inverse times a vector."""
        return self.backward(self.forward(right))


def largest(factor, work, count=1):
    """(values, vectors): the `count` largest roots of `work` x = value U'U x, largest first; vectors of any size.

    work: function that multiplies a vector with a symmetric matrix. Lanczos's iteration with all vectors kept (Golub
    and Van Loan, Matrix Computations, ch. 10), from the same begin every time. ValueError where it does not settle.
    """
    size = int(factor.cuts[-1] if len(factor.cuts) else 0) + len(factor.upper[-1])
    found, along, beside = [_unit(np.random.default_rng(0).standard_normal(size))], [], []
    for step in range(1, min(STEPS, size) + 1):
        following = factor.forward(work(factor.backward(found[-1])))
        along.append(float(following @ found[-1]))
        kept = np.array(found)
        for _ in range(2):  # twice is enough (Kahan and Parlett)
            following -= kept.T @ (kept @ following)
        rest = float(np.linalg.norm(following))
        if step >= count:
            values, shapes = scipy.linalg.eigh_tridiagonal(along, beside)
            top = slice(-1, -count - 1, -1)
            if np.all(rest * np.abs(shapes[-1, top]) <= CLOSE * np.abs(values[top])) or step == size:
                return values[top], [factor.backward(kept.T @ shape) for shape in shapes.T[top]]
        beside.append(rest)
        found.append(following / rest)
    raise ValueError(f"the critical compression was not found in {STEPS} steps: give lower degrees")


def _unit(vector):
    return vector / np.linalg.norm(vector)
