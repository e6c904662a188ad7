"""The lists that settings choose from: currencies, time zones, languages with their regions."""

from functools import cache
from itertools import groupby
from zoneinfo import available_timezones

from django.conf import settings
from django.conf.locale import LANG_INFO

# ISO 4217 alphabetic codes of currencies in circulation, as listed by Debian's iso-codes 4.15; funds, metals and
# test codes left out.
# fmt: off
CURRENCIES = (
    "AED", "AFN", "ALL", "AMD", "ANG", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BGN", "BHD", "BIF",
    "BMD", "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF", "CLP", "CNY", "COP", "CRC",
    "CUP", "CVE", "CZK", "DJF", "DKK", "DOP", "DZD", "EGP", "ERN", "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS",
    "GIP", "GMD", "GNF", "GTQ", "GYD", "HKD", "HNL", "HTG", "HUF", "IDR", "ILS", "INR", "IQD", "IRR", "ISK", "JMD",
    "JOD", "JPY", "KES", "KGS", "KHR", "KMF", "KPW", "KRW", "KWD", "KYD", "KZT", "LAK", "LBP", "LKR", "LRD", "LSL",
    "LYD", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP", "MRU", "MUR", "MVR", "MWK", "MXN", "MYR", "MZN", "NAD",
    "NGN", "NIO", "NOK", "NPR", "NZD", "OMR", "PAB", "PEN", "PGK", "PHP", "PKR", "PLN", "PYG", "QAR", "RON", "RSD",
    "RUB", "RWF", "SAR", "SBD", "SCR", "SDG", "SEK", "SGD", "SHP", "SLE", "SOS", "SRD", "SSP", "STN", "SVC", "SYP",
    "SZL", "THB", "TJS", "TMT", "TND", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH", "UGX", "USD", "UYU", "UZS", "VED",
    "VES", "VND", "VUV", "WST", "XAF", "XCD", "XOF", "XPF", "YER", "ZAR", "ZMW", "ZWL",
)
# fmt: on


def currency_choices() -> list[tuple[str, str]]:
    return [(code, code) for code in CURRENCIES]


@cache
def time_zone_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """The zones that this machine knows, by area of the world: [("America", [("America/Boise", "Boise"), …]), …]."""
    areas = (
        "Africa",
        "America",
        "Antarctica",
        "Arctic",
        "Asia",
        "Atlantic",
        "Australia",
        "Europe",
        "Indian",
        "Pacific",
    )
    keys = sorted(key for key in available_timezones() if key.split("/")[0] in areas)
    grouped = groupby(keys, key=lambda key: key.split("/")[0])
    return [
        (area, [(key, key.split("/", 1)[1].replace("_", " ").replace("/", ", ")) for key in inside])
        for area, inside in grouped
    ]


@cache
def locale_choices() -> list[tuple[str, str]]:
    """The languages that the pages speak, each with the regions whose dates and numbers Django knows."""
    ours = {code for code, _ in settings.LANGUAGES}
    known = [(code, info["name_local"]) for code, info in LANG_INFO.items() if code.split("-")[0] in ours]
    return sorted([("en-us", "American English"), *((code, name) for code, name in known if code != "en")])
