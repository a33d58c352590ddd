"""What tests of several panels share."""

from functools import partial

import pytest

from panelmech.draw import live_map
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure_bytes
from panelmech.job import verdict
from panelmech.panels import map_view
from panelmech.panels import view as panel_view
from panelmech.study import between
from panelmech.study.every_map import map_steps

JUDGED, QUICK = verdict._has, live_map.LiveMap.quick_png


def sketch(figure, *_, **__):
    """In the place of a picture: of the same figure the same bytes, and of another others."""
    return b"\x89PNG" + figure_digest(figure).encode()


@pytest.fixture
def sketched(monkeypatch):
    """Figures of panels are made, but no pixels of them, which take longest: for tests of something else."""
    for view in (map_view, panel_view):
        monkeypatch.setattr(view, "figure_bytes", sketch)
    monkeypatch.setattr(live_map.LiveMap, "quick_png", lambda live: sketch(live.figure))


@pytest.fixture
def drawn(sketched, monkeypatch):
    """Pictures are drawn all the same."""
    for view in (map_view, panel_view):
        monkeypatch.setattr(view, "figure_bytes", figure_bytes)
    monkeypatch.setattr(live_map.LiveMap, "quick_png", QUICK)


@pytest.fixture
def coarse(monkeypatch, sketched):
    """Maps and pictures are coarse, and the pictures sketched."""
    monkeypatch.setattr(map_view, "FINE", 24)
    monkeypatch.setattr(map_view, "COARSE", 12)
    monkeypatch.setattr(map_view, "QUICK_DPI", 40.0)
    monkeypatch.setattr(panel_view, "SHARP", 40.0)
    monkeypatch.setattr(between, "SPREAD", 25)
    monkeypatch.setattr(map_view, "map_steps", partial(map_steps, most=30))


@pytest.fixture
def design_alone(monkeypatch):
    """The verdict on a job is that on its design, which is quick: for tests of something else."""
    monkeypatch.setattr(verdict, "_has", lambda job, kind: kind == "design")


@pytest.fixture
def without_pours(monkeypatch):
    """The verdict on a job is that on all its parts but the pours, whose heat takes longest."""
    monkeypatch.setattr(verdict, "_has", lambda job, kind: kind != "shop" and JUDGED(job, kind))


@pytest.fixture
def whole_verdict(design_alone, monkeypatch):
    """Every part of a job is judged all the same."""
    monkeypatch.setattr(verdict, "_has", JUDGED)
