"""The room's page says what to watch for: the gravest first, few sentences, each with its source."""

from decimal import Decimal

import pytest
from django.urls import reverse

from rooms.queries import room_with_parts
from rooms.watching import watch_list
from shop.actions import set_limit
from shop.queries import shop_limits
from tests.factories import RoomFactory, SurfaceFactory, TileFactory, rectangle
from trade.watch import MOST_SAID

pytestmark = pytest.mark.django_db


@pytest.fixture
def shower(job):
    """Old tile comes out of a house of 1931; 24 in tile in a half offset with a bow of 1 mm."""
    job.site.year_built = 1931
    job.site.save()
    tile = TileFactory(width=Decimal("304.8"), height=Decimal("609.6"), warp=Decimal(1), size_spread=Decimal("0.4"))
    room = RoomFactory(
        job=job, tile=tile, place="shower", demolition=True, pattern="offset", share_of=1, share_in=2, joint=Decimal(3)
    )
    SurfaceFactory(room=room, key="pan", kind="floor", position=2, outline=rectangle(Decimal(60), Decimal(36)))
    return room


def test_people_come_first_then_what_is_wrong_here(shower):
    found = watch_list(room_with_parts(shower), None, unit="in", limits=shop_limits())
    concerns = [each.concern for each in found]
    dangers = concerns.count("danger")
    assert set(concerns[:dangers]) == {"danger"}
    # A half offset of 24 in tile, and a joint too narrow for it, are this room's own faults.
    assert concerns[dangers] == "looks"
    assert "water" in concerns
    assert len(found) <= max(MOST_SAID, dangers)
    assert all(each.source for each in found)


def test_lengths_are_in_the_shops_units(shower):
    inches, metric = (
        watch_list(room_with_parts(shower), None, unit=unit, limits=shop_limits()) for unit in ("in", "mm")
    )
    assert any('"' in each.text for each in inches)
    assert not any('"' in each.text for each in metric)


def test_the_page_shows_it_with_the_sources(shower, as_installer, as_owner, installer):
    for client in (as_owner, as_installer):
        page = client.get(reverse("rooms:detail", args=[shower.pk]))
        assert page.status_code == 200
        assert b"Watch for" in page.content
        for each in page.context["watch"]:
            assert each.source


def test_the_shops_own_limit_decides(shower, owner):
    """ANSI A108.02 4.3.8.2: a side longer than 15 in is offset by a third at most."""

    def said() -> set[str]:
        return {each.source for each in watch_list(room_with_parts(shower), None, unit="in", limits=shop_limits())}

    before = said()
    assert any("4.3.8.2" in source for source in before)
    set_limit(key="offset_percent", value=Decimal(50), reason="Flat tile only", by=owner, seen=0)
    assert not any("4.3.8.2" in source for source in said())
