"""The photo that comes with a form of the phone."""

from django.utils import timezone

from inspections.forms import PhoneForm
from jobs.actions import keep_photo
from jobs.models import Job, Photo
from shop.models import Staff


def keep_upload(form: PhoneForm, *, job: Job, by: Staff, caption: str) -> Photo | None:
    """The photo of a form that is valid, kept under the form's own key; None where none was sent. Raises Refused."""
    data = form.cleaned_data
    if not data["photo"]:
        return None
    return keep_photo(
        job=job, by=by, upload=data["photo"], happened_at=timezone.now(), caption=caption[:200], key=data["key"]
    )
