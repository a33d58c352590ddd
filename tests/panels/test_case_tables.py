"""Published cases as tables: what is said of a difference, and of a case that does not agree."""

import re
from html import unescape

import pytest

from panelmech.panels import cited_table, published_line, published_tables
from panelmech.panels.case_tables import gap_text
from panelmech.published import compare, own_cases, published_cases
from panelmech.published.case import MEMORY, OWN, Case

BOOK = ("Mattiasson 1981", "Table 1", MEMORY)


def words_of(html):
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def compared(given, ours, tolerance=0.01, absolute=False, where=BOOK):
    return Case("drop", given, lambda: ours, *where, tolerance, "printed to 2 decimals", absolute).compare()


@pytest.mark.parametrize(
    ("given", "ours", "absolute", "words"),
    [
        (2.0, 2.01, False, "0.5 %"),
        (-2.0, -2.01, False, "−0.5 %"),
        (2.0, 1.9999932, False, "−0.00034 %"),
        (0.3, 0.3000044, True, "0.0000044"),
        (2.0, 2.0 + 1e-8, False, "none"),
        (2.0, 2.0 + 1e-8, True, "none"),
    ],
)
def test_a_difference_is_told_with_two_figures(given, ours, absolute, words):
    assert gap_text(compared(given, ours, absolute=absolute)) == words


def test_a_value_that_is_off_is_told_by_name():
    good, bad = compared(1.0, 1.001), compared(1.0, 1.2)
    assert published_line([good, bad]) == (
        "2 values from 1 source, worked out just now; not within what is allowed: drop.\n"
        "How they were got: 2 from memory."
    )
    assert "; each within what is allowed.\n" in published_line([good])
    words = words_of(published_tables([good, bad], "Trial"))
    assert "Mattiasson 1981, Table 1 printed to 2 decimals from memory 2 20 % ± 1 % " in words and "fails" in words
    assert "holds" not in words and "holds" in words_of(published_tables([good], "Trial"))


def test_published_values_are_told_with_the_digits_they_were_given_with():
    found = words_of(published_tables(compare(published_cases("The curve")), "The curve"))
    assert "1.3110287771 1.311029" in found and "draw-in over length 0.05643 0.05643324" in found
    assert "The curve: every value, 20 of them" in found


def test_second_roads_are_never_called_published():
    found = words_of(published_tables(compare(own_cases()), "Own cross-checks"))
    assert "Other road" in found and "Published" not in found and "How it was got" not in found
    second = published_line([compared(1.0, 1.0, where=("", "by hand", OWN))])
    assert second == "1 value, worked out just now; each within what is allowed."


def test_list_of_sources():
    found = words_of(cited_table(published_cases("The curve")))
    assert found.startswith("Source Values Mattiasson K. (1981)") and "Tanaka" not in found
