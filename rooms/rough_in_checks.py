"""The items of a rough-in sheet as checks of the rough-in phase: what to hold the tape to, in one line each.

The trade has no tolerance for framing that we could name a source for, so they are ticked, not judged by a reading.
"""

from collections.abc import Sequence
from itertools import groupby

from django.utils import translation

from rooms.chosen import chosen_room
from rooms.models import Layout
from rooms.rough_in import Item, RoughIn
from trade import sources
from trade.checks import Check
from trade.words import gettext_noop

LONGEST_TEXT = 300
ITEM_KEY = "rough_in.item-"

NICHE = gettext_noop(
    "Niche on %(surface)s: rough opening %(wide)s by %(high)s, %(left)s from %(origin)s, %(up)s up, %(deep)s deep"
)
VALVE = gettext_noop(
    "%(what)s on %(surface)s: center %(across)s from %(origin)s, %(up)s up; finished face %(face)s before the framing"
)
OPENING = gettext_noop(
    "%(what)s on %(surface)s: opening %(wide)s by %(high)s, %(left)s from %(origin)s, %(up)s up, as its maker frames it"
)
DRAIN = gettext_noop(
    "%(what)s on %(surface)s: center %(across)s from %(origin)s, %(away)s away; top %(face)s above the framing"
)
BLOCKING = gettext_noop(
    "Blocking for %(what)s on %(surface)s: %(low)s to %(high)s up, center %(across)s from %(origin)s"
)
BENCH = gettext_noop("%(surface)s: framed %(heights)s high")
FURRING = gettext_noop("%(surface)s: furred out by %(by)s")
MORE = gettext_noop("%(surface)s: items %(numbers)s of the rough-in sheet are as it has them")

HELP = gettext_noop("Reframe to the sheet, or measure what stands and lay out again before board.")


def rough_in_checks(layout: Layout, *, most: int) -> tuple[Check, ...]:
    """The checks of a layout's rough-in sheet, `most` at most: one an item; if those are too many, one a surface; if
    those are too many as well, the last takes the rest. None of a layout without items."""
    return tuple(check for check, _figures in _said(layout, most))


def checks_that_moved(before: Layout, now: Layout, *, most: int) -> tuple[tuple[Check, ...], frozenset[str]]:
    """Of a layout's checks those that say something else than the ones of the layout before it; and the texts of those
    that say the same."""
    was = {check.text: figures for check, figures in _said(before, most)}
    said = _said(now, most)
    moved = tuple(check for check, figures in said if was.get(check.text) != figures)
    return moved, frozenset(check.text for check, figures in said if was.get(check.text) == figures)


def _said(layout: Layout, most: int) -> list[tuple[Check, tuple[str, ...]]]:
    """The checks, each with the figures that it is about, which its text needn't name."""
    with translation.override("en-us"):
        sheet = RoughIn(layout)
        names = {surface.id: surface.name for surface in chosen_room(layout).room.surfaces}
        groups = [[item] for item in sheet.items]
        if len(groups) > most:
            groups = [list(items) for _surface, items in groupby(sheet.items, key=lambda item: item.surface)]
        if len(groups) > most:
            groups = [*groups[: most - 1], [item for group in groups[most - 1 :] for item in group]]
        return [
            (_check(group, names), tuple(each.text for item in group for each in item.measures if each.set_by))
            for group in groups
        ]


def _check(group: Sequence[Item], names: dict[str, str]) -> Check:
    first = group[0]
    rule = sources.BLOCKING if all(item.kind == "blocking" for item in group) else sources.ROUGH_IN_FACE
    if len(group) == 1:
        text = _text(first, names[first.surface])
    else:
        surfaces = ", ".join(dict.fromkeys(names[item.surface] for item in group))
        text = MORE % {"surface": surfaces, "numbers": ", ".join(str(item.number) for item in group)}
    return Check(
        key=f"{ITEM_KEY}{first.number}",
        text=text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1]}…",
        kind="tick",
        required=True,
        help=HELP,
        rule=rule,
    )


def _text(item: Item, surface: str) -> str:
    said = item.said
    origins = {each.name: each.origin for each in item.measures}
    words = {"surface": surface, "what": item.name}
    if item.kind == "niche":
        left = "left side of the rough opening"
        return NICHE % {
            **words,
            "wide": said["rough width"],
            "high": said["rough height"],
            "left": said[left],
            "origin": origins[left],
            "up": said["bottom of the rough opening"],
            "deep": said["rough depth"],
        }
    left = "left side of the opening"
    if left in said:
        return OPENING % {
            **words,
            "wide": said["opening width"],
            "high": said["opening height"],
            "left": said[left],
            "origin": origins[left],
            "up": said["bottom of the opening"],
        }
    if item.kind in ("bench", "curb"):
        heights = [each.text for each in item.measures if each.name == "framing height"]
        return BENCH % {**words, "heights": " / ".join(heights)}
    if item.kind == "furring":
        return FURRING % {**words, "by": said["fur out by"]}
    words |= {"across": said["center, across"], "origin": origins["center, across"]}
    if item.kind == "blocking":
        return BLOCKING % {**words, "low": said["bottom of the blocking"], "high": said["top of the blocking"]}
    words["face"] = said["framing to finished face"]
    up = said.get("center, up")
    return VALVE % {**words, "up": up} if up else DRAIN % {**words, "away": said["center, away"]}
