"""Readings of a substrate are typed or tapped on a page, judged by the engine, and kept for good."""

from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.db.utils import Error as DatabaseError
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from rooms.actions import HasRecords, import_room, keep_survey, remove_room
from rooms.models import Survey
from shop.actions import set_limit
from tests.rooms_app.files import one_wall
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(job, owner):
    """A wall and a floor of 96 by 48 in under tile of 24 in."""
    data = one_wall(units="in", tile={"width": 24, "height": 24, "thickness": "3/8"}, joint="1/8")
    floor = {"id": "floor", "name": "Floor", "kind": "floor", "outline": [[0, 0], [96, 0], [96, 48], [0, 48]]}
    data["surfaces"][0]["outline"] = [[0, 0], [64, 0], [64, 96], [0, 96]]
    data["surfaces"].append(floor)
    return import_room(job=job, data=data, place="wet_floor", by=owner)


def page_of(client, room, kind):
    return client.get(reverse("rooms:new_survey", args=[room.pk]), {"kind": kind})


def sent(client, room, kind, *, press="save", **typed):
    """Open the page, type, press a button; the answer."""
    fields = fields_of(page_of(client, room, kind).text)
    for name in ("save", "grid"):
        fields.pop(name, None)
    return client.post(reverse("rooms:new_survey", args=[room.pk]), {**fields, **typed, press: "1"})


def only():
    return Survey.objects.get()


def test_the_grid_begins_with_what_the_wall_is(as_installer, room):
    """64 in of wall with studs 16 in apart: 5 studs; 96 in high, read every 24 in: 5 readings."""
    fields = fields_of(page_of(as_installer, room, "studs").text)
    assert {name: fields[name] for name in ("lines", "apart", "readings", "step", "edge")} == {
        "lines": "5", "apart": '16"', "readings": "5", "step": '24"', "edge": '24"',
    }  # fmt: skip
    assert sum(name.startswith("r-") for name in fields) == 25


def test_the_installer_reads_studs_and_gets_verdict_and_schedule(as_installer, room, installer):
    """A stud that lies back by 1/4 in at its middle: 1/4 in under a 10 ft straightedge (the stud's 8 ft here).

    TRADE: with an edge of 15 in or more, 1/8 in in 10 ft (A108.02). So it fails.
    """
    typed = {f"r-{stud}-{reading}": "0" for stud in range(5) for reading in range(5)}
    answer = sent(as_installer, room, "studs", **{**typed, "r-2-2": "-1/4"})
    survey = only()
    assert answer.url == reverse("rooms:survey", args=[survey.pk])
    assert (survey.read_by, survey.result["verdict"]) == (installer, "fails")
    worst = max(gap["gap_mm"] for line in survey.result["lines"] for gap in line["gaps"])
    assert worst == pytest.approx(6.35)
    text = as_installer.get(answer.url).text
    assert "Fails" in text
    assert "stud 3: " in text
    assert "A108.02" in text


def test_the_widest_gap_is_the_one_between_readings(room, owner):
    """The profile (0, 10), (40, 0), (100, 12) has 5.4 under 48, where readings alone
    give 3.0 (worked out by hand, the format's own example). Here 10 ft stand for the
    48, the heights are mm.
    """
    line = [[0, 10], [3048 * 40 / 48, 0], [3048 * 100 / 48, 12]]
    data = {
        "format": "gaugerod-survey/1", "units": "mm", "kind": "wall", "tile_longest_edge": 600,
        "lines": [{"id": "line 1", "at": 0, "readings": line}],
    }  # fmt: skip
    survey = keep_survey(room=room, where="Wall", data=data, by=owner)
    (gap,) = [each for each in survey.result["lines"][0]["gaps"] if each["length_mm"] == pytest.approx(3048)]
    assert gap["gap_mm"] == pytest.approx(5.4, abs=0.05)


def test_readings_left_empty_were_not_taken(as_owner, room):
    answer = sent(as_owner, room, "wall", **{"r-0-0": "0", "r-0-4": "1/8", "r-3-1": "-1/16"})
    assert answer.status_code == 302
    lines = only().data["lines"]
    assert [(line["id"], len(line["readings"])) for line in lines] == [("line 1", 2), ("line 4", 1)]
    assert lines[0]["readings"][1] == ["2438.4 mm", "3.175 mm"]


def test_a_floor_is_brought_to_a_slope_with_its_picture(as_owner, room):
    """Level as read, 96 by 48 in, sloped 1 % along its 48 in: a wedge of 96 × 48 × 48/100/2 in³ = 18.1 L."""
    floor = {f"r-{line}-{reading}": "0" for line in range(5) for reading in range(3)}
    typed = {**floor, "to": "slope", "fall": "1 %", "toward": "end", "lines": "5", "readings": "3"}
    assert sent(as_owner, room, "floor", **typed).status_code == 302
    survey = only()
    liters = 96 * 48 * 0.48 / 2 * 25.4**3 / 1e6
    assert survey.result["leveling"]["volume_l"] == pytest.approx(liters, abs=0.06)
    text = as_owner.get(reverse("rooms:survey", args=[survey.pk])).text
    assert "<svg" in text
    assert survey.result["leveling"]["volume_text"].split(" L")[0] in text


def test_a_bed_has_its_heights_and_its_mortar(as_owner, room):
    """A square of 48 in, drain in its middle, 1/4 in a foot: corners 24·√2/12/4 = 0.707 in over the drain."""
    typed = {"width": "48", "depth": "48", "drain_x": "24", "drain_y": "24", "slope": "1/4", "least_bed": "1 1/4"}
    assert sent(as_owner, room, "bed", **typed).status_code == 302
    (way, *_) = only().result["bed"]["ways"]
    corners = [spot["height_mm"] for spot in way["perimeter"] if spot["kind"] == "corner"]
    assert corners == pytest.approx([24 * 2**0.5 / 48 * 25.4] * 4, abs=0.1)
    assert "Height around the edge" in as_owner.get(reverse("rooms:survey", args=[only().pk])).text


@pytest.mark.parametrize(
    ("kind", "typed", "field", "word"),
    [
        ("studs", {"r-0-0": "0", "r-1-2": "a hair"}, "id_r-1-2", "a hair"),
        ("studs", {}, "errors", "Type at least one reading."),
        ("studs", {"r-0-0": "0", "edge": ""}, "id_edge", "required"),
        ("studs", {"r-0-0": "500"}, "id_r-0-0", "too far from the laser plane"),
        ("floor", {"r-0-0": "0", "to": "slope", "fall": ""}, "id_fall", "This is missing"),
        ("floor", {"r-0-0": "0", "to": "slope", "fall": "steep"}, "id_fall", "steep"),
        ("bed", {"drain_x": "200", "drain_y": "24", "least_bed": "1"}, "id_drain_x", "lie in the outline"),
        ("bed", {"drain_x": "40", "drain_y": "24", "least_bed": ""}, "id_least_bed", "required"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_typed_is_lost(as_owner, room, kind, typed, field, word):
    answer = sent(as_owner, room, kind, **typed)
    assert answer.status_code == 200
    assert not Survey.objects.exists()
    assert f'href="#{field}"' in answer.text or field == "errors"
    assert word in answer.text
    kept = fields_of(answer.text)
    assert {name: kept[name] for name in typed} == typed


def test_a_larger_grid_keeps_what_was_typed(as_owner, room):
    answer = sent(as_owner, room, "studs", press="grid", **{"r-4-4": "1/8", "lines": "7", "where": "elsewhere"})
    fields = fields_of(answer.text)
    assert (fields["r-4-4"], fields["where"]) == ("1/8", "elsewhere")
    assert "r-6-4" in fields
    assert not Survey.objects.exists()


def test_a_huge_grid_is_cut_to_what_a_page_takes(as_owner, room):
    fields = fields_of(sent(as_owner, room, "floor", press="grid", lines="40", readings="40").text)
    assert sum(name.startswith("r-") for name in fields) <= 600


def test_a_form_sent_twice_makes_one_survey(as_owner, room):
    fields = fields_of(page_of(as_owner, room, "wall").text) | {"r-0-0": "0", "save": "1"}
    for _ in range(2):
        assert as_owner.post(reverse("rooms:new_survey", args=[room.pk]), fields).status_code == 302
    assert Survey.objects.count() == 1


def test_a_stricter_limit_judges_from_then_on_and_what_was_read_stays(as_owner, room, owner):
    """3/32 in under 10 ft holds by A108.02's 1/8 in; a shop that asks for 1/16 in sees it fail, on the next reading."""
    typed = {"r-0-0": "0", "r-0-2": "-3/32", "r-0-4": "0"}
    assert sent(as_owner, room, "wall", **typed).status_code == 302
    first = only()
    assert first.result["verdict"] == "holds"
    set_limit(key="flat_large_long_mm", value=Decimal("1.5875"), reason="Callbacks", seen=0, by=owner)
    assert sent(as_owner, room, "wall", **typed).status_code == 302
    assert Survey.objects.first().result["verdict"] == "fails"
    assert Survey.objects.get(pk=first.pk).result == first.result


def test_a_kept_survey_is_frozen(room, owner):
    data = {
        "format": "gaugerod-survey/1", "units": "mm", "kind": "wall", "tile_longest_edge": 600,
        "lines": [{"id": "line 1", "at": 0, "readings": [[0, 0], [1000, 1]]}],
    }  # fmt: skip
    survey = keep_survey(room=room, where="Wall", data=data, by=owner)
    for change in ("UPDATE rooms_survey SET \"where\" = 'x'", "DELETE FROM rooms_survey"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(change)
    with pytest.raises(HasRecords):
        remove_room(room=room, by=owner)
    assert Survey.objects.get().pk == survey.pk


def test_who_is_not_on_the_job_sees_none_of_it(as_other_installer, room, owner):
    data = {
        "format": "gaugerod-survey/1", "units": "mm", "kind": "wall", "tile_longest_edge": 600,
        "lines": [{"id": "line 1", "at": 0, "readings": [[0, 0], [1000, 1]]}],
    }  # fmt: skip
    survey = keep_survey(room=room, where="Wall", data=data, by=owner)
    for name, pk in (("rooms:surveys", room.pk), ("rooms:new_survey", room.pk), ("rooms:survey", survey.pk)):
        assert as_other_installer.get(reverse(name, args=[pk]), {"kind": "wall"}).status_code == 404


def test_the_list_takes_as_many_queries_for_ten_as_for_one(as_owner, room, owner):
    data = {
        "format": "gaugerod-survey/1", "units": "mm", "kind": "wall", "tile_longest_edge": 600,
        "lines": [{"id": "line 1", "at": 0, "readings": [[0, 0], [1000, 1]]}],
    }  # fmt: skip
    counts = []
    for more in (1, 9):
        for _ in range(more):
            keep_survey(room=room, where="Wall", data=data, by=owner)
        with CaptureQueriesContext(connection) as queries:
            assert as_owner.get(reverse("rooms:surveys", args=[room.pk])).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]
