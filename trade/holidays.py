"""Federal holidays of the United States, for days that are counted by them.  Dates.

5 USC 6103(a) as amended in 2021 (Juneteenth), from memory.  A holiday on a Saturday is observed on the Friday before,
one on a Sunday on the Monday after: seen in opm.gov/policy-data-oversight/pay-leave/federal-holidays/.
"""

from datetime import date, timedelta

MONDAY, THURSDAY = 0, 3
SATURDAY, SUNDAY = 5, 6


def federal_holidays(year: int) -> frozenset[date]:
    """Return the federal holidays of a year: the days themselves, and those on which they are observed instead.

    Both, so that days which a client has are rather counted one too many than one too few.  The day on which the next
    year's first is observed is among them where it falls into this year.
    """
    days = {
        date(year, 1, 1),
        _nth(year, 1, MONDAY, 3),
        _nth(year, 2, MONDAY, 3),
        _nth(year, 6, MONDAY, 1) - timedelta(days=7),
        date(year, 6, 19),
        date(year, 7, 4),
        _nth(year, 9, MONDAY, 1),
        _nth(year, 10, MONDAY, 2),
        date(year, 11, 11),
        _nth(year, 11, THURSDAY, 4),
        date(year, 12, 25),
    }
    observed = {_observed(day) for day in (*days, date(year + 1, 1, 1))}
    return frozenset(days | {day for day in observed if day.year == year})


def _nth(year: int, month: int, weekday: int, count: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (count - 1))


def _observed(day: date) -> date:
    return day + timedelta(days={SATURDAY: -1, SUNDAY: 1}.get(day.weekday(), 0))
