"""How a thin door hands out the verbs of its room: each is fetched when it is first named.

The rooms that draw, report and show need matplotlib or widgets; whoever imports one light module of theirs shall not
pay for the rest. A verb never has the name of a module: what a name gives does not hang on what was imported before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def thin_door(room: str, verbs: Mapping[str, str]) -> tuple[Callable[[str], Any], Callable[[], list[str]], list[str]]:
    """`__getattr__`, `__dir__` and `__all__` of a door.

    room : full name of the room, the door's own `__name__`
    verbs : {module of the room: its names that the door hands out, parted by blanks}
    """
    home = {name: module for module, names in verbs.items() for name in names.split()}

    def fetch(name: str) -> Any:
        if name not in home:
            raise AttributeError(f"module {room!r} has no attribute {name!r}")
        return getattr(import_module(f"{room}.{home[name]}"), name)

    return fetch, lambda: sorted(home), sorted(home)
