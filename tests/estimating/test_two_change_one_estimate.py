"""Whoever comes second is told what stands now, keeps what was typed, and wipes nothing out in silence."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import add_line, change_estimate, change_line, fill_estimate, set_rate
from estimating.models import EstimateLine, Proposal

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(laid_out):
    return reverse("estimating:estimate", args=[laid_out.pk])


def typed(form, **changes):
    stands = {name: form[name].value() for name in form.fields}
    return {**{name: "" if value is None else str(value) for name, value in stands.items()}, **changes}


def change_terms(job, by, markup, **terms):
    return change_estimate(job=job, markup_percent=Decimal(markup), tax_percent=Decimal(0), by=by, **terms)


def test_the_terms_of_an_estimate(as_owner, url, estimate, laid_out, owner):
    form = as_owner.get(url).context["form"]
    change_terms(laid_out, owner, 44, minimum=Decimal(900))
    sent = {"save": "", **typed(form, markup_percent="50")}
    answer = as_owner.post(url, sent)
    assert answer.status_code == 422
    again = answer.context["form"]
    assert "Now it is “44”" in str(again.errors["markup_percent"])
    assert "Now it is “900”" in str(again.errors["minimum"])
    assert "in the meantime" in str(again.non_field_errors())
    assert again["markup_percent"].value() == "50", "what was typed is kept"
    estimate.refresh_from_db()
    assert estimate.markup_percent == 44
    as_owner.post(url, {**sent, "minimum": "900", "seen": again["seen"].value()})
    estimate.refresh_from_db()
    assert (estimate.markup_percent, estimate.minimum) == (50, 900)


def test_a_line(as_owner, estimate, owner):
    line = EstimateLine.objects.get(estimate=estimate, key="labor_niche")
    page = reverse("estimating:line", args=[line.pk])
    form = as_owner.get(page).context["form"]
    change_line(line=line, quantity=Decimal(3), reason="Three", by=owner)
    sent = {"save": "", **typed(form, quantity="2", reason="Two")}
    again = as_owner.post(page, sent).context["form"]
    assert "Now it is “3”" in str(again.errors["quantity"])
    assert again["quantity"].value() == "2"
    line.refresh_from_db()
    assert (line.quantity, line.override_reason) == (3, "Three")
    as_owner.post(page, {**sent, "seen": again["seen"].value()})
    line.refresh_from_db()
    assert (line.quantity, line.override_reason) == (2, "Two")


def propose(client, url, page):
    found = re.search(r'(?s)<form id="propose".*?name="seen" value="([^"]*)"', page)
    return client.post(url, {"propose": "", "seen": found[1]}, follow=True)


@pytest.mark.parametrize("what", ["line", "own line", "fill", "terms"])
def test_what_is_proposed_is_what_was_on_the_page(as_owner, url, estimate, laid_out, owner, what):
    page = as_owner.get(url).text
    if what == "line":
        line = EstimateLine.objects.get(estimate=estimate, key="labor_niche")
        change_line(line=line, quantity=Decimal(3), reason="Three", by=owner)
    elif what == "own line":
        add_line(job=laid_out, kind="other", text="Permit", quantity=1, unit="each", unit_cost=Decimal(9), by=owner)
    elif what == "fill":
        set_rate(key="grout", unit="lb", cost=Decimal(33), package=Decimal(10), by=owner)
        fill_estimate(job=laid_out, by=owner)
    else:
        change_terms(laid_out, owner, 60)
    answer = propose(as_owner, url, page)
    assert "in the meantime" in answer.text
    assert not Proposal.objects.exists()
    propose(as_owner, url, answer.text)
    assert Proposal.objects.count() == 1


def test_the_button_follows_the_totals_that_are_swapped_and_the_lines_that_aren_t(
    as_owner, url, estimate, laid_out, owner
):
    """Saved by htmx: the terms on the page are the new ones, the lines those that it was opened with."""
    page = as_owner.get(url)
    lines = re.search(r'name="lines" value="([^"]*)"', page.text)[1]
    sent = {"save": "", "lines": lines, **typed(page.context["form"], markup_percent="50")}
    totals = as_owner.post(url, sent, headers={"HX-Target": "section#totals"})
    assert 'id="propose"' in totals.text
    assert "hx-swap-oob" in totals.text
    line = EstimateLine.objects.get(estimate=estimate, key="labor_niche")
    change_line(line=line, quantity=Decimal(3), reason="Three", by=owner)
    form = totals.context["form"]
    totals = as_owner.post(url, {**sent, "seen": form["seen"].value()}, headers={"HX-Target": "section#totals"})
    assert "in the meantime" in propose(as_owner, url, totals.text).text
    assert not Proposal.objects.exists()
    propose(as_owner, url, as_owner.get(url).text)
    assert Proposal.objects.count() == 1


def test_the_office_may_not(as_office, url, estimate):
    assert as_office.post(url, {"propose": "", "seen": "x"}).status_code == 403


def test_whoever_presses_twice_has_saved_it(as_owner, url, estimate):
    sent = {"save": "", **typed(as_owner.get(url).context["form"], markup_percent="50", minimum="900.5")}
    for _ in range(2):
        assert as_owner.post(url, sent).status_code == 302
    line = EstimateLine.objects.get(estimate=estimate, key="labor_niche")
    page = reverse("estimating:line", args=[line.pk])
    sent = {"save": "", **typed(as_owner.get(page).context["form"], quantity="2.5", cost="700", reason="Two")}
    for _ in range(2):
        assert as_owner.post(page, sent).status_code == 302
