"""A pack over an older pack: what is surely ours and no longer part of it goes, all else stays and is named."""

import os

import pytest

from panelmech.report import shop_sheets
from panelmech.report.folder import HEAD, NAME, list_of, listed, old_words, remove_old, strangers
from panelmech.report.shop_sheets import GENERATOR, write_shop

PAGE = f'<meta name="generator" content="{GENERATOR}">'.encode()
OLD = {
    "batch-sheet.html": PAGE,
    "study.json": b"{}",
    "templates/template-end-dam.svg": b"dam",
    "templates/template-nose.svg": b"nose",
    "plots/heat.svg": b"heat",
}
NEW = {"batch-sheet.html": PAGE, "blade.json": b"{1}", "templates/template-end-dam-root.svg": b"root"}


def written(monkeypatch, folder, files, with_list=True):
    contents = {**files, NAME: list_of(files)} if with_list else files
    monkeypatch.setattr(shop_sheets, "shop_contents", lambda pack, *_: contents)
    return write_shop(None, folder)


def there(folder):
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_files_of_an_older_pack_that_are_no_part_of_the_new_one_go(tmp_path, monkeypatch):
    first = written(monkeypatch, tmp_path, OLD)
    assert (first.removed, first.left) == ((), ())
    (tmp_path / "photo.jpg").write_bytes(b"mine")
    second = written(monkeypatch, tmp_path, NEW)
    assert set(second.removed) == set(OLD) - set(NEW) and second.left == ()
    assert there(tmp_path) == {*NEW, NAME, "photo.jpg"}
    third = written(monkeypatch, tmp_path, NEW)
    assert (third.removed, third.left) == ((), ())


def test_what_was_changed_or_put_there_by_hand_stays_and_is_named(tmp_path, monkeypatch):
    written(monkeypatch, tmp_path, OLD)
    (tmp_path / "templates" / "template-nose.svg").write_bytes(b"my own corrections")
    (tmp_path / "templates" / "jig.svg").write_bytes(b"mine")
    second = written(monkeypatch, tmp_path, NEW)
    assert set(second.left) == {"templates/template-nose.svg", "templates/jig.svg"}
    assert (tmp_path / "templates" / "template-nose.svg").read_bytes() == b"my own corrections"
    assert set(second.removed) == {"study.json", "templates/template-end-dam.svg", "plots/heat.svg"}


def test_a_pack_without_a_list_loses_nothing(tmp_path, monkeypatch):
    written(monkeypatch, tmp_path, OLD, with_list=False)
    second = written(monkeypatch, tmp_path, NEW)
    assert second.removed == () and set(second.left) == set(OLD) - set(NEW)
    assert there(tmp_path) == {*OLD, *NEW, NAME}


@pytest.mark.parametrize("name", ["../outside.txt", "/outside.txt", "a/b/c.txt", "..", "", "a/../../outside.txt"])
def test_a_list_cannot_lead_out_of_the_folder(tmp_path, name):
    folder, outside = tmp_path / "pack", tmp_path / "outside.txt"
    folder.mkdir()
    outside.write_bytes(b"x")
    (folder / NAME).write_bytes(list_of({name: b"x"}))
    assert listed(folder) == {} and remove_old(folder, listed(folder), ()) == () and outside.exists()


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="needs links")
def test_links_are_not_followed(tmp_path):
    folder, away = tmp_path / "pack", tmp_path / "away"
    folder.mkdir()
    away.mkdir()
    (away / "a.svg").write_bytes(b"x")
    (folder / "templates").symlink_to(away)
    (folder / "b.svg").symlink_to(away / "a.svg")
    (folder / NAME).write_bytes(list_of({"templates/a.svg": b"x", "b.svg": b"x"}))
    assert len(listed(folder)) == 2 and remove_old(folder, listed(folder), ()) == ()
    assert (away / "a.svg").exists() and (folder / "b.svg").is_symlink()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"other,head\na,b\n", b"file,SHA-256\nonly one\n"])
def test_a_list_that_cannot_be_read_lists_nothing(tmp_path, content):
    assert listed(tmp_path) == {}
    (tmp_path / NAME).write_bytes(content)
    assert listed(tmp_path) == {}


def test_list_names_each_file_once_with_its_digest(tmp_path):
    (tmp_path / NAME).write_bytes(list_of(OLD))
    found = listed(tmp_path)
    assert set(found) == set(OLD) and HEAD == ("file", "SHA-256")
    # SHA-256 of two braces, by another program
    assert found["study.json"] == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"


def test_words_name_some_and_count_the_rest():
    assert old_words((), ()) == ()
    removed, left = old_words(tuple("abcdef"), ("mine.svg",))
    assert "a, b, c, d and 2 more" in removed and "Left alone" in left and "mine.svg" in left


def test_strangers_are_looked_for_where_the_pack_writes(tmp_path):
    for name in ("x.txt", "plots/y.svg", "study.json"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"")
    assert strangers(tmp_path, {"study.json"}, ("plots", "templates"), ("study.json",)) == ("plots/y.svg",)
