"""The letter as a page shows it: for what was accepted, for what is picked, or for what is in the price."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from estimating.models import Acceptance
from estimating.options import (
    BadChoice,
    Content,
    as_chosen,
    asked,
    choice_of,
    default_choice,
    has_options,
    picked_in,
    picked_names,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """`groups` to pick from, empty where nothing is left to pick; the names of what is `picked`; the `problem` with
    what was asked for, for whom it is shown to."""

    letter: dict[str, Any]
    groups: list[dict[str, Any]]
    picked: list[str]
    problem: str = ""


def shown_letter(request: HttpRequest, content: Content, acceptance: Acceptance | None) -> Shown:
    """The choice that was accepted; else the one that came with a form, or is picked in the query; else the default."""
    if acceptance:
        return _shown(content, acceptance.choice, open_=False)
    try:
        return _shown(content, _asked_for(request, content))
    except BadChoice as error:
        problem = "" if request.method == "POST" else str(error)  # a form says it itself
        return _shown(content, default_choice(content), problem=problem)


def _asked_for(request: HttpRequest, content: Content) -> str:
    if not has_options(content):
        return ""
    if request.method == "POST":
        return choice_of(content, picked_in(request.POST))
    picked = picked_in(request.GET)
    return choice_of(content, picked) if picked else default_choice(content)


def _shown(content: Content, choice: str, *, open_: bool = True, problem: str = "") -> Shown:
    return Shown(
        letter=as_chosen(content, choice),
        groups=asked(content, choice) if open_ else [],
        picked=picked_names(content, choice),
        problem=problem,
    )
