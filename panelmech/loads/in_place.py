"""Checks of a design that make way where loads are stated: nobody need guess at a pressure or a stress that is known.

Without loads the framed sheet is judged by a pressure and a stress of the design. Where these are defaults that nobody
has made his own, and the loads press or compress the sheet, the loads' own checks of the same sheet count in their
place: those of the design then stand as notes, with what the loads bring.
"""

from __future__ import annotations

from dataclasses import replace

from ..blade.along_checks import SpanStudy
from ..study.design import Design
from ..study.study import Study
from ..study.verdicts import Check, lower, note_of
from .load_study import LoadStudy

IN_PLACE = {  # check of a design: (input that it guesses at, check under load that counts in its place)
    "oil_canning": ("pressure", "skin_pressed"),
    "skin_buckling": ("service_stress", "skin_buckling"),
}


def with_loads(study: Study | SpanStudy, loads: LoadStudy) -> Study | SpanStudy:
    """The same study, its checks as they count beside those of the loads (`in_place`), place by place too."""
    blade, checks = loads.blade, in_place(study.checks, loads.blade.design, loads)
    if not isinstance(study, SpanStudy):
        return replace(study, checks=checks)
    studies = tuple(replace(one, checks=in_place(one.checks, blade.design, loads)) for one in study.studies)
    return replace(study, checks=tuple(c for c in checks if c.kind == "limit"), studies=studies)


def in_place(checks, design: Design, loads: LoadStudy) -> tuple[Check, ...]:
    """Checks of a design, those whose load is an untouched default as notes where the loads judge the same sheet."""
    under = making_way(design, loads)
    return tuple(_under_loads(check, under[check.key]) if check.key in under else check for check in checks)


def guessed(design: Design) -> tuple[str, ...]:
    """Keys of the checks of a design that may make way for loads: their load is an untouched default."""
    return tuple(key for key, (guess, _) in IN_PLACE.items() if design.untouched(guess))


def making_way(design: Design, loads: LoadStudy) -> dict[str, Check]:
    """Checks under load by the key of the design's check that makes way for them; none where the loads do not ask for
    the sheet at all."""
    under = {check.key: check for check in loads.limits if check.value != 0.0}
    return {key: under[IN_PLACE[key][1]] for key in giving_way(design, under)}


def giving_way(design: Design, under) -> tuple[str, ...]:
    """Keys of the checks of a design that make way; `under`: keys of the loads' checks that ask for something."""
    return tuple(key for key in guessed(design) if IN_PLACE[key][1] in under)


def _under_loads(check, under):
    """The line of a check that makes way."""
    source = f"judged under the loads, as “{lower(under.name)}”: its verdict stands there"
    return note_of(
        check.key, check.name, under.value, under.unit, source, under.where_text(), under.basis, beyond=under.beyond
    )
