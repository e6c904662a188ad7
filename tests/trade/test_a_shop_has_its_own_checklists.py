"""What a shop may change in a phase, and what it may not.

That more than twelve checks are ticked unread is common practice, no source; so is all that a shop asks of itself.
"""

from decimal import Decimal

import pytest

from tests.trade.test_phases_follow_the_specification import EVERY, SHOWER
from trade.checklists import Checklist, ChecklistRefused, OwnCheck, most_checks, phase_kind, stays
from trade.checks import MOST_CHECKS
from trade.lengths import inches
from trade.limits import Limit
from trade.phases import PHASE_KINDS, phases_for
from trade.specification import Condition

OWN = OwnCheck(key="grout.own_1", text="Sample panel signed", help="Make one and wait.", kind="tick")
MEASURED = OwnCheck(
    key="grout.own_2",
    text="Joint open to this depth",
    kind="reading",
    limit=Limit(compare="at least", low=inches("1/8")),
    unit="mm",
    applies=Condition(places=("shower",), large_tile=True),
)


def keys(checklist: Checklist, spec=SHOWER) -> list[str]:
    found = phases_for(spec, lists={checklist.phase: checklist})
    return [check.key for phase in found if phase.key == checklist.phase for check in phase.checks]


def test_a_check_that_is_off_isnt_asked_and_one_of_the_shops_own_is() -> None:
    plain = keys(Checklist(phase="grout"))
    changed = keys(Checklist(phase="grout", off=frozenset({"grout.batch"}), own=(OWN,)))
    assert changed == [*(key for key in plain if key != "grout.batch"), "grout.own_1"]


def test_an_own_check_has_conditions_and_a_limit_like_any_other() -> None:
    checklist = Checklist(phase="grout", own=(MEASURED,))
    found = [each for phase in phases_for(SHOWER, lists={"grout": checklist}) for each in phase.checks]
    check = next(each for each in found if each.key == "grout.own_2")
    assert check.limit == Limit(compare="at least", low=inches("1/8"))
    assert check.rule.source == "the shop's own check"
    floor = next(spec for spec in EVERY if spec.place == "dry_floor")
    assert "grout.own_2" not in keys(checklist, floor)


def test_what_is_needed_can_be_set_either_way() -> None:
    checklist = Checklist(phase="setting", needed={"setting.batch": True, "setting.gaps": False})
    phase = next(each for each in phases_for(SHOWER, lists={"setting": checklist}) if each.key == "setting")
    needed = {check.key: check.required for check in phase.checks}
    assert needed["setting.batch"]
    assert not needed["setting.gaps"]


@pytest.mark.parametrize(
    "key", ["demolition.lead", "demolition.asbestos", "demolition.structure", "rough_in.plates", "setting.saw"]
)
def test_what_keeps_people_safe_stays(key: str) -> None:
    phase = key.split(".")[0]
    with pytest.raises(ChecklistRefused, match="keeps people safe"):
        Checklist(phase=phase, off=frozenset({key})).of(phase_kind(phase))
    with pytest.raises(ChecklistRefused, match="keeps people safe"):
        Checklist(phase=phase, needed={key: False}).of(phase_kind(phase))


def test_inspections_and_cables_stay_as_well() -> None:
    held = {check.key for kind in PHASE_KINDS for check in kind.checks if stays(check)}
    assert {"rough_in.inspection", "water_test.inspection", "heated_floor.laid", "heated_floor.electrician"} <= held
    assert "grout.batch" not in held


def test_no_room_is_left_with_nothing_to_prove() -> None:
    every = frozenset(check.key for check in phase_kind("grout").checks if not stays(check))
    with pytest.raises(ChecklistRefused, match="nothing to prove"):
        Checklist(phase="grout", off=every).of(phase_kind("grout"))
    # A check that only showers need doesn't help a hall.
    with pytest.raises(ChecklistRefused, match="nothing to prove"):
        Checklist(phase="grout", off=every, own=(MEASURED,)).of(phase_kind("grout"))
    assert Checklist(phase="grout", off=every, own=(OWN,)).of(phase_kind("grout")).checks[-1].key == "grout.own_1"


def test_no_room_gets_more_than_twelve() -> None:
    kind = phase_kind("grout")
    room = MOST_CHECKS - most_checks(kind)
    own = tuple(OwnCheck(key=f"grout.own_{n}", text=f"Own {n}", kind="tick") for n in range(room + 1))
    assert most_checks(Checklist(phase="grout", own=own[:room]).of(kind)) == MOST_CHECKS
    with pytest.raises(ChecklistRefused, match="13 checks"):
        Checklist(phase="grout", own=own).of(kind)


def test_the_rough_in_leaves_room_for_its_sheet() -> None:
    """The sheet's items come on top, in one check at least."""
    kind = phase_kind("rough_in")
    room = MOST_CHECKS - 1 - most_checks(kind)
    own = tuple(OwnCheck(key=f"rough_in.own_{n}", text=f"Own {n}", kind="tick") for n in range(room + 1))
    assert most_checks(Checklist(phase="rough_in", own=own[:room]).of(kind)) == MOST_CHECKS - 1
    with pytest.raises(ChecklistRefused, match="13 checks with that of its rough-in sheet"):
        Checklist(phase="rough_in", own=own).of(kind)


def test_a_checklist_that_was_kept_asks_all_of_it_though_the_catalogue_has_grown() -> None:
    """Work begins by it as ever; only a new version must keep to the twelve. What keeps people safe is asked all the
    same."""
    kind = phase_kind("grout")
    own = tuple(OwnCheck(key=f"grout.own_{n}", text=f"Own {n}", kind="tick") for n in range(MOST_CHECKS))
    kept = Checklist(phase="grout", own=own)
    assert len(kept.as_kept(kind).checks) > MOST_CHECKS
    assert len(keys(kept)) > MOST_CHECKS
    safe = Checklist(phase="demolition", off=frozenset({"demolition.power"}), needed={"demolition.power": False})
    assert next(check for check in safe.as_kept(phase_kind("demolition")).checks if check.key == "demolition.power")


@pytest.mark.parametrize("kind", PHASE_KINDS, ids=lambda kind: kind.key)
def test_the_most_checks_are_what_the_rooms_get(kind) -> None:
    got = [len(phase.checks) for spec in EVERY for phase in phases_for(spec) if phase.key == kind.key]
    assert max(got) <= most_checks(kind) <= MOST_CHECKS - kind.beside


def test_a_checklist_travels_as_data() -> None:
    off, needed = frozenset({"grout.batch"}), {"grout.soft": False}
    checklist = Checklist(phase="grout", off=off, needed=needed, own=(OWN, MEASURED))
    assert Checklist.from_json(checklist.to_json()) == checklist


def test_a_key_that_the_catalogue_no_longer_has_says_nothing() -> None:
    assert keys(Checklist(phase="grout", off=frozenset({"grout.moon"}))) == keys(Checklist(phase="grout"))


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "coverage"},
        {"text": " "},
        {"text": "x" * 301},
        {"limit": Limit(compare="at most", high=Decimal(1)), "unit": "mm"},
        {"kind": "reading"},
    ],
)
def test_an_own_check_that_cant_be_is_refused(changes: dict) -> None:
    with pytest.raises(ValueError, match="own_9"):
        OwnCheck(**{"key": "grout.own_9", "text": "Right", "kind": "tick"} | changes)
