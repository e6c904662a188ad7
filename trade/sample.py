"""Tiles measured out of the box: how far they differ and bow, and what joint and offset follow.  Decimal mm."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from trade.lippage import judge_forecast
from trade.rules import judge_joint, judge_offset
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.tile_limits import judge_caliber, judge_warp
from trade.verdicts import Verdict

ENOUGH = 5
"""Tiles before a sample can pass: fewer show too small a spread, and the joint comes out too narrow. Common practice,
no source; what fails already, fails with fewer."""

_SIX_PLACES = Decimal("0.000001")

About = Literal["width", "height", "bow", "joint", "offset", "lippage"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One tile as it was measured, as it hangs. `bow_mm`: of its longest edge, + convex, - concave (ASTM C485)."""

    width_mm: Decimal
    height_mm: Decimal
    bow_mm: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """Some tiles of one kind; ValueError without any. `edge`: natural, calibrated or rectified."""

    pieces: Sequence[Piece]
    edge: str
    stone: bool = False

    def __post_init__(self) -> None:
        if not self.pieces:
            raise ValueError("a sample has at least one tile")

    @property
    def enough(self) -> bool:
        return len(self.pieces) >= ENOUGH

    @property
    def rectified(self) -> bool:
        return self.edge == "rectified"

    @property
    def width_mm(self) -> Decimal:
        """The mean width, to six places."""
        return _mean([piece.width_mm for piece in self.pieces])

    @property
    def height_mm(self) -> Decimal:
        """The mean height, to six places."""
        return _mean([piece.height_mm for piece in self.pieces])

    @property
    def longest_mm(self) -> Decimal:
        return max(self.width_mm, self.height_mm)

    @property
    def spread_mm(self) -> Decimal | None:
        """The actual variation in facing size, over widths or heights, whichever is more; None of a single tile."""
        if len(self.pieces) < 2:
            return None
        sides = ([piece.width_mm for piece in self.pieces], [piece.height_mm for piece in self.pieces])
        return max(max(side) - min(side) for side in sides)

    @property
    def warp_mm(self) -> Decimal | None:
        """The greatest bow, whichever way; None where nobody measured one."""
        return max((abs(piece.bow_mm) for piece in self.pieces if piece.bow_mm is not None), default=None)

    @property
    def bows_are_enough(self) -> bool:
        return sum(piece.bow_mm is not None for piece in self.pieces) >= ENOUGH


def judge_sample(
    sample: Sample, *, joint_mm: Decimal, share: Fraction | Decimal, limits: ShopLimits = DEFAULTS
) -> tuple[tuple[About, Verdict], ...]:
    """Return what the tiles say of their own class, and of the joint and offset that they are to have.

    `share`: of the offset; 0 where courses line up. Caliber is judged of rectified tile only, and neither size nor bow
    of stone: for the others the sources give no limit. Until there are enough tiles, bow, joint and lippage are only
    told where they fail already.
    """
    found: list[tuple[About, Verdict]] = []
    warp = sample.warp_mm
    if sample.rectified and not sample.stone:
        widths, heights = ([getattr(piece, side) for piece in sample.pieces] for side in ("width_mm", "height_mm"))
        found.append(("width", judge_caliber(sides_mm=widths, limits=limits)))
        found.append(("height", judge_caliber(sides_mm=heights, limits=limits)))
    if warp is not None and not sample.stone:
        bow = judge_warp(deviation_mm=warp, length_mm=sample.longest_mm, rectified=sample.rectified, limits=limits)
        found += _so_far("bow", bow, enough=sample.bows_are_enough)
    joint = judge_joint(
        joint_mm=joint_mm,
        tile_longest_edge_mm=sample.longest_mm,
        size_spread_mm=sample.spread_mm,
        warp_mm=warp,
        offset=share > 0,
        rectified=sample.rectified,
        limits=limits,
    )
    found += _so_far("joint", joint, enough=sample.enough)
    if share > 0:
        found.append(("offset", judge_offset(share=share, side_mm=sample.longest_mm, limits=limits)))
        forecast = judge_forecast(warp_mm=warp, share=share, joint_mm=joint_mm, stone=sample.stone, limits=limits)
        found += _so_far("lippage", forecast, enough=sample.bows_are_enough)
    return tuple(found)


def _so_far(about: About, verdict: Verdict, *, enough: bool) -> list[tuple[About, Verdict]]:
    return [(about, verdict)] if enough or verdict.outcome == "fails" else []


def _mean(values: Sequence[Decimal]) -> Decimal:
    return (sum(values, Decimal(0)) / len(values)).quantize(_SIX_PLACES)
