"""The part along its span: taper and tables, sections, the rod, its shape in space, mass and buoyancy.

May use: numpy, scipy and the rooms below. Verbs: make a blade, take its sections, judge it along its span, ask
whether flat sheets fit the taper, weigh it and float it.

Why it is so
- At a step along the span two stations stand a billionth of it apart: positions stay strictly rising, which
  integration needs.
- Volumes go by Gauss's rule on each stretch: display stations would set their error.
- The fit of flat sheets to a taper is judged by Gaussian curvature: no choice of lines on the blank can change it.
"""

from .along_checks import along_span
from .blade import Blade
from .buoyancy import hydrostatics
from .rod import rod_share, rod_walls

__all__ = [
    "Blade",
    "along_span",
    "hydrostatics",
    "rod_share",
    "rod_walls",
]
