"""What somebody earns: the owner sets and sees it, and it stands on no page that anybody else opens."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.actions import fill_estimate, make_link, price_labor_by_people, set_hourly_cost
from estimating.models import HourlyCost
from jobs.actions import put_on_crew
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db

PEOPLE = "/rates/people/"
# Figures that no other sum comes to: wages, burdens, and what an hour of each costs.
PRIVATE = ("43.17", "47.31", "37.13", "41.19", "59.20", "66.80")


def person_url(person):
    return reverse("estimating:rate_person", args=[person.pk])


@pytest.fixture
def paid(rates, laid_out, installer, other_installer, owner):
    """Both installers are on the job and have figures, which price its labor."""
    put_on_crew(job=laid_out, person=other_installer, by=owner)
    for person, wage, burden in ((installer, "43.17", "37.13"), (other_installer, "47.31", "41.19")):
        set_hourly_cost(person=person, wage=Decimal(wage), burden_percent=Decimal(burden), by=owner)
    price_labor_by_people(follow=True, by=owner)
    fill_estimate(job=laid_out, by=owner)


def test_the_owner_sets_an_hour_by_the_page(as_owner, installer):
    page = as_owner.get(PEOPLE).content.decode()
    assert "Nobody’s hour is set yet" in page
    response = as_owner.post(person_url(installer), {"wage": "43.17", "burden_percent": "37.13"})
    assert response.url == PEOPLE
    page = as_owner.get(PEOPLE).content.decode()
    for said in ("Rui Tavares", "$43.17", "37.13%", "$59.20", "an hour of 1 installer"):
        assert said in page
    assert "Nobody’s hour is set yet" not in page
    as_owner.post(person_url(installer), {"wage": "45", "burden_percent": "37.13"})
    page = as_owner.get(person_url(installer)).content.decode()
    assert "$43.17" in page, "what it was"
    assert "$61.71" in page


@pytest.mark.parametrize("typed", ["", "abc", "-1", "0", "NaN", "1e400", "12.345"])
def test_a_wage_that_is_none_comes_back_as_it_was_typed(as_owner, installer, typed):
    form = as_owner.post(person_url(installer), {"wage": typed, "burden_percent": "40"}).context["form"]
    assert form.errors["wage"]
    assert form["wage"].value() == typed
    assert not HourlyCost.objects.exists()


def test_nobody_else_opens_or_sets_it(paid, as_office, as_installer, as_other_installer, installer, client):
    for other in (as_office, as_installer, as_other_installer):
        for url in (PEOPLE, person_url(installer)):
            typed = {"wage": "1", "burden_percent": "1", "own": ""}
            for response in (other.get(url), other.post(url, typed)):
                assert response.status_code == 403
                assert not any(figure in response.content.decode() for figure in PRIVATE)
    assert client.get(PEOPLE).url.startswith(reverse("shop:login"))
    assert HourlyCost.objects.filter(valid_to=None).count() == 2


def test_no_page_of_others_names_a_wage_or_whose_hour_it_is(
    paid, as_owner, as_office, as_installer, client, laid_out, propose, owner
):
    shown = as_owner.get(PEOPLE).content.decode()
    assert all(figure in shown for figure in PRIVATE), "else this test looks for the wrong figures"
    proposal = propose()
    token = make_link(proposal=proposal, by=owner)
    of_job = ("estimating:estimate", "estimating:changes", "home:job", "jobs:crew")
    pages = [reverse("estimating:rates"), reverse("home:week"), *(reverse(name, args=[laid_out.pk]) for name in of_job)]
    for page in pages:
        answer = as_office.get(page)
        assert answer.status_code == 200
        assert not any(figure in answer.content.decode() for figure in PRIVATE), page
    estimate = as_office.get(reverse("estimating:estimate", args=[laid_out.pk])).content.decode()
    assert "an hour at the mean of 2 persons on the crew" in estimate
    assert "$63.00" in estimate, "the mean of 59.20 and 66.80"
    lines = estimate[estimate.index('class="fold"') : estimate.index('id="totals"')]
    assert "Rui Tavares" not in lines
    letter = client.get(reverse("estimating:client_proposal", args=[token])).content.decode()
    field = as_installer.get(reverse("home:job", args=[laid_out.pk])).content.decode()
    for text in (letter, field, str(proposal.content)):
        assert not any(figure in text for figure in (*PRIVATE, "63.00", "an hour at the mean")), "not even the mean"


def test_the_page_takes_the_same_queries_for_many_people(as_owner, owner, installer, django_assert_num_queries):
    with CaptureQueriesContext(connection) as few:
        as_owner.get(PEOPLE)
    # Session, user, shop's settings; figures, rules, people, labor rates counted.
    assert len(few) == 7
    for person in StaffFactory.create_batch(8):
        set_hourly_cost(person=person, wage=Decimal(40), burden_percent=Decimal(40), by=owner)
    with django_assert_num_queries(7):
        as_owner.get(PEOPLE)


def test_the_page_of_an_estimate_asks_for_the_hour_once(paid, as_owner, laid_out):
    with CaptureQueriesContext(connection) as asked:
        as_owner.get(reverse("estimating:estimate", args=[laid_out.pk]))
    assert sum('FROM "estimating_hourlycost"' in query["sql"] for query in asked) == 1
    assert len(asked) <= 30
