"""Files that are kept: what is torn, odd or not ours is refused, by every kind of file in the same words."""

import json
import math
import os
import time
from dataclasses import dataclass

import fuzz_files
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.blade.blade import Blade
from panelmech.files import (
    COUNT,
    FLAG,
    TEXT,
    Listed,
    Nested,
    Number,
    OneOf,
    changed,
    few,
    file_text,
    from_plain,
    number,
    parse_file,
    read_file,
    refuse_unknown,
    to_plain,
    umask,
    write_atomically,
)
from panelmech.loads.load_file import LoadSheet
from panelmech.shop.choices import ShopChoices
from panelmech.study.design import Design

KINDS = {"study": Design, "blade": Blade, "load": LoadSheet, "shop": ShopChoices}
TORN = {
    '{"format": ': "is not a readable {kind} file",
    "[" * 100_000: "readable {kind} file: it is nested too deeply",
    '{"a": NaN}': "NaN is not allowed: every number must be finite",
    '{"a": 1, "a": 2}': "key a stands twice",
    "[]": "not a {kind} file",
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("text", TORN, ids=range(len(TORN)))
def test_every_kind_of_file_refuses_what_is_torn(tmp_path, kind, text):
    path = tmp_path / "mine.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=TORN[text].format(kind=kind)) as caught:
        KINDS[kind].load(path)
    assert str(caught.value).startswith("mine.json")


def test_what_is_written_is_read_and_what_is_taken_is_named(tmp_path):
    path = tmp_path / "mine.json"
    path.write_text(file_text("ours", 3, {"a": 1.5, "b": "ü"}), encoding="utf-8")
    assert parse_file(path, "trial") == {"format": "ours", "schema": 3, "a": 1.5, "b": "ü"}
    assert read_file(path, "trial", "ours", 3, dict) == {"a": 1.5, "b": "ü"}
    with pytest.raises(ValueError, match="mine.json: schema is 3; this version reads schema 4"):
        read_file(path, "trial", "ours", 4, dict)
    with pytest.raises(ValueError, match="mine.json: here: unknown key b; known are a"):
        read_file(path, "trial", "ours", 3, lambda entry: refuse_unknown(entry, {"a"}, "here"))


def test_the_permissions_are_read_and_left():
    before = os.umask(0o027)
    try:
        assert umask() == 0o027 == umask()
    finally:
        os.umask(before)


# ----- The codec: records to plain values and back


@dataclass(frozen=True)
class Hook:
    """A record to keep."""

    name: str
    size: float
    angle: float = 0.0
    places: tuple = ()
    open: bool = False
    turns: int = 1

    def __post_init__(self):
        if self.size <= 0.0:
            raise ValueError(f"size is {self.size}: give a positive number")


HOOK = {
    "name": TEXT,
    "size": Number((("mm",), ("m",))),
    "angle": number("deg"),
    "places": number("mm", "list"),
    "open": FLAG,
    "turns": COUNT,
}
BOX = {"first": Nested(Hook, HOOK), "others": Listed(OneOf({"hook": Nested(Hook, HOOK)}))}
PLAIN = {
    "first": {"name": "a", "size_mm": 3.0, "angle_deg": 5.0, "places_mm": [1.0, 2.5], "open": True, "turns": 2},
    "others": [
        {"kind": "hook", "name": "b", "size_mm": 0.1, "angle_deg": 0.0, "places_mm": [], "open": False, "turns": 1}
    ],
}


def test_plain_values_and_records_lead_to_each_other():
    values = from_plain(PLAIN, BOX, "box")
    assert values["first"] == Hook("a", 0.003, math.radians(5.0), (0.001, 0.0025), True, 2)
    assert values["others"] == (Hook("b", 0.0001),)
    assert to_plain(values, BOX) == PLAIN and list(to_plain(values, BOX)["first"]) == list(PLAIN["first"])


@given(
    size=st.floats(1e-9, 1e6),
    angle=st.floats(-7.0, 7.0),
    places=st.lists(st.floats(-1e3, 1e3), max_size=3),
)
def test_numbers_come_back_to_the_last_bit(size, angle, places):
    hook = Hook("a", size, angle, tuple(places))
    again = Nested(Hook, HOOK).read(json.loads(json.dumps(to_plain(hook, HOOK))), (), "hook")
    assert (again.size, again.angle) == (size, pytest.approx(angle, rel=3e-16, abs=1e-300))
    assert again.places == pytest.approx(hook.places, rel=3e-16, abs=0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"sise_mm": 3.0}, "hook: unknown key sise_mm; did you mean size_mm"),
        ({"zzz": 3.0}, "hook: unknown key zzz; known are angle_deg"),
        ({"size_m": 3.0}, "hook: both size_mm and size_m are given; give one of them"),
        ({"size_mm": True}, "hook, size_mm is True: give a number"),
        ({"size_mm": 10**400}, "hook, size_mm is 1000.*: give a finite number"),
        ({"size_mm": -1}, "hook, size_mm: size is -0.001: give a positive number"),
        ({"places_mm": 3}, "hook, places_mm is 3: give a list of finite numbers"),
        ({"places_mm": [1, "2"]}, "places_mm is .*: give a list"),
        ({"open": 1}, "hook, open is 1: give true or false"),
        ({"turns": True}, "hook, turns is True: give a whole number"),
        ({"turns": 1.5}, "hook, turns is 1.5: give a whole number"),
        ({"name": None}, "hook, name is None: give a text"),
    ],
)
def test_what_a_table_of_fields_does_not_allow_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        Nested(Hook, HOOK).read(PLAIN["first"] | change, (), "hook")


@pytest.mark.parametrize(
    ("plain", "words"),
    [
        ([1], r"box is \[1\]: give a table"),
        ({"first": {"name": "a"}}, "box, first: missing size_mm"),
        ({"others": {}}, "box, others is .*: give a list"),
        ({"others": [3]}, "box, others, number 1: kind is 3: give one of hook"),
        ({"others": [{"kind": ["hook"]}]}, "kind is .*: give one of hook"),
        (
            {"others": [{"kind": "hook", "name": "a", "size_mm": 1, "turn": 2}]},
            "others, number 1: unknown key turn; did",
        ),
    ],
)
def test_places_are_named_through_every_level(plain, words):
    with pytest.raises(ValueError, match=words):
        from_plain(plain, BOX, "box")
    with pytest.raises(ValueError, match="box: missing others"):
        from_plain({}, BOX, "box", {"others"})


def test_a_changed_copy_knows_its_fields():
    assert changed(Hook("a", 1.0), {"size": 2.0}, "a hook") == Hook("a", 2.0)
    with pytest.raises(ValueError, match="a hook has no field sise; it has angle, name"):
        changed(Hook("a", 1.0), {"sise": 2.0}, "a hook")


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="needs links")
def test_of_many_texts_the_first_are_named_and_the_rest_counted():
    assert few(["a"], 3) == "a" and few("abc", 3) == "a, b, c" and few([], 3) == ""
    assert few("abcde", 3) == "a, b, c and 2 more" and few("abcde", 1, "; ") == "a; and 4 more"


def test_through_a_link_the_file_it_leads_to_is_written(tmp_path):
    (tmp_path / "away").mkdir()
    (tmp_path / "away/kept.json").write_text("old")
    (tmp_path / "link.json").symlink_to(tmp_path / "away/kept.json")
    write_atomically(tmp_path / "link.json", "new")
    assert (tmp_path / "link.json").is_symlink() and (tmp_path / "away/kept.json").read_text() == "new"


def test_what_a_killed_writer_left_beside_a_file_goes_after_an_hour(tmp_path):
    for name, age in ((".a.json.1.part", 2 * 3600), (".a.json.2.part", 60)):
        (tmp_path / name).write_text("half")
        os.utime(tmp_path / name, (time.time() - age,) * 2)
    write_atomically(tmp_path / "a.json", "whole")
    assert {path.name for path in tmp_path.iterdir()} == {"a.json", ".a.json.2.part"}


@pytest.mark.parametrize("kind", fuzz_files.kinds())
def test_a_damaged_file_is_refused_by_name_or_read_as_it_stands(tmp_path, kind):
    """A few of the hundred thousand that `tests/fuzz_files.py` tries."""
    assert fuzz_files.run(kind, 250, 11, tmp_path) == {}
