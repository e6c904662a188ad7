"""Photo first: the one press that opens the camera, on any page that knows its job."""

from typing import Any

from django import template

from jobs.forms import TakeForm
from jobs.models import Job

register = template.Library()


@register.inclusion_tag("jobs/_take.html", takes_context=True)
def take_photo(context: template.Context, job: Job, of: str = "") -> dict[str, Any]:
    """The button that takes a photo of the job at once; `of`: what it shows, as far as the page knows (a room)."""
    return {"job": job, "form": TakeForm(job=job, of=of), "csrf_token": context.get("csrf_token")}
