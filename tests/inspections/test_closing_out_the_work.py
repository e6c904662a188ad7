"""From work to punch list to closeout: nothing unproved is left behind."""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from base.keys import uuid7
from inspections.actions import (
    add_punch_item,
    close_out,
    finish_punch_item,
    record_entry,
    start_punch_list,
    waive_check,
)
from inspections.models import Closeout
from inspections.queries import in_the_way_of_closeout
from jobs.actions import WrongStage, move_job
from jobs.models import Stage
from tests.inspections.proofs import prove_and_sign

pytestmark = pytest.mark.django_db


def insert_closeout(job, by) -> None:
    """Past the action: straight into the table."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO inspections_closeout (id, job_id, walked_with, note, by_id) VALUES (%s, %s, 'O', '', %s)",
            [uuid7(), job.pk, by.pk],
        )


def fail_late(job, by):
    """What nobody signs after: the last check of the last phase, found to fail after everything was signed."""
    check = job.rooms.get().phases.last().checks.filter(kind="tick").first()
    record_entry(check=check, by=by, happened_at=timezone.now(), ticked=False)
    return check


def test_the_walk_through_begins_when_every_phase_is_signed(floor_phases, installer, office):
    job = floor_phases[0].room.job
    for phase in floor_phases[:-1]:
        prove_and_sign(phase, by=installer)
    with pytest.raises(Refused, match=r"Hall: Soft joints and sealer isn't signed"):
        start_punch_list(job=job, by=office)
    prove_and_sign(floor_phases[-1], by=installer)
    start_punch_list(job=job, by=office)
    job.refresh_from_db()
    assert job.stage == Stage.PUNCH_LIST
    start_punch_list(job=job, by=office)


def test_it_begins_from_work_only(job, office):
    with pytest.raises(WrongStage):
        start_punch_list(job=job, by=office)


def test_the_office_starts_it_by_the_page_and_the_installer_does_not(as_office, as_installer, signed_job):
    url = reverse("inspections:punch_start", args=[signed_job.pk])
    assert as_installer.post(url).status_code == 403
    assert as_office.get(url).status_code == 405
    assert url in as_office.get(reverse("inspections:punch_list", args=[signed_job.pk])).content.decode()
    as_office.post(url)
    signed_job.refresh_from_db()
    assert signed_job.stage == Stage.PUNCH_LIST


def test_the_page_says_which_phase_is_in_the_way(as_office, floor_phases):
    job = floor_phases[0].room.job
    answer = as_office.post(reverse("inspections:punch_start", args=[job.pk]), follow=True).content.decode()
    assert "Hall: Substrate isn&#x27;t signed" in answer
    job.refresh_from_db()
    assert job.stage == Stage.WORKING


def test_what_fails_after_the_last_sign_off_holds_walk_through_and_closeout(signed_job, installer, owner, office):
    check = fail_late(signed_job, installer)
    with pytest.raises(Refused, match="is signed, but since"):
        start_punch_list(job=signed_job, by=office)
    waive_check(check=check, reason="Sealed again and seen", by=owner)
    start_punch_list(job=signed_job, by=office)

    other = check.phase.checks.filter(kind="tick").exclude(pk=check.pk).first()
    record_entry(check=other, by=installer, happened_at=timezone.now(), ticked=False)
    with pytest.raises(Refused, match="is signed, but since"):
        close_out(job=signed_job, walked_with="Odalys Brandt", by=office)
    with pytest.raises(IntegrityError, match="entered after the sign-off"):
        insert_closeout(signed_job, office)
    record_entry(check=other, by=installer, happened_at=timezone.now(), ticked=True)
    close_out(job=signed_job, walked_with="Odalys Brandt", by=office)


def test_an_open_item_is_in_the_way(punch_listed, office, as_office):
    item = add_punch_item(job=punch_listed, text="Haze by the stair", by=office)
    assert in_the_way_of_closeout(punch_listed) == ["open on the punch list: Haze by the stair"]
    page = as_office.get(reverse("inspections:punch_list", args=[punch_listed.pk])).content.decode()
    assert "1 thing is still in the way of the closeout" in page
    with pytest.raises(Refused, match="Haze by the stair"):
        close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)
    with pytest.raises(IntegrityError, match="a punch item is open"):
        insert_closeout(punch_listed, office)
    finish_punch_item(item=item, by=office)
    assert close_out(job=punch_listed, walked_with="Odalys Brandt", note="Two spare boxes", by=office).note


def test_closing_out_closes_the_job_once(punch_listed, office, owner):
    closeout = close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)
    assert close_out(job=punch_listed, walked_with="Somebody else", by=owner) == closeout
    punch_listed.refresh_from_db()
    assert punch_listed.stage == Stage.CLOSED
    assert Closeout.objects.get().walked_with == "Odalys Brandt"


def test_it_is_closed_from_its_punch_list_only(signed_job, office):
    with pytest.raises(WrongStage):
        close_out(job=signed_job, walked_with="Odalys Brandt", by=office)
    with pytest.raises(IntegrityError, match="from its punch list"):
        insert_closeout(signed_job, office)
    assert not Closeout.objects.exists()


def test_the_database_refuses_a_closeout_of_a_job_with_an_unsigned_phase(floor_phases, office):
    job = floor_phases[0].room.job
    # The stage alone says little: the action would not have moved it here.
    move_job(job=job, to=Stage.PUNCH_LIST, by=office)
    with pytest.raises(Refused, match="isn't signed"):
        close_out(job=job, walked_with="Odalys Brandt", by=office)
    with pytest.raises(IntegrityError, match="a phase is not signed: Substrate"):
        insert_closeout(job, office)


def test_the_database_takes_a_closeout_that_is_right(punch_listed, office):
    insert_closeout(punch_listed, office)
    assert Closeout.objects.exists()


@pytest.mark.parametrize(
    "statement", ["UPDATE inspections_closeout SET note = 'x'", "DELETE FROM inspections_closeout"]
)
def test_a_closeout_stays_as_it_is(punch_listed, office, statement):
    close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)
    with pytest.raises(DatabaseError, match=r"Cannot (update|delete)|permission denied"), transaction.atomic():
        connection.cursor().execute(statement)
