"""The list of callbacks: the open ones first, and whether they are within warranty in words and shape."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from callbacks.actions import close_callback, log_callback
from callbacks.models import Warranty
from callbacks.queries import callbacks_to_show, open_callbacks
from jobs.actions import move_job
from jobs.models import Stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(log, office, today):
    """Logged in this order: closed, reported today, reported ten days ago."""
    closed = log(text="closed")
    close_callback(callback=closed, cause="x", remedy="y", by=office)
    newest = log(text="today")
    earlier = log(text="earlier", reported_on=today - timedelta(days=10))
    return closed, newest, earlier


def test_open_ones_come_first_as_they_wait_and_closed_ones_last(three):
    closed, newest, earlier = three
    assert list(open_callbacks()) == [earlier, newest]
    assert list(callbacks_to_show("open")) == [earlier, newest]
    assert list(callbacks_to_show("closed")) == [closed]
    assert list(callbacks_to_show("all")) == [earlier, newest, closed]


@pytest.mark.parametrize(
    ("query", "shown"), [("", 2), ("?show=open", 2), ("?show=closed", 1), ("?show=all", 3), ("?show=x", 2)]
)
def test_the_page_filters(three, as_office, query, shown):
    page = as_office.get(reverse("callbacks:list") + query)
    assert len(page.context["rows"]) == shown


def test_warranty_is_shown_by_shape_and_word(log, as_owner):
    log()
    page = as_owner.get(reverse("callbacks:list")).content.decode()
    assert '<span class="badge done">within warranty</span>' in page


def test_a_warranty_that_is_over_says_since_when(punch_listed, owner, today, as_owner):
    move_job(job=punch_listed, to=Stage.CLOSED, by=owner)
    Warranty.objects.create(job=punch_listed, starts_on=date(2020, 1, 1), ends_on=date(2022, 1, 1))
    callback = log_callback(
        job=punch_listed, symptom="leak", text="Wet again", reported_by="Odalys", reported_on=today, by=owner
    )
    for url in (reverse("callbacks:list"), reverse("callbacks:detail", args=[callback.pk])):
        page = as_owner.get(url).content.decode()
        assert '<span class="badge">warranty over since 1 Jan 2022</span>' in page
        assert "within warranty" not in page


def test_an_empty_list_says_how_callbacks_come_about(as_office):
    for query in ("", "?show=all"):
        page = as_office.get(reverse("callbacks:list") + query).content.decode()
        assert 'class="empty"' in page
        assert reverse("jobs:list") in page


def test_queries_dont_grow_with_rows(log, as_owner, django_assert_num_queries):
    log()
    url = reverse("callbacks:list")
    as_owner.get(url)
    with CaptureQueriesContext(connection) as before:
        as_owner.get(url)
    for n in range(8):
        log(text=f"{n}")
    with django_assert_num_queries(len(before)):
        as_owner.get(url)


def test_a_long_list_goes_over_pages(log, as_owner):
    for n in range(27):
        log(text=f"{n}")
    first = as_owner.get(reverse("callbacks:list"))
    assert len(first.context["rows"]) == 25
    assert len(as_owner.get(reverse("callbacks:list") + "?page=2").context["rows"]) == 2
