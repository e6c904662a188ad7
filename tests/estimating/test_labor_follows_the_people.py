"""A labor rate that follows the people is priced by what an hour of the crew costs, and stays so once accepted."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    BadRate,
    accept_proposal,
    add_change_line,
    change_line,
    fill_estimate,
    preview_fill,
    price_labor_by_people,
    raise_change,
    restore_line,
    set_hourly_cost,
    set_price_rules,
    set_rate,
)
from estimating.change_queries import rates_for_changes
from estimating.content import content_hash
from estimating.following import following_lines
from estimating.hours import Hour, hour_of
from estimating.job_sum import job_sum
from estimating.models import EstimateLine, HourlyCost, Rate
from jobs.actions import put_on_crew, take_off_crew
from shop.actions import deactivate_staff
from tests.factories import StaffFactory
from tests.support.table_pages import fates, look, take

pytestmark = pytest.mark.django_db

MOVED = "The people on this job, or what an hour of them costs, changed"


def D(text: str) -> Decimal:
    return Decimal(text)


@pytest.fixture
def earns(owner):
    """An hour of the person costs the shop so much."""
    return lambda person, cost: set_hourly_cost(person=person, wage=D(cost), burden_percent=D("0"), by=owner)


@pytest.fixture
def following(rates, owner):
    """All labor rates follow the people; their own figure is $62.00."""
    price_labor_by_people(follow=True, by=owner)


@pytest.fixture
def fill(laid_out, following, owner):
    return lambda: fill_estimate(job=laid_out, by=owner)


@pytest.fixture
def url(laid_out):
    return reverse("estimating:estimate", args=[laid_out.pk])


def labor(job):
    """(cost of an hour, whose it is) of the labor lines, each pair once."""
    lines = EstimateLine.objects.filter(estimate__job=job, kind="labor")
    return set(lines.values_list("unit_cost", "hour_how"))


# ---------------------------------------------------------------- whose hour it is


def test_labor_costs_the_mean_of_the_crew(fill, laid_out, installer, other_installer, owner, earns):
    put_on_crew(job=laid_out, person=owner, by=owner)
    earns(installer, "60.00")
    earns(owner, "70.01")
    earns(other_installer, "99.00")
    fill()
    assert labor(laid_out) == {(D("65.01"), "an hour at the mean of 2 persons on the crew")}, "65.005, half up"
    for line in EstimateLine.objects.filter(estimate__job=laid_out, kind="labor"):
        assert line.cost == line.computed_cost == round(line.hours * D("65.01") + D("1e-9"), 2)
    assert not EstimateLine.objects.exclude(kind="labor").exclude(hour_how="").exists()


def test_who_has_no_figure_or_left_the_crew_isn_t_counted(fill, laid_out, installer, other_installer, owner, earns):
    put_on_crew(job=laid_out, person=other_installer, by=owner)
    put_on_crew(job=laid_out, person=owner, by=owner)
    earns(installer, "60.00")
    earns(other_installer, "80.00")
    take_off_crew(job=laid_out, person=other_installer, by=owner)
    fill()
    assert labor(laid_out) == {(D("60.00"), "an hour of 1 person on the crew")}


def test_a_crew_without_figures_costs_the_mean_of_the_installers(fill, laid_out, other_installer, owner, earns):
    for cost in ("50.00", "55.00"):
        earns(StaffFactory(), cost)
    gone = StaffFactory()
    earns(gone, "200.00")
    deactivate_staff(staff=gone, by=owner)
    earns(owner, "200.00")
    earns(other_installer, "60.00")
    fill()
    assert labor(laid_out) == {(D("55.00"), "an hour at the mean of 3 installers")}


def test_where_nobody_has_a_figure_the_rate_has_its_own(fill, laid_out):
    fill()
    assert labor(laid_out) == {(D("62.00"), "")}


def test_a_rate_that_doesn_t_follow_keeps_its_own_figure(laid_out, rates, installer, owner, earns):
    earns(installer, "70.00")
    niche = Rate.objects.get(key="labor_niche")
    set_rate(key="labor_niche", unit=niche.unit, cost=niche.cost, hours=niche.hours, by_people=True, by=owner)
    fill_estimate(job=laid_out, by=owner)
    lines = {line.key: line for line in EstimateLine.objects.filter(estimate__job=laid_out, kind="labor")}
    assert lines.pop("labor_niche").unit_cost == 70
    assert {(line.unit_cost, line.hour_how) for line in lines.values()} == {(D("62.00"), "")}


def test_one_query_finds_the_hour_however_many_there_are(fill, laid_out, installer, owner, earns):
    earns(installer, "60.00")
    fill()
    with CaptureQueriesContext(connection) as few:
        fill()
    for _ in range(6):
        person = StaffFactory()
        earns(person, "60.00")
        put_on_crew(job=laid_out, person=person, by=owner)
    with CaptureQueriesContext(connection) as many:
        fill()
    assert labor(laid_out) == {(D("60.00"), "an hour at the mean of 7 persons on the crew")}
    asked = [sum('FROM "estimating_hourlycost"' in query["sql"] for query in each) for each in (few, many)]
    assert asked[0] == asked[1] <= 2
    # What a person is called now is written into each line, in one statement more.
    assert len(many) <= len(few) + 1


# ---------------------------------------------------------------- what changed since, and what is old


def test_another_wage_is_told_on_the_estimate_and_taken_by_the_next_fill(
    fill, laid_out, url, installer, earns, as_owner, as_office, owner
):
    earns(installer, "60.00")
    fill()
    assert MOVED not in as_owner.get(url).content.decode()
    earns(installer, "66.00")
    for client in (as_owner, as_office):
        assert MOVED in client.get(url).content.decode()
    lines = EstimateLine.objects.filter(estimate__job=laid_out, kind="labor")
    preview = preview_fill(job=laid_out, by=owner)
    assert {each.line.key for each in preview.changed} == set(lines.values_list("key", flat=True))
    assert all(each.after.unit_cost == 66 for each in preview.changed)
    told = fill().changes
    assert len(told) == lines.count()
    assert all(each.endswith("another price.") for each in told)
    assert MOVED not in as_owner.get(url).content.decode()
    assert preview_fill(job=laid_out, by=owner).changed == []


def test_another_crew_is_told_too(fill, laid_out, url, installer, other_installer, owner, earns, as_owner):
    earns(installer, "60.00")
    earns(other_installer, "70.00")
    fill()
    put_on_crew(job=laid_out, person=other_installer, by=owner)
    assert MOVED in as_owner.get(url).content.decode()
    fill()
    assert labor(laid_out) == {(D("65.00"), "an hour at the mean of 2 persons on the crew")}
    assert MOVED not in as_owner.get(url).content.decode()


def test_figures_older_than_the_shop_s_limit_are_told_by_the_oldest(
    fill, laid_out, url, installer, other_installer, owner, earns, as_owner, as_office
):
    put_on_crew(job=laid_out, person=other_installer, by=owner)
    day = timezone.localdate() - timedelta(days=60)
    HourlyCost.objects.create(person=installer, wage=60, burden_percent=0, valid_from=day)
    earns(other_installer, "60.00")
    fill()
    assert "last looked at on" not in as_owner.get(url).content.decode()
    set_price_rules(rate_days=59, by=owner)
    page = as_owner.get(url).content.decode()
    assert "more than 59 days ago" in page
    assert reverse("estimating:rate_people") in page
    page = as_office.get(url).content.decode()
    assert "more than 59 days ago" in page
    assert reverse("estimating:rate_people") not in page
    assert "older than 59 days" in as_owner.get(reverse("estimating:rate_people")).content.decode()
    earns(installer, "60.00")
    assert "last looked at on" not in as_owner.get(url).content.decode()


def test_the_age_of_people_counts_only_where_they_price(laid_out, url, rates, installer, owner, as_owner):
    day = timezone.localdate() - timedelta(days=400)
    HourlyCost.objects.create(person=installer, wage=60, burden_percent=0, valid_from=day)
    fill_estimate(job=laid_out, by=owner)
    page = as_owner.get(url).content.decode()
    assert "last looked at on" not in page
    assert MOVED not in page


# ---------------------------------------------------------------- by hand, minimum trip, own lines


def test_a_line_changed_by_hand_keeps_its_hour_and_a_restored_one_takes_today_s(
    fill, laid_out, installer, owner, earns, url, as_owner
):
    earns(installer, "60.00")
    fill()
    niche = EstimateLine.objects.get(estimate__job=laid_out, key="labor_niche")
    earns(installer, "70.00")
    changed = change_line(line=niche, quantity=D("2"), reason="two shelves", by=owner)
    assert (changed.unit_cost, changed.hour_how) == (60, "an hour of 1 person on the crew")
    assert changed.cost == round(changed.hours * 60, 2)
    fill()
    niche.refresh_from_db()
    assert niche.unit_cost == 60
    assert niche.computed_cost == round(D("2.5") * 70, 2)
    assert MOVED not in as_owner.get(url).content.decode(), "the figure by hand stays"
    restored = restore_line(line=niche, by=owner)
    assert (restored.unit_cost, restored.cost) == (70, round(D("2.5") * 70, 2))


def test_the_minimum_trip_takes_the_same_hour(fill, laid_out, installer, owner, earns):
    earns(installer, "60.00")
    set_rate(key="labor_minimum_trip", unit="trip", cost=D("62"), hours=D("200"), by_people=True, by=owner)
    fill()
    line = EstimateLine.objects.get(estimate__job=laid_out, key="labor_minimum_trip")
    assert (line.unit_cost, line.hour_how) == (60, "an hour of 1 person on the crew")
    assert line.cost == line.computed_cost == round(line.hours * 60, 2)
    assert sum(each.hours for each in EstimateLine.objects.filter(estimate__job=laid_out, kind="labor")) == 200


def test_so_does_that_of_a_choice_which_has_none_stored(fill, laid_out):
    estimate = fill().estimate
    rate = Rate(key="labor_minimum_trip", kind="labor", cost=D("62"), hours=D("4"), by_people=True)
    lines = [EstimateLine(estimate=estimate, kind="labor", hours=D("1"), cost=D("60"))]
    hour = Hour(cost=D("60"), how="an hour of 1 installer")
    (by_people,) = following_lines(estimate, lines, {rate.key: rate}, hour)
    assert (by_people.unit_cost, by_people.cost, by_people.hour_how) == (60, 180, "an hour of 1 installer")
    (own,) = following_lines(estimate, lines, {rate.key: rate}, None)
    assert (own.unit_cost, own.cost, own.hour_how) == (62, 186, "")


def test_an_hour_of_one_s_own_left_empty_is_that_of_the_people(fill, laid_out, installer, earns, as_owner):
    fill()
    page = reverse("estimating:line_new", args=[laid_out.pk])
    typed = {"text": "Carry it up", "kind": "labor", "room": "", "quantity": "2", "unit": "", "unit_cost": ""}
    assert as_owner.post(page, typed).context["form"].errors["unit_cost"]
    earns(installer, "60.00")
    assert "Left empty for labor: $60.00, an hour of 1 person on the crew." in as_owner.get(page).content.decode()
    assert as_owner.post(page, typed).status_code == 302
    line = EstimateLine.objects.get(text="Carry it up")
    assert (line.hours, line.unit_cost, line.cost) == (2, 60, 120)
    other = as_owner.post(page, {**typed, "kind": "other", "text": "Container"})
    assert "only an hour of labor" in str(other.context["form"].errors["unit_cost"])


# ---------------------------------------------------------------- once it is accepted


@pytest.fixture
def accepted_at_60(fill, laid_out, installer, earns, propose, owner):
    """A job whose client accepted it with an hour at $60.00; since then the person costs $90.00."""
    earns(installer, "60.00")
    fill()
    proposal = propose()
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    earns(installer, "90.00")
    laid_out.refresh_from_db()
    return laid_out, proposal


def test_a_wage_changes_nothing_that_was_offered_or_accepted(accepted_at_60, as_owner, url, owner):
    job, proposal = accepted_at_60
    before = proposal.content
    proposal.refresh_from_db()
    assert proposal.content == before
    assert content_hash(proposal.content) == proposal.content_sha256
    assert job_sum(job).total == proposal.total
    assert labor(job) == {(D("60.00"), "an hour of 1 person on the crew")}
    price_labor_by_people(follow=False, by=owner)
    page = as_owner.get(url).content.decode()
    assert MOVED not in page, "nothing can be filled any more"
    assert "There is a newer price" not in page


def test_a_change_order_costs_the_hour_that_was_accepted(accepted_at_60, office, as_office, owner):
    job, _proposal = accepted_at_60
    assert hour_of(job.pk).cost == 90
    change = raise_change(job=job, what="A second niche", directed_by="Odalys Brandt", by=office)
    rates = {rate.key: rate for rate in rates_for_changes(job)}
    assert not EstimateLine.objects.filter(estimate__job=job, key="labor_bench").exists()
    for key in ("labor_niche", "labor_bench"):
        line = add_change_line(change=change, quantity=D("1"), rate=rates[key], by=office)
        assert (line.unit_cost, line.cost) == (60, round(line.hours * 60, 2)), key
    page = as_office.get(reverse("estimating:change", args=[change.pk])).content.decode()
    assert "Niche: $60.00 an hour" in page
    assert "Left empty for labor: $60.00" in page
    own = {"own": "", "text": "Niche", "kind": "labor", "quantity": "2", "unit": "", "unit_cost": ""}
    as_office.post(reverse("estimating:change", args=[change.pk]), own)
    assert change.lines.get(text="Niche", rate=None).cost == 120


def test_a_job_that_was_accepted_by_own_figures_stays_with_them(fill, laid_out, propose, installer, earns, owner):
    fill()
    accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    earns(installer, "90.00")
    change = raise_change(job=laid_out, what="A second niche", directed_by="Odalys Brandt", by=owner)
    niche = next(rate for rate in rates_for_changes(laid_out) if rate.key == "labor_niche")
    assert add_change_line(change=change, quantity=D("1"), rate=niche, by=owner).unit_cost == 62


# ---------------------------------------------------------------- the rates


def test_all_labor_follows_and_goes_back_by_new_rows(rates, owner, as_owner):
    labor_rates = Rate.objects.filter(kind="labor", valid_to=None)
    before = {rate.key: (rate.cost, rate.hours, rate.hours_low, rate.hours_high, rate.example) for rate in labor_rates}
    page = reverse("estimating:rate_people")
    assert as_owner.post(page, {"follow": ""}).status_code == 302
    assert {rate.by_people for rate in labor_rates.all()} == {True}
    after = {rate.key: (rate.cost, rate.hours, rate.hours_low, rate.hours_high, rate.example) for rate in labor_rates}
    assert after == before
    assert Rate.objects.filter(kind="labor").count() == 2 * len(before)
    assert price_labor_by_people(follow=True, by=owner) == 0
    assert as_owner.post(page, {"own": ""}).status_code == 302
    assert {rate.by_people for rate in labor_rates.all()} == {False}
    assert not Rate.objects.exclude(kind="labor").exclude(valid_to=None).exists(), "materials are left alone"


def test_a_rate_follows_by_its_own_page(rates, as_owner):
    page = reverse("estimating:rate_edit", args=["labor_grout"])
    typed = {"unit": "ft2", "cost": "62", "hours": "0.03", "setup_hours": "0", "crew": "1"}
    as_owner.post(page, {**typed, "by_people": "on"})
    assert Rate.objects.get(key="labor_grout", valid_to=None).by_people
    assert (
        "the people’s hour (else $62.00), 0.03 hours per sq ft"
        in as_owner.get(reverse("estimating:rates")).content.decode()
    )
    assert "checked" in str(as_owner.get(page).context["form"]["by_people"])
    as_owner.post(page, typed)
    assert not Rate.objects.get(key="labor_grout", valid_to=None).by_people


def test_only_labor_follows_the_people(owner):
    with pytest.raises(BadRate):
        set_rate(key="mortar", unit="lb", cost=D("26"), by_people=True, by=owner)
    set_rate(key="mortar", unit="lb", cost=D("26"), by=owner)
    with pytest.raises(IntegrityError, match="estimating_rate_people_do_labor"), transaction.atomic():
        Rate.objects.update(by_people=True)


@pytest.mark.parametrize(
    ("follows", "text"),
    [
        (True, "the people’s hour (else $62.00), 0.03 hours per sq ft becomes the people’s hour (else $65.00), 0.03"),
        (False, "$62.00 an hour, 0.03 hours per sq ft becomes $65.00 an hour, 0.03"),
    ],
)
def test_a_price_list_leaves_whose_hour_it_is(rates, owner, as_owner, follows, text):
    price_labor_by_people(follow=follows, by=owner)
    url = reverse("estimating:rate_list")
    shown = look(as_owner, url, "Kind,Rate,Price\nLabor,Grout,65\n")
    assert fates(shown) == {2: ("new price", f"{text} hours per sq ft")}
    take(as_owner, url, shown)
    rate = Rate.objects.get(key="labor_grout", valid_to=None)
    assert (rate.cost, rate.by_people) == (65, follows)
