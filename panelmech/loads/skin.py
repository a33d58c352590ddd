"""Skin buckling under the part's own stresses: compression along the span and shear of each case and place together.

One sheet is pressed along the span by bending, and both pass the shear flow of torque and side force. The other sheet
is stretched and passes the same flow, as the section is symmetric about its chord line; stretching only steadies it
(Rayleigh: its work has the one sign for every shape), so the pressed sheet is the one that counts. Torque and side
force add at one end of the sheet, land or rod, and take from each other at the other: they count with their signs.

What is judged is the share of the forces at which the sheet buckles, of all together, with no formula of interaction
(`mechanics.shell_sheared`). Forces of the place are taken all along its bay: on the demo's four cases 8 to 18 % more
than the same eigenvalue problem with forces that vary along the span as its diagrams say. The stretch that a skin
pressure leaves in the sheet is not counted.
"""

from __future__ import annotations

import numpy as np

from ..mechanics.shell_sheared import share_of_critical
from ..study.checks import framed_needs
from ..study.framed_sheet import BUCKLES, bays_counted
from ..study.grain import sheet_grain
from ..units import show, show_input
from .plan import StatedLimit

COUNTED = (
    "all forces of the place at once: compression growing from the land with the distance from the chord line, shear "
    "flow of torque and side force with their signs; the same all along the bay and read on the safe side, by up to "
    "6 %; what skin pressure stretches is left out"
)


def used(study, response) -> np.ndarray:
    """Share of the forces at which the skin buckles [-], (..., cases, places), of a response of the study's sections.
    Where no shear flows are known to it ("sheared" of `loads.response.framed_along`), of the compression alone."""
    local, index = study.local, study.index
    pressed = response.skin_compression / local["buckling"][..., index]
    if "sheared" not in local:
        return pressed
    flows = np.moveaxis(local["sheared"][..., None, index], -3, 0)
    even, side = response.torque_flow, response.side_flow
    share = share_of_critical(pressed, even, side, flows)
    return np.where((response.skin_compression == 0.0) & (even == 0.0) & (side == 0.0), 0.0, share)


def limit(study) -> StatedLimit:
    """The share allowed."""
    factor, design = study.plan.judgement.buckling, study.blade.design
    source = f"1 over {show_input(factor.value)}, {factor.source}"
    source = "; ".join(filter(None, (source, sheet_grain(design).remark, bays_counted(design, BUCKLES))))
    return StatedLimit(1.0 / factor.value, factor.basis, source, needs=framed_needs(design))


def counted(study) -> str:
    """What is counted, and of what the share is made where it is worst, in words."""
    share, response = used(study, study.response), study.response
    if np.any(np.isnan(share)):
        return COUNTED
    place = np.unravel_index(np.argmax(share), share.shape)
    alone = study.local["buckling"][study.index[place[1]]]
    pressed, critical, sheared = (
        show(float(value), "MPa", 3) for value in (response.skin_compression[place], alone, response.sheet_shear[place])
    )
    return (
        f"{COUNTED}; at its worst {pressed} of compression at the rod, which alone would buckle it at {critical}, with "
        f"{sheared} of shear at most"
    )
