"""Tables of the trade-off panel as HTML text: answers of sizing, ranking, scatter, designs side by side.

Pure functions from records to text, like `panels.study_tables`; numbers come formatted from `units`.
"""

from __future__ import annotations

from html import escape

import numpy as np

from ..report.answers import choice_words
from ..report.answers import judged_options as judged_options
from ..report.answers import rare_words as rare_words
from ..report.answers import refused_words as refused_words
from ..report.answers import sizing_options as sizing_options
from ..report.answers import stock_options as stock_options
from ..study.checks import LOCAL_RULES
from ..study.choose import CRITERIA
from ..study.shares import INTERVAL
from ..study.side_by_side import difference_words
from ..study.sizing import at_most, output_label, output_unit
from ..study.two_sheets import sheets_words
from ..study.typed_tolerances import sample_text
from ..study.varying import SAMPLE, cut_off_words, input_label, together_words
from ..units import capital, format_number, show
from .study_tables import bullets
from .study_tables import paragraphs as paragraphs
from .study_tables import table as table

SHOWN_QUANTILES = ((1, "5 %"), (3, "half"), (5, "95 %"))  # places in `study.tolerances.QUANTILES`
SCATTERED = (
    "chord_stiffness",
    "torsion_stiffness",
    "i_chord",
    "outer_thickness",
    "bending_stiffness",
    "land_strain",
    "opening_energy",
    "contact_force_total",
    "mass_per_length",
)
SHARES_OF = (*SCATTERED[:4], *SCATTERED[5:8])
GROUPS = {"input": "Inputs", "result": "Results and checks", "check": "Results and checks"}


def sizing_words(sizing) -> str:
    """The answer in sentences."""
    return paragraphs(*sizing.words)


def progress(choices, rows: int, counted: str, at_work: bool) -> str:
    """How far a choice has come: rows that stand, and what was judged for them."""
    stands = f"{rows} {'row stands' if rows == 1 else 'rows stand'}{' so far' if at_work else ''}."
    return paragraphs(f"{stands} {choice_words(choices, counted)}")


def ranking(choices, order, criteria, numbers=None) -> str:
    """Combinations in this order with all criteria that are known, numbered from 1 or by `numbers`."""
    known = [name for name in criteria if np.isfinite(choices.values[name][order]).any()] if len(order) else []
    heads = ["", "Sheet", "Spacer", *(_criterion(name) for name in known)]
    rows = [
        [
            str(number),
            *_named(choices, int(i)),
            *(_criterion_value(name, choices.values[name][i]) for name in known),
        ]
        for number, i in zip(numbers or range(1, len(order) + 1), order, strict=True)
    ]
    return table(heads, rows, "Combinations of stock", numbers_from=3)


def _named(choices, i):
    sheet, spacer = choices.label(i).split("; ")
    return sheet if choices.judged[i] else f"{sheet} (a limit has no basis)", spacer


def _criterion(name):
    words = CRITERIA[name][0].split(",")[0]
    return capital(words)


def _criterion_value(name, value):
    unit = CRITERIA[name][1]
    return show(value, unit) if unit else format_number(value)


def scatter_table(result, nominal: dict, middle: str = "as designed") -> str:
    """The part in the middle, called `middle`, and the quantiles of the outputs worth knowing."""
    rows = []
    for name in (n for n in SCATTERED if n in result.quantiles):
        unit, values = output_unit(name), result.quantiles[name]
        label = output_label(name)
        rows.append(
            [
                capital(label),
                show(nominal.get(name, np.nan), unit),
                *(show(values[i], unit) for i, _ in SHOWN_QUANTILES),
            ]
        )
    heads = ["Parts built alike", capital(middle), *(f"{w} below" for _, w in SHOWN_QUANTILES)]
    return table(heads, rows, "Scatter of the results")


def failing_table(result) -> str:
    """Share of parts that fail each check, or cannot be made, with its interval and what it rests on."""
    rows = [[result.labels[key], share.words()] for key, share in result.counted.items()]
    said = f"In brackets what chance leaves open: {INTERVAL}. Seed {result.seed}: the same gives the same parts."
    found = table(["Parts that fail", "Share"], rows, "Share of parts that fail")
    return found + paragraphs(" ".join(filter(None, (said, cut_off_words(result.cut_off)))))


def framed_words(result) -> str:
    """How well what is read of the parts is known, and what is not counted."""
    if result.read:
        return paragraphs(f"{result.read}; reserves are read between them to {at_most(result.framed_doubt)}.")
    if not any(rule.key in result.reserves for rule in LOCAL_RULES):
        return paragraphs("The framed sheet is judged under the job's loads, which are not counted yet.")
    if not np.isfinite(result.framed_doubt):
        return paragraphs("Too few of these parts can be made to read the framed sheet: its checks are left out.")
    hung = f", {result.worked_out} of them worked out since their verdict hung on that" if result.worked_out else ""
    undecided = max(share.undecided for share in result.counted.values())
    rest = f"; {undecided} more hang on it and are undecided" if undecided else ""
    return paragraphs(f"The framed sheet's reserves are read to {at_most(result.framed_doubt)}{hung}{rest}.")


def origin_words(known) -> str:
    """Whose tolerances those of the sheets are, and about what, where they were measured."""
    if not known.measured:
        return paragraphs(
            f"Sheets: thickness {known.origin('thickness')}, modulus {known.origin('modulus')}; the other tolerances "
            "are what careful hand work leaves (common practice) until you type yours."
        )
    told = f"thickness {known.origin('thickness')}, modulus {known.origin('modulus')}"
    about = show(known.design.sheet_thickness, "mm")
    return paragraphs(f"Sheets: {told}; parts are those about the sheets in the middle of what was measured, {about}.")


def drawn_words(result) -> str:
    """What one part drawn means, what was measured, and which inputs go together."""
    told = [sheets_words(result.alike, result.tolerance)]
    measured = [sample_text(result.design, t) for t in result.tolerances if t.kind == SAMPLE]
    told += [f"As measured, each value as likely as any other: {'; '.join(measured)}."] if measured else []
    return paragraphs(*filter(None, [*told, together_words(result.correlation)]))


def come_words(come) -> str:
    """How far a scatter under loads has come."""
    if come.complete:
        return paragraphs(f"The loads are counted: {come.done} parts worked out.")
    if come.done <= come.aim:
        return paragraphs(f"Working out parts under the loads: {come.done} of {come.aim}.")
    return paragraphs(f"{come.done} parts worked out; the last hang on how well the others are read.")


def cause_table(result, outputs=SHARES_OF) -> str:
    """For each output and input: share of the variance, and the power with which the output follows the input."""
    names = [t.field for t in result.tolerances]
    heads = ["Share of the variance, and power", *(input_label(n) for n in names)]
    rows = []
    for output in (o for o in outputs if o in result.shares):
        label = output_label(output)
        cells = [
            f"{_share(result.shares[output][n])}, {_power(result.elasticities.get(output, {}).get(n, np.nan))}"
            for n in names
        ]
        rows.append([capital(label), *(cell.replace(" %", "\u00a0%") for cell in cells)])  # a line may break after it
    apart = "Inputs that go together share what each causes: their shares may add up to more than all of the variance."
    shown = table(heads, rows, "What causes the scatter")
    return shown + (paragraphs(apart) if result.correlation else "")


def most_important_words(result, output: str) -> str:
    """One sentence: which tolerance matters most for an output, and whether it is the sheet's thickness."""
    name, share = result.most_important(output)
    if not np.isfinite(share):
        return paragraphs(f"{output_label(output)} does not vary.")
    causes = f"the {input_label(name)} causes {100 * share:.0f} % of the variance by itself"
    if result.correlation:
        causes = f"{100 * share:.0f} % of the variance goes with the {input_label(name)} and what goes together with it"
    return paragraphs(f"{capital(output_label(output))}: {causes}.")


def _share(value):
    if np.isnan(value):
        return "–"
    if 0 < value < 0.005:
        return "< 0.5 %"
    return f"{100 * value:.0f} %" if value > 0.0995 or value == 0 else f"{100 * value:.1f} %"


def _power(value):
    return "–" if np.isnan(value) else format_number(0.0 if abs(value) < 5e-5 else value, 3)


def side_by_side(found, names, everything: bool = False) -> str:
    """Designs beside the last of them: what differs in words, the overview, and folded all other rows that differ."""
    rest = differing_table(found, names, everything)
    title = escape(rows_title(found, everything))
    below = f'<details class="pm-more-rows"><summary>{title}</summary>{rest}</details>' if rest else ""
    return overview(found, names) + below


def overview(found, names) -> str:
    """What differs between the designs in words, then the few rows that tell most; of designs that are the same, that
    they are."""
    if not found.differences:
        return paragraphs("These designs do not differ in anything.")
    said = paragraphs(f"Beside {names[-1]}:") + bullets(difference_words(found, names))
    rows = [_compared_row(line) for line in found.overview]
    return said + table(["", *names], rows, "Designs side by side, overview")


def rows_title(found, everything: bool = False) -> str:
    """What the other rows are, and how many."""
    count = sum(line.differs or everything for line in found.ordered)
    if not count:
        return "Nothing else differs"
    return f"{'All other rows' if everything else 'All else that differs'}, most first: {count}"


def differing_table(found, names, everything: bool = False) -> str:
    """The other rows: inputs, then results and checks, most different first; what is equal only if `everything` is
    asked for. Empty where there is none."""
    rows, group = [], None
    for line in (line for line in found.ordered if line.differs or everything):
        words = GROUPS[line.group]
        if words != group:
            rows.append(words)
            group = words
        rows.append([*_compared_row(line), _apart(line.apart)])
    return table(["", *names, "Apart by"], rows, "Designs side by side, all rows") if rows else ""


def _compared_row(line):
    return [f"{'≠ ' if line.differs else ''}{capital(line.label)}", *line.texts]


def _apart(share):
    return "–" if not np.isfinite(share) or share == 0.0 else show(share, "%", 2)
