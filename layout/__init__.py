"""The layout engine: a measured room and a tile in, a plan to set by out. Pure Python, no Django.

room = layout.read_room(data)           # raises RoomError, which names the place
result = layout.lay_out(room, option=1)
text = layout.dumps(result.to_json())   # gaugerod-layout/1
quantities = layout.take_off(room, result)
"""

from layout.drawing import surface_svg
from layout.errors import RoomError
from layout.hand import Hand, Look, look_by_hand
from layout.options import lay_by_hand, lay_out, recommended
from layout.reading import read_room
from layout.result import ENGINE_VERSION, Finding, Option, Piece, Result, SurfaceLayout, dumps
from layout.room import Room, Surface, Tile
from layout.rough_in import Build, rough_in
from layout.takeoff import take_off

__all__ = [
    "ENGINE_VERSION",
    "Build",
    "Finding",
    "Hand",
    "Look",
    "Option",
    "Piece",
    "Result",
    "Room",
    "RoomError",
    "Surface",
    "SurfaceLayout",
    "Tile",
    "dumps",
    "lay_by_hand",
    "lay_out",
    "look_by_hand",
    "read_room",
    "recommended",
    "rough_in",
    "surface_svg",
    "take_off",
]
