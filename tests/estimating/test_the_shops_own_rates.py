"""Rates that the shop adds to those of the catalogue: made, priced anew, renamed, put away and taken up again."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.actions import BadRate, change_own_rate, make_own_rate, own_rates, put_away_own_rate, take_up_own_rate
from estimating.catalogue import RATES
from estimating.models import OWN, OwnRate, Rate
from estimating.rate_figures import NewRate

pytestmark = pytest.mark.django_db

LOAD = {"unit": "load", "cost": Decimal(420)}


@pytest.fixture
def container(owner):
    return make_own_rate(name="Container for debris", kind="disposal", by=owner, **LOAD)


def test_it_has_a_key_of_its_own_for_good(container, owner):
    assert container.key == "own-container-for-debris"
    change_own_rate(own=container, name="Container, 10 yd", by=owner, **LOAD)
    container.refresh_from_db()
    assert (container.name, container.key) == ("Container, 10 yd", "own-container-for-debris")
    # Another one by the name that is free again, and one whose name has no letter that a key could hold.
    again = make_own_rate(name="Container for debris", kind="disposal", by=owner, **LOAD)
    assert again.key == "own-container-for-debris-2"
    assert make_own_rate(name="養生", kind="material", unit="m2", cost=1, by=owner).key == "own-rate"
    assert not [rate.key for rate in RATES if rate.key.startswith(OWN)]


def test_a_new_price_ends_the_old_one_and_another_name_changes_no_price(container, owner):
    Rate.objects.update(valid_from=date(2026, 1, 5))
    change_own_rate(own=container, name="Roll-off", by=owner, **LOAD)
    rate = Rate.objects.get()
    assert (rate.name, rate.cost, rate.valid_from, rate.as_of) == (
        "Roll-off",
        420,
        date(2026, 1, 5),
        timezone.localdate(),
    )
    change_own_rate(own=container, name="Roll-off", unit="load", cost=Decimal(450), by=owner)
    old, new = Rate.objects.order_by("created_at")
    assert (old.cost, old.valid_to) == (420, timezone.localdate())
    assert (new.cost, new.valid_to, new.own_id, new.key) == (450, None, container.key, container.key)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("container FOR  debris", "There is a rate of your own by this name: “Container for debris”."),
        ("thin-set mortar", "is one of the rates that are there already"),
        ("labor_grout", "is one of the rates that are there already"),
        ("  ", "A rate has a name"),
        ("x" * 121, "A rate has a name"),
    ],
)
def test_a_name_is_there_once_whatever_its_capitals(container, owner, name, says):
    with pytest.raises(BadRate, match=says):
        make_own_rate(name=name, kind="disposal", by=owner, **LOAD)
    other = make_own_rate(name="Dump fee", kind="disposal", by=owner, **LOAD)
    with pytest.raises(BadRate, match=says):
        change_own_rate(own=other, name=name, by=owner, **LOAD)
    assert OwnRate.objects.count() == 2


@pytest.mark.parametrize(
    ("kind", "figures"),
    [
        ("material", {"unit": "furlong"}),
        ("equipment", {"unit": "day", "package": Decimal(2)}),
        ("equipment", {"unit": "day", "supplier": "Yard"}),
        ("disposal", {"unit": "load", "hours": Decimal(1)}),
        ("labor", {"unit": "ft2"}),
        ("labor", {"unit": "ft2", "hours": Decimal(1), "hours_low": Decimal(2), "hours_high": Decimal(3)}),
    ],
)
def test_figures_that_make_no_sense_are_refused_and_nothing_is_made(owner, kind, figures):
    with pytest.raises(BadRate):
        make_own_rate(name="Something", kind=kind, cost=Decimal(1), by=owner, **figures)
    assert not OwnRate.objects.exists()


def test_it_stays_in_units_that_measure_the_same(container, owner):
    fleece = make_own_rate(name="Fleece", kind="material", unit="ft2", cost=1, by=owner)
    change_own_rate(own=fleece, name="Fleece", unit="m2", cost=Decimal(10), by=owner)
    with pytest.raises(BadRate, match="another measure"):
        change_own_rate(own=fleece, name="Fleece", unit="roll", cost=Decimal(60), by=owner)
    assert Rate.objects.get(own=fleece, valid_to=None).unit == "m2"


def test_the_database_holds_it_as_well(container):
    row = {"kind": "disposal", "name": "x", "unit": "load", "cost": 1, "valid_from": "2026-01-01"}
    refused = [
        (
            "estimating_own_rate_one_name",
            lambda: OwnRate.objects.create(key="own-2", kind="other", name="CONTAINER for debris"),
        ),
        ("estimating_own_rate_key_says_so", lambda: OwnRate.objects.create(key="mortar", kind="other", name="y")),
        ("estimating_own_rate_has_a_name", lambda: OwnRate.objects.create(key="own-3", kind="other", name="")),
        ("estimating_own_rate_kind_known", lambda: OwnRate.objects.create(key="own-4", name="z", kind="food")),
        ("estimating_rate_own_has_its_key", lambda: Rate.objects.create(key="own-other", own=container, **row)),
        ("estimating_rate_own_has_its_key", lambda: Rate.objects.create(key="own-none", **row)),
        ("estimating_rate_one_in_force", lambda: Rate.objects.create(key=container.key, own=container, **row)),
    ]
    for name, write in refused:
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            write()


def test_put_away_its_price_ends_and_taken_up_it_has_one_again(container, owner):
    put_away_own_rate(own=container, by=owner)
    put_away_own_rate(own=container, by=owner)
    container.refresh_from_db()
    today = timezone.localdate()
    assert (container.archived_on, Rate.objects.get().valid_to) == (today, today)
    with pytest.raises(BadRate, match="put this rate away meanwhile"):
        change_own_rate(own=container, name="Container", by=owner, **LOAD)
    with pytest.raises(BadRate, match="is there, put away: take it up again"):
        make_own_rate(name="Container for Debris", kind="disposal", by=owner, **LOAD)
    take_up_own_rate(own=container, name="Container", unit="load", cost=Decimal(450), by=owner)
    container.refresh_from_db()
    assert (container.archived_on, container.name) == (None, "Container")
    assert Rate.objects.get(valid_to=None).cost == 450


def test_there_are_so_many_at_most(container, owner, monkeypatch):
    monkeypatch.setattr(own_rates, "MOST_OWN_RATES", 2)
    put_away_own_rate(own=container, by=owner)
    make_own_rate(name="Ladder", kind="equipment", unit="day", cost=38, by=owner)
    with pytest.raises(BadRate, match="A shop has 2 rates of its own at most"):
        make_own_rate(name="Lift", kind="equipment", unit="day", cost=238, by=owner)


def test_many_are_made_in_as_many_queries_as_one(owner):
    def queries(numbers):
        wanted = [NewRate(f"Thing {number}", "other", {"unit": "each", "cost": Decimal(1)}) for number in numbers]
        with CaptureQueriesContext(connection) as found:
            own_rates.make_own_rates(wanted, by=owner)
        return len(found)

    queries([0])
    assert queries([1]) == queries(range(2, 40))


def test_its_history_is_kept(container, owner):
    change_own_rate(own=container, name="Roll-off", by=owner, **LOAD)
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM estimating_ownrateevent ORDER BY pgh_id")
        assert [name for (name,) in cursor.fetchall()] == ["Container for debris", "Roll-off"]


# ---------------------------------------------------------------- the pages


def test_the_page_says_what_they_are_for_where_there_are_none(as_owner, as_office):
    page = as_owner.get(reverse("estimating:rates")).content.decode()
    assert "For what the list above doesn’t have" in page
    assert reverse("estimating:rate_own_new") in page
    assert reverse("estimating:rate_own_new") not in as_office.get(reverse("estimating:rates")).content.decode()


def test_the_owner_makes_changes_puts_away_and_takes_up_by_the_page(as_owner):
    new = reverse("estimating:rate_own_new")
    assert b"?kind=disposal" in as_owner.get(new).content
    form = as_owner.get(f"{new}?kind=disposal").context["form"]
    assert (list(form.fields), form.initial["unit"]) == (["name", "unit", "cost", "valid_from"], "load")
    answer = as_owner.post(f"{new}?kind=disposal", {"name": "Container", "unit": "load", "cost": "420"})
    assert answer.url == reverse("estimating:rates")
    own = OwnRate.objects.get()
    here = reverse("estimating:rate_own", args=[own.pk])
    page = as_owner.get(answer.url).content.decode()
    assert here in page
    assert "$420.00 per load" in page
    as_owner.post(here, {"save": "", "name": "Container", "unit": "load", "cost": "450"})
    assert b"$450.00 per load" in as_owner.get(reverse("estimating:rates")).content
    as_owner.post(here, {"put_away": ""})
    page = as_owner.get(reverse("estimating:rates")).content.decode()
    assert "$450.00 per load" not in page
    assert "1 put away" in page
    shown = as_owner.get(here)
    assert shown.context["form"].initial["cost"] == 450
    assert b'name="take_up"' in shown.content
    assert b'name="save"' not in shown.content
    as_owner.post(here, {"take_up": "", "name": "Container", "unit": "load", "cost": "460"})
    assert Rate.objects.get(valid_to=None).cost == 460


def test_what_is_wrong_is_said_and_what_was_typed_stays(as_owner, container):
    url = reverse("estimating:rate_own_new") + "?kind=labor"
    typed = {"name": "Container for debris", "unit": "ft2", "cost": "62", "hours": "0.1", "hours_low": "", "crew": ""}
    shown = as_owner.post(url, typed)
    assert shown.status_code == 422
    assert "There is a rate of your own by this name" in shown.content.decode()
    assert shown.context["form"]["hours"].value() == "0.1"
    assert OwnRate.objects.count() == 1
    assert as_owner.get(reverse("estimating:rate_own_new") + "?kind=food").status_code == 404


def test_a_name_is_only_a_name(as_owner, owner):
    make_own_rate(name="<b>Lift</b>", kind="equipment", unit="day", cost=9, by=owner)
    page = as_owner.get(reverse("estimating:rates")).content.decode()
    assert "&lt;b&gt;Lift" in page
    assert "<b>Lift" not in page


def test_an_old_one_is_told_on_the_estimate_that_has_it(as_owner, estimate, laid_out, container, owner):
    from estimating.actions import add_rate_line

    add_rate_line(job=laid_out, rate=Rate.objects.get(own=container), quantity=Decimal(1), by=owner)
    Rate.objects.filter(own=container).update(valid_from=timezone.localdate() - timedelta(days=900))
    page = as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).context["page"]
    assert page.weighed.old == ["Container for debris"]
