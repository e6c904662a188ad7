"""`./gaugerod manage survey`: JSON on standard output and nothing else there, or one line on standard error."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from layout.survey.commands import main_survey
from tests.layout_survey.surveys import said, substrate

ROOT = Path(__file__).parents[2]
DATA = substrate([(0, 0), (24, "1/16"), (48, "-1/8"), (96, 0)], [(0, 0), (48, 0), (96, "1/8")])


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "survey.json"
    path.write_text(json.dumps(DATA), encoding="utf-8")
    return path


def test_it_prints_what_the_survey_says(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main_survey([str(file)]) == 0
    out, err = capsys.readouterr()
    assert (json.loads(out), err) == (said(DATA), "")


def test_a_process_of_its_own_prints_json_and_no_greeting_of_the_solver(file: Path) -> None:
    # The solver's library writes past sys.stdout, where capsys doesn't see it.
    code = "import sys; from layout.survey.commands import main_survey; sys.exit(main_survey(sys.argv[1:]))"
    done = subprocess.run(
        [sys.executable, "-c", code, str(file), "--aim", "fewest-lines"], cwd=ROOT, capture_output=True, check=True
    )
    assert json.loads(done.stdout) == said({**DATA, "aim": "fewest-lines"})
    assert done.stderr == b""


def test_a_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(DATA).encode())))
    assert main_survey(["-"]) == 0
    assert json.loads(capsys.readouterr().out)["format"] == "gaugerod-survey-result/1"


@pytest.mark.parametrize("aim", ["least-total", "fewest-lines", "shims-only"])
def test_the_aim_may_be_asked_for_whatever_the_file_says(
    file: Path, aim: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main_survey([str(file), "--aim", aim]) == 0
    assert json.loads(capsys.readouterr().out)["plane"]["aim"] == aim


BAD = {
    "empty": b"",
    "cut off": json.dumps(DATA).encode()[:-9],
    "not UTF-8": b'{"format": "\xff\xfe"}',
    "too deep": b"[" * 200_000 + b"]" * 200_000,
    "a list": b"[]",
    "a huge number": b'{"format": ' + b"9" * 6000 + b"}",
    "NaN": b'{"format": "gaugerod-survey/1", "units": "in", "kind": "studs", "tile_longest_edge": NaN}',
    "a name twice": b'{"format": "gaugerod-survey/1", "units": "in", "units": "mm"}',
    "a room": b'{"format": "gaugerod-room/1"}',
}


@pytest.mark.parametrize("raw", BAD.values(), ids=BAD.keys())
def test_a_bad_file_is_one_line_that_speaks_of_surveys(
    raw: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "survey.json"
    path.write_bytes(raw)
    assert main_survey([str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert "Traceback" not in err
    assert "a room" not in err


def test_the_line_names_the_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "survey.json"
    path.write_text(json.dumps(substrate([(0, 0), (24, 0), (12, 0)])), encoding="utf-8")
    assert main_survey([str(path)]) == 2
    said_there = "lies behind the reading before it; put them in order"
    assert capsys.readouterr().err == f"lines[0].readings[2][0]: 12 {said_there}\n"


@pytest.mark.parametrize("arguments", [[], ["a", "b"], ["--aim"], ["--nothing", "a"], ["none.json"], ["a\0b"]])
def test_wrong_arguments_and_files_that_are_not_there_are_one_line(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main_survey(arguments) == 2
    out, err = capsys.readouterr()
    assert (out, len(err.splitlines())) == ("", 1)


def test_an_unknown_aim_names_itself(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main_survey([str(file), "--aim", "cheapest"]) == 2
    assert capsys.readouterr().err.startswith('aim: "cheapest" isn\'t known here')
