"""Version n beside n-1, in plain words."""

import copy
from decimal import Decimal

import pytest

from estimating.actions import change_estimate, set_payment_plan, set_text
from estimating.comparing import Difference, differences
from estimating.payments import WALK_THROUGH, Step

pytestmark = pytest.mark.django_db


def told(groups):
    return [(name, row.what, row.before, row.now) for name, rows in groups for row in rows]


def test_the_same_has_no_difference(proposal):
    assert differences(proposal.content, copy.deepcopy(proposal.content)) == []


def test_each_thing_that_changes_is_told_with_both_sides(proposal):
    was, becomes = proposal.content, copy.deepcopy(proposal.content)
    becomes["total"] = {"amount": f"{Decimal(was['total']['amount']) + 100:.2f}", "shown": "more"}
    becomes["lines"][0]["shown"] = "$1.00"
    gone = becomes["lines"].pop()
    becomes["rooms"][0]["facts"][1]["text"] = '1/16"'
    becomes["rooms"][0]["drawings"][0]["svg"] = "<svg/>"
    becomes["terms"][0] = "Another term."
    becomes["warranty"] = "Five years."
    rows = told(differences(was, becomes))
    assert ("Total", "$100.00 more", was["total"]["shown"], "more") in rows
    first = was["lines"][0]
    assert ("Lines of the price", f"{first['group']}: {first['text']}", first["shown"], "$1.00") in rows
    assert ("Lines of the price", f"{gone['group']}: {gone['text']}", gone["shown"], "") in rows
    joint = was["rooms"][0]["facts"][1]
    assert ("Rooms", f"{was['rooms'][0]['name']}, Joint", joint["text"], '1/16"') in rows
    assert any(what.endswith(f"drawing of {was['rooms'][0]['drawings'][0]['name']}") for _, what, _, _ in rows)
    assert ("Texts", "What the price rests on", was["terms"][0], "") in rows
    assert ("Texts", "What the price rests on", "", "Another term.") in rows
    assert ("Texts", "Warranty", was["warranty"], "Five years.") in rows
    assert len(rows) == 8


def test_rooms_come_and_go(proposal):
    was, becomes = proposal.content, copy.deepcopy(proposal.content)
    becomes["rooms"][0]["name"] = "Powder room"
    ((name, rows),) = differences(was, becomes)
    assert name == "Rooms"
    assert rows == [
        Difference(was["rooms"][0]["name"], "was part of it", ""),
        Difference("Powder room", "", "added"),
    ]


def test_what_was_offered_before_there_were_such_texts_can_be_compared(proposal):
    old = {key: value for key, value in proposal.content.items() if key not in ("greeting", "payments", "sections")}
    rows = told(differences(old, proposal.content))
    assert ("Texts", "Greeting", "", proposal.content["greeting"]) in rows
    assert all(before == "" for _, _, before, _ in rows)


def test_the_page_shows_it_and_the_first_has_nothing_before_it(propose, laid_out, owner, as_owner, as_installer):
    first = propose()
    page = as_owner.get(f"/proposals/{first.pk}/changes/").content.decode()
    assert "This is the first" in page
    change_estimate(job=laid_out, markup_percent=Decimal(90), tax_percent=Decimal(0), by=owner)
    set_text(key="warranty", text="Ten years.", seen=0, by=owner)
    set_payment_plan(job=laid_out, steps=[Step(due=WALK_THROUGH)], seen=0, by=owner)
    second = propose()
    assert f"/proposals/{second.pk}/changes/" in as_owner.get(f"/proposals/{second.pk}/").content.decode()
    page = as_owner.get(f"/proposals/{second.pk}/changes/").content.decode()
    for said in (
        first.content["total"]["shown"],
        second.content["total"]["shown"],
        "Ten years.",
        "At the walk-through".lower(),
        f"Proposal {second.content['number']}-2 beside {second.content['number']}-1",
    ):
        assert said in page
    assert as_installer.get(f"/proposals/{second.pk}/changes/").status_code == 403


def test_an_old_letter_is_still_shown(proposal):
    """Content frozen before these texts: what it has is shown, what it hasn't leaves no empty heading."""
    from django.template.loader import render_to_string

    old = {
        key: value
        for key, value in proposal.content.items()
        if key not in ("greeting", "payments", "sections", "closing", "cancel_days")
    }
    page = render_to_string("estimating/_letter.html", {"letter": old})
    assert old["terms"][0] in page
    assert "Payment" not in page
    assert old["warranty"] in page
