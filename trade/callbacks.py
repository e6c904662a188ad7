"""What comes back, why it mostly does, and which check would have caught it.

Common practice, no source: what setters tell each other. A cause is a place to look first, never a finding.
"""

from dataclasses import dataclass

from trade import sources
from trade.sources import NO_SOURCE, Confidence, Rule
from trade.words import gettext_noop


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One way in which a symptom comes about. Texts are English, for translation.

    `checks` are keys of the phases' checks (`trade.catalogue`) that are about it: what was entered there tells more.
    """

    symptom: str
    seen: str
    causes: str
    caught_by: str
    checks: tuple[str, ...] = ()
    source: str = NO_SOURCE
    confidence: Confidence = "common practice"


LESSONS: tuple[Lesson, ...] = (
    Lesson(
        symptom="hollow",
        seen=gettext_noop("Hollow tile"),
        causes=gettext_noop("low coverage, mortar that had skinned over"),
        caught_by=gettext_noop("lifting tiles while setting"),
        checks=("setting.coverage", "setting.batch"),
    ),
    Lesson(
        symptom="hollow",
        seen=gettext_noop("Loose floor tile"),
        causes=gettext_noop("dust, sealer or old adhesive under the mortar"),
        caught_by=gettext_noop("a drop of water on the slab"),
        checks=("substrate.drop",),
    ),
    Lesson(
        symptom="tented",
        seen=gettext_noop("Tented floor"),
        causes=gettext_noop("no soft joint at the perimeter or in the field"),
        caught_by=gettext_noop("photos of the joints"),
        checks=("setting.gaps", "soft_joints.field", "soft_joints.photo"),
    ),
    Lesson(
        symptom="cracked",
        seen=gettext_noop("Crack in a straight line through several tiles"),
        causes=gettext_noop("a crack in the slab, a joint that was bridged"),
        caught_by=gettext_noop("the map of cracks"),
        checks=("substrate.cracks", "soft_joints.field"),
    ),
    Lesson(
        symptom="cracked",
        seen=gettext_noop("Cracks here and there"),
        causes=gettext_noop("a floor that gives, voids in the mortar"),
        caught_by=gettext_noop("deflection, coverage"),
        checks=("substrate.stiff", "setting.coverage"),
    ),
    Lesson(
        symptom="corner_grout",
        seen=gettext_noop("Grout cracks in a corner"),
        causes=gettext_noop("a change of plane that was grouted"),
        caught_by=gettext_noop("the check of soft joints"),
        checks=("grout.soft", "soft_joints.planes", "soft_joints.photo"),
    ),
    Lesson(
        symptom="field_grout",
        seen=gettext_noop("Grout cracks in the field"),
        causes=gettext_noop("movement, grout mixed too wet"),
        caught_by=gettext_noop("a stiff subfloor, measured water"),
        checks=("substrate.stiff", "setting.joints", "grout.water"),
    ),
    Lesson(
        symptom="field_grout",
        seen=gettext_noop("Powdery grout"),
        causes=gettext_noop("washed too much, cured too cold"),
        caught_by=gettext_noop("a log of mix and temperature"),
        checks=("grout.water", "grout.batch"),
    ),
    Lesson(
        symptom="color",
        seen=gettext_noop("Blotchy grout"),
        causes=gettext_noop("uneven mix water, haze washed too early"),
        caught_by=gettext_noop("a sample panel"),
        checks=("layout.approved", "grout.water", "grout.batch"),
    ),
    Lesson(
        symptom="color",
        seen=gettext_noop("Tiles of another shade"),
        causes=gettext_noop("two lots on one plane, boxes that were not blended"),
        caught_by=gettext_noop("looking at the lots before setting"),
        checks=("layout.lots",),
    ),
    Lesson(
        symptom="lippage",
        seen=gettext_noop("Lippage"),
        causes=gettext_noop("preparation, warped tile, too large an offset"),
        caught_by=gettext_noop("a straightedge on the substrate, readings of ten tiles"),
        checks=("substrate.plane", "substrate.short_plane", "layout.bow", "setting.lippage"),
    ),
    Lesson(
        symptom="lippage",
        seen=gettext_noop("Lippage that only the light shows"),
        causes=gettext_noop("light that grazes the wall"),
        caught_by=gettext_noop("the permanent light on before setting"),
        checks=("setting.lippage",),
    ),
    Lesson(
        symptom="white_deposit",
        seen=gettext_noop("White deposit on grout or tile"),
        causes=gettext_noop("water behind the tile, a bed that stays wet"),
        caught_by=gettext_noop("open weep holes, slope"),
        checks=("slope.preslope", "slope.weeps", "slope.fall"),
    ),
    Lesson(
        symptom="dark_stone",
        seen=gettext_noop("Stone stays dark and wet"),
        causes=gettext_noop("a flat liner, blocked weep holes, voids in the mortar"),
        caught_by=gettext_noop("the pre-slope, a cup of water through the weep holes"),
        checks=("slope.preslope", "slope.weeps", "setting.coverage"),
    ),
    Lesson(
        symptom="leak",
        seen=gettext_noop("Ceiling below is wet"),
        causes=gettext_noop("drain, curb or niche"),
        caught_by=gettext_noop("flood test and spray test"),
        checks=("waterproofing.pipes", "water_test.level", "water_test.below", "water_test.spray"),
    ),
    Lesson(
        symptom="leak",
        seen=gettext_noop("Water comes out at the door"),
        causes=gettext_noop("slope of the curb, screws of the glass"),
        caught_by=gettext_noop("a level on the curb"),
        checks=("waterproofing.flats", "waterproofing.fasteners"),
    ),
    Lesson(
        symptom="ponding",
        seen=gettext_noop("Water stands in the pan"),
        causes=gettext_noop("slope, low spots"),
        caught_by=gettext_noop("water poured at the rim"),
        checks=("slope.fall", "slope.run"),
    ),
    Lesson(
        symptom="ponding",
        seen=gettext_noop("Water stands in the niche"),
        causes=gettext_noop("a flat sill"),
        caught_by=gettext_noop("a level on the sill"),
        checks=("waterproofing.flats",),
    ),
    Lesson(
        symptom="sealant",
        seen=gettext_noop("Moldy sealant"),
        causes=gettext_noop("no gap, a wet joint, a bond to three sides"),
        caught_by=gettext_noop("a photo of the joint"),
        checks=("setting.gaps", "soft_joints.shape", "soft_joints.photo"),
    ),
    Lesson(
        symptom="sealant",
        seen=gettext_noop("Sealant torn off the tub"),
        causes=gettext_noop("an empty tub while it was sealed, a tight gap"),
        caught_by=gettext_noop("filling the tub"),
        checks=("soft_joints.tub", "setting.gaps"),
    ),
    Lesson(
        symptom="chipped",
        seen=gettext_noop("Chipped miter or edge"),
        causes=gettext_noop("no bevel, a bump"),
        caught_by=gettext_noop("a sample of the edge"),
        checks=("layout.approved",),
    ),
    Lesson(
        symptom="cold_floor",
        seen=gettext_noop("Heated floor stays cold"),
        causes=gettext_noop("a cable that was cut"),
        caught_by=gettext_noop("four ohm readings: at the box, laid, embedded, grouted"),
    ),
    Lesson(
        symptom="other",
        seen=gettext_noop("Door binds, toilet rocks"),
        causes=gettext_noop("the finished height was missed"),
        caught_by=gettext_noop("heights at the rough-in"),
        checks=("rough_in.flange", "substrate.heights"),
    ),
)

# Before anybody opens, cuts or drains something. Local codes and licensed trades govern.
_CAUTIONS: dict[str, tuple[Rule, ...]] = {
    "hollow": (sources.SILICA,),
    "tented": (sources.STRUCTURE, sources.SILICA),
    "cracked": (sources.STRUCTURE, sources.SILICA),
    "corner_grout": (sources.SILICA,),
    "field_grout": (sources.STRUCTURE, sources.SILICA),
    "white_deposit": (sources.PLUMBING,),
    "dark_stone": (sources.PLUMBING, sources.SILICA),
    "leak": (sources.PLUMBING, sources.WIRING, sources.STRUCTURE),
    "ponding": (sources.PLUMBING, sources.SILICA),
    "chipped": (sources.SILICA,),
    "lippage": (sources.SILICA,),
    "cold_floor": (sources.WIRING,),
}


def lessons_of(symptom: str) -> tuple[Lesson, ...]:
    """Return the ways in which `symptom` comes about, none for one that isn't known."""
    return tuple(lesson for lesson in LESSONS if lesson.symptom == symptom)


def cautions_of(symptom: str) -> tuple[Rule, ...]:
    """Return the dangers to speak of before somebody works on `symptom`."""
    return _CAUTIONS.get(symptom, ())
