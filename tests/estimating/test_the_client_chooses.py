"""Options on the client's link, on the owner's device and on paper: what is picked is what is read, paid and done."""

import re
from decimal import Decimal
from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, connection, transaction
from django.db.models import F
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.actions import CannotAccept, accept_proposal, make_link, set_rate
from estimating.comparing import differences
from estimating.job_sum import job_sum
from estimating.models import Acceptance, Rate
from estimating.options import total_of
from inspections.actions import accept_and_open
from inspections.models import Phase
from rooms.models import Room, Standing
from shop.models import Mail
from tests.estimating.offered_options import BENCH, MARBLE
from tests.estimating.test_an_acceptance_is_kept_for_good import insert, row
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def token(with_options, owner):
    return make_link(proposal=with_options[0], by=owner)


def picks(offered, *options):
    return {f"pick-{offered.tile}": options[0], f"pick-{offered.extra}": options[1:]}


def page(client, token, data=None):
    return client.get(reverse("estimating:client_proposal", args=[token]), data or {})


def accept(client, token, **data):
    fields = {"typed_name": "Odalys Brandt", "agree": "on", **data}
    return client.post(reverse("inspections:client_accept", args=[token]), fields)


TOTALS = r'(?s)id="chosen">.*?</b>|<tr class="total">.*?</tr>|id="total-now">[^<]+'


def money(response):
    """The totals that the page tells: by the picks, in the letter, beside the button."""
    return {re.findall(r"\$[\d,.]+", each)[0] for each in re.findall(TOTALS, response.content.decode())}


def test_the_letter_follows_what_is_picked_at_an_address_that_keeps_nothing(client, with_options, token):
    proposal, offered = with_options
    plain = page(client, token)
    assert money(plain) == {proposal.content["total"]["shown"]}
    assert plain.content.count(b'type="radio"') == 2
    chosen = page(client, token, picks(offered, offered.marble, offered.bench))
    shown = total_of(proposal.content, offered.choice(offered.marble, offered.bench))
    assert Decimal(shown["amount"]) == proposal.total + MARBLE + BENCH
    assert money(chosen) == {shown["shown"]}
    assert f"The total is {shown['shown']}" in text_of(chosen)
    html = chosen.content.decode()
    assert re.findall(r"<h2>(Shower[^<]+)</h2>", html) == ["Shower in marble", "Shower bench"]
    assert f'name="total" value="{shown["amount"]}"' in html
    assert html.count(" checked>") == 2
    assert 'role="status"' in html
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize("what", ["two tiles", "a stranger's"])
def test_picks_that_are_not_offered_are_refused_in_words(client, with_options, token, what):
    proposal, offered = with_options
    options = [offered.white, offered.marble] if what == "two tiles" else ["0", offered.white]
    response = page(client, token, {f"pick-{offered.tile}": options})
    assert b'role="alert"' in response.content
    assert money(response) == {proposal.content["total"]["shown"]}


def test_the_choice_that_was_shown_is_accepted_and_done(client, with_options, token, room):
    proposal, offered = with_options
    choice = offered.choice(offered.marble)
    total = total_of(proposal.content, choice)
    assert accept(client, token, total=total["amount"], **picks(offered, offered.marble)).status_code == 302
    acceptance = Acceptance.objects.get()
    assert (acceptance.choice, acceptance.total) == (choice, proposal.total + MARBLE)
    assert job_sum(proposal.job).total == proposal.total + MARBLE
    standing = dict(Room.objects.values_list("pk", "standing"))
    assert standing == {
        room.pk: Standing.OUT,
        offered.marble_room.pk: Standing.IN,
        offered.bench_room.pk: Standing.OUT,
    }
    assert set(Phase.objects.values_list("room", flat=True)) == {offered.marble_room.pk}
    # The page, and the mail, tell what was chosen from now on, whatever the address asks for.
    response = page(client, token, picks(offered, offered.white))
    assert money(response) == {total["shown"]}
    assert "Shower tile: Marble hexagon" in text_of(response)
    assert b'type="radio"' not in response.content
    mail = Mail.objects.get()
    assert f"for {total['shown']} was accepted" in mail.text
    assert "Chosen: Shower tile: Marble hexagon" in mail.text


def test_a_total_that_is_not_the_choice_s_is_refused_and_nothing_is_lost(client, with_options, token):
    proposal, offered = with_options
    marble = offered.choice(offered.marble)
    sent = picks(offered, offered.marble)
    response = accept(client, token, total=proposal.content["total"]["amount"], **sent)
    assert response.status_code == 422
    assert "The total on the page wasn’t that of your choice" in text_of(response)
    assert b'value="Odalys Brandt"' in response.content
    # The page that comes back has the choice that was sent, with its own total.
    assert money(response) == {total_of(proposal.content, marble)["shown"]}
    for fields in ({}, {**sent, "total": "1.00"}, {f"pick-{offered.tile}": "made up", "total": "1.00"}):
        assert accept(client, token, **fields).status_code == 422
    assert not Acceptance.objects.exists()


def test_in_person_the_same_is_chosen_on_the_shop_s_device(as_owner, with_options):
    proposal, offered = with_options
    url = reverse("estimating:proposal", args=[proposal.pk])
    choice = offered.choice(offered.white, offered.bench)
    picked = picks(offered, offered.white, offered.bench)
    total = total_of(proposal.content, choice)["amount"]
    fields = {"typed_name": "Odalys Brandt", **picked, "show": ""}
    shown = as_owner.post(url, fields).content.decode()
    assert as_owner.get(url, picked).content.count(b" checked>") == shown.count(" checked>")
    assert f'name="total" value="{total}"' in shown
    assert 'value="Odalys Brandt"' in shown
    fields |= {"agree": "on", "total": total}
    assert as_owner.post(reverse("inspections:accept_in_person", args=[proposal.pk]), fields).status_code == 302
    assert Acceptance.objects.get().total == proposal.total + BENCH
    assert "Extras: A bench" in text_of(as_owner.get(url))


def test_of_a_signed_paper_the_office_says_what_is_ticked(as_owner, with_options):
    proposal, offered = with_options
    url = reverse("inspections:accept_on_paper", args=[proposal.pk])

    def fields(*tiles):
        return {
            "paper-typed_name": "Odalys Brandt",
            "paper-signed_on": timezone.localdate().isoformat(),
            "paper-paper": SimpleUploadedFile("paper.pdf", b"%PDF-1.7\n1 0 obj\nendobj\nstartxref\n9\n%%EOF\n"),
            f"paper-pick-{offered.tile}": tiles,
        }

    refused = as_owner.post(url, fields(offered.white, offered.marble))
    assert refused.status_code == 422
    assert "Shower tile: pick only one." in text_of(refused)
    assert as_owner.post(url, fields()).status_code == 422
    assert as_owner.post(url, fields(offered.marble)).status_code == 302
    acceptance = Acceptance.objects.get()
    assert (acceptance.choice, acceptance.total) == (offered.choice(offered.marble), proposal.total + MARBLE)


def test_what_was_accepted_first_stays_whatever_is_chosen_later(with_options, owner, room):
    proposal, offered = with_options
    marble = offered.choice(offered.marble)
    first = accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=marble)
    with pytest.raises(CannotAccept, match="with this choice: Shower tile: Marble hexagon"):
        accept_and_open(
            proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=offered.choice(offered.white)
        )
    assert Acceptance.objects.get() == first
    assert first.choice == marble
    room.refresh_from_db()
    assert room.standing == Standing.OUT


def test_the_price_of_a_choice_never_moves_whatever_rates_do(with_options, owner):
    proposal, offered = with_options
    for rate in Rate.objects.filter(valid_to=None, hours=None, tile=None):
        set_rate(key=rate.key, unit=rate.unit, cost=rate.cost * 3, package=rate.package, by=owner)
    assert Rate.objects.exclude(valid_to=None).exists()
    choice = offered.choice(offered.marble, offered.bench)
    acceptance = accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=choice)
    assert acceptance.total == proposal.total + MARBLE + BENCH == job_sum(proposal.job).total


def test_a_choice_that_is_not_offered_is_refused_by_the_action(with_options, owner):
    with pytest.raises(CannotAccept, match="doesn’t offer"):
        accept_proposal(proposal=with_options[0], typed_name="Odalys Brandt", witness=owner, choice="made up")
    assert not Acceptance.objects.exists()


def test_where_nothing_is_offered_nothing_can_be_chosen(proposal, owner):
    with pytest.raises(CannotAccept, match="doesn’t offer"):
        accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice="made up")


def test_the_database_refuses_another_total_and_another_choice(with_options, owner):
    proposal, offered = with_options
    marble = offered.choice(offered.marble)
    wrong = [
        {"choice": marble},  # at the default's total
        {"choice": marble, "total": proposal.total + MARBLE + Decimal("0.01")},
        {"choice": "made up"},
        {"choice": ""},
        {"choice": ",".join([offered.white, offered.marble]), "total": proposal.total},
    ]
    for fields in wrong:
        with pytest.raises(IntegrityError, match="not offered at this total"):
            insert(row(proposal, owner, **fields))
    insert(row(proposal, owner, choice=marble, total=proposal.total + MARBLE))
    with pytest.raises(Exception, match=r"(?i)permission denied|cannot update"), transaction.atomic():
        Acceptance.objects.update(total=F("total") + 1)


def test_without_options_the_database_takes_the_proposal_s_total_alone(proposal, owner):
    for fields in ({"total": proposal.total + 1}, {"choice": "made up"}):
        with pytest.raises(IntegrityError, match="not offered at this total"):
            insert(row(proposal, owner, **fields))


def test_a_page_asks_no_more_of_the_database_for_its_options(client, with_options, token, proposal_without, owner):
    offered = with_options[1]
    other = make_link(proposal=proposal_without, by=owner)
    asked = []
    for each, picked in [(other, {}), (other, {}), (token, picks(offered, offered.marble, offered.bench))]:
        with CaptureQueriesContext(connection) as queries:
            page(client, each, picked)
        asked.append(len(queries))
    assert asked[2] <= asked[1]


@pytest.fixture
def proposal_without(with_options, propose, monkeypatch):
    """A later version of the proposal that offers no options."""
    from estimating.actions import proposals

    freeze, keys = proposals.freeze, ("options", "choices", "chosen", "option_rooms")
    monkeypatch.setattr(
        proposals, "freeze", lambda **given: {k: v for k, v in freeze(**given).items() if k not in keys}
    )
    return propose()


def test_versions_tell_what_changed_about_their_options(with_options):
    content = with_options[0].content
    cheaper = {"amount": "200.00", "shown": "+$200.00"}
    tile, extras = content["options"]
    white, marble = tile["options"]
    now = {**content, "options": [{**tile, "options": [white, {**marble, "difference": cheaper}]}]}
    ((_heading, told),) = differences(content, now)
    assert [(each.what, each.before.split()[0], each.now.split(" ")[0]) for each in told] == [
        ("Shower tile: Marble hexagon", "+$250.00", "+$200.00"),
        ("Extras", "take", ""),
        ("Extras: A bench", "+$180.00", ""),
    ]
    assert extras["kind"] == "add"


def test_an_outsider_chooses_nothing(client, with_options, owner):
    offered = with_options[1]
    assert page(client, "x" * 22, picks(offered, offered.marble)).status_code == 404
    with patch("inspections.client.accept_and_open") as accepted:
        assert accept(client, "x" * 22, **picks(offered, offered.marble)).status_code == 404
    accepted.assert_not_called()
