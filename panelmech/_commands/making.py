"""A new job: from inputs given or asked for on the terminal, or from older files."""

from __future__ import annotations

import sys

from ..blade.blade import Blade
from ..job.agree import following
from ..job.job import demo
from ..job.shelf import folder_of, new_job, open_job, refuse_taken, take_in
from ..job.typed import FINISHED, INSTEAD, MATERIALS, design_typed, missing, read_input
from ..job.verdict import judge_job
from ..materials.stock import UnknownName, catalogue
from ..measured.readings import Readings
from ..study.design import LIMITS
from ..study.study import evaluate
from ..study.typed_inside import TYPED
from ..study.verdicts import said
from ..units import LENGTHS, capital, unit_words
from .work import BY, FINE, about

_WHOLE = ("design", "part along its span", "whole job")  # of what is taken in: what holds the six first inputs


def run_new(options, name) -> int:
    """Make a job, open it and say how its design stands."""
    refuse_taken(folder_of(name, options.jobs), options.jobs)
    job, begun = _begun(options, name)
    stock = catalogue.with_entries(options.stock) if options.stock else catalogue
    values = {key: _read(key, text, stock) for key, text in _given(options).items()}
    design = _designed(job.design, values, () if begun else missing(values), stock)
    design = design.replace(title=options.title or (job.design.title if begun else name))
    job = following(job, job.with_design(design)).replace(lengths=options.lengths or job.lengths)
    verdict = judge_job(job)
    folder = new_job(name, job, BY, said(verdict.word), options.jobs)
    open_job(folder.name, options.jobs)
    print(f"{folder.name} is made and open: {folder}\n{verdict.line}")
    return FINE


def _begun(options, name):
    """(the job to begin with, whether files gave it a whole design)."""
    plain = demo().design.replace(purpose="", made_by="", ident="", issued="")
    job = demo().replace(blade=Blade(plain), readings=Readings(), loads=None, lengths=options.lengths or LENGTHS[0])
    begun = False
    for path in options.take:
        with about(path):
            job, what = take_in(job, path)
        begun = begun or what in _WHOLE
        print(f"{path}: {what} taken in.")
    return job, begun


def _given(options):
    names = (*MATERIALS, *LIMITS, *FINISHED, *TYPED)
    return {name: text for name in names if (text := getattr(options, name, None)) is not None}


def _read(name, text, stock):
    """The value of an input; what was understood is said."""
    value, words = read_input(name, text, stock)
    print(f"{capital(_label(name))}: {words}")
    return value


def _label(name):
    if name in TYPED:
        return TYPED[name].label
    return name if name in MATERIALS else FINISHED[name] if name in FINISHED else LIMITS[name].label


def _designed(base, values, ask, stock):
    """The design of what is given and what is asked for; on a terminal asked again until it can be bent."""
    if ask and not sys.stdin.isatty():
        raise ValueError(f"missing: {', '.join(map(_option, ask))}. Give each with its unit, or answer on a terminal")
    while True:
        for name in ask:
            key, value = _asked(name, stock)
            values = {k: v for k, v in values.items() if k not in (name, INSTEAD.get(name))} | {key: value}
        try:
            design = design_typed(base, values)
            evaluate(design, local=False)  # says here that it cannot be bent
            return design
        except ValueError as error:
            if not ask:
                raise
            print(f"{capital(str(error))}. Once more:")


def _option(name):
    words = f"--{name.replace('_', '-')}"
    return f"{words} or --{INSTEAD[name].replace('_', '-')}" if name in INSTEAD else words


def _asked(name, stock):
    """(name, value) of an input as answered on the terminal; asked again until it can be read."""
    while True:
        text = _answered(_question(name))
        first, _, rest = text.partition(" ")
        instead = INSTEAD.get(name)
        key, text = (instead, rest.strip()) if instead and first.lower() == instead.split("_")[0] else (name, text)
        try:
            return key, _read(key, text, stock)
        except ValueError as error:
            print(error)
            if isinstance(error, UnknownName):
                print(_listed(getattr(stock, MATERIALS[name])))


def _answered(question):
    try:
        return input(question).strip()
    except EOFError:
        raise ValueError("the answers ended too early: nothing is made") from None


def _question(name):
    if name in MATERIALS:
        return f"{capital(name)}, by name or words of it: "
    instead = f", or {INSTEAD[name].split('_')[0]} and the {FINISHED[INSTEAD[name]]}" if name in INSTEAD else ""
    return f"{capital(LIMITS[name].label)}{instead} [{unit_words(LIMITS[name].unit)}]: "


def _listed(shelf):
    return "\n".join(f"  {name}" for name in shelf)
