"""A form for stock of one's own: a sheet, rod, adhesive or resin with the basis and source of every value.

Its rows come from the tables of the records (`materials.properties.Property`), so a new property appears by itself. A
field left empty is not known, which the checks that need it say. "Use it" builds the record, or says at the field what
is wrong; the record joins the list its kind is chosen from, and is kept with what is saved. The form is made when its
fold is first opened: it has many controls.
"""

from __future__ import annotations

import re
from functools import partial
from html import escape

import ipywidgets as widgets
import traitlets as t

from ..entries import in_field, read_entries, read_entry
from ..materials.records import BASES, OWN_VALUE, Unfit
from ..materials.stock import catalogue
from ..report.check_rows import BASIS_WORDS
from ..units import capital, pretty_unit, show_input, shown_unit
from .guard import guarded
from .parts import Entry
from .study_tables import news
from .style import OWN_STYLE
from .widgets import button, choose, hidden_style, html_part, marked, pick, row

OWN, NO_BASIS = "user", "no basis"
MUST_SAY = ("published", "maker's guide", "derived")  # bases that are worth nothing without their source
SOURCES = ("measured by me", "the maker's data sheet", "the supplier's word")  # offered; anything else may be typed
MANY = ("list", "names")  # shapes of properties with several values
TEXTS = {"name": "name", "source": "source, where not said below", "grain": "how its grain lies"}
INTRO = (
    "A field left empty is not known, and the checks that need it say so. A number may be typed with a unit of its "
    "own, as 1/8 in, 10000 psi or 2 h. With each value: on what basis it stands, and where it is from."
)


def own_words(record, whose: str) -> str:
    """What a list calls a record of one's own."""
    return f"{record.name} ({whose})"


class OwnStock(t.HasTraits):
    """Forms of the kinds of stock in `lists`, {field: list it is chosen from}; `table` has {field: (label, shelf of the
    catalogue)}. `whose` marks a record in its list, `kept` is the file it is kept in, `quietly` as of `Listens`.

    `value` counts the records used: what listeners listen to.
    """

    value = t.Int(0)

    def __init__(self, lists: dict, table: dict, whose: str, kept: str, quietly):
        super().__init__()
        self.lists, self._table, self._whose, self._kept, self._quietly = lists, table, whose, kept, quietly
        self.forms: dict[str, StockForm] = {}

    def open(self) -> list:
        """The parts of the form, made now."""
        kinds = [(self._table[name][0], name) for name in self.lists]
        self.kind, self.place = pick("own-kind", "what it is", kinds, None, 340), widgets.VBox()
        self.kind.observe(lambda _: self._show(), "value")
        self._show()
        intro = widgets.HTML(f'<p class="pm-quiet">{INTRO}</p>')
        return [hidden_style(OWN_STYLE), marked(widgets.VBox([intro, self.kind, self.place]), "own-stock")]

    def ask(self, name: str) -> StockForm:
        """Show the form of a kind."""
        self.kind.value = name
        return self.forms[name]

    def show_again(self) -> None:
        """Show all values anew, in the unit that lengths are shown in now."""
        for form in self.forms.values():
            form.show_again()

    def _show(self):
        name = self.kind.value
        if name not in self.forms:
            label, shelf = self._table[name]
            use = partial(self.use, name)
            self.forms[name] = StockForm(name, label, self.lists[name], getattr(catalogue, shelf), use)
        self.place.children = [self.forms[name]]

    def use(self, name: str) -> None:
        """Choose what the form of this kind holds, or say what is wrong."""
        form = self.forms[name]
        if guarded(lambda: self._take(name, form.record()), form.tell):
            self.value += 1

    def _take(self, name, record):
        words, label = own_words(record, self._whose), self._table[name][0]
        with self._quietly():
            choose(self.lists[name], record, words)
            for control in self.lists.values():
                offered = [option for option, _ in control.options]
                if isinstance(control.value, type(record)) and words not in offered:
                    before = control.value
                    choose(control, record, words)
                    control.value = before
        form = self.forms[name]
        form.fill(record)
        form.tell(news(f"The {label} is now “{escape(record.name)}”. Save {self._kept} to keep it."))


class StockForm(widgets.VBox):
    """The form of one kind of stock, chosen from the list `control`; `shelf` is that of the catalogue, `use` what its
    button does.

    `rows` by quantity, `texts` by field of the record. As long as nothing is typed it shows the record chosen.
    """

    def __init__(self, name: str, label: str, control, shelf, use):
        self._control, self._shelf, self._kind = control, shelf, type(control.value)
        self.rows = {quantity.name: PropertyRow(quantity, f"own-{name}") for quantity in self._kind.ROWS}
        self.texts = {field: _text(f"own-{name}-{field}", TEXTS[field], label) for field in self._kind.TEXTS}
        self.said, self._filled = html_part("pm-own-said"), None
        hint = f"Make this the {label} and work everything out anew"
        self.button = button(f"use-own-{name}", "Use it", use, 190, hint, main=True)
        chosen = button(f"own-{name}-from", "Begin with chosen", self._begin, 160, f"Show the {label} chosen now")
        empty = button(f"own-{name}-empty", "Empty all fields", partial(self.fill, None), 160, "All not known")
        super().__init__([row(chosen, empty), *self.texts.values(), *self.rows.values(), self.button, self.said])
        self._begin()
        control.observe(lambda _: self._begin() if self._state() == self._filled else None, "value")

    def _begin(self):
        self.fill(self._control.value)

    def fill(self, record) -> None:
        """Show a record, None for empty fields; one of the catalogue lends its values, not its name."""
        for field, text in self.texts.items():
            text.put(getattr(record, field, ""))
        if record is not None and self._shelf.get(record.name) == record:
            self.texts["name"].put("")
        for line in self.rows.values():
            line.fill(record)
        self._filled = self._state()
        self.tell("")

    def _state(self):
        return [text.text for text in self.texts.values()], [line.state() for line in self.rows.values()]

    def tell(self, words: str) -> None:
        """Say what became of it, as HTML text."""
        self.said.value = words

    def show_again(self) -> None:
        """As of `OwnStock`."""
        for line in self.rows.values():
            line.show_again()

    def record(self):
        """The record as entered; ValueError, and the fields marked, where something is wrong."""
        texts = {field: text.text.strip() for field, text in self.texts.items()}
        name = self.texts["name"]
        name.wrong = "" if texts["name"] else "Give it a name."
        wrong = [TEXTS["name"]] if name.wrong else []
        wrong += [line.of.label for line in self.rows.values() if not line.sound(texts["source"])]
        if wrong:
            raise ValueError(f"mend the fields marked first: {'; '.join(wrong)}")
        return self._built(texts)

    def _built(self, texts):
        values, notes = {}, {}
        for quantity, line in self.rows.items():
            values |= line.values()
            notes[quantity] = line.note()
        sources = {quantity: source for quantity, (_, source) in notes.items() if source}
        bases = {quantity: basis for quantity, (basis, _) in notes.items() if basis}
        try:
            return self._kind(**texts, **values, sources=sources, bases=bases)
        except Unfit as error:
            line = self.rows[error.quantity]
            line.fields[0].wrong = f"Give {self._in_labels(error.allowed)}."
            raise ValueError(f"mend the field marked first: {line.of.label}") from error

    def _in_labels(self, words):
        """The words with the names of quantities as the form calls them."""
        labels = {name: line.of.label for name, line in self.rows.items() if "_" in name}
        return re.sub("|".join(labels) or "(?!)", lambda found: f"“{labels[found.group()]}”", words)


class PropertyRow(widgets.Box):
    """One property: its value, basis and source. Where the value changes, a basis and source that were not chosen by
    hand become those of an own value: what was published of another number says nothing of this one."""

    def __init__(self, of, kind: str):
        self.of, self._base, self._put = of, None, ("", "")
        self.fields = _fields(of, f"{kind}-{of.name}", self._typed)
        options = [(BASIS_WORDS.get(basis, basis), basis) for basis in (OWN, *(b for b in BASES if b != OWN))]
        say = {"layout": widgets.Layout(width="auto")}
        basis = widgets.Dropdown(options=options, description=f"basis of {of.label}", **say)
        source = widgets.Combobox(options=SOURCES, description=f"source of {of.label}", placeholder="where from", **say)
        source.continuous_update = False
        self.basis = marked(basis, f"{kind}-{of.name}-basis", "own-basis")
        self.source = marked(source, f"{kind}-{of.name}-source", "own-source")
        super().__init__([*self.fields, self.basis, self.source])
        marked(self, "own-row")
        for control in (self.basis, self.source):
            control.observe(lambda _: self._clear(), "value")

    def fill(self, record) -> None:
        """Show the value of a record with its note; None: not known."""
        self._base = record
        value = self._base_value()
        parts = value if self.of.shape == "pair" and value else [value]
        for field, part in zip(self.fields, [*parts, None], strict=False):
            field.put(None if part == () else part)
        self._show_note()

    def show_again(self) -> None:
        """As of `OwnStock`."""
        for field in self.fields:
            field.show_again()
        self._tell_table()

    def state(self) -> list:
        """What stands in it."""
        return [*(field.text for field in self.fields), self.basis.value, self.source.value]

    def value(self):
        """The value [SI] as the record has it."""
        values = tuple(field.value for field in self.fields)
        if self.of.shape == "pair":
            return None if values == (None, None) else values
        return () if self.of.shape in MANY and values[0] is None else values[0]

    def values(self) -> dict:
        """{field of the record: value}: a table over thickness stays while the value is the one it came with."""
        return {self.of.name: self.value()} | ({self.of.table: self._kept_table()} if self.of.table else {})

    def note(self) -> tuple:
        """Basis and source of the value; empty where nothing is known nor said."""
        basis, source = self.basis.value, self.source.value.strip()
        if not source and basis in (OWN, NO_BASIS):
            return (OWN, OWN_VALUE) if basis == OWN else ("", "")
        return basis, source

    def sound(self, whole_source: str) -> bool:
        """Whether value, basis and source go together; if not, the field says why. `whole_source`: of the record."""
        self._clear()
        if not any(field.wrong for field in self.fields):
            self.fields[0].wrong = self._what_is_wrong(whole_source)
        return not any(field.wrong for field in self.fields)

    def _what_is_wrong(self, whole_source):
        known, basis = self._known(), self.basis.value
        if self.of.shape == "pair" and known and None in self.value():
            return "Give both parts of it, or neither; one of them may be 0."
        if not known and self.of.needed:
            return f"Needed: give the {self.of.label}."
        if not known and basis != NO_BASIS:
            return f"There is no value: give one, or choose “{NO_BASIS}”."
        if known and basis == NO_BASIS:
            return "Say on what basis it stands."
        if basis in MUST_SAY and not (self.source.value.strip() or whole_source):
            return f"Say where it is from: “{basis}” alone cannot be looked up."
        return ""

    def _known(self):
        return self.value() not in (None, ())

    def _base_value(self):
        return getattr(self._base, self.of.name, () if self.of.shape in MANY else None)

    def _kept_table(self):
        return getattr(self._base, self.of.table, None) if self.value() == self._base_value() else None

    def _typed(self):
        if self._note_shown() == self._put:
            self._show_note()
        self._tell_table()

    def _show_note(self):
        """Show the note that belongs to the value: that of the record while it is the record's."""
        base, name = self._base, self.of.name
        if base is not None and self.value() == self._base_value():
            note = base.basis_of(name) if self._known() else (NO_BASIS, base.sources.get(name, ""))
        else:
            note = (OWN if self._known() else NO_BASIS), ""
        self.basis.value, self.source.value = note
        self._put = self._note_shown()
        self._tell_table()

    def _clear(self):
        """Take back what was said of value and note together; a long source is read in full where the pointer rests."""
        self.source.tooltip = self.source.value
        for field in self.fields:
            field.wrong = capital(field.refused)

    def _note_shown(self):
        return self.basis.value, self.source.value

    def _tell_table(self):
        """Say what becomes of the record's values over thickness."""
        table, field = getattr(self._base, self.of.table, None) if self.of.table else None, self.fields[0]
        if table and not field.wrong:
            ends = f"{show_input(table[0][0], 'mm')} to {show_input(table[-1][0], 'mm')}"
            stays = f"with its values over thickness, {ends}, while this number stands"
            field.echo = stays if self._kept_table() else "now the same at every thickness"


class ValueField(Entry):
    """A field for a value that may be left empty: not known. `value` [SI] is None then; with `many` it is a tuple.

    `ends` as of `entries.read_entry`; `then` is called after something was typed.
    """

    def __init__(self, label: str, unit: str, ends: dict, then, many: bool = False, needed: bool = False):
        self._name, self._unit, self._ends, self._then, self._many = label, unit, ends, then, many
        self.value, self.refused = None, ""
        super().__init__(placeholder="needed" if needed else "not known")
        self.show_again()

    def show_again(self) -> None:
        """As of `OwnStock`."""
        if not self.refused:
            self.put(self.value)

    def put(self, value) -> None:
        """Show a value [SI], None for none."""
        self.value, self.refused, self._shown = value, "", shown_unit(self._unit)
        unit = pretty_unit(self._shown)  # what is typed is in the unit named
        self.label = f"{capital(self._name)}{', ' if unit else ''}{unit}"
        parts = () if value is None else value if self._many else (value,)
        with self.hold_sync():
            self.text = self.good = " ".join(in_field(part, self._unit) for part in parts)
            self.echo = self.wrong = ""

    def typed(self, text: str) -> None:
        """Take what was typed, or say why not."""
        read = read_entries if self._many else read_entry
        try:
            understood = read(text, self._name, self._unit, shown=self._shown, **self._ends) if text.strip() else None
        except ValueError as error:
            self.refused = f"{error}."
            with self.hold_sync():
                self.text, self.echo, self.wrong = text, "", capital(self.refused)
            return
        entries = understood if self._many else [understood] if understood else []
        values, echoes = tuple(e.value for e in entries or ()), [e.echo for e in entries or () if e.echo]
        self.value, self.refused = (values or None) if self._many else values[0] if values else None, ""
        with self.hold_sync():
            self.text = self.good = text
            self.echo, self.wrong = f"= {', '.join(echoes)}" if echoes else "", ""
        self._then()


class NamesField(Entry):
    """A field for names of other stock, apart by semicolons; `value` is a tuple, None where it is left empty."""

    refused = ""  # any name may stand: it may be of stock that is entered later

    def __init__(self, label: str, then):
        self._then = then
        super().__init__(label=capital(label), placeholder="names, apart by ;")
        self.put(None)

    def show_again(self) -> None:
        """As of `OwnStock`: names have no unit."""

    def put(self, value) -> None:
        """Show names, None for none."""
        self.value, words = value or None, "; ".join(value or ())
        with self.hold_sync():
            self.text, self.good, self.echo, self.wrong = words, words, "", ""

    def typed(self, text: str) -> None:
        """Take what was typed."""
        names = (name.strip() for name in text.split(";"))
        self.put(tuple(dict.fromkeys(name for name in names if name)))
        self._then()


class TextField(Entry):
    """A field for words."""

    def put(self, text: str) -> None:
        """Show a text."""
        self.text, self.good, self.wrong = text, text, ""


def _fields(of, kind, then):
    """The fields of a property, of class `pm-<kind>`: of a pair two, absolute and relative."""
    if of.shape == "names":
        return [marked(NamesField(of.label, then), kind, "words")]
    low, high = of.plausible
    ends = {"low": low, "high": high, "below": of.below}
    first = ValueField(of.label, of.unit, ends, then, of.shape == "list", of.needed)
    fields = [marked(first, kind, *(["own-list"] if of.shape == "list" else []))]
    if of.shape == "pair":
        share = ValueField(f"{of.label} as a share", "%", {"low": 0.0, "below": 1.0}, then)
        fields.append(marked(share, f"{kind}-share"))
    return fields


def _text(kind, label, of):
    return marked(TextField(label=capital(label), spoken=f"{label}, {of}"), kind, "words")
