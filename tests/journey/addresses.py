"""Every address of the URLconf that can be looked at, with rows of the demo shop in the place of the keys."""

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.journey.demo import Demo

# At which stages the page of a job shows what it is for; the others are shown of the job that is being worked on.
STAGES = {
    "home:job": ["measuring", "pricing", "proposed", "working", "punch_list", "closed", "lost"],
    "jobs:edit": ["working", "lost"],
    "rooms:new": ["measuring", "working"],
    "rooms:upload": ["measuring", "working"],
    "estimating:estimate": ["measuring", "pricing", "proposed"],
    "estimating:line_new": ["pricing"],
    "estimating:options_new": ["pricing"],
    "inspections:punch_list": ["working", "punch_list"],
    "callbacks:close_out": ["working", "punch_list", "closed"],
    "callbacks:new": ["working", "closed"],
}
# Pages that show something else when asked.
ASKED = {
    "estimating:rate_own_new": ["?kind=material", "?kind=labor", "?kind=equipment"],
    "rooms:new": ["?shape=shower", "?shape=free", "?shape=fireplace"],
    "rooms:layout": ["?option=2"],
    "rooms:measure_sheet": ["?shape=floor"],
    "rooms:survey_new": ["?kind=studs", "?kind=wall", "?kind=floor", "?kind=bed"],
    "jobs:list": ["?stage=lost", "?q=nobody+of+this+name"],
    "callbacks:list": ["?show=all"],
    "home:week": ["?day=2031-07-04"],
}
# A client's link that opens nothing.
DEAD_LINK = "no-such-token-0000000000"


class Address(NamedTuple):
    name: str
    path: str


def addresses(demo: Demo) -> Iterator[Address]:
    """In the order of the URLconf. KeyError where one needs a row that the demo names no example of."""
    asked = ASKED | {"jobs:new": [f"?client={demo.examples['clients'][0]}"]}
    for name, route, parameters in _patterns(get_resolver().url_patterns):
        paths = [reverse(name, kwargs=values) for values in _examples(demo, name, route, parameters)]
        for path in [*paths, *(paths[0] + query for query in asked.get(name, []))]:
            yield Address(name, path)


def _patterns(patterns: list[Any], before: str = "", app: str = "") -> Iterator[tuple[str, str, list[str]]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _patterns(pattern.url_patterns, route, pattern.app_name or app)
        elif isinstance(pattern, URLPattern):
            yield f"{app}:{pattern.name}", route, list(pattern.pattern.converters)


def _examples(demo: Demo, name: str, route: str, parameters: list[str]) -> list[dict[str, Any]]:
    """What stands in the place of the route's one parameter, if it has one."""
    if not parameters:
        return [{}]
    [parameter] = parameters
    [word] = re.findall(r"([\w-]+)/<", route)
    of_jobs = [demo.jobs[stage] for stage in STAGES.get(name, ["working"])]
    keys = of_jobs if word == "jobs" else demo.examples[word]
    if name.startswith("estimating:client_change"):
        keys = demo.examples["p-change"]
    if name == "estimating:client_proposal":
        keys = [*keys, DEAD_LINK]
    return [{parameter: key} for key in keys]
