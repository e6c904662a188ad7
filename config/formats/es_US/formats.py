"""Dates and numbers of Spanish as it is written in the United States: numbers and the order of dates as in English
there. Django knows no such locale."""

from django.conf.locale.en.formats import (  # type: ignore[import-untyped]  # noqa: F401
    DATE_INPUT_FORMATS,
    DATETIME_INPUT_FORMATS,
    DECIMAL_SEPARATOR,
    FIRST_DAY_OF_WEEK,
    NUMBER_GROUPING,
    SHORT_DATE_FORMAT,
    SHORT_DATETIME_FORMAT,
    THOUSAND_SEPARATOR,
    TIME_FORMAT,
    TIME_INPUT_FORMATS,
)

DATE_FORMAT = r"j \d\e F \d\e Y"
DATETIME_FORMAT = r"j \d\e F \d\e Y, P"
YEAR_MONTH_FORMAT = r"F \d\e Y"
MONTH_DAY_FORMAT = r"j \d\e F"
