"""Room files (`gaugerod-room/1`, FORMATS) and the rows they become, both ways without losing anything.

Every length is kept as Decimal mm; going out it is a text such as "1500.1875 mm", which means the same in a file of
either unit. What a file says beyond our columns is kept in `more`, so that it comes out again.
"""

from rooms.files.coming_in import check_file, room_from_file, tile_from_file, tile_name, write_room
from rooms.files.going_out import (
    FORMAT,
    layout_input,
    measures_to_file,
    mm_text,
    room_to_file,
    same_measures,
    tile_to_file,
)

__all__ = [
    "FORMAT",
    "check_file",
    "layout_input",
    "measures_to_file",
    "mm_text",
    "room_from_file",
    "room_to_file",
    "same_measures",
    "tile_from_file",
    "tile_name",
    "tile_to_file",
    "write_room",
]
