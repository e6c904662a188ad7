"""A job with everything on it that an installer can meet, for tests that look at the screens."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from django.urls import reverse
from django.utils import timezone

from base.keys import uuid7
from inspections.actions import add_punch_item, amend, finish_punch_item, record_entry
from inspections.actions import open_phases as open_phases_of_job
from inspections.models import Check, Phase
from jobs.actions import move_job, put_on_crew
from jobs.models import Stage
from rooms.actions import choose_layout
from rooms.models import Conditions, Room
from rooms.surveys.keeping import keep_survey
from rooms.tiles.keeping import keep_box
from shop.models import ShopSettings, Staff
from tests.factories import SurfaceFactory, rectangle
from tests.home.test_week import book_on
from tests.inspections.proofs import good_values, prove_and_sign, some_photo
from tests.layout_survey.surveys import substrate
from trade.sample import Piece

LONG_AGO = timedelta(days=4)


@dataclass(frozen=True)
class Scene:
    """The room at work, its phases in their order, and the survey of its back wall."""

    room: Room
    phases: list[Phase]
    surveys: list[str]

    def addresses(self) -> dict[str, str]:
        """Every page of it that an installer opens, by a short name."""
        room, job = self.room, self.room.job
        pages = {
            "today": reverse("home:today"),
            "job": reverse("home:job", args=[job.pk]),
            "room": reverse("inspections:room", args=[room.pk]),
            "measurements": reverse("rooms:detail", args=[room.pk]),
            "sheet": reverse("rooms:sheet", args=[room.pk]),
            "rough-in": reverse("rooms:rough_in", args=[room.pk]),
            "surveys": reverse("rooms:surveys", args=[room.pk]),
            "tiles": reverse("rooms:room_tiles", args=[room.pk]),
            "box": reverse("rooms:box", args=[room.pk]),
            "punch-list": reverse("inspections:punch_list", args=[job.pk]),
            "photo": reverse("jobs:photo_new", args=[job.pk]),
            "photos-to-sort": reverse("inspections:sort", args=[job.pk]),
            "changes": reverse("estimating:change_raise", args=[job.pk]),
            "language": reverse("shop:language"),
            "pin": reverse("home:pin"),
            "waiting": reverse("home:phone_waiting"),
            "offline": reverse("home:phone_offline"),
        }
        pages |= {f"phase-{phase.key}": reverse("inspections:phase", args=[phase.pk]) for phase in self.phases}
        pages |= {f"survey-{n}": reverse("rooms:survey", args=[pk]) for n, pk in enumerate(self.surveys)}
        new = reverse("rooms:survey_new", args=[room.pk])
        pages |= {f"survey-new-{kind}": f"{new}?kind={kind}" for kind in ("studs", "wall", "floor", "bed")}
        plane = Check.objects.get(phase__in=self.phases, key="substrate.plane")
        pages["survey-start"] = reverse("inspections:survey", args=[plane.pk])
        return pages


def scene_of(room: Room, *, installer: Staff, other: Staff, owner: Staff) -> Scene:
    """The shower with a heated pan and a permit: one phase signed and amended, the next in the middle of everything."""
    job = room.job
    SurfaceFactory(room=room, key="pan", kind="floor", position=3, outline=rectangle(Decimal(60), Decimal(36)))
    Conditions.objects.create(room=room, heated=True, permit=True)
    ShopSettings.objects.update_or_create(pk=1, defaults={"phone": "555-0171"})
    choose_layout(room=room, option=1, why="least cuts", by=owner)
    job.refresh_from_db()
    for stage in (Stage.PROPOSED, Stage.WORKING):
        move_job(job=job, to=stage, by=None)
    open_phases_of_job(job)
    put_on_crew(job=job, person=other, by=owner)
    book_on(job, installer, owner, what="Board and membrane")
    phases = list(room.phases.order_by("position"))
    prove_and_sign(phases[0], by=installer)
    signed = phases[0].checks.filter(kind="tick").first()
    amend(
        row=signed.entries.get(),
        text="The blocking is 2x8, not 2x6: read off the wrong stud",
        by=installer,
        happened_at=timezone.now(),
    )
    for phase in phases[1:]:
        _work_on(phase, installer=installer, other=other)
    surveys = [_survey_of(kind, room, installer) for kind in ("studs", "floor")]
    bowed = Piece(width_mm=room.tile.width, height_mm=room.tile.height, bow_mm=Decimal("-1.5"))
    keep_box(room=room, name="", pieces=[bowed] * 5, key=uuid7(), by=installer)
    _punch_list(room, installer)
    for color in ("gray", "tan"):
        some_photo(job, installer, (400, 300), color, to_sort=True)
    return Scene(room, phases, surveys)


def _work_on(phase: Phase, *, installer: Staff, other: Staff) -> None:
    """The first check of each kind fails, the second is disagreed about, the third can't be checked; waits run."""
    now, seen = timezone.now(), dict[str, int]()
    for check in phase.checks.order_by("position"):
        seen[check.kind] = number = seen.get(check.kind, 0) + 1
        if check.kind == "wait":
            record_entry(check=check, by=installer, happened_at=now - timedelta(minutes=5))
        elif number == 1 and check.limit and check.kind not in ("ohms", "coverage"):
            worst = [value * 2 if check.limit["high"] else value / 2 for value in good_values(check)]
            record_entry(check=check, by=installer, happened_at=now - LONG_AGO, values=worst, note="left of the niche")
        elif number == 1 and check.kind == "photo":
            photo = some_photo(phase.room.job, installer, (400, 300))
            record_entry(check=check, by=installer, happened_at=now - LONG_AGO, photo=photo, helper="Teo, apprentice")
        elif number == 2 and check.kind == "tick":
            record_entry(check=check, by=other, happened_at=now - LONG_AGO, ticked=True, seen="none")
            record_entry(check=check, by=installer, happened_at=now, ticked=False, note="not by the curb", seen="none")
        elif number == 3:
            record_entry(check=check, by=installer, happened_at=now, skipped=True, note="The plumber is still in there")


def _survey_of(kind: str, room: Room, by: Staff) -> str:
    surface = None if kind == "floor" else room.surfaces.get(key="back")
    lines = [[[str(n * 24), f"{lean * n}/16"] for n in range(5)] for lean in (0, 1, -1)]
    data = substrate(*lines, kind=kind, **({"leveling": {"to": "level"}} if kind == "floor" else {}))
    kept = keep_survey(room=room, kind=kind, surface=surface, data=data, happened_at=timezone.now(), by=by)
    return str(kept.pk)


def _punch_list(room: Room, by: Staff) -> None:
    photo = some_photo(room.job, by, (400, 300))
    done, _open = (
        add_punch_item(job=room.job, text=text, place=place, room=room, photo=each, by=by, key=uuid7())
        for text, place, each in (
            ("Grout haze on the bench", "below the niche", None),
            ("Chip in a corner tile, 3/16 in", "", photo),
        )
    )
    finish_punch_item(item=done, by=by)
