"""Results stored in a study file, and what has moved since they were stored.

`store` writes what a study comes to into its file; `check` computes it afresh and compares. It is the user's own
regression: a change of the package, of a library below it, of a catalogue or of an input shows as a result, limit,
reserve or verdict that moved, and changed inputs are named even where no number moved.

The stored table, in the study file under "results": the tables of `study.kept_results`, and

    "input_hash": "3f0c…",            what the inputs were
    "tolerance": 1e-6,                relative, for every number without its own
    "inputs": {"friction": 0.3, …}    the inputs themselves, the values of stock written out

What is not stored, of all that is computed now, is named and fails, and so does an input hash that is missing or of
other inputs: a comparison that leaves things out proves little. Files of before 0.2 lack whole tables; they are
compared as far as they go, and what they lack is said.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..files import refuse_unknown
from .checks import CHECKS
from .design import Design, plain_inputs, read_study, write_study
from .kept_results import DEFAULT_TOLERANCE as DEFAULT_TOLERANCE
from .kept_results import TABLES, Beside, Worked, read_tables, set_beside, tables_of
from .kept_results import Comparison as Comparison
from .kept_results import table_text as table_text
from .quantities import QUANTITIES
from .study import Study, evaluate

INPUTS = "inputs"
_KEYS = ("input_hash", "tolerance", INPUTS, *TABLES)
_JUDGED_BY = {rule.key: rule.quantity for rule in CHECKS}


@dataclass(frozen=True)
class Outcome(Beside):
    """All comparisons of one study.

    study : as it computes now
    comparisons : every `Comparison`
    inputs_changed : whether the results were not stored for these very inputs
    missing : names of results, limits, reserves and verdicts that are computed now and not stored
    changed : {input: (as stored, now)}, plain values by their key in the file, of those that changed
    lacks : what the file does not hold at all, in words, since it is of before that was stored
    """

    study: Study
    comparisons: tuple
    inputs_changed: bool
    missing: tuple = ()
    changed: dict = field(default_factory=dict)
    lacks: tuple = ()


def results_of(study: Study, earlier: dict | None = None) -> dict:
    """The table of results to store. Tolerances of an `earlier` table are kept."""
    earlier = earlier or {}
    return {
        "input_hash": study.design.input_hash(),
        "tolerance": earlier.get("tolerance", DEFAULT_TOLERANCE),
        **tables_of(worked(study.quantities), study.checks, earlier),
        INPUTS: plain_inputs(study.design),
    }


def worked(quantities: dict) -> dict:
    """{name: `Worked`} of quantities of `QUANTITIES` [SI]."""
    return {name: Worked(QUANTITIES[name].label, value, QUANTITIES[name].unit) for name, value in quantities.items()}


def store(path) -> Study:
    """Compute the results of a study file and write them into it, all or nothing. Raises as `check` does."""
    design, earlier = read_study(path)
    if earlier is not None:
        _read_results(earlier)
    study = evaluate(design)
    write_study(path, design, results_of(study, earlier))
    return study


def check(path) -> Outcome:
    """Recompute the stored results of a study file.

    Raises OSError if the file cannot be read, ValueError if it is no study file, stores no results or stores them in a
    form that is not known, InfeasibleBend (a ValueError) if its design cannot be bent.
    """
    design, results = read_study(path)
    if not results:
        raise ValueError(
            f"no results are stored in it, so there is nothing to check: store them first, "
            f"python -m panelmech store {path}"
        )
    return moved_results(design, results)


def moved_results(design: Design, results: dict) -> Outcome:
    """Set stored results beside those of the design as it computes now; raises as `check` does."""
    kept = _read_results(results)
    study = evaluate(design)
    for key in (*kept.verdicts, *kept.limits, *kept.reserves):
        study.check(key)  # says which there are
    lines, missing = set_beside(kept, worked(study.quantities), study.checks, _JUDGED_BY)
    other = results.get("input_hash") != design.input_hash()
    changed = changed_inputs(results[INPUTS], plain_inputs(design)) if other and INPUTS in results else {}
    lacks = (*kept.lacks, *(() if INPUTS in results else (INPUTS,)))
    return Outcome(study, lines, other, missing, changed, lacks)


def changed_inputs(before: dict, after: dict) -> dict:
    """{key: (before, after)} of plain values that differ; None where there is none."""
    pairs = {key: (before.get(key), after.get(key)) for key in dict.fromkeys((*before, *after))}
    return {key: pair for key, pair in pairs.items() if pair[0] != pair[1]}


def _read_results(results):
    """What a stored table holds, strict: what is not known is refused by name."""
    refuse_unknown(results, _KEYS, "results")
    kept = read_tables(results, known={name: quantity.unit for name, quantity in QUANTITIES.items()})
    if not any((kept.quantities, kept.verdicts, kept.limits, kept.reserves)):
        raise ValueError("its table of results is empty, so there is nothing to check: store them first")
    if not isinstance(results.get(INPUTS, {}), dict):
        raise ValueError(f"results, {INPUTS} is {results[INPUTS]!r}: give a table of keys and values")
    return kept
