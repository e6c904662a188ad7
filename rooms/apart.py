"""The layout engine in a process of its own, so that a hard room can't hold up the pages. Knows no Django.

`python -m rooms.apart N` reads a room file and the shop's own limits on standard input and writes to standard output,
pickled, the result with option N chosen (N `first`: the figures of the recommended one), or the place and the reason of
a RoomError. It is ended after `CPU_SECONDS` of work: how much a room asks of the engine follows from its corners,
pattern and joints together, and can't be told beforehand.
"""

import json
import os
import pickle
import resource
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import layout
from trade.shop_limits import DEFAULTS, ShopLimits

CPU_SECONDS = 40
"""Of work, whatever else the machine does meanwhile."""

WAIT_SECONDS = 45
"""The longest that a page waits, on a busy machine: less than the web server's limit (config/gunicorn_conf.py)."""

_FIRST = "first"
"""Asks for the recommended option's figures alone."""

_ROOT = Path(__file__).resolve().parent.parent


class TookTooLong(Exception):
    """The engine wasn't done within its limits."""


def lay_out_apart(
    data: Mapping[str, Any],
    *,
    option: int,
    limits: ShopLimits = DEFAULTS,
    cpu_seconds: int = CPU_SECONDS,
    wait_seconds: float = WAIT_SECONDS,
) -> layout.Result:
    """What `layout.lay_out` returns for the room of a file. Raises layout.RoomError as it does, and TookTooLong."""
    found = _apart(str(option), data, limits, cpu_seconds, wait_seconds)
    assert isinstance(found, layout.Result)
    return found


def recommended_apart(data: Mapping[str, Any]) -> layout.Option:
    """What `layout.recommended` returns for the room of a file. Raises as `lay_out_apart`."""
    found = _apart(_FIRST, data, DEFAULTS, CPU_SECONDS, WAIT_SECONDS)
    assert isinstance(found, layout.Option)
    return found


def _apart(
    asked: str, data: Mapping[str, Any], limits: ShopLimits, cpu_seconds: int, wait_seconds: float
) -> layout.Result | layout.Option:
    paths = [str(_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", "rooms.apart", asked, str(cpu_seconds)],
            input=json.dumps([data, limits.to_json()]).encode(),
            capture_output=True,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            timeout=wait_seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise TookTooLong from None
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        raise TookTooLong
    if done.returncode:
        raise RuntimeError(f"the layout engine failed: {done.stderr.decode(errors='replace')[-2000:]}")
    found = pickle.loads(done.stdout)  # noqa: S301 -- written by our own process, a moment ago
    if isinstance(found, layout.Result | layout.Option):
        return found
    raise layout.RoomError(*found)


def main(asked: str, cpu_seconds: int) -> None:
    # Even where whoever asked is gone, it ends by itself. Pages come before it.
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds + 1))
    os.nice(5)
    found: layout.Result | layout.Option | tuple[str, str]
    try:
        data, limits = json.load(sys.stdin.buffer)
        room = layout.read_room(data)
        if asked == _FIRST:
            found = layout.recommended(room)
        else:
            found = layout.lay_out(room, option=int(asked), limits=ShopLimits.from_json(limits))
    except layout.RoomError as error:
        found = error.place, error.reason
    pickle.dump(found, sys.stdout.buffer)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
