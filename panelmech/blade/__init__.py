"""The part along its span: taper, sections, shape in space, mass and buoyancy."""

from .blade import Blade
from .buoyancy import afloat
from .rod import rod_share, rod_walls

__all__ = [
    "Blade",
    "afloat",
    "rod_share",
    "rod_walls",
]
