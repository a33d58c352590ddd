"""Everything to cut, mark, weigh, pour and wait for: blanks, templates, resin, heat of a pour, schedule, the pack.

May use: numpy, scipy and the rooms below. Verbs: settle the shop's choices, make the pack,
say how it lies on the stock.

Why it is so
- Pour heat by finite volumes, several depths in one banded system: it keeps heat to rounding, and the same operator
  passes the published limits.
- Waits go by the slow rule of temperature, windows by the quick one: a step that fits, fits by either rule.
- A small pour is mixed up to a least amount: small lots go off ratio.
- Blanks lie on saw shelves and are not packed best: what is drawn can be sawn, and pairs stay together.
- Curves of templates are parallels of the exact bend, not polygon buffers: points exact, chords within 2 micrometres.
- A tapered nose is poured with the rod level: resin finds its level, and the rod is straight.
- A blade that does not change along the span is packed as its design: the same files byte for byte.
"""

from .choices import ShopChoices
from .pack import shop_pack, stock_words

__all__ = [
    "ShopChoices",
    "shop_pack",
    "stock_words",
]
