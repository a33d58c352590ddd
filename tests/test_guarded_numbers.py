"""Every number that goes into a public verb is refused in words or answered rightly, whatever it is.

The walk takes one good call of every verb (`example_calls`), changes one argument that is a number, a list or an array
of numbers into each of a table of bad values, and asks for a ValueError of the house, or for a result that is finite or
says by a code, or by its own description, where it is not.
"""

import dataclasses
import datetime
import warnings

import numpy as np
import pytest
from example_calls import calls

from panelmech import blade, job, loads, materials, measured, mechanics, shop, study
from panelmech.units import LARGEST

DOORS = (materials, mechanics, study, measured, blade, loads, shop, job)
CALLS = calls()
# Results say themselves where they are no number, by a code or in the description of the verb: nan there is right.
TOLD = {
    "bending_modulus", "bending_stiffness", "first_order_offset", "greatest_spacer", "land_compliance", "lift_interval",
    "lift_slope", "load_sweep", "rod_forces", "solve_wedge", "span_diagrams", "stall_angle", "stiffness_curve",
    "surface_strain", "tolerance_line", "variance_share",
}  # fmt: skip
# Verbs and records of the doors that take records, texts and files only, or are results.
WITHOUT_NUMBERS = {
    "Bend", "BowedBend", "Check", "FormingLoads", "InfeasibleBend", "Inside", "LoadSheet", "RealBend", "Section",
    "Study",
    "Sweep", "UnequalBend", "advise", "along_span", "bent_section", "catalogue", "combine", "compare",
    "composite_section",
    "curve_words", "demo", "doubts", "drawing_level", "duplicate", "evaluate", "evaluate_loads", "explain_offsets",
    "fit_named_curves", "fitting_checks", "flat_wedge_section", "from_entry", "job_names", "job_of", "judge_job",
    "judge_part", "keep", "load_meaning", "meaning", "measured_offsets", "new_job", "open_job", "open_name",
    "overtaking",
    "read_history",
    "read_job", "read_readings", "rename", "rod_share", "shelf_of", "shop_pack", "start_job", "step", "stock_words",
    "take_in", "to_entry", "unbeaten",
}  # fmt: skip
SLOW, NIGHTLY = pytest.mark.slow, (pytest.mark.slow, pytest.mark.nightly)
LONG = dict.fromkeys(("real_bend", "rod_forces", "solve_bowed"), SLOW)
LONG |= dict.fromkeys(("inspect_pair", "judge_pair", "lift_depth", "rank", "size_for_load", "templates"), NIGHTLY)
# What may be infinite: no give at the land, a perfect conductor, no limit.
ENDLESS = {"land_spring", "springs", "across_modulus", "foundation", "coefficient"}
OF_PYTHON = (  # what numpy, scipy and Python say of a value that nobody read
    "truth value", "broadcast", "convert", "operand", "inhomogeneous", "unpack", "zero-size", "reshape", "iteration",
    "different signs", "must not contain", "unhashable", "subscript", "dimension",
)  # fmt: skip


def is_number(value):
    return isinstance(value, int | float | np.floating | np.integer) and not isinstance(value, bool)


def is_numeric(value):
    if isinstance(value, np.ndarray):
        return value.dtype.kind in "fiu"
    return is_number(value) or (isinstance(value, tuple | list) and len(value) > 0 and all(map(is_number, value)))


def never_numbers(good):
    """What can never be a number, by name; of a list or an array, one of its numbers at least."""
    numbers = np.asarray(good, dtype=float)
    yield "complex", complex(numbers.flat[0], 1.0)
    yield "complex array", numbers.astype(complex)
    yield from {
        "truth value": True, "truth values": np.array([True, False]), "text": "2", "texts": ["2", "3"], "none": [None],
        "date": np.datetime64("2020-01-01"), "time": np.timedelta64(3, "s"), "day": datetime.date(2020, 1, 1),
        "object": object(), "objects": np.array([object(), 1.0], dtype=object), "table": {},
        "ragged": [[1.0], [1.0, 2.0]], "beyond floats": 10**400,
    }.items()  # fmt: skip


def doubtful(good):
    """Numbers out of range or shape, in the place of a number, or of the first of several."""
    for number in (np.nan, np.inf, -np.inf, 1e308, -1e308, 1e100, LARGEST, 1e18, 1e-100, 5e-324, -1.0, 0.0, 10**12):
        yield repr(number), number if is_number(good) else with_first(good, number)
    yield "empty", np.array([])
    yield "shape", np.full((3, 7, 2), np.ravel(good)[0], dtype=float)


def masked(good):
    """The number, or the first of several, masked; its hidden value is the good one."""
    numbers = np.ma.array(np.asarray(good, dtype=float))
    numbers[(0,) * numbers.ndim] = np.ma.masked
    yield "masked", numbers
    yield "masked constant", np.ma.masked


def with_first(good, number):
    numbers = np.array(good, dtype=float)
    numbers.flat[0] = number
    return numbers


def not_finite(value, path="", depth=0):
    """Places in a result where a number is not finite."""
    if is_number(value):
        return set() if isinstance(value, int) or np.isfinite(value) else {path}
    if isinstance(value, np.ndarray):
        return {path} if value.dtype.kind == "f" and not np.all(np.isfinite(value)) else set()
    if depth > 4:
        return set()
    if dataclasses.is_dataclass(value):
        value = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
    if isinstance(value, dict):
        parts = value.items()
    else:
        parts = [("", part) for part in value[:50]] if isinstance(value, list | tuple) else []
    return set().union(*(not_finite(part, f"{path}.{name}", depth + 1) for name, part in parts))


def answer(call, name, value):
    """(result, complaint) of the call with one argument changed; the result is None where it was refused."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            return call(**{name: value}), ""
    except ValueError as error:
        return None, f"says {error}" if any(word in str(error) for word in OF_PYTHON) else ""
    except Exception as error:
        return None, f"{type(error).__name__}: {error}"


def is_coded(verb, result):
    return verb.split(" ")[0] in TOLD or any(hasattr(result, name) for name in ("reason_code", "reason", "feasible"))


@pytest.mark.parametrize("verb", [pytest.param(v, marks=LONG.get(v, ())) for v in CALLS])
def test_every_number_is_refused_in_words_or_answered(verb):
    call, complaints = CALLS[verb], []
    usual = not_finite(call())
    for name, good in call.arguments.items():
        if not is_numeric(good):
            continue
        for kinds in (never_numbers, masked, doubtful):
            for what, value in kinds(good):
                result, complaint = answer(call, name, value)
                odd = set() if result is None else not_finite(result) - usual
                if kinds is never_numbers and result is not None:
                    complaint = "came through"
                elif kinds is masked and result is not None and not odd and not is_coded(verb, result):
                    complaint = "was read by its hidden value"
                elif odd and not is_coded(verb, result) and not (what == "inf" and name in ENDLESS):
                    complaint = f"gives no finite number in {sorted(odd)}"
                complaints += [f"{name}, {what}: {complaint}"] if complaint else []
    assert complaints == []


def test_every_public_verb_with_a_number_is_walked():
    """A new verb or record of a door is walked, or named among those that take records, texts and files only."""
    walked = {name.split(" ")[0] for name in CALLS}
    offered = {name for door in DOORS for name in door.__all__}
    assert offered - walked == WITHOUT_NUMBERS
    assert walked & WITHOUT_NUMBERS == set()
