"""The one error that a bad room file raises."""

from __future__ import annotations


class RoomError(ValueError):
    """A room that can't be laid out. `place` names where in the file, `reason` says what is wrong and what to do."""

    def __init__(self, place: str, reason: str) -> None:
        super().__init__(f"{place}: {reason}" if place else reason)
        self.place = place
        self.reason = reason
