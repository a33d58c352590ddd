"""The package in other surroundings: no home, an install that cannot be written to, a decimal comma, other kernels.

Each starts a Python of its own in a foreign folder. The quick ones ask for the numbers of the demo's design, those of
the night for all that `demo_numbers` works out, or for a whole note with its pictures.
"""

import ctypes
import json
import os
import shutil
import stat
import subprocess
import sys
from functools import cache, partial
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
NUMBERS, STUDY = ROOT / "tests" / "demo_numbers.py", ROOT / "notebooks" / "studies" / "leeboard.json"
NIGHTLY = (pytest.mark.slow, pytest.mark.nightly)
BY_DAY_AND_NIGHT = pytest.mark.parametrize("how", ["quick", pytest.param("full", marks=NIGHTLY)])
# Kernels add up in another order: as measured, 1.2e-14 at most, of the volume of a small bead, with framed sheets,
# buckling, loads and pack in it; two digits are left for other sizes of the same sums.
LAST_DIGITS = 1e-12
CORES = ("Haswell", "Sandybridge", "Nehalem", "Prescott")
NO_HOME = ("HOME", "USERPROFILE", "HOMEDRIVE", "HOMEPATH", "MPLCONFIGDIR", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")
UNKNOWN_USER = """
import pwd, runpy, sys
def getpwuid(number):
    raise KeyError(f"getpwuid(): uid not found: {number}")
pwd.getpwuid = getpwuid
sys.argv = sys.argv[1:]
run = runpy.run_module if sys.argv[0] == "panelmech" else runpy.run_path
run(sys.argv[0], run_name="__main__")
"""
COMPILING = ("PYTHONPYCACHEPREFIX", "PYTHONDONTWRITEBYTECODE")  # Python shall try to keep what it compiled
IN_ITS_LOCALE = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from panelmech.__main__ import main
sys.exit(main(sys.argv[1:]))
"""


def started(*arguments, package=ROOT, folder, without=(), prepare=None, **settings):
    """A Python of its own with these arguments, the package from the folder `package`; its text, "" where it fails."""
    kept = {name: value for name, value in os.environ.items() if name not in (*without, "PYTHONPATH")}
    done = subprocess.run(
        [sys.executable, *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=folder,
        env=kept | {"PYTHONPATH": str(package)} | settings,
        preexec_fn=prepare,
    )
    assert done.returncode == 0 and "Traceback" not in done.stderr, done.stderr
    return done.stdout


@cache
def usual(how):
    """What `demo_numbers` prints as this run is set up."""
    return json.loads(started(NUMBERS, how, folder=ROOT))


def note_of(folder):
    """{name: bytes} of a note that was written, without what tells the folder."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def assert_same_note(found, expected):
    assert set(found) == set(expected) and len(found) > 5
    assert [name for name in found if found[name] != expected[name]] == []


@pytest.fixture(scope="module")
def usual_note(tmp_path_factory):
    folder = tmp_path_factory.mktemp("usual")
    shutil.copy(STUDY, folder / "study.json")
    started("-m", "panelmech", "note", "study.json", "--out", "note", folder=folder)
    return note_of(folder / "note")


# ----- no home


def homeless(folder, kind):
    """`started` for who has no home: a file in its place, or neither a home nor an entry among the users."""
    if kind == "a file":
        (folder / "home").write_text("", encoding="utf-8")
        return partial(started, folder=folder, without=NO_HOME, HOME=str(folder / "home"))
    if not hasattr(os, "getuid"):
        pytest.skip("this system keeps no list of users to be missing from")
    return partial(started, "-c", UNKNOWN_USER, folder=folder, without=NO_HOME)


@pytest.mark.slow
@pytest.mark.parametrize("kind", [pytest.param("a file", marks=NIGHTLY), "none"])
def test_no_home_is_needed_for_numbers(tmp_path, kind):
    assert json.loads(homeless(tmp_path, kind)(NUMBERS, "quick"))["numbers"] == usual("quick")["numbers"]


@pytest.mark.slow
@pytest.mark.nightly
@pytest.mark.parametrize("kind", ["a file", "none"])
def test_no_home_is_needed_for_a_note(tmp_path, usual_note, kind):
    shutil.copy(STUDY, tmp_path / "study.json")
    command = ["-m", "panelmech"] if kind == "a file" else ["panelmech"]
    homeless(tmp_path, kind)(*command, "note", "study.json", "--out", "note")
    assert_same_note(note_of(tmp_path / "note"), usual_note)


# ----- an install that cannot be written to


def bound_by_permissions():
    """Before a Python starts: also the superuser of Linux is held to what a file permits."""
    if os.geteuid() == 0:
        ctypes.CDLL(None).prctl(24, 1, 0, 0, 0)  # PR_CAPBSET_DROP, CAP_DAC_OVERRIDE


@pytest.fixture
def locked(tmp_path):
    """The package in a folder that cannot be written to, without what Python compiled of it; and a free folder."""
    if not hasattr(os, "geteuid"):
        pytest.skip("folders of this system cannot be locked by their permissions")
    site, free = tmp_path / "site", tmp_path / "free"
    shutil.copytree(ROOT / "panelmech", site / "panelmech", ignore=shutil.ignore_patterns("__pycache__"))
    free.mkdir()
    places = [site, *site.rglob("*")]
    for place in places:
        place.chmod(0o555 if place.is_dir() else 0o444)
    attempt = "import pathlib, sys; pathlib.Path(sys.argv[1], 'x').write_text('')"
    try:
        tried = subprocess.run([sys.executable, "-c", attempt, site], preexec_fn=bound_by_permissions, stderr=-1)
        if tried.returncode == 0:
            pytest.skip("this user may write whatever the permissions say")
        yield site, free
        assert sorted(site.rglob("*")) == sorted(places[1:])  # nothing came, nothing went
    finally:
        for place in places:
            place.chmod(place.stat().st_mode | stat.S_IWUSR)


@pytest.mark.slow
@BY_DAY_AND_NIGHT
def test_an_install_that_cannot_be_written_to_gives_the_same_numbers(locked, how):
    site, free = locked
    said = started(NUMBERS, how, package=site, folder=free, prepare=bound_by_permissions, without=COMPILING)
    assert json.loads(said)["numbers"] == usual(how)["numbers"]


@pytest.mark.slow
@pytest.mark.nightly
def test_an_install_that_cannot_be_written_to_writes_the_same_note(locked, usual_note):
    site, free = locked
    shutil.copy(STUDY, free / "study.json")
    command = ["-m", "panelmech", "note", "study.json", "--out", "note"]
    started(*command, package=site, folder=free, prepare=bound_by_permissions, without=COMPILING)
    assert_same_note(note_of(free / "note"), usual_note)


# ----- a locale with a decimal comma


@pytest.fixture(scope="module")
def comma(tmp_path_factory):
    """Settings of a locale with a decimal comma, made for this test alone."""
    if shutil.which("localedef") is None:
        pytest.skip("no localedef here, and no locale with a decimal comma can be made without it")
    place = tmp_path_factory.mktemp("locales")
    made = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", place / "de_DE.UTF-8"], capture_output=True, text=True
    )
    if made.returncode > 1:  # 1: made, with a warning
        pytest.skip(f"localedef makes no locale with a decimal comma here: {made.stderr.strip()}")
    return {"LOCPATH": str(place), "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"}


@pytest.mark.slow
@BY_DAY_AND_NIGHT
def test_a_decimal_comma_of_the_locale_changes_no_number_and_no_word(comma, tmp_path, how):
    said = json.loads(started(NUMBERS, how, folder=tmp_path, **comma))
    assert said["decimal mark"] == ","
    assert (said["numbers"], said["words"]) == (usual(how)["numbers"], usual(how)["words"])


@pytest.mark.slow
@pytest.mark.nightly
def test_a_decimal_comma_of_the_locale_changes_no_letter_of_a_note(comma, tmp_path, usual_note):
    shutil.copy(STUDY, tmp_path / "study.json")
    started("-c", IN_ITS_LOCALE, "note", "study.json", "--out", "note", folder=tmp_path, **comma)
    assert_same_note(note_of(tmp_path / "note"), usual_note)


# ----- other kernels of the linear algebra


@pytest.mark.parametrize(
    ("core", "how"),
    [("Prescott", "quick"), *(pytest.param(core, "full", marks=NIGHTLY) for core in CORES)],
)
def test_other_kernels_move_no_more_than_the_last_digits(tmp_path, core, how):
    said = json.loads(started(NUMBERS, how, folder=tmp_path, OPENBLAS_CORETYPE=core))
    if said["kernels"] == usual(how)["kernels"]:
        pytest.skip(f"asked for {core}, numpy and scipy take {said['kernels'] or 'no OpenBLAS of their own'} as ever")
    assert said["numbers"] == pytest.approx(usual(how)["numbers"], rel=LAST_DIGITS, abs=0.0)
