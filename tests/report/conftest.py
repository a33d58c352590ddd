"""What tests of several papers share."""

import time

import pytest

from panelmech.job.job import demo
from panelmech.report.papers import write_papers


@pytest.fixture(scope="session")
def whole(tmp_path_factory):
    """All papers of the demo, and the processor's seconds that they took. What asks for it runs in one process
    (`SHARING` in tests/conftest.py) and leaves them as they are."""
    before = time.process_time()
    made = write_papers(demo(), tmp_path_factory.mktemp("papers") / "demo", name="my board")
    return made, time.process_time() - before
