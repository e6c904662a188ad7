"""Lines that a setter put: laid at once, without a search, they are what the whole engine makes of the same pins."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import layout
from layout import free_legs, free_pieces
from layout.evaluate import bench_of
from layout.fields import fields_of
from layout.free_field import FreeField
from layout.hand import datums_by_hand, is_by_hand
from layout.verify import faults
from tests.layout.free_rooms import random_free_room
from tests.layout.helpers import plain, sample
from tests.layout.nasty import by_hand, nasty
from tests.layout.rooms import random_room


def pinned(data: dict[str, Any], seed: int) -> dict[str, Any]:
    """Return a room file with every line pinned somewhere on its surface; of joined ones one says the height."""
    room, rng = layout.read_room(data), random.Random(seed)
    bench = bench_of(room, fields_of(room))
    lines: dict[str, tuple[object, object]] = {}
    for group in room.groups:
        laid = [name for name in group if not bench.models[name].looked.empty]
        for name in laid:
            left, bottom, right, _top = bench.models[name].looked.bounds
            if bench.models[name].grid.turned and hasattr(bench.models[name].looked, "edge_lengths"):
                left, bottom, right, _top = room.surface(name).bounds
            x = f"{rng.uniform(left + 10, right - 10):.3f} mm"
            lines[name] = (x, f"{rng.uniform(bottom + 10, bottom + 60):.3f} mm" if name == laid[0] else None)
    return by_hand(data, lines)


ROOMS = {
    "nasty": nasty(),
    "nasty, offset": nasty(pattern={"kind": "offset", "share": "1/2"}),
    "shower": sample("quarry-lane-shower"),
    "tub": sample("mill-house-tub"),
    **{f"random {seed}": random_room(seed, size=0.6) for seed in range(12)},
    **{f"free {seed}": random_free_room(seed) for seed in (1, 4, 7)},
}


@pytest.mark.parametrize("name", ROOMS)
def test_it_is_the_first_option_of_the_whole_engine(name: str) -> None:
    room = layout.read_room(pinned(ROOMS[name], 7))
    hand, whole = layout.lay_by_hand(room), layout.lay_out(room)
    assert hand.options[0] == whole.options[0]
    assert whole.options[0].title == "Set by hand"
    look, option = layout.look_by_hand(room), hand.option
    assert {each.id: each.pieces for each in look.surfaces} == {each.id: each.pieces for each in option.surfaces}
    assert (look.worth.counts, look.worth.least_share) == (option.counts, option.least_cut_share)
    assert look.findings == hand.findings


@pytest.mark.parametrize("name", ROOMS)
def test_what_is_laid_move_by_move_is_what_is_laid_at_once(name: str) -> None:
    """Three moves from the same start: one surface's line, a line up, and back; what lies as before isn't laid anew."""
    rooms = [layout.read_room(pinned(ROOMS[name], 7))]
    hand, rng = layout.Hand(rooms[0]), random.Random(name)
    rooms += [moved(rooms[0], axis, rng.uniform(-3, 3)) for axis in "xy"] + rooms
    before: layout.Look | None = None
    for room in rooms:
        look, fresh = hand.look(room), layout.look_by_hand(room)
        assert look == fresh
        if before is not None:
            for old, new in zip(before.surfaces, look.surfaces, strict=True):
                assert (old is new) == (old.datum == new.datum)
        before = look
    if name.startswith("random"):
        assert faults(rooms[1], layout.lay_by_hand(rooms[1]).to_json()) == []


def moved(room: layout.Room, axis: str, by: float) -> layout.Room:
    """Return a room with the line of the first surface that says one along an axis moved by so many mm."""
    surface = next(each for each in room.surfaces if isinstance(getattr(each.pin, axis), float))
    pin = replace(surface.pin, **{axis: getattr(surface.pin, axis) + by})
    surfaces = (replace(each, pin=pin) if each is surface else each for each in room.surfaces)
    return replace(room, surfaces=tuple(surfaces))


@pytest.mark.parametrize("seed", range(10))
def test_what_is_cut_by_a_short_way_is_what_the_long_way_cuts(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The long way: every tile at the rim against the whole field, of what is seen too."""
    room = layout.read_room(pinned(nasty() if seed == 1 else random_free_room(seed), seed))
    short = layout.lay_by_hand(room)
    monkeypatch.setattr(free_pieces, "_boxes", lambda _field, outlines: np.full(len(outlines), None))
    monkeypatch.setattr(free_legs, "_box_ends", lambda _sides, _axis: None)
    monkeypatch.setattr(FreeField, "like", lambda _self, _other, tiles: np.zeros(len(tiles), dtype=bool))
    assert layout.dumps(short.to_json()) == layout.dumps(layout.lay_by_hand(room).to_json())


def test_the_judge_who_shares_no_code_finds_no_fault() -> None:
    """`layout.verify` goes by docs/formats.md alone."""
    room = layout.read_room(pinned(sample("quarry-lane-shower"), 3))
    assert faults(room, layout.lay_by_hand(room).to_json()) == []


def test_a_line_stands_where_it_was_put_and_the_cut_is_what_is_left() -> None:
    """Worked out by hand, no source: of the 30 in left of the line a gap of 1/8 in, two tiles of 12 in and three joints
    of 1/8 in go off; 5 1/2 in is left of a third tile."""
    room = layout.read_room(plain(60, 96, surface={"pin": {"x": 30, "y": "1/8"}}))
    result = layout.lay_by_hand(room)
    assert result.option.datums["floor"] == (762.0, 3.175)
    left = next(piece for piece in result.option.surfaces[0].pieces if piece.id == "floor:0:-3")
    xs = [x for x, _ in left.outline]
    assert max(xs) - min(xs) == pytest.approx(5.5 * 25.4, abs=1e-3)


def test_walls_that_wrap_follow_the_one_that_is_pinned() -> None:
    room = layout.read_room(by_hand(nasty(wrap=True), {"back": ("300 mm", "40 mm")}))
    hand, whole = layout.lay_by_hand(room), layout.lay_out(room)
    assert hand.options[0] == whole.options[0]
    moved = layout.lay_by_hand(layout.read_room(by_hand(nasty(wrap=True), {"back": ("310 mm", "40 mm")})))
    for name in ("left", "right"):
        before, after = hand.option.datums[name][0], moved.option.datums[name][0]
        # The tile is 4 in and the joint 1/8 in: whole pitches of 104.775 mm aside it's the same pattern.
        assert (after - before - 10) % 104.775 == pytest.approx(0, abs=1e-3) or (after - before - 10) % 104.775 > 104.77


@pytest.mark.parametrize(
    "lines",
    [
        {},
        {"back": (300, None)},
        {"left": (300, 3), "back": (None, None), "right": (300, None)},
        {"left": (300, None), "back": (300, None), "right": (300, None)},
    ],
)
def test_a_line_left_to_the_search_is_said(lines: dict[str, tuple[object, object]]) -> None:
    room = layout.read_room(by_hand(nasty(), lines))
    assert not is_by_hand(bench_of(room, fields_of(room)))
    with pytest.raises(layout.RoomError) as caught:
        layout.lay_by_hand(room)
    assert caught.value.place == "pin"


def test_a_line_off_the_wall_is_refused_with_its_place() -> None:
    room = layout.read_room(by_hand(nasty(), {"left": (-9, 3), "back": (30, None), "right": (19, None)}))
    with pytest.raises(layout.RoomError, match="would stand") as caught:
        datums_by_hand(bench_of(room, fields_of(room)))
    assert caught.value.place == "surfaces[0].pin.x"


@pytest.mark.parametrize("name", ["shower", "random 3", "random 8"])
def test_the_recommended_option_alone_has_the_figures_that_it_has_among_all(name: str) -> None:
    room = layout.read_room(ROOMS[name])
    alone, first = layout.recommended(room), layout.lay_out(room).options[0]
    for figure in ("least_cut", "least_cut_share", "least_cut_share_drift", "counts", "tiles", "score", "datums"):
        assert getattr(alone, figure) == getattr(first, figure)
