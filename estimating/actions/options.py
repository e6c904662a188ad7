"""What a client may choose: groups and their options made, named, ordered, priced and taken back.

Each begins with the job locked and open, and ends with what follows from the rooms reckoned anew.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from django.db.models import Max, QuerySet
from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.actions._following import bring_along, reckon_rooms
from estimating.actions._open import CannotChange, open_job
from estimating.choices import MOST_CHOICES, count_choices
from estimating.models import Estimate, EstimateLine, Option, OptionGroup, OptionKind
from jobs.models import Job
from layout import RoomError
from rooms.actions import remove_room, why_locked
from rooms.models import Room, Standing, Tile
from rooms.options import copy_room, lay_recommended, set_standing
from rooms.queries import current_layouts, rooms_on_offer
from shop.audit import change
from shop.models import Staff


@contextmanager
def _options_of(job: Job, *, by: Staff) -> Iterator[Job]:
    """The job, locked, while its options change. Raises CannotChange where they can't, and where the choices become
    too many."""
    with change(by):
        job = open_job(job)
        if reason := why_locked(job):
            raise CannotChange(reason)
        yield job
        groups = OptionGroup.objects.filter(job=job).prefetch_related("options")
        if (count := count_choices(groups)) > MOST_CHOICES:
            raise CannotChange(
                _(
                    "That makes %(count)s different choices, and a proposal takes %(most)s. Take an add-on into the "
                    "price, or offer fewer of something."
                )
                % {"count": count, "most": MOST_CHOICES}
            )
        if estimate := Estimate.objects.filter(job=job).first():
            reckon_rooms(estimate, rooms_on_offer(job), current_layouts(job))
            bring_along(estimate)


def offer_another(
    *,
    room: Room,
    question: str,
    name: str,
    other: str,
    by: Staff,
    tile: Tile | None = None,
    joint: Decimal | None = None,
) -> Option:
    """The `other` option of a new group: the room itself, by `name`, is in the price, and a copy of it, in another tile
    or joint where these are given, is offered instead; its recommended layout is taken at once.

    `question` is what the group is called. Raises CannotChange.
    """
    with _options_of(room.job, by=by) as job:
        _is_free(room)
        group = OptionGroup.objects.create(
            job=job, name=_named(question), kind=OptionKind.ONE, position=_next(OptionGroup, job=job)
        )
        first = Option.objects.create(group=group, room=room, name=_named(name))
        made = _copy(first, group, other, tile, joint, by=by)
    lay_recommended(room=made.room, by=by)
    return made


def add_option(
    *, option: Option, name: str, by: Staff, tile: Tile | None = None, joint: Decimal | None = None
) -> Option:
    """One more option of the group, copied from `option`, laid out as recommended. Raises CannotChange."""
    with _options_of(option.group.job, by=by):
        option = _now(option)
        made = _copy(option, option.group, name, tile, joint, by=by)
    lay_recommended(room=made.room, by=by)
    return made


def offer_add_on(*, room: Room, by: Staff, name: str = "", text: str = "") -> Option:
    """The room as something that the client may add: out of the price until then. Raises CannotChange, also for the
    last room."""
    with _options_of(room.job, by=by) as job:
        _is_free(room)
        if not Room.objects.filter(job=job).part_of_the_job().exclude(pk=room.pk).exists():
            raise CannotChange(_("This is the only room in the price: something has to be left to add to."))
        group = OptionGroup.objects.filter(job=job, kind=OptionKind.ADD).first() or OptionGroup.objects.create(
            job=job, name=_("You may add"), kind=OptionKind.ADD, position=_next(OptionGroup, job=job)
        )
        set_standing(room=room, standing=Standing.OFFERED, by=by)
        place = _next(Option, group=group)
        return Option.objects.create(
            group=group, room=room, name=_named(name or room.name), text=_one_line(text, 300), position=place
        )


def take_into_price(*, option: Option, by: Staff) -> None:
    """The option is in the price: of a group to pick one from instead of its sibling; an add-on is a room like others
    from now on. Raises CannotChange."""
    with _options_of(option.group.job, by=by):
        option = _now(option)
        if option.group.kind == OptionKind.ADD:
            _forget(option)
        else:
            for sibling in option.group.options.select_related("room").exclude(pk=option.pk):
                set_standing(room=sibling.room, standing=Standing.OFFERED, by=by)
        set_standing(room=option.room, standing=Standing.IN, by=by)


def name_option(*, option: Option, name: str, text: str, by: Staff) -> Option:
    """Raises CannotChange."""
    with _options_of(option.group.job, by=by):
        option = _now(option)
        option.name, option.text = _named(name), _one_line(text, 300)
        option.save(update_fields=["name", "text"])
    return option


def name_group(*, group: OptionGroup, name: str, by: Staff) -> OptionGroup:
    """Raises CannotChange."""
    with _options_of(group.job, by=by):
        group = _group_now(group)
        group.name = _named(name)
        group.save(update_fields=["name"])
    return group


def move_up(*, row: Option | OptionGroup, by: Staff) -> None:
    """An option before the one above it in its group; a group before the one above it. The first stays. Raises
    CannotChange."""
    with _options_of(row.group.job if isinstance(row, Option) else row.job, by=by):
        row = _now(row) if isinstance(row, Option) else _group_now(row)
        beside: QuerySet[Any] = (
            row.group.options.all() if isinstance(row, Option) else OptionGroup.objects.filter(job=row.job_id)
        )
        rows = list(beside)
        at = next(place for place, each in enumerate(rows) if each.pk == row.pk)
        rows.insert(max(at - 1, 0), rows.pop(at))
        for place, each in enumerate(rows):
            each.position = place
            each.save(update_fields=["position"])


def remove_option(*, option: Option, by: Staff) -> None:
    """The option is gone with its room; a room that something hangs on, such as a chosen layout, is kept as not taken.

    Of a group to pick one from, the next is in the price where this one was; one that is left alone is no option any
    more. Raises CannotChange.
    """
    with _options_of(option.group.job, by=by):
        _take_out(_now(option), by=by)


def remove_group(*, group: OptionGroup, by: Staff) -> None:
    """No choice any more: what is in the price stays a room of the job, the others go as in `remove_option`. Raises
    CannotChange."""
    with _options_of(group.job, by=by):
        group = _group_now(group)
        for option in group.options.select_related("room").exclude(room__standing=Standing.IN):
            _take_out(option, by=by)


# ---------------------------------------------------------------- inside


def _one_line(text: str, most: int) -> str:
    return " ".join(text.split())[:most]


def _named(name: str) -> str:
    """A name as the client reads it. Raises CannotChange for none."""
    name = _one_line(name, 120)
    if not name:
        raise CannotChange(_("Give it a name: the client reads it beside the price."))
    return name


def _next(model: type[Option] | type[OptionGroup], **of: object) -> int:
    last = model._default_manager.filter(**of).aggregate(last=Max("position"))["last"]
    return 0 if last is None else last + 1


def _is_free(room: Room) -> None:
    """The room is part of the job and no option yet; else CannotChange."""
    now = Room.objects.select_for_update(no_key=True).get(pk=room.pk)
    if now.standing != Standing.IN or Option.objects.filter(room=now).exists():
        raise CannotChange(_("%(room)s is an option already: add another beside it.") % {"room": now})


def _now(option: Option) -> Option:
    now = Option.objects.select_related("group__job", "room__job").filter(pk=option.pk).first()
    if now is None:
        raise CannotChange(_("This option was removed meanwhile."))
    return now


def _group_now(group: OptionGroup) -> OptionGroup:
    now = OptionGroup.objects.select_related("job").filter(pk=group.pk).first()
    if now is None:
        raise CannotChange(_("These options were removed meanwhile."))
    return now


def _copy(
    option: Option, group: OptionGroup, name: str, tile: Tile | None, joint: Decimal | None, *, by: Staff
) -> Option:
    """A new option of the group: a copy of another one's room. Raises CannotChange for a tile that it can't take."""
    name, room = _named(name), option.room
    base = Option.objects.filter(group=group).order_by("created_at", "id").values_list("room__name", flat=True)[0]
    try:
        made = copy_room(room=room, name=f"{base}, {name}", tile=tile, joint=joint, by=by)
    except RoomError as error:
        raise CannotChange(_("%(room)s can't be copied so: %(why)s") % {"room": room, "why": error}) from error
    return Option.objects.create(group=group, room=made, name=name, position=_next(Option, group=group))


def _take_out(option: Option, *, by: Staff) -> None:
    group, room, was = option.group, option.room, option.room.standing
    _forget(option)
    EstimateLine.objects.filter(estimate__job=group.job_id, room=room).delete()
    set_standing(room=room, standing=Standing.OUT, by=by)
    _let_go(room, by=by)
    left = list(Option.objects.filter(group=group).select_related("room"))
    if group.kind == OptionKind.ONE and left:
        if was == Standing.IN:
            set_standing(room=left[0].room, standing=Standing.IN, by=by)
        if len(left) == 1:
            _forget(left[0])


def _forget(option: Option) -> None:
    """The room is no option any more; a group that has none left is gone."""
    group = option.group
    Option.objects.filter(pk=option.pk).delete()
    OptionGroup.objects.filter(pk=group.pk, options=None).delete()


def _let_go(room: Room, *, by: Staff) -> None:
    """The room is gone where nothing hangs on it; else it stays as it stands."""
    fresh = Room.objects.select_related("job").get(pk=room.pk)
    try:
        remove_room(room=fresh, by=by)
    except Refused:
        return
