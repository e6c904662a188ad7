"""An empty measure sheet for the tape and a pencil: what the entry page will ask, on one printed page."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.forms import BoundField, Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.access import get_job
from rooms.entry.page import RoomEntry, SurfacePart
from rooms.entry.state import state_of_shape
from rooms.models import SurfaceKind
from rooms.queries import shop_unit
from rooms.shapes import BY_KEY, SHAPES
from shop.access import not_found, require_office

_OPENING_ROWS = 5
_SIDE_ROWS = 9
"""With these, and two openings less beside a table of sides, a sheet of Letter holds all."""

_ON_THE_SKETCH = ("width", "middle", "top", "height", "right_height", "rising", "falling")
"""Numbered from 1 on, there and in the table."""
_LENGTHS = (*_ON_THE_SKETCH, "lean_left", "lean_right", "build_up")
_SAID_BY_THE_ROW = ("name", "kind", "sure")
"""Of a surface: its row has its name, and whoever measures twice needs no box for it."""


@dataclass(frozen=True, slots=True)
class Table:
    """Cells to fill in: one under each of `heads`, in a row for each of `rows`."""

    caption: str
    of: str
    heads: list[str]
    rows: list[str]


@require_safe
def measure_sheet(request: HttpRequest, job_pk: UUID) -> HttpResponse:
    """The sheet of one of the starting shapes, `?shape=`; what it says is typed in on that shape's entry page."""
    staff = require_office(request.user)
    job = get_job(staff, job_pk)
    found = BY_KEY.get(request.GET.get("shape", SHAPES[0].key)) or not_found()
    unit = shop_unit()
    entry = RoomEntry(state_of_shape(found, unit=unit), unit=unit)
    corners = [(found.surfaces[left]["name"], found.surfaces[right]["name"]) for left, right, _first in found.corners]
    context = {
        "job": job,
        "shape": found,
        "parts": entry.surfaces,
        "tables": [*_surface_tables(entry.surfaces), _openings(entry)],
        "corners": corners,
        "joins": dict(entry.blank_corner().fields["first"].choices)["joins"],  # type: ignore[attr-defined]
        "asked": [*_asked(entry.room_form, "name"), *_asked(entry.tile_form, "tile")],
    }
    return render(request, "rooms/office/measure_sheet.html", context)


def _asked(form: Form, *but: str) -> list[BoundField]:
    return [bound for bound in form.visible_fields() if bound.name not in but]


def _surface_tables(parts: list[SurfacePart]) -> list[Table]:
    walls = [part for part in parts if not part.walked and part.form["kind"].value() == SurfaceKind.WALL]
    planes = [part for part in parts if not part.walked and part not in walls]
    found = [*_measured(_("Walls"), _("Wall"), walls), *_measured(_("Floor and other planes"), _("Plane"), planes)]
    for part in (part for part in parts if part.walked):
        sides = [str(number + 1) for number in range(_SIDE_ROWS)]
        heads = [str(bound.label) for bound in part.legs[0].visible_fields()]
        caption = _("%(surface)s, side by side from its lower left corner") % {"surface": part.heading}
        found.append(Table(caption, _("Side"), heads, sides))
        found.append(_table(part.heading, _("Plane"), [part], _asked(part.form, *_SAID_BY_THE_ROW)))
    return found


def _measured(caption: str, of: str, parts: list[SurfacePart]) -> list[Table]:
    """The lengths of surfaces with four corners, and in a table of its own how they end and what they meet."""
    if not parts:
        return []
    form = parts[0].form
    lengths = [form[name] for name in _LENGTHS if name in form.fields]
    others = _asked(form, *_SAID_BY_THE_ROW, *_LENGTHS)
    return [_table(caption, of, parts, lengths), _table(_("Edges and water"), of, parts, others)]


def _table(caption: str, of: str, parts: list[SurfacePart], fields: Iterable[BoundField]) -> Table:
    return Table(caption, of, [_head(bound) for bound in fields], [part.heading for part in parts])


def _head(bound: BoundField) -> str:
    number = f"{_ON_THE_SKETCH.index(bound.name) + 1} " if bound.name in _ON_THE_SKETCH else ""
    return number + str(bound.label)


def _openings(entry: RoomEntry) -> Table:
    opening: Any = entry.blank_surface(SurfaceKind.WALL).openings[0].form
    heads = [str(bound.label) for bound in opening.visible_fields()]
    caption = _("Niches, windows, doors, fixtures, valve and drain")
    rows = _OPENING_ROWS - 2 * any(part.walked for part in entry.surfaces)
    return Table(caption, _("Which wall or plane"), heads, [""] * rows)
