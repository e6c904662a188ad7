"""A shop's own checklist of one phase: what it asks and what not, what it needs, and the checks it adds itself.

It changes the catalogue's phase and stays data. What keeps people safe, or the law asks, is never taken off.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from itertools import product
from typing import Any, Literal, get_args

from trade.catalogue import PHASE_KINDS
from trade.checks import MOST_CHECKS, CheckKind, CheckUnit, PhaseKind
from trade.limits import Limit
from trade.rules import Place
from trade.sources import Rule
from trade.specification import ALWAYS, FLAGS, Condition
from trade.words import Unreadable, gettext_noop

OwnKind = Literal["tick", "photo", "reading", "wait"]

LONGEST_TEXT = 300
MOST_OWN = MOST_CHECKS

SHOP_OWN = Rule(
    id="shop.own-check",
    text=gettext_noop("The shop asks this of itself."),
    source="the shop's own check",
    confidence="common practice",
)

_STAYS = {"safety", "silica", "heated", "inspection"}
"""Beginnings of the ids of rules that keep people safe, or that the law asks."""

_NOTHING_NEEDED = gettext_noop(
    "Some room would have nothing to prove in this phase. Keep at least one check that every room with it needs."
)
_TOO_MANY = gettext_noop(
    "Some room would get %(count)s checks, and more than %(most)s are ticked unread. Take one off first."
)
_TOO_MANY_WITH_SHEET = gettext_noop(
    "Some room would get %(count)s checks with that of its rough-in sheet, and more than %(most)s are ticked unread. "
    "Take one off first."
)
_STAYS_ON = gettext_noop("“%(text)s” keeps people safe, or the law asks it: it stays.")


class ChecklistRefused(Unreadable):
    """A checklist that no phase may have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCheck:
    """A check that the shop adds; `text` and `help` are its own words.  A reading and a wait have a limit.

    Raises ValueError for a kind there isn't, an empty text, and a limit that doesn't fit the kind.
    """

    key: str
    text: str
    kind: OwnKind
    help: str = ""
    required: bool = True
    limit: Limit | None = None
    unit: CheckUnit | None = None
    applies: Condition = ALWAYS

    def __post_init__(self) -> None:
        if self.kind not in get_args(OwnKind):
            raise ValueError(f"{self.key}: there is no {self.kind!r}")
        if not self.text.strip() or max(len(self.text), len(self.help)) > LONGEST_TEXT:
            raise ValueError(f"{self.key}: a text has 1 to {LONGEST_TEXT} signs")
        measured = self.kind in ("reading", "wait")
        if (self.limit is not None) != measured or (self.unit is not None) != measured:
            raise ValueError(f"{self.key}: a reading and a wait have a limit and its unit, nothing else has")

    def kind_of(self) -> CheckKind:
        """Return it as the catalogue has its own."""
        limit = self.limit
        return CheckKind(
            key=self.key,
            text=self.text,
            kind=self.kind,
            help=self.help,
            rule=None if limit else SHOP_OWN,
            measure=(lambda _spec, _limits: (limit, SHOP_OWN)) if limit else None,
            unit=self.unit,
            required=self.required,
            applies=self.applies,
        )

    def to_json(self) -> dict[str, Any]:
        """Return JSON-ready data."""
        said = {name: value for name, value in asdict(self.applies).items() if value not in (None, ())}
        return {
            "key": self.key,
            "text": self.text,
            "kind": self.kind,
            "help": self.help,
            "required": self.required,
            "limit": self.limit.to_json() if self.limit else None,
            "unit": self.unit,
            "applies": said,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "OwnCheck":
        """Return what `to_json` wrote.  Raises ValueError for anything else."""
        applies = dict(data["applies"])
        applies["places"] = tuple(applies.get("places", ()))
        limit = Limit.from_json(data["limit"]) if data["limit"] else None
        return cls(**{**data, "applies": Condition(**applies), "limit": limit})


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """What a shop changes in one phase of the catalogue.  `off`: checks it doesn't ask; `needed`: whether a check is
    needed, where that differs from the catalogue; both by the check's key.

    `of` makes the phase; what it raises, no shop may have.
    """

    phase: str
    off: frozenset[str] = frozenset()
    needed: Mapping[str, bool] = field(default_factory=dict)
    own: tuple[OwnCheck, ...] = ()

    def of(self, kind: PhaseKind) -> PhaseKind:
        """Return the catalogue's phase as this shop asks it.

        A key that the catalogue no longer has says nothing.  Raises ChecklistRefused where what keeps people safe is
        off or not needed, where some room would need no check at all, or where some room would get too many.
        """
        for check in kind.checks:
            if stays(check) and (check.key in self.off or not self.needed.get(check.key, check.required)):
                raise ChecklistRefused(_STAYS_ON, {"text": check.text})
        changed = self.as_kept(kind)
        if any(_needs(kind, room) and not _needs(changed, room) for room in _rooms(changed)):
            raise ChecklistRefused(_NOTHING_NEEDED)
        if (most := most_checks(changed) + kind.beside) > MOST_CHECKS:
            text = _TOO_MANY_WITH_SHEET if kind.beside else _TOO_MANY
            raise ChecklistRefused(text, {"count": str(most), "most": str(MOST_CHECKS)})
        return changed

    def as_kept(self, kind: PhaseKind) -> PhaseKind:
        """Return the same of a checklist that was kept: where the catalogue has grown since, work begins all the same,
        with more than `of` lets a shop ask, and with what keeps people safe."""
        safe = {check.key for check in kind.checks if stays(check)}
        kept = (
            check if check.key in safe else replace(check, required=self.needed.get(check.key, check.required))
            for check in kind.checks
            if check.key in safe or check.key not in self.off
        )
        return replace(kind, checks=(*kept, *(own.kind_of() for own in self.own)))

    def to_json(self) -> dict[str, Any]:
        """Return JSON-ready data."""
        own = [each.to_json() for each in self.own]
        return {"phase": self.phase, "off": sorted(self.off), "needed": dict(self.needed), "own": own}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Checklist":
        """Return what `to_json` wrote."""
        own = tuple(OwnCheck.from_json(each) for each in data["own"])
        return cls(phase=data["phase"], off=frozenset(data["off"]), needed=data["needed"], own=own)


def phase_kind(key: str) -> PhaseKind:
    """Return the catalogue's phase of that key.  Raises KeyError for one that isn't there."""
    return {kind.key: kind for kind in PHASE_KINDS}[key]


def stays(check: CheckKind) -> bool:
    """Return whether a check keeps people safe, or the law asks it: no shop takes it off."""
    return check.kind == "ohms" or (check.rule is not None and check.rule.id.split(".")[0] in _STAYS)


def most_checks(kind: PhaseKind) -> int:
    """Return the most checks that any room gets of a phase."""
    return max(sum(_meets(check.applies, room) for check in kind.checks) for room in _rooms(kind))


_Room = Mapping[str, Any]


def _rooms(kind: PhaseKind) -> Iterator[_Room]:
    """Yield every room there is, as far as the conditions of a phase and its checks tell rooms apart."""
    conditions = (kind.applies, *(check.applies for check in kind.checks))
    flags = [name for name in FLAGS if any(getattr(each, name) is not None for each in conditions)]
    for place, old, *answers in product(get_args(Place), (True, False), *[(True, False)] * (3 + len(flags))):
        names = ("floor", "walls", "ceiling", *flags)
        room = {"place": place, "old": old, **dict(zip(names, answers, strict=True))}
        possible = not (room.get("large_offset") or room.get("panel")) or room.get("large_tile", True)
        if possible and _meets(kind.applies, room):
            yield room


def _meets(condition: Condition, room: _Room) -> bool:
    return (
        (not condition.places or room["place"] in condition.places)
        and (condition.surface is None or room[condition.surface])
        and (condition.built_before is None or room["old"])
        and all(getattr(condition, name) in (None, room.get(name)) for name in FLAGS)
    )


def _needs(kind: PhaseKind, room: _Room) -> bool:
    """Return whether a room has a check of this phase that it needs."""
    return any(check.required and _meets(check.applies, room) for check in kind.checks)
