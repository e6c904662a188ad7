"""Pure: what a client may pick out of a frozen content, and what the letter reads then."""

from uuid import UUID

import pytest

from estimating.options import (
    BadChoice,
    as_chosen,
    asked,
    check_shown,
    choice_of,
    default_choice,
    has_options,
    picked_names,
    rooms_of,
    total_of,
    totals_told,
)

ROOMS = {name: str(UUID(int=at)) for at, name in enumerate(["hall", "white", "marble", "bench"], 1)}


def total(figure):
    return {"amount": f"{figure}.00", "shown": f"${figure}.00"}


def option(key, *, included=False):
    return {"key": key, "name": key.title(), "text": "", "included": included, "room": ROOMS[key], "difference": {}}


def room(name):
    return {"key": ROOMS[name], "name": name}


CONTENT = {
    "total": total(1000),
    "lines": ["those of white"],
    "rooms": [room("hall"), room("white")],
    "option_rooms": {ROOMS[name]: room(name) for name in ("white", "marble", "bench")},
    "options": [
        {"key": "t", "name": "Tile", "kind": "one", "options": [option("white", included=True), option("marble")]},
        {"key": "x", "name": "Extras", "kind": "add", "options": [option("bench")]},
    ],
    "chosen": "white",
    "choices": {
        "marble": {"rooms": [ROOMS["hall"], ROOMS["marble"]], "total": total(1250), "lines": ["those of marble"]},
        "bench,white": {"rooms": [ROOMS["hall"], ROOMS["white"], ROOMS["bench"]], "total": total(1180)},
        "bench,marble": {"rooms": [ROOMS["hall"], ROOMS["marble"], ROOMS["bench"]], "total": total(1427)},
    },
}
PLAIN = {"total": total(1000), "rooms": [{"name": "hall"}], "lines": []}


@pytest.mark.parametrize(
    ("picked", "choice"),
    [
        (["white"], "white"),
        (["marble"], "marble"),
        (["white", "bench"], "bench,white"),
        (["bench", "marble"], "bench,marble"),
    ],
)
def test_one_of_each_group_and_any_add_on_is_a_choice(picked, choice):
    assert choice_of(CONTENT, iter(picked)) == choice


@pytest.mark.parametrize(
    ("picked", "said"),
    [
        ([], "Tile: pick one"),
        (["bench"], "Tile: pick one"),
        (["white", "marble"], "Tile: pick only one"),
        (["white", "white"], "Tile: pick only one"),
        (["white", "bench", "bench"], "Extras: something is picked twice"),
        (["white", "granite"], "doesn’t offer"),  # of an older version, or made up
        (["white", ""], "doesn’t offer"),
    ],
)
def test_anything_else_is_refused_and_the_group_is_named(picked, said):
    with pytest.raises(BadChoice, match=said):
        choice_of(CONTENT, picked)


def test_a_choice_that_was_not_priced_is_refused():
    few = CONTENT | {"choices": {key: value for key, value in CONTENT["choices"].items() if key != "bench,marble"}}
    with pytest.raises(BadChoice):
        choice_of(few, ["marble", "bench"])


def test_the_letter_reads_as_that_choice_was_frozen():
    letter = as_chosen(CONTENT, "marble")
    assert [each["name"] for each in letter["rooms"]] == ["hall", "marble"]
    assert (letter["total"], letter["lines"], letter["chosen"]) == (total(1250), ["those of marble"], "marble")
    assert as_chosen(CONTENT, "white")["rooms"] == CONTENT["rooms"]
    # What doesn't differ is the default's.
    assert as_chosen(CONTENT, "bench,white")["lines"] == CONTENT["lines"]
    for stale in ("", "granite", "white,bench", "marble,white"):
        with pytest.raises(BadChoice):
            as_chosen(CONTENT, stale)


def test_totals_are_those_frozen_and_never_sums_of_differences():
    # 1,250 and 1,180 are 250 and 180 above 1,000; both together were frozen at 427 above it, for a shared trip.
    assert total_of(CONTENT, "bench,marble") == total(1427)
    assert total_of(CONTENT, default_choice(CONTENT)) == total(1000)
    check_shown(CONTENT, "marble", "1250.00")
    for choice, shown in [("marble", "1000.00"), ("granite", "1000.00"), ("marble", ""), ("", "1000.00")]:
        with pytest.raises(BadChoice):
            check_shown(CONTENT, choice, shown)


def test_what_is_picked_is_told_in_words_and_in_rooms():
    assert picked_names(CONTENT, "bench,marble") == ["Tile: Marble", "Extras: Bench"]
    assert rooms_of(CONTENT, "bench,marble") == {UUID(ROOMS["marble"]), UUID(ROOMS["bench"])}
    tile, extras = asked(CONTENT, "marble")
    assert [each["picked"] for each in tile["options"] + extras["options"]] == [False, True, False]
    assert [row["shown"] for row in totals_told(CONTENT)] == ["$1000.00", "$1180.00", "$1250.00", "$1427.00"]


def test_a_table_of_all_totals_is_left_out_where_nobody_would_read_it():
    many = {f"key {at}": {"total": total(at)} for at in range(12)}
    assert totals_told(CONTENT | {"choices": many}) == []


def test_a_proposal_without_options_has_one_choice():
    assert not has_options(PLAIN)
    assert (default_choice(PLAIN), choice_of(PLAIN, []), totals_told(PLAIN), asked(PLAIN, "")) == ("", "", [], [])
    assert as_chosen(PLAIN, "") == PLAIN
    with pytest.raises(BadChoice):
        total_of(PLAIN, "white")
