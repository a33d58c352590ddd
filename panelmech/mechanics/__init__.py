"""The exact curve, the section, the strip and the shell: numbers in, numbers out. No names of designs or materials.

May use: numpy, scipy, `units`, `materials`. Verbs: solve a bend, find its forming loads, take its section, press a
framed sheet, at small and at large deflection, buckle it, under membrane forces that act together, too, solve an
unmatched or a real pair.

Why it is so
- The frictionless bend is in closed form, explicit in the contact angle: a root finder without a branch rule returns
  the other equilibrium, and arrays are fast.
- A sheet clamped at a slope is still the rectangular elastica, turned, so land slope and ratio of stiffness fit
  measured offsets exactly together.
- Grain is counted by the shell, axes along chord and span; a closed-form factor of a long flat sheet missed the bend.
- The in-plane part of the shell is eliminated by blocks: 1.5 % of it is not zero, and a full factor takes two to four
  times as long.
- At large deflection u and v stand in the energy as squares only: eliminated exactly, one factor for the whole path.
  The load and the deflection of a place turn back on the way, so the path goes by the mean deflection; steps that may
  hide a limit, or end on another strand, are halved (thin sheets by chance: same ends with steps of 0.15 to 1).
- GJ of the whole section is Bredt's cell and loose parts: measured against finite elements and said; what is missing
  is mostly the resin of the nose.
- The adhesive is a bed of 2 E / g under each sheet: by symmetry each has half the bond line.
"""

from .as_built_bend import RealBend, real_bend
from .bend import Bend, InfeasibleBend, solve_bend
from .forming import FormingLoads, forming_loads
from .large_deflection import load_curve, press_large
from .pressure_curve import press_both_ways
from .section import Section, bent_section, composite_section, flat_wedge_section
from .shell import buckle, press
from .shell_model import framed_sheet
from .shell_stresses import MembraneForces, buckle_under
from .strip import strip_response
from .unequal import UnequalBend, solve_unequal
from .unequal_bow import BowedBend, solve_bowed

__all__ = [
    "Bend",
    "BowedBend",
    "FormingLoads",
    "InfeasibleBend",
    "MembraneForces",
    "RealBend",
    "Section",
    "UnequalBend",
    "bent_section",
    "buckle",
    "buckle_under",
    "composite_section",
    "flat_wedge_section",
    "forming_loads",
    "framed_sheet",
    "load_curve",
    "press",
    "press_both_ways",
    "press_large",
    "real_bend",
    "solve_bend",
    "solve_bowed",
    "solve_unequal",
    "strip_response",
]
