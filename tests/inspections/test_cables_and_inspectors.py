"""Ohms of a heating cable, an outside inspection, and what good practice says of voids."""

import hashlib
import html

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from base.keys import uuid7
from inspections.actions import NotProved, record_entry, sign_phase
from inspections.models import Check, Entry
from inspections.queries import phase_view
from tests.inspections.proofs import prove, upload
from trade.phases import phases_for
from trade.specification import Specification

pytestmark = pytest.mark.django_db


@pytest.fixture
def check_of(open_phases):
    """Opens one more check on the waterproofing, as a heated floor or a permit brings it elsewhere."""
    phase = next(each for each in open_phases if each.key == "waterproofing")
    spec = Specification.from_json(phase.specification)
    found = {each.key: each for kind in phases_for(_with(spec, heated=True, permit=True)) for each in kind.checks}

    def open_check(key: str) -> Check:
        kind = found[key]
        return Check.objects.create(
            phase=phase,
            key=kind.key,
            position=90 + len(key),
            text=kind.text,
            help=kind.help,
            kind=kind.kind,
            unit=kind.unit or "",
            limit=kind.limit.to_json() if kind.limit else None,
            source=kind.rule.cited,
            confidence=kind.rule.confidence,
        )

    return open_check


def _with(spec: Specification, **changes) -> Specification:
    from dataclasses import replace

    return replace(spec, **changes)


def send(client, check, **fields):
    return client.post(reverse("inspections:entry", args=[check.pk]), {"key": uuid7(), "seen": "none"} | fields)


@pytest.mark.parametrize(
    ("tag", "read", "outcome"),
    [
        # Within 10 percent of the tag: from memory; the cable's maker states its figure.
        ("50", "52", "holds"),
        ("50", "55.1", "fails"),
        # No reading at all: the cable is cut.
        ("50", "0", "fails"),
    ],
)
def test_a_cable_is_judged_by_its_own_tag(client, installer, check_of, tag, read, outcome):
    client.force_login(installer)
    check = check_of("heated_floor.laid")
    assert send(client, check, value_0=tag, value_1=read, save="1").status_code == 302
    entry = check.entries.get()
    assert (entry.outcome, entry.values) == (outcome, [tag, read])
    page = client.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert f"read: {read} Ω, the tag says {tag} Ω" in page
    assert "within 10 % of the tag" in page


def test_the_tag_is_typed_once_for_all_readings_of_a_room(client, installer, check_of):
    client.force_login(installer)
    box, laid = check_of("heated_floor.box"), check_of("heated_floor.laid")
    send(client, box, value_0="48.5", value_1="48.4", save="1")
    page = client.get(reverse("inspections:phase", args=[laid.phase_id]))
    card = next(card for card in page.context["cards"] if card["view"].check == laid)
    assert card["form"]["value_0"].value() == "48.5"


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"value_0": "50", "save": "1"}, "Enter the reading."),
        ({"value_0": "0", "value_1": "5", "save": "1"}, "A tag never says 0."),
        ({"value_0": "50", "value_1": "OL", "save": "1"}, "can&#x27;t be read as ohms"),
        ({"value_0": "50", "value_1": "-2", "save": "1"}, "less than 100,000 ohms"),
    ],
)
def test_ohms_that_cant_be_are_sent_back_as_typed(client, installer, check_of, fields, told):
    client.force_login(installer)
    check = check_of("heated_floor.laid")
    answer = send(client, check, **fields)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert f'value="{fields["value_0"]}"' in answer.content.decode()
    assert not Entry.objects.filter(check_done=check).exists()


def test_an_inspection_that_didnt_pass_holds_the_covering(client, installer, check_of):
    client.force_login(installer)
    check = check_of("rough_in.inspection")
    answer = send(client, check, wrong="1", inspector="M. Quillfeather", permit="B-114", note="Nail plate at the valve")
    assert answer.status_code == 302
    entry = check.entries.get()
    assert (entry.outcome, entry.told) == ("fails", {"inspector": "M. Quillfeather", "permit": "B-114"})
    assert check.text in " ".join(phase_view(check.phase).unproved)
    page = client.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    assert "inspected by M. Quillfeather, permit B-114" in page
    prove(check.phase, by=installer, but=check)
    with pytest.raises(NotProved):
        sign_phase(phase=check.phase, by=installer, happened_at=timezone.now())
    send(client, check, right="1", inspector="M. Quillfeather", photo=upload(), seen=str(entry.pk))
    passed = check.entries.order_by("happened_at").last()
    assert passed.outcome == "holds"
    assert passed.photo is not None


def test_an_inspection_names_its_inspector(client, installer, check_of):
    client.force_login(installer)
    check = check_of("rough_in.inspection")
    answer = send(client, check, right="1", permit="B-114")
    assert answer.status_code == 422
    assert "Say who inspected it" in answer.content.decode()
    assert 'value="B-114"' in answer.content.decode()
    assert send(client, check, inspector="M. Quillfeather").status_code == 422  # neither passed nor not
    assert send(client, check, skip="1", note="Comes on Monday").status_code == 302
    assert check.entries.get().outcome == "skipped"


def test_the_same_inspection_sent_again_is_one_and_another_one_is_not(installer, check_of):
    from base.errors import KeyTaken

    check, key, now = check_of("rough_in.inspection"), uuid7(), timezone.now()
    once = {"check": check, "by": installer, "happened_at": now, "key": key, "ticked": True}
    first = record_entry(**once, told={"inspector": "M. Quillfeather"})
    assert record_entry(**once, told={"inspector": "M. Quillfeather"}) == first
    with pytest.raises(KeyTaken):
        record_entry(**once, told={"inspector": "Somebody Else"})


def test_a_void_that_the_standard_lets_pass_is_still_spoken_of(client, installer, open_phases):
    # digitaledition.tile-magazine.com, April and May 2021: none within 2 in of an edge.
    client.force_login(installer)
    phase = next(each for each in open_phases if each.key == "setting")
    check = phase.checks.get(key="setting.coverage")
    voids = "".join("1" if n == 14 else "0" for n in range(100))
    clean = "0" * 100
    fields = {"value_0": "99", "voids_0": voids, "value_1": "100", "voids_1": clean, "value_2": "100", "voids_2": clean}
    assert send(client, check, **fields, save="1").status_code == 302
    assert check.entries.get().outcome == "holds"
    page = client.get(reverse("inspections:phase", args=[phase.pk])).content.decode()
    assert "(good practice, not the standard)" in page


def test_an_outsider_enters_no_ohms(client, other_installer, check_of):
    client.force_login(other_installer)
    check = check_of("heated_floor.laid")
    assert send(client, check, value_0="50", value_1="50", save="1").status_code == 404
    assert not check.entries.exists()


PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\nstartxref\n9\n%%EOF\n"


def report_of(data: bytes, name: str = "report.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "application/pdf")


def test_the_report_may_be_a_pdf_which_is_a_download_for_who_sees_the_job(
    client, installer, other_installer, as_office, check_of
):
    client.force_login(installer)
    check, key = check_of("rough_in.inspection"), str(uuid7())
    fields = {"right": "1", "inspector": "M. Quillfeather", "key": key}
    # Sent twice, as a phone does that didn't hear the answer.
    for _ in range(2):
        assert send(client, check, photo=report_of(PDF, "anything.jpg"), **fields).status_code == 302
    entry = check.entries.get()
    assert (entry.outcome, entry.photo) == ("holds", None)
    assert entry.document_sha256 == hashlib.sha256(PDF).hexdigest()
    address = reverse("inspections:report", args=[entry.pk])
    assert address in client.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    answer = as_office.get(address)
    assert b"".join(answer.streaming_content) == PDF
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"].startswith("attachment")
    client.force_login(other_installer)
    assert client.get(address).status_code == 404
    # Another PDF is another report.
    client.force_login(installer)
    assert send(client, check, photo=report_of(PDF + b"\n"), **fields).status_code == 422


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"%PDF-1.7 and no more", "cut off on its way"),
        (PDF.replace(b"<<>>", b"<</Encrypt 2>>"), "is locked"),
        (b"<html>", "isn't a picture"),
    ],
)
def test_a_report_that_cant_be_kept_is_refused_in_words(client, installer, check_of, data, told):
    client.force_login(installer)
    check = check_of("rough_in.inspection")
    answer = send(client, check, right="1", inspector="M. Quillfeather", photo=report_of(data))
    assert answer.status_code == 422
    assert told in html.unescape(answer.content.decode())
    assert not check.entries.exists()


def test_elsewhere_a_pdf_is_no_photo(client, installer, check_of):
    client.force_login(installer)
    check = Check.objects.filter(phase__room=check_of("rough_in.inspection").phase.room, kind="photo").first()
    assert send(client, check, photo=report_of(PDF), save="1").status_code == 422
