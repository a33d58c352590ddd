"""Buckling of a framed sheet whose spanwise compression is not even across it, as when the part bends along its span.

A fibre of a bent part is compressed in proportion to its distance from the chord line: hardly at the land, most at the
rod. The critical stress, at the place that is compressed most, is then well above that of even compression. The same
energy method as `shell`, only the work of the compression is weighted; it is taken as unchanged along the span.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import eigvalsh

from .bend import Bend
from .numerics import gauss, product_integral
from .shell import default_degrees, parities
from .shell_model import FramedSheet
from .shell_ritz import family


def uneven_critical_stress(sheet: FramedSheet, share, degrees=None) -> float:
    """Critical spanwise compression where `share` is one [Pa], for a compression that goes across the sheet as `share`.

    share : callable of the arclength from the land end [m], an array; its values, 0 to 1 where compressed (negative:
        stretched), are the stress over its reference value.
    degrees : as for `mechanics.shell.press`.

    Solves K w = N G w with G the integral of share w,y^2 for the lowest positive N. For a share of one everywhere it is
    `mechanics.shell.buckle`. ValueError where nothing is compressed.
    """
    degrees = degrees or default_degrees(sheet)
    found = [_largest(family(sheet, degrees, parity), sheet, share) for parity in parities(sheet.edges)]
    if not max(found) > 0.0:
        raise ValueError("the share of the compression is nowhere positive: nothing can buckle")
    return float(sheet.bending_stiffness / max(found) / sheet.thickness)


def bent_share(bend: Bend):
    """Share of the compression across one bent sheet when the part bends about its chord line: y over its value at the
    rod, as a function of the arclength [m]. For a single bend."""
    return lambda arclength: bend.outline(np.asarray(arclength))[1] / bend.contact_y


def _largest(part, sheet, share):
    """Largest 1/N of one parity, N in units of the bending stiffness."""
    work = _work(part.sets[2], sheet, share)
    last = len(work) - 1
    return float(eigvalsh(work, part.stiffness, subset_by_index=[last, last])[0])


def _work(functions, sheet, share):
    """Integral of share w,y^2 over the sheet, rows and columns the functions of w."""
    x, y = functions.along_x, functions.along_y
    nodes, weights = gauss(x.nodes)
    values = x.values[0]
    across = values.T @ ((weights * share(0.5 * sheet.length * (nodes + 1.0)))[:, None] * values)
    along = product_integral(y, 1, y, 1)
    scale = (2.0 / sheet.width) ** 2 * sheet.length * sheet.width / 4.0
    return across[np.ix_(functions.i, functions.i)] * along[np.ix_(functions.j, functions.j)] * scale
