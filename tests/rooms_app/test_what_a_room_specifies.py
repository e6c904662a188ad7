"""What decides a room's phases comes from the room as measured; where surfaces differ, from the strictest."""

from decimal import Decimal

import pytest

from rooms.files import room_from_file
from rooms.queries import room_with_parts
from rooms.specification import specification_of
from tests.factories import RoomFactory
from tests.rooms_app.files import one_wall, sample
from trade.phases import phases_for

pytestmark = pytest.mark.django_db


def spec(job, data, place="dry_wall", **more):
    return specification_of(room_with_parts(room_from_file(data, job=job, place=place, **more)))


def test_of_the_sample_shower(job):
    found = spec(job, sample("quarry-lane-shower"), "shower")
    assert (found.place, found.has_floor, found.has_walls, found.rectified, found.stone) == (
        "shower",
        False,
        True,
        True,
        False,
    )
    # 23 5/8 in and 11 13/16 in, joint 1/8 in.
    assert (found.tile_longest_edge_mm, found.tile_shortest_edge_mm) == (Decimal("600.075"), Decimal("300.0375"))
    assert found.joint_mm == Decimal("3.175")
    assert round(found.pattern_offset, 3) == Decimal("0.333")


def test_the_strictest_surface_counts(job):
    data = one_wall(
        tiles={
            "slab": {"width": 600, "height": 1200, "thickness": 10, "warp": 1.5, "edge": "rectified", "stone": True}
        },
        pattern={"kind": "offset", "share": "3/4", "run": "stair"},
    )
    wall = data["surfaces"][0]
    data["surfaces"] += [
        {**wall, "id": "b", "tile": "slab", "joint": "1.5 mm", "pattern": {"kind": "offset", "share": 0.5}},
        {**wall, "id": "f", "kind": "floor", "pattern": {"kind": "stack"}},
    ]
    found = spec(job, data, "wet_floor", demolition=True)
    assert (found.tile_longest_edge_mm, found.tile_shortest_edge_mm, found.warp_mm) == (1200, 600, Decimal("1.5"))
    assert (found.joint_mm, found.pattern_offset) == (Decimal("1.5"), Decimal("0.5"))
    assert (found.stone, found.rectified, found.has_floor, found.has_walls, found.demolition) == (True,) * 5


def test_three_quarters_is_a_quarter_from_the_nearer_end(job):
    data = one_wall(pattern={"kind": "offset", "share": "3/4"})
    assert spec(job, data).pattern_offset == Decimal("0.25")


def test_everything_but_a_floor_is_wall(job):
    data = one_wall()
    data["surfaces"][0]["kind"] = "bench"
    assert (spec(job, data, "shower").has_walls, spec(job, data, "shower").has_floor) == (True, False)


def test_the_age_of_the_house_comes_from_the_site(job):
    job.site.year_built = 1931
    job.site.save()
    assert spec(job, one_wall()).year_built == 1931


def test_a_room_without_surfaces_has_none():
    with pytest.raises(ValueError, match="without surfaces"):
        specification_of(RoomFactory(walls=False))


def test_it_is_what_phases_are_made_from(room):
    keys = [phase.key for phase in phases_for(specification_of(room))]
    assert "waterproofing" in " ".join(keys)
    assert "setting" in keys
