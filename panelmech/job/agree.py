"""One job, one adhesive: what the checks take and what the shop weighs change together. See `shop.agree`."""

from __future__ import annotations

from ..materials.records import Adhesive, Resin
from ..materials.resin_system import ResinSystem
from ..shop import agree as shop
from .job import Job


def with_adhesive(job: Job, adhesive: Adhesive) -> Job:
    """The job with another adhesive, and with the resin system that is weighed for it."""
    return _with(job, shop.with_adhesive(job.shop, adhesive), adhesive=adhesive)


def with_bond(job: Job, system: ResinSystem) -> Job:
    """The job with another resin system for the bond, and with the adhesive that it is.

    For another consistency of the bond: set that first, then call this with the system as it is.
    """
    adhesive, choices = shop.with_bond(job.design.adhesive, job.shop, system)
    return _with(job, choices, adhesive=adhesive)


def with_resin(job: Job, resin: Resin) -> Job:
    """The job with another cured resin, and with the resin system that is poured for it."""
    return _with(job, shop.with_resin(job.shop, resin), resin=resin)


def with_pour(job: Job, system: ResinSystem) -> Job:
    """The job with another resin system for the potting, and with the cured resin that it is."""
    resin, choices = shop.with_pour(job.design.resin, job.shop, system)
    return _with(job, choices, resin=resin)


def following(before: Job, after: Job) -> Job:
    """A changed job, in which what belongs to a changed adhesive, resin or resin system has followed it."""
    consistency = before.shop.bond_consistency, after.shop.bond_consistency
    for old, new, follow in (
        (before.design.adhesive, after.design.adhesive, with_adhesive),
        (before.design.resin, after.design.resin, with_resin),
        ((before.shop.bond, consistency[0]), (after.shop.bond, consistency[1]), lambda j, bond: with_bond(j, bond[0])),
        (before.shop.pour, after.shop.pour, with_pour),
    ):
        if old != new:
            after = follow(after, new)
    return after


def agree(job: Job) -> str:
    """What is checked and what is weighed, in words, where they are not one and the same; "" where they are."""
    return "; ".join(shop.disagreements(job.design, job.shop))


def _with(job, choices, **materials):
    return job.with_design(job.design.replace(**materials)).replace(shop=choices)
