"""A bed of mortar as it is printed: heights around the rim, layers, thickness on a grid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from layout.room import Point
from layout.survey.words import mm, volume_text, weight_text
from trade.lengths import Unit, format_length
from trade.limits import Outcome

Json = dict[str, Any]

WayName = Literal["constant-slope", "level-perimeter"]
LayerName = Literal["pre-slope", "bed"]
MarkKind = Literal["corner", "nearest", "along"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on the rim: on which wall, how far from that wall's first corner, the run to the drain, the height above
    the drain's rim and the thickness of the layer that carries the slope, mm."""

    unit: Unit
    wall: int
    kind: MarkKind
    at: Point
    from_corner: float
    run: float
    height: float
    thickness: float

    def to_json(self) -> Json:
        return {
            "wall": self.wall,
            "kind": self.kind,
            "at": list(self.at),
            "from_corner_mm": self.from_corner,
            "from_corner_text": format_length(self.from_corner, unit=self.unit),
            "run_mm": self.run,
            "run_text": format_length(self.run, unit=self.unit),
            "height_mm": self.height,
            "height_text": format_length(self.height, unit=self.unit),
            "slope_percent": round(self.height / self.run * 100, 4) if self.run else None,
            "thickness_mm": self.thickness,
            "thickness_text": format_length(self.thickness, unit=self.unit),
        }


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of mortar. `bags` only where it is known what a bag makes."""

    unit: Unit
    name: LayerName
    least: float
    greatest: float
    volume_l: float
    weight_kg: float
    bags: int | None

    def to_json(self) -> Json:
        return {
            "layer": self.name,
            "least_mm": self.least,
            "least_text": format_length(self.least, unit=self.unit),
            "greatest_mm": self.greatest,
            "greatest_text": format_length(self.greatest, unit=self.unit),
            "volume_l": self.volume_l,
            "volume_text": volume_text(self.volume_l, self.unit),
            "weight_kg": self.weight_kg,
            "weight_text": weight_text(self.weight_kg, self.unit),
            **({} if self.bags is None else {"bags": self.bags}),
        }


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the floor: height of the surface above the drain's rim, and thickness of the layer with the slope."""

    unit: Unit
    at: Point
    height: float
    thickness: float

    def to_json(self) -> Json:
        return {
            "at": list(self.at),
            "height_mm": self.height,
            "height_text": format_length(self.height, unit=self.unit),
            "thickness_mm": self.thickness,
            "text": format_length(self.thickness, unit=self.unit),
        }


@dataclass(frozen=True, slots=True)
class Way:
    """A way to slope the floor, judged: one slope everywhere, or one height all around."""

    unit: Unit
    name: WayName
    text: str
    verdict: Outcome
    rule: str
    source: str
    figures: Mapping[str, float]
    perimeter: tuple[Mark, ...]
    layers: tuple[Layer, ...]
    grid: tuple[Spot, ...]

    @property
    def volume_l(self) -> float:
        return mm(sum(layer.volume_l for layer in self.layers))

    @property
    def weight_kg(self) -> float:
        return round(sum(layer.weight_kg for layer in self.layers), 3)

    def to_json(self) -> Json:
        return {
            "way": self.name,
            "text": self.text,
            "verdict": self.verdict,
            "rule": self.rule,
            "source": self.source,
            "figures": dict(self.figures),
            "perimeter": [each.to_json() for each in self.perimeter],
            "layers": [each.to_json() for each in self.layers],
            "volume_l": self.volume_l,
            "volume_text": volume_text(self.volume_l, self.unit),
            "weight_kg": self.weight_kg,
            "weight_text": weight_text(self.weight_kg, self.unit),
            "grid": [each.to_json() for each in self.grid],
        }


@dataclass(frozen=True, slots=True)
class Bed:
    """`area_m2`: the floor around the drain. `weight_source`: whence the mortar's density."""

    area_m2: float
    weight_source: str
    ways: tuple[Way, ...]

    def to_json(self) -> Json:
        return {
            "area_m2": self.area_m2,
            "weight_source": self.weight_source,
            "ways": [way.to_json() for way in self.ways],
        }
