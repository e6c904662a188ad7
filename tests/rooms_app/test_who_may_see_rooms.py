"""Rooms are seen by those who see their job; measured and chosen by owner and office."""

import pytest
from django.urls import reverse

from rooms.models import Room
from tests.rooms_app.files import one_wall

pytestmark = pytest.mark.django_db

LOOKING = ["rooms:detail", "rooms:sheet", "rooms:file"]
WORKING = ["rooms:edit", "rooms:layout"]
STARTING = ["rooms:new", "rooms:upload"]


@pytest.mark.parametrize("name", LOOKING)
@pytest.mark.parametrize(
    ("who", "status"), [("as_owner", 200), ("as_office", 200), ("as_installer", 200), ("as_other_installer", 404)]
)
def test_looking(request, room, name, who, status):
    assert request.getfixturevalue(who).get(reverse(name, args=[room.pk])).status_code == status


@pytest.mark.parametrize("name", WORKING + STARTING)
@pytest.mark.parametrize(
    ("who", "status"), [("as_owner", 200), ("as_office", 200), ("as_installer", 403), ("as_other_installer", 403)]
)
def test_working(request, room, job, name, who, status):
    address = reverse(name, args=[job.pk if name in STARTING else room.pk])
    browser = request.getfixturevalue(who)
    assert browser.get(address).status_code == status
    if status == 403:
        assert browser.post(address, {"save": "", "remove_room": "", "option": "1"}).status_code == 403
        assert Room.objects.filter(pk=room.pk).exists()


@pytest.mark.parametrize("name", LOOKING + WORKING + STARTING)
def test_nobody_is_sent_to_the_log_in(client, room, job, name):
    answer = client.get(reverse(name, args=[job.pk if name in STARTING else room.pk]))
    assert answer.status_code == 302
    assert reverse("shop:login") in answer.url


@pytest.mark.parametrize("name", LOOKING + WORKING + STARTING)
def test_what_is_not_there_is_not_found(as_owner, name):
    assert as_owner.get(reverse(name, args=["01939b2e-0000-7000-8000-000000000000"])).status_code == 404


def test_an_installer_who_left_the_crew_sees_it_no_longer(as_installer, room, job):
    from django.utils import timezone

    job.crew_members.update(left_at=timezone.now())
    assert as_installer.get(reverse("rooms:detail", args=[room.pk])).status_code == 404


def test_the_installers_page_leads_to_nothing_that_refuses(as_installer, room):
    text = as_installer.get(reverse("rooms:detail", args=[room.pk])).text
    for name in WORKING:
        assert reverse(name, args=[room.pk]) not in text


def test_looking_changes_nothing(as_owner, room):
    for name in LOOKING:
        assert as_owner.post(reverse(name, args=[room.pk])).status_code == 405


def test_the_file_can_be_taken_along_and_read_back(as_installer, as_owner, room, job):
    from django.core.files.uploadedfile import SimpleUploadedFile

    answer = as_installer.get(reverse("rooms:file", args=[room.pk]))
    assert answer["Content-Disposition"] == 'attachment; filename="shower.json"'
    upload = SimpleUploadedFile("shower.json", answer.content)
    assert as_owner.post(reverse("rooms:upload", args=[job.pk]), {"file": upload}).status_code == 302
    assert job.rooms.count() == 2


def test_names_with_markup_are_only_names(as_owner, job, owner):
    from rooms.actions import choose_layout, import_room

    evil = '<script>alert("x")</script>'
    data = one_wall(name=evil, tile={"width": 100, "height": 100, "thickness": 8, "name": evil})
    data["surfaces"][0] |= {
        "name": evil,
        "openings": [{"id": evil, "kind": evil, "outline": [[100, 100], [900, 100], [900, 400], [100, 400]]}],
    }
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    choose_layout(room=room, option=1, why=evil, by=owner)
    for name in LOOKING[:2] + WORKING:
        assert evil not in as_owner.get(reverse(name, args=[room.pk])).text
