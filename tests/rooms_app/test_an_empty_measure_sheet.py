"""A sheet for the tape and a pencil: a blank for every length that the entry page of the shape asks."""

import pytest
from django.urls import reverse

from rooms.shapes import SHAPES

pytestmark = pytest.mark.django_db


def sheet(job, shape=""):
    return reverse("rooms:measure_sheet", args=[job.pk]) + (f"?shape={shape}" if shape else "")


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_each_shape_has_a_row_a_drawing_and_a_corner_for_each_of_its_planes(as_office, job, shape):
    text = as_office.get(sheet(job, shape.key)).text
    assert text.count("<figure>") == len(shape.surfaces)
    for surface in shape.surfaces:
        assert f'<th scope="row">{surface["name"]}</th>' in text
    assert text.count("set first:") == len(shape.corners)
    for asked in ("Width", "Height", "From the left", "From the bottom", "Build-up", "Diagonal", "Joint"):
        assert asked in text


def test_the_page_for_a_new_room_leads_to_each(as_office, job):
    text = as_office.get(reverse("rooms:new", args=[job.pk])).text
    assert all(sheet(job, shape.key) in text for shape in SHAPES)


def test_an_unknown_shape_and_an_outsider_find_nothing(as_office, as_other_installer, job):
    assert as_office.get(sheet(job, "dome")).status_code == 404
    assert as_other_installer.get(sheet(job)).status_code == 403
