"""What a layout's findings say follows the shop's limits; a layout that was chosen keeps what it said."""

from decimal import Decimal

import pytest
from django.core.cache import cache
from django.urls import reverse

from rooms.actions import choose_layout, import_room
from rooms.apart import lay_out_apart
from rooms.laying import lay
from rooms.models import Layout
from shop.actions import set_limit
from tests.rooms_app.files import one_wall
from trade.shop_limits import OWN, ShopLimits

pytestmark = pytest.mark.django_db

OFFSET = "pattern.offset-at-most-a-third"


@pytest.fixture(autouse=True)
def nothing_remembered():
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def data():
    """Large tile at a third of its side: allowed by A108.02 4.3.8.2."""
    return one_wall(
        tile={"width": 600, "height": 300, "thickness": 8, "edge": "rectified", "size_spread": 0.2, "warp": 0.3},
        joint=4,
        pattern={"kind": "offset", "share": "1/3"},
    )


def rules(findings) -> list[str]:
    return [finding["rule"] for finding in findings]


def stricter(owner, *, seen=0, value="25"):
    set_limit(key="offset_percent", value=Decimal(value), reason="Bowed lots", seen=seen, by=owner)


def test_the_page_follows_and_what_was_chosen_stays(job, data, owner, as_owner):
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    kept = Layout.objects.filter(pk=chosen.pk).values().get()
    page = reverse("rooms:layout", args=[room.pk])
    assert "25 percent at most" not in as_owner.get(page).text
    stricter(owner)
    assert "25 percent at most" in as_owner.get(page).text
    assert OFFSET not in rules(kept["result"]["findings"])
    assert Layout.objects.filter(pk=chosen.pk).values().get() == kept


def test_chosen_again_under_another_limit_it_says_so_and_under_the_same_nothing_changes(job, data, owner):
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    first = choose_layout(room=room, option=1, why="", by=owner)
    assert choose_layout(room=room, option=1, why="", by=owner) == first
    stricter(owner)
    second = choose_layout(room=room, option=1, why="", by=owner)
    assert second != first
    told = next(finding for finding in second.result["findings"] if finding["rule"] == OFFSET)
    assert told["source"].startswith(OWN)
    assert choose_layout(room=room, option=1, why="", by=owner) == second


def test_what_is_remembered_is_of_the_limits_that_it_was_judged_by(data, owner):
    def found() -> bool:
        return OFFSET in [finding.rule for finding in lay(data).result.findings]

    assert not found()
    stricter(owner)
    assert found()
    stricter(owner, seen=1, value="30")
    assert found()
    stricter(owner, seen=2, value="40")
    assert not found()


def test_a_process_of_its_own_judges_by_the_same_limits(data):
    limits = ShopLimits.of({"offset_percent": Decimal(25)})
    assert OFFSET in [finding.rule for finding in lay_out_apart(data, option=1, limits=limits).findings]
    assert OFFSET not in [finding.rule for finding in lay_out_apart(data, option=1).findings]
