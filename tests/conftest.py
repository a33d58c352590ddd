"""Settings every test shares. The thread limits must be set before numpy is imported for the first time."""

import importlib
import os
import re
import sys

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
os.environ["PANELMECH_LENGTHS"] = "mm"  # whatever somebody chose in a panel
os.environ["PANELMECH_JOB"] = "demo"  # whatever job is open
os.environ.setdefault("PYDEVD_DISABLE_FILE_VALIDATION", "1")

from collections import Counter  # noqa: E402
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


def together(nodeid):
    """What one process runs in one go: a file of tests, or all that the browser tests on the page of one notebook."""
    notebook = re.search(r"^tests/browser/.*\[.*?(\w+\.ipynb)", nodeid)
    return f"tests/browser {notebook[1]}" if notebook else nodeid.split("::", 1)[0]


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Share the work as `together` says where it is shared by files."""
    from xdist.scheduler import LoadScopeScheduling

    class Together(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            return together(nodeid)

    return Together(config, log) if config.getvalue("dist") == "loadfile" else None


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config, items):
    """Several processes share the work: what takes long comes first, so that none is left over alone.

    First what drives a browser, then notebooks, then files by how many slow tests they hold; the order within stays. A
    run in one process keeps its order.
    """
    if not hasattr(config, "workerinput"):
        return
    weight = Counter()
    for item in items:
        notebook = 500 if item.path.suffix == ".ipynb" else 0
        weight[together(item.nodeid)] += 1000 * ("browser" in item.keywords) + notebook + ("slow" in item.keywords)
    items.sort(key=lambda item: -weight[together(item.nodeid)])


@pytest.fixture(scope="session", autouse=True)
def letters_of_fonts_are_kept():
    """Half the time of writing PDF pages (`font_letters`); only where tests that draw were collected."""
    with pytest.MonkeyPatch.context() as patch:
        if "matplotlib.figure" in sys.modules:
            font_letters = importlib.import_module("font_letters")
            font_letters.keep(patch)
        yield


@pytest.fixture(scope="session")
def root():
    """The top folder of the project."""
    return ROOT
