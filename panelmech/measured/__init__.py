"""Readings from the bench, what they are worth, and the verdict on a pair of sheets as built."""

from .land import how_much_it_cares
from .pair import after_a_while, as_clamped, camber_outlook, explain_offsets, judge_pair, measured_offsets
from .readings import read_readings

__all__ = [
    "after_a_while",
    "as_clamped",
    "camber_outlook",
    "explain_offsets",
    "how_much_it_cares",
    "judge_pair",
    "measured_offsets",
    "read_readings",
]
