"""Verdicts, plumb and findings of a survey, by the figures of ANSI A108.02 as the trade press quotes it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.layout_survey.surveys import said, substrate
from trade import sources

FLAT = [(0, 0), (12, 0), (24, 0), (36, 0), (48, 0), (60, 0), (72, 0), (84, 0), (96, 0)]


def dip(depth: str, *, at: int = 48) -> list[tuple[int, object]]:
    return [(along, f"-{depth}" if along == at else 0) for along, _ in FLAT]


def verdicts(gaps: list[dict[str, Any]]) -> list[str]:
    return [gap["verdict"] for gap in gaps]


def test_tile_of_15_in_and_up_has_an_eighth_in_10_ft_and_a_sixteenth_in_24_in() -> None:
    # floortrendsmag.com/articles/112509, A108.02 4.2.2.
    gaps = said(substrate(FLAT, FLAT))["lines"][0]["gaps"]
    assert [(gap["length_mm"], gap["limit_mm"]) for gap in gaps] == [(3048.0, 3.175), (609.6, 1.5875)]


def test_smaller_tile_has_a_quarter_in_10_ft_and_a_sixteenth_in_12_in() -> None:
    # tilelettercanada.com, tile business articles, A108.02.
    printed = said(substrate(FLAT, FLAT, tile_longest_edge="14 7/8"))
    gaps = printed["lines"][0]["gaps"]
    assert [(gap["length_mm"], gap["limit_mm"]) for gap in gaps] == [(3048.0, 6.35), (304.8, 1.5875)]
    assert printed["rule"] == sources.FLATNESS_SMALL.id


@pytest.mark.parametrize("kind", ["studs", "wall", "floor"])
def test_what_is_flat_holds_and_names_its_rule_and_source(kind: str) -> None:
    printed = said(substrate(FLAT, FLAT, FLAT, kind=kind))
    assert printed["format"] == "gaugerod-survey-result/1"
    assert (printed["verdict"], printed["rule"]) == ("holds", sources.FLATNESS_LARGE.id)
    assert printed["source"] == sources.FLATNESS_LARGE.source
    assert printed["figures"]["long_gap_mm"] == printed["figures"]["short_gap_mm"] == 0.0
    assert printed["findings"] == []


def test_a_gap_of_just_the_limit_holds_and_a_hair_more_fails() -> None:
    # A dip of 1/16 in at one reading is 1/16 in under the 24 in straightedge between its neighbors: by hand.
    held, failed = (said(substrate(FLAT, dip(depth), FLAT)) for depth in ("1/16", "5/64"))
    assert verdicts(held["lines"][1]["gaps"]) == ["holds", "holds"]
    assert held["lines"][1]["gaps"][1]["gap_mm"] == 1.5875
    assert verdicts(failed["lines"][1]["gaps"]) == ["holds", "fails"]
    assert (held["verdict"], failed["verdict"]) == ("holds", "fails")
    assert failed["figures"]["short_gap_mm"] == pytest.approx(25.4 * 5 / 64, abs=1e-6)
    assert failed["lines"][1]["gaps"][1]["text"] == '1/16"'
    assert "Mortar is not for flattening" in failed["text"]


def test_lines_that_are_flat_each_fail_across() -> None:
    proud = [(along, "1/4") for along, _ in FLAT]
    printed = said(substrate(FLAT, proud, FLAT, proud, FLAT))
    assert all(verdicts(line["gaps"]) == ["holds", "holds"] for line in printed["lines"])
    assert [each["at_mm"] for each in printed["across"]] == [round(along * 25.4, 6) for along, _ in FLAT]
    # Between two proud studs the one amid them lies 1/4 in under a chord of 32 in. The 24 in one, by hand: its ends
    # 12 in off, a quarter of the way down to the neighbors' valley, leave 3/4 of it.
    assert printed["across"][0]["gaps"][0]["gap_mm"] == pytest.approx(6.35, abs=1e-6)
    assert printed["across"][0]["gaps"][1]["gap_mm"] == pytest.approx(6.35 * 0.75, abs=1e-6)
    assert printed["verdict"] == "fails"


def test_across_counts_the_lines_that_share_a_height_in_their_own_order() -> None:
    data = substrate([(0, 0), (48, 0)], [(48, "1/8"), (96, 0)], [(0, "1/4"), (48, 0), (60, 0)])
    data["lines"] = [data["lines"][1], data["lines"][2], data["lines"][0]]
    across = said(data)["across"]
    assert [each["at_mm"] for each in across] == [0.0, 1219.2]
    assert [gap["gap_mm"] for gap in across[1]["gaps"]] == [0.0, 0.0]
    assert [line["id"] for line in said(data)["lines"]] == ["stud 2", "stud 3", "stud 1"]


def test_a_single_reading_cannot_be_told_and_leaves_the_whole_open() -> None:
    printed = said(substrate(FLAT, [(48, 0)], FLAT))
    assert verdicts(printed["lines"][1]["gaps"]) == ["can't tell", "can't tell"]
    assert [gap["gap_mm"] for gap in printed["lines"][1]["gaps"]] == [None, None]
    assert printed["lines"][1]["out_of_plumb"] == {"mm": None, "text": "", "limit_mm": 3.175, "verdict": "can't tell"}
    assert (printed["verdict"], printed["plumb"]["verdict"]) == ("can't tell", "can't tell")


def test_one_gap_over_its_limit_fails_whatever_else_cannot_be_told() -> None:
    assert said(substrate(dip("1/2"), [(48, 0)]))["verdict"] == "fails"


def test_out_of_plumb_is_the_farthest_from_the_plumb_line_through_the_foot() -> None:
    # The contract's own example says 1/8 in.
    line = said(substrate([(0, 0), (24, "1/16"), (48, "-1/8"), (96, 0)]))["lines"][0]
    assert line["out_of_plumb"] == {"mm": 3.175, "text": '1/8"', "limit_mm": 3.175, "verdict": "holds"}
    moved = said(substrate([(0, 2), (24, "2 1/16"), (48, "1 7/8"), (96, 2)]))["lines"][0]
    assert moved["out_of_plumb"] == line["out_of_plumb"]


def test_a_straight_stud_that_leans_is_flat_and_out_of_plumb() -> None:
    leaning = [(along, along / 96 * 3 / 16) for along, _ in FLAT]
    printed = said(substrate(leaning, leaning, leaning))
    assert printed["verdict"] == "holds"
    assert printed["lines"][0]["out_of_plumb"]["verdict"] == "fails"
    assert (printed["plumb"]["verdict"], printed["plumb"]["rule"]) == ("fails", sources.PLUMB.id)
    assert printed["plumb"]["figures"] == {"limit_mm": 3.175, "out_of_plumb_mm": 4.7625}
    # The least work leaves it leaning, and says so.
    assert printed["plane"]["work_mm"] == 0.0
    assert printed["plane"]["out_of_plumb"] == {"mm": 4.7625, "text": '3/16"'}
    assert sum(finding["rule"] == sources.PLUMB.id for finding in printed["findings"]) == 2


def test_a_floor_has_no_plumb() -> None:
    printed = said(substrate(FLAT, FLAT, kind="floor"))
    assert "plumb" not in printed
    assert "out_of_plumb" not in printed["plane"]
    assert all("out_of_plumb" not in line for line in printed["lines"])


def test_studs_are_shimmed_and_planed_walls_and_floors_filled_and_ground() -> None:
    lines = (FLAT, dip("1/4"), [(along, "3/16" if along == 48 else 0) for along, _ in FLAT], FLAT)
    texts = {
        kind: [each["text"] for each in said(substrate(*lines, kind=kind))["plane"]["corrections"]]
        for kind in ("studs", "wall", "floor")
    }
    assert texts["studs"] == ['shim 1/4"', 'plane 3/16"']
    assert texts["wall"] == texts["floor"] == ['fill 1/4"', 'grind 3/16"']


@pytest.mark.parametrize(("kind", "rule"), [("studs", sources.PLANING), ("floor", sources.SILICA)])
def test_planing_and_grinding_carry_their_caution_and_shimming_none(kind: str, rule: sources.Rule) -> None:
    proud = [(along, "1/8" if along == 48 else 0) for along, _ in FLAT]
    found = [each["rule"] for each in said(substrate(FLAT, proud, FLAT, kind=kind))["findings"]]
    assert found == [rule.id]
    assert said(substrate(FLAT, dip("1/8"), FLAT, kind=kind))["findings"] == []


def test_readings_too_far_apart_and_lines_without_a_shared_height_are_said() -> None:
    sparse = said(substrate([(0, 0), (30, 0), (96, 0)], [(1, 0), (25, 0)]))
    assert [finding["level"] for finding in sparse["findings"]] == ["note", "note"]
    assert '66" apart' in sparse["findings"][0]["text"]
    assert "across" in sparse["findings"][1]["text"]
    single = said(substrate([(48, 0)], [(48, 0)]))
    assert ["along" in finding["text"] for finding in single["findings"]] == [True]


def test_a_file_in_mm_is_told_in_mm() -> None:
    data = substrate(every=400, units="mm", tile_longest_edge=600)
    lines = [[(0, 0), (600, 4), (1200, 0), (2400, 8)], [(0, 0), (600, 0), (1200, 0), (2400, "1/8 in")]]
    data["lines"] = [{"id": str(n), "at": n * 400, "readings": line} for n, line in enumerate(lines)]
    printed = said(data)
    assert [line["out_of_plumb"]["text"] for line in printed["lines"]] == ["8 mm", "3.2 mm"]
    assert "mm" in printed["text"]
