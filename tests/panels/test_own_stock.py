"""The form for stock of one's own, without a browser: its fields from the tables, what is wrong, what is kept."""

import json
from dataclasses import dataclass
from html import unescape

import pytest
from leeboard_part import LEEBOARD

from panelmech import catalogue, evaluate
from panelmech.job import Job
from panelmech.materials.properties import Property
from panelmech.materials.records import BASES, Adhesive, Resin, Sheet, Spacer
from panelmech.materials.resin_system import ResinSystem
from panelmech.panels import panel_bend, panel_shop
from panelmech.panels.controls import Controls, ShopControls
from panelmech.shop.choices import ShopChoices
from panelmech.units import lengths_in

KINDS = {"sheet": Sheet, "adhesive": Adhesive, "spacer": Spacer, "resin": Resin}
SHELVES = {**{name: f"{name}s" for name in KINDS}, "pour": "resin_systems"}
GLASS = catalogue["glass-epoxy laminate, lengthwise"]


def leeboard(**changes):
    return LEEBOARD.replace(**changes)


@pytest.fixture
def panel(tmp_path, design_alone):
    return panel_bend(leeboard(), jobs=tmp_path / "jobs", out=tmp_path / "out")


def opened(name, controls=None):
    """The form of a kind, as after its fold was opened."""
    own = (controls or (ShopControls(ShopChoices()) if name == "pour" else Controls(leeboard()))).own
    own.open()
    return own, own.ask(name)


@pytest.fixture(scope="module")
def form():
    """A form of sheets; each test fills it anew."""
    return opened("sheet")[1]


def every_widget(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_widget(child)


def typed(form, **values):
    """Fields typed into, by quantity; a text field by its name."""
    for name, words in values.items():
        (form.texts[name] if name in form.texts else form.rows[name].fields[0]).typed(words)


def wrong(form):
    """What is said at the fields, by quantity."""
    said = {name: text.wrong for name, text in form.texts.items()}
    said |= {name: " ".join(field.wrong for field in line.fields).strip() for name, line in form.rows.items()}
    return {name: words for name, words in said.items() if words}


def plain_sheet(form, **changes):
    form.fill(None)
    typed(form, **({"name": "my sheet", "modulus": "70", "poisson": "0,33", "density": "2700"} | changes))


# ----- fields from the tables -----


@pytest.mark.parametrize(("name", "kind"), [*KINDS.items(), ("pour", ResinSystem)])
def test_every_property_has_a_value_with_its_unit_a_basis_and_a_source_all_named(name, kind):
    _, form = opened(name)
    assert list(form.rows) == list(kind.QUANTITIES) and list(form.texts) == list(kind.TEXTS)
    named = set()
    for quantity in kind.ROWS:
        line = form.rows[quantity.name]
        assert line.fields[0].label.lower().startswith(quantity.label.lower())
        assert {value for _, value in line.basis.options} == set(BASES)
        assert line.basis.description == f"basis of {quantity.label}"
        assert line.source.description == f"source of {quantity.label}" and "measured by me" in line.source.options
        named |= {*(field.label for field in line.fields), line.basis.description, line.source.description}
    assert len(named) >= 3 * len(kind.ROWS)  # no name twice
    if name == "sheet":
        assert form.rows["modulus"].fields[0].label == "Modulus along the chord, GPa"


def test_a_new_property_appears_by_itself(monkeypatch):
    @dataclass(frozen=True)
    class Glue(Adhesive):
        cost: float | None = None
        ROWS = (*Adhesive.ROWS, Property("cost", "heat it gives", "kJ/kg", (1.0, 1e6), needed=True))

    controls = Controls(leeboard())
    glue = Glue("mine", 100.0, "me", cost=5e3)
    controls.choices["adhesive"].options = [("mine", glue)]
    _, form = opened("adhesive", controls)
    assert form.rows["cost"].fields[0].label == "Heat it gives, kJ/kg" and form.rows["cost"].fields[0].text == "5"
    typed(form, cost="7,5", name="other")
    assert form.record().cost == 7500.0


def test_the_form_is_made_when_its_fold_is_first_opened(panel):
    def shown():
        return {c for w in every_widget(panel.box) for c in w._dom_classes}

    (fold,) = [
        w
        for w in every_widget(panel.box)
        if "pm-fold-box" in w._dom_classes and w.button.title == "My own sheet, rod, adhesive, resin"
    ]
    assert not {c for c in shown() if c.startswith(("pm-own", "pm-use-own"))} and not panel.controls.own.forms
    fold.button.opened = True
    assert {"pm-own-sheet-modulus", "pm-own-sheet-modulus-basis", "pm-use-own-sheet"} <= shown()
    assert "pm-own-spacer-modulus" not in shown()
    parts = fold.inside.children
    fold.button.opened = False
    fold.button.opened = True
    assert fold.inside.children == parts
    panel.controls.own.ask("spacer")
    assert {"pm-own-spacer-modulus", "pm-use-own-spacer"} <= shown()


# ----- a record to the form and back -----


def every_record():
    return [(name, record) for name, shelf in SHELVES.items() for record in getattr(catalogue, shelf).values()]


@pytest.mark.parametrize("name", SHELVES)
def test_every_record_of_the_catalogue_comes_back_as_it_was(name):
    _, form = opened(name)
    for record in getattr(catalogue, SHELVES[name]).values():
        form.fill(record)
        assert form.texts["name"].text == ""  # the catalogue's name is not offered for something else
        with pytest.raises(ValueError, match="name"):
            form.record()
        typed(form, name=record.name)
        assert form.record() == record


def test_a_sheet_entered_with_handbook_values_is_the_catalogues_record(form):
    form.fill(None)
    texts = {"name": GLASS.name, "source": GLASS.source, "grain": GLASS.grain}
    typed(form, **texts, span_modulus="15,168", shear_modulus="4000 MPa", poisson="0.175")
    typed(form, density="1.825 g/cm3", permanent_strain_limit="1/5", forming_strain_limit="1", strength="379.2")
    typed(form, stock_thicknesses="0,8 1 1,5 2 2,5 3 4 5", thickness_tolerance="0.08", modulus="18616 MPa")
    form.rows["thickness_tolerance"].fields[1].typed("6.875")
    for name, line in form.rows.items():
        if name in GLASS.sources:
            line.basis.value, line.source.value = GLASS.basis_of(name)
    assert form.record() == GLASS


@pytest.mark.parametrize(
    ("quantity", "words", "value"),
    [
        ("modulus", "10,5", 10.5e9),
        ("modulus", "10000000 psi", 1e7 * 0.45359237 * 9.80665 / 0.0254**2),
        ("poisson", "1/3", 1 / 3),
        ("permanent_strain_limit", "0,25 %", 0.0025),
        ("stock_thicknesses", "1/16 in; 1/8 in", (0.0015875, 0.003175)),
        ("density", "7.85 g/cm³", 7850.0),
    ],
)
def test_numbers_are_typed_as_in_every_field(form, quantity, words, value):
    plain_sheet(form)
    typed(form, **{quantity: words})
    assert getattr(form.record(), quantity) == pytest.approx(value, rel=1e-14)
    assert form.rows[quantity].fields[0].text == words


def test_lengths_are_shown_and_typed_in_inches_where_that_is_chosen():
    own, form = opened("sheet")
    form.fill(GLASS)
    with lengths_in("inch"):
        own.show_again()
        assert form.rows["stock_thicknesses"].fields[0].label == "Thicknesses as sold, in"
        assert form.rows["modulus"].fields[0].label == "Modulus along the chord, GPa"
        typed(form, name=GLASS.name)
        assert form.record() == GLASS
        typed(form, stock_thicknesses="1/16 3/32")
        assert form.record().stock_thicknesses == (0.0015875, 0.00238125)


# ----- not known, and wrong -----


def test_what_is_not_given_is_not_known(form):
    plain_sheet(form)
    sheet = form.record()
    assert sheet.shear_modulus is sheet.permanent_strain_limit is sheet.thickness_tolerance is None
    assert sheet.basis_of("shear_modulus")[0] == "no basis" and sheet.stock_thicknesses == ()
    assert sheet.basis_of("modulus") == ("user", "the user's own value")
    study = evaluate(leeboard(sheet=sheet))
    verdicts = {check.key: check.verdict for check in study.checks}
    assert verdicts["forming_strain"] == verdicts["permanent_strain"] == "unknown"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"modulus": ""}, "modulus", "Needed: give the modulus along the chord"),
        ({"name": " "}, "name", "Give it a name"),
        ({"modulus": "70000"}, "modulus", "Modulus along the chord is 70000 GPa: give 0.001 GPa to 2000 GPa"),
        ({"poisson": "0.5"}, "poisson", "0 to below 0.5"),
        ({"density": "2.7"}, "density", ""),
        ({"density": "0.5"}, "density", "Density is 0.5 kg/m³: give 1 kg/m³ to 30000 kg/m³"),
        ({"shear_modulus": "soft"}, "shear_modulus", "is 'soft': give one number, in GPa"),
        ({"shear_modulus": "26 mm"}, "shear_modulus", "which is a length"),
        ({"forming_strain_limit": "30"}, "forming_strain_limit", "below 20 %"),
        ({"thickness_tolerance": "0.1"}, "thickness_tolerance", "both parts"),
        ({"stock_thicknesses": "2 3 -4"}, "stock_thicknesses", "−4 mm"),
    ],
)
def test_what_is_wrong_is_said_at_the_field(form, changes, field, words):
    plain_sheet(form, **changes)
    if not words:
        assert form.record().density == 2.7 and wrong(form) == {}
        return
    with pytest.raises(ValueError, match="mend the fields marked"):
        form.record()
    assert list(wrong(form)) == [field] and words in wrong(form)[field]
    fields = form.texts[field] if field in form.texts else form.rows[field].fields[0]
    assert fields.text == next(iter(changes.values()))  # what was typed stays
    plain_sheet(form)
    assert form.record().modulus == 70e9 and wrong(form) == {}


def test_a_value_and_what_it_stands_on_must_go_together(form):
    plain_sheet(form)
    line = form.rows["modulus"]
    for basis, words in (("no basis", "on what basis"), ("published", "Say where it is from")):
        line.basis.value = basis
        with pytest.raises(ValueError, match="modulus along the chord"):
            form.record()
        assert words in line.fields[0].wrong
    line.source.value = "a handbook, table 3"
    assert form.record().basis_of("modulus") == ("published", "a handbook, table 3") and line.fields[0].wrong == ""
    form.rows["shear_modulus"].basis.value = "from memory"
    with pytest.raises(ValueError, match="shear modulus"):
        form.record()
    assert "There is no value" in form.rows["shear_modulus"].fields[0].wrong


@pytest.mark.parametrize(
    ("name", "values", "field", "words"),
    [
        (
            "sheet",
            {"modulus": "1", "span_modulus": "16", "poisson": "0.25"},
            "poisson",
            "Give less than 0.25, the square",
        ),
        (
            "sheet",
            {"modulus": "20", "span_modulus": "16", "span_bending_modulus": "200", "poisson": "0.33"},
            "poisson",
            "Give less than 0.316, the square root of 20 GPa along the chord over 200 GPa along the span",
        ),
        ("spacer", {"diameters": "10 12", "walls": "7"}, "walls", "Give walls of at most half the largest diameter."),
        ("pour", {"weight_ratio": "", "volume_ratio": ""}, "weight_ratio", "the ratio by weight, by volume or both"),
        ("pour", {"tack_until": ""}, "tack_until", "“takes the next layer from” and “takes the next layer until”"),
        ("pour", {"tack_until": "1 h"}, "tack_until", "a time after “takes the next layer from”"),
        ("pour", {"rated_temperature": ""}, "rated_temperature", "the temperature at which “pot life” holds"),
    ],
)
def test_values_that_do_not_go_together_are_said_at_the_field(name, values, field, words):
    own, form = opened(name)
    typed(form, name="mine", **values)
    before = own.lists[name].value
    own.use(name)
    assert words in form.rows[field].fields[0].wrong and form.rows[field].of.label in unescape(form.said.value)
    assert own.value == 0 and own.lists[name].value == before


# ----- notes follow the value -----


def test_a_changed_value_does_not_keep_the_basis_of_the_old_one(form):
    form.fill(GLASS)
    line = form.rows["modulus"]
    assert line.basis.value == "maker's guide" and "NEMA" in line.source.value
    typed(form, name="mine", modulus="21,4")
    assert (line.basis.value, line.source.value) == ("user", "")
    assert form.record().basis_of("modulus") == ("user", "the user's own value")
    assert form.record().basis_of("density") == GLASS.basis_of("density")
    typed(form, modulus="18.616")
    assert (line.basis.value, line.source.value) == GLASS.basis_of("modulus")
    line.basis.value, line.source.value = "user", "measured by me"
    typed(form, modulus="22")
    assert form.record().basis_of("modulus") == ("user", "measured by me")  # what was chosen by hand stays
    typed(form, shear_modulus="")
    assert form.rows["shear_modulus"].basis.value == "no basis" and form.record().shear_modulus is None


def test_values_over_thickness_stay_until_another_number_takes_their_place(form):
    plywood = next(sheet for sheet in catalogue.sheets.values() if sheet.modulus_table)
    form.fill(plywood)
    field = form.rows["modulus"].fields[0]
    assert "values over thickness" in field.echo
    typed(form, name="my plywood", modulus="9")
    assert field.echo == "now the same at every thickness"
    assert form.record().modulus_table is None and form.record().modulus_at(7e-3) == 9e9
    assert form.record().span_table == plywood.span_table
    typed(form, modulus=str(plywood.modulus / 1e9))
    assert form.record().modulus_table == plywood.modulus_table


# ----- use, keep, edit again -----


def press(panel, name):
    next(w for w in every_widget(panel.controls.own.forms[name]) if f"pm-use-own-{name}" in w._dom_classes).click()


def test_used_a_sheet_is_the_designs_and_every_check_follows_at_once(panel):
    _, form = opened("sheet", panel.controls)
    plain_sheet(form, forming_strain_limit="0.05")
    heard = []
    panel.controls.on_change(lambda: heard.append(panel.design().sheet.name))
    press(panel, "sheet")
    assert heard == ["my sheet"]  # once, not at each step of filling the list
    sheet = panel.study.design.sheet
    assert (sheet.name, sheet.modulus, sheet.poisson) == ("my sheet", 70e9, 0.33)
    assert "my sheet (this study's own)" in [label for label, _ in panel.controls.choices["sheet"].options]
    assert "my sheet" in form.said.value and not panel.stale
    forming = next(check for check in panel.study.checks if check.key == "forming_strain")
    assert forming.basis == "user" and forming.verdict == "fails" and "as entered" in panel.parts["checks"].value


def test_of_each_kind_what_is_entered_is_kept_with_the_job_to_the_last_bit(panel, tmp_path):
    own = panel.controls.own
    own.open()
    records = {}
    for name in KINDS:
        form = own.ask(name)
        typed(form, name=f"my {name}", modulus="7/3")
        form.rows["modulus"].source.value = "measured by me"
        press(panel, name)
        records[name] = getattr(panel.design(), name)
        assert records[name].basis_of("modulus") == ("user", "measured by me") and records[name].modulus == 7e9 / 3
    path = tmp_path / "job.json"
    job = panel.job()
    job.save(path)
    for name, record in records.items():
        assert getattr(Job.load(path).design, name) == record
        assert json.loads(path.read_text())["design"][name]["name"] == f"my {name}"
    panel.set(leeboard())
    assert panel.design().sheet == GLASS
    panel.set_job(Job.load(path))
    assert {name: getattr(panel.design(), name) for name in KINDS} == records


def test_what_is_chosen_is_shown_until_something_is_typed():
    controls = Controls(leeboard())
    own, form = opened("sheet", controls)
    assert form.rows["modulus"].fields[0].text == "18.616"
    controls.choices["sheet"].value = catalogue["woven GRP"]
    assert form.rows["modulus"].fields[0].text == "13.9"
    typed(form, modulus="12")
    controls.choices["sheet"].value = GLASS
    assert form.rows["modulus"].fields[0].text == "12"
    next(w for w in every_widget(form) if "pm-own-sheet-from" in w._dom_classes).click()
    assert form.rows["modulus"].fields[0].text == "18.616"
    next(w for w in every_widget(form) if "pm-own-sheet-empty" in w._dom_classes).click()
    assert {field.text for line in form.rows.values() for field in line.fields} == {""}


def test_an_own_record_is_edited_again_and_takes_the_place_of_what_it_was():
    controls = Controls(leeboard())
    own, form = opened("sheet", controls)
    plain_sheet(form)
    own.use("sheet")
    controls.choices["sheet"].value = GLASS
    controls.choices["sheet"].value = dict(controls.choices["sheet"].options)["my sheet (this study's own)"]
    assert form.texts["name"].text == "my sheet" and form.rows["modulus"].fields[0].text == "70"
    typed(form, modulus="71")
    own.use("sheet")
    labels = [label for label, _ in controls.choices["sheet"].options]
    assert labels.count("my sheet (this study's own)") == 1 and controls.design().sheet.modulus == 71e9


def test_a_resin_system_of_ones_own_is_offered_for_bond_and_pours_and_kept_with_the_shops_choices(tmp_path):
    panel = panel_shop(leeboard(), jobs=tmp_path / "jobs", out=tmp_path / "out")
    own, form = opened("pour", panel.shop)
    form.fill(None)
    typed(form, name="casting resin", weight_ratio="2,2", rated_temperature="73.4 °F", pot_life="1,5 h")
    own.use("pour")
    assert "casting resin" in form.said.value and panel.shop.choices().bond == ShopChoices().bond
    resin = panel.shop.choices().pour
    assert (resin.weight_ratio, resin.pot_life, resin.lift_depth) == (2.2, 5400.0, None)
    assert resin.rated_temperature == pytest.approx(296.15, abs=1e-9)
    panel.shop.lists["bond"].value = resin
    path = tmp_path / "shop.json"
    panel.shop.choices().save(path)
    assert ShopChoices.load(path).pour == ShopChoices.load(path).bond == resin


# ----- the unit named is the unit read -----


@pytest.mark.slow
def test_every_field_of_a_panel_names_the_unit_it_reads(tmp_path):
    panel = panel_shop(leeboard(), jobs=tmp_path / "jobs", out=tmp_path / "out")
    own, form = opened("sheet", panel.controls)
    kerf = panel.shop.numbers["kerf"]
    try:
        panel.controls.show["lengths"].value = "inch"
        for field in (kerf, panel.controls.numbers["bond_line"], form.rows["stock_thicknesses"].fields[0]):
            assert field.label.endswith(", in")
        kerf.typed("1/8")
        assert kerf.si() == 0.003175
    finally:
        panel.controls.show["lengths"].value = "mm"
    assert (kerf.label, kerf.text) == ("Saw cut, mm", "3.175")


def test_a_field_reads_the_unit_it_names_until_it_names_another():
    controls, form = Controls(leeboard()), opened("sheet")[1]
    number, field = controls.numbers["bond_line"], form.rows["stock_thicknesses"].fields[0]
    with lengths_in("inch"):  # chosen in another panel
        number.typed("0.5")
        field.typed("2 3")
        assert number.label.endswith(", mm") and number.si() == 0.5e-3 and field.value == (2e-3, 3e-3)
        number.put(0.254e-3)
        assert (number.label, number.text) == ("Bond line, in", "0.01")
