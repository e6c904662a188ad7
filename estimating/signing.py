"""What stands for a signature: strokes drawn on a screen, or a paper signed by hand and attached."""

import json
from dataclasses import dataclass
from datetime import date
from typing import IO

from django.utils.translation import gettext as _

from base.errors import Refused
from shop.images import photo_jpeg
from shop.pdf_files import pdf_bytes

# The frame that is signed in. Points are whole units of it; a screen has its own size.
WIDTH, HEIGHT = 600, 200
# More than any hand draws; what a stranger sends beyond it is refused.
MOST_POINTS = 5000
LEAST_REACH = 20
"""A dot or a slip of the finger is no signature: strokes reach at least so far from left to right or top to bottom."""

Strokes = list[list[list[int]]]


class BadSignature(Refused):
    """It can't be read as a signature. The message is for whoever signed."""


def strokes_from(text: str) -> Strokes | None:
    """Strokes as JSON `[[[x, y], …], …]` in a frame of 600 by 200, from the upper left; None where nothing was drawn.

    Raises BadSignature for anything else, for too much, and for what is too small to be one.
    """
    if not text.strip():
        return None
    again = _("The signature couldn’t be read. Draw it again, or leave it out: your typed name stands for it.")
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        raise BadSignature(again) from None
    if not isinstance(read, list) or not all(isinstance(stroke, list) and stroke for stroke in read):
        raise BadSignature(again)
    points = [point for stroke in read for point in stroke]
    if not points:
        return None
    if len(points) > MOST_POINTS or not all(_is_point(point) for point in points):
        raise BadSignature(again)
    across, down = zip(*points, strict=True)
    if max(max(across) - min(across), max(down) - min(down)) < LEAST_REACH:
        raise BadSignature(_("That is too small for a signature. Draw it again, or clear it and leave it out."))
    return read


def _is_point(point: object) -> bool:
    if not isinstance(point, list) or len(point) != 2 or not all(type(each) is int for each in point):
        return False
    return 0 <= point[0] <= WIDTH and 0 <= point[1] <= HEIGHT


def svg_path(strokes: Strokes) -> str:
    """The strokes as the path of an SVG of that frame; a single point is a dot."""
    return " ".join(
        "M" + " L".join(f"{x} {y}" for x, y in (stroke if len(stroke) > 1 else stroke * 2)) for stroke in strokes
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A proposal signed by hand: the file's bytes, its ending ("pdf", "jpg"), and the date beside the signature."""

    data: bytes
    ending: str
    signed_on: date


def paper_from(upload: IO[bytes], *, signed_on: date) -> Paper:
    """The paper, checked by what the file contains: a PDF is kept byte for byte, a photo upright and without metadata.

    Raises BadPdf, BadImage.
    """
    data = pdf_bytes(upload)
    if data is None:
        return Paper(data=photo_jpeg(upload)[0], ending="jpg", signed_on=signed_on)
    return Paper(data=data, ending="pdf", signed_on=signed_on)
