"""What the bench says: readings with their uncertainty, moduli of two real sheets, and the verdict on the pair.

May use: numpy, scipy and the rooms below. Verbs: read readings, judge a pair, clamp it, see it after a while, explain
measured offsets.

Why it is so
- Of two tests of a sheet the surer counts and the other checks it: they share the thickness, so a mean would look
  surer than it is.
- Two standard uncertainties make a verdict sure; below that the words say what is not known.
"""

from .land import land_sensitivity
from .pair import after_a_while, as_clamped, camber_outlook, explain_offsets, judge_pair, measured_offsets
from .readings import read_readings

__all__ = [
    "after_a_while",
    "as_clamped",
    "camber_outlook",
    "explain_offsets",
    "judge_pair",
    "land_sensitivity",
    "measured_offsets",
    "read_readings",
]
