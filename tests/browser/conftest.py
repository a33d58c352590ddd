"""A server and a browser window for the whole run, a page that tests of one notebook share, a watch over all pages.

Without a Chromium the tests are skipped, unless PANELMECH_REQUIRE_BROWSER is set: then its absence is a failure.
"""

import os
from contextlib import ExitStack

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


class Desk:
    """A browser window with one page that tests share: opening a notebook takes longer than most tests. A file of
    tests gets a panel made anew on it."""

    WIDTH, HEIGHT = 1440, 1000

    def __init__(self):
        self._open, self._window, self.watch = ExitStack(), None, harness.Watch()
        self._page, self._shown = None, None

    @property
    def window(self):
        """The browser window."""
        if self._window is None:
            self._window = self._open.enter_context(harness.browser_context(self.WIDTH, self.HEIGHT))
        return self._window

    def open(self, server, notebook, app=False):
        """A page of its own with a notebook; who asks for it closes it."""
        return harness.open_notebook(self.window, server, notebook, app, self.watch)

    def shared(self, server, notebook, run, app=False):
        """The page that is shared, with this notebook; `run` brings its panel to life where none is."""
        if self._shown != (notebook, app):
            self.put_away()
            self._page, self._shown = self.open(server, notebook, app), (notebook, app)
        else:
            self._page.set_viewport_size({"width": self.WIDTH, "height": self.HEIGHT})
            run = harness.run_first_again
        assert run(self._page) == []
        self._page.keyboard.press("Shift")  # a hand on the keys: from now on the page is not scrolled to the panel
        return self._page

    def put_away(self):
        """Close the page that is shared, and end its kernel."""
        if self._page is not None:
            self._page.evaluate(harness.END_KERNEL)
            self._page.close()
        self._page, self._shown = None, None

    def close(self):
        """Close the window."""
        self._open.close()
        self._open, self._window, self._page, self._shown = ExitStack(), None, None, None


DESK = Desk()
# What takes long goes over all notebooks by night only (`-m nightly`); by day over what is named here, which has every
# kind of control among it. What has none here goes by night alone: by day the same is seen to without a browser.
BY_DAY = {
    # every panel by keyboard, by ear and in both themes
    "test_every_field_takes_what_a_builder_types": ("01_bend",),
    "test_it_stands_after_a_handle_was_moved": (),
    "test_nothing_serious_in_any_view_in_either_theme": ("01_bend",),
    "test_every_fold_opens_and_shuts_by_the_keyboard": ("01_bend",),
    "test_tab_meets_every_control_once_and_the_focus_is_seen": ("01_bend",),
    "test_what_is_read_out_stays_one_place_and_waits_for_the_hand_to_rest": ("01_bend", "04_matched"),
    "test_the_wheel_scrolls_and_changes_nothing": ("01_bend", "04_matched"),
    # what is seen together
    "test_verdict_picture_and_first_inputs_are_seen_together": ("01_bend.ipynb-light", "04_matched_pairs.ipynb-light"),
    "test_verdict_and_picture_stay_by_the_control_that_is_moved": ("01_bend.ipynb]", "04_matched_pairs.ipynb]"),
    "test_nothing_scrolls_sideways": ("01_bend.ipynb]",),
    "test_one_shift_enter_brings_it_all_into_view": (),
    # jobs, and pages of their own
    "test_a_job_of_the_command_line_opens_in_the_panel_and_run_all_leaves_every_byte": (),
    "test_a_change_outlives_refresh_kernel_and_day_and_shows_in_the_other_notebooks": (),
    "test_app_view_shows_the_panel_without_code": (),
    "test_note_button_writes_a_note_that_opens": (),
    # the page of loads, the map under loads, which is worked out for long, and shop and heat of the pours
    "test_the_speed_moves_the_governing_line_and_the_picture": (),
    "test_the_map_follows_the_keyboard": (),
    "test_a_click_on_the_map_makes_that_the_design": (),
    "test_a_typed_point_is_ringed": (),
    "test_an_answer_of_sizing_becomes_the_design": (),
    "test_every_question_opens_and_answers": (),
    "test_shop_temperature_changes_lifts_and_batches": (),
    "test_every_view_opens": (),
    "test_every_view_opens_and_answers": ("04_matched",),
    "test_what_cannot_be_is_said_and_put_right": (),
    "test_each_page_prints_on_two_sheets_of_paper_at_most": (),
    "test_every_point_of_the_map_of_a_job_with_loads_counts_them": (),
    "test_rows_of_a_choice_are_counted_and_can_be_stopped": (),
    # papers
    "test_type_is_large_enough_on_a_screen": ("820",),
    "test_nothing_moves_the_page_sideways": ("820",),
    "test_signatures_and_headings_never_stand_alone_wherever_the_page_ends": ("pair",),
}


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """Mark what goes by night, before it is chosen what runs."""
    for item in items:
        by_day = BY_DAY.get(getattr(item, "originalname", ""))
        if by_day is not None and not any(name in item.nodeid for name in by_day):
            item.add_marker("nightly")


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item, nextitem):
    """Close the window before tests of another kind: while one is open its event loop runs, which they may not bear."""
    if nextitem is None or "browser" not in nextitem.keywords:
        DESK.close()


@pytest.fixture(scope="module")
def context(chromium):
    """The browser window."""
    return DESK.window


@pytest.fixture(scope="session")
def watch():
    """Collects, over all pages, what a page must not do."""
    return DESK.watch


@pytest.fixture(autouse=True)
def nothing_thrown_and_nothing_asked_outside(watch):
    yield
    assert watch.taken() == ([], [])


@pytest.fixture(scope="session")
def open_page(server):
    """A function that opens a notebook by name in a page of its own; who asks for it closes it."""
    return lambda notebook, app=False: DESK.open(server, notebook, app)


@pytest.fixture(scope="session")
def open_and_run(open_page):
    """A function that opens a notebook by name in a page of its own and runs it; no cell may end in an error."""

    def opened(notebook, app=False):
        page = open_page(notebook, app)
        assert harness.run_all(page) == []
        return page

    return opened


@pytest.fixture(scope="session")
def open_first(server):
    """A function that shows a notebook by name in the page that is shared and runs its first cell with code, which
    shows the panel. Every file of tests gets a panel of its own, as the notebook makes it."""
    return lambda notebook, app=False: DESK.shared(server, notebook, harness.run_first, app)


@pytest.fixture(scope="module", params=harness.PANEL_NOTEBOOKS)
def panel(request, open_first):
    """The page of a notebook with its panel, one notebook after the other."""
    return open_first(request.param)
