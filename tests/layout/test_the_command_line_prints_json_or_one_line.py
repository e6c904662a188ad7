"""The file commands: JSON on standard output, nothing else there; a bad file is one line on standard error, exit 2."""

from __future__ import annotations

import io
import json
import os
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from layout.commands import main_layout, main_takeoff
from tests.layout.helpers import NAMES, SAMPLES, sample


@pytest.mark.parametrize("name", NAMES)
def test_layout_prints_the_layout(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main_layout([str(SAMPLES / f"{name}.json")]) == 0
    out, err = capsys.readouterr()
    printed = json.loads(out)
    assert printed["format"] == "gaugerod-layout/1"
    assert printed["room"] == sample(name)["name"]
    assert printed["options"][0]["surfaces"][0]["pieces"]
    assert err == ""


def test_layout_prints_the_rough_in_where_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert main_layout([str(SAMPLES / "quarry-lane-shower.json"), "--rough-in"]) == 0
    out, err = capsys.readouterr()
    printed = json.loads(out)
    assert printed["format"] == "gaugerod-rough-in/1"
    assert [item["kind"] for item in printed["items"]][:1] == ["niche"]
    assert err == ""


def test_takeoff_prints_the_quantities(capsys: pytest.CaptureFixture[str]) -> None:
    assert main_takeoff([str(SAMPLES / "mill-house-tub.json"), "--option", "2"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["format"] == "gaugerod-takeoff/1"
    assert printed["option"] == 2
    assert {line["key"] for line in printed["lines"]} >= {"tile", "grout", "grout_volume", "mortar", "joint_length"}


def test_an_option_gives_its_own_pieces(capsys: pytest.CaptureFixture[str]) -> None:
    assert main_layout([str(SAMPLES / "quarry-lane-shower.json"), "--option", "2"]) == 0
    options = json.loads(capsys.readouterr().out)["options"]
    assert [("cut_plan" in option) for option in options][:3] == [False, True, False]


def test_a_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    raw = (SAMPLES / "station-hall-floor.json").read_bytes()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
    assert main_layout(["-"]) == 0
    assert json.loads(capsys.readouterr().out)["room"] == "Station Road, hall floor"


def test_svg_writes_a_drawing_a_surface(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "new" / "drawings"
    assert main_layout([str(SAMPLES / "quarry-lane-shower.json"), "--svg", str(folder)]) == 0
    assert json.loads(capsys.readouterr().out)["format"] == "gaugerod-layout/1"
    names = sorted(path.name for path in folder.iterdir())
    assert names == ["01-left.svg", "02-back.svg", "03-right.svg"]
    for path in folder.iterdir():
        ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 (our own file)


def test_an_id_that_is_a_path_stays_in_the_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = sample("station-hall-floor")
    data["surfaces"][0]["id"] = "../../up & away"
    path = tmp_path / "room.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    assert main_layout([str(path), "--svg", str(tmp_path / "out")]) == 0
    assert [each.name for each in (tmp_path / "out").iterdir()] == ["01-up-away.svg"]
    assert sorted(each.name for each in tmp_path.iterdir()) == ["out", "room.json"]


BAD = {
    "empty": b"",
    "not JSON": b"{'format': 1}",
    "cut off": (SAMPLES / "mill-house-tub.json").read_bytes()[:-40],
    "not UTF-8": b'{"name": "\xff\xfe"}',
    "UTF-16": '{"format": "gaugerod-room/1"}'.encode("utf-16"),
    "too deep": b"[" * 200_000 + b"]" * 200_000,
    "a list": b"[]",
    "a number": b"3",
    "a huge number": b'{"format": ' + b"9" * 6000 + b"}",
    "NaN": b'{"format": "gaugerod-room/1", "units": "in", "joint": NaN}',
    "a name twice": b'{"format": "gaugerod-room/1", "units": "in", "units": "mm"}',
    "a null byte": b'{"format": "\x00"}',
    "another room": b'{"format": "gaugerod-room/2"}',
}


@pytest.mark.parametrize("raw", BAD.values(), ids=BAD.keys())
@pytest.mark.parametrize("command", [main_layout, main_takeoff])
def test_a_bad_file_is_one_line(
    command: object, raw: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "room.json"
    path.write_bytes(raw)
    assert command([str(path)]) == 2  # type: ignore[operator]
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert "Traceback" not in err


def test_a_byte_order_mark_does_not_matter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "room.json"
    path.write_bytes(b"\xef\xbb\xbf" + (SAMPLES / "station-hall-floor.json").read_bytes())
    assert main_layout([str(path)]) == 0
    assert capsys.readouterr().err == ""


def test_the_line_names_the_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = sample("quarry-lane-shower")
    data["surfaces"][1]["outline"] = [[0, 0], [60, 96], [60, 0], [0, 96]]
    path = tmp_path / "room.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    assert main_layout([str(path)]) == 2
    assert capsys.readouterr().err == "surfaces[1].outline: the edges cross\n"


@pytest.mark.parametrize("arguments", [[], ["a", "b"], ["--option", "x", "a"], ["--nothing", "a"]])
def test_wrong_arguments_are_one_line(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main_layout(arguments) == 2
    out, err = capsys.readouterr()
    assert (out, len(err.splitlines())) == ("", 1)


def test_an_option_that_is_not_there_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main_layout([str(SAMPLES / "mill-house-tub.json"), "--option", "0"]) == 2
    assert capsys.readouterr().err.startswith("option: there are")


def test_a_file_or_folder_that_is_not_there_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in (str(tmp_path / "none.json"), str(tmp_path), "a\0b"):
        assert main_layout([name]) == 2
        assert len(capsys.readouterr().err.splitlines()) == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tmp_path.chmod(0o500)
    assert main_layout([str(SAMPLES / "mill-house-tub.json"), "--svg", str(tmp_path / "x")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_drawings_into_a_file_are_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "file"
    path.write_text("x", encoding="utf-8")
    assert main_layout([str(SAMPLES / "mill-house-tub.json"), "--svg", str(path)]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
