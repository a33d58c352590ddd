"""One design and all that follows from it alone: quantities, checks, sweeps, sizing, tolerances, choice, the wedge.

May use: numpy, scipy and the rooms below. Verbs: evaluate a design, sweep, size, scatter, combine, compare, name the
nearest curve, set the bent pair against the flat wedge, start from a finished size that is given,
advise what to change.

Why it is so
- A check is one row of a table: quantity, limit, ceiling or floor, basis, source, advice. The engine that judges it
  is here, and loads, shop and measured use it too.
- Plain SI floats, one table of quantities: a units library costs two orders of magnitude in time and does not pass
  through scipy.
- A design's framed sheet is a plate problem of its own. A map reads it between designs worked out and works out what
  hangs on the doubt; a choice works it out best first, until the rows asked for stand. It is sized through Chebyshev
  points, doubled until they foretell, so the error is measured.
- Named curves are all fitted by one rule, starting at the land along it, or free: a fit with more freedom wins for
  that reason alone.
- Numeric regression stands in pytest with tolerances, notebooks come second: text cannot say how close is close.
"""

from .advice import advise
from .bent_and_flat import sheet_curves
from .checks import meaning
from .choose import combine, unbeaten
from .design import Design
from .every_map import check_map
from .given import with_given
from .inside import Inside, Rib, Zone
from .named_curves import curve_words, fit_named_curves
from .side_by_side import compare
from .sizing import size
from .study import Study, evaluate
from .sweeps import Sweep, sweep
from .tolerances import scatter
from .verdicts import Check
from .wedge_comparison import overtaking
from .wedge_levels import drawing_level

__all__ = [
    "Check",
    "Design",
    "Inside",
    "Rib",
    "Study",
    "Sweep",
    "Zone",
    "advise",
    "check_map",
    "combine",
    "compare",
    "curve_words",
    "drawing_level",
    "evaluate",
    "fit_named_curves",
    "meaning",
    "overtaking",
    "scatter",
    "sheet_curves",
    "size",
    "sweep",
    "unbeaten",
    "with_given",
]
