"""Files of a panel: older files that a job can take in, plots, and links that open files in the browser."""

from __future__ import annotations

import os
from html import escape
from pathlib import Path
from urllib.parse import quote

from ..draw.figures import save_figure
from ..draw.study_figures import overlay_figure
from ..files import parse_file
from ..job.job import Job
from ..job.shelf import HOLDS, JOBS
from ..report.drawings import FORMATS, drawing_files, study_drawings
from ..study.side_by_side import design_names
from ..study.study import Study
from ..units import LENGTHS

STUDIES, OUT = Path("studies"), Path("out")
LARGEST = 1_000_000  # bytes of a file that is looked into


def kept_files(places=(Path("."), STUDIES, JOBS)) -> list[Path]:
    """Files that a job can take in, as they lie in these folders: of a format of the workbook, or readings as CSV."""
    found = [path for place in places for kind in ("*.json", "*.csv") for path in sorted(Path(place).glob(kind))]
    return [path for path in found if not path.name.startswith(".") and _can_be_taken(path)]


def _can_be_taken(path):
    if path.suffix == ".csv":
        return True
    try:
        content = parse_file(path, "workbook") if path.stat().st_size < LARGEST else None
    except (OSError, ValueError):
        return False
    return isinstance(content, dict) and content.get("format") in HOLDS


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


# ----- what lengths are shown in -----


def shown_lengths(job: Job) -> str:
    """What lengths of a job are shown in. The variable PANELMECH_LENGTHS, where it is set, goes before: a run that
    compares stored outputs must not hang on what somebody chose."""
    chosen = os.environ.get("PANELMECH_LENGTHS", "")
    return chosen if chosen in LENGTHS else job.lengths
