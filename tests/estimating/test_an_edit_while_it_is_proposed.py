"""A line is edited while its proposal is made: what is proposed is what was on the page of whoever pressed the button.

Threads on a database of their own; shown with the lock off first.
"""

import threading
from datetime import UTC
from decimal import Decimal

import pytest
from django.utils import timezone

from estimating.actions import _open, change_line, make_proposal, proposals
from estimating.models import EstimateLine, Proposal
from estimating.queries import estimate_page
from jobs.models import Job
from tests.estimating.test_two_answers_at_once import at_once


@pytest.fixture(autouse=True)
def _in_the_zone_of_threads():
    """A thread begins in UTC, and its today must be that of the test."""
    with timezone.override(UTC):
        yield


@pytest.mark.parametrize("locked", [False, True])
def test_a_line_is_edited_between_the_check_and_the_freezing(
    own_database, monkeypatch, estimate, laid_out, owner, locked
):
    if not locked:
        for module in (proposals, _open):
            monkeypatch.setattr(module, "lock_job", lambda pk: Job.objects.get(pk=pk))
    page = estimate_page(laid_out)
    line = EstimateLine.objects.get(estimate=estimate, key="labor_niche")
    checked, edited, check = threading.Event(), threading.Event(), proposals.obstacles_of

    def stopped(job):
        found = check(job)
        checked.set()
        # With the lock the edit never comes: that is what is being shown.
        edited.wait(1 if locked else 10)
        return found

    def edit():
        checked.wait(10)
        change_line(line=line, quantity=Decimal(3), reason="Three", by=owner)
        edited.set()

    monkeypatch.setattr(proposals, "obstacles_of", stopped)
    seen = page.lines_seen + page.terms_seen
    said = at_once(lambda: make_proposal(job=laid_out, seen=seen, by=owner), edit)
    assert isinstance(said[0], Proposal), said
    assert said[1] is None, said
    assert (said[0].total == page.totals.total) == locked
    assert estimate_page(laid_out).totals.total != page.totals.total, "the edit is there, after the proposal"
