"""Until when a client may cancel, counted from the signature; and the notice that goes with it.

TRADE.md 13: 16 CFR 429, three business days, from $25 at home and $130 elsewhere, what was paid back within 10 days.
"""

import io
from datetime import date, datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from estimating.actions import accept_proposal, change_estimate, proposals, set_payment_plan
from estimating.cooling_off import days_to_cancel, may_cancel_until
from estimating.letters import acceptance_letter
from estimating.local_limits import Local
from estimating.models import SignedAt
from estimating.payments import USUAL
from estimating.signing import Paper
from tests.estimating.test_the_client_s_link import page, text_of
from tests.support.pdf_ua import faults_of

pytestmark = pytest.mark.django_db

THURSDAY, WEDNESDAY_AFTER = date(2026, 6, 4), date(2026, 6, 10)


@pytest.fixture
def signed_on_paper(propose, owner, monkeypatch):
    """Signed on Thursday, June 4, attached on the Wednesday after."""
    proposal = propose()
    monkeypatch.setattr("estimating.actions.acceptance.check_date", lambda *given, **by: None)
    paper = Paper(data=b"%PDF stand-in", ending="pdf", signed_on=THURSDAY)
    acceptance = accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner, paper=paper)
    acceptance.created_at = timezone.make_aware(datetime(2026, 6, 10, 9))
    assert timezone.localdate(acceptance.created_at) == WEDNESDAY_AFTER
    return acceptance


def test_the_days_count_from_the_date_on_the_paper(signed_on_paper):
    """TRADE.md 13, "check": signed Thursday, it ends at Monday's midnight."""
    assert may_cancel_until(signed_on_paper) == date(2026, 6, 8)


def test_office_client_and_mail_say_the_same_day(signed_on_paper, as_office, client, owner):
    from estimating.actions import make_link

    proposal = signed_on_paper.proposal
    office = text_of(as_office.get(reverse("estimating:proposal", args=[proposal.pk])))
    theirs = text_of(page(client, make_link(proposal=proposal, by=owner)))
    mail = acceptance_letter(signed_on_paper)[1]
    assert "until midnight of June 8, 2026" in office
    for said in (theirs, mail):
        assert "Signed on June 4, 2026" in said
        assert "you may cancel until midnight of June 8, 2026" in said


@pytest.mark.parametrize(
    ("total", "signed_at", "days"),
    [
        ("24.99", SignedAt.HOME, 0),
        ("25.00", SignedAt.HOME, 5),
        ("129.99", SignedAt.ELSEWHERE, 0),
        ("130.00", SignedAt.ELSEWHERE, 5),
        ("9000.00", SignedAt.SHOP, 0),
    ],
)
def test_where_it_applies_by_where_it_is_signed(total, signed_at, days):
    local = Local(key="x", place="X", code="", share="", most=None, cancel_days=5, note="-")
    assert days_to_cancel(local, total=Decimal(total), signed_at=signed_at) == days


def test_the_proposal_carries_the_notice_twice_on_a_page_of_its_own(propose, client, owner):
    from estimating.actions import make_link

    proposal = propose(real_pdf=True)
    assert proposal.document.state == "ready", proposal.document.error
    notice = proposal.content["notice"]
    assert any("within 10 days" in line for line in notice["lines"])
    assert any("16 CFR 429" in line and "Local law applies" in line for line in notice["lines"])
    with proposal.document.file.open("rb") as file:
        reader = PdfReader(io.BytesIO(file.read()))
    assert faults_of(reader) == []
    texts = [" ".join(each.extract_text().split()) for each in reader.pages]
    assert [text.count("Notice: you may cancel") for text in texts] == [0] * (len(texts) - 1) + [2]
    assert texts[-1].count("I cancel this contract.") == 2
    for fact in notice["facts"]:
        assert fact["text"] in texts[-1]
    assert "Accepted" not in texts[-1], "what is torn off leaves the rest whole"
    on_the_link = text_of(page(client, make_link(proposal=proposal, by=owner)))
    assert on_the_link.count("Notice: you may cancel") == 1


def test_signed_in_the_shop_there_is_none(propose, laid_out, owner, as_office):
    set_payment_plan(job=laid_out, steps=USUAL, signed_at=SignedAt.SHOP, seen=0, by=owner)
    proposal = propose()
    assert (proposal.content["notice"], proposal.content["cooling_off"], proposal.content["cancel_days"]) == (
        None,
        "",
        0,
    )
    acceptance = accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    assert may_cancel_until(acceptance) is None
    assert "may cancel" not in acceptance_letter(acceptance)[1]


def test_the_owner_says_where_it_is_signed(as_owner, laid_out, estimate):
    url = reverse("estimating:job_payments", args=[laid_out.pk])
    typed = {"seen": 0, "save": "", "signed_at": "shop", "due_0": "walk_through"}
    assert as_owner.post(url, typed).status_code == 302
    assert '<option value="shop" selected>' in as_owner.get(url).content.decode()
    usual = as_owner.post(reverse("estimating:payments"), typed | {"signed_at": "elsewhere"})
    assert usual.status_code == 302
    as_owner.post(url, {"usual": ""})
    assert '<option value="elsewhere" selected>' in as_owner.get(url).content.decode()


def test_one_that_was_made_before_there_was_a_notice_still_says_its_days(propose, owner, monkeypatch):
    freeze = proposals.freeze
    monkeypatch.setattr(proposals, "freeze", lambda **by: {k: v for k, v in freeze(**by).items() if k != "notice"})
    acceptance = accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    assert may_cancel_until(acceptance) is not None


def test_what_costs_next_to_nothing_has_no_notice(propose, laid_out, estimate, owner):
    estimate.lines.all().update(cost=0)
    line = estimate.lines.first()
    type(line).objects.filter(pk=line.pk).update(cost=20)
    change_estimate(job=laid_out, markup_percent=0, tax_percent=0, by=owner)
    assert propose().content["notice"] is None
