"""The table of looks: apart for colour-blind readers, apart in grey print, readable on white.

Simulation: Machado, Oliveira & Fernandes (2009), A physiologically-based model for simulation of color vision
deficiency, IEEE Trans. Visualization and Computer Graphics 15(6), matrices for severity 1.0 (checked against an
independent implementation), applied to linear sRGB. Distance: CIELAB 1976 (CIE 15), from sRGB by IEC 61966-2-1. A just
noticeable difference is about 2.3 units for large patches side by side (from memory); lines are thin, so we ask for
more than eight times that. Contrast: W3C, Web Content Accessibility Guidelines 2.1, criteria 1.4.3 (text, 4.5) and
1.4.11 (graphics, 3).
"""

import re
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from matplotlib import font_manager, ft2font

from panelmech.draw import fonts, look
from panelmech.draw.study_figures import OVERLAY
from panelmech.loads.checks import LOAD_RULES

SEEN_AS = {
    "usual sight": np.eye(3),
    "no red cones": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "no green cones": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "no blue cones": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
APART = 20.0  # CIELAB units, about eight just noticeable differences
GREY_APART = 8.0  # units of lightness, of 100

# What stands in one picture together; the two limits share a colour on purpose and differ by dash and label.
TOGETHER = {
    "several designs": OVERLAY,
    "bent against wedge, one pinned": ("bent", "wedge", "spacer", "pinned"),
    "along the sheet": ("bent", "spacer", "limit"),
    "one sheet pressed": ("bent", "third", "wedge"),
}
PAIRS = sorted({pair for names in TOGETHER.values() for pair in combinations(names, 2)})


def linear(colour):
    """Linear sRGB of "#rrggbb"."""
    value = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIELAB of linear sRGB, white D65."""
    ratio = TO_XYZ @ rgb / (TO_XYZ @ np.ones(3))
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def lightness(colour):
    return lab(linear(colour))[0]


def contrast(colour, ground=look.PAPER):
    low, high = sorted(TO_XYZ[1] @ linear(c) for c in (colour, ground))
    return (high + 0.05) / (low + 0.05)


def test_simulation_keeps_grey_and_the_scales_are_right():
    """A grey stays grey for everyone (rows add up to 1); black and white have lightness 0 and 100, contrast 21."""
    for matrix in SEEN_AS.values():
        assert np.sum(matrix, axis=1) == pytest.approx(np.ones(3), abs=2e-6)  # six decimals printed in the source
    assert lightness("#000000") == pytest.approx(0.0, abs=1e-9)
    assert lightness("#ffffff") == pytest.approx(100.0, abs=1e-3)
    assert contrast("#000000") == pytest.approx(21.0, abs=1e-3)


def too_close(pairs, place, least):
    """The pairs of lines whose places (by name of the line) are less than `least` apart, with their distance."""
    distances = {pair: np.linalg.norm(np.subtract(*map(place, pair))) for pair in pairs}
    return {pair: distance for pair, distance in distances.items() if not distance >= least}


def grey(name):
    return lightness(look.LINES[name].colour)


@pytest.mark.parametrize("sight", SEEN_AS)
def test_lines_of_one_picture_stay_apart_for_everyone(sight):
    def seen(name):
        return lab(np.clip(SEEN_AS[sight] @ linear(look.LINES[name].colour), 0.0, 1.0))

    assert too_close(PAIRS, seen, APART) == {}


def test_lines_of_one_picture_stay_apart_in_grey():
    assert too_close(PAIRS, grey, GREY_APART) == {}


def test_lines_that_are_too_close_are_named():
    assert set(too_close([("bent", "bent"), ("bent", "wedge")], grey, GREY_APART)) == {("bent", "bent")}


def test_every_line_has_its_own_dashes_where_colours_could_be_confused():
    """No two designs, and not both limits, share a dash pattern: no meaning hangs on colour alone."""
    for names in (OVERLAY, ("limit", "permanent", "bent"), ("bent", "wedge", "pinned")):
        patterns = [look.LINES[name].dashes for name in names]
        assert len(set(patterns)) == len(patterns), names


# ----- Any two lines that may stand in one plot

RATIO, HEAVIER = 1.6, 1.75  # a dash or a period that much longer, a line that much heavier, is seen as another
LIGHTER, OTHER = 15.0, 15.0  # units of lightness in grey, of CIELAB for who has no red or no green cones
THIN, CHECKED = look.THIN_LINES, look.CHECK_LINES


def named(*names):
    return tuple(look.LINES[name] for name in names)


IN_ONE_PLOT = {
    "live section": named("bent", "wedge", "spacer", "pinned"),
    "sections compared": named(*OVERLAY),
    "against the wedge": named("bent", "wedge", "spacer"),
    "strain along the sheet": (*named("bent"), CHECKED["forming_strain"], CHECKED["permanent_strain"], THIN["contact"]),
    "load cases": (*look.CASE_LINES, *named("limit"), THIN["zero"]),
    "use of limits under load": (*look.USE_LINES, *named("limit")),
    "map of two inputs": (*look._CHECK_LINES, THIN["this design"]),
    "parts built alike": (*named("spacer", "limit", "permanent"), THIN["median"], THIN["quantile"]),
    "size wanted": named("bent", "limit"),
    "curves with a name": (*look.CURVE_LINES.values(), THIN["zero"]),
    "pair as measured": (*named("bent", "second", "pinned"), THIN["as designed"], THIN["chord line"]),
    "mean line": (*named("pinned", "limit"), THIN["zero"]),
    "offsets": named("bent", "second", "wedge"),
    "what is left": (*(look.Line(look.LINES[n].colour, (2, 2), 0.6) for n in ("bent", "second")), THIN["nothing left"]),
    "log of the part": (*named("bent"), THIN["creep"]),
    "heat and cure of a lift": named("bent", "second", "third", "limit", "permanent"),
    "ratios and reserves": (*named("bent", "limit"), THIN["one"], THIN["close"]),
    "blank": tuple(look.BLANK_LINES.values()),
}


def dashes_differ(one, other):
    """Another number of strokes in a period, a longest stroke or a period clearly longer; as drawn both in points (live
    picture) and in weights of the line (plot)."""
    if len(one.dashes) != len(other.dashes):
        return True
    if not one.dashes:
        return False

    def clearly(scales):
        sizes = [(scale * max(line.dashes[::2]), scale * sum(line.dashes)) for line, scale in scales]
        return any(max(a, b) >= RATIO * min(a, b) for a, b in zip(*sizes, strict=True))

    return clearly([(one, 1.0), (other, 1.0)]) and clearly([(one, one.weight), (other, other.weight)])


def colours_differ(one, other):
    """In grey print, and for who has no red or no green cones."""
    a, b = linear(one.colour), linear(other.colour)
    seen = (SEEN_AS["no red cones"], SEEN_AS["no green cones"])
    apart = [np.linalg.norm(lab(np.clip(s @ a, 0, 1)) - lab(np.clip(s @ b, 0, 1))) for s in map(np.array, seen)]
    return abs(lab(a)[0] - lab(b)[0]) >= LIGHTER and min(apart) >= OTHER


def alike(lines):
    """The pairs of lines that a reader could take for each other."""
    return [
        (a, b)
        for a, b in combinations(lines, 2)
        if not (dashes_differ(a, b) or colours_differ(a, b))
        and not max(a.weight, b.weight) >= HEAVIER * min(a.weight, b.weight)
    ]


@pytest.mark.parametrize("plot", IN_ONE_PLOT)
def test_any_two_lines_of_one_plot_differ(plot):
    assert alike(IN_ONE_PLOT[plot]) == []


def test_lines_that_look_alike_are_found():
    dotted, short = look.Line(look.OCHRE, (1.5, 1.5), 1.8), look.Line(look.CRIMSON, (2, 2), 1.4)
    solid, other = look.Line(look.COPPER, (), 1.6), look.Line(look.OCHRE, (), 1.4)
    assert alike([dotted, short]) == [(dotted, short)] and alike([solid, other]) == [(solid, other)]
    assert alike([solid, look.LINES["bent"]]) == []


def test_every_line_of_the_tables_stands_in_a_plot():
    tables = (*look.LINES.values(), *THIN.values(), *look.BLANK_LINES.values(), *look.USE_LINES)
    together = {line for lines in IN_ONE_PLOT.values() for line in lines}
    assert [line for line in tables if line not in together] == []


def test_every_limit_under_load_has_a_line_of_its_own():
    """The lines are given out anew once they are used up: there are enough."""
    along = [rule for rule in LOAD_RULES if not rule.key.startswith("tip_")]
    assert len(along) <= len(look.USE_LINES)


def test_lines_stand_out_from_paper():
    lines = {**look.LINES, **look.THIN_LINES, **look.BLANK_LINES, **dict(enumerate(look.USE_LINES))}
    assert [name for name, line in lines.items() if not contrast(line.colour) >= 3.0] == []


def test_text_is_readable():
    inks = [look.INK, look.QUIET, *look.VERDICT_COLOURS.values()]
    grounds = (look.PAPER, look.BAND)
    assert [(ink, ground) for ink in inks for ground in grounds if not contrast(ink, ground) >= 4.5] == []


def test_words_on_lines_are_readable():
    """Limits and the rod are named in their own colour."""
    for name in ("limit", "permanent", "bent", "spacer"):
        assert contrast(look.LINES[name].colour) >= 4.5


def test_strain_shades_get_darker_all_the_way():
    """Each tenth of the greatest strain is visibly darker than the one before, so the order survives grey print."""
    shades = [lightness(look.strain_colour(share)) for share in np.linspace(0.0, 1.0, 11)]
    assert np.all(np.diff(shades) < -4.0)
    assert shades[0] - shades[-1] > 65.0


@pytest.mark.parametrize("share", [-0.001, 1.001, float("nan")])
def test_strain_shade_refuses_what_is_not_a_share(share):
    with pytest.raises(ValueError, match="give 0 to 1"):
        look.strain_rgb(share)


def test_land_is_shaded_as_unstrained():
    """The clamped land is not bent: the same shade as no strain."""
    assert look.FILLS["land"] == look.strain_colour(0.0)


def test_verdict_marks_differ_and_exist_in_the_font():
    marks = look.VERDICT_MARKS
    assert len(set(marks.values())) == len(marks)
    assert set(marks) == set(look.VERDICT_COLOURS)
    glyphs = ft2font.FT2Font(font_manager.findfont(fonts.family()[0])).get_charmap()
    assert [mark for mark in marks.values() if ord(mark) not in glyphs] == []


def test_what_is_light_loads_without_matplotlib_and_ezdxf():
    """The live picture must be there at once: nothing on its way, the room's door included, loads what only export
    needs."""
    names = ", ".join(f"panelmech.draw.{name}" for name in ("look", "shapes", "live_svg", "digest", "template_files"))
    code = f"import sys, {names}; print([name for name in ('matplotlib', 'ezdxf') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr


def test_the_door_gives_every_name_it_lists():
    import panelmech.draw

    assert all(callable(getattr(panelmech.draw, name)) for name in panelmech.draw.__all__)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = panelmech.draw.nothing


def test_each_colour_stands_once():
    """A colour is one line of the table of looks: no other place in the room writes one down."""
    folder = Path(look.__file__).parent
    written = {p.name: re.findall(r'"(#[0-9a-f]{6})"', p.read_text(encoding="utf-8")) for p in folder.glob("*.py")}
    ours = written.pop("look.py")
    assert len(set(ours)) == len(ours)
    assert {name: colours for name, colours in written.items() if colours} == {}
