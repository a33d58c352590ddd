"""Files of every kind, damaged at random: each is refused by its name, or read as what stands in it.

    python tests/fuzz_files.py [KIND ...] [--count 100000] [--seed 1]

A sound file of the kind is damaged byte by byte, value by value, key by key, cell by cell. What reads it must end in a
ValueError that begins with the file's name and is no longer than a person reads, or in a record that is written and
read back the same. Anything else is a fault, printed with a file that shows it; the run then ends with 1.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from copy import deepcopy
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from panelmech.blade.blade import Blade  # noqa: E402
from panelmech.job.job import Job  # noqa: E402
from panelmech.loads.load_file import LoadSheet  # noqa: E402
from panelmech.measured.readings import read_readings, readings_csv  # noqa: E402
from panelmech.shop.choices import ShopChoices  # noqa: E402
from panelmech.study.design import Design, study_text  # noqa: E402
from panelmech.study.inside import Inside, Rib, Zone  # noqa: E402

STUDIES, LONGEST = ROOT / "notebooks" / "studies", 4000
INSIDE = Inside((Rib(0.3, 0.012), Rib(0.5, 0.02)), (Zone(0.0, 0.06),))
ODD = (None, True, False, "", "1", "x", "ü", -1, 0, 1, 0.5, 1e308, -1e308, 1e-308, 10**400, -0.0, [], {}, [1], [[]],
       {"a": 1}, "nan", "holds", " ", "2,5", "1_0", "\u0661", "\x00", "a" * 5000)  # fmt: skip
BITS = (b"", b"\x00", b"\xff", b'"', b"{", b"}", b"[", b"]", b",", b":", b";", b"\n", b"NaN", b"Infinity", b"1e999",
        b"1_0", b"\xd9\xa1", b"\xef\xbb\xbf", b"'", b"-", b"null", b"9" * 5000)  # fmt: skip


def _json_kind(kind, text):
    return text, kind.load, lambda record, path: record.save(path)


def _sound(name):
    return (STUDIES / name).read_text(encoding="utf-8")


def kinds() -> dict:
    """{kind: (text of a sound file, what reads it, what writes it)}."""
    demo = Job.load(ROOT / "panelmech" / "job" / "demo.json")
    with tempfile.TemporaryDirectory() as folder:
        demo.shop.save(Path(folder) / "shop.json")
        shop = (Path(folder) / "shop.json").read_text(encoding="utf-8")
    return {
        "study": _json_kind(Design, _sound("leeboard.json")),
        "inside": _json_kind(Design, study_text(Design.load(STUDIES / "leeboard.json").replace(inside=INSIDE))),
        "blade": _json_kind(Blade, _sound("leeboard_blade.json")),
        "loads": _json_kind(LoadSheet, _sound("leeboard_loads.json")),
        "shop": _json_kind(ShopChoices, shop),
        "job": _json_kind(Job, (ROOT / "panelmech" / "job" / "demo.json").read_text(encoding="utf-8")),
        "readings": (
            _sound("leeboard_readings.csv"),
            read_readings,
            lambda record, path: path.write_text(readings_csv(record), encoding="utf-8"),
        ),
    }


def damaged(text: str, rng: random.Random) -> bytes:
    """A damaged file, from the text of a sound one."""
    if text.startswith("{") and rng.random() < 0.7:
        return _other_values(text, rng).encode("utf-8", "surrogatepass")
    if not text.startswith("{") and rng.random() < 0.6:
        return _other_cells(text, rng).encode()
    content = text.encode()
    for _ in range(rng.choice((1, 1, 1, 2, 5))):
        at = rng.randrange(len(content) + 1)
        end = min(len(content), at + rng.choice((0, 1, 1, 3, 40, 100_000)))
        bit = rng.choice((*BITS, bytes([rng.randrange(256)]), content[at:end] * 2))
        content = content[:at] + bit + content[end:]
    return content


def _other_values(text, rng):
    plain = json.loads(text)
    for _ in range(rng.choice((1, 1, 2, 4))):
        place = plain
        while isinstance(place, dict | list) and place:
            keys = list(place) if isinstance(place, dict) else range(len(place))
            key = rng.choice(keys)
            if not isinstance(place[key], dict | list) or not place[key] or rng.random() < 0.15:
                _change(place, key, rng)
                break
            place = place[key]
    return json.dumps(plain, ensure_ascii=rng.random() < 0.5)


def _change(place, key, rng):
    what, value = rng.random(), place[key]
    if what < 0.1:
        del place[key]
    elif what < 0.2 and isinstance(place, dict):
        place[f"{key}{rng.choice(('', 's', '_mm', '_x'))}"] = place.pop(key)
    elif what < 0.45 and isinstance(value, float):
        place[key] = value * rng.choice((-1, 0.5, 2, 10, 1000, 1e-6, 1e12, 1 + 1e-9))
    else:
        place[key] = deepcopy(rng.choice(ODD))


def _other_cells(text, rng):
    rows = [row.split(",") for row in text.splitlines()]
    for _ in range(rng.choice((1, 1, 2, 5))):
        row = rng.choice(rows)
        row[rng.randrange(len(row))] = rng.choice((*map(str, ODD), *rng.choice(rows)))
    between = rng.choice((",", ",", ",", ";", "\t"))
    return "\n".join(between.join(row) for row in rows) + "\n"


def fault_of(path: Path, read, write) -> str:
    """What is wrong with how a file is read, in words; "" where it is refused by name or read as it stands."""
    try:
        record = read(path)
    except ValueError as error:
        words = str(error)
        return "" if words.startswith(path.name) and len(words) < LONGEST else f"refused otherwise: {words[:300]}"
    except BaseException as error:
        return f"{type(error).__name__}: {traceback.format_exc(limit=-2)[-600:]}"
    again = path.with_name("again" + path.suffix)
    write(record, again)
    return "" if read(again) == record else "is not read back as it was written"


def run(kind: str, count: int, seed: int, folder: Path) -> Counter:
    """{fault: how often} of so many damaged files; the file that shows a fault first is kept in the folder."""
    text, read, write = kinds()[kind]
    rng, found = random.Random(f"{seed} {kind}"), Counter()
    path = folder / f"mine{'.csv' if kind == 'readings' else '.json'}"
    for number in range(count):
        path.write_bytes(damaged(text, rng))
        fault = fault_of(path, read, write)
        if fault and not found[fault]:
            path.replace(folder / f"{kind}-{number}{path.suffix}")
        if fault:
            found[fault] += 1
    return found


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kinds", nargs="*", help="all, unless given")
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    folder, faults = Path(tempfile.mkdtemp(prefix="damaged-")), 0
    for kind in options.kinds or kinds():
        begun = time.perf_counter()
        found = run(kind, options.count, options.seed, folder)
        faults += found.total()
        print(f"{kind}: {options.count} files, {found.total()} faults; {time.perf_counter() - begun:.0f} s", flush=True)
        for fault, often in found.most_common(12):
            print(f"    {often} ×: {fault}")
    print(f"What shows them: {folder}" if faults else "No fault.")
    sys.exit(faults > 0)


if __name__ == "__main__":
    main()
