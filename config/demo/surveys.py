"""What was read in the demo shop's shower before board and mortar went in: its studs, its floor, its bed."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from rooms.models import Room, SurveyKind
from rooms.surveys.keeping import keep_survey
from shop.models import Staff

_HEIGHTS = ("0", "24", "48", "72", "96")
_STUDS = (
    ("0", "0", "1/16", "0", "0"),
    ("0", "1/16", "3/16", "1/16", "0"),
    ("0", "0", "0", "0", "1/16"),
    ("0", "-1/16", "-3/16", "-1/16", "0"),
)
_FLOOR = (("0", "1/16", "1/16", "0"), ("-1/16", "3/16", "0", "0"), ("-1/8", "0", "0", "1/16"))
_BED = {
    "outline": [["0", "0"], ["60", "0"], ["60", "36"], ["0", "36"]],
    "drain": {"circle": ["30", "18", "2"]},
    "slope": {"per_foot": "1/4"},
    "least_bed": "1 1/4",
    "bag_liters": 14.2,
}


def survey_shower(room: Room, *, by: Staff) -> None:
    """The studs of the first wall, the floor under the shower, and the bed that is to go on it."""
    wall = room.surfaces.all()[0]
    studs = _file("studs", "Stud", _STUDS, apart=16, aim="least-total")
    floor = _file("floor", "Line", _FLOOR, apart=24, leveling={"to": "level", "grind": "1/8"})
    bed = _file("floor", "Line", (), apart=12, bed=_BED)
    for days_ago, kind, surface, data in (
        (5, SurveyKind.STUDS, wall, studs),
        (5, SurveyKind.FLOOR, None, floor),
        (4, SurveyKind.BED, None, bed),
    ):
        then = timezone.now() - timedelta(days=days_ago)
        keep_survey(room=room, kind=kind, surface=surface, data=data, happened_at=then, by=by)


def _file(kind: str, name: str, lines: tuple[tuple[str, ...], ...], *, apart: int, **more: Any) -> dict[str, Any]:
    listed = [
        {
            "id": f"{name} {number + 1}",
            "at": str(number * apart),
            "readings": [[along, out] for along, out in zip(_HEIGHTS, outs, strict=False)],
        }
        for number, outs in enumerate(lines)
    ]
    head = {"format": "gaugerod-survey/1", "units": "in", "kind": kind, "tile_longest_edge": "23 5/8"}
    return {**head, **more, "lines": listed}
