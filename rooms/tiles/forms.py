"""Forms of the shop's tiles and of a room's."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from rooms.forms import PATTERNS, LengthFormField, UnitForm
from rooms.models import LONGEST_TEXT, Edge, Room, Surface, Tile
from rooms.queries import shop_tiles
from rooms.specifying import TileSheetForm
from rooms.tiles.keeping import Laid
from trade.lengths import Unit, parse_length

ROLES = [_("Floor mosaic"), _("Niche"), _("Liner"), _("Second wall tile")]
"""What a further tile of a room usually is for."""

AS_ROOM = ("", _("as the room"))


class ShopTileForm(TileSheetForm):
    """One of the shop's tiles: its measures, and what stands on its data sheet."""

    in_mm: ClassVar[Sequence[str]] = (*TileSheetForm.in_mm, "size_spread", "warp")

    width = LengthFormField(label=_("Width as it hangs"), help_text=_("Measured, not off the box."))
    height = LengthFormField(label=_("Height as it hangs"))
    thickness = LengthFormField(label=_("Thickness"))
    edge = forms.ChoiceField(label=_("Edge"), choices=Edge.choices, initial=Edge.CALIBRATED)
    per_box = forms.IntegerField(label=_("Pieces in a box"), required=False, min_value=1, max_value=100_000)
    finish = forms.CharField(label=_("Finish"), required=False, max_length=LONGEST_TEXT)
    size_spread = LengthFormField(label=_("Largest difference in size, mm"), required=False, least=0)
    warp = LengthFormField(label=_("Bow of the longest edge, mm"), required=False, least=0)
    directional = forms.BooleanField(
        label=_("The face has a direction"), required=False, help_text=_("Offcuts are never turned.")
    )

    measured: ClassVar[tuple[str, ...]] = (
        "name",
        "width",
        "height",
        "thickness",
        "edge",
        "per_box",
        "finish",
        "size_spread",
        "warp",
        "directional",
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, unit: Unit, tile: Tile | None = None) -> None:
        initial = {}
        if tile:
            initial = {name: getattr(tile, name) for name in self.base_fields if name != "directional"}
            initial["directional"] = tile.turns == [0]
        super().__init__(data, unit=unit, initial=initial)
        self.turns = tile.turns if tile else []

    def measures(self) -> list[forms.BoundField]:
        return [self[name] for name in self.measured]

    def sheet(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in self.measured]

    def values(self) -> dict[str, Any]:
        """What the form says, by the fields of `Tile`."""
        found = {name: value for name, value in self.cleaned_data.items() if name != "directional"}
        one_way = self.turns == [0]
        # A file may have said more of how a piece may be turned than a box that is ticked.
        turns = self.turns if one_way == self.cleaned_data["directional"] else [0] if not one_way else []
        return {**found, "turns": turns}


class RoomTileForm(UnitForm):
    """What a further tile of a room is for, which surfaces wear it, and how it is laid there."""

    name = forms.CharField(label=_("What it is for"), max_length=60, widget=forms.TextInput(attrs={"list": "roles"}))
    tile = forms.ModelChoiceField(
        label=_("Tile"),
        queryset=Tile.objects.none(),
        empty_label=_("choose …"),
        help_text=_("With the measures and the data sheet that the shop’s list has now."),
    )
    surfaces = forms.MultipleChoiceField(
        label=_("Goes on"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("The back and the sides of a niche are surfaces of the room: add them on its page."),
    )
    joint = LengthFormField(label=_("Joint"), required=False, help_text=_("Left empty, as the room."))
    pattern = forms.ChoiceField(label=_("Pattern"), choices=[AS_ROOM, *PATTERNS], required=False)

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, unit: Unit, room: Room, was: str = "", picked: str = ""
    ) -> None:
        self.wearing = {each.key: each for each in room.surfaces.all() if was and each.more.get("tile") == was}
        joint, joints_differ = _common([joint_of(each) for each in self.wearing.values()])
        raw, patterns_differ = _common([each.more.get("pattern") for each in self.wearing.values()])
        own = pattern_text(raw)
        initial = {"name": was, "tile": picked, "surfaces": list(self.wearing), "joint": joint, "pattern": own}
        super().__init__(data, unit=unit, initial=initial)
        if joints_differ:
            self.fields["joint"].help_text = _now("They differ: left empty, each surface keeps its own.")
        self._choices("surfaces", [(each.key, _surface_name(each, was)) for each in room.surfaces.all()])
        none = ("", _now("as each surface has it")) if patterns_differ else AS_ROOM
        self._choices("pattern", [none, *PATTERNS, *([(own, own)] if own and own not in dict(PATTERNS) else [])])
        tile = self.fields["tile"]
        tile.queryset = shop_tiles()  # type: ignore[attr-defined]
        if was:
            tile.required = False
            tile.empty_label = _("as it is")  # type: ignore[attr-defined]

    def laid(self) -> dict[str, Laid]:
        """How each surface that is to wear the tile is laid. What stands as it was shown stays as each has it."""
        joint, text = self.cleaned_data["joint"], self.cleaned_data["pattern"]
        found = {}
        for key in self.cleaned_data["surfaces"]:
            own = self.wearing.get(key)
            found[key] = Laid(
                joint=joint_of(own) if own and joint == self.initial["joint"] else joint,
                pattern=own.more.get("pattern") if own and text == self.initial["pattern"] else pattern_of(text),
            )
        return found

    def _choices(self, name: str, choices: Sequence[tuple[Any, Any]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]


def _common(values: Sequence[Any]) -> tuple[Any, bool]:
    """What all of the values are, None where they differ or there is none; and whether they differ."""
    differ = any(value != values[0] for value in values)
    return (values[0] if values and not differ else None), differ


def pattern_of(text: str) -> dict[str, Any] | None:
    """One of `PATTERNS` as a room file has it; None for an empty one."""
    kind, _space, angle = text.partition(" ")
    if "/" in kind:
        return {"kind": "offset", "share": kind}
    if angle:
        return {"kind": kind, "angle": int(angle)}
    return {"kind": kind} if kind else None


def pattern_text(raw: Mapping[str, Any] | None) -> str:
    """A pattern of a room file as `PATTERNS` has it; empty for none."""
    if raw is None:
        return ""
    if raw["kind"] == "offset":
        return str(raw["share"])
    return f"{raw['kind']} 0" if raw["kind"] == "herringbone" and raw.get("angle", 45) == 0 else str(raw["kind"])


def joint_of(surface: Surface) -> Decimal | None:
    """The joint that a surface has for itself, mm."""
    own = surface.more.get("joint")
    return None if own is None else parse_length(own, unit="mm")


def _surface_name(surface: Surface, was: str) -> str:
    other = surface.more.get("tile")
    if other is None or other == was:
        return str(surface)
    return _now("%(surface)s (wears %(tile)s)") % {"surface": surface, "tile": other}
