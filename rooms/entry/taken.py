"""What a room file says of a surface that was measured here: the measures behind its outline, so that they can be
changed as they were typed. They stand in the file beside the outline, under `measured`, lengths as texts in mm."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, cast

from rooms.entry.forms import BLOCKING, EDGE_FIELDS, MORE_MEASURES, ROUND_KINDS, WAYS
from rooms.files import mm_text
from rooms.measured import Corner, Measures, Point, Side, corner_at, outline, two_measures, walk
from rooms.outlines import box_of, is_rectangle, outline_of
from trade.lengths import LengthError, Unit, parse_length

_Values = dict[str, Any]
KEY = "measured"


@dataclass(frozen=True, slots=True)
class OwnOutline:
    """How the page shows an outline: by `measures`, by `legs`, or not at all (`fixed`: it came from a file). `origin`:
    where the walk or the lower left corner stands in the file; none of a surface that is no polygon. `sure`: of
    measures that look odd."""

    points: Sequence[Point] = ()
    origin: Point = (Decimal(0), Decimal(0))
    measures: Measures | None = None
    sure: bool = False
    legs: tuple[_Values, ...] = field(default=())

    @property
    def fixed(self) -> bool:
        return bool(self.points) and self.measures is None and not self.legs

    def corner(self, corner: Corner) -> Point:
        """Where an opening is measured from. Of an outline with steps it is the corner of its box."""
        return corner_at(self.points, corner, of_box=self.measures is None)


def own_outline(raw: Mapping[str, Any], units: str) -> OwnOutline:
    """Of a surface of a room file. Measures that no longer make its outline are not believed."""
    points = outline_of(raw, units) if raw else None
    if not points:
        return OwnOutline()
    left, bottom, right, top = box_of(points)
    if found := _as_measured(raw.get(KEY), points):
        return found
    if is_rectangle(points):
        return OwnOutline(points, (left, bottom), Measures(width=right - left, height=top - bottom))
    return OwnOutline(points, (left, bottom))


def _as_measured(kept: Any, points: Sequence[Point]) -> OwnOutline | None:
    if not isinstance(kept, Mapping):
        return None
    try:
        if "legs" in kept:
            steps = [(_mm(right), _mm(up)) for right, up in kept["legs"]]
            left, bottom = box_of(points)[:2]
            made = [(x + left, y + bottom) for x, y in walk(steps)]
            return OwnOutline(points, (left, bottom), legs=tuple(map(_leg, steps))) if made == [*points] else None
        names = {"width", "height", *MORE_MEASURES} & kept.keys()
        measures = Measures(**{name: _mm(kept[name]) for name in names})
        made = list(outline(measures, bows=cast(Side | None, kept.get("bows"))).points)
    except (LengthError, ValueError, TypeError, ArithmeticError):
        return None
    x, y = points[0]
    same = [(px + x, py + y) for px, py in made] == [*points]
    return OwnOutline(points, (x, y), measures, kept.get("sure") is True) if same else None


def _mm(text: Any) -> Decimal:
    return parse_length(text, unit="mm")


def _leg(step: Point) -> _Values:
    """A step as a row of the page."""
    across, along = step
    signs = ((across > 0) - (across < 0), (along > 0) - (along < 0))
    way = next((key for key, (_label, each) in WAYS.items() if each == signs), "right")
    if across and along:
        return {"way": way, "length": abs(across), "also": abs(along)}
    return {"way": way, "length": abs(across or along)}


def kept_measures(measures: Measures, bows: Side | None, *, sure: bool) -> _Values | None:
    """For the file: everything that was measured, and whether somebody is sure of what looks odd. None of a rectangle,
    whose outline says it."""
    more = {name: mm_text(mm) for name in MORE_MEASURES if (mm := getattr(measures, name)) is not None}
    if not more:
        return None
    return {"width": mm_text(measures.width), "height": mm_text(measures.height), **more, "bows": bows} | (
        {"sure": True} if sure else {}
    )


def kept_legs(steps: Sequence[Point]) -> _Values:
    return {"legs": [[mm_text(across), mm_text(along)] for across, along in steps]}


# ---------------------------------------------------------------- as the page shows it


def measures_shown(own: OwnOutline) -> _Values:
    """The fields of width, height and the other measures."""
    if own.measures is None:
        return {}
    return {name: getattr(own.measures, name) for name in ("width", "height", *MORE_MEASURES)}


def trimmed(raw: Mapping[str, Any], *, walked: bool) -> bool:
    """Whether each edge has a field for its finish: not where a file speaks of an outline's sides by their numbers, or
    of those of one that is walked round by name."""
    return all(name.startswith("edge ") == walked for name in raw.get("edges") or {})


def edge_finish(raw: Mapping[str, Any], number: int) -> str:
    """How an edge of an outline ends, counted from 0."""
    edge = (raw.get("edges") or {}).get(f"edge {number}") or {}
    return str(edge.get("finish", "soft"))


def edges_shown(raw: Mapping[str, Any]) -> _Values:
    """The fields of how each edge ends."""
    edges = raw.get("edges") or {}
    return {name: (edges.get(side) or {}).get("finish", "soft") for side, name in EDGE_FIELDS.items()}


def openings_of(raw: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The openings of a surface and its blocking, which the page measures alike: as round ones of no size."""
    blocking: list[Mapping[str, Any]] = [
        {**each, "id": f"{BLOCKING}{number}", "kind": f"{BLOCKING}{each.get('for', '')}", "circle": [*each["at"], "0"]}
        for number, each in enumerate(raw.get("blocking") or ())
    ]
    return [*raw.get("openings", ()), *blocking]


def is_fixed(raw: Mapping[str, Any], units: str) -> bool:
    """Whether an opening's outline isn't one that two measures and a size say."""
    if raw.get("circle"):
        return raw.get("kind") not in ROUND_KINDS and "at" not in raw
    return not is_rectangle(outline_of(raw, units) or [])


def corner_of(raw: Mapping[str, Any]) -> Corner:
    """The corner that an opening was measured from."""
    kept = raw.get(KEY)
    found = kept.get("from") if isinstance(kept, Mapping) else None
    known = ("lower left", "lower right", "upper left", "upper right")
    return cast(Corner, found) if found in known else "lower left"


def place_shown(raw: Mapping[str, Any], units: str, own: OwnOutline) -> _Values:
    """The fields of where an opening is and how large."""
    corner = corner_of(raw)
    if is_fixed(raw, units) or not own.points:
        return {"corner": corner}
    if points := outline_of(raw, units):
        left, bottom, right, top = box_of(points)
        size = {"width": right - left, "height": top - bottom}
    else:
        x, y, radius = (parse_length(part, unit=cast(Unit, units)) for part in raw["circle"])
        left, bottom, right, top = x, y, x, y
        size = {"width": 2 * radius} if radius else {}
    across, along = two_measures(own.corner(corner), corner, (left, bottom, right, top))
    return {"corner": corner, "left": across, "bottom": along, **size}


def moves_shown(raw: Mapping[str, Any], units: str) -> _Values:
    """How far an opening may be moved; nothing where it isn't as far either way, which has no field."""
    movable = raw.get("movable") or {}
    found = {}
    for axis in movable:
        least, most = (parse_length(end, unit=cast(Unit, units)) for end in movable[axis])
        if least == -most and most > 0:
            found[f"moves_{axis}"] = most
    return found
