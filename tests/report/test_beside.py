"""The second process: what it returns is what would be worked out here, and without it all is worked out here."""

import operator
import os
import sys
import time

import pytest

from panelmech.report import beside
from panelmech.report.beside import ALONE, Beside
from panelmech.units import lengths, lengths_in

LIGHT = beside._START.replace("import serve; serve()", "import serve; serve(())")
PATIENCE = 120.0  # s: on a busy machine it is long in starting


@pytest.fixture
def two(monkeypatch):
    """Two processes, the second without what is imported for papers."""
    monkeypatch.delenv(ALONE)
    monkeypatch.setattr(beside, "_cores", lambda: 2)
    monkeypatch.setattr(beside, "_START", LIGHT)


def begun(both, item):
    """Wait until the second process has begun with an item, or has done it."""
    until = time.monotonic() + PATIENCE
    while item in both.waiting and time.monotonic() < until:
        time.sleep(0.01)
    assert item not in both.waiting
    return item


@pytest.mark.slow
def test_what_is_begun_is_worked_out_in_the_second_process_and_the_rest_here(two):
    with Beside() as both, lengths_in("inch"):
        there = both.later(os.getpid)
        assert begun(both, there).result() == both.process.pid != os.getpid()
        assert begun(both, both.later(lengths)).result() == "inch"
        slow, late = both.later(time.sleep, 1.0), both.later(os.getpid)
        begun(both, slow)
        assert slow.result() is None and late.result() == os.getpid()  # it was done while the other was waited for
        assert both.later(operator.add, 1, 2).result() == 3


@pytest.mark.slow
def test_what_fails_there_is_told_as_it_is_here_and_ends_nothing(two):
    with Beside() as both:
        bad = begun(both, both.later(operator.truediv, 1, 0))
        with pytest.raises(ZeroDivisionError):
            bad.result()
        assert both.process is None and both.later(os.getpid).result() == os.getpid()


@pytest.mark.slow
def test_a_second_process_that_is_ended_in_its_midst_leaves_its_work_here(two):
    with Beside() as both:
        item = begun(both, both.later(time.sleep, 0.5))
        both.process.kill()
        assert item.result() is None
        assert both.later(os.getpid).result() == os.getpid() and both.process is None


def test_none_is_started_where_it_would_not_pay_or_is_not_wanted(monkeypatch):
    monkeypatch.setattr(beside, "_started", lambda: pytest.fail("started"))
    monkeypatch.setattr(beside, "_cores", lambda: 2)
    with Beside() as both:  # the variable is set for all tests
        assert both.later(os.getpid).result() == os.getpid()
    monkeypatch.delenv(ALONE)
    assert Beside(alone=True).process is None
    monkeypatch.setattr(beside, "_cores", lambda: 1)
    assert Beside().process is None


def test_all_is_worked_out_here_where_none_can_be_started(two, monkeypatch, tmp_path):
    monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))
    with Beside() as both:
        assert both.process is None and both.later(operator.add, 1, 2).result() == 3


def test_what_cannot_be_told_is_worked_out_here(two):
    with Beside() as both:
        first, second = both.later(operator.add, 1, 2), both.later(lambda: 4)
        assert second.result() == 4 and first.result() == 3 and both.process is None


def test_it_is_ended_with_the_block(two):
    with Beside() as both:
        process = both.process
        assert process.poll() is None
    assert process.poll() is not None
