"""A signature drawn on a screen, a paper signed by hand; and the PDF that goes back to whoever accepted."""

import hashlib
import json
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader, PdfWriter

from estimating.actions import (
    CannotAccept,
    accept_proposal,
    decline_proposal,
    make_link,
    proposals,
    withdraw_proposal,
)
from estimating.models import Acceptance
from estimating.signing import MOST_POINTS, BadSignature, Paper, paper_from, strokes_from, svg_path
from shop.mail import send_mails
from shop.models import Mail
from tests.estimating.test_the_client_s_link import page, text_of

STROKES = [[[40, 150], [90, 40], [140, 150]], [[70, 110], [110, 110]]]


def pdf_bytes(password: str = "") -> bytes:
    """A page written by another library than ours."""
    writer, out = PdfWriter(), BytesIO()
    writer.add_blank_page(612, 792)
    if password:
        writer.encrypt(password)
    writer.write(out)
    return out.getvalue()


def photo(**options) -> bytes:
    out = BytesIO()
    Image.new("RGB", (40, 30), "white").save(out, "JPEG", **options)
    return out.getvalue()


# ---------------------------------------------------------------- what is read as a signature


def test_strokes_are_read_and_drawn_as_they_were():
    assert strokes_from(json.dumps(STROKES)) == STROKES
    # SVG 1.1, 8.3.2 and 8.3.4: M moves, L draws a line, each with absolute x and y.
    assert svg_path(STROKES) == "M40 150 L90 40 L140 150 M70 110 L110 110"
    assert svg_path([[[5, 6]]]) == "M5 6 L5 6"


@pytest.mark.parametrize("nothing", ["", "  ", "[]"])
def test_nothing_drawn_is_no_signature(nothing):
    assert strokes_from(nothing) is None


@pytest.mark.parametrize(
    "bad",
    [
        "scribble",
        "{}",
        "7",
        "null",
        "[[]]",
        "[[1, 2]]",
        "[[[1]]]",
        "[[[1, 2, 3]]]",
        "[[[true, false], [400, 100]]]",
        "[[[1.5, 2], [400, 100]]]",
        "[[[-1, 2], [400, 100]]]",
        "[[[1, 2], [601, 100]]]",
        "[[[1, 2], [400, 201]]]",
        '[[["1", 2], [400, 100]]]',
        "[[[NaN, 2], [400, 100]]]",
        "[" * 5000,
        json.dumps([[[10, 10], [12, 11]]]),
        json.dumps([[[x % 600, 10] for x in range(MOST_POINTS + 1)]]),
    ],
)
def test_what_no_hand_draws_is_refused(bad):
    with pytest.raises(BadSignature):
        strokes_from(bad)


def test_a_paper_is_a_whole_pdf_or_a_photo():
    day = timezone.localdate()
    data = pdf_bytes()
    kept = paper_from(BytesIO(data), signed_on=day)
    assert (kept.data, kept.ending) == (data, "pdf")
    picture = paper_from(BytesIO(photo()), signed_on=day)
    assert picture.ending == "jpg"
    assert Image.open(BytesIO(picture.data)).size == (40, 30)
    locked = pdf_bytes("secret")
    assert PdfReader(BytesIO(locked)).is_encrypted
    for bad in (data[:-20], b"%PDF-1.7\n" + b"x" * 50, locked, b"MZ\x90", b"", b"<html>", photo()[:100]):
        with pytest.raises(Exception, match=r"\.$") as caught:
            paper_from(BytesIO(bad), signed_on=day)
        assert type(caught.value).__name__ in ("BadPdf", "BadImage")


# ---------------------------------------------------------------- drawn, and sent back


def accepted_mail(postbox, acceptance):
    """The text of the one mail that goes; with it the very PDF that was accepted."""
    assert [send_mails(), send_mails()] == [1, 0]
    [message] = postbox.messages
    assert message["To"] == "odalys@example.com"
    [pdf] = message.iter_attachments()
    assert hashlib.sha256(pdf.get_content()).hexdigest() == acceptance.document_sha256
    text = message.get_body().get_content()
    assert acceptance.document_sha256 in text
    assert "By: Odalys Brandt" in text
    assert acceptance.proposal.content["total"]["shown"] in text
    return text


@pytest.mark.django_db
def test_the_client_draws_on_the_link(client, link, as_office, proposal, postbox):
    url = reverse("inspections:client_accept", args=[link[0]])
    typed = {"typed_name": "Odalys Brandt", "strokes": json.dumps(STROKES)}
    half = client.post(url, typed)
    assert half.status_code == 422
    assert "[[40, 150]" in half.content.decode()  # what was drawn stays
    forged = client.post(url, typed | {"agree": "on", "strokes": '[["<script>"]]'})
    assert forged.status_code == 422
    assert "couldn’t be read" in text_of(forged)
    assert b'["<script>"]' not in forged.content
    assert not Acceptance.objects.exists()
    for _press in range(2):
        assert client.post(url, typed | {"agree": "on"}).status_code == 302
    acceptance = Acceptance.objects.get()
    assert acceptance.strokes == STROKES
    path = svg_path(STROKES)
    assert path in page(client, link[0]).content.decode()
    assert path in as_office.get(reverse("estimating:proposal", args=[proposal.pk])).content.decode()
    assert "by your private link, with a drawn signature" in accepted_mail(postbox, acceptance)


@pytest.mark.django_db
def test_the_client_draws_in_person_and_a_no_sends_nothing(as_owner, owner, propose, postbox):
    decline_proposal(proposal=propose(), reason="")
    withdraw_proposal(proposal=propose(), by=owner)
    assert not Mail.objects.exists()
    url = reverse("inspections:accept_in_person", args=[propose().pk])
    as_owner.post(url, {"typed_name": "Odalys Brandt", "agree": "on", "strokes": json.dumps(STROKES)})
    acceptance = Acceptance.objects.get()
    assert (acceptance.witness, acceptance.strokes) == (owner, STROKES)
    assert "in person, before Ines Okafor, with a drawn signature" in accepted_mail(postbox, acceptance)


# ---------------------------------------------------------------- on paper


def attach(client, proposal, data, *, day=None):
    fields = {"paper-typed_name": "Odalys Brandt", "paper-signed_on": (day or timezone.localdate()).isoformat()}
    fields["paper-paper"] = SimpleUploadedFile("signed.pdf", data)
    return client.post(reverse("inspections:accept_on_paper", args=[proposal.pk]), fields)


def files(folder="signed"):
    """The names of all papers in the storage."""
    if not default_storage.exists(folder):
        return set()
    folders, names = default_storage.listdir(folder)
    return set(names).union(*(files(f"{folder}/{each}") for each in folders))


@pytest.mark.django_db
def test_the_office_attaches_the_signed_paper(as_office, as_installer, office, owner, proposal, postbox):
    data = pdf_bytes()
    paper_url = reverse("estimating:signed_paper", args=[proposal.pk])
    assert attach(as_installer, proposal, data).status_code == 403
    assert as_office.get(paper_url).status_code == 404
    assert attach(as_office, proposal, data).status_code == 302
    acceptance = Acceptance.objects.get()
    assert (acceptance.witness, acceptance.signed_on) == (office, timezone.localdate())
    assert acceptance.paper_sha256 == hashlib.sha256(data).hexdigest()
    assert acceptance.document_sha256 == proposal.document.sha256
    assert proposal.job.rooms.get().phases.exists()
    shown = text_of(as_office.get(reverse("estimating:proposal", args=[proposal.pk])))
    assert "attached by Petra Lindqvist" in shown
    response = as_office.get(paper_url)
    assert b"".join(response.streaming_content) == data
    assert response["Content-Disposition"].startswith("attachment")
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Cache-Control"] == "private, no-store"
    assert as_installer.get(paper_url).status_code == 403
    before = files()
    again = Paper(data=data, ending="pdf", signed_on=timezone.localdate())
    assert accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner, paper=again) == acceptance
    assert files() == before  # the same once more leaves no file
    assert "attached to our file by Petra Lindqvist" in accepted_mail(postbox, acceptance)


@pytest.mark.django_db
def test_what_can_t_be_is_refused_keeps_what_was_typed_and_leaves_no_file(as_office, proposal):
    before = files()
    refused = attach(as_office, proposal, b"<html><script>")
    assert refused.status_code == 422
    assert 'value="Odalys Brandt"' in refused.content.decode()
    assert f'value="{timezone.localdate().isoformat()}"' in refused.content.decode()
    for days, why in ((1, "still to come"), (-1, "lies before it was made")):
        day = timezone.localdate() + timedelta(days=days)
        response = attach(as_office, proposal, pdf_bytes(), day=day)
        assert response.status_code == 409
        assert why in text_of(response)
    assert not Acceptance.objects.exists()
    assert files() == before


@pytest.mark.django_db
def test_signed_in_time_counts_though_it_comes_in_late(expired, owner):
    with pytest.raises(CannotAccept, match="expired"):
        accept_proposal(proposal=expired, typed_name="Odalys Brandt", witness=owner)
    paper = Paper(data=pdf_bytes(), ending="pdf", signed_on=timezone.localdate(expired.valid_until))
    assert accept_proposal(proposal=expired, typed_name="Odalys Brandt", witness=owner, paper=paper).paper


@pytest.mark.django_db
def test_the_database_takes_no_half_a_paper_and_none_that_was_signed_too_late(propose, owner, monkeypatch):
    """The trigger holds the day a day coarser than the action, which knows the shop's zone."""
    proposal = propose()
    whole = {
        "proposal": proposal,
        "job": proposal.job,
        "total": proposal.total,
        "typed_name": "Odalys Brandt",
        "witness": owner,
        "content_sha256": proposal.content_sha256,
        "document_sha256": proposal.document.sha256,
        "signed_on": timezone.localdate(),
        "paper": "signed/x.pdf",
        "paper_sha256": "0" * 64,
    }
    make_link(proposal=proposal, by=owner)
    by_link = {"witness": None, "link": proposal.links.get()}
    for half in ({"paper": ""}, {"paper_sha256": ""}, {"strokes": STROKES}, {"signed_on": None}, by_link):
        with pytest.raises(IntegrityError, match="paper_whole"), transaction.atomic():
            Acceptance.objects.create(**whole | half)
    monkeypatch.setattr(proposals, "end_of", lambda day: timezone.now() - timedelta(days=3))
    late = propose()
    paper = Paper(data=pdf_bytes(), ending="pdf", signed_on=timezone.localdate())
    with pytest.raises(CannotAccept, match="after it had expired"):
        accept_proposal(proposal=late, typed_name="Odalys Brandt", witness=owner, paper=paper)
    with pytest.raises(IntegrityError, match="expired"), transaction.atomic():
        Acceptance.objects.create(**whole | {"proposal": late, "document_sha256": late.document.sha256})


@pytest.mark.django_db
def test_a_paper_that_comes_second_with_another_choice_is_not_dropped_unsaid(as_office, with_options, owner):
    """One of the house takes a choice on the link; the office attaches the paper of the other, with another."""
    proposal, offered = with_options
    make_link(proposal=proposal, by=owner)
    white = offered.choice(offered.white)
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=proposal.links.get(), choice=white)
    before = files()
    fields = {"paper-typed_name": "Teo Brandt", "paper-signed_on": timezone.localdate().isoformat()}
    fields |= {f"paper-pick-{offered.tile}": offered.marble}
    fields["paper-paper"] = SimpleUploadedFile("signed.pdf", pdf_bytes())
    answer = as_office.post(reverse("inspections:accept_on_paper", args=[proposal.pk]), fields)
    assert answer.status_code == 409
    text = text_of(answer)
    assert "It was accepted already by Odalys Brandt" in text
    assert "with this choice: Shower tile: White field tile." in text
    assert "Nothing was attached" in text
    assert files() == before
    assert Acceptance.objects.get().choice == white
