"""Clients and their sites, for owner and office."""

from typing import cast
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from base.errors import ChangedMeanwhile
from clients import actions
from clients.access import get_client, get_site
from clients.cautions import cautions_for
from clients.forms import ChangeClientForm, ChangeSiteForm, NewClientForm, NewSiteForm, SearchForm, SiteForm
from clients.models import Client
from clients.queries import search_clients, sites_of
from shop.access import require_office

ON_A_PAGE = 25


def client_list(request: HttpRequest) -> HttpResponse:
    require_office(request.user)
    search = SearchForm(request.GET)
    page = Paginator(search_clients(search.words), ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "clients/office/list.html", {"search": search, "page": page, "words": search.words})


def new(request: HttpRequest) -> HttpResponse:
    """A client and the first site in one form. `?then=job` goes on to a new job at that site."""
    staff = require_office(request.user)
    form = NewClientForm(request.POST or None)
    site_form = SiteForm(request.POST or None, prefix="site")
    if request.method == "POST" and form.is_valid() & site_form.is_valid():
        client = actions.create_client(
            **form.cleaned_data, site=cast("actions.SiteFields", site_form.cleaned_data), by=staff
        )
        messages.success(request, _("%(name)s is in the clients now.") % {"name": client.name})
        return _onward(request, client)
    return render(request, "clients/office/new.html", {"form": form, "site_form": site_form})


def detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    client = get_client(request.user, pk)
    sites = [(site, cautions_for(site.year_built)) for site in sites_of(client)]
    jobs = Paginator(client.jobs.select_related("site"), ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "clients/office/detail.html", {"client": client, "sites": sites, "page": jobs})


def edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    client = get_client(request.user, pk)
    # The form gets its own copy: it writes into its instance even where it finds errors.
    form = ChangeClientForm(request.POST or None, instance=get_client(request.user, pk))
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_client(client=client, **form.cleaned_data, by=require_office(request.user))
        except ChangedMeanwhile as refusal:
            form.add_error(None, str(refusal))
            form.look_again(ChangeClientForm(instance=get_client(request.user, pk)))
        else:
            messages.success(request, _("Saved: %(name)s.") % {"name": client.name})
            return redirect("clients:detail", client.pk)
    return render(request, "clients/office/edit.html", {"client": client, "form": form})


def site_new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A site of the client `pk`. `?then=job` goes on to a new job there."""
    client = get_client(request.user, pk)
    form = NewSiteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        site = actions.add_site(client=client, **form.cleaned_data, by=require_office(request.user))
        messages.success(request, _("Saved: %(name)s.") % {"name": site})
        return _onward(request, client)
    return render(request, "clients/office/site.html", {"client": client, "form": form})


def site_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    site = get_site(request.user, pk)
    form = ChangeSiteForm(request.POST or None, instance=get_site(request.user, pk))
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_site(site=site, **form.cleaned_data, by=require_office(request.user))
        except ChangedMeanwhile as refusal:
            form.add_error(None, str(refusal))
            form.look_again(ChangeSiteForm(instance=get_site(request.user, pk)))
        else:
            messages.success(request, _("Saved: %(name)s.") % {"name": site})
            return redirect("clients:detail", site.client_id)
    cautions = cautions_for(site.year_built)
    context = {"client": site.client, "site": site, "form": form, "cautions": cautions}
    return render(request, "clients/office/site.html", context)


def _onward(request: HttpRequest, client: Client) -> HttpResponse:
    if request.GET.get("then") == "job":
        return redirect(f"{reverse('jobs:new')}?{urlencode({'client': client.pk})}")
    return redirect("clients:detail", client.pk)
