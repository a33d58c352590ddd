"""Settings every test shares. The thread limits must be set before numpy is imported for the first time."""

import gc
import importlib
import os
import re
import sys

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
os.environ["PANELMECH_LENGTHS"] = "mm"  # whatever somebody chose in a panel
os.environ["PANELMECH_JOB"] = "demo"  # whatever job is open
os.environ["PANELMECH_ONE_PROCESS"] = "1"  # tests share out the cores; two processes have tests of their own
os.environ.setdefault("PYDEVD_DISABLE_FILE_VALIDATION", "1")
_light = os.path.join(os.path.dirname(os.path.abspath(__file__)), "light")  # in every process that the tests begin
os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, (_light, os.environ.get("PYTHONPATH"))))

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

gc.disable()  # until all is collected
ROOT = Path(__file__).resolve().parents[1]
collect_ignore = ["light"]


SHARING = {"tests/report/test_type_size.py": "tests/report/test_job_papers.py"}  # they read what is written once


def together(nodeid):
    """What one process runs in one go: a file of tests with those that share what it makes, or all that the browser
    tests on the page of one notebook."""
    notebook = re.search(r"^tests/browser/.*\[.*?(\w+\.ipynb)", nodeid)
    name = nodeid.split("::", 1)[0]
    return f"tests/browser {notebook[1]}" if notebook else SHARING.get(name, name)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Share the work as `together` says where it is shared by files."""
    from xdist.scheduler import LoadScopeScheduling

    class Together(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            return together(nodeid)

    return Together(config, log) if config.getvalue("dist") == "loadfile" else None


# Seconds of one processor: of files as measured, else of each test, by what it is.
MEASURED = {
    "tests/panels/test_trade_off_panel.py": 65,
    "tests/test_command_jobs.py": 35,
    "tests/panels/test_pair_panel.py": 32,
    "tests/test_one_verdict.py": 28,
    "tests/panels/test_job_panel.py": 28,
    "tests/panels/test_load_panel.py": 25,
    "tests/report/test_note.py": 25,
    "tests/report/test_job_papers.py": 20,
    "tests/draw/test_study_figures.py": 20,
    "tests/test_nbval_guard.py": 20,
    "tests/shop/test_heat.py": 19,
    "tests/test_guarded_numbers.py": 18,
    "tests/draw/test_template_pages.py": 18,
    "tests/validation/test_whole_section_fe.py": 15,
    "tests/test_properties.py": 15,
    "tests/report/test_inches.py": 15,
    "tests/shop/test_stepped.py": 15,
    "tests/draw/test_map_figures.py": 15,
    "tests/panels/test_study_panel.py": 14,
    "tests/panels/test_shop_panel.py": 13,
    "tests/loads/test_part_map.py": 13,
    "tests/test_main.py": 13,
    "tests/validation/test_readings_by_chance.py": 12,
    "tests/panels/test_panel_words.py": 12,
    "tests/job/test_job_file.py": 12,
    "tests/measured/test_plausible.py": 12,
    "tests/shop/test_consistent_pack.py": 12,
    "tests/job/test_job_folder.py": 10,
}
BROWSER, CELL, SLOW, QUICK = 10.0, 3.0, 4.0, 0.1


def seconds(item):
    """About how long a test takes where its file has not been measured."""
    if "browser" in item.keywords:
        return BROWSER
    return CELL if item.path.suffix == ".ipynb" else SLOW if "slow" in item.keywords else QUICK


def pytest_itemcollected(item):
    """A quick run asks for what is neither slow nor browser, which takes the place of leaving out what is nightly."""
    if item.get_closest_marker("nightly") and not any(map(item.get_closest_marker, ("slow", "browser"))):
        raise pytest.UsageError(f"{item.nodeid} is nightly, but neither slow nor browser: a quick run would run it")


# Notebooks that take longest are compared by night: what they show is held by tests of their panel and of its subject.
BY_NIGHT = ("notebooks/03_trade_offs.ipynb", "notebooks/08_published_cases.ipynb")


@pytest.hookimpl(wrapper=True)
def pytest_collection_modifyitems(config, items):
    """Mark what goes by night before it is chosen what runs. Several processes share the work: what takes long comes
    first, so that none is left over alone; the order within stays. A run in one process keeps its order."""
    for item in items:
        if item.nodeid.startswith(BY_NIGHT):
            item.add_marker("slow")
            item.add_marker("nightly")
    yield
    gc.freeze()  # what was collected stays: nobody need look through it again, a quarter of the time before
    gc.enable()
    if not hasattr(config, "workerinput"):
        return
    weight = Counter()
    for item in items:
        weight[together(item.nodeid)] += seconds(item)
    weight.update({name: MEASURED[name] - weight[name] for name in MEASURED if name in weight})
    items.sort(key=lambda item: -weight[together(item.nodeid)])


@pytest.fixture(scope="session", autouse=True)
def letters_of_fonts_are_kept():
    """Half the time of writing PDF pages (`font_letters`); only where tests that draw were collected."""
    with pytest.MonkeyPatch.context() as patch:
        if "matplotlib.figure" in sys.modules:
            font_letters = importlib.import_module("font_letters")
            font_letters.keep(patch)
        yield


@pytest.fixture(scope="session", autouse=True)
def no_page_listens():
    """Controls of panels tell no page what they are when they are made: a third of the time of making a panel."""
    with pytest.MonkeyPatch.context() as patch:
        if "ipywidgets" in sys.modules:
            patch.setattr("ipywidgets.Widget.open", lambda widget: None)
        yield


@pytest.fixture(scope="session")
def root():
    """The top folder of the project."""
    return ROOT
