"""What a careful setter would say of a room before starting: a few sentences, the gravest first, each with its rule."""

from collections.abc import Iterator
from dataclasses import dataclass

from trade import sources
from trade.rules import ASBESTOS_YEAR, DRY_PLACES, LEAD_YEAR
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.specification import UNDER_TILE, Specification
from trade.suiting import Concern, Known, suits
from trade.verdicts import Verdict

__all__ = ["MOST_SAID", "Concern", "Known", "WatchFor", "watch_for"]

MOST_SAID = 8
"""More is not read: common practice, no source."""

_ORDER: tuple[Concern, ...] = ("danger", "water", "lasting", "looks")


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchFor:
    """One thing to watch for.  `verdict` stands where figures decided it; its text then says more than the rule's."""

    concern: Concern
    rule: Rule
    verdict: Verdict | None = None

    @property
    def text(self) -> str:
        """What to say, in English; for another language or unit, use `verdict.say` or translate `rule.text`."""
        return self.verdict.text if self.verdict else self.rule.text


def watch_for(
    spec: Specification, known: Known | None = None, *, most: int = MOST_SAID, limits: ShopLimits = DEFAULTS
) -> tuple[WatchFor, ...]:
    """Return what to watch for in a room by the shop's `limits`, `most` at most, no rule twice: dangers to people, what
    fails by this room's figures, then cautions.

    Dangers to people are never cut off: where there are more than `most`, all of them stand.
    """
    found: dict[str, WatchFor] = {}
    for each in _all(spec, known or Known(), limits):
        found.setdefault(each.rule.id, each)
    # After the dangers comes what is wrong by this room's own figures, then the general cautions.
    ranked = sorted(
        found.values(), key=lambda each: (each.concern != "danger", not _failed(each), _ORDER.index(each.concern))
    )
    dangers = sum(each.concern == "danger" for each in ranked)
    kept = ranked[: max(most, dangers)]
    water = [each for each in ranked if each.concern == "water"]
    if water and water[0] not in kept and len(kept) > dangers:
        # A wet room never goes without a word on water.
        kept[-1] = water[0]
    return tuple(kept)


def _failed(each: WatchFor) -> bool:
    return each.verdict is not None and each.verdict.outcome == "fails"


def _all(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[WatchFor]:
    yield from _say("danger", *_dangers(spec))
    for concern, verdict in suits(spec, known, limits=limits):
        if _worth_saying(verdict, spec):
            # What nobody has looked up yet is no danger seen; a floor whose joists nobody knows may be one.
            unknown = verdict.outcome == "can't tell" and verdict.rule.id != sources.DEFLECTION.id
            yield WatchFor(
                concern="lasting" if unknown and concern == "danger" else concern, rule=verdict.rule, verdict=verdict
            )
    yield from _say("danger", sources.SILICA)
    yield from _say("water", *_water(spec))
    yield from _say("lasting", *_lasting(spec))
    yield from _say("looks", *_looks(spec))


def _worth_saying(verdict: Verdict, spec: Specification) -> bool:
    """Say what is wrong, and what ought to be found out; nobody asks how slippery a floor is that stays dry."""
    if verdict.outcome == "can't tell" and spec.place == "dry_floor":
        return verdict.rule.id != sources.SLIP_WET.id
    return verdict.outcome != "holds"


def _say(concern: Concern, *rules: Rule) -> Iterator[WatchFor]:
    for rule in rules:
        yield WatchFor(concern=concern, rule=rule)


def _dangers(spec: Specification) -> Iterator[Rule]:
    if spec.demolition and (spec.year_built is None or spec.year_built < ASBESTOS_YEAR):
        yield sources.ASBESTOS
    if spec.demolition and (spec.year_built is None or spec.year_built < LEAD_YEAR):
        yield sources.LEAD
    if spec.demolition or spec.heated:
        yield sources.WIRING


def _water(spec: Specification) -> Iterator[Rule]:
    if spec.substrate.startswith("gypsum") and spec.place not in DRY_PLACES:
        yield sources.GYPSUM_DRY
    if spec.membrane in UNDER_TILE and spec.retarder_behind:
        yield sources.DOUBLE_BARRIER
    if spec.steam:
        yield from (sources.STEAM_MEMBRANE, sources.STEAM_CEILING)
    if spec.under_water:
        yield sources.UNDER_WATER
    if spec.place in ("shower", "wet_floor"):
        yield sources.WATER_TEST_PRACTICE
        if spec.has_floor:
            yield sources.SHOWER_SLOPE
    if spec.place == "shower":
        yield sources.FLATS_SLOPE
    if spec.place == "tub_surround":
        yield sources.TUB_FLANGE
    if spec.place == "exterior":
        yield sources.EXTERIOR_SLOPE


def _lasting(spec: Specification) -> Iterator[Rule]:
    if spec.freezes:
        yield sources.FROST
    if spec.heated:
        yield from (sources.HEATED_READINGS, sources.HEATED_JOINTS)
    if spec.panel:
        yield sources.PANELS
    if spec.stone:
        yield sources.STONE_CARE
    yield sources.MOVEMENT_PERIMETER if spec.has_floor else sources.MOVEMENT_PLANES


def _looks(spec: Specification) -> Iterator[Rule]:
    if spec.grazing_light:
        yield sources.CRITICAL_LIGHT
    if spec.mosaic:
        yield sources.MOSAIC
    if spec.glass:
        yield sources.MORTAR_WHITE
    if spec.large_tile:
        yield sources.FLATNESS_LARGE
