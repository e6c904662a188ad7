"""A survey that is read for a check: kept in its room, and entered on the check."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from base.errors import Refused
from inspections.actions.proving import record_entry
from inspections.models import Check, Entry
from inspections.surveyed import MEASURES, figure_of, newest_of_the_other_surfaces
from rooms.models import Room, Surface, Survey
from rooms.surveys.keeping import keep_survey
from shop.audit import change
from shop.models import Staff


def survey_check(
    *,
    check: Check,
    room: Room,
    kind: str,
    surface: Surface | None,
    data: Mapping[str, Any],
    happened_at: datetime,
    by: Staff,
    key: UUID,
    seen: str = "",
) -> Survey:
    """The survey, and with it an entry of what it found (`figure_of`), both or none; where it can't tell, the survey
    alone.

    The entry speaks for the survey's surface. On a check that isn't proved on each surface apart it has, beside its own
    figure, those of the room's other surfaces that were surveyed for the check: each has to hold. `data`, `key` and
    what is raised as in `keep_survey`; `seen` as in `Entry.seen`. Sent twice, it is one survey and one entry. Raises
    Refused where the check isn't one to be surveyed, or not about that surface.
    """
    if check.key not in MEASURES or room.pk != check.phase.room_id:
        raise Refused(_("This check isn't read along a straightedge."))
    if check.surfaces and surface is None:
        raise Refused(_("Say which wall or floor was read: the check goes for each of them."))
    with change(by):
        survey = keep_survey(room=room, kind=kind, surface=surface, data=data, happened_at=happened_at, key=key, by=by)
        figure = figure_of(survey, check)
        if figure is None or Entry.objects.filter(survey=survey, check_done=check).exists():
            return survey
        others = [] if check.surfaces else newest_of_the_other_surfaces(check, survey)
        beside = [found for other in others if (found := figure_of(other, check)) is not None]
        record_entry(
            check=check,
            by=by,
            happened_at=survey.happened_at,
            key=survey.pk,
            values=[figure, *beside],
            note=_note(survey, others),
            seen=seen,
            survey=survey,
            surfaces=[survey.surface] if check.surfaces else (),
        )
    return survey


def _note(survey: Survey, others: list[Survey]) -> str:
    said = _("survey: %(kind)s %(surface)s") % {
        "kind": survey.get_kind_display().lower(),
        "surface": survey.surface_name,
    }
    if others:
        said = _("%(survey)s; read before: %(others)s") % {
            "survey": said.strip(),
            "others": ", ".join(str(other) for other in others),
        }
    return said.strip()[: Entry._meta.get_field("note").max_length]
