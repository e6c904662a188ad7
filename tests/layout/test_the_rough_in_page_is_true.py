"""docs/rough-in-by-hand.md: its sums come to what it says, and the engine says the same, every measure of the room."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path

import layout
from tests.layout.helpers import laid

PAGE = (Path(__file__).parents[2] / "docs/rough-in-by-hand.md").read_text(encoding="utf-8")
KINDS = {"Niche": "niche", "Valve": "valve", "Blocking, fold-down seat": "blocking"}
NUMBER = re.compile(r"(?:(\d+) )?(\d+)(?:/(\d+))?")


def number(text: str) -> Fraction:
    """An inch figure as it is written: 14, 1/2, 12 1/8."""
    found = NUMBER.fullmatch(text.strip())
    assert found, text
    full, top, bottom = found.groups()
    return Fraction(int(full or 0)) + Fraction(int(top), int(bottom or 1))


def total(text: str) -> Fraction:
    """A sum of products of figures, as it is written: 14 - 2 × 5/8."""
    said = Fraction(0)
    for sign, product in re.findall(r"(^|[+-])([^+-]+)", text):
        value = Fraction(1)
        for factor in product.split("×"):
            value *= number(factor)
        said += -value if sign == "-" else value
    return said


def by_hand() -> dict[tuple[str, str], tuple[str, str]]:
    """Kind and measure, with the sum and what it comes to."""
    found = {}
    for part in PAGE.split("\n## ")[1:]:
        kind = KINDS[part.partition("\n")[0]]
        for name, how, inches in re.findall(r"^\| ([a-z].*?) \| (\d.*?) \| (\d.*?) \|$", part, re.MULTILINE):
            found[kind, name] = (how, inches)
    return found


def test_a_sum_is_read_as_it_is_written() -> None:
    assert total("14 - 2 × 5/8") == Fraction(51, 4)
    assert total("12 + 4 × 12 1/8 - 56 - 1/8") == Fraction(35, 8)
    assert total("14 - 2 × 5/8") != Fraction(13)


def test_the_sums_of_the_page_come_to_what_it_says() -> None:
    assert len(by_hand()) == 18
    for (kind, name), (how, inches) in by_hand().items():
        assert total(how) == number(inches), (kind, name)
    for how, inches in re.findall(r"(\d[\d /×+-]* [-+×] [\d /×+-]*\d) = ([\d /]*\d) in", PAGE):
        assert total(how) == number(inches), how


def test_the_engine_says_the_same_of_every_measure() -> None:
    found = re.search(r"```json\n(.*?)```", PAGE, re.DOTALL)
    assert found
    room, result, _ = laid(json.loads(found[1]))
    sheet = layout.rough_in(room, result)
    engine = {(item["kind"], each["name"]): each for item in sheet["items"] for each in item["measures"]}
    page = by_hand()
    assert sorted(engine) == sorted(page)
    for key, measure in engine.items():
        assert measure["text"] == f'{page[key][1]}"', key
        assert abs(measure["mm"] - float(number(page[key][1])) * 25.4) < 0.01, key
    assert engine["valve", "center, up"]["how"] == 'in tile 2/0, 12" from its left side, 7 3/4" from its bottom'
