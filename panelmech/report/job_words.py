"""How a job stands, as it is shown on the first page of every paper of it: one banner, and what was counted."""

from __future__ import annotations

from ..job.verdict import Verdict
from .blocks import Banner


def job_banner(verdict: Verdict) -> Banner:
    """The verdict of the job and what governs it."""
    return Banner(verdict.word, verdict.headline, about="The job")


def job_words(verdict: Verdict) -> str:
    """What is counted for the job, what is not, and where shop and design do not agree, in sentences."""
    apart = f" Checked and weighed are not the same: {verdict.apart}." if verdict.apart else ""
    return f"{verdict.counted}{apart}"
