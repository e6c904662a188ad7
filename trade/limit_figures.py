"""One limit that a shop may set: what it says, where it comes from, and how far it may reasonably go."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal

from trade.sources import Rule
from trade.words import gettext_noop

FigureUnit = Literal["length", "percent", "slope", "hours", "times", "part", "coefficient", "kg_m2", "lbf"]
"""`length` in mm; `slope` percent, read off a level in inches per foot; `part`: the span divided by so much."""

Beside = Literal["the same", "looser", "stricter"]

FLATNESS = gettext_noop("Flatness")
JOINTS = gettext_noop("Joints and pattern")
SETTING = gettext_noop("Setting")
WATER = gettext_noop("Water")
WAITS = gettext_noop("Waits")
MOVEMENT = gettext_noop("Soft joints in the field")
FLOORS = gettext_noop("Floors that bend")
SLIP = gettext_noop("Slip")
TILE = gettext_noop("Tile in the box")
WALLS = gettext_noop("Weight on walls: tile, mortar and grout")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One limit before a shop sets it. `label` and `group` are English for translation.

    `looser` says on which side of the default more is let pass. Outside `lowest` … `highest` it is a slip of the finger
    (our own bounds, no source). `asked`: a check or a finding judges by it today; else only the rule's function does.
    """

    key: str
    group: str
    label: str
    unit: FigureUnit
    default: Decimal
    rule: Rule
    lowest: Decimal
    highest: Decimal
    looser: Literal["above", "below"]
    asked: bool

    def beside(self, value: Decimal) -> Beside:
        """Return how `value` stands to the source's figure."""
        if value == self.default:
            return "the same"
        return "looser" if (value > self.default) == (self.looser == "above") else "stricter"


def most(*about: Any, **more: Any) -> Any:
    """Declare a limit that nothing may pass: a higher one lets more pass.  Takes what `_figure` takes."""
    return _figure("above", *about, **more)


def least(*about: Any, **more: Any) -> Any:
    """Declare a limit that all must reach: a lower one lets more pass.  Takes what `_figure` takes."""
    return _figure("below", *about, **more)


def _figure(
    looser: Literal["above", "below"],
    default: Decimal | int | str,
    label: str,
    rule: Rule,
    group: str,
    within: tuple[Decimal | int | str, Decimal | int | str],
    *,
    unit: FigureUnit = "length",
    asked: bool = True,
) -> Any:
    lowest, highest = map(Decimal, within)
    about = {"group": group, "label": label, "unit": unit, "rule": rule, "looser": looser, "asked": asked}
    return field(default=Decimal(default), metadata=about | {"lowest": lowest, "highest": highest})
