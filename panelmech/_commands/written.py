"""Papers to hand over: the design note, the load record, the shop pack, all papers of a job."""

from __future__ import annotations

import sys
from pathlib import Path

from ..blade.blade import Blade
from ..entries import read_entry
from ..job.verdict import judge_job
from ..loads.load_file import LoadSheet
from ..study.study import evaluate
from ..units import capital
from .work import about, job_code


def run_papers(options, found) -> int:
    """Write all papers of a job."""
    if not found.whole:
        raise ValueError("only a job has papers of its own: make one with new NAME --from FILE, or use note and shop")
    return _own_papers(options, found)


def _own_papers(options, found, kinds=()):
    """Write papers of a job from its state, into its own folder or as told; all kinds there are, unless told."""
    from ..report.papers import PAPERS, write_papers

    evaluate(found.job.design)  # a design that cannot be bent has no papers
    folder = Path(options.out) if options.out else _folder(found)
    job = found.job.replace(lengths=options.lengths or found.job.lengths)
    papers = write_papers(job, folder, kinds or PAPERS, _tell_step if sys.stderr.isatty() else None, found.name)
    if kinds and papers.left_out:
        raise ValueError(papers.left_out[0].why)
    print("\n".join((*papers.words, f"Written to {papers.folder}; state {papers.origin.hash}.")))
    return job_code(options, found.name, papers.verdict)


def _tell_step(done, steps, what):
    """On a terminal: what comes now, on one line that is gone in the end."""
    words = f"step {done + 1} of {steps}: {what} …"
    print(f"\r{words:<60}", end="\r" + " " * 60 + "\r" if done + 1 == steps else "", file=sys.stderr, flush=True)


def _folder(found):
    if found.folder is None:
        raise ValueError("--out is missing: only a job of your own has a folder for its papers")
    return found.folder / "papers"


def _own(options, found, *others):
    """Whether a paper goes to the job's own papers. With files in the place of the job's it stands apart."""
    if options.out:
        return False
    if found.folder and any(others):
        raise ValueError("--out is missing: a paper made with other files than the job's does not stand among its own")
    return bool(_folder(found))


def run_note(options, found) -> int:
    """Write the design note."""
    if _own(options, found, options.readings, options.camber, options.loads, options.part):
        return _own_papers(options, found, ("note",))
    from ..report.note import write_note

    study, blade = evaluate(found.job.design), found.job.blade.with_root(found.job.design)
    verdict = _judged(options, found)
    pair = worked_out(verdict, "pair") or pair_of(options, found)
    loads = worked_out(verdict, "loads") or _loads_of(options, found)
    files = write_note(study, options.out, pair, loads, blade, verdict)
    print(_lines(verdict, "design", "pair", "loads"))
    print(f"Design note written to {files.folder}: {', '.join(files.names())}")
    return job_code(options, found.name, verdict)


def _judged(options, found):
    """The verdict on the job with what the files given say in the place of its own."""
    from ..measured.readings import read_readings

    given = {}
    if options.part and (options.loads or found.job.loads):
        given["blade"] = _from_file(options.part, Blade)
    if options.readings:
        given["readings"] = read_readings(options.readings)
    if options.loads:
        given["loads"] = _from_file(options.loads, LoadSheet)
    given |= {"camber": camber_of(options, found.job), "offsets_from": line_of(options, found.job)}
    return judge_job(found.job.replace(**given))


def worked_out(verdict, kind):
    """What a part of a verdict was worked out to be; None where there is no such part, or it could not be."""
    part = verdict.of(kind)
    return None if part is None else part.record


def pair_of(options, found):
    """The pair of the readings, judged; None where there are none, or a job's own do not suffice yet, which is said."""
    from ..measured.pair import judge_pair
    from ..measured.readings import NotSureYet, read_readings

    if not options.readings and not found.job.readings.rows:
        return None
    tolerance = camber_of(options, found.job)
    readings = read_readings(options.readings) if options.readings else found.job.readings
    with about(f"{options.readings}, for {found.name}" if options.readings else found.name):
        try:
            return judge_pair(found.job.design, readings, tolerance, line_of(options, found.job))
        except NotSureYet as error:
            if options.readings:
                raise ValueError(f"not sure yet: {error}") from None
            print(f"The two sheets: not sure yet, so no inspection record is written. {capital(str(error))}")
    return None


def camber_of(options, job) -> float:
    """The camber allowed [m]: as told, or the job's."""
    return job.camber if options.camber is None else read_entry(options.camber, "--camber", "mm", above=0.0).value


def line_of(options, job) -> str:
    """The line that offsets were measured from: as told, or the job's."""
    return options.offsets_from or job.offsets_from


def _loads_of(options, found):
    """The loads on the part, of the load file or the job, or None where there are none."""
    if not options.loads and found.job.loads is None:
        if options.part:
            raise ValueError("--part is given without --loads: it says where along the span the loads act")
        return None
    part = _from_file(options.part, Blade) if options.part else found.job.blade.with_root(found.job.design)
    return _record_of(found, part, options.part or found.name, options.loads)


def _record_of(found, part, part_name, load_file):
    """The loads of a load file, or else of the job, on a part; what is wrong with them names the file."""
    from ..loads.record import record_of

    loads = _from_file(load_file, LoadSheet) if load_file else found.job.loads
    with about(f"{load_file}, for {part_name}" if load_file else part_name):
        return record_of(part, loads)


def _from_file(path, kind):
    """A record from its file; what is wrong names that file."""
    with about(path):
        return kind.load(path)


def run_loads(options, found) -> int:
    """Write the load record."""
    if _own(options, found, options.plan):
        return _own_papers(options, found, ("loads",))
    from ..report.load_inputs import float_words
    from ..report.note import write_load_record

    if options.plan is None and found.job.loads is None:
        raise ValueError("no loads are stated: give --plan LOADS.json, or a job that has loads")
    verdict = judge_job(found.job.replace(loads=_from_file(options.plan, LoadSheet)) if options.plan else found.job)
    record = worked_out(verdict, "loads") or _record_of(found, found.job.blade, found.name, options.plan)
    files = write_load_record(record, options.out, verdict)
    names = ", ".join(path.name for path in files.paths)
    print(f"{_lines(verdict, 'loads')}\n{float_words(record)}")
    print(f"Load record written to {files.folder}: {names}, plots/")
    return job_code(options, found.name, verdict)


def _lines(verdict, *kinds):
    """How the job stands, and how the parts of it that are written."""
    return "\n".join((verdict.line, *(part.line for part in verdict.parts if part.kind in kinds)))


def run_shop(options, found) -> int:
    """Write the shop pack."""
    if _own(options, found, options.choices):
        return _own_papers(options, found, ("shop",))
    from ..report.folder import old_words
    from ..report.shop_sheets import write_shop
    from ..shop.choices import ShopChoices
    from ..shop.pack import shop_pack

    choices = _from_file(options.choices, ShopChoices) if options.choices else found.job.shop
    verdict = judge_job(found.job.replace(shop=choices))
    pack = worked_out(verdict, "shop") or shop_pack(found.job.blade, choices)
    files = write_shop(pack, options.out, verdict)
    print(f"{_lines(verdict, 'shop')}\n{_pours_line(pack)}")
    print(f"Shop pack written to {files.folder}: {', '.join(files.names())}")
    print("\n".join((*old_words(files.removed, files.left), f"Cure data: {pack.heat.label}.")))
    return job_code(options, found.name, verdict)


def _pours_line(pack):
    from ..report.shop_rows import needs_rows

    needs = "; ".join(f"{name}: {resin} resin, {hardener} hardener" for name, resin, hardener, _ in needs_rows(pack))
    return f"{len(pack.pours)} pours. {needs}."
