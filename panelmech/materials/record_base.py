"""The common part of the stock records: on what basis each quantity stands, and copies with own values."""

from dataclasses import replace

from ._record_checks import TABLED, notes_of, quantity_of, refuse, who


class Record:
    """What all four stock records share: a name, a source, and the basis of each quantity."""

    QUANTITIES = ()

    def basis_of(self, quantity):
        """(basis, source text) of one quantity; basis is one of `BASES`.

        A quantity for which nothing was stated rests on the record's own `source`, basis "user"; one that has
        no value is always "no basis". ValueError for a name that is no quantity of this record.
        """
        if quantity not in self.QUANTITIES:
            allowed = ", ".join(self.QUANTITIES)
            raise ValueError(f"{who(self)} has no quantity {quantity!r}; allowed: {allowed}")
        value, basis = getattr(self, quantity), self.bases.get(quantity)
        if value is None or value == ():
            text = self.sources.get(quantity) if basis == "no basis" else None
            return "no basis", text or "no value is given"
        return basis or "user", self.sources.get(quantity, self.source or "no source is stated")

    def with_own(self, source="the user's own value", **changes):
        """A copy with the user's own values [SI, by field name], each with basis "user" and the text `source`.

        A value given for a quantity that has a table over thickness takes the place of the table.
        """
        sources, bases = dict(self.sources), dict(self.bases)
        for name in list(changes):
            quantity = quantity_of(name)
            if quantity in self.QUANTITIES:
                sources[quantity], bases[quantity] = source, "user"
            if name in TABLED and hasattr(self, TABLED[name]):
                changes.setdefault(TABLED[name], None)
        return replace(self, **{"sources": sources, "bases": bases} | changes)

    def _check_common(self):
        for name in ("name", "source"):
            if not isinstance(getattr(self, name), str):
                refuse(self, name, "a text")
        if not self.name.strip():
            refuse(self, "name", "a text that is not empty")

    def _check_notes(self):
        for name in ("sources", "bases"):
            notes_of(self, name)
