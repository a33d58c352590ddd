"""Build a wheel, install it in an empty environment outside the tree, and work with it from a foreign folder.

An editable install hides a forgotten room or data file; a wheel does not. Ends with an error unless the wheel holds
every module, data file and `py.typed` of the tree, `note` writes its folder, and every module can be imported.

python3 .ci/wheel.py
"""

import os
import shutil
import subprocess
import sys
import tempfile
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
STUDY = ROOT / "notebooks" / "studies" / "leeboard.json"
# Modules of panels need the widgets, which come with the workbook.
IMPORT_ALL = """
import importlib, pathlib, sys, panelmech
home = pathlib.Path(panelmech.__file__).parent
assert home.is_relative_to(sys.prefix), f"{home} is not the installed package"
paths = [path.relative_to(home.parent).with_suffix("") for path in sorted(home.rglob("*.py"))]
names = [".".join(path.parts).removesuffix(".__init__") for path in paths]
for name in names:
    importlib.import_module(name)
print(len(names), "modules import")
"""


def package_files(folder):
    """What a wheel must carry, as names below the folder that holds `panelmech`."""
    kinds = {".js", ".py", ".toml", ".typed"}
    return {p.relative_to(folder).as_posix() for p in (folder / "panelmech").rglob("*") if p.suffix in kinds}


def build(work):
    """The wheel, built from a copy: a `build/` folder left in the tree would be taken into it."""
    source = work / "source"
    shutil.copytree(ROOT / "panelmech", source / "panelmech", ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    run(work, sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", work / "wheel", source)
    return next((work / "wheel").glob("panelmech-*.whl"))


def run(folder, *command):
    """Run a command in a folder, without anything that would lead Python back to the tree."""
    clean = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "VIRTUAL_ENV")}
    subprocess.run([str(part) for part in command], cwd=folder, env=clean, check=True)


def main():
    """Build, compare, install, use."""
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        wheel = build(work)
        missing = package_files(ROOT) - set(zipfile.ZipFile(wheel).namelist())
        if missing:
            sys.exit(f"the wheel lacks {', '.join(sorted(missing))}")
        venv.create(work / "empty", with_pip=True)
        python = next(path for path in (work / "empty").glob("*/python*") if path.stem == "python")
        run(work, python, "-m", "pip", "install", "--quiet", wheel)
        shutil.copy(STUDY, work / "study.json")
        run(work, python, "-m", "panelmech", "note", "study.json", "--out", "note")
        if not list((work / "note").glob("*.html")):
            sys.exit("`note` of the installed wheel wrote no page")
        run(work, python, "-m", "pip", "install", "--quiet", "anywidget", "ipywidgets")
        run(work, python, "-c", IMPORT_ALL)


if __name__ == "__main__":
    main()
