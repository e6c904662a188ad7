"""A PDF read back as words with the boxes that they cover, out of its drawing operators alone."""

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import takewhile
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]

HERE: Matrix = (1, 0, 0, 1, 0, 0)

# Of a font's size: how far its digits and capitals reach over the baseline. What hangs below is left out, so that
# rows that touch don't count as one on the other.
RISE = 0.62


@dataclass(frozen=True)
class Word:
    """A word on a page: its box in points from the lower left corner, and the size of its letters. `start` and
    `end`: of its base line."""

    text: str
    left: float
    bottom: float
    right: float
    top: float
    size: float
    start: complex = 0
    end: complex = 0


def pages_of(data: bytes) -> list[list[Word]]:
    """The words of each page of a PDF."""
    reader = PdfReader(io.BytesIO(data))
    return [_joined(_words(page.get_contents(), page["/Resources"], HERE, reader)) for page in reader.pages]


def overlapping(words: list[Word], hair: float = 0.75) -> list[tuple[str, str]]:
    """The pairs of words whose boxes share more than a hair, points, both ways."""
    found = []
    ordered = sorted(words, key=lambda word: word.left)
    for n, one in enumerate(ordered):
        for other in takewhile(lambda word, end=one.right - hair: word.left < end, ordered[n + 1 :]):
            across = min(one.right, other.right) - other.left
            up = min(one.top, other.top) - max(one.bottom, other.bottom)
            if across > hair and up > hair:
                found.append((one.text, other.text))
    return found


def _joined(parts: Iterable[Word]) -> list[Word]:
    """Words whose letters were written one by one, as in drawings, each as one."""
    words: list[Word] = []
    for part in parts:
        last = words[-1] if words else None
        if last and abs(part.start - last.end) < 0.12 * part.size and part.size == last.size:
            words[-1] = Word(
                last.text + part.text,
                min(last.left, part.left),
                min(last.bottom, part.bottom),
                max(last.right, part.right),
                max(last.top, part.top),
                last.size,
                last.start,
                part.end,
            )
        else:
            words.append(part)
    return words


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _words(content: Any, resources: Any, here: Matrix, reader: PdfReader) -> Iterator[Word]:
    """Follows the operators that move and write, and the forms that are drawn: ISO 32000-1, 8.10 and 9.4 (from
    memory)."""
    fonts = {name: _font(font.get_object()) for name, font in resources.get("/Font", {}).items()}
    stack: list[Matrix] = []
    text = line = HERE
    font, size = "", 0.0
    for operands, operator in ContentStream(content, reader).operations:
        if operator == b"q":
            stack.append(here)
        elif operator == b"Q":
            here = stack.pop()
        elif operator == b"cm":
            here = _times(_matrix(operands), here)
        elif operator == b"Do":
            form = resources["/XObject"][operands[0]].get_object()
            if form["/Subtype"] == "/Form":
                inside = _times(_matrix(form.get("/Matrix", HERE)), here)
                yield from _words(form, form.get("/Resources", resources), inside, reader)
        elif operator == b"BT":
            text = line = HERE
        elif operator == b"Tm":
            text = line = _matrix(operands)
        elif operator == b"Td":
            text = line = _times((1, 0, 0, 1, float(operands[0]), float(operands[1])), line)
        elif operator == b"Tf":
            font, size = operands[0], float(operands[1])
        elif operator in (b"Tj", b"TJ"):
            run, wide = _run(operands[0] if operator == b"TJ" else operands, *fonts[font], size)
            yield from (_word(word, start, end, size, _times(text, here)) for word, start, end in run)
            text = _times((1, 0, 0, 1, wide, 0), text)
        else:
            assert operator not in (b"'", b'"', b"T*", b"TD", b"Tc", b"Tw", b"Tz", b"Ts"), operator


def _run(
    parts: Any, widths: dict[int, float], letters: dict[int, str], size: float
) -> tuple[list[tuple[str, float, float]], float]:
    """The words of one operator, each with where it starts and ends along the line, and how far the line goes."""
    found: list[tuple[str, float, float]] = []
    at, open_word = 0.0, False
    for part in parts:
        if isinstance(part, int | float):
            at -= float(part) / 1000 * size
            continue
        raw = part.original_bytes
        for code in (int.from_bytes(raw[n : n + 2]) for n in range(0, len(raw), 2)):
            letter, end = letters[code], at + widths[code] / 1000 * size
            if letter.isspace():
                open_word = False
            elif open_word:
                found[-1] = found[-1][0] + letter, found[-1][1], end
            else:
                found.append((letter, at, end))
                open_word = True
            at = end
    return found, at


def _word(word: str, start: float, end: float, size: float, to: Matrix) -> Word:
    a, b, c, d, e, f = to
    corners = [(a * x + c * y + e, b * x + d * y + f) for x in (start, end) for y in (0, size * RISE)]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    ends = (complex(a * x + e, b * x + f) for x in (start, end))
    return Word(word, min(xs), min(ys), max(xs), max(ys), size * (c * c + d * d) ** 0.5, *ends)


def _matrix(operands: Any) -> Matrix:
    a, b, c, d, e, f = (float(each) for each in operands)
    return a, b, c, d, e, f


def _font(font: Any) -> tuple[dict[int, float], dict[int, str]]:
    """Widths in thousandths of the size and letters by code, of a font with two bytes a code."""
    widths: dict[int, float] = {}
    raw = list(font["/DescendantFonts"][0].get_object()["/W"])
    while raw:
        first, then = raw.pop(0), raw.pop(0)
        if isinstance(then, list):
            widths |= {int(first) + n: float(width) for n, width in enumerate(then)}
        else:
            widths |= dict.fromkeys(range(int(first), int(then) + 1), float(raw.pop(0)))
    return widths, _letters(font["/ToUnicode"].get_object().get_data().decode("ascii"))


def _letters(table: str) -> dict[int, str]:
    letters: dict[int, str] = {}
    for part in table.split("beginbfchar")[1:]:
        for row in part.split("endbfchar")[0].split("\n"):
            sides = row.replace("<", " ").replace(">", " ").split()
            if len(sides) >= 2:
                letters[int(sides[0], 16)] = bytes.fromhex("".join(sides[1:])).decode("utf-16-be")
    return letters
