"""What a client may choose, as a frozen proposal has it: every choice with what it says otherwise than the one in the
price. Pure."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.choices import Choice, Offer
from estimating.letterhead import amount
from estimating.models import Option
from shop.templatetags.look import money

Said = Callable[[Choice], tuple[dict[str, Any], dict[str, str]]]


def all_choices(
    offer: Offer, *, said: Said, offered: Callable[[UUID, Mapping[str, str]], dict[str, Any]]
) -> dict[str, Any]:
    """The letter of the choice that is in the price, with `rooms`; and, where there are options, with `options`,
    `option_rooms`, `choices` and `chosen`.

    `said` gives a choice's letter without its rooms and the values of its texts, `offered` a room of that key. Raises
    what they raise, a ValueError with the choice that it is about.
    """
    standing, *others = offer.choices()
    letter, values = said(standing)
    if not offer.options:
        return {**letter, "rooms": [offered(pk, values) for pk in offer.rooms]}
    rooms = {str(pk): {**offered(pk, values), "key": str(pk)} for pk in offer.rooms}
    letters = {standing.key: letter, **{choice.key: _said(choice, said) for choice in others}}
    choices = [standing, *others]
    in_an_option = {str(option.room_id) for option in offer.options}
    return {
        **letter,
        "rooms": [rooms[str(pk)] for pk in offer.rooms_in(standing)],
        "option_rooms": {key: room for key, room in rooms.items() if key in in_an_option},
        "options": _options(offer, standing, letters),
        "choices": {
            choice.key: {
                **{key: value for key, value in letters[choice.key].items() if value != letter[key]},
                "rooms": [str(pk) for pk in offer.rooms_in(choice)],
            }
            for choice in choices
        },
        "chosen": standing.key,
    }


def _said(choice: Choice, said: Said) -> dict[str, Any]:
    try:
        return said(choice)[0]
    except ValueError as error:
        words = {"choice": choice.name, "why": error}
        raise ValueError(_("If the client chooses %(choice)s: %(why)s") % words) from error


def _options(offer: Offer, standing: Choice, letters: Mapping[str, Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The groups as a client reads them; an option's difference is that of the total with just this one picked."""

    def one(option: Option) -> dict[str, Any]:
        picked = standing.with_option(option)
        return {
            "key": str(option.pk),
            "name": option.name,
            "text": option.text,
            "included": picked.key == standing.key,
            "room": str(option.room_id),
            "difference": difference(_total(letters[picked.key]) - _total(letters[standing.key])),
        }

    return [
        {
            "key": str(group.pk),
            "name": group.name,
            "kind": group.kind,
            "options": [one(option) for option in group.options.all()],
        }
        for group in offer.groups
    ]


def _total(letter: Mapping[str, Any]) -> Decimal:
    return Decimal(letter["total"]["amount"])


def difference(value: Decimal) -> dict[str, str]:
    """A difference of two totals: signed, and as a person reads it."""
    if not value:
        return {**amount(value), "shown": _("no difference")}
    sign = "+" if value > 0 else "\N{MINUS SIGN}"
    return {**amount(value), "shown": f"{sign}{money(abs(value))}"}
