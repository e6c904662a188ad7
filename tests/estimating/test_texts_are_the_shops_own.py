"""Texts of proposals: versions, fields, preview, and what they do to the next proposal."""

import pytest
from django.db import DatabaseError, connection, transaction

from estimating.actions import (
    CannotPropose,
    ChangedMeanwhile,
    bring_back_text,
    make_proposal,
    set_letter_color,
    set_text,
)
from estimating.contrast import contrast_on_white
from estimating.models import TextVersion
from estimating.texts.blocks import BLOCKS
from estimating.texts.current import current_text, letter_color
from estimating.texts.fields import BadText, check, examples, fill
from shop.models import ShopSettings

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("key", BLOCKS)
def test_what_a_text_begins_from_can_be_filled_in(key):
    assert "{" not in fill(str(BLOCKS[key].text), examples())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Dear {client},\nyour {dog} is", "Line 2: there is no field {dog}"),
        ("Dear {client", "Line 1 has a single “{”"),
        ("a } b", "Line 1 has a single “}”"),
        ("{}", "there is no field {}"),
        ("{client.name}", "there is no field {client.name}"),
    ],
)
def test_what_is_no_field_is_refused_with_its_line(text, said):
    with pytest.raises(BadText) as refused:
        check(text)
    assert said in str(refused.value)


def test_a_value_is_never_read_as_a_field():
    assert fill("Dear {client}", {"client": "{total}"}) == "Dear {total}"


def test_a_new_text_is_in_the_next_proposal_and_not_in_the_last(propose, owner):
    first = propose()
    set_text(key="greeting", text="Hello {client}, about {site}: {total}.", seen=0, by=owner)
    second = propose()
    assert first.content["greeting"].startswith("Dear Odalys Brandt")
    total = second.content["total"]["shown"]
    assert second.content["greeting"] == f"Hello Odalys Brandt, about 14 Quarry Lane, Millbrook: {total}."
    first.refresh_from_db()
    assert first.content["greeting"].startswith("Dear Odalys Brandt")


def test_a_phases_sentence_and_a_list_left_out(propose, owner):
    set_text(key="scope.setting", text="Set the tile.", seen=0, by=owner)
    set_text(key="exclusions", text="", seen=0, by=owner)
    content = propose().content
    (room,) = content["rooms"]
    assert {"name": "Setting", "text": "Set the tile."} in room["scope"]
    assert {section["name"]: section["lines"] for section in content["sections"]}["Not included"] == []


def test_a_value_that_is_missing_is_refused_with_where_to_set_it(laid_out, estimate, owner):
    set_text(key="closing", text="Yours\n{shop}, {license}", seen=0, by=owner)
    ShopSettings.objects.update_or_create(pk=1, defaults={"name": "Gauge & Rod Tile", "license_line": ""})
    with pytest.raises(CannotPropose) as refused:
        make_proposal(job=laid_out, by=owner)
    said = str(refused.value)
    assert "“Closing”" in said
    assert "{license} has no value" in said
    assert "in the settings" in said
    ShopSettings.objects.update(license_line="License 00000")
    assert make_proposal(job=laid_out, by=owner).content["closing"] == "Yours\nGauge & Rod Tile, License 00000"


def test_an_earlier_version_comes_back_in_one_press(as_owner, owner):
    set_text(key="warranty", text="One year.", seen=0, by=owner)
    set_text(key="warranty", text="Two years.", seen=1, by=owner)
    response = as_owner.post("/proposal-texts/warranty/", {"seen": 2, "back": "1"})
    assert response.status_code == 302
    assert [version.text for version in TextVersion.objects.filter(key="warranty")] == [
        "One year.",
        "Two years.",
        "One year.",
    ]
    as_owner.post("/proposal-texts/warranty/", {"seen": 3, "back": "0"})
    assert current_text("warranty").text == str(BLOCKS["warranty"].text)
    assert as_owner.post("/proposal-texts/warranty/", {"seen": 4, "back": "9"}).status_code == 404


def test_versions_are_kept_for_good(owner):
    set_text(key="warranty", text="One year.", seen=0, by=owner)
    for statement in (
        "UPDATE estimating_textversion SET text = ''",
        "DELETE FROM estimating_textversion",
        "TRUNCATE estimating_textversion",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert current_text("warranty").text == "One year."


def test_two_who_write_at_once_are_told(as_owner, owner):
    set_text(key="warranty", text="One year.", seen=0, by=owner)
    with pytest.raises(ChangedMeanwhile):
        bring_back_text(key="warranty", number=0, seen=0, by=owner)
    response = as_owner.post("/proposal-texts/warranty/", {"seen": 0, "text": "Three years.", "save": ""})
    page = response.content.decode()
    assert response.status_code == 422
    assert "in the meantime" in page
    assert "Three years.</textarea>" in page
    # Once seen, what was typed may be kept.
    assert 'name="seen" value="1"' in page
    as_owner.post("/proposal-texts/warranty/", {"seen": 1, "text": "Three years.", "save": ""})
    assert current_text("warranty").text == "Three years."


def test_a_preview_keeps_nothing(as_owner):
    page = as_owner.post(
        "/proposal-texts/greeting/", {"seen": 0, "text": "Dear {client}!", "preview": ""}
    ).content.decode()
    assert "Dear Odalys Brandt!" in page
    assert "Dear {client}!</textarea>" in page
    assert not TextVersion.objects.exists()


def test_a_bad_field_is_told_and_nothing_typed_is_lost(as_owner):
    response = as_owner.post("/proposal-texts/greeting/", {"seen": 0, "text": "Dear {clyent}!", "save": ""})
    page = response.content.decode()
    assert response.status_code == 422
    assert "there is no field {clyent}" in page
    assert "Dear {clyent}!</textarea>" in page
    assert not TextVersion.objects.exists()


def test_the_list_asks_no_more_with_more_versions(as_owner, owner, django_assert_max_num_queries):
    as_owner.get("/proposal-texts/")
    with django_assert_max_num_queries(12) as first:
        as_owner.get("/proposal-texts/")
    for seen, key in enumerate(["warranty"] * 5):
        set_text(key=key, text=f"{seen} years.", seen=seen, by=owner)
    for key in BLOCKS:
        if key != "warranty":
            set_text(key=key, text="Another.", seen=0, by=owner)
    with django_assert_max_num_queries(len(first)):
        as_owner.get("/proposal-texts/")


# WCAG 2.2, 1.4.3: #767676 is the lightest gray that passes on white at 4.54, #777777 fails at 4.48; black has 21.
@pytest.mark.parametrize(("color", "contrast"), [("#767676", 4.54), ("#777777", 4.48), ("#000000", 21), ("#ffffff", 1)])
def test_contrast_is_the_published_one(color, contrast):
    assert contrast_on_white(color) == pytest.approx(contrast, abs=0.005)


def test_a_color_that_is_too_light_is_refused(as_owner, owner):
    response = as_owner.post("/proposal-texts/", {"color": "#777777"})
    assert response.status_code == 422
    assert "4.48" in response.content.decode()
    assert as_owner.post("/proposal-texts/", {"color": "red"}).status_code == 422
    assert as_owner.post("/proposal-texts/", {"color": "#7A1F3D"}).status_code == 302
    assert letter_color() == "#7a1f3d"
    assert set_letter_color(color="#7a1f3d", by=owner).number == 1


def test_only_the_owner_writes(as_office, as_installer, office):
    from django.core.exceptions import PermissionDenied

    for client in (as_office, as_installer):
        assert client.post("/proposal-texts/warranty/", {"seen": 0, "text": "x", "save": ""}).status_code == 403
    with pytest.raises(PermissionDenied):
        set_text(key="warranty", text="x", seen=0, by=office)


def test_the_page_of_a_rooms_text_says_what_no_job_with_options_can_have(as_owner):
    typed = {"seen": 0, "preview": "", "text": "Set the tile, in {days} days, for {total}."}
    said = "A job with options can’t be proposed with {total}, {days} here."
    assert said in as_owner.post("/proposal-texts/scope.setting/", typed).content.decode()
    assert said not in as_owner.post("/proposal-texts/greeting/", typed).content.decode()
    typed["text"] = "Set the tile for {client}."
    assert "A job with options can’t" not in as_owner.post("/proposal-texts/scope.setting/", typed).content.decode()
