"""The owner's way with options, and where rooms that are no part of the job show."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import fill_estimate, offer_add_on, set_rate
from estimating.models import Option, OptionGroup
from rooms.models import Room, Standing
from tests.factories import RoomFactory, TileFactory

pytestmark = pytest.mark.django_db


def test_the_owner_offers_another_tile_and_an_add_on(estimate, laid_out, room, rates, owner, as_owner, as_office):
    page = reverse("estimating:estimate", args=[laid_out.pk])
    assert "The client can choose on the link" in as_owner.get(page).content.decode()
    tile = TileFactory(name="Gray 12 x 12", width=Decimal("304.8"), height=Decimal("304.8"))
    set_rate(key="tile", tile=tile, unit="piece", cost=Decimal("90.00"), package=Decimal(8), by=owner)
    new = reverse("estimating:options_new", args=[laid_out.pk])
    typed = {"another": "", "room": room.pk, "question": "Wall tile", "name": "", "other": "Gray", "tile": tile.pk}
    answer = as_owner.post(new, typed)
    assert answer.status_code == 422
    assert 'value="Wall tile"' in answer.content.decode()
    answer = as_owner.post(new, {**typed, "name": "White", "joint": "1/16"}, follow=True)
    text = answer.content.decode()
    assert "Shower, Gray is there, with the recommended layout" in text
    assert "not priced yet" in text
    copy = Room.objects.get(standing=Standing.OFFERED)
    assert (copy.tile, copy.joint) == (tile, Decimal("1.5875"))
    # The only room in the price can't be an add-on.
    answer = as_owner.post(new, {"add_on": "", "add-room": room.pk})
    assert answer.status_code == 422
    fill_estimate(job=laid_out, by=owner)
    other = Option.objects.get(room=copy)
    text = as_owner.get(page).content.decode()
    assert re.search(r"<b>\$[\d,.]+</b> <span class=\"soft\">[+\u2212]\$", text)
    assert "Smallest cut" in text
    assert "2 different choices" in text
    assert "Put this one in the price" not in as_office.get(page).content.decode()

    one = reverse("estimating:option", args=[other.pk])
    assert as_owner.post(one, {"save": "", "name": "Gray, large", "text": "Rectified"}).status_code == 302
    assert as_owner.post(one, {"save": "", "name": " "}).status_code == 422
    assert as_owner.post(one, {"price": ""}).status_code == 302
    assert Room.objects.get(pk=copy.pk).standing == Standing.IN
    assert as_owner.post(one, {"copy": "", "copy-other": "Two niches"}).status_code == 302
    assert Room.objects.filter(name="Shower, Two niches", tile=tile).exists()
    group = reverse("estimating:option_group", args=[other.group_id])
    assert as_owner.post(group, {"save": "", "name": "Tile"}).status_code == 302
    assert as_owner.post(group, {"remove": ""}).status_code == 302
    assert not OptionGroup.objects.exists()
    assert set(Room.objects.values_list("name", "standing")) == {
        ("Shower", "out"),
        ("Shower, Gray", "in"),
        ("Shower, Two niches", "out"),
    }


def test_a_room_that_is_no_part_of_the_job_shows_only_to_the_office(
    accepted, room, owner, as_owner, as_installer, installer
):
    """An offered room and one that wasn't taken: on the job page in their place, for the office; nowhere on a phone."""
    names = {Standing.OFFERED: "Offered bath", Standing.OUT: "Left bath"}
    rooms = {each: RoomFactory(job=accepted, name=name, standing=each, demolition=True) for each, name in names.items()}
    job = reverse("home:job", args=[accepted.pk])
    text = as_owner.get(job).content.decode()
    assert text.index("Offered as options") < text.index("Offered bath")
    assert "1 option that was not taken" in text
    assert not any(f'aria-label="{name}"' in text for name in names.values())
    for address in (
        job,
        reverse("home:today"),
        reverse("home:phone_day"),
        reverse("inspections:punch_list", args=[accepted.pk]),
        reverse("inspections:sort", args=[accepted.pk]),
    ):
        answer = as_installer.get(address)
        assert answer.status_code == 200
        text = answer.content.decode()
        assert not any(name in text for name in names.values()), address
        assert not any(str(each.pk) in text for each in rooms.values()), address
    for each in rooms.values():
        for page in ("rooms:detail", "rooms:sheet", "rooms:surveys", "rooms:file", "inspections:room"):
            assert as_installer.get(reverse(page, args=[each.pk])).status_code == 404
            assert as_owner.get(reverse(page, args=[each.pk])).status_code == 200
    from inspections.actions.starting import open_phases

    open_phases(accepted)
    assert not any(each.phases.exists() for each in rooms.values())
    assert room.phases.exists()


def test_the_estimate_asks_as_often_for_many_options_as_for_one(estimate, laid_out, room, owner, as_owner):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    page = reverse("estimating:estimate", args=[laid_out.pk])

    def asked() -> int:
        as_owner.get(page)
        with CaptureQueriesContext(connection) as captured:
            assert as_owner.get(page).status_code == 200
        return len(captured)

    offer_add_on(room=RoomFactory(job=laid_out, name="Nook", tile=room.tile), by=owner)
    one = asked()
    for number in range(3):
        offer_add_on(room=RoomFactory(job=laid_out, name=f"Niche {number}", tile=room.tile), by=owner)
    assert asked() == one
