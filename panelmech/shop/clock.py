"""Clock times of the shop: how they are written, and where in a working day something fits.

Local and plain: no time zone, no change of clocks, English names whatever the machine's language.
"""

from __future__ import annotations

from datetime import datetime, timedelta

CLOCK = timedelta(minutes=5)  # starts are set to the next full five minutes
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def clock(moment: datetime) -> str:
    """`Wed 25 Nov 09:05`."""
    return f"{DAYS[moment.weekday()]} {moment.day} {MONTHS[moment.month - 1]} {moment:%H:%M}"


def next_clock(moment: datetime) -> datetime:
    """The next full five minutes."""
    over = (moment - datetime.min) % CLOCK
    return moment if not over else moment + CLOCK - over


def in_hours(moment: datetime, takes: timedelta, day: tuple):
    """First time from `moment` on at which something fits into a working day; None where no day is long enough."""
    opens, shuts = (datetime.combine(moment.date(), edge) for edge in day)
    if takes > shuts - opens:
        return None
    if moment < opens:
        return opens
    return moment if moment + takes <= shuts else opens + timedelta(days=1)
