"""Sections of a tapered part: all stations at once against a loop over single designs.

    python tests/benchmarks/bench_blade.py

Both ways in one process, one thread; least of several runs. Also what follows from the sections: mass and float, the
fit of flat sheets, and the picture in space.
"""

import os
import platform
import time
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import numpy as np  # noqa: E402

from panelmech import Design, evaluate  # noqa: E402
from panelmech.blade.blade import Blade  # noqa: E402
from panelmech.blade.buoyancy import hydrostatics  # noqa: E402
from panelmech.blade.sections import blade_sections  # noqa: E402
from panelmech.blade.taper_fit import sheet_fit  # noqa: E402
from panelmech.draw.blade_figures import blade_figure  # noqa: E402

STUDY = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"


def least(action, times):
    """Least time of one call [ms]."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        spent.append(1e3 * (time.perf_counter() - start))
    return min(spent)


def loop(blade, count):
    """The chord stiffness of every station by single designs."""
    places = np.linspace(0.0, blade.span, count)
    return np.array([evaluate(blade.design_at(p), local=False).quantities["chord_stiffness"] for p in places])


def main():
    blade = Blade(Design.load(STUDY), free_length=(0.225, 0.15))
    print(platform.processor() or platform.machine(), "numpy", np.__version__)
    for count in (5, 41, 401):
        ours = least(lambda n=count: blade_sections(blade, n), 20)
        rival = least(lambda n=count: loop(blade, n), 3)
        print(f"{count:5d} stations: at once {ours:8.2f} ms, loop {rival:8.1f} ms, {rival / ours:6.1f} times")
    for name, action in (
        ("mass and float", lambda: hydrostatics(blade)),
        ("fit of flat sheets", lambda: sheet_fit(blade)),
        ("picture in space", lambda: blade_figure(blade_sections(blade))),
    ):
        print(f"{name:20s} {least(action, 5):8.1f} ms")


if __name__ == "__main__":
    main()
