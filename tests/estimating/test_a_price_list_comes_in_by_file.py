"""A price list: each row's fate is shown, and all rows are taken over or none."""

import csv
import io
import time
from datetime import date
from decimal import Decimal

import pytest
from django.core import signing
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from estimating.actions import fill_estimate, install_example_rates, set_rate
from estimating.models import Rate
from shop.models import ShopSettings
from shop.table_files import kept as unkeep
from tests.base.workbooks import workbook
from tests.factories import StaffFactory, TileFactory
from tests.support.table_pages import fates, kept, look, take

pytestmark = pytest.mark.django_db
HEAD = "Kind,Rate,Product,Supplier,Unit,Price,Units in a package\n"
LABOR = "Kind,Rate,Unit,Price,Hours for one unit,Hours at best,Hours at worst,Persons at it\n"


@pytest.fixture
def url():
    return reverse("estimating:rate_list")


@pytest.fixture
def mortar(owner):
    return set_rate(key="mortar", unit="lb", cost=Decimal(26), package=Decimal(50), product="Gray", by=owner)


def test_each_row_has_its_fate_and_nothing_is_kept_before_it_is_taken_over(as_owner, url, mortar, owner):
    set_rate(key="membrane", unit="ft2", cost=Decimal("1.95"), by=owner)
    tile = TileFactory(name="Oat 4 × 12")
    table = (
        HEAD + "Material,Thin-set mortar,Gray,,lb,$28.50,50\n,Waterproofing membrane,,,sq. ft.,1.95,\n"
        "Tile,oat 4 ×  12,Oat,Yard & Sons,pieces,48,8\n,Spacers,,,,,\n"
    )
    shown = look(as_owner, url, table)
    assert fates(shown) == {
        2: ("new price", "$26.00 for 50 lb becomes $28.50 for 50 lb"),
        3: ("unchanged", "$1.95 per sq ft"),
        4: ("first price", "$48.00 for 8 pieces · Oat · Yard & Sons"),
        5: ("left as it is", "The row has no price."),
    }
    assert Rate.objects.count() == 2
    answer = take(as_owner, url, shown)
    assert answer.url == reverse("estimating:rates")
    mortar.refresh_from_db()
    new = Rate.objects.get(key="mortar", valid_to=None)
    assert (mortar.cost, mortar.valid_to) == (26, timezone.localdate())
    assert (new.cost, new.package, new.product, new.valid_from) == (Decimal("28.5"), 50, "Gray", timezone.localdate())
    oat = Rate.objects.get(tile=tile)
    assert (oat.key, oat.cost, oat.package, oat.product, oat.supplier) == ("tile", 48, 8, "Oat", "Yard & Sons")
    assert Rate.objects.count() == 4
    page = as_owner.get(answer.url).content.decode()
    assert "2 rates taken over." in page
    assert "Oat · Yard &amp; Sons" in page


def test_an_old_price_that_the_list_has_again_is_old_no_more(as_owner, url, mortar):
    Rate.objects.update(valid_from=date(2026, 1, 5))
    shown = look(as_owner, url, "Rate,Price\nmortar,26\n")
    assert fates(shown) == {2: ("still holds", "$26.00 for 50 lb")}
    take(as_owner, url, shown)
    assert (Rate.objects.get().valid_from, Rate.objects.get().as_of) == (date(2026, 1, 5), timezone.localdate())
    assert fates(look(as_owner, url, "Rate,Price\nmortar,26\n")) == {2: ("unchanged", "$26.00 for 50 lb")}


def test_columns_that_the_table_lacks_stay_as_they_are(as_owner, url, mortar):
    take(as_owner, url, look(as_owner, url, "Rate,Price\nmortar,30\n"))
    new = Rate.objects.get(key="mortar", valid_to=None)
    assert (new.cost, new.package, new.unit, new.product) == (30, 50, "lb", "Gray")


def test_another_product_at_the_same_price_is_told(as_owner, url, mortar):
    shown = look(as_owner, url, "Rate,Price,Product,Supplier\nThin-set mortar,26,White,Yard\n")
    assert fates(shown) == {2: ("other product", "Gray becomes White · Yard")}


def test_labor_and_material_of_one_name_are_told_apart_by_their_kind(as_owner, url):
    shown = look(as_owner, url, LABOR + "Labor,Grout,ft2,62,0.03,0.02,0.05,2\nMaterial,Grout,lb,19.5,,,,\n")
    take(as_owner, url, shown)
    labor = Rate.objects.get(key="labor_grout")
    assert (labor.hours, labor.hours_low, labor.crew) == (Decimal("0.03"), Decimal("0.02"), 2)
    assert Rate.objects.get(key="grout").cost == Decimal("19.5")


BAD_ROWS = [
    (",Moon dust,,,,5,", "no rate or tile of this name"),
    (",Grout,,,,5,", "More than one rate has this name"),
    ("Food,Spacers,,,,5,", "Kind is one of Material, Labor, Equipment, Disposal, Travel, Other, Tile"),
    (",Wet saw and stand,,,,45,8", "Units in a package doesn't belong to this rate"),
    (",Spacers,,,,-5,", "Price: Ensure this value is greater than or equal to 0."),
    (",membrane,,,,five,", "Price: “five” is no figure. Write it as 12.5."),
    (",board,,,,1e9,", "Price: “1e9” is no figure"),
    (",fastener,,,,9999999,", "Price: Ensure this value is less than"),
    (",sealant,,,,1.23456,", "no more than 4 decimal places"),
    (",clip,,,,5,0", "Units in a package: Ensure this value is greater"),
    (",leveling,,,lb,5,", "Unit: Select a valid choice. lb is not"),
    (",labor_clean,,,,62,", "Hours for one unit: This field is required."),
    (",labor_grout,,Yard,,62,", "Supplier doesn't belong to this rate"),
    (f",sealer,{'x' * 121},,,5,", "Product: Ensure this value has at most 120"),
    (",Thin-set mortar,,,,5,", "Row 2 has the same rate. Take one of them out."),
    (",Oat,,,,5,", "More than one tile has this name"),
    (",=cmd|' /C calc'!A0,,,,5,", "no rate or tile of this name"),
    (",<script>alert(1)</script>,,,,5,", "no rate or tile of this name"),
]


def test_bad_rows_say_why_and_keep_all_of_them_back(as_owner, url):
    TileFactory.create_batch(2, name="Oat")
    shown = look(as_owner, url, HEAD + "\n".join([",Thin-set mortar,,,lb,28,50", *(row for row, _ in BAD_ROWS)]))
    found = fates(shown)
    assert found[2][0] == "first price"
    for number, (row, says) in enumerate(BAD_ROWS, start=3):
        word, text = found[number]
        assert (word, says in text) == ("can't be taken", True), (row, text)
    assert shown.context["fates"][-1].number == 2  # what is to be mended stands first
    page = shown.content.decode()
    assert 'name="take"' not in page
    assert "=cmd|&#x27; /C calc&#x27;!A0" in page
    assert "<script>alert" not in page
    # And who sends it nevertheless is told so.
    answer = as_owner.post(url, {"take": "", "kept": shown.context["kept"]})
    assert answer.status_code == 422
    assert "Nothing was taken over: some rows" in answer.content.decode()
    assert Rate.objects.count() == 0


def test_what_somebody_changed_meanwhile_is_shown_anew(as_owner, url, mortar, owner):
    shown = look(as_owner, url, "Rate,Price\nmortar,30\nspacer,6\n")
    set_rate(key="mortar", unit="lb", cost=Decimal(29), package=Decimal(50), product="Gray", by=owner)
    answer = take(as_owner, url, shown)
    assert answer.status_code == 422
    assert "Somebody changed something since you looked" in answer.content.decode()
    assert fates(answer)[2] == ("new price", "$29.00 for 50 lb becomes $30.00 for 50 lb")
    assert not Rate.objects.filter(key="spacer").exists()
    assert take(as_owner, url, answer).status_code == 302
    assert Rate.objects.get(key="mortar", valid_to=None).cost == 30


def test_taken_over_twice_it_is_set_once(as_owner, url):
    shown = look(as_owner, url, "Rate,Price\nspacer,6\n")
    assert take(as_owner, url, shown).status_code == 302
    again = take(as_owner, url, shown)
    assert again.status_code == 422
    assert "There is nothing in it to take over." in again.content.decode()
    assert Rate.objects.count() == 1


def test_where_the_last_row_fails_none_is_kept(as_owner, url, mortar, monkeypatch):
    shown = look(as_owner, url, "Rate,Price\nmortar,30\nspacer,6\n")
    true = Rate.objects.bulk_create

    def spoiled(rates):
        rates[-1].cost = Decimal(-1)
        return true(rates)

    monkeypatch.setattr(type(Rate.objects), "bulk_create", lambda _manager, rates: spoiled(rates))
    with pytest.raises(IntegrityError, match="estimating_rate_cost_not_negative"):
        take(as_owner, url, shown)
    monkeypatch.undo()
    mortar.refresh_from_db()
    assert (Rate.objects.count(), mortar.valid_to) == (1, None)


def test_a_preview_is_of_use_to_its_own_page_person_and_day(as_owner, url, owner, monkeypatch):
    text = kept(look(as_owner, url, "Rate,Price\nspacer,6\n"))
    for spoiled in (text[:-3] + "AAA", "", "no preview"):
        assert as_owner.post(url, {"take": "", "kept": spoiled}).status_code == 422
    with pytest.raises(Refused):
        unkeep(text, purpose="clients", by=owner)
    with pytest.raises(Refused):
        unkeep(text, purpose="rates", by=StaffFactory())
    assert unkeep(text, purpose="rates", by=owner)[0].lines[0].cells == {"rate": "spacer", "cost": "6"}
    tomorrow = time.time() + 25 * 3600
    monkeypatch.setattr(signing.time, "time", lambda: tomorrow)
    with pytest.raises(Refused, match="too old"):
        unkeep(text, purpose="rates", by=owner)
    assert Rate.objects.count() == 0


def test_an_example_stays_one_until_its_figures_change(as_owner, url, owner):
    install_example_rates(by=owner)
    before = Rate.objects.count()
    file = as_owner.get(reverse("estimating:rate_list_file"))
    shown = look(as_owner, url, file.content)
    alike = {"unchanged", "left as it is"}
    assert {word for word, _text in fates(shown).values()} == alike
    table = file.content.decode("utf-8-sig").replace("26,50", "27,50")
    assert [word for word, _text in fates(look(as_owner, url, table)).values() if word not in alike] == ["new price"]
    take(as_owner, url, look(as_owner, url, table))
    assert Rate.objects.count() == before + 1
    assert not Rate.objects.get(key="mortar", valid_to=None).example


def test_the_rates_as_a_table_hold_nothing_that_a_spreadsheet_would_work_out(as_owner, url, owner, mortar):
    tile = TileFactory(name="=HYPERLINK(1)")
    set_rate(key="tile", tile=tile, unit="piece", cost=Decimal(5), product="@sum", supplier="+1", by=owner)
    file = as_owner.get(reverse("estimating:rate_list_file"))
    assert file["Content-Disposition"] == 'attachment; filename="price-list.csv"'
    cells = [cell for row in csv.reader(io.StringIO(file.content.decode("utf-8-sig"))) for cell in row]
    assert {"'=HYPERLINK(1)", "'@sum", "'+1"} <= set(cells)
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@")]
    assert set(fates(look(as_owner, url, file.content)).values()) >= {("unchanged", "$5.00 per piece")}


def test_a_workbook_does_as_well(as_owner, url):
    shown = look(as_owner, url, workbook(["Rate", "Price"], ["Spacers", 6.25]), "list.xlsx")
    take(as_owner, url, shown)
    assert Rate.objects.get().cost == Decimal("6.25")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "The submitted file is empty"),
        ("Rate\nSpacers\n", "lacks “Price”"),
        ("Rate,Price\nSpacers,1,234\n", "Row 2 has more cells"),
        (workbook(["Rate", "Price"], ["Spacers", 6], ["Clips", None], merge="B2:B3"), "Cells B2:B3 are merged"),
    ],
)
def test_a_file_that_is_no_table_says_why_on_its_page(as_owner, url, content, says):
    answer = look(as_owner, url, content)
    assert answer.status_code == 422
    assert says in answer.content.decode()


def test_queries_don_t_grow_with_rows(as_owner, url):
    def queries(rows):
        with CaptureQueriesContext(connection) as looked:
            shown = look(as_owner, url, "Rate,Price\n" + "".join(f"{row},5\n" for row in rows))
        with CaptureQueriesContext(connection) as taken:
            assert take(as_owner, url, shown).status_code == 302
        return len(looked), len(taken)

    for number in range(30):
        TileFactory(name=f"Tile {number}")
    # A shop that is set up has its row.
    ShopSettings.objects.get_or_create(pk=1)
    few = queries(["Tile 0", "Tile 1"])
    assert queries([f"Tile {number}" for number in range(2, 30)]) == few


def test_the_office_sees_rates_but_takes_no_list_over(as_office, url):
    assert look(as_office, url, "Rate,Price\nSpacers,5\n").status_code == 403
    assert as_office.get(reverse("estimating:rate_list_file")).status_code == 403


def test_product_and_supplier_are_set_on_the_page_and_told_on_the_estimate(as_owner, laid_out, owner):
    rate = reverse("estimating:rate_edit", args=["mortar"])
    typed = {"unit": "lb", "cost": "26", "package": "50", "product": "Gray <40>", "supplier": "Yard"}
    as_owner.post(rate, typed)
    assert b'value="Gray &lt;40&gt;"' in as_owner.get(rate).content
    fill_estimate(job=laid_out, by=owner)
    assert b"Gray &lt;40&gt; \xc2\xb7 Yard" in as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).content


def test_labor_has_no_product(as_owner, owner):
    assert b'name="product"' not in as_owner.get(reverse("estimating:rate_edit", args=["labor_clean"])).content
    with pytest.raises(IntegrityError, match="estimating_rate_material_has_a_product"):
        Rate.objects.create(
            key="labor_clean", kind="labor", name="x", unit="ft2", cost=1, hours=1, product="x", valid_from="2026-01-01"
        )
