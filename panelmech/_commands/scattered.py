"""How parts built alike differ: shares of them that fail, with every check counted."""

from __future__ import annotations

import sys

from ..entries import read_entry
from ..files import named
from ..job.every import framed_rules
from ..job.verdict import judge_part
from ..loads.part_scatter import part_scatter_steps
from ..measured.as_measured import measured_range
from ..report.answers import aligned, rare_words
from ..study.design import LIMITS
from ..study.rare import rare_share
from ..study.shares import INTERVAL
from ..study.study import stock_range
from ..study.tolerances import scatter
from ..study.two_sheets import sheets_words
from ..study.typed_tolerances import read_input, read_sample, read_together, sample_text
from ..study.varying import (
    KINDS,
    MODULUS,
    SAMPLE,
    Tolerance,
    cut_off_words,
    default_tolerances,
    input_label,
    input_unit,
    together_words,
)
from ..units import show
from .work import FINE


def run_scatter(options, found) -> int:
    """Draw parts by their tolerances and say what share fails each check."""
    job, known = found.job, _known(found.job)
    tolerances = _tolerances(options.tolerance, options.measured, known)
    rules = framed_rules(job, known.design)
    names = [one.field for one in tolerances]
    together = named("--together", lambda: read_together("; ".join(options.together or ()), names))
    two = {"correlation": together, "alike": options.alike, "camber": job.camber}
    drawn = scatter(known.design, tolerances, options.count, options.seed, rules, **two)
    if job.loads is not None and not options.without_loads:
        for come in part_scatter_steps(job.blade.with_root(known.design), job.loads, drawn):
            drawn = come.found or drawn
            if sys.stderr.isatty():
                print(f"\rparts worked out under the loads: {come.done}", end="", file=sys.stderr, flush=True)
    print("\n".join(_lines(drawn, known, tolerances)))
    if job.loads is not None and not drawn.read:
        print("Left out: the loads of the job, and the checks of the design that they judge in its place.")
    if options.rare:
        share = rare_share(known.design, tolerances, rules=rules, seed=options.seed, **two)
        print(rare_words(share, job.loads is not None))
    return FINE


def _known(job):
    """What is known of the sheets: as measured where the job has readings, else as of the stock."""
    report = judge_part(job, "pair").record if job.readings.rows else None
    return stock_range(job.design) if report is None else measured_range(report)


def _tolerances(typed, measured, known):
    """The tolerances that are known, those typed as INPUT=SIZE or INPUT=SIZE,KIND, or as INPUT=VALUES as measured, in
    their place."""
    tolerances = {t.field: t for t in default_tolerances(known.design, known)}
    for text in typed or ():
        name, _, rest = text.partition("=")
        size, _, kind = rest.rpartition(",") if rest.rpartition(",")[2].strip() in KINDS else (rest, "", KINDS[0])
        field = name.strip().replace(" ", "_").replace("-", "_")
        if field not in (*LIMITS, MODULUS) or kind.strip() == SAMPLE or not size.strip():
            raise ValueError(f"--tolerance is {text!r}: give an input and its size, as “bond line=0.05 mm,deviation”")
        size = read_entry(size, f"--tolerance, {name.strip()},", input_unit(field)).value
        tolerances[field] = Tolerance(field, size, kind.strip())
    for text in measured or ():
        name, _, values = text.partition("=")
        field = named("--measured", lambda name=name: read_input(name, tolerances))
        tolerances[field] = named("--measured", lambda f=field, v=values: read_sample(known.design, f, v))
    return tuple(one for one in tolerances.values() if one.size)


def _lines(drawn, known, tolerances):
    sheets = f"thickness {known.origin('thickness')}, modulus {known.origin('modulus')}"
    yield f"{drawn.count} parts, seed {drawn.seed}. Sheets: {sheets}."
    yield f"Varied: {'; '.join(_told(one, known) for one in tolerances)}."
    yield sheets_words(drawn.alike, drawn.tolerance)
    yield from filter(None, [together_words(drawn.correlation), cut_off_words(drawn.cut_off)])
    yield aligned([("Parts that fail", "Share"), *((drawn.labels[k], v.words()) for k, v in drawn.counted.items())])
    yield f"In brackets what chance leaves open: {INTERVAL}."
    if drawn.read:
        yield f"{drawn.read}; reserves are read between them to {show(drawn.framed_doubt, '%', 2)} at most."


def _told(one, known):
    name = {"sheet_thickness": "thickness", MODULUS: "modulus"}.get(one.field)
    basis = "measured" if name in known.measured and one in default_tolerances(known.design, known) else one.basis
    if one.kind == SAMPLE:
        return f"{sample_text(known.design, one)} (as measured)"
    unit = input_unit(one.field)
    kind = "± " if one.kind == KINDS[0] else "standard deviation "
    return f"{input_label(one.field)} {kind}{show(one.size, unit, 2)} ({basis})"
