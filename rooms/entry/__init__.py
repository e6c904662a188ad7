"""The entry of a room: forms on the page, a room file behind them, and the way between the two.

The page is one plain form that works without scripts. Adding or removing a wall sends it as it stands and gets it back,
nothing lost, nothing complained about; only saving checks. What can't be a room yet is kept as it was typed. What the
forms don't show stays as it was.
"""

from rooms.entry.filing import Filed, file_entry
from rooms.entry.page import RoomEntry
from rooms.entry.state import State, fits_the_page, grown, shrunk, state_of_post, state_of_room, state_of_shape

__all__ = [
    "Filed",
    "RoomEntry",
    "State",
    "file_entry",
    "fits_the_page",
    "grown",
    "shrunk",
    "state_of_post",
    "state_of_room",
    "state_of_shape",
]
