"""What a row of a price list is the price of: a rate, a tile, or something that the shop has no rate of yet."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from uuid import UUID

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.tables import Line, bare
from estimating.catalogue import BY_KEY, RATES, TILE, Wanted
from estimating.models import OwnRate, RateKind
from estimating.own_rates import LONGEST_NAME, MOST_OWN_RATES, too_long_a_name, too_many_rates
from rooms.models import Tile
from shop.templatetags.look import length_text

KINDS: dict[str, Promise | str] = {**dict(RateKind.choices), "tile": gettext_lazy("Tile")}
_FIGURES, _WORDS = re.compile(r"\d+"), re.compile(r"\w+")
# From this on two names are taken for one, mistyped: one letter of five, two of ten. Common practice, no source.
_NEAR = 0.8
# For so many unknown names of a table one that is near is looked for: it takes longer than reading the row.
_MOST_LOOKED_FOR = MOST_OWN_RATES


class BadRow(ValueError):
    """The message says what is wrong with a row."""


@dataclass(frozen=True, slots=True)
class Target:
    """`key` is empty where a row makes a new rate of the shop's own."""

    kind: str
    key: str
    name: str
    tile: Tile | None = None
    own: OwnRate | None = None

    @property
    def pair(self) -> tuple[str, UUID | None]:
        return (self.key, self.tile.pk if self.tile else None) if self.key else (f"new {self.name.casefold()}", None)

    @property
    def wanted(self) -> Wanted | None:
        return BY_KEY.get(self.key)


@dataclass(frozen=True, slots=True)
class Known:
    """Names by the figures in them, so that one is held against few."""

    by_figures: dict[tuple[str, ...], list[tuple[str, frozenset[str], str]]] = field(default_factory=dict)

    def add(self, name: str) -> None:
        small = name.casefold()
        named = (small, frozenset(_WORDS.findall(small)), name)
        self.by_figures.setdefault(tuple(_FIGURES.findall(small)), []).append(named)

    def nearest(self, name: str) -> str:
        """The one that this name could be, mistyped; "" for none. Where figures differ, or one has the words of the
        other and more, it is another thing."""
        small = name.casefold()
        words = frozenset(_WORDS.findall(small))
        matcher = SequenceMatcher(autojunk=False)
        matcher.set_seq2(small)
        best, closest = _NEAR, ""
        for other, theirs, shown in self.by_figures.get(tuple(_FIGURES.findall(small)), ()):
            shortest, longest = sorted((len(small), len(other)))
            if 2 * shortest < best * (shortest + longest) or words < theirs or theirs < words:
                continue
            matcher.set_seq1(other)
            if matcher.quick_ratio() >= best and (ratio := matcher.ratio()) >= best:
                best, closest = ratio, shown
        return closest


@dataclass(slots=True)
class Names:
    """All that may be priced, and what the rows looked at so far would add."""

    listed: list[Target]
    by_name: dict[str, list[Target]]
    known: Known
    own_count: int
    new: set[str] = field(default_factory=set)
    looked_for: int = 0

    def target(self, line: Line) -> Target:
        """Raises BadRow."""
        kind = _kind(line.cells.get("kind", ""))
        named = self.by_name.get(line.cells["rate"].casefold(), [])
        found = [target for target in named if not kind or target.kind == kind]
        if named and not found:
            raise BadRow(
                _("The rate of this name is of another kind: %(kinds)s.")
                % {"kinds": ", ".join(str(KINDS[target.kind]) for target in named)}
            )
        if not found:
            return self._new(line, kind)
        if len({target.kind for target in found}) > 1:
            raise BadRow(
                _("More than one rate has this name: say which under “Kind”, %(kinds)s.") % {"kinds": _all_kinds()}
            )
        if found[0].tile:
            return _tile_of(found, line.cells.get("size", ""))
        if len(found) > 1:
            raise BadRow(_("More than one rate has this name: rename your own on the page of rates."))
        return found[0]

    def _new(self, line: Line, kind: str) -> Target:
        name = line.cells["rate"]
        if not name:
            raise BadRow(_("The row has no name."))
        unknown = _("There is no rate or tile of this name.")
        if name.casefold() not in self.new and (near := self._near(name)):
            raise BadRow(
                _("%(unknown)s Did you mean “%(near)s”? If it is another thing, add it on the page of rates first.")
                % {"unknown": unknown, "near": near}
            )
        if kind not in RateKind.values or not line.cells["cost"] or not line.cells.get("unit"):
            raise BadRow(
                _(
                    "%(unknown)s Write it as on the page of rates. Kind, unit and price together would make it a new "
                    "rate of your own."
                )
                % {"unknown": unknown}
            )
        if len(name) > LONGEST_NAME:
            raise BadRow(too_long_a_name())
        if name.casefold() not in self.new:
            self.new.add(name.casefold())
            self.known.add(name)
        if self.own_count + len(self.new) > MOST_OWN_RATES:
            raise BadRow(too_many_rates(MOST_OWN_RATES))
        return Target(kind, "", name)

    def _near(self, name: str) -> str:
        self.looked_for += 1
        return self.known.nearest(name) if self.looked_for <= _MOST_LOOKED_FOR else ""


def names_of(*, own: Iterable[OwnRate], tiles: Iterable[Tile]) -> Names:
    listed = [Target(str(wanted.kind), wanted.key, str(wanted.name)) for wanted in RATES]
    mine = [Target(each.kind, each.key, each.name, own=each) for each in own]
    listed += [*mine, *(Target("tile", TILE, " ".join(tile.name.split()), tile=tile) for tile in tiles)]
    by_name: dict[str, list[Target]] = {}
    for target in listed:
        for name in {target.name.casefold(), target.key if target.wanted else target.name.casefold()}:
            by_name.setdefault(name, []).append(target)
    known = Known()
    for name in dict.fromkeys(target.name for target in listed):
        known.add(name)
    return Names(listed=listed, by_name=by_name, known=known, own_count=len(mine))


def described(tile: Tile) -> str:
    """Size and finish, as the shop's tiles are listed: "11 3/4″ × 23 5/8″ × 3/8″, glazed"."""
    return ", ".join(filter(None, (_size(tile, thickness=True), tile.finish)))


def told_apart(names: Names) -> Iterator[Target]:
    """What a list can name: all but tiles that have name, size and finish in common with another, and what was put
    away."""
    seen: dict[tuple[str, str], int] = {}
    for target in names.listed:
        if target.tile:
            same = (target.name.casefold(), _plain(described(target.tile)))
            seen[same] = seen.get(same, 0) + 1
    for target in names.listed:
        if target.tile and seen[target.name.casefold(), _plain(described(target.tile))] > 1:
            continue
        if not (target.own and target.own.archived_on):
            yield target


def _all_kinds() -> str:
    return ", ".join(str(label) for label in KINDS.values())


def _kind(text: str) -> str:
    """The key of the kind that is meant, "" for none. Raises BadRow."""
    kind = next((key for key, label in KINDS.items() if bare(text) in (key, bare(str(label)))), "")
    if text and not kind:
        raise BadRow(_("Kind is one of %(kinds)s, or empty.") % {"kinds": _all_kinds()})
    return kind


def _tile_of(found: list[Target], size: str) -> Target:
    tiles = [(target, target.tile) for target in found if target.tile]
    fit = [target for target, tile in tiles if not size or _plain(size) in _ways_to_say(tile)]
    choice = {"choices": "; ".join(dict.fromkeys(described(tile) for _target, tile in tiles))}
    if not fit:
        raise BadRow(_("No tile of this name is so: %(choices)s.") % choice)
    if len(fit) > 1 and not size:
        raise BadRow(_("More than one tile has this name: say which under “Size and finish”, %(choices)s.") % choice)
    if len(fit) > 1:
        raise BadRow(
            _("More than one tile has this name and this under “Size and finish”. Say more of it, or rename one.")
        )
    return fit[0]


def _size(tile: Tile, *, thickness: bool = False) -> str:
    sides = [tile.width, tile.height, *([tile.thickness] if thickness and tile.thickness else [])]
    return " × ".join(length_text(side, "1/32") for side in sides)


def _ways_to_say(tile: Tile) -> set[str]:
    sizes = [_size(tile), _size(tile, thickness=True)]
    finish = [tile.finish] if tile.finish else []
    return {_plain(way) for way in (*sizes, *finish, *(f"{size}, {word}" for size in sizes for word in finish))}


def _plain(text: str) -> str:
    """However somebody writes it: x for ×, with the unit or without."""
    text = re.sub(r"\b(in|inch|inches|mm)\b|[\"″”]", " ", text.casefold().replace("×", " x "))
    return " ".join(re.sub(r"[,\s]+", " ", text).split())
