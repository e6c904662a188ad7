"""Limits: what is allowed, through JSON and back, and what several readings prove."""

import json
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade.limits import Limit, judge, judge_all

VECTORS = json.loads((Path(__file__).parent / "limit_vectors.json").read_text(encoding="utf-8"))
NUMBERS = st.decimals(min_value=-100_000, max_value=100_000, places=6)


@st.composite
def limits(draw) -> Limit:
    compare = draw(st.sampled_from(["at most", "at least", "between"]))
    low, high = sorted([draw(NUMBERS), draw(NUMBERS)])
    return Limit(
        compare=compare,
        low=None if compare == "at most" else low,
        high=None if compare == "at least" else high,
        over=draw(st.sampled_from(["each", "mean"])),
        count=draw(st.integers(1, 5)),
    )


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_the_vectors_that_the_phone_runs_too(vector) -> None:
    limit = Limit.from_json(vector["limit"])
    assert judge_all(limit, [Decimal(value) for value in vector["values"]]) == vector["outcome"]


def test_the_vectors_show_every_outcome_of_every_kind_of_limit() -> None:
    shown = {(each["limit"]["compare"], each["limit"]["over"], each["outcome"]) for each in VECTORS}
    for over in ("each", "mean"):
        for outcome in ("holds", "fails", "can't tell"):
            assert ("at least", over, outcome) in shown
    assert {compare for compare, _, _ in shown} == {"at least", "at most", "between"}


@given(limit=limits())
def test_a_limit_comes_back_from_json_as_it_was(limit: Limit) -> None:
    assert Limit.from_json(json.loads(json.dumps(limit.to_json()))) == limit


@given(limit=limits(), value=NUMBERS)
def test_one_reading_is_judged_like_a_list_of_one(limit: Limit, value: Decimal) -> None:
    single = Limit(compare=limit.compare, low=limit.low, high=limit.high, over=limit.over)
    assert judge_all(single, [value]) == ("holds" if judge(single, value) else "fails")


def test_a_value_on_the_bound_is_allowed() -> None:
    limit = Limit(compare="between", low=Decimal(2), high=Decimal(4))
    assert [judge(limit, Decimal(each)) for each in ("1.999999", "2", "4", "4.000001")] == [False, True, True, False]


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "sNaN"])
def test_a_reading_without_a_number_proves_nothing(value: str) -> None:
    with pytest.raises(ValueError, match="number"):
        judge(Limit(compare="at most", high=Decimal(1)), Decimal(value))


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"compare": "at most"},
        {"compare": "at most", "low": "1"},
        {"compare": "at least", "low": "1", "high": "2"},
        {"compare": "between", "low": "2", "high": "1"},
        {"compare": "equal", "low": "1"},
        {"compare": "at most", "high": "one"},
        {"compare": "at most", "high": "NaN"},
        {"compare": "at most", "high": 0.1},
        {"compare": "at most", "high": True},
        {"compare": "at most", "high": "1", "count": 0},
        {"compare": "at most", "high": "1", "count": "3"},
        {"compare": "at most", "high": "1", "count": True},
        {"compare": "at most", "high": "1", "over": "most"},
        {"compare": "at most", "high": "1", "more": "2"},
    ],
    ids=str,
)
def test_what_is_no_limit_is_refused(data) -> None:
    with pytest.raises(ValueError, match=r"."):
        Limit.from_json(data)
