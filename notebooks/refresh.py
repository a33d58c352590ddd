"""Run the notebooks and store their outputs so that a second run changes no byte; keep a picture for the README.

    python notebooks/refresh.py                  every notebook of this folder, and pictures/note.png
    python notebooks/refresh.py 01_bend.ipynb    some
    python notebooks/refresh.py --check          change nothing; end with 1 if one is out of date

Stored outputs are the regression that `pytest` compares against, so read the difference before you commit it.
`--check` leaves the pixels of pictures aside: another version of the drawing library may set
them differently.
"""

import argparse
import os
import sys
from base64 import b64decode
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

os.environ["PANELMECH_LENGTHS"] = "mm"  # whatever somebody chose in a panel
os.environ["PANELMECH_JOB"] = "demo"  # whatever job is open

import nbformat  # noqa: E402
from nbclient import NotebookClient  # noqa: E402

HERE = Path(__file__).resolve().parent
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}
LANGUAGE = {"name": "python"}
KEPT_CELL_METADATA = ("tags", "jupyter")
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
PICTURES = ("image/png", "image/jpeg")
TAKEN = {"07_design_note.ipynb": "note.png"}  # notebook: file in pictures/ that holds its first picture


def run(notebook, folder):
    """Run all cells of a notebook in `folder` (a failing cell raises) and return it, tidied."""
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    client = NotebookClient(
        notebook,
        timeout=300,
        kernel_name=KERNEL["name"],
        record_timing=False,
        store_widget_state=False,
        resources={"metadata": {"path": str(folder)}},
    )
    return tidy(client.execute())


def tidy(notebook):
    """Drop what differs between runs or machines: timings, widget state, versions, stray metadata."""
    notebook.metadata = nbformat.from_dict({"kernelspec": KERNEL, "language_info": LANGUAGE})
    for cell in notebook.cells:
        kept = {key: value for key, value in cell.metadata.items() if key in KEPT_CELL_METADATA}
        cell.metadata = nbformat.from_dict(kept)
        if cell.cell_type == "code":
            cell.outputs = join_streams([tidy_output(output) for output in cell.outputs])
    return notebook


def tidy_output(output):
    """One output without metadata and without a widget, which is dead without a kernel: the panel's words stay."""
    if "data" in output:
        output.metadata = {}
        output.data.pop(WIDGET_VIEW, None)
    return output


def join_streams(outputs):
    """Printed text may arrive in any number of pieces: store it as one."""
    joined = []
    for output in outputs:
        last = joined[-1] if joined else None
        if last and output.output_type == last.output_type == "stream" and output.name == last.name:
            last.text += output.text
        else:
            joined.append(output)
    return joined


def as_text(notebook, pictures=True):
    """The notebook as it is stored; without `pictures` their pixels are left out."""
    copy = nbformat.from_dict(notebook)
    if not pictures:
        for output in (output for cell in copy.cells for output in cell.get("outputs", [])):
            output.get("data", {}).update({kind: "" for kind in PICTURES if kind in output.get("data", {})})
    return nbformat.writes(copy) + "\n"


def refresh(path, check=False):
    """Run the notebook at `path`; store it (or with `check` only compare) and tell whether it had changed."""
    stored = path.read_text(encoding="utf-8")
    fresh = run(nbformat.reads(stored, as_version=4), path.parent)
    if check:
        before = nbformat.reads(stored, as_version=4)
        return as_text(before, pictures=False) != as_text(fresh, pictures=False)
    changed = as_text(fresh) != stored
    if changed:
        path.write_text(as_text(fresh), encoding="utf-8", newline="\n")
    return changed


def take_picture(path, check=False):
    """Keep the first picture of the stored notebook at `path` as a file for the README (or with `check` only compare);
    tell whether it had changed."""
    outputs = (each for cell in nbformat.read(path, as_version=4).cells for each in cell.get("outputs", []))
    fresh = b64decode(next(each.data["image/png"] for each in outputs if "image/png" in each.get("data", {})))
    picture = HERE / "pictures" / TAKEN[path.name]
    changed = not picture.exists() or picture.read_bytes() != fresh
    if changed and not check:
        picture.parent.mkdir(exist_ok=True)
        picture.write_bytes(fresh)
    return changed


def main(words=None):
    parser = argparse.ArgumentParser(description="Run the notebooks and store their outputs.")
    parser.add_argument("notebooks", nargs="*", type=Path, help="default: all of this folder")
    parser.add_argument("--check", action="store_true", help="compare only, change nothing")
    options = parser.parse_args(words)
    books = [path if path.exists() else HERE / path for path in options.notebooks] or sorted(HERE.glob("*.ipynb"))
    jobs = [(refresh, path, path.name) for path in books]
    jobs += [(take_picture, path, TAKEN[path.name]) for path in books if path.name in TAKEN]
    changed = 0
    for job, path, name in jobs:
        moved = job(path, options.check)
        changed += moved
        print(f"{name}: {('out of date' if options.check else 'stored anew') if moved else 'unchanged'}")
    return 1 if options.check and changed else 0


if __name__ == "__main__":
    sys.exit(main())
