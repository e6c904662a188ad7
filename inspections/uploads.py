"""The photo that comes with a form of the phone."""

from datetime import datetime

from jobs.actions import keep_photo
from jobs.models import Job, Photo
from shop.models import Staff
from shop.phone_form import PhoneForm


def keep_upload(form: PhoneForm, *, job: Job, by: Staff, caption: str, happened_at: datetime) -> Photo | None:
    """The photo of a form that is valid, kept under the form's own key; None where none was sent. Raises Refused."""
    data = form.cleaned_data
    if not data["photo"]:
        return None
    return keep_photo(
        job=job, by=by, upload=data["photo"], happened_at=happened_at, caption=caption[:200], key=data["key"]
    )
