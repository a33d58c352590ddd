"""A server for the whole run, a browser window and a watch over it for each file of tests.

Without a Chromium the tests are skipped, unless PANELMECH_REQUIRE_BROWSER is set: then its absence is a failure.
"""

import os

import harness
import pytest

REQUIRED = os.environ.get("PANELMECH_REQUIRE_BROWSER", "") not in ("", "0")


@pytest.fixture(scope="session")
def chromium():
    """Path of the Chromium; skips, or fails, without one."""
    if harness.find_browser() is None:
        if REQUIRED:
            pytest.fail("PANELMECH_REQUIRE_BROWSER is set, but no Chromium was found")
        pytest.skip("no Chromium found")
    return harness.find_browser()


@pytest.fixture(scope="session")
def server(tmp_path_factory, chromium):
    """A server on a copy of the notebooks."""
    with harness.lab_server(tmp_path_factory.mktemp("lab")) as running:
        yield running


@pytest.fixture(scope="module")
def context(server):
    """A window. Not for the whole run: while one is open its event loop runs, which other tests may not bear."""
    with harness.browser_context() as window:
        yield window


@pytest.fixture(scope="module")
def watch():
    """Collects, over all pages of a file, what a page must not do."""
    return harness.Watch()


@pytest.fixture(autouse=True)
def nothing_thrown_and_nothing_asked_outside(watch):
    yield
    assert (watch.errors, watch.outside) == ([], [])


@pytest.fixture(scope="module")
def open_and_run(context, server, watch):
    """A function that opens a notebook by name and runs it; every cell must run without an error."""

    def opened(notebook, app=False):
        page = harness.open_notebook(context, server, notebook, app, watch)
        assert harness.run_all(page) == []
        return page

    return opened


@pytest.fixture(scope="module")
def open_first(context, server, watch):
    """A function that opens a notebook by name and runs its first cell with code, which shows the panel."""

    def opened(notebook, app=False):
        page = harness.open_notebook(context, server, notebook, app, watch)
        assert harness.run_first(page) == []
        return page

    return opened
