"""The office's navigation: by role, with the present page marked, and every address of it real."""

from types import SimpleNamespace

import pytest
from django.template import Context
from django.urls import reverse

from shop.templatetags.look import NAV, main_nav


def _names(role: str, **context: object) -> list[str]:
    request = SimpleNamespace(user=SimpleNamespace(role=role), resolver_match=context.pop("match", None))
    items = main_nav(Context({"request": request, **context}))["items"]
    return [f"[{item['name']}]" if item["here"] else str(item["name"]) for item in items]


def _match(view_name: str) -> SimpleNamespace:
    return SimpleNamespace(view_name=view_name, app_name=view_name.partition(":")[0])


@pytest.mark.parametrize("item", NAV, ids=lambda item: item.url)
def test_every_address_of_it_is_real(item) -> None:
    assert reverse(item.url).startswith("/")


def test_rates_settings_and_staff_are_the_owners() -> None:
    assert _names("owner") == ["Week", "Jobs", "Tiles", "Clients", "Callbacks", "Rates", "Settings", "Staff"]
    assert _names("office") == ["Week", "Jobs", "Tiles", "Clients", "Callbacks"]


@pytest.mark.parametrize(
    ("view_name", "here"),
    [
        ("home:week", "[Week]"),
        ("home:job", "[Jobs]"),
        ("jobs:list", "[Jobs]"),
        ("rooms:detail", "[Jobs]"),
        ("rooms:room_tiles", "[Jobs]"),
        ("rooms:tile_new", "[Tiles]"),
        ("estimating:estimate", "[Jobs]"),
        ("estimating:rates", "[Rates]"),
        ("estimating:rate_people", "[Rates]"),
        ("clients:detail", "[Clients]"),
        ("callbacks:detail", "[Callbacks]"),
        ("shop:settings", "[Settings]"),
        ("shop:staff_edit", "[Staff]"),
    ],
)
def test_the_present_page_is_marked_by_its_address(view_name: str, here: str) -> None:
    assert [name for name in _names("owner", match=_match(view_name)) if name.startswith("[")] == [here]


def test_a_view_may_say_where_it_belongs() -> None:
    assert "[Clients]" in _names("office", match=_match("jobs:new"), here="clients:list")


def test_nothing_is_marked_on_a_page_that_belongs_nowhere() -> None:
    assert _names("office", match=_match("documents:state")) == ["Week", "Jobs", "Tiles", "Clients", "Callbacks"]
