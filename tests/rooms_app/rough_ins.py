"""A shower with something of each kind to frame and rough in."""

from decimal import Decimal

from rooms.rough_in import RoughIn
from tests.rooms_app.files import sample

INCH = Decimal("25.4")


def shower(**more) -> dict:
    """The sample shower: niche in the back wall, valve and grab bar marked on the right one."""
    data = sample("quarry-lane-shower")
    data["surfaces"][2]["aim"] = [
        {"at": [18, 44], "want": "joint-centered", "why": "valve"},
        {"at": [30, 34], "want": "joint-centered", "why": "grab bar"},
    ]
    return {**data, **more}


def measured(layout, **typed) -> list[dict]:
    """Lengths in inches by item kind and words of the measure's name: niche_rough_width=13."""
    found = []
    for words, inches in typed.items():
        kind, name = words.split("_", 1)
        item = next(each for each in RoughIn(layout).items if each.kind == kind)
        measure = next(each for each in item.measures if each.name.replace(",", "").replace(" ", "_") == name)
        found.append({"item": item.number, "name": measure.name, "mm": str(Decimal(inches) * INCH)})
    return found


def fields(layout, **typed) -> dict[str, str]:
    """The same as a browser posts it."""
    sheet = RoughIn(layout)
    posted = {"sheet": str(layout.pk)}
    for words, text in typed.items():
        (raw,) = measured(layout, **{words: 0})
        item = sheet.items[raw["item"] - 1]
        posted[next(each.key for each in item.measures if each.name == raw["name"])] = text
    return posted
