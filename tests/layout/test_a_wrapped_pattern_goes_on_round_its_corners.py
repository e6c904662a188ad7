"""`wrap`: what a corner's cut leaves of a tile goes on round the corner; seen, hidden, kerf and rest make one tile."""

from __future__ import annotations

import copy

import pytest

from layout.verify import faults
from tests.layout.helpers import laid, sample


def test_the_rest_of_a_tile_goes_on_round_the_corner() -> None:
    """The last piece of a course on one wall and the first on the next make one tile with the kerf."""
    room, result, printed = laid({**sample("quarry-lane-shower"), "wrap": True})
    assert faults(room, printed) == []
    before = next(
        surface for surface in room.surfaces for edge, _ in surface.joins if surface.edges[edge].name == "right"
    )
    after = room.surface(next(name for edge, name in before.joins if before.edges[edge].name == "right"))
    tiles = {}
    for surface, last in ((before, True), (after, False)):
        course = [piece for piece in result.surface(surface.id).pieces if piece.course == 1]
        piece = (max if last else min)(course, key=lambda each: each.column)
        xs = [x for x, _ in piece.outline]
        tiles[surface.id] = max(xs) - min(xs)
    together = sum(tiles.values()) + room.kerf
    pitch = before.tile.width + before.joint
    # Whole pitches less a joint, or one tile: where the cut falls into a joint there is no rest.
    assert together % pitch == pytest.approx(before.tile.width, abs=before.joint + 1.01)


def test_the_judge_finds_a_wall_that_does_not_go_on() -> None:
    room, _, printed = laid({**sample("quarry-lane-shower"), "wrap": True})
    plain_room, _, plain = laid(sample("quarry-lane-shower"))
    assert faults(plain_room, plain) == []
    assert any("round their corner" in fault for fault in faults(room, copy.deepcopy(plain)))
    assert printed["options"][0]["surfaces"]
