"""From what a tape and a level say of a wall or floor to its outline, and what of it can't be. Lengths are Decimal mm.

Pure geometry: knows no forms, no database and no page. What it has to say is a template with figures in mm.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from trade.lengths import SIXTEENTH, inches
from trade.words import gettext_noop

Point = tuple[Decimal, Decimal]
Box = tuple[Decimal, Decimal, Decimal, Decimal]
Side = Literal["left", "right"]
Corner = Literal["lower left", "lower right", "upper left", "upper right"]

HALF_STEP = inches(SIXTEENTH) / 2
"""How far off one reading may be: a tape is read to the nearest 1/16 in (common practice, no source)."""

ODD_WIDTH = Decimal("0.125")
"""Of the width: one that is farther off the others is more often a slip than a wall (common practice, no source)."""
ODD_LEAN = Decimal("0.0625")
"""Of the height: a corner that leans more, 6 in of 8 ft, is more often a slip (common practice, no source)."""

_ZERO = Decimal(0)
_ORIGIN = (_ZERO, _ZERO)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What was measured of a surface with four corners, as one faces it.

    `width`: along the bottom; `middle`, `top`: the width at half height and along the top. `height`: at the left end;
    `right_height`: at the right end. `lean_left`, `lean_right`: how far the top of that corner stands to the right of
    its bottom, to the left with a minus. `rising`: the diagonal from lower left to upper right; `falling`: from upper
    left to lower right. None: not measured.
    """

    width: Decimal
    height: Decimal
    middle: Decimal | None = None
    top: Decimal | None = None
    right_height: Decimal | None = None
    lean_left: Decimal | None = None
    lean_right: Decimal | None = None
    rising: Decimal | None = None
    falling: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """Something to say beside the measure `name`; `stops`: there is no such surface; `odd`: hardly, so that somebody
    has to be sure of it. Figures in mm."""

    name: str
    template: str
    figures: Mapping[str, Decimal]
    stops: bool = True
    odd: bool = False


@dataclass(frozen=True, slots=True)
class Outlined:
    """The outline, counter-clockwise from the lower left corner, and what there is to say of the measures. No points
    where the measures make no surface."""

    points: tuple[Point, ...]
    said: tuple[Said, ...] = field(default=())

    @property
    def stops(self) -> bool:
        return any(each.stops for each in self.said)


class _NoSuchThing(Exception):
    """Sides that make no triangle."""


def outline(measures: Measures, *, bows: Side | None = "right") -> Outlined:
    """What the measures make.

    The bottom is taken as level, and a height as measured along its own corner. What wasn't measured is as its
    opposite: the top as wide as the bottom, the right end as high as the left.

    - Plumb readings say where the corners' tops stand; of one alone the other follows from the widths. Diagonals then
      only test them.
    - Without plumb readings a diagonal says how the four sides stand (law of cosines), and a second one tests it.
    - With neither the left corner is taken as plumb, and a top of another width is put to the right.

    A tape hooked at one corner can't say which of the two bows, so a middle width that isn't on the straight line from
    bottom to top makes a corner of its own on the side `bows`, at half height. None: both sides meet other walls, which
    a straight edge must; then the sides stay straight, and it is said how far the middle is off.

    A diagonal closes within what the tape's readings can be off, all at their worst: `slack`. Widths that differ, and
    corners that lean, more than hardly any wall does are `odd`.
    """
    m = measures
    across = m.width if m.top is None else m.top
    right = m.height if m.right_height is None else m.right_height
    said: list[Said] = []
    try:
        top_left, top_right = _tops(m, across, right, said)
    except _NoSuchThing as error:
        name = str(error)
        return Outlined((), (*said, Said(name, _NO_TRIANGLE, {}, stops=True)))
    lower_right = (m.width, _ZERO)
    said += _tested(m, top_left, top_right, lower_right, across, right)
    if m.lean_left is None and m.lean_right is None and (m.rising is not None or m.falling is not None):
        said += _out_of_square(top_left, top_right, m.width)
    said += _odd(m, top_left, top_right, across)
    points = [_ORIGIN, lower_right, top_right, top_left]
    if m.middle is not None:
        points, more = _with_middle(points, m.middle, bows)
        said += more
    return Outlined(tuple((_exact(x), _exact(y)) for x, y in points), tuple(said))


def slack(width: Decimal, height: Decimal, diagonal: Decimal) -> Decimal:
    """How far a diagonal of four sides that close may seem off, mm, each of six readings being off by `HALF_STEP`.

    By the parallelogram law p² + q² = 2a² + 2b² a change of a side changes a diagonal by at most the side's share of it
    (both sides of a kind: 2a/p), and a change of the other diagonal by as much.
    """
    return HALF_STEP * (2 + 2 * (width + height) / diagonal)


def walk(legs: Sequence[tuple[Decimal, Decimal]]) -> tuple[Point, ...]:
    """The corners of an outline that is walked round leg by leg, each so far to the right and so far up (left and down
    with a minus), moved so that nothing lies below or left of zero.

    The last side, back to where the walk began, needn't be walked: it closes by itself. A walk that does come back to
    within the reading of each leg has closed.
    """
    points = [_ORIGIN]
    for right, up in legs:
        points.append((points[-1][0] + right, points[-1][1] + up))
    if len(points) > 3 and _apart(points[-1], _ORIGIN) <= HALF_STEP * len(legs):
        points.pop()
    left, bottom = min(x for x, _ in points), min(y for _, y in points)
    return tuple((x - left, y - bottom) for x, y in points)


def corner_at(points: Sequence[Point], corner: Corner, *, of_box: bool = False) -> Point:
    """The corner of the outline from which an opening is measured: the point nearest to that corner of its box; with
    `of_box`, the box's own corner."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wanted = (max(xs) if "right" in corner else min(xs), max(ys) if "upper" in corner else min(ys))
    return wanted if of_box else min(points, key=lambda point: _apart(point, wanted))


def box_from(corner_point: Point, corner: Corner, across: Decimal, along: Decimal, size: Point) -> Box:
    """The box (left, bottom, right, top) of an opening of `size` (width, height) whose near edges stand `across` and
    `along` (up, or down) from a corner."""
    x, y = corner_point
    width, height = size
    left = x - across - width if "right" in corner else x + across
    bottom = y - along - height if "upper" in corner else y + along
    return left, bottom, left + width, bottom + height


def two_measures(corner_point: Point, corner: Corner, box: Box) -> Point:
    """The other way round: how far the near edges of a box stand from a corner, across and along."""
    x, y = corner_point
    left, bottom, right, top = box
    return (x - right if "right" in corner else left - x), (y - top if "upper" in corner else bottom - y)


_NO_TRIANGLE = gettext_noop("With these sides there is no such measure: they can't meet. Measure this one again.")
_OPEN = gettext_noop(
    "This doesn't close: the other measures make it %(makes)s. One of them is off; measure this one again first."
)
_LEANS = gettext_noop("By the diagonal the top stands %(lean)s to the side: out of square.")
_SQUARE = gettext_noop("Square by the diagonal, within the tape's reading.")
_ODD_WIDTH = gettext_noop("That is far from the other widths, which make it %(other)s here. Measure it again.")
_ODD_LEAN = gettext_noop("By this the side leans by %(lean)s: hardly any does. Measure it again.")
_BOWS = gettext_noop("The middle is %(off)s off the straight line: the drawing is straight; float it, or cut to it.")


def _tops(m: Measures, across: Decimal, right: Decimal, said: list[Said]) -> tuple[Point, Point]:
    """Upper left and upper right corner. Raises _NoSuchThing with the measure that can't be."""
    lower_right = (m.width, _ZERO)
    if m.lean_left is not None or m.lean_right is not None:
        left_x = m.lean_left
        right_x = None if m.lean_right is None else m.width + m.lean_right
        if left_x is None:
            assert right_x is not None
            left_x = right_x - across
        if right_x is None:
            right_x = left_x + across
        found = (
            (left_x, _rise(m.height, left_x, "lean_left")),
            (right_x, _rise(right, right_x - m.width, "lean_right")),
        )
        makes = _apart(*found)
        if m.top is not None and abs(makes - m.top) > 4 * HALF_STEP:
            said.append(Said("top", _OPEN, {"makes": _exact(makes)}))
        return found
    if m.falling is not None:
        top_left = _third(_ORIGIN, m.height, lower_right, m.falling, "falling")
        return top_left, _third(top_left, across, lower_right, right, "falling")
    if m.rising is not None:
        top_right = _third(_ORIGIN, m.rising, lower_right, right, "rising")
        return _third(_ORIGIN, m.height, top_right, across, "rising"), top_right
    return (_ZERO, m.height), (across, _rise(right, across - m.width, "top"))


def _tested(
    m: Measures, top_left: Point, top_right: Point, lower_right: Point, across: Decimal, right: Decimal
) -> Iterator[Said]:
    """The diagonals that don't fit the corners."""
    for name, typed, makes in (
        ("falling", m.falling, _apart(top_left, lower_right)),
        ("rising", m.rising, _apart(_ORIGIN, top_right)),
    ):
        if typed is None:
            continue
        if abs(typed - makes) > slack(max(m.width, across), max(m.height, right), typed):
            yield Said(name, _OPEN, {"makes": _exact(makes)})


def _out_of_square(top_left: Point, top_right: Point, width: Decimal) -> Iterator[Said]:
    """How far the worse corner's top stands off plumb, by the diagonals."""
    lean = max(abs(top_left[0]), abs(top_right[0] - width))
    # A lean is the tape's error times diagonal over width; below one step of the tape nobody can tell.
    name = "falling" if abs(top_left[0]) >= abs(top_right[0] - width) else "rising"
    if lean <= 2 * HALF_STEP:
        yield Said("falling", _SQUARE, {}, stops=False)
    else:
        yield Said(name, _LEANS, {"lean": _exact(lean)}, stops=False)


def _odd(m: Measures, top_left: Point, top_right: Point, across: Decimal) -> Iterator[Said]:
    """Widths too far from each other, and the corner that leans too far, where no width says so already."""
    widths = (("top", m.top, m.width), ("middle", m.middle, (m.width + across) / 2))
    far = [(name, other) for name, typed, other in widths if typed and abs(typed - other) > ODD_WIDTH * m.width]
    for name, other in far:
        yield Said(name, _ODD_WIDTH, {"other": _exact(other)}, stops=False, odd=True)
    corners = (
        ("lean_left", "falling", top_left[0], top_left[1]),
        ("lean_right", "rising", top_right[0] - m.width, top_right[1]),
    )
    for plumb, diagonal, aside, height in corners:
        # What says it first: its own reading, its diagonal, else what the other corner has.
        order = (plumb, diagonal, "lean_left", "lean_right", "falling", "rising")
        said_by = next((each for each in order if getattr(m, each) is not None), None)
        if said_by and abs(aside) > ODD_LEAN * height and not any(each == "top" for each, _other in far):
            yield Said(said_by, _ODD_LEAN, {"lean": _exact(abs(aside))}, stops=False, odd=True)
            return


def _with_middle(points: list[Point], middle: Decimal, bows: Side | None) -> tuple[list[Point], list[Said]]:
    lower_left, lower_right, top_right, top_left = points
    left, right = _halfway(lower_left, top_left), _halfway(lower_right, top_right)
    off = middle - _apart(left, right)
    if abs(off) <= 2 * HALF_STEP:
        return points, []
    if bows is None:
        return points, [Said("middle", _BOWS, {"off": _exact(abs(off))}, stops=False)]
    if bows == "right":
        return [lower_left, lower_right, (right[0] + off, right[1]), top_right, top_left], []
    return [*points, (left[0] - off, left[1])], []


def _third(left: Point, to_left: Decimal, right: Point, to_right: Decimal, name: str) -> Point:
    """The third corner of a triangle, so far from the two others, on the left hand of who goes from `left` to `right`.
    Raises _NoSuchThing(name)."""
    base = _apart(left, right)
    if base <= 0 or to_left <= 0 or to_right <= 0:
        raise _NoSuchThing(name)
    # Law of cosines: how far along the base the foot of the corner stands.
    along = (base * base + to_left * to_left - to_right * to_right) / (2 * base)
    square = to_left * to_left - along * along
    if square <= 0:
        raise _NoSuchThing(name)
    up = square.sqrt()
    x, y = (right[0] - left[0]) / base, (right[1] - left[1]) / base
    return left[0] + along * x - up * y, left[1] + along * y + up * x


def _rise(side: Decimal, aside: Decimal, name: str) -> Decimal:
    """How high a side reaches whose end stands `aside`. Raises _NoSuchThing(name)."""
    square = side * side - aside * aside
    if square <= 0:
        raise _NoSuchThing(name)
    return square.sqrt()


def _halfway(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _apart(a: Point, b: Point) -> Decimal:
    x, y = a[0] - b[0], a[1] - b[1]
    return (x * x + y * y).sqrt()


def _exact(mm: Decimal) -> Decimal:
    return mm.quantize(Decimal("0.000001"))
