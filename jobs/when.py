"""A day and wall-clock times, as a clerk types them, as moments. In the current time zone: the shop's, in a request."""

from datetime import UTC, date, datetime, time, timedelta

from django.core.exceptions import ValidationError
from django.utils import formats, timezone
from django.utils.translation import gettext as _


def moments(*, day: date, starts: time, ends: time, overnight: bool = False) -> tuple[datetime, datetime]:
    """Start and end as aware moments in UTC; the end lies on the next day where `overnight`. Less than 24 hours apart.

    Of a time that the clocks pass twice in autumn, the start is the first and the end the second: the booking covers
    the work whichever was meant. Raises ValidationError for a time that the clocks skip in spring, for an end before
    its start, and for a night that would be longer than a day.
    """
    if overnight and ends >= starts:
        raise ValidationError(
            {
                "overnight": _(
                    "From %(from)s to the next day's %(to)s is a whole day or more: book each day by itself."
                )
                % {"from": formats.time_format(starts), "to": formats.time_format(ends)}
            }
        )
    if not overnight and ends <= starts:
        raise ValidationError(
            {
                "ends": _(
                    "The end is not after the start. If the work goes past midnight, tick that it ends the next day."
                )
            }
        )
    try:
        last_day = day + timedelta(days=1) if overnight else day
    except OverflowError:
        raise ValidationError({"day": _("This day is too far away.")}) from None
    return _moment(day, starts, fold=0, name="starts"), _moment(last_day, ends, fold=1, name="ends")


def _moment(day: date, at: time, *, fold: int, name: str) -> datetime:
    zone = timezone.get_current_timezone()
    wall = datetime.combine(day, at)
    try:
        moment = wall.replace(tzinfo=zone, fold=fold).astimezone(UTC)
    except OverflowError:
        raise ValidationError({"day": _("This day is too far away.")}) from None
    if moment.astimezone(zone).replace(tzinfo=None, fold=0) != wall:
        raise ValidationError(
            {
                name: _("%(time)s doesn't exist on %(day)s: the clocks go forward over it.")
                % {"time": formats.time_format(at), "day": formats.date_format(day)}
            }
        )
    return moment
