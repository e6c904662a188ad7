"""Label, help and error of a field are wired to it, for every kind of widget."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from django import forms
from django.template import Context, Template

PLACES = [("", "Choose"), ("shower", "Shower")]
PATTERNS = [("s", "Stack"), ("o", "Offset")]
EXTRAS = [("n", "Niche"), ("b", "Bench")]


class Survey(forms.Form):
    name = forms.CharField(label="Name", help_text="As on the proposal")
    note = forms.CharField(label="Note", widget=forms.Textarea, required=False)
    place = forms.ChoiceField(label="Place", choices=PLACES, help_text="Where the tile goes")
    pattern = forms.ChoiceField(
        label="Pattern",
        choices=PATTERNS,
        widget=forms.RadioSelect,
        help_text="How courses stand",
    )
    extras = forms.MultipleChoiceField(label="Extras", choices=EXTRAS, widget=forms.CheckboxSelectMultiple)
    wet = forms.BooleanField(label="Gets wet", help_text="Then it needs a membrane")
    photo = forms.FileField(label="Photo")
    key = forms.CharField(widget=forms.HiddenInput)


class Page(HTMLParser):
    """Ids, labels and references of a piece of HTML."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.labels: set[str] = set()
        self.controls: list[dict[str, str | None]] = []
        self.described: list[str] = []
        self.links: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if found.get("id"):
            self.ids.append(str(found["id"]))
        if tag == "label" and found.get("for"):
            self.labels.add(str(found["for"]))
        if tag in ("input", "select", "textarea") and found.get("type") != "hidden":
            self.controls.append(found)
        if found.get("aria-describedby"):
            self.described += str(found["aria-describedby"]).split()
        if tag == "a" and str(found.get("href", "")).startswith("#"):
            self.links.append(str(found["href"])[1:])


def page_of(form: forms.Form) -> Page:
    fields = "".join("{% field form." + name + " %}" for name in form.fields)
    return Page(Template("{% load look %}{% form_errors form %}" + fields).render(Context({"form": form})))


@pytest.mark.parametrize("form", [Survey(), Survey({})], ids=["fresh", "with errors"])
def test_every_control_has_a_label_and_every_reference_leads_somewhere(
    form: forms.Form,
) -> None:
    page = page_of(form)
    assert len(page.controls) == 9  # name, note, place, two radios, two boxes, wet, photo
    assert [c["id"] for c in page.controls if c["id"] not in page.labels] == []
    assert [ref for ref in page.described if ref not in page.ids] == []
    assert len(page.ids) == len(set(page.ids))


def test_help_is_announced_with_the_field() -> None:
    page = page_of(Survey())
    assert {
        "id_name_helptext",
        "id_place_helptext",
        "id_pattern_helptext",
        "id_wet_helptext",
    } <= set(page.described)


def test_an_error_is_announced_and_the_field_marked_invalid() -> None:
    page = page_of(Survey({}))
    assert {
        "id_name_error",
        "id_pattern_error",
        "id_extras_error",
        "id_photo_error",
    } <= set(page.described)
    by_id = {c["id"]: c for c in page.controls}
    assert by_id["id_name"]["aria-invalid"] == "true"
    assert "aria-invalid" not in by_id["id_note"]


def test_the_summary_links_to_every_visible_field_with_an_error() -> None:
    page = page_of(Survey({}))
    assert page.links == [
        "id_name",
        "id_place",
        "id_pattern_0",
        "id_extras_0",
        "id_wet",
        "id_photo",
    ]
    assert [link for link in page.links if link not in page.ids] == []


def test_what_was_typed_is_kept() -> None:
    form = Survey({"note": "the gate <sticks>"})
    html = Template("{% load look %}{% field form.note %}").render(Context({"form": form}))
    assert "the gate &lt;sticks&gt;" in html


def test_there_is_no_summary_without_errors() -> None:
    assert Template("{% load look %}{% form_errors form %}").render(Context({"form": Survey()})).strip() == ""


def test_two_forms_with_prefixes_do_not_share_ids() -> None:
    both = Template("{% load look %}{% field form.name %}{% field form.pattern %}")
    html = "".join(both.render(Context({"form": Survey({}, prefix=prefix)})) for prefix in ("a", "b"))
    ids = Page(html).ids
    assert len(ids) == len(set(ids))


def test_a_field_that_the_form_does_not_have_is_refused() -> None:
    with pytest.raises(ValueError, match="has none of this name"):
        Template("{% load look %}{% field form.nothing %}").render(Context({"form": Survey()}))
