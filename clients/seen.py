"""What a form of a client or a site has seen of it."""

from base.seen import seen_of
from clients.models import Client, Site

CLIENT = ("kind", "name", "contact", "email", "phone", "note")
SITE = ("street", "city", "region", "postal_code", "access_note", "year_built", "distance_km")


def seen_client(client: Client) -> str:
    return seen_of([client], CLIENT)


def seen_site(site: Site) -> str:
    return seen_of([site], SITE)
