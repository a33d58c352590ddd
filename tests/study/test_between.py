"""What is read between framed sheets: as near as its doubt says, on maps of many kinds, where waves of buckling change
their number too."""

import numpy as np
from day_and_night import by_day
from test_every_map import DESIGN, MAPS, swept

from panelmech.study import between, every_map
from panelmech.study.checks import LOCAL_RULES

MORE = {
    "span and rod": (DESIGN, dict(span=(0.2, 1.0), spacer_diameter=(8e-3, 60e-3))),
    "frame and sheet": (DESIGN, dict(frame_width=(5e-3, 80e-3), sheet_thickness=(0.6e-3, 6e-3))),
    "length and sheet": (DESIGN, dict(free_length=(0.12, 0.4), sheet_thickness=(1e-3, 4e-3))),
    "span and sheet": (DESIGN, dict(span=(0.3, 1.8), sheet_thickness=(0.8e-3, 4e-3))),
}
EVERY = {**MAPS, **MORE}


def ratios(name, count, monkeypatch):
    """Error over doubt of so many cells that were read on a complete map."""
    monkeypatch.setattr("test_every_map.MAPS", EVERY)
    reading = every_map._Reading(swept(name, 40), LOCAL_RULES)
    for _ in reading.work_out(reading.open, between.SPREAD):
        pass
    reading.mapped()
    while reading.undecided.any() and len(reading.nodes) < every_map.MOST:
        for _ in reading.work_out(reading.undecided, every_map.BATCH):
            pass
        reading.mapped()
    left = np.setdiff1d(np.flatnonzero(reading.open), reading.nodes)
    cells = np.random.default_rng(1).permutation(left)[:count]
    off = np.abs(np.array([reading._logs(cell) for cell in cells]) - reading.between.logs[cells])
    return (off / reading.between.doubts[cells])[reading.between.known[cells]]


@by_day("name", EVERY, "rod and sheet", "much cannot be made")
def test_what_is_read_is_as_near_as_its_doubt(name, monkeypatch):
    """All but two in a hundred of each map, and these within five doubts."""
    found = ratios(name, 60, monkeypatch)
    assert found.size >= 60 and np.mean(found > 1.0) <= 0.02 and found.max() < 5.0


def test_a_curve_with_a_kink_is_not_told_as_sure():
    """Beside the kink of a curve read between 41 places the doubt is as large as the error."""
    x = np.linspace(0.0, 1.0, 321)
    reading = between.Between(x[:, None], np.ones((len(x), 1), dtype=bool))
    kinked = np.abs(x - 0.4031)
    for node in range(0, len(x), 8):
        reading.put(node, kinked[[node]])
    reading.read(np.ones(len(x), dtype=bool))
    off = np.abs(reading.logs[:, 0] - kinked)
    assert off.max() > 1e-3 and np.all(off <= reading.doubts[:, 0])
    assert reading.doubts[16, 0] == 0.0 and reading.doubts[12, 0] < 0.2 * reading.doubts[129, 0]


def test_with_few_designs_nothing_is_told():
    reading = between.Between(np.linspace(0.0, 1.0, 9)[:, None], np.ones((9, 1), dtype=bool))
    for node in range(between.FEWEST):
        reading.put(node, [float(node)])
    reading.read(np.ones(9, dtype=bool))
    assert reading.unread.sum() == 9 - between.FEWEST
