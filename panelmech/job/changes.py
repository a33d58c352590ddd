"""What changed between two states of a job, as plain values; a change put together with another's.

A state is the plain sections of a job file. The smallest thing that changes is one key of one section: a number, a
material, the list of load cases, the rows of readings. A change is {path: (before, after)} with the path
"section/key"; `GONE` stands for a key that is not there.
"""

from __future__ import annotations

GONE = None  # JSON's null, which stands nowhere in a job file


def leaves(sections: dict) -> dict:
    """{path: value} of plain sections."""
    return {f"{section}/{key}": value for section, keys in sections.items() for key, value in keys.items()}


def sections_of(values: dict) -> dict:
    """The inverse of `leaves`; a section without a key is left out."""
    sections: dict = {}
    for path, value in values.items():
        section, _, key = path.partition("/")
        sections.setdefault(section, {})[key] = value
    return sections


def difference(before: dict, after: dict) -> dict:
    """{path: (before, after)} of what differs between two states, given as leaves."""
    paths = dict.fromkeys((*before, *after))
    pairs = {path: (before.get(path, GONE), after.get(path, GONE)) for path in paths}
    return {path: pair for path, pair in pairs.items() if pair[0] != pair[1]}


def applied(values: dict, changes: dict) -> dict:
    """Leaves with changes applied, in the order of the leaves."""
    new = dict(values)
    for path, (_, after) in changes.items():
        if after is GONE:
            new.pop(path, None)
        else:
            new[path] = after
    return new


def clashes(mine: dict, theirs: dict) -> dict:
    """Those of their changes that mine replace by something else, as (theirs, mine)."""
    both = {path: (theirs[path][1], mine[path][1]) for path in mine if path in theirs}
    return {path: pair for path, pair in both.items() if pair[0] != pair[1]}


def reversed_changes(changes: dict) -> dict:
    """What takes changes back."""
    return {path: (after, before) for path, (before, after) in changes.items()}
