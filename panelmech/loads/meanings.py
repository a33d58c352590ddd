"""What each check under load is, and what a builder would see, a sentence each, beside the rows of `LOAD_RULES`."""

from __future__ import annotations

from .checks import LOAD_RULES

MEANINGS = {
    "sheet_stress": "How hard the sheet is pulled or pressed along the span as the part bends; too hard, and it breaks "
    "from the outside in.",
    "spacer_stress": "The same pull along the rod inside; too hard, and the rod stays bent or breaks.",
    "potting_stress": "The same pull in the resin round the rod; too hard, and the potting cracks across.",
    "sheet_shear": "How hard twisting and side load slide the sheet within its own plane; too hard, and it tears along "
    "a slant.",
    "land_shear": "How hard one sheet slides along the other in the glue of the land; too hard, and the trailing edge "
    "shears open.",
    "nose_shear": "How hard the sheet slides along the potting at the front; too hard, and the front comes loose from "
    "its potting.",
    "joint_opening": "How hard the bent sheets and the load peel the glued land open from inside; too hard, and a "
    "crack runs back along the glue to the trailing edge.",
    "permanent_strain": "How far the sheet is stretched by its bend and by the loads that stay on; too far, and it "
    "creeps or breaks long after.",
    "short_strain": "How far the sheet is stretched by its bend and by any load, the briefest too; too far, and it "
    "cracks.",
    "lift_off": "How near pressure from inside, or suction, comes to lifting the sheet off a rod it only rests on; "
    "beyond, a gap opens at the rod.",
    "skin_buckling": "How near the sheet comes to throwing waves between land, rod and frames, pressed along the span "
    "on one side as the part bends and slid within its own plane by side load and twist; beyond, it ripples and the "
    "part goes soft.",
    "skin_pressed": "How far one sheet gives in between land, rod and frames under the pressure of the load; too far, "
    "and it pops in and out like the lid of an oil can.",
    "stock_stress": "How hard the round stock above the blade is bent and twisted; too hard, and it stays bent.",
    "tip_deflection": "How far the tip moves sideways under the load, against what you allow.",
    "tip_twist": "How far the tip turns about the span under the load, against what you allow.",
}


def load_meaning(key: str) -> str:
    """What a check under load is, what a builder would see and what helps, in plain words; ValueError for a key of no
    check.

    >>> load_meaning("tip_deflection")
    'How far the tip moves sideways under the load, against what you allow.'
    """
    for rule in LOAD_RULES:
        if rule.key == key:
            return MEANINGS[key]
    raise ValueError(f"there is no check {key!r} under load; there are {', '.join(rule.key for rule in LOAD_RULES)}")
