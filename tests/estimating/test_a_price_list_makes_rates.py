"""A price list that brings new rates, and tells tiles of one name apart."""

import csv
import io
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating import price_list_names
from estimating.actions import install_example_rates, make_own_rate, put_away_own_rate, set_rate
from estimating.models import OwnRate, Rate
from shop.models import ShopSettings
from tests.base.workbooks import workbook
from tests.factories import TileFactory
from tests.support.table_pages import fates, look, take

pytestmark = pytest.mark.django_db
HEAD = "Kind,Rate,Product,Supplier,Unit,Price,Units in a package,Hours for one unit\n"
INCH = Decimal("25.4")


@pytest.fixture
def url():
    return reverse("estimating:rate_list")


@pytest.fixture
def container(owner):
    return make_own_rate(name="Container for debris", kind="disposal", unit="load", cost=Decimal(420), by=owner)


def size(width, height, **more):
    return {"width": Decimal(width) * INCH, "height": Decimal(height) * INCH, "thickness": None, **more}


def exported(client):
    file = client.get(reverse("estimating:rate_list_file")).content
    return list(csv.DictReader(io.StringIO(file.decode("utf-8-sig")))), file


def test_a_row_with_kind_unit_and_price_makes_a_rate(as_owner, url):
    rows = (
        "Material,Floor protection,Fleece,Yard,sq ft,68,200,\nLabor,Mask the tub,,,each,62,,0.5\n"
        "Disposal,Container for debris,,,load,420,,\n"
    )
    shown = look(as_owner, url, HEAD + rows)
    assert fates(shown) == {
        2: ("new rate", "Material · $68.00 for 200 sq ft · Fleece · Yard"),
        3: ("new rate", "Labor · $62.00 an hour, 0.5 hours per one"),
        4: ("new rate", "Disposal · $420.00 per load"),
    }
    assert not OwnRate.objects.exists()
    page = as_owner.get(take(as_owner, url, shown).url).content.decode()
    assert "3 rates taken over." in page
    fleece = OwnRate.objects.get(name="Floor protection")
    rate = Rate.objects.get(own=fleece)
    assert (fleece.kind, fleece.key) == ("material", "own-floor-protection")
    assert (rate.cost, rate.package, rate.unit, rate.product) == (68, 200, "ft2", "Fleece")
    assert (rate.valid_from, rate.example) == (timezone.localdate(), False)
    assert Rate.objects.get(key="own-mask-the-tub").hours == Decimal("0.5")


def test_the_next_list_prices_it_anew_by_its_name_alone(as_owner, url, container):
    shown = look(as_owner, url, "Rate,Price\ncontainer FOR debris,450\n")
    assert fates(shown) == {2: ("new price", "$420.00 per load becomes $450.00 per load")}
    take(as_owner, url, shown)
    assert Rate.objects.get(own=container, valid_to=None).cost == 450
    assert OwnRate.objects.count() == 1


BAD_ROWS = [
    ("Disposal,Contaner for debris,,,load,450,,", "Did you mean “Container for debris”?"),
    ("Material,Thinset mortar,,,lb,26,50,", "Did you mean “Thin-set mortar”?"),
    (",Contianer for debris,,,,450,,", "Did you mean “Container for debris”?"),
    (",Moon dust,,,lb,5,,", "Kind, unit and price together would make it a new rate of your own."),
    ("Material,Moon dust,,,,5,,", "Kind, unit and price together"),
    ("Material,Moon dust,,,lb,,,", "Kind, unit and price together"),
    ("Tile,Moon dust,,,piece,5,,", "Kind, unit and price together"),
    ("Equipment,Grout,,,lb,5,,", "The rate of this name is of another kind: Material, Labor."),
    ("Material,Lunar sand,,,furlong,5,,", "Unit: Select a valid choice. furlong is not"),
    ("Equipment,Lift,Fast,,day,5,,", "Product doesn't belong to this rate"),
    ("Labor,Sweep,,,sq ft,62,,", "Hours for one unit: This field is required."),
    (f"Other,{'y' * 121},,,each,62,,", "A rate has a name, of 120 characters at most."),
    ("Other,Permit,,,each,-1,,", "Price: Ensure this value is greater"),
    ("Other,,,,each,5,,", "The row has no name."),
    ("Disposal,Container for debris,,,lb,9,,", "Unit: Select a valid choice. lb is not"),
]


def test_a_typo_never_makes_a_rate_and_nor_does_half_a_row(as_owner, url, container):
    shown = look(as_owner, url, HEAD + "\n".join(row for row, _says in BAD_ROWS))
    found = fates(shown)
    for number, (row, says) in enumerate(BAD_ROWS, start=2):
        assert (found[number][0], says in found[number][1]) == ("can't be taken", True), (row, found[number])
    assert OwnRate.objects.count() == 1


def test_two_names_of_one_list_that_are_near_are_taken_for_one_mistyped(as_owner, url):
    shown = look(as_owner, url, HEAD + "Other,Floor protecton,,,each,1,,\nOther,Floor protection,,,each,2,,\n")
    assert fates(shown)[3][1].startswith("There is no rate or tile of this name. Did you mean “Floor protecton”?")
    shown = look(as_owner, url, HEAD + "Other,Permit,,,each,1,,\nOther,permit,,,each,2,,\n")
    assert fates(shown)[3][1] == "Row 2 has the same rate. Take one of them out."


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("containr for debris", "Container for debris"),
        ("debris container", ""),
        ("container for debris, large", ""),
        ("trim 1/2 brushed", ""),
        ("trim 3/8 brushd", "Trim 3/8 brushed"),
        ("", ""),
    ],
)
def test_other_figures_or_more_words_are_another_thing(name, near):
    known = price_list_names.Known()
    for each in ("Container for debris", "Trim 3/8 brushed"):
        known.add(each)
    assert known.nearest(name) == near


def test_a_rate_that_was_put_away_is_said_and_left(as_owner, url, container, owner):
    put_away_own_rate(own=container, by=owner)
    shown = look(as_owner, url, "Rate,Price\nContainer for debris,450\nSpacers,6\n")
    assert fates(shown)[2][0] == "put away"
    assert "take it up again" in fates(shown)[2][1]
    take(as_owner, url, shown)
    assert not Rate.objects.filter(own=container, valid_to=None).exists()
    assert Rate.objects.filter(key="spacer").exists()


def test_a_list_can_t_make_more_than_a_shop_may_have(as_owner, url, container, monkeypatch):
    monkeypatch.setattr(price_list_names, "MOST_OWN_RATES", 2)
    shown = look(as_owner, url, HEAD + "Other,Permit,,,each,1,,\nOther,Helper’s fee,,,each,2,,\n")
    assert fates(shown)[2][0] == "new rate"
    assert "A shop has 2 rates of its own at most" in fates(shown)[3][1]


def test_somebody_who_makes_it_meanwhile_changes_the_row_s_fate(as_owner, url, owner):
    shown = look(as_owner, url, HEAD + "Disposal,Container for debris,,,load,450,,\n")
    make_own_rate(name="Container for debris", kind="disposal", unit="load", cost=Decimal(420), by=owner)
    answer = take(as_owner, url, shown)
    assert answer.status_code == 422
    assert fates(answer) == {2: ("new price", "$420.00 per load becomes $450.00 per load")}
    assert OwnRate.objects.count() == 1


def test_queries_don_t_grow_with_new_rates(as_owner, url):
    def queries(names):
        table = HEAD + "".join(f"Other,{name},,,each,1,,\n" for name in names)
        with CaptureQueriesContext(connection) as looked:
            shown = look(as_owner, url, table)
        with CaptureQueriesContext(connection) as taken:
            assert take(as_owner, url, shown).status_code == 302
        return len(looked), len(taken)

    ShopSettings.objects.get_or_create(pk=1)
    few = queries(["Thing 0", "Thing 1"])
    assert queries([f"Thing {number}" for number in range(2, 40)]) == few


# ---------------------------------------------------------------- tiles of one name


@pytest.fixture
def oats(owner):
    """Three of one name: two sizes, and one of them in two finishes."""
    tiles = [
        TileFactory(name="Oat", **size("12", "24", finish="glazed")),
        TileFactory(name="Oat", **size("12", "24", finish="unglazed")),
        TileFactory(name="Oat", **size("11.75", "11.75")),
    ]
    for tile, cost in zip(tiles, (5, 6, 7), strict=True):
        set_rate(key="tile", tile=tile, unit="piece", cost=Decimal(cost), by=owner)
    return tiles


def test_they_are_told_apart_by_size_and_finish(as_owner, url, oats):
    rows = 'Oat,"12"" × 24"", glazed",8\nOat,"12 x 24 in, unglazed",9\nOat,11 3/4 x 11 3/4,10\n'
    table = f"Rate,Size and finish,Price\n{rows}"
    shown = look(as_owner, url, table)
    assert {word for word, _text in fates(shown).values()} == {"new price"}
    take(as_owner, url, shown)
    assert [Rate.objects.get(tile=tile, valid_to=None).cost for tile in oats] == [8, 9, 10]


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("", "say which under “Size and finish”, 12"),
        ("12 x 24", "Say more of it, or rename one."),
        ("6 x 6", "No tile of this name is so: 12"),
    ],
)
def test_what_isn_t_said_well_enough_is_refused(as_owner, url, oats, said, says):
    word, text = fates(look(as_owner, url, f"Rate,Size and finish,Price\nOat,{said},8\n"))[2]
    assert (word, says in text) == ("can't be taken", True), text


def test_a_size_belongs_to_a_tile_alone(as_owner, url):
    assert (
        "Size and finish doesn't belong to this rate"
        in fates(look(as_owner, url, "Rate,Size and finish,Price\nSpacers,1/8,8\n"))[2][1]
    )


def test_a_list_from_before_without_that_column_goes_on_working(as_owner, url):
    tile = TileFactory(name="Oat", **size("12", "24"))
    take(as_owner, url, look(as_owner, url, "Rate,Price\nOat,8\n"))
    assert Rate.objects.get(tile=tile).cost == 8


def test_a_metric_shop_reads_and_writes_mm(as_owner, url):
    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    tiles = [TileFactory(name="Oat", **size("12", "24")), TileFactory(name="Oat", **size("6", "6"))]
    rows, _file = exported(as_owner)
    assert {row["Size and finish"] for row in rows if row["Rate"] == "Oat"} == {
        "304.8 mm × 609.6 mm",
        "152.4 mm × 152.4 mm",
    }
    take(as_owner, url, look(as_owner, url, "Rate,Size and finish,Price\nOat,304.8 x 609.6,8\n"))
    assert Rate.objects.get().tile == tiles[0]


# ---------------------------------------------------------------- there and back


@pytest.fixture
def full(owner, oats, container):
    """Every rate there is, own ones of two kinds, and two tiles that nothing tells apart."""
    install_example_rates(by=owner)
    make_own_rate(name="Mask", kind="labor", unit="ft2", cost=Decimal(60), hours=Decimal("0.1"), crew=2, by=owner)
    figures = {"unit": "ft2", "cost": Decimal("68.5"), "package": Decimal(200), "product": "Fleece"}
    make_own_rate(name="Floor protection", kind="material", by=owner, **figures)
    put_away_own_rate(own=make_own_rate(name="Old thing", kind="other", unit="each", cost=1, by=owner), by=owner)
    TileFactory.create_batch(2, name="Twin", **size("6", "6"))


def test_the_rates_as_a_table_come_back_unchanged(as_owner, url, full):
    rows, file = exported(as_owner)
    names = [row["Rate"] for row in rows]
    assert names.count("Oat") == 3
    assert not {"Old thing", "Twin"} & set(names)
    mask = next(row for row in rows if row["Rate"] == "Mask")
    assert (mask["Kind"], mask["Unit"], mask["Price"], mask["Persons at it"]) == ("Labor", "sq ft", "60", "2")
    shown = look(as_owner, url, file)
    assert {fate.word for fate in shown.context["preview"].fates} == {"unchanged", "left as it is"}


def test_so_do_they_as_a_workbook(as_owner, url, full):
    rows, _file = exported(as_owner)
    cells = [[_number(cell) for cell in row.values()] for row in rows]
    shown = look(as_owner, url, workbook(list(rows[0]), *cells), "list.xlsx")
    assert {fate.word for fate in shown.context["preview"].fates} == {"unchanged", "left as it is"}


def test_in_a_shop_that_has_none_of_its_own_they_are_made_again(as_owner, url, full):
    rows, file = exported(as_owner)
    Rate.objects.filter(own__isnull=False).delete()
    OwnRate.objects.all().delete()
    shown = look(as_owner, url, file)
    made = [fate.name for fate in shown.context["preview"].fates if fate.word == "new rate"]
    assert made == ["Container for debris", "Floor protection", "Mask"]
    take(as_owner, url, shown)
    assert exported(as_owner)[0] == rows


def _number(cell):
    try:
        return float(cell)
    except ValueError:
        return cell
