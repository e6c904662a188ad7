"""A sheet for the tape and a pencil: a blank for everything that the entry page of the shape asks."""

from html import unescape

import pytest
from django.urls import reverse

from rooms.entry import RoomEntry, state_of_shape
from rooms.models import SurfaceKind
from rooms.shapes import SHAPES

pytestmark = pytest.mark.django_db

ELSEWHERE = {"name", "kind", "sure", "first", "left wall", "right wall", "tile"}
"""Fields whose blank is a row's head, a tick in a line of its own, or nothing that anybody measures."""


def sheet(job, shape=""):
    return reverse("rooms:measure_sheet", args=[job.pk]) + (f"?shape={shape}" if shape else "")


def labels(form) -> set[str]:
    return {str(bound.label) for bound in form.visible_fields() if bound.name not in ELSEWHERE}


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_every_field_of_the_entry_page_has_its_blank(as_office, job, shape):
    text = unescape(as_office.get(sheet(job, shape.key)).text)
    entry = RoomEntry(state_of_shape(shape, unit="in"), unit="in")
    asked = labels(entry.room_form) | labels(entry.tile_form)
    asked |= labels(entry.blank_surface(SurfaceKind.WALL).openings[0].form) | {"Kind"}
    for part in entry.surfaces:
        asked |= labels(part.form)
        for leg in part.legs:
            asked |= labels(leg)
    heads = [cell.split("<")[0].lstrip("1234567 ") for cell in text.split('<th scope="col">')[1:]]
    blanks = [cell.split("<")[0] for cell in text.split("<span>")[1:]]
    assert asked - {*heads, *blanks} == set()
    # And nothing that isn't asked: a free outline has no widths.
    known = asked | {"Wall", "Plane", "Side", "Which wall or plane"}
    assert set(heads) - known == set()


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_each_shape_has_a_row_a_drawing_and_a_corner_for_each_of_its_planes(as_office, job, shape):
    text = as_office.get(sheet(job, shape.key)).text
    assert text.count("<figure>") == len(shape.surfaces)
    for surface in shape.surfaces:
        assert f'<th scope="row">{surface["name"]}</th>' in text
    assert text.count("set first:") == len(shape.corners)
    assert text.count("no build-up: both run to the corner") == len(shape.corners)
    is_free = any(surface.get("walked") for surface in shape.surfaces)
    assert ("sketch its outline here" in text, ">7</text>" in text) == (is_free, not is_free)


def test_the_page_for_a_new_room_leads_to_each(as_office, job):
    text = as_office.get(reverse("rooms:new", args=[job.pk])).text
    assert all(sheet(job, shape.key) in text for shape in SHAPES)


def test_an_unknown_shape_and_an_outsider_find_nothing(as_office, as_other_installer, job):
    assert as_office.get(sheet(job, "dome")).status_code == 404
    assert as_other_installer.get(sheet(job)).status_code == 403
