"""The job's sum is what was accepted and every approved change, whatever else happens."""

import random
from decimal import Decimal

import pytest
from django.db import connection

from estimating.actions import (
    CannotApprove,
    CannotChangeOrder,
    agree_field_limit,
    approve_change,
    decline_change,
    offer_change,
    raise_change,
    set_rate,
    withdraw_change,
)
from estimating.change_queries import view_of
from estimating.job_sum import job_sum
from estimating.models import ChangeApproval, ChangeOffer
from estimating.models.change_offers import JOB_SUM_SQL
from jobs.models import Job
from tests.estimating.changes import labor, made

pytestmark = pytest.mark.django_db


def in_the_database(job):
    """The sum as the triggers compute it."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {JOB_SUM_SQL.format(job='%s')}", [job.pk, job.pk])
        return cursor.fetchone()[0]


def test_before_anything_is_accepted_there_is_none(job):
    assert job_sum(job) is None
    assert in_the_database(job) is None


def test_whatever_happens_it_is_accepted_and_approved(accepted, owner):
    """Steps by a seeded die: rates move, changes are drafted, offered, declined, withdrawn, approved. The sum expected
    here is kept by hand, from the amounts as they were offered."""
    die = random.Random(1)
    expected = job_sum(accepted).total
    assert expected == Decimal("4000.00")
    changes = [raise_change(job=accepted, what=f"Change {n}", directed_by="Odalys Brandt", by=owner) for n in range(4)]
    for change in changes:
        labor(change, owner, 10)
    approved = 0
    for step in range(50):
        change = die.choice(changes)
        what = die.choice(["line", "offer", "offer", "approve", "approve", "decline", "withdraw", "rate", "limit"])
        standing = ChangeOffer.objects.filter(change=change, end=None).first()
        try:
            if what == "line":
                labor(change, owner, die.randint(0, 90000) / Decimal(100), credit=die.random() < 0.4)
            elif what == "offer":
                made(offer_change(change=change, by=owner))
            elif what == "approve" and standing:
                is_first = not ChangeApproval.objects.filter(change=change).exists()
                made(standing)
                approve_change(offer=standing, typed_name="Odalys Brandt", witness=owner)
                expected += standing.amount if is_first else 0
                approved += is_first
            elif what == "decline" and standing:
                decline_change(offer=standing, reason="")
            elif what == "withdraw":
                withdraw_change(change=change, reason="", by=owner)
            elif what == "rate":
                cost = Decimal(die.randint(1, 9000)) / 100
                set_rate(key="grout", unit="lb", cost=cost, package=Decimal(10), by=owner)
            elif what == "limit":
                agree_field_limit(job=accepted, amount=Decimal(300), agreed_with="Odalys Brandt", by=owner)
        except (CannotApprove, CannotChangeOrder):
            pass
        now = job_sum(accepted)
        assert now.total == now.accepted + now.changes == expected == in_the_database(accepted), (step, what)
    assert job_sum(accepted).count == approved > 0
    # Every offer that still stands says a total that is true.
    for offer in ChangeOffer.objects.filter(end=None, approval=None):
        assert offer.sum_before == expected
        assert view_of(offer.change).amount == offer.amount


def test_another_jobs_changes_do_not_count(approved, owner):
    from tests.estimating.changes import accepted_job
    from tests.factories import JobFactory

    other = accepted_job(JobFactory(), owner)
    assert job_sum(other).total == Decimal("4000.00")
    assert job_sum(approved.job).total == Decimal("4135.00")
    assert Job.objects.count() == 2
