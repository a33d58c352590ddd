"""Numbers of the demo from every room that works some out, printed as JSON: `python tests/demo_numbers.py`.

What starts a Python in other surroundings (`test_surroundings`) compares them.
"""

import ctypes
import json
import locale
from pathlib import Path

import numpy as np
import scipy

from panelmech import job, loads, measured, study
from panelmech.blade import along_span, hydrostatics
from panelmech.shop import shop_pack
from panelmech.units import show

CORE = ("scipy_openblas_get_corename64_", "scipy_openblas_get_corename", "openblas_get_corename")


def kernels() -> list:
    """Names of the kernels that numpy's and scipy's own OpenBLAS take here; empty where they bring none along."""
    found = []
    for library in (np, scipy):
        folder = Path(library.__file__).parents[1] / f"{library.__name__}.libs"
        for path in sorted(folder.glob("*openblas*")):
            opened = ctypes.CDLL(str(path))
            for name in (name for name in CORE if hasattr(opened, name)):
                core = getattr(opened, name)
                core.restype = ctypes.c_char_p
                found.append(core().decode())
    return found


def numbers(full: bool) -> dict:
    """{name: number [SI]}; `full`: with the framed sheet, the loads, the pair and the pack."""
    demo = job.demo()
    found = dict(study.evaluate(demo.design, local=full).quantities)
    water = hydrostatics(demo.blade)
    found |= {"mass of the blade": water.mass, "volume of the blade": water.volume}
    if full:
        for name, part in (("along", along_span(demo.blade)), ("loads", _loads(demo))):
            found |= {f"{name}: {check.name}: {what}": getattr(check, what) for check in part.checks for what in WHAT}
        pair = measured.judge_pair(demo.design, demo.readings, demo.camber)
        found |= {f"modulus of {sheet.name}": t.result.value for sheet, t in zip(pair.sheets, pair.used, strict=True)}
        found |= {f"volume of the {line.key}": line.volume for line in shop_pack(demo.blade, demo.shop).pours}
    return {name: float(value) for name, value in found.items() if value is not None and np.isfinite(value)}


WHAT = ("value", "limit")


def _loads(demo):
    return loads.evaluate_loads(demo.blade, demo.loads.plan)


def main(full: bool) -> None:
    """Print them, with the words of one and the decimal mark of the locale, which is the one of the surroundings."""
    locale.setlocale(locale.LC_ALL, "")
    found = numbers(full)
    mark = locale.localeconv()["decimal_point"]
    words = show(found["mouth"], "mm")
    print(json.dumps({"kernels": kernels(), "decimal mark": mark, "words": words, "numbers": found}))


if __name__ == "__main__":
    import sys

    main("full" in sys.argv)
