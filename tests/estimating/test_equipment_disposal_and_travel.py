"""Equipment, disposal and travel on an estimate, from the rates to what the client reads."""

from decimal import Decimal
from math import ceil

import pytest
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    BadRate,
    change_line,
    fill_estimate,
    make_proposal,
    preview_fill,
    restore_line,
    set_rate,
)
from estimating.catalogue import BY_KEY, DISTANCE, DUST, HAUL, RETURN_VISIT, SAW, SETTING, TRIP
from estimating.content import _client_lines
from estimating.following import FOLLOWING
from estimating.models import EstimateLine, Rate, RateKind
from estimating.queries import estimate_page
from estimating.terms import totals_of
from rooms.models import Room
from shop.models import ShopSettings
from tests.factories import RoomFactory

pytestmark = pytest.mark.django_db

AROUND = {SAW, DUST, HAUL, TRIP, DISTANCE}
MILES_12_5 = Decimal("20.1168")


def line_of(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key)


def keys_of(estimate):
    return set(EstimateLine.objects.filter(estimate=estimate).values_list("key", flat=True))


def hours_of(estimate, *keys):
    lines = EstimateLine.objects.filter(estimate=estimate, hours__isnull=False)
    return sum(line.hours for line in (lines.filter(key__in=keys) if keys else lines))


@pytest.fixture
def laid_out(laid_out):
    """12.5 miles from the shop."""
    laid_out.site.distance_km = MILES_12_5
    laid_out.site.save()
    return laid_out


@pytest.fixture
def torn_out(laid_out, room, rates, owner):
    """The estimate of the shower with its demolition."""
    Room.objects.filter(pk=room.pk).update(demolition=True)
    return fill_estimate(job=laid_out, by=owner).estimate


def test_days_trips_and_miles_follow_from_the_hours_of_the_lines(torn_out):
    """Of one person: the example rates have a crew of one."""
    saw, dust, trip, miles = (line_of(torn_out, key) for key in (SAW, DUST, TRIP, DISTANCE))
    assert saw.quantity == ceil(hours_of(torn_out, *SETTING) / 8) > 1
    assert dust.quantity == ceil(hours_of(torn_out, "labor_demolition") / 8) >= 1
    waits = line_of(torn_out, RETURN_VISIT).quantity
    assert trip.quantity == max(ceil(hours_of(torn_out) / 8), 1 + waits) > 1
    assert (miles.quantity, miles.unit) == (trip.quantity * 25, "mi")
    for line, cost in ((saw, 45), (dust, 65), (trip, 18), (miles, Decimal("0.725"))):
        assert line.cost == round(line.quantity * cost, 2)
        assert line.room is None
        assert line.how
        assert line.source == "common practice, no source"


def test_what_is_torn_out_is_hauled_away(torn_out):
    haul, demolition = line_of(torn_out, HAUL), line_of(torn_out, "labor_demolition")
    assert (haul.quantity, haul.kind) == (demolition.quantity, RateKind.DISPOSAL)
    assert haul.cost == round(haul.quantity * Decimal("1.60"), 2)


def test_without_demolition_nothing_is_hauled_and_no_dust_held(estimate):
    assert keys_of(estimate) & AROUND == {SAW, TRIP, DISTANCE}


def test_a_shop_without_such_rates_sees_nothing_of_them(laid_out, room, rates, owner, as_owner):
    Room.objects.filter(pk=room.pk).update(demolition=True)
    Rate.objects.filter(key__in=AROUND).delete()
    laid_out.site.distance_km = None
    laid_out.site.save()
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    assert not keys_of(estimate) & AROUND
    page = as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).text
    assert "how far it is from the shop" not in page
    kinds = {line["text"] for line in make_proposal(job=laid_out, by=owner).content["lines"]}
    assert kinds == {"Tile and materials", "Labor"}


def test_trips_are_counted_by_waits_where_the_shop_has_no_rate_for_visits(laid_out, rates, owner):
    """The shower's hours are cut to one day: its waits then ask for more trips, with the line of visits or without."""
    Rate.objects.filter(kind="labor").update(hours=Decimal("0.0001"), hours_low=None, hours_high=None)
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    visits, trips = line_of(estimate, RETURN_VISIT).quantity, line_of(estimate, TRIP).quantity
    assert trips == 1 + visits > 2
    Rate.objects.filter(key=RETURN_VISIT).update(valid_to=timezone.localdate())
    fill_estimate(job=laid_out, by=owner)
    assert RETURN_VISIT not in keys_of(estimate)
    assert line_of(estimate, TRIP).quantity == trips


def test_a_metric_shop_drives_kilometers(laid_out, owner):
    from estimating.actions import install_example_rates

    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    install_example_rates(by=owner)
    laid_out.site.distance_km = Decimal(20)
    laid_out.site.save()
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    miles, trips = line_of(estimate, DISTANCE), line_of(estimate, TRIP).quantity
    assert (miles.quantity, miles.unit, miles.cost) == (trips * 40, "km", round(trips * 40 * Decimal("0.45"), 2))
    assert "20 km each way" in miles.how


# ---------------------------------------------------------------- as the work changes


def test_they_follow_a_change_of_hours(torn_out, owner):
    before = {key: line_of(torn_out, key).quantity for key in (SAW, TRIP, DISTANCE)}
    walls = line_of(torn_out, "labor_set_wall")
    change_line(line=walls, quantity=walls.quantity * 10, reason="a hall beside it", by=owner)
    after = {key: line_of(torn_out, key).quantity for key in before}
    assert all(after[key] > before[key] for key in before)
    assert after[DISTANCE] == after[TRIP] * 25


def test_what_a_person_put_in_stays_with_what_is_computed_beside_it(torn_out, laid_out, owner):
    computed = line_of(torn_out, TRIP).quantity
    change_line(line=line_of(torn_out, TRIP), quantity=Decimal(30), reason="the lift is shared", by=owner)
    assert line_of(torn_out, DISTANCE).quantity == 30 * 25
    change_line(line=line_of(torn_out, "labor_set_wall"), quantity=Decimal(900), reason="a hall", by=owner)
    fill_estimate(job=laid_out, by=owner)
    trip = line_of(torn_out, TRIP)
    assert (trip.quantity, trip.cost, trip.override_reason) == (30, 540, "the lift is shared")
    assert trip.computed_quantity > computed
    assert trip.computed_cost == trip.computed_quantity * 18
    restore_line(line=trip, by=owner)
    now = line_of(torn_out, TRIP)
    assert now.quantity == trip.computed_quantity
    assert line_of(torn_out, DISTANCE).quantity == now.quantity * 25


def test_a_figure_by_hand_outlives_the_work_that_it_followed_from(torn_out, laid_out, room, owner):
    change_line(line=line_of(torn_out, DUST), quantity=Decimal(3), reason="a dusty house", by=owner)
    Room.objects.filter(pk=room.pk).update(demolition=False)
    said = fill_estimate(job=laid_out, by=owner).changes
    dust = line_of(torn_out, DUST)
    assert (dust.quantity, dust.computed_quantity) == (3, None)
    assert f"{dust.text}: no longer computed. Your own figure stays." in said
    assert fill_estimate(job=laid_out, by=owner).changes == []


def test_a_newer_price_is_flagged_and_taken_by_a_fill_alone(torn_out, laid_out, owner):
    set_rate(key=TRIP, unit="trip", cost=Decimal(25), by=owner)
    name = str(BY_KEY[TRIP].name)
    assert name in estimate_page(laid_out).outdated
    change_line(line=line_of(torn_out, "labor_niche"), quantity=Decimal(2), reason="two", by=owner)
    assert line_of(torn_out, TRIP).unit_cost == 18
    changed = {each.line.key: each for each in preview_fill(job=laid_out, by=owner).changed}
    assert set(changed) == {TRIP}
    trips = line_of(torn_out, TRIP).quantity
    assert changed[TRIP].difference == 7 * trips
    assert f"{name}: another price." in fill_estimate(job=laid_out, by=owner).changes
    assert line_of(torn_out, TRIP).cost == 25 * trips
    assert estimate_page(laid_out).outdated == []


def test_a_line_that_goes_is_told(torn_out, laid_out, owner):
    Rate.objects.filter(key=SAW).update(valid_to=timezone.localdate())
    said = fill_estimate(job=laid_out, by=owner).changes
    assert said == ["Wet saw and stand: not needed any more, removed."]
    assert SAW not in keys_of(torn_out)


# ---------------------------------------------------------------- the way to the site


def test_the_estimate_says_what_the_site_doesn_t(laid_out, rates, owner, as_owner):
    laid_out.site.distance_km = None
    laid_out.site.save()
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    assert DISTANCE not in keys_of(estimate)
    url = reverse("estimating:estimate", args=[laid_out.pk])
    page = as_owner.get(url).text
    assert "how far it is from the shop" in page
    site = reverse("clients:site_edit", args=[laid_out.site_id])
    assert site in page
    as_owner.post(site, {"street": laid_out.site.street, "distance": "12.5"})
    assert "was changed since the estimate was filled" in as_owner.get(url).text
    as_owner.post(url, {"fill": ""})
    page = as_owner.get(url).text
    assert "was changed since" not in page
    assert "how far it is" not in page
    assert line_of(estimate, DISTANCE).quantity == line_of(estimate, TRIP).quantity * 25


# ---------------------------------------------------------------- what the client reads


def test_the_client_reads_one_line_of_each_and_they_add_up(torn_out, laid_out, room, owner):
    content = make_proposal(job=laid_out, by=owner).content
    told = [(line["group"], line["text"]) for line in content["lines"]]
    assert set(told) == {
        (room.name, "Tile and materials"),
        (room.name, "Labor"),
        *(("Whole job", text) for text in ("Equipment", "Disposal", "Travel")),
    }
    assert len(told) == 5
    amounts = {line["text"]: Decimal(line["amount"]) for line in content["lines"]}
    travel = line_of(torn_out, TRIP).cost + line_of(torn_out, DISTANCE).cost
    assert amounts["Travel"] == pytest.approx(travel * (1 + torn_out.markup_percent / 100), abs=Decimal("0.02"))
    tax = Decimal(content["tax"]["amount"]) if content["tax"] else 0
    assert sum(amounts.values()) + tax == Decimal(content["total"]["amount"])


def test_rooms_stand_together_before_what_is_of_the_whole_job(torn_out, room):
    """Two rooms torn out: one line of disposal for both, after the second room."""
    hall = RoomFactory(job=room.job, name="Hall")
    rows = [
        (room, "grout", "material"),
        (room, HAUL, "disposal"),
        (hall, "grout", "material"),
        (hall, HAUL, "disposal"),
    ]
    rows += [(None, "", "travel"), (None, TRIP, "travel"), (hall, "", "travel")]
    lines = [EstimateLine(room=where, key=key, kind=kind, text="Ferry", cost=Decimal(100)) for where, key, kind in rows]
    told = [
        (line["group"], line["text"], line["amount"])
        for line in _client_lines(torn_out, lines, totals_of(torn_out, lines))
    ]
    assert told == [
        (room.name, "Tile and materials", "135.00"),
        ("Hall", "Tile and materials", "135.00"),
        ("Hall", "Travel", "135.00"),
        ("Whole job", "Disposal", "270.00"),
        ("Whole job", "Ferry", "135.00"),
        ("Whole job", "Travel", "135.00"),
    ]


def test_an_accepted_price_keeps_them_for_change_orders(accepted, owner):
    from estimating.actions import add_change_line, raise_change
    from estimating.change_content import quantity_of
    from estimating.change_queries import rates_for_changes

    set_rate(key=TRIP, unit="trip", cost=Decimal("18.50"), by=owner)
    (trip,) = (rate for rate in rates_for_changes(accepted) if rate.key == TRIP)
    change = raise_change(job=accepted, what="A third trip", directed_by="Odalys Brandt", by=owner)
    line = add_change_line(change=change, rate=trip, quantity=Decimal(1), by=owner)
    assert (line.kind, line.cost, line.hours) == (RateKind.TRAVEL, Decimal("18.50"), None)
    assert quantity_of(line) == "1 trip"
    two = add_change_line(change=change, rate=trip, quantity=Decimal(2), credit=True, by=owner)
    assert quantity_of(two) == "2 trips"


# ---------------------------------------------------------------- the rates


def test_rates_stand_under_their_own_headings(as_owner, rates):
    page = as_owner.get(reverse("estimating:rates"))
    groups = {group.name: {row.key for row in group.rows} for group in page.context["groups"]}
    assert (groups.pop("Materials") | groups.pop("Labor")).isdisjoint(AROUND)
    assert groups == {"Equipment": {SAW, DUST}, "Disposal": {HAUL}, "Travel": {TRIP, DISTANCE}}
    assert set(FOLLOWING) - AROUND == {"labor_minimum_trip"}


def test_a_rate_has_a_price_and_a_unit_and_nothing_to_buy(as_owner, owner):
    url = reverse("estimating:rate_edit", args=[DISTANCE])
    assert set(as_owner.get(url).context["form"].fields) == {"unit", "cost", "valid_from"}
    as_owner.post(url, {"unit": "km", "cost": "0.52"})
    rate = Rate.objects.get(key=DISTANCE)
    assert (rate.unit, rate.cost, rate.kind, rate.example) == ("km", Decimal("0.52"), RateKind.TRAVEL, False)
    for more in ({"package": Decimal(2)}, {"product": "Saw"}, {"hours": Decimal(1)}):
        with pytest.raises(BadRate):
            set_rate(key=SAW, unit="day", cost=Decimal(40), by=owner, **more)
    with pytest.raises(BadRate, match="can't be priced by that unit"):
        set_rate(key=DISTANCE, unit="m", cost=Decimal(1), by=owner)


def test_nobody_but_the_owner_sets_them(as_office, as_installer):
    for client in (as_office, as_installer):
        client.post(reverse("estimating:rate_edit", args=[TRIP]), {"unit": "trip", "cost": "1"})
    assert not Rate.objects.exists()
