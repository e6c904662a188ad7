"""Rooms as measured, the tile that goes on them, and the layouts that were chosen.

Lengths are millimetres. Where a room file (FORMATS) has a key that needs no column of its own, it is kept in the
JSON field of that name with its lengths as strings of millimetres ("3.175 mm").
"""

from typing import ClassVar

import pghistory
import pgtrigger
from django.contrib.postgres.fields import ArrayField
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from base.models import LengthField, Row, append_only
from documents.models import Document
from jobs.models import Job
from shop.models import Staff

LONGEST_TEXT = 200
"""What a room file may say in one text (layout.values.LONGEST_TEXT), so that nothing of it is lost."""


class Edge(models.TextChoices):
    NATURAL = "natural", _("natural, as made")
    CALIBRATED = "calibrated", _("calibrated")
    RECTIFIED = "rectified", _("rectified")


@pghistory.track()
class Tile(Row):
    """A tile by its measured size, as it hangs. No maker: the shop gives it a name of its own."""

    name = models.CharField(_("name"), max_length=120)
    width = LengthField(_("width"))
    height = LengthField(_("height"))
    # Only a room file may leave it out; grout can't be taken off without it.
    thickness = LengthField(_("thickness"), null=True, blank=True)
    edge = models.CharField(_("edge"), max_length=12, choices=Edge, default=Edge.CALIBRATED)
    size_spread = LengthField(_("largest difference in size"), null=True, blank=True)
    warp = LengthField(_("bow of the longest edge"), null=True, blank=True)
    turns = ArrayField(models.PositiveSmallIntegerField(), default=list, blank=True)
    per_box = models.PositiveIntegerField(
        _("pieces in a box"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    finish = models.CharField(_("finish"), max_length=LONGEST_TEXT, blank=True)
    stone = models.BooleanField(_("natural stone"), default=False)
    # Off its data sheet, or off the scale; None where nobody has looked.
    absorption = models.DecimalField(_("water it takes up, %"), max_digits=5, decimal_places=2, null=True, blank=True)
    friction = models.DecimalField(_("wet friction"), max_digits=4, decimal_places=3, null=True, blank=True)
    friction_declared = models.BooleanField(_("declared fit for the place by its maker"), null=True, blank=True)
    breaking_lbf = models.DecimalField(
        _("breaking strength, lbf"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    weight_kg = models.DecimalField(_("weight of one piece"), max_digits=8, decimal_places=3, null=True, blank=True)
    ribs = LengthField(_("depth of the ribs on its back"), null=True, blank=True)
    glass = models.BooleanField(_("glass"), default=False)
    mosaic = models.BooleanField(_("mosaic on sheets"), default=False)
    moisture_sensitive = models.BooleanField(_("water warps or stains it, or resin backs it"), default=False)
    face_scratches = models.BooleanField(_("the face scratches: polished or soft"), default=False)
    # Kept for what wears it or prices it, and offered no more.
    archived = models.BooleanField(_("archived"), default=False)

    class Meta:
        ordering = ("name", "id")
        constraints = (
            models.CheckConstraint(
                condition=(Q(absorption=None) | Q(absorption__gte=0, absorption__lte=100))
                & (Q(friction=None) | Q(friction__gte=0, friction__lte=2))
                & (Q(breaking_lbf=None) | Q(breaking_lbf__gte=0))
                & (Q(weight_kg=None) | Q(weight_kg__gt=0))
                & (Q(ribs=None) | Q(ribs__gte=0)),
                name="rooms_tile_data_sheet_can_be",
            ),
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0) & (Q(thickness=None) | Q(thickness__gt=0)),
                name="rooms_tile_has_a_size",
            ),
            models.CheckConstraint(
                condition=(Q(size_spread=None) | Q(size_spread__gte=0)) & (Q(warp=None) | Q(warp__gte=0)),
                name="rooms_tile_spread_and_warp_not_negative",
            ),
            models.CheckConstraint(condition=Q(edge__in=Edge.values), name="rooms_tile_edge_known"),
        )

    def __str__(self) -> str:
        return self.name


class Place(models.TextChoices):
    SHOWER = "shower", _("Shower")
    TUB_SURROUND = "tub_surround", _("Tub surround")
    WET_FLOOR = "wet_floor", _("Wet floor")
    DRY_FLOOR = "dry_floor", _("Dry floor")
    DRY_WALL = "dry_wall", _("Dry wall or backsplash")
    EXTERIOR = "exterior", _("Exterior")


class PatternKind(models.TextChoices):
    STACK = "stack", _("stacked")
    OFFSET = "offset", _("offset")
    DIAGONAL = "diagonal", _("diagonal")
    HERRINGBONE = "herringbone", _("herringbone")
    HEX = "hex", _("hexagon")


class Standing(models.TextChoices):
    """Whether a room is part of the job. Only rooms that are IN get phases, sheets and days of work."""

    IN = "in", _("part of the job")
    OFFERED = "offered", _("an option of the client’s")
    OUT = "out", _("an option that was not taken")


class RoomQuerySet(models.QuerySet["Room"]):
    def part_of_the_job(self) -> "RoomQuerySet":
        """Those that are worked on: no option that is only offered, and none that wasn't taken."""
        return self.filter(standing=Standing.IN)

    def in_the_offer(self) -> "RoomQuerySet":
        """Those that a client is offered or took: all but the options that weren't taken."""
        return self.exclude(standing=Standing.OUT)


@pghistory.track(exclude=["name"])
class Room(Row):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="rooms")
    name = models.CharField(_("name"), max_length=LONGEST_TEXT)
    place = models.CharField(_("what it is"), max_length=20, choices=Place)
    position = models.PositiveSmallIntegerField(default=0)
    standing = models.CharField(_("standing"), max_length=10, choices=Standing, default=Standing.IN, editable=False)
    demolition = models.BooleanField(_("old tile or board comes out first"), default=False)
    tile = models.ForeignKey(Tile, on_delete=models.PROTECT, related_name="rooms", verbose_name=_("tile"))
    joint = LengthField(_("joint"))
    joint_high = LengthField(_("widest joint allowed"), null=True, blank=True)
    pattern = models.CharField(_("pattern"), max_length=12, choices=PatternKind, default=PatternKind.STACK)
    share_of = models.PositiveSmallIntegerField(_("offset, numerator"), null=True, blank=True)
    share_in = models.PositiveSmallIntegerField(_("offset, denominator"), null=True, blank=True)
    run = models.CharField(
        _("run"), max_length=10, choices=[("alternate", _("alternate")), ("stair", _("stair"))], default="alternate"
    )
    axis = models.CharField(
        _("direction"), max_length=8, choices=[("rows", _("rows")), ("columns", _("columns"))], default="rows"
    )
    edge_gap = LengthField(_("gap at the edges"), null=True, blank=True)
    # Everything else that a room file says of the whole room: units, enough, kerf, reuse, setting, pin, tiles, regrid.
    more = models.JSONField(default=dict, blank=True)

    objects = RoomQuerySet.as_manager()

    class Meta:
        ordering = ("position", "created_at", "id")
        constraints = (
            models.CheckConstraint(condition=~Q(name=""), name="rooms_room_has_a_name"),
            models.CheckConstraint(condition=Q(place__in=Place.values), name="rooms_room_place_known"),
            models.CheckConstraint(condition=Q(standing__in=Standing.values), name="rooms_room_standing_known"),
            models.CheckConstraint(condition=Q(pattern__in=PatternKind.values), name="rooms_room_pattern_known"),
            models.CheckConstraint(condition=Q(joint__gt=0), name="rooms_room_joint_positive"),
            models.CheckConstraint(
                condition=Q(joint_high=None) | Q(joint_high__gte=F("joint")), name="rooms_room_joint_range_in_order"
            ),
            models.CheckConstraint(
                condition=Q(share_of=None, share_in=None) | Q(share_of__gt=0, share_in__gt=F("share_of")),
                name="rooms_room_share_is_a_fraction",
            ),
            models.CheckConstraint(
                condition=~Q(pattern="offset") | Q(share_of__isnull=False), name="rooms_room_offset_has_a_share"
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def is_an_option(self) -> bool:
        """Whether a client may choose it, or chose it: a row of a higher app points here then. One query."""
        return hasattr(self, "option")

    @property
    def way_text(self) -> str:
        """How a herringbone lies; nothing for other patterns."""
        if self.pattern != PatternKind.HERRINGBONE:
            return ""
        along = self.more.get("pattern", {}).get("angle", 45) == 0
        return gettext("along the walls") if along else gettext("turned 45° to the walls")


class BoxReading(Row):
    """Tiles of a room as somebody measured them out of the box. Frozen: to measure again is a new row beside it."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="box_readings")
    # Its name among the room's `tiles`; empty of the room's own. Tiles may go, readings don't.
    tile = models.CharField(max_length=LONGEST_TEXT, blank=True)
    # What it was called in the shop then.
    tile_name = models.CharField(max_length=LONGEST_TEXT)
    # [{"width", "height", "bow"}], each a text in mm; without a bow where nobody measured it.
    pieces = models.JSONField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=~Q(pieces=[]), name="rooms_boxreading_has_a_tile"),
            models.CheckConstraint(condition=~Q(tile_name=""), name="rooms_boxreading_tile_has_a_name"),
        )

    def __str__(self) -> str:
        return self.tile_name


@pghistory.track()
class Unfinished(Row):
    """A room as far as it was typed in, and what it lacks: a new one, whose key the room takes when it is whole; or
    changes to a room that is there. Gone when what was typed has become the room."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="unfinished_rooms")
    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="unfinished", null=True)
    name = models.CharField(_("name"), max_length=LONGEST_TEXT, blank=True)
    # The page's fields by their names, as typed.
    typed = models.JSONField()
    # In words, each naming its place.
    lacks = models.JSONField(default=list)

    class Meta:
        ordering = ("created_at", "id")
        verbose_name_plural = "unfinished rooms"

    def __str__(self) -> str:
        return self.name or gettext("Room without a name")


class PhoneSave(Row):
    """A save of a room's page that a phone sent, by the phone's key: taken once. Frozen."""

    # The key of the room, or of the unfinished one: either may go, and this stays.
    about = models.UUIDField()
    # How it stood afterwards (`rooms.entry.saving.fingerprints`).
    made = models.CharField(max_length=140)
    # Why it was only kept beside; empty where it was taken.
    refused = models.TextField(blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()

    def __str__(self) -> str:
        return str(self.pk)


class Substrate(models.TextChoices):
    CEMENT_BOARD = "cement board", _("cement or fiber-cement board")
    FOAM_BOARD = "foam board", _("foam board")
    MORTAR_BED = "mortar bed", _("mortar bed")
    CONCRETE = "concrete", _("concrete or screed")
    PLYWOOD = "plywood", _("plywood")
    GYPSUM_BOARD = "gypsum board", _("gypsum board")
    GYPSUM_PLASTER = "gypsum plaster", _("gypsum plaster")
    EXISTING_TILE = "existing tile", _("tile that is there")


class Membrane(models.TextChoices):
    NONE = "none", _("none")
    LIQUID = "liquid", _("liquid, under the tile")
    SHEET = "sheet", _("sheet, under the tile")
    LINER = "liner", _("liner, under a mortar bed")


class Steam(models.TextChoices):
    SOMETIMES = "sometimes", _("a steam shower, now and then")
    ALL_DAY = "all day", _("a steam room, all day")


class ClimateZone(models.TextChoices):
    """Of the energy code."""

    ONE = "1", "1"
    TWO = "2", "2"
    THREE = "3", "3"
    FOUR = "4", "4"
    MARINE = "marine 4", _("4, marine")
    FIVE = "5", "5"
    SIX = "6", "6"
    SEVEN = "7", "7"
    EIGHT = "8", "8"


@pghistory.track()
class Conditions(Row):
    """What a room's tile stands on, what it will meet, and what sets it; empty where nobody has said."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="conditions")
    substrate = models.CharField(_("tile stands on"), max_length=20, choices=Substrate, blank=True)
    membrane = models.CharField(_("waterproofing"), max_length=10, choices=Membrane, blank=True)
    retarder_behind = models.BooleanField(_("plastic, foil or foil-faced insulation behind it"), default=False)
    retarder_perms = models.DecimalField(
        _("its permeance, perm"), max_digits=6, decimal_places=3, null=True, blank=True
    )
    climate_zone = models.CharField(
        _("climate zone, of a tiled outside wall"), max_length=8, choices=ClimateZone, blank=True
    )
    heated = models.BooleanField(_("heated floor"), default=False)
    steam = models.CharField(_("steam"), max_length=10, choices=Steam, blank=True)
    membrane_perms = models.DecimalField(
        _("permeance of the membrane, perm"), max_digits=6, decimal_places=3, null=True, blank=True
    )
    under_water = models.BooleanField(_("stays under water"), default=False)
    freezes = models.BooleanField(_("it freezes there"), default=False)
    sun = models.BooleanField(_("direct sun, or damp all day"), default=False)
    slab_above_ground = models.BooleanField(_("a concrete slab above ground"), default=False)
    grazing_light = models.BooleanField(_("a light or window closer than 24 in to the wall"), default=False)
    stains = models.BooleanField(_("food, dye or oil reaches the grout"), default=False)
    even_color = models.BooleanField(_("one even grout color matters above all"), default=False)
    accessible = models.BooleanField(_("an accessible threshold"), default=False)
    permit = models.BooleanField(_("a permit covers the work"), default=False)
    rapid_mortar = models.BooleanField(_("rapid mortar"), default=False)
    rapid_leveler = models.BooleanField(_("rapid leveling compound"), default=False)
    epoxy_grout = models.BooleanField(_("epoxy grout"), default=False)
    coldest_f = models.DecimalField(
        _("coldest it gets while it cures"), max_digits=5, decimal_places=1, null=True, blank=True
    )
    joist_span = LengthField(_("span of the joists"), null=True, blank=True)
    joist_spacing = LengthField(_("joists apart, center to center"), null=True, blank=True)
    joist_width = LengthField(_("width of a joist"), null=True, blank=True)
    joist_depth = LengthField(_("depth of a joist"), null=True, blank=True)
    # Modulus of elasticity in psi.
    joist_stiffness = models.PositiveIntegerField(_("wood"), null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(substrate__in=["", *Substrate.values]), name="rooms_conditions_substrate"
            ),
            models.CheckConstraint(condition=Q(membrane__in=["", *Membrane.values]), name="rooms_conditions_membrane"),
            models.CheckConstraint(
                condition=Q(climate_zone__in=["", *ClimateZone.values]), name="rooms_conditions_climate_zone"
            ),
            models.CheckConstraint(condition=Q(steam__in=["", *Steam.values]), name="rooms_conditions_steam"),
            models.CheckConstraint(
                condition=(Q(membrane_perms=None) | Q(membrane_perms__gte=0))
                & (Q(retarder_perms=None) | Q(retarder_perms__gte=0)),
                name="rooms_conditions_perms_not_negative",
            ),
            models.CheckConstraint(
                condition=(Q(joist_span=None) | Q(joist_span__gt=0))
                & (Q(joist_spacing=None) | Q(joist_spacing__gt=0))
                & (Q(joist_width=None) | Q(joist_width__gt=0))
                & (Q(joist_depth=None) | Q(joist_depth__gt=0))
                & (Q(joist_stiffness=None) | Q(joist_stiffness__gt=0)),
                name="rooms_conditions_joists_have_a_size",
            ),
        )
        verbose_name_plural = "conditions"

    def __str__(self) -> str:
        return f"{self.room}"


class SurfaceKind(models.TextChoices):
    WALL = "wall", _("Wall")
    FLOOR = "floor", _("Floor")
    CEILING = "ceiling", _("Ceiling")
    CURB = "curb", _("Curb")
    BENCH = "bench", _("Bench")
    JAMB = "jamb", _("Jamb")
    SILL = "sill", _("Sill")
    NICHE = "niche", _("Niche")


def outline_field() -> ArrayField:
    """Points [x, y] in millimetres, x right and y up, seen from inside the room; closed implicitly."""
    return ArrayField(ArrayField(LengthField(), size=2), verbose_name=_("outline"))


@pghistory.track(exclude=["name"])
class Surface(Row):
    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="surfaces")
    key = models.CharField(_("short name"), max_length=LONGEST_TEXT)
    name = models.CharField(_("name"), max_length=LONGEST_TEXT, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(_("kind"), max_length=10, choices=SurfaceKind, default=SurfaceKind.WALL)
    wet = models.BooleanField(_("gets wet"), default=False)
    focal = models.BooleanField(_("seen first"), default=False)
    outline = outline_field()
    # From what the outline is the face of (the room's `outlines_of`) to the tile's face.
    build_up = LengthField(_("build-up"), null=True, blank=True)
    # Everything else that a room file says of one surface: edges, joins, level, joint, pattern, tile, pin, aim, …
    more = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ("position", "id")
        constraints = (
            models.UniqueConstraint(fields=("room", "key"), name="rooms_surface_key_once_in_a_room"),
            models.CheckConstraint(condition=Q(kind__in=SurfaceKind.values), name="rooms_surface_kind_known"),
            models.CheckConstraint(condition=Q(outline__len__gte=3), name="rooms_surface_outline_has_an_area"),
            models.CheckConstraint(condition=Q(build_up=None) | Q(build_up__gte=0), name="rooms_surface_build_up"),
        )

    def __str__(self) -> str:
        return self.name or self.key


@pghistory.track()
class Opening(Row):
    """A niche, a window, a fixture: an outline or a circle [x, y, r], never both."""

    surface = models.ForeignKey(Surface, on_delete=models.CASCADE, related_name="openings")
    key = models.CharField(_("short name"), max_length=LONGEST_TEXT)
    kind = models.CharField(_("kind"), max_length=LONGEST_TEXT, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    outline = ArrayField(ArrayField(LengthField(), size=2), null=True, blank=True)
    circle = ArrayField(LengthField(), size=3, null=True, blank=True)
    more = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ("position", "id")
        constraints = (
            models.UniqueConstraint(fields=("surface", "key"), name="rooms_opening_key_once_on_a_surface"),
            models.CheckConstraint(
                condition=Q(outline=None, circle__isnull=False) | Q(outline__isnull=False, circle=None),
                name="rooms_opening_outline_or_circle",
            ),
        )

    def __str__(self) -> str:
        return self.key


@pghistory.track()
class Corner(Row):
    """An inside corner: the surface `first` is set first, into it; `second` starts at its finished face."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="corners")
    position = models.PositiveSmallIntegerField(default=0)
    first = models.ForeignKey(Surface, on_delete=models.CASCADE, related_name="corners_first")
    # left, right, top, bottom of a rectangle, or "edge 3" of any outline.
    first_side = models.CharField(max_length=10)
    second = models.ForeignKey(Surface, on_delete=models.CASCADE, related_name="corners_second")
    second_side = models.CharField(max_length=10)
    soft = LengthField(_("soft joint"), null=True, blank=True)
    more = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ("position", "id")
        constraints = (
            models.CheckConstraint(condition=~Q(first=F("second")), name="rooms_corner_joins_two_surfaces"),
            models.CheckConstraint(condition=Q(soft=None) | Q(soft__gte=0), name="rooms_corner_soft_not_negative"),
        )

    def __str__(self) -> str:
        return f"{self.first}.{self.first_side}, {self.second}.{self.second_side}"


class Layout(Row):
    """A layout that somebody chose. Frozen: what went in, what came out, by which engine. The newest counts."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="layouts")
    input = models.JSONField()
    input_sha256 = models.CharField(max_length=64)
    # What was set anew on the layout page (rooms.varying), and then the room's file as it was measured; else empty.
    asked = models.JSONField(default=dict)
    measured = models.JSONField(default=dict)
    option = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=200)
    result = models.JSONField()
    takeoff = models.JSONField()
    # What the setter works by and the client accepts, drawn when it was chosen: [{"id", "name", "svg"}].
    drawings = models.JSONField(default=list)
    # gaugerod-rough-in/1; None of a layout that is older than rough-in sheets.
    rough_in = models.JSONField(null=True)
    engine_version = models.CharField(max_length=40)
    why = models.CharField(_("why this one"), max_length=300, blank=True)
    # What the client accepted, where the room was laid out anew since, as it was built: estimate and proposal stay by
    # it, and the work goes on by this one.
    instead_of = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="+")
    chosen_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (models.CheckConstraint(condition=Q(option__gte=1), name="rooms_layout_option_counted_from_one"),)

    def __str__(self) -> str:
        return self.title


class SheetPaper(models.TextChoices):
    LETTER = "letter", _("Letter")
    TABLOID = "tabloid", _("Tabloid")
    A4 = "a4", _("A4")
    A3 = "a3", _("A3")


class SheetPrint(Row):
    """A PDF of a chosen layout's sheet, as it stood when somebody asked for it."""

    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="prints")
    paper = models.CharField(_("paper"), max_length=10, choices=SheetPaper)
    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=Q(paper__in=SheetPaper.values), name="rooms_sheet_print_paper_known"),
        )

    def __str__(self) -> str:
        return f"{self.document}"


class SurveyKind(models.TextChoices):
    STUDS = "studs", _("Studs")
    WALL = "wall", _("Wall")
    FLOOR = "floor", _("Floor")
    BED = "bed", _("Shower floor")


class SurveyVerdict(models.TextChoices):
    HOLDS = "holds", _("Holds")
    FAILS = "fails", _("Fails")
    CANT_TELL = "can't tell", _("Can’t tell yet")


class Survey(Row):
    """A substrate as somebody read it. Frozen: what was typed, what came out. To read again is a new row beside it."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="surveys")
    kind = models.CharField(_("kind"), max_length=10, choices=SurveyKind)
    # Key and name that the surface had then; empty where none of the room's was picked. Surfaces may go, surveys don't.
    surface = models.CharField(max_length=LONGEST_TEXT, blank=True)
    surface_name = models.CharField(max_length=LONGEST_TEXT, blank=True)
    # gaugerod-survey/1 with its lengths as typed; unfinished where something of it is still missing.
    data = models.JSONField()
    # gaugerod-survey-result/1; None of an unfinished one.
    result = models.JSONField(null=True)
    # Contour pictures: [{"id", "svg"}].
    drawings = models.JSONField(default=list)
    verdict = models.CharField(max_length=10, choices=SurveyVerdict)
    engine_version = models.CharField(max_length=40)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    happened_at = models.DateTimeField(_("read at"))

    class Meta:
        ordering = ("-happened_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=SurveyKind.values), name="rooms_survey_kind_known"),
            models.CheckConstraint(condition=Q(verdict__in=SurveyVerdict.values), name="rooms_survey_verdict_known"),
            models.CheckConstraint(
                condition=Q(result__isnull=False) | Q(verdict=SurveyVerdict.CANT_TELL),
                name="rooms_survey_verdict_has_a_result",
            ),
        )

    def __str__(self) -> str:
        kind = self.get_kind_display()
        return f"{self.surface_name}, {kind.lower()}" if self.surface_name else kind


class AsBuilt(Row):
    """What was framed and roughed in, as somebody measured it against a layout's rough-in sheet. Frozen.

    What the office typed counts whole, and answers what was read on site before it; what is read on site goes over it,
    measure by measure.
    """

    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="as_built")
    # [{"item": number on the sheet, "name": of the measure, "mm": as typed}], only what was measured.
    measures = models.JSONField()
    # When it was read on site, by the phone's clock; None of what the office typed.
    read_at = models.DateTimeField(null=True)
    # The layout that the room got by it; None where it was only kept.
    led_to = models.OneToOneField(Layout, on_delete=models.PROTECT, null=True, related_name="built_from")
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()

    def __str__(self) -> str:
        return gettext("as built, %(who)s") % {"who": self.by}


class RoughInPrint(Row):
    """A PDF of a chosen layout's rough-in sheet, as it stood when somebody asked for it."""

    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="rough_in_prints")
    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()

    def __str__(self) -> str:
        return f"{self.document}"
