"""How parts built alike differ: shares of them that fail, with every check counted."""

from __future__ import annotations

import sys

from ..entries import read_entry
from ..job.every import framed_rules
from ..job.verdict import judge_part
from ..loads.part_scatter import part_scatter_steps
from ..measured.as_measured import measured_range
from ..report.answers import aligned
from ..study.design import LIMITS
from ..study.rare import rare_share
from ..study.shares import INTERVAL
from ..study.study import stock_range
from ..study.tolerances import scatter
from ..study.varying import (
    KINDS,
    MODULUS,
    SAMPLE,
    Tolerance,
    cut_off_words,
    default_tolerances,
    input_label,
    input_unit,
)
from ..units import show
from .work import FINE


def run_scatter(options, found) -> int:
    """Draw parts by their tolerances and say what share fails each check."""
    job, known = found.job, _known(found.job)
    tolerances = _tolerances(options.tolerance, known)
    rules = framed_rules(job, known.design)
    together = _together(options.together)
    drawn = scatter(known.design, tolerances, options.count, options.seed, rules, together)
    if job.loads is not None and not options.without_loads:
        for come in part_scatter_steps(job.blade.with_root(known.design), job.loads, drawn):
            drawn = come.found or drawn
            if sys.stderr.isatty():
                print(f"\rparts worked out under the loads: {come.done}", end="", file=sys.stderr, flush=True)
    print("\n".join(_lines(drawn, known, tolerances)))
    if job.loads is not None and not drawn.read:
        print("Left out: the loads of the job, and the checks of the design that they judge in its place.")
    if options.rare:
        share = rare_share(known.design, tolerances, correlation=together, rules=rules, seed=options.seed)
        print(f"A check of the design, loads left out, however rare: {share.words()}")
    return FINE


def _known(job):
    """What is known of the sheets: as measured where the job has readings, else as of the stock."""
    report = judge_part(job, "pair").record if job.readings.rows else None
    return stock_range(job.design) if report is None else measured_range(report)


def _tolerances(typed, known):
    """The tolerances that are known, those typed as INPUT=SIZE or INPUT=SIZE,KIND in their place."""
    tolerances = {t.field: t for t in default_tolerances(known.design, known)}
    for text in typed or ():
        name, _, rest = text.partition("=")
        size, _, kind = rest.rpartition(",") if rest.rpartition(",")[2].strip() in KINDS else (rest, "", KINDS[0])
        field = name.strip().replace(" ", "_").replace("-", "_")
        if field not in (*LIMITS, MODULUS) or kind.strip() == SAMPLE or not size.strip():
            raise ValueError(f"--tolerance is {text!r}: give an input and its size, as “bond line=0.05 mm,deviation”")
        size = read_entry(size, f"--tolerance, {name.strip()},", input_unit(field)).value
        tolerances[field] = Tolerance(field, size, kind.strip())
    return tuple(one for one in tolerances.values() if one.size)


def _together(typed):
    """{(input, input): correlation} of what was typed as INPUT,INPUT=SHARE."""
    found = {}
    for text in typed or ():
        names, _, share = text.partition("=")
        pair = tuple(name.strip().replace(" ", "_").replace("-", "_") for name in names.split(","))
        if len(pair) != 2 or not share.strip():
            raise ValueError(f"--together is {text!r}: give two inputs and -1 to 1, as “sheet thickness,modulus=-0.5”")
        found[pair] = read_entry(share, "--together", "").value
    return found


def _lines(drawn, known, tolerances):
    sheets = f"thickness {known.origin('thickness')}, modulus {known.origin('modulus')}"
    yield f"{drawn.count} parts, seed {drawn.seed}. Sheets: {sheets}."
    yield f"Varied: {'; '.join(_told(one, known) for one in tolerances)}."
    if drawn.correlation:
        pairs = (f"{input_label(a)} with {input_label(b)} {r:g}" for (a, b), r in drawn.correlation.items())
        yield f"Correlation: {'; '.join(pairs)}."
    yield from filter(None, [cut_off_words(drawn.cut_off)])
    yield aligned([("Parts that fail", "Share"), *((drawn.labels[k], v.words()) for k, v in drawn.counted.items())])
    yield f"In brackets what chance leaves open: {INTERVAL}."
    if drawn.read:
        yield f"{drawn.read}; reserves are read between them to {show(drawn.framed_doubt, '%', 2)} at most."


def _told(one, known):
    name = {"sheet_thickness": "thickness", MODULUS: "modulus"}.get(one.field)
    basis = "measured" if name in known.measured and one in default_tolerances(known.design, known) else one.basis
    unit = input_unit(one.field)
    kind = "± " if one.kind == KINDS[0] else "standard deviation "
    return f"{input_label(one.field)} {kind}{show(one.size, unit, 2)} ({basis})"
