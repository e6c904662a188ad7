"""Days of equipment, trips and miles, worked by hand from the hours of the other lines. No database.

That a day has 8 hours: NAVFAC P-405, as in estimating.pricing. That a trip is counted for each begun day, and no fewer
than waits ask for: common practice, no source.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.catalogue import BY_KEY, DISTANCE, DUST, MINIMUM_TRIP, SAW, TRIP
from estimating.following import FOLLOWING, JOB_LINES, following_lines
from estimating.models import Estimate, EstimateLine, Rate
from estimating.pricing import TooMuch, cents
from rooms.models import Room

D = Decimal
MILES_12_5 = D("20.1168")
"""12.5 miles of 1.609344 km."""


def rate(key: str, cost: str, unit: str, **more) -> Rate:
    return Rate(key=key, kind=BY_KEY[key].kind, cost=D(cost), unit=unit, **more)


RATES = {
    SAW: rate(SAW, "45", "day"),
    DUST: rate(DUST, "65", "day"),
    TRIP: rate(TRIP, "18", "trip"),
    DISTANCE: rate(DISTANCE, "0.725", "mi"),
}
ROOM = Room(name="Shower")


def work(key: str, hours: str, *, crew: int = 1, **more) -> EstimateLine:
    return EstimateLine(key=key, kind="labor", room=ROOM, hours=D(hours), rate=Rate(crew=crew), quantity=1, **more)


def follow(*lines, rates=RATES, waits=None, way_km=MILES_12_5) -> dict[str, EstimateLine]:
    estimate = Estimate(waits=waits or {}, way_km=way_km)
    return {line.key: line for line in following_lines(estimate, lines, rates, None)}


# Hours of setting and cutting, persons at it, days: 25 h are 3.1 days, so 4; two persons do 20 h in 1.25 days, so 2.
@pytest.mark.parametrize(("hours", "crew", "days"), [("25", 1, 4), ("20", 2, 2), ("8", 1, 1), ("8.01", 1, 2)])
def test_the_saw_stays_for_the_days_of_setting_and_cutting(hours, crew, days):
    cut = D(hours) / 5
    found = follow(
        work("labor_set_wall", str(D(hours) - cut), crew=crew),
        work("labor_cut", str(cut), crew=crew),
        work("labor_grout", "30"),
        work("labor_demolition", "0"),
    )
    assert (found[SAW].quantity, found[SAW].unit, found[SAW].cost) == (days, "day", 45 * days)
    assert f"{D(hours).normalize():f} h" in found[SAW].how
    assert DUST not in found


def test_dust_is_held_for_the_days_of_demolition():
    found = follow(work("labor_demolition", "9"), work("labor_grout", "4"))
    assert (found[DUST].quantity, found[DUST].cost) == (2, 130)
    assert SAW not in found


# Hours, waits that send the crew home, trips: by the days begun, or by the waits and one, whichever is more.
@pytest.mark.parametrize(("hours", "waits", "trips"), [("40", 3, 5), ("40.1", 3, 6), ("6", 3, 4), ("6", 0, 1)])
def test_trips_are_the_days_begun_and_no_fewer_than_waits_ask_for(hours, waits, trips):
    found = follow(work("labor_set_wall", hours), waits={str(ROOM.pk): waits, "a room of another choice": 9})
    assert (found[TRIP].quantity, found[TRIP].cost) == (trips, 18 * trips)
    assert ("The larger counts" in found[TRIP].how) == bool(waits)


def test_visits_that_have_a_line_are_those_of_the_line():
    visits = work("labor_return_visit", "5", override_reason="two more for the plumber")
    visits.quantity = D(5)
    assert follow(work("labor_set_wall", "6"), visits, waits={str(ROOM.pk): 3})[TRIP].quantity == 6


def test_the_way_is_driven_there_and_back_on_each_trip():
    """4 trips of 12.5 miles each way are 100 miles, $72.50 at 72.5 cents; of 20 km, 160 km and 72.00 at 0.45."""
    hours = work("labor_set_wall", "30")
    miles = follow(hours)[DISTANCE]
    assert (miles.quantity, miles.unit, miles.cost) == (100, "mi", D("72.50"))
    assert miles.how == "4 trips, 12.5 miles each way."
    metric = {**RATES, DISTANCE: rate(DISTANCE, "0.45", "km")}
    km = follow(hours, rates=metric, way_km=D(20))[DISTANCE]
    assert (km.quantity, km.unit, km.cost) == (160, "km", 72)
    assert km.how == "4 trips, 20 km each way."


def test_the_distance_goes_by_the_trips_that_a_person_put_in():
    by_hand = EstimateLine(key=TRIP, kind="travel", quantity=D(6), override_reason="the lift is shared")
    found = follow(work("labor_set_wall", "30"), by_hand)
    assert (found[TRIP].quantity, found[DISTANCE].quantity) == (4, 150)


def test_what_nobody_works_on_takes_no_trip_and_no_distance_is_none():
    assert follow(EstimateLine(key="grout", kind="material", cost=D(20))) == {}
    assert follow() == {}
    assert DISTANCE not in follow(work("labor_set_wall", "30"), way_km=None)
    assert follow(work("labor_set_wall", "30"), work("labor_demolition", "4"), rates={}) == {}


def test_hours_that_only_bring_labor_up_are_not_driven_for():
    """6 h brought up to 20 h stay one day of work."""
    rates = {**RATES, MINIMUM_TRIP: rate(MINIMUM_TRIP, "62", "trip", hours=D(20))}
    found = follow(work("labor_set_wall", "6"), rates=rates)
    assert (found[MINIMUM_TRIP].hours, found[MINIMUM_TRIP].cost) == (14, 868)
    assert found[TRIP].quantity == 1
    again = follow(work("labor_set_wall", "6"), found[MINIMUM_TRIP], rates=rates)
    assert again[TRIP].quantity == 1


def test_an_absurd_distance_is_no_line():
    with pytest.raises(TooMuch):
        follow(work("labor_set_wall", "99999999"), way_km=D(2000))


HOURS = st.decimals(min_value=0, max_value=200, places=2)


@given(HOURS, HOURS, HOURS, st.integers(0, 5), st.integers(1, 4))
def test_more_work_never_takes_fewer_days_or_trips(setting, demolition, more, waits, crew):
    def of(extra):
        return follow(
            work("labor_set_floor", str(setting + extra), crew=crew),
            work("labor_demolition", str(demolition + extra)),
            waits={str(ROOM.pk): waits},
        )

    one, other = of(D(0)), of(more)
    for key in one:
        assert other[key].quantity >= one[key].quantity > 0
        assert other[key].cost == cents(other[key].quantity * RATES[key].cost)
    if setting + demolition:
        assert one[DISTANCE].quantity == one[TRIP].quantity * 25
        assert one[TRIP].quantity * 8 * crew >= setting


def test_they_stand_in_their_order_before_lines_of_ones_own():
    rates = {**RATES, MINIMUM_TRIP: rate(MINIMUM_TRIP, "62", "trip", hours=D(40))}
    found = follow(work("labor_set_wall", "6"), work("labor_demolition", "2"), rates=rates)
    assert tuple(found) == FOLLOWING
    assert [line.position for line in found.values()] == list(range(JOB_LINES - 4, JOB_LINES + 1))
