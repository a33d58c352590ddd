"""Load cases, side force, the part as a beam, its response and checks under load."""

from .load_file import LoadSheet, fitting_checks
from .load_study import evaluate_loads
from .sizing import size_for_load
from .steering import steering_bias

__all__ = [
    "LoadSheet",
    "evaluate_loads",
    "fitting_checks",
    "size_for_load",
    "steering_bias",
]
