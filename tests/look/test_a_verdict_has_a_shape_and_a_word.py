"""A verdict is told by its shape and its word; color only helps."""

import re
from xml.etree import ElementTree

import pytest
from django.template import Context, Template

from shop.templatetags.look import SPRITE, VERDICTS, verdict

SVG = "{http://www.w3.org/2000/svg}"


def _shapes() -> dict[str, ElementTree.Element]:
    return {symbol.get("id", ""): symbol for symbol in ElementTree.parse(SPRITE).getroot().iter(f"{SVG}symbol")}  # noqa: S314


def test_the_sprite_has_four_different_shapes() -> None:
    shapes = _shapes()
    assert set(shapes) == {"holds", "fails", "held", "waived"}
    assert len({child.get("d") for shape in shapes.values() for child in shape}) == 4


def test_no_shape_has_a_color_of_its_own() -> None:
    for shape in _shapes().values():
        for child in shape:
            assert {
                child.get("fill", "currentColor"),
                child.get("stroke", "currentColor"),
            } <= {"currentColor", "none"}


@pytest.mark.parametrize("state", VERDICTS)
def test_each_verdict_shows_its_shape_hidden_from_screen_readers_and_its_word(
    state: str,
) -> None:
    html = verdict(state)
    shape, word = VERDICTS[state]
    path = _shapes()[shape][0].get("d", "")
    assert path in html
    assert 'aria-hidden="true"' in html
    assert re.search(r'<span class="word">([^<]+)</span>', html)[1] == str(word)


def test_words_differ_even_where_the_shape_is_the_same() -> None:
    assert len({str(word) for _shape, word in VERDICTS.values()}) == len(VERDICTS)


def test_a_quiet_verdict_keeps_its_word_for_screen_readers() -> None:
    assert '<span class="unseen">Held</span>' in verdict("held", quiet=True)


def test_a_text_of_the_page_is_escaped() -> None:
    html = Template('{% load look %}{% verdict "fails" text=text %}').render(Context({"text": "<b>3/16</b>"}))
    assert "&lt;b&gt;3/16&lt;/b&gt;" in html


def test_an_unknown_state_is_refused() -> None:
    with pytest.raises(ValueError, match="no verdict 'passed'"):
        verdict("passed")
