"""A client asks on the link; the shop answers there and by mail; a stranger with the link can't flood the shop."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.actions import CannotAsk, answer_question, ask_question, make_link, revoke_link, send_proposal
from estimating.actions.questions import MOST_IN_A_DAY
from estimating.models import QUESTION_LENGTH, Answer, Question
from shop.mail import send_mails
from shop.models import Mail
from tests.estimating.test_the_client_s_link import page, text_of

pytestmark = pytest.mark.django_db
KEY = "01900000-0000-7000-8000-000000000002"


def ask(client, token, question="Is the old floor taken out?", **more):
    return client.post(reverse("estimating:client_ask", args=[token]), {"question": question, **more})


def answer(client, question, text="Yes, down to the boards."):
    return client.post(reverse("estimating:answer", args=[question.pk]), {"answer": text})


def test_a_question_is_answered_on_the_link_and_by_mail(client, as_office, link, proposal, postbox):
    for _press in range(2):
        asked = ask(client, link[0], key=KEY)
        assert asked.url == reverse("estimating:client_proposal", args=[link[0]]) + "#questions"
    question = Question.objects.get()
    assert question.address == "127.0.0.1"
    assert "Is the old floor taken out?" in text_of(page(client, link[0]))
    week = as_office.get(reverse("home:week")).content.decode()
    assert f"#question-{question.pk}" in week
    assert "Is the old floor taken out?" in week

    assert answer(as_office, question).url == reverse("estimating:proposal", args=[proposal.pk])
    shown = text_of(page(client, link[0]))
    assert "Petra Lindqvist answered" in shown
    assert "Yes, down to the boards." in shown
    assert f"#question-{question.pk}" not in as_office.get(reverse("home:week")).content.decode()
    assert send_mails() == 1
    [message] = postbox.messages
    assert message["To"] == "odalys@example.com"
    text = message.get_content()
    assert text.index("Is the old floor taken out?") < text.index("Yes, down to the boards.")
    assert "/p/" not in text  # that link's token is nowhere
    for change in (
        lambda: Question.objects.update(text="What?"),
        lambda: Answer.objects.update(text="Never."),
        lambda: Answer.objects.all().delete(),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()


def test_an_answer_goes_once_to_where_the_proposal_was_sent_with_its_link(
    client, as_office, as_installer, owner, proposal, postbox
):
    sent = send_proposal(proposal=proposal, to="other@example.com", by=owner)
    question = ask_question(link=sent.link, text="When?")
    assert answer(as_installer, question).status_code == 403
    answer_question(question=question, text="In March.", by=owner)
    second = answer(as_office, question, "In April.")
    assert second.status_code == 409
    assert "Ines Okafor answered meanwhile: “In March.”" in text_of(second)
    assert "In April." in second.content.decode()
    assert Answer.objects.get().text == "In March."
    assert send_mails() == 2
    first, told = postbox.messages
    assert told["To"] == "other@example.com"
    address = next(line for line in told.get_content().splitlines() if "/p/" in line)
    assert address in first.get_body().get_content()
    assert client.get("/p/" + address.split("/p/")[1]).status_code == 200


def test_a_stranger_gets_no_further_than_a_few_short_plain_questions(client, as_office, link, proposal, owner):
    assert ask(client, link[0], " ").status_code == 422
    long = "x" * (QUESTION_LENGTH + 1)
    refused = ask(client, link[0], long)
    assert refused.status_code == 422
    assert long in refused.content.decode()
    assert not Question.objects.exists()

    ask(client, link[0], "<script>alert(1)</script>")
    for who, url in (
        (client, reverse("estimating:client_proposal", args=[link[0]])),
        (as_office, reverse("estimating:proposal", args=[proposal.pk])),
        (as_office, reverse("home:week")),
    ):
        assert b"<script>alert(1)" not in who.get(url).content

    for number in range(MOST_IN_A_DAY - 1):
        assert ask(client, link[0], f"Question {number}").status_code == 302
    flooded = ask(client, link[0], "One more")
    assert flooded.status_code == 429
    assert "One more" in flooded.content.decode()
    assert "call us" in text_of(flooded)
    assert Question.objects.count() == MOST_IN_A_DAY
    # Another link of the proposal goes on; the key of somebody else's question gives nothing away.
    other = make_link(proposal=proposal, by=owner)
    assert ask(client, other, "Another", key=str(Question.objects.first().pk)).status_code == 302
    assert Question.objects.last().text == "Another"

    revoke_link(link=link[1], by=owner)
    assert ask(client, link[0]).status_code == 404
    with pytest.raises(CannotAsk, match="no longer works"):
        ask_question(link=link[1], text="Still there?")


def test_without_an_address_the_answer_stands_on_the_link_alone(client, as_owner, link, proposal):
    proposal.job.client.email = ""
    proposal.job.client.save()
    ask(client, link[0])
    answer(as_owner, Question.objects.get())
    assert "Yes, down to the boards." in text_of(page(client, link[0]))
    assert not Mail.objects.exists()


def test_pages_take_the_same_queries_for_many_questions_and_sendings(
    client, as_owner, link, proposal, owner, django_assert_num_queries
):
    urls = [
        (client, reverse("estimating:client_proposal", args=[link[0]])),
        (as_owner, reverse("estimating:proposal", args=[proposal.pk])),
        (as_owner, reverse("home:week")),
    ]

    def more(number):
        send_proposal(proposal=proposal, to=f"person{number}@example.com", by=owner)
        answer_question(question=ask_question(link=link[1], text="When?"), text="Soon", by=owner)
        ask_question(link=link[1], text="And what?")

    more(0)
    counts = []
    for who, url in urls:
        with CaptureQueriesContext(connection) as one:
            who.get(url)
        counts.append(len(one))
    for number in range(3):
        more(number)
    for (who, url), count in zip(urls, counts, strict=True):
        with django_assert_num_queries(count):
            who.get(url)
