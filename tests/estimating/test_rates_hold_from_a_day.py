"""A rate holds from its day: a later one waits, an earlier one is as old as it is; what was accepted stays."""

from datetime import date, timedelta
from decimal import Decimal
from unittest.mock import patch

import pytest
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    BadRate,
    accept_proposal,
    fill_estimate,
    make_own_rate,
    price_labor_by_people,
    put_away_own_rate,
    set_rate,
)
from estimating.models import EstimateLine, Rate
from estimating.queries import estimate_page
from estimating.rate_queries import rate_in_force
from tests.base.workbooks import workbook
from tests.support.table_pages import fates, look, take

pytestmark = pytest.mark.django_db
TODAY, DAY = timezone.localdate, timedelta(days=1)


def mortar(by, cost, day=None):
    return set_rate(key="mortar", unit="lb", cost=Decimal(cost), package=Decimal(50), valid_from=day, by=by)


def spans():
    """What each row that held, or is to hold, costs, and its days from today on."""
    rows = Rate.objects.filter(key="mortar").order_by("valid_from", "created_at")
    told = [(row.cost, (row.valid_from - TODAY()).days, row.valid_to and (row.valid_to - TODAY()).days) for row in rows]
    return [each for each in told if each[1] != each[2]]


def on(day):
    return patch("django.utils.timezone.localdate", lambda *args: day)


def in_force():
    return rate_in_force(key="mortar").cost


def test_a_price_of_a_later_day_waits_for_it(owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    mortar(owner, 28, TODAY() + 30 * DAY)
    assert spans() == [(26, -60, 30), (28, 30, None)]
    assert in_force() == 26
    with on(TODAY() + 29 * DAY):
        assert in_force() == 26
    with on(TODAY() + 30 * DAY):
        assert in_force() == 28


def test_a_price_of_today_leaves_the_one_that_waits(owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    mortar(owner, 28, TODAY() + 30 * DAY)
    mortar(owner, 27)
    assert spans() == [(26, -60, 0), (27, 0, 30), (28, 30, None)]
    mortar(owner, 29, TODAY() + 60 * DAY)
    mortar(owner, 30, TODAY() + 30 * DAY)
    assert spans() == [(26, -60, 0), (27, 0, 30), (30, 30, 60), (29, 60, None)]


def test_a_quote_of_an_earlier_day_takes_the_place_of_what_stands_and_is_as_old_as_it_is(owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    mortar(owner, 27, TODAY() - 10 * DAY)
    quote = mortar(owner, 24, TODAY() - 200 * DAY)
    assert spans() == [(24, -200, None)]
    assert in_force() == 24
    assert quote.as_of == TODAY() - 200 * DAY


def test_the_day_of_a_figure_can_be_put_right(owner):
    mortar(owner, 26)
    assert mortar(owner, 26).valid_from == TODAY()
    mortar(owner, 26, TODAY() - 90 * DAY)
    assert spans() == [(26, -90, None)]
    assert Rate.objects.in_force().get().as_of == TODAY() - 90 * DAY
    assert mortar(owner, 26, TODAY() - 30 * DAY).as_of == TODAY() - 30 * DAY, "a later quote says the same"
    assert mortar(owner, 26, TODAY() - 60 * DAY).as_of == TODAY() - 30 * DAY
    assert mortar(owner, 26).as_of == TODAY()
    assert spans() == [(26, -90, None)]


def test_the_same_again_of_a_day_to_come_is_one_row(owner):
    mortar(owner, 26)
    first = mortar(owner, 28, TODAY() + 30 * DAY)
    assert mortar(owner, 28, TODAY() + 30 * DAY) == first
    assert mortar(owner, 28, TODAY() + 40 * DAY) == first
    assert mortar(owner, 26, TODAY() + 10 * DAY).valid_from == TODAY()
    assert len(spans()) == 2


def test_a_first_price_holds_today(owner):
    with pytest.raises(BadRate, match="Nothing holds until that day"):
        mortar(owner, 26, TODAY() + DAY)
    with pytest.raises(BadRate, match="Nothing holds until that day"):
        make_own_rate(name="Ferry", kind="travel", unit="trip", cost=Decimal(9), valid_from=TODAY() + DAY, by=owner)
    assert not Rate.objects.exists()


def test_where_the_shop_s_day_is_an_earlier_one_its_first_prices_hold_already(owner):
    """Set in one time zone, read in another an hour later."""
    mortar(owner, 26)
    with on(TODAY() - DAY):
        assert in_force() == 26
        mortar(owner, 27)
        assert in_force() == 27


def test_an_old_quote_is_flagged_and_a_price_to_come_asks_for_a_fill_on_its_day(estimate, laid_out, owner):
    line = EstimateLine.objects.get(estimate=estimate, key="grout")
    rate = line.rate
    figures = {"key": "grout", "unit": rate.unit, "package": rate.package, "by": owner}
    set_rate(cost=rate.cost + 1, valid_from=TODAY() - 200 * DAY, **figures)
    fill_estimate(job=laid_out, by=owner)
    page = estimate_page(laid_out)
    assert line.text in page.weighed.old
    set_rate(cost=rate.cost + 5, valid_from=TODAY() + 30 * DAY, **figures)
    assert estimate_page(laid_out).outdated == []
    with on(TODAY() + 30 * DAY):
        assert estimate_page(laid_out).outdated == [line.text]


def test_nothing_accepted_moves_whatever_day_is_given(propose, laid_out, owner):
    acceptance = accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    before = [list(EstimateLine.objects.values()), estimate_page(laid_out).totals, acceptance.total]
    for days in (-300, 0, 60):
        set_rate(
            key="grout", unit="lb", cost=Decimal(99 + days % 7), package=Decimal(10), valid_from=TODAY() + days * DAY,
            by=owner,
        )  # fmt: skip
    laid_out.refresh_from_db()
    acceptance.refresh_from_db()
    assert [list(EstimateLine.objects.values()), estimate_page(laid_out).totals, acceptance.total] == before


def test_own_rates_have_days_too_and_put_away_none_is_left(as_owner, owner):
    ferry = make_own_rate(name="Ferry", kind="travel", unit="trip", cost=Decimal(9), by=owner)
    url = reverse("estimating:rate_own", args=[ferry.pk])
    later = TODAY() + 30 * DAY
    sent = {"save": "", "name": "Ferry", "unit": "trip", "cost": "12", "valid_from": later.isoformat()}
    assert "on." in as_owner.post(url, sent, follow=True).text
    assert Rate.objects.in_force().get().cost == 9
    page = as_owner.get(url)
    assert page.context["current"].cost == 9
    assert "not begun yet" in page.text
    assert "another price from" in as_owner.get(reverse("estimating:rates")).text
    put_away_own_rate(own=ferry, by=owner)
    assert not Rate.objects.not_ended().exists()
    with on(later):
        assert not Rate.objects.in_force().exists()


def test_a_rate_to_come_follows_the_people_as_the_others_do(owner):
    for cost, day in ((62, None), (66, TODAY() + 30 * DAY)):
        set_rate(key="labor_grout", unit="ft2", cost=Decimal(cost), hours=Decimal(1), valid_from=day, by=owner)
    assert price_labor_by_people(follow=True, by=owner) == 2
    assert [rate.by_people for rate in Rate.objects.not_ended()] == [True, True]
    assert sorted(rate.cost for rate in Rate.objects.not_ended()) == [62, 66]


# ---------------------------------------------------------------- pages and lists


def test_the_page_takes_a_day_and_refuses_a_slip(as_owner, owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    url = reverse("estimating:rate_edit", args=["mortar"])
    form = as_owner.get(url).context["form"]
    assert form["valid_from"].value() == TODAY()
    sent = {"unit": "lb", "cost": "28", "package": "50", "product": "", "supplier": ""}
    refused = as_owner.post(url, {**sent, "valid_from": "2206-07-01"})
    assert "check the year" in str(refused.context["form"].errors["valid_from"])
    as_owner.post(url, {**sent, "valid_from": (TODAY() + 30 * DAY).isoformat()})
    assert spans() == [(26, -60, 30), (28, 30, None)]
    as_owner.post(url, {**sent, "cost": "27", "valid_from": ""})
    assert spans() == [(26, -60, 0), (27, 0, 30), (28, 30, None)]


HEAD = "Rate,Price,From\n"


def test_a_list_has_a_column_for_the_day(as_owner, owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    url = reverse("estimating:rate_list")
    later, before = TODAY() + 30 * DAY, TODAY() - 20 * DAY
    shown = look(as_owner, url, f"{HEAD}Thin-set mortar,28,{later.isoformat()}\n")
    ((word, text),) = fates(shown).values()
    assert word == "new price"
    assert f"from {later.year}" in text or str(later.year) in text
    take(as_owner, url, shown)
    assert spans() == [(26, -60, 30), (28, 30, None)]
    again = look(as_owner, url, f"{HEAD}Thin-set mortar,28,{later.isoformat()}\n")
    assert next(iter(fates(again).values()))[0] == "unchanged"
    checked = look(as_owner, url, f"{HEAD}Thin-set mortar,26,{before.isoformat()}\n")
    assert next(iter(fates(checked).values()))[0] == "still holds"
    take(as_owner, url, checked)
    assert rate_in_force(key="mortar").as_of == before


@pytest.mark.parametrize(
    ("day", "said"), [("soon", "From: Enter a valid date"), ("2206-01-01", "check the year"), ("", "")]
)
def test_a_day_that_is_none_is_said_in_its_row(as_owner, owner, day, said):
    mortar(owner, 26)
    shown = look(as_owner, reverse("estimating:rate_list"), f"{HEAD}Thin-set mortar,28,{day}\n")
    ((word, text),) = fates(shown).values()
    assert (word == "can't be taken") == bool(said)
    assert said in text


def test_a_spreadsheet_s_date_is_read_and_what_can_only_begin_later_is_refused(as_owner, owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    later = TODAY() + 30 * DAY
    rows = [["Rate", "Price", "From"], ["Thin-set mortar", 28, date(later.year, later.month, later.day)]]
    rows.append(["Spacers", 30, later])
    shown = look(as_owner, reverse("estimating:rate_list"), workbook(*rows), "list.xlsx")
    told = fates(shown)
    assert told[2][0] == "new price", told
    assert "Nothing holds until that day" in told[3][1]


def test_a_list_written_out_says_no_day_so_that_new_prices_begin_when_it_is_taken(as_owner, owner):
    mortar(owner, 26, TODAY() - 60 * DAY)
    mortar(owner, 28, TODAY() + 60 * DAY)
    from estimating.price_list import price_list

    head, *rows = price_list()
    (row,) = [
        dict(zip(head, row, strict=True)) for row in rows if "mortar" in row[1].lower() and row[head.index("Price")]
    ]
    assert (row["Price"], row["From"]) == ("26", "")


def test_an_installer_sets_none(as_installer):
    assert as_installer.get(reverse("estimating:rate_edit", args=["mortar"])).status_code == 403
