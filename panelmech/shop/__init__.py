"""Blanks, templates, resin, heat, schedule: everything to cut, mark, weigh and pour."""

from .choices import ShopChoices
from .pack import shop_pack

__all__ = [
    "ShopChoices",
    "shop_pack",
]
