"""Run the notebooks and store their outputs so that a second run changes no byte; draw the pictures of the studies.

    python notebooks/refresh.py                  every notebook of this folder, and pictures/ from studies/
    python notebooks/refresh.py 01_bend.ipynb    some
    python notebooks/refresh.py --check          change nothing; end with 1 if one is out of date

Stored outputs are the regression that `pytest` compares against, so read the difference before you commit it.
`--check` leaves the pixels of pictures aside: another version of the drawing library may set
them differently.
"""

import argparse
import os
import sys
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

os.environ["PANELMECH_LENGTHS"] = "mm"  # whatever somebody chose in a panel

import nbformat  # noqa: E402
from nbclient import NotebookClient  # noqa: E402

HERE = Path(__file__).resolve().parent
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}
LANGUAGE = {"name": "python"}
KEPT_CELL_METADATA = ("tags", "jupyter")
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
PANEL_TEXT = "The live panel appears here: click this line, then press Shift+Enter."
PICTURES = ("image/png", "image/jpeg")


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
    """One output without metadata; a widget is dead without a kernel: what stands in its place is the still look that
    it may bring (HTML), or else a line of words."""
    if "data" in output:
        output.metadata = {}
        if output.data.pop(WIDGET_VIEW, None) is not None:
            output.data["text/plain"] = PANEL_TEXT
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


def draw(study, check=False):
    """Draw the section of a study file into pictures/ (or with `check` only compare); tell whether it had changed."""
    from panelmech import Design, evaluate
    from panelmech.draw.live_svg import section_picture

    path = HERE / "pictures" / f"{study.stem}.svg"
    fresh = section_picture(evaluate(Design.load(study))) + "\n"
    changed = not path.exists() or path.read_text(encoding="utf-8") != fresh
    if changed and not check:
        path.parent.mkdir(exist_ok=True)
        path.write_text(fresh, encoding="utf-8", newline="\n")
    return changed


def studies_there():
    """The study files of studies/: blades and loads, which stand beside them, have no section to draw."""
    from panelmech.panels.files import study_names

    return [HERE / "studies" / f"{name}.json" for name in study_names(HERE / "studies")]


def main(words=None):
    parser = argparse.ArgumentParser(description="Run the notebooks and store their outputs.")
    parser.add_argument("notebooks", nargs="*", type=Path, help="default: all of this folder")
    parser.add_argument("--check", action="store_true", help="compare only, change nothing")
    options = parser.parse_args(words)
    books = [path if path.exists() else HERE / path for path in options.notebooks] or sorted(HERE.glob("*.ipynb"))
    studies = [] if options.notebooks else studies_there()
    jobs = [(draw, path) for path in studies] + [(refresh, path) for path in books]
    changed = 0
    for job, path in jobs:
        moved = job(path, options.check)
        changed += moved
        print(f"{path.name}: {('out of date' if options.check else 'stored anew') if moved else 'unchanged'}")
    return 1 if options.check and changed else 0


if __name__ == "__main__":
    sys.exit(main())
