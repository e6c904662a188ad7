"""The owner sets a limit of the trade: typed in the shop's units, with a reason, and never over an earlier one."""

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from shop.actions import change_settings, set_limit
from shop.limit_form import read, typed
from shop.models import LimitChange
from shop.queries import limit_row, shop_limits
from trade.lengths import inches
from trade.shop_limits import DEFAULTS, FIGURES

pytestmark = pytest.mark.django_db

LIPPAGE = "lippage_narrow_mm"


def url(key: str = LIPPAGE) -> str:
    return reverse("shop:limit", args=[key])


def post(client, key: str = LIPPAGE, *, seen: int = 0, button: str = "save", **typed_in):
    return client.post(url(key), {"value": "", "reason": "", "seen": seen, button: ""} | typed_in)


def words(response) -> str:
    """A page as it is read."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def test_a_shop_that_set_nothing_judges_by_the_sources(db):
    assert shop_limits() is DEFAULTS


def test_what_the_owner_types_is_in_force_with_who_when_and_why(as_owner, owner):
    assert post(as_owner, value='1/16"', reason="Handmade tile").status_code == 302
    change = LimitChange.objects.get()
    assert (change.key, change.number, change.value) == (LIPPAGE, 1, inches("1/16"))
    assert (change.by, change.reason) == (owner, "Handmade tile")
    assert abs(change.created_at - timezone.now()) < timedelta(minutes=5)
    assert shop_limits().own() == {LIPPAGE: inches("1/16")}


def test_a_limit_looser_than_its_source_is_taken_and_called_so(as_owner):
    response = as_owner.post(url(), {"value": "3/64", "reason": "Handmade tile", "seen": 0, "save": ""}, follow=True)
    page = words(response)
    assert "This is looser than its source" in page
    assert "the product’s written instructions and the local code still outrank it" in page
    assert "looser than the source" in page
    stricter = as_owner.post(
        url("mortar_hours"), {"value": "48", "reason": "Dense tile", "seen": 0, "save": ""}, follow=True
    )
    assert "48 hours" in words(stricter)
    assert "stricter than the source" in words(stricter)
    assert "Handmade tile" in words(stricter)


def test_every_page_of_a_limit_says_what_outranks_it(as_owner):
    for page in (reverse("shop:limits"), *map(url, FIGURES)):
        told = words(as_owner.get(page))
        assert "written instructions and the local code outrank every figure here" in told, page


def test_the_list_has_every_limit_with_its_source(as_owner):
    told = words(as_owner.get(reverse("shop:limits")))
    for figure in FIGURES.values():
        assert figure.rule.source in told, figure.key
    assert told.count("No check or finding asks for it yet.") == sum(not figure.asked for figure in FIGURES.values())


def test_back_to_the_source_is_one_more_row(as_owner):
    post(as_owner, value="1/16", reason="Handmade tile")
    assert post(as_owner, seen=1, button="back", value="nonsense", reason="They are gone").status_code == 302
    assert [(row.number, row.value) for row in LimitChange.objects.order_by("number")] == [
        (1, inches("1/16")),
        (2, None),
    ]
    assert shop_limits() == DEFAULTS
    history = words(as_owner.get(url()))
    assert "Handmade tile" in history
    assert "They are gone" in history


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        (LIPPAGE, "", "Type the limit."),
        (LIPPAGE, "a hair", "can't be read as a length"),
        (LIPPAGE, "-1/16", "can’t be meant"),
        (LIPPAGE, "0", "can’t be meant"),
        (LIPPAGE, "2'", "can’t be meant"),
        (LIPPAGE, "9" * 39, "longer than 1 km"),
        ("mortar_hours", "soon", "can't be read as a number"),
        ("mortar_hours", "nan", "can't be read as a number"),
        ("mortar_hours", "1e30", "can't be read as a number"),
        # An exponent stands for more digits than a machine can hold.
        ("mortar_hours", "1e-99999999", "can't be read as a number"),
        ("mortar_hours", "9" * 40, "can’t be meant"),
        ("water_test_hours", "0.2", "can’t be meant"),
        ("coverage_wet_percent", "101 %", "can’t be meant"),
        ("offset_percent", "1/0", "can't be read as a number"),
        ("shower_slope_low_percent", "5 %", "the least would be more than the most"),
    ],
)
def test_what_cannot_be_is_told_beside_the_field_and_stays_typed(as_owner, key, value, told):
    response = post(as_owner, key, value=value, reason="Because of the <heat>")
    assert response.status_code == 422
    page = html.unescape(response.content.decode())
    error = re.search(r'<p class="error" id="id_value_error">(.*?)</p>', page, re.DOTALL)
    assert error
    assert told in re.sub(r"<[^>]+>", "", error[1])
    assert 'value="Because of the <heat>"' in page
    assert not value or f'value="{value}"' in page
    assert not LimitChange.objects.exists()


def test_a_limit_without_a_reason_is_not_taken_nor_is_a_way_back(as_owner, owner):
    post(as_owner, value="1/16", reason="Handmade tile")
    for button in ("save", "back"):
        response = post(as_owner, seen=1, button=button, value="1/8", reason="  ")
        assert response.status_code == 422
        assert "Say why" in words(response)
        assert 'value="1/8"' in response.content.decode()
    with pytest.raises(Refused, match="Say why"):
        set_limit(key=LIPPAGE, value=None, reason=" ", seen=1, by=owner)
    assert LimitChange.objects.count() == 1


@pytest.mark.parametrize(
    ("key", "units", "text", "value"),
    [
        (LIPPAGE, "in", "1/16", "1.587500"),
        (LIPPAGE, "in", "1 mm", "1.000000"),
        (LIPPAGE, "mm", "1", "1.000000"),
        (LIPPAGE, "mm", '1/16"', "1.587500"),
        ("wall_height_mm", "in", "6' 6\"", "1981.200000"),
        # 1/4 in per ft is 2.083 percent, 1/2 in 4.167: rounded to what a reading of it meets.
        ("shower_slope_low_percent", "in", "1/4", "2.08"),
        ("shower_slope_high_percent", "in", "1/2", "4.17"),
        ("shower_slope_low_percent", "in", "2.5 %", "2.5"),
        ("shower_slope_low_percent", "mm", "25", "2.50"),
        ("offset_percent", "in", "1/4", "25.00"),
        ("offset_percent", "in", "33 %", "33"),
        ("mortar_hours", "in", "36,5", "36.5"),
    ],
)
def test_a_limit_is_read_in_the_shops_units_and_shown_as_it_would_be_typed(key, units, text, value):
    figure = FIGURES[key]
    found = read(text, figure=figure, units=units)
    assert found == Decimal(value)
    assert read(typed(found, figure=figure, units=units), figure=figure, units=units) == found


def test_every_default_can_be_typed_and_read_again():
    for figure in FIGURES.values():
        for units in ("in", "mm"):
            assert read(typed(figure.default, figure=figure, units=units), figure=figure, units=units) == figure.default


def test_a_metric_shop_reads_millimeters(as_owner, owner):
    change_settings(units="mm", by=owner)
    assert "In millimeters" in words(as_owner.get(url()))
    post(as_owner, value="1.2", reason="Handmade tile")
    assert shop_limits().value(LIPPAGE) == Decimal("1.2")
    assert "1.2 mm" in words(as_owner.get(reverse("shop:limits")))


def test_a_form_that_was_open_while_somebody_else_set_the_limit_is_shown_again(as_owner, owner):
    set_limit(key=LIPPAGE, value=inches("1/16"), reason="Handmade tile", seen=0, by=owner)
    late = post(as_owner, seen=0, value="1/8", reason="Old stone")
    assert late.status_code == 422
    page = late.content.decode()
    assert "in the meantime" in words(late)
    assert 'value="1/8"' in page
    assert 'name="seen" value="1"' in page
    assert shop_limits().value(LIPPAGE) == inches("1/16")
    assert post(as_owner, seen=1, value="1/8", reason="Old stone").status_code == 302
    assert shop_limits().value(LIPPAGE) == inches("1/8")


def test_pressed_twice_it_is_set_once(as_owner):
    for _ in range(2):
        assert post(as_owner, seen=0, value="1/16", reason="Handmade tile").status_code == 302
    assert LimitChange.objects.count() == 1
    assert post(as_owner, "mortar_hours", button="back", reason="Never set").status_code == 302
    assert LimitChange.objects.count() == 1


def test_only_the_owner_sets_limits(as_office, as_installer, as_other_installer, client, office, installer):
    for person in (as_office, as_installer, as_other_installer):
        for page in (reverse("shop:limits"), url()):
            assert person.get(page).status_code == 403
        assert post(person, value="1/8", reason="I say so").status_code == 403
    assert client.get(url()).status_code == 302
    for staff in (office, installer):
        with pytest.raises(PermissionDenied):
            set_limit(key=LIPPAGE, value=inches("1/8"), reason="I say so", seen=0, by=staff)
    assert not LimitChange.objects.exists()


def test_a_limit_that_is_not_there_is_not_found(as_owner, owner):
    assert as_owner.get(url("moon-hours")).status_code == 404
    assert post(as_owner, "value", value="1", reason="x").status_code == 404
    with pytest.raises(KeyError):
        set_limit(key="moon_hours", value=Decimal(1), reason="x", seen=0, by=owner)


def test_the_database_keeps_every_change_as_it_was_made(owner):
    set_limit(key=LIPPAGE, value=inches("1/16"), reason="Handmade tile", seen=0, by=owner)
    for statement in (
        "UPDATE shop_limitchange SET value = 9",
        "DELETE FROM shop_limitchange",
        "TRUNCATE shop_limitchange",
        "UPDATE shop_limitchange SET reason = 'other'",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    for wrong in ({"number": 1}, {"number": 0}, {"value": 0}, {"value": -1}, {"reason": ""}):
        row = {"key": LIPPAGE, "number": 2, "value": 1, "reason": "x", "by": owner} | wrong
        with pytest.raises(DatabaseError), transaction.atomic():
            LimitChange.objects.create(**row)
    assert LimitChange.objects.get().value == inches("1/16")


def test_limits_of_a_moment_are_those_that_were_set_by_then(owner):
    set_limit(key=LIPPAGE, value=inches("1/16"), reason="Handmade tile", seen=0, by=owner)
    at = LimitChange.objects.get().created_at
    assert shop_limits(at=at).value(LIPPAGE) == inches("1/16")
    assert shop_limits(at=at - timedelta(microseconds=1)) is DEFAULTS


def test_a_limit_that_a_later_edition_no_longer_has_is_left_out(owner):
    LimitChange.objects.create(key="moon_hours", number=1, value=3, reason="x", by=owner)
    assert shop_limits() is DEFAULTS
    assert limit_row("moon_hours") is None


def test_the_pages_take_the_same_queries_however_much_was_set(as_owner, owner, django_assert_num_queries):
    def queries(page: str) -> int:
        with connection.execute_wrapper(count):
            counted.clear()
            assert as_owner.get(page).status_code == 200
        return len(counted)

    counted: list[str] = []

    def count(execute, sql, params, many, context):
        counted.append(sql)
        return execute(sql, params, many, context)

    pages = (reverse("shop:limits"), url())
    before = [queries(page) for page in pages]
    for number, value in enumerate(("1/16", "3/32", "1/8", "5/32")):
        set_limit(key=LIPPAGE, value=inches(value), reason=value, seen=number, by=owner)

    assert [queries(page) for page in pages] == before
    assert before[0] <= 4  # session, user, settings, limits
