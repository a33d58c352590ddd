"""What the part meets: load cases, side force, the part as a beam, its response, checks with case and place, fittings.

May use: numpy, scipy and the rooms below. Verbs: read a load file, evaluate the loads of a part, size for a load,
check fittings, estimate the steering bias.

Why it is so
- The side force is full at the root only with an end plate: a free end carries nothing, so the force acts further
  out, which is the safe side.
- The torque in the cell is its share of GJ, all of it where that is not known: finite elements, and the safe side.
- Forming and service open the land: moments add, energies do not, since adding energies leaves out the mixed term.
- Several strains are added as magnitudes, point by point: an upper bound that needs no direction.
- The bond line of the land counts what the sheets over it add: the sheet's flow at the land end is 4 to 5 % less on
  the leeboard, more for wide lands.
- Load quantities have a table of their own: the study's is what a design alone gives, and sweeps and study files go
  through all of it.
"""

from .load_file import LoadSheet, fitting_checks
from .load_study import evaluate_loads
from .meanings import load_meaning
from .sizing import size_for_load
from .steering import steering_bias

__all__ = [
    "LoadSheet",
    "evaluate_loads",
    "fitting_checks",
    "load_meaning",
    "size_for_load",
    "steering_bias",
]
