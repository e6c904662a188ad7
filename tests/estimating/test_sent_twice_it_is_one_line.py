"""A second press, or an answer that was lost: a line is added once, and another line by the same form is kept apart."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from base.errors import KeyTaken
from estimating.actions import add_change_line, add_contingency, add_line
from estimating.models import ChangeLine, Contingency, EstimateLine, Rate
from tests.estimating.test_two_answers_at_once import at_once

OWN = {"text": "Permit", "kind": "other", "quantity": "1", "unit": "each", "unit_cost": "120"}


def key_of(form):
    return str(form["key"].value())


@pytest.mark.django_db
@pytest.mark.parametrize("button", ["own", "by_rate"])
def test_a_line_of_an_estimate(as_owner, estimate, laid_out, button):
    url = reverse("estimating:line_new", args=[laid_out.pk])
    context = as_owner.get(url).context
    form = context["form"] if button == "own" else context["by_rate"]
    fields = OWN if button == "own" else {"rate": str(Rate.objects.get(key="mortar").pk), "quantity": "3"}
    sent = {button: "", **fields, "key": key_of(form)}
    count = EstimateLine.objects.count()
    for _ in range(2):
        assert as_owner.post(url, sent).status_code == 302
    assert EstimateLine.objects.count() == count + 1
    more = as_owner.post(url, {**sent, "quantity": "2"})
    assert "Something else was sent with this form" in more.text
    form = more.context["form"] if button == "own" else more.context["by_rate"]
    assert form["quantity"].value() == "2"
    as_owner.post(url, {**sent, "quantity": "2", "key": key_of(form)})
    assert EstimateLine.objects.count() == count + 2


@pytest.mark.django_db
@pytest.mark.parametrize("button", ["own", "rate_line"])
def test_a_line_of_a_change_order(as_office, change, button):
    url = reverse("estimating:change", args=[change.pk])
    form = as_office.get(url).context["forms"]["own" if button == "own" else "rate"]
    fields = OWN if button == "own" else {"rate": str(Rate.objects.get(key="grout").pk), "quantity": "3", "text": ""}
    sent = {button: "", **fields, "key": key_of(form)}
    for _ in range(2):
        assert as_office.post(url, sent).status_code == 302
    assert ChangeLine.objects.count() == 1
    more = as_office.post(url, {**sent, "quantity": "2"})
    assert more.status_code == 409
    form = more.context["forms"]["own" if button == "own" else "rate"]
    as_office.post(url, {**sent, "quantity": "2", "key": key_of(form)})
    assert ChangeLine.objects.count() == 2


@pytest.mark.django_db
def test_a_price_of_what_may_be_found(as_owner, estimate, laid_out):
    url = reverse("estimating:contingency_new", args=[laid_out.pk])
    sent = {"text": "Rotten stud", "unit": "stud", "unit_cost": "40", "key": key_of(as_owner.get(url).context["form"])}
    for _ in range(2):
        assert as_owner.post(url, sent).status_code == 302
    assert Contingency.objects.count() == 1
    refused = as_owner.post(url, {**sent, "unit_cost": "45"})
    assert "is kept" in refused.text
    as_owner.post(url, {**sent, "unit_cost": "45", "key": key_of(refused.context["form"])})
    assert Contingency.objects.count() == 2


@pytest.mark.django_db
def test_a_new_change_order_by_the_key_of_another_can_be_sent_again(as_office, accepted):
    url = reverse("estimating:changes", args=[accepted.pk])
    sent = {"new": "", "what": "A niche", "why": "", "directed_by": "", "key": str(uuid.uuid4())}
    as_office.post(url, sent)
    refused = as_office.post(url, {**sent, "what": "A bench"})
    assert refused.status_code == 422
    as_office.post(url, {**sent, "what": "A bench", "key": key_of(refused.context["new_form"])})
    assert accepted.change_orders.count() == 2


@pytest.mark.django_db
def test_a_key_of_another_job_is_refused(estimate, laid_out, owner):
    from tests.factories import JobFactory

    figures = {"kind": "other", "text": "Permit", "quantity": Decimal(1), "unit": "each", "unit_cost": Decimal(9)}
    line = add_line(job=laid_out, by=owner, key=uuid.uuid4(), **figures)
    with pytest.raises(KeyTaken):
        add_line(job=JobFactory(), by=owner, key=line.pk, **figures)
    with pytest.raises(KeyTaken):
        add_line(job=laid_out, by=owner, key=EstimateLine.objects.exclude(key="").first().pk, **figures)


def test_two_presses_at_once_are_one_line(own_database, estimate, laid_out, owner):
    figures = {"kind": "other", "text": "Permit", "quantity": Decimal(1), "unit": "each", "unit_cost": Decimal(9)}
    key, count = uuid.uuid4(), EstimateLine.objects.count()
    said = at_once(*[lambda: add_line(job=laid_out, by=owner, key=key, **figures)] * 2)
    assert {each.pk for each in said} == {key}, said
    assert EstimateLine.objects.count() == count + 1
    found = at_once(
        *[lambda: add_contingency(job=laid_out, text="Stud", unit="stud", unit_cost=Decimal(9), key=key, by=owner)] * 2
    )
    assert {each.pk for each in found} == {key}


def test_two_presses_at_once_in_a_change_order_are_one_line(own_database, change, owner):
    key = uuid.uuid4()
    line = {"kind": "other", "text": "Bench", "quantity": Decimal(1), "unit": "each", "unit_cost": Decimal(9)}
    said = at_once(*[lambda: add_change_line(change=change, by=owner, key=key, **line)] * 2)
    assert {each.pk for each in said} == {key}, said
    assert ChangeLine.objects.count() == 1
