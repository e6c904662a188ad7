"""What the demo shop pays for beside the catalogue: invented, and marked so."""

from decimal import Decimal

from config.demo.people import Cast
from estimating.actions import add_rate_line, make_own_rate
from estimating.models import Rate, RateKind
from jobs.models import Job

FLOOR_PROTECTION = "Floor protection, self-stick"


def make_own_rates(cast: Cast) -> None:
    """A container, floor protection by the roll, and a tall ladder."""
    make_own_rate(
        name="Container for debris", kind=RateKind.DISPOSAL, unit="load", cost=Decimal(420), example=True, by=cast.owner
    )
    make_own_rate(
        name=FLOOR_PROTECTION,
        kind=RateKind.MATERIAL,
        unit="ft2",
        cost=Decimal(68),
        package=Decimal(200),
        product="Paper-faced fleece",
        supplier="Quillon Yard",
        example=True,
        by=cast.owner,
    )
    make_own_rate(
        name="Tall ladder", kind=RateKind.EQUIPMENT, unit="day", cost=Decimal(38), example=True, by=cast.owner
    )


def floor_protection(cast: Cast, job: Job) -> None:
    """The way to the counter, as a line of the estimate by the shop's own rate."""
    rate = Rate.objects.in_force().get(name=FLOOR_PROTECTION)
    add_rate_line(job=job, rate=rate, quantity=Decimal(260), text="Floor protection on the way in", by=cast.owner)
