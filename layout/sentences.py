"""What an option gives and what it costs, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from layout.changes import Changes, changed, joint_text, moved_text
from layout.evaluate import Worth
from layout.room import EQUAL, Room, Units
from trade.lengths import format_length
from trade.words import gettext_noop

MOVED = gettext_noop("%s moved")
ONTO_JOINTS = gettext_noop("%s moved onto the joints")
HAIR = 1e-6
"""Share. Printed shares have six places."""

SLIVER = 0.05
"""Share. Less of a tile than this is a sliver in every setter's eyes. Gaugerod's own figure."""

TUNED = gettext_noop("Joint tuned to %s")
TURNED = gettext_noop("Tile hung the other way")


def change_of(room: Room, changes: Changes, on_joints: int, centered: int) -> tuple[str, str]:
    """Return the title of an option that changes the room, and what it does and gives.

    `on_joints`: how many sides of the moved openings lie on joints; `centered`: in how many ways, across and up, round
    ones stand on the middle of a tile or of a joint.
    """
    if changes.moved:
        return _moved(room, changes, on_joints, centered)
    if changes.joint is not None:
        return _tuned(room, changes, changes.joint)
    tiles = [room.tiles[name] for name in changes.turned]
    told = gettext_noop("Tiles lie %(wide)s wide and %(high)s high instead of %(high)s by %(wide)s: another look.")
    lines = []
    for tile in tiles:
        size = [format_length(side, unit=room.units) for side in (tile.height, tile.width)]
        line = told % {"wide": size[0], "high": size[1]}
        lines.append(line if len(room.tiles) == 1 else f"{tile.name}: {line}")
    return TURNED, " ".join(lines)


def _moved(room: Room, changes: Changes, on_joints: int, centered: int) -> tuple[str, str]:
    names = listed(list(dict.fromkeys(each.opening for each in changes.moved)))
    told = "; ".join(
        gettext_noop("%(opening)s on %(surface)s moves %(by)s")
        % {"opening": each.opening, "surface": room.surface(each.surface).name, "by": moved_text(each, room.units)}
        for each in changes.moved
    )
    parts = [_sentence(told)]
    if on_joints:
        parts.append(
            gettext_noop("1 side on a joint.") if on_joints == 1 else gettext_noop("%s sides on joints.") % on_joints
        )
    if centered and centered % 2 == 0:
        parts.append(gettext_noop("Centered on a tile or on a joint, both ways."))
    return (ONTO_JOINTS if on_joints else MOVED) % names, " ".join(parts)


def _tuned(room: Room, changes: Changes, joint: float) -> tuple[str, str]:
    after = changed(room, changes)
    pairs = zip(room.surfaces, after.surfaces, strict=True)
    mine = [surface for surface, new in pairs if new.joint != surface.joint]
    before = " / ".join(dict.fromkeys(joint_text(surface.joint, room.units) for surface in mine))
    texts = {"joint": joint_text(joint, room.units), "before": before}
    if len(mine) == len(room.surfaces):
        told = gettext_noop("Every joint %(joint)s wide instead of %(before)s, evenly.")
    else:
        told = gettext_noop("Every joint of %(names)s %(joint)s wide instead of %(before)s, evenly.")
        texts["names"] = listed([surface.name for surface in mine])
    return TUNED % texts["joint"], told % texts


def why(gives: str, worth: Worth, best: Worth, room: Room, *, mends: bool = False) -> str:
    """Return a few plain sentences: what an option gives, and what it costs beside the recommended one, `best`.

    `mends`: it was chosen for a cut that it makes better, which is named where it isn't the smallest one.
    """
    told = [gives, *(_mended(worth, best) if mends else ()), _smallest(worth, best, room.units)]
    more = [
        (worth.counts.cut - best.counts.cut, gettext_noop("cut piece"), gettext_noop("cut pieces")),
        (_needed(worth) - _needed(best), gettext_noop("tile"), gettext_noop("tiles")),
    ]
    for sign, name in ((1, gettext_noop("Costs %s more than recommended.")), (-1, gettext_noop("Saves %s."))):
        parts = [f"{abs(by)} {one if abs(by) == 1 else many}" for by, one, many in more if by * sign > 0]
        if parts:
            told.append(name % " and ".join(parts))
    told += _drifting(worth, best, room)
    return " ".join(told)


def _smallest(worth: Worth, best: Worth, units: Units) -> str:
    if worth.least is None:
        return gettext_noop("Nothing is cut.")
    count = worth.counts.cut
    pieces = gettext_noop("1 piece cut") if count == 1 else gettext_noop("%s pieces cut") % count
    texts = {"size": _size(worth.least[0].mm, units), "count": pieces}
    if worth is best:
        return gettext_noop("Smallest cut %(size)s, %(count)s.") % texts
    if best.least is None:
        return gettext_noop("Smallest cut %(size)s, recommended has none; %(count)s.") % texts
    apart = worth.least[0].mm - best.least[0].mm
    if abs(apart) > EQUAL:
        way = gettext_noop("larger") if apart > 0 else gettext_noop("smaller")
        told = gettext_noop("Smallest cut %(size)s, %(apart)s %(way)s than recommended; %(count)s.")
        return told % {**texts, "apart": format_length(abs(apart), unit=units), "way": way}
    if worth.least_share - best.least_share > HAIR:
        told = gettext_noop("Smallest cut %(size)s, larger than recommended by a hair; %(count)s.")
    else:
        told = gettext_noop("Smallest cut %(size)s, as recommended; %(count)s.")
    return told % texts


def _mended(worth: Worth, best: Worth) -> list[str]:
    """Return which edge's worst cut gets better, where the smallest cut of all doesn't tell."""
    if worth.least is None or worth.least_share > best.least_share + 0.01:
        return []
    pairs = zip(worth.score, best.score, strict=False)
    one, other = next(((a, b) for a, b in pairs if a > b + 0.01), (0.0, 0.0))
    if not one:
        return []
    told = gettext_noop("At one edge the worst cut is %(now)s percent of the tile instead of %(before)s.")
    return [told % {"now": round(one * 100), "before": round(other * 100)}]


def _drifting(worth: Worth, best: Worth, room: Room) -> list[str]:
    """Return what joints that end up at their widest do to the cuts, where they do more than to the recommended."""
    side = min(min(surface.tile.width, surface.tile.height) for surface in room.surfaces)
    if (min(worth.least_share, best.least_drift) - worth.least_drift) * side <= EQUAL:
        return []
    if worth.least_drift < SLIVER:
        return [gettext_noop("If the joints end up wide, a sliver comes out: hold them.")]
    told = gettext_noop("If the joints end up wide, a cut comes down to %s percent of the tile.")
    return [told % round(worth.least_drift * 100)]


def _size(mm: float, units: Units) -> str:
    """Return a cut's size; what would read as nothing says that it runs out."""
    least = EQUAL if units == "in" else 0.05
    return format_length(mm, unit=units) if mm >= least else gettext_noop("a point")


def _needed(worth: Worth) -> int:
    return sum(need.needed for need in worth.tiles)


def listed(names: Sequence[str]) -> str:
    """Return names as they are read out: one, two and three."""
    *others, last = names
    return gettext_noop("%(others)s and %(last)s") % {"others": ", ".join(others), "last": last} if others else last


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
