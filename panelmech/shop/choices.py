"""What the builder settles for the shop: resin systems, temperatures, saw and stock, pots and scale, how deep to pour.

`CHOICE_LIMITS` is the one table of the numbers: it validates them, sets the sliders and names the keys of the shop
file. A shop file is plain JSON with the unit in each key; loading it runs no code and refuses what it does not know.
Defaults are common practice or judgement, no source; a resin system's values are its data sheet's.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields
from datetime import datetime, time

from ..files import (
    FLAG,
    TEXT,
    Listed,
    changed,
    file_text,
    from_plain,
    number,
    read_file,
    refuse_unknown,
    short_hash,
    to_plain,
    write_atomically,
)
from ..materials.stock import Bought, ResinSystem, catalogue
from ..study.design import settled_in_order, untouched
from ..units import Limit, read_choice, read_flag, show_input
from .paper import ONE, PAPERS
from .resin import CONSISTENCIES, FILLERS

FORMAT = "panelmech shop"
SCHEMA = 1

# fmt: off
CHOICE_LIMITS = {
    limit.field: limit
    for limit in (
        # field, label, unit, least, most; slider from, to, step; group, help
        Limit("shop_temperature", "shop temperature", "degC", -10, 45, 10, 35, 1, "resin",
              "of shop, parts and resin alike, all the time until it has cured"),
        Limit("heat_limit", "heat limit of a pour", "degC", 25, 150, 35, 120, 1, "resin",
              "hottest it may get: what sheets, glue line and cured resin bear; judgement"),
        Limit("own_lift", "own depth of a lift", "mm", 0.5, 200, 2, 40, 0.5, "resin",
              "counts where the depth of a lift is chosen as your own"),
        Limit("sheet_conductivity", "conductivity", "W/mK", 0.02, 400, 0.1, 2, 0.05, "resin",
          "of the sheet, for heat: 0.3 glass laminate, 0.15 plywood, 0.2 acrylic, 140 to 200 aluminium; from memory"),
        Limit("waste", "waste", "%", 0, 100, 0, 50, 1, "resin", "what stays in pot and brush; 15 to 20 % is advised"),
        Limit("squeeze_out", "squeeze-out", "%", 0, 200, 0, 100, 5, "resin",
              "pressed out of the land, on top of the glue line"),
        Limit("scale_resolution", "steps of the scale", "g", 0.001, 100, 0.1, 5, 0.1, "resin",
              "smallest step it shows"),
        Limit("least_batch", "least worth mixing", "g", 0, 1000, 0, 50, 1, "resin",
              "a smaller pour is mixed up to this much: small lots go off ratio; judgement"),
        Limit("pot_volume", "mixing pot", "mL", 5, 20000, 50, 1000, 10, "resin", "to the brim"),
        Limit("pot_fill", "filled to at most", "%", 5, 100, 20, 100, 5, "resin", "of the pot: room to stir, less heat"),
        Limit("dam_clearance", "dam clearance", "mm", 0, 10, 0, 3, 0.1, "templates",
              "by which end dam and frame dam are smaller all round: tape and glue need room"),
        Limit("nose_rise", "nose rounded by", "mm", 0, 200, 0, 20, 0.5, "templates",
              "beyond the mouth; 0: left as it is"),
        Limit("edge_thickness", "left at the edge", "mm", 0.5, 50, 1, 10, 0.5, "templates",
              "thickness of the trailing edge; no thicker and it stays square; 3 to 4 mm (0.12 to 0.16 in) is usual"),
        Limit("dam_inset", "dams in from ends", "mm", 0, 1000, 0, 60, 1, "resin", "of the potted nose; 0: at the ends"),
        Limit("bead_length", "hinge-line bead", "mm", 0, 200, 0, 30, 1, "resin", "inside, how far it reaches; 0: none"),
        Limit("fillet_radius", "frame fillets", "mm", 0, 100, 0, 20, 1, "resin", "radius, inside the frames; 0: none"),
        Limit("trim_front", "trim in front", "mm", 0, 200, 0, 20, 0.5, "cutting",
              "cut off later, in front of the edge"),
        Limit("trim_back", "trim behind", "mm", 0, 200, 0, 20, 0.5, "cutting", "cut off later, at the trailing edge"),
        Limit("trim_ends", "trim at each end", "mm", 0, 200, 0, 30, 0.5, "cutting", "cut off later, along the span"),
        Limit("kerf", "saw cut", "mm", 0, 20, 0, 6, 0.1, "cutting", "width the blade takes"),
        Limit("edge_trim", "stock edges off", "mm", 0, 200, 0, 30, 1, "cutting", "damaged or out of square"),
        Limit("stock_length", "stock length", "mm", 50, 20000, 500, 4000, 10, "cutting", "as you buy it"),
        Limit("stock_width", "stock width", "mm", 50, 20000, 300, 2500, 10, "cutting", "as you buy it"),
        Limit("service_temperature", "hottest in use", "degC", -20, 150, 20, 80, 1, "resin",
              "in the sun a dark part gets far hotter than the air"),
        Limit("post_cure_temperature", "post-cure at", "degC", 0, 180, 30, 80, 1, "resin",
              "where a post-cure is chosen"),
        Limit("day_starts", "working day from", "h", 0, 23, 5, 12, 0.5, "schedule", "o'clock"),
        Limit("day_ends", "working day until", "h", 1, 23.5, 12, 23.5, 0.5, "schedule", "o'clock"),
    )
}
# fmt: on

LIFTS = ("lesser of both", "data sheet", "heat", "own")
DAMS = ("insulating", "cold")
OPTIONS = {
    "page": (*PAPERS, ONE),
    "dam": DAMS,
    "lift_choice": LIFTS,
    "stock_grain": ("length", "width"),
    "filler": tuple(FILLERS),
    "bond_consistency": ("neat", *CONSISTENCIES),
    "fill_consistency": tuple(CONSISTENCIES),
}
SYSTEMS = ("bond", "pour")
SHOP_JUDGED = ("heat_limit",)  # limits of checks that nobody but the builder knows
SWITCHES = ("keep_pairs", "front_in_frames", "foam", "post_cure")
START_FORM = "%Y-%m-%d %H:%M"


@dataclass(frozen=True)
class ShopChoices:
    """What is chosen for the shop. SI units; raises ValueError for a value outside `CHOICE_LIMITS` or `OPTIONS`.

    bond, pour : resin systems of the land and of the potting
    shop_temperature : of shop, parts and resin [K]
    start : local clock time as "2026-01-05 08:00"
    page : paper of the templates, one of `paper.PAPERS` or `ONE`
    lift_choice : what sets the depth of a lift, one of `LIFTS`
    own_lift : depth of a lift where it is your own [m]
    heat_limit : hottest that a pour may get [K]
    dam : under a lift, "insulating" or "cold"
    sheet_conductivity : for heat [W/(m K)]
    waste : what stays in pot and brush, of what is needed [-]
    squeeze_out : pressed out of the land, of the glue line [-]
    scale_resolution, least_batch : smallest step of the scale, least mass worth mixing [kg]
    pot_volume, pot_fill : mixing pot to the brim [m3], and how far it is filled [-]
    filler, bond_consistency, fill_consistency : of all thickened mixes; of the bond; of fillets and edges
    dam_clearance, dam_inset : dam and frame smaller all round; dams in from the ends [m]
    front_in_frames : whether the front beyond the dams is filled
    nose_rise : of the rounded nose beyond the mouth [m]; 0: left as it is
    edge_thickness : left at the trailing edge [m]
    bead_length, fillet_radius : bead inside along the hinge line, fillets inside the frames [m]; 0: none
    foam : whether the hollow is filled with foam
    trim_front, trim_back, trim_ends : cut off later [m]
    kerf, edge_trim : of the saw; off the edges of the stock [m]
    stock_length, stock_width, stock_grain : as bought [m]; the grain runs along "length" or "width"
    keep_pairs : whether both blanks of a pair lie side by side
    service_temperature : hottest in use [K]
    post_cure, post_cure_temperature : whether, and at what [K]
    day_starts, day_ends : of the working day [s after midnight]
    settled : names of `SHOP_JUDGED` whose default has been made one's own, as of `study.design.Design`

    >>> from panelmech.units import show
    >>> choices = ShopChoices(waste=0.2)
    >>> show(choices.waste, "%"), choices.pour.name
    ('20.00 %', 'slow casting resin, 2:1 by volume')
    """

    bond: ResinSystem = field(default_factory=lambda: catalogue.resin_systems["epoxy 5:1, fast hardener"])
    pour: ResinSystem = field(default_factory=lambda: catalogue.resin_systems["slow casting resin, 2:1 by volume"])
    shop_temperature: float = 295.15
    start: str = "2026-01-05 08:00"
    page: str = "A4"
    lift_choice: str = "lesser of both"
    own_lift: float = 6e-3
    heat_limit: float = 333.15
    dam: str = "insulating"
    sheet_conductivity: float = 0.3
    waste: float = 0.15
    squeeze_out: float = 0.3
    scale_resolution: float = 1e-4
    least_batch: float = 10e-3
    pot_volume: float = 250e-6
    pot_fill: float = 0.5
    filler: str = "colloidal silica"
    bond_consistency: str = "hangs"
    fill_consistency: str = "stands"
    dam_clearance: float = 0.5e-3
    dam_inset: float = 0.0
    front_in_frames: bool = False
    nose_rise: float = 0.0
    edge_thickness: float = 3e-3
    bead_length: float = 10e-3
    fillet_radius: float = 0.0
    foam: bool = False
    trim_front: float = 3e-3
    trim_back: float = 0.0
    trim_ends: float = 5e-3
    kerf: float = 3e-3
    edge_trim: float = 5e-3
    stock_length: float = 1.2
    stock_width: float = 1.0
    stock_grain: str = "length"
    keep_pairs: bool = True
    service_temperature: float = 313.15
    post_cure: bool = False
    post_cure_temperature: float = 323.15
    day_starts: float = 7 * 3600.0
    day_ends: float = 22 * 3600.0
    settled: tuple[str, ...] = ()

    def __post_init__(self):
        for name in CHOICE_LIMITS:
            object.__setattr__(self, name, CHOICE_LIMITS[name].read(getattr(self, name)))
        for name, allowed in OPTIONS.items():
            read_choice(getattr(self, name), name, allowed)
        for name in SYSTEMS:
            if not isinstance(getattr(self, name), ResinSystem):
                raise ValueError(
                    f"{name} is {getattr(self, name)!r}: give one of the catalogue's resin systems, or "
                    "one of your own (ResinSystem)"
                )
        for name in SWITCHES:
            read_flag(getattr(self, name), name)
        object.__setattr__(self, "settled", settled_in_order(self.settled, SHOP_JUDGED, self))
        _moment(self.start)
        if not self.day_starts < self.day_ends:
            raise ValueError("the working day ends before it begins: give a later end, or an earlier beginning")
        if not self.heat_limit > self.shop_temperature:
            raise ValueError(
                f"the heat limit of a pour, {show_input(self.heat_limit, 'degC')}, is not above the "
                f"shop's {show_input(self.shop_temperature, 'degC')}: raise the one or cool the other"
            )

    def untouched(self, *names: str) -> tuple[str, ...]:
        """Those of `names` (all of `SHOP_JUDGED` if none is given) that stand at a default nobody has made his own."""
        return untouched(self, names or SHOP_JUDGED)

    @property
    def moment(self) -> datetime:
        """The start as a local clock time."""
        return _moment(self.start)

    @property
    def day(self) -> tuple:
        """Beginning and end of the working day."""
        return tuple(time(*divmod(round(value / 60.0), 60)) for value in (self.day_starts, self.day_ends))

    def replace(self, **changes) -> ShopChoices:
        """New choices with some fields changed; unknown names raise ValueError."""
        return changed(self, changes, "the choice for the shop")

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with any choice, the values of the resin systems included."""
        text = json.dumps(choices_to_entry(self, by_name=False), sort_keys=True, ensure_ascii=False)
        return short_hash(text)

    def save(self, path) -> None:
        """Write a shop file, all or nothing."""
        write_atomically(path, choices_json(self))

    @classmethod
    def load(cls, path) -> ShopChoices:
        """Read a shop file; ValueError names the file, the key and what is allowed."""
        return read_file(path, "shop", FORMAT, SCHEMA, _choices_of)


def choices_json(choices: ShopChoices) -> str:
    """The text of a shop file."""
    return file_text(FORMAT, SCHEMA, {"shop": choices_to_entry(choices)})


def choices_to_entry(choices: ShopChoices, by_name: bool = True) -> dict:
    """The choices as plain values, the unit in each key. Systems that stand in the catalogue are given by name."""
    return to_plain(choices, _kept_fields(by_name))


def choices_from_entry(entry: dict, where: str = "shop") -> ShopChoices:
    """The inverse of `choices_to_entry`, strict; what is left out keeps its default."""
    return ShopChoices(**from_plain(entry, _kept_fields(), where))


def _kept_fields(by_name=True):
    """{field: how it stands in a shop file}, in the order of the record."""
    kinds = {
        "settled": Listed(TEXT, spare=True),
        **{name: number(limit.unit) for name, limit in CHOICE_LIMITS.items()},
        **dict.fromkeys(SYSTEMS, Bought("resin_systems", by_name)),
        **dict.fromkeys(SWITCHES, FLAG),
    }
    return {item.name: kinds.get(item.name, TEXT) for item in fields(ShopChoices)}


def _choices_of(content):
    refuse_unknown(content, ("shop",), "shop file")
    return choices_from_entry(content.get("shop"))


def _moment(text) -> datetime:
    try:
        moment = datetime.strptime(text, START_FORM)
    except (TypeError, ValueError):
        moment = None
    if moment is None or not 1900 <= moment.year <= 9000:
        raise ValueError(f'start is {text!r}: give date and time as "2026-01-05 08:00"')
    return moment
