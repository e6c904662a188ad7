"""The phone: what is ticked, read and photographed, kept as it was typed where it can't be taken."""

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from base.keys import uuid7
from inspections.actions import close_out
from inspections.judging import outcome_of
from inspections.models import Check, Entry, SignOff, Waiver
from inspections.templatetags.checks import allowed
from jobs.models import Photo
from shop.models import ShopSettings
from tests.inspections.proofs import come_to, key_on, prove, prove_and_sign, upload
from trade.lengths import parse_length
from trade.limits import Limit

pytestmark = pytest.mark.django_db


def check_of(phases, kind: str, unit: str = "") -> Check:
    checks = Check.objects.filter(phase__in=phases, kind=kind)
    return (checks.filter(unit=unit) if unit else checks).order_by("phase__position", "position").first()


def enter(client, check, **data):
    data.setdefault("key", str(uuid7()))
    return client.post(reverse("inspections:entry", args=[check.pk]), data)


def test_a_tick_holds_and_a_no_fails(as_installer, open_phases):
    check = check_of(open_phases, "tick")
    response = enter(as_installer, check, right="1")
    assert response.status_code == 302
    assert response["Location"].endswith(f"#check-{check.pk}")
    enter(as_installer, check, wrong="1", note="Valve stands 1/2 in deep")
    assert [entry.outcome for entry in check.entries.all()] == ["holds", "fails"]
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert "Valve stands 1/2 in deep" in page
    assert check.help.split(".")[0] in page.replace("&#x27;", "'")


@pytest.mark.parametrize(
    ("typed", "mm", "outcome"),
    [
        # 3/32 in lies inside 1/8 in; 3/16 in doesn't: ANSI A108.02 4.2.2, tile with an edge of 15 in or more.
        ("3/32", "2.381250", "holds"),
        ("1/8", "3.175000", "holds"),
        ('3/16"', "4.762500", "fails"),
        ("4 mm", "4.000000", "fails"),
    ],
)
def test_a_reading_is_judged_by_the_limit_of_the_tile(as_installer, open_phases, typed, mm, outcome):
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    enter(as_installer, check, value_0=typed)
    entry = check.entries.get()
    assert (entry.values, entry.outcome) == ([mm], outcome)


def test_a_key_of_the_keypad_is_a_reading(as_installer, open_phases):
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    enter(as_installer, check, value_0="", tap="1/16")
    assert check.entries.get().values == ["1.587500"]


@pytest.mark.parametrize(
    ("key", "typed"),
    [("slope.fall", "1e-99999999 %"), ("setting.coverage", "1e-99999999"), ("substrate.plane", "1e-99999999")],
)
def test_a_number_without_end_is_refused_at_once(as_installer, open_phases, key, typed):
    """Its exponent stands for more digits than a machine can hold."""
    check = Check.objects.get(phase__in=open_phases, key=key)
    fields = {f"value_{number}": typed for number in range(3)}
    assert enter(as_installer, check, **fields).status_code == 422
    assert not check.entries.exists()


@pytest.mark.parametrize("typed", ["", "about a hair", "1/0", "nan", "-", "9" * 41, "-1/8", "9" * 39])
def test_what_cannot_be_read_stays_on_the_card(as_installer, open_phases, typed):
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    response = enter(as_installer, check, value_0=typed, note="by the window")
    page = response.content.decode()
    assert response.status_code == 422
    assert 'value="by the window"' in page
    assert 'role="alert"' in page
    assert not check.entries.exists()


def test_every_bound_that_a_card_states_holds_when_it_is_read(open_phases):
    """A third of a joint is no fraction of a tape: rounded up, the card would allow what then fails."""
    seen = 0
    for units in ("in", "mm"):
        ShopSettings.objects.update_or_create(pk=1, defaults={"units": units})
        for check in Check.objects.filter(phase__in=open_phases, unit="mm"):
            shown = re.sub(r"<[^>]+>", "", str(allowed(check, Limit.from_json(check.limit))))
            for bound in re.findall(r"[\d' /.]+(?:\"| mm)", html.unescape(shown)):
                read = parse_length(bound.strip(), unit=units)
                assert outcome_of(check, values=[read] * check.limit["count"]) == "holds", (check.key, bound)
                seen += 1
    assert seen > 12


def test_a_reading_in_the_wrong_unit_of_the_shop_is_shown_as_it_was_typed(as_installer, open_phases):
    """3.3 mm is beyond 1/8 in (3.175 mm) but would be rounded to it: the card would contradict itself."""
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    enter(as_installer, check, value_0="3.3 mm")
    assert check.entries.get().outcome == "fails"
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert "3.3 mm" in page


@pytest.mark.parametrize(
    ("tiles", "outcome"),
    [
        # The mean of three lifted tiles: 95.0 passes a wet place, 94.67 fails (ANSI A108.5 3.3.2, arithmetic).
        (("96", "94", "95"), "holds"),
        (("96", "94", "94"), "fails"),
    ],
)
def test_coverage_is_the_mean_of_three_lifted_tiles(as_installer, open_phases, tiles, outcome):
    check = check_of(open_phases, "coverage")
    enter(as_installer, check, **{f"value_{number}": value for number, value in enumerate(tiles)})
    assert check.entries.get().outcome == outcome


def test_two_tiles_lifted_are_too_few(as_installer, open_phases):
    check = check_of(open_phases, "coverage")
    response = enter(as_installer, check, value_0="96", value_1="97", value_2="")
    assert response.status_code == 422
    assert 'value="97"' in response.content.decode()


@pytest.mark.parametrize(
    ("typed", "by", "percent", "outcome", "told"),
    [
        # A 2-ft level has 24 in: 1/2 in on it is 1/4 in per ft, the code's least slope of a shower (IRC P2709.1).
        ("1/2", "in", "2.0833", "holds", "</span>&quot; on a 2-ft level (2.08 %)"),
        ("1/4", "in", "1.0417", "fails", "on a 2-ft level (1.04 %)"),
        ("2", "percent", "2", "holds", "read: 2 %"),
        ("2 %", "in", "2", "holds", "read: 2 %"),
    ],
)
def test_a_slope_is_read_on_a_2_ft_level_or_in_percent(as_installer, open_phases, typed, by, percent, outcome, told):
    check = Check.objects.get(phase__in=open_phases, key="slope.fall")
    enter(as_installer, check, value_0=typed, value_1=typed, read_by=by)
    entry = check.entries.get()
    assert {Decimal(value) for value in entry.values} == {Decimal(percent)}
    assert (entry.outcome, entry.read_by) == (outcome, "percent" if "2 %" in (typed, told[6:]) else by)
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert told in page


def test_a_slope_asks_first_what_it_is_read_in(as_installer, open_phases):
    check = Check.objects.get(phase__in=open_phases, key="slope.fall")
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    card = page.split(f'id="check-{check.pk}"')[1].split("</section>")[0]
    assert re.search(r'type="radio" name="read_by" value="in"[^>]*checked', card)
    assert 'name="read_by" value="percent"' in card
    # What is refused comes back with the choice that was made.
    page = enter(as_installer, check, value_0="1/4", value_1="1/4", read_by="percent").content.decode()
    assert re.search(r'type="radio" name="read_by" value="percent"[^>]*checked', page)
    assert not check.entries.exists()


@pytest.mark.parametrize(("typed", "percent"), [("1/4", "2.0833"), ("2 %", "2"), ("3/8", "3.1250")])
def test_a_page_from_before_the_choice_tells_a_slope_per_foot(as_installer, open_phases, typed, percent):
    check = Check.objects.get(phase__in=open_phases, key="slope.fall")
    enter(as_installer, check, value_0=typed, value_1="1/4")
    assert Decimal(check.entries.get().values[0]) == Decimal(percent)
    assert check.entries.get().outcome == "holds"


def test_a_photo_is_what_a_photo_check_asks_for(as_installer, open_phases):
    check = check_of(open_phases, "photo")
    assert enter(as_installer, check).status_code == 422
    assert enter(as_installer, check, photo=upload()).status_code == 302
    entry = check.entries.get()
    assert entry.outcome == "holds"
    assert entry.photo.job_id == check.phase.room.job_id


def test_a_file_that_is_no_picture_is_refused_with_words(as_installer, open_phases):
    check = check_of(open_phases, "photo")
    response = enter(as_installer, check, photo=SimpleUploadedFile("x.jpg", b"not a picture", "image/jpeg"))
    assert response.status_code == 422
    assert not Entry.objects.exists()


def test_what_could_not_be_checked_needs_a_reason_and_still_holds(as_installer, open_phases):
    check = check_of(open_phases, "tick")
    assert enter(as_installer, check, skip="1").status_code == 422
    assert enter(as_installer, check, skip="1", note="Plumber is still at it").status_code == 302
    assert check.entries.get().outcome == "skipped"
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert "Plumber is still at it" in page


def test_a_form_sent_twice_counts_once(as_installer, open_phases):
    check, key = check_of(open_phases, "tick"), str(uuid7())
    for _ in range(2):
        assert enter(as_installer, check, right="1", key=key).status_code == 302
    assert check.entries.count() == 1


def test_an_old_page_sent_with_other_content_is_asked_for_once_more_and_then_taken(as_installer, open_phases):
    """The Back button shows a form that was sent already: what is changed in it must be neither lost nor taken for
    the first."""
    check, key = check_of(open_phases, "tick"), str(uuid7())
    enter(as_installer, check, right="1", key=key)
    response = enter(as_installer, check, wrong="1", key=key, note="Valve sits too deep")
    assert response.status_code == 422
    assert [entry.outcome for entry in check.entries.all()] == ["holds"]

    renewed = key_on(response, f"id_{check.pk}_key")
    assert renewed != key
    enter(as_installer, check, wrong="1", key=renewed, note="Valve sits too deep")
    assert [entry.outcome for entry in check.entries.all()] == ["holds", "fails"]


@pytest.mark.parametrize("kind", ["tick", "wait"])
def test_enter_in_the_note_says_neither_yes_nor_no(as_installer, open_phases, kind):
    check = check_of(open_phases, kind)
    response = enter(as_installer, check, save="1", note="Half of it")
    assert response.status_code == 422
    assert 'value="Half of it"' in response.content.decode()
    assert not Entry.objects.exists()


def test_a_made_up_key_of_the_keypad_enters_nothing(as_installer, open_phases):
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    assert enter(as_installer, check, value_0="", tap="1/64").status_code == 422


def test_where_the_rest_is_refused_the_photo_is_asked_for_again_and_none_is_kept(as_installer, open_phases):
    check = Check.objects.get(phase__in=open_phases, key="substrate.plane")
    response = enter(as_installer, check, value_0="a hair", photo=upload())
    assert "Take or choose the photo again" in response.content.decode()
    assert not Photo.objects.exists()


def test_a_photo_sent_twice_is_one_photo_and_one_entry(as_installer, open_phases):
    check, key = check_of(open_phases, "photo"), str(uuid7())
    for _ in range(2):
        assert enter(as_installer, check, photo=upload(), key=key).status_code == 302
    assert (check.entries.count(), Photo.objects.count()) == (1, 1)


def test_an_old_page_with_another_photo_keeps_the_first_and_asks_again(as_installer, open_phases):
    check, key = check_of(open_phases, "photo"), str(uuid7())
    enter(as_installer, check, photo=upload("gray"), key=key)
    assert enter(as_installer, check, photo=upload("tan"), key=key).status_code == 422
    assert Photo.objects.count() == 1


def test_a_helper_without_a_log_in_is_named(as_installer, open_phases, installer):
    check = check_of(open_phases, "tick")
    enter(as_installer, check, right="1", helper="Sam, day labor")
    entry = check.entries.get()
    assert (entry.by, entry.helper) == (installer, "Sam, day labor")


def test_signing_says_what_is_missing(as_installer, open_phases):
    response = as_installer.post(reverse("inspections:sign", args=[open_phases[0].pk]))
    assert response.status_code == 422
    assert "not checked yet" in response.content.decode()
    assert not SignOff.objects.exists()


def test_a_signed_phase_takes_the_installer_to_the_room(as_installer, open_phases, installer):
    phase = open_phases[0]
    prove_and_sign(phase, by=installer)
    response = as_installer.post(reverse("inspections:sign", args=[phase.pk]))
    assert response["Location"] == reverse("inspections:room", args=[phase.room_id])
    assert ">signed<" in as_installer.get(response["Location"]).content.decode()


def test_a_signed_phase_takes_a_later_entry_and_says_that_it_holds_what_follows(
    as_installer, as_owner, open_phases, installer
):
    first, second = open_phases[:2]
    prove_and_sign(first, by=installer)
    check = first.checks.filter(kind="tick").first()
    assert enter(as_installer, check, wrong="1", note="Hit a pipe").status_code == 302

    page = as_installer.get(reverse("inspections:phase", args=[first.pk])).content.decode()
    assert "after the sign-off" in page
    assert "Check again" in page
    room = as_installer.get(reverse("inspections:room", args=[first.room_id])).content.decode()
    assert "signed, fails since" in room
    following = as_installer.get(reverse("inspections:phase", args=[second.pk])).content.decode()
    assert reverse("inspections:phase", args=[first.pk]) + f"#check-{check.pk}" in following
    # The owner lets it go on the page of the signed phase.
    assert (
        reverse("inspections:waive", args=[check.pk])
        in as_owner.get(reverse("inspections:phase", args=[first.pk])).content.decode()
    )


def test_the_sign_bar_leads_to_the_first_thing_that_is_missing(as_installer, open_phases, installer):
    first, second = open_phases[:2]
    page = as_installer.get(reverse("inspections:phase", args=[second.pk])).content.decode()
    assert f'First to be signed: <a href="{reverse("inspections:phase", args=[first.pk])}"' in " ".join(page.split())
    check = first.checks.filter(kind="tick").last()
    prove(first, by=installer, but=check)
    page = " ".join(as_installer.get(reverse("inspections:phase", args=[first.pk])).content.decode().split())
    assert f'One check to go: <a href="{reverse("inspections:phase", args=[first.pk])}#check-{check.pk}"' in page
    enter(as_installer, check, right="1")
    page = as_installer.get(reverse("inspections:phase", args=[first.pk])).content.decode()
    assert "aria-disabled" not in page


def test_a_closed_job_takes_no_entries_by_the_page(as_installer, punch_listed, office):
    close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)
    phase = punch_listed.rooms.first().phases.first()
    page = as_installer.get(reverse("inspections:phase", args=[phase.pk])).content.decode()
    assert "Check again" not in page
    assert reverse("inspections:entry", args=[phase.checks.first().pk]) not in page


def test_the_office_reads_the_same_phase_on_a_page_of_the_job(as_office, as_owner, open_phases):
    check = check_of(open_phases, "tick")
    url = reverse("inspections:phase", args=[check.phase_id])
    enter(as_office, check, wrong="1", note="Saw it on the visit")
    office, owner = (client.get(url) for client in (as_office, as_owner))
    assert "inspections/office/phase.html" in [template.name for template in office.templates]
    assert "Saw it on the visit" in office.content.decode()
    waive = reverse("inspections:waive", args=[check.pk])
    assert (waive in office.content.decode(), waive in owner.content.decode()) == (False, True)


def test_only_the_owner_waives(as_owner, as_office, as_installer, open_phases):
    check = check_of(open_phases, "tick")
    url = reverse("inspections:waive", args=[check.pk])
    for client in (as_office, as_installer):
        assert client.post(url, {"reason": "It is fine"}).status_code == 403
    assert as_owner.post(url, {"reason": "  "}).status_code == 422
    assert not Waiver.objects.exists()
    assert as_owner.post(url, {"reason": "Plumber comes back Monday"}).status_code == 302
    assert Waiver.objects.get().reason == "Plumber comes back Monday"
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert "Plumber comes back Monday" in page


def test_a_waiver_of_what_holds_nothing_says_so(as_owner, open_phases):
    check = check_of(open_phases, "tick")
    enter(as_owner, check, right="1")
    response = as_owner.post(reverse("inspections:waive", args=[check.pk]), {"reason": "In advance"}, follow=True)
    assert "nothing to waive" in response.content.decode()
    assert not Waiver.objects.exists()


def test_an_installer_who_is_not_on_the_job_sees_none_of_it(as_other_installer, open_phases):
    phase, check = open_phases[0], check_of(open_phases, "tick")
    for name, pk in (("phase", phase.pk), ("room", phase.room_id), ("punch_list", phase.room.job_id)):
        assert as_other_installer.get(reverse(f"inspections:{name}", args=[pk])).status_code == 404
    assert enter(as_other_installer, check, right="1").status_code == 404
    assert as_other_installer.post(reverse("inspections:sign", args=[phase.pk])).status_code == 404
    assert not Entry.objects.exists()


def test_a_wait_says_when_it_is_over(as_installer, open_phases, installer):
    check = check_of(open_phases, "wait")
    come_to(check, by=installer)
    before = timezone.now()
    enter(as_installer, check, begin="1")
    entry = check.entries.get()
    assert entry.outcome == "waiting"
    assert entry.due_at - before >= timedelta(hours=23, minutes=59)
    page = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert re.search(r"<b>\d+ h \d\d min left</b>, until \w{3}, ", page)


# The phase's page also reads the room's surfaces, for the places of its photos; the room's how many wait to be sorted.
@pytest.mark.parametrize(("name", "most"), [("phase", 16), ("room", 12)])
def test_the_page_costs_the_same_however_much_was_entered(as_installer, open_phases, installer, name, most):
    url = reverse(f"inspections:{name}", args=[open_phases[0].pk if name == "phase" else open_phases[0].room_id])
    prove_and_sign(open_phases[0], by=installer)
    with CaptureQueriesContext(connection) as few:
        as_installer.get(url)
    for check in Check.objects.filter(phase__in=open_phases, kind="tick"):
        for answer in ("right", "wrong"):
            enter(as_installer, check, **{answer: "1"})
    with CaptureQueriesContext(connection) as many:
        as_installer.get(url)
    assert len(many) == len(few) <= most


def test_the_address_of_a_refused_form_opened_once_more_leads_back_to_the_phase(as_owner, open_phases):
    check = check_of(open_phases, "tick")
    phase = reverse("inspections:phase", args=[check.phase_id])
    for name, pk in (("entry", check.pk), ("waive", check.pk), ("sign", check.phase_id)):
        assert as_owner.get(reverse(f"inspections:{name}", args=[pk]))["Location"].startswith(phase)
