"""Five tiles out of the box: the form that they are typed into, what it says, and the rows it is kept in."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rooms.forms import LengthFormField, exact_text
from rooms.models import BoxReading, Room, Tile
from rooms.specification import as_laid
from rooms.tiles.worn import named_tile, room_tile
from trade.lengths import Unit, parse_length
from trade.limits import Outcome
from trade.lippage import Way, ways
from trade.sample import ENOUGH, About, Piece, Sample, judge_sample
from trade.shop_limits import ShopLimits

SIDES = ("width", "height", "bow")

# A side that is so much longer or shorter than the tile's is a slip of finger or unit: no figure of the trade.
_SLIP = Decimal("0.1")

_ABOUT: Mapping[About, Any] = {
    "width": gettext_lazy("Width"),
    "height": gettext_lazy("Height"),
    "bow": gettext_lazy("Bow"),
    "joint": gettext_lazy("Joint"),
    "offset": gettext_lazy("Offset"),
    "lippage": gettext_lazy("Lippage"),
}


class BoxForm(forms.Form):
    """Width, height and bow of up to five tiles; bare numbers of sides in `typed_in`, of bows in mm.

    `address`: the page's own. `strict`: somebody keeps it, so a tile that is half typed is an error; else it isn't
    there yet.
    """

    typed_in = forms.ChoiceField(
        label=gettext_lazy("Sides are typed in"),
        choices=[("mm", gettext_lazy("millimeters, as calipers read")), ("in", gettext_lazy("inches and fractions"))],
    )

    def __init__(
        self, data: Mapping[str, Any] | None = None, *, tile: Tile, unit: Unit, address: str, strict: bool = False
    ) -> None:
        super().__init__(data, initial={"typed_in": "mm"})
        # Fields for inches have another keyboard: the form comes back with them, and with what was typed.
        form = {"hx-target": "#entry", "hx-select": "#entry", "hx-swap": "outerHTML settle:0"}
        sides = "[name^=width], [name^=height]"
        self.fields["typed_in"].widget.attrs |= {
            "hx-post": address,
            "hx-trigger": "change",
            "data-unit-of": sides,
            **form,
        }
        self.tile, self.shown_in, self.strict = tile, unit, strict
        typed_in: Unit = "in" if self["typed_in"].value() == "in" else "mm"
        for number in range(ENOUGH):
            for side in SIDES:
                # Only a phone's pad for numbers has no fractions and no minus.
                mode = "decimal" if typed_in == "mm" and side != "bow" else "text"
                unit_of_side: Unit = "mm" if side == "bow" else typed_in
                field = LengthFormField(
                    label=_name(side, number),
                    required=False,
                    unit=unit_of_side,
                    above=None if side == "bow" else 0,
                )
                field.widget.attrs["inputmode"] = mode
                field.mm_only = side == "bow"
                self.fields[f"{side}-{number}"] = field

    @property
    def rows(self) -> Iterator[tuple[int, list[forms.BoundField]]]:
        """Each tile's number with its three fields."""
        for number in range(ENOUGH):
            yield number + 1, [self[f"{side}-{number}"] for side in SIDES]

    def clean(self) -> None:
        super().clean()
        for number in range(ENOUGH):
            width, height, bow = (self.cleaned_data.get(f"{side}-{number}") for side in SIDES)
            for side, value in (("width", width), ("height", height)):
                self._refuse_slip(f"{side}-{number}", value, getattr(self.tile, side))
                begun = width is not None or height is not None or bow is not None
                if self.strict and begun and value is None and f"{side}-{number}" not in self.errors:
                    self.add_error(f"{side}-{number}", _("Both sides of a tile count: enter this one too."))
        if self.strict and not self.errors and not self.pieces:
            self.add_error("width-0", _("Measure at least one tile, width and height."))

    @property
    def pieces(self) -> list[Piece]:
        """The tiles whose sides can both be read."""
        read = [[self.cleaned_data.get(f"{side}-{number}") for side in SIDES] for number in range(ENOUGH)]
        return [
            Piece(width_mm=width, height_mm=height, bow_mm=bow)
            for width, height, bow in read
            if width is not None and height is not None
        ]

    def _refuse_slip(self, name: str, value: Decimal | None, expected: Decimal) -> None:
        if value is None or abs(value - expected) <= _SLIP * expected:
            return
        words = {"size": exact_text(expected, unit=self.shown_in)}
        self.add_error(
            name, _("The tile is %(size)s here. Look at the number and its unit, and how the tile hangs.") % words
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One verdict in words: what it is about, and its source."""

    about: str
    outcome: Outcome
    text: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What a sample says for a room: its figures, verdicts, and what another joint or offset would change."""

    sample: Sample
    verdicts: Sequence[Told]
    ways: Sequence[Way]
    joint_mm: Decimal

    @property
    def missing(self) -> int:
        return max(ENOUGH - len(self.sample.pieces), 0)


def tile_in(room: Room, name: str) -> Tile:
    """The room's tile of that name, its own for an empty one. KeyError where there is none."""
    return named_tile(room, name) if name else room_tile(room)


def advise(pieces: Sequence[Piece], *, room: Room, name: str, unit: Unit, limits: ShopLimits) -> Advice | None:
    """What the tiles say of the room's tile `name` as it is to be laid there; None without any."""
    if not pieces:
        return None
    tile = tile_in(room, name)
    sample = Sample(pieces=pieces, edge=tile.edge, stone=tile.stone)
    wearing = [each for each in room.surfaces.all() if each.more.get("tile", "") == name]
    joint, share = as_laid(room, wearing)
    found = judge_sample(sample, joint_mm=joint, share=share, limits=limits)
    return Advice(
        sample=sample,
        verdicts=[
            Told(
                about=str(_ABOUT[about]),
                outcome=each.outcome,
                text=each.say(unit=unit, translate=_),
                source=each.rule.cited,
            )
            for about, each in found
        ],
        ways=ways(
            warp_mm=sample.warp_mm,
            longest_mm=sample.longest_mm,
            spread_mm=sample.spread_mm,
            rectified=sample.rectified,
            stone=sample.stone,
            joint_mm=joint,
            share=share,
            limits=limits,
        ),
        joint_mm=joint,
    )


def named(found: Sequence[Way]) -> list[tuple[str, Way]]:
    """Each way with its offset in words."""
    names = {Fraction(0): _("in a stack"), Fraction(1, 3): _("offset by a third"), Fraction(1, 2): _("offset by half")}
    return [(names.get(way.share) or _("offset by %(share)s") % {"share": way.share}, way) for way in found]


def pieces_to_json(pieces: Sequence[Piece]) -> list[dict[str, str]]:
    """Pieces as `BoxReading` keeps them."""
    return [
        {
            side: f"{value.normalize():f} mm"
            for side, value in zip(SIDES, (piece.width_mm, piece.height_mm, piece.bow_mm), strict=True)
            if value is not None
        }
        for piece in pieces
    ]


def sample_of(reading: BoxReading) -> Sample:
    """The figures of a kept reading."""
    read = [{side: parse_length(text, unit="mm") for side, text in each.items()} for each in reading.pieces]
    pieces = [Piece(width_mm=each["width"], height_mm=each["height"], bow_mm=each.get("bow")) for each in read]
    return Sample(pieces=pieces, edge="natural")


def _name(side: str, number: int) -> str:
    words = {"number": number + 1}
    names = {
        "width": _("Tile %(number)s, width"),
        "height": _("Tile %(number)s, height"),
        "bow": _("Tile %(number)s, bow in mm"),
    }
    return names[side] % words
