"""Fields for what fills the hollow: inner ribs and solid zones, typed as `study.typed_inside` reads them."""

from __future__ import annotations

import traitlets as t

from ..study.typed_inside import TYPED
from ..units import capital, pretty_unit, shown_unit
from .parts import Entry, counts_as_before
from .widgets import marked


class InsideField(Entry):
    """A field for ribs or for zones, of class `pm-ribs` or `pm-zones`; left empty there are none.

    setting : tuple of records and why what stands in the field is refused, "" where it is not
    """

    setting = t.Any(((), ""))

    def __init__(self, kind: str):
        self._kind = TYPED[kind]
        super().__init__(help=f"{self._kind.tip}, as {self._kind.example}; empty: none", placeholder="none")
        marked(self, kind, "words")
        self.put(())

    @property
    def refused(self) -> str:
        """Why what stands in the field cannot be used; empty where it can."""
        return self.setting[1]

    def records(self) -> tuple:
        """Ribs or zones; ValueError, in words, where what stands in the field is refused (`refused_as_before`)."""
        if self.refused and not counts_as_before():
            raise ValueError(self.refused)
        return self.setting[0]

    def put(self, records) -> None:
        """Show ribs or zones."""
        self._shown = shown_unit("mm")
        self.label = f"{capital(self._kind.label)}, {pretty_unit(self._shown)}"
        with self.hold_sync():
            self.text = self.good = self._kind.text(records)
            self.echo = self.wrong = ""
            self.setting = (tuple(records), "")

    def show_again(self) -> None:
        """Show them anew, in the unit that lengths are shown in now."""
        if not self.refused:
            self.put(self.setting[0])

    def typed(self, text: str) -> None:
        """Take what was typed, or say why not."""
        try:
            records = self._kind.read(text, self._shown)
        except ValueError as error:
            with self.hold_sync():
                self.text, self.echo, self.wrong = text, "", f"{capital(str(error))}."
                self.setting = (self.setting[0], str(error))
            return
        understood = self._kind.text(records)
        with self.hold_sync():
            self.text = self.good = text
            self.echo, self.wrong = f"= {understood}" if understood != text.strip() else "", ""
            self.setting = (records, "")
