"""The preview of an uploaded table: what each fate comes to, a page of rows at a time, what can't be taken first."""

import re
import time

import pytest
from django.urls import reverse

from clients.models import Client
from estimating.actions import set_rate
from estimating.models import Rate
from tests.factories import TileFactory
from tests.support.table_pages import fates, kept, look, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def rates_url():
    return reverse("estimating:rate_list")


def leaf(client, url, shown, **asked):
    return client.post(url, {"kept": kept(shown), **asked})


def rows_of(shown):
    return [fate.number for fate in shown.context["fates"]]


def test_a_hundred_rows_at_a_time_and_what_is_wrong_before_the_rest(as_owner, rates_url):
    for number in range(240):
        TileFactory(name=f"Tile {number}")
    rows = [f"Tile {number},5" for number in range(240)] + ["Nothing known,5", "Nor this,5"]
    shown = look(as_owner, rates_url, "Rate,Price\n" + "\n".join(rows))
    assert shown.context["preview"].counts == [("late", "can't be taken", 2), ("now", "first price", 240)]
    assert rows_of(shown) == [242, 243, *range(2, 100)]
    page = shown.content.decode()
    assert "Page 1 of 3" in page
    assert 'name="take"' not in page
    last = leaf(as_owner, rates_url, shown, page="3")
    assert rows_of(last) == list(range(200, 242))
    assert "Page 3 of 3" in last.content.decode()
    only = leaf(as_owner, rates_url, shown, show="can't be taken")
    assert rows_of(only) == [242, 243]
    assert re.search(r'value="can&#x27;t be taken"[^>]*aria-pressed="true"', only.content.decode())
    # Of the rows asked for, the second page; a number that isn't there gives the last, no number the first.
    asked = {"show": "first price"}
    assert rows_of(leaf(as_owner, rates_url, only, page="2", **asked))[0] == 102
    assert rows_of(leaf(as_owner, rates_url, only, page="99", **asked))[-1] == 241
    assert rows_of(leaf(as_owner, rates_url, only, page="x", **asked))[0] == 2


def test_from_any_page_the_whole_table_is_taken_over(as_owner, rates_url):
    for number in range(150):
        TileFactory(name=f"Tile {number}")
    shown = look(as_owner, rates_url, "Rate,Price\n" + "".join(f"Tile {number},5\n" for number in range(150)))
    take(as_owner, rates_url, leaf(as_owner, rates_url, shown, page="2"))
    assert Rate.objects.count() == 150


def test_whoever_leafs_is_told_where_rows_fare_otherwise_by_now(as_owner, rates_url, owner):
    shown = look(as_owner, rates_url, "Rate,Price\nSpacers,5\nWaterproofing membrane,9\n")
    set_rate(key="spacer", unit="piece", cost=4, by=owner)
    again = leaf(as_owner, rates_url, shown, show="first price")
    assert again.status_code == 422
    assert "Somebody changed something since you looked" in again.content.decode()
    assert len(rows_of(again)) == 2
    assert leaf(as_owner, rates_url, again, show="new price").status_code == 200


def test_what_was_chosen_for_known_clients_stays_while_one_leafs(as_office):
    url = reverse("clients:client_list")
    shown = look(as_office, url, "Name,Phone\n" + "".join(f"Client {n},555-01{n:02}\n" for n in range(100, 230)))
    assert len(rows_of(shown)) == 100
    leafed = leaf(as_office, url, shown, page="2", with_known="again")
    assert leafed.context["options"]["with_known"].value() == "again"
    assert leafed.status_code == 200
    take(as_office, url, leafed, with_known="skip")
    assert Client.objects.filter(name__startswith="Client ").count() == 130


def test_five_thousand_rows_are_a_page_of_bounded_size_and_soon_there(as_owner, rates_url):
    """Seconds of the processor for both pages, with room to spare: about three were measured."""
    TileFactory.create_batch(200, name="Known")
    kinds = (
        "Material,Thing {n},sq ft,5",
        ",Oddment number {n} of many,,7",
        ",Spacers,,6",
        "Other,Nearly grout {n},each,4",
    )
    rows = [kinds[n % 4].format(n=n) for n in range(5000)]
    began = time.process_time()
    shown = look(as_owner, rates_url, "Kind,Rate,Unit,Price\n" + "\n".join(rows))
    middle = leaf(as_owner, rates_url, shown, page="20")
    took = time.process_time() - began
    assert len(rows_of(shown)) == len(rows_of(middle)) == 100
    assert len(fates(middle)) == 100
    assert len(shown.content) < 400_000
    assert took < 10, took
