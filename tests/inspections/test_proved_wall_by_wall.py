"""What a setter proves wall by wall holds when every wall holds; one entry may speak for all of them.

Which checks are proved on each surface apart, and that curb, bench, jamb, sill and niche go with the face that they
stand in, is common practice, no source.
"""

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import NotProved, record_entry, sign_phase, waive_check
from inspections.models import Check, Entry, SignOff
from inspections.queries import CheckView, phase_view
from tests.factories import RoomFactory, SurfaceFactory
from tests.inspections.opening import open_phases_of
from tests.inspections.phones import phase_url, wait_for_states
from tests.inspections.proofs import key_on, prove, prove_and_sign, some_photo
from tests.inspections.test_signing import insert_sign_off

FLAT, LEANS = Decimal(0), Decimal(50)
WALLS = ["back", "left", "right"]


@pytest.fixture
def substrate(open_phases, installer):
    """The substrate's phase in its turn, proved but for plumb, which is proved on each of three walls."""
    prove_and_sign(open_phases[0], by=installer)
    prove(open_phases[1], by=installer, but=open_phases[1].checks.get(key="substrate.plumb"))
    return open_phases[1]


@pytest.fixture
def plumb(substrate) -> Check:
    return substrate.checks.get(key="substrate.plumb")


@pytest.fixture
def read(plumb, installer):
    """Enters a reading, or why there is none, for these walls; each a minute after the one before."""
    begun, made = timezone.now() - timedelta(hours=3), []

    def entered(value: Decimal | None, *walls: str, by=installer, seen=None) -> Entry:
        said = {"skipped": True, "note": "Tub in the way"} if value is None else {"values": [value]}
        made.append(
            record_entry(
                check=plumb,
                by=by,
                happened_at=begun + timedelta(minutes=len(made)),
                surfaces=walls,
                seen=str(seen.pk) if seen else "none",
                **said,
            )
        )
        return made[-1]

    return entered


def view_of(check: Check) -> CheckView:
    return next(view for view in phase_view(check.phase).checks if view.check == check)


def states(check: Check) -> dict[str, str]:
    return {place.key: place.state for place in view_of(check).places}


def insert_entry(check: Check, by, outcome: str, surfaces: object) -> None:
    """Past the action: straight into the table."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            """INSERT INTO inspections_entry (id, created_at, check_done_id, outcome, surfaces, "values", told, voids,
            limit_source, note, by_id, helper, happened_at, seen, late, payload_sha256, read_by, document,
            document_sha256)
            VALUES (%s, now(), %s, %s, %s, '[]', '{}', '[]', '', '', %s, '', now(), '', false, '', '', '', '')""",
            [uuid7(), check.pk, outcome, json.dumps(surfaces), by.pk],
        )


@pytest.mark.django_db
def test_a_phase_keeps_which_surfaces_its_checks_go_for(open_phases):
    found = {check.key: check.surfaces for check in Check.objects.filter(phase__in=open_phases)}
    assert found["substrate.plumb"] == [{"key": key, "name": key.capitalize(), "kind": "wall"} for key in WALLS]
    assert [surface["key"] for surface in found["setting.coverage"]] == [*WALLS, "pan"]
    apart = {key.split(".")[1] for key, surfaces in found.items() if surfaces}
    assert apart >= {"plumb", "plane", "board", "laps", "film", "lines", "coverage", "lippage"}
    # What is the room's, once.
    assert not apart & {"saw", "dust", "level", "depth", "fall", "drain", "curb", "use"}


@pytest.mark.django_db
def test_a_room_with_one_surface_tells_nothing_apart(floor_phases):
    assert all(check.surfaces == [] for check in Check.objects.filter(phase__in=floor_phases))


@pytest.mark.django_db
def test_small_faces_go_with_the_face_that_they_stand_in(job):
    room = RoomFactory(job=job)
    for place, kind in enumerate(("curb", "bench", "jamb", "sill", "niche", "ceiling")):
        SurfaceFactory(room=room, key=kind, name="", kind=kind, position=4 + place)
    plane = Check.objects.get(phase__in=open_phases_of(room), key="substrate.plane")
    assert [(each["key"], each["name"]) for each in plane.surfaces][3:] == [("ceiling", "ceiling")]


# What was entered in turn, and whether the phase may be signed.
CASES = {
    "nothing": ([], False),
    "all alike": ([(FLAT, [])], True),
    "all by name": ([(FLAT, WALLS)], True),
    "one by one": ([(FLAT, ["back"]), (FLAT, ["left"]), (FLAT, ["right"])], True),
    "one open": ([(FLAT, ["back"]), (FLAT, ["left"])], False),
    "one fails": ([(FLAT, []), (LEANS, ["left"])], False),
    "the rest holds": ([(LEANS, ["left"]), (FLAT, ["back", "right"])], False),
    "redone": ([(LEANS, ["left"]), (FLAT, ["back", "right"]), (FLAT, ["left"])], True),
    "all fail, one redone": ([(LEANS, []), (FLAT, ["left"])], False),
    "all over all": ([(LEANS, ["left"]), (FLAT, [])], True),
    "one can't be checked": ([(FLAT, []), (None, ["right"])], False),
}


@pytest.mark.django_db
@pytest.mark.parametrize(("entered", "signed"), CASES.values(), ids=CASES)
def test_it_is_signed_when_every_wall_holds_by_the_page_and_by_the_database(
    substrate, read, installer, entered, signed
):
    for value, walls in entered:
        read(value, *walls)
    assert phase_view(substrate).may_be_signed is signed
    if signed:
        insert_sign_off(substrate, installer)
        assert SignOff.objects.filter(phase=substrate).exists()
    else:
        with pytest.raises(IntegrityError, match="held by: Farthest out of plumb"):
            insert_sign_off(substrate, installer)
        with pytest.raises(NotProved):
            sign_phase(phase=substrate, by=installer, happened_at=timezone.now())


@pytest.mark.django_db
def test_the_reasons_name_the_walls(plumb, read):
    assert view_of(plumb).holds.endswith(": not checked yet")
    read(LEANS, "left")
    assert view_of(plumb).holds.endswith(": Back, Right: not checked yet; Left: failed")
    read(None, "right")
    assert "Right: couldn't be checked, because: Tub in the way" in view_of(plumb).holds
    read(LEANS)
    assert view_of(plumb).holds == f"{plumb.text}: failed"


@pytest.mark.django_db
def test_the_card_stands_by_the_worst_wall(plumb, read):
    failed = read(LEANS, "left")
    read(FLAT, "back", "right")
    view = view_of(plumb)
    assert (view.state, view.newest, states(plumb)) == (
        "fails",
        failed,
        {"back": "holds", "left": "fails", "right": "holds"},
    )


@pytest.mark.django_db
def test_a_surface_that_the_check_is_not_about_is_refused_also_by_the_database(plumb, read, installer):
    with pytest.raises(Refused, match="isn't about pan"):
        read(FLAT, "back", "pan")
    one = Check.objects.filter(phase=plumb.phase, surfaces=[]).first()
    with pytest.raises(Refused):
        record_entry(check=one, by=installer, happened_at=timezone.now(), ticked=True, surfaces=["back"])
    for check, forged in ((plumb, ["pan"]), (plumb, ["back", "pan"]), (plumb, "back"), (plumb, {}), (one, ["back"])):
        with pytest.raises(IntegrityError, match="not about this surface"):
            insert_entry(check, installer, "holds", forged)
    assert not plumb.entries.exists()
    insert_entry(plumb, installer, "holds", ["back"])
    insert_entry(plumb, installer, "holds", [])
    assert plumb.entries.count() == 2


@pytest.mark.django_db
def test_what_was_not_asked_for_holds_on_the_wall_where_it_fails(open_phases, installer):
    film = Check.objects.get(phase__in=open_phases, key="waterproofing.film")
    now = timezone.now()
    record_entry(check=film, by=installer, happened_at=now - timedelta(hours=1), ticked=True, surfaces=["back"])
    assert view_of(film).holds == ""
    record_entry(check=film, by=installer, happened_at=now, ticked=False, surfaces=["left"])
    assert view_of(film).holds.endswith("Left: failed")


@pytest.mark.django_db
def test_the_same_key_for_another_wall_is_something_else(plumb, installer):
    asked = {"check": plumb, "by": installer, "happened_at": timezone.now(), "values": [FLAT], "key": uuid7()}
    first = record_entry(**asked, surfaces=["left"])
    assert record_entry(**asked, surfaces=["left"]) == first
    with pytest.raises(KeyTaken):
        record_entry(**asked, surfaces=["right"])


@pytest.mark.django_db
def test_two_phones_disagree_about_a_wall_and_not_about_two(plumb, read, installer, owner):
    left = read(FLAT, "left")
    read(LEANS, "right", by=owner)
    assert view_of(plumb).unseen == ()
    read(LEANS, "left", by=owner)
    assert view_of(plumb).unseen == (left,)
    # Again on a card that shows both, about another wall: nothing is settled by that.
    last = plumb.entries.order_by("created_at").last()
    read(FLAT, "back", by=installer, seen=last)
    assert view_of(plumb).unseen == (left,)
    read(LEANS, "left", by=installer, seen=last)
    assert view_of(plumb).unseen == ()


@pytest.mark.django_db
def test_where_they_disagree_the_card_has_both_sides(plumb, read, owner):
    """It stands by what failed on two walls, while the other phone has one of them holding."""
    failed = read(LEANS)
    other = read(FLAT, "back", by=owner)
    view = view_of(plumb)
    assert (view.newest, view.unseen) == (failed, (other,))


@pytest.mark.django_db
def test_a_waiver_lets_all_walls_go(substrate, plumb, read, installer, owner):
    read(LEANS, "left")
    waive_check(check=plumb, reason="Old house, agreed with the owner", by=owner)
    assert set(states(plumb).values()) == {"waived"}
    insert_sign_off(substrate, installer)


@pytest.mark.django_db
def test_three_tiles_of_one_wall_speak_for_that_wall(open_phases, installer):
    """ANSI A108.5: three lifted tiles averaged, 95 percent in wet places."""
    check = Check.objects.get(phase__in=open_phases, key="setting.coverage")
    now = timezone.now()
    asked = {"check": check, "by": installer}
    with pytest.raises(Refused, match="at least 3"):
        record_entry(**asked, happened_at=now, values=[Decimal(98)] * 2, surfaces=["back"])
    record_entry(**asked, happened_at=now - timedelta(minutes=1), values=[Decimal(98)] * 3)
    record_entry(**asked, happened_at=now, values=[Decimal(98), Decimal(98), Decimal(80)], surfaces=["back"])
    assert states(check) == {"back": "fails", "left": "holds", "right": "holds", "pan": "holds"}


def checked(page, check: Check) -> list[str]:
    card = page.text.split(f'id="check-{check.pk}"')[1].split("</section>")[0]
    boxes = card.split('<input type="checkbox" name="surfaces" value="')[1:]
    return [box.split('"')[0] for box in boxes if box.split(">")[0].endswith(" checked")]


@pytest.mark.django_db
def test_the_card_offers_all_walls_then_the_rest_then_what_failed(as_installer, plumb):
    url, entry_url = phase_url("", plumb.phase), reverse("inspections:entry", args=[plumb.pk])

    def enter(**said):
        key = key_on(as_installer.get(url), f"id_{plumb.pk}_key")
        assert as_installer.post(entry_url, {"key": key, **said}).status_code == 302
        return as_installer.get(url)

    page = as_installer.get(url)
    assert "Same for all walls" in page.text
    assert "Same for all surfaces" in page.text
    assert checked(page, plumb) == []
    page = enter(value_0="2", surfaces=["left"])
    assert checked(page, plumb) == ["back", "right"]
    assert "Back: open · Left: fails · Right: open" in page.text
    page = enter(skip="1", note="Tub in the way", surfaces=["right"])
    assert checked(page, plumb) == ["back"]
    page = enter(tap="0", surfaces=["back"])
    assert checked(page, plumb) == ["left", "right"]
    assert "Back: holds · Left: fails · Right: couldn&#x27;t check" in page.text
    page = enter(value_0="0")
    assert checked(page, plumb) == []
    assert set(states(plumb).values()) == {"holds"}


@pytest.mark.django_db
def test_a_wall_that_is_none_is_said_on_the_card_and_nothing_is_lost(as_installer, plumb):
    key = key_on(as_installer.get(phase_url("", plumb.phase)), f"id_{plumb.pk}_key")
    said = {"key": key, "value_0": "1/16", "surfaces": ["left", "attic"]}
    page = as_installer.post(reverse("inspections:entry", args=[plumb.pk]), said)
    assert page.status_code == 422
    assert "This check isn&#x27;t about attic." in page.text
    assert 'value="1/16"' in page.text
    assert checked(page, plumb) == ["left"]
    assert not plumb.entries.exists()


@pytest.mark.django_db
def test_who_is_not_on_the_job_enters_nothing_for_a_wall(as_other_installer, plumb):
    said = {"key": uuid7(), "value_0": "0", "surfaces": ["left"]}
    assert as_other_installer.post(reverse("inspections:entry", args=[plumb.pk]), said).status_code == 404
    assert not plumb.entries.exists()


@pytest.mark.django_db
def test_the_page_costs_the_same_however_many_walls_were_entered(
    as_installer, plumb, read, owner, django_assert_max_num_queries
):
    read(FLAT)
    with django_assert_max_num_queries(16):
        as_installer.get(phase_url("", plumb.phase))
    for wall in WALLS * 3:
        read(LEANS, wall, by=owner)
    with django_assert_max_num_queries(16):
        as_installer.get(phase_url("", plumb.phase))


def test_without_signal_one_wall_fails_the_rest_hold_and_it_is_redone(own_database, substrate, web_server, phone):
    plumb = substrate.checks.get(key="substrate.plumb")
    phone.goto(phase_url(web_server, substrate))
    phone.context.set_offline(True)
    card = phone.locator(f"#check-{plumb.pk}")
    sign = phone.get_by_role("button", name="Sign off")
    tapped = card.locator("[name=surfaces]:checked")

    def enter(reading: str) -> None:
        card.get_by_label("Reading, inches").fill(reading)
        card.get_by_role("button", name="Enter", exact=True).click()

    card.get_by_label("Left", exact=True).check()
    enter("2")
    card.get_by_text("Left · 2 ·").wait_for()
    # Tapped by themselves: the walls that have no answer yet, then the one that failed.
    assert tapped.evaluate_all("all => all.map((box) => box.value)") == ["back", "right"]
    assert card.locator("[data-place=left] .is-fails").is_visible()
    card.get_by_role("button", name="0", exact=True).click()
    card.get_by_text("Back, Right · 0 ·").wait_for()
    assert tapped.evaluate_all("all => all.map((box) => box.value)") == ["left"]
    assert sign.get_attribute("aria-disabled") == "true"
    enter("1/16")
    card.get_by_text("Left · 1/16 ·").wait_for()
    assert tapped.count() == 0
    assert sign.get_attribute("aria-disabled") is None
    sign.click()
    wait_for_states(phone, *["waiting"] * 4)
    assert not plumb.entries.exists()
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, *["sent"] * 4)
    assert [(entry.surfaces, entry.outcome) for entry in plumb.entries.all()] == [
        (["left"], "fails"),
        (["back", "right"], "holds"),
        (["left"], "holds"),
    ]
    assert SignOff.objects.filter(phase=substrate).exists()


@pytest.mark.django_db
def test_a_photo_may_show_one_wall(open_phases, installer):
    blocking = Check.objects.get(phase__in=open_phases, key="rough_in.blocking")
    photo = some_photo(blocking.phase.room.job, installer)
    record_entry(check=blocking, by=installer, happened_at=timezone.now(), photo=photo, surfaces=["back"])
    assert states(blocking) == {"back": "holds", "left": "open", "right": "open"}
