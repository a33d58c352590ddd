"""What the bench says: readings with their uncertainty, moduli of two real sheets, and the verdict on the pair.

May use: numpy, scipy and the rooms below. Verbs: read readings, judge a pair, clamp it, see it after a while, explain
measured offsets, doubt readings.

Why it is so
- Every number of a pair is worked out in one pass from the readings (`one_pass`): what two numbers share, a sheet's
  thickness, a strip, a rig, is one input, and two tests of a sheet count together without looking surer than they are.
- The uncertainty for 95 % makes a verdict sure, with the degrees of freedom that the repeats leave; below that, or with
  a reading in doubt or missing, it is "not sure yet" and never "holds".
- What nobody measured is never exact: a step, a repeat, a modulus, a bow, a density and a strip's thickness that are
  not given have a size of their own, marked as such (`taken`); what was typed stands.
- Whatever shaped a finished part and was not measured exactly is an unknown of the fit of its offsets: with the design
  taken as built to the last hundredth, nine intervals in ten missed the ratio of stiffness they were said to hold.
- A reading that looks like a slip does not count before it is confirmed: one wrong decimal point outweighs all others.
"""

from .finished_part import explain_offsets, judge_part, measured_offsets
from .land import land_sensitivity
from .later import after_a_while
from .pair import as_clamped, camber_outlook, judge_pair
from .plausible import doubts
from .readings import read_readings

__all__ = [
    "after_a_while",
    "as_clamped",
    "camber_outlook",
    "doubts",
    "explain_offsets",
    "judge_pair",
    "judge_part",
    "land_sensitivity",
    "measured_offsets",
    "read_readings",
]
