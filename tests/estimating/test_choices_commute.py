"""Whatever a client picks in whatever order, a choice is one choice, and comes to what its lines come to. No database.

Totals are checked against `add_up`, whose own examples stand in test_prices_add_up.py.
"""

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import permutations
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimating.catalogue import BY_KEY, DISTANCE, SAW, TRIP
from estimating.choice_content import all_choices
from estimating.choices import Choice, Offer, count_choices, in_price
from estimating.content import _client_lines
from estimating.following import FOLLOWING, following_lines
from estimating.models import Estimate, EstimateLine, Option, OptionGroup, Rate
from estimating.pricing import add_up
from estimating.terms import terms_of, totals_of
from jobs.models import Job
from rooms.models import Room

money = st.decimals(min_value=0, max_value=5000, places=2)
hours = st.one_of(st.none(), st.decimals(min_value=0, max_value=40, places=2))


@pytest.fixture(autouse=True, scope="module")
def plain_money():
    """Amounts as texts without the shop's currency, which stands in the database."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("estimating.choice_content.money", str)
        patch.setattr("estimating.letterhead.money", str)
        yield


@st.composite
def offers(draw) -> Offer:
    """A job with a room of its own, one or two groups to pick from, up to two add-ons, and any rules of pricing."""
    rooms = [Room(name="Hall", standing="in")]
    groups = []
    for size in draw(st.lists(st.integers(2, 3), min_size=1, max_size=2)):
        group = OptionGroup(job=Job(number=1), name="Tile", kind="one")
        picked = draw(st.integers(0, size - 1))
        made = [Room(name=f"R{n}", standing="in" if n == picked else "offered") for n in range(size)]
        _fill(group, made)
        rooms += made
        groups.append(group)
    added = [Room(name=f"A{n}", standing="offered") for n in range(draw(st.integers(0, 2)))]
    if added:
        group = OptionGroup(job=Job(number=1), name="More", kind="add")
        _fill(group, added)
        groups.append(group)
    rooms += added
    rates = {
        "labor_minimum_trip": Rate(
            key="labor_minimum_trip", kind="labor", cost=Decimal(60), hours=Decimal(draw(st.integers(0, 60)))
        ),
        **{key: rate for key, rate in _AROUND.items() if draw(st.booleans())},
    }
    estimate = Estimate(
        job=Job(number=1),
        markup_percent=draw(st.decimals(min_value=0, max_value=80, places=2)),
        tax_percent=draw(st.decimals(min_value=0, max_value=12, places=3)),
        overhead_by=draw(st.sampled_from(["", "hour", "percent"])),
        overhead=draw(st.decimals(min_value=0, max_value=40, places=2)),
        minimum=draw(st.sampled_from([Decimal(0), Decimal(9000)])),
        round_to=draw(st.sampled_from([0, 1, 10, 100])),
        discount_percent=draw(st.sampled_from([Decimal(0), Decimal(5)])),
        discount_amount=Decimal(0),
        taxes=[],
        waits={str(room.pk): draw(st.integers(0, 4)) for room in rooms},
        way_km=draw(st.one_of(st.none(), st.decimals(min_value=0, max_value=99, places=3))),
    )
    lines = [
        EstimateLine(room=room, key=key, text="x", kind=kind, cost=draw(money), hours=draw(hours), position=place)
        for place, room in enumerate([*rooms, None])
        for kind, key in (("labor", ""), ("labor", "labor_set_floor"), ("material", ""))
    ]
    offer = Offer(estimate=estimate, lines=lines, rooms=[room.pk for room in rooms], groups=groups, rates=rates)
    # What an estimate keeps for the choice in its price.
    return replace(offer, lines=[*lines, *following_lines(estimate, in_price(lines), rates, None)])


_AROUND = {
    SAW: Rate(key=SAW, kind=BY_KEY[SAW].kind, unit="day", cost=Decimal("45.50")),
    TRIP: Rate(key=TRIP, kind=BY_KEY[TRIP].kind, unit="trip", cost=Decimal("18.25")),
    DISTANCE: Rate(key=DISTANCE, kind=BY_KEY[DISTANCE].kind, unit="km", cost=Decimal("0.4505")),
}


def _fill(group: OptionGroup, rooms: list[Room]) -> None:
    options = [Option(group=group, room=room, name=room.name) for room in rooms]
    group._prefetched_objects_cache = {"options": options}


@given(offers())
@settings(max_examples=15, deadline=None)
def test_options_commute_and_each_choice_has_one_key(offer):
    choices = offer.choices()
    assert len({choice.key for choice in choices}) == len(choices) == count_choices(offer.groups)
    assert choices[0].key == offer.standing().key
    for choice in choices[:6]:
        for order in list(permutations(choice.options))[:6]:
            reached = offer.standing()
            for option in order:
                reached = reached.with_option(option)
            assert reached.key == choice.key
            assert sorted(line.cost for line in offer.lines_in(reached)) == sorted(
                line.cost for line in offer.lines_in(choice)
            )


@given(offers())
@settings(max_examples=15, deadline=None)
def test_a_choice_comes_to_its_own_lines_under_every_rule(offer):
    """Its rooms and no others, labor brought up to the minimum trip, days and trips of its own hours, then all rules of
    the estimate: the frozen letters say that total, and the differences are those of totals."""
    content = all_choices(
        offer,
        said=lambda choice: ({"total": {"amount": f"{total_of(offer, choice):.2f}"}}, {}),
        offered=lambda pk, values: {},
    )
    standing = content["total"]["amount"]
    for choice in offer.choices():
        frozen = content["choices"][choice.key]
        assert Decimal(frozen.get("total", content["total"])["amount"]) == total_of(offer, choice)
        picked = {option.room_id for option in choice.options}
        left = {option.room_id for option in offer.options} - picked
        assert frozen["rooms"] == [str(pk) for pk in offer.rooms if pk not in left]
        assert totals_of(offer.estimate, offer.lines_in(choice)).total == total_of(offer, choice)
    for group in content["options"]:
        for option in group["options"]:
            row = next(each for each in offer.options if str(each.pk) == option["key"])
            key = offer.standing().with_option(row).key
            total = content["choices"][key].get("total", content["total"])["amount"]
            assert Decimal(option["difference"]["amount"]) == Decimal(total) - Decimal(standing)


@given(offers())
@settings(max_examples=15, deadline=None)
def test_what_a_client_reads_of_a_choice_adds_up_to_the_cent(offer):
    """Room by room, then what is of the whole job, each once: equipment and travel as one line of each."""
    for choice in offer.choices():
        lines = offer.lines_in(choice)
        totals = totals_of(offer.estimate, lines)
        told = _client_lines(offer.estimate, lines, totals)
        assert sum(Decimal(line["amount"]) for line in told) + totals.tax == totals.total
        places = [(line["group"], line["text"]) for line in told]
        assert sorted(places, key=lambda place: place[0] == "Whole job") == places
        for text, keys in (("Equipment", {SAW}), ("Travel", {TRIP, DISTANCE})):
            costs = any(line.cost for line in lines if line.key in keys)
            assert places.count(("Whole job", text)) == costs


def total_of(offer: Offer, choice: Choice) -> Decimal:
    """Worked out here: the lines by room, the hours that are missing, days and trips of them, then add_up."""
    left = {option.room_id for option in offer.options} - {option.room_id for option in choice.options}
    there = [line for line in offer.lines if line.key not in FOLLOWING and line.room_id not in left]
    lines = [(line.kind, line.cost, line.hours) for line in there]
    estimate, worked = offer.estimate, sum(line.hours or 0 for line in there)
    minimum = offer.rates["labor_minimum_trip"]
    if minimum.hours > worked:
        lines.append(("labor", round((minimum.hours - worked) * minimum.cost, 2), minimum.hours - worked))
    waits = max(estimate.waits[str(line.room_id)] for line in there if line.room)
    trips = max(ceil(worked / 8), 1 + waits) if worked else 0
    counted = {
        SAW: ceil(sum(line.hours or 0 for line in there if line.key) / 8),
        TRIP: trips,
        DISTANCE: 2 * trips * (estimate.way_km or 0),
    }
    for key, quantity in counted.items():
        if key in offer.rates:
            rate = offer.rates[key]
            lines.append((str(rate.kind), (quantity * rate.cost).quantize(Decimal("0.01"), ROUND_HALF_UP), None))
    return add_up(
        lines=lines,
        markup_percent=estimate.markup_percent,
        tax_percent=estimate.tax_percent,
        terms=terms_of(estimate),
    ).total
