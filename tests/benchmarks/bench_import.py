"""How long `import panelmech` takes, beside what it needs of numpy, and how much the parts of scipy would add.

    python tests/benchmarks/bench_import.py [--rounds 15]

Requirement: `import panelmech` in under 0.25 s on an idle machine, the start of Python included. Each round starts a
fresh process for each line, in turn; medians count. Compiled modules must be in place: without (PYTHONDONTWRITEBYTECODE
set, nothing compiled yet) every process compiles the package again. Exit code 1 where the requirement is missed.
"""

import argparse
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SECONDS = 0.25
LINES = {
    "Python alone": "pass",
    "numpy": "import numpy",
    "numpy and scipy's parts": "import scipy.integrate, scipy.interpolate, scipy.linalg, scipy.optimize, scipy.special",
    "panelmech": "import panelmech",
    "panelmech.loads": "import panelmech.loads",
    "panelmech.shop": "import panelmech.shop",
    "panelmech.report": "import panelmech.report",
}


def seconds(code):
    """Time of one fresh process that runs the code."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
    return time.perf_counter() - start


def main():
    parser = argparse.ArgumentParser(description="Time of imports, in fresh processes.")
    parser.add_argument("--rounds", type=int, default=15)
    rounds = parser.parse_args().rounds
    times = {name: [] for name in LINES}
    for _ in range(rounds):
        for name, code in LINES.items():
            times[name].append(seconds(code))
    middle = {name: statistics.median(values) for name, values in times.items()}
    print(f"Python {sys.version.split()[0]}, {rounds} rounds, medians")
    for name, value in middle.items():
        print(f"{name:28}{value:8.3f} s   (least {min(times[name]):.3f} s)")
    return int(middle["panelmech"] >= SECONDS)


if __name__ == "__main__":
    sys.exit(main())
