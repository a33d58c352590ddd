"""The cut list of a shop pack: parts, lines to mark on the blanks, what is left of the stock, what the part weighs.

Lengths to a tenth of a millimetre. No formula but areas times lengths and densities.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import show_input
from .along_span import AlongSpan
from .pack import ShopPack

SCRAP = (0.10, 0.025)  # m: strips of a scrap joint; judgement


@dataclass(frozen=True)
class Part:
    """A part to cut: `count`, `material`, `size` in words, `cut` (along the chord, along the span, thick) [m] or nan,
    `grain` and `face` in words, `mass` of all of them, finished [kg], nan where not known."""

    name: str
    count: int
    material: str
    size: str
    cut: tuple
    grain: str
    face: str
    mass: float


def parts(pack: ShopPack) -> tuple:
    """Everything to cut (`Part`): the blanks, the spacer, dams from their templates, a scrap joint."""
    return (*(_blank(blank) for blank in pack.blanks), _spacer(pack), *_dams(pack), _scrap(pack.design))


def _blank(blank):
    low, high = blank.cut_length
    ends = np.ptp(blank.outline[:, 1])
    long = _plain(low) if abs(high - low) < 5e-5 else f"{_plain(low)} to {_plain(high)}"
    grain = {"chord": "along the chord", "span": "along the span", "none": "none"}[blank.grain]
    return Part(
        f"{blank.hand.capitalize()} sheet",
        1,
        blank.sheet,
        f"{long} × {_plain(ends)} × {show_input(blank.thickness, 'mm')}",
        (max(low, high), float(ends), blank.thickness),
        grain,
        f"{blank.face} out",
        blank.mass,
    )


def _spacer(pack):
    design, along = pack.design, AlongSpan(pack.design, pack.blade)
    if pack.blade is None:
        across, walls = [design.spacer_diameter] * 2, [design.spacer_wall] * 2
    else:
        found = pack.blade.values_at(np.array(along.ends))
        across, walls = found["spacer_diameter"], found["spacer_wall"]
    kind = f"{_run(walls)} wall" if max(walls) > 0.0 else "solid"
    widest = float(max(across))
    return Part(
        "Spacer",
        1,
        design.spacer.name,
        f"{_run(across)}, {kind}, {tenth(design.span)} long",
        (widest, design.span, widest),
        "–",
        "–",
        float(along.integral(0.0, design.span, _rod_area) * design.spacer.density),
    )


def _rod_area(design, _):
    outer, wall = 0.5 * design.spacer_diameter, design.spacer_wall
    return np.pi * (outer**2 - (outer - wall) ** 2 if wall > 0.0 else outer**2)


def _run(values):
    """A dimension of the rod, from root end to tip where it changes, with what lies between."""
    said = [show_input(float(value), "mm") for value in values]
    return said[0] if len(set(said)) == 1 else " to ".join(said)


def _dams(pack):
    for key in ("end-dam", "closing-frame"):
        found = [template for template in pack.templates if template.key.startswith(key)]
        both = len(found) > 1  # of a tapered part, each from a template of its own
        if found:
            yield Part(
                found[0].name.split(",")[0] if both else found[0].name,
                sum(t.count for t in found),
                "scrap, wrapped in tape",
                f"{'own' if both else 'from'} template, {show_input(pack.choices.dam_clearance, 'mm')} clear",
                (np.nan,) * 3,
                "–",
                "–",
                np.nan,
            )


def _scrap(design):
    return Part(
        "Scrap joint",
        2,
        f"{design.sheet.name}, offcut",
        f"{_plain(SCRAP[0])} × {tenth(SCRAP[1])}",
        (*SCRAP, design.sheet_thickness),
        "–",
        "–",
        np.nan,
    )


def _plain(length):
    return tenth(length).removesuffix(" mm")


def tenth(length) -> str:
    """A length to a tenth of a millimetre."""
    return f"{length * 1e3:.1f} mm"


def marks(pack: ShopPack) -> tuple:
    """Lines to mark on each blank: (name, from the finished edge, from the cut edge) as text; for lines along the span
    these are the trailing edge, for those along the chord the nearer end, and both ends stand in one row."""
    back, ends, rows = pack.choices.trim_back, pack.choices.trim_ends, []
    for line in pack.blanks.pair[0].lines:
        if np.isfinite(line.from_root):
            at = min(line.from_root, pack.design.span - line.from_root)
            rows.append(("frame lines, from each end", tenth(at), tenth(at + ends)))
        else:
            low, high = line.from_trailing_edge
            both = [
                tenth(low + off) if abs(high - low) < 5e-5 else f"{_plain(low + off)} to {tenth(high + off)}"
                for off in (0.0, back)
            ]
            rows.append((line.name, *both))
    return tuple(dict.fromkeys(rows))


def stock_words(pack: ShopPack) -> str:
    """How the blanks lie on the stock, and what is left, in two sentences."""
    laid = pack.nesting
    which, left, bottom, right, top = laid.largest_offcut
    size = f"{show_input(laid.sheet_length, 'mm')} × {show_input(laid.sheet_width, 'mm')}"
    rest = f"largest whole piece left: {(right - left) * 1e3:.0f} mm × {(top - bottom) * 1e3:.0f} mm" + (
        f", on sheet {which + 1}" if laid.sheets > 1 else ""
    )
    count = "1 stock sheet" if laid.sheets == 1 else f"{laid.sheets} stock sheets"
    return f"{count} of {size}, grain along its {laid.sheet_grain}, saw cut {show_input(laid.kerf, 'mm')}; {rest}."


def mass_rows(pack: ShopPack) -> tuple:
    """(what, mass [kg]) of the finished part as built: sheets, spacer, glue, potting and frames without waste, of
    thickened mixes the resin in them. Masses of resin by the mixed, liquid density."""
    bond, pour = (system.density()[0] for system in (pack.choices.bond, pack.choices.pour))
    there = {row.name: row.volume for row in pack.volumes.rows}
    frames = sum(v for name, v in there.items() if "closing frame" in name)
    rows = [
        ("two sheets", sum(blank.mass for blank in pack.blanks)),
        ("spacer", _spacer(pack).mass),
        ("glue line", there.get("glue line", 0.0) * bond),
        ("potted nose", there.get("potted nose", 0.0) * pour),
        ("closing frames", frames * pour),
    ]
    return (*rows, ("together", sum(mass for _, mass in rows)))
