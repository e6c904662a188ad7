"""Long proposals out of the sample rooms, without a database: for the benchmark, and to look at them on paper.

People and figures are invented.
"""

import json
from decimal import Decimal
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import layout
from estimating.drawn import on_paper
from estimating.payments import USUAL, due_text, pay, step_text
from estimating.scope import cautions, governs
from estimating.texts.blocks import BLOCKS, PHASES
from estimating.texts.fields import examples, fill

ROOMS = Path(__file__).parent.parent / "config" / "demo" / "rooms"
TOTAL = Decimal("8000.00")
LOGO = (
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkkPlfDwACKwFXbIr4"
    "zAAAAABJRU5ErkJggg=="
)


def drawings(count: int) -> list[dict[str, Any]]:
    """So many drawings of surfaces, as estimating.drawn has them; the same again where the sample rooms have fewer."""
    found: list[dict[str, Any]] = []
    for path in sorted(ROOMS.glob("*.json")):
        room = layout.read_room(json.loads(path.read_text(encoding="utf-8")))
        result = layout.lay_out(room, option=1)
        option = json.loads(layout.dumps(result.to_json()))["options"][0]
        for surface in room.surfaces:
            svg = layout.surface_svg(room, result, surface.id)
            found.append(
                {"name": surface.name, "svg": svg, "tall": False, "on_paper": on_paper(surface.id, option, room)}
            )
            if len(found) == count:
                return found
    return list(islice(cycle(found), count))


def letter(*, rooms: int, drawn: int, lines: int = 6, paper: str = "letter") -> dict[str, Any]:
    """The input of a proposal's document: `rooms` rooms, `drawn` drawings shared among them, `lines` priced lines a
    room."""
    pictures, values = drawings(drawn), examples()
    said = {key: fill(str(block.text), values) for key, block in BLOCKS.items()}
    count = rooms * lines
    amounts = [TOTAL / count // Decimal("0.01") / 100] * (count - 1)
    amounts.append(TOTAL - sum(amounts))
    content = {
        "number": "0147",
        "version": 1,
        "made_on": {"shown": values["made_on"]},
        "valid_until": {"shown": values["valid_until"]},
        "shop": {
            "name": values["shop"],
            "phone": values["phone"],
            "email": values["email"],
            "address": "3 Kiln Street\nMillbrook",
            "license_line": values["license"],
        },
        "client": {"name": values["client"], "contact": ""},
        "site": {"lines": values["site"].split(", ")},
        "job": {"title": values["job"]},
        "greeting": said["greeting"],
        "rooms": [_room(number, pictures[number::rooms]) for number in range(rooms)],
        "lines": [
            {"group": f"Room {at // lines + 1}", "text": f"Item {at % lines + 1}", "shown": f"${amount:,.2f}"}
            for at, amount in enumerate(amounts)
        ],
        "tax": None,
        "total": {"shown": f"${TOTAL:,.2f}"},
        "measures": [{"name": "Work", "text": "about 6 days of one person", "how": "48 hours at 8 hours a day"}],
        "payments": {
            "steps": [
                {"due": due_text(each.step.due), "text": step_text(each.step), "shown": f"${each.amount:,.2f}"}
                for each in pay(total=TOTAL, steps=USUAL)
            ],
            "words": said["payment"],
            "law": "Local law applies.",
        },
        "terms": said["terms"].splitlines(),
        "sections": [
            {"name": str(BLOCKS[key].name), "lines": said[key].splitlines()}
            for key in ("allowances", "exclusions", "duties")
        ],
        "unit_prices": [{"text": "One hour of one person", "shown": "$85.00"}],
        "cautions": cautions([]),
        "warranty": said["warranty"],
        "cooling_off": said["cooling_off"],
        "closing": said["closing"],
        "governs": governs(),
    }
    return {"letter": content, "paper": paper, "shop_name": values["shop"], "logo": LOGO, "color": "#1d5c63"}


def _room(number: int, pictures: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "name": f"Room {number + 1}",
        "facts": [
            {"name": "Tile", "text": "Glazed wall tile, 12 x 24"},
            {"name": "Joint", "text": '1/8"'},
            {"name": "Smallest cut", "text": '6 5/8"'},
        ],
        "scope": [{"name": str(block.name), "text": str(block.text)} for block in PHASES],
        "drawings": pictures,
        "watch_for": ["Shade varies from box to box: blend three."],
    }
