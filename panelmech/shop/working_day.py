"""Clock times of the shop: how they are written, and where in a working day something fits.

Local and plain: no time zone, no change of clocks, English names whatever the machine's language.
"""

from __future__ import annotations

from datetime import datetime, timedelta

CLOCK = timedelta(minutes=5)  # starts are set to the next full five minutes
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
# fmt: off
IN_FULL = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)
# fmt: on
PARTS = ((5, "early hours"), (12, "morning"), (14, "midday"), (18, "afternoon"), (22, "evening"), (24, "night"))


def clock(moment: datetime) -> str:
    """`Wed 25 Nov 09:05`."""
    return f"{DAYS[moment.weekday()]} {moment.day} {MONTHS[moment.month - 1]} {moment:%H:%M}"


def day_of(moment: datetime, first: datetime) -> int:
    """Which day of the work a moment falls on; that of `first` is day 1."""
    return (moment.date() - first.date()).days + 1


def part_of_day(moment: datetime) -> str:
    """`morning`, `midday` and so on."""
    return next(name for until, name in PARTS if moment.hour < until)


def date_words(moment: datetime) -> str:
    """`Wednesday 25 November 2026`."""
    return f"{WEEKDAYS[moment.weekday()]} {moment.day} {IN_FULL[moment.month - 1]} {moment.year}"


def shop_time(moment: datetime, first: datetime) -> str:
    """`morning of day 2, Tuesday 6 January 2026`."""
    return f"{part_of_day(moment)} of day {day_of(moment, first)}, {date_words(moment)}"


def next_clock(moment: datetime) -> datetime:
    """The next full five minutes."""
    over = (moment - datetime.min) % CLOCK
    return moment if not over else moment + CLOCK - over


def last_clock(moment: datetime) -> datetime:
    """The last full five minutes."""
    return moment - (moment - datetime.min) % CLOCK


def in_hours(moment: datetime, takes: timedelta, day: tuple):
    """First time from `moment` on at which something fits into a working day; None where no day is long enough."""
    opens, shuts = (datetime.combine(moment.date(), edge) for edge in day)
    if takes > shuts - opens:
        return None
    if moment < opens:
        return opens
    return moment if moment + takes <= shuts else opens + timedelta(days=1)
