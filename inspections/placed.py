"""What a phase's page says of its photos: what each shows as it stands, where, and what was said of it before."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q
from django.utils.translation import gettext as _

from inspections.models import Sorting
from inspections.queries import PhaseView
from jobs.models import Photo
from rooms.drawn import DrawnSurface, Frame, drawn_surfaces
from rooms.models import Room, Surface
from rooms.sketch import Dot
from trade.lengths import Unit, format_length


@dataclass(frozen=True, slots=True)
class Said:
    """One sorting in words: what the photo shows, and where."""

    sorting: Sorting
    what: str
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoView:
    """A photo that was sorted; `now` counts, `before` has the older ones, newest first. `number` is its dot's on the
    drawings of the page, 0 for none."""

    photo: Photo
    now: Said
    before: tuple[Said, ...]
    number: int = 0

    @property
    def check(self) -> UUID | None:
        """The key of the check that it is of as it stands."""
        return self.now.sorting.check_shown_id


@dataclass(frozen=True, slots=True)
class Drawing:
    """A surface with the dots of its photos, and the photos in their order."""

    drawn: DrawnSurface
    photos: Sequence[PhotoView]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhasePhotos:
    """`sorted_photos` by the photo's key; `beside` by the check's: photos sorted to it that no entry of it has."""

    sorted_photos: Mapping[UUID, PhotoView]
    beside: Mapping[UUID, Sequence[PhotoView]]
    drawings: Sequence[Drawing]


def photos_of_phase(view: PhaseView, room: Room, *, shown_in: Unit) -> PhasePhotos:
    """The photos of the phase; `room` read with its parts. One query."""
    entries = [entry for check in view.checks for entry in check.check.entries.all() if entry.photo_id]
    entered = {(entry.photo_id, entry.check_done_id) for entry in entries}
    checks = {check.check.pk for check in view.checks}
    surfaces = {surface.key: surface for surface in room.surfaces.all()}
    photos: dict[UUID, PhotoView] = {}
    dots: dict[str, list[PhotoView]] = {key: [] for key in surfaces}
    for rows in _histories(checks, {photo for photo, _check in entered if photo}, list(surfaces)):
        now, *before = (_said(row, room, surfaces, shown_in=shown_in) for row in reversed(rows))
        newest = now.sorting
        dotted = newest.check_shown_id in checks and newest.x is not None and newest.surface in surfaces
        number = sum(map(len, dots.values())) + 1 if dotted else 0
        photo = PhotoView(photo=newest.photo, now=now, before=tuple(before), number=number)
        photos[newest.photo_id] = photo
        if dotted:
            dots[newest.surface].append(photo)
    beside: dict[UUID, list[PhotoView]] = {}
    for key, photo in photos.items():
        if photo.check in checks and (key, photo.check) not in entered:
            beside.setdefault(photo.check, []).append(photo)
    return PhasePhotos(sorted_photos=photos, beside=beside, drawings=_drawings(dots, room, shown_in=shown_in))


def _histories(checks: Iterable[UUID], entered: Iterable[UUID], surfaces: list[str]) -> list[list[Sorting]]:
    """The sortings of each photo that an entry has or that was ever sorted to one of the checks, oldest first; the
    photos surface by surface as each stands, the first taken first."""
    photos = Photo.objects.filter(Q(pk__in=list(entered)) | Q(sortings__check_shown__in=list(checks))).values("pk")
    rows = Sorting.objects.filter(photo__in=photos).order_by("happened_at", "id")
    found: dict[UUID, list[Sorting]] = {}
    for row in rows.select_related("photo__by", "by", "room", "check_shown__phase__room"):
        found.setdefault(row.photo_id, []).append(row)

    def order(history: list[Sorting]) -> tuple[int, str, str]:
        photo, surface = history[-1].photo, history[-1].surface
        place = surfaces.index(surface) if surface in surfaces else len(surfaces)
        return place, photo.happened_at.isoformat(), str(photo.pk)

    return sorted(found.values(), key=order)


def _said(sorting: Sorting, room: Room, surfaces: Mapping[str, Surface], *, shown_in: Unit) -> Said:
    surface = surfaces.get(sorting.surface) if sorting.room_id == room.pk else None
    return Said(sorting, what_of(sorting), place_of(sorting, surface, shown_in=shown_in))


def what_of(sorting: Sorting) -> str:
    """What the photo shows: "Shower, Waterproofing: Corners banded"."""
    if sorting.room is None:
        return _("the whole job")
    if sorting.check_shown is None:
        return sorting.room.name
    check = sorting.check_shown
    words = {"room": sorting.room.name, "phase": _(check.phase.name), "check": _(check.text)}
    return _("%(room)s, %(phase)s: %(check)s") % words


def place_of(sorting: Sorting, surface: Surface | None, *, shown_in: Unit) -> str:
    """Where it shows it: "Back wall, 30 1/2" from the left, 48" up"; the name alone where no place was said, or the
    room has no such surface any more."""
    if surface is None or sorting.x is None or sorting.y is None:
        return sorting.surface_name
    frame = Frame.of(surface)
    words = {
        "surface": sorting.surface_name,
        "left": format_length(sorting.x - frame.left, unit=shown_in),
        "up": format_length(sorting.y - frame.bottom, unit=shown_in),
    }
    return _("%(surface)s, %(left)s from the left, %(up)s up") % words


def _drawings(photos: Mapping[str, Sequence[PhotoView]], room: Room, *, shown_in: Unit) -> list[Drawing]:
    dots = {key: [_dot(photo) for photo in each] for key, each in photos.items() if each}
    drawn = drawn_surfaces(room, shown_in=shown_in, dots=dots) if dots else []
    return [Drawing(each, photos[each.surface.key]) for each in drawn]


def _dot(photo: PhotoView) -> Dot:
    sorting = photo.now.sorting
    assert sorting.x is not None and sorting.y is not None  # noqa: PT018 -- of a photo with a number
    return Dot(photo.number, sorting.x, sorting.y)
