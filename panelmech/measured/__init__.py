"""What the bench says: readings with their uncertainty, moduli of two real sheets, and the verdict on the pair.

May use: numpy, scipy and the rooms below. Verbs: read readings, judge a pair, clamp it, see it after a while, explain
measured offsets, doubt readings.

Why it is so
- Of two tests of a sheet the surer counts and the other checks it: they share the thickness, so a mean would look
  surer than it is.
- Two standard uncertainties make a verdict sure; below that, or with a reading in doubt or missing, it is "not sure
  yet" and never "holds".
- A reading that looks like a slip does not count before it is confirmed: one wrong decimal point outweighs all others.
"""

from .land import land_sensitivity
from .later import after_a_while
from .pair import as_clamped, camber_outlook, explain_offsets, judge_pair, measured_offsets
from .plausible import doubts
from .readings import read_readings

__all__ = [
    "after_a_while",
    "as_clamped",
    "camber_outlook",
    "doubts",
    "explain_offsets",
    "judge_pair",
    "land_sensitivity",
    "measured_offsets",
    "read_readings",
]
