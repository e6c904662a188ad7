"""Everything that changes clients and their sites."""

from typing import TypedDict
from uuid import UUID

from base.keys import uuid7
from clients.models import Client, Site
from shop.audit import change
from shop.models import Staff


class SiteFields(TypedDict, total=False):
    street: str
    city: str
    region: str
    postal_code: str
    access_note: str
    year_built: int | None


def create_client(
    *,
    kind: str,
    name: str,
    contact: str = "",
    email: str = "",
    phone: str = "",
    note: str = "",
    site: SiteFields | None = None,
    by: Staff,
    key: UUID | None = None,
) -> Client:
    """A new client, with its first site where one is given. A form sent twice has the same `key`: one client."""
    key = key or uuid7()
    fields = {"kind": kind, "name": name, "contact": contact, "email": email, "phone": phone, "note": note}
    with change(by):
        client, new = Client.objects.get_or_create(pk=key, defaults=fields)
        if new and site:
            Site.objects.create(client=client, **site)
    return client


def change_client(
    *,
    client: Client,
    kind: str,
    name: str,
    contact: str = "",
    email: str = "",
    phone: str = "",
    note: str = "",
    by: Staff,
) -> Client:
    with change(by):
        client.kind, client.name, client.contact = kind, name, contact
        client.email, client.phone, client.note = email, phone, note
        client.save(update_fields=["kind", "name", "contact", "email", "phone", "note"])
    return client


def add_site(
    *,
    client: Client,
    street: str,
    city: str = "",
    region: str = "",
    postal_code: str = "",
    access_note: str = "",
    year_built: int | None = None,
    by: Staff,
    key: UUID | None = None,
) -> Site:
    """A new site of the client. A form sent twice has the same `key`: one site."""
    fields = {
        "client": client,
        "street": street,
        "city": city,
        "region": region,
        "postal_code": postal_code,
        "access_note": access_note,
        "year_built": year_built,
    }
    with change(by):
        return Site.objects.get_or_create(pk=key or uuid7(), defaults=fields)[0]


def change_site(
    *,
    site: Site,
    street: str,
    city: str = "",
    region: str = "",
    postal_code: str = "",
    access_note: str = "",
    year_built: int | None = None,
    by: Staff,
) -> Site:
    with change(by):
        site.street, site.city, site.region, site.postal_code = street, city, region, postal_code
        site.access_note, site.year_built = access_note, year_built
        site.save(update_fields=["street", "city", "region", "postal_code", "access_note", "year_built"])
    return site
