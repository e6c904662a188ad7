"""Clients out of a spreadsheet: what each row would do, and who is there already."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django import forms
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.keys import uuid7
from base.tables import Column, Line, Table, bare
from clients.models import Client, ClientKind, Site
from shop.table_files import Fate

_CLIENT = ("kind", "name", "contact", "phone", "email")
_SITE = ("street", "city", "region", "postal_code")
COLUMNS = (
    Column(key="name", label=gettext_lazy("Name"), also=("client", "company"), required=True),
    Column(key="kind", label=gettext_lazy("Kind")),
    Column(key="contact", label=gettext_lazy("Contact"), also=("who to ask for",)),
    Column(key="phone", label=gettext_lazy("Phone"), also=("telephone", "phone number", "cell", "mobile")),
    Column(key="email", label=gettext_lazy("Email"), also=("email address",)),
    Column(key="street", label=gettext_lazy("Street"), also=("address",)),
    Column(key="city", label=gettext_lazy("City"), also=("town",)),
    Column(key="region", label=gettext_lazy("State or region"), also=("state", "region", "province")),
    Column(key="postal_code", label=gettext_lazy("Postal code"), also=("zip", "zip code", "postcode")),
)
_LABELS = {column.key: column.label for column in COLUMNS}


@dataclass(eq=False)
class Person:
    """A client as rows are compared with: in the database, or of an earlier row."""

    label: str
    pk: UUID = field(default_factory=uuid7)
    reached: set[str] = field(default_factory=set)
    """Phone numbers and addresses, bare."""
    streets: set[str] = field(default_factory=set)


@dataclass(frozen=True, kw_only=True)
class ClientFate(Fate):
    """`person` is whom the row is about, `known` whether they were there before it; `other_site`: whether its street is
    a new one for them."""

    client: dict[str, str] = field(default_factory=dict)
    site: dict[str, str] = field(default_factory=dict)
    person: Person = field(default_factory=lambda: Person(label=""))
    known: bool = False
    other_site: bool = False


def fates_of(table: Table) -> list[ClientFate]:
    """In the order of the rows. A client is known by the name with the phone, email or street; by the name alone where
    the row has none of these. 2 queries, however many rows."""
    people = _people()
    fields = {**_form_fields(Client, _CLIENT), **_form_fields(Site, _SITE)}
    return [_fate(line, people, fields) for line in table.lines]


def _form_fields(model: type[models.Model], names: Iterable[str]) -> dict[str, forms.Field]:
    return forms.fields_for_model(model, fields=list(names))


def _people() -> dict[str, list[Person]]:
    """All clients with their sites, by name in small letters."""
    people: dict[str, list[Person]] = {}
    by_key: dict[UUID, Person] = {}
    for pk, name, phone, email in Client.objects.values_list("pk", "name", "phone", "email"):
        label = ", ".join(filter(None, (name, phone or email)))
        by_key[pk] = Person(label=label, pk=pk, reached=_reached(phone, email))
        people.setdefault(_same(name), []).append(by_key[pk])
    for client, street, city in Site.objects.values_list("client_id", "street", "city"):
        by_key[client].streets.add(_place(street, city))
    return people


def _same(text: str) -> str:
    return " ".join(text.split()).casefold()


def _place(street: str, city: str) -> str:
    return bare(f"{street} {city}")


def _reached(phone: str, email: str) -> set[str]:
    # The last ten: with or without a country's code before them.
    digits = "".join(sign for sign in phone if sign.isdigit())[-10:]
    return {way for way in (digits, email.casefold()) if way}


def _fate(line: Line, people: dict[str, list[Person]], fields: dict[str, forms.Field]) -> ClientFate:
    values, errors = _cleaned(line, fields)
    if errors:
        name = line.cells["name"] or _("no name")
        return ClientFate(number=line.number, name=name, word=_("can't be taken"), badge="late", text=" ".join(errors))
    client = {key: values[key] for key in _CLIENT}
    site = {key: values[key] for key in _SITE} if values["street"] else {}
    reached = _reached(client["phone"], client["email"])
    place = _place(site["street"], site["city"]) if site else ""
    namesakes = people.setdefault(_same(client["name"]), [])
    person = next((each for each in namesakes if _is_them(each, reached, place)), None)
    known = person is not None
    if person is None:
        person = Person(label=_("row %(row)s") % {"row": line.number})
        namesakes.append(person)
    other_site = bool(site) and place not in person.streets
    person.reached |= reached
    person.streets |= {place} - {""}
    says = _says(person, other_site) if known else _details(client, site)
    return ClientFate(
        number=line.number,
        name=client["name"],
        word=_("known") if known else _("new client"),
        badge="todo" if known else "now",
        text=says,
        client=client,
        site=site,
        person=person,
        known=known,
        other_site=other_site,
    )


def _is_them(person: Person, reached: set[str], place: str) -> bool:
    if not reached and not place:
        return True
    return bool(person.reached & reached) or place in person.streets


def _says(person: Person, other_site: bool) -> str:
    figures = {"who": person.label}
    if other_site:
        return _("Is there already: %(who)s. The street is another one.") % figures
    return _("Is there already: %(who)s.") % figures


def _details(client: dict[str, str], site: dict[str, str]) -> str:
    return ", ".join(filter(None, (client["contact"], client["phone"], client["email"], *site.values())))


def _cleaned(line: Line, fields: dict[str, forms.Field]) -> tuple[dict[str, Any], list[str]]:
    """The values of the row, and what is wrong with it."""
    values: dict[str, Any] = {}
    errors = []
    for key, each in fields.items():
        text = line.cells.get(key, "")
        if key == "kind":
            text = _kind(text)
        if key == "street" and not text:
            values[key] = ""
            if any(line.cells.get(other) for other in _SITE):
                errors.append(_("A site needs its street."))
            continue
        try:
            values[key] = each.clean(text)
        except forms.ValidationError as error:
            errors += [f"{_LABELS[key]}: {message}" for message in error.messages]
    return values, errors


def _kind(text: str) -> str:
    """A person, unless the row says otherwise."""
    named = {bare(str(label)): str(value) for value, label in ClientKind.choices}
    return named.get(bare(text), text) if text else ClientKind.PERSON
