"""The numbers of the load panel: name for a builder, unit, what is accepted, slider, help. No formula.

`LOAD_LIMITS` does for loads what `study.design.LIMITS` does for a design; the groups are those of the panel.
"""

from __future__ import annotations

from ..study.design import Limit

LOAD_LIMITS = {limit.field: limit for limit in (
    Limit("tip_free_length", "free length, tip", "mm", 5, 5000, 80, 500, 1, "part",
          "free length of sheet at the tip; the one at the root is the design's"),
    Limit("step_at", "step of the rod at", "mm", 1, 20000, 50, 1000, 10, "part",
          "from the root end; from here on the second rod"),
    Limit("second_rod", "rod beyond the step", "mm", 0.1, 2000, 4, 80, 0.5, "part",
          "outside diameter of the rod from the step to the tip"),
    Limit("speed", "speed", "m/s", 0, 30, 0, 6, 0.1, "water", "through the water; 1 knot is 0.514 m/s"),
    Limit("angle", "angle to the flow", "deg", -90, 90, -10, 25, 0.5, "water",
          "between the water's flow and the chord: leeway, or the angle of the helm"),
    Limit("coefficient", "lift coefficient", "", -3, 3, 0, 1.5, 0.05, "water",
          "side force over area and stagnation pressure, if you know it better than the angle"),
    Limit("end_plate", "end plate factor", "", 1, 2, 1, 2, 0.05, "water",
          "1: root and tip both free in the water; 2: a flat hull closes the root without a gap; between: a gap or a "
          "curved hull, your own judgement. It multiplies the aspect ratio; above 1 the force is fullest at the root"),
    Limit("immersed_from", "out of the water", "mm", 0, 20000, 0, 600, 10, "water",
          "so much of the span, from the root end, is dry"),
    Limit("severe", "severe case, times", "x", 0, 20, 0, 5, 0.1, "water",
          "the sailing case times this: your own judgement of a broach or a wave"),
    Limit("tip_push", "push on the tip", "N", -1e5, 1e5, 0, 300, 5, "pushes",
          "force across the blade, as when it grounds"),
    Limit("mid_push", "push along the span", "N", -1e5, 1e5, 0, 300, 5, "pushes",
          "force across the blade at one place"),
    Limit("mid_place", "its place, of the span", "%", 0, 100, 0, 100, 1, "pushes",
          "from the root end, 0, to the tip, 100"),
    Limit("sealed_at", "sealed at", "degC", -60, 120, -10, 40, 1, "heat", "temperature when the last vent was closed"),
    Limit("heated_to", "heated to", "degC", -60, 200, -10, 90, 1, "heat",
          "hottest the air inside becomes; as sealed: no pressure, as with a vent"),
    Limit("head", "water inside", "mm", 0, 20000, 0, 1000, 10, "heat",
          "depth of water shut in the hollow, which stays: as when a flooded part is lifted out"),
    Limit("bearing_1", "first bearing", "mm", -20000, 20000, 0, 500, 5, "held",
          "from the root end; on a stock above it, a negative number, typed"),
    Limit("bearing_2", "second bearing", "mm", -20000, 20000, 0, 500, 5, "held",
          "from the root end; on a stock above it, a negative number, typed"),
    Limit("stock_length", "stock, length", "mm", 1, 20000, 50, 1000, 10, "held",
          "how far it reaches above the root end; bearings must lie on it or on the part"),
    Limit("stock_diameter", "stock, diameter", "mm", 0.1, 2000, 6, 80, 0.5, "held", "outside, of the bar or tube"),
    Limit("stock_wall", "stock, wall", "mm", 0, 1000, 0, 10, 0.25, "held", "of a tube; 0 for a solid bar"),
    Limit("stock_modulus", "stock, modulus", "GPa", 0.1, 1000, 1, 220, 1, "held",
          "Young's modulus, common values from memory: aluminium 69, steel 200, bronze 105"),
    Limit("stock_strength", "stock, strength", "MPa", 0, 5000, 0, 1000, 5, "held",
          "yield stress, before your factor; 0: not known, and its check stays unknown"),
    Limit("strength", "factor on strength", "x", 1, 50, 1, 6, 0.1, "judgement",
          "strengths of sheet, rod, potting are divided by this"),
    Limit("bond", "factor on bonds", "x", 1, 50, 1, 6, 0.1, "judgement",
          "strengths of glued faces are divided by this"),
    Limit("buckling", "factor on buckling", "x", 1, 50, 1, 6, 0.1, "judgement",
          "buckling stresses are divided by this"),
)}  # fmt: skip

FACTORS = ("strength", "bond", "buckling")
OWN_LIMITS = {  # field of the judgement: (label, unit)
    "sheet_strength": ("sheet, along the span", "MPa"),
    "resin_strength": ("potting", "MPa"),
    "sheet_shear_strength": ("sheet, in shear", "MPa"),
    "nose_bond_strength": ("potting to sheet, shear", "MPa"),
    "tip_deflection": ("tip may bend by", "mm"),
    "tip_twist": ("tip may twist by", "deg"),
}
