"""Steps that can't be asked for with one of the client's choices are told on the estimate and beside the steps, before
a proposal is made: which choice, which step, what to do."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.actions import (
    CannotPropose,
    fill_estimate,
    make_proposal,
    offer_add_on,
    offer_another,
    set_local_limit,
    set_payment_plan,
    set_rate,
)
from estimating.local_limits import Local, limit_of
from estimating.models import PaymentPlan
from estimating.options import as_chosen, picked_names
from estimating.payments import SIGNING, WALK_THROUGH, Step
from estimating.plans import plan_of
from estimating.priced_choices import priced_choices, wrong_payments
from estimating.queries import obstacles_of, offer_of
from rooms.actions import choose_layout
from tests.estimating.test_options_are_rooms import small_room
from tests.factories import TileFactory

pytestmark = pytest.mark.django_db
D = Decimal
NOWHERE = Local(key="x", place="Nowhere", code="", share="", most=None, cancel_days=0, note="")


@pytest.fixture
def room(job):
    return small_room(job, "Shower")


@pytest.fixture
def priced(laid_out, room, rates, owner):
    """The shower in a dear tile or the white one that is in the price, and an alcove to add; by choice, its total."""
    tile = TileFactory(name="Gray 12 x 12", width=D("304.8"), height=D("304.8"))
    set_rate(key="tile", tile=tile, unit="piece", cost=D("90.00"), package=D(8), by=owner)
    floor = small_room(laid_out, "Alcove", 1, tile=room.tile)
    choose_layout(room=floor, option=1, why="", by=owner)
    offer_another(room=room, question="Wall tile", name="White", other="Gray", tile=tile, by=owner)
    offer_add_on(room=floor, by=owner)
    laid_out.refresh_from_db()
    fill_estimate(job=laid_out, by=owner)
    return {each.choice.name: each.totals.total for each in priced_choices(offer_of(laid_out.estimate))}


def page(as_owner, job, name, **data):
    url = reverse(f"estimating:{name}", args=[job.pk])
    return as_owner.post(url, data) if data else as_owner.get(url)


def limit(owner, **values):
    """What the place of the job allows. Invented."""
    local = limit_of("")
    known = {"share": "", "most": None, "by_value": False}
    words = {"place": local.place, "code": "", "cancel_days": 3, "note": "invented"}
    set_local_limit(key=local.key, seen=local.number, by=owner, **{**known, **words, **values})


def test_a_deposit_that_only_a_dearer_choice_makes_too_high(priced, laid_out, owner, as_owner):
    names = list(priced)
    assert names[0] == "White"
    dearer = [name for name in names if priced[name] > priced["White"]]
    assert dearer
    limit(owner, share="10 %", most=priced["White"] / 10)
    (obstacle,) = obstacles_of(laid_out)
    assert f"If the client chooses {dearer[0]}: The deposit of " in obstacle.text
    assert (len(dearer) > 1) == ("more choice" in obstacle.text)
    assert "Lower it." in obstacle.text
    assert reverse("estimating:job_payments", args=[laid_out.pk]) == obstacle.url
    for where in ("estimate", "job_payments"):
        text = page(as_owner, laid_out, where).content.decode()
        assert f"If the client chooses {dearer[0]}: The deposit of" in text
    assert "whatever the client chooses" in text
    assert "40 % of the total" in text  # the steps of what is in the price are right, and shown
    with pytest.raises(CannotPropose, match="If the client chooses"):
        make_proposal(job=laid_out, by=owner)

    page(as_owner, laid_out, "job_payments", lower="")
    assert obstacles_of(laid_out) == []
    content = make_proposal(job=laid_out, by=owner).content
    assert all(choice["rooms"] for choice in content["choices"].values())


def test_an_amount_that_leaves_a_choice_without_the_rest_is_not_kept(priced, laid_out, as_owner):
    typed = {"seen": 0, "save": "", "signed_at": "home", "due_0": SIGNING, "percent_0": "", "amount_0": "10"}
    typed |= {"due_1": WALK_THROUGH, "percent_1": "", "amount_1": f"{priced['White'] - 10}"}
    answer = page(as_owner, laid_out, "job_payments", **typed)
    assert answer.status_code == 422
    text = answer.content.decode()
    others = [name for name in priced if priced[name] != priced["White"]]
    assert f"If the client chooses {others[0]}: The payments come to " in text
    assert "leave one step empty, as the rest" in text
    assert not PaymentPlan.objects.exists()
    typed["amount_1"] = ""
    assert page(as_owner, laid_out, "job_payments", **typed).status_code == 302


def test_a_phase_that_a_choice_lacks_is_told_by_the_phase(priced, laid_out, owner, as_owner):
    set_payment_plan(
        job=laid_out, steps=[Step(due="water_test", percent=D(10)), Step(due=WALK_THROUGH)], seen=0, by=owner
    )
    (obstacle,) = obstacles_of(laid_out)
    assert "“Water test”, which no room in this price has" in obstacle.text
    assert "Water test" in page(as_owner, laid_out, "job_payments").content.decode()


def test_of_many_choices_the_first_are_named_and_the_rest_counted(priced, laid_out):
    choices = priced_choices(offer_of(laid_out.estimate))
    deposit = [Step(due=SIGNING, amount=max(priced.values()) + 1), Step(due=WALK_THROUGH)]
    first, *others, more = wrong_payments(choices, steps=deposit, local=NOWHERE)
    assert first.startswith("The payments come to ")
    assert all(each.startswith("If the client chooses ") for each in others)
    assert more == "1 more choice can’t be paid so either."
    assert wrong_payments(choices, steps=plan_of(laid_out).steps, local=NOWHERE) == []


def test_a_choice_has_the_phases_of_its_own_rooms(priced, laid_out):
    choices = priced_choices(offer_of(laid_out.estimate))
    alcove = next(each for each in choices if each.choice.name == "White, Alcove")
    (only,) = set(alcove.rooms) - set(choices[0].rooms)
    wrong = wrong_payments(
        choices,
        steps=[Step(due="slope", percent=D(10)), Step(due=WALK_THROUGH)],
        local=NOWHERE,
        phases={only: {"slope"}},
    )
    assert len(wrong) == 2
    assert wrong[0].startswith("A payment is due after ")
    assert wrong[1].startswith("If the client chooses Gray: A payment is due after ")


def test_the_estimate_and_the_steps_ask_little_of_the_database(priced, laid_out, as_owner):
    for name, most in (("estimate", 30), ("job_payments", 30)):
        page(as_owner, laid_out, name)
        with CaptureQueriesContext(connection) as asked:
            assert page(as_owner, laid_out, name).status_code == 200
        assert len(asked) <= most, name


def test_the_office_and_an_installer_see_no_steps(priced, laid_out, as_office, as_installer):
    url = reverse("estimating:job_payments", args=[laid_out.pk])
    assert as_office.get(url).status_code == 403
    assert as_installer.get(url).status_code in (403, 404)


def on_paper(content):
    """The rows of the table of all choices, as printed: the names, the total, what is due at each step."""
    html = render_to_string("documents/proposal.html", {"letter": content, "paper": "letter"})
    table = re.search(r'(?s)<table class="sums">.*?</table>', html)[0]
    rows = [re.findall(r"(?s)<t[dh][^>]*>(.*?)</t[dh]>", row) for row in re.findall(r"(?s)<tr>.*?</tr>", table)]
    return html, [[re.sub("<[^>]+>", " ", cell).strip() for cell in row] for row in rows]


@pytest.mark.parametrize("fixed", [False, True])
def test_the_paper_tells_what_each_choice_asks_for_when(priced, laid_out, owner, fixed):
    """Against the frozen content of every choice, and against the rule of each step."""
    deposit = Step(due=SIGNING, amount=D(50)) if fixed else Step(due=SIGNING, percent=D("12.5"))
    steps = [deposit, Step(due="setting", percent=D(33)), Step(due=WALK_THROUGH)]
    set_payment_plan(job=laid_out, steps=steps, seen=0, by=owner)
    content = make_proposal(job=laid_out, by=owner).content
    html, (head, *rows) = on_paper(content)
    assert [cell.split("  ")[0] for cell in head[2:]] == [
        f"When you sign {'a fixed amount' if fixed else '12.5 % of the total'}",
        "Once this is signed off: Setting 33 % of the total",
        "At the walk-through the rest",
    ]
    assert len(rows) == len(content["choices"]) == 4
    found = {names: [money(cell) for cell in cells] for names, *cells in rows}
    for key in content["choices"]:
        letter = as_chosen(content, key)
        names = "; ".join(picked_names(content, key))
        total, *dues = found.pop(names)
        assert total == D(letter["total"]["amount"])
        assert dues == [D(step["amount"]) for step in letter["payments"]["steps"]]
        assert sum(dues) == total
        assert dues[0] == 50 if fixed else abs(dues[0] - total * D("0.125")) < D("0.01")
        assert abs(dues[1] - total * D("0.33")) < D("0.01")
    assert found == {}
    assert "For the price above" in html
    assert "Of that, due when you sign" in html


def test_of_many_steps_the_paper_tells_the_first(priced, laid_out, owner):
    phases = ("substrate", "layout", "setting", "grout")
    steps = [Step(due=SIGNING, percent=D(10)), *(Step(due=each, percent=D(5)) for each in phases)]
    set_payment_plan(job=laid_out, steps=[*steps, Step(due=WALK_THROUGH)], seen=0, by=owner)
    _html, (head, *rows) = on_paper(make_proposal(job=laid_out, by=owner).content)
    assert {len(row) for row in (head, *rows)} == {3}


def money(text):
    return D(re.sub(r"[$,]", "", text))
