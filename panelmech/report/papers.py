"""All papers of a job, from one state of it, in one folder.

index.html   one page with how each paper stands, what it counted, and links to all of them
note/        the design note, with inspection record and loads in it (`report.note`)
inspection/  the inspection record by itself, where the job has readings
loads/       the load record, where it has loads
shop/        the shop pack (`report.shop_sheets`)
papers.csv   the list of all files, with the job and the state they were made from

Every page names the job and the hash of its state. What cannot be made is said in words, the rest is written. Files of
an earlier state go where the list names them and they are as they were written; what a hand has changed is kept. The
same job gives the same files byte for byte.
"""

from __future__ import annotations

import errno
import itertools
import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from ..blade.along_checks import changes_along
from ..files import few
from ..job.folder import JOB, locked
from ..job.job import Job
from ..job.verdict import Part, Verdict, judge_job
from ..shop.paper import of_sheets
from ..study.verdicts import UNSURE, lower, said
from ..units import lengths_in
from .along_text import along_drawings
from .beside import Beside
from .blocks import Origin
from .drawings import begin, study_drawings
from .folder import (
    NAMED,
    astray,
    digest_of,
    finish,
    is_as_written,
    is_unfinished,
    list_rows,
    list_text,
    old_words,
    refuse_foreign,
    write_folder,
)
from .note import ROOT_ONLY, inspection_contents, note_contents, record_contents
from .note_text import title_of
from .papers_page import INDEX, MARK, PAGES, PART_OF, TITLES, index_page
from .records import inspection_drawings, load_drawings
from .shop_sheets import begin_pack

LIST = "papers.csv"
LIST_HEAD = ("file", "SHA-256", "paper", "job", "job hash")
PAPERS = tuple(TITLES)
WHAT = "papers of a job"
LONG = {"note", "shop"}  # those that take long enough for a second process to pay
BY_HAND = "by-hand"  # what is added to the name of a file that a hand has changed


@dataclass(frozen=True)
class Paper:
    """A paper that stands in the folder.

    kind : one of `PAPERS`
    title : what it is called
    path : its first page
    standing : the part of the job's verdict that it shows
    files : paths of all its files
    """

    kind: str
    title: str
    path: Path
    standing: Part
    files: tuple

    @property
    def words(self) -> str:
        """What it is and how it stands."""
        return f"{self.title}: {said(self.standing.word)}. {self.standing.told}"


@dataclass(frozen=True)
class LeftOut:
    """A paper that was asked for and could not be made, and `why`, in words."""

    kind: str
    title: str
    why: str


@dataclass(frozen=True)
class Papers:
    """What came of writing a job's papers; see `write_papers`.

    folder, index : of them all; the page that links them
    verdict : of the job
    origin : the job and its state
    written : every `Paper` written
    left_out : every `LeftOut`
    removed : names of files of an earlier state that were removed
    left : names of files in the folder that are no part of the papers, those that a hand has changed among them
    """

    folder: Path
    index: Path
    verdict: Verdict
    origin: Origin
    written: tuple
    left_out: tuple = ()
    removed: tuple = ()
    left: tuple = ()

    @property
    def words(self) -> tuple:
        """All of it in lines: how the job stands, each paper, what could not be made and why, what became of other
        files."""
        return (
            self.verdict.line,
            *(paper.words for paper in self.written),
            *(f"{item.title}, left out: {item.why}" for item in self.left_out),
            *old_words(self.removed, self.left),
        )


@dataclass(frozen=True, eq=False)
class _State:
    """Everything worked out of one job: its verdict; by kind what its paper is made from, or why there is none, what is
    drawn of it, and what gives the files of a paper that are begun."""

    job: Job
    origin: Origin
    verdict: Verdict
    beside: Beside
    made: dict = field(default_factory=dict)
    why: dict = field(default_factory=dict)
    drawn: dict = field(default_factory=dict)
    begun: dict = field(default_factory=dict)

    def drawings(self, kind: str) -> dict:
        """Drawings of study, part, pair or loads, the same for all papers that hold them."""
        if kind not in self.drawn:
            self.drawn[kind] = _DRAWN[kind](self.made)
        return self.drawn[kind]

    def begin(self, asked) -> None:
        """Have what takes long in the papers asked for begun beside this process."""
        kinds = [kind for kind in asked if kind in self.made]
        for kind in kinds:
            for of, leave_out in _shown(kind, self.made).items():
                shown = {name: item for name, item in self.drawings(of).items() if name not in leave_out}
                begin(shown, self.beside, self.origin)
        if "shop" in kinds:
            self.begun["shop"] = begin_pack(self.made["shop"], self.origin, self.verdict, self.beside)


_DRAWN = {
    "design": lambda made: study_drawings(made["note"][0]),
    "along": lambda made: along_drawings(made["note"][1]),
    "inspection": lambda made: inspection_drawings(made["inspection"]),
    "loads": lambda made: load_drawings(made["loads"]),
}


def _shown(kind, made):
    """Which drawings a paper shows, what takes longest first: {what of: names of those left out}."""
    if kind != "note":
        return {kind: ()} if kind in _DRAWN else {}
    along = {"along": ()} if made["note"][1] else {}
    first = {"loads": ("planform",) if along else (), "inspection": ()}  # it shows that of the part along its span
    return {**{of: left_out for of, left_out in first.items() if of in made}, **along, "design": ()}


def write_papers(
    job: Job,
    folder,
    kinds=PAPERS,
    progress: Callable[[int, int, str], None] | None = None,
    name: str = "",
    replace: bool = False,
) -> Papers:
    """Write the papers of a job into a folder, which is made if it is not there, all from the same state.

    Parameters
    ----------
    job : Job
        Lengths are shown as it says.
    folder : path
        Of this job's papers alone.
    kinds : sequence
        Which, of `PAPERS`; others that were written from the same state stay.
    progress : function, optional
        Told before each step: (steps done, steps in all, what comes now).
    name : str
        Of the job; on every page.
    replace : bool
        Write also where the folder holds another job's papers.

    Raises
    ------
    ValueError
        For a kind that there is not.
    FileExistsError
        In words, before anything is written: where the folder holds another job's papers, or files of the same names
        that are no papers. The folder beside a job's own file is always that job's.
    OSError
        Where the folder cannot be written; TimeoutError where another program keeps it locked.
    """
    folder, asked = Path(folder), _asked(kinds)
    origin = Origin(name.strip(), job.input_hash(), of_sheets(job.shop.page))
    owner = origin.job or title_of(job.design)
    _refuse_other(folder, owner, replace)
    tell = progress or (lambda done, steps, words: None)
    with lengths_in(job.lengths), Beside(alone=not set(asked) & LONG) as beside:
        tell(0, len(asked) + 2, "working everything out")
        state = _worked_out(job, origin, beside)
        state.begin(asked)
        contents: dict[str, bytes] = {}
        for done, kind in enumerate(asked, start=1):
            tell(done, len(asked) + 2, TITLES[kind].lower())
            if kind in state.made:
                files = _CONTENTS[kind](state)
                contents |= {f"{kind}/{inside}": content for inside, content in files.items()}
        tell(len(asked) + 1, len(asked) + 2, "putting the files in place")
        return _put_in_place(state, folder, asked, contents, owner, replace)


def papers_stand(job: Job, folder) -> tuple:
    """How the papers in a folder stand, in sentences: whether they are of this state of the job, what was changed or is
    gone since they were written, whether a writing was ended in its midst. Nothing where there are none."""
    folder, rows = Path(folder), _rows(folder)
    words, other = [], sorted({row[3] for row in rows.values()} - {job.input_hash()})
    if other:
        words.append(f"The papers are of another state of the job, {other[0]}: write them again.")
    elif rows:
        words.append(f"The papers, {len(rows)} files, are of this state of the job.")
    if is_unfinished(folder):
        words.append("Their writing was ended in its midst: write them again, which ends it.")
    elif changed := astray(folder, LIST):
        words.append(f"Changed or gone since they were written: {few(changed, NAMED)}.")
    return tuple(words)


def _asked(kinds):
    given = (kinds,) if isinstance(kinds, str) else tuple(kinds)
    unknown = [kind for kind in given if kind not in PAPERS]
    if unknown or not given:
        raise ValueError(
            f"no paper is called {', '.join(map(repr, unknown)) or '()'}: give some of {', '.join(PAPERS)}"
        )
    return tuple(kind for kind in PAPERS if kind in given)


def _refuse_other(folder, owner, replace):
    """Another job's papers are not overwritten without being told so."""
    others = sorted({row[2] for row in _rows(folder).values()} - {owner})
    own = (folder.absolute().parent / JOB).exists() and folder.absolute().parent.name == owner
    if others and not own and not replace:
        words = f"holds the papers of {others[0]!r}, these are of {owner!r}: give another folder, or have them replaced"
        raise FileExistsError(errno.EEXIST, words, str(folder))


def _rows(folder):
    """The folder's list, {name: (digest, paper, job, hash)}."""
    return list_rows(folder, LIST, LIST_HEAD, below=2)


# ----- Working out.


def _worked_out(job, origin, beside) -> _State:
    """The verdict of a job, and what its papers are made from, or why not."""
    state = _State(job, origin, judge_job(job), beside)
    for kind, of in PART_OF.items():
        part = state.verdict.of(of)
        if part is None:
            state.why[kind] = f"the job has no {kind if kind == 'loads' else 'readings'}."
        elif part.record is None:
            state.why[kind] = f"{'not sure yet: ' if part.word == UNSURE else ''}{lower(part.told)}"
        else:
            state.made[kind] = part.record
    return state


def _note(state):
    (study, along), made = state.made["note"], state.made
    drawn = {kind: state.drawings(kind) for kind in _shown("note", made)}
    return note_contents(study, made.get("inspection"), made.get("loads"), along, state.origin, drawn, state.verdict)


def _inspection(state):
    place = ROOT_ONLY if changes_along(state.job.blade) else ""
    drawn = state.drawings("inspection")
    return inspection_contents(state.made["inspection"], state.origin, place, drawn, state.verdict)


_CONTENTS = {
    "note": _note,
    "inspection": _inspection,
    "loads": lambda state: record_contents(state.made["loads"], state.origin, state.drawings("loads"), state.verdict),
    "shop": lambda state: state.begun["shop"](),
}


# ----- Writing.


def _put_in_place(state, folder, asked, contents, owner, replace) -> Papers:
    """Everything at once under the folder's lock: new files in, stale ones out."""
    refuse_foreign(folder, (INDEX, LIST, *contents), INDEX, MARK, WHAT)
    folder.mkdir(parents=True, exist_ok=True)
    with locked(folder):
        removed = finish(folder)
        _refuse_other(folder, owner, replace)
        old, stamp = _rows(folder), (owner, state.origin.hash)
        rows = {n: row for n, row in old.items() if _stays(folder / n, row, stamp, asked)}
        there = [kind for kind in PAPERS if any(n.startswith(f"{kind}/") for n in (*rows, *contents))]
        contents = {**contents, INDEX: index_page(state.job, state.origin, state.verdict, there, state.why).encode()}
        rows |= {n: (digest_of(content), n.split("/")[0], *stamp) for n, content in contents.items()}
        contents[LIST] = list_text(rows, LIST_HEAD)
        _put_aside(folder, old, contents)
        removed += write_folder(folder, contents, INDEX, MARK, WHAT, LIST)
        left = tuple(n for n in _files_in(folder) if n not in rows and n != LIST)
    stand = state.verdict.of
    written = tuple(_paper(folder, kind, stand(PART_OF[kind]), contents) for kind in asked if kind in state.made)
    missing = tuple(LeftOut(kind, TITLES[kind], state.why[kind]) for kind in asked if kind in state.why)
    return Papers(folder, folder / INDEX, state.verdict, state.origin, written, missing, removed, left)


def _stays(path, row, stamp, asked):
    """Whether a file of the old list is of this very state, of a paper that is not written now."""
    return row[2:] == stamp and row[1] in PAPERS and row[1] not in asked and path.exists()


def _put_aside(folder, old, contents):
    """A file that a hand has changed is kept under another name before a new one takes its place."""
    for name, content in contents.items():
        path, digest = folder / name, old.get(name, ("",))[0]
        if name == LIST or not path.is_file() or is_as_written(folder, name, digest) or path.read_bytes() == content:
            continue
        shutil.copy2(path, _free(path))


def _free(path):
    """A name beside a file that says it was changed by hand, and is not taken."""
    tries = (f"{path.stem}-{BY_HAND}{n}{path.suffix}" for n in itertools.chain(("",), itertools.count(2)))
    return next(place for place in map(path.with_name, tries) if not place.exists())


def _files_in(folder):
    """Names of all files in the folder and in those of the papers, hidden ones left out."""
    found = (*folder.glob("*"), *(path for kind in PAPERS for path in (folder / kind).rglob("*")))
    names = (path.relative_to(folder).as_posix() for path in found if not path.is_dir())
    return sorted(name for name in names if not name.split("/")[-1].startswith("."))


def _paper(folder, kind, standing, contents):
    files = tuple(folder / name for name in contents if name.startswith(f"{kind}/"))
    return Paper(kind, TITLES[kind], folder / PAGES[kind][0][1][0][0], standing, files)
