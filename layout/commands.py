"""The engine on the command line: a room file in, JSON out; for a bad file one line on standard error."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

from layout.drawing import surface_svg
from layout.dxf import surface_dxf
from layout.errors import RoomError
from layout.options import lay_out
from layout.reading import read_room
from layout.result import Result, dumps
from layout.room import Room
from layout.rough_in import rough_in
from layout.survey.assess import survey
from layout.survey.reading import read_survey
from layout.takeoff import take_off

BAD_FILE = 2
MOST_BYTES = 50_000_000


class Refused(Exception):
    """What goes to standard error, in one line."""


class Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Refused(message)


def main_layout(argv: Sequence[str]) -> int:
    """Print a room file's layout as JSON. Returns 0, or 2 for a file or option that is no good."""
    return _run("layout", argv, _layout)


def main_takeoff(argv: Sequence[str]) -> int:
    """Print a room file's quantities as JSON. Returns 0, or 2 for a file or option that is no good."""
    return _run("takeoff", argv, _takeoff)


def load(name: str, what: str = "room") -> Mapping[str, Any]:
    """Return the JSON in a file, or in standard input for `-`. Raises RoomError with the file's name as its place.

    `what` it should be, for the reason.
    """
    shown = "standard input" if name == "-" else name
    try:
        raw = sys.stdin.buffer.read(MOST_BYTES + 1) if name == "-" else _read(Path(name))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RoomError(shown, f"this file can't be read: {reason}") from None
    if len(raw) > MOST_BYTES:
        raise RoomError(shown, f"more than {MOST_BYTES // 1_000_000} MB is no {what} file")
    try:
        data = json.loads(raw.decode("utf-8-sig"), object_pairs_hook=_object)
    except UnicodeDecodeError as error:
        raise RoomError(shown, f"this isn't UTF-8 text (byte {error.start})") from None
    except json.JSONDecodeError as error:
        raise RoomError(shown, f"this isn't JSON: {error.msg}, line {error.lineno}, column {error.colno}") from None
    except RecursionError:
        raise RoomError(shown, f"this JSON is nested too deep to be a {what}") from None
    except RoomError:
        raise
    except ValueError:
        raise RoomError(shown, "this JSON holds a number too long to read") from None
    if not isinstance(data, dict):
        raise RoomError(shown, f"a {what} is a JSON object")
    return data


def _read(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse a name that stands twice: JSON would silently keep the last."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise RoomError(twice, "this name stands twice in one object")
    return found


def _run(
    command: str, argv: Sequence[str], make: Callable[[Room, Result, argparse.Namespace], Mapping[str, Any]]
) -> int:
    parser = Parser(prog=command, description="Reads a room file and prints JSON.")
    parser.add_argument("file", help="a room file, or - for standard input")
    parser.add_argument("--option", type=int, default=1, help="number of the layout option, from 1")
    if command == "layout":
        parser.add_argument("--rough-in", action="store_true", help="print the measures for framer and plumber instead")
        parser.add_argument("--svg", type=Path, metavar="DIR", help="also write one drawing a surface into DIR")
        parser.add_argument("--dxf", type=Path, metavar="DIR", help="also write one DXF file a surface into DIR, in mm")

    if command == "takeoff":
        parser.add_argument(
            "--survey", action="append", default=[], metavar="FILE", help="a survey of a floor, for compound or bed"
        )

    def printed(args: argparse.Namespace) -> Mapping[str, Any]:
        room = read_room(load(args.file))
        return make(room, lay_out(room, option=args.option), args)

    return run(parser, argv, printed)


def run(parser: Parser, argv: Sequence[str], make: Callable[[argparse.Namespace], Mapping[str, Any]]) -> int:
    """Print as JSON what `make` gives for the arguments. Returns 0, or 2 with one line for what is refused."""
    try:
        text = dumps(make(parser.parse_args(argv)))
    except (Refused, RoomError) as error:
        print(" ".join(str(error).split()), file=sys.stderr)
        return BAD_FILE
    sys.stdout.write(text + "\n")
    return 0


def _layout(room: Room, result: Result, args: argparse.Namespace) -> Mapping[str, Any]:
    if args.svg is not None:
        _write(args.svg, room, "svg", lambda surface_id: surface_svg(room, result, surface_id).encode())
    if args.dxf is not None:
        _write(args.dxf, room, "dxf", lambda surface_id: surface_dxf(room, result, surface_id))
    return rough_in(room, result) if args.rough_in else result.to_json()


def _takeoff(room: Room, result: Result, args: argparse.Namespace) -> Mapping[str, Any]:
    return take_off(room, result, surveys=[survey(read_survey(load(path, "survey"))) for path in args.survey])


def _write(folder: Path, room: Room, ending: str, draw: Callable[[str], bytes]) -> None:
    """Write a drawing of each surface into a folder, made where it is missing. Raises Refused."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for number, surface in enumerate(room.surfaces, 1):
            (folder / f"{number:02d}-{_file_name(surface.id)}.{ending}").write_bytes(draw(surface.id))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Refused(f"{folder}: the drawings can't be written: {reason}") from None


def _file_name(surface_id: str) -> str:
    """Return an id as a file may be named: no path, nothing that a shell or another system trips over."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", surface_id).strip("-")[:60] or "surface"
