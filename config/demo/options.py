"""What a client of the demo shop may choose: one of three tiles, and a wall more. All invented."""

from decimal import Decimal
from typing import Any

from config.demo.people import Cast
from estimating.actions import add_option, offer_add_on, offer_another, set_rate
from rooms.actions import choose_layout, import_room
from rooms.models import Place, Room, Tile
from rooms.tiles.keeping import save_tile

INCH = Decimal("25.4")


def three_floors_and_a_wall(cast: Cast, room: Room) -> None:
    """The floor in two other tiles beside its own, and the wall over the counter to add."""
    slate = _tile(cast, "Slate gray, 18 x 18", "17.9375", per_box=7, box="94.00")
    white = _tile(cast, "Chalk white, 12 x 12", "11.75", per_box=12, box="58.00")
    other = offer_another(
        room=room, question="Floor tile", name="Sand, 24 x 24", other="Slate gray, 18 x 18", tile=slate, by=cast.owner
    )
    add_option(option=other, name="Chalk white, 12 x 12", tile=white, joint=INCH * 3 / 16, by=cast.owner)
    wall = import_room(job=room.job, data=_wall(), place=Place.DRY_WALL, by=cast.owner)
    set_rate(
        key="tile", tile=wall.tile, cost=Decimal(52), unit="piece", package=Decimal(44), by=cast.owner, example=True
    )
    choose_layout(room=wall, option=1, why="Full course on the counter", by=cast.owner)
    offer_add_on(room=wall, text="Tiled up to the shelf, with a trim on top.", by=cast.owner)


def _tile(cast: Cast, name: str, edge: str, *, per_box: int, box: str) -> Tile:
    said = {"name": name, "width": Decimal(edge) * INCH, "height": Decimal(edge) * INCH, "edge": "calibrated"}
    tile = save_tile(tile=Tile(), values={**said, "thickness": INCH * 3 / 8, "per_box": per_box}, by=cast.owner)
    cost, package = Decimal(box), Decimal(per_box)
    set_rate(key="tile", tile=tile, cost=cost, unit="piece", package=package, by=cast.owner, example=True)
    return tile


def _wall() -> dict[str, Any]:
    wall = {"id": "wall", "name": "Wall", "kind": "wall", "outline": [[0, 0], [120, 0], [120, 24], [0, 24]]}
    return {
        "format": "gaugerod-room/1",
        "name": "Wall over the counter",
        "units": "in",
        "surfaces": [wall],
        "tile": {"width": 5.875, "height": 2.9375, "thickness": "5/16", "edge": "calibrated", "per_box": 44},
        "joint": "1/8",
        "pattern": {"kind": "offset", "share": "1/2", "run": "alternate"},
        "kerf": 2,
    }
