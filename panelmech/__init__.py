"""panelmech: bent-panel stiffness studies.

Two identical flat sheets, bonded along one edge and spread at the other by a round spacer: the exact shape, what
forming does to sheet, joint and rod, and the section against a flat wedge of the same sheets.

What everybody needs stands here; the rest one room down, by the room's name: `panelmech.loads.evaluate_loads`,
`panelmech.shop.shop_pack`. A room is loaded when it is first named.
"""

import importlib as _importlib
import os as _os

__version__ = "0.2.0"

# One thread: small linear algebra gains nothing from more, and a busy machine loses much (must precede numpy's import).
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    _os.environ.setdefault(_name, "1")

from .materials.stock import Adhesive, Resin, Sheet, Spacer, catalogue  # noqa: E402
from .mechanics.bend import Bend, InfeasibleBend, solve_bend  # noqa: E402
from .mechanics.forming import FormingLoads, forming_loads  # noqa: E402
from .mechanics.section import Section, bent_section, flat_wedge_section  # noqa: E402
from .study.design import Design  # noqa: E402
from .study.study import Study, evaluate  # noqa: E402
from .study.sweeps import Sweep, sweep  # noqa: E402
from .study.verdicts import Check  # noqa: E402

_ROOMS = (
    "blade",
    "draw",
    "job",
    "loads",
    "materials",
    "measured",
    "mechanics",
    "panels",
    "published",
    "report",
    "shop",
    "study",
)

__all__ = [
    "Adhesive",
    "Bend",
    "Check",
    "Design",
    "FormingLoads",
    "InfeasibleBend",
    "Resin",
    "Section",
    "Sheet",
    "Spacer",
    "Study",
    "Sweep",
    "bent_section",
    "catalogue",
    "evaluate",
    "flat_wedge_section",
    "forming_loads",
    "solve_bend",
    "sweep",
]


def __getattr__(name: str):
    """The rooms, on first use: each name here is a module and nothing else."""
    if name in _ROOMS:
        return _importlib.import_module(f".{name}", __name__)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_ROOMS])
