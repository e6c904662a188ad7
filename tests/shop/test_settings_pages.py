"""The owner's settings of the shop."""

from datetime import time
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.actions import change_settings
from shop.models import ShopSettings
from shop.queries import shop_settings
from shop.regions import CURRENCIES, locale_choices, time_zone_choices
from tests.shop.pictures import encoded, jpeg_with_place, two_halves

pytestmark = pytest.mark.django_db

TYPED = {
    "save": "",
    "name": "Millbrook Tile",
    "phone": "555-0190",
    "email": "office@example.com",
    "address": "2 Mill Row\nMillbrook",
    "license_line": "",
    "units": "mm",
    "paper": "a4",
    "currency": "CAD",
    "time_zone": "America/Vancouver",
    "locale": "en-gb",
    "tax_percent": "8.875",
    "markup_percent": "32.5",
    "proposal_days": "21",
    "warranty_months": "36",
    "work_starts": "07:00",
    "work_ends": "15:30",
    "work_days": ["1", "2", "3", "4"],
}


def logo(name: str = "logo.jpg", data: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data or jpeg_with_place(), "image/jpeg")


def files_kept(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def test_what_the_owner_types_is_what_the_shop_has(as_owner):
    assert as_owner.post(reverse("shop:settings"), TYPED).status_code == 302
    shop = shop_settings()
    assert (shop.name, shop.units, shop.paper, shop.currency) == ("Millbrook Tile", "mm", "a4", "CAD")
    assert (shop.tax_percent, shop.markup_percent) == (Decimal("8.875"), Decimal("32.5"))
    assert (shop.work_starts, shop.work_ends, shop.work_days) == (time(7), time(15, 30), [1, 2, 3, 4])
    assert (shop.time_zone, shop.locale) == ("America/Vancouver", "en-gb")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("time_zone", "America/Atlantis"),
        ("time_zone", "../../etc/passwd"),
        ("locale", "de"),
        ("currency", "ABC"),
        ("tax_percent", "-1"),
        ("tax_percent", "51"),
        ("tax_percent", "NaN"),
        ("tax_percent", "8.87555"),
        ("markup_percent", "-0.01"),
        ("proposal_days", "0"),
        ("warranty_months", "-1"),
        ("work_ends", "07:00"),
        ("work_ends", "06:59"),
        ("work_days", ["8"]),
        ("work_days", []),
        ("units", "furlong"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(as_owner, field, value):
    answer = as_owner.post(reverse("shop:settings"), TYPED | {field: value})
    assert answer.status_code == 200
    assert answer.context["form"].errors[field]
    assert "Millbrook Tile" in answer.text
    assert not ShopSettings.objects.exists()


def test_pages_are_in_the_time_zone_that_was_set(as_owner, owner):
    from datetime import UTC, datetime

    from shop.models import Staff

    Staff.objects.filter(pk=owner.pk).update(last_login=datetime(2026, 11, 24, 6, 30, tzinfo=UTC))
    as_owner.post(reverse("shop:settings"), TYPED)  # Vancouver: still the evening before
    assert "Nov 23, 2026" in as_owner.get(reverse("shop:staff")).text


def test_a_logo_is_kept_as_png_without_what_was_hidden_in_it(as_owner, media, client):
    as_owner.post(reverse("shop:settings"), TYPED | {"logo": logo("../../my logo.jpg")})
    [kept] = files_kept(media)
    data = kept.read_bytes()
    assert data.startswith(b"\x89PNG")
    assert b"SECRET" not in data
    # Clients see it without a log-in.
    answer = client.get(reverse("shop:logo"))
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/png")
    assert b"".join(answer.streaming_content) == data
    again = client.get(reverse("shop:logo"), headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_without_a_logo_there_is_none(client):
    assert client.get(reverse("shop:logo")).status_code == 404


def test_a_logo_that_is_no_picture_is_refused_and_the_old_one_stays(as_owner, media):
    as_owner.post(reverse("shop:settings"), TYPED | {"logo": logo()})
    before = shop_settings().logo.name
    answer = as_owner.post(reverse("shop:settings"), TYPED | {"name": "Other", "logo": logo(data=b"<svg onload=x>")})
    assert answer.status_code == 200
    assert answer.context["form"].errors["logo"]
    assert shop_settings().logo.name == before
    assert shop_settings().name == "Millbrook Tile"


def test_a_new_logo_takes_the_old_ones_place_and_can_be_removed(
    as_owner, media, client, django_capture_on_commit_callbacks
):
    etags = []
    for picture in (two_halves(), two_halves(20, 20)):
        with django_capture_on_commit_callbacks(execute=True):
            as_owner.post(reverse("shop:settings"), TYPED | {"logo": logo(data=encoded(picture))})
        assert len(files_kept(media)) == 1
        etags.append(client.get(reverse("shop:logo")).headers["ETag"])
    assert etags[0] != etags[1]
    with django_capture_on_commit_callbacks(execute=True):
        as_owner.post(reverse("shop:settings"), TYPED | {"remove_logo": "on"})
    assert files_kept(media) == []
    assert client.get(reverse("shop:logo")).status_code == 404


def test_saving_other_settings_leaves_the_logo(as_owner, client):
    as_owner.post(reverse("shop:settings"), TYPED | {"logo": logo()})
    as_owner.post(reverse("shop:settings"), TYPED | {"name": "Renamed"})
    assert client.get(reverse("shop:logo")).status_code == 200


def test_a_name_that_is_no_setting_is_a_mistake_of_the_caller(owner):
    from django.core.exceptions import FieldDoesNotExist

    with pytest.raises(FieldDoesNotExist):
        change_settings(by=owner, nmae="Millbrook Tile")


def test_the_history_says_who_changed_the_settings(as_owner, owner):
    as_owner.post(reverse("shop:settings"), TYPED)
    last = ShopSettings.objects.get().events.order_by("-pgh_id").first()
    assert last.pgh_context.metadata["user"] == str(owner.pk)


def test_within_a_request_the_settings_are_read_once(as_owner, django_assert_num_queries):
    as_owner.post(reverse("shop:settings"), TYPED)
    with django_assert_num_queries(4):  # session, user, settings for the page, settings fresh for the form
        as_owner.get(reverse("shop:settings"))


def test_between_requests_nothing_is_remembered(as_owner, owner):
    as_owner.get(reverse("shop:settings"))
    change_settings(by=owner, name="Changed elsewhere")
    assert "Changed elsewhere" in as_owner.get(reverse("shop:settings")).text


def test_the_lists_are_real_ones():
    """Against Debian's iso-codes where it is installed; else by form: ISO 4217, three capital letters."""
    import json
    from zoneinfo import ZoneInfo

    listed = Path("/usr/share/iso-codes/json/iso_4217.json")
    assert len(CURRENCIES) == len(set(CURRENCIES)) > 140
    assert all(len(code) == 3 and code.isascii() and code.isupper() for code in CURRENCIES)
    if listed.exists():
        assert set(CURRENCIES) <= {entry["alpha_3"] for entry in json.loads(listed.read_text())["4217"]}
    zones = [key for _, inside in time_zone_choices() for key, _ in inside]
    assert {"America/New_York", "America/Indiana/Knox", "Europe/Lisbon", "Pacific/Auckland"} <= set(zones)
    assert all(ZoneInfo(key) for key in zones)
    assert {"en-us", "en-gb", "es-mx"} <= {code for code, _ in locale_choices()}
