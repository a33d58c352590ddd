"""Tables of the panels: one renderer for every table, each text escaped, verdicts with their marks."""

import pytest

from panelmech.draw.look import VERDICT_MARKS
from panelmech.report.blocks import Group, Picture, Row, Table, Verdict, plain_columns
from panelmech.report.html_page import markup, panel_table

CHECK = Row(("Strain <1>", "1.2 %", Verdict("fails")), (("class", ""), ("title", "user: 'own'")), ("thinner sheet", ""))


def test_a_table_of_plain_rows():
    table = Table("Two & more", plain_columns(("What", "How much")), ("Group", ("a", "1 < 2")))
    assert panel_table(table) == (
        '<table class="pm-table" aria-label="Two &amp; more"><thead><tr><th scope="col">What</th>'
        '<th scope="col" class=pm-number>How much</th></tr></thead><tbody>'
        '<tr><th class="pm-group" scope="rowgroup" colspan="2">Group</th></tr>'
        '<tr><th scope="row">a</th><td class=pm-number>1 &lt; 2</td></tr></tbody></table>'
    )


def test_a_row_with_verdict_hint_and_advice():
    columns = plain_columns(("Check", "Value", "Verdict"))[:2] + plain_columns(("", "Verdict"), 2)[1:]
    mark = f'<span class="pm-mark" aria-hidden="true">{VERDICT_MARKS["fails"]}</span>'
    html = panel_table(Table("Checks", columns, (Group("Bad", "fails"), CHECK)), "pm-table kept")
    assert html.startswith('<table class="pm-table kept" aria-label="Checks">')
    assert f'colspan="3">{mark} Bad</th>' in html
    assert '<tr class="" title="user: &#x27;own&#x27;"><th scope="row">Strain &lt;1&gt;' in html
    assert html.count("pm-advice") == 1 and '<div class="pm-advice">thinner sheet</div></th>' in html
    assert f'<td class=pm-number>1.2 %</td><td><span class="pm-tag pm-is-fails">{mark} fails</span></td>' in html


def test_a_row_of_another_length_is_refused():
    with pytest.raises(ValueError, match="shorter|longer"):
        panel_table(Table("Odd", plain_columns(("a", "b")), (("only one",),)))


@pytest.mark.parametrize(("scales", "width"), [((0.07, 0.06), 175), ((0.08,), 132), ((0.2,), 100), ((), 100)])
def test_a_drawing_is_as_wide_on_a_screen_as_its_smallest_letters_need(scales, width):
    """75 pt are 100 px; letters of 6 pt have 8 px there, of which 14 make 175 px. None is drawn smaller than it is."""
    letters = "".join(f'<g transform="translate(1 2) scale({scale} -{scale})"/>' for scale in scales)
    html = markup(Picture("one", "A rod: round. Solid"), {"one": f'<svg width="75pt" height="9pt">{letters}</svg>'})
    assert f'style="--screen: {width}px; --paper: 97.5pt"' in html
    assert '<div class="wide" role="group" tabindex="0" aria-label="Drawing: A rod">' in html
    assert '<svg role="img" aria-label="A rod: round. Solid"' in html


def test_a_head_without_words_is_no_head():
    html = markup(Table("Two", plain_columns(("What", "")), (("a", "1"),)), {})
    assert '<th scope="col" class="label">What</th><td class="number"></td>' in html
