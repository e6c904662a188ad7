"""What a unit costs the shop, from a day on."""

import pghistory
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.models import Row
from estimating.models.dated import Dated
from rooms.models import Tile


class RateKind(models.TextChoices):
    MATERIAL = "material", _("Material")
    LABOR = "labor", _("Labor")
    EQUIPMENT = "equipment", _("Equipment")
    DISPOSAL = "disposal", _("Disposal")
    TRAVEL = "travel", _("Travel")
    OTHER = "other", _("Other")


OWN = "own-"
"""What the keys of the shop's own rates begin with; no rate of the catalogue does."""


@pghistory.track()
class OwnRate(Row):
    """Something that the shop pays for and the catalogue doesn't have. What it costs is its rates, as of a tile."""

    # Of the name that it began with, and its for good.
    key = models.SlugField(_("key"), max_length=60, unique=True)
    kind = models.CharField(_("kind"), max_length=10, choices=RateKind)
    name = models.CharField(_("name"), max_length=120)
    # Put away: no rate of it is in force, and nothing new is priced by it.
    archived_on = models.DateField(_("put away on"), null=True, blank=True)

    class Meta:
        ordering = ("name", "id")
        constraints = (
            models.UniqueConstraint(Lower("name"), name="estimating_own_rate_one_name"),
            models.CheckConstraint(condition=Q(key__startswith=OWN), name="estimating_own_rate_key_says_so"),
            models.CheckConstraint(condition=~Q(name=""), name="estimating_own_rate_has_a_name"),
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_own_rate_kind_known"),
        )

    def __str__(self) -> str:
        return self.name


class RateQuerySet(models.QuerySet["Rate"]):
    def not_ended(self) -> "RateQuerySet":
        """Those in force and those of a day to come; one that never held, since another took its place, isn't there."""
        later = Q(valid_to__gt=timezone.localdate()) & Q(valid_to__gt=F("valid_from"))
        return self.filter(Q(valid_to=None) | later)

    def in_force(self) -> "RateQuerySet":
        """Of each key, and tile, the one that holds today. Where a shop's day is another since its first price was set
        (another time zone), that one holds already."""
        before = Rate.objects.not_ended().filter(
            Q(tile=OuterRef("tile")) | ~Q(key="tile"),
            key=OuterRef("key"),
            valid_from__lt=OuterRef("valid_from"),
        )
        begun = Q(valid_from__lte=timezone.localdate())
        return self.not_ended().filter(begun | ~Exists(before))


@pghistory.track()
class Rate(Dated):
    """What one unit costs the shop from a day on. A new price is a new row that ends the old one on that day."""

    key = models.SlugField(_("key"), max_length=60)
    kind = models.CharField(_("kind"), max_length=10, choices=RateKind)
    name = models.CharField(_("name"), max_length=120)
    # Of a material, as the shop knows it: what it buys, and where.
    product = models.CharField(_("product"), max_length=120, blank=True, default="")
    supplier = models.CharField(_("supplier"), max_length=120, blank=True, default="")
    tile = models.ForeignKey(Tile, on_delete=models.PROTECT, null=True, blank=True, related_name="rates")
    # Of the shop's own rates: the one with this key.
    own = models.ForeignKey(
        OwnRate, to_field="key", on_delete=models.PROTECT, null=True, blank=True, related_name="rates"
    )
    unit = models.CharField(_("unit"), max_length=20)
    # Of one unit; of one package where `package` is given; for labor of one hour, with all that it costs the shop.
    cost = models.DecimalField(_("cost"), max_digits=12, decimal_places=4)
    # Sold in whole packages of so many units (a 25 lb bag, a box of 8); empty where any quantity can be had.
    package = models.DecimalField(_("units in a package"), max_digits=10, decimal_places=3, null=True, blank=True)
    # For labor: hours for one unit.
    hours = models.DecimalField(_("hours per unit"), max_digits=8, decimal_places=4, null=True, blank=True)
    # The best and the worst that this comes to; both or neither.
    hours_low = models.DecimalField(_("hours at best"), max_digits=8, decimal_places=4, null=True, blank=True)
    hours_high = models.DecimalField(_("hours at worst"), max_digits=8, decimal_places=4, null=True, blank=True)
    # Hours that come once to a line, however much it is.
    setup_hours = models.DecimalField(_("set-up hours"), max_digits=6, decimal_places=2, default=0)
    # Persons who are at it together; hours are those of all.
    crew = models.PositiveSmallIntegerField(_("persons at it"), default=1)
    # Of labor: an hour costs what the people on the job cost, and `cost` only where none of them has a figure.
    by_people = models.BooleanField(_("priced by the people on the job"), default=False)
    # Invented, to be replaced by the shop's own figure: pages say so beside it.
    example = models.BooleanField(_("example figure"), default=False)

    objects = RateQuerySet.as_manager()

    class Meta:
        ordering = ("kind", "name", "-valid_from")
        constraints = (
            models.UniqueConstraint(
                fields=("key", "tile"),
                condition=Q(valid_to=None),
                name="estimating_rate_one_in_force",
                nulls_distinct=False,
            ),
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_rate_kind_known"),
            models.CheckConstraint(
                condition=Q(key="tile", tile__isnull=False) | (~Q(key="tile") & Q(tile=None)),
                name="estimating_rate_tile_has_its_tile",
            ),
            models.CheckConstraint(
                condition=Q(own__isnull=False, own=F("key")) | (~Q(key__startswith=OWN) & Q(own=None)),
                name="estimating_rate_own_has_its_key",
            ),
            models.CheckConstraint(condition=Q(cost__gte=0), name="estimating_rate_cost_not_negative"),
            models.CheckConstraint(condition=Q(package=None) | Q(package__gt=0), name="estimating_rate_package"),
            models.CheckConstraint(
                condition=Q(kind="labor", hours__gt=0) | (~Q(kind="labor") & Q(hours=None)),
                name="estimating_rate_labor_has_hours",
            ),
            models.CheckConstraint(
                condition=Q(hours_low=None, hours_high=None)
                | Q(hours_low__gte=0, hours_low__lte=F("hours"), hours_high__gte=F("hours")),
                name="estimating_rate_hours_in_order",
            ),
            models.CheckConstraint(
                condition=Q(kind="labor", setup_hours__gte=0, crew__gte=1)
                | (~Q(kind="labor") & Q(setup_hours=0, crew=1)),
                name="estimating_rate_labor_has_a_crew",
            ),
            models.CheckConstraint(
                condition=Q(kind="labor") | Q(by_people=False), name="estimating_rate_people_do_labor"
            ),
            models.CheckConstraint(
                condition=Q(kind="material") | Q(product="", supplier=""),
                name="estimating_rate_material_has_a_product",
            ),
            models.CheckConstraint(
                condition=Q(valid_to=None) | Q(valid_to__gte=F("valid_from")), name="estimating_rate_dates_in_order"
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def bought_as(self) -> str:
        """Product and supplier, where they are set."""
        return " · ".join(part for part in (self.product, self.supplier) if part)
