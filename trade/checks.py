"""What a check and a phase are.  The catalogue of them stands in `trade/catalogue/`.

Kinds of check: `tick` (seen and right), `reading` (one measured value), `readings` (several), `coverage` (percent of
lifted tiles), `wait` (hours), `photo`, `ohms` (a heating cable's tag and what was
read, judged by how many percent of the tag they are apart), `inspection` (somebody outside the shop passed it).
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from trade.limits import Limit
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.specification import ALWAYS, Condition, Specification

Kind = Literal["tick", "reading", "readings", "coverage", "wait", "photo", "ohms", "inspection"]
CheckUnit = Literal["mm", "percent", "share", "hours", "ohms"]
"""A slope or a coverage is in `percent`, what is a part of something in `share`, percent as well."""

Apart = Literal["wall", "face"]
"""What a check is proved on apart: each wall, or each face, which is a wall, floor or ceiling."""

MOST_CHECKS = 12
"""More on a phone with gloves on are ticked unread: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of one room's phase.  `text` asks, `help` says what to do when it fails, both English for translation.

    `limit` and `unit` stand for what is measured only; lengths are kept in mm, slopes in percent. A check that isn't
    `required` may be left open where it has no object (no slab, no liner). `apart`: it holds when it holds on each of
    these surfaces; None: it is the room's, once.

    What passes counts only in its turn. `after`: keys of checks of the same phase that come first, a wait among them
    until it is over. `restarts`: keys of checks of the same phase that begin anew when this one fails. A wait begins
    once the phase before its own is signed.
    """

    key: str
    text: str
    kind: Kind
    required: bool
    help: str
    rule: Rule
    limit: Limit | None = None
    unit: CheckUnit | None = None
    apart: Apart | None = None
    after: tuple[str, ...] = ()
    restarts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One phase of one room, its checks in working order."""

    key: str
    name: str
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckKind:
    """A check before a room is known.  A limit that depends on the room comes from `measure`, which returns it with the
    rule that set it, by the shop's limits; else `rule` stands."""

    key: str
    text: str
    kind: Kind
    help: str
    rule: Rule | None = None
    measure: Callable[[Specification, ShopLimits], tuple[Limit, Rule]] | None = None
    unit: CheckUnit | None = None
    required: bool = True
    applies: Condition = ALWAYS
    apart: Apart | None = None
    after: tuple[str, ...] = ()
    restarts: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if (self.measure is not None) != (self.unit is not None):
            raise ValueError(f"{self.key}: a limit and its unit belong together")

    def of(self, spec: Specification, *, limits: ShopLimits = DEFAULTS) -> Check:
        """Return this check for one room."""
        limit, rule = self._judged_by(spec, limits)
        return Check(
            key=self.key,
            text=self.text,
            kind=self.kind,
            required=self.required,
            help=self.help,
            rule=rule,
            limit=limit,
            unit=self.unit,
            apart=self.apart,
            after=self.after,
            restarts=self.restarts,
        )

    def _judged_by(self, spec: Specification, limits: ShopLimits) -> tuple[Limit | None, Rule]:
        if self.measure is not None:
            return self.measure(spec, limits)
        if self.rule is None:
            raise ValueError(f"{self.key}: a check has a rule, or a measure that finds one")
        return None, self.rule


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseKind:
    """A phase before a room is known.  `beside`: how many checks it gets at least that no catalogue knows."""

    key: str
    name: str
    applies: Condition
    checks: tuple[CheckKind, ...]
    beside: int = 0

    def of(self, spec: Specification, *, limits: ShopLimits = DEFAULTS) -> Phase:
        """Return this phase with the checks that one room calls for."""
        return Phase(
            key=self.key,
            name=self.name,
            checks=tuple(check.of(spec, limits=limits) for check in self.checks if check.applies.applies(spec)),
        )
