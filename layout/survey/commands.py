"""The survey on the command line: a survey file in, JSON out; for a bad file one line on standard error."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import Any

from layout.commands import BAD_FILE, _Parser, _Refused, load
from layout.errors import RoomError
from layout.result import dumps
from layout.survey.assess import survey
from layout.survey.reading import read_survey


def main_survey(argv: Sequence[str]) -> int:
    """Print what a survey file says as JSON. Returns 0, or 2 for a file or option that is no good."""
    parser = _Parser(prog="survey", description="Reads a survey file and prints JSON.")
    parser.add_argument("file", help="a survey file, or - for standard input")
    parser.add_argument("--aim", help="least-total, fewest-lines or shims-only, whatever the file says")
    try:
        args = parser.parse_args(argv)
        data = _load(args.file)
        text = dumps(survey(read_survey(data if args.aim is None else {**data, "aim": args.aim})).to_json())
    except (_Refused, RoomError) as error:
        print(" ".join(str(error).split()), file=sys.stderr)
        return BAD_FILE
    sys.stdout.write(text + "\n")
    return 0


def _load(name: str) -> Mapping[str, Any]:
    try:
        return load(name)
    except RoomError as error:
        # The reader's own reasons speak of rooms.
        raise RoomError(error.place, error.reason.replace("room", "survey")) from None
