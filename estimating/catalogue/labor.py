"""Labor by task. Examples are invented but for those of setting, which are a rough range from memory."""

from decimal import Decimal

from django.utils.translation import gettext_lazy as _

from estimating.catalogue.wanted import Hours, Wanted, labor
from trade import quantities

MINIMUM_TRIP = "labor_minimum_trip"
RETURN_VISIT = "labor_return_visit"
DEMOLITION = "labor_demolition"

SETTING = (
    *("labor_set_floor", "labor_set_wall", "labor_set_ceiling"),
    *("labor_set_large", "labor_set_small", "labor_set_pattern", "labor_set_high", "labor_cut", "labor_hole"),
    *("labor_miter", "labor_trim"),
)
"""What is worked with tile in hand: cutting and setting, until the last piece is in."""


def _hours_per_sqft(work: str) -> Hours:
    """Ends and middle of the rough range that `trade` has, weak and from memory."""
    thousand_square_feet = Decimal("92.90304")
    range_of = quantities.labor(area_m2=thousand_square_feet, work=work)  # type: ignore[arg-type]
    return range_of.low / 1000, range_of.amount / 1000, range_of.high / 1000


def _upper_half(hours: Hours) -> Hours:
    _low, likely, high = hours
    return likely, (likely + high) / 2, high


LABOR: tuple[Wanted, ...] = (
    labor(
        DEMOLITION,
        _("Demolition"),
        _("Old tile and board out, by area. Check for lead and asbestos first: law and license decide."),
        unit="ft2",
        hours="0.06",
    ),
    labor(
        "labor_true_studs",
        _("True a stud"),
        _("Each stud that the survey furs or planes."),
        unit="each",
        hours="0.3",
    ),
    labor(
        "labor_substrate",
        _("Prepare the substrate"),
        _("Planes checked, joints taped, cleaned and primed, by area. Board comes apart, and repair too."),
        unit="ft2",
        hours="0.02",
    ),
    labor(
        "labor_patch",
        _("Patch walls, grind floors"),
        _("By area, where the survey says so: of a wall that fails, what is out of plane; of a floor, what is ground."),
        unit="ft2",
        hours="0.08",
    ),
    labor(
        "labor_level",
        _("Level a floor"),
        _("By area that gets compound: dams, primer, mixing, pouring."),
        unit="ft2",
        hours="0.03",
    ),
    labor("labor_mud_bed", _("Mortar bed"), _("By volume in place: mixed, packed, screeded."), unit="ft3", hours="0.6"),
    labor("labor_board", _("Put up board"), _("By area of board."), unit="ft2", hours="0.03"),
    labor(
        "labor_waterproof",
        _("Waterproof"),
        _("By area of membrane, band and corners included. The water test comes apart."),
        unit="ft2",
        hours="0.03",
    ),
    labor(
        "labor_water_test",
        _("Water test"),
        _("Each: drain plugged, filled, marked, read, emptied."),
        unit="each",
        hours="1",
    ),
    labor(
        "labor_layout",
        _("Lay out and snap lines"),
        _("Each surface that carries tile."),
        unit="each",
        hours="0.5",
        needed=False,
    ),
    labor(
        "labor_set_floor",
        _("Set floor tile"),
        _("By area. The example is a rough range with its middle, from memory: your own time cards are worth more."),
        unit="ft2",
        hours=_hours_per_sqft("floor"),
    ),
    labor(
        "labor_set_wall",
        _("Set wall tile"),
        _("By area: walls, curbs, benches. The example is a rough range with its middle, from memory."),
        unit="ft2",
        hours=_hours_per_sqft("wall"),
    ),
    labor(
        "labor_set_ceiling",
        _("Set ceiling tile"),
        _("By area, overhead. The example is the upper half of the range for walls."),
        unit="ft2",
        hours=_upper_half(_hours_per_sqft("wall")),
    ),
    labor(
        "labor_set_large",
        _("Large tile, on top"),
        _("By area of tile with an edge of 15 in or more: carried, back-buttered, clipped by two."),
        unit="ft2",
        hours="0.03",
        needed=False,
    ),
    labor(
        "labor_set_small",
        _("Small tile, on top"),
        _("By area of tile with no edge over 4-1/2 in."),
        unit="ft2",
        hours="0.04",
        needed=False,
    ),
    labor(
        "labor_set_pattern",
        _("Pattern, on top"),
        _("By area in diagonal, herringbone or hexagons."),
        unit="ft2",
        hours="0.04",
        needed=False,
    ),
    labor(
        "labor_set_high",
        _("High work, on top"),
        _("By area of wall above 7 ft: from a step or platform."),
        unit="ft2",
        hours="0.03",
        needed=False,
    ),
    labor("labor_cut", _("Cuts"), _("Each cut piece of the layout."), unit="piece", hours="0.04", needed=False),
    labor("labor_niche", _("Niche"), _("Each: framed, waterproofed and tiled."), unit="each", hours="2.5"),
    labor(
        "labor_curb",
        _("Curb"),
        _("Each: built and waterproofed. Its tile is in the wall tile."),
        unit="each",
        hours="2",
        needed=False,
    ),
    labor(
        "labor_bench",
        _("Bench"),
        _("Each: built and waterproofed. Its tile is in the wall tile."),
        unit="each",
        hours="3",
        needed=False,
    ),
    labor(
        "labor_hole", _("Hole"), _("Each round opening for a pipe or valve."), unit="each", hours="0.25", needed=False
    ),
    labor("labor_miter", _("Miter"), _("By length of the edge, both pieces."), unit="ft", hours="0.3", needed=False),
    labor("labor_trim", _("Set edge profile"), _("By length."), unit="ft", hours="0.04"),
    labor("labor_grout", _("Grout"), _("By area. Soft joints come apart."), unit="ft2", hours="0.03"),
    labor("labor_soft_joints", _("Soft joints"), _("By length of joint."), unit="ft", hours="0.02"),
    labor("labor_seal", _("Seal stone"), _("By area."), unit="ft2", hours="0.01"),
    labor("labor_clean", _("Clean up"), _("By area: haze, floors, the way out."), unit="ft2", hours="0.01"),
    labor(
        RETURN_VISIT,
        _("Return visits"),
        _("Each wait of 8 hours or more sends the crew home: the way there, setting up again."),
        unit="trip",
        hours="1",
        needed=False,
    ),
    labor(
        MINIMUM_TRIP,
        _("Minimum trip"),
        _("The fewest hours that a job is worth driving to: labor below it is brought up to it."),
        unit="trip",
        hours="4",
        needed=False,
    ),
)
