"""What one buys: sheets, adhesives, spacers, resins and water, each value with its basis and source.

May use: numpy, `units`, `files`. Verbs: read the catalogue, read and write an entry, look a value up at a thickness.

Why it is so
- The catalogue is TOML below `data/`, one source for every value; the same entry form stands in a user's own file and
  inside a study file, so all three pass one reader.
- A value without a source is not a value: its basis is one of a fixed list, and "none" makes a check unknown.
- Bending and tension moduli stand apart, along the chord and along the span: tension moduli overrate plywood in
  bending.
- Cure data are illustrative and paced to a data sheet's tack time, since no complete published set could be read; the
  label travels with every result.
"""

from .entries import from_entry, to_entry
from .records import Adhesive, Resin, Sheet, Spacer
from .resin_system import ResinSystem
from .stock import catalogue
from .water import water_density

__all__ = [
    "Adhesive",
    "Resin",
    "ResinSystem",
    "Sheet",
    "Spacer",
    "catalogue",
    "from_entry",
    "to_entry",
    "water_density",
]
