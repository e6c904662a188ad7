"""The gallery: every component on the real base templates, with no database. Its people and places are invented."""

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from django import forms
from django.middleware.csrf import get_token
from django.template import Context, engines
from django.test import RequestFactory

GALLERY = Path(__file__).parent / "gallery"

DRAWING = """<svg class="drawn" viewBox="0 0 100 60" role="img"><title>Back wall</title>
<rect class="gap" x="5" y="5" width="90" height="40"/>
<rect class="tile" x="6" y="6" width="40" height="18"/><rect class="cut" x="47" y="6" width="20" height="18"/>
<path class="line" d="M0,25H100"/><path class="dimline" d="M5,50H95"/><text class="dim" x="40" y="58">35 1/2"</text>
</svg>"""


class Survey(forms.Form):
    """One field of each kind."""

    name = forms.CharField(label="Name", help_text="As on the proposal.")
    note = forms.CharField(label="Note", widget=forms.Textarea, required=False)
    place = forms.ChoiceField(label="Place", choices=[("shower", "Shower"), ("floor", "Floor")])
    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}), required=False)
    pattern = forms.ChoiceField(label="Pattern", choices=[("s", "Stack"), ("o", "Offset")], widget=forms.RadioSelect)
    photo = forms.FileField(label="Photo", required=False)
    wet = forms.BooleanField(label="This surface gets wet", help_text="Then it needs a membrane.")


@dataclass
class Person:
    """Who is logged in, as the templates ask."""

    role: str = "owner"
    is_authenticated: bool = True

    def __str__(self) -> str:
        return "Ines Valdecantos"

    def get_role_display(self) -> str:
        return self.role.title()


@dataclass
class Message:
    text: str
    level_tag: str

    def __str__(self) -> str:
        return self.text


NAMES = "Measure Layout Price Proposal Substrate Slope Waterproofing Setting Grout Warranty".split()  # noqa: SIM905


def segments(done: int = 7) -> list[dict[str, str]]:
    """A rod of which `done` segments lie behind and one is now."""
    states = ["done"] * done + ["now"] + ["ahead"] * (len(NAMES) - done - 1)
    return [
        {
            "name": name,
            "note": "2 rooms" if state == "now" else "",
            "state": state,
            "url": "" if state == "ahead" else "#content",
        }
        for name, state in zip(NAMES, states, strict=True)
    ]


def render(name: str, **more: Any) -> str:
    """The HTML of one page of the gallery, or of a base template of that name."""
    request = RequestFactory().get("/", {"page": "2"})
    request.user = Person()  # type: ignore[assignment]
    paginator = SimpleNamespace(num_pages=7)
    context: dict[str, Any] = {
        "user": request.user,
        "shop": SimpleNamespace(name="Brightwater Tile", phone="555-0142", email="office@example.com", logo=""),
        "shop_name": "Brightwater Tile",
        "form": Survey({"place": "shower"}),
        "segments": segments(),
        "keys": ["1/8", "3/16", "1/4", "5/16", "3/8"],
        "lines": range(60),
        "mm": Decimal("1612.9"),
        "feet": Decimal("3213.1"),
        "amount": Decimal("12345.60"),
        "share": Decimal("0.125"),
        "drawing": DRAWING,
        "paper": "letter",
        "csp_nonce": "gallery",
        "here": "jobs:list",
        "messages": [Message("Saved.", "success"), Message("No mail could be sent: check the address.", "error")],
        "page": SimpleNamespace(
            has_other_pages=True,
            has_previous=True,
            has_next=True,
            number=2,
            paginator=paginator,
            previous_page_number=1,
            next_page_number=3,
        ),
        **more,
    }
    source = GALLERY / f"{name}.html"
    django = engines["django"]
    page = django.from_string(source.read_text("utf-8")) if source.exists() else django.get_template(f"{name}.html")
    # A plain Context: the context processors would ask the database.
    bare = Context({**context, "request": request, "csrf_token": get_token(request)})
    bare.request = request
    return page.template.render(bare)
