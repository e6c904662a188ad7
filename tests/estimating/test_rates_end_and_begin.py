from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from estimating.actions import BadRate, install_example_rates, set_rate
from estimating.catalogue import RATES
from estimating.models import Rate

pytestmark = pytest.mark.django_db


def test_a_new_price_ends_the_old_row(owner):
    old = set_rate(key="mortar", unit="lb", cost=Decimal("26"), package=Decimal(50), by=owner)
    new = set_rate(key="mortar", unit="lb", cost=Decimal("28"), package=Decimal(50), by=owner)
    old.refresh_from_db()
    assert old.cost == 26
    assert old.valid_to == new.valid_from == timezone.localdate()
    assert new.valid_to is None


def test_the_same_figures_again_change_nothing(owner):
    first = set_rate(key="mortar", unit="lb", cost=Decimal("26"), package=Decimal(50), by=owner)
    assert set_rate(key="mortar", unit="lb", cost=Decimal("26.00"), package=Decimal("50.0"), by=owner) == first
    assert Rate.objects.count() == 1


def test_the_same_figures_on_a_later_day_say_that_the_rate_still_holds(owner):
    first = set_rate(key="mortar", unit="lb", cost=Decimal("26"), package=Decimal(50), by=owner)
    Rate.objects.update(valid_from=date(2026, 1, 5))
    assert set_rate(key="mortar", unit="lb", cost=Decimal("26"), package=Decimal(50), by=owner) == first
    kept = Rate.objects.get()
    assert (kept.valid_from, kept.as_of, kept.valid_to) == (date(2026, 1, 5), timezone.localdate(), None)


def test_saving_an_example_figure_makes_it_the_shop_s_own(owner):
    install_example_rates(by=owner)
    example = Rate.objects.get(key="mortar")
    own = set_rate(key="mortar", unit=example.unit, cost=example.cost, package=example.package, by=owner)
    assert example.example
    assert not own.example


def test_examples_fill_only_what_is_missing(owner):
    set_rate(key="mortar", unit="lb", cost=Decimal("26"), package=Decimal(50), by=owner)
    assert install_example_rates(by=owner) == sum(not wanted.class_of for wanted in RATES) - 1
    assert install_example_rates(by=owner) == 0
    assert set(Rate.objects.filter(example=False).values_list("key", flat=True)) == {"mortar"}


def test_a_metric_shop_gets_metric_examples(owner):
    from shop.models import ShopSettings

    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    install_example_rates(by=owner)
    assert set(Rate.objects.values_list("unit", flat=True)) == {
        "kg",
        "m2",
        "m",
        "l",
        "each",
        "piece",
        "trip",
        "day",
        "km",
    }


@pytest.mark.parametrize(
    "figures",
    [
        {"key": "nothing", "unit": "lb"},
        {"key": "mortar", "unit": "ft2"},
        {"key": "mortar", "unit": "furlong"},
        {"key": "mortar", "unit": "lb", "hours": Decimal(1)},
        {"key": "labor_grout", "unit": "ft2"},
        {"key": "labor_grout", "unit": "ft2", "hours": Decimal(1), "package": Decimal(2)},
        {"key": "tile", "unit": "piece"},
    ],
)
def test_a_rate_that_makes_no_sense_is_refused(owner, figures):
    with pytest.raises(BadRate):
        set_rate(cost=Decimal(1), by=owner, **figures)


def test_the_database_keeps_one_rate_in_force(owner):
    set_rate(key="mortar", unit="lb", cost=Decimal("26"), by=owner)
    with pytest.raises(IntegrityError, match="estimating_rate_one_in_force"), transaction.atomic():
        Rate.objects.create(key="mortar", kind="material", name="x", unit="lb", cost=1, valid_from=timezone.localdate())


@pytest.mark.parametrize("typed", ["", "abc", "-1", "NaN", "1e400", "Infinity", "99999999999", "1.23456"])
def test_a_price_that_is_none_comes_back_as_it_was_typed(as_owner, typed):
    response = as_owner.post(reverse("estimating:rate_edit", args=["mortar"]), {"unit": "lb", "cost": typed})
    assert response.status_code == 200
    assert Rate.objects.count() == 0
    assert response.context["form"].errors["cost"]
    assert response.context["form"]["cost"].value() == typed


def test_the_owner_sets_a_rate_by_the_page(as_owner, room):
    as_owner.post(reverse("estimating:rate_tile", args=[room.tile_id]), {"unit": "piece", "cost": "48", "package": "8"})
    rate = Rate.objects.get(key="tile")
    assert (rate.tile, rate.cost, rate.package) == (room.tile, 48, 8)
    assert b"$48.00 for 8 pieces" in as_owner.get(reverse("estimating:rates")).content


def test_an_unknown_rate_is_not_there(as_owner):
    assert as_owner.get(reverse("estimating:rate_edit", args=["nothing"])).status_code == 404
    assert as_owner.get(reverse("estimating:rate_edit", args=["tile"])).status_code == 404
