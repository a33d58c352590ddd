"""Settings every test shares. The thread limits must be set before numpy is imported for the first time."""

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
os.environ.setdefault("PYDEVD_DISABLE_FILE_VALIDATION", "1")

from pathlib import Path  # noqa: E402

import pytest  # noqa: E402
from hypothesis import HealthCheck, settings  # noqa: E402

# The same examples on every run, and no deadline: a busy machine must not make a test fail.
# `pytest --hypothesis-profile=explore` looks further, with new examples each time.
settings.register_profile(
    "steady", derandomize=True, deadline=None, max_examples=100, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("explore", deadline=None, max_examples=2000)
settings.load_profile("steady")

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def root():
    """The top folder of the project."""
    return ROOT
