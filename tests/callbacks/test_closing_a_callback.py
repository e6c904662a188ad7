"""A callback is closed with its cause, its remedy and its cost, once."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from callbacks.actions import AlreadyClosed, StillBooked, book_visit, cancel_visit, close_callback
from callbacks.models import Callback
from callbacks.queries import open_callbacks

pytestmark = pytest.mark.django_db
FOUND = {"cause": "Drain clamp loose", "remedy": "Tightened, flood test 24 h", "cost": Decimal("214.50")}


def test_a_closed_callback_keeps_what_was_found_and_leaves_the_open_ones(callback, office):
    closed = close_callback(callback=callback, **FOUND, by=office)
    stored = Callback.objects.get()
    assert (stored.cause, stored.remedy, stored.cost, stored.closed_by) == (*FOUND.values(), office)
    assert closed.closed_at
    assert not open_callbacks()


def test_closing_twice_changes_nothing_and_other_words_are_refused(callback, office, owner):
    first = close_callback(callback=callback, **FOUND, by=office)
    again = close_callback(callback=callback, **FOUND, by=owner)
    assert (again.closed_at, again.closed_by) == (first.closed_at, office)
    with pytest.raises(AlreadyClosed, match="Petra Lindqvist"):
        close_callback(callback=callback, cause="Something else", remedy="Nothing", by=owner)


def test_the_database_lets_a_closed_one_stand(callback, office):
    close_callback(callback=callback, **FOUND, by=office)
    for change in ({"cause": "Nothing"}, {"cost": 0}, {"closed_at": None, "closed_by": None}):
        with pytest.raises(DatabaseError, match="Cannot update"), transaction.atomic():
            Callback.objects.filter(pk=callback.pk).update(**change)


@pytest.mark.parametrize("missing", ["cause", "remedy"])
def test_without_cause_or_remedy_it_stays_open(callback, office, missing):
    with pytest.raises(Refused):
        close_callback(callback=callback, **FOUND | {missing: "  "}, by=office)
    with pytest.raises(DatabaseError, match="closed_with_cause_and_remedy"), transaction.atomic():
        Callback.objects.filter(pk=callback.pk).update(closed_at=timezone.now(), closed_by=office)


def test_a_cost_is_never_negative_and_may_be_unknown(callback, office):
    with pytest.raises(DatabaseError, match="callbacks_callback_cost"), transaction.atomic():
        close_callback(callback=callback, **FOUND | {"cost": Decimal("-1")}, by=office)
    assert close_callback(callback=callback, cause="x", remedy="y", by=office).cost is None


def test_while_a_visit_lies_ahead_it_stays_open(callback, installer, tomorrow, office):
    visit = book_visit(
        callback=callback, person=installer, starts=tomorrow, ends=tomorrow + timedelta(hours=1), by=office
    )
    with pytest.raises(StillBooked, match="Rui Tavares"):
        close_callback(callback=callback, **FOUND, by=office)
    cancel_visit(visit=visit, by=office)
    assert close_callback(callback=callback, **FOUND, by=office).closed_at


def test_during_the_visit_it_may_be_closed(callback, installer, office):
    now = timezone.now()
    book_visit(
        callback=callback, person=installer, starts=now - timedelta(hours=1), ends=now + timedelta(hours=1), by=office
    )
    assert close_callback(callback=callback, **FOUND, by=office).closed_at


def test_the_page_closes_it_and_shows_what_it_was(callback, as_office):
    url = reverse("callbacks:detail", args=[callback.pk])
    page = as_office.post(url, {"close": "", "cause": "Drain", "remedy": "", "cost": "-3"})
    assert page.status_code == 200
    assert set(page.context["close_form"].errors) == {"remedy", "cost"}
    assert "Drain</textarea>" in page.content.decode()

    assert as_office.post(url, {"close": "", **FOUND}).status_code == 302
    text = as_office.get(url).content.decode()
    assert "Drain clamp loose" in text
    assert "214.50" in text
    assert 'name="close"' not in text
    assert 'name="book_visit"' not in text
