"""Files that are kept: what is torn, odd or not ours is refused, by every kind of file in the same words."""

import os

import pytest

from panelmech.blade.blade import Blade
from panelmech.files import file_text, parse_file, read_file, refuse_unknown, umask
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
