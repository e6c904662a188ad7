"""What a careful setter would say of a room before starting: a few sentences, the gravest first, each with its rule."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from trade import sources
from trade.lippage import judge_forecast
from trade.movement import Exposure, farthest_mm
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR, judge_joint, judge_offset
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.specification import Specification
from trade.structure import judge_deflection
from trade.verdicts import Verdict

Concern = Literal["danger", "water", "lasting", "looks"]
"""Who or what suffers: people; the house, by water; work that can't be undone; the eye."""

MOST_SAID = 8
"""More is not read: common practice, no source."""

_ORDER: tuple[Concern, ...] = ("danger", "water", "lasting", "looks")


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What may be known of a room beyond its specification; None or False where nobody knows or it isn't so.

    Lengths in mm; `longest_run_mm` is the longest side of the floor without a soft joint; `span_mm` and
    `deflection_mm` are the floor's, as `trade.structure` screens it.
    """

    size_spread_mm: Decimal | None = None
    warp_measured: bool = False
    longest_run_mm: Decimal | None = None
    exposure: Exposure = "interior"
    span_mm: Decimal | None = None
    deflection_mm: Decimal | None = None
    freezes: bool = False
    steam: bool = False
    membrane: bool = False
    retarder_behind: bool = False
    heated: bool = False
    panels: bool = False
    mosaic: bool = False
    grazing_light: bool = False


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
    return tuple(ranked[: max(most, dangers)])


def _failed(each: WatchFor) -> bool:
    return each.verdict is not None and each.verdict.outcome == "fails"


def _all(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[WatchFor]:
    yield from _dangers(spec, known, limits)
    yield from _water(spec, known)
    yield from _lasting(spec, known, limits)
    yield from _looks(spec, known, limits)


def _say(concern: Concern, *rules: Rule) -> Iterator[WatchFor]:
    for rule in rules:
        yield WatchFor(concern=concern, rule=rule)


def _judged(concern: Concern, verdict: Verdict) -> Iterator[WatchFor]:
    """Yield a verdict that is worth a sentence: one that holds isn't."""
    if verdict.outcome != "holds":
        yield WatchFor(concern=concern, rule=verdict.rule, verdict=verdict)


def _dangers(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[WatchFor]:
    if spec.demolition and (spec.year_built is None or spec.year_built < ASBESTOS_YEAR):
        yield from _say("danger", sources.ASBESTOS)
    if spec.demolition and (spec.year_built is None or spec.year_built < LEAD_YEAR):
        yield from _say("danger", sources.LEAD)
    if spec.demolition or known.heated:
        yield from _say("danger", sources.WIRING)
    if known.span_mm is not None and spec.has_floor:
        verdict = judge_deflection(
            span_mm=known.span_mm, deflection_mm=known.deflection_mm, stone=spec.stone, limits=limits
        )
        yield from _judged("danger", verdict)
    yield from _say("danger", sources.SILICA)


def _water(spec: Specification, known: Known) -> Iterator[WatchFor]:
    if known.membrane and known.retarder_behind:
        yield from _say("water", sources.DOUBLE_BARRIER)
    if known.steam:
        yield from _say("water", sources.STEAM_MEMBRANE, sources.STEAM_CEILING)
    if spec.place in ("shower", "wet_floor"):
        yield from _say("water", sources.WATER_TEST_PRACTICE)
        if spec.has_floor:
            yield from _say("water", sources.SHOWER_SLOPE)
    if spec.place == "shower":
        yield from _say("water", sources.FLATS_SLOPE)
    if spec.place == "tub_surround":
        yield from _say("water", sources.TUB_FLANGE)
    if spec.place == "exterior":
        yield from _say("water", sources.EXTERIOR_SLOPE)


def _lasting(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[WatchFor]:
    if known.freezes:
        yield from _say("lasting", sources.FROST)
    if known.heated:
        yield from _say("lasting", sources.HEATED_READINGS, sources.HEATED_JOINTS)
    if known.panels:
        yield from _say("lasting", sources.PANELS)
    if spec.stone:
        yield from _say("lasting", sources.STONE_CARE)
    exposure: Exposure = "exterior" if spec.place == "exterior" else known.exposure
    if known.longest_run_mm is not None and known.longest_run_mm > farthest_mm(exposure, limits=limits)[0]:
        yield from _say("lasting", sources.MOVEMENT_JOINTS)
    yield from _say("lasting", sources.MOVEMENT_PERIMETER if spec.has_floor else sources.MOVEMENT_PLANES)


def _looks(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[WatchFor]:
    warp = spec.warp_mm if known.warp_measured else None
    yield from _judged(
        "looks", judge_offset(share=spec.pattern_offset, side_mm=spec.tile_longest_edge_mm, limits=limits)
    )
    yield from _judged(
        "looks",
        judge_joint(
            joint_mm=spec.joint_mm,
            tile_longest_edge_mm=spec.tile_longest_edge_mm,
            size_spread_mm=known.size_spread_mm,
            warp_mm=warp,
            offset=spec.pattern_offset > 0,
            rectified=spec.rectified,
            limits=limits,
        ),
    )
    if spec.pattern_offset > 0:
        yield from _judged(
            "looks",
            judge_forecast(
                warp_mm=warp, share=spec.pattern_offset, joint_mm=spec.joint_mm, stone=spec.stone, limits=limits
            ),
        )
    if known.grazing_light:
        yield from _say("looks", sources.CRITICAL_LIGHT)
    if known.mosaic:
        yield from _say("looks", sources.MOSAIC)
    if spec.large_tile:
        yield from _say("looks", sources.FLATNESS_LARGE)
