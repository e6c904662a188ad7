"""The drawings of a proposal: as they stand on the page, and to a round scale for the letter on paper."""

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from layout.rereading import least_of, surfaces_of
from layout.room import Room
from layout.to_scale import POINTS_PER_MM, draw_to_scale
from rooms.chosen import ChosenRoom
from rooms.models import Layout

AREA = (170 * POINTS_PER_MM, 106 * POINTS_PER_MM)
"""Width and height in points of a drawing on Letter and A4 alike: two of them stand on a page (`proposal.css`)."""

_VIEW_BOX = re.compile(r'viewBox="[-0-9.]+ [-0-9.]+ ([0-9.]+) ([0-9.]+)"')


def drawings_of(layout: Layout, chosen: ChosenRoom) -> list[dict[str, Any]]:
    """Each surface: `name`, `svg`, `tall`; `on_paper` has the same at a round scale, None where no scale is small
    enough."""
    option = layout.result["options"][layout.option - 1]
    return [
        {
            "name": drawing["name"],
            "svg": drawing["svg"],
            "tall": _tall(drawing["svg"]),
            "on_paper": on_paper(drawing["id"], option, chosen.room),
        }
        for drawing in layout.drawings
    ]


def on_paper(surface: str, option: Mapping[str, Any], room: Room) -> dict[str, str] | None:
    """A surface of a printed option at the largest round scale that fits `AREA`: `svg` and `scale`, said in words;
    None for one that fits at none."""
    laid, least = surfaces_of(option, room), least_of(option)
    try:
        drawn = draw_to_scale(room, room.surface(surface), laid[surface], least, (AREA, AREA))
    except ValueError:
        return None
    return {"svg": drawn.svg, "scale": _scale(drawn.ratio, inches=room.units == "in")}


def _scale(ratio: int, *, inches: bool) -> str:
    if inches and not 96 % ratio:
        # A foot is 12 in: at 1 to 24 it is 1/2 in on paper.
        eighths = 96 // ratio
        size = f"{eighths // 8}" if not eighths % 8 else f"{eighths}/8" if eighths % 2 else _reduced(eighths)
        return _("1:%(ratio)s (%(size)s in to the foot)") % {"ratio": ratio, "size": size}
    return f"1:{ratio}"


def _reduced(eighths: int) -> str:
    whole, rest = divmod(eighths, 8)
    part = {2: "1/4", 4: "1/2", 6: "3/4"}[rest]
    return f"{whole} {part}" if whole else part


def _tall(svg: str) -> bool:
    """Whether a drawing is clearly higher than wide: two of those go side by side on a page."""
    found = _VIEW_BOX.search(svg)
    return found is not None and float(found[1]) < 0.9 * float(found[2])
