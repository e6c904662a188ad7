"""Each item of a rough-in sheet is a check of the rough-in phase, frozen as it stood when the work was opened."""

import pytest

from base.errors import Refused
from inspections.actions import set_checklist
from inspections.models import Check, Phase
from rooms.actions import choose_layout, import_room
from rooms.queries import current_layout
from rooms.rough_in import RoughIn
from tests.inspections.opening import open_phases_of
from tests.rooms_app.files import one_wall
from tests.rooms_app.rough_ins import shower
from trade.checklists import Checklist, OwnCheck, most_checks, phase_kind
from trade.phases import MOST_CHECKS

pytestmark = pytest.mark.django_db


def opened(job, owner, data, place="shower", option=1) -> list[Phase]:
    room = import_room(job=job, data=data, place=place, by=owner)
    choose_layout(room=room, option=option, why="", by=owner)
    return open_phases_of(room)


def items_of(phases) -> list[Check]:
    rough_in = next(phase for phase in phases if phase.key == "rough_in")
    return [check for check in rough_in.checks.all() if check.key.startswith("rough_in.item")]


def test_every_item_is_a_check_with_its_measures(job, owner):
    phases = opened(job, owner, shower())
    checks = items_of(phases)
    sheet = RoughIn(current_layout(phases[0].room))
    assert len(checks) == len(sheet.items) == 3
    for check, item in zip(checks, sheet.items, strict=True):
        assert (check.kind, check.required, check.confidence) == ("tick", True, "common practice")
        for name in ("rough width", "bottom of the rough opening", "center, across", "top of the blocking"):
            assert item.said.get(name, "") in check.text
    assert checks[0].text == (
        'Niche on back: rough opening 13" by 25", 22" from framing of left, 39 1/2" up, 3 1/2" deep'
    )


def test_they_stand_on_top_of_the_shops_own_and_are_never_more_than_a_phone_may_ask(job, owner):
    own = OwnCheck(key="own-boxes", kind="tick", text="Boxes are labeled")
    set_checklist(checklist=Checklist(phase="rough_in", own=(own,)), reason="asked for", seen=0, by=owner)
    data = shower()
    data["surfaces"][2]["aim"] = [
        {"at": [4 + 2 * n, 20 + 4 * n], "want": "joint-centered", "why": f"grab bar {n}"} for n in range(15)
    ]
    phases = opened(job, owner, data)
    rough_in = next(phase for phase in phases if phase.key == "rough_in")
    keys = list(rough_in.checks.values_list("key", flat=True))
    assert "own-boxes" in keys
    assert len(keys) <= MOST_CHECKS
    texts = [check.text for check in items_of(phases)]
    assert len(texts) == 2, "one a wall"
    assert all(str(number) in texts[1] for number in range(2, 17))


def test_a_full_list_has_room_for_the_sheet_in_one_check(job, owner):
    room = MOST_CHECKS - 1 - most_checks(phase_kind("rough_in"))
    own = tuple(OwnCheck(key=f"own-{n}", kind="tick", text=f"Own {n}") for n in range(room))
    set_checklist(checklist=Checklist(phase="rough_in", own=own), reason="asked for", seen=0, by=owner)
    more = OwnCheck(key="own-more", kind="tick", text="One more")
    with pytest.raises(Refused, match="rough-in sheet"):
        set_checklist(checklist=Checklist(phase="rough_in", own=(*own, more)), reason="more", seen=1, by=owner)
    phases = opened(job, owner, shower())
    rough_in = next(phase for phase in phases if phase.key == "rough_in")
    assert rough_in.checks.count() <= MOST_CHECKS
    sheet = RoughIn(current_layout(rough_in.room))
    told = " ".join(check.text for check in items_of(phases))
    if len(items_of(phases)) < len(sheet.items):
        assert all(str(item.number) in told for item in sheet.items)


def test_a_room_without_the_phase_gets_it_for_its_items_before_the_substrate(job, owner):
    drain = {"id": "drain", "kind": "drain", "outline": [[460, 210], [540, 210], [540, 290], [460, 290]]}
    data = one_wall()
    data["surfaces"][0].update({"kind": "floor", "openings": [drain]})
    keys = [phase.key for phase in opened(job, owner, data, place="dry_floor")]
    assert keys[:2] == ["rough_in", "substrate"]


def test_a_room_with_nothing_to_frame_gets_none(job, owner):
    data = one_wall()
    data["surfaces"][0]["kind"] = "floor"
    assert "rough_in" not in [phase.key for phase in opened(job, owner, data, place="dry_floor")]
