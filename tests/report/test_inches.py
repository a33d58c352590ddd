"""Lengths in inches: no millimetre is left in what is shown, kept files stay, and back in mm all is said as before."""

import re
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import SimpleNamespace

import matplotlib
import numpy as np
import pytest
from day_and_night import by_day
from matplotlib.text import Text

from panelmech import Design, evaluate
from panelmech.__main__ import FINE, main
from panelmech.blade.blade import Blade, blade_json
from panelmech.blade.sections import blade_sections
from panelmech.draw import blade_figures, load_figures, pair_figures, pressing_figures, study_figures
from panelmech.draw.figures import STYLE, figure, name_lengths
from panelmech.draw.live_svg import section_picture
from panelmech.draw.live_svg_loads import loads_picture
from panelmech.draw.map_figures import describe_map, map_figure, map_outputs
from panelmech.draw.shop_figures import PACK_FIGURES, template_preview
from panelmech.draw.template_files import dxf, svg
from panelmech.draw.template_pages import template_sheets
from panelmech.draw.trade_off_figures import describe_sizing, sizing_figure
from panelmech.loads.load_file import LoadSheet
from panelmech.measured.finished_part import explain_offsets, measured_offsets
from panelmech.measured.later import after_a_while
from panelmech.measured.pair import camber_outlook, judge_pair
from panelmech.measured.readings import read_readings, readings_csv
from panelmech.panels.shop_tables import cut_tables, template_table
from panelmech.report import note, note_text, pair_rows, records, shop_sheets
from panelmech.report.blocks import Paragraph
from panelmech.report.drawings import study_drawings
from panelmech.shop.pack import shop_pack
from panelmech.shop.templates import offset_csv
from panelmech.study.bent_and_flat import sheet_curves
from panelmech.study.named_curves import fit_named_curves
from panelmech.study.sizing import size
from panelmech.study.sweeps import sweep
from panelmech.units import INCHES, lengths, lengths_in, pretty_unit

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN, BLADE = Design.load(STUDIES / "leeboard.json"), Blade.load(STUDIES / "leeboard_blade.json")
SHEET, READINGS = LoadSheet.load(STUDIES / "leeboard_loads.json"), read_readings(STUDIES / "leeboard_readings.csv")

METRIC = "|".join(re.escape(pretty_unit(unit)) for unit in sorted(INCHES, key=len, reverse=True) if unit != "m")
LEFT = re.compile(rf"(?:\d[  ]?|[\[(]|, |^)(?:{METRIC}|cm|millimetres?|centimetres?)(?![\w²³⁴])")
OWN_WORDS = (DESIGN.purpose, DESIGN.title, SHEET.remark, SHEET.title)  # of whoever made the study
SAID = (
    "100 mm",  # the check bars are 100 mm long whatever is shown, and DXF drawings are in mm
    "drawn in mm",
    "metres and millimetres",  # what kept files keep
    "0.19 mm at 1.6 mm and 0.30 mm at 3.2 mm",  # quoted from a maker's table
    "6.5 mm birch plywood",  # a plywood by its name
)


def told(thing):
    """Every text in blocks, records, tuples, figures."""
    if isinstance(thing, str):
        yield thing
    elif hasattr(thing, "findobj"):
        thing.draw_without_rendering()
        yield from (text.get_text() for text in thing.findobj(Text))
    elif isinstance(thing, dict):
        yield from told(tuple(thing.values()))
    elif isinstance(thing, tuple | list | set) or hasattr(thing, "__next__"):
        for part in thing:
            yield from told(part)
    elif is_dataclass(thing):
        yield from told(tuple(getattr(thing, field.name) for field in fields(thing)))


def metric_words(thing):
    found = []
    for text in told(thing):
        for known in (*OWN_WORDS, *SAID):
            text = text.replace(known, "") if known else text
        found += [f"{m.group(0)!r} in {text[:200]!r}" for m in LEFT.finditer(text)]
    return found


@pytest.fixture(scope="module")
def made():
    """All records, made while lengths are shown in inches."""
    with lengths_in("inch"):
        pair = judge_pair(DESIGN, READINGS, 0.5e-3)
        over = {"free_length": np.linspace(0.2, 0.25, 5), "spacer_diameter": np.linspace(0.016, 0.02, 5)}
        return SimpleNamespace(
            study=evaluate(DESIGN),
            pair=pair,
            loads=records.record_of(BLADE, SHEET),
            pack=shop_pack(DESIGN),
            tapered=shop_pack(BLADE),
            offsets=measured_offsets(READINGS),
            fit=explain_offsets(pair),
            map=sweep(DESIGN, map_outputs("outer_thickness"), local=False, **over),
            sections=blade_sections(BLADE),
            size=size(DESIGN, "spacer_diameter", "outer_thickness", 0.025),
        )


PLACES = {
    "note": lambda m: note_text.compose(m.study, pressed=(sheet_curves(DESIGN), "")),
    "inspection": lambda m: records.inspection_blocks(m.pair),
    "pair words": lambda m: (pair_rows.verdict_words(m.pair), m.pair.notes, m.pair.missing),
    "loads": lambda m: records.load_blocks(m.loads),
    **{
        f"{name}, {which}": lambda m, name=name, which=which: shop_sheets.compose_sheet(getattr(m, which), name)
        for name in shop_sheets.SHEETS
        for which in ("pack", "tapered")
    },
    "cut tables": lambda m: cut_tables(m.pack),
    "template tables": lambda m: [template_table(t) for t in m.tapered.templates],
    "live section": lambda m: section_picture(m.study, m.study),
    "live loads": lambda m: loads_picture(m.loads.study),
    "pressed sheet": lambda m: pressing_figures.pressing_figure(sheet_curves(DESIGN), DESIGN),
    "study figures": lambda m: [(draw(m.study), words(m.study)) for _, draw, words in study_figures.FIGURES.values()],
    "load figure": lambda m: (load_figures.loads_figure(m.loads.study), load_figures.describe_loads(m.loads.study)),
    "planform": lambda m: (blade_figures.planform_figure(m.sections), blade_figures.describe_blade(m.sections)),
    "part in space": lambda m: blade_figures.blade_figure(m.sections),
    "stack": lambda m: blade_figures.section_stack_figure(m.sections),
    "pack figures": lambda m: [draw(m.tapered) for draw in PACK_FIGURES],
    "preview": lambda m: template_preview(m.pack.templates[0], "A4"),
    "template pages": lambda m: [template_sheets(t) for t in m.tapered.templates],
    "template svg": lambda m: [re.sub(r"<[^>]*>", "\n", svg(t)).split("\n") for t in m.tapered.templates],
    "template dxf": lambda m: [line for t in m.tapered.templates for line in dxf(t).split("\n") if " " in line],
    "cambered": lambda m: (pair_figures.cambered_figure(m.pair), pair_figures.describe_cambered(m.pair)),
    "thickness": lambda m: (pair_figures.thickness_figure(m.pair), pair_figures.describe_thickness(m.pair)),
    "log": lambda m: (
        pair_figures.log_figure(m.pair, after_a_while(m.pair, 0.8)),
        after_a_while(m.pair, 0.8).log.words,
    ),
    "camber map": lambda m: pair_figures.camber_map_figure(m.pair, camber_outlook(m.pair)),
    "named": lambda m: pair_figures.named_figure(m.pair, fit_named_curves(DESIGN.bend())),
    "offsets": lambda m: pair_figures.offsets_figure(m.pair, m.offsets, m.fit),
    "offset words": lambda m: pair_figures.describe_offsets(m.offsets, m.fit),
    "map": lambda m: (map_figure(m.map, "outer_thickness"), describe_map(m.map, "outer_thickness")),
    "sizing": lambda m: (sizing_figure(m.size), describe_sizing(m.size)),
}


@pytest.mark.slow
@pytest.mark.parametrize("place", PLACES)
def test_no_millimetre_is_left_where_lengths_are_in_inches(made, place):
    with lengths_in("inch"):
        shown = list(told(PLACES[place](made)))
        assert not metric_words(shown)
    assert any(re.search(r"\d[  ]in\b|[\[,] ?in\b", text) for text in shown)


def test_the_search_finds_what_it_looks_for():
    for text in ("18 mm", "240.0 mm", "2.6 cm²", "chord [mm]", "wall, mm", "1 to 2 cm", "1·10^5 mm⁴"):
        assert metric_words(text), text
    assert not metric_words("18 mL, 3 MPa and a 100 mm (3.937 in) bar; 2 m/s")


def without(name):
    """What the places say, by name."""
    return list(told(PLACES[name](Fresh())))


class Fresh:
    """Records made now, as they are asked for."""

    study = property(lambda self: evaluate(DESIGN))
    pack = property(lambda self: shop_pack(DESIGN))
    loads = property(lambda self: records.record_of(BLADE, SHEET))


@pytest.mark.slow
@by_day("place", ["note", "loads", "batch-sheet, pack", "live section"], "note", "live section")
def test_in_mm_all_is_said_as_before(made, place):
    before = without(place)
    with lengths_in("inch"):
        assert without(place) != before
    assert without(place) == before and lengths() == "mm"
    assert not any("Lengths are in" in text for text in before)


def kept(study, loads, pack):
    """The content of every kept file of numbers."""
    yield from (note.results_csv(study), note.study_json(study), note.comparison_csv(study))
    yield from (records.load_diagrams_csv(loads), blade_json(loads.blade), readings_csv(READINGS))
    yield DESIGN.input_hash()


def test_kept_files_are_the_same_in_inches(made):
    with lengths_in("inch"):
        mine = list(kept(made.study, made.loads, made.pack))
    again = Fresh()
    assert mine == list(kept(again.study, again.loads, again.pack))


def test_papers_say_which_lengths_they_show(made):
    with lengths_in("inch"):
        papers = (
            note_text.compose(made.study),
            records.load_blocks(made.loads),
            records.inspection_blocks(made.pair),
            *(shop_sheets.compose_sheet(made.pack, name) for name in shop_sheets.SHEETS),
        )
    for blocks in papers:
        lines = [b.text for b in blocks if isinstance(b, Paragraph) and b.text.startswith("Lengths are in inches; ")]
        assert len(lines) == 1 and re.search(r"(study|part)\.json|readings\.csv", lines[0])


def test_sheets_stay_as_short_as_in_millimetres(made):
    with lengths_in("inch"):
        assert max(len(shop_sheets.sheet_pages(made.pack, n)) for n in shop_sheets.SHEETS) <= 2


def test_no_name_of_an_axis_leaves_the_drawings_of_the_note(made):
    with lengths_in("inch"):
        for name, laid in study_drawings(made.study).items():
            fig = laid.figure
            with matplotlib.rc_context(STYLE):
                fig.draw_without_rendering()
            for label in (axis.label for ax in fig.axes for axis in (ax.xaxis, ax.yaxis) if axis.label.get_text()):
                box = label.get_window_extent()
                assert box.x0 >= 0.0 and box.x1 <= fig.bbox.x1 and box.y0 >= 0.0, f"{name}: {label.get_text()}"


def test_an_axis_of_millimetres_has_round_inches():
    with lengths_in("inch"):
        fig, ax = figure(100.0, 60.0)
        ax.set(xlim=(-10.0, 260.0), ylim=(-3.0, 3.0))
        name_lengths(ax.xaxis, "along")
        name_lengths(ax.yaxis, "across", ", five times larger", ticks=3)
        fig.draw_without_rendering()
    assert ax.get_xlabel() == "along [in]" and ax.get_ylabel() == "across [in], five times larger"
    for axis in (ax.xaxis, ax.yaxis):
        places, words = axis.get_majorticklocs(), [label.get_text() for label in axis.get_majorticklabels()]
        assert [float(w.replace("−", "-")) * 25.4 for w in words] == pytest.approx(list(places), abs=1e-9)
        assert len({len(w.partition(".")[2]) for w in words}) == 1  # all with as many decimals
    assert {"−0.1", "0.0", "0.1"} <= {w.get_text() for w in ax.get_yticklabels()}


def test_stations_of_templates_are_round_inches_from_the_trailing_edge(made):
    gauge = next(t for t in made.pack.templates if t.key == "outside-gauge")
    inner = gauge.table.values[1:-3, 0] / 0.0254
    assert len(inner) > 5 and np.allclose(inner * 16, np.round(inner * 16), atol=1e-9)
    assert offset_csv(gauge).startswith("from trailing edge [mm],")


def test_command_line_writes_papers_in_inches(tmp_path, capsys):
    study = tmp_path / "study.json"
    study.write_text((STUDIES / "leeboard.json").read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["check", str(study), "--all", "--lengths", "inch"]) == FINE
    said = capsys.readouterr().out
    assert "9.442 in" in said and not metric_words(said)
    assert main(["check", str(study), "--all"]) == FINE and "239.8 mm" in capsys.readouterr().out
    assert lengths() == "mm"
    with pytest.raises(SystemExit):
        main(["check", str(study), "--lengths", "cm"])
    assert "--lengths" in capsys.readouterr().err
