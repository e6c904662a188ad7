"""Moisture of framing lumber, and the temperature before, while and after tile is set."""

from decimal import Decimal

import pytest

from trade import sources
from trade.conditions import judge_framing_moisture, judge_temperature
from trade.shop_limits import OWN, ShopLimits


def number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


@pytest.mark.parametrize(
    ("readings", "outcome"),
    # ANSI A108.11 4.1, tileletter.com, ask the experts: at most 19 percent.
    [(["19"], "holds"), (["12", "15.5", "19"], "holds"), (["12", "19.1"], "fails"), ([], "can't tell")],
)
def test_the_wettest_stud_holds_19_percent_at_most(readings: list[str], outcome: str) -> None:
    verdict = judge_framing_moisture(readings_percent=[Decimal(each) for each in readings])
    assert (verdict.outcome, verdict.rule) == (outcome, sources.FRAMING_MOISTURE)
    assert "19" in verdict.text


@pytest.mark.parametrize("wrong", ["-1", "NaN", "Infinity"])
def test_a_moisture_that_is_none_is_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match="reading_1"):
        judge_framing_moisture(readings_percent=[Decimal(12), Decimal(wrong)])


@pytest.mark.parametrize(
    ("lowest", "highest", "after", "outcome"),
    [
        # tileletter.com, January 2017: at least 50 °F; 50 to 70 before and for 48 hours after.
        ("50", "70", "48", "holds"),
        ("50", "70", "47.9", "can't tell"),
        ("50", "70", None, "can't tell"),
        ("49.9", "70", "48", "fails"),
        ("49.9", None, None, "fails"),
        ("32", "80", "100", "fails"),
        # Warmer than the band is no failure: the mortar's instructions decide.
        ("60", "70.1", "48", "can't tell"),
        (None, "70", "48", "can't tell"),
        ("50", None, "48", "can't tell"),
        (None, None, None, "can't tell"),
    ],
)
def test_tile_is_set_and_kept_between_50_and_70(
    lowest: str | None, highest: str | None, after: str | None, outcome: str
) -> None:
    verdict = judge_temperature(lowest_f=number(lowest), highest_f=number(highest), hours_after=number(after))
    assert (verdict.outcome, verdict.rule) == (outcome, sources.SETTING_TEMPERATURE)
    assert verdict.text


def test_too_warm_is_left_to_the_mortars_instructions() -> None:
    verdict = judge_temperature(lowest_f=Decimal(68), highest_f=Decimal(85), hours_after=Decimal(60))
    assert "written instructions decide" in verdict.text


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"lowest_f": Decimal("NaN")}, "lowest_f"),
        ({"highest_f": Decimal("Infinity")}, "highest_f"),
        ({"lowest_f": Decimal(60), "highest_f": Decimal(59)}, "under the lowest"),
        ({"hours_after": Decimal(-1)}, "hours_after"),
    ],
)
def test_what_no_thermometer_shows_is_refused(given: dict[str, Decimal], told: str) -> None:
    nothing = {"lowest_f": None, "highest_f": None, "hours_after": None}
    with pytest.raises(ValueError, match=told):
        judge_temperature(**(nothing | given))


def test_lumber_and_air_follow_the_shops_own_limits() -> None:
    own = ShopLimits(
        framing_moisture_percent=Decimal(15),
        setting_low_f=Decimal(60),
        setting_high_f=Decimal(80),
        setting_hours=Decimal(72),
    )
    moist = judge_framing_moisture(readings_percent=[Decimal(17)], limits=own)
    assert moist.outcome == "fails"
    assert moist.rule.source.startswith(OWN)
    for given, outcome in (
        (("55", "65", "80"), "fails"),
        (("60", "80", "72"), "holds"),
        (("60", "80", "71"), "can't tell"),
    ):
        lowest, highest, after = map(Decimal, given)
        verdict = judge_temperature(lowest_f=lowest, highest_f=highest, hours_after=after, limits=own)
        assert verdict.outcome == outcome
    with pytest.raises(ValueError, match="setting_low_f"):
        ShopLimits(setting_low_f=Decimal(75))
