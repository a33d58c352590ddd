"""A pack over an older pack: what is surely ours and no longer part of it goes, all else stays and is named."""

import os
import time

import pytest

from panelmech.report import folder as folders
from panelmech.report import shop_sheets
from panelmech.report.folder import (
    HEAD,
    NAME,
    READY,
    astray,
    finish,
    list_of,
    listed,
    old_words,
    remove_old,
    strangers,
    write_folder,
)
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
    monkeypatch.setattr(shop_sheets, "shop_contents", lambda pack, *_: files)
    done = write_shop(None, folder)
    if not with_list:  # as packs were before they had one
        (folder / NAME).unlink()
    return done


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


class Killed(BaseException):
    """What ends a writer anywhere."""


def killed_after(monkeypatch, moves, write):
    """Write, and be killed before one more file is moved; whether it was."""
    left = [moves]

    def replace(source, target):
        if not left[0]:
            raise Killed
        left[0] -= 1
        moved(source, target)

    moved = os.replace
    with monkeypatch.context() as patch:
        patch.setattr(folders.os, "replace", replace)
        try:
            write()
        except Killed:
            return True
    return False


def contents_of(folder):
    return {name: (folder / name).read_bytes() for name in there(folder) if not name.startswith(".")}


def put(folder, files):
    return write_folder(folder, files, "batch-sheet.html", GENERATOR, "shop pack")


def test_wherever_a_writer_is_killed_the_folder_is_the_old_one_or_becomes_the_new_one(tmp_path, monkeypatch):
    old, new = ({**files, NAME: list_of(files)} for files in (OLD, NEW))
    moves = 0
    while True:
        folder = tmp_path / str(moves)
        put(folder, OLD)
        killed = killed_after(monkeypatch, moves, lambda folder=folder: put(folder, NEW))
        waits = bool(list(folder.glob(f".*{READY}")))
        assert waits == (killed and moves > 0)
        assert waits or contents_of(folder) == (old if killed else new)
        finish(folder)
        assert contents_of(folder) == (new if moves else old) and astray(folder) == ()
        assert not list(folder.glob(".*"))
        if not killed:
            break
        moves += 1
    assert moves == len(NEW) + 2  # made whole; each file; the list


def test_a_list_tells_what_is_otherwise(tmp_path):
    put(tmp_path / "pack", OLD)
    (tmp_path / "pack/study.json").write_bytes(b"{2}")
    (tmp_path / "pack/plots/heat.svg").unlink()
    assert astray(tmp_path / "pack") == ("plots/heat.svg", "study.json")
    assert astray(tmp_path) == ()  # no list, nothing told


def test_what_a_killed_writer_left_goes_after_an_hour(tmp_path):
    pack = tmp_path / "pack"
    put(pack, OLD)
    for name, age in ((".pack.old.part", 2 * 3600), (".pack.new.part", 60)):
        (pack / name / "plots").mkdir(parents=True)
        os.utime(pack / name, (time.time() - age,) * 2)
    put(pack, OLD)
    assert {path.name for path in pack.glob(".*")} == {".pack.new.part"}


def test_what_another_list_names_stays(tmp_path):
    folder, note = tmp_path / "x", {"note.html": PAGE, "study.json": b"{}"}
    put(folder, NEW)
    write_folder(folder, note, "note.html", GENERATOR, "design note", "note-files.csv")
    put(folder, OLD)  # names the study file, too
    removed = write_folder(folder, {"note.html": PAGE}, "note.html", GENERATOR, "design note", "note-files.csv")
    assert removed == () and astray(folder) == () and astray(folder, "note-files.csv") == ()
    assert (folder / "study.json").exists()
