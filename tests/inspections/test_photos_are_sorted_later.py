"""A photo that was taken first is sorted later: to a check, which it proves as its card would, and a place."""

import io
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import Error, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import place_photo, record_entry, sign_phase, sort_photo
from inspections.actions.sorting import Spot
from inspections.models import Check, Entry, Phase, SignOff, Sorting
from inspections.queries import phase_view, photos_to_sort, unsorted_photos
from jobs.actions import keep_photo, put_on_crew
from jobs.models import Photo
from rooms.actions import remove_room
from rooms.models import Surface
from tests.factories import JobFactory, RoomFactory, SurfaceFactory
from tests.inspections.proofs import picture, prove, prove_and_sign, some_photo, upload

pytestmark = pytest.mark.django_db

INCH = Decimal("25.4")  # mm, exactly: the international yard and pound agreement of 1959


def loose(job, by, *, ago: timedelta = timedelta(0), caption: str = "", color: str = "gray") -> Photo:
    """A photo that was taken first."""
    then = timezone.now() - ago
    data = io.BytesIO(picture(color=color))
    return keep_photo(job=job, by=by, upload=data, happened_at=then, caption=caption, to_sort=True)


@pytest.fixture
def photo(open_phases, installer):
    return loose(open_phases[0].room.job, installer, ago=timedelta(hours=3))


@pytest.fixture
def back(open_phases):
    return Surface.objects.get(room=open_phases[0].room, key="back")


def photo_check(phases, *, nth: int = 0) -> Check:
    return Check.objects.filter(phase__in=phases, kind="photo").order_by("phase__position", "position")[nth]


def sort(photo, by, **more) -> Sorting:
    return sort_photo(photo=photo, by=by, happened_at=more.pop("at", timezone.now()), **more)


def state_of(check: Check) -> str:
    return next(view.state for view in phase_view(check.phase).checks if view.check.pk == check.pk)


def page_of(client, phase: Phase) -> str:
    return client.get(reverse("inspections:phase", args=[phase.pk])).content.decode()


# ---------------------------------------------------------------- what waits


def test_a_photo_without_a_check_waits_until_it_is_sorted(photo, installer):
    job = photo.job
    some_photo(job, installer)  # of a card: it never waits
    assert list(unsorted_photos()) == [photo]
    assert photos_to_sort([job]) == {job.pk: 1}
    sort(photo, installer)
    assert not unsorted_photos().exists()
    assert photos_to_sort([job]) == {}


# ---------------------------------------------------------------- what it proves


def test_sorted_to_a_check_that_a_photo_proves_it_proves_it_as_on_the_card(photo, open_phases, installer):
    check = photo_check(open_phases)
    assert state_of(check) == "open"
    sorting = sort(photo, installer, check=check)
    entry = check.entries.get()
    assert (entry.pk, entry.photo, entry.outcome, entry.by, entry.late) == (
        sorting.pk,
        photo,
        "holds",
        installer,
        False,
    )
    assert (sorting.room, sorting.late) == (check.phase.room, False)
    assert state_of(check) == "holds"


def test_with_it_the_phase_can_be_signed(photo, open_phases, installer):
    phase = next(phase for phase in open_phases if phase.checks.filter(kind="photo", required=True).exists())
    for before in open_phases[: open_phases.index(phase)]:
        prove_and_sign(before, by=installer)
    check = phase.checks.filter(kind="photo", required=True).first()
    prove(phase, by=installer, but=check)
    assert not phase_view(phase).may_be_signed
    sort(photo, installer, check=check)
    sign_phase(phase=phase, by=installer, happened_at=timezone.now())


def test_sorted_to_another_kind_of_check_it_shows_it_and_decides_nothing(photo, open_phases, installer):
    check = Check.objects.filter(phase__in=open_phases, kind="tick").first()
    sort(photo, installer, check=check)
    assert not Entry.objects.exists()
    assert state_of(check) == "open"


def test_sorted_away_it_proves_nothing_there_any_more_and_both_rows_stay(photo, open_phases, installer, office):
    first, second = photo_check(open_phases), photo_check(open_phases, nth=1)
    sort(photo, installer, check=first)
    sort(photo, office, check=second)
    assert (state_of(first), state_of(second)) == ("skipped", "holds")
    assert [entry.outcome for entry in first.entries.all()] == ["holds", "skipped"]
    assert [row.check_shown for row in photo.sortings.all()] == [first, second]
    sort(photo, installer, check=first)
    assert (state_of(first), state_of(second)) == ("holds", "skipped")


def test_what_another_photo_proves_stays_proved_when_one_is_sorted_away(photo, open_phases, installer):
    check, now = photo_check(open_phases), timezone.now()
    sort(photo, installer, check=check, at=now - timedelta(hours=1))
    record_entry(check=check, by=installer, happened_at=now, photo=some_photo(photo.job, installer))
    sort(photo, installer, room=check.phase.room)
    assert state_of(check) == "holds"


def test_a_new_place_on_the_same_check_enters_nothing_again(photo, open_phases, installer, back):
    check = photo_check(open_phases)
    sort(photo, installer, check=check)
    sort(photo, installer, check=check, spot=Spot(back, INCH * 10, INCH * 20))
    assert check.entries.count() == 1
    assert photo.sortings.count() == 2


def test_a_sorting_that_waited_on_a_phone_doesnt_overrule_a_later_one(photo, open_phases, installer, office):
    """Rui sorted at nine without signal, the office at ten; Rui's arrives at noon."""
    first, second = photo_check(open_phases), photo_check(open_phases, nth=1)
    now = timezone.now()
    sort(photo, office, check=second, at=now - timedelta(hours=2))
    sort(photo, installer, check=first, at=now - timedelta(hours=3))
    assert (state_of(first), state_of(second)) == ("open", "holds")
    assert photo.sortings.last().check_shown == second


# ---------------------------------------------------------------- what is signed


def test_after_the_sign_off_it_is_a_late_record_and_nothing_signed_changes(open_phases, installer, as_installer):
    phase = next(phase for phase in open_phases if phase.checks.filter(kind="photo").exists())
    for each in open_phases[: open_phases.index(phase) + 1]:
        prove_and_sign(each, by=installer)
    check = phase.checks.filter(kind="photo").first()
    signed = list(Entry.objects.order_by("pk").values())
    sign_offs = list(SignOff.objects.order_by("pk").values())
    sorting = sort(loose(phase.room.job, installer), installer, check=check)
    late = check.entries.get(pk=sorting.pk)
    assert (sorting.late, late.late, late.outcome) == (True, True, "holds")
    assert list(Entry.objects.exclude(pk=late.pk).order_by("pk").values()) == signed
    assert list(SignOff.objects.order_by("pk").values()) == sign_offs
    assert phase_view(phase).state == "signed"
    assert "after the sign-off" in page_of(as_installer, phase)


def test_a_photo_that_a_signed_phase_rests_on_is_sorted_away_without_unsigning_it(open_phases, installer):
    phase = next(phase for phase in open_phases if phase.checks.filter(kind="photo", required=True).exists())
    index = open_phases.index(phase)
    for each in open_phases[:index]:
        prove_and_sign(each, by=installer)
    check = phase.checks.filter(kind="photo", required=True).first()
    prove(phase, by=installer, but=check)
    photo = loose(phase.room.job, installer)
    sort(photo, installer, check=check)
    sign_phase(phase=phase, by=installer, happened_at=timezone.now())
    sort(photo, installer, room=phase.room)
    assert check.entries.count() == 1
    assert (state_of(check), phase_view(phase).state) == ("holds", "signed")
    # What comes next isn't held by it.
    assert not phase_view(open_phases[index + 1]).late


# ---------------------------------------------------------------- where


def test_a_place_is_kept_in_the_surfaces_own_coordinates(photo, open_phases, installer, as_office):
    """By arithmetic: a wall whose outline begins at (100, 200) mm; 30 1/2 in and 48 in from its lower left lie at
    100 + 774.7 and 200 + 1219.2 mm."""
    room = open_phases[0].room
    shifted = [[100, 200], [1624, 200], [1624, 2638], [100, 2638]]
    wall = SurfaceFactory(room=room, key="apart", name="Back wall", position=9, outline=shifted)
    check = Check.objects.filter(phase=open_phases[0]).first()
    sorting = sort(photo, installer, check=check, spot=Spot(wall, INCH * Decimal("30.5"), INCH * 48))
    sorting.refresh_from_db()
    assert (sorting.x, sorting.y) == (Decimal("874.7"), Decimal("1419.2"))
    page = page_of(as_office, open_phases[0])
    text = re.sub(r"<[^>]+>", "", page).replace("⁄", "/").replace("&quot;", '"')
    assert re.search(r'Back wall, 30\s*1/2" from the left, 48" up', text)


@pytest.mark.parametrize(("left", "bottom"), [(-1, 10), (60.1, 10), (10, 96.5), (10, -0.1)])
def test_a_place_off_the_surface_is_refused(photo, installer, open_phases, back, left, bottom):
    with pytest.raises(Refused, match="off the surface"):
        sort(photo, installer, room=back.room, spot=Spot(back, INCH * Decimal(left), INCH * Decimal(bottom)))
    assert not Sorting.objects.exists()


def test_the_corner_of_a_surface_is_a_place(photo, installer, open_phases, back):
    assert sort(photo, installer, room=back.room, spot=Spot(back, INCH * 60, INCH * 96)).x == INCH * 60


# ---------------------------------------------------------------- once, and by key


def test_the_same_key_is_the_same_sorting_and_another_content_is_refused(photo, open_phases, installer, office):
    check, key = photo_check(open_phases), uuid7()
    for _ in range(2):
        sort(photo, installer, check=check, key=key)
    assert photo.sortings.count() == check.entries.count() == 1
    for by, more in ((office, {"check": check}), (installer, {"room": check.phase.room})):
        with pytest.raises(KeyTaken):
            sort(photo, by, key=key, **more)
    with pytest.raises(KeyTaken):
        sort(loose(photo.job, installer), installer, key=key)


# ---------------------------------------------------------------- what the database refuses


@pytest.mark.parametrize("change", ["UPDATE inspections_sorting SET x = 1", "DELETE FROM inspections_sorting"])
def test_a_sorting_stays_as_it_is(photo, installer, open_phases, change):
    sort(photo, installer, room=open_phases[0].room)
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(change)
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_photo SET to_sort = false")


ROW = {"room_id": None, "check_shown_id": None, "surface": "", "surface_name": "", "x": None, "y": None}


def insert(photo, by, **values) -> bool:
    """What a hand would do past the actions; returns whether the row says that it is late."""
    row = {**ROW, "id": uuid7(), "photo_id": photo.pk, "by_id": by.pk, "happened_at": timezone.now(), "late": True}
    row |= values
    marks = ", ".join(["%s"] * len(row))
    with transaction.atomic(), connection.cursor() as cursor:
        sql = f"INSERT INTO inspections_sorting ({', '.join(row)}) VALUES ({marks}) RETURNING late"
        cursor.execute(sql, list(row.values()))
        return cursor.fetchone()[0]


def test_the_database_refuses_what_doesnt_belong_together(photo, installer, open_phases, back):
    room, elsewhere = open_phases[0].room, RoomFactory(job=JobFactory())
    beside = RoomFactory(job=room.job, name="Hall")
    check = photo_check(open_phases)
    wrong = [
        ("inspections_sorting_room_of_the_job", {"room_id": elsewhere.pk}),
        ("inspections_sorting_check_of_the_room", {"room_id": beside.pk, "check_shown_id": check.pk}),
        ("inspections_sorting_check_of_the_room", {"check_shown_id": check.pk}),
        ("inspections_sorting_surface_of_the_room", {"room_id": room.pk, "surface": "attic"}),
        ("inspections_sorting_surface_of_the_room", {"surface": "back"}),
        ("inspections_sorting_place_on_a_surface", {"room_id": room.pk, "x": 1, "y": 1}),
        ("inspections_sorting_place_on_a_surface", {"room_id": room.pk, "surface": "back", "x": 1}),
    ]
    for name, values in wrong:
        with pytest.raises(Error) as refused:
            insert(photo, installer, **values)
        assert refused.value.__cause__.diag.constraint_name == name, values
    # Whether it is late nobody says but the database.
    assert insert(photo, installer, room_id=room.pk, check_shown_id=check.pk, surface="back", x=1, y=1) is False


def test_the_actions_refuse_it_in_words(photo, installer, open_phases, back):
    elsewhere = RoomFactory(job=JobFactory())
    beside = RoomFactory(job=photo.job, name="Hall")
    check = photo_check(open_phases)
    for more in (
        {"room": elsewhere},
        {"room": beside, "check": check},
        {"check": check, "spot": Spot(elsewhere.surfaces.first())},
        {"spot": Spot(back)},
        {"room": back.room, "spot": Spot(back, INCH)},
    ):
        with pytest.raises(Refused):
            sort(photo, installer, **more)
    assert not Sorting.objects.exists()


def test_a_room_that_photos_were_sorted_to_isnt_removed(room, installer, owner):
    sort(loose(room.job, installer), installer, room=room)
    with pytest.raises(Refused, match="Photos were sorted"):
        remove_room(room=room, by=owner)


# ---------------------------------------------------------------- the card


def test_a_photo_taken_on_the_card_may_say_where(as_installer, open_phases, back):
    check, key = photo_check(open_phases), str(uuid7())
    place = {"surface": back.pk, "from_left": "30 1/2", "from_bottom": "48"}
    address = reverse("inspections:entry", args=[check.pk])
    for _ in range(2):
        headers = {"Phone-Item": key}
        assert as_installer.post(address, {"key": key, "photo": upload(), **place}, headers=headers).status_code == 200
    sorting = Sorting.objects.get()
    assert (str(sorting.pk), sorting.photo.entries.get().pk) == (key, sorting.pk)
    assert (sorting.x, sorting.y) == (Decimal("774.7"), Decimal("1219.2"))
    page = page_of(as_installer, check.phase)
    assert "Photos on the drawing: Back" in page
    assert page.count('class="photo-number"') == 1
    assert f'href="#check-{check.pk}"' in page


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ({"from_left": "10", "from_bottom": "10"}, "Choose the surface"),
        ({"surface": "back", "from_left": "10"}, "A place takes both"),
        ({"surface": "back", "from_left": "61", "from_bottom": "10"}, "off the surface"),
        ({"surface": "back", "from_left": "left", "from_bottom": "10"}, "left"),
        ({"surface": "stranger"}, "Choose one of the list"),
    ],
)
def test_a_wrong_place_is_said_on_the_card_and_nothing_is_kept(as_installer, open_phases, back, place, says):
    check = photo_check(open_phases)
    keys = {"back": back.pk, "stranger": SurfaceFactory(room=RoomFactory(job=JobFactory(), walls=False)).pk}
    place = place | ({"surface": keys[place["surface"]]} if "surface" in place else {})
    data = {"key": uuid7(), "photo": upload(), "note": "Left of the niche", **place}
    answer = as_installer.post(reverse("inspections:entry", args=[check.pk]), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert 'value="Left of the niche"' in page
    assert not Entry.objects.exists()


def test_a_place_without_a_photo_is_asked_for_its_photo(as_installer, open_phases, back):
    check = Check.objects.filter(phase__in=open_phases, kind="tick").first()
    data = {"key": uuid7(), "right": "1", "surface": back.pk}
    answer = as_installer.post(reverse("inspections:entry", args=[check.pk]), data)
    assert answer.status_code == 422
    assert "take the photo as well" in answer.content.decode()
    entry = record_entry(check=check, by=check.phase.room.job.crew.first(), happened_at=timezone.now(), ticked=True)
    with pytest.raises(Refused):
        place_photo(entry=entry, spot=Spot(back))


# ---------------------------------------------------------------- the page


def address(job) -> str:
    return reverse("inspections:sort", args=[job.pk])


def test_the_page_lists_what_waits_and_sorts_one(as_installer, photo, open_phases, back, installer):
    other = loose(photo.job, installer, caption="Shower")
    page = as_installer.get(address(photo.job)).content.decode()
    assert page.count('type="radio"') == 2
    assert "Rui Tavares" in page
    # Taken on the room's page, it is taken to be of the room.
    assert f'value="{other.pk}" data-room="{back.room_id}"' in page
    check = photo_check(open_phases)
    data = {"key": uuid7(), "photo": photo.pk, "room": back.room_id, "check": check.pk, "surface": back.pk}
    answer = as_installer.post(address(photo.job), data | {"from_left": "30 1/2", "from_bottom": '48"'})
    assert (answer.status_code, answer["Location"]) == (302, address(photo.job))
    sorting = Sorting.objects.get()
    assert (sorting.check_shown, sorting.room, sorting.surface, sorting.x) == (
        check,
        back.room,
        "back",
        Decimal("774.7"),
    )
    assert as_installer.get(address(photo.job)).content.decode().count('type="radio"') == 1


def test_the_phase_whose_turn_it_is_comes_first_and_the_signed_ones_last(as_installer, photo, open_phases, installer):
    prove_and_sign(open_phases[0], by=installer)
    page = as_installer.get(address(photo.job)).content.decode()
    groups = [label for label in re.findall(r'<optgroup label="([^"]+)"', page) if ":" in label]
    assert groups[0].endswith(f"{open_phases[1].name}, its turn")
    assert groups[-1].endswith(f"{open_phases[0].name}, signed")
    assert len(groups) == len(open_phases)


def test_a_photo_of_the_whole_job_needs_no_room(as_office, photo):
    answer = as_office.post(address(photo.job), {"key": uuid7(), "photo": photo.pk, "room": "job"})
    assert answer.status_code == 302
    assert Sorting.objects.get().room is None


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Say which room it shows"),
        ({"photo": ""}, "Choose the photo"),
        ({"photo": "stranger", "room": "job"}, "Choose the photo"),
        ({"room": "job", "check": "stranger"}, "Choose one of the list"),
        ({"room": "stranger"}, "Choose one of the list"),
        ({"room": "job", "check": "own"}, "another room"),
        ({"room": "job", "surface": "own", "from_left": "3", "from_bottom": "4"}, "another room"),
    ],
)
def test_what_cant_be_sorted_says_why_and_loses_nothing(as_installer, photo, open_phases, back, typed, says):
    strange = loose(JobFactory(), None)
    keys = {"photo": strange.pk, "check": uuid7(), "room": RoomFactory(job=strange.job).pk}
    own = {"check": photo_check(open_phases).pk, "surface": back.pk}
    typed = {"photo": photo.pk} | {
        name: {"stranger": keys.get(name), "own": own.get(name)}.get(value, value) for name, value in typed.items()
    }
    answer = as_installer.post(address(photo.job), {"key": uuid7(), "from_left": "3", "from_bottom": "4"} | typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert 'value="3"' in page
    assert not Sorting.objects.exists()


def test_the_phone_gets_a_receipt_once_and_a_refusal_that_it_can_read(as_installer, photo, open_phases):
    check, key = photo_check(open_phases), str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": "2026-11-25T10:00:00Z", "Phone-Version": "1"}
    for _ in range(2):
        data = {"key": key, "photo": photo.pk, "room": check.phase.room_id, "check": check.pk}
        assert as_installer.post(address(photo.job), data, headers=headers).json() == {"kept": True, "id": key}
    assert Sorting.objects.get().happened_at.hour == 10
    taken = as_installer.post(address(photo.job), data | {"check": "", "room": "job"}, headers=headers)
    assert (taken.status_code, taken.json()["kept"]) == (409, False)
    wrong = as_installer.post(address(photo.job), {"key": key, "photo": photo.pk}, headers=headers)
    assert (wrong.status_code, list(wrong.json()["errors"])) == (422, ["room"])
    known = as_installer.post(reverse("home:phone_known"), {"keys": [key]}, content_type="application/json")
    assert known.json() == {"missing": []}


def test_sorted_again_from_its_card_both_are_shown(as_installer, as_office, photo, open_phases, installer, back):
    first, second = photo_check(open_phases), photo_check(open_phases, nth=1)
    sort(photo, installer, check=first, spot=Spot(back, INCH * 10, INCH * 20))
    again = f"{address(photo.job)}?photo={photo.pk}"
    assert again.replace("&", "&amp;") in page_of(as_installer, first.phase)
    assert "checked" in as_installer.get(again).content.decode()
    answer = as_installer.post(again, {"key": uuid7(), "photo": photo.pk, "room": back.room_id, "check": second.pk})
    assert answer["Location"].endswith(f"#check-{second.pk}")
    before = page_of(as_office, first.phase)
    assert "Sorted elsewhere since" in before
    after = page_of(as_office, second.phase)
    assert "Before, sorted by Rui Tavares" in after
    assert first.text.split("'")[0] in after


def test_a_photo_beside_a_tick_stands_on_its_card(as_installer, photo, open_phases, installer):
    check = Check.objects.filter(phase__in=open_phases, kind="tick").first()
    sort(photo, installer, check=check)
    page = page_of(as_installer, check.phase)
    card = page[page.index(f'id="check-{check.pk}"') :].split("</section>")[0]
    assert reverse("jobs:photo", args=[photo.pk]) in card
    assert "sorted by Rui Tavares" in card


def test_an_installer_who_isnt_on_the_job_sees_and_sorts_nothing(
    as_other_installer, other_installer, photo, open_phases, installer
):
    key = uuid7()
    data = {"key": key, "photo": photo.pk, "room": "job"}
    assert as_other_installer.get(address(photo.job)).status_code == 404
    assert as_other_installer.post(address(photo.job), data).status_code == 404
    # Nor through a job of his own: neither photo, check nor surface of the other.
    own = RoomFactory(job=JobFactory()).job
    put_on_crew(job=own, person=other_installer, by=None)
    check, surface = photo_check(open_phases), open_phases[0].room.surfaces.first()
    for more in ({"photo": photo.pk, "room": "job"}, {"check": check.pk}, {"surface": surface.pk}):
        mine = loose(own, other_installer)
        data = {"key": uuid7(), "photo": mine.pk, "room": own.rooms.get().pk} | more
        answer = as_other_installer.post(address(own), data)
        assert answer.status_code == 422
    assert str(photo.pk) not in as_other_installer.get(f"{address(own)}?photo={photo.pk}").content.decode()
    assert not Sorting.objects.exists()


def test_the_pages_take_as_many_queries_for_many_photos(as_installer, as_office, photo, open_phases, installer, back):
    job, check = photo.job, photo_check(open_phases)
    pages = [
        (as_installer, address(job)),
        (as_installer, reverse("inspections:phase", args=[check.phase_id])),
        (as_installer, reverse("home:today")),
        (as_installer, reverse("home:job", args=[job.pk])),
        (as_office, reverse("home:week")),
    ]

    def counted() -> list[int]:
        found = []
        for client, page in pages:
            client.get(page)
            with CaptureQueriesContext(connection) as queries:
                assert client.get(page).status_code == 200
            found.append(len(queries))
        return found

    sort(loose(job, installer), installer, check=check, spot=Spot(back, INCH, INCH))
    few = counted()
    for n in range(6):
        loose(job, installer)
        again = loose(job, installer)
        sort(again, installer, room=back.room)
        sort(again, installer, check=check, spot=Spot(back, INCH * n, INCH * n))
    assert counted() == few


def test_the_way_there_is_shown_where_photos_wait_and_only_there(as_installer, as_office, photo, installer):
    job = photo.job
    room = job.rooms.first()
    pages = [
        (as_installer, reverse("home:today")),
        (as_installer, reverse("home:job", args=[job.pk])),
        (as_installer, reverse("inspections:room", args=[room.pk])),
        (as_office, reverse("home:job", args=[job.pk])),
        (as_office, reverse("home:week")),
    ]
    for client, page in pages:
        assert address(job) + '"><span>' in client.get(page).content.decode(), page
    assert "1 photo waits" in as_office.get(reverse("home:week")).content.decode()
    sort(photo, installer)
    for client, page in pages:
        assert address(job) + '"><span>' not in client.get(page).content.decode(), page
    empty = as_installer.get(address(job)).content.decode()
    assert "No photo to sort" in empty
    assert "Take a photo" in empty
