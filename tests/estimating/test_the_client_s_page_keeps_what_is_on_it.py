"""The client's page is one form: a question, a refused yes or no, and the total asked for without JavaScript leave
standing whatever is picked and typed anywhere in it."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import make_link, withdraw_proposal
from estimating.actions.questions import MOST_IN_A_DAY
from estimating.models import Acceptance, ProposalEnd, Question
from estimating.options import total_of
from tests.estimating.test_the_client_chooses import money, picks
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db
STROKES = "[[[10, 10], [300, 90]]]"
TYPED = {"typed_name": "Odalys Brandt", "strokes": STROKES, "reason": "Too dear?"}


@pytest.fixture
def token(with_options, owner):
    return make_link(proposal=with_options[0], by=owner)


def press(client, token, name, **fields):
    return client.post(reverse(name, args=[token]), fields)


def stands(response, with_options, *, typed=TYPED):
    """The marble and the bench are picked, the page tells their total, and what was typed is in its fields."""
    proposal, offered = with_options
    html = response.content.decode()
    assert money(response) == {total_of(proposal.content, offered.choice(offered.marble, offered.bench))["shown"]}
    checked = re.findall(r'name="pick-[^"]+" value="([^"]+)" checked', html)
    assert checked == [offered.marble, offered.bench]
    for value in typed.values():
        assert value.replace('"', "&quot;") in html, value
    return html


@pytest.fixture
def picked(with_options):
    offered = with_options[1]
    return picks(offered, offered.marble, offered.bench)


def test_the_total_is_shown_without_javascript_and_nothing_is_kept(client, with_options, token, picked):
    shown = press(client, token, "estimating:client_proposal", show="", question="When?", **TYPED, **picked)
    assert shown.status_code == 200
    assert "When?" in stands(shown, with_options)
    assert not Acceptance.objects.exists()
    assert not Question.objects.exists()


def test_a_question_leaves_the_picks_in_the_address(client, with_options, token, picked):
    asked = press(client, token, "estimating:client_ask", question="When?", **picked)
    assert asked.status_code == 302
    assert asked.url.endswith("#questions")
    stands(client.get(asked.url), with_options, typed={})


def test_a_question_leaves_what_is_typed_elsewhere_and_out_of_the_address(client, with_options, token, picked):
    asked = press(client, token, "estimating:client_ask", question="When?", **TYPED, **picked)
    assert asked.status_code == 200
    html = stands(asked, with_options)
    assert "We have it, and answer here." in html
    assert "When?</textarea>" not in html
    assert Question.objects.count() == 1


@pytest.mark.parametrize("question", ["", "When?"])
def test_a_question_that_can_t_be_taken_leaves_everything(client, with_options, token, picked, question):
    for at in range(MOST_IN_A_DAY if question else 0):
        press(client, token, "estimating:client_ask", question=f"Question {at}?")
    refused = press(client, token, "estimating:client_ask", question=question, **TYPED, **picked)
    assert refused.status_code == (429 if question else 422)
    assert question in stands(refused, with_options)


def test_a_no_that_can_t_be_taken_leaves_everything(client, with_options, token, picked, owner):
    long = {**TYPED, "reason": "x" * 301}
    refused = press(client, token, "estimating:client_decline", question="When?", **long, **picked)
    assert refused.status_code == 422
    html = stands(refused, with_options, typed=long)
    assert re.search(r"<details open>\s*<summary>Rather not", html)
    assert "When?" in html
    assert not ProposalEnd.objects.exists()

    withdraw_proposal(proposal=with_options[0], by=owner, reason="A mistake.")
    late = press(client, token, "estimating:client_decline", **TYPED, **picked)
    assert late.status_code == 409
    assert "withdrawn" in text_of(late)


def test_a_yes_that_can_t_be_taken_leaves_everything(client, with_options, token, picked):
    fields = {**TYPED, **picked, "question": "When?"}
    proposal, offered = with_options
    total = total_of(proposal.content, offered.choice(offered.marble, offered.bench))["amount"]
    for given in ({"total": total}, {"total": total, "agree": "on", "strokes": "no signature"}):
        refused = press(client, token, "inspections:client_accept", **{**fields, **given})
        assert refused.status_code == 422
        assert "When?" in stands(refused, with_options, typed={**TYPED, "strokes": given.get("strokes", STROKES)})


def test_what_is_picked_but_was_not_seen_with_its_total_is_not_accepted(client, with_options, token, picked):
    """Without JavaScript the total stays that of before until it is asked for."""
    proposal = with_options[0]
    fields = {"typed_name": "Odalys Brandt", "agree": "on", "total": f"{proposal.total}", **picked}
    refused = press(client, token, "inspections:client_accept", **fields)
    assert refused.status_code == 422
    assert "The total on the page wasn’t that of your choice" in text_of(refused)
    stands(refused, with_options, typed={"typed_name": "Odalys Brandt"})
    (total,) = re.findall(r'name="total" value="([^"]+)"', refused.content.decode())
    assert Decimal(total) > proposal.total
    assert press(client, token, "inspections:client_accept", **{**fields, "total": total}).status_code == 302


def test_an_add_on_that_is_unticked_is_not_accepted(client, with_options, token):
    offered = with_options[1]
    with_bench = offered.choice(offered.white, offered.bench)
    total = total_of(with_options[0].content, with_bench)["amount"]
    fields = {"typed_name": "Odalys Brandt", "agree": "on", "total": total}
    refused = press(client, token, "inspections:client_accept", **fields, **picks(offered, offered.white))
    assert refused.status_code == 422
    assert not Acceptance.objects.exists()


def test_enter_in_a_field_answers_nothing(client, token):
    """A browser presses a form's first button at Enter."""
    html = client.get(reverse("estimating:client_proposal", args=[token])).content.decode()
    form = html[html.index("<form") : html.index("</form>")]
    first = re.search(r"<button[^>]+>", form)[0]
    assert 'name="show"' in first
    assert form.count("<button") >= 4
    assert "required" not in re.search(r"<textarea[^>]+>", form)[0]


def test_an_outsider_gets_nothing_of_it(client, with_options, picked):
    for name in ("estimating:client_proposal", "estimating:client_ask", "estimating:client_decline"):
        assert press(client, "x" * 22, name, question="When?", **TYPED, **picked).status_code == 404
    assert not Question.objects.exists()
