"""Files of a panel: studies by name in one folder, plots and notes in another, and links that open them in the browser.

A name is a plain file name: nothing typed into a field can leave its folder.
"""

from __future__ import annotations

import json
import os
import re
from html import escape
from pathlib import Path
from urllib.parse import quote

from ..draw.figures import save_figure
from ..draw.study_figures import overlay_figure
from ..files import write_atomically
from ..report.drawings import FORMATS, drawing_files, study_drawings
from ..study.design import FORMAT, Design, read_study, write_study
from ..study.regression import results_of
from ..study.side_by_side import design_names
from ..study.study import Study, evaluate
from ..units import LENGTHS

STUDIES, OUT = Path("studies"), Path("out")
SUFFIX = ".json"
OURS = "panelmech "  # how the name of every format of the workbook begins
_ALLOWED = re.compile(r"[\w][\w .+-]{0,79}")
_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


def study_names(folder=STUDIES) -> list[str]:
    """Names of the studies in a folder, without suffix, in order; none where the folder does not exist. Files that say
    they are of another of the workbook's formats (a blade, loads) are left out."""
    return names_of(folder, lambda kind: kind == FORMAT or not kind.startswith(OURS))


def names_of(folder, wanted) -> list[str]:
    """Names of the JSON files in a folder whose format, "" where none can be read, is `wanted(format)`; in order."""
    paths = (path for path in Path(folder).glob(f"*{SUFFIX}") if not path.name.startswith("."))
    return sorted(path.stem for path in paths if wanted(format_of(path)))


def format_of(path) -> str:
    """What a JSON file says its format is; "" where it says nothing that can be read."""
    try:
        content = json.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return ""
    found = content.get("format") if isinstance(content, dict) else None
    return found if isinstance(found, str) else ""


def file_path(name: str, folder=STUDIES, suffix: str = SUFFIX) -> Path:
    """File of this name, of a study by default. ValueError for a name that is not a plain file name."""
    plain = name.strip().removesuffix(suffix).rstrip(". ")
    if not _ALLOWED.fullmatch(plain) or plain.split(".")[0].lower() in _RESERVED:
        raise ValueError(
            f"{name!r} cannot be the name of a study: use letters, digits, spaces and - _ . +, at most 80, "
            "beginning with a letter or digit"
        )
    return Path(folder) / f"{plain}{suffix}"


def save_study(design: Design, name: str, folder=STUDIES) -> Path:
    """Write the study with its results, to check them against later; a design that cannot be bent is saved without.

    A file that is there already keeps its own tolerances.
    """
    path = file_path(name, folder)
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        results = results_of(evaluate(design), read_study(path)[1] if path.exists() else None)
    except ValueError:
        results = None
    write_study(path, design, results)
    return path


def load_study(name: str, folder=STUDIES) -> Design:
    """Read a study by name; ValueError, in words, where there is none or it is not a study."""
    path = file_path(name, folder)
    if not path.is_file():
        there = ", ".join(study_names(folder)) or "none yet"
        raise ValueError(f"there is no study {path.stem!r} in the folder {Path(folder).name}; there are: {there}")
    return Design.load(path)


def export_plots(study: Study, folder, pinned: Study | None = None) -> list[Path]:
    """Write the plots of a study, and its overlay on a pinned one, as SVG, PDF and PNG; their paths."""
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, content in drawing_files(study_drawings(study)).items():
        written.append(folder / Path(name).name)
        written[-1].write_bytes(content)
    if pinned is not None:
        overlay = overlay_figure([pinned, study])
        words = f"Sections compared: {'; '.join(design_names([pinned.design, study.design]))}"
        written += [save_figure(overlay, folder / f"overlay.{kind}", words) for kind in FORMATS]
    return written


def file_stem(title: str) -> str:
    """A title as a file or folder name: lower case, words joined by hyphens."""
    return "-".join(re.findall(r"[a-z0-9]+", title.lower())) or "panel"


def link(path, words: str = "") -> str:
    """HTML link that opens a file in a new tab; plain text of its place where the address is not known."""
    path = Path(path)
    text = escape(words or path.as_posix())
    address = _address(path.resolve())
    return f'<a href="{escape(address)}" target="_blank" rel="noopener">{text}</a>' if address else f"<b>{text}</b>"


def _address(path):
    """Address of a file on the notebook server this kernel was started by, or none."""
    try:
        from jupyter_server.serverapp import list_running_servers

        servers = list(list_running_servers())
    except (ImportError, OSError, ValueError):
        return ""
    homes = [s for s in servers if _below(path, s.get("root_dir", ""))]
    own = [s for s in homes if s.get("pid") == os.getppid()] or homes
    if not own:
        return ""
    inside = path.relative_to(Path(own[0]["root_dir"]).resolve()).as_posix()
    return f"{own[0].get('base_url', '/')}files/{quote(inside)}"


def _below(path, root):
    return bool(root) and path.is_relative_to(Path(root).resolve())


# ----- what is chosen for all notebooks of a folder -----

SETTINGS = "workbook.json"


def remembered_lengths(out=OUT) -> str:
    """What lengths are shown in, as last chosen in a panel; "mm" at first.

    The variable PANELMECH_LENGTHS, where it is set, goes before: a run that compares stored outputs must not hang on
    what somebody chose.
    """
    chosen = os.environ.get("PANELMECH_LENGTHS", "")
    if not chosen:
        try:
            chosen = json.loads((Path(out) / SETTINGS).read_text(encoding="utf-8"))["lengths"]
        except (OSError, ValueError, KeyError, TypeError):
            chosen = ""
    return chosen if chosen in LENGTHS else LENGTHS[0]


def remember_lengths(out, choice: str) -> None:
    """Keep what lengths are shown in for the notebooks beside this folder."""
    Path(out).mkdir(parents=True, exist_ok=True)
    write_atomically(Path(out) / SETTINGS, json.dumps({"lengths": choice}) + "\n")
