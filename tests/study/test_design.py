"""The design record, its table of limits, and the study file."""

import dataclasses
import json
import math
import os
from pathlib import Path

import numpy as np
import pytest

from panelmech import files as kept_file
from panelmech.files import write_atomically
from panelmech.materials.stock import Sheet, catalogue
from panelmech.mechanics.bend import InfeasibleBend
from panelmech.study.design import LIMITS, Design, from_entry, read_study, to_entry, write_study
from panelmech.units import FACTORS, to_si

GLASS = "glass-epoxy laminate, lengthwise"
OWN = Sheet(
    name="my laminate",
    modulus=19.3e9,
    poisson=0.15,
    density=1812.0,
    permanent_strain_limit=None,
    forming_strain_limit=0.0123,
    source="strip from my sheet",
)


@pytest.fixture
def leeboard():
    return Design(
        catalogue[GLASS],
        2e-3,
        0.225,
        15e-3,
        bond_line=0.3e-3,
        spacer_diameter=18e-3,
        setback=3e-3,
        span=0.85,
        title="Leeboard",
        purpose="sailing canoe",
    )


@pytest.fixture
def saved(leeboard, tmp_path):
    path = tmp_path / "leeboard.json"
    leeboard.save(path)
    return path


# --- the record ---------------------------------------------------------------------------------------------------


def test_the_first_four_are_enough():
    design = Design(catalogue[GLASS], 2e-3, 0.225, 15e-3)
    assert design.bend().feasible and design.wedge().angle > 0
    assert design.developed_length == pytest.approx(0.24)
    with pytest.raises(dataclasses.FrozenInstanceError):
        design.span = 1.0


def test_replace(leeboard):
    other = leeboard.replace(span=1.0, sheet=OWN)
    assert (other.span, other.sheet, leeboard.span) == (1.0, OWN, 0.85)
    assert other.replace(span=0.85, sheet=leeboard.sheet) == leeboard
    with pytest.raises(ValueError, match="no field spann, thick; it has .*span"):
        leeboard.replace(spann=1.0, thick=2.0)


@pytest.mark.parametrize("name", LIMITS)
def test_limits(leeboard, name):
    """Both ends are allowed where the parts still fit; a little outside, and what is no number, is refused by name."""
    limit = LIMITS[name]
    low, high = to_si(limit.low, limit.unit), to_si(limit.high, limit.unit)
    assert limit.low <= limit.slider_low < limit.slider_high <= limit.high
    assert 0 < limit.step <= limit.slider_high - limit.slider_low
    assert limit.unit in FACTORS and limit.label and limit.help
    assert limit.low <= to_si(1, "") * getattr(leeboard, name) / FACTORS[limit.unit] <= limit.high
    room = {
        "span": {"frame_width": 0.0},
        "frame_width": {"span": 20.0},
        "spacer_diameter": {"spacer_wall": 0.0},
        "spacer_wall": {"spacer_diameter": 2.0},
    }.get(name, {})
    for value in (low, high):
        assert getattr(leeboard.replace(**room, **{name: value}), name) == value
    for value in (
        low - 1e-9 * max(abs(low), high),
        high * (1 + 1e-9),
        math.nan,
        math.inf,
        -math.inf,
        10**400,
        "3",
        b"3",
        True,
        None,
        [2e-3],
        {},
        1j,
        np.array([1.0, 2.0]),
    ):
        with pytest.raises(ValueError, match=rf"{limit.label} \({name}\) is .*: allowed is"):
            leeboard.replace(**{name: value})


def test_numbers_of_other_kinds_become_floats(leeboard):
    for value in (1, np.float64(1.0), np.float32(1.0), np.int64(1), np.array(1.0)):
        span = leeboard.replace(span=value).span
        assert span == 1.0 and type(span) is float


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"frame_width": 0.425}, "closing frame 425 mm .* span, 850 mm"),
        ({"spacer_wall": 9.1e-3}, "spacer wall 9.1 mm is more than half the spacer diameter, 18 mm"),
        ({"sheet": "plywood"}, "sheet is 'plywood': give one of the catalogue's sheets"),
        ({"adhesive": None}, "adhesive is None: give one of the catalogue's adhesives, or one of your own .Adhesive"),
        ({"spacer": OWN}, "spacer is Sheet"),
        ({"title": 3}, "title is 3: give a text"),
        ({"modulus_rule": "beam"}, "modulus_rule is 'beam': give one of by width, wide sheet, narrow strip"),
    ],
)
def test_what_does_not_fit(leeboard, changes, words):
    with pytest.raises(ValueError, match=words):
        leeboard.replace(**changes)


def test_an_infeasible_design_can_be_written_down_but_not_bent(leeboard):
    with pytest.raises(InfeasibleBend, match="spacer diameter 130.0 mm"):
        leeboard.replace(spacer_diameter=0.13).bend()


def test_the_hash_changes_with_every_input(leeboard):
    hashes = {leeboard.input_hash()}
    for name, limit in LIMITS.items():
        changed = leeboard.replace(**{name: getattr(leeboard, name) + to_si(limit.step, limit.unit)})
        hashes.add(changed.input_hash())
    others = (
        {"sheet": OWN},
        {"sheet": dataclasses.replace(OWN, modulus=19.31e9)},
        {"title": "x"},
        {"purpose": "x"},
        {"modulus_rule": "wide sheet"},
        {"resin": list(catalogue.resins.values())[1]},
    )
    hashes |= {leeboard.replace(**change).input_hash() for change in others}
    assert len(hashes) == 1 + len(LIMITS) + len(others)
    assert all(len(h) == 12 and int(h, 16) >= 0 for h in hashes)


# --- the study file -----------------------------------------------------------------------------------------------


def test_round_trip_is_exact(leeboard, saved):
    assert Design.load(saved) == leeboard
    assert Design.load(saved).input_hash() == leeboard.input_hash()
    content = json.loads(saved.read_text(encoding="utf-8"))
    assert content["design"]["sheet_thickness_mm"] == 2 and content["design"]["sheet"] == GLASS
    again = saved.with_name("again.json")
    Design.load(saved).save(again)
    assert again.read_bytes() == saved.read_bytes()


def test_round_trip_of_own_stock_and_any_text(leeboard, tmp_path):
    design = leeboard.replace(
        sheet=OWN,
        title='quotes " \\ and ünïcode – ✓',
        purpose="two\nlines",
        made_by="\t",
        sheet_thickness=2.137e-3,
        friction=0.123456789,
        setback=-1.5e-3,
    )
    design.save(tmp_path / "own.json")
    assert Design.load(tmp_path / "own.json") == design


def test_round_trip_of_any_number(leeboard, tmp_path):
    """Numbers of up to 15 digits in their unit come back bit for bit; any other within its last bit, hash unchanged."""
    rng = np.random.default_rng(8)
    for i in range(50):
        shown = {
            name: float(f"{rng.uniform(limit.slider_low, limit.slider_high):.{15 if i < 25 else 17}g}")
            for name, limit in LIMITS.items()
            if name not in ("frame_width", "spacer_wall")
        }
        design = leeboard.replace(spacer_wall=0.0, **{n: to_si(v, LIMITS[n].unit) for n, v in shown.items()})
        if i >= 25:
            design = design.replace(**{n: np.nextafter(getattr(design, n), 1) for n in shown})
        design.save(tmp_path / "any.json")
        loaded = Design.load(tmp_path / "any.json")
        assert loaded.input_hash() == design.input_hash()
        for name in shown:
            one, other = getattr(loaded, name), getattr(design, name)
            assert one == other if i < 25 else abs(one - other) <= np.spacing(abs(other)), name


def test_stored_results_stand_beside_the_design(leeboard, tmp_path):
    path = tmp_path / "with.json"
    write_study(path, leeboard, {"contact_force": 1.5})
    assert read_study(path) == (leeboard, {"contact_force": 1.5})
    assert Design.load(path) == leeboard
    with pytest.raises(ValueError, match="not JSON compliant|Out of range"):
        write_study(path, leeboard, {"contact_force": math.nan})
    assert read_study(path)[1] == {"contact_force": 1.5}


def edited(saved, change):
    content = json.loads(saved.read_text(encoding="utf-8"))
    change(content)
    saved.write_text(json.dumps(content), encoding="utf-8")
    return saved


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda c: c.update(more=1), "unknown key more; known are design, results"),
        (lambda c: c.update(schema=2), "schema is 2; this version reads schema 1"),
        (lambda c: c.update(schema=None), "schema is None"),
        (lambda c: c.pop("schema"), "schema is None"),
        (lambda c: c.update(format="other"), 'must be a JSON table with "format"'),
        (lambda c: c.update(design=[1]), r"design is \[1\]: give a table"),
        (lambda c: c.pop("design"), "design is None"),
        (lambda c: c.update(results=3), "results is 3: give a table"),
        (
            lambda c: c["design"].update(sheet_thickness=2),
            "design: unknown key sheet_thickness; did you mean sheet_thickness_mm.* known are",
        ),
        (lambda c: c["design"].update(__class__="x"), "unknown key __class__"),
        (lambda c: c["design"].pop("sheet_thickness_mm"), "missing sheet_thickness_mm"),
        (lambda c: c["design"].pop("sheet"), "missing sheet"),
        (lambda c: c["design"].update(sheet_thickness_mm="2"), "sheet_thickness_mm is '2': give a number"),
        (lambda c: c["design"].update(sheet_thickness_mm=True), "sheet_thickness_mm is True: give a number"),
        (lambda c: c["design"].update(sheet_thickness_mm=None), "sheet_thickness_mm is None: give a number"),
        (lambda c: c["design"].update(sheet_thickness_mm=[2]), "give a number"),
        (lambda c: c["design"].update(sheet_thickness_mm=2000), r"sheet thickness .* is 2000 mm: allowed"),
        (
            lambda c: c["design"].update(sheet_thickness_mm=-2),
            "sheet_thickness.* is −2 mm: allowed is 0.05 mm to 50 mm",
        ),
        (lambda c: c["design"].update(sheet_thickness_mm=10**400), "sheet_thickness"),
        (lambda c: c["design"].update(title=["x"]), "title is"),
        (lambda c: c["design"].update(modulus_rule=1), "modulus_rule is 1"),
        (lambda c: c["design"].update(sheet="no such sheet"), "'no such sheet' is not in the catalogue; near it"),
        (lambda c: c["design"].update(sheet=3), "sheet is 3: give a name from the catalogue"),
        (lambda c: c["design"].update(sheet={"modulus_gpa": 3}), "a table with its own name"),
        (lambda c: c["design"].update(sheet={"name": "x", "modulus_gpa": 3}), "x"),
        (lambda c: c["design"].update(sheet={"name": "x", "magic": 3}), "magic"),
        (lambda c: c["design"].update(sheet={"name": ["x"]}), "a table with its own name"),
        (lambda c: c["design"].update(spacer_wall_mm=9.5), "spacer wall"),
    ],
)
def test_hostile_content(saved, change, words):
    with pytest.raises(ValueError, match=words) as caught:
        Design.load(edited(saved, change))
    assert saved.name in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": NaN', "NaN is not allowed"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": Infinity', "Infinity is not allowed"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": -Infinity', "-Infinity is not allowed"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": 1e999', "sheet_thickness_mm is inf: give a finite number"),
        ('"sheet_thickness_mm": 2.0', f'"sheet_thickness_mm": 1{"0" * 5000}', "leeboard.json: .*digits"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": 2.0, "sheet_thickness_mm": 3.0', "mm stands twice"),
        ('"schema": 1', '"schema": 1, "schema": 1', "key schema stands twice"),
        ('"design": {', '"design": {{', "not a readable study file"),
        ('"sheet_thickness_mm": 2.0', f'"sheet_thickness_mm": {"[" * 100000}', "not a readable study file"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": 2.0,', "not a readable study file"),
        ('"sheet_thickness_mm": 2.0', '"sheet_thickness_mm": __import__("os").abort()', "not a readable study file"),
    ],
)
def test_hostile_text(saved, old, new, words):
    text = saved.read_text(encoding="utf-8")
    assert text.count(old) == 1
    saved.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        Design.load(saved)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe\x00",
        b"null",
        b"[]",
        b"3",
        b'"text"',
        "{}".encode("utf-16"),
        b'{"format": "panelmech study"',
        b"\x80\x03}q\x00.",
    ],
)
def test_files_that_are_no_study(tmp_path, content):
    path = tmp_path / "strange.json"
    path.write_bytes(content)
    with pytest.raises(ValueError, match="strange.json"):
        Design.load(path)


def test_a_missing_file_is_said_as_such(tmp_path):
    with pytest.raises(FileNotFoundError, match="absent.json"):
        Design.load(tmp_path / "absent.json")


def test_every_truncation_is_refused(saved):
    """Half a file is never taken for a whole one."""
    whole = saved.read_bytes()
    for end in range(0, len(whole) - 2, 37):
        saved.write_bytes(whole[:end])
        with pytest.raises(ValueError, match=r"leeboard\.json"):
            Design.load(saved)


def test_no_code_of_a_study_file_is_run(saved, monkeypatch):
    def forbidden(*_, **__):
        raise AssertionError("a study file must not run code")

    text = saved.read_text(encoding="utf-8").replace("Leeboard", "{0.__class__} ${HOME} %s __import__('os')")
    saved.write_text(text, encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr("builtins.eval", forbidden)
        patch.setattr("builtins.exec", forbidden)
        patch.setattr("pickle.loads", forbidden)
        patch.setattr("os.system", forbidden)
        assert Design.load(saved).title == "{0.__class__} ${HOME} %s __import__('os')"


def test_entry_and_back(leeboard):
    assert from_entry(to_entry(leeboard)) == leeboard
    assert from_entry(to_entry(leeboard, by_name=False)) == leeboard
    with pytest.raises(ValueError, match="design is 3"):
        from_entry(3)


# --- saving is all or nothing -------------------------------------------------------------------------------------


def break_full_disk(monkeypatch):
    class Full:
        def __init__(self, stream):
            self.stream = stream

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self.stream.close()

        def write(self, text):
            self.stream.write(text[:100])
            raise OSError(28, "No space left on device")

    real = os.fdopen
    monkeypatch.setattr(kept_file.os, "fdopen", lambda *a, **k: Full(real(*a, **k)))


def fail(*_, **__):
    raise OSError(5, "Input/output error")


def interrupt(*_, **__):
    raise KeyboardInterrupt


BREAKAGES = {
    "full disk": break_full_disk,
    "no flush to the disk": lambda m: m.setattr(kept_file.os, "fsync", fail),
    "no replacement": lambda m: m.setattr(kept_file.os, "replace", fail),
    "interrupted": lambda m: m.setattr(kept_file.os, "replace", interrupt),
}


@pytest.mark.parametrize("breakage", BREAKAGES)
@pytest.mark.parametrize("exists", [True, False])
def test_a_failed_save_leaves_everything_as_it_was(leeboard, tmp_path, monkeypatch, breakage, exists):
    path = tmp_path / "study.json"
    if exists:
        leeboard.save(path)
    before = path.read_bytes() if exists else None
    with monkeypatch.context() as patch:
        BREAKAGES[breakage](patch)
        with pytest.raises((OSError, KeyboardInterrupt)):
            leeboard.replace(span=1.0).save(path)
    assert (path.read_bytes() if path.exists() else None) == before
    assert [p.name for p in tmp_path.iterdir()] == (["study.json"] if exists else [])


def test_a_crash_before_the_last_step_leaves_the_old_file(leeboard, tmp_path):
    """A process that dies without any clean-up: the new text is in a file of its own until it is whole."""
    path = tmp_path / "study.json"
    leeboard.save(path)
    before = path.read_bytes()
    pid = os.fork() if hasattr(os, "fork") else pytest.skip("no fork on this system")
    if pid == 0:
        kept_file.os.replace = lambda *_: os._exit(9)
        leeboard.replace(span=1.0).save(path)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 9
    assert path.read_bytes() == before
    assert Design.load(path) == leeboard


def test_saving_keeps_the_permissions_and_replaces(leeboard, tmp_path):
    path = tmp_path / "study.json"
    leeboard.save(path)
    path.chmod(0o640)
    leeboard.replace(span=1.0).save(path)
    assert path.stat().st_mode & 0o777 == 0o640
    assert Design.load(path).span == 1.0
    assert list(tmp_path.iterdir()) == [path]


def test_line_ends_are_the_same_everywhere(tmp_path):
    write_atomically(tmp_path / "text", "a\nb – ü\n")
    assert (tmp_path / "text").read_bytes() == "a\nb – ü\n".encode()
    with pytest.raises(FileNotFoundError):
        write_atomically(Path(tmp_path) / "no such folder" / "text", "a")
