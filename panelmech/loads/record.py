"""What a load record is made from: the part, its loads as stated, what came of them, and its fittings' checks."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..blade.blade import Blade
from ..study.verdicts import Check
from .load_file import LoadSheet
from .load_study import LoadStudy, evaluate_loads
from .mend import mended_fittings


@dataclass(frozen=True, eq=False)
class LoadRecord:
    """A part under its loads.

    blade : the part along its span
    sheet : the loads as stated
    study : what came of them
    fittings : checks of its fittings, with what mends them
    """

    blade: Blade
    sheet: LoadSheet
    study: LoadStudy
    fittings: tuple[Check, ...]


def record_of(blade: Blade, sheet: LoadSheet) -> LoadRecord:
    """Work a part and its loads out; raises as `loads.load_study.evaluate_loads`."""
    study = evaluate_loads(blade, sheet.plan)
    return LoadRecord(blade, sheet, study, mended_fittings(study, sheet.fittings))


def judged(record: LoadRecord) -> LoadStudy:
    """The study with the checks of the fittings among its own."""
    return replace(record.study, checks=(*record.study.checks, *record.fittings))
