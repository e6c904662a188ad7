"""A surface as it was measured, before any tile: outline, openings, width and height. To scale."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, cast

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from rooms.outlines import Box, Point, box_of, is_rectangle, outline_of
from trade.lengths import Unit, format_length, parse_length

_LONGEST = Decimal(360)
_ROOM = (62, 14, 14, 40)
"""Left, top, right and bottom of the drawing, for its figures."""

_MOST_SIDES = 12
"""With more, the figures of single sides would cover each other."""


def opening_texts(raw: Mapping[str, Any], *, units: str, shown_in: Unit) -> list[str]:
    """The openings of a surface in words: kind, size, and where their box stands, from the surface's lower left."""
    left, bottom, _right, _top = box_of(cast(list[Point], outline_of(raw, units)))
    texts = []
    for opening in raw.get("openings", ()):
        x0, y0, x1, y1 = _box(opening, units)
        sizes = {"width": x1 - x0, "height": y1 - y0, "left": x0 - left, "bottom": y0 - bottom}
        words = {name: format_length(size, unit=shown_in) for name, size in sizes.items()}
        template = _("%(kind)s: %(width)s wide, %(height)s high, %(left)s from the left, %(bottom)s up")
        texts.append(template % {"kind": opening.get("kind") or opening["id"], **words})
    for blocking in raw.get("blocking") or ():
        x, y = _at(blocking, units)
        words = {"across": format_length(x - left, unit=shown_in), "up": format_length(y - bottom, unit=shown_in)}
        template = _("Blocking for %(what)s: center %(across)s from the left, %(up)s up")
        texts.append(template % {"what": blocking.get("for") or "–", **words})
    return texts


def _at(blocking: Mapping[str, Any], units: str) -> Point:
    x, y = (parse_length(part, unit=cast(Unit, units)) for part in blocking["at"])
    return x, y


def _box(opening: Mapping[str, Any], units: str) -> Box:
    if points := outline_of(opening, units):
        return box_of(points)
    x, y, r = (parse_length(part, unit=cast(Unit, units)) for part in opening["circle"])
    return x - r, y - r, x + r, y + r


@dataclass(frozen=True, slots=True)
class Dot:
    """A numbered place on a surface, in its coordinates (mm)."""

    number: int
    x: Decimal
    y: Decimal


def scale_of(width: Decimal, height: Decimal) -> Decimal:
    """Units of a sketch for a mm of the surface; the surface's lower left stands at 0 across, `height` of it down."""
    return _LONGEST / max(width, height)


def _sides(points: Sequence[Point]) -> Iterator[tuple[Decimal, Point]]:
    """The length of each side, and a place for it: a fifth of the way from its middle to the middle of them all."""
    count = len(points)
    center = [sum((point[axis] for point in points), Decimal(0)) / count for axis in (0, 1)]
    for index, (x, y) in enumerate(points):
        nx, ny = points[(index + 1) % count]
        middle = (x + nx) / 2, (y + ny) / 2
        length = ((nx - x) ** 2 + (ny - y) ** 2).sqrt()
        yield length, (middle[0] + (center[0] - middle[0]) / 5, middle[1] + (center[1] - middle[1]) / 5)


def sketch(
    raw: Mapping[str, Any], *, units: str, shown_in: Unit, large: bool = False, dots: Sequence[Dot] = ()
) -> SafeString:
    """The surface of a room file as SVG with title, 360 units on its longer side, lengths in `shown_in`, and `dots`.
    `large`: its figures are twice as large, for a small place, and sides that aren't the box's have theirs."""
    points = cast(list[Point], outline_of(raw, units))
    left, bottom, right, top = box_of(points)
    width, height = right - left, top - bottom
    scale = scale_of(width, height)
    times = 2 if large else 1

    def place(point: Sequence[Decimal]) -> str:
        return f"{(point[0] - left) * scale:.1f},{(top - point[1]) * scale:.1f}"

    def path(outline: Sequence[Point]) -> str:
        return "M" + " L".join(place(point) for point in outline) + "Z"

    shapes = [format_html('<path class="gap" d="{}"/>', path(points))]
    for opening in raw.get("openings", ()):
        name = opening.get("kind") or opening["id"]
        x0, y0, x1, y1 = _box(opening, units)
        if hole := outline_of(opening, units):
            shapes.append(format_html('<path class="open" d="{}"/>', path(hole)))
        else:
            center = place(((x0 + x1) / 2, (y0 + y1) / 2)).split(",")
            r = (x1 - x0) / 2
            shapes.append(format_html('<circle class="open" cx="{}" cy="{}" r="{}"/>', *center, f"{r * scale:.1f}"))
        if (x1 - x0) * scale > 8 * times * len(name):
            middle = place(((x0 + x1) / 2, (y0 + y1) / 2)).split(",")
            shapes.append(format_html('<text class="lab" text-anchor="middle" x="{}" y="{}">{}</text>', *middle, name))
    for blocking in raw.get("blocking") or ():
        where = place(_at(blocking, units))
        shapes.append(format_html('<path class="dimline" d="M{} m-8,0 h16 m-8,-8 v16"/>', where))
    if large and not is_rectangle(points) and len(points) <= _MOST_SIDES:
        for side, (x, y) in _sides(points):
            middle = place((x, y)).split(",")
            size = format_length(side, unit=shown_in)
            shapes.append(
                format_html('<text class="lab" text-anchor="middle" dy="9" x="{}" y="{}">{}</text>', *middle, size)
            )
    wide, high = width * scale, height * scale
    figures = format_html(
        '<path class="dimline" d="M0,{under} H{wide} M-16,0 V{high}"/>'
        '<text class="dim" text-anchor="middle" x="{mid}" y="{below}">{width}</text>'
        '<text class="dim" text-anchor="middle" x="-22" y="{half}" transform="rotate(-90 -22 {half})">{height}</text>',
        under=f"{high + 14:.1f}",
        below=f"{high + 18 + 14 * times:.1f}",
        wide=f"{wide:.1f}",
        high=f"{high:.1f}",
        mid=f"{wide / 2:.1f}",
        half=f"{high / 2:.1f}",
        width=format_length(width, unit=shown_in),
        height=format_length(height, unit=shown_in),
    )
    for dot in dots:
        spot = dict(zip(("x", "y"), place((dot.x, dot.y)).split(","), strict=True))
        mark = (
            '<circle class="photo" cx="{x}" cy="{y}" r="13"/><text class="photo-number" x="{x}" y="{y}">{number}</text>'
        )
        shapes.append(format_html(mark, number=dot.number, **spot))
    before, above, after, below = (each * times for each in _ROOM)
    # A short wall still needs room for its figures.
    least_wide, least_high = max(wide, Decimal(60)), max(high, Decimal(60))
    return format_html(
        '<svg class="drawn{}" viewBox="{} {} {} {}" role="img"><title>{}</title>{}{}</svg>',
        " large" if large else "",
        -before,
        -above,
        f"{least_wide + before + after:.1f}",
        f"{least_high + above + below:.1f}",
        raw.get("name") or raw["id"],
        format_html_join("", "{}", ((shape,) for shape in shapes)),
        figures,
    )
