"""The pages for the phone are in Spanish, too: every text that an installer meets has one, and none is damaged.

That they are good Spanish of the trade no test can tell: no native setter has reviewed them yet (DEVELOPERS.md).
"""

import re
from pathlib import Path

import pytest

from tests.look.catalog import ROOT, Message, compiled, texts_in, written

# What an installer meets. The office's own pages, and what clients read, stay in English.
FOR_THE_PHONE = (
    "templates/[_45]*.html",
    "templates/base.html",
    "templates/field.html",
    "templates/documents/_state*.html",
    "templates/documents/punch_list.html",
    "templates/documents/wall_sheet.html",
    "templates/estimating/field/*.html",
    "templates/home/field/*.html",
    "templates/home/office/phones.html",
    "templates/home/phone/*.html",
    "templates/inspections/**/*.html",
    "templates/jobs/field/*.html",
    "templates/jobs/_photo_form.html",
    "templates/jobs/_take.html",
    "templates/registration/*.html",
    "templates/rooms/*.html",
    "templates/rooms/field/*.html",
    "templates/rooms/surveys/*.html",
    "templates/rooms/tiles/*.html",
    "templates/rooms/office/_keypad.html",
    "templates/rooms/office/_more.html",
    "templates/shop/field/*.html",
    "base/*.py",
    "clients/cautions.py",
    "documents/*.py",
    "estimating/field*.py",
    "home/field.py",
    "home/phone.py",
    "home/queries.py",
    "inspections/**/*.py",
    "jobs/[!o]*.py",
    "layout/**/*.py",
    "rooms/[!aou]*.py",
    "rooms/as_built_form.py",
    "rooms/surveys/*.py",
    "rooms/tiles/[!f]*.py",
    "shop/access.py",
    "shop/field.py",
    "shop/forms.py",
    "shop/images.py",
    "shop/models.py",
    "shop/pdf_files.py",
    "shop/phone.py",
    "shop/public.py",
    "shop/templatetags/*.py",
    "trade/**/*.py",
)
# Of those, what only the office reads: callbacks, the shop's own limits and checklists under Settings, its tiles.
FOR_THE_OFFICE = {
    "trade/callbacks.py",
    "trade/shop_figures.py",
    "trade/limit_figures.py",
    "inspections/checklists.py",
    "inspections/checklist_forms.py",
    "inspections/wording.py",
    "inspections/actions/checklists.py",
    "templates/inspections/office/checklist.html",
    "templates/inspections/office/checklists.html",
    "rooms/choosing.py",
    "rooms/showing.py",
    "rooms/switches.py",
    "templates/rooms/tiles/_shop_tiles.html",
    "templates/rooms/tiles/of_room_edit.html",
    "templates/rooms/tiles/shop_list.html",
    "templates/rooms/tiles/shop_tile.html",
}
KEPT = re.compile(r"%\(\w+\)[a-z]|%[sd%]|\{\w*\}|</?\w+>")
"""What a translation has to hold as its text does: blanks and tags."""


def _files() -> list[Path]:
    found = {path for pattern in FOR_THE_PHONE for path in ROOT.glob(pattern)}
    return sorted(path for path in found if str(path.relative_to(ROOT)) not in FOR_THE_OFFICE)


@pytest.mark.parametrize("pattern", FOR_THE_PHONE)
def test_every_pattern_of_the_list_finds_files(pattern):
    assert list(ROOT.glob(pattern))


def test_every_text_for_the_phone_has_a_spanish_one():
    spanish = compiled()
    lacking = [
        f"{path.relative_to(ROOT)}: {message.text!r}"
        for path in _files()
        for message in texts_in(path)
        if not all(spanish.get(key) for key in message.keys)
    ]
    assert lacking == [], "\n".join(["Texts without Spanish (locale/es, see DEVELOPERS.md):", *lacking])


def test_texts_are_found_in_code_and_in_templates(tmp_path):
    code, page = tmp_path / "a.py", tmp_path / "a.html"
    code.write_text(
        'x = _("One " "two") + ngettext("%(n)s tile", "%(n)s tiles", n) + pgettext_lazy("verdict", "Holds")'
    )
    page.write_text(
        "{% load i18n %}{% translate 'It is so' %}{{ _(\"Signed\")|lower }}"
        '{% translate "More" context "place" %}'
        "{% blocktranslate count n=k %}{{ n }} % bag{% plural %}{{ n }} % bags{% endblocktranslate %}"
    )
    assert set(texts_in(code)) == {
        Message("One two"),
        Message("%(n)s tile", "%(n)s tiles"),
        Message("Holds", context="verdict"),
    }
    assert set(texts_in(page)) == {
        Message("It is so"),
        Message("Signed"),
        Message("More", context="place"),
        Message("%(n)s %% bag", "%(n)s %% bags"),
    }


def test_blanks_and_tags_are_those_of_the_text():
    damaged = [
        f"{form!r} for {text!r}"
        for message in written()
        for text, form in zip((message.text, message.plural), message.forms, strict=False)
        if form and sorted(KEPT.findall(form)) != sorted(KEPT.findall(text or ""))
    ]
    assert damaged == []


def test_both_forms_of_a_plural_are_there_or_none():
    assert [m.text for m in written() if m.plural and (len(m.forms) != 2 or bool(m.forms[0]) != bool(m.forms[1]))] == []


def test_what_runs_is_what_is_written():
    """The .mo is compiled from the .po: `./gaugerod manage compilemessages -l es` after each change."""
    expected = {
        key: form for message in written() for key, form in zip(message.keys, message.forms, strict=True) if form
    }
    assert compiled() == expected


def test_no_translation_is_guessed():
    """gettext marks what it took over from a similar text as fuzzy, and leaves it out of the .mo."""
    assert "fuzzy" not in (ROOT / "locale/es/LC_MESSAGES/django.po").read_text(encoding="utf-8")
