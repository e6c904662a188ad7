"""A change order approved in person or by a paper: on a page of its own, with what stands for a signature kept."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    CannotApprove,
    approve_change,
    change_answers,
    make_change_link,
    offer_change,
    raise_change,
    withdraw_change,
)
from estimating.letters import approval_letter
from estimating.models import ChangeApproval
from estimating.signing import Paper, svg_path
from shop.templatetags.look import money
from tests.estimating.changes import a_link, approval_row, labor, made
from tests.estimating.test_signed_by_hand import STROKES, files, pdf_bytes
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"estimating:{name}", args=args)


def paper(**other):
    return Paper(**{"data": b"%PDF stand-in", "ending": "pdf", "signed_on": timezone.localdate()} | other)


def test_whoever_is_handed_the_device_reads_no_cost_and_no_markup(as_office, offered):
    """One hour at $100.00 with 35 percent on it: the client reads $135.00."""
    office, sign = (as_office.get(url(name, offered.change_id)) for name in ("change", "change_sign"))
    assert "Cost to the shop" in text_of(office)
    assert "typed_name" not in office.content.decode().split("It came back signed on paper")[0]
    assert url("change_sign", offered.change_id) in office.content.decode()
    page = text_of(sign)
    assert offered.content["sentence"] in page
    assert "New total $4,135.00" in page
    for hidden in ("$100.00", "35", "Cost", "markup", "Estimate"):
        assert hidden not in page.replace("$135.00", "").replace("$4,135.00", ""), hidden
    typed = {"version": "1", "typed_name": "Odalys Brandt", "strokes": json.dumps(STROKES)}
    half = as_office.post(url("change_sign", offered.change_id), typed)
    assert half.status_code == 422
    assert b'value="Odalys Brandt"' in half.content
    for hidden in ("$100.00", "Cost", "markup"):
        assert hidden not in text_of(half)


def test_whoever_is_handed_the_device_for_a_proposal_reads_no_cost_either(as_office, proposal, estimate):
    page = text_of(as_office.get(url("proposal", proposal.pk)))
    assert "Accept in person" in page
    costs = [money(line.cost) for line in estimate.lines.exclude(cost=0)]
    for hidden in ("Cost to the shop", "With markup", "Margin", "margin", *costs):
        assert hidden not in page, hidden


def test_an_installer_and_an_outsider_hand_over_nothing(as_installer, as_other_installer, offered):
    for client in (as_installer, as_other_installer):
        for name in ("change_sign", "change_on_paper", "change_signed_paper"):
            assert client.get(url(name, offered.change_id)).status_code == 403
        assert client.post(url("change_sign", offered.change_id), {"version": "1"}).status_code == 403
    assert not ChangeApproval.objects.exists()


def test_what_is_drawn_is_kept_and_shown(as_office, client, offered, owner):
    token = make_change_link(change=offered.change, by=owner)
    typed = {"version": "1", "typed_name": "Odalys Brandt", "strokes": json.dumps(STROKES), "agree": "on"}
    forged = client.post(url("client_change_approve", token), typed | {"strokes": '[["<script>"]]'})
    assert forged.status_code == 422
    assert client.post(url("client_change_approve", token), typed).status_code == 302
    approval = ChangeApproval.objects.get()
    assert approval.strokes == STROKES
    for page in (client.get(url("client_change", token)), as_office.get(url("change", offered.change_id))):
        assert svg_path(STROKES) in page.content.decode()
    assert "by your private link, with a drawn signature" in approval_letter(approval)[1]


def test_in_person_it_is_drawn_before_a_witness(as_office, office, offered):
    sign = url("change_sign", offered.change_id)
    typed = {"version": "1", "typed_name": "Odalys Brandt", "strokes": json.dumps(STROKES), "agree": "on"}
    assert as_office.post(sign, typed).url == sign
    approval = ChangeApproval.objects.get()
    assert (approval.witness, approval.strokes) == (office, STROKES)
    after = as_office.get(sign)
    assert svg_path(STROKES) in after.content.decode()
    assert "Approved by Odalys Brandt" in text_of(after)
    assert "Approve this change" not in text_of(after)
    assert "Cost" not in text_of(after), "the client still holds the device"


def attach(client, offered, data, *, day=None, name="Odalys Brandt"):
    fields = {"paper-version": "1", "paper-typed_name": name}
    fields["paper-signed_on"] = (day or timezone.localdate()).isoformat()
    fields["paper-paper"] = SimpleUploadedFile("signed.pdf", data)
    return client.post(url("change_on_paper", offered.change_id), fields)


def test_the_office_attaches_the_paper_that_came_back(as_office, office, offered):
    before, data = files(), pdf_bytes()
    refused = attach(as_office, offered, b"<html>")
    assert refused.status_code == 422
    assert b'value="Odalys Brandt"' in refused.content
    late = attach(as_office, offered, data, day=timezone.localdate() + timedelta(days=1))
    assert (late.status_code, "still to come" in text_of(late)) == (409, True)
    assert files() == before
    assert as_office.get(url("change_signed_paper", offered.change_id)).status_code == 404
    assert attach(as_office, offered, data).status_code == 302
    approval = ChangeApproval.objects.get()
    assert (approval.witness, approval.signed_on) == (office, timezone.localdate())
    page = text_of(as_office.get(url("change", offered.change_id)))
    assert "attached by Petra Lindqvist" in page
    answer = as_office.get(url("change_signed_paper", offered.change_id))
    assert b"".join(answer.streaming_content) == data
    assert answer["Content-Disposition"].startswith("attachment")
    assert "attached to our file by Petra Lindqvist" in approval_letter(approval)[1]


def test_a_paper_that_comes_second_is_not_dropped_unsaid(as_office, offered, owner):
    approve_change(offer=offered, typed_name="Odalys Brandt", link=a_link(offered, owner))
    before = files()
    answer = attach(as_office, offered, pdf_bytes(), name="Teo Brandt")
    assert answer.status_code == 409
    assert "approved already by Odalys Brandt" in text_of(answer)
    assert "Nothing was attached" in text_of(answer)
    assert files() == before


def test_signed_in_time_it_counts_though_it_comes_in_late_unless_the_sum_moved(accepted, owner, monkeypatch):
    late = []
    for what in ("A niche", "A bench"):
        change = raise_change(job=accepted, what=what, directed_by="Odalys Brandt", by=owner)
        labor(change, owner, 10)
        with monkeypatch.context() as patch:
            patch.setattr(change_answers, "end_of", lambda day: timezone.now() - timedelta(seconds=1))
            late.append(made(offer_change(change=change, by=owner)))
    first, second = late
    with pytest.raises(CannotApprove, match="expired"):
        approve_change(offer=first, typed_name="Odalys Brandt", witness=owner)
    signed_on = timezone.localdate(first.valid_until)
    assert approve_change(offer=first, typed_name="Odalys Brandt", witness=owner, paper=paper(signed_on=signed_on))
    with pytest.raises(CannotApprove, match="another sum by now"):
        approve_change(offer=second, typed_name="Odalys Brandt", witness=owner, paper=paper(signed_on=signed_on))


def test_the_database_takes_no_half_a_paper_and_none_that_was_signed_too_late(offered, owner, change, monkeypatch):
    whole = {"signed_on": timezone.localdate(), "paper": "signed/x.pdf", "paper_sha256": "0" * 64}
    for half in ({"paper": ""}, {"paper_sha256": ""}, {"strokes": STROKES}, {"signed_on": None}):
        with pytest.raises(IntegrityError, match="paper_whole"), transaction.atomic():
            approval_row(offered, owner, **whole | half)
    withdraw_change(change=change, reason="", by=owner)
    monkeypatch.setattr(change_answers, "end_of", lambda day: timezone.now() - timedelta(days=3))
    late = made(offer_change(change=change, by=owner))
    with pytest.raises(IntegrityError, match="expired"), transaction.atomic():
        approval_row(late, owner, **whole)
