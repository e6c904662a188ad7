"""A material is priced by the class that the room asks for, where the shop has a price for that class."""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import change_line, fill_estimate, set_rate
from estimating.actions.estimates import restore_line
from estimating.actions.fills import preview_fill
from estimating.catalogue import BY_KEY, RATES
from estimating.models import EstimateLine
from rooms.materials import classes_of
from rooms.models import Conditions
from rooms.queries import current_layouts, with_parts
from shop.queries import shop_limits

pytestmark = pytest.mark.django_db


def line_of(estimate, key):
    return EstimateLine.objects.select_related("rate").get(estimate=estimate, key=key)


def bag(key, cost, owner):
    return set_rate(key=key, unit="lb", cost=Decimal(cost), package=Decimal(50), by=owner)


def say(room, **conditions):
    Conditions.objects.update_or_create(room=room, defaults=conditions)


def asked(room):
    room = with_parts(type(room).objects.filter(pk=room.pk)).get()
    return classes_of(room, current_layouts(room.job)[room.pk], limits=shop_limits())


def test_without_a_price_for_the_class_that_of_the_whole_kind_counts(estimate, room, laid_out):
    mortar = line_of(estimate, "mortar")
    # A shower's grout is A118.7, TRADE.md 6; what the mortar is, the room page says.
    assert mortar.rate.key == "mortar"
    assert mortar.text == BY_KEY[f"mortar-{asked(room).mortar.rstrip('HT').lower().replace('.', '-')}"].name
    assert line_of(estimate, "grout").text == "Grout, A118.7, high performance"


def test_the_price_of_the_class_goes_first_and_comes_and_goes_with_it(estimate, room, laid_out, owner):
    say(room, steam="all day", membrane="sheet", substrate="foam board")
    assert asked(room).mortar.startswith("A118.15")
    bag("mortar-a118-15", "41.00", owner)
    set_rate(key="membrane-sheet", unit="ft2", cost=Decimal("2.60"), by=owner)
    set_rate(key="board-foam-board", unit="ft2", cost=Decimal("3.10"), by=owner)
    before = line_of(estimate, "mortar")
    fill_estimate(job=laid_out, by=owner)
    mortar = line_of(estimate, "mortar")
    assert (mortar.pk, mortar.quantity, mortar.packages) == (before.pk, before.quantity, before.packages)
    assert (mortar.unit_cost, mortar.cost) == (Decimal("41.00"), 41 * mortar.packages)
    assert line_of(estimate, "membrane").unit_cost == Decimal("2.60")
    assert line_of(estimate, "board").unit_cost == Decimal("3.10")
    # Another class: the price of the whole kind again, and the preview says so beforehand.
    say(room, steam="", substrate="plywood")
    shown = {change.line.key: change.difference for change in preview_fill(job=laid_out, by=owner).changed}
    assert shown["mortar"] == (before.unit_cost - 41) * mortar.packages
    fill_estimate(job=laid_out, by=owner)
    assert line_of(estimate, "mortar").rate.key == "mortar"


def test_what_the_letters_ask_is_told_and_costs_no_other_price(estimate, laid_out, room, owner):
    class_asked = asked(room).mortar
    assert class_asked.endswith("T")
    bag(f"mortar-{class_asked.rstrip('HT').lower().replace('.', '-')}", "30.00", owner)
    fill_estimate(job=laid_out, by=owner)
    mortar = line_of(estimate, "mortar")
    assert mortar.unit_cost == 30
    assert mortar.how.endswith(f"asked for: {class_asked}")


def test_epoxy_that_was_asked_for_is_priced_as_epoxy(estimate, laid_out, room, owner):
    say(room, epoxy_grout=True)
    set_rate(key="grout-a118-3", unit="lb", cost=Decimal("95.00"), package=Decimal(9), by=owner)
    fill_estimate(job=laid_out, by=owner)
    grout = line_of(estimate, "grout")
    assert (grout.text, grout.unit_cost, grout.rate.package) == ("Grout, A118.3, epoxy", 95, 9)


def test_a_figure_by_hand_goes_back_to_the_price_of_its_class(estimate, laid_out, room, owner):
    say(room, epoxy_grout=True)
    set_rate(key="grout-a118-3", unit="lb", cost=Decimal("95.00"), package=Decimal(9), by=owner)
    fill_estimate(job=laid_out, by=owner)
    grout = change_line(line=line_of(estimate, "grout"), quantity=Decimal(90), reason="two colors", by=owner)
    assert grout.cost == 950
    set_rate(key="grout-a118-3", unit="lb", cost=Decimal("99.00"), package=Decimal(9), by=owner)
    grout = restore_line(line=grout, by=owner)
    assert (grout.rate.key, grout.unit_cost) == ("grout-a118-3", 99)


def test_the_page_of_rates_says_what_counts_without_a_price(as_owner, owner, rates):
    page = as_owner.get(reverse("estimating:rates"))
    text = page.content.decode()
    assert text.count("as Thin-set mortar") == sum(wanted.class_of == "mortar" for wanted in RATES) == 5
    assert "Add the missing example rates" not in text
    bag("mortar-a118-3", "120.00", owner)
    assert as_owner.get(reverse("estimating:rates")).content.decode().count("as Thin-set mortar") == 4
