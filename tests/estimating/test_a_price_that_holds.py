"""Overhead, margin, discount, tax of a place, rounding, risk and what may be found: from the shop's rules to the
proposal, by the pages."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    CannotChange,
    CannotPropose,
    accept_proposal,
    add_contingency,
    add_line,
    add_tax_rule,
    approve_change,
    change_estimate,
    change_line,
    fill_estimate,
    make_proposal,
    offer_change,
    preview_fill,
    raise_change,
    set_price_rules,
    set_rate,
)
from estimating.job_sum import job_sum
from estimating.models import Contingency, Estimate, EstimateLine, PriceRules, Rate, TaxRule
from estimating.queries import estimate_page, obstacles_of
from estimating.terms import taxes_in
from estimating.weighing import like_jobs
from rooms.actions import choose_layout

pytestmark = pytest.mark.django_db


def line_of(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key)


@pytest.fixture
def url(laid_out):
    return reverse("estimating:estimate", args=[laid_out.pk])


TERMS = {"save": "", "markup_percent": "40", "margin_percent": "", "tax_percent": "0"}


# ---------------------------------------------------------------- the shop's rules


def test_an_estimate_begins_with_the_shop_s_rules_and_keeps_them(laid_out, rates, owner):
    set_price_rules(overhead_by="hour", overhead=Decimal("12.50"), minimum=Decimal(900), round_to=10, by=owner)
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    set_price_rules(overhead_by="percent", overhead=Decimal(10), minimum=Decimal(0), round_to=0, by=owner)
    fill_estimate(job=laid_out, by=owner)
    estimate.refresh_from_db()
    assert (estimate.overhead_by, estimate.overhead, estimate.minimum, estimate.round_to) == (
        "hour",
        Decimal("12.50"),
        900,
        10,
    )
    totals = estimate_page(laid_out).totals
    assert totals.overhead == totals.hours * Decimal("12.50")
    assert totals.total % 10 == 0


def test_the_owner_sets_the_rules_by_the_page(as_owner):
    url = reverse("estimating:rate_rules")
    rules = {"overhead_by": "percent", "overhead": "8", "minimum": "450", "round_to": "5", "minimum_margin": "18"}
    assert as_owner.post(url, {"save": "", **rules, "rate_days": "60"}).status_code == 302
    kept = PriceRules.objects.get()
    assert (kept.overhead_by, kept.overhead, kept.minimum_margin, kept.rate_days) == ("percent", 8, 18, 60)
    refused = as_owner.post(url, {"save": "", **rules, "minimum_margin": "95", "rate_days": "60"})
    assert refused.status_code == 422
    assert refused.context["form"]["minimum_margin"].value() == "95"
    assert PriceRules.objects.get().minimum_margin == 18


# ---------------------------------------------------------------- tax by kind and place


def test_an_estimate_takes_the_taxes_of_its_region(laid_out, rates, owner):
    laid_out.site.region = "Ohio"
    laid_out.site.save()
    add_tax_rule(region="", kind="material", on="cost", percent=Decimal(3), by=owner)
    add_tax_rule(region="ohio ", kind="material", on="price", percent=Decimal(6), by=owner)
    add_tax_rule(region="ohio", kind="labor", on="price", percent=Decimal(2), by=owner)
    fill_estimate(job=laid_out, by=owner)
    totals = estimate_page(laid_out).totals
    assert [(each.tax.kind, each.tax.on, each.tax.percent) for each in totals.taxes] == [
        ("labor", "price", 2),
        ("material", "price", 6),
    ]
    assert totals.tax == sum(each.amount for each in totals.taxes) > 0
    assert taxes_in("Maine") == [{"kind": "material", "on": "cost", "percent": "3"}]


def test_without_a_table_tax_is_on_the_cost_of_materials_as_ever(estimate, laid_out, owner):
    change_estimate(job=laid_out, markup_percent=Decimal(35), tax_percent=Decimal("6.25"), by=owner)
    (charged,) = estimate_page(laid_out).totals.taxes
    assert (charged.tax.kind, charged.tax.on, charged.tax.percent) == ("material", "cost", Decimal("6.25"))


def test_the_table_is_kept_by_the_page_and_the_same_place_again_is_the_new_figure(as_owner):
    url = reverse("estimating:rate_rules")
    as_owner.post(url, {"add": "", "region": "Ohio", "kind": "labor", "on": "price", "percent": "2"})
    as_owner.post(url, {"add": "", "region": "OHIO", "kind": "labor", "on": "cost", "percent": "2.5"})
    rule = TaxRule.objects.get()
    assert (rule.on, rule.percent) == ("cost", Decimal("2.5"))
    assert (
        as_owner.post(url, {"add": "", "region": "", "kind": "labor", "on": "price", "percent": "51"}).status_code
        == 422
    )
    as_owner.post(url, {"remove": str(rule.pk)})
    assert not TaxRule.objects.exists()
    assert as_owner.post(url, {"remove": "nonsense"}).status_code == 404


# ---------------------------------------------------------------- markup and margin


def test_a_margin_typed_in_becomes_the_markup_of_the_table(as_owner, estimate, url):
    """TRADE.md 13, "check"."""
    for margin, markup in (("20", "25"), ("25", "33.33"), ("30", "42.86"), ("40", "66.67")):
        as_owner.post(url, {**TERMS, "margin_percent": margin})
        estimate.refresh_from_db()
        assert estimate.markup_percent == Decimal(markup)
        assert estimate_page(estimate.job).totals.margin_percent == Decimal(margin)
    assert "margin: 40% of it" in as_owner.get(url).content.decode()


def test_a_margin_that_can_t_be_comes_back_as_it_was_typed(as_owner, estimate, url):
    for typed in ("95", "100", "-1", "x"):
        response = as_owner.post(url, {**TERMS, "margin_percent": typed})
        assert response.status_code == 422
        assert response.context["form"]["margin_percent"].value() == typed
    estimate.refresh_from_db()
    assert estimate.markup_percent == 35


def test_below_the_least_margin_a_proposal_asks_for_a_reason_which_is_kept(estimate, laid_out, owner):
    """A markup of 25 percent is a margin of 20 (TRADE.md 13)."""
    set_price_rules(minimum_margin=Decimal("20.5"), by=owner)
    terms = {"job": laid_out, "tax_percent": Decimal(0), "by": owner}
    change_estimate(markup_percent=Decimal(25), **terms)
    with pytest.raises(CannotPropose, match=r"margin is 20.00% of the price, below the shop's least of 20.5%"):
        make_proposal(job=laid_out, by=owner)
    change_estimate(markup_percent=Decimal(25), thin_reason="a neighbor of three jobs", **terms)
    assert obstacles_of(laid_out) == []
    make_proposal(job=laid_out, by=owner)
    events = Estimate.pgh_event_model.objects.filter(pgh_obj=estimate, thin_reason="a neighbor of three jobs")
    assert events.get().thin_margin == 20


def test_a_margin_that_sinks_further_asks_again(estimate, laid_out, owner):
    set_price_rules(minimum_margin=Decimal(25), by=owner)
    change_estimate(job=laid_out, markup_percent=Decimal(25), tax_percent=Decimal(0), thin_reason="a friend", by=owner)
    assert obstacles_of(laid_out) == []
    Estimate.objects.filter(pk=estimate.pk).update(markup_percent=Decimal(24))
    assert "raise it, or say why" in obstacles_of(laid_out)[0].text


def test_the_reason_is_asked_for_beside_the_price(as_owner, estimate, url, owner):
    set_price_rules(minimum_margin=Decimal(40), by=owner)
    fragment = as_owner.post(url, TERMS, headers={"HX-Request": "true", "HX-Target": "section#totals"}).content.decode()
    assert "Why it may go below the least margin" in fragment
    assert 'id="obstacles" hx-swap-oob' in fragment
    as_owner.post(url, {**TERMS, "thin_reason": "winter work"})
    assert "Agreed down to 28.57%: winter work" in as_owner.get(url).content.decode()


# ---------------------------------------------------------------- discount and rounding


def test_a_discount_takes_a_reason_and_the_client_reads_it(as_owner, estimate, laid_out, url, owner):
    assert as_owner.post(url, {**TERMS, "discount": "5", "discount_by": "percent"}).status_code == 422
    terms = {**TERMS, "discount": "5", "discount_by": "percent", "discount_reason": "second bathroom", "round_to": "50"}
    assert as_owner.post(url, terms).status_code == 302
    totals = estimate_page(laid_out).totals
    assert totals.discount == round((totals.price + totals.discount) * 5 / 100, 2)
    letter = make_proposal(job=laid_out, by=owner).content
    texts = [line["text"] for line in letter["lines"]]
    assert "Discount: second bathroom" in texts
    assert sum(Decimal(line["amount"]) for line in letter["lines"]) == totals.price + totals.rounding
    assert Decimal(letter["total"]["amount"]) == totals.total
    assert totals.total % 50 == 0


def test_a_discount_by_both_or_of_more_than_everything_is_refused(as_owner, estimate, laid_out, url, owner):
    both = {"discount_percent": Decimal(5), "discount_amount": Decimal(5), "discount_reason": "x"}
    with pytest.raises(CannotChange, match="not both"):
        change_estimate(job=laid_out, markup_percent=Decimal(1), tax_percent=Decimal(0), by=owner, **both)
    terms = {**TERMS, "discount": "101", "discount_by": "percent", "discount_reason": "x"}
    assert as_owner.post(url, terms).status_code == 422


def test_the_steps_on_the_page_lead_from_the_lines_to_the_total(estimate, laid_out, owner):
    set_price_rules(minimum_margin=Decimal(1), by=owner)
    change_estimate(
        job=laid_out,
        markup_percent=Decimal(30),
        tax_percent=Decimal(7),
        overhead_by="percent",
        overhead=Decimal(9),
        minimum=Decimal(99_000),
        round_to=100,
        discount_amount=Decimal(10),
        discount_reason="paid at once",
        by=owner,
    )
    running = Decimal(0)
    for step in estimate_page(laid_out).steps:
        if step.sum:
            assert step.amount == running, step.name
        else:
            running += step.amount
            if step.lines:
                assert sum(cost for _, cost in step.lines) == step.amount
            assert step.how
    assert running == estimate_page(laid_out).totals.total


# ---------------------------------------------------------------- risk, and what may be found


def test_no_chance_of_loss_without_ranges_for_half_of_the_hours(as_owner, estimate, laid_out, url, owner):
    lines = EstimateLine.objects.filter(estimate=estimate, kind="labor")
    lines.update(low_hours=None, high_hours=None)
    assert "not told: 0% of the labor hours" in as_owner.get(url).content.decode()
    for line in lines:
        change_line(
            line=line,
            quantity=line.quantity,
            hours_range=(line.hours / 2, line.hours * 2),
            reason="asked the crew",
            by=owner,
        )
    page = as_owner.get(url).content.decode()
    assert "of the cases tried cost more than the price before tax" in page
    weighed = estimate_page(laid_out).weighed
    assert weighed.covered_percent == 100
    assert len(weighed.spread.drivers) == 3
    assert weighed.spread.low < weighed.spread.mean < weighed.spread.high


def test_a_range_comes_with_the_rate_and_is_stretched_with_the_quantity(estimate, laid_out, owner):
    set_rate(
        key="labor_niche",
        unit="each",
        cost=Decimal(60),
        hours=Decimal(2),
        hours_low=Decimal(1),
        hours_high=Decimal(5),
        setup_hours=Decimal("0.5"),
        crew=2,
        by=owner,
    )
    fill_estimate(job=laid_out, by=owner)
    niche = line_of(estimate, "labor_niche")
    assert (niche.low_hours, niche.hours, niche.high_hours, niche.persons) == (
        Decimal("1.5"),
        Decimal("2.5"),
        Decimal("5.5"),
        2,
    )
    niche = change_line(line=niche, quantity=Decimal(3), reason="three", by=owner)
    assert (niche.low_hours, niche.hours, niche.high_hours) == (Decimal("3.5"), Decimal("6.5"), Decimal("15.5"))


def test_a_range_by_hand_goes_along_with_the_hours_and_is_forgotten_when_emptied(as_owner, estimate, laid_out, owner):
    line = add_line(job=laid_out, kind="labor", text="Haul", quantity=4, unit="", unit_cost=Decimal(50), by=owner)
    url = reverse("estimating:line", args=[line.pk])
    as_owner.post(url, {"save": "", "quantity": "4", "cost": "", "low_hours": "3", "high_hours": "8"})
    as_owner.post(url, {"save": "", "quantity": "8", "cost": "", "low_hours": "3", "high_hours": "8"})
    line.refresh_from_db()
    assert (line.low_hours, line.hours, line.high_hours) == (6, 8, 16)
    as_owner.post(url, {"save": "", "quantity": "8", "cost": "", "low_hours": "", "high_hours": ""})
    line.refresh_from_db()
    assert line.low_hours is line.high_hours is None


def test_hours_out_of_order_are_refused_and_come_back_as_typed(as_owner, estimate, owner):
    line = line_of(estimate, "labor_niche")
    typed = {"save": "", "quantity": "1", "cost": "", "low_hours": "99", "high_hours": "", "reason": "x"}
    response = as_owner.post(reverse("estimating:line", args=[line.pk]), typed)
    assert response.status_code == 200
    assert "Likely are" in response.content.decode()
    assert response.context["form"]["low_hours"].value() == "99"


def test_what_may_be_found_is_priced_apart_and_in_no_total(as_owner, estimate, laid_out, url, owner):
    before = estimate_page(laid_out).totals
    change_estimate(
        job=laid_out,
        markup_percent=Decimal(50),
        tax_percent=Decimal(0),
        overhead_by="percent",
        overhead=Decimal(10),
        by=owner,
    )
    new = reverse("estimating:contingency_new", args=[laid_out.pk])
    assert as_owner.post(new, {"text": "", "unit": "stud", "unit_cost": "40"}).status_code == 200
    as_owner.post(new, {"text": "Rotten stud replaced", "unit": "stud", "unit_cost": "40"})
    assert estimate_page(laid_out).totals.cost == before.cost
    letter = make_proposal(job=laid_out, by=owner).content
    # Worked by hand: 40 and 10 percent overhead is 44, and half of that on it 66.
    found = letter["unit_prices"][-1]
    assert (found["text"], found["amount"]) == ("If found: Rotten stud replaced, for each stud", "66.00")
    as_owner.post(reverse("estimating:contingency", args=[Contingency.objects.get().pk]))
    assert not Contingency.objects.exists()


# ---------------------------------------------------------------- beside the total


def test_like_jobs_are_accepted_ones_with_the_same_rooms_by_area(propose, estimate, laid_out, owner):
    from tests.estimating.changes import labor, made
    from tests.factories import JobFactory

    assert estimate.places == ["shower"]
    assert estimate.area_m2 > 0
    accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    now = Estimate.objects.create(
        job=JobFactory(), markup_percent=0, tax_percent=0, area_m2=Decimal(9), places=["shower"]
    )
    (like,) = like_jobs(now)
    assert (like.number, like.total) == (laid_out.number, laid_out.proposals.get().total)
    # 86 sq ft of walls, the niche's own faces not counted: its 88 less 2.
    assert like.by_area.area == 86
    price = like.total
    for cost in (100, -40):
        change = raise_change(job=laid_out, what="A change", directed_by="Odalys Brandt", by=owner)
        labor(change, owner, abs(cost), credit=cost < 0)
        offer = made(offer_change(change=change, by=owner))
        if cost > 0:
            assert like_jobs(now)[0].total == price, "what waits doesn't count"
        approve_change(offer=offer, typed_name="Odalys Brandt", witness=owner)
    (like,) = like_jobs(now)
    assert like.total == job_sum(laid_out).total != price
    now.places = ["shower", "dry_floor"]
    assert like_jobs(now) == []


def test_an_old_rate_is_flagged_by_the_shop_s_limit(as_owner, estimate, url, owner):
    day = timezone.localdate() - timedelta(days=60)
    Rate.objects.filter(key="grout").update(valid_from=day)
    assert "Rates older than" not in as_owner.get(url).content.decode()
    set_price_rules(rate_days=59, by=owner)
    assert "Rates older than 59 days: Grout, A118.7, high performance." in as_owner.get(url).content.decode()
    grout = Rate.objects.get(key="grout", valid_to=None)
    set_rate(key="grout", unit=grout.unit, cost=grout.cost, package=grout.package, example=grout.example, by=owner)
    assert "Rates older than" not in as_owner.get(url).content.decode()


def test_the_page_takes_as_many_queries_with_much_on_it(
    as_owner, estimate, laid_out, url, owner, django_assert_num_queries
):
    add_contingency(job=laid_out, text="Rotten stud", unit="stud", unit_cost=Decimal(40), by=owner)
    with CaptureQueriesContext(connection) as few:
        as_owner.get(url)
    for number in range(8):
        add_contingency(job=laid_out, text=f"Find {number}", unit="each", unit_cost=Decimal(9), by=owner)
        add_line(job=laid_out, kind="labor", text=f"Line {number}", quantity=1, unit="", unit_cost=5, by=owner)
    with django_assert_num_queries(len(few)):
        as_owner.get(url)


# ---------------------------------------------------------------- what a fill changes, before it is taken over


def test_a_preview_says_line_by_line_what_a_fill_changes_and_changes_nothing(estimate, laid_out, owner):
    rows = list(EstimateLine.objects.filter(estimate=estimate).values())
    set_rate(key="grout", unit="lb", cost=Decimal("33.00"), package=Decimal(10), by=owner)
    preview = preview_fill(job=laid_out, by=owner)
    (grout,) = preview.changed
    assert (grout.before.cost, grout.after.cost) == (Decimal("19.50"), Decimal("33.00"))
    assert grout.difference == Decimal("13.50")
    assert list(EstimateLine.objects.filter(estimate=estimate).values()) == rows
    fill_estimate(job=laid_out, by=owner)
    assert estimate_page(laid_out).totals == preview.after
    assert preview_fill(job=laid_out, by=owner).changed == []


def test_the_owner_sees_what_changes_and_takes_it_over(as_owner, estimate, laid_out, room, url, owner):
    fill = reverse("estimating:fill", args=[laid_out.pk])
    assert "No line changes" in as_owner.get(fill).content.decode()
    niche = line_of(estimate, "labor_niche")
    change_line(line=niche, quantity=Decimal(2), reason="two shelves", by=owner)
    room.surfaces.get(key="back").openings.all().delete()
    choose_layout(room=room, option=1, why="no niche", by=owner)
    page = as_owner.get(fill).content.decode()
    assert "by hand, stays" in page
    assert "Take it over" in page
    wall = line_of(estimate, "labor_set_wall")
    assert wall.quantity == 86
    as_owner.post(url, {"fill": ""})
    wall.refresh_from_db()
    assert wall.quantity == 88


def test_a_preview_takes_as_many_queries_for_more_lines(as_owner, laid_out, room, rates, owner):
    """Of an estimate that isn't filled yet: with five rates that nobody needs, and without them."""
    fill = reverse("estimating:fill", args=[laid_out.pk])
    counts = []
    for keys in (["labor_cut", "labor_layout", "labor_return_visit", "labor_set_large", "labor_set_high"], []):
        held = Rate.objects.filter(key__in=keys)
        held.update(valid_to=timezone.localdate())
        with CaptureQueriesContext(connection) as queries:
            page = as_owner.get(fill)
        counts.append((len(queries), len(page.context["preview"].changed)))
        held.update(valid_to=None)
    (few_queries, few_lines), (many_queries, many_lines) = counts
    assert many_lines == few_lines + 5
    assert many_queries == few_queries


def test_without_a_layout_there_is_no_preview_and_the_page_says_why(as_owner, job, room):
    response = as_owner.get(reverse("estimating:fill", args=[job.pk]), follow=True)
    assert "chosen layout yet" in response.content.decode()


# ---------------------------------------------------------------- the page's length


def test_a_room_s_lines_are_folded_and_what_wants_a_look_stands_beside_them(as_owner, as_office, estimate, url, owner):
    def told(who=as_owner):
        page = who.get(url).content.decode()
        assert not re.search(r'<details class="fold"[^>]* open', page)
        assert '<details class="fold"' in page
        return page, re.findall(r"(?s)<li>(.*?)</li>", "".join(re.findall(r'(?s)class="to-look-at">.*?</div>', page)))

    EstimateLine.objects.filter(override_reason="", rate=None).exclude(unit_cost__gt=0).delete()
    page, lines = told()
    assert lines == []
    total = f"{estimate_page(estimate.job).totals.total:,.2f}"
    assert page.index(total) < page.index('class="fold"'), "the total stands above the lines"
    line = line_of(estimate, "tile")
    change_line(line=line, quantity=line.quantity + 5, reason="Counted again", by=owner)
    _page, (only,) = told()
    assert line.text in only
    assert "by hand" in only
    assert reverse("estimating:line", args=[line.pk]) in only
    _page, (only,) = told(as_office)  # who may not change it
    assert "href" not in only
    Rate.objects.filter(valid_to=None).update(valid_from=timezone.localdate() - timedelta(days=4000))
    page, lines = told()
    assert "old rate" in lines[-1]
    many = EstimateLine.objects.filter(room=line.room).count()
    assert many > 5
    assert re.search(r"5 of \d+: open the room to see them all", page)
