"""Random jobs, every part of them, for tests: design, taper and steps, own stock, readings, loads, shop's choices."""

from dataclasses import fields, replace

from hypothesis import assume
from hypothesis import strategies as st

from panelmech.blade.blade import STRAIGHT_LINES, Blade, Table
from panelmech.job import Job
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from panelmech.loads.fittings import BearingBolt, BondedStud
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.plan import Factor, Judgement, LoadPlan, Own, Stock
from panelmech.materials.records import BASES
from panelmech.materials.stock import catalogue
from panelmech.measured.readings import KINDS, Readings, Row
from panelmech.shop.choices import CHOICE_LIMITS, OPTIONS, SWITCHES, SYSTEMS, ShopChoices
from panelmech.study.design import LIMITS, MODULUS_RULES, TEXTS, Design
from panelmech.study.inside import Inside, Rib, Zone
from panelmech.units import LENGTHS, to_si

texts = st.text(max_size=12)
OWN = {"density": (200.0, 3000.0), "weight_ratio": (1.0, 10.0)}
FIXED = {"span": 1.0, "frame_width": 0.0, "spacer_wall": 0.0, "spacer_diameter": 0.02}  # what must fit together


def decimals(low, high, unit=""):
    """Numbers of up to nine digits in a unit, as they are typed [SI]."""

    def typed(value):
        return to_si(min(max(float(f"{value:.9g}"), low), high), unit)

    return st.floats(low, high, allow_nan=False, allow_subnormal=False).map(typed)


def within(limit):
    """Values of an input."""
    return decimals(limit.low, limit.high, limit.unit)


def names(count):
    return st.lists(st.text(min_size=1, max_size=8), min_size=count, max_size=count, unique=True)


@st.composite
def of_stock(draw, shelf):
    """A record of the catalogue, or the same under another name with another density or ratio: own stock."""
    record = draw(st.sampled_from(sorted(shelf.values(), key=lambda r: r.name)))
    own = {name: OWN[name] for name in OWN if name in {f.name for f in fields(record)}}
    if not own or not draw(st.booleans()):
        return record
    name = f"own {draw(st.text('abcäö –“”', max_size=8))}".strip()
    return replace(record, name=name, **{key: draw(decimals(*ends)) for key, ends in own.items()})


@st.composite
def designs(draw):
    values = {name: draw(within(limit)) for name, limit in LIMITS.items() if name not in FIXED}
    words = {name: draw(texts) for name in TEXTS}
    stock = {name: draw(of_stock(getattr(catalogue, f"{name}s"))) for name in ("sheet", "adhesive", "spacer", "resin")}
    span, diameter = draw(decimals(10, 20000, "mm")), draw(decimals(0.1, 2000, "mm"))
    frame, wall = decimals(0, min(490 * span, 1000), "mm"), decimals(0, 490 * diameter, "mm")
    fits = {"frame_width": draw(frame), "spacer_wall": draw(wall)}
    rule, inside = draw(st.sampled_from(MODULUS_RULES)), draw(insides(span, fits["frame_width"]))
    fits |= {"spacer_diameter": diameter, "inside": inside}
    return Design(**values, **words, **stock, **fits, span=span, modulus_rule=rule)


@st.composite
def insides(draw, span, frame):
    """Ribs at tenths of what lies between the frames and a solid zone on either frame, or nothing."""
    free = span - 2.0 * frame
    if free < 0.3 or draw(st.booleans()):
        return Inside()
    places = draw(st.sets(st.integers(1, 9), max_size=4))
    ribs = [Rib(round(frame + 0.1 * n * free, 6), round(0.02 * free, 6)) for n in places]
    ends = {"root": (0.0, round(frame + 0.04 * free, 6)), "tip": (round(span - frame - 0.04 * free, 6), span)}
    zones = [Zone(*ends[name]) for name in draw(st.sets(st.sampled_from(sorted(ends))))]
    return Inside(tuple(ribs), tuple(zones))


@st.composite
def along(draw, name, design):
    """None, a number, a taper, a table or, of the rod alone, steps of one dimension."""
    limit, span = LIMITS[name], design.span
    low = design.spacer_diameter * 1e3 if name == "spacer_diameter" else limit.low  # no thinner than the wall needs
    value = decimals(low, limit.high, limit.unit)
    kinds = ("as it is", "even", "taper", "table")
    kind = draw(st.sampled_from((*kinds, "steps", "steps") if name == "spacer_diameter" else kinds))
    if kind == "as it is":
        return None
    if kind in ("even", "taper"):
        return draw(value) if kind == "even" else (draw(value), draw(value))
    inner = sorted(draw(st.sets(st.integers(1, 9), min_size=1, max_size=3)))
    places = [0.0, *(round(0.1 * n * span, 6) for n in inner), *([] if kind == "steps" else [span])]
    return Table(tuple(places), tuple(draw(value) for _ in places), kind == "steps")


@st.composite
def blades(draw):
    design = draw(designs())
    names = ("free_length", "land_length", "setback", "bond_line", "spacer_diameter")
    fields = {name: draw(along(name, design)) for name in names}
    return Blade(design, **fields, straight=draw(st.sampled_from(STRAIGHT_LINES)))


@st.composite
def rows(draw):
    name = draw(st.sampled_from(sorted(KINDS)))
    kind = KINDS[name]
    step = draw(st.sampled_from((0.0, 0.01, 0.5)))
    return Row(
        draw(st.sampled_from(kind.on)),
        name,
        draw(decimals(kind.low, kind.high, kind.unit)),
        draw(decimals(-500, 9000, "mm")) if kind.place else None,
        3600.0 * draw(st.integers(1, 80000)) if kind.timed else None,
        to_si(step, kind.unit),
        draw(texts.map(lambda text: text.replace("\r", "").strip())),
    )


@st.composite
def cases(draw, name):
    lasting = draw(st.booleans())
    kind = draw(st.sampled_from(("side", "push", "air", "water", "severe")))
    if kind == "side":
        angle = draw(decimals(-89, 89, "deg")) if draw(st.booleans()) else None
        coefficient = draw(decimals(-3, 3)) if angle is None else None
        speed, density = draw(decimals(0, 20)), draw(decimals(1, 1100))
        return SideForce(name, speed, density, angle, coefficient, draw(decimals(1, 2)), lasting=lasting)
    if kind == "push":
        chord = draw(st.none() | decimals(0, 100, "%"))
        return PointPush(name, draw(decimals(-1e4, 1e4)), draw(decimals(0, 100, "%")), chord, lasting)
    if kind == "air":
        return SealedAir(name, draw(decimals(-20, 60, "degC")), draw(decimals(-20, 90, "degC")), lasting=lasting)
    if kind == "water":
        return WaterHead(name, draw(decimals(0, 5000, "mm")), draw(decimals(0, 1100)), draw(st.booleans()), lasting)
    return Severe(name, draw(cases(name)), draw(decimals(0, 5)), draw(texts))


@st.composite
def load_sheets(draw):
    stated = tuple(draw(cases(name)) for name in draw(names(draw(st.integers(1, 3)))))
    held = Held((0.05, draw(decimals(60, 5000, "mm")))) if draw(st.booleans()) else Held()
    own = st.none() | st.builds(Own, decimals(0.01, 1000, "MPa"), texts)
    factor = st.builds(Factor, decimals(1, 9), st.sampled_from(BASES), texts)
    judgement = Judgement(draw(factor), draw(factor), draw(factor), draw(own), draw(own), tip_twist=None)
    stock = Stock(0.3, 0.02, draw(decimals(0, 10, "mm")), 2e11, 0.3, source=draw(texts)) if held.bearings else None
    plan = LoadPlan(stated, held, judgement, stock, stations=draw(st.integers(5, 99)), local=draw(st.booleans()))
    bolt, stud = draw(names(2))
    fittings = (BearingBolt(bolt, 0, 0.01, 0.02, 0.03), BondedStud(stud, 0.008, draw(decimals(20, 100, "mm")), 300.0))
    return LoadSheet(plan, draw(texts), draw(texts), fittings[: draw(st.integers(0, 2))])


@st.composite
def shops(draw):
    values = {n: draw(within(limit)) for n, limit in CHOICE_LIMITS.items() if draw(st.booleans())}
    values |= {name: draw(st.sampled_from(allowed)) for name, allowed in OPTIONS.items()}
    values |= {name: draw(st.booleans()) for name in SWITCHES}
    values |= {name: draw(of_stock(catalogue.resin_systems)) for name in SYSTEMS}
    values["start"] = draw(st.datetimes().filter(lambda d: 1900 <= d.year <= 9000)).strftime("%Y-%m-%d %H:%M")
    try:
        return ShopChoices(**values)
    except ValueError:  # a working day that ends before it begins, a heat limit below the shop's temperature
        assume(False)


jobs = st.builds(
    Job,
    blades(),
    st.lists(rows(), max_size=4).map(Readings),
    decimals(0.01, 50, "mm"),
    st.none() | load_sheets(),
    shops(),
    st.sampled_from(LENGTHS),
)
