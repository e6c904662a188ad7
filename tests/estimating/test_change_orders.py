"""A change order from draft to answer, frozen when it is offered; and what the database itself refuses."""

import dataclasses
import hashlib
import io
import json
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.utils import timezone
from pypdf import PdfReader

from base.errors import KeyTaken
from base.keys import uuid7
from estimating.actions import (
    CannotApprove,
    CannotChangeOrder,
    add_change_line,
    agree_field_limit,
    approve_change,
    decline_change,
    make_change_link,
    offer_change,
    raise_change,
    remove_change_line,
    revoke_change_link,
    set_rate,
    withdraw_change,
)
from estimating.change_content import totals_of_change
from estimating.change_queries import rates_for_changes, view_of
from estimating.job_sum import _moved, job_finish, job_sum
from estimating.models import (
    ChangeApproval,
    ChangeEnd,
    ChangeLine,
    ChangeOffer,
    ChangeOrder,
    Estimate,
    FieldLimit,
    Rate,
)
from tests.estimating.changes import a_link, approval_row, labor, made, said
from tests.support.pdf_ua import faults_of

pytestmark = pytest.mark.django_db


def test_it_takes_an_accepted_job(job, owner):
    with pytest.raises(CannotChangeOrder, match="accepted work"):
        raise_change(job=job, what="Another niche", by=owner)
    with pytest.raises(IntegrityError, match="nothing was accepted"), transaction.atomic():
        ChangeOrder.objects.create(job=job, number=1, what="x", raised_by=owner, raised_at=timezone.now())


def test_its_lines_are_priced_by_the_rates_of_the_accepted_estimate(accepted, change, owner):
    """The grout dearer today than when the client accepted: the change is priced as the proposal was."""
    set_rate(key="grout", unit="lb", cost=Decimal(99), package=Decimal(5), by=owner)
    set_rate(key="mortar", unit="lb", cost=Decimal(26), package=Decimal(50), by=owner)
    rates = {rate.key: rate for rate in rates_for_changes(accepted)}
    line = add_change_line(change=change, rate=rates["grout"], quantity=Decimal(11), by=owner)
    assert rates["grout"].valid_to is not None
    # 11 lb are two packages of 10 lb at $20.00.
    assert (line.packages, line.cost) == (2, Decimal("40.00"))
    # What the estimate never had is priced by the rate in force.
    assert rates["mortar"].valid_to is None


def test_markup_and_tax_are_the_estimates(accepted, change, owner):
    """TRADE.md 13: price = cost x (1 + markup); 35 percent on $100 of labor is $135."""
    assert accepted.estimate.markup_percent == 35
    labor(change, owner, 100)
    assert view_of(change).amount == Decimal("135.00")


def test_credits_and_zero_dollar_changes_count_like_the_rest(accepted, owner):
    for charged, credited, amount in ((100, 0, "135.00"), (0, 100, "-135.00"), (100, 100, "0.00"), (0, 0, "0.00")):
        change = raise_change(job=accepted, what="Another niche", directed_by="Odalys Brandt", by=owner)
        labor(change, owner, charged)
        labor(change, owner, credited, credit=True)
        offer = made(offer_change(change=change, by=owner))
        before = job_sum(accepted).total
        assert offer.amount == Decimal(amount)
        approve_change(offer=offer, typed_name="Odalys Brandt", witness=owner)
        assert job_sum(accepted).total == before + Decimal(amount)


def test_what_the_client_reads_adds_up(accepted, change, owner):
    for cost in ("33.33", "66.67", "0.01"):
        add_change_line(change=change, kind="material", text="Tile", quantity=1, unit_cost=Decimal(cost), by=owner)
    labor(change, owner, Decimal("7.77"), credit=True)
    content = offer_change(change=change, by=owner).content
    tax = Decimal(content["tax"]["amount"]) if content["tax"] else 0
    assert sum(Decimal(line["amount"]) for line in content["lines"]) + tax == Decimal(content["amount"]["amount"])
    sums = {key: Decimal(each["amount"]) for key, each in content["sum"].items() if key != "count"}
    assert sums["before"] == sums["accepted"] + sums["changes"]
    assert sums["after"] == sums["before"] + Decimal(content["amount"]["amount"])


SENTENCES = [
    (100, False, 2, "Adds $135.00 and 2 days."),
    (100, True, 1, "Takes off $135.00 and adds 1 day."),
    (100, False, 0, "Adds $135.00 and no days."),
    (100, True, 0, "Takes off $135.00 and adds no days."),
    (100, False, -2, "Adds $135.00 and takes off 2 days."),
    (100, True, -1, "Takes off $135.00 and 1 day."),
    (0, False, 3, "Adds 3 days at no cost."),
    (0, False, -1, "Takes off 1 day at the same price."),
    (0, False, 0, "Changes neither the price nor the days."),
]


def test_it_is_said_in_one_sentence(accepted, owner):
    """PRACTICE.md, sentences that proposals need (common practice, no source): amount, days, total, who directed it."""
    for cost, credit, days, words in SENTENCES:
        change = raise_change(job=accepted, what="Another niche", by=owner)
        labor(change, owner, cost, credit=credit)
        said(change, owner, days=days)
        content = offer_change(change=change, by=owner).content
        assert content["sentence"].startswith(words)
        assert f"New total {content['sum']['after']['shown']}" in content["sentence"]
        assert "Directed by Odalys Brandt." in content["sentence"]


def test_the_finish_moves_by_working_days(accepted, change, owner, booked_until_friday):
    labor(change, owner, 100)
    said(change, owner, days=2)
    offer = offer_change(change=change, by=owner)
    # Friday and two working days: Tuesday.
    assert (offer.finish - job_finish(accepted)).days == 4
    approve_change(offer=made(offer), typed_name="Odalys Brandt", witness=owner)
    assert job_finish(accepted) == offer.finish


@pytest.mark.parametrize(("days", "day"), [(0, 4), (1, 7), (5, 11), (6, 14), (-1, 3), (-5, -3)])
def test_working_days_leave_weekends_out(days, day):
    """By the calendar: December 4, 2026 is a Friday."""
    friday = date(2026, 12, 4)
    assert _moved(friday, days, (1, 2, 3, 4, 5)) == friday + timedelta(days=day - 4)


def test_time_and_material_counts_at_its_most_and_says_so(accepted, change, owner):
    labor(change, owner, 100)
    said(change, owner, not_to_exceed=Decimal(100))
    with pytest.raises(CannotChangeOrder, match="more than the amount"):
        offer_change(change=change, by=owner)
    said(change, owner, not_to_exceed=Decimal(400))
    offer = offer_change(change=change, by=owner)
    assert offer.amount == 400
    assert "Time and material, not to exceed $400.00." in offer.content["sentence"]
    assert offer.content["time_and_material"]["hour"]["amount"] == "135.00"
    assert offer.content["time_and_material"]["expected"]["amount"] == "135.00"


def test_a_credit_never_takes_more_than_the_job_comes_to(accepted, change, owner):
    labor(change, owner, job_sum(accepted).total, credit=True)
    with pytest.raises(CannotChangeOrder, match="more than the job comes to"):
        offer_change(change=change, by=owner)


def test_before_it_is_offered_it_says_who_directed_it_and_what_it_costs(accepted, owner):
    change = raise_change(job=accepted, what="Another niche", by=owner)
    with pytest.raises(CannotChangeOrder, match=r"no line yet.*directed"):
        offer_change(change=change, by=owner)


# ---------------------------------------------------------------- frozen


def test_what_was_offered_is_frozen_with_its_hash(offered, owner):
    """RFC 8785's ordering for plain keys: sorted, no spaces, UTF-8; computed here without our own function."""
    text = json.dumps(offered.content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert offered.content_sha256 == hashlib.sha256(text.encode()).hexdigest()
    assert offered.document.input["letter"] == offered.content
    Rate.objects.update(cost=1)
    ChangeOrder.objects.update(what="Something else")
    offered.refresh_from_db()
    assert offered.content["what"] == "A second niche"


def test_while_it_is_with_the_client_nobody_works_on_it(offered, owner):
    with pytest.raises(CannotChangeOrder, match="withdraw it first"):
        labor(offered.change, owner, 5)
    with pytest.raises(CannotChangeOrder, match="withdraw it first"):
        remove_change_line(line=offered.change.lines.get(), by=owner)
    with pytest.raises(CannotChangeOrder):
        offer_change(change=offered.change, by=owner)
    withdraw_change(change=offered.change, reason="Wrong tile", by=owner)
    labor(offered.change, owner, 5)
    assert offer_change(change=offered.change, by=owner).version == 2


def test_an_approved_one_stays(approved, owner):
    for attempt in (
        lambda: labor(approved.change, owner, 5),
        lambda: withdraw_change(change=approved.change, reason="x", by=owner),
        lambda: offer_change(change=approved.change, by=owner),
        lambda: said(approved.change, owner),
    ):
        with pytest.raises(CannotChangeOrder):
            attempt()
    with pytest.raises(IntegrityError, match="its lines stay"), transaction.atomic():
        ChangeLine.objects.update(cost=1)


def test_the_database_refuses_to_change_or_remove_what_was_said(offered, offered_twice, owner, accepted):
    agree_field_limit(job=accepted, amount=Decimal(200), agreed_with="Odalys Brandt", by=owner)
    approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)
    for model in (ChangeOffer, ChangeEnd, ChangeApproval, FieldLimit):
        assert model.objects.exists()
        table = model._meta.db_table
        for statement in (
            f"UPDATE {table} SET created_at = now()",
            f"DELETE FROM {table}",
            f"TRUNCATE {table} CASCADE",
        ):
            with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(statement)


def test_the_pdf_says_what_was_offered(accepted, change, owner, photo):
    labor(change, owner, 100)
    said(change, owner, days=2, photos=[photo])
    offer = made(offer_change(change=change, by=owner), real=True)
    assert offer.document.state == "ready", offer.document.error
    with offer.document.file.open("rb") as file:
        reader = PdfReader(io.BytesIO(file.read()))
    assert faults_of(reader) == []
    text = " ".join("\n".join(page.extract_text() for page in reader.pages).split())
    for words in (
        offer.content["sentence"],
        offer.content["sum"]["after"]["shown"],
        "A second niche",
        "Name and signature",
    ):
        assert words in text
    assert any(page.images for page in reader.pages)


# ---------------------------------------------------------------- answered


def test_the_client_approves_by_the_link(offered, owner):
    link = a_link(offered, owner)
    approval = approve_change(
        offer=offered, typed_name="  Odalys   Brandt ", link=link, address="203.0.113.9", browser="b" * 900
    )
    assert (approval.typed_name, approval.witness, len(approval.browser)) == ("Odalys Brandt", None, 300)
    assert approval.content_sha256 == offered.content_sha256
    assert approval.document_sha256 == offered.document.sha256


def test_approving_twice_changes_nothing_and_somebody_else_is_told(offered, owner):
    first = approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)
    assert approve_change(offer=offered, typed_name=" Odalys  Brandt", witness=owner) == first
    with pytest.raises(CannotApprove, match="already by Odalys Brandt"):
        approve_change(offer=offered, typed_name="Somebody Else", link=a_link(offered, owner))
    assert ChangeApproval.objects.get().typed_name == "Odalys Brandt"


def test_a_name_is_needed(offered, owner):
    for name in ("", "  ", "x" * 161):
        with pytest.raises(CannotApprove, match="name"):
            approve_change(offer=offered, typed_name=name, witness=owner)


def test_one_whose_pdf_is_not_ready_is_refused(change, owner):
    labor(change, owner, 100)
    with pytest.raises(CannotApprove, match="still being made"):
        approve_change(offer=offer_change(change=change, by=owner), typed_name="Odalys Brandt", witness=owner)


def test_an_expired_a_withdrawn_and_a_declined_one_are_refused(accepted, owner, monkeypatch):
    from estimating.actions import change_answers

    ended = []
    for end in ("expired", "withdrawn", "declined"):
        change = raise_change(job=accepted, what=end, directed_by="Odalys Brandt", by=owner)
        labor(change, owner, 10)
        with monkeypatch.context() as patch:
            if end == "expired":
                patch.setattr(change_answers, "end_of", lambda day: timezone.now() - timedelta(days=1))
            offer = made(offer_change(change=change, by=owner))
        if end == "withdrawn":
            withdraw_change(change=change, reason="", by=owner)
        if end == "declined":
            assert decline_change(offer=offer, reason="  too   dear ").reason == "too dear"
            assert decline_change(offer=offer, reason="").reason == "too dear"
        ended.append((end, offer))
    for end, offer in ended:
        with pytest.raises(CannotApprove, match=end):
            approve_change(offer=offer, typed_name="Odalys Brandt", witness=owner)
        with pytest.raises(IntegrityError, match=r"no longer stands|expired"), transaction.atomic():
            approval_row(offer, owner)
    assert not ChangeApproval.objects.exists()
    assert job_sum(accepted).changes == 0


def test_a_dead_link_and_one_of_another_change_are_refused(accepted, offered, owner):
    link = a_link(offered, owner)
    revoke_change_link(link=link, by=owner)
    other = raise_change(job=accepted, what="Other", by=owner)
    make_change_link(change=other, by=owner)
    for dead in (link, other.links.get()):
        with pytest.raises(CannotApprove, match="link"):
            approve_change(offer=offered, typed_name="Odalys Brandt", link=dead)
        with pytest.raises(IntegrityError, match="does not open"), transaction.atomic():
            approval_row(offered, None, link=dead)


def test_an_approved_one_is_not_declined_by_an_old_tab(approved):
    with pytest.raises(CannotApprove, match="approved"):
        decline_change(offer=approved.offer, reason="")
    with pytest.raises(IntegrityError, match="was approved"), transaction.atomic():
        ChangeEnd.objects.create(offer=approved.offer, kind="declined")


def test_what_else_waits_is_offered_anew_with_the_new_total(offered, offered_twice, owner, accepted):
    """Two out at once: the second to be approved must not say a total that is no more."""
    first, second = offered, offered_twice
    approve_change(offer=first, typed_name="Odalys Brandt", witness=owner)
    anew = ChangeOffer.objects.get(change=second.change, end=None)
    assert (anew.version, anew.valid_until) == (2, second.valid_until)
    assert anew.content["sum"]["before"]["amount"] == str(job_sum(accepted).total)
    with pytest.raises(CannotApprove, match="newer version"):
        approve_change(offer=second, typed_name="Odalys Brandt", witness=owner)
    approve_change(offer=made(anew), typed_name="Odalys Brandt", witness=owner)
    assert job_sum(accepted).total == Decimal(anew.content["sum"]["after"]["amount"])


def test_the_database_holds_offers_and_approvals_to_the_sum(offered, offered_twice, owner, monkeypatch):
    """Two out at once, and the second not offered anew: its total would be wrong, and only the trigger knows."""
    from estimating.actions import change_answers

    monkeypatch.setattr(change_answers, "_offer_the_others_anew", lambda job: None)
    approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(IntegrityError, match="sum of the job is another"), transaction.atomic():
        approve_change(offer=offered_twice, typed_name="Odalys Brandt", witness=owner)
    stale = dataclasses.replace(job_sum(offered.change.job), changes=Decimal(0))
    monkeypatch.setattr(change_answers, "job_sum", lambda job: stale)
    withdraw_change(change=offered_twice.change, reason="", by=owner)
    with pytest.raises(IntegrityError, match="sum of the job is another"), transaction.atomic():
        offer_change(change=offered_twice.change, by=owner)


# ---------------------------------------------------------------- raised on site


def test_raised_twice_with_one_key_it_is_one(accepted, installer):
    key = uuid7()
    first = raise_change(job=accepted, what="Rot under the tub", on_site=True, key=key, by=installer)
    assert raise_change(job=accepted, what="Rot under the tub", on_site=True, key=key, by=installer) == first
    with pytest.raises(KeyTaken):
        raise_change(job=accepted, what="Something else", on_site=True, key=key, by=installer)
    assert ChangeOrder.objects.count() == 1


def test_the_clients_word_counts_within_the_limit_that_was_agreed(accepted, installer, owner):
    with pytest.raises(CannotChangeOrder, match="No field limit"):
        raise_change(job=accepted, what="Rot", on_site=True, word_of="Odalys Brandt", by=installer)
    agree_field_limit(job=accepted, amount=Decimal(200), agreed_with="Odalys Brandt", by=owner)
    change = raise_change(job=accepted, what="Rot", on_site=True, word_of="Odalys Brandt", by=installer)
    assert view_of(change).starts == "unpriced", "nobody knows yet whether it stays within the limit"
    assert "price it first" in view_of(change).starts_text
    labor(change, owner, 100)
    assert view_of(change).starts == "word"  # $135.00 with the markup
    labor(change, owner, 50)
    assert view_of(change).starts == "over"  # $202.50
    assert "Stop" in view_of(change).starts_text
    agree_field_limit(job=accepted, amount=Decimal(900), agreed_with="Odalys Brandt", by=owner)
    assert view_of(change).starts == "over", "the limit of its day stays"
    # Its start on a word doesn't count it: only the approval does.
    assert job_sum(accepted).changes == 0
    free = raise_change(job=accepted, what="Grout", on_site=True, word_of="Odalys Brandt", by=installer)
    labor(free, owner, 0)
    assert view_of(free).starts == "word", "at no cost, and somebody said so"


def test_without_a_word_it_waits_for_the_approval(accepted, installer, owner):
    agree_field_limit(job=accepted, amount=Decimal(200), agreed_with="Odalys Brandt", by=owner)
    change = raise_change(job=accepted, what="Rot", on_site=True, directed_by="Odalys Brandt", by=installer)
    assert view_of(change).starts == "no"
    labor(change, owner, 1)
    approve_change(offer=made(offer_change(change=change, by=owner)), typed_name="Odalys Brandt", witness=owner)
    assert view_of(change).starts == "yes"


@pytest.mark.django_db
def test_overhead_and_taxes_go_on_and_least_price_discount_and_rounding_do_not(change, owner):
    """One hour at $100.00 and $10.00 of overhead, 35 percent on it: $148.50, and 5 percent of tax: $7.43, half up.
    The terms are the estimate's own; that the rest was the proposal's is common practice, no source."""
    Estimate.objects.filter(job=change.job).update(
        overhead_by="hour",
        overhead=10,
        taxes=[{"kind": "labor", "on": "price", "percent": "5"}],
        minimum=900,
        discount_percent=10,
        discount_reason="A neighbor",
        round_to=10,
    )
    labor(change, owner, 100)
    estimate = Estimate.objects.get(job=change.job)
    totals = totals_of_change(estimate, change, change.lines.all())
    assert (totals.lines, totals.tax, totals.hour) == (Decimal("155.93"), Decimal("7.43"), Decimal("148.50"))
