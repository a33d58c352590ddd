"""Which values the axes of the live map span, and which a click may give: sizes one can buy, else round ones."""

from __future__ import annotations

import numpy as np

from ..draw.map_grid import STOCK_OF, stock_values
from ..study.design import LIMITS, Design
from ..units import from_si, to_si

MOST_PICKS = 16  # each way, where an input is not bought by size
ROUND = np.outer(10.0 ** np.arange(0, 4), (1, 2, 5)).ravel()


def default_range(design: Design, field: str) -> tuple[float, float]:
    """Range of an axis, in the shown unit: the sizes one can buy with a little beside them, else the slider's range;
    always with the design inside."""
    limit, value = LIMITS[field], from_si(getattr(design, field), LIMITS[field].unit)
    low, high = limit.slider_low, limit.slider_high
    stock = [from_si(v, limit.unit) for v in STOCK_OF.get(field, lambda _: ())(design)]
    if len(stock) > 1:
        low, high = min(*stock, value), max(*stock, value)
        low, high = max(low - 0.06 * (high - low), limit.low), high + 0.06 * (high - low)
    step = limit.step
    low = step * np.floor(round(min(low, value) / step, 6))
    return max(round(float(low), 6), limit.low), round(float(step * np.ceil(round(max(high, value) / step, 6))), 6)


def pick_values(design: Design, field: str, low: float, high: float) -> list:
    """Values of an input that a click may give [SI], rising, between two values: sizes one can buy, else round ones."""
    stock = stock_values(design, field, low, high)
    if stock:
        return list(stock)
    limit = LIMITS[field]
    ends = from_si(low, limit.unit), from_si(high, limit.unit)
    step = next((limit.step * r for r in ROUND if (ends[1] - ends[0]) / (limit.step * r) <= MOST_PICKS), None)
    step = step or (ends[1] - ends[0]) / MOST_PICKS
    steps = np.arange(np.ceil(round(ends[0] / step, 6)), np.floor(round(ends[1] / step, 6)) + 1)
    return [to_si(round(float(step * s), 6), limit.unit) for s in steps] or [0.5 * (low + high)]


def nearest_shares(values, low: float, high: float):
    """Widths of the strips nearest to each value, as hundredths of the whole."""
    edges = np.concatenate([[low], 0.5 * (np.array(values)[1:] + np.array(values)[:-1]), [high]])
    return 100.0 * np.diff(edges) / (high - low)
