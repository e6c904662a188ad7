"""From a day and clock times to moments: midnight, and the two nights a year when the clocks change.

New York changes its clocks at 2:00 on the second Sunday of March (forward) and at 2:00 daylight time on the first
Sunday of November (back): 15 USC 260a(a). In 2027 these are March 14 and November 7.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from jobs.when import moments

DAY, FORWARD, BACK = date(2026, 12, 1), date(2027, 3, 14), date(2027, 11, 7)


@pytest.fixture(autouse=True)
def in_new_york():
    with timezone.override(ZoneInfo("America/New_York")):
        yield


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)


def refusal(**typed) -> set[str]:
    with pytest.raises(ValidationError) as refused:
        moments(**typed)
    return set(refused.value.message_dict)


def test_the_clocks_do_change_in_these_nights():
    """The premise: the offset from UTC is 5 h before and 4 h after the night in March, and the reverse in November."""
    zone = ZoneInfo("America/New_York")
    noon = {day: datetime.combine(day, time(12), zone).utcoffset() for day in (FORWARD, BACK)}
    eve = {day: datetime.combine(day - timedelta(days=1), time(12), zone).utcoffset() for day in (FORWARD, BACK)}
    assert (eve[FORWARD], noon[FORWARD]) == (timedelta(hours=-5), timedelta(hours=-4))
    assert (eve[BACK], noon[BACK]) == (timedelta(hours=-4), timedelta(hours=-5))


def test_a_plain_day():
    assert moments(day=DAY, starts=time(7, 30), ends=time(16)) == (utc(2026, 12, 1, 12, 30), utc(2026, 12, 1, 21))


@pytest.mark.parametrize("ends", [time(7, 29), time(7, 30)])
def test_an_end_that_is_not_after_the_start_is_refused(ends):
    assert refusal(day=DAY, starts=time(7, 30), ends=ends) == {"ends"}


def test_over_midnight_only_where_it_is_said():
    typed = {"day": DAY, "starts": time(22), "ends": time(4)}
    assert refusal(**typed) == {"ends"}
    assert moments(**typed, overnight=True) == (utc(2026, 12, 2, 3), utc(2026, 12, 2, 9))


def test_until_midnight_is_over_midnight():
    assert moments(day=DAY, starts=time(22), ends=time(0), overnight=True)[1] == utc(2026, 12, 2, 5)


@pytest.mark.parametrize("ends", [time(22), time(23)])
def test_a_night_of_a_day_or_more_is_refused(ends):
    assert refusal(day=DAY, starts=time(22), ends=ends, overnight=True) == {"overnight"}


def test_the_hour_that_is_skipped_in_spring_does_not_exist():
    assert refusal(day=FORWARD, starts=time(2, 30), ends=time(5)) == {"starts"}
    assert refusal(day=FORWARD, starts=time(1), ends=time(2)) == {"ends"}
    assert refusal(day=FORWARD - timedelta(days=1), starts=time(22), ends=time(2, 59), overnight=True) == {"ends"}


def test_the_night_that_is_an_hour_shorter_is_an_hour_shorter():
    starts, ends = moments(day=FORWARD - timedelta(days=1), starts=time(22), ends=time(6), overnight=True)
    assert ends - starts == timedelta(hours=7)
    assert moments(day=FORWARD, starts=time(3), ends=time(4))[0] == utc(2027, 3, 14, 7)


def test_of_the_hour_that_comes_twice_in_autumn_both_are_covered():
    starts, ends = moments(day=BACK, starts=time(1, 30), ends=time(1, 45))
    assert (starts, ends) == (utc(2027, 11, 7, 5, 30), utc(2027, 11, 7, 6, 45))
    starts, ends = moments(day=BACK - timedelta(days=1), starts=time(22), ends=time(6), overnight=True)
    assert ends - starts == timedelta(hours=9)


def test_days_at_the_ends_of_the_calendar_are_too_far_away():
    assert refusal(day=date.max, starts=time(23), ends=time(22), overnight=True) == {"day"}
    assert refusal(day=date.max, starts=time(20), ends=time(22)) == {"day"}  # already the next day in UTC
    with timezone.override(ZoneInfo("Pacific/Auckland")):
        assert refusal(day=date.min, starts=time(1), ends=time(2)) == {"day"}
