"""Whatever a phone is told to take along answers as a page that it may keep: else it asks for it again for ever."""

import pytest
from django.urls import reverse

from rooms.actions import choose_layout, import_room
from tests.home.test_week import book_on
from tests.inspections.opening import open_phases_of
from tests.rooms_app.rough_ins import shower

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("visitor", ["as_owner", "as_office", "as_installer"])
def test_every_address_of_the_day_may_be_kept(visitor, request, job, owner, office, installer):
    room = import_room(job=job, data=shower(), place="shower", by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    open_phases_of(room)
    for person in (owner, office, installer):
        book_on(job, person, owner)
    client = request.getfixturevalue(visitor)
    day = client.get(reverse("home:phone_day")).json()
    assert reverse("rooms:rough_in", args=[room.pk]) in day["pages"]
    answers = {address: client.get(address) for address in (*day["pages"], *day["later"])}
    assert [address for address, answer in answers.items() if "Phone-Keep" not in answer.headers] == []
