"""How a page hands out a document and shows how far it is. Who may see it is the calling view's business."""

import logging
import mimetypes

from django.contrib.auth.base_user import AbstractBaseUser
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _

from documents import actions
from documents.models import Document, State

log = logging.getLogger(__name__)


def send(document: Document, *, download: bool = False) -> HttpResponseBase:
    """The document's bytes as they were made. Raises Http404 while it isn't ready, and where its file is gone."""
    if document.state != State.READY:
        raise Http404(_("This document isn't ready yet."))
    try:
        file = document.file.open("rb")
    except FileNotFoundError:
        log.error("document %s is ready, but its file %s is gone", document.pk, document.file.name)
        raise Http404(_("The file of this document is gone from the server. Ask for it from a backup.")) from None
    response = FileResponse(
        file,
        as_attachment=download,
        filename=f"{slugify(document.title) or document.pk}.pdf",
        content_type="application/pdf",
    )
    _keep_private(response)
    response["ETag"] = f'"{document.sha256}"'
    return response


def send_upload(name: str, *, filename: str = "") -> HttpResponseBase:
    """What somebody uploaded, as it came; `filename`: what it is called there. Always a download: nothing in it runs in
    our pages. Raises Http404 where its file is gone."""
    try:
        file = default_storage.open(name, "rb")
    except FileNotFoundError:
        log.error("the file %s is gone", name)
        raise Http404(_("The file of this document is gone from the server. Ask for it from a backup.")) from None
    response = FileResponse(
        file,
        as_attachment=True,
        filename=filename or name.rpartition("/")[2],
        content_type=mimetypes.guess_type(name)[0],
    )
    _keep_private(response)
    return response


def _keep_private(response: HttpResponseBase) -> None:
    """A client's name and price stay out of every cache, also the browser's own on a shared machine."""
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"


def send_state(
    request: HttpRequest,
    document: Document,
    *,
    state_url: str,
    file_url: str,
    by: AbstractBaseUser | None = None,
) -> HttpResponse:
    """The answer of the view behind `state_url`, which takes GET and, where `by` may try again, POST `try_again`.

    For htmx the fragment, or 204 while the state is still the one that it shows (`?was=`); else a small page.
    """
    if request.method == "POST":
        if by is not None and "try_again" in request.POST and document.state == State.FAILED:
            actions.try_again(document=document, by=by)
        return redirect(state_url)
    if request.headers.get("HX-Request") != "true":
        template = "documents/state.html"
    elif request.GET.get("was") == f"{document.state}-{document.attempts}":
        return HttpResponse(status=204)
    else:
        template = "documents/_state_inner.html"
    response = render(request, template, {"document": document, "state_url": state_url, "file_url": file_url})
    response["Cache-Control"] = "private, no-store"
    return response
