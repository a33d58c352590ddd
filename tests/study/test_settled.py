"""Limits that nobody has set himself: what counts as a builder's own, what is kept, and what the checks say of it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from leeboard_part import LEEBOARD as PLAIN

from panelmech import evaluate
from panelmech.job.typed import design_typed
from panelmech.report.check_rows import default_words, limit_words
from panelmech.study.checks import CHECKS
from panelmech.study.design import JUDGED, LIMITS, from_entry, to_entry
from panelmech.study.verdicts import CHECK_BASES, DEFAULT

OF_CHECK = {
    "oil_canning": ("pressure", "deflection_share"),
    "skin_buckling": ("service_stress",),
    "rod_holds": ("friction",),
}
SETTLED = st.sets(st.sampled_from(JUDGED))


def moved(name):
    """Another value of an input than its default, well within its limits."""
    return getattr(PLAIN, name) * 1.25


@given(SETTLED, SETTLED)
def test_own_is_what_is_listed_or_no_default(listed, changed):
    """For every set of limits made one's own and every set changed, whatever the order of the two."""
    design = PLAIN.replace(settled=tuple(sorted(listed)), **{name: moved(name) for name in changed})
    assert set(design.untouched()) == set(JUDGED) - listed - changed
    assert set(design.settled) == listed - changed  # what is no default is his without being listed
    again = from_entry(json.loads(json.dumps(to_entry(design))))
    assert again == design and again.input_hash() == design.input_hash()
    assert ("settled" in to_entry(design)) == bool(listed - changed)


@given(SETTLED)
def test_hash_tells_what_is_settled_and_old_files_keep_theirs(listed):
    design = PLAIN.replace(settled=tuple(listed))
    assert (design.input_hash() == PLAIN.input_hash()) == (not listed)
    assert "settled" not in to_entry(PLAIN, by_name=False)  # what is hashed is as before there was any such list


def test_limits_that_nobody_touched_are_marked_as_such():
    """In basis, source, first line and the limit's cell, and no more once they are his."""
    study = evaluate(PLAIN)
    for key, names in OF_CHECK.items():
        check = study.check(key)
        assert check.default and check.basis == DEFAULT and DEFAULT in CHECK_BASES
        assert "as entered" not in check.source and check.basis not in check.source
        assert limit_words(check).endswith("◇") and "◇" in default_words([check])
        own = evaluate(PLAIN.replace(settled=names)).check(key)
        assert own.basis == "user" and "as entered" in own.source and "default" not in own.source
        assert "◇" not in limit_words(own) and default_words([own]) == ""
        assert (own.value, own.limit, own.verdict) == (check.value, check.limit, check.verdict)
    assert study.governing.key == "skin_buckling" and "needed (default, not yet yours);" in study.headline()
    assert "default" not in evaluate(PLAIN.replace(settled=JUDGED)).headline()


def test_a_check_of_two_inputs_is_his_only_when_both_are():
    for half in OF_CHECK["oil_canning"]:
        check = evaluate(PLAIN.replace(settled=(half,))).check("oil_canning")
        assert check.default and "as entered" in check.source and "a default" in check.source
    own = evaluate(PLAIN.replace(pressure=2500.0, deflection_share=0.012)).check("oil_canning")
    assert own.basis == "user"


def test_every_limit_that_is_one_of_the_inputs_goes_by_whose_it_is():
    """A check whose limit moves with an input of `JUDGED` says whose that is; the margin stands in the source."""
    plain = evaluate(PLAIN)
    for name in JUDGED:
        other = evaluate(PLAIN.replace(**{name: moved(name)}))
        hit = [r.key for r in CHECKS if other.check(r.key).reserve != plain.check(r.key).reserve]
        for key in hit:
            words = plain.check(key).basis + plain.check(key).source
            assert "default" in words, (name, key)


def test_margin_on_toughness_is_told():
    assert "divided by 2, a default;" in evaluate(PLAIN).check("joint_opening").source
    assert "divided by 2;" in evaluate(PLAIN.replace(settled=("toughness_margin",))).check("joint_opening").source


@pytest.mark.parametrize("wrong", [("span",), ("presure",), "pressure", 3, (1,)])
def test_what_is_no_limit_of_ones_own_is_refused(wrong):
    with pytest.raises(ValueError, match="settled is"):
        PLAIN.replace(settled=wrong)


def test_what_is_typed_on_the_command_line_is_ones_own():
    assert design_typed(PLAIN, {"pressure": 2000.0, "span": 0.85}).settled == ("pressure",)
    assert design_typed(PLAIN, {"span": 0.9}).settled == ()
    assert all(name in LIMITS for name in JUDGED)
