"""What a floor was read as last stands in the takeoff of the layout that is chosen after."""

from decimal import Decimal

import pytest
from django.utils import timezone

from rooms.actions import choose_layout, import_room
from rooms.surveys.keeping import keep_survey
from tests.rooms_app.files import one_wall

pytestmark = pytest.mark.django_db


def floor_read(height_mm: float) -> dict:
    """1 m by 2 m, level but for one line that stands so much lower: a wedge of 1/2 × 1 m × 2 m × its height."""
    lines = [{"id": str(n), "at": 1000 * n, "readings": [[0, -height_mm * n], [2000, -height_mm * n]]} for n in (0, 1)]
    return {"format": "gaugerod-survey/1", "units": "mm", "kind": "floor", "tile_longest_edge": 300, "lines": lines}


def test_the_newest_survey_of_a_floor_counts(job, owner):
    data = one_wall()
    data["surfaces"].append({"id": "floor", "kind": "floor", "outline": [[0, 0], [1000, 0], [1000, 2000], [0, 2000]]})
    room = import_room(job=job, data=data, place="dry_floor", by=owner)
    floor = room.surfaces.get(key="floor")
    assert "leveling_volume" not in {line["key"] for line in choose(room, owner)}
    for height in (20.0, 10.0):
        keep_survey(
            room=room, kind="floor", surface=floor, data=floor_read(height), happened_at=timezone.now(), by=owner
        )
    (line,) = [line for line in choose(room, owner) if line["key"] == "leveling_volume"]
    assert Decimal(str(line["quantity"])) == Decimal("10.0")


def choose(room, owner):
    reason = f"pass {room.layouts.count()}"
    return choose_layout(room=room, option=1, why=reason, by=owner).takeoff["lines"]
