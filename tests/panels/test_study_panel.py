"""The panels without a browser: settings, picture, checks, messages, files."""

import asyncio
import re

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import Design, catalogue, evaluate
from panelmech.draw.look import VERDICT_COLOURS
from panelmech.panels import files as panel_files
from panelmech.panels import guard, study_panel
from panelmech.panels import panel as engine
from panelmech.panels import study_tables as panel_text
from panelmech.panels.controls import FIRST
from panelmech.panels.job_box import BUTTONS
from panelmech.panels.style import STYLE
from panelmech.panels.widgets import Number
from panelmech.report import note
from panelmech.study.advice import advise
from panelmech.study.design import LIMITS
from panelmech.study.inside import Inside, Rib, Zone
from panelmech.units import lengths_in

pytestmark = pytest.mark.usefixtures("sketched", "without_pours")


def leeboard(**changes):
    return LEEBOARD.replace(**changes)


@pytest.fixture
def places(tmp_path):
    return {"jobs": tmp_path / "jobs", "out": tmp_path / "out"}


@pytest.fixture
def panel(places, design_alone):
    return study_panel.panel_bend(leeboard(), **places)


def texts(panel):
    return {name: part.value for name, part in panel.parts.items()}


def every_widget(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_widget(child)


# ----- settings -----


def test_every_input_has_a_control_the_first_ones_before_the_folded_ones(panel):
    classes = [c for w in every_widget(panel.box) for c in w._dom_classes]
    places = [classes.index(f"pm-{name}") for name in (*LIMITS, "sheet", "adhesive", "spacer", "wedge")]
    assert len(set(places)) == len(places)
    first = [classes.index(f"pm-{name}") for name in FIRST]
    assert first == sorted(first) and max(first) < classes.index("pm-fold-box")
    order = [classes.index(name) for name in ("pm-span", "pm-bond_line", "pm-friction", "pm-exaggerate", "pm-pin")]
    assert order == sorted(order)


def test_handles_come_from_the_table_of_limits(panel):
    for name, number in panel.controls.numbers.items():
        limit = LIMITS[name]
        assert (number.low, number.high, number.step) == (limit.slider_low, limit.slider_high, limit.step)
        assert number.label.lower().startswith(limit.label.lower()) and number.help == limit.help


def test_panel_shows_the_design_it_was_given(panel):
    assert panel.design() == leeboard()
    assert panel.study.design == leeboard() and not panel.stale


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("spacer_diameter", 24),
        ("sheet_thickness", 1.5),
        ("free_length", 260),
        ("setback", -2),
        ("span", 500),
        ("friction", 0.05),
        ("pressure", 500),
    ],
)
def test_moving_a_slider_changes_what_is_shown_and_moving_back_restores_it(panel, name, value):
    before = texts(panel)
    old = panel.controls.numbers[name].place
    panel.controls.numbers[name].dragged(value)
    assert texts(panel)["checks"] != before["checks"]
    np.testing.assert_equal(panel.study.quantities, evaluate(panel.design()).quantities)  # nan is nan
    panel.controls.numbers[name].dragged(old)
    assert texts(panel) == before


def test_a_default_is_drawn_apart_until_it_is_typed_or_ticked(panel):
    """The number typed again, or the box beside it, makes it the builder's; a handle dragged to and fro does not."""
    number, mine = panel.controls.numbers["service_stress"], panel.controls.mine
    assert texts(panel)["checks"].count('class="pm-default"') == 3 and "◇" in texts(panel)["checks"]
    number.dragged(7)
    assert mine["service_stress"].value
    number.dragged(5)
    assert panel.design().settled == () and not mine["service_stress"].value
    number.typed(number.text)
    assert panel.design().settled == ("service_stress",) and mine["service_stress"].value
    panel.finish()
    assert not panel.study.check("skin_buckling").default
    mine["friction"].value = True
    panel.finish()
    assert panel.study.design.settled == ("friction", "service_stress")
    assert texts(panel)["checks"].count('class="pm-default"') == 1
    mine["service_stress"].value = False
    assert panel.design().settled == ("friction",)
    panel.set(leeboard())
    assert panel.design() == leeboard() and not any(mine[name].value for name in ("friction", "service_stress"))


def test_choosing_another_sheet_changes_the_checks(panel):
    before = texts(panel)
    panel.controls.choices["sheet"].value = catalogue["woven GRP"]
    assert panel.study.design.sheet.name == "woven GRP" and texts(panel)["checks"] != before["checks"]


def test_a_value_between_the_steps_is_kept_exactly(places):
    panel = study_panel.panel_bend(leeboard(sheet_thickness=1.93e-3, free_length=0.2251234567), **places)
    assert panel.design() == leeboard(sheet_thickness=1.93e-3, free_length=0.2251234567)
    panel.controls.numbers["spacer_diameter"].dragged(20)
    assert panel.design().sheet_thickness == 1.93e-3


@pytest.mark.parametrize(
    ("typed", "value", "echo"),
    [
        ("2.06", 2.06e-3, ""),
        ("2,5", 2.5e-3, "= 2.5 mm"),
        ("1/8 in", 3.175e-3, "= 3.175 mm"),
        ("0.3 cm", 3e-3, "= 3 mm"),
    ],
)
def test_what_is_typed_stands_and_is_echoed(panel, typed, value, echo):
    number = panel.controls.numbers["sheet_thickness"]
    number.typed(typed)
    assert (number.text, number.si(), number.echo, number.wrong) == (typed, value, echo, "")
    assert panel.design().sheet_thickness == panel.study.design.sheet_thickness == value and not panel.stale


@pytest.mark.parametrize("typed", ["abc", "", "900", "6 kg", "2_06", "1.234,5", "-2"])
def test_what_cannot_be_used_stays_in_the_field_marked_and_greys_the_last_answer(panel, typed):
    number, before = panel.controls.numbers["sheet_thickness"], texts(panel)
    number.typed(typed)
    assert number.text == typed and number.wrong.startswith("Sheet thickness is ") and ": give " in number.wrong
    assert panel.stale and "Sheet thickness is " in panel.summary() and texts(panel) == before
    with pytest.raises(ValueError, match="sheet thickness is"):
        number.si()
    number.typed(number.good)
    assert not panel.stale and number.wrong == "" and texts(panel) == before


@pytest.mark.parametrize("name", LIMITS)
def test_a_value_in_the_allowed_range_stands_whatever_the_handle_spans(name):
    number = Number(name, LIMITS[name].slider_low)
    for value in (LIMITS[name].low, LIMITS[name].high):
        number.dragged(number.low + number.step)
        number.typed(f"{value:.12g}")
        assert number.value == value and number.wrong == ""
        assert number.low <= value <= number.high and number.place == value


def test_a_loaded_value_outside_the_handle_widens_it_by_whole_steps():
    number = Number("spacer_diameter", 18.0)
    number.value = 91.3
    assert number.high == 91.5 and number.place == 91.3
    number.value = 2.0
    assert number.low == 2.0 and number.value == 2.0


def test_a_handle_announces_its_value_with_its_unit_and_rounded():
    number = Number("free_length", 225.0)
    number.dragged(224.99999999999997)
    assert (number.said, number.text, number.si()) == ("225 mm", "225", 0.225)


def test_lengths_may_be_shown_and_typed_in_inches_without_moving_the_design(panel):
    number, before = panel.controls.numbers["free_length"], panel.design()
    with lengths_in("inch"):
        for each in panel.controls.numbers.values():
            each.show_again()
        assert number.label == "Free length, in" and panel.design() == before
        number.typed("9 1/2")
        assert number.si() == 0.2413 and number.echo == "= 9.5 in"
        number.typed("230 mm")
        assert number.si() == 0.23 and number.echo == "= 9.0551 in"
    number.show_again()
    assert (number.label, number.text) == ("Free length, mm", "230")


def test_a_number_set_by_the_program_that_is_not_allowed_is_refused_too(panel):
    panel.controls.numbers["sheet_thickness"].value = 900
    assert panel.stale and "give 0.05 mm to 50 mm" in panel.summary()
    assert panel.controls.numbers["sheet_thickness"].text == "900"


def test_a_sheet_of_ones_own_joins_the_list(panel):
    mine = catalogue["woven GRP"]
    mine = type(mine)(
        name="my own lay-up",
        modulus=15e9,
        poisson=0.2,
        density=1700.0,
        permanent_strain_limit=0.002,
        forming_strain_limit=0.01,
        source="measured strip",
    )
    panel.set(leeboard(sheet=mine))
    assert panel.design().sheet == mine and not panel.stale
    assert "my own lay-up (this study's own)" in [label for label, _ in panel.controls.choices["sheet"].options]


def test_inputs_without_a_control_are_kept(places):
    design = leeboard(resin=catalogue.resins["epoxy, dense filler"], modulus_rule="narrow strip", purpose="a try")
    panel = study_panel.panel_bend(design, **places)
    panel.controls.numbers["spacer_diameter"].dragged(20)
    assert panel.design() == design.replace(spacer_diameter=0.020)


def test_view_changes_the_picture_only(panel):
    before = texts(panel)
    for name, value in (("wedge", False), ("dimensions", False), ("strain", False), ("exaggerate", 3)):
        panel.controls.show[name].value = value
    after = texts(panel)
    assert after["picture"] != before["picture"]
    assert {n: t for n, t in after.items() if n != "picture"} == {n: t for n, t in before.items() if n != "picture"}


# ----- what goes wrong is said -----


def test_infeasible_settings_keep_the_last_good_picture_greyed_and_say_what_to_change(panel):
    panel.controls.numbers["free_length"].dragged(100)
    before = texts(panel)
    panel.controls.numbers["spacer_diameter"].dragged(79.5)
    assert panel.stale and texts(panel) == before
    assert all("pm-stale" in part._dom_classes for part in panel.parts.values())
    assert 'role="alert"' in panel.alert.value and "use a spacer of at most" in panel.alert.value
    assert all(panel.keep.buttons[name].disabled for name in ("pin", "export", "note", "papers", "new-job"))
    panel.controls.numbers["spacer_diameter"].dragged(18)
    assert not panel.stale and panel.alert.value == ""
    assert not any("pm-stale" in part._dom_classes for part in panel.parts.values())
    assert not panel.keep.buttons["note"].disabled


def test_ribs_and_zones_are_typed_read_and_told(panel):
    ribs, zones = (panel.controls.inside[name] for name in ("ribs", "zones"))
    ribs.typed("30 cm x 60; 500 x 60")
    zones.typed("0 to 60; 700 to 850")
    assert panel.study.design.inside == Inside((Rib(0.3, 0.06), Rib(0.5, 0.06)), (Zone(0.0, 0.06), Zone(0.7, 0.85)))
    assert ribs.echo == "= 300 x 60; 500 x 60" and (zones.echo, zones.wrong) == ("", "")
    panel.finish()
    assert "of 3 bays the worst is bay 1" in panel_text.plain(panel.parts["checks"].value)
    ribs.typed("")
    assert panel.study.design.inside == Inside(zones=(Zone(0.0, 0.06), Zone(0.7, 0.85)))


def test_ribs_that_cannot_be_are_refused_at_their_field_or_with_the_part(panel):
    ribs = panel.controls.inside["ribs"]
    ribs.typed("300")
    assert ribs.wrong.startswith("'300' is no rib") and ribs.text == "300" and panel.stale
    ribs.typed("300 x 12")
    assert not panel.stale and panel.study.design.inside.ribs == (Rib(0.3, 0.012),)
    panel.controls.numbers["span"].dragged(300)
    assert panel.stale and "rib of 12 mm at 300 mm is not on the part" in panel.summary()


def test_ribs_are_shown_of_a_design_that_is_opened_in_the_unit_of_lengths(panel):
    panel.controls.set(leeboard(inside=Inside((Rib(0.3048, 0.0127),))))
    ribs = panel.controls.inside["ribs"]
    assert (ribs.text, ribs.label) == ("304.8 x 12.7", "Inner ribs, mm")
    with lengths_in("inch"):
        panel.controls.show_units_again()
        assert (ribs.text, ribs.label) == ("12 x 0.5", "Inner ribs, in")
        ribs.typed("6 x 0.5")
        assert ribs.records() == (Rib(0.1524, 0.0127),)


def test_settings_that_do_not_fit_each_other_are_refused_in_words(panel):
    panel.controls.numbers["frame_width"].dragged(60)
    panel.controls.numbers["span"].dragged(110)
    assert panel.stale and "make the frames narrower" in panel.summary()


def test_a_fault_in_a_callback_is_shown_and_not_raised(panel, monkeypatch):
    monkeypatch.setattr(engine, "evaluate", lambda *a, **k: 1 / 0)
    panel.controls.numbers["spacer_diameter"].dragged(25)
    assert panel.stale and "ZeroDivisionError" in panel.alert.value and 'role="alert"' in panel.alert.value


def test_a_fault_in_the_picture_leaves_no_new_numbers_beside_an_old_picture(panel, monkeypatch):
    before = texts(panel)
    monkeypatch.setattr(engine, "section_picture", lambda *a: {}["missing"])
    panel.controls.numbers["spacer_diameter"].dragged(25)
    assert panel.stale and texts(panel) == before


def test_a_fault_behind_a_button_is_shown_beside_it(panel, monkeypatch):
    def full(*arguments):
        raise OSError(28, "No space left on device", "/somewhere/note.html")

    monkeypatch.setattr(engine, "write_papers", full)
    panel.keep.buttons["note"].click()
    assert "No space left on device" in panel.keep.news.value and 'role="alert"' in panel.keep.news.value
    assert "/somewhere" not in panel.keep.news.value and not panel.stale


# ----- quick while moving, complete at rest -----


def test_while_moving_only_the_quick_part_is_computed_and_the_rest_follows(places, monkeypatch):
    monkeypatch.setattr(guard, "REST", 0.02)
    asked = []

    def watched(design, local=True):
        asked.append(local)
        return evaluate(design, local)

    monkeypatch.setattr(engine, "evaluate", watched)

    async def move():
        panel = study_panel.panel_bend(leeboard(), **places)
        asked.clear()
        for size in (20, 22, 24):
            panel.controls.numbers["spacer_diameter"].dragged(size)
        assert asked == [False, False, False]
        assert "so far" in panel.parts["verdict"].value and "pm-old" in panel.parts["checks"].value
        for _ in range(1000):
            await asyncio.sleep(0.02)
            if panel.verdict is not None:
                break
        assert asked == [False, False, False, True]
        assert "so far" not in panel.parts["verdict"].value and "pm-old" not in panel.parts["checks"].value
        panel.advise()
        return texts(panel)

    moved, again = asyncio.run(move()), study_panel.panel_bend(leeboard(spacer_diameter=0.024), **places)
    again.advise()
    assert moved == texts(again)


def test_a_button_never_works_on_what_is_still_to_come(places):
    async def pin_at_once():
        panel = study_panel.panel_bend(leeboard(), **places)
        panel.controls.numbers["spacer_diameter"].dragged(22)
        panel.keep.buttons["pin"].click()
        return panel

    panel = asyncio.run(pin_at_once())
    assert panel.pinned.design.spacer_diameter == 0.022 and panel.pinned.check("skin_buckling").value > 0


# ----- pin and compare -----


def test_pinned_design_stands_beside_the_present_one(panel):
    panel.keep.buttons["pin"].click()
    panel.controls.numbers["spacer_diameter"].dragged(27)
    assert "Pinned" in panel.parts["checks"].value and "pinned: Leeboard" in panel.parts["picture"].value
    assert "+9.00 mm (+50 %)" in panel.parts["checks"].value  # 27 mm against 18 mm
    panel.keep.buttons["pin"].click()
    assert panel.pinned is None and "Pinned" not in panel.parts["checks"].value
    assert panel.keep.buttons["pin"].description == BUTTONS["pin"][0]


def test_change_is_told_in_the_unit_and_as_a_share():
    assert panel_text.change_text(0.027, 0.018, "mm") == "+9.00 mm (+50 %)"
    assert panel_text.change_text(0.018, 0.027, "mm") == "−9.00 mm (−33 %)"
    assert panel_text.change_text(0.018, 0.018 * (1 + 1e-9), "mm") == "none"
    assert panel_text.change_text(500.0, 2.0, "Pa") == "+498 Pa (× 250)"
    assert panel_text.change_text(1.0, 0.0, "mm") == "+1000 mm"
    assert panel_text.change_text(float("nan"), 1.0, "mm") == "–"


# ----- files -----


@pytest.mark.slow
def test_export_writes_the_plots_and_the_overlay_of_a_pinned_design(panel, places):
    panel.keep.buttons["pin"].click()
    panel.controls.numbers["spacer_diameter"].dragged(24)
    panel.keep.buttons["export"].click()
    names = {path.name for path in (places["out"] / "leeboard" / "plots").iterdir()}
    assert {"section.svg", "section.pdf", "section.png", "overlay.svg"} <= names
    assert all(name in panel.keep.news.value for name in names)


@pytest.mark.slow
def test_the_note_button_writes_the_note_of_what_is_shown(places, monkeypatch):
    monkeypatch.setattr(note, "_pages", lambda *_, **__: ((b"page", b"sheets"), {}))  # see tests/report/test_note.py
    monkeypatch.setattr(note, "study_drawings", lambda *_, **__: {})
    panel = study_panel.panel_note(leeboard(), **places)
    panel.keep.texts["title"].value = "Rudder <b> & co"
    panel.controls.numbers["spacer_diameter"].dragged(20)
    panel.keep.buttons["note"].click()
    folder = places["out"] / "rudder-b-co" / "note"
    assert (folder / "note.html").is_file() and "note.html" in panel.keep.news.value
    assert Design.load(folder / "study.json") == leeboard(title="Rudder <b> & co", spacer_diameter=0.020)


def test_a_link_opens_a_file_on_the_server_that_holds_it(tmp_path, monkeypatch):
    from jupyter_server import serverapp

    path = tmp_path / "out" / "a b.html"
    assert panel_files.link(path) == f"<b>{path.as_posix()}</b>" or "files/" not in panel_files.link(path)
    servers = [{"root_dir": str(tmp_path), "base_url": "/user/me/", "pid": 1}, {"root_dir": "/nowhere", "pid": 2}]
    monkeypatch.setattr(serverapp, "list_running_servers", lambda: iter(servers))
    assert 'href="/user/me/files/out/a%20b.html"' in panel_files.link(path, "the note")


# ----- against the wedge -----


def test_wedge_panel_tells_both_sides_and_greys_the_full_comparison_after_a_move(places):
    panel = study_panel.panel_wedge(leeboard(), **places)
    assert "Stiffnesses of which the bent pair has more" in panel.parts["more"].value
    assert "Stiffnesses of which the flat wedge has more" in panel.parts["more"].value
    assert "20.74 mm" in panel.parts["more"].value
    panel.compare_button.click()
    worked_out = panel.full, panel.numbers, panel.pressed.image
    assert "same mass" in panel.full.value and "Edges held, outward" in panel.numbers.value
    assert panel.pressed.image.value[:4] == b"\x89PNG" and "edges held, pressed inward" in panel.pressed.alt
    assert not any("pm-stale" in part._dom_classes for part in worked_out)
    panel.controls.numbers["spacer_diameter"].dragged(20)
    assert all("pm-stale" in part._dom_classes for part in worked_out)


def test_wedge_panel_says_why_no_sheet_is_pressed(places):
    ply = catalogue["birch plywood, face grain along chord"]  # in a thickness nobody has measured
    panel = study_panel.panel_wedge(leeboard().replace(sheet=ply), **places)
    panel.compare_button.click()
    assert "not reckoned" in panel.numbers.value and panel.pressed.figure is None


# ----- texts -----


def test_texts_cannot_be_broken_by_a_title_or_a_source(places):
    sheet = catalogue["woven GRP"]
    evil = type(sheet)(
        name="<img src=x onerror=alert(1)>",
        modulus=15e9,
        poisson=0.2,
        density=1700.0,
        permanent_strain_limit=0.002,
        forming_strain_limit=0.01,
        source='"><script>',
    )
    panel = study_panel.panel_wedge(leeboard(sheet=evil, title="<script>"), **places)
    panel.pin()
    shown = "".join(texts(panel).values())
    assert "<script" not in shown and "<img" not in shown and '""><' not in shown


def test_no_word_of_a_verdict_shares_its_class_with_a_button():
    html = panel_text.verdict_line(evaluate(leeboard())) + panel_text.checks_table(evaluate(leeboard()))
    classes = {c for found in re.findall(r'class="([^"]*)"', html) for c in found.split()}
    assert not classes & {f"pm-{name}" for name in (*BUTTONS, "compare", *LIMITS)}
    assert {f"pm-is-{word}" for word in ("holds", "note")} <= classes
    assert all(f"--pm-{word}:" in STYLE for word in VERDICT_COLOURS)


def test_every_check_is_in_the_table_with_its_source():
    study = evaluate(leeboard())
    table, sources = panel_text.checks_table(study), panel_text.sources_details(study)
    for check in study.checks:
        assert panel_text.escape(check.name) in table and check.value_text() in table
        assert panel_text.escape(check.source) in sources and panel_text.escape(check.source) in table


# ----- chord or free length, outer thickness or spacer -----


def test_a_typed_chord_is_kept_and_the_free_length_follows(panel):
    chord, length = panel.controls.given["chord"], panel.controls.numbers["free_length"]
    assert float(chord.text) == pytest.approx(239.8175, abs=1e-3)  # as it comes out
    chord.typed("250")
    assert panel.study.quantities["chord"] == pytest.approx(0.25, rel=1e-12)
    assert length.echo == "follows from the finished chord" and length.text.startswith("235.1")
    panel.controls.numbers["setback"].typed("8")
    assert panel.study.quantities["chord"] == pytest.approx(0.25, rel=1e-12) and chord.text == "250"
    length.typed("225")
    assert panel.study.design.free_length == 0.225 and length.echo == "" and chord.text != "250"


def test_chord_and_outer_thickness_may_both_be_given(panel):
    panel.controls.given["chord"].typed("9 1/2 in")
    panel.controls.given["outer_thickness"].typed("1 in")
    found = panel.study.quantities
    assert (found["chord"], found["outer_thickness"]) == pytest.approx((0.2413, 0.0254), rel=1e-12)
    panel.controls.numbers["spacer_diameter"].dragged(20.0)
    assert panel.study.design.spacer_diameter == 0.02
    assert panel.study.quantities["chord"] == pytest.approx(0.2413, rel=1e-12)


def test_a_chord_that_cannot_be_reached_is_refused_in_words_and_let_go(panel):
    panel.controls.given["chord"].typed("2")
    assert panel.stale and "it can be" in panel.summary() and panel.controls.given["chord"].text == "2"
    panel.controls.numbers["free_length"].typed("230")
    assert not panel.stale and panel.study.design.free_length == 0.23


# ----- units shown, advice, meaning -----


def test_lengths_are_shown_in_inches_by_choice_and_so_in_the_next_panel_on_the_job(places, monkeypatch):
    monkeypatch.delenv("PANELMECH_LENGTHS", raising=False)
    with lengths_in("mm"):
        panel = study_panel.panel_bend(leeboard().replace(pressure=2500.0, deflection_share=0.008), **places)
        before = panel.design()
        panel.controls.show["lengths"].value = "inch"
        assert panel.design() == before and "1.51 mm" not in panel.summary() and "0.0595 in" in panel.summary()
        assert " mm" not in panel.parts["picture"].value and " mm" not in panel.parts["checks"].value
        again = study_panel.panel_bend(panel.job(), **places)
        assert again.controls.show["lengths"].value == "inch" and again.summary() == panel.summary()
        panel.controls.show["lengths"].value = "mm"
        assert "1.51 mm" in panel.summary()


def test_what_to_change_is_said_and_true(panel):
    panel.controls.numbers["spacer_diameter"].typed("60")
    panel.advise()
    assert "would hold" in panel.advice.value and "instead of 60 mm" in panel.advice.value
    way = advise(panel.study).ways[0]
    assert evaluate(panel.design().replace(**way.changes)).verdict == "holds"
    panel.controls.numbers["spacer_diameter"].typed("abc")
    assert panel.advice.value == ""


def test_the_governing_check_is_explained(panel):
    assert "Skin buckling along the span" in panel.meaning.value and "throws waves" in panel.meaning.value
