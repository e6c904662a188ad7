"""Every page of the URLconf that can be looked at, with rows of the demo shop in the place of the keys."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.journey.conftest import DemoShop

# Which jobs show what the page is for; elsewhere the job that is being worked on does.
STAGES = {
    "home:job": ["measuring", "pricing", "proposed", "working", "punch_list", "closed", "lost"],
    "jobs:edit": ["working", "lost"],
    "rooms:new": ["measuring", "working"],
    "rooms:upload": ["measuring", "working"],
    "estimating:estimate": ["measuring", "pricing", "proposed"],
    "estimating:line_new": ["pricing"],
    "inspections:punch_list": ["working", "punch_list"],
    "callbacks:close_out": ["working", "punch_list", "closed"],
    "callbacks:new": ["working", "closed"],
}
# Pages that show more when asked.
ASKED = {
    "rooms:new": ["shape=shower", "shape=floor"],
    "rooms:layout": ["option=2"],
    "jobs:list": ["stage=lost", "q=nobody+of+this+name"],
    "callbacks:list": ["show=all"],
    "home:week": ["day=2031-07-04"],
}
# What is asked of the client page: a link that opens nothing.
DEAD_LINK = "no-such-token-0000000000"


@dataclass(frozen=True)
class Address:
    name: str
    path: str


def addresses(shop: DemoShop) -> list[Address]:
    """In the order of the URLconf. LookupError where an address needs a row that nobody picked."""
    found = []
    for name, route, parameters in _patterns(get_resolver().url_patterns):
        for value in _examples(shop, name, route, parameters):
            path = reverse(name, kwargs=value)
            found.append(Address(name, path))
            found += [Address(name, f"{path}?{query}") for query in ASKED.get(name, [])[: 1 if value else None]]
        if name == "rooms:new":
            found.append(Address(name, f"{path}?{ASKED[name][1]}"))
    [client] = shop.examples["clients"]
    found.append(Address("jobs:new", f"{reverse('jobs:new')}?client={client}"))
    return found


def _patterns(patterns, prefix: str = "", namespace: str = "") -> Iterator[tuple[str, str, list[str]]]:
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _patterns(pattern.url_patterns, route, f"{pattern.app_name or namespace}")
        elif isinstance(pattern, URLPattern):
            yield f"{namespace}:{pattern.name}", route, list(pattern.pattern.converters)


def _examples(shop: DemoShop, name: str, route: str, parameters: list[str]) -> list[dict[str, object]]:
    if not parameters:
        return [{}]
    [parameter] = parameters
    word = re.findall(r"([\w-]+)/<", route)[0]
    if word == "jobs":
        keys = [shop.jobs[stage][0] for stage in STAGES.get(name, ["working"])]
    elif word == "p" and name == "estimating:client_proposal":
        keys = [*shop.examples[word], DEAD_LINK]
    else:
        keys = shop.examples[word]
    return [{parameter: key} for key in keys]
