"""What comes on top of materials and labor: equipment, disposal, travel. Examples are invented but for the mile's.

The mile: the standard mileage rate for business is 72.5 cents from January 1, 2026, IRS Notice 2026-10, as reported in
wicpa.org/news (2896) and news.bloomberglaw.com (irs-outlines-2026-business-standard-mileage-rate). Two listings report
76 cents from July 1, 2026, Announcement 2026-11: not confirmed. The kilometer is that of the mile, to the cent.
"""

from django.utils.translation import gettext_lazy as _

from estimating.catalogue.wanted import Wanted, counted
from estimating.models import RateKind

SAW, DUST = "equipment_saw", "equipment_dust"
HAUL = "disposal_haul"
TRIP, DISTANCE = "travel_trip", "travel_distance"

EQUIPMENT: tuple[Wanted, ...] = (
    counted(
        SAW,
        RateKind.EQUIPMENT,
        _("Wet saw and stand"),
        _("Each day of setting and cutting, a begun day counts: rent, or wear and blades of your own."),
        inch=("day", "45.00"),
        metric=("day", "45.00"),
    ),
    counted(
        DUST,
        RateKind.EQUIPMENT,
        _("Dust extractor and air cleaning"),
        _(
            "Each day of demolition, a begun day counts. Old tile, mortar and board hold silica, old paint may hold "
            "lead, old floors asbestos: what controls and which license the work takes, the law of the place decides, "
            "not this figure."
        ),
        inch=("day", "65.00"),
        metric=("day", "65.00"),
    ),
)
DISPOSAL: tuple[Wanted, ...] = (
    counted(
        HAUL,
        RateKind.DISPOSAL,
        _("Haul and dump"),
        _(
            "By area torn out: bags or container, the way to the dump, its fee. Waste with lead or asbestos has its "
            "own law."
        ),
        inch=("ft2", "1.60"),
        metric=("m2", "17.00"),
    ),
)
TRAVEL: tuple[Wanted, ...] = (
    counted(
        TRIP,
        RateKind.TRAVEL,
        _("The way there and back"),
        _("Each trip to the site, as a flat sum: parking, toll, fuel where the distance isn’t counted."),
        inch=("trip", "18.00"),
        metric=("trip", "18.00"),
    ),
    counted(
        DISTANCE,
        RateKind.TRAVEL,
        _("Distance"),
        _(
            "By the distance driven, each trip there and back; the site says how far it is. The example is the "
            "standard mileage rate for business of IRS Notice 2026-10, from January 2026: look up today’s."
        ),
        inch=("mi", "0.725"),
        metric=("km", "0.45"),
    ),
)
