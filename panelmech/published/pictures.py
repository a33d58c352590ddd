"""What of the published cases a curve shows better than a table: ours as lines, published values as dots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..loads.hydrodynamics import LIFT_MODELS, lift_slope
from ..mechanics import elastica
from ..mechanics.shell_model import CLAMPED
from . import buckling, curve, heat, plates, water

STATIONS = 61


@dataclass(frozen=True, eq=False)
class Picture:
    """Lines of ours and dots of what is published, on one pair of axes.

    title, across, up : of the picture and its axes
    lines, dots : (name, values across, values up) each; a dot has the place of the line of the same number
    equal : the same scale both ways, for a shape
    """

    title: str
    across: str
    up: str
    lines: tuple
    dots: tuple = ()
    equal: bool = False


def curve_pictures() -> tuple[Picture, ...]:
    """The sheet from a slight bend to the square arch, and the cantilever with an end load."""
    shapes = []
    for degrees in (15, 30, 45, 60, 75, 90):
        tip = np.radians(degrees)
        left = tip * np.linspace(1.0, 0.0, STATIONS) ** 2  # angle still to turn, closer together at the tip
        k = elastica.arclength(tip)
        x, y = (np.array([part(tip, a) for a in left]) / k for part in (_along, _across))
        shapes.append((f"tip at {degrees}°", x, y))
    loads = np.linspace(0.05, 12.0, STATIONS)
    drops = np.array([curve.side_end(p)[:2] for p in loads]).T
    load, drop, draw_in, _ = zip(*curve.MATTIASSON, strict=True)
    return (
        Picture("Sheet from the land to the contact", "x over length", "y over length", tuple(shapes), equal=True),
        Picture(
            "Cantilever with an end load of fixed direction",
            "P L²/EI",
            "of the length",
            (("drop", loads, drops[0]), ("draw-in", loads, drops[1])),
            (("Mattiasson 1981", load, drop), ("Mattiasson 1981", load, draw_in)),
        ),
    )


def _along(tip, left):
    """x of the point that still has `left` to turn, in units of 1/k: the whole less what is in front of it."""
    return _place(tip, left)[0]


def _across(tip, left):
    return _place(tip, left)[1]


def _place(tip, left):
    """x and y from the land of a point of the curve that ends at the angle `tip`, in units of 1/k.

    Along the end force the curve runs by `elastica.across`, square to it by `elastica.along`, counted from the tip.
    """
    s, c = np.sin(tip), np.cos(tip)
    across = elastica.across(tip) - elastica.across(left)
    along = elastica.along(tip) - elastica.along(left)
    return along * c + across * s, along * s - across * c


def plate_pictures() -> tuple[Picture, ...]:
    """Deflection of framed sheets over their shape, and walls with a free top."""
    ratios = np.linspace(1.0, 5.0, 33)
    supported = [plates.PLATE * plates.middle(r) for r in ratios]
    clamped = [plates.PLATE * plates.middle(r, CLAMPED) for r in ratios]
    widths = np.linspace(0.4, 2.0, 33)
    walls = [
        (plates.top_deflection(1.0, 1.0 / r, "even"), plates.top_deflection(1.0, 1.0 / r, "from top")) for r in widths
    ]
    first, last = (tuple(zip(*table, strict=True)) for table in (plates.ROARK_1A, plates.ROARK_8A))
    free = tuple(zip(*((1.0 / r, w) for r, w in plates.FREE_EDGE), strict=True))
    return (
        Picture(
            "Even pressure: deflection in the middle",
            "long side over short",
            "α = w E t³/(q b⁴)",
            (("supported", ratios, supported), ("clamped", ratios, clamped)),
            (("Roark 2002, 1a", *first[:2]), ("Roark 2002, 8a", *last[:2])),
        ),
        Picture(
            "Wall with a free top: deflection of the top",
            "width over height",
            "w D/(q b⁴), b the width",
            (("even pressure", widths, [a for a, _ in walls]), ("water up to the top", widths, [b for _, b in walls])),
            (("Timoshenko & W.-K. 1959", *free),),
        ),
    )


def buckling_pictures() -> tuple[Picture, ...]:
    """k over length for flat sheets, and over the curvature for long curved ones."""
    ratios = np.linspace(0.5, 4.0, 57)
    bryan, levy = ((1.0, 2.0, 3.0), (4.0, 4.0, 4.0)), tuple(zip(*buckling.LEVY_CLAMPED, strict=True))
    free = tuple(zip(*buckling.ONE_FREE, strict=True))
    z = np.linspace(0.5, 40.0, 28)
    spots = np.array((2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0))
    return (
        Picture(
            "Pressed along the span: flat sheets",
            "length over width",
            "k",
            (
                ("clamped all round", ratios, [buckling.k_of(r, CLAMPED) for r in ratios]),
                ("supported all round", ratios, [buckling.k_of(r) for r in ratios]),
                ("one side free, ν 0.25", ratios, [buckling.k_of(r, plates.FREE_TOP, 0.25, (14, 20)) for r in ratios]),
            ),
            (("Levy 1942", *levy), ("Bryan 1891", *bryan), ("Timoshenko & Gere 1961", *free)),
        ),
        Picture(
            "Pressed along the span: curved sheets",
            "Z = b² √(1 − ν²)/(R t)",
            "k",
            (("supported, three widths long", z, [buckling.curved(value) for value in z]),),
            (("Batdorf 1947", spots, buckling.batdorf(spots)),),
        ),
    )


def lift_pictures() -> tuple[Picture, ...]:
    """Lift slope over aspect ratio, by each formula on offer."""
    ratios = np.linspace(0.2, 6.0, STATIONS)
    names = {"whicker-fehlner": "Whicker & Fehlner", "helmbold": "Helmbold", "lifting line": "lifting line, 0.9 of 2π"}
    lines = tuple((names[model], ratios, lift_slope(ratios, model)) for model in LIFT_MODELS)
    dots = [(), (), ()]
    at = list(LIFT_MODELS).index("lifting line")
    dots[at] = ("Prestero 2001", (water.REMUS[0],), (water.REMUS[1],))
    return (Picture("Lift slope of a low blade", "effective aspect ratio", "per radian", lines, tuple(dots)),)


def heat_pictures() -> tuple[Picture, ...]:
    """Warmth left across bodies that cool, and the heat at which a pour runs away."""
    names, spots = tuple(heat.BODIES), np.linspace(0.0, 1.0, 6)
    cooling = Picture(
        "Cooling, at a tenth of radius²/diffusivity",
        "from the centre to the face",
        "share of the warmth left",
        tuple((name, *heat.cooled(name)) for name in names),
        tuple(("Carslaw & Jaeger 1959", spots, [heat.series(name, x) for x in spots]) for name in names),
    )
    centres = np.linspace(0.1, 3.0, 30)
    lines = tuple((name, [heat.steady_heat(c, name, 41) for c in centres], centres) for name in names)
    dots = tuple(("Frank-Kamenetskii 1938", (heat.CRITICAL[n],), (heat.CENTRES[n],)) for n in names)
    return cooling, Picture("Runaway: no steady state beyond the dot", "heat δ", "rise in the centre θ", lines, dots)
