"""A shop's own limits judge a survey; without them the sources' do. No outside figure: only that they count."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from layout.survey import read_survey, survey
from tests.layout_survey.surveys import substrate
from trade.lengths import inches
from trade.shop_limits import DEFAULTS, OWN, ShopLimits

FLAT = [(0, 0), (24, 0), (48, 0), (72, 0), (96, 0)]
DIP = [(0, 0), (24, 0), (48, "-3/16"), (72, 0), (96, 0)]
LEANS = [(0, 0), (96, "3/16")]


def test_flatness_follows_the_shop() -> None:
    read = read_survey(substrate(FLAT, DIP, FLAT))
    loose = ShopLimits.of({"flat_large_long_mm": inches("1/2"), "flat_large_short_mm": inches("1/4")})
    usual, own = survey(read), survey(replace(read, limits=loose))
    assert (usual.flat.verdict, own.flat.verdict) == ("fails", "holds")
    assert [gap.limit for gap in own.lines[1].gaps] == [12.7, 6.35]
    assert own.flat.source.startswith(f"{OWN}, looser than its source: ANSI A108.02")
    assert usual == survey(replace(read, limits=DEFAULTS))


def test_plumb_and_its_finding_follow_the_shop() -> None:
    read = read_survey(substrate(LEANS, LEANS, LEANS))
    usual = survey(read)
    own = survey(replace(read, limits=ShopLimits.of({"flat_large_long_mm": inches("1/4")})))
    assert usual.plumb is not None
    assert own.plumb is not None
    assert (usual.plumb.verdict, own.plumb.verdict) == ("fails", "holds")
    assert [line.plumb.limit for line in own.lines if line.plumb] == [6.35] * 3
    assert {finding.rule for finding in usual.findings} - {finding.rule for finding in own.findings} == {
        "plumb.required-plane"
    }
    strict = survey(replace(read, limits=ShopLimits.of({"flat_large_long_mm": Decimal(1)})))
    assert any(finding.source.startswith(OWN) for finding in strict.findings)
