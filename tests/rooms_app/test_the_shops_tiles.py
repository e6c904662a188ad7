"""The shop's tiles: added, changed, taken off the list and offered again."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from rooms.forms import TileForm
from rooms.models import Tile
from rooms.queries import shop_tiles
from rooms.specifying import TileSheetForm
from tests.factories import TileFactory
from tests.rooms_app.pages import fields_of
from tests.support.forms import as_sent
from trade.lengths import inches

pytestmark = pytest.mark.django_db

LIST = "/tiles/"
NEW = {
    "name": "Sand 8 x 8",
    "width": "7 7/8",
    "height": "7 7/8",
    "thickness": "3/8",
    "edge": "rectified",
    "friction_declared": "unknown",
}


def page_of(tile):
    return reverse("rooms:tile", args=[tile.pk])


def test_a_tile_is_added(as_office):
    assert "No tiles yet" in as_office.get(LIST).text
    answer = as_office.post(reverse("rooms:tile_new"), NEW | {"friction": "0.5", "warp": "0.3", "directional": "on"})
    assert answer.status_code == 302
    tile = Tile.objects.get()
    assert (tile.width, tile.warp, tile.friction, tile.turns) == (inches("63/8"), Decimal("0.3"), Decimal("0.5"), [0])
    assert "Sand 8 x 8" in as_office.get(LIST).text


def test_a_tile_that_a_room_lacks_is_added_and_picked_there(as_office, room):
    start = as_office.get(reverse("rooms:room_tile", args=[room.pk]))
    address = f"{reverse('rooms:tile_new')}?room={room.pk}"
    assert address in start.text
    answer = as_office.post(address, NEW)
    assert answer.status_code == 302
    tile = Tile.objects.get(name="Sand 8 x 8")
    assert f'<option value="{tile.pk}" selected>' in as_office.get(answer.url).text


def test_saving_without_a_change_changes_nothing(as_office):
    tile = TileFactory(size_spread=Decimal("0.4"), weight_kg=Decimal("3.2"), turns=[0, 180])
    form = as_office.get(page_of(tile)).context["form"]
    assert as_office.post(page_of(tile), as_sent(form)).status_code == 302
    kept = Tile.objects.get(pk=tile.pk)
    for field in Tile._meta.fields:
        assert getattr(kept, field.name) == getattr(Tile.objects.get(pk=tile.pk), field.name)
    assert (kept.turns, kept.size_spread, kept.width) == ([0, 180], Decimal("0.4"), tile.width)


def test_what_cant_be_stands_as_typed(as_office):
    answer = as_office.post(reverse("rooms:tile_new"), NEW | {"width": "wide", "finish": "matte"})
    assert answer.status_code == 422
    assert 'value="wide"' in answer.text
    assert 'value="matte"' in answer.text
    assert not Tile.objects.exists()


def test_a_tile_that_nothing_has_is_removed(as_office):
    tile = TileFactory()
    as_office.post(page_of(tile), {"remove": ""})
    assert not Tile.objects.exists()


def test_a_tile_that_a_room_has_is_archived_and_the_room_keeps_it(as_office, room):
    as_office.post(page_of(room.tile), {"remove": ""})
    assert not shop_tiles().exists()
    address = reverse("rooms:edit", args=[room.pk])
    fields = fields_of(as_office.get(address).text)
    assert fields["tile-tile"] == str(room.tile_id)
    assert as_office.post(address, fields | {"save": ""}).status_code == 302
    new = as_office.get(reverse("rooms:new", args=[room.job_id]) + "?shape=wall")
    assert str(room.tile_id) not in new.text
    as_office.post(page_of(room.tile), {"offer": ""})
    assert shop_tiles().exists()


def test_installers_dont_keep_the_list(as_installer, room):
    for address in (LIST, reverse("rooms:tile_new"), page_of(room.tile)):
        assert as_installer.get(address).status_code == 403
        assert as_installer.post(address, NEW | {"remove": ""}).status_code in (403, 405)
    assert Tile.objects.filter(pk=room.tile_id, archived=False).exists()


def test_many_tiles_take_no_more_queries(as_office):
    def count():
        with CaptureQueriesContext(connection) as queries:
            assert as_office.get(LIST).status_code == 200
        return len(queries)

    TileFactory()
    count()
    few = count()
    TileFactory.create_batch(8)
    assert count() == few


def test_a_bare_number_beside_mm_is_in_millimeters_whatever_the_shop_types_in(db):
    data = {"width": "8", "height": "8", "thickness": "3/8", "edge": "natural", "size_spread": "0.4", "warp": "0.6"}
    form = TileForm(data, unit="in")
    assert form.is_valid()
    assert (form.cleaned_data["size_spread"], form.cleaned_data["warp"]) == (Decimal("0.4"), Decimal("0.6"))
    assert form.cleaned_data["width"] == inches(8)
    ribs = TileSheetForm({"name": "Sand", "ribs": "2", "friction_declared": "unknown"}, unit="in")
    assert ribs.is_valid()
    assert ribs.cleaned_data["ribs"] == Decimal(2)
