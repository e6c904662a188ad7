"""Vapor retarders: their class by permeance, and where climate and membrane let one stand."""

from decimal import Decimal
from typing import get_args

import pytest

from trade import sources
from trade.vapor import COLD, WARM, ClimateZone, judge_retarder, retarder_class

MIDDLE = [zone for zone in get_args(ClimateZone) if zone not in WARM + COLD]


@pytest.mark.parametrize(
    ("perms", "expected"),
    [
        # IRC R702.7, legalclarity.org: class I up to 0.1 perm, II to 1.0, III to 10.
        ("0", "I"),
        ("0.1", "I"),
        ("0.11", "II"),
        ("1.0", "II"),
        ("1.01", "III"),
        ("10", "III"),
        ("10.01", None),
    ],
)
def test_permeance_gives_the_class(perms: str, expected: str | None) -> None:
    assert retarder_class(Decimal(perms)) == expected


def test_the_zones_are_those_of_the_code() -> None:
    """The same page: forbidden in zones 1 and 2, called for in 5 to 8 and marine 4; nothing said of 3 and 4."""
    assert set(WARM) == {"1", "2"}
    assert set(COLD) == {"marine 4", "5", "6", "7", "8"}
    assert MIDDLE == ["3", "4"]


@pytest.mark.parametrize("zone", WARM)
@pytest.mark.parametrize(("perms", "outcome"), [("0.05", "fails"), ("1", "fails"), ("5", "holds"), ("20", "holds")])
def test_where_it_is_warm_a_tight_retarder_is_out_of_place(zone: ClimateZone, perms: str, outcome: str) -> None:
    verdict = judge_retarder(zone=zone, retarder_behind=True, perms=Decimal(perms), membrane=False)
    assert verdict.outcome == outcome
    assert judge_retarder(zone=zone, retarder_behind=False, perms=None, membrane=False).outcome == "holds"


@pytest.mark.parametrize("zone", COLD)
def test_where_it_is_cold_a_tight_retarder_is_called_for(zone: ClimateZone) -> None:
    for perms, outcome in (("0.1", "holds"), ("1", "holds"), ("1.1", "fails"), ("20", "fails")):
        verdict = judge_retarder(zone=zone, retarder_behind=True, perms=Decimal(perms), membrane=False)
        assert verdict.outcome == outcome
    bare = judge_retarder(zone=zone, retarder_behind=False, perms=None, membrane=False)
    assert (bare.outcome, bare.rule) == ("fails", sources.RETARDER_ZONES)
    assert "your local code decides" in bare.text


def test_two_barriers_are_warned_of_in_every_climate() -> None:
    # Never both on a shower's wall: fcimag.com/articles/95232, on TCNA method B415; tiletip.com, water barrier.
    for zone in get_args(ClimateZone):
        for perms in (Decimal("0.06"), Decimal(5)):
            verdict = judge_retarder(zone=zone, retarder_behind=True, perms=perms, membrane=True)
            assert verdict.outcome == ("can't tell" if zone in COLD else "fails"), zone
            assert ("forbids" if zone in WARM and perms < 1 else "trap") in verdict.text
    # A membrane alone: nothing to warn of, but where it is cold it may have to count as the retarder.
    for zone in get_args(ClimateZone):
        verdict = judge_retarder(zone=zone, retarder_behind=False, perms=None, membrane=True)
        assert verdict.outcome == ("can't tell" if zone in COLD else "holds"), zone


@pytest.mark.parametrize("zone", ["1", "marine 4", "8"])
def test_what_nobody_looked_at_or_knows_cant_be_told(zone: ClimateZone) -> None:
    for behind in (None, True):
        verdict = judge_retarder(zone=zone, retarder_behind=behind, perms=None, membrane=False)
        assert (verdict.outcome, verdict.rule) == ("can't tell", sources.RETARDER_CLASSES)


def test_where_the_code_says_nothing_only_two_barriers_count() -> None:
    for zone in MIDDLE:
        for membrane, outcome in ((False, "holds"), (True, "fails")):
            verdict = judge_retarder(zone=zone, retarder_behind=True, perms=None, membrane=membrane)
            assert (verdict.outcome, verdict.rule) == (outcome, sources.DOUBLE_BARRIER)


@pytest.mark.parametrize("wrong", ["-0.1", "NaN", "Infinity"])
def test_what_is_no_permeance_is_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match="perms"):
        retarder_class(Decimal(wrong))
    with pytest.raises(ValueError, match="perms"):
        judge_retarder(zone="5", retarder_behind=False, perms=Decimal(wrong), membrane=False)


def test_a_zone_there_isnt_is_refused() -> None:
    with pytest.raises(ValueError, match="no such climate zone: 9"):
        judge_retarder(zone="9", retarder_behind=True, perms=None, membrane=False)  # type: ignore[arg-type]
