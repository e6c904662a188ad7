"""Who works in the demo shop, and who its clients are. Nobody here exists."""

import secrets
from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from clients.actions import SiteFields, create_client
from clients.distance import to_km
from clients.models import Client, ClientKind
from estimating.actions import set_hourly_cost
from shop.actions import change_settings, create_staff
from shop.models import Role, Staff


@dataclass(frozen=True, slots=True, kw_only=True)
class Cast:
    """The five people of the shop, and the passwords that were made for this install, by log-in name."""

    owner: Staff
    office: Staff
    rui: Staff
    marek: Staff
    noor: Staff
    passwords: dict[str, str]


def set_up_shop() -> None:
    change_settings(
        by=None,
        name="Vantlemoor & Daughter Tile",
        phone="555-0117",
        email="office@example.com",
        address="3 Kiln Yard\nAverlin Falls",
        license_line="Sample shop, no license",
        units="in",
        paper="letter",
        currency="USD",
        time_zone="America/New_York",
        locale="en-us",
        tax_percent=Decimal("6.25"),
        markup_percent=Decimal(35),
        work_starts=time(7, 30),
        work_ends=time(16, 0),
        work_days=[1, 2, 3, 4, 5],
        demo=True,
    )


def hire() -> Cast:
    passwords: dict[str, str] = {}

    def person(username: str, name: str, role: Role, phone: str) -> Staff:
        passwords[username] = secrets.token_urlsafe(9)
        return create_staff(
            username=username,
            name=name,
            role=role,
            password=passwords[username],
            email=f"{username}@example.com",
            phone=phone,
            by=None,
        )

    return Cast(
        owner=person("ines", "Ines Vantlemoor", Role.OWNER, "555-0118"),
        office=person("petra", "Petra Oddlestrand", Role.OFFICE, "555-0119"),
        rui=person("rui", "Rui Marbellow", Role.INSTALLER, "555-0120"),
        marek=person("marek", "Marek Tinderquay", Role.INSTALLER, "555-0121"),
        noor=person("noor", "Noor Hallowreed", Role.INSTALLER, "555-0122"),
        passwords=passwords,
    )


def pay(cast: Cast) -> None:
    """What an hour of each installer costs: wages and burdens are invented, their mean is that of the example rates."""
    for person, wage, burden_percent in ((cast.rui, 50, 40), (cast.marek, 44, 40), (cast.noor, 40, 36)):
        set_hourly_cost(person=person, wage=Decimal(wage), burden_percent=Decimal(burden_percent), by=cast.owner)


def client(
    name: str,
    street: str,
    *,
    phone: str,
    by: Staff,
    kind: ClientKind = ClientKind.PERSON,
    access_note: str = "",
    year_built: int | None = None,
    miles: str = "4",
) -> Client:
    """A client with one site in a town that isn't on any map, so many miles from the shop."""
    site = SiteFields(
        street=street,
        city="Averlin Falls",
        access_note=access_note,
        year_built=year_built,
        distance_km=to_km(Decimal(miles)),
    )
    email = name.split()[0].lower() + "@example.com"
    return create_client(kind=kind, name=name, email=email, phone=phone, site=site, by=by)
