"""Version n beside n-1, in plain words."""

import copy
import json
from decimal import Decimal

import pytest

from estimating.actions import change_estimate, set_payment_plan, set_text
from estimating.comparing import Difference, differences
from estimating.content import say_the_same
from estimating.office import versions
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


# ---------------------------------------------------------------- nothing is left unsaid

SILENT = {
    "format": "for programs: how the content is built, not what it says",
    "shop_name": "the shop's name, which is told, once more",
    "version": "the heading of the page has both",
    "made_on.date": "its `shown` is told",
    "valid_until.moment": "its `shown` is told",
    "option_rooms.*.key": "of rooms that both have it is the same: by it they are held against each other",
    "rooms.*.key": "as of option_rooms",
    "options.*.key": "for programs: what is picked goes by it",
    "options.*.options.*.key": "for programs: what is picked goes by it",
    "options.*.options.*.room": "points at one of option_rooms, which are told",
    "options.0.options.0.difference.shown": "of what is in the price there is none to tell",
    "*.amount": "the same amount stands beside it as `shown`, which is told",
}


def _leaves(value, path=()):
    """The path of everything in a content that is no list and no mapping."""
    if isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    else:
        return [path]
    return [leaf for key, each in inner for leaf in _leaves(each, (*path, key))]


def _changed_at(content, path):
    changed = copy.deepcopy(content)
    *way, last = path
    place = changed
    for key in way:
        place = place[key]
    was = place[last]
    if last == "kind":  # there are two
        place[last] = "add" if was == "one" else "one"
        return changed
    place[last] = (not was) if isinstance(was, bool) else was + 1 if isinstance(was, int) else f"{was or ''}7"
    return changed


def _is_silent(path):
    """`*` stands for one key, at the beginning for any number of them."""
    for pattern in SILENT:
        parts = pattern.split(".")
        own = path[-len(parts) + 1 :] if parts[0] == "*" else path
        parts = parts[1:] if parts[0] == "*" else parts
        if len(own) == len(parts) and all(part in ("*", str(key)) for part, key in zip(parts, own, strict=True)):
            return True
    return False


def _full(content):
    """The content with something in every place."""
    content = json.loads(json.dumps(content))  # nothing of it is one object in two places
    content["shop"] |= {"address": "3 Kiln Road", "phone": "555-0110", "email": "o@example.com", "license_line": "L 1"}
    content["client"]["contact"] = "Teo Brandt"
    content["tax"] = {"text": "Sales tax", "amount": "1.00", "shown": "$1.00"}
    content["payments"]["special_order"] = {"text": "Slabs", "amount": "1.00", "shown": "$1.00"}
    content["payments"]["steps"].insert(0, {**content["payments"]["steps"][0], "shown": "$10.00", "amount": "10.00"})
    content["sections"][0]["amounts"] = [{"text": "Tile", "amount": "1.00", "shown": "$1.00"}]
    content["unit_prices"] = [{"text": "One hour", "amount": "1.00", "shown": "$1.00"}]
    content["lines"].append(dict(content["lines"][0]))
    for room in [*content["rooms"], *content.get("option_rooms", {}).values()]:
        room["watch_for"] = ["A sliver at the ceiling."]
    return content


@pytest.mark.parametrize("options", [False, True])
def test_whatever_changes_is_told_or_may_be_silent_for_a_reason(request, options):
    proposal = request.getfixturevalue("with_options")[0] if options else request.getfixturevalue("proposal")
    content = _full(proposal.content)
    assert differences(content, copy.deepcopy(content)) == []
    leaves = _leaves(content)
    assert len(leaves) > 100
    unsaid = []
    for path in leaves:
        changed = _changed_at(content, path)
        assert not say_the_same(content, changed) or path[0] in ("version", "made_on", "valid_until"), path
        if not _is_silent(path) and path != ("total", "amount"):
            told_ = differences(content, changed)
            if not told_:
                unsaid.append(".".join(map(str, path)))
    assert unsaid == []


def test_of_two_steps_due_at_one_moment_neither_hides_the_other(proposal):
    was = copy.deepcopy(proposal.content)
    first = was["payments"]["steps"][0]
    was["payments"]["steps"].insert(0, {**first, "text": "a fixed amount", "amount": "10.00", "shown": "$10.00"})
    becomes = copy.deepcopy(was)
    becomes["payments"]["steps"][0] |= {"amount": "999.00", "shown": "$999.00"}
    assert told(differences(was, becomes)) == [
        ("Payment", first["due"], "$10.00 (a fixed amount)", "$999.00 (a fixed amount)")
    ]


def test_each_choice_is_told_by_its_names_with_its_total(with_options):
    proposal, offered = with_options
    was, becomes = proposal.content, copy.deepcopy(proposal.content)
    key = offered.choice(offered.marble)
    becomes["choices"][key]["total"] = {"amount": "9.00", "shown": "$9.00"}
    becomes["choices"][key]["payments"] = {**becomes["choices"][key]["payments"], "words": "At once."}
    was_total = was["choices"][key]["total"]["shown"]
    assert told(differences(was, becomes)) == [
        ("What each choice comes to", "Shower tile: Marble hexagon", was_total, "$9.00; otherwise in: payment")
    ]


def test_the_page_never_says_the_same_of_what_it_can_t_tell_apart(propose, as_owner, monkeypatch):
    propose()
    second = propose()
    address = f"/proposals/{second.pk}/changes/"
    assert "Both say the same, to the cent." in as_owner.get(address).content.decode()
    monkeypatch.setattr(versions, "say_the_same", lambda *contents: False)
    page = as_owner.get(address).content.decode()
    assert "Both say the same" not in page
    assert "has no line here" in page
