"""Five tiles measured out of the box: what the page says at once, what is kept, and what the room takes over."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from base.keys import uuid7
from jobs.actions import move_job
from jobs.models import Stage
from rooms.actions import HasBoxReadings, choose_layout, remove_room
from rooms.models import BoxReading, Room, Tile
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.specification import specification_of
from rooms.tiles.worn import room_tile
from rooms.watching import known_of
from tests.factories import RoomFactory, SurfaceFactory, rectangle
from trade.lengths import inches

pytestmark = pytest.mark.django_db

HEIGHTS = ("23 5/8", "23 5/8", "23 5/8", "23 5/8", "23 5/8")


def page_of(room, tile=""):
    return reverse("rooms:box", args=[room.pk]) + (f"?tile={tile}" if tile else "")


def typed(*, widths=("11 13/16",) * 5, heights=HEIGHTS, bows=("0.5",) * 5, typed_in="in", **more):
    fields = {"typed_in": typed_in, **more}
    for side, values in (("width", widths), ("height", heights), ("bow", bows)):
        fields |= {f"{side}-{number}": value for number, value in enumerate(values)}
    return fields


def told(response):
    return {each.about: each for each in response.context["advice"]["is"].verdicts}


def test_a_spread_of_a_sixteenth_asks_for_three_sixteenths(as_office, job):
    # tileletter.com/what-is-minimum-grout-joint/ (A108.02-2017 4.3.8): a variation of 1/16 in, a joint of 3/16 in.
    room = RoomFactory(job=job, pattern="stack", share_of=None, share_in=None)
    heights = (*HEIGHTS[:4], "23 11/16")
    answer = as_office.post(page_of(room), typed(heights=heights))
    assert answer.context["advice"]["is"].sample.spread_mm == inches("1/16")
    joint = told(answer)["Joint"]
    assert joint.outcome == "fails"
    assert '3/16"' in joint.text
    assert "A108.02" in joint.source
    assert not BoxReading.objects.exists()


def test_an_offset_adds_the_bow_to_the_joint(as_office, room):
    # ctasc.com, grout head joint widths (A108.02 4.3.8.1): rectified, bow 1/32 in = 0.79375 mm, joint 5/32 in.
    answer = as_office.post(page_of(room), typed(bows=("0", "0", "-0.79375", "0", "0")))
    assert '5/32"' in told(answer)["Joint"].text
    assert told(answer)["Offset"].outcome == "holds"
    lippage = told(answer)["Lippage"]
    # Geometry: at a third 8/9 of the bow, 0.71 mm; allowed 1/32 in plus the bow (A108.02 4.3.7), 1/16 in.
    assert "(0.71 mm)" in lippage.text
    assert '1/16"' in lippage.text
    names = [name for name, _way in answer.context["advice"]["ways"]]
    assert names == ["offset by a third", "in a stack", "offset by half", "offset by a third"]
    assert "too large an offset" in answer.text


def test_calipers_read_in_tenths_of_a_millimeter(as_office, room):
    answer = as_office.post(
        page_of(room),
        typed(typed_in="mm", widths=("300.1", "300", "300.4", "300", "300.2"), heights=("600.1",) * 5),
    )
    sample = answer.context["advice"]["is"].sample
    assert (sample.spread_mm, sample.width_mm) == (Decimal("0.4"), Decimal("300.14"))


def test_readings_are_kept_beside_the_earlier_ones(as_installer, installer, room):
    for bow in ("0.4", "0.6"):
        answer = as_installer.post(page_of(room), typed(bows=(bow,) * 5, keep=""))
        assert answer.url == reverse("rooms:room_tiles", args=[room.pk])
    kept = list(BoxReading.objects.all())
    assert [each.pieces[0]["bow"] for each in kept] == ["0.6 mm", "0.4 mm"]
    assert {(each.by, each.tile_name) for each in kept} == {(installer, room.tile.name)}
    text = as_installer.get(answer.url).text
    assert text.count(str(installer)) >= 2
    assert Room.objects.get(pk=room.pk).more == {}


def test_a_form_sent_twice_is_kept_once(as_office, room):
    key = as_office.get(page_of(room)).context["key"]
    for _ in range(2):
        as_office.post(page_of(room), typed(keep="", key=key))
    assert BoxReading.objects.count() == 1
    again = as_office.post(page_of(room), typed(keep="", key=key, widths=("11 7/8",) * 5))
    assert again.status_code == 422
    assert "kept already" in again.text


def test_the_room_takes_size_spread_and_bow_and_no_other_room_does(as_office, owner, job):
    room = RoomFactory(job=job, walls=False)
    other = RoomFactory(job=job, walls=False, name="Twin", tile=room.tile)
    for each in (room, other):
        SurfaceFactory(room=each, key="back", outline=rectangle(Decimal(36), Decimal(60)))
    choose_layout(room=room, option=1, why="", by=owner)
    choose_layout(room=other, option=1, why="", by=owner)
    frozen = current_layout(room)
    widths = ("11 3/4", "11 13/16", "11 13/16", "11 13/16", "11 7/8")
    as_office.post(page_of(room), typed(widths=widths, bows=("0.5", "-0.7", "0", "0", "0"), take=""))
    mine, twin = room_with_parts(room), room_with_parts(other)
    tile = room_tile(mine)
    assert (tile.width, tile.height) == (inches("189/16"), inches("189/8"))
    assert (tile.size_spread, tile.warp) == (inches("1/8"), Decimal("0.7"))
    assert Tile.objects.get(pk=room.tile_id).size_spread is None
    assert room_tile(twin).warp is None
    # What was chosen stays as it was; the room that was measured asks for its layout again.
    assert current_layout(room).pk == frozen.pk
    assert current_layout(room).input == frozen.input
    assert (is_stale(mine, frozen), is_stale(twin, current_layout(other))) == (True, False)
    spec = specification_of(mine)
    assert (spec.warp_mm, known_of(mine, spec).size_spread_mm) == (Decimal("0.7"), inches("1/8"))
    # The price of the shop's tile still is the room's.
    assert mine.tile_id == room.tile_id


def test_what_was_taken_over_survives_the_rooms_own_page(as_office, room):
    from tests.rooms_app.pages import fields_of

    as_office.post(page_of(room), typed(bows=("0.7",) * 5, take=""))
    address = reverse("rooms:edit", args=[room.pk])
    answer = as_office.post(address, fields_of(as_office.get(address).text) | {"save": "", "room-name": "Renamed"})
    assert answer.status_code == 302
    kept = room_with_parts(room)
    assert (kept.name, room_tile(kept).warp) == ("Renamed", Decimal("0.7"))


def test_the_room_may_have_the_shops_figures_again(as_office, room):
    as_office.post(page_of(room), typed(bows=("0.7",) * 5, take=""))
    here = reverse("rooms:room_tiles", args=[room.pk])
    assert "As the shop’s list has it" in as_office.get(here).text
    as_office.post(reverse("rooms:room_tile", args=[room.pk]), {"refresh": ""})
    assert "tile" not in room_with_parts(room).more
    assert room_tile(room_with_parts(room)).warp is None
    assert "As the shop’s list has it" not in as_office.get(here).text


def test_an_installer_keeps_and_the_office_takes_over_later(as_installer, as_office, room):
    as_installer.post(page_of(room), typed(keep=""))
    reading = BoxReading.objects.get()
    assert as_installer.post(page_of(room), {"reading": reading.pk}).status_code == 403
    assert as_installer.post(page_of(room), typed(take="")).status_code == 403
    assert Room.objects.get(pk=room.pk).more == {}
    as_office.post(page_of(room), {"reading": reading.pk})
    assert room_tile(room_with_parts(room)).warp == Decimal("0.5")


def test_a_locked_room_keeps_the_readings_and_stays_as_it_is(as_office, room):
    type(room.job).objects.filter(pk=room.job_id).update(stage=Stage.LOST)
    assert "Take over into the room" not in as_office.get(page_of(room)).text
    answer = as_office.post(page_of(room), typed(take=""), follow=True)
    assert "Take it up again first" in answer.text
    assert BoxReading.objects.count() == 1
    assert Room.objects.get(pk=room.pk).more == {}


def test_three_tiles_are_kept_and_not_taken_over(as_office, room):
    few = typed(widths=("11 13/16",) * 3, heights=HEIGHTS[:3], bows=("0.5",) * 3)
    assert as_office.post(page_of(room), few).context["advice"]["is"].missing == 2
    answer = as_office.post(page_of(room), few | {"take": ""}, follow=True)
    assert "Measure five tiles" in answer.text
    assert BoxReading.objects.count() == 1
    assert Room.objects.get(pk=room.pk).more == {}


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"width-1": "wide"}, "can&#x27;t be read as a length"),
        ({"width-1": ""}, "Both sides of a tile count"),
        ({"height-2": "2.36"}, "Look at the number and its unit"),
        ({"width-3": "-11 13/16"}, "has to be more than 0"),
    ],
)
def test_what_cant_be_is_told_beside_it_and_nothing_typed_is_lost(as_office, room, changes, what):
    sent = typed(keep="") | changes
    answer = as_office.post(page_of(room), sent)
    assert answer.status_code == 422
    assert what in answer.text
    form = answer.context["form"]
    assert {name: form[name].value() for name in sent if name != "keep"} == {
        name: value for name, value in sent.items() if name != "keep"
    }
    assert not BoxReading.objects.exists()


def test_nobody_complains_while_somebody_types(as_office, room):
    answer = as_office.post(page_of(room), {"typed_in": "in", "width-0": "11 13/16"})
    assert (answer.status_code, answer.context["advice"]) == (200, None)
    half = as_office.post(page_of(room), typed() | {"height-4": "", "width-3": "11 13/"})
    assert half.context["advice"]["is"].missing == 2
    assert "Tile 4, width" in half.text


def test_who_isnt_on_the_job_finds_nothing(as_other_installer, room):
    assert as_other_installer.get(page_of(room)).status_code == 404
    assert as_other_installer.post(page_of(room), typed(keep="")).status_code == 404
    assert not BoxReading.objects.exists()


def test_a_reading_of_another_room_isnt_taken(as_office, room, job):
    other = RoomFactory(job=job, name="Twin")
    as_office.post(page_of(other), typed(keep=""))
    assert as_office.post(page_of(room), {"reading": BoxReading.objects.get().pk}).status_code == 404


def test_a_room_with_readings_stays(as_office, owner, room):
    as_office.post(page_of(room), typed(keep=""))
    with pytest.raises(HasBoxReadings):
        remove_room(room=room, by=owner)


def test_many_readings_take_no_more_queries(as_office, room):
    def count():
        with CaptureQueriesContext(connection) as queries:
            assert as_office.get(page_of(room)).status_code == 200
        return len(queries)

    as_office.post(page_of(room), typed(keep=""))
    count()
    few = count()
    for _ in range(5):
        as_office.post(page_of(room), typed(keep=""))
    assert count() == few


def sent(client, address, key=None, **more):
    """What the phone's queue sends."""
    key = key or uuid7()
    return client.post(address, typed(keep="", of="", key=str(key), **more), headers={"Phone-Item": str(key)})


def test_the_phones_queue_gets_a_receipt_and_one_row(as_installer, installer, room):
    key = uuid7()
    for _ in range(2):
        answer = sent(as_installer, page_of(room), key)
        assert (answer.status_code, answer.json()) == (200, {"kept": True, "id": str(key)})
    kept = BoxReading.objects.get()
    assert (kept.pk, kept.by) == (key, installer)
    assert sent(as_installer, page_of(room), key, bows=("0.7",) * 5).status_code == 409
    assert as_installer.post(
        reverse("home:phone_known"), {"keys": [str(key)]}, content_type="application/json"
    ).json() == {"missing": []}


def test_once_it_is_sent_the_page_says_what_the_newest_means(as_installer, room):
    # As above, A108.02-2017 4.3.8: a variation of 1/16 in asks for a joint of 3/16 in.
    sent(as_installer, page_of(room))
    sent(as_installer, page_of(room), heights=(*HEIGHTS[:4], "23 11/16"))
    page = as_installer.get(page_of(room))
    assert page.context["advice"]["is"].sample.spread_mm == inches("1/16")
    assert "What was kept last" in page.text


def test_what_the_queue_cannot_keep_says_why(as_installer, room):
    wrong = sent(as_installer, page_of(room), widths=("wide",) * 5)
    assert (wrong.status_code, list(wrong.json()["errors"])) == (422, [f"width-{n}" for n in range(5)])
    gone = as_installer.post(page_of(room), typed(keep="", of="Floor"), headers={"Phone-Item": str(uuid7())})
    assert gone.status_code == 422
    assert "no tile for Floor any more" in gone.text
    assert not BoxReading.objects.exists()


def test_what_the_office_takes_over_is_taken_over_once(as_office, as_installer, room):
    key = uuid7()
    send = {"key": str(key), "of": "", "take": ""}
    headers = {"Phone-Item": str(key)}
    assert as_installer.post(page_of(room), typed(**send), headers=headers).status_code == 403
    as_office.post(page_of(room), typed(**send), headers=headers)
    as_office.post(page_of(room), typed(bows=("0.9",) * 5, take=""))
    assert as_office.post(page_of(room), typed(**send), headers=headers).status_code == 200
    assert (BoxReading.objects.count(), room_tile(room_with_parts(room)).warp) == (2, Decimal("0.9"))


def test_the_day_takes_the_box_along(as_office, as_installer, owner, room, job):
    def later(client):
        return client.get(reverse("home:phone_day")).json()["later"]

    room.more["tiles"] = {"Floor": "2 in mosaic"}
    room.save()
    addresses = {page_of(room), page_of(room, "Floor"), reverse("rooms:room_tiles", args=[room.pk])}
    # The office's while it is measured, the installer's once it is worked on.
    assert addresses <= set(later(as_office))
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=job, to=stage, by=owner)
    assert addresses <= set(later(as_installer))
    room.more["tiles"] = {}
    room.save()
    for address in (page_of(room), reverse("rooms:room_tiles", args=[room.pk])):
        assert as_installer.get(address).headers["Phone-Keep"]


def test_nobody_elses_queue_is_taken(as_other_installer, room):
    assert sent(as_other_installer, page_of(room)).status_code == 404
    assert not BoxReading.objects.exists()
