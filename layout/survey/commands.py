"""The survey on the command line: a survey file in, JSON out; for a bad file one line on standard error."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from typing import Any

from layout.commands import Parser, load, run
from layout.survey.assess import survey
from layout.survey.reading import read_survey


def main_survey(argv: Sequence[str]) -> int:
    """Print what a survey file says as JSON. Returns 0, or 2 for a file or option that is no good."""
    parser = Parser(prog="survey", description="Reads a survey file and prints JSON.")
    parser.add_argument("file", help="a survey file, or - for standard input")
    parser.add_argument("--aim", help="least-total, fewest-lines or shims-only, whatever the file says")
    return run(parser, argv, _survey)


def _survey(args: argparse.Namespace) -> Mapping[str, Any]:
    data = load(args.file, "survey")
    return survey(read_survey(data if args.aim is None else {**data, "aim": args.aim})).to_json()
