"""A proposal whose job waits for no answer: on the link, in the office, and once the job is taken up again."""

import pytest
from django.urls import reverse

from estimating.actions import CannotAccept, accept_proposal
from estimating.models import Acceptance
from estimating.queries import state_of
from jobs.actions import move_job
from jobs.models import Stage
from tests.estimating.test_the_client_s_link import page, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def lost(link, laid_out, owner):
    return move_job(job=laid_out, to=Stage.LOST, by=owner)


def test_the_link_says_so_and_has_no_form_to_accept(client, lost, link):
    answer = page(client, link[0])
    text = text_of(answer)
    assert "This proposal isn’t open any more." in text
    assert "Accept this proposal" not in text
    assert 'name="typed_name"' not in answer.content.decode()
    typed = {"typed_name": "Odalys Brandt", "agree": "on"}
    assert client.post(reverse("inspections:client_accept", args=[link[0]]), typed).status_code == 409
    assert not Acceptance.objects.exists()


def test_the_office_s_pages_say_so(as_owner, lost, proposal):
    text = text_of(as_owner.get(reverse("estimating:proposal", args=[proposal.pk])))
    assert "Not open now" in text
    assert "Accept in person" not in text
    assert "Remind the client" not in text
    for name in ("home:job", "estimating:estimate"):
        assert "not open now" in text_of(as_owner.get(reverse(name, args=[lost.pk]))), name


def test_taken_up_again_it_stays_closed_until_the_next_takes_its_place(lost, proposal, propose, owner, client, link):
    for stage in (Stage.MEASURING, Stage.PRICING):
        move_job(job=lost, to=stage, by=owner)
        proposal.refresh_from_db()
        assert state_of(proposal).standing == "resting"
        with pytest.raises(CannotAccept, match="isn't waiting"):
            accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    second = propose()
    assert state_of(second).standing == "open"
    assert "A newer proposal has taken the place" in text_of(page(client, link[0]))
