"""A shop's own limits decide what a layout's findings say; where its tiles lie doesn't depend on them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import layout
from tests.layout.helpers import plain
from trade.lengths import inches
from trade.shop_limits import OWN, ShopLimits

OFFSET = "pattern.offset-at-most-a-third"


def found(data: dict[str, Any], **own: Decimal) -> dict[str, layout.Finding]:
    result = layout.lay_out(layout.read_room(data), limits=ShopLimits.of(own))
    return {finding.rule: finding for finding in result.findings}


def test_an_offset_that_the_shop_allows_is_no_finding_and_one_that_it_does_not_is() -> None:
    """A side of 24 in, over the 15 in of A108.02 4.3.8.2: a third at most, unless the shop set otherwise."""
    half = plain(90, 60, tile=(24, 6), joint="3/16", pattern={"kind": "offset", "share": "1/2"})
    third = plain(90, 60, tile=(24, 6), joint="3/16", pattern={"kind": "offset", "share": "1/3"})
    assert OFFSET in found(half)
    assert OFFSET not in found(half, offset_percent=Decimal(50))
    assert OFFSET not in found(third)
    told = found(third, offset_percent=Decimal(25))[OFFSET]
    assert told.level == "care"
    assert "25 percent at most" in told.text
    assert told.source.startswith(f"{OWN}, stricter than its source: ANSI A108.02")


def test_the_least_joint_is_the_shops() -> None:
    data = plain(60, 60, joint="1/8")
    data["tile"] |= {"size_spread": 1.0}
    rule = "joint.three-times-size-spread"
    assert rule not in found(data)
    assert "4 mm" in found(data, joint_to_spread=Decimal(4))[rule].text
    assert '3/16"' in found(data, smallest_joint_mm=inches("3/16"))[rule].text
    assert rule not in found(data, joint_to_spread=Decimal(3))


def test_the_layout_itself_stays() -> None:
    data = plain(90, 60, tile=(24, 6), joint="3/16", pattern={"kind": "offset", "share": "1/2"})
    room = layout.read_room(data)
    usual = layout.lay_out(room).to_json()
    own = layout.lay_out(room, limits=ShopLimits.of({"offset_percent": Decimal(50)})).to_json()
    assert usual.pop("findings") != own.pop("findings")
    assert usual == own
