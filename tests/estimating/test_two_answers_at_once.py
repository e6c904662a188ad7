"""Threads on a database of their own. Each race is shown with the lock off first, then with it."""

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC

import pytest
from django.db import IntegrityError, connection
from django.utils import timezone

from estimating.actions import (
    CannotAccept,
    CannotAnswer,
    CannotAsk,
    CannotPropose,
    CannotWithdraw,
    accept_proposal,
    acceptance,
    answer_question,
    ask_question,
    make_proposal,
    proposals,
    questions,
    remind_client,
    send_proposal,
    sending,
    withdraw_proposal,
)
from estimating.models import Acceptance, Answer, Proposal, ProposalEnd, ProposalLink, ProposalSent, Question
from estimating.options import rooms_of, total_of
from estimating.signing import Paper
from inspections.actions import accept_and_open
from inspections.models import Phase
from jobs.models import Job
from rooms.models import Room, Standing
from shop.models import Mail
from tests.estimating.test_signed_by_hand import STROKES, files

SECONDS = 20


@pytest.fixture(autouse=True)
def _in_the_zone_of_threads():
    """A thread begins in UTC, and its today must be that of the test."""
    with timezone.override(UTC):
        yield


def at_once(*tasks):
    """What each task returned or raised, all of them run at the same time, each on a connection of its own."""

    def run(task):
        try:
            return task()
        except Exception as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(tasks)) as pool:
        return [future.result(SECONDS) for future in [pool.submit(run, task) for task in tasks]]


@pytest.fixture
def locks_off(monkeypatch):
    """The actions read the job without locking it."""

    def unlocked(pk):
        return Job.objects.get(pk=pk)

    def unlocked_proposal(pk):
        proposal = Proposal.objects.select_related("document").get(pk=pk)
        return unlocked(proposal.job_id), proposal

    for module in (acceptance, proposals, questions, sending):
        monkeypatch.setattr(module, "lock_proposal", unlocked_proposal)
    monkeypatch.setattr(questions, "lock_link", lambda pk: ProposalLink.objects.get(pk=pk))
    monkeypatch.setattr(proposals, "lock_job", unlocked)


@pytest.fixture
def after_the_check(monkeypatch):
    """Lets a test stop an acceptance between its check and its row: `gate` is called there."""
    gate = {"wait": lambda: None}
    check = acceptance._check

    def stopped(**kwargs):
        check(**kwargs)
        gate["wait"]()

    monkeypatch.setattr(acceptance, "_check", stopped)
    return gate


def accept(proposal, owner, name="Odalys Brandt"):
    return lambda: accept_proposal(proposal=proposal, typed_name=name, witness=owner)


def both_reach(gate, seconds):
    """Each of two acceptances waits there for the other, `seconds` at most."""
    barrier = threading.Barrier(2)

    def wait():
        # With the lock the other never comes: that is what is being shown.
        with suppress(threading.BrokenBarrierError):
            barrier.wait(seconds)

    gate["wait"] = wait


# ---------------------------------------------------------------- accepted twice


def test_without_the_lock_the_second_yes_is_an_error(own_database, locks_off, after_the_check, proposal, owner):
    both_reach(after_the_check, 10)
    said = at_once(accept(proposal, owner), accept(proposal, owner, "Somebody Else"))
    assert sorted(type(each).__name__ for each in said) == ["Acceptance", "IntegrityError"]


def test_with_the_lock_the_same_twice_is_one_and_somebody_else_is_told(own_database, after_the_check, proposal, owner):
    both_reach(after_the_check, 1)
    said = at_once(accept(proposal, owner), accept(proposal, owner))
    assert all(isinstance(each, Acceptance) for each in said), said
    assert said[0].pk == said[1].pk
    (refused,) = at_once(accept(proposal, owner, "Somebody Else"))
    assert isinstance(refused, CannotAccept)
    assert "already by Odalys Brandt" in str(refused)
    assert Acceptance.objects.count() == 1


def test_of_two_choices_at_once_one_wins_whole(own_database, after_the_check, with_options, owner):
    proposal, offered = with_options
    both_reach(after_the_check, 1)
    choices = [offered.choice(offered.marble), offered.choice(offered.white, offered.bench)]

    def choose(choice):
        return lambda: accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=choice)

    said = at_once(*[choose(choice) for choice in choices])
    assert sorted(type(each).__name__ for each in said) == ["Acceptance", "CannotAccept"], said
    kept = Acceptance.objects.get()
    assert kept.choice in choices
    assert str(kept.total) == total_of(proposal.content, kept.choice)["amount"]
    taken = set(Room.objects.filter(standing=Standing.IN).values_list("pk", flat=True))
    assert taken == rooms_of(proposal.content, kept.choice)
    assert set(Phase.objects.values_list("room", flat=True)) == taken
    assert Mail.objects.count() == 1


# ---------------------------------------------------------------- accepted and replaced


def meanwhile(gate, action, seconds):
    """Once an acceptance has checked, `action` is let go and waited for, `seconds` at most: (task, its answer)."""
    checked, done = threading.Event(), threading.Event()

    def wait():
        checked.set()
        done.wait(seconds)

    gate["wait"] = wait

    def task():
        checked.wait(SECONDS)
        try:
            return action()
        finally:
            done.set()

    return task


def test_without_the_lock_the_check_is_outrun_and_only_the_trigger_stops_it(
    own_database, locks_off, after_the_check, proposal, owner, laid_out
):
    replace = meanwhile(after_the_check, lambda: make_proposal(job=laid_out, by=owner), 10)
    accepted, replaced = at_once(accept(proposal, owner), replace)
    assert isinstance(replaced, Proposal), replaced
    assert isinstance(accepted, IntegrityError), accepted
    assert "no longer stands" in str(accepted)
    assert not Acceptance.objects.exists()


def test_with_the_lock_the_replacement_waits_and_is_refused_in_words(
    own_database, after_the_check, proposal, owner, laid_out
):
    replace = meanwhile(after_the_check, lambda: make_proposal(job=laid_out, by=owner), 1)
    accepted, replaced = at_once(accept(proposal, owner), replace)
    assert isinstance(accepted, Acceptance), accepted
    assert isinstance(replaced, CannotPropose), replaced
    assert not ProposalEnd.objects.exists()


def test_with_the_lock_a_withdrawal_waits_and_is_refused_in_words(
    own_database, after_the_check, proposal, owner, laid_out
):
    withdraw = meanwhile(after_the_check, lambda: withdraw_proposal(proposal=proposal, by=owner), 1)
    accepted, withdrawn = at_once(accept(proposal, owner), withdraw)
    assert isinstance(accepted, Acceptance), accepted
    assert isinstance(withdrawn, CannotWithdraw), withdrawn


def test_whoever_comes_first_the_job_ends_with_one_answer(own_database, proposal, owner, laid_out):
    said = at_once(
        *[accept(proposal, owner) for _ in range(3)],
        *[lambda: withdraw_proposal(proposal=proposal, by=owner) for _ in range(3)],
    )
    allowed = (Acceptance, ProposalEnd, CannotAccept, CannotWithdraw)
    assert all(isinstance(each, allowed) for each in said), said
    assert Acceptance.objects.count() + ProposalEnd.objects.count() == 1
    laid_out.refresh_from_db()
    assert laid_out.stage == ("working" if Acceptance.objects.exists() else "pricing")


def test_two_clicks_on_propose_leave_one_proposal_standing(own_database, estimate, owner, laid_out):
    said = at_once(*[lambda: make_proposal(job=laid_out, by=owner) for _ in range(3)])
    assert all(isinstance(each, Proposal) for each in said), said
    assert sorted(each.version for each in said) == [1, 2, 3]
    assert Proposal.objects.filter(end=None).count() == 1


# ---------------------------------------------------------------- drawn on the link, attached in the office


def draw(proposal, link):
    return lambda: accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link, strokes=STROKES)


def attach(proposal, owner):
    paper = Paper(data=b"%PDF stand-in", ending="pdf", signed_on=timezone.localdate())
    return lambda: accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=owner, paper=paper)


def test_without_the_lock_a_drawn_and_an_attached_yes_collide(
    own_database, locks_off, after_the_check, proposal, link, owner
):
    before = files()
    both_reach(after_the_check, 10)
    said = at_once(draw(proposal, link[1]), attach(proposal, owner))
    assert sorted(type(each).__name__ for each in said) == ["Acceptance", "IntegrityError"]
    # What the loser attached is gone again.
    assert {Acceptance.objects.get().paper.rpartition("/")[2]} - {""} == files() - before


def test_with_the_lock_the_second_is_told_of_the_first_and_one_mail_goes(
    own_database, after_the_check, proposal, link, owner
):
    before = files()
    both_reach(after_the_check, 1)
    said = at_once(draw(proposal, link[1]), attach(proposal, owner))
    assert sorted(type(each).__name__ for each in said) == ["Acceptance", "CannotAccept"], said
    kept = Acceptance.objects.get()
    assert bool(kept.strokes) != bool(kept.paper)
    assert {kept.paper.rpartition("/")[2]} - {""} == files() - before
    assert Mail.objects.count() == 1


# ---------------------------------------------------------------- asked, answered and brought to mind


def gated(monkeypatch, module, name, seconds):
    """Both callers of `module.name` wait behind it for the other, `seconds` at most."""
    barrier, real = threading.Barrier(2), getattr(module, name)

    def stopped(*args, **kwargs):
        found = real(*args, **kwargs)
        with suppress(threading.BrokenBarrierError):
            barrier.wait(seconds)
        return found

    monkeypatch.setattr(module, name, stopped)


@pytest.mark.parametrize("locked", [False, True])
def test_two_tabs_at_the_day_s_limit(own_database, request, monkeypatch, link, locked):
    if not locked:
        request.getfixturevalue("locks_off")
    monkeypatch.setattr(questions, "MOST_IN_A_DAY", 1)
    gated(monkeypatch, questions, "_may_ask", 1 if locked else 10)
    said = at_once(*[lambda: ask_question(link=link[1], text="When?")] * 2)
    if locked:
        assert sorted(type(each).__name__ for each in said) == ["CannotAsk", "Question"], CannotAsk
    assert Question.objects.count() == (1 if locked else 2)


@pytest.mark.parametrize("locked", [False, True])
def test_two_clerks_answer_one_question(own_database, request, monkeypatch, link, owner, office, locked):
    if not locked:
        request.getfixturevalue("locks_off")
    question = ask_question(link=link[1], text="When?")
    # Both have looked whether there is an answer when the first goes on.
    gated(monkeypatch, questions, "lock_proposal", 1 if locked else 10)
    if not locked:
        gated(monkeypatch, questions, "_answer_of", 10)
    said = at_once(
        lambda: answer_question(question=question, text="In March.", by=owner),
        lambda: answer_question(question=question, text="In April.", by=office),
    )
    loser = CannotAnswer if locked else IntegrityError
    assert {type(each) for each in said} == {Answer, loser}, said
    assert Answer.objects.count() == Mail.objects.count() == 1


@pytest.mark.parametrize("locked", [False, True])
def test_two_workers_remind_of_one_proposal(own_database, request, monkeypatch, proposal, owner, locked):
    if not locked:
        request.getfixturevalue("locks_off")
    send_proposal(proposal=proposal, to="odalys@example.com", by=owner)
    gated(monkeypatch, sending, "why_not_to_send", 1 if locked else 10)
    said = at_once(*[lambda: remind_client(proposal=proposal, by=None)] * 2)
    if locked:
        assert [type(each) for each in said] == [ProposalSent, ProposalSent]
        assert said[0] == said[1]
    else:
        assert {type(each) for each in said} == {ProposalSent, IntegrityError}
    assert ProposalSent.objects.filter(by=None).count() == 1
    assert Mail.objects.count() == 2
