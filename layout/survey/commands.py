"""The survey on the command line: a survey file in, JSON out; for a bad file one line on standard error."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from layout.commands import Parser, Refused, load, run
from layout.survey.assess import survey
from layout.survey.picture import contour_svg, pictures
from layout.survey.reading import Survey, read_survey
from layout.survey.result import SurveyResult


def main_survey(argv: Sequence[str]) -> int:
    """Print what a survey file says as JSON. Returns 0, or 2 for a file or option that is no good."""
    parser = Parser(prog="survey", description="Reads a survey file and prints JSON.")
    parser.add_argument("file", help="a survey file, or - for standard input")
    parser.add_argument("--aim", help="least-total, fewest-lines or shims-only, whatever the file says")
    parser.add_argument("--svg", type=Path, metavar="DIR", help="also write contour pictures of a floor into DIR")
    return run(parser, argv, _survey)


def _survey(args: argparse.Namespace) -> Mapping[str, Any]:
    data = load(args.file, "survey")
    read = read_survey(data if args.aim is None else {**data, "aim": args.aim})
    result = survey(read)
    if args.svg is not None:
        _write(args.svg, read, result)
    return result.to_json()


def _write(folder: Path, read: Survey, result: SurveyResult) -> None:
    """Write each picture of a survey into a folder, made where it is missing. Raises Refused."""
    drawn = pictures(read, result)
    if not drawn:
        raise Refused("--svg: only a floor with two lines side by side, or a bed, has a picture")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for what in drawn:
            (folder / f"{what}.svg").write_text(contour_svg(read, result, what=what), encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Refused(f"{folder}: the pictures can't be written: {reason}") from None
