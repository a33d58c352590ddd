"""Questions about a part: which size gives a result, what to buy, whether two sheets make a pair."""

from __future__ import annotations

import difflib
import sys
from pathlib import Path

from ..entries import read_entry
from ..files import write_atomically
from ..job.every import counts, judge_of
from ..job.folder import keep
from ..job.verdict import judge_job
from ..report.answers import (
    aligned,
    choice_rows,
    choice_words,
    choices_csv,
    judged_options,
    sizing_options,
    standing_words,
)
from ..study.choose import CRITERIA, combine, rank_steps, unbeaten_steps
from ..study.design import LIMITS
from ..study.sizing import SIZED_OUTPUTS, output_label, output_unit, size
from ..study.verdicts import said
from ..units import capital
from .shelf import folder_of
from .work import BY, FINE, job_code
from .written import camber_of, line_of, pair_of


def run_size(options, found) -> int:
    """Solve for one input."""
    outputs = _outputs_under_loads() if options.under_loads else _outputs()
    field = _chosen(options.change, "--change", {name: limit.label for name, limit in LIMITS.items()})
    output = _chosen(options.so_that, "--so-that", {name: label for name, (label, _) in outputs.items()})
    unit = outputs[output][1]
    if options.target is None:
        raise ValueError(f"--is is missing: give the {outputs[output][0]} that is wanted")
    target = read_entry(options.target, f"--is, the {outputs[output][0]},", unit).value
    sizing = _under_loads(found, output, target, field) if options.under_loads else _size(found, field, output, target)
    answers = judged_options(sizing_options(sizing, unit), found.job.design, field, judge_of(found.job))
    print("\n".join(sizing.words))
    for number, (words, _) in enumerate(answers, 1):
        print(f"{number}  {capital(LIMITS[field].label)}, {words}")
    if options.keep is not None:
        _keep(found, _with(found, field, _answer(answers, options.keep, len(sizing.solutions))))
    return FINE


def _outputs():
    return {name: (output_label(name), output_unit(name)) for name in SIZED_OUTPUTS}


def _outputs_under_loads():
    from ..loads.sizing import LOAD_OUTPUTS

    return {name: (label, unit) for name, (label, unit, _) in LOAD_OUTPUTS.items()}


def _size(found, field, output, target):
    return size(found.job.design, field, output, target)


def _under_loads(found, output, target, field):
    from ..loads.sizing import size_for_load

    if found.job.loads is None:
        raise ValueError("no loads are stated in the job: make it with --from LOADS.json, or state them in 05_loads")
    return size_for_load(found.job.blade, found.job.loads.plan, output, target, field)


def _with(found, field, value):
    return found.job.design.replace(**{field: value})


def _answer(answers, number, solutions):
    """The value of the answer of a number; of 0 the only one."""
    if number == 0 and solutions == 1:
        number = 1
    if not 1 <= number <= len(answers):
        given = "no number" if number == 0 else number
        allowed = f"give one of 1 to {len(answers)}" if answers else "there is no answer to keep"
        raise ValueError(f"--keep has {given}: {allowed}")
    return answers[number - 1][1]


def _keep(found, design):
    after = found.job.with_design(design)
    kept = keep(folder_of(found), found.job, after, BY, said(judge_job(after).word))
    gave_way = f" Changed by others meanwhile: {kept.others}." if kept.others else ""
    print(f"Kept in {found.name}: {standing_words(judge_of(kept.job)(kept.job.design))}.{gave_way}")


def _chosen(text, option, labels):
    """The name that a text means, by name or label, whatever its capitals; ValueError with near ones, or all."""
    if text is None:
        raise ValueError(f"{option} is missing: give one of\n{aligned(labels.items())}")
    plain = _plain(text)
    same = [name for name, label in labels.items() if plain in (_plain(name), _plain(label))]
    if same:
        return same[0]
    words = {_plain(word): name for name, label in labels.items() for word in (name, label)}
    near = difflib.get_close_matches(plain, words, n=6, cutoff=0.4) + [word for word in words if plain in word]
    rows = {words[word]: labels[words[word]] for word in near} or labels
    raise ValueError(f"{option} is {text!r}: give one of\n{aligned(rows.items())}")


def _plain(text):
    return " ".join(text.replace("-", " ").replace("_", " ").casefold().split())


def run_choose(options, found) -> int:
    """Rank the stock."""
    choices = combine(found.job.design, judge=judge_of(found.job, soon=True))
    order = _order(choices, options.by, max(options.count, options.keep or 0), not options.any_basis)
    if not len(order):
        more = f" {choices.unjudged} have a limit without a basis: --any-basis shows them." if choices.unjudged else ""
        raise ValueError(
            f"no sheet and rod of the catalogue hold for these lengths. {_about(choices, found.job)}{more}"
        )
    print(_about_choices(choices, order, options, found.job))
    print(aligned(choice_rows(choices, order[: options.count])))
    if options.csv:
        write_atomically(options.csv, choices_csv(choices, order))
        print(f"{len(order)} rows written to {Path(options.csv)}.")
    if options.keep is not None:
        if not 1 <= options.keep <= len(order):
            raise ValueError(f"--keep is {options.keep}: give one of 1 to {len(order)}")
        _keep(found, choices.design_at(int(order[options.keep - 1])))
    return FINE


def _order(choices, by, count, only_judged):
    """The rows; on a terminal it is told how far the search has come, which under loads takes a while."""
    one = len(by) == 1
    steps = rank_steps(choices, by[0], count, only_judged) if one else unbeaten_steps(choices, by, only_judged)
    told = sys.stderr.isatty()
    for found in steps:
        if told:
            words = f"{found.tried} combinations judged, {len(found.order)} rows stand"
            print(f"\r{words}", end="\n" if found.complete else "", file=sys.stderr, flush=True)
    return found.order


def _about_choices(choices, order, options, job):
    shown = min(len(order), options.count)
    by = " and ".join(CRITERIA[name][0] for name in options.by)
    if len(options.by) > 1:
        how = f"{len(order)} that no other beats in {by}, {shown} shown"
    else:
        how = f"The first {shown} ranked by {by}"
    return f"{how}. {_about(choices, job)}"


def _about(choices, job):
    return choice_words(choices, counts(job))


def run_pair(options, found) -> int:
    """Judge two measured sheets."""
    from ..report.pair_rows import STANDARD, known_words, pair_rows, pairing_words, sheet_rows, verdict_words

    if not options.readings and not found.job.readings.rows:
        raise ValueError("there are no readings: give --readings READINGS.csv, or enter them in 04_matched_pairs")
    pair = pair_of(options, found)
    told = {"camber": camber_of(options, found.job), "offsets_from": line_of(options, found.job)}
    verdict = judge_job(found.job.replace(**told, **({"readings": pair.given} if pair else {})))
    if pair is None:
        print(verdict.line)
        return job_code(options, found.name, verdict)
    print(f"{capital(said(pair.verdict))}. {verdict_words(pair)}\n{pairing_words(pair)}\n")
    print(
        aligned([["", "sheet A", "sheet B"], *sheet_rows(pair)]), "", aligned(pair_rows(pair)), "", STANDARD, sep="\n"
    )
    print("", *known_words(pair), *_offsets_words(pair), sep="\n")
    print(f"\n{verdict.line}")
    return job_code(options, options.readings or found.name, verdict)


def _offsets_words(pair):
    """What the offsets of the finished part say, where there are any."""
    from ..measured.finished_part import explain_offsets, judge_part
    from ..report.offset_rows import part_sentences, remarks

    try:
        fit = explain_offsets(pair)
    except ValueError as error:
        yield f"\nThe part by its offsets: {error}"
        return
    if fit is not None:
        part = judge_part(pair, fit)
        yield from ("\nThe part by its offsets.", *part_sentences(part), *remarks(part))
