"""What the layout page shows: an option's figures, the walls unfolded, the lines that can be moved, a comparison."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

import layout
from layout.hand import leads_of
from layout.room import EQUAL, HUNG
from layout.unfolding import picture, unfolded
from layout.values import decimal
from rooms.laying import Laid
from trade.lengths import THIRTY_SECOND, Unit, format_length

SIDE_BY_SIDE = 0.5
"""Of the usual scale. Two pictures stand beside each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What an option comes to. `mm`: the smallest cut; None where nothing is cut. `needed`, `order`: None uncounted."""

    least: str
    mm: float | None
    whole: int
    cut: int
    needed: int | None = None
    order: int | None = None

    def said(self) -> str:
        """For those who hear the page."""
        if self.mm is None:
            return _("Nothing is cut.")
        cuts = ngettext("%(cut)s cut piece", "%(cut)s cut pieces", self.cut) % {"cut": self.cut}
        return _("Smallest cut %(least)s, %(cuts)s.") % {"least": self.least, "cuts": cuts}


def figures_of(option: layout.Option) -> Figures:
    least = option.least_cut
    return Figures(
        least=least.text if least else "",
        mm=least.mm if least else None,
        whole=option.counts.whole,
        cut=option.counts.cut,
        needed=option.needed,
        order=sum(need.order for need in option.tiles),
    )


def figures_at(look: layout.Look, units: Unit) -> Figures:
    """The figures of lines under somebody's hand: tiles aren't counted so quickly."""
    worth = look.worth
    mm = round(worth.least[0].mm, 2) if worth.least else None
    text = "" if worth.least is None else format_length(worth.least[0].mm, unit=units)
    return Figures(least=text, mm=mm, whole=worth.counts.whole, cut=worth.counts.cut)


def pictures_of(laid: Laid, *, scale: float | None = None, movable: bool = False) -> list[SafeString]:
    """The surfaces of the option that is laid, unfolded: walls first, then each floor by itself."""
    room, option = laid.as_set().room, laid.result.option
    least = option.least_cut
    smallest = (least.piece, least.text) if least else ("", "")
    surfaces = {surface.id: surface for surface in option.surfaces}
    found = []
    for each in unfolded(room, scale=scale):
        names = ", ".join(placed.surface.name for placed in each.placed)
        handles = leads_of(room) if movable else None
        svg = picture(each, surfaces, smallest, handles=handles, label=names)
        # Our own engine's drawing; it escapes what it is given.
        found.append(mark_safe(svg))  # noqa: S308
    return found


def common_scale(one: layout.Room, other: layout.Room) -> float:
    """The scale under which both rooms' pictures stand beside each other."""
    return SIDE_BY_SIDE * min(unfolded(room)[0].scale for room in (one, other))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line that can be moved: its name in the address (`x0`), what it is, its measure as typed and as it stands;
    `wrong`: what was typed can't be read, and why."""

    name: str
    label: str
    value: str
    mm: Decimal
    wrong: str = ""


def lines_of(laid: Laid, *, typed: Mapping[str, str], wrong: Mapping[str, str], unit: Unit) -> list[Line]:
    """The lines of the option that is laid, each with its measure; those in `wrong` as they were typed, and why."""
    room = laid.as_set().room
    names = {(axis, n): label for axis, n, label in _lines(room, laid)}
    found = []
    for (axis, n), mm in lines_at(laid).items():
        name = f"{axis}{n}"
        value = typed[name] if name in wrong else line_text(mm, unit)
        found.append(Line(name=name, label=names[axis, n], value=value, mm=mm, wrong=wrong.get(name, "")))
    return found


def line_text(mm: Decimal, unit: Unit) -> str:
    """Where a line stands as a tape shows it, to 1/32 in."""
    return format_length(mm, unit=unit, step=THIRTY_SECOND, feet=False)


def lines_at(laid: Laid) -> dict[tuple[str, int], Decimal]:
    """Where each line of the option that is laid stands, mm from its surface's left end or lowest point."""
    room, datums = laid.as_set().room, laid.result.option.datums
    found = {}
    for axis, n, _label in _lines(room, laid):
        low = "xy".index(axis)
        surface = room.surfaces[n]
        found[axis, n] = decimal(round(datums[surface.id][low] - surface.bounds[low], 4))
    return found


def _lines(room: layout.Room, laid: Laid) -> list[tuple[str, int, str]]:
    """Each line with its axis, its surface's place and its label: one across for each pattern, one up for a group."""
    tiled = {surface.id for surface in laid.result.option.surfaces if surface.pieces}
    index = {surface.id: n for n, surface in enumerate(room.surfaces)}
    leads = leads_of(room)
    found = []
    for group in room.groups:
        mine = [room.surface(name) for name in group if name in tiled]
        for surface in mine:
            if leads[surface.id] is surface:
                label = (
                    _("%(surface)s: plumb line, from the left")
                    if surface.kind in HUNG
                    else _("%(surface)s: first line, from the left")
                )
                found.append(("x", index[surface.id], label % {"surface": surface.name}))
        if mine:
            hung = mine[0].kind in HUNG
            label = (
                _("%(surface)s: level line, from the bottom")
                if hung
                else _("%(surface)s: second line, from the bottom")
            )
            found.append(("y", index[mine[0].id], label % {"surface": mine[0].name}))
    return found


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of two options, and by how much the other one has more."""

    name: str
    one: str
    other: str
    apart: str


def compared(one: Figures, other: Figures, units: Unit) -> list[Row]:
    """The figures of two options beside each other."""
    nothing = _("nothing cut")
    rows = [Row(_("Smallest cut"), one.least or nothing, other.least or nothing, longer(one.mm, other.mm, units))]
    pairs: Sequence[tuple[str, int | None, int | None]] = (
        (_("Full tiles"), one.whole, other.whole),
        (_("Cut pieces"), one.cut, other.cut),
        (_("Tiles by the cut list"), one.needed, other.needed),
        (_("Tiles to order"), one.order, other.order),
    )
    rows += [Row(name, str(a), str(b), more(a, b)) for name, a, b in pairs if a is not None and b is not None]
    return rows


def longer(one: float | None, other: float | None, units: Unit) -> str:
    """By how much the other length is longer: `+1/2"`, `−1/2"`, or the same."""
    if one is None or other is None or abs(other - one) < EQUAL:
        return "" if one is None or other is None else _("same")
    return f"{'+' if other > one else '−'}{format_length(abs(other - one), unit=units)}"


def more(one: int, other: int) -> str:
    """By how much the other number is higher."""
    return _("same") if one == other else f"{'+' if other > one else '−'}{abs(other - one)}"
