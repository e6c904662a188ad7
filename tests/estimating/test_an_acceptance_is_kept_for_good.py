from datetime import timedelta

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.formats import date_format

from base.keys import uuid7
from estimating.actions import (
    CannotAccept,
    CannotDecline,
    CannotPropose,
    CannotWithdraw,
    accept_proposal,
    decline_proposal,
    make_link,
    make_proposal,
    revoke_link,
    withdraw_proposal,
)
from estimating.models import Acceptance, ProposalEnd
from jobs.models import Job

pytestmark = pytest.mark.django_db


def test_the_client_accepts_by_the_link_and_the_job_moves_to_work(proposal, link, laid_out):
    acceptance = accept_proposal(
        proposal=proposal, typed_name="  Odalys   Brandt ", link=link[1], address="203.0.113.9", browser="b" * 900
    )
    laid_out.refresh_from_db()
    assert laid_out.stage == "working"
    assert acceptance.typed_name == "Odalys Brandt"
    assert acceptance.content_sha256 == proposal.content_sha256
    assert acceptance.document_sha256 == proposal.document.sha256
    assert acceptance.address == "203.0.113.9"
    assert len(acceptance.browser) == 300


def test_the_same_yes_sent_twice_is_one(proposal, link):
    first = accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link[1])
    assert accept_proposal(proposal=proposal, typed_name=" Odalys  Brandt ", link=link[1]) == first
    assert Acceptance.objects.count() == 1


def test_a_second_yes_of_another_kind_is_told_of_the_first(proposal, link, owner):
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link[1])
    today, total = date_format(timezone.localdate(), "DATE_FORMAT"), proposal.content["total"]["shown"]
    for other in ({"typed_name": "Teo Brandt", "link": link[1]}, {"typed_name": "Odalys Brandt", "witness": owner}):
        with pytest.raises(CannotAccept) as refused:
            accept_proposal(proposal=proposal, **other)
        assert f"It was accepted already by Odalys Brandt on {today}, for {total}." in str(refused.value)
        assert "Nothing was changed" in str(refused.value)
    assert Acceptance.objects.get().typed_name == "Odalys Brandt"


def test_in_person_the_witness_is_kept(proposal, owner):
    acceptance = accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    assert (acceptance.witness, acceptance.link) == (owner, None)


@pytest.mark.parametrize("name", ["", "   ", "\n\t", "x" * 161])
def test_a_name_is_needed(proposal, owner, name):
    with pytest.raises(CannotAccept, match="name"):
        accept_proposal(proposal=proposal, typed_name=name, witness=owner)


def test_an_expired_one_is_refused(expired, owner):
    with pytest.raises(CannotAccept, match="expired"):
        accept_proposal(proposal=expired, typed_name="Odalys Brandt", witness=owner)


def test_one_whose_pdf_is_not_ready_is_refused(propose, owner):
    with pytest.raises(CannotAccept, match="still being made"):
        accept_proposal(proposal=propose(ready=False), typed_name="Odalys Brandt", witness=owner)


def test_a_replaced_one_is_refused_and_the_new_one_is_not(proposal, propose, owner):
    second = propose()
    with pytest.raises(CannotAccept, match="replaced"):
        accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    assert accept_proposal(proposal=second, typed_name="Odalys Brandt", witness=owner).proposal == second


def test_a_withdrawn_or_declined_one_is_refused(proposal, owner, propose):
    withdraw_proposal(proposal=proposal, by=owner)
    with pytest.raises(CannotAccept, match="withdrawn"):
        accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    second = propose()
    decline_proposal(proposal=second, reason="too dear")
    with pytest.raises(CannotAccept, match="declined"):
        accept_proposal(proposal=second, typed_name="Odalys Brandt", witness=owner)


def test_a_revoked_link_and_one_of_another_proposal_are_refused(proposal, link, propose, owner):
    revoke_link(link=link[1], by=owner)
    with pytest.raises(CannotAccept, match="link"):
        accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link[1])
    second = propose()
    make_link(proposal=proposal, by=owner)
    with pytest.raises(CannotAccept, match="link"):
        accept_proposal(proposal=second, typed_name="Odalys Brandt", link=proposal.links.first())


def test_an_accepted_one_is_neither_withdrawn_nor_declined_nor_replaced(proposal, owner, laid_out):
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(CannotWithdraw):
        withdraw_proposal(proposal=proposal, by=owner)
    with pytest.raises(CannotDecline):
        decline_proposal(proposal=proposal, reason="")
    with pytest.raises(CannotPropose):
        make_proposal(job=laid_out, by=owner)


def test_declined_the_job_goes_back_to_pricing(proposal, laid_out):
    end = decline_proposal(proposal=proposal, reason="too   dear ")
    laid_out.refresh_from_db()
    assert (end.kind, end.reason, end.by) == ("declined", "too dear", None)
    assert laid_out.stage == "pricing"
    assert decline_proposal(proposal=proposal, reason="again").pk == end.pk


# ---------------------------------------------------------------- past the actions: what the database refuses


def row(proposal, owner, **other):
    fields = {
        "id": uuid7(),
        "proposal": proposal,
        "job": proposal.job,
        "total": proposal.total,
        "typed_name": "Odalys Brandt",
        "witness": owner,
        "content_sha256": proposal.content_sha256,
        "document_sha256": proposal.document.sha256,
    }
    return Acceptance(**{**fields, **other})


def insert(acceptance):
    with transaction.atomic():
        Acceptance.objects.bulk_create([acceptance])


def test_the_database_takes_a_row_that_is_right(proposal, owner):
    insert(row(proposal, owner))
    assert Acceptance.objects.count() == 1


def test_the_database_refuses_an_expired_one(expired, owner):
    with pytest.raises(IntegrityError, match="expired"):
        insert(row(expired, owner))


def test_the_database_refuses_an_ended_one(proposal, owner):
    withdraw_proposal(proposal=proposal, by=owner)
    with pytest.raises(IntegrityError, match="no longer stands"):
        insert(row(proposal, owner))


@pytest.mark.parametrize("field", ["content_sha256", "document_sha256"])
def test_the_database_refuses_another_hash(proposal, owner, field):
    with pytest.raises(IntegrityError, match="not what was offered"):
        insert(row(proposal, owner, **{field: "0" * 64}))


def test_the_database_refuses_one_whose_pdf_is_not_ready(propose, owner):
    proposal = propose(ready=False)
    with pytest.raises(IntegrityError, match="not what was offered"):
        insert(row(proposal, owner, document_sha256=""))


def test_the_database_refuses_another_job(proposal, owner):
    other = Job.objects.create(title="Other", client=proposal.job.client, site=proposal.job.site)
    with pytest.raises(IntegrityError, match="another job"):
        insert(row(proposal, owner, job=other))


def test_the_database_refuses_a_dead_link(proposal, owner, link):
    revoke_link(link=link[1], by=owner)
    with pytest.raises(IntegrityError, match="does not open"):
        insert(row(proposal, owner, witness=None, link=link[1]))


def test_the_database_refuses_both_link_and_witness_and_neither(proposal, owner, link):
    for more in ({"link": link[1]}, {"witness": None}):
        with pytest.raises(IntegrityError, match="by_link_or_in_person"):
            insert(row(proposal, owner, **more))


def test_the_database_refuses_the_end_of_an_accepted_one(proposal, owner):
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(IntegrityError, match="was accepted"), transaction.atomic():
        ProposalEnd.objects.create(proposal=proposal, kind="withdrawn", by=owner)


def test_the_database_changes_and_removes_no_acceptance(proposal, owner, link):
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link[1])
    for statement in (
        "UPDATE estimating_acceptance SET typed_name = 'Other'",
        "DELETE FROM estimating_acceptance",
        "TRUNCATE estimating_acceptance CASCADE",
        "UPDATE estimating_proposallink SET token_hash = repeat('0', 64)",
        "UPDATE estimating_proposallink SET expires_at = now() + interval '9 years'",
        "DELETE FROM estimating_proposallink",
        "DELETE FROM documents_document",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert Acceptance.objects.get().typed_name == "Odalys Brandt"


def test_a_revoked_link_stays_revoked(proposal, owner, link):
    revoke_link(link=link[1], by=owner)
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_proposallink SET revoked_at = NULL")


def test_a_link_outlives_its_proposal_but_not_for_ever(link, proposal):
    assert timedelta(days=30) < link[1].expires_at - proposal.valid_until < timedelta(days=120)
    assert link[1].expires_at > timezone.now()
