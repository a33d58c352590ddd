"""How fast the verdict on a pair follows a typed reading, and each view of the panel; run it on an idle machine.

.venv/bin/python tests/benchmarks/bench_readings.py
"""

import platform
import time
from pathlib import Path

from panelmech import Design
from panelmech.measured.pair import judge_pair
from panelmech.measured.readings import parse_readings, read_readings, readings_csv
from panelmech.panels.pair_panel import panel_pairs

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"


def least(work, times=5):
    """Least of some runs [ms]."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(1e3 * (time.perf_counter() - start))
    return min(found)


def typed(field, text):
    before = field.value
    field.value = text
    field.value = before


def main():
    design = Design.load(STUDIES / "leeboard.json")
    readings = read_readings(STUDIES / "leeboard_readings.csv")
    print(platform.processor() or platform.machine(), "Python", platform.python_version())
    there_and_back = least(lambda: parse_readings(readings_csv(readings)))
    print(f"{len(readings.rows)} readings there and back as CSV   {there_and_back:7.1f} ms")
    print(f"verdict on the pair                   {least(lambda: judge_pair(design, readings, 5e-4)):7.1f} ms")
    panel = panel_pairs(design, readings)
    field = panel.views["readings"].fields["thickness", "A", "values"]
    each = least(lambda: typed(field, "2.16 2.15 2.14 2.13 2.13 2.12")) / 2
    print(f"typed reading to verdict              {each:7.1f} ms")
    for name, view in panel.views.items():
        panel.ask(name)
        print(f"view {name:<33}{least(view.again):7.1f} ms")


if __name__ == "__main__":
    main()
