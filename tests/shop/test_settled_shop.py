"""The heat limit of a pour that nobody has set is a default, not yet yours."""

import pytest
from leeboard_part import LEEBOARD

from panelmech.panels.controls import ShopControls
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import shop_pack
from panelmech.study.verdicts import DEFAULT


def heat(choices):
    return next(c for c in shop_pack(LEEBOARD, choices).checks if c.key == "pour_heat")


def test_the_limit_is_his_once_stated(tmp_path):
    plain, own = ShopChoices(), ShopChoices(settled=("heat_limit",))
    assert heat(plain).basis == DEFAULT and "as entered" not in heat(plain).source
    assert heat(own).basis == heat(plain.replace(heat_limit=335.0)).basis == "user"
    assert (heat(own).value, heat(own).verdict) == (heat(plain).value, heat(plain).verdict)
    own.save(tmp_path / "shop.json")
    assert ShopChoices.load(tmp_path / "shop.json") == own and own.input_hash() != plain.input_hash()
    plain.save(tmp_path / "shop.json")
    assert "settled" not in (tmp_path / "shop.json").read_text()
    with pytest.raises(ValueError, match="settled is"):
        ShopChoices(settled=("kerf",))


def test_typing_or_ticking_makes_it_his():
    controls = ShopControls(ShopChoices())
    assert controls.choices() == ShopChoices() and not controls.mine["heat_limit"].value
    controls.numbers["heat_limit"].typed(controls.numbers["heat_limit"].text)
    assert controls.choices().settled == ("heat_limit",) and controls.mine["heat_limit"].value
    controls.mine["heat_limit"].value = False
    assert controls.choices() == ShopChoices()
