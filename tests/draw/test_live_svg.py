"""The live picture: to scale, complete, safe as text, and described in words."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import evaluate
from panelmech.draw.live_svg import HEIGHT, SEGMENTS, WIDTH, SectionMarks, description, section_picture
from panelmech.draw.look import LINES
from panelmech.mechanics.bend import InfeasibleBend

SVG = "{http://www.w3.org/2000/svg}"


def leeboard(**changes):
    return evaluate(LEEBOARD.replace(**changes), local=False)


def drawn(study, pinned=None, **view):
    return ET.fromstring(section_picture(study, pinned, SectionMarks(**view)))


def dashed(root, kind):
    dashes = ",".join(f"{d:g}" for d in LINES[kind].dashes)
    return [e for e in root.iter() if e.get("stroke-dasharray") == dashes and e.get("stroke") == LINES[kind].colour]


def numbers(path):
    return np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.get("d")), dtype=float)


def sheets(root):
    """The outline of both sheets: the widest closed path in the colour of the bent pair."""
    outlines = [p for p in root.iter(f"{SVG}path") if p.get("stroke") == LINES["bent"].colour and "Z" in p.get("d")]
    return numbers(max(outlines, key=lambda p: np.ptp(numbers(p)[:, 0])))


def test_rod_is_round_and_everything_has_one_scale():
    study = leeboard()
    root = drawn(study)
    rod = next(root.iter(f"{SVG}ellipse"))
    assert rod.get("rx") == rod.get("ry")
    scale = float(rod.get("rx")) / 9.0  # picture units per mm
    points = sheets(root)
    # coordinates are written to a tenth of a unit, and the scale is known to that share of the rod's radius
    assert np.ptp(points[:, 1]) / scale == pytest.approx(1000 * study.quantities["outer_thickness"], rel=0.01)
    free = 1000 * study.bend.free_chord
    assert np.ptp(points[:, 0]) / scale == pytest.approx(free, rel=0.01)


def test_heights_are_exaggerated_when_asked_and_it_is_said():
    root = drawn(leeboard(), exaggerate=2)
    rod = next(root.iter(f"{SVG}ellipse"))
    assert float(rod.get("ry")) == pytest.approx(2 * float(rod.get("rx")), abs=0.11)  # both written to a tenth
    assert "heights × 2" in "".join(root.itertext())
    assert "2 times too large" in root.get("aria-label")


def test_strain_goes_from_dark_at_the_land_to_light_at_the_front():
    root = drawn(leeboard())
    # each coloured piece is filled and stroked in one colour
    pieces = [p.get("fill") for p in root.iter(f"{SVG}path") if p.get("fill") == p.get("stroke")]
    pieces = pieces[: SEGMENTS + 1]
    light = [sum(int(c[i : i + 2], 16) for i in (1, 3, 5)) for c in pieces]
    assert len(pieces) == SEGMENTS + 1 and light == sorted(light) and light[0] < light[-1]
    plain = drawn(leeboard(), strain=False)
    assert len(list(plain.iter(f"{SVG}path"))) < len(list(root.iter(f"{SVG}path"))) - SEGMENTS


def test_wedge_pinned_and_dimensions_come_and_go():
    study, other = leeboard(), leeboard(spacer_diameter=0.03, title="The other")
    # the samples of the legend are dashed too, hence two of each
    assert len(dashed(drawn(study), "wedge")) == 2 and dashed(drawn(study, wedge=False), "wedge") == []
    assert dashed(drawn(study), "pinned") == []
    pinned = drawn(study, other)
    assert len(dashed(pinned, "pinned")) == 3 and "pinned: The other" in "".join(pinned.itertext())
    words = "".join(drawn(study).itertext())
    assert "chord 239.8 mm" in words and "land 15 mm" in words and "18 mm tube" in words
    assert "chord 239.8 mm" not in "".join(t.text for t in drawn(study, dimensions=False).iter(f"{SVG}text"))


def test_solid_rod_has_no_bore():
    assert len(list(drawn(leeboard(spacer_wall=0.0)).iter(f"{SVG}ellipse"))) == 1
    assert len(list(drawn(leeboard()).iter(f"{SVG}ellipse"))) == 2


@pytest.mark.slow
def test_frame_stays_and_nothing_leaves_it():
    generator = np.random.default_rng(4)
    tried = 0
    for _ in range(300):
        sizes = {
            "free_length": generator.uniform(0.04, 0.8),
            "sheet_thickness": generator.uniform(5e-4, 6e-3),
            "spacer_diameter": generator.uniform(4e-3, 0.12),
            "setback": generator.uniform(-0.01, 0.03),
            "bond_line": generator.uniform(0, 1e-3),
            "land_length": generator.uniform(5e-3, 0.06),
        }
        try:
            study = leeboard(**sizes)
        except InfeasibleBend:
            continue
        tried += 1
        root = drawn(study)
        assert root.get("viewBox") == f"0 0 {WIDTH} {HEIGHT}"
        points = np.vstack([numbers(p) for p in root.iter(f"{SVG}path")])
        assert np.isfinite(points).all()
        assert points.min() >= 0 and points[:, 0].max() <= WIDTH and points[:, 1].max() <= HEIGHT
    assert tried > 100


def test_no_wedge_is_drawn_where_it_cannot_touch_the_rod():
    study = leeboard(spacer_diameter=0.0534, setback=-0.03)
    assert np.isnan(study.wedge.angle)
    assert dashed(drawn(study), "wedge") == [] and "flat wedge" not in description(study)


def test_picture_is_described_and_a_title_cannot_break_it():
    study = leeboard()
    root = ET.fromstring(section_picture(study, leeboard(title='<script>alert("x")</script>&')))
    assert root.get("role") == "img" and root.get("aria-label") == root.find(f"{SVG}desc").text
    assert "2 mm" in root.get("aria-label") and "239.8 mm" in root.get("aria-label")
    assert list(root.iter(f"{SVG}script")) == []
    assert "nan" not in section_picture(study) and len(section_picture(study)) < 12_000
