"""Pins, wrap, joint, offset and tile direction are tried on the layout page; what is chosen is set, and told so."""

from decimal import Decimal
from fractions import Fraction
from urllib.parse import parse_qsl

import pytest
from django.urls import reverse

import layout
from estimating.offered_room import offered_room
from estimating.texts.current import Filled
from rooms.actions import choose_layout, import_room
from rooms.chosen import chosen_room
from rooms.files import layout_input
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.sheet import sheet_of
from rooms.specification import specification_of
from rooms.switches import switches_of
from rooms.varying import AS_MEASURED, read_asked
from tests.rooms_app.files import changeable

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(job, owner):
    return import_room(job=job, data=changeable(), place="shower", by=owner)


@pytest.fixture
def data(room):
    return layout_input(room_with_parts(room), units="in")


def address(room, name="layout"):
    return reverse(f"rooms:{name}", args=[room.pk])


def test_each_kind_has_its_switch_and_one_position_is_on(data):
    switches = switches_of(AS_MEASURED, layout.read_room(data))
    found = {each.name: each.positions for each in switches if not each.aside}
    assert set(found) == {"Back wall, across", "Back wall, up", "Corners", "Joint", "Pattern", "Tile"}
    # From 1/8 in to 3/16 in by 1/32 in.
    assert [each.label for each in found["Joint"]] == ['1/8"', '5/32"', '3/16"']
    assert [each.label for each in found["Pattern"]] == ["offset by 1/3", "stacked", "offset by 1/2"]
    assert all(sum(each.on for each in positions) == 1 for positions in found.values())


def test_lines_put_by_hand_are_at_no_position_that_places_them(data):
    switches = switches_of(read_asked({"x0": "30"}, unit="in"), layout.read_room(data))
    assert [each.name for each in switches if not each.on and not each.aside] == ["Back wall, across", "Back wall, up"]
    assert not any(each.on for each in switches if each.aside)


def small() -> dict:
    """Two walls of few tiles that meet, so that every switch can be worked out in no time."""
    wall = {"kind": "wall", "outline": [[0, 0], [32, 0], [32, 30], [0, 30]], "build_up": "9/16"}
    return {
        "format": "gaugerod-room/1",
        "name": "Alcove",
        "units": "in",
        "tile": {"width": 6, "height": 12, "thickness": "3/8"},
        "joint": "1/8",
        "joint_high": "3/16",
        "pattern": {"kind": "stack"},
        "surfaces": [{**wall, "id": "back", "focal": True}, {**wall, "id": "side"}],
        "corners": [{"first": "back.right", "second": "side.left", "soft": "1/8"}],
    }


def test_without_a_script_the_page_itself_tells_it(as_owner, job, owner, monkeypatch):
    room = import_room(job=job, data=small(), place="dry_wall", by=owner)
    shown = as_owner.get(address(room))
    assert "forecast=1" in shown.text
    page = as_owner.get(address(room), {"option": "1", "forecast": "1"})
    positions = [each for switch in page.context["switches"] for each in switch.positions]
    assert positions
    for position in positions:
        asked = {**dict(parse_qsl(position.query)), **as_sent(shown)}
        told = as_owner.get(address(room, "foreseen"), asked).json()["told"]
        assert position.told == ("" if position.on else told), position
        assert position.on or position.told in page.text
    # What there is no time for is said, and asked for again.
    monkeypatch.setattr("rooms.choosing._FORECAST_SECONDS", 0)
    late = as_owner.get(address(room), {"forecast": "1"})
    assert "Go on counting" in late.text
    assert not any(each.told for switch in late.context["switches"] for each in switch.positions)


def as_sent(page) -> dict[str, str]:
    """The figures of what the page shows, as its script sends them."""
    shown = page.context["figures"]
    return {"mm": "" if shown.mm is None else str(shown.mm), "cut": str(shown.cut), "needed": str(shown.needed)}


def test_what_is_told_in_advance_is_what_comes(as_owner, job, owner):
    """Of every position: the figures in advance are those that the whole engine comes to with the same set anew."""
    room = import_room(job=job, data=small(), place="dry_wall", by=owner)
    data = layout_input(room_with_parts(room), units="in")
    shown = as_owner.get(address(room)).context["figures"]
    sent = {"mm": shown.mm, "cut": shown.cut, "needed": shown.needed}
    told = 0
    for switch in switches_of(AS_MEASURED, layout.read_room(data)):
        for position in switch.positions:
            query = dict(parse_qsl(position.query))
            answer = as_owner.get(address(room, "foreseen"), {**query, **sent})
            first = layout.lay_out(layout.read_room(read_asked(query, unit="in").applied(data))).options[0]
            figures, apart = answer.context["figures"], answer.context["apart"]
            assert (figures.mm, figures.cut, figures.needed) == (first.least_cut.mm, first.counts.cut, first.needed)
            cut = first.counts.cut - shown.cut
            assert apart["cut"] == ("same" if not cut else f"{'+' if cut > 0 else '−'}{abs(cut)}")
            told += 1
    # 5 across and 3 up on each of two walls, and the other switches.
    assert told >= 22


def test_what_cannot_be_is_said_in_advance(as_owner, job, owner):
    data = small()
    # No full course of 12 in has room on a wall of 10 in.
    for surface in data["surfaces"]:
        surface["outline"] = [[0, 0], [32, 0], [32, 10], [0, 10]]
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    answer = as_owner.get(address(room, "foreseen"), {"up": "full-at-top"})
    assert "a full course is 1" in answer.text
    assert "This can’t be:" in as_owner.get(address(room), {"up": "full-at-top"}).text


def test_a_tuned_joint_by_switch_is_the_joint_tuned_by_the_engine(data):
    """The engine's own option keeps the gaps at the edges; so does the switch."""
    room = layout.read_room(data)
    tuned = layout.read_room(read_asked({"joint": "5/32"}, unit="in").applied(data))
    for before, after in zip(room.surfaces, tuned.surfaces, strict=True):
        assert after.joint == pytest.approx(25.4 * 5 / 32)
        assert (after.joint_high, after.edge_gap, after.edges) == (before.joint_high, before.edge_gap, before.edges)


def test_a_joint_outside_the_range_changes_nothing(data):
    assert layout.read_room(read_asked({"joint": "1/2"}, unit="in").applied(data)) == layout.read_room(data)


def test_a_pin_holds_and_the_room_is_not_touched(data):
    before = layout.read_room(data)
    new = layout.read_room(read_asked({"up": "full-at-top", "across": "tile-centered"}, unit="in").applied(data))
    assert (new.surfaces[0].pin.x, new.surfaces[0].pin.y) == ("tile-centered", "full-at-top")
    assert new.surfaces[1].pin.y is None
    assert layout.read_room(data) == before


def test_a_pin_of_the_room_can_be_taken_off(data):
    pinned = {**data, "pin": {"y": "full-at-bottom", "x": "full-at-left"}}
    free = layout.read_room(read_asked({"up": "none"}, unit="in").applied(pinned))
    assert [surface.pin.y for surface in free.surfaces] == [None, None]
    assert [surface.pin.x for surface in free.surfaces] == ["full-at-left", "full-at-left"]


def pinned(room, switches, name: str, label: str):
    """The room's file with a switch's position set, read by the engine, and the switches as they are then."""
    position = next(
        each for switch in switches if switch.name == name for each in switch.positions if each.label == label
    )
    asked = read_asked(dict(parse_qsl(position.query)), unit="in")
    return layout.read_room(asked.applied(room)), switches_of(asked, layout.read_room(room))


def test_any_surface_can_be_pinned_and_the_tiles_stand_so():
    """Worked out by hand, no source: where the side wall's field begins, a full tile of 6 in stands."""
    data = small()
    switches = switches_of(AS_MEASURED, layout.read_room(data))
    room, switches = pinned(data, switches, "side, across", "A full tile at the left")
    assert [surface.pin.x for surface in room.surfaces] == [None, "full-at-left"]
    side = next(each for each in layout.lay_out(room).option.surfaces if each.id == "side")
    left = min(side.pieces, key=lambda piece: min(x for x, _ in piece.outline))
    xs = [x for x, _ in left.outline]
    assert max(xs) - min(xs) == pytest.approx(6 * 25.4, abs=0.01)
    # A second pin across stands beside it: the walls hang together by their courses only.
    room, switches = pinned(data, switches, "back, across", "A joint on the middle")
    assert [surface.pin.x for surface in room.surfaces] == ["joint-centered", "full-at-left"]


def test_of_walls_that_share_courses_the_last_pin_up_holds():
    data = small()
    switches = switches_of(AS_MEASURED, layout.read_room(data))
    for name, pins in (("side, up", [None, "full-at-top"]), ("back, up", ["full-at-top", None])):
        room, switches = pinned(data, switches, name, "A full course at the top")
        assert [surface.pin.y for surface in room.surfaces] == pins
        on = {each.name: [at.label for at in each.positions if at.on] for each in switches}
        assert on[name] == ["A full course at the top"]
        assert sum(labels == ["A full course at the top"] for labels in on.values()) == 1
    # Wrapped, the walls hang together across as well.
    for switch, label in (("Corners", "The pattern wraps round"), ("side, across", "A full tile at the left")):
        room, switches = pinned(data, switches, switch, label)
    room, switches = pinned(data, switches, "back, across", "A full tile at the right")
    assert [surface.pin.x for surface in room.surfaces] == ["full-at-right", None]


def test_a_pin_of_another_surface_is_on_the_page_chosen_and_kept(as_owner, job, owner):
    room = import_room(job=job, data=small(), place="dry_wall", by=owner)
    query = {"across1": "full-at-right", "up1": "nonsense", "across99": "full-at-left", "across1x": "full-at-left"}
    page = as_owner.get(address(room), query)
    (moved,) = [switch for switch in page.context["pins_aside"] if switch.moved]
    assert [each.label for each in moved.positions if each.on] == ["A full tile at the right"]
    assert '<details class="aside" open>' in page.text
    assert '<details class="aside">' in as_owner.get(address(room)).text
    answer = as_owner.post(address(room), {**query, "option": "1", "why": "even cuts", "seen": page.context["seen"]})
    assert answer.status_code == 302
    chosen = current_layout(room)
    assert layout.read_room(chosen.input).surfaces[1].pin.x == "full-at-right"
    assert as_owner.get(address(room)).context["is_chosen"]


ANEW = {
    "share": ({"share": "1/2"}, "Pattern: offset by 1/2 instead of offset by 1/3."),
    "wrap": ({"wrap": "yes"}, "The pattern wraps round the corners."),
    "joint": ({"joint": "3/16"}, 'Joint 3/16" everywhere instead of 1/8".'),
    "turned": ({"turned": "yes"}, 'Tile hung turned: 23 5/8" wide, 11 13/16" high.'),
}


@pytest.mark.parametrize("what", ANEW)
def test_what_was_set_anew_is_chosen_and_told_wherever_the_layout_goes(as_owner, as_installer, room, owner, what):
    query, text = ANEW[what]
    page = as_owner.get(address(room), query)
    assert page.context["changes"] == [text]
    answer = as_owner.post(address(room), {**query, "option": "1", "why": "asked for", "seen": page.context["seen"]})
    assert answer.status_code == 302
    chosen, fresh = current_layout(room), room_with_parts(room)
    assert not is_stale(fresh, chosen)
    assert chosen_room(chosen).texts() == [text]
    assert sheet_of(chosen).changes == (text,)
    for client, name in ((as_owner, "layout"), (as_owner, "sheet"), (as_installer, "sheet"), (as_owner, "detail")):
        assert client.get(address(room, name)).status_code == 200
    facts = {each["name"]: each["text"] for each in offered_room(fresh, chosen, [], Filled({}, {}))["facts"]}
    assert text in facts["Changed for the layout"]
    if what == "share":
        assert facts["Pattern"] == "offset by 1/2"
        assert specification_of(fresh, chosen).pattern_offset == Decimal("0.5")
        assert specification_of(fresh).pattern_offset == Decimal("0.333333")
    if what == "joint":
        assert specification_of(fresh, chosen).joint_mm == Decimal("4.7625")
        assert sheet_of(chosen).joint == '3/16"'
    if what == "turned":
        assert sheet_of(chosen).tile.endswith('hung turned: 23 5/8" wide, 11 13/16" high')


def test_the_room_itself_stays_as_measured(as_owner, room, owner, data):
    asked = read_asked({"share": "1/2", "wrap": "yes", "joint": "5/32", "turned": "yes"}, unit="in")
    choose_layout(room=room, option=1, why="", by=owner, asked=asked)
    assert layout_input(room_with_parts(room), units="in") == data
    assert layout.read_room(current_layout(room).input).surfaces[0].pattern.share == Fraction(1, 2)


def test_two_options_are_compared_at_one_scale(as_owner, room):
    page = as_owner.get(address(room), {"option": "1", "compare": "2"})
    one, other = page.context["options"][:2]
    rows = {row.name: row for row in page.context["compared"]["rows"]}
    assert (rows["Cut pieces"].one, rows["Cut pieces"].other) == (str(one.counts.cut), str(other.counts.cut))
    assert (rows["Smallest cut"].one, rows["Smallest cut"].other) == (one.least_cut.text, other.least_cut.text)
    pictures = [*page.context["compared"]["one"], *page.context["compared"]["other"]]
    assert len({svg.split('data-scale="')[1].split('"')[0] for svg in pictures}) == 1


@pytest.mark.parametrize("number", ["1", "99", "0", "x"])
def test_there_is_nothing_to_compare_an_option_with_itself(as_owner, room, number):
    assert "compared" not in as_owner.get(address(room), {"option": "1", "compare": number}).context
