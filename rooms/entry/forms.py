"""The forms that a room's surfaces, openings and corners are measured into."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from rooms.forms import LengthFormField, UnitForm
from rooms.models import LONGEST_TEXT, SurfaceKind

FINISHES = [
    ("soft", _("soft joint")),
    ("profile", _("metal profile")),
    ("bullnose", _("bullnose")),
    ("miter", _("miter")),
    ("flange", _("flange of a tub or pan")),
    ("free", _("open, nothing there")),
]
"""How an edge ends, as a room file has it."""

MORE_MEASURES = ("middle", "top", "right_height", "lean_left", "lean_right", "rising", "falling")
"""What can be measured of a surface beside its width and height."""


class SurfaceForm(UnitForm):
    """One wall, floor or other plane. `fixed`: its outline came from a file and stays as it is; `walked`: it is typed
    leg by leg. `trimmed`: each of its edges has a finish to choose; else all of them have one together, but of a walked
    one. `follows`: a wall before it may say its height."""

    key = forms.CharField(required=False, max_length=LONGEST_TEXT, widget=forms.HiddenInput)
    walked = forms.CharField(required=False, max_length=1, widget=forms.HiddenInput)
    name = forms.CharField(label=_("Name"), max_length=LONGEST_TEXT, required=False)
    kind = forms.ChoiceField(label=_("Kind"), choices=SurfaceKind.choices)
    width = LengthFormField(label=_("Width"))
    height = LengthFormField(label=_("Height"))
    build_up = LengthFormField(
        label=_("Build-up"),
        required=False,
        least=0,
        help_text=_("From what was measured to the tile’s face: tile and mortar, and the board over bare framing."),
    )
    middle = LengthFormField(label=_("Width, middle"), required=False)
    top = LengthFormField(label=_("Width, top"), required=False)
    right_height = LengthFormField(label=_("Height, right end"), required=False)
    lean_left = LengthFormField(label=_("Left corner out of plumb"), required=False, above=None)
    lean_right = LengthFormField(label=_("Right corner out of plumb"), required=False, above=None)
    rising = LengthFormField(label=_("Diagonal, lower left to upper right"), required=False)
    falling = LengthFormField(label=_("Diagonal, upper left to lower right"), required=False)
    sure = forms.BooleanField(label=_("Measured twice: odd as it looks, it is so"), required=False)
    wet = forms.BooleanField(label=_("Gets wet"), required=False)
    focal = forms.BooleanField(label=_("Seen first"), required=False)
    edge_gap = LengthFormField(
        label=_("Gap at its edges"), required=False, least=0, help_text=_("Left empty, that of the room.")
    )
    left = forms.ChoiceField(label=_("Left edge"), choices=FINISHES)
    right = forms.ChoiceField(label=_("Right edge"), choices=FINISHES)
    top_edge = forms.ChoiceField(label=_("Top edge"), choices=FINISHES)
    bottom = forms.ChoiceField(label=_("Bottom edge"), choices=FINISHES)
    closing = forms.ChoiceField(label=_("Edge of the side that closes it"), choices=FINISHES, required=False)
    all_edges = forms.ChoiceField(
        label=_("All its edges"), choices=[("", _("each as it is")), *FINISHES], required=False
    )

    def __init__(
        self,
        *args: Any,
        fixed: bool = False,
        walked: bool = False,
        trimmed: bool = True,
        follows: bool = False,
        kind: str = "wall",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["height"].required = not follows
        gone = [*EDGE_FIELDS.values()] if fixed or walked or not trimmed else []
        if not walked or not trimmed:
            gone.append("closing")
        if walked or (trimmed and not fixed):
            gone.append("all_edges")
        if fixed or walked:
            gone += ["width", "height", "sure", *MORE_MEASURES]
        elif kind == SurfaceKind.FLOOR:
            self.fields["height"].label = _("Depth")
            self.fields["right_height"].label = _("Depth, right end")
            gone += ["lean_left", "lean_right"]
        for name in gone:
            del self.fields[name]


EDGE_FIELDS = {"left": "left", "right": "right", "top": "top_edge", "bottom": "bottom"}
"""The field of each side: `top` is a width."""

WAYS: dict[str, tuple[Any, tuple[int, int]]] = {
    "right": (_("to the right"), (1, 0)),
    "up": (_("up"), (0, 1)),
    "left": (_("to the left"), (-1, 0)),
    "down": (_("down"), (0, -1)),
    "right up": (_("to the right and up"), (1, 1)),
    "left up": (_("to the left and up"), (-1, 1)),
    "left down": (_("to the left and down"), (-1, -1)),
    "right down": (_("to the right and down"), (1, -1)),
}
"""The ways that a leg can go, each with its signs; the last four are straight and sloped."""


class LegForm(UnitForm):
    """One side of an outline that is walked round: so far one way; a sloped one so far across and so far up or down."""

    way = forms.ChoiceField(label=_("Go"), choices=[(key, label) for key, (label, _signs) in WAYS.items()])
    length = LengthFormField(label=_("How far"), required=False)
    also = LengthFormField(label=_("Up or down by"), required=False)
    finish = forms.ChoiceField(label=_("Its edge"), choices=FINISHES, required=False)

    def __init__(self, *args: Any, trimmed: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not trimmed:
            del self.fields["finish"]

    def clean(self) -> None:
        super().clean()
        sloped = " " in self.cleaned_data.get("way", "")
        length, also = self.cleaned_data.get("length"), self.cleaned_data.get("also")
        if self.errors or (length is None and also is None):
            return
        if length is None:
            self.add_error("length", _("Say how far."))
        if sloped and also is None:
            self.add_error("also", _("A sloped side needs how far up or down it goes, too."))
        if not sloped and also is not None:
            self.add_error("way", _("Choose a way that also goes up or down, or leave the second measure empty."))

    @property
    def step(self) -> tuple[Decimal, Decimal] | None:
        """How far to the right and up, of a valid form; None where nothing was typed."""
        typed = self.cleaned_data
        if typed["length"] is None:
            return None
        across, along = WAYS[typed["way"]][1]
        if " " in typed["way"]:
            return across * typed["length"], along * typed["also"]
        return across * typed["length"], along * typed["length"]


ROUND_KINDS = ("valve", "drain", "pipe")
"""Measured to their centers."""

BLOCKING = "blocking "
"""Before what is screwed on: no opening, but measured as one, to its center. A file has it apart."""

OPENING_KINDS = [
    ("opening", _("opening")),
    ("niche", _("niche")),
    ("window", _("window")),
    ("door", _("door")),
    ("fixture", _("fixture")),
    ("valve", _("valve, round")),
    ("drain", _("drain, round")),
    ("pipe", _("pipe, round")),
    ("blocking glass", _("blocking for glass")),
    ("blocking bar", _("blocking for a bar")),
    ("blocking seat", _("blocking for a seat")),
    ("blocking rail", _("blocking for a rail")),
    ("blocking shelf", _("blocking for a shelf")),
]

CORNERS = [
    ("lower left", _("the lower left corner")),
    ("lower right", _("the lower right corner")),
    ("upper left", _("the upper left corner")),
    ("upper right", _("the upper right corner")),
]


class OpeningForm(UnitForm):
    """A place without tile, by two measures from a corner of its surface to its near edges; round ones by two measures
    to their center and a diameter, blocking to its center."""

    key = forms.CharField(required=False, max_length=LONGEST_TEXT, widget=forms.HiddenInput)
    kind = forms.ChoiceField(label=_("Kind"))
    corner = forms.ChoiceField(label=_("Measured from"), choices=CORNERS)
    left = LengthFormField(label=_("Across from there"), least=0)
    bottom = LengthFormField(label=_("Up or down from there"), least=0)
    width = LengthFormField(label=_("Width, or diameter"), help_text=_("Not of blocking."))
    height = LengthFormField(label=_("Height"), required=False, help_text=_("Not of a round one, nor of blocking."))
    moves_x = LengthFormField(label=_("May move sideways, each way"), required=False)
    moves_y = LengthFormField(label=_("May move up and down, each way"), required=False)

    def __init__(self, *args: Any, fixed: bool = False, kind: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = OPENING_KINDS if not kind or kind in dict(OPENING_KINDS) else [*OPENING_KINDS, (kind, kind)]
        self.fields["kind"].choices = known  # type: ignore[attr-defined]
        self.fields["width"].required = not self.is_blocking
        if fixed:
            for name in ("corner", "left", "bottom", "width", "height"):
                del self.fields[name]

    def clean(self) -> None:
        super().clean()
        if "height" not in self.fields or "kind" in self.errors or self.is_blocking:
            return
        if "height" not in self.errors and self.cleaned_data["height"] is None and not self.is_round:
            self.add_error("height", _("Say how high it is."))

    @property
    def is_blocking(self) -> bool:
        return str(self["kind"].value() or "").startswith(BLOCKING)

    @property
    def is_round(self) -> bool:
        """Of a form that was cleaned: a kind that is round, and no height that makes it square."""
        return self.cleaned_data.get("kind") in ROUND_KINDS and self.cleaned_data.get("height") is None


class CornerForm(forms.Form):
    """An inside corner between two walls, counted from 0; which of them is set first, into the corner."""

    left = forms.ChoiceField(label=_("Wall on the left"))
    right = forms.ChoiceField(label=_("Wall on the right"))
    first = forms.ChoiceField(
        label=_("Set first"),
        choices=[
            ("left", _("the wall on the left")),
            ("right", _("the wall on the right")),
            ("joins", _("no build-up: both run to the corner")),
        ],
    )

    def __init__(self, *args: Any, walls: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("left", "right"):
            self.fields[name].choices = walls  # type: ignore[attr-defined]

    def clean(self) -> None:
        super().clean()
        left, right = self.cleaned_data.get("left"), self.cleaned_data.get("right")
        if left and left == right:
            self.add_error("right", _("A corner is between two walls."))
