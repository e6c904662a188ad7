"""The layout page: the options, lines that can be moved by hand, switches, a comparison, and the choice."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic
from typing import Any
from urllib.parse import parse_qsl, urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

import layout
from base.errors import Refused
from rooms import actions, showing
from rooms.access import get_layout, get_room
from rooms.chosen import ChosenRoom, as_set
from rooms.files import layout_input
from rooms.following import follow
from rooms.forms import ChooseForm
from rooms.laying import Laid, fingerprint, follows, foresee, lay, lay_by_hand
from rooms.models import Room
from rooms.queries import current_layout, earlier_layouts, is_stale, room_with_parts, shop_unit
from rooms.relaid import relaid_text
from rooms.sheet import sheet_of
from rooms.switches import Switches, switches_of
from rooms.varying import AS_MEASURED, Asked, read_asked
from shop.access import require_office
from trade.lengths import Unit

_FORECAST_SECONDS = 5.0
"""After which nothing more is begun: with the page, and one position that takes as long as it may, it is less than the
web server waits (config/gunicorn_conf.py)."""


@dataclass(frozen=True, slots=True)
class _Shown:
    """What the page shows: `asked` for, `options` to choose from, and one of them `laid`, or lines set by hand."""

    asked: Asked
    measured: layout.Room
    options: Laid
    laid: Laid

    @property
    def by_hand(self) -> bool:
        return bool(self.asked.hand)

    def as_set(self) -> ChosenRoom:
        """The room as it will be set beside the room as it was measured."""
        option = self.laid.result.option
        return as_set(self.laid.room, option.changes, data=self.laid.data, measured=self.measured)

    def movable(self) -> Asked:
        """What is asked for, with what the option changes, so that its lines can be moved from where they stand."""
        asked = self.asked.with_changes(self.laid.result.option.changes, self.measured)
        return asked.by_hand(showing.lines_at(self.laid))


@require_http_methods(["GET", "POST"])
def choose(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The options for a room, unfolded; its lines can be moved and things set anew. Choosing freezes what is shown."""
    staff = require_office(request.user)
    room = room_with_parts(get_room(staff, pk))
    unit, chosen = shop_unit(), current_layout(room)
    stale = chosen is not None and is_stale(room, chosen)
    raw: dict[str, str] = (request.POST if request.method == "POST" else request.GET).dict()
    if "option" not in raw and "option" in request.GET:
        raw["option"] = request.GET["option"]
    if chosen and not stale and not set(raw) - {"compare", "forecast"}:
        raw |= {**chosen.asked, "option": str(chosen.option)}
    asked, option = read_asked(raw, unit=unit), _number(raw.get("option"))
    form = ChooseForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and not asked.wrong:
        try:
            actions.choose_layout(room=room, option=option, by=staff, asked=asked, **form.cleaned_data)
        except (layout.RoomError, Refused) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("This layout is chosen for %(room)s.") % {"room": room})
            return redirect("rooms:layout", room.pk)
    data = layout_input(room, units=unit)
    context: dict[str, Any] = {
        "job": room.job,
        "room": room,
        "form": form,
        "locked": actions.why_locked(room.job) or actions.why_unfinished(room),
        "chosen": chosen,
        "stale": stale,
        "earlier": list(earlier_layouts(room)),
        "seen": fingerprint(data),
    }
    try:
        shown = _shown(data, asked, option)
    except layout.RoomError as error:
        context["refused" if asked else "error"] = error
        if asked:
            try:
                shown = _shown(data, asked.searched if asked.hand else AS_MEASURED, 1)
            except layout.RoomError as worse:
                context["error"] = worse
    if "error" not in context:
        refused = bool(asked.wrong) or "refused" in context
        typed = {**dict.fromkeys(asked.query(), ""), **asked.wrong} if refused else {}
        context |= _page(room, shown, raw, typed, unit)
        if "forecast" in raw:
            told, whole = _forecast(context["switches"], data, context["figures"], unit)
            context |= {"switches": told, "pins_aside": [switch for switch in told if switch.aside]}
            context |= {"forecast": True, "forecast_whole": whole}
        is_chosen = chosen is not None and not stale and chosen.asked == shown.asked.query()
        context["is_chosen"] = is_chosen and chosen is not None and chosen.option == shown.laid.result.chosen
    return render(request, "rooms/office/layout.html", context)


@require_safe
def nudge(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Lines under somebody's hand, for a script: the marks of each surface, cuts and findings. With `settled`, tiles
    are counted as well."""
    room = room_with_parts(get_room(require_office(request.user), pk))
    unit = shop_unit()
    asked = read_asked(request.GET.dict(), unit=unit)
    if asked.wrong:
        return _refused(next(iter(asked.wrong.values())))
    try:
        data = layout_input(room, units=unit)
        followed = follow(data, asked)
        figures = showing.figures_at(followed.look, unit)
        context: dict[str, Any] = {"findings": followed.look.findings}
        if "settled" in request.GET:
            laid = lay_by_hand(asked.applied(data))
            figures = showing.figures_of(laid.result.option)
            context["drawings"] = laid.drawings()
        context["figures"] = figures
    except layout.RoomError as error:
        return _refused(error.reason)
    answer = {
        "faces": followed.faces,
        "places": followed.places,
        "query": asked.query(),
        "lines": {f"{axis}{n}": showing.line_text(mm, unit) for (axis, n), mm in asked.hand.items()},
        "said": figures.said(),
        "counted": [figures.mm, figures.cut, figures.needed],
        "figures": render_to_string("rooms/office/_figures.html", context),
        "findings": render_to_string("rooms/office/_watch.html", context),
    }
    if "drawings" in context:
        answer["drawings"] = render_to_string("rooms/office/_drawings.html", context)
    return JsonResponse(answer)


def _refused(reason: str) -> JsonResponse:
    """Why lines can't stand so, as a sentence."""
    return JsonResponse({"refused": f"{capfirst(reason).removesuffix('.')}."}, status=422)


@require_safe
def foreseen(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What one position of a switch would come to, and how it differs from what the page shows, for a script."""
    room = room_with_parts(get_room(require_office(request.user), pk))
    unit = shop_unit()
    asked = read_asked(request.GET.dict(), unit=unit).searched
    return JsonResponse({"told": _foretold(asked.applied(layout_input(room, units=unit)), request.GET, unit)})


def _foretold(data: Mapping[str, Any], shown: Mapping[str, str], unit: Unit) -> str:
    """`shown`: the figures of what the page shows, to be compared with."""
    context: dict[str, Any] = {}
    try:
        figures = showing.figures_of(foresee(data))
    except layout.RoomError as error:
        context["refused"] = error.reason
    else:
        context |= {"figures": figures, "apart": _apart(shown, figures, unit)}
    return render_to_string("rooms/office/_foreseen.html", context)


def _forecast(
    switches: Sequence[Switches], data: Mapping[str, Any], now: showing.Figures, unit: Unit
) -> tuple[list[Switches], bool]:
    """Each position of the switches with what it would come to, and whether there was time for all of them. What was
    counted is remembered: asked again, it goes on from there."""
    shown = {"mm": "" if now.mm is None else str(now.mm), "cut": str(now.cut), "needed": str(now.needed)}
    end, whole = monotonic() + _FORECAST_SECONDS, True
    found = []
    for switch in switches:
        positions = []
        for position in switch.positions:
            if position.on:
                positions.append(position)
            elif monotonic() < end:
                asked = read_asked(dict(parse_qsl(position.query)), unit=unit).searched
                positions.append(replace(position, told=_foretold(asked.applied(data), shown, unit)))
            else:
                whole = False
                positions.append(position)
        found.append(replace(switch, positions=tuple(positions)))
    return found, whole


@require_safe
def earlier(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A layout as it was chosen, now or earlier."""
    chosen = get_layout(require_office(request.user), pk)
    room = room_with_parts(chosen.room)
    newest = current_layout(room)
    context = {
        "job": room.job,
        "room": room,
        "layout": chosen,
        "newest": newest is not None and newest.pk == chosen.pk,
        "stale": is_stale(room, chosen),
        "relaid": relaid_text(chosen),
        "sheet": sheet_of(chosen),
    }
    return render(request, "rooms/office/chosen.html", context)


def _shown(data: Mapping[str, Any], asked: Asked, option: int) -> _Shown:
    """Raises layout.RoomError for what can't be laid out so."""
    measured = layout.read_room(data)
    options = lay(asked.searched.applied(data), option=1 if asked.hand else option)
    if not asked.hand:
        return _Shown(asked, measured, options, options)
    return _Shown(asked, measured, options, lay_by_hand(asked.applied(data)))


def _page(room: Room, shown: _Shown, raw: dict[str, str], typed: Mapping[str, str], unit: Unit) -> dict[str, Any]:
    """`typed`: the lines that stay as they were typed, with what is wrong about them."""
    laid, set_so = shown.laid, shown.as_set()
    movable = follows(laid.room)
    switches = switches_of(shown.asked, shown.measured)
    aside = [switch for switch in switches if switch.aside]
    here = {**shown.asked.query(), **({} if shown.by_hand else {"option": str(laid.result.chosen)})}
    found: dict[str, Any] = {
        "result": laid.result,
        "option": laid.result.option,
        "options": shown.options.result.options,
        "by_hand": shown.by_hand,
        "shown": 0 if shown.by_hand else laid.result.chosen,
        "figures": showing.figures_of(laid.result.option),
        "findings": laid.result.findings,
        "pictures": showing.pictures_of(laid, movable=movable),
        "drawings": laid.drawings(),
        "changes": set_so.texts(),
        "joint": set_so.joint(room.joint, room.joint_high),
        "turned": set_so.tile_is_turned,
        "movable": movable,
        "lines": showing.lines_of(laid, typed=raw, wrong=typed, unit=unit),
        "query": shown.asked.query(),
        "searched": urlencode(shown.asked.searched.query()),
        "here": urlencode(here),
        "moved_from": {key: value for key, value in shown.movable().query().items() if key[0] not in "xy"},
        "switches": switches,
        "pins_aside": aside,
        "pin_aside_is_set": any(switch.moved for switch in aside),
        "unit": unit,
    }
    if other := _compared(shown, raw):
        scale = showing.common_scale(laid.as_set().room, other.as_set().room)
        found["compared"] = {
            "title": other.result.option.title,
            "number": other.result.chosen,
            "one": showing.pictures_of(laid, scale=scale),
            "other": showing.pictures_of(other, scale=scale),
            "rows": showing.compared(found["figures"], showing.figures_of(other.result.option), unit),
        }
    return found


def _compared(shown: _Shown, raw: Mapping[str, str]) -> Laid | None:
    """The option that is to be looked at beside the one shown, if there is such a one."""
    number = _number(raw.get("compare")) if raw.get("compare") else 0
    if not 1 <= number <= len(shown.options.result.options):
        return None
    if not shown.by_hand and number == shown.laid.result.chosen:
        return None
    return lay(shown.options.data, option=number)


def _apart(shown: Mapping[str, str], figures: showing.Figures, unit: Unit) -> dict[str, str]:
    """How figures differ from those of the option that the page shows."""
    found = {}
    try:
        mm = float(shown["mm"]) if shown.get("mm") else None
        found["least"] = showing.longer(mm, figures.mm, unit)
        found["cut"] = showing.more(int(shown["cut"]), figures.cut)
        found["needed"] = showing.more(int(shown["needed"]), figures.needed or 0)
    except (KeyError, ValueError):
        return {}
    return found


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 4 else 1
