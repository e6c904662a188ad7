"""Two credits out at once, of which only one fits into the job: the client's yes to one is never blocked by the other.

The job comes to $4,000.00; two credits of $2,025.00 each, that is $1,500.00 with 35 percent on it.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import CannotApprove, approve_change, make_change_link, offer_change, raise_change
from estimating.actions import withdraw_change as withdraw
from estimating.change_queries import undecided_changes, view_of
from estimating.job_sum import job_sum
from estimating.models import ChangeOffer
from tests.estimating.changes import labor, made
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def credits_out(accepted, owner):
    offers = []
    for what in ("No niche", "No bench"):
        change = raise_change(job=accepted, what=what, directed_by="Odalys Brandt", by=owner)
        labor(change, owner, 1500, credit=True)
        offers.append(made(offer_change(change=change, by=owner)))
    assert [offer.amount for offer in offers] == [Decimal("-2025.00")] * 2
    return offers


@pytest.fixture
def one_approved(credits_out, owner):
    approve_change(offer=credits_out[0], typed_name="Odalys Brandt", witness=owner)
    return credits_out[1]


def test_the_yes_stands_and_the_other_is_taken_back_with_the_reason(one_approved, accepted, owner):
    assert job_sum(accepted).total == Decimal("1975.00")
    view = view_of(one_approved.change)
    assert (view.standing, view.taken_back, view.editable) == ("draft", True, True)
    assert "more than the job comes to" in view.end.reason
    assert view.end.by is None
    assert [each.change for each in undecided_changes(accepted)] == [one_approved.change], "it holds the closeout"
    with pytest.raises(CannotApprove, match="taken back"):
        approve_change(offer=one_approved, typed_name="Odalys Brandt", witness=owner)


def test_the_office_reads_it_on_its_pages_and_the_week(one_approved, accepted, as_office):
    page = text_of(as_office.get(reverse("estimating:change", args=[one_approved.change_id])))
    assert "Taken back, to be looked at again" in page
    assert "more than the job comes to" in page
    assert "taken back, to be looked at again" in text_of(as_office.get(reverse("home:week")))


def test_the_client_reads_no_reason_of_the_shop_s(one_approved, client, owner):
    token = make_change_link(change=one_approved.change, by=owner)
    page = text_of(client.get(reverse("estimating:client_change", args=[token])))
    assert "A newer version is being made." in page
    assert "Approve this change" not in page


def test_made_smaller_it_is_offered_anew_or_given_up(one_approved, accepted, owner, as_office):
    change = one_approved.change
    change.lines.update(cost=100, unit_cost=100)
    assert offer_change(change=change, by=owner).version == 2
    assert not view_of(change).taken_back
    assert "taken back" not in text_of(as_office.get(reverse("home:week")))
    withdraw(change=change, reason="Never mind", by=owner)
    assert view_of(change).standing == "withdrawn"


def test_taken_back_it_can_be_given_up(one_approved, owner, as_office):
    withdraw(change=one_approved.change, reason="Never mind", by=owner)
    assert view_of(one_approved.change).standing == "withdrawn"
    assert "taken back" not in text_of(as_office.get(reverse("home:week")))
    assert ChangeOffer.objects.filter(end=None, approval=None).count() == 0
