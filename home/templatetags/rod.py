from typing import Any

from django import template

from home.rod import rod_of
from jobs.models import Job

register = template.Library()


@register.inclusion_tag("_rod.html")
def job_rod(job: Job, across: bool = False) -> dict[str, Any]:
    """The rod of `job`; `across` lays it across the top, as on the phone."""
    return {"segments": rod_of(job), "across": across}
