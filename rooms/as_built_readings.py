"""What was measured against rough-in sheets so far, and what of it waits for the office's answer."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Subquery

from jobs.models import Job, Stage
from rooms.as_built import Difference, differences
from rooms.models import AsBuilt, Layout, Room
from rooms.rough_in import RoughIn


@dataclass(frozen=True, slots=True)
class Readings:
    """Every record of one sheet, the newest to arrive first."""

    rows: Sequence[AsBuilt]

    @property
    def unanswered(self) -> list[AsBuilt]:
        """What was read on site since the office's last word, in the order in which it was read."""
        since = []
        for row in self.rows:
            if row.read_at is None:
                break
            since.append((row.read_at, row.created_at, row))
        return [row for *_when, row in sorted(since, key=lambda each: each[:2])]

    @property
    def measures(self) -> list[dict[str, Any]]:
        """As `AsBuilt.measures`: the office's last word, and over it, measure by measure, what was read since."""
        office = [row for row in self.rows if row.read_at is None][:1]
        newest: dict[tuple[int, str], dict[str, Any]] = {}
        for row in office + self.unanswered:
            newest |= {(each["item"], each["name"]): each for each in row.measures}
        return sorted(newest.values(), key=lambda each: each["item"])

    @property
    def seen(self) -> str:
        """The key of what arrived last: who answers says by it what they knew."""
        return str(self.rows[0].pk) if self.rows else ""


def readings_of(layout: Layout) -> Readings:
    """One query."""
    return Readings(list(AsBuilt.objects.filter(layout=layout).select_related("by")))


@dataclass(frozen=True, slots=True)
class Waiting:
    """A room where what was read on site differs from the sheet, and the office hasn't answered."""

    room: Room
    by: str
    differ: Sequence[Difference]


def as_built_waiting(job: Job | None = None) -> list[Waiting]:
    """Of one job, or of all that are open, the rooms whose as-built measures wait for an answer. One query."""
    answered = AsBuilt.objects.filter(layout=OuterRef("layout"), read_at=None, created_at__gt=OuterRef("created_at"))
    newest = Layout.objects.filter(room=OuterRef("layout__room")).values("pk")[:1]
    unanswered = AsBuilt.objects.filter(~Exists(answered), read_at__isnull=False, layout=Subquery(newest))
    rows = AsBuilt.objects.filter(layout__in=unanswered.values("layout")).exclude(
        layout__room__job__stage__in=(Stage.CLOSED, Stage.LOST)
    )
    if job:
        rows = rows.filter(layout__room__job=job)
    heavy = ("measured", "result", "takeoff", "drawings")
    rows = rows.select_related("by", "layout__room__job__site").defer(*(f"layout__{name}" for name in heavy))
    return list(_waiting(rows))


def _waiting(rows: Iterable[AsBuilt]) -> Iterable[Waiting]:
    by_layout: dict[Layout, list[AsBuilt]] = {}
    for row in rows:
        by_layout.setdefault(row.layout, []).append(row)
    for layout, own in by_layout.items():
        readings = Readings(own)
        if differ := differences(RoughIn(layout), readings.measures):
            names = dict.fromkeys(str(row.by) for row in readings.unanswered)
            yield Waiting(layout.room, ", ".join(names), differ)
