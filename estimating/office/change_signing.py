"""A change order approved without the link: on the shop's device, which the client holds, or by a paper."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from base.errors import Refused
from documents.responses import send_upload
from estimating import access
from estimating.actions import approve_change
from estimating.change_forms import ApproveForm, ChangePaperForm
from estimating.change_queries import ChangeView, view_of
from estimating.client import address_of
from estimating.models import ChangeApproval
from estimating.office.changes import offer_read, show_change
from shop.access import not_found, require_office
from shop.languages import for_clients


@never_cache
@require_http_methods(["GET", "POST"])
def change_sign(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What the client reads and signs on the shop's device: the change as it was offered, and nothing of the shop's,
    before and after. Button: approve."""
    change = access.get_change(request.user, pk)
    witness = require_office(request.user)
    form, status = ApproveForm(request.POST or None), 422
    if form.is_valid():
        try:
            approve_change(
                offer=offer_read(request, change),
                typed_name=form.cleaned_data["typed_name"],
                strokes=form.cleaned_data["strokes"],
                witness=witness,
                address=address_of(request),
                browser=request.headers.get("User-Agent", ""),
            )
        except Refused as error:
            form.add_error(None, str(error))
            status = 409
        else:
            return redirect("estimating:change_sign", pk)
    return _page(request, view_of(change), form, status=status if form.errors else 200)


@for_clients
def _page(request: HttpRequest, view: ChangeView, form: ApproveForm, *, status: int) -> HttpResponse:
    offer = view.change.offers.select_related("document").first() or not_found()
    context = {
        "view": view,
        "offer": offer,
        "letter": offer.content,
        "form": form,
    }
    return render(request, "estimating/office/change_sign.html", context, status=status)


@never_cache
@require_http_methods(["GET", "POST"])
def change_on_paper(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Somebody of the shop attaches the change order that came back signed by hand."""
    change = access.get_change(request.user, pk)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:change", pk)
    form, status = ChangePaperForm(request.POST, request.FILES, prefix="paper"), 422
    if form.is_valid():
        try:
            approve_change(
                offer=offer_read(request, change, version=str(form.cleaned_data["version"])),
                typed_name=form.cleaned_data["typed_name"],
                paper=form.signed,
                witness=require_office(request.user),
                address=address_of(request),
                browser=request.headers.get("User-Agent", ""),
            )
        except Refused as error:
            form.add_error(None, str(error))
            status = 409
        else:
            messages.success(request, _("Approved: it counts in the job’s sum now."))
            return redirect("estimating:change", pk)
    return show_change(request, view_of(change), paper_form=form, status=status)


@require_GET
def change_signed_paper(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The paper that was signed by hand, as it was attached."""
    change = access.get_change(request.user, pk)
    approval = ChangeApproval.objects.filter(change=change).exclude(paper="").first() or not_found()
    return send_upload(approval.paper)
