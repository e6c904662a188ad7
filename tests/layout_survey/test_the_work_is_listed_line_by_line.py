"""The schedule: line after line as one walks past the studs, each place and amount to the sixteenth."""

from __future__ import annotations

from tests.layout_survey.surveys import random_survey, said, substrate

FLAT = [(0, 0), (48, 0), (96, 0)]


def test_each_stud_is_one_row_in_the_order_in_which_it_stands() -> None:
    data = substrate(FLAT, [(0, 0), (48, "-1/8"), (96, 0)], FLAT, [(0, "1/16"), (48, "3/16"), (96, 0)], FLAT)
    data["lines"] = data["lines"][::-1]
    printed = said(data)["plane"]["schedule"]
    assert [each["text"] for each in printed] == [
        "stud 1: leave it as it is",
        'stud 2: shim 1/8" at 48"',
        "stud 3: leave it as it is",
        'stud 4: plane 1/16" at 0"; plane 3/16" at 48"',
        "stud 5: leave it as it is",
    ]
    assert printed[1]["steps"] == [{"along_mm": 1219.2, "along_text": '48"', "amount_mm": 3.175, "text": 'shim 1/8"'}]


def test_what_rounds_to_nothing_is_no_step() -> None:
    data = substrate(FLAT, [(0, 0), (48, "1/64"), (96, 0)], FLAT, FLAT)
    plane = said(data)["plane"]
    assert [each["line"] for each in plane["corrections"]] == ["stud 2"]
    assert [each["steps"] for each in plane["schedule"]] == [[], [], [], []]


def test_every_correction_with_a_text_is_a_step_of_its_line() -> None:
    for seed in range(8):
        plane = said(random_survey(seed, lines=6, readings=5, units="mm", tile_longest_edge=600))["plane"]
        steps = [(row["line"], step["along_mm"], step["text"]) for row in plane["schedule"] for step in row["steps"]]
        told = [(each["line"], each["along_mm"], each["text"]) for each in plane["corrections"] if each["text"]]
        assert sorted(steps) == sorted(told)
        assert all(each["along_text"].endswith(" mm") for each in plane["corrections"])
