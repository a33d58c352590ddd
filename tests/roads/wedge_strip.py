"""The flat wedge's sheet as a chordwise strip, for comparison with the bent one of the same sheets, rod and setback."""

import numpy as np

from panelmech.mechanics.strip import NODES, Support, flat_strip_response
from panelmech.mechanics.wedge import solve_wedge


def wedge_contact(bend):
    """(angle [rad], length [m]) of the flat wedge with the same sheets, rod and setback: a straight sheet, hinged at
    the land end on its mid-surface, tangent to the rod. Length runs from the hinge to the contact.

    Raises ValueError where no straight sheet reaches the rod. See `wedge`.
    """
    wedge = solve_wedge(bend.free_length, bend.sheet_thickness, bend.spacer_diameter, bend.bond_line, bend.setback)
    if not np.isfinite(wedge.angle):
        raise ValueError(
            "No flat wedge: a straight sheet of this free length does not reach round the spacer; "
            "use a longer sheet or a smaller spacer."
        )
    return float(wedge.angle), float(wedge.contact_arclength)


def wedge_strip_response(bend, bending_stiffness, load, *, nodes=NODES, stations=61):
    """Answer of the flat wedge's sheet strip, hinged at the land and resting on the rod, for comparison with
    `strip_response` of the same sheets, rod and setback. Arguments as there."""
    length = wedge_contact(bend)[1]
    support = Support("hinged", "resting", "held")
    return flat_strip_response(
        length, float(bend.sheet_thickness), bending_stiffness, load, support, nodes=nodes, stations=stations
    )
