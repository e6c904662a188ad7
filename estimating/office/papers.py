"""Papers that were signed by hand, as they were attached."""

import mimetypes

from django.core.files.storage import default_storage
from django.http import FileResponse

from estimating.models import Acceptance, ChangeApproval


def send_paper(signed: Acceptance | ChangeApproval) -> FileResponse:
    """Always a download: nothing in it runs in our pages."""
    response = FileResponse(
        default_storage.open(signed.paper, "rb"),
        as_attachment=True,
        filename=signed.paper.rpartition("/")[2],
        content_type=mimetypes.guess_type(signed.paper)[0],
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    return response
