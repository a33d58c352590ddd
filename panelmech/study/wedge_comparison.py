"""Fair comparisons of the bent pair with the flat wedge: which stiffness became more, by how much, which
did not, and what would change it.

"Stiffer" has many meanings, so each measure has a name, and each comparison a condition: the same spacer, the same
outer thickness at the front, the same mass, or the same second moment. Sheets, lengths and setback are the same
throughout; what the condition asks for is met by changing the wedge's spacer (or, for the mass, its sheet
thickness).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from ..mechanics.section import bent_pair, composite_section, wedge_pair
from ..mechanics.shell_model import FOOTPRINT
from ..units import show, to_si
from .checks import SAME_WITHIN
from .design import LIMITS, Design
from .framed_sheet import LOCAL_KEYS, bent_local, bent_sheet, modulus_known, wedge_length, wedge_local
from .quantities import gather
from .shell_comparison import compare_sheet, wedge_free_length
from .study import evaluate
from .verdicts import FAILS, lower


@dataclass(frozen=True)
class Measure:
    """One meaning of "stiff". `words` complete "stiffer in ..."; `local` ones belong to one framed sheet."""

    key: str
    words: str
    short: str
    local: bool = False


# of which size: `framed_sheet.point_pressing`; read once, so both units stand in it
PRESSED = f"a square of {1e3 * FOOTPRINT:g} mm ({FOOTPRINT / 0.0254:.1f} in; at most a quarter of a side)"

MEASURES = {
    measure.key: measure
    for measure in (
        Measure(
            "i_chord",
            "bending about the chord line, the two sheets alone (second moment)",
            "sheets, bending about the chord",
        ),
        Measure("torsion_constant", "twisting, the two sheets as a closed cell", "sheets, twisting"),
        Measure("i_normal", "bending edgewise, the two sheets alone", "sheets, bending edgewise"),
        Measure(
            "chord_stiffness",
            "bending about the chord line, with land, spacer and potting (EI)",
            "whole, bending about the chord",
        ),
        Measure("torsion_stiffness", "twisting, with land, spacer and potting (GJ)", "whole, twisting"),
        Measure("curve_moment", "bending of one sheet on its own along the span", "one sheet along the span"),
        Measure(
            "press_free",
            "even pressing on one framed sheet, edges free to draw in",
            "even press, edges drawing in",
            True,
        ),
        Measure("press_held", "even pressing on one framed sheet, edges held", "even press, edges held", True),
        Measure(
            "point_free",
            f"a press on {PRESSED} of one framed sheet, edges free to draw in",
            "point press, edges drawing in",
            True,
        ),
        Measure("point_held", f"a press on {PRESSED} of one framed sheet, edges held", "point press, edges held", True),
        Measure(
            "strip_free",
            "equal pressure on both faces far from the frames, front potted",
            "long sheet, both faces pressed",
            True,
        ),
        Measure("strip_held", "a side load far from the frames, front potted", "long sheet, side load", True),
        Measure(
            "buckling_free",
            "skin buckling under compression along the span, edges free to draw in",
            "skin buckling, drawing in",
            True,
        ),
        Measure(
            "buckling_held",
            "skin buckling under compression along the span, edges held",
            "skin buckling, edges held",
            True,
        ),
    )
}
CONDITIONS = ("the same spacer", "the same outer thickness", "the same mass", "the same second moment")


@dataclass(frozen=True)
class Comparison:
    """The bent pair against one flat wedge. `condition` in words; `wedge` the wedge's design, None if there is none;
    `ratios` bent over wedge by measure key, above one where it has more of that stiffness; `why` says why there is
    none."""

    condition: str
    wedge: Design | None
    ratios: dict
    why: str = ""


def bent_measures(design: Design, local: bool = True, local_keys=LOCAL_KEYS) -> dict:
    """Every measure of the bent pair by key, SI. InfeasibleBend where it cannot be bent.

    nan where a material value is not known. `local_keys`: which measures of one framed sheet, if `local`.
    """
    bend = design.bend()
    return {
        **_sections(bent_pair(bend), composite_section(bend, gather(design))),
        **(bent_local(design, bend, local_keys) if local else {}),
    }


def wedge_measures(design: Design, local: bool = True, local_keys=LOCAL_KEYS) -> dict:
    """Every measure of the flat wedge by key, SI; nan (ValueError if `local`) where the wedge cannot touch its rod."""
    wedge = design.wedge()
    return {
        **_sections(wedge_pair(wedge), composite_section(wedge, gather(design))),
        **(wedge_local(design, wedge, local_keys) if local else {}),
    }


def _sections(pair, whole):
    names = {
        "i_chord": pair,
        "torsion_constant": pair,
        "i_normal": pair,
        "curve_moment": pair,
        "chord_stiffness": whole,
        "torsion_stiffness": whole,
    }
    return {name: float(getattr(record, name)) for name, record in names.items()}


def compare_with_wedge(design: Design, local: bool = True, conditions=CONDITIONS) -> tuple[Comparison, ...]:
    """One `Comparison` for each condition.

    `local` False leaves out the measures of one framed sheet, which take up to a tenth of a second for each wedge.
    Where there is no such wedge the comparison has no ratios and says why; a ratio is nan where a material value is
    not known. InfeasibleBend where the design cannot be bent, ValueError for a condition not in `CONDITIONS`.
    """
    unknown = [c for c in conditions if c not in CONDITIONS]
    if unknown:
        raise ValueError(f"{unknown[0]!r} is no condition of a comparison; there are: {', '.join(CONDITIONS)}")
    bent = bent_measures(design, local)
    return tuple(_compare(design, bent, local, condition) for condition in conditions)


def _compare(design, bent, local, condition):
    finder = {
        "the same spacer": lambda d: d,
        "the same outer thickness": same_thickness_wedge,
        "the same mass": same_mass_wedge,
        "the same second moment": same_moment_wedge,
    }[condition]
    try:
        wedge = finder(design)
        wedge_length(wedge)  # or the reason why there is no wedge
        flat = wedge_measures(wedge, local)
    except ValueError as error:
        return Comparison(condition, None, {}, str(error))
    return Comparison(condition, wedge, {key: bent[key] / flat[key] for key in bent})


def same_thickness_wedge(design: Design) -> Design:
    """The design whose flat wedge is as thick over the outer faces at the front as this design's bent pair."""
    return _wedge_with(design, "spacer_diameter", lambda d: d.wedge().outer_thickness, design.bend().outer_thickness)


def same_moment_wedge(design: Design) -> Design:
    """The design whose flat wedge has the second moment about the chord line of this design's bent pair."""
    return _wedge_with(
        design, "spacer_diameter", lambda d: wedge_pair(d.wedge()).i_chord, bent_pair(design.bend()).i_chord
    )


def same_mass_wedge(design: Design) -> Design:
    """The design whose flat wedge, with land, spacer and potting, has the mass of this design's bent pair."""

    def mass(shape, of):
        return float(composite_section(shape, gather(of)).mass_per_length)

    return _wedge_with(design, "sheet_thickness", lambda d: mass(d.wedge(), d), mass(design.bend(), design))


def _wedge_with(design, field, value, target):
    """Change one input until `value` of the design meets `target`, by bracketing outwards from the present one."""
    start = getattr(design, field)

    def miss(x):
        try:
            return float(value(_changed(design, field, x))) - target
        except ValueError:
            return np.nan

    grid = start * np.geomspace(0.25, 4.0, 65)
    misses = np.array([miss(x) for x in grid])
    turns = np.flatnonzero(misses[:-1] * misses[1:] <= 0.0)
    if turns.size == 0:
        raise ValueError(
            f"no {LIMITS[field].label} from a quarter to four times the present one, all else kept, gives such a flat "
            "wedge"
        )
    nearest = turns[np.argmin(np.abs(np.log(grid[turns] / start)))]
    root = scipy.optimize.brentq(miss, grid[nearest], grid[nearest + 1], xtol=1e-15, rtol=1e-14)
    return _changed(design, field, root)


def _changed(design, field, value):
    """The design with one length changed; a tube that would not fit any more becomes a solid rod's limit, its full
    radius."""
    wall = min(design.spacer_wall, 0.5 * value) if field == "spacer_diameter" else design.spacer_wall
    return design.replace(**{field: float(value), "spacer_wall": wall})


def overtaking(design: Design, key: str, field: str = "spacer_diameter") -> float:
    """Spacer diameter (or sheet thickness) of the bent pair with which it draws level with the present flat wedge [m].

    Parameters
    ----------
    design : Design
        Its flat wedge sets the mark.
    key : str
        One of `MEASURES`.
    field : str
        "spacer_diameter" or "sheet_thickness": what the bent pair may change; all else stays.

    Returns
    -------
    float
        The present value if the bent pair is level or ahead already. nan if nothing up to the greatest spacer these
        sheets take (or up to four times the thickness, as far as the sheet can be bent and its stiffness is known)
        is enough, or there is no flat wedge. Within 1e-6 of the exact value.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> show(overtaking(demo().design, "i_chord"), "mm", 3)
    '20.7 mm'
    """
    if key not in MEASURES or field not in ("spacer_diameter", "sheet_thickness"):
        raise ValueError(
            f"{key!r} with {field!r}: give a measure ({', '.join(MEASURES)}) and spacer_diameter or sheet_thickness"
        )
    local, start = MEASURES[key].local, getattr(design, field)
    try:
        wedge_length(design)
    except ValueError:
        return float("nan")
    target = wedge_measures(design, local, (key,))[key]

    def lead(x):
        try:
            return bent_measures(_changed(design, field, x), local, (key,))[key] / target - 1.0
        except ValueError:
            return float("nan")

    present = bent_measures(design, local, (key,))[key] / target - 1.0
    if not present < 0.0:
        return start if present >= 0.0 else float("nan")
    top = design.bend().greatest_spacer * (1.0 - 1e-9) if field == "spacer_diameter" else 4.0 * start
    top = min(top, to_si(LIMITS[field].high, LIMITS[field].unit))
    return _first_level(lead, start, top, 9 if local else 33)


def _first_level(lead, start, top, count):
    """First x from `start` where `lead` turns from negative to not negative; a scan brackets it, Brent's method
    finds it. The scan ends where `lead` is not a number any more, at the last value where it still is one."""
    low = start
    for high in np.geomspace(start, top, count)[1:]:
        value, last = lead(high), False
        if np.isnan(value):
            high, last = _last_known(lead, low, high), True
            value = lead(high)
        if value >= 0.0:
            return float(scipy.optimize.brentq(lead, low, high, xtol=1e-9, rtol=1e-6))
        if last:
            return float("nan")
        low = high
    return float("nan")


def _last_known(lead, known, unknown):
    """By halving: the last x at which `lead` is a number, to 1e-7 of the interval."""
    for _ in range(24):
        middle = 0.5 * (known + unknown)
        known, unknown = (middle, unknown) if np.isfinite(lead(middle)) else (known, middle)
    return known


def side(ratio: float) -> str:
    """One of "stiffer", "softer", "the same", "unknown", of a ratio bent over wedge."""
    if not np.isfinite(ratio):
        return "unknown"
    if abs(ratio - 1.0) <= SAME_WITHIN:
        return "the same"
    return "stiffer" if ratio > 1.0 else "softer"


def ratio_words(ratio: float) -> str:
    """A ratio as a builder says it: "23 % less", "2.3 times", "the same"."""
    if side(ratio) in ("the same", "unknown"):
        return side(ratio)
    if ratio >= 1.995:
        return f"{show(ratio, '', 2)} times"
    if ratio < 0.05:
        return f"only {show(ratio, '%', 2)} of it"
    return f"{abs(ratio - 1.0) * 100:.0f} % {'more' if ratio > 1 else 'less'}"


def verdict(design: Design, comparison: Comparison) -> tuple[str, ...]:
    """Which stiffness became more, which did not, and what would change it, in sentences made from the numbers of one
    comparison."""
    if not comparison.ratios:
        return (f"There is no flat wedge with {comparison.condition} to compare with: {comparison.why}.",)
    groups = {word: [] for word in ("stiffer", "softer", "the same", "unknown")}
    for key, ratio in comparison.ratios.items():
        name, word = MEASURES[key].words, side(ratio)
        groups[word].append(f"{name}: {ratio_words(ratio)}" if word in ("stiffer", "softer") else name)
    than = f"than the flat wedge with {comparison.condition}"
    starts = {
        "stiffer": f"The bent pair is stiffer {than} in",
        "softer": f"The bent pair is softer {than} in",
        "the same": "No different:",
        "unknown": "Not known, for want of a material value:",
    }
    out = [f"{start} {'; '.join(groups[word])}." for word, start in starts.items() if groups[word]]
    if comparison.condition != "the same spacer":
        return (*out, *_met_words(design, comparison.wedge))
    local = any(MEASURES[key].local and np.isfinite(ratio) for key, ratio in comparison.ratios.items())
    return (*out, *(share_words(design) if local else ()), *change_words(design, comparison.ratios))


def _met_words(design, wedge):
    """What the wedge has that the bent pair has not, so that the condition is met."""
    for field in ("spacer_diameter", "sheet_thickness"):
        own, other = getattr(design, field), getattr(wedge, field)
        if own != other:
            label = LIMITS[field].label
            yield f"That wedge has a {label} of {show(other, 'mm')}, the bent pair of {show(own, 'mm')}."


def change_words(design: Design, ratios: dict) -> tuple[str, ...]:
    """For the section measures in which the wedge is ahead: the spacer, and the sheet, that draws level, and which
    checks fail there."""
    out = []
    for key in ("i_chord", "torsion_constant", "chord_stiffness", "torsion_stiffness"):
        if side(ratios.get(key, np.nan)) != "softer":
            continue
        spacer = _way(design, key, "spacer_diameter", "a spacer", "no spacer these sheets take")
        sheet = _way(
            design, key, "sheet_thickness", "a sheet", "no sheet up to four times as thick that bends so and is known"
        )
        out.append(
            f"{MEASURES[key].short[0].upper()}{MEASURES[key].short[1:]}: the bent pair draws level with the present "
            f"wedge with {spacer}, or, at the present spacer, with {sheet}."
        )
    return tuple(out)


def _way(design, key, field, name, none):
    value = overtaking(design, key, field)
    if not np.isfinite(value):
        return none
    failing = failing_with(design, field, value)
    return f"{name} of {show(value, 'mm', 3)}" + (f" (but fails there: {'; '.join(failing)})" if failing else "")


def failing_with(design: Design, field: str, value: float) -> tuple[str, ...]:
    """Names of the forming checks that fail once this length of the design is changed to `value` [m]."""
    study = evaluate(_changed(design, field, value), local=False)
    return tuple(lower(check.name) for check in study.limits if check.verdict == FAILS)


def share_words(design: Design) -> tuple[str, ...]:
    """What the clamped land and what curvature itself do to one framed sheet, from flat sheets changed in one thing
    each, by the linear theory; the shares multiply to the whole. Empty where the sheet's modulus is not known."""
    if not modulus_known(design):
        return ()
    bend = design.bend()
    shares = compare_sheet(bent_sheet(design, "free", bend), None, wedge_free_length(bend))
    out = []
    for pair, what, power in ((shares.deflection, "small even pressing", -1), (shares.critical, "skin buckling", 1)):
        free, held = pair
        land, length, *rest = (
            show(share**power, "", 3)
            for share in (free.clamped_land, free.free_length, free.curvature, held.curvature, free.whole, held.whole)
        )
        out.append(
            f"In {what} of one sheet the clamped land alone, on a flat sheet, gives {land} times; curvature on top of "
            f"it {rest[0]} times with edges free to draw in and {rest[1]} times with edges held; the free length, a "
            f"little off the wedge's, {length} times. Together {rest[2]} times with edges free to draw in "
            f"and {rest[3]} times with edges held."
        )
    return tuple(out)


def open_twist_ratio(design: Design) -> float:
    """Torsion stiffness of the closed cell over that of the pair while its front is still open [-].

    Open, two flat leaves joined at the land twist with sum b t^3 / 3 (Saint-Venant, thin rectangles); closed, with
    Bredt's cell on top. Both for the sheets alone, so the shear modulus cancels.
    """
    t, bend = design.sheet_thickness, design.bend()
    land = design.land_length * (2.0 * t + design.bond_line) ** 3 / 3.0
    leaves = 2.0 * design.free_length * t**3 / 3.0
    return float((bent_pair(bend).torsion_constant + leaves + land) / (leaves + land))
