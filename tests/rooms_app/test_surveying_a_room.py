"""A survey is typed into its page, judged by the shop's limits of the moment, and kept for good."""

import math
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from rooms.actions import HasSurveys, remove_room
from rooms.models import Survey
from shop.actions import set_limit
from shop.models import ShopSettings
from tests.rooms_app.pages import fields_of
from tests.rooms_app.surveying import filled, new_page, save
from trade.lengths import parse_length

pytestmark = pytest.mark.django_db

HEIGHTS = ["0", "24", "48", "72", "96"]
DIP = ["0", "0", "-3/16", "0", "0"]
FLAT = ["0", "0", "0", "0", "0"]


def kept(client, room, fields) -> Survey:
    answer = save(client, room, fields)
    assert answer.status_code == 302, answer.text
    return Survey.objects.get(pk=answer.url.rstrip("/").rsplit("/", 1)[1])


def test_each_kind_of_person_on_the_job_can_survey(as_owner, as_office, as_installer, installer, room):
    for number, client in enumerate((as_owner, as_office, as_installer), start=1):
        survey = kept(client, room, filled(client, room, "studs", [DIP], places=HEIGHTS, surface="back"))
        assert Survey.objects.count() == number
    assert (survey.by, survey.surface, survey.kind) == (installer, "back", "studs")


def test_an_outsider_neither_sees_nor_adds_one(as_installer, as_other_installer, room):
    fields = filled(as_installer, room, "studs", [DIP], places=HEIGHTS)
    survey = kept(as_installer, room, fields)
    assert save(as_other_installer, room, {**fields, "key": ""}).status_code == 404
    for url in (
        reverse("rooms:survey", args=[survey.pk]),
        reverse("rooms:surveys", args=[room.pk]),
        new_page(room, "studs"),
    ):
        assert as_other_installer.get(url).status_code == 404
    assert Survey.objects.count() == 1


def test_what_was_typed_is_kept_as_typed_and_the_gap_is_the_worked_one(as_owner, room):
    # By hand: a straightedge of 24 in from the top of one side of a dip of 3/16 in spans half of it, 3/32 in; one of
    # 10 ft, here as long as the stud, spans it whole. ANSI A108.02 4.2.2, as floortrendsmag.com/articles/112509 cites
    # it, allows 1/8 in in 10 ft and 1/16 in in 24 in where an edge of the tile is 15 in or more.
    fields = filled(as_owner, room, "studs", [DIP], places=HEIGHTS, tile_longest_edge="24")
    survey = kept(as_owner, room, fields)
    assert survey.data["lines"] == [
        {"id": "Stud 1", "at": "0", "readings": [list(pair) for pair in zip(HEIGHTS, DIP, strict=True)]}
    ]
    long, short = survey.result["lines"][0]["gaps"]
    assert (long["gap_mm"], long["verdict"]) == (pytest.approx(4.7625), "fails")
    assert short["gap_mm"] == pytest.approx(2.38125)
    assert (long["limit_mm"], short["limit_mm"]) == (3.175, 1.5875)
    assert survey.verdict == "fails"
    page = as_owner.get(reverse("rooms:survey", args=[survey.pk])).text
    assert "Stud 1, straightedge from" in page
    assert "A108.02" in page


def test_the_worked_profile_in_millimeters(as_owner, room):
    # (0, 10), (40, 0), (100, 12) under a straightedge: by hand, the hull from (0, 10) to (100, 12) stands 10.8 over
    # the middle reading, which is what a straightedge as long as the line shows.
    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    fields = filled(as_owner, room, "wall", [["10", "0", "12"]], places=["0", "40", "100"], tile_longest_edge="600")
    survey = kept(as_owner, room, fields)
    assert survey.data["units"] == "mm"
    assert [gap["gap_mm"] for gap in survey.result["lines"][0]["gaps"]] == [pytest.approx(10.8)] * 2


def test_a_schedule_for_each_stud_says_it_to_a_sixteenth(as_owner, room):
    # Shims only, to the plane through the highest: the low middle of the second stud gets its 3/16 in.
    fields = filled(as_owner, room, "studs", [FLAT, DIP, FLAT], places=HEIGHTS, aim="shims-only")
    survey = kept(as_owner, room, fields)
    assert [stud["text"] for stud in survey.result["plane"]["schedule"]] == [
        "Stud 1: leave it as it is",
        'Stud 2: shim 3/16" at 48"',
        "Stud 3: leave it as it is",
    ]
    assert "leave it as it is" in as_owner.get(reverse("rooms:survey", args=[survey.pk])).text


def test_a_floor_shows_its_picture_its_high_spot_and_its_liters(as_owner, room):
    # By hand: one reading of 9 stands 1/4 in high amid a floor of 48 by 48 in; level with its tip, compound fills a
    # slab of 1/4 in less the bump, whose ruled surface holds a quarter of it: 48² × 1/4 × 3/4 = 432 cubic inches.
    bump = [["0", "0", "0"], ["0", "1/4", "0"], ["0", "0", "0"]]
    places = ["0", "24", "48"]
    fields = filled(as_owner, room, "floor", bump, places=places, at=places, grind="1/8", bag_liters="2")
    survey = kept(as_owner, room, fields)
    assert survey.result["leveling"]["choices"][0]["volume_l"] == pytest.approx(432 * 0.016387064, rel=1e-6)
    page = as_owner.get(reverse("rooms:survey", args=[survey.pk])).text
    assert survey.result["leveling"]["bags"] == math.ceil(survey.result["leveling"]["volume_l"] / 2)
    assert f"{survey.result['leveling']['bags']} bag" in page
    assert "One bag makes" in page
    assert "<svg" in page
    assert "grind" in page
    assert "silica" in page


def test_a_shower_floor_shows_perimeter_and_bed(as_owner, room):
    # By hand: from the middle of a floor of 48 by 48 in to its corner 33.94 in, at 1/4 in a foot 0.707 in.
    bed = {"width": "48", "depth": "48", "drain_x": "24", "drain_y": "24", "slope": "1/4", "least_bed": "1"}
    survey = kept(as_owner, room, filled(as_owner, room, "bed", [], places=["0"], bag_liters="14.2", **bed))
    (way, level) = survey.result["bed"]["ways"]
    assert way["perimeter"][0]["height_mm"] == pytest.approx(24 * 2**0.5 / 12 * 0.25 * 25.4, abs=1e-3)
    assert {mark["height_text"] for mark in level["perimeter"]} == {'11/16"'}
    assert (survey.verdict, survey.data["bed"]["bag_liters"]) == (way["verdict"], 14.2)
    page = as_owner.get(reverse("rooms:survey", args=[survey.pk])).text
    assert page.count("<figure") == 2
    assert way["layers"][0]["volume_text"] in page


def test_a_linear_drain_and_percent_can_be_typed(as_owner, room):
    bed = {"width": "60", "depth": "36", "drain_x": "0", "drain_y": "0", "drain_x2": "0", "drain_y2": "36"}
    fields = filled(as_owner, room, "bed", [], places=["0"], slope="2 %", slope_in="percent", least_bed="1 1/4", **bed)
    assert kept(as_owner, room, fields).data["bed"]["slope"] == {"percent": 2.0}


def test_a_floor_may_slope(as_owner, room):
    rows = [["0", "0", "0"], ["0", "0", "0"]]
    fields = filled(as_owner, room, "floor", rows, places=["0", "24", "48"], to="slope")
    answer = save(as_owner, room, fields)
    assert "A slope needs how much it falls" in answer.text
    survey = kept(as_owner, room, {**fields, "fall": "1/8", "fall_in": "per_foot", "toward": "end"})
    assert survey.data["leveling"] == {"to": "slope", "fall": {"per_foot": "1/8"}, "toward": "end"}
    assert survey.result["leveling"]["plane"]["along"] == pytest.approx(-1 / 96)


def test_an_unfinished_one_is_kept_and_says_what_it_lacks_and_can_be_gone_on_with(as_installer, room):
    fields = filled(as_installer, room, "bed", [["1/8", ""]], places=["0", "24"], width="60", depth="36", least_bed="1")
    survey = kept(as_installer, room, fields)
    assert (survey.result, survey.verdict) == (None, "can't tell")
    page = as_installer.get(reverse("rooms:survey", args=[survey.pk])).text
    for text in ("Where the drain stands", "The slope that is wanted"):
        assert text in page
    assert "Width and depth of the floor" not in page
    again = fields_of(as_installer.get(new_page(room, "bed", after=survey.pk)).text)
    assert (again["line-0-0"], again["width"], again["depth"], again["least_bed"]) == ("1/8", "60", "36", "1")
    assert again["key"] != fields["key"]


def test_too_few_readings_cannot_be_judged_and_are_gone_on_with(as_owner, room):
    survey = kept(as_owner, room, filled(as_owner, room, "studs", [["", "1/8", ""]], places=["0", "24", "48"]))
    assert survey.verdict == "can't tell"
    page = as_owner.get(reverse("rooms:survey", args=[survey.pk])).text
    assert "No line was read at two places" in page
    again = fields_of(as_owner.get(new_page(room, "studs", after=survey.pk)).text)
    assert (again["place-0"], again["line-0-0"]) == ("24", "1/8")


def test_reading_it_again_starts_with_the_same_lines_and_makes_a_new_row(as_owner, room):
    first = kept(as_owner, room, filled(as_owner, room, "studs", [DIP, FLAT], places=HEIGHTS, surface="back"))
    again = fields_of(as_owner.get(new_page(room, "studs", surface="back", after=first.pk)).text)
    assert (again["lines"], again["line-1-at"], again["place-4"]) == ("2", "16", "96")
    assert not any(again[f"line-0-{number}"] for number in range(5))
    second = kept(as_owner, room, {**again, **{f"line-{line}-{n}": "0" for line in (0, 1) for n in range(5)}})
    assert (first.verdict, second.verdict) == ("fails", "holds")
    assert list(room.surveys.all()) == [second, first]


def test_a_later_limit_judges_later_surveys_only(as_owner, owner, room):
    fields = filled(as_owner, room, "studs", [DIP], places=["0", "48", "96", "144", "192"], tile_longest_edge="24")
    first = kept(as_owner, room, fields)
    assert first.verdict == "fails"
    before = Survey.objects.values().get()
    for key, value in (("flat_large_long_mm", "12"), ("flat_large_short_mm", "6")):
        set_limit(key=key, value=Decimal(value), reason="Thick mortar", seen=0, by=owner)
    assert Survey.objects.values().get() == before
    assert "is-fails" in as_owner.get(reverse("rooms:survey", args=[first.pk])).text
    second = kept(as_owner, room, {**fields, "key": ""})
    assert second.verdict == "holds"
    assert "shop's own limit" in second.result["source"]


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"line-0-2": "3/0"}, "line-0-2", "divides by zero"),
        ({"line-0-2": "a lot"}, "line-0-2", "can&#x27;t be read as a length"),
        ({"place-2": "24"}, "place-2", "was read already"),
        ({"place-2": "10"}, "place-2", "put them in order"),
        ({"place-2": ""}, "place-2", "Where is this on the line?"),
        ({"line-1-at": "0"}, "line-1-at", "stands there already"),
        ({"line-1-at": ""}, "line-1-at", "Where does this line stand?"),
        ({"tile_longest_edge": ""}, "tile_longest_edge", "required"),
        ({"line-0-2": "40 ft"}, "line-0-2", "too far from the laser plane"),
    ],
)
def test_bad_input_is_told_at_its_field_and_nothing_typed_is_lost(as_owner, room, change, field, says):
    fields = filled(as_owner, room, "studs", [["1/8"] * 5, ["-1/16"] * 5], places=HEIGHTS) | change
    text = save(as_owner, room, fields).text
    assert f'<a href="#id_{field}">' in text
    assert f'id="id_{field}_error"' in text
    assert says in text
    back = fields_of(text)
    del fields["csrfmiddlewaretoken"]
    assert {name: back[name] for name in fields} == fields
    assert not Survey.objects.exists()


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"drain_x": "70"}, "drain_x", "doesn&#x27;t lie in the outline"),
        ({"slope": "steep"}, "slope", "can&#x27;t be read as a length"),
        ({"slope": "steep", "slope_in": "percent"}, "slope", "Type percent as a number"),
        ({"drain_x2": "20"}, "drain_y2", "Type both, or neither"),
        ({"depth": ""}, "depth", "Type both, or neither"),
        ({"drain_radius": "2", "drain_x2": "1", "drain_y2": "1"}, "drain_radius", "round or linear"),
        ({"least_bed": "90"}, "least_bed", "too much"),
        ({"bag_liters": "0"}, "bag_liters", "greater than or equal"),
    ],
)
def test_a_bad_bed_is_told_at_its_field(as_owner, room, change, field, says):
    bed = {"width": "60", "depth": "36", "drain_x": "30", "drain_y": "18", "slope": "1/4", "least_bed": "1 1/4"}
    text = save(as_owner, room, filled(as_owner, room, "bed", [], places=["0"], **bed) | change).text
    assert f'<a href="#id_{field}">' in text
    assert says in text
    assert not Survey.objects.exists()


def test_an_empty_page_is_not_kept(as_owner, room):
    text = save(as_owner, room, filled(as_owner, room, "studs", [[""] * 5], places=HEIGHTS)).text
    assert "Nothing is read yet" in text
    assert not Survey.objects.exists()


def test_a_form_sent_twice_makes_one_survey(as_owner, as_office, room):
    fields = filled(as_owner, room, "studs", [DIP], places=HEIGHTS)
    assert kept(as_owner, room, fields) == kept(as_owner, room, fields)
    assert "kept already" in save(as_owner, room, {**fields, "line-0-0": "1"}).text
    assert "kept already" in save(as_office, room, fields).text


def test_the_grid_grows_and_shrinks_without_scripts_and_keeps_what_was_typed(as_owner, room):
    fields = filled(as_owner, room, "studs", [DIP], places=HEIGHTS)
    url = reverse("rooms:survey_new", args=[room.pk])
    more = fields_of(as_owner.post(url, {**fields, "add": "line"}).text)
    assert (more["lines"], more["line-1-at"], more["line-0-2"]) == ("2", '16"', "-3/16")
    more = fields_of(as_owner.post(url, {**more, "add": "place"}).text)
    assert (more["places"], more["place-5"], more["line-1-5"]) == ("6", '120"', "")
    more = fields_of(as_owner.post(url, {**more, "along": "12", "across": "24", "space": "1"}).text)
    assert (more["place-5"], more["line-1-at"], more["line-0-2"]) == ('60"', '24"', "-3/16")
    less = fields_of(as_owner.post(url, {**more, "remove": "line"}).text)
    assert (less["lines"], "line-1-at" in less) == ("1", False)
    for typed in ("wide", ""):
        told = as_owner.post(url, {**less, "along": typed, "space": "1"}).text
        assert '<a href="#id_along">' in told
        assert fields_of(told)["line-0-2"] == "-3/16"


def test_the_grid_starts_over_the_surface_with_its_tile(as_owner, room):
    fields = fields_of(as_owner.get(new_page(room, "studs", surface="back")).text)
    back = room.surfaces.get(key="back")
    wide = max(x for x, _y in back.outline)
    assert int(fields["lines"]) == wide // Decimal("406.4") + 1
    longest = max(room.tile.width, room.tile.height)
    shown = as_owner.get(reverse("rooms:surveys", args=[room.pk])).text
    assert "surface=back" in shown
    assert parse_length(fields["tile_longest_edge"]) == longest


def test_surveys_are_kept_as_they_are(as_owner, owner, room):
    survey = kept(as_owner, room, filled(as_owner, room, "studs", [DIP], places=HEIGHTS))
    for work in (lambda: Survey.objects.update(verdict="holds"), lambda: survey.delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            work()
    with pytest.raises(HasSurveys):
        remove_room(room=room, by=owner)


def test_lists_and_pages_ask_as_often_for_one_as_for_many(as_owner, room):
    def count(url):
        with CaptureQueriesContext(connection) as queries:
            assert as_owner.get(url).status_code == 200
        return len(queries)

    urls = [reverse("rooms:surveys", args=[room.pk]), new_page(room, "studs", surface="back")]
    small = kept(as_owner, room, filled(as_owner, room, "studs", [DIP], places=HEIGHTS))
    as_owner.get(urls[0])
    before = [count(url) for url in (*urls, reverse("rooms:survey", args=[small.pk]))]
    for _ in range(4):
        large = kept(as_owner, room, filled(as_owner, room, "studs", [DIP] * 9, places=HEIGHTS))
    assert [count(url) for url in (*urls, reverse("rooms:survey", args=[large.pk]))] == before


def test_without_any_the_page_says_what_to_do(as_installer, room):
    text = as_installer.get(reverse("rooms:surveys", args=[room.pk])).text
    assert "Not surveyed yet" in text
    assert new_page(room, "studs").split("?")[0] in text
    for name, pk in (("rooms:detail", room.pk), ("home:job", room.job_id), ("inspections:room", room.pk)):
        assert reverse("rooms:surveys", args=[room.pk]) in as_installer.get(reverse(name, args=[pk])).text


def test_an_unknown_kind_leads_back(as_owner, room):
    assert as_owner.get(new_page(room, "roof")).url == reverse("rooms:surveys", args=[room.pk])
