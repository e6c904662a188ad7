"""What a text may have filled in: {client}, {site}, {total} … One list; anything else in braces is refused."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

_BRACES = re.compile(r"\{([^{}\n]*)\}|[{}]")


class BadText(ValueError):
    """A text that can't be filled in: the message says where, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """`says`: what it stands for; `mend`: where its value is set, for whoever finds it missing; `example`: invented."""

    says: Promise
    mend: Promise
    example: str


_CLIENT = gettext_lazy("on the client’s page")
_SETTINGS = gettext_lazy("in the settings")
_ESTIMATE = gettext_lazy("on the estimate, with lines of labor")
_LIMITS = gettext_lazy("in the local limits of the site’s state or region")
_STEPS = gettext_lazy("in the payment steps, with one that is due at signing")

FIELDS: dict[str, Field] = {
    "client": Field(says=gettext_lazy("the client’s name"), mend=_CLIENT, example="Odalys Brandt"),
    "contact": Field(says=gettext_lazy("whom to speak to at a business"), mend=_CLIENT, example="Teo Brandt"),
    "site": Field(
        says=gettext_lazy("street and town"),
        mend=gettext_lazy("on the site’s page"),
        example="14 Quarry Lane, Millbrook",
    ),
    "job": Field(
        says=gettext_lazy("what the job is called"), mend=gettext_lazy("on the job’s page"), example="Upstairs bath"
    ),
    "number": Field(says=gettext_lazy("number and version"), mend=gettext_lazy("on the job’s page"), example="0147-1"),
    "total": Field(says=gettext_lazy("what the client pays"), mend=_ESTIMATE, example="$8,000.00"),
    "deposit": Field(says=gettext_lazy("what is due at signing"), mend=_STEPS, example="$800.00"),
    "days": Field(says=gettext_lazy("days of one person, from the hours of labor"), mend=_ESTIMATE, example="6"),
    "made_on": Field(says=gettext_lazy("the letter’s date"), mend=_SETTINGS, example="June 4, 2026"),
    "valid_until": Field(says=gettext_lazy("the last day of the price"), mend=_SETTINGS, example="July 4, 2026"),
    "warranty_months": Field(says=gettext_lazy("months of warranty"), mend=_SETTINGS, example="24"),
    "cancel_days": Field(says=gettext_lazy("business days in which to cancel"), mend=_LIMITS, example="3"),
    "cancel_until": Field(
        says=gettext_lazy("the last of them, if signed on the letter’s date"), mend=_LIMITS, example="June 8, 2026"
    ),
    "shop": Field(says=gettext_lazy("the shop’s name"), mend=_SETTINGS, example="Gauge & Rod Tile"),
    "phone": Field(says=gettext_lazy("the shop’s phone"), mend=_SETTINGS, example="555-0100"),
    "email": Field(says=gettext_lazy("the shop’s email"), mend=_SETTINGS, example="office@example.com"),
    "license": Field(says=gettext_lazy("license or registration"), mend=_SETTINGS, example="License 00000"),
}


BY_CHOICE = ("total", "deposit", "days")
"""What each choice of options fills in otherwise. A room's texts stand once for all choices, on paper too: they can't
name it where a client may choose."""


def named_by_choice(text: str) -> list[str]:
    """Those of BY_CHOICE that a text names, with their braces."""
    return [f"{{{name}}}" for name in BY_CHOICE if f"{{{name}}}" in text]


def examples() -> dict[str, str]:
    """A value for every field, invented: for a preview."""
    return {name: field.example for name, field in FIELDS.items()}


def check(text: str) -> None:
    """Raises BadText, with the line, for a field that there isn't and for a brace that belongs to none."""
    for number, line in enumerate(text.splitlines(), start=1):
        for found in _BRACES.finditer(line):
            name = found[1]
            if name is None:
                raise BadText(
                    _("Line %(line)s has a single “%(brace)s”. Fields are written like {client}; else leave it out.")
                    % {"line": number, "brace": found[0]}
                )
            if name not in FIELDS:
                raise BadText(
                    _("Line %(line)s: there is no field {%(name)s}. Take one of the list, or leave the braces out.")
                    % {"line": number, "name": name}
                )


def fill(text: str, values: Mapping[str, str]) -> str:
    """`text` with its fields filled in. Raises BadText for a field without a value, with where to set it."""
    check(text)
    for found in _BRACES.finditer(text):
        if not values.get(found[1]):
            raise BadText(
                _("{%(name)s} has no value for this job: set %(what)s %(where)s, or take the field out of the text.")
                % {"name": found[1], "what": FIELDS[found[1]].says, "where": FIELDS[found[1]].mend}
            )
    return _BRACES.sub(lambda found: values[found[1]], text)
