"""A shower with something of each kind to frame and rough in."""

from tests.rooms_app.files import sample


def shower(**more) -> dict:
    """The sample shower: niche in the back wall, valve and grab bar marked on the right one."""
    data = sample("quarry-lane-shower")
    data["surfaces"][2]["aim"] = [
        {"at": [18, 44], "want": "joint-centered", "why": "valve"},
        {"at": [30, 34], "want": "joint-centered", "why": "grab bar"},
    ]
    return {**data, **more}
