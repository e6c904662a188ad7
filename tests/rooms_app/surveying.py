"""Survey pages as a person fills them in: a grid of readings, posted."""

from django.urls import reverse

from tests.rooms_app.pages import fields_of


def new_page(room, kind, **more):
    """The address of a new survey's page."""
    query = "&".join(f"{name}={value}" for name, value in {"kind": kind, **more}.items())
    return f"{reverse('rooms:survey_new', args=[room.pk])}?{query}"


def filled(client, room, kind, lines, *, places, at=None, surface="", **settings):
    """What is posted for `lines` of readings at `places`; a reading of "" wasn't taken."""
    fields = fields_of(client.get(new_page(room, kind, surface=surface)).text)
    kept = {name: text for name, text in fields.items() if not name.startswith(("line-", "place-"))}
    kept |= {"lines": str(len(lines)), "places": str(len(places))}
    kept |= {f"place-{number}": place for number, place in enumerate(places)}
    for index, readings in enumerate(lines):
        kept[f"line-{index}-at"] = at[index] if at else str(index * 16)
        kept |= {f"line-{index}-{number}": out for number, out in enumerate(readings)}
    return kept | settings


def save(client, room, fields):
    return client.post(reverse("rooms:survey_new", args=[room.pk]), {**fields, "save": ""})
