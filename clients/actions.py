"""Everything that changes clients and their sites."""

from decimal import Decimal
from typing import Literal, TypedDict
from uuid import UUID

from base.keys import uuid7
from base.seen import check_seen
from base.tables import Table
from clients.client_list import fates_of
from clients.models import Client, Site
from clients.seen import CLIENT, SITE, seen_client, seen_site
from shop.actions import locked_settings
from shop.audit import change
from shop.models import Staff
from shop.table_files import check_fates


class SiteFields(TypedDict, total=False):
    street: str
    city: str
    region: str
    postal_code: str
    access_note: str
    year_built: int | None
    distance_km: Decimal | None


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
    seen: str | None = None,
) -> Client:
    """The client with these fields. `seen`: what the form saw of it. Raises ChangedMeanwhile."""
    with change(by):
        now = seen_client(Client.objects.select_for_update(no_key=True).get(pk=client.pk))
        client.kind, client.name, client.contact = kind, name, contact
        client.email, client.phone, client.note = email, phone, note
        check_seen(now, seen, wanted=seen_client(client))
        client.save(update_fields=CLIENT)
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
    distance_km: Decimal | None = None,
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
        "distance_km": distance_km,
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
    distance_km: Decimal | None = None,
    by: Staff,
    seen: str | None = None,
) -> Site:
    """The site with these fields. `seen`: what the form saw of it. Raises ChangedMeanwhile."""
    with change(by):
        now = seen_site(Site.objects.select_for_update(no_key=True).get(pk=site.pk))
        site.street, site.city, site.region, site.postal_code = street, city, region, postal_code
        site.access_note, site.year_built, site.distance_km = access_note, year_built, distance_km
        check_seen(now, seen, wanted=seen_site(site))
        site.save(update_fields=SITE)
    return site


WithKnown = Literal["skip", "site", "again"]


def take_clients(*, table: Table, seen: str, with_known: WithKnown, by: Staff) -> tuple[int, int, int]:
    """Enters every client of the table, or none. `seen`: of the fates that `by` was shown. `with_known`: clients who
    are there already are left out, get the row's street as another site, or are entered once more. Returns how many
    clients and sites were entered, and how many rows were of somebody who was there.

    Raises ChangedSince where a row would fare otherwise now, Refused where one can't be taken.
    """
    with change(by):
        # Two people who take over one table at once take turns.
        locked_settings()
        fates = fates_of(table)
        check_fates(fates, seen=seen)
        clients, sites = [], []
        for fate in fates:
            again = fate.known and with_known == "again"
            key = uuid7() if again else fate.person.pk
            if again or not fate.known:
                clients.append(Client(pk=key, **fate.client))
            if fate.site and (again or not fate.known or (with_known == "site" and fate.other_site)):
                sites.append(Site(client_id=key, **fate.site))
        Client.objects.bulk_create(clients)
        Site.objects.bulk_create(sites)
    return len(clients), len(sites), len(fates) - len(clients)
