import copy
import hashlib
import io
import json
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import DatabaseError
from pypdf import PdfReader

from estimating.actions import change_estimate, change_line, make_proposal, set_rate, withdraw_proposal
from estimating.content import content_hash
from estimating.models import EstimateLine, Proposal, ProposalEnd
from shop.models import ShopSettings

pytestmark = pytest.mark.django_db


def test_nothing_that_changes_later_reaches_it(proposal, owner, laid_out, room, estimate, client_person):
    before = copy.deepcopy(proposal.content)
    set_rate(key="mortar", unit="lb", cost=Decimal("99"), package=Decimal(50), by=owner)
    change_estimate(job=laid_out, markup_percent=Decimal(90), tax_percent=Decimal(9), by=owner)
    change_line(
        line=EstimateLine.objects.get(estimate=estimate, key="grout"), quantity=Decimal(99), reason="more", by=owner
    )
    ShopSettings.objects.update_or_create(pk=1, defaults={"name": "Another name", "currency": "EUR"})
    type(room).objects.filter(pk=room.pk).update(name="Another room")
    type(client_person).objects.filter(pk=client_person.pk).update(name="Another name")
    proposal.refresh_from_db()
    assert proposal.content == before
    assert content_hash(proposal.content) == proposal.content_sha256
    assert proposal.document.input["letter"] == before


def test_the_hash_is_of_the_canonical_json(proposal):
    """RFC 8785's ordering for plain keys: sorted, no spaces, UTF-8; computed here without our own function."""
    text = json.dumps(proposal.content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert proposal.content_sha256 == hashlib.sha256(text.encode()).hexdigest()


def test_what_the_client_sees_adds_up_to_the_total(proposal, estimate):
    content = proposal.content
    tax = Decimal(content["tax"]["amount"]) if content["tax"] else Decimal(0)
    assert sum(Decimal(line["amount"]) for line in content["lines"]) + tax == proposal.total
    assert Decimal(content["total"]["amount"]) == proposal.total > 0


def test_tax_is_a_line_of_its_own(propose, laid_out, owner):
    change_estimate(job=laid_out, markup_percent=Decimal(35), tax_percent=Decimal("8.125"), by=owner)
    content = propose().content
    assert "8.125%" in content["tax"]["text"]
    lines = sum(Decimal(line["amount"]) for line in content["lines"])
    assert lines + Decimal(content["tax"]["amount"]) == Decimal(content["total"]["amount"])


def test_it_says_scope_drawings_terms_and_cautions(proposal):
    (room,) = proposal.content["rooms"]
    assert [step["name"] for step in room["scope"]][:2] == ["Rough-in and blocking", "Substrate"]
    assert all(step["text"] for step in room["scope"])
    assert len(room["drawings"]) == 3
    assert all(drawing["svg"].startswith("<svg") for drawing in room["drawings"])
    excluded = {section["name"]: section["lines"] for section in proposal.content["sections"]}["Not included"]
    assert any(line.startswith("Plumbing") for line in excluded)
    assert any("silica" in caution["text"] for caution in proposal.content["cautions"])
    # The year of the house isn't known, so it counts as old.
    assert any("lead" in caution["text"] for caution in proposal.content["cautions"])
    assert "16 CFR 429" in proposal.content["cooling_off"]


def test_shop_costs_and_markup_stay_in_the_shop(proposal, estimate):
    content = json.loads(json.dumps(proposal.content))
    for room in content["rooms"]:
        # A drawing is full of figures of its own.
        room["drawings"] = [drawing["name"] for drawing in room["drawings"]]
    text = json.dumps(content)
    page = EstimateLine.objects.filter(estimate=estimate)
    assert f"{estimate.markup_percent}" not in text
    cost = sum(line.cost for line in page)
    assert f"{cost:.2f}" not in text


def test_the_database_refuses_to_change_or_remove_it(proposal):
    for statement in (
        "UPDATE estimating_proposal SET total = 1",
        "UPDATE estimating_proposal SET content = '{}'",
        "DELETE FROM estimating_proposal",
        "TRUNCATE estimating_proposal CASCADE",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert Proposal.objects.get().total == proposal.total


def test_a_newer_one_takes_its_place(proposal, propose, laid_out):
    second = propose()
    assert second.version == 2
    assert ProposalEnd.objects.get(proposal=proposal).kind == "replaced"
    assert laid_out.stage == "proposed"


def test_the_database_lets_only_one_stand(proposal, owner):
    with pytest.raises(IntegrityError, match="another proposal of this job still stands"), transaction.atomic():
        Proposal.objects.create(
            job=proposal.job,
            version=9,
            content={},
            content_sha256="0" * 64,
            total=1,
            valid_until=proposal.valid_until,
            document=_another_document(),
            made_by=owner,
        )


def _another_document():
    from documents.models import Document

    return Document.objects.create(kind="proposal", title="x", input={})


def test_withdrawn_it_leaves_the_job_at_pricing(proposal, laid_out, owner):
    end = withdraw_proposal(proposal=proposal, by=owner, reason="wrong tile")
    laid_out.refresh_from_db()
    assert laid_out.stage == "pricing"
    assert withdraw_proposal(proposal=proposal, by=owner).pk == end.pk
    assert make_proposal(job=laid_out, by=owner).version == 2


def test_the_pdf_is_tagged_and_says_what_was_offered(propose):
    proposal = propose(real_pdf=True)
    assert proposal.document.state == "ready"
    with proposal.document.file.open("rb") as file:
        reader = PdfReader(io.BytesIO(file.read()))
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert reader.trailer["/Root"]["/Lang"].lower() == "en-us"
    text = " ".join("\n".join(page.extract_text() for page in reader.pages).split())
    assert proposal.content["total"]["shown"] in text
    assert "Odalys Brandt" in text
    assert f"1 / {len(reader.pages)}" in text
    for line in proposal.content["lines"]:
        assert line["shown"] in text


def test_a_hostile_name_is_only_a_name(laid_out, room, client_person, propose, as_owner):
    hostile = "<script>alert(1)</script>"
    type(room).objects.filter(pk=room.pk).update(name=hostile)
    type(client_person).objects.filter(pk=client_person.pk).update(name=f"Odalys {hostile}")
    proposal = propose(real_pdf=True)
    assert proposal.document.state == "ready"
    page = as_owner.get(f"/proposals/{proposal.pk}/").content.decode()
    assert hostile not in page
    assert "&lt;script&gt;alert(1)" in page
