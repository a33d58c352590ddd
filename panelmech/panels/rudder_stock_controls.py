"""The stock above the root as settings of the load panel: from a record to the numbers shown, and back. No formula."""

from __future__ import annotations

from dataclasses import replace

from ..loads.plan import Stock

NO_STOCK, BAR = "none, the part itself", "a round bar or tube"
STOCK = {
    "stock_length": "length",
    "stock_diameter": "diameter",
    "stock_wall": "wall",
    "stock_modulus": "modulus",
    "stock_strength": "strength",
}  # setting: field
NEW = Stock(0.3, 0.025, 0.0, 69e9, 0.3, None, "as entered")  # to begin with; Poisson's ratio of metals, from memory


def stock_settings(stock: Stock | None) -> dict:
    """The values shown for a stock [SI], by name of the setting; for none, those a new one begins with."""
    shown = stock or NEW
    return {name: getattr(shown, of) or 0.0 for name, of in STOCK.items()}


def stock_record(settings: dict, old: Stock | None, source: str) -> Stock:
    """The stock that settings [SI] mean; a strength of 0 is not known; Poisson's ratio stays that of the `old` one.
    ValueError, in words, for what cannot be."""
    values = {of: settings[name] for name, of in STOCK.items()}
    return replace(old or NEW, **values | {"strength": values["strength"] or None}, source=source or "as entered")
