"""The shop pack as rows of its CSV files: the unit in each head, numbers to six digits, the label of the cure data.

Every function gives the head row and the rows, cells as text.
"""

from __future__ import annotations

import numpy as np

from ..shop.cut_list import parts
from ..shop.pack import ShopPack
from ..units import from_si, pretty_unit
from .shop_rows import grams


def number_cell(value, unit, digits=6) -> str:
    """A number for a CSV file in this unit; empty where there is none."""
    return "" if np.isnan(value) else f"{from_si(float(value), unit):.{digits}g}"


def heads(*names) -> tuple:
    """Heads of a CSV file: (name, unit) pairs as "name, unit"."""
    return tuple(f"{name} [{pretty_unit(unit)}]" if unit else name for name, unit in names)


def cut_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the cut list's CSV file."""
    head = heads(
        ("part", ""),
        ("count", ""),
        ("material", ""),
        ("along the chord", "mm"),
        ("along the span", "mm"),
        ("thickness", "mm"),
        ("size", ""),
        ("grain", ""),
        ("face", ""),
        ("mass", "g"),
    )
    rows = [
        (
            p.name,
            str(p.count),
            p.material,
            *(number_cell(v, "mm") for v in p.cut),
            p.size,
            p.grain,
            p.face,
            number_cell(p.mass, "g"),
        )
        for p in parts(pack)
    ]
    return (head, *rows)


def batch_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the batch sheet's CSV file: grams are for one pot."""
    head = heads(
        ("pour", ""),
        ("lift", ""),
        ("lifts", ""),
        ("depth", "mm"),
        ("fills", "mL"),
        ("system", ""),
        ("pots", ""),
        ("resin per pot", "g"),
        ("hardener per pot", "g"),
        ("hardener off", "%"),
        ("filler, least", "mL"),
        ("filler, most", "mL"),
        ("hottest", "degC"),
        ("cure data", ""),
    )
    peak = dict(zip(np.round(pack.heat.heat.depth, 9), pack.heat.heat.peak, strict=True))
    rows = []
    for line in pack.pours:
        batch = line.batch
        low, high = batch.filler_volume or (np.nan, np.nan)
        hot = peak.get(np.round(line.depth, 9), np.nan)
        rows.append(
            (
                line.name,
                str(line.lift),
                str(line.lifts),
                number_cell(line.depth, "mm"),
                number_cell(line.volume, "mL"),
                line.system.name,
                str(line.pots.count),
                grams(batch.resin, pack.choices.scale_resolution).removesuffix(" g"),
                grams(batch.hardener, pack.choices.scale_resolution).removesuffix(" g"),
                number_cell(batch.hardener_off, "%", 3),
                number_cell(low, "mL", 2),
                number_cell(high, "mL", 2),
                number_cell(hot, "degC", 3),
                pack.heat.label if np.isfinite(hot) else "",
            )
        )
    return (head, *rows)


def schedule_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the schedule's CSV file; times as year-month-day hour:minute."""
    head = ("step", "kind", "start", "end", "latest start", "what", "warnings", "cure data")
    form = "%Y-%m-%d %H:%M"
    rows = [
        (
            s.name,
            s.kind,
            s.start.strftime(form),
            s.end.strftime(form),
            "" if s.latest is None else s.latest.strftime(form),
            s.words,
            "; ".join(s.warnings),
            pack.heat.label if s.key in ("lift", "frame") else "",
        )
        for s in pack.schedule.steps
    ]
    return (head, *rows)


def volume_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the volumes' CSV file, the triangle rule at the end."""
    head = heads(("what", ""), ("volume", "mL"), ("with waste", "mL"), ("material", ""), ("formula", ""), ("how", ""))
    rows = [
        (r.name, number_cell(r.volume, "mL"), number_cell(r.with_waste, "mL"), r.material, r.formula, r.how)
        for r in pack.volumes.rows
    ]
    return (
        head,
        *rows,
        *(
            (
                f"triangle rule {t.which}",
                "",
                "",
                "",
                f"{t.ratio:.3f} times the true area",
                "the trade's rule, depth × height ÷ 2, for comparison",
            )
            for t in pack.volumes.triangles
        ),
    )
