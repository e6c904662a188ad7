"""Layouts and surveys keep their sentences in English; a reader of Spanish gets them in Spanish, figures unchanged."""

import re

import pytest
from django.utils import translation
from django.utils.translation import gettext

from shop.retelling import BLANK, FEWEST_LETTERS, own_letters, retold
from tests.look.catalog import ROOT, texts_in
from tests.look.test_spanish_is_complete import FOR_THE_OFFICE

ENGINE = sorted(
    path
    for folder in ("layout", "trade")
    for path in (ROOT / folder).rglob("*.py")
    if str(path.relative_to(ROOT)) not in FOR_THE_OFFICE
)
TEXTS = sorted({message.text for path in ENGINE for message in texts_in(path)})
# "%(others)s and %(last)s": what people typed could look the same.
BARE = {text for text in TEXTS if BLANK.search(text) and own_letters(text) < FEWEST_LETTERS}


def _filled(text: str) -> str:
    """The text with a figure of its own in each blank."""
    names = list(dict.fromkeys(name for name in BLANK.findall(text) if name))
    if names:
        return text % {name: str(100 + number) for number, name in enumerate(names)}
    return text % tuple(str(100 + number) for number in range(len(BLANK.findall(text)))) if "%s" in text else text


@pytest.fixture
def spanish():
    with translation.override("es-us"):
        yield


@pytest.mark.parametrize("text", [text for text in TEXTS if text not in BARE])
@pytest.mark.usefixtures("spanish")
def test_every_sentence_of_the_engine_is_told_in_spanish(text):
    assert retold(_filled(text)) == _filled(gettext(text))


def test_the_texts_tested_are_many_and_some_have_blanks():
    assert len(TEXTS) > 300
    assert len(BARE) < 5
    assert sum(bool(BLANK.search(text)) for text in TEXTS) > 100


@pytest.mark.usefixtures("spanish")
def test_several_sentences_in_one_text_are_told_one_by_one():
    told = retold('Keeps the best cuts at every edge. Smallest cut 9 3/4", 16 pieces cut. If it rains, wait.')
    assert told == (
        "Conserva los mejores cortes en todas las orillas. "
        'Corte más chico 9 3/4", 16 piezas cortadas. If it rains, wait.'
    )


@pytest.mark.usefixtures("spanish")
def test_a_step_of_the_schedule_is_told():
    assert retold('shim 1/8"') == 'calzar 1/8"'


@pytest.mark.usefixtures("spanish")
@pytest.mark.parametrize(
    "text", ["", "Back", "Shower and tub wall", "29 CFR 1926.1153 with Table 1", "From wall to wall", "50 % off."]
)
def test_what_people_typed_stays_as_it_is(text):
    assert retold(text) == text


@pytest.mark.parametrize("language", ["en-us", "en-gb"])
def test_english_stays_english(language):
    with translation.override(language):
        assert retold("No line was read at two places: nothing is known along them.").startswith("No line")


@pytest.mark.usefixtures("spanish")
def test_no_figure_is_lost_or_changed():
    text = (
        'Not flat enough: at most 1/8" in 10 ft and 1/16" in 24". '
        "Mortar is not for flattening: plane, shim, patch or grind first."
    )
    assert retold(text) != text
    assert re.findall(r"[\d/]+", retold(text)) == ["1/8", "10", "1/16", "24"]
