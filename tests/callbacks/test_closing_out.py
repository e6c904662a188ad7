"""The closeout ends a job and starts its warranty."""

from datetime import UTC, date, datetime
from unittest.mock import patch

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from callbacks.actions import close_out_job, months_later
from callbacks.models import Warranty
from estimating.actions import offer_change, raise_change, withdraw_change
from inspections.actions import add_punch_item, finish_punch_item, open_phases
from inspections.models import Closeout
from jobs.actions import WrongStage, move_job
from jobs.models import Stage
from shop.models import ShopSettings
from tests.estimating.changes import accepted_job, labor

pytestmark = pytest.mark.django_db


def test_closing_out_closes_the_job_and_starts_the_warranty_of_the_shops_months(punch_listed, owner, settings):
    ShopSettings.objects.update_or_create(pk=1, defaults={"warranty_months": 18})
    warranty = close_out_job(job=punch_listed, walked_with="Odalys Brandt", note="Two spare boxes left.", by=owner)

    punch_listed.refresh_from_db()
    assert punch_listed.stage == Stage.CLOSED
    assert warranty.ends_on == months_later(warranty.starts_on, 18)
    assert (punch_listed.closeout.walked_with, punch_listed.closeout.note) == ("Odalys Brandt", "Two spare boxes left.")


def test_the_warranty_starts_on_the_shops_own_day_not_on_greenwichs(punch_listed, owner, monkeypatch):
    """At 03:00 UTC on March 1 it is still February's last day in New York (UTC-5 in winter)."""
    ShopSettings.objects.update_or_create(pk=1, defaults={"time_zone": "America/New_York"})
    monkeypatch.setattr(timezone, "now", lambda: datetime(2027, 3, 1, 3, tzinfo=UTC))
    assert close_out_job(job=punch_listed, walked_with="O", by=owner).starts_on == date(2027, 2, 28)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 11, 24), 24, date(2028, 11, 24)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2026, 12, 15), 1, date(2027, 1, 15)),
        (date(2026, 12, 15), 12, date(2027, 12, 15)),
        (date(2026, 5, 5), 0, date(2026, 5, 5)),
    ],
)
def test_months_are_counted_by_the_calendar(day, months, later):
    assert months_later(day, months) == later


def test_closing_out_twice_changes_nothing(closed_job, owner, office):
    first = Warranty.objects.get()
    again = close_out_job(job=closed_job, walked_with="Somebody else", by=office)
    assert again == first
    assert closed_job.closeout.by == owner


def test_an_open_punch_item_stands_in_the_way(punch_listed, owner, as_office):
    item = add_punch_item(job=punch_listed, text="Touch up the grout at the niche", by=owner)
    url = reverse("callbacks:close_out", args=[punch_listed.pk])
    with pytest.raises(Refused, match="Touch up the grout"):
        close_out_job(job=punch_listed, walked_with="Odalys", by=owner)
    page = as_office.post(url, {"walked_with": "Odalys"})
    assert page.status_code == 200
    assert "Touch up the grout at the niche" in page.content.decode()
    assert not Warranty.objects.exists()

    finish_punch_item(item=item, by=owner)
    response = as_office.post(url, {"walked_with": "Odalys", "note": ""})
    assert response.status_code == 302
    assert Warranty.objects.count() == 1


def test_a_change_order_without_an_answer_stands_in_the_way(job, owner, as_office):
    job = accepted_job(job, owner)
    url = reverse("callbacks:close_out", args=[job.pk])
    drafted, waiting, expired = (
        raise_change(job=job, what=what, directed_by="Odalys Brandt", by=owner)
        for what in ("A bench", "A second niche", "A ledge")
    )
    for change in (waiting, expired):
        labor(change, owner, 100)
    offer_change(change=waiting, by=owner)
    with patch("estimating.actions.change_answers.end_of", lambda day: timezone.now()):
        offer_change(change=expired, by=owner)
    move_job(job=job, to=Stage.PUNCH_LIST, by=owner)
    steps = [(drafted, "not offered yet: offer it"), (waiting, "waits for the client"), (expired, "expired without")]
    for change, todo in steps:
        with pytest.raises(Refused, match=f"{change.what}: {todo}"):
            close_out_job(job=job, walked_with="Odalys", by=owner)
        page = as_office.post(url, {"walked_with": "Odalys"}).content.decode()
        assert todo in page
        assert reverse("estimating:change", args=[change.pk]) in page
        with pytest.raises(DatabaseError, match=f"a change order is open: .*{change.what}"), transaction.atomic():
            Closeout.objects.create(job=job, walked_with="Odalys", by=owner)
        withdraw_change(change=change, reason="Not wanted", by=owner)
    assert as_office.post(url, {"walked_with": "Odalys", "note": ""}).status_code == 302
    assert Warranty.objects.count() == 1


def test_an_unsigned_phase_stands_in_the_way_and_the_page_leads_to_it(room, owner, as_office):
    from jobs.actions import move_job

    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=room.job, to=stage, by=None)
    open_phases(room.job)
    page = as_office.get(reverse("callbacks:close_out", args=[room.job.pk])).content.decode()
    for phase in room.phases.all():
        assert reverse("inspections:phase", args=[phase.pk]) in page
    assert "<textarea" not in page
    with pytest.raises(Refused):
        close_out_job(job=room.job, walked_with="Odalys", by=owner)


def test_a_job_that_is_still_being_worked_on_isnt_closed_out(job, owner, as_office):
    with pytest.raises(WrongStage):
        close_out_job(job=job, walked_with="Odalys", by=owner)
    page = as_office.get(reverse("callbacks:close_out", args=[job.pk]))
    assert "from its punch list" in page.content.decode()


def test_who_walked_through_has_to_be_named_and_the_note_stays_typed(punch_listed, as_office):
    page = as_office.post(
        reverse("callbacks:close_out", args=[punch_listed.pk]), {"walked_with": "", "note": "Spare tile in the garage"}
    )
    assert page.status_code == 200
    assert "Spare tile in the garage" in page.content.decode()
    assert not Warranty.objects.exists()


def test_a_warranty_is_never_changed(closed_job):
    with pytest.raises(DatabaseError, match=r"permission denied|Cannot update"), transaction.atomic():
        Warranty.objects.update(ends_on=date(2199, 1, 1))


def test_an_installer_may_not_close_out(punch_listed, as_installer, as_other_installer):
    for client in (as_installer, as_other_installer):
        for ask in (client.get, client.post):
            assert ask(reverse("callbacks:close_out", args=[punch_listed.pk])).status_code == 403
