"""A drawing is kept in English; who reads another language gets the same drawing with its words in that one."""

import re

import pytest
from django.utils import translation

from layout.drawing import draw_surface
from layout.rereading import least_of, surfaces_of
from rooms.actions import choose_layout, import_room
from rooms.chosen import chosen_room
from rooms.models import Room, Survey
from rooms.sheet import sheet_of
from rooms.surveys.shown import shown
from tests.layout.nasty import nasty
from tests.rooms_app.files import sample
from tests.rooms_app.surveying import filled, save

pytestmark = pytest.mark.django_db

ENGLISH = re.compile(r"\b(level line|from|wide|high|up|joints|drift|piece|course|column|every|line|heavy|over)\b")
ROOMS = {"shower": "shower", "hall": "dry_floor", "nasty": "shower"}


@pytest.fixture(params=ROOMS)
def laid_out(request, job, owner):
    files = {
        "shower": lambda: sample("quarry-lane-shower"),
        "hall": lambda: sample("station-hall-floor"),
        "nasty": nasty,
    }
    room = import_room(job=job, data=files[request.param](), place=ROOMS[request.param], by=owner)
    return choose_layout(room=room, option=1, why="", by=owner)


def written(svg: str) -> list[str]:
    return re.findall(r"<(?:text|desc)[^>]*>([^<]*)<", svg)


def lengths(svg: str) -> set[str]:
    """Every length in inches on it. Longer words leave room for fewer names of pieces, never for fewer lengths."""
    return set(re.findall(r"(?:\d+ )?(?:\d+/)?\d+(?=&quot;|\")", " ".join(written(svg))))


def test_a_layout_read_back_is_drawn_as_it_was_kept(laid_out):
    room = chosen_room(laid_out).room
    option = laid_out.result["options"][0]
    again = {
        key: draw_surface(room, room.surface(key), laid, least_of(option))
        for key, laid in surfaces_of(option, room).items()
    }
    assert again == {drawing["id"]: drawing["svg"] for drawing in laid_out.drawings}


def test_the_sheet_is_drawn_in_spanish_with_the_same_figures(laid_out):
    with translation.override("es-us"):
        spanish = {surface.id: str(surface.svg) for surface in sheet_of(laid_out).surfaces}
    for drawing in laid_out.drawings:
        said = " ".join(written(spanish[drawing["id"]]))
        assert not ENGLISH.findall(said), said
        assert lengths(drawing["svg"])
        # What has no place is told under a drawing, up to a point; which ones these are depends on the words, too.
        if "and more" not in drawing["svg"]:
            assert lengths(spanish[drawing["id"]]) == lengths(drawing["svg"])
    assert "línea" in " ".join(written("".join(spanish.values())))


def test_a_survey_is_drawn_in_spanish_with_the_same_figures(as_owner, room: Room):
    fields = filled(as_owner, room, "floor", [["0", "1/4", "0"], ["0", "-1/2", "0"]], places=["0", "24", "48"])
    save(as_owner, room, fields)
    survey = Survey.objects.get()
    with translation.override("es-us"):
        spanish = {name: str(svg) for name, svg in (shown(survey).pictures or {}).items()}
    assert spanish.keys() == {drawing["id"] for drawing in survey.drawings}
    for drawing in survey.drawings:
        said = " ".join(written(spanish[drawing["id"]])).replace("Line ", "")
        assert not ENGLISH.findall(said), said
        assert lengths(spanish[drawing["id"]]) == lengths(drawing["svg"])
