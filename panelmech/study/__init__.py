"""One design and what follows: quantities, checks, sweeps, sizing, scatter, choice, the wedge beside it."""

from .choose import combine, unbeaten
from .framed_grid import sweep_framed
from .named_curves import curve_words, fit_named_curves
from .side_by_side import compare
from .sizing import size
from .sweeps import sweep
from .tolerances import scatter
from .wedge_comparison import overtaking

__all__ = [
    "combine",
    "compare",
    "curve_words",
    "fit_named_curves",
    "overtaking",
    "scatter",
    "size",
    "sweep",
    "sweep_framed",
    "unbeaten",
]
