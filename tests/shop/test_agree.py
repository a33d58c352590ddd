"""What is checked and what is weighed are one and the same: the links in the stock, and what changes with what."""

from dataclasses import replace

import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import Adhesive, Resin, catalogue
from panelmech.job import agree as of_job
from panelmech.job.job import Job, demo
from panelmech.materials.resin_system import ResinSystem
from panelmech.report.shop_rows import cautions
from panelmech.shop.agree import (
    bonding_systems,
    disagreements,
    is_bond,
    is_potting,
    pouring_systems,
    takes_filler,
    with_adhesive,
    with_bond,
)
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import shop_pack
from panelmech.shop.pours import pours
from panelmech.shop.volumes import volumes

USUAL = ShopChoices()
MIXED = [a for a in catalogue.adhesives.values() if a.neat_systems or a.thickened_systems]
SYSTEMS = catalogue.resin_systems


def test_the_links_of_the_catalogue_name_what_is_there_and_miss_nothing():
    assert [a.name for a in catalogue.adhesives.values() if a not in MIXED] == ["unknown - measure it"]
    named = [name for a in MIXED for name in (*a.neat_systems, *a.thickened_systems)]
    named += [name for r in catalogue.resins.values() for name in r.systems]
    assert set(named) == set(SYSTEMS)  # every system is for something
    assert {s.name for s in bonding_systems()} == set(SYSTEMS) - {"slow casting resin, 2:1 by volume"}
    pastes = {"toughened epoxy paste, 1:1 by volume", "polyurethane adhesive, 1:1 by volume"}
    assert {s.name for s in pouring_systems()} == set(SYSTEMS) - pastes
    assert {name for name, s in SYSTEMS.items() if not takes_filler(s)} == pastes


def test_what_one_begins_with_agrees_in_the_demo_too():
    assert disagreements(DESIGN, USUAL) == () and of_job.agree(Job(DESIGN)) == of_job.agree(demo()) == ""


@pytest.mark.parametrize("adhesive", MIXED, ids=lambda a: a.name)
@pytest.mark.parametrize("bond", bonding_systems(), ids=lambda s: s.name)
def test_changing_the_adhesive_changes_what_is_weighed(adhesive, bond):
    before = of_job.with_bond(demo(), bond)
    after = of_job.with_adhesive(before, adhesive)
    assert after.design.adhesive == adhesive and of_job.agree(before) == of_job.agree(after) == ""
    assert before.shop.bond == bond and is_bond(adhesive, after.shop.bond, after.shop.bond_consistency)
    if bond.name in (*adhesive.neat_systems, *adhesive.thickened_systems):
        assert after.shop.bond == bond  # only what must change does
    assert of_job.with_adhesive(after, adhesive) == after  # and once is enough
    unchanged = {"bond": USUAL.bond, "bond_consistency": USUAL.bond_consistency}
    assert after.shop.replace(**unchanged) == demo().shop.replace(**unchanged)


def test_the_consistency_tells_paste_from_plain_epoxy():
    neat = of_job.with_adhesive(demo(), catalogue.adhesives["plain epoxy, not toughened"])
    assert neat.shop.bond == demo().shop.bond and neat.shop.bond_consistency == "neat"
    assert "neat" not in of_job.with_adhesive(neat, demo().design.adhesive).shop.bond_consistency
    by_hand = demo().replace(shop=demo().shop.replace(bond_consistency="neat"))
    assert "checked as “brittle epoxy paste”" in of_job.agree(by_hand) and "as it is mixed" in of_job.agree(by_hand)
    assert of_job.with_bond(by_hand, by_hand.shop.bond) == neat


def test_a_paste_gets_no_filler_in_glue_line_or_bead():
    choices = with_adhesive(USUAL, catalogue.adhesives["ductile epoxy paste"])
    lines = {line.key: line for line in pours(DESIGN, choices, volumes(DESIGN), 5e-3)}
    assert lines["bond"].batch.filled is None and lines["bead"].batch.filled is None
    assert lines["bond"].system.name == "toughened epoxy paste, 1:1 by volume"
    plain = with_adhesive(USUAL, catalogue.adhesives["plain epoxy, not toughened"])
    lines = {line.key: line for line in pours(DESIGN, plain, volumes(DESIGN), 5e-3)}
    assert lines["bond"].batch.filled is None and lines["bead"].batch.filled.consistency == "hangs"


def test_stock_of_ones_own_may_name_the_other_either_way():
    mine = ResinSystem("my epoxy", "its data sheet", weight_ratio=2.0, mixed_density=1100.0)
    tested = Adhesive("tested joint", 310.0, "split by me")
    unsaid = of_job.with_adhesive(of_job.with_bond(demo(), mine), tested)
    assert unsaid.shop.bond == mine and unsaid.design.adhesive == tested  # nothing is known, nothing else moves
    assert "“tested joint”, but “my epoxy”" in of_job.agree(unsaid) and "neither says" in of_job.agree(unsaid)
    by_adhesive = replace(tested, thickened_systems=("my epoxy",))
    assert of_job.agree(of_job.with_adhesive(unsaid, by_adhesive)) == ""
    by_system = replace(mine, adhesives=("tested joint",))
    assert of_job.agree(of_job.with_bond(unsaid, by_system)) == ""
    paste = with_bond(tested, USUAL, replace(mine, adhesives=("ductile polyurethane",)))
    assert paste[0] == catalogue.adhesives["ductile polyurethane"] and paste[1].bond_consistency == "neat"


def test_an_adhesive_of_which_nothing_is_known_moves_nothing_and_is_told():
    unknown = of_job.with_adhesive(demo(), catalogue.adhesives["unknown - measure it"])
    assert unknown.shop == demo().shop and "neither says whether" in of_job.agree(unknown)


def test_potting_likewise():
    deep, filled = demo(), catalogue.resins["epoxy, dense filler"]
    for system in pouring_systems():
        assert of_job.agree(of_job.with_pour(deep, system)) == ""
    both = of_job.with_resin(deep, filled)
    assert both.shop == deep.shop and "the potting is checked as “epoxy, dense filler”" in of_job.agree(both)
    assert of_job.agree(of_job.with_resin(both, catalogue.resins["epoxy, unfilled"])) == ""
    assert "neither says" not in of_job.agree(both)
    unsaid = of_job.with_resin(deep, Resin("somebody's", 3.2e9, 0.35, 1150.0, "from a friend"))
    own = ResinSystem("a tin", "its label", weight_ratio=2.0, mixed_density=1100.0)
    assert "neither says whether it is the other; name the system with your resin" in of_job.agree(
        of_job.with_pour(unsaid, own)
    )
    mine = Resin("my cast bar", 3.2e9, 0.35, 1150.0, "weighed by me", systems=("epoxy 5:1, fast hardener",))
    assert of_job.with_resin(deep, mine).shop.pour.name == "epoxy 5:1, fast hardener"
    assert is_potting(mine, of_job.with_resin(deep, mine).shop.pour)
    own = ResinSystem("my casting resin", "its data sheet", weight_ratio=2.0, resins=("my cast bar",))
    assert of_job.agree(of_job.with_pour(of_job.with_resin(deep, mine), own)) == ""


def test_the_papers_say_what_does_not_agree():
    apart = shop_pack(DESIGN, USUAL.replace(bond=SYSTEMS["slow casting resin, 2:1 by volume"]))
    words = dict(cautions(apart, "batch"))["Not what is checked."]
    assert "Land is checked" not in words and words.startswith("The land is checked as “brittle epoxy paste”")
    assert apart.notes[0] == apart.apart[0] and "slow casting resin" in words
    usual = shop_pack(DESIGN)
    assert usual.apart == () and "Not what is checked." not in dict(cautions(usual, "batch"))


def test_names_are_read_from_entries_and_refused_in_words():
    entry = {"toughness_j_m2": 250, "thickened_systems": ["my epoxy"]}
    own = catalogue.with_entries({"adhesives": {"mine": entry}}).adhesives["mine"]
    assert own.thickened_systems == ("my epoxy",) and own.basis_of("thickened_systems")[0] == "user"
    for wrong in ("my epoxy", ["x", "x"], [""], [3]):
        with pytest.raises(ValueError, match="give a (list|text)"):
            catalogue.with_entries({"adhesives": {"mine": entry | {"thickened_systems": wrong}}})
