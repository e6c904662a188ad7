"""A save of a room's page that waited on a phone: taken once, and never over what somebody else did meanwhile.

What can't be taken is kept as unfinished changes beside the room, or as an unfinished room of its job, and the phone is
told so: whoever opens it decides.
"""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import JsonResponse, QueryDict
from django.utils.translation import gettext as _

from base.errors import KeyTaken
from base.keys import key_from
from jobs.models import Job
from rooms import actions
from rooms.entry.page import RoomEntry
from rooms.entry.saving import fingerprints, typed_in
from rooms.models import PhoneSave, Room, Unfinished
from rooms.queries import room_with_parts, unfinished_changes
from shop.audit import change
from shop.models import Staff
from shop.phone import Replay, not_taken, receipt


def clash(post: QueryDict, room: Room | None, begun: Unfinished | None, *, by: Staff) -> str:
    """Why what comes from a page must not go over what stands now; empty where it may: the page has seen it, or it is
    what the save `after` which this one was typed has made."""
    stands = fingerprints(room, begun)
    if stands == post.get("seen", "") or _followed(post, stands, by=by, refused=False):
        return ""
    if not stands:
        return _("This room was removed, or what was typed of it was dropped, before this was sent.")
    return _("Somebody else changed this room meanwhile, so that what you typed isn’t put over it.")


def give_up(post: QueryDict, do: Callable[[], None], *, job: Job, about: UUID, by: Staff) -> None:
    """Does what gives up a room or what was typed of it. Raises RoomChanged where the page hasn't seen how it stands
    now, and what `do` raises."""
    with change(by):
        actions.lock_job(job)
        if "seen" in post and clash(post, *_now(about), by=by):
            raise actions.RoomChanged(
                _("Somebody else changed this meanwhile, so nothing is gone. Look at it as it stands now.")
            )
        do()


def save_late(
    replay: Replay,
    entry: RoomEntry,
    post: QueryDict,
    *,
    job: Job,
    about: UUID,
    save: Callable[[], Room | Unfinished | None],
    by: Staff,
) -> JsonResponse:
    """A receipt where it is taken now or was before, as a room or unfinished; else why not. `about`: the key of the
    room, or of the unfinished one; `save` does it, and says in the entry why it can't."""
    with change(by):
        job = actions.lock_job(job)
        room, begun = _now(about)
        if earlier := PhoneSave.objects.filter(pk=replay.key).first():
            return _again(replay, earlier, _beside(replay, room) if earlier.refused else None, about=about, by=by)
        locked = actions.why_locked(job)
        if why := locked or clash(post, room, begun, by=by):
            return _kept_beside(replay, why, post, job=job, about=about, room=room, begun=begun, by=by)
        if not save():
            return not_taken(replay, " ".join(entry.general))
        _note(replay, about, by=by)
    return receipt(replay)


def job_of_gone(model: type[Room] | type[Unfinished], pk: UUID) -> UUID | None:
    """The key of the job that a room had which is gone; None where there never was one."""
    history: Any = model.pgh_event_model  # type: ignore[union-attr]
    found: UUID | None = history.objects.filter(pgh_obj_id=pk).values_list("job_id", flat=True).first()
    return found


def _now(about: UUID) -> tuple[Room | None, Unfinished | None]:
    if room := Room.objects.filter(pk=about).first():
        room = room_with_parts(room)
        return room, unfinished_changes(room)
    return None, Unfinished.objects.filter(pk=about).first()


def _followed(post: QueryDict, stands: str, *, by: Staff, refused: bool) -> bool:
    """Whether what stands now is what the save made that this one was typed after."""
    after = PhoneSave.objects.filter(pk=key_from(post.get("after", "")), by=by, made=stands).first()
    return after is not None and bool(after.refused) == refused


def _beside(replay: Replay, room: Room | None) -> Unfinished | None:
    """What was kept of this save and waits for somebody who decides."""
    return unfinished_changes(room) if room else Unfinished.objects.filter(pk=replay.key).first()


def _again(replay: Replay, earlier: PhoneSave, beside: Unfinished | None, *, about: UUID, by: Staff) -> JsonResponse:
    if (earlier.about, earlier.by_id) != (about, by.pk):
        return not_taken(replay, KeyTaken(_("This was kept already, for another room. Enter it again.")))
    return not_taken(replay, earlier.refused) if beside else receipt(replay)


def _kept_beside(
    replay: Replay,
    why: str,
    post: QueryDict,
    *,
    job: Job,
    about: UUID,
    room: Room | None,
    begun: Unfinished | None,
    by: Staff,
) -> JsonResponse:
    """Keeps what was typed where the office finds it, unless other unfinished changes stand there: then it
    stays on the phone alone."""
    if room and begun and not _may_replace(post, room, begun, by=by):
        return not_taken(replay, why + " " + _("Other unfinished changes of it wait already: see to those first."))
    told = _("It is kept as unfinished changes of the room: open the room, then save or drop them.")
    if not room:
        told = _("It is kept as an unfinished room of the job: open it there, then save or drop it.")
    typed = typed_in(post)
    name = typed.get("room-name", "")
    actions.keep_unfinished(job=job, room=room, key=replay.key, name=name, typed=typed, lacks=[why], late=True, by=by)
    _note(replay, about, refused=f"{why} {told}", by=by)
    return not_taken(replay, f"{why} {told}")


def _may_replace(post: QueryDict, room: Room, begun: Unfinished, *, by: Staff) -> bool:
    """Whether the unfinished changes are those that the page has seen, or this person's that it was typed after."""
    stands = fingerprints(room, begun)
    seen = post.get("seen", "").partition(".")[2]
    return seen == stands.partition(".")[2] or _followed(post, stands, by=by, refused=True)


def _note(replay: Replay, about: UUID, *, refused: str = "", by: Staff) -> None:
    PhoneSave.objects.create(pk=replay.key, about=about, made=fingerprints(*_now(about)), refused=refused, by=by)
