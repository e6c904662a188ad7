"""Clients and sites are the office's; an installer sees those of an assigned job, on the job's own pages."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser

from clients.models import Client, Site
from shop.access import not_found, require_office
from shop.models import Staff


def get_client(user: Staff | AnonymousUser, pk: UUID) -> Client:
    """The client, for owner and office; else PermissionDenied, or Http404 where there is none."""
    require_office(user)
    return Client.objects.filter(pk=pk).first() or not_found()


def get_site(user: Staff | AnonymousUser, pk: UUID) -> Site:
    """The site with its client, for owner and office; else PermissionDenied, or Http404 where there is none."""
    require_office(user)
    return Site.objects.select_related("client").filter(pk=pk).first() or not_found()
