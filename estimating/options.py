"""What a client may choose in a proposal, and the letter as it reads for a choice. Pure: reads frozen contents only.

A choice is one option of each group to pick one from, and any of the add-ons. Its key is the keys of its options,
sorted and joined by commas; "" where nothing is taken, or nothing is offered. Every choice was priced whole when the
proposal was frozen: no price is ever put together from differences.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import QueryDict
from django.utils.translation import gettext as _

from base.errors import Refused

Content = Mapping[str, Any]

MOST_TOLD = 12
"""Choices whose totals are told one by one on paper: more are no table that a person reads."""


MOST_STEPS_TOLD = 4
"""Payment steps whose amounts stand beside those totals: more are no table that fits a page."""


class BadChoice(Refused):
    """What was picked isn't offered so. The message is for whoever picked."""


def has_options(content: Content) -> bool:
    return bool(content.get("options"))


def default_choice(content: Content) -> str:
    """The key of what is in the price until something else is picked."""
    return str(content.get("chosen", ""))


def picked_in(data: QueryDict, *, prefix: str = "") -> list[str]:
    """The keys of the options that a form sent: each group's field is `pick-` and the group's key."""
    names = [name for name in data if name.startswith(f"{prefix}pick-")]
    return [option for name in names for option in data.getlist(name)]


def picks_query(data: QueryDict) -> str:
    """What a form sent of its picks, as a query that shows them again: with its question mark, or empty."""
    picks = [(name, option) for name in data if name.startswith("pick-") for option in data.getlist(name)]
    return f"?{urlencode(picks)}" if picks else ""


def key_of(options: Iterable[str]) -> str:
    return ",".join(sorted(options))


def choice_of(content: Content, picked: Iterable[str]) -> str:
    """The key of the choice of these options, by their keys.

    Raises BadChoice, which names the group, for none or several of a group to pick one from; for an option named
    twice, and for one that isn't offered here.
    """
    chosen = list(picked)
    counted = Counter(chosen)
    for group in content.get("options", []):
        counts = [counted.pop(option["key"], 0) for option in group["options"]]
        taken = sum(counts)
        if group["kind"] == "one" and not taken:
            raise BadChoice(_("%(group)s: pick one.") % {"group": group["name"]})
        if group["kind"] == "one" and taken > 1:
            raise BadChoice(_("%(group)s: pick only one.") % {"group": group["name"]})
        if max(counts, default=0) > 1:
            raise BadChoice(_("%(group)s: something is picked twice.") % {"group": group["name"]})
    if counted:
        raise BadChoice(_("Something was picked that this proposal doesn’t offer. Choose again."))
    return _known(content, key_of(chosen))


def _known(content: Content, choice: str) -> str:
    if choice != default_choice(content) and choice not in content.get("choices", {}):
        raise BadChoice(_("This proposal doesn’t offer that choice. Choose again."))
    return choice


def as_chosen(content: Content, choice: str) -> dict[str, Any]:
    """The content as it reads for a choice: its rooms, lines, tax, total, payments. Raises BadChoice."""
    if not has_options(content):
        return dict(content)
    other = content.get("choices", {}).get(_known(content, choice), {})
    known = {room["key"]: room for room in content["rooms"]} | content["option_rooms"]
    keys = other.get("rooms", [room["key"] for room in content["rooms"]])
    return {**content, **other, "rooms": [known[key] for key in keys], "chosen": choice}


def total_of(content: Content, choice: str) -> dict[str, str]:
    """`amount` and `shown` of the total of a choice. Raises BadChoice."""
    other = content.get("choices", {}).get(_known(content, choice), {})
    total: dict[str, str] = other.get("total", content["total"])
    return total


def check_shown(content: Content, choice: str, total: str) -> None:
    """Raises BadChoice where the choice and the total that somebody saw aren't one that was offered together."""
    if total_of(content, choice)["amount"] != total:
        raise BadChoice(
            _("The total on the page wasn’t that of your choice. Look at the total below, and accept again.")
        )


def asked(content: Content, choice: str) -> list[dict[str, Any]]:
    """The groups with their options, each with whether it is `picked`, and what it `offers`: its room."""
    keys = choice.split(",")
    return [
        {
            **group,
            "options": [
                {
                    **option,
                    "picked": option["key"] in keys,
                    "offers": content["option_rooms"][option["room"]],
                }
                for option in group["options"]
            ],
        }
        for group in content.get("options", [])
    ]


def _picked(content: Content, choice: str) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """The options of a choice, each after its group."""
    keys = choice.split(",")
    for group in content.get("options", []):
        yield from ((group, option) for option in group["options"] if option["key"] in keys)


def picked_names(content: Content, choice: str) -> list[str]:
    """What is chosen, in words: "Shower tile: Blue hexagon"."""
    return [
        _("%(group)s: %(option)s") % {"group": group["name"], "option": option["name"]}
        for group, option in _picked(content, choice)
    ]


def rooms_of(content: Content, choice: str) -> set[UUID]:
    """The keys of the rooms that the options of a choice stand for."""
    return {UUID(option["room"]) for _group, option in _picked(content, choice)}


def steps_told(content: Content) -> list[dict[str, str]]:
    """The payment steps that are told choice by choice: all, or the first where they are more than a table holds."""
    steps: list[dict[str, str]] = content["payments"]["steps"] if content.get("payments") else []
    return steps if len(steps) <= MOST_STEPS_TOLD else steps[:1]


def totals_told(content: Content) -> list[dict[str, Any]]:
    """Each choice by the names of its options, with its total as `shown` and what each of `steps_told` is of it as
    `dues`, the least first; none where they are more than a person reads."""
    choices = {default_choice(content), *content.get("choices", {})}
    if not has_options(content) or len(choices) > MOST_TOLD:
        return []
    totals = {choice: total_of(content, choice) for choice in choices}
    ordered = sorted(choices, key=lambda choice: (Decimal(totals[choice]["amount"]), choice))
    return [
        {
            "names": "; ".join(picked_names(content, choice)) or _("None of the options"),
            "shown": totals[choice]["shown"],
            "dues": [step["shown"] for step in steps_told(as_chosen(content, choice))],
        }
        for choice in ordered
    ]
