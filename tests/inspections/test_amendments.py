"""What is signed stays as it is: a correction is a new row beside it, and the database holds that."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import amend, close_out, record_entry, start_punch_list
from inspections.models import Amendment, Entry, SignOff
from inspections.queries import newest_amendments, phase_view
from tests.inspections.proofs import prove, prove_and_sign

pytestmark = pytest.mark.django_db

SAID = "The blocking is 2x8, not 2x6: read off the wrong stud"


@pytest.fixture
def signed(open_phases, installer):
    """The first phase, signed."""
    prove_and_sign(open_phases[0], by=installer)
    return open_phases[0]


@pytest.fixture
def entry(signed):
    return Entry.objects.filter(check_done__phase=signed).first()


def amended(row, by, text=SAID, **more) -> Amendment:
    return amend(row=row, text=text, by=by, happened_at=timezone.now(), **more)


def run(statement: str, *values) -> None:
    """Past the actions: straight into the table."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)


def insert(by, *, sign_off=None, entry=None, text="Past the actions") -> None:
    run(
        "INSERT INTO inspections_amendment (id, sign_off_id, entry_id, text, by_id, happened_at)"
        " VALUES (%s, %s, %s, %s, %s, now())",
        uuid7(),
        sign_off,
        entry,
        text,
        by.pk,
    )


def address(row) -> str:
    name = "amend_entry" if isinstance(row, Entry) else "amend_sign_off"
    return reverse(f"inspections:{name}", args=[row.pk])


def post(client, row, text=SAID, key=None, **more):
    return client.post(address(row), {"key": str(key or uuid.uuid4()), "text": text}, **more)


def test_an_amendment_changes_nothing_in_what_it_amends(entry, signed, installer, owner):
    rows = [Entry.objects.filter(pk=entry.pk), SignOff.objects.filter(phase=signed)]
    before = [row.values().get() for row in rows]
    amended(entry, installer)
    amended(signed.sign_off, owner, "Signed for Marek, who was there")
    assert [row.values().get() for row in rows] == before
    view = phase_view(signed)
    assert (view.state, view.amended) == ("signed", 2)


def test_what_fails_by_an_amendments_words_still_holds_nothing(entry, signed, installer):
    """Only an entry holds a phase: a check that was wrong is checked again."""
    amended(entry, installer, "It fails: the plate is missing")
    assert phase_view(signed).state == "signed"
    record_entry(check=entry.check_done, by=installer, happened_at=timezone.now(), ticked=False)
    assert phase_view(signed).state == "held"


def test_nothing_is_amended_before_the_sign_off(open_phases, installer):
    prove(open_phases[0], by=installer)
    entry = Entry.objects.first()
    with pytest.raises(Refused, match="Correct it on the card instead: nothing is signed yet"):
        amended(entry, installer)
    with pytest.raises(IntegrityError, match="nothing is signed yet") as refused:
        insert(installer, entry=entry.pk)
    assert refused.value.__cause__.diag.constraint_name == "inspections_amendment_of_what_is_signed"


def test_the_sign_off_of_another_phase_opens_nothing(signed, open_phases, installer):
    prove(open_phases[1], by=installer)
    entry = Entry.objects.filter(check_done__phase=open_phases[1]).first()
    with pytest.raises(IntegrityError, match="nothing is signed yet"):
        insert(installer, entry=entry.pk)


def test_it_points_at_one_row_and_says_something(entry, signed, installer):
    insert(installer, entry=entry.pk)
    with pytest.raises(IntegrityError, match="inspections_amendment_of_one_row"):
        insert(installer, entry=entry.pk, sign_off=signed.sign_off.pk)
    with pytest.raises(IntegrityError, match="inspections_amendment_of_one_row"):
        insert(installer)
    for empty in ("", " \n\t "):
        with pytest.raises(IntegrityError, match="inspections_amendment_says_something"):
            insert(installer, entry=entry.pk, text=empty)
        with pytest.raises(Refused, match="Say what is corrected"):
            amended(entry, installer, empty)
    with pytest.raises(DatabaseError, match="too long"):
        insert(installer, entry=entry.pk, text="x" * 501)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inspections_amendment SET text = 'Otherwise'",
        "UPDATE inspections_amendment SET by_id = by_id",
        "DELETE FROM inspections_amendment",
        "TRUNCATE inspections_amendment",
        "UPDATE inspections_signoff SET happened_at = now()",
        "DELETE FROM inspections_entry",
    ],
)
def test_the_database_keeps_it_as_it_is(entry, signed, installer, statement):
    amended(entry, installer)
    with pytest.raises(DatabaseError, match=r"permission denied|Cannot"):
        run(statement)
    assert Amendment.objects.get().text == SAID


def test_the_same_key_is_one_amendment(entry, signed, installer, owner):
    key = uuid7()
    first = amended(entry, installer, key=key)
    assert amended(entry, installer, f" {SAID} ", key=key) == first
    for row, by, text in (
        (entry, installer, "Otherwise"),
        (entry, owner, SAID),
        (signed.sign_off, installer, SAID),
    ):
        with pytest.raises(KeyTaken):
            amended(row, by, text, key=key)
    assert Amendment.objects.count() == 1


def test_a_phone_whose_clock_is_ahead_amends_now(entry, installer):
    ahead = timezone.now() + timedelta(days=3)
    assert amend(row=entry, text=SAID, by=installer, happened_at=ahead).happened_at <= timezone.now()


def test_the_office_reads_and_does_not_write(entry, signed, office, as_office, installer):
    amended(entry, installer)
    with pytest.raises(PermissionDenied):
        amended(entry, office)
    for row in (entry, signed.sign_off):
        assert post(as_office, row).status_code == 403
    page = as_office.get(reverse("inspections:phase", args=[signed.pk])).content.decode()
    assert SAID in page
    assert "Add the amendment" not in page
    assert Amendment.objects.count() == 1


def test_who_is_not_on_the_job_finds_nothing(entry, signed, as_other_installer):
    for row in (entry, signed.sign_off):
        assert post(as_other_installer, row).status_code == 404
        assert as_other_installer.get(address(row)).status_code == 404
    assert not Amendment.objects.exists()


@pytest.mark.parametrize("reader", ["as_owner", "as_office", "as_installer"])
def test_it_stands_beside_what_it_amends_with_name_and_date(request, entry, signed, as_installer, installer, reader):
    assert post(as_installer, entry)["Location"].endswith(f"#check-{entry.check_done_id}")
    assert post(as_installer, signed.sign_off, "Signed at noon")["Location"].endswith("#signed")
    page = request.getfixturevalue(reader).get(reverse("inspections:phase", args=[signed.pk])).content.decode()
    card = page.split(f'id="check-{entry.check_done_id}"')[1].split("</section>")[0]
    sign_off = page.split('id="signed"')[1].split("</section>")[0]
    for part, text in ((card, SAID), (sign_off, "Signed at noon")):
        assert text in part
        assert f"Amended by {installer.name}" in part
    assert page.count(SAID) == page.count("Signed at noon") == 1


def test_nothing_offers_it_before_the_sign_off(open_phases, as_installer, installer):
    prove(open_phases[0], by=installer)
    assert (
        "Add the amendment"
        not in as_installer.get(reverse("inspections:phase", args=[open_phases[0].pk])).content.decode()
    )
    entry = Entry.objects.first()
    refused = post(as_installer, entry)
    assert refused.status_code == 422
    assert not Amendment.objects.exists()


@pytest.mark.parametrize(("text", "why"), [("", "This field is required"), ("x" * 501, "at most 500 characters")])
def test_what_cannot_be_taken_stays_typed_and_says_why(entry, as_installer, text, why):
    response = post(as_installer, entry, text)
    page = response.content.decode()
    assert response.status_code == 422
    assert why in page
    form = page.split(f'id="amend-{entry.pk}"')[1].split("</form>")[0]
    assert text in form
    assert not Amendment.objects.exists()


def test_a_taken_key_says_so_and_the_form_gets_another(entry, as_installer, installer):
    key = amended(entry, installer).pk
    response = post(as_installer, entry, "Something else", key)
    page = response.content.decode()
    assert response.status_code == 422
    assert "Something else" in page
    assert str(key) not in page


def test_the_address_of_a_refused_amendment_leads_to_its_card(entry, signed, as_installer):
    phase = reverse("inspections:phase", args=[signed.pk])
    assert as_installer.get(address(entry))["Location"] == f"{phase}#check-{entry.check_done_id}"
    assert as_installer.get(address(signed.sign_off))["Location"] == f"{phase}#signed"


def test_the_earlier_entry_that_was_amended_stands_open(signed, installer, as_installer):
    first = Entry.objects.filter(check_done__phase=signed, check_done__kind="tick").first()
    record_entry(check=first.check_done, by=installer, happened_at=timezone.now(), ticked=True)
    amended(first, installer)
    page = as_installer.get(reverse("inspections:phase", args=[signed.pk])).content.decode()
    fold = page.split(SAID)[0].rsplit("Source, earlier entries", 1)[0].rsplit("<details", 1)[1]
    assert " open" in fold.split(">")[0]


def test_the_record_of_a_closed_job_can_be_amended(signed_job, office, as_installer):
    start_punch_list(job=signed_job, by=office)
    close_out(job=signed_job, walked_with="Odalys Brandt", by=office)
    sign_off = SignOff.objects.first()
    page = as_installer.get(reverse("inspections:phase", args=[sign_off.phase_id])).content.decode()
    assert "Check again" not in page
    assert "Add the amendment" in page
    assert post(as_installer, sign_off).status_code == 302
    assert newest_amendments() == [Amendment.objects.get()]


def test_the_job_page_counts_them(entry, signed, installer, as_owner, as_installer):
    amended(entry, installer)
    amended(signed.sign_off, installer, "Once more")
    for client in (as_owner, as_installer):
        assert "2 amendments" in client.get(reverse("home:job", args=[signed.room.job_id])).content.decode()


def test_the_phone_gets_a_receipt_and_the_server_knows_the_key(entry, as_installer):
    key = str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": "2026-11-25T10:00:00Z", "Phone-Version": "1"}
    for _ in range(2):
        answer = post(as_installer, entry, key=key, headers=headers)
        assert (answer.status_code, answer.json()) == (200, {"kept": True, "id": key})
    kept = Amendment.objects.get()
    assert (str(kept.pk), kept.happened_at.isoformat()) == (key, "2026-11-25T10:00:00+00:00")
    known = as_installer.post(reverse("home:phone_known"), {"keys": [key]}, content_type="application/json")
    assert known.json() == {"missing": []}
    refused = post(as_installer, entry, "", key, headers=headers)
    assert (refused.status_code, refused.json()["kept"]) == (422, False)
    taken = post(as_installer, entry, "Otherwise", key, headers=headers)
    assert (taken.status_code, taken.json()["kept"]) == (409, False)


def test_queries_dont_grow_with_amendments(entry, signed, installer, as_owner):
    def cost() -> int:
        with CaptureQueriesContext(connection) as caught:
            as_owner.get(reverse("inspections:phase", args=[signed.pk]))
            as_owner.get(reverse("home:job", args=[signed.room.job_id]))
            newest_amendments()
        return len(caught)

    amended(entry, installer)
    amended(signed.sign_off, installer)
    few = cost()
    for each in Entry.objects.all():
        amended(each, installer)
        amended(signed.sign_off, installer, f"Once more, {each.pk}")
    assert cost() == few
