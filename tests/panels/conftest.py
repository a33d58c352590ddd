"""What tests of several panels share."""

import pytest

from panelmech.job import verdict
from panelmech.panels import map_view
from panelmech.panels import view as panel_view
from panelmech.study import between

JUDGED = verdict._has


@pytest.fixture
def coarse(monkeypatch):
    """Maps and pictures are coarse."""
    monkeypatch.setattr(map_view, "FINE", 24)
    monkeypatch.setattr(map_view, "COARSE", 12)
    monkeypatch.setattr(map_view, "QUICK_DPI", 40.0)
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    monkeypatch.setattr(between, "SPREAD", 25)


@pytest.fixture
def design_alone(monkeypatch):
    """The verdict on a job is that on its design, which is quick: for tests of something else."""
    monkeypatch.setattr(verdict, "_has", lambda job, kind: kind == "design")


@pytest.fixture
def whole_verdict(design_alone, monkeypatch):
    """Every part of a job is judged all the same."""
    monkeypatch.setattr(verdict, "_has", JUDGED)
