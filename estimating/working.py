"""The hours that a room takes, as what they are counted by: before any rate. In the order in which the work is done."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from estimating.catalogue import DEMOLITION, HAUL, RETURN_VISIT
from estimating.needs import NO_SOURCE, Areas, Need, areas_of, need, net_areas
from estimating.pricing.money import rounded
from jobs.models import Job
from rooms.models import Layout, Room, Survey, SurveyKind, SurveyVerdict
from rooms.specification import specification_of
from trade.phases import Phase, phases_for
from trade.shop_limits import ShopLimits

WAIT_OUT_HOURS = 8
"""A wait of a working day or more sends the crew home: it costs a visit. Common practice, no source."""


@dataclass(slots=True)
class Read:
    """What the newest survey of each surface of a room, and of each kind, asks for: `studs` to be furred or planed;
    `patched`, of each wall by its key the part that is out of plane; m² of floors to be `ground`."""

    studs: int = 0
    patched: dict[str, Fraction] = field(default_factory=dict)
    ground: Decimal = Decimal(0)


def surveyed(job: Job) -> dict[UUID, Read]:
    """Of each room that was surveyed. One query."""
    newest = (
        Survey.objects.filter(room__job=job, result__isnull=False)
        .order_by("room_id", "surface", "kind", "-happened_at", "-id")
        .distinct("room_id", "surface", "kind")
        .values_list(
            *("room_id", "surface", "kind", "verdict", "result__plane__lines_touched", "result__lines"),
            "result__leveling__ground__area_m2",
        )
    )
    found: dict[UUID, Read] = {}
    for room, surface, kind, verdict, touched, lines, ground in newest:
        read = found.setdefault(room, Read())
        if kind == SurveyKind.STUDS:
            read.studs += touched or 0
        elif kind == SurveyKind.WALL and verdict == SurveyVerdict.FAILS and lines:
            read.patched[surface] = Fraction(touched or 0, len(lines))
        elif kind == SurveyKind.FLOOR:
            read.ground += round(Decimal(ground or 0), 4)
    return found


def phases_of(
    rooms: Iterable[Room], layouts: Mapping[UUID, Layout], *, limits: ShopLimits
) -> dict[UUID, tuple[Phase, ...]]:
    """The phases of each room with a layout, by the shop's `limits`. `rooms` come with their parts."""
    return {
        room.pk: phases_for(specification_of(room, layouts[room.pk]), limits=limits)
        for room in rooms
        if room.pk in layouts
    }


def labor_of(room: Room, layout: Layout, *, phases: Sequence[Phase], read: Read | None) -> Iterator[Need]:
    """What has to be done in a room. `read`: what its surveys ask for, where there are any."""
    areas = areas_of(layout)
    taken = {line["key"]: Decimal(str(line["quantity"])) for line in layout.takeoff["lines"]}
    yield from _before_tile(room, layout, areas, taken, phases=phases, read=read)
    yield from _setting(room, areas, cut=layout.result["options"][layout.option - 1]["counts"]["cut"])
    yield from _pieces(room, areas)
    yield from _after_tile(room, areas, taken)


def _before_tile(
    room: Room,
    layout: Layout,
    areas: Areas,
    taken: Mapping[str, Decimal],
    *,
    phases: Sequence[Phase],
    read: Read | None,
) -> Iterator[Need]:
    floor_and_wall = _("Floors and walls, less openings.")
    if room.demolition:
        yield need(room, DEMOLITION, areas.all, "m2", floor_and_wall)
        yield need(room, HAUL, areas.all, "m2", _("As much as is torn out."))
    if read and read.studs:
        how = _("Studs that the newest survey furs or planes.")
        yield need(room, "labor_true_studs", Decimal(read.studs), "each", how, "geometry of the readings")
    yield from _substrate(room, layout, areas, read)
    as_much = (
        ("labor_level", "primer_area", "m2", _("The floors that get leveling compound.")),
        ("labor_mud_bed", "mud_bed_volume", "l", _("As much as the mortar bed.")),
        ("labor_board", "board_area", "m2", _("As much as the board.")),
        ("labor_waterproof", "membrane_area", "m2", _("As much as the membrane.")),
    )
    for key, line, unit, how in as_much:
        if taken.get(line):
            yield need(room, key, taken[line], unit, how)
    if any(phase.key == "water_test" for phase in phases):
        yield need(room, "labor_water_test", Decimal(1), "each", _("Its phases call for one."))
    yield need(room, "labor_layout", Decimal(areas.surfaces), "each", _("Surfaces that carry tile."))


def _substrate(room: Room, layout: Layout, areas: Areas, read: Read | None) -> Iterator[Need]:
    """All of it made ready, and of it what the surveys have out of plane repaired."""
    how = _("Floors and walls, less openings.")
    if read is None:
        yield need(room, "labor_substrate", areas.all, "m2", _("%(how)s No survey stands: no repair.") % {"how": how})
        return
    yield need(room, "labor_substrate", areas.all, "m2", _("%(how)s Repair comes apart, by the survey.") % {"how": how})
    each = net_areas(layout) if read.patched else {}
    walls = sum((Fraction(each.get(key, 0)) * part for key, part in read.patched.items()), Fraction(0))
    if area := rounded(walls + Fraction(read.ground), 4):
        said = [_("Of walls that fail, the part whose lines the newest survey touches.")] if walls else []
        said += [_("Of floors, what the survey grinds.")] if read.ground else []
        yield need(room, "labor_patch", area, "m2", " ".join(said), "geometry of the readings")


def _setting(room: Room, areas: Areas, *, cut: int) -> Iterator[Need]:
    standing = areas.walls - areas.ceilings
    measured = (
        ("labor_set_floor", areas.floors, _("Floors, less openings.")),
        ("labor_set_wall", standing, _("Walls and all that stands, less openings.")),
        ("labor_set_ceiling", areas.ceilings, _("Ceilings, less openings.")),
        ("labor_set_large", areas.large, _("Surfaces whose tile has an edge of 15 in or more.")),
        ("labor_set_small", areas.small, _("Surfaces whose tile has no edge over 4-1/2 in.")),
        ("labor_set_pattern", areas.patterned, _("Surfaces in diagonal, herringbone or hexagons.")),
        ("labor_set_high", areas.high, _("Walls above 7 ft, less openings.")),
    )
    for key, area, how in measured:
        if area:
            yield need(room, key, area, "m2", how)
    if cut:
        yield need(room, "labor_cut", Decimal(cut), "piece", _("Cut pieces of the layout."), "cut plan")


def _pieces(room: Room, areas: Areas) -> Iterator[Need]:
    """What is paid by the piece: niche, curb, bench, hole, foot of miter."""
    counted = _("Counted on the drawing.")
    if areas.niches:
        yield need(room, "labor_niche", Decimal(areas.niches), "each", counted)
    if areas.curb:
        yield need(room, "labor_curb", Decimal(1), "each", _("The room has one."))
    if areas.bench:
        yield need(room, "labor_bench", Decimal(1), "each", _("The room has one; of more, say how many by hand."))
    if areas.holes:
        yield need(room, "labor_hole", Decimal(areas.holes), "each", _("Round openings on the drawing."))
    if areas.miters:
        yield need(room, "labor_miter", areas.miters, "m", _("Edges finished by a miter."), "geometry")


def _after_tile(room: Room, areas: Areas, taken: Mapping[str, Decimal]) -> Iterator[Need]:
    floor_and_wall = _("Floors and walls, less openings.")
    if trim := taken.get("edge_trim_length"):
        yield need(room, "labor_trim", trim, "m", _("As much as the profile."))
    yield need(room, "labor_grout", areas.all, "m2", floor_and_wall)
    soft = taken.get("sealant_length", Decimal(0)) + taken.get("movement_joint_length", Decimal(0))
    if soft:
        yield need(room, "labor_soft_joints", soft, "m", _("As long as the sealant."))
    if sealed := taken.get("sealer_area"):
        yield need(room, "labor_seal", sealed, "m2", _("As much as is sealed."))
    yield need(room, "labor_clean", areas.all, "m2", floor_and_wall)


def long_waits(rooms: Iterable[Room], phases: Mapping[UUID, Sequence[Phase]]) -> dict[Room, int]:
    """How many waits of each room with phases send the crew home."""
    return {room: _long_waits(phases[room.pk]) for room in rooms if room.pk in phases}


def return_visits(rooms: Iterable[Room], phases: Mapping[UUID, Sequence[Phase]]) -> Iterator[Need]:
    """The visits that waits cost, at the room that has most of them: the others wait meanwhile."""
    counts = long_waits(rooms, phases)
    most = max(counts, key=lambda room: counts[room], default=None)
    if most is None or not counts[most]:
        return
    how = ngettext("%(count)s wait of 8 hours or more.", "%(count)s waits of 8 hours or more.", counts[most])
    if len(counts) > 1:
        how = _("%(waits)s Rooms share visits: counted for the one with the most.") % {"waits": how}
    yield need(most, RETURN_VISIT, Decimal(counts[most]), "trip", how % {"count": counts[most]}, NO_SOURCE)


def _long_waits(phases: Sequence[Phase]) -> int:
    """Phases that ask for such a wait, each once: several waits of a phase run together."""
    return sum(
        any(
            check.kind == "wait" and check.required and check.limit and (check.limit.low or 0) >= WAIT_OUT_HOURS
            for check in phase.checks
        )
        for phase in phases
    )
