"""The deflection screen against worked examples and code tables; it never says more than a screen can."""

from decimal import Decimal

import pytest

from trade import sources
from trade.lengths import feet, inches
from trade.shop_limits import ShopLimits
from trade.structure import deflection_limit, joist_deflection_mm, judge_deflection, section_in4


def bent(*, span: Decimal, spacing: int, depth: str, psi: int, psf: int) -> Decimal:
    """A nominal 2-by joist, 1 1/2 in wide."""
    return joist_deflection_mm(
        span_mm=span,
        spacing_mm=inches(spacing),
        width_mm=inches("3/2"),
        depth_mm=inches(depth),
        elasticity_psi=Decimal(psi),
        load_psf=Decimal(psf),
    )


@pytest.mark.parametrize(("depth", "expected"), [("29/4", "47.63"), ("37/4", "98.93"), ("45/4", "177.98")])
def test_sections_of_two_by_joists_are_the_tables(depth: str, expected: str) -> None:
    # b h^3 / 12 for 2x8, 2x10, 2x12: arithmetic, as wood handbooks print it.
    assert round(section_in4(width_mm=inches("3/2"), depth_mm=inches(depth)), 2) == Decimal(expected)


@pytest.mark.parametrize(("psf", "expected", "ratio"), [(40, "0.1572", 916), (50, "0.1965", 733), (60, "0.2358", 611)])
def test_a_2x10_over_12_ft_bends_as_worked_out(psf: int, expected: str, ratio: int) -> None:
    # Textbook formula 5wL^4/(384EI), set-up as in woodengineering.com/2023/06/21/deflections-of-wood-beams/:
    # 2x10 at 16 in, 12 ft, E = 1.6e6 psi.
    found = bent(span=feet(12), spacing=16, depth="37/4", psi=1_600_000, psf=psf)
    assert round(found / Decimal("25.4"), 4) == Decimal(expected)
    assert round(feet(12) / found) == ratio


@pytest.mark.parametrize(
    ("spacing", "psf", "table"),
    [
        # Southern pine No. 2 2x10 at 12 in, L/360 live, E = 1.6e6: coferadams.com/charts.htm prints 18'-0" and 19'-10".
        (12, 40, feet(18)),
        (12, 30, feet(19) + inches(10)),
    ],
)
def test_the_code_tables_spans_stand_where_the_formula_reaches_a_360th(spacing: int, psf: int, table: Decimal) -> None:
    at_table = bent(span=table, spacing=spacing, depth="37/4", psi=1_600_000, psf=psf)
    beyond = bent(span=table + inches(1), spacing=spacing, depth="37/4", psi=1_600_000, psf=psf)
    assert at_table <= table / 360
    assert beyond > (table + inches(1)) / 360


def test_stone_drops_at_14_ft_from_a_720th_to_seven_thirty_seconds() -> None:
    # Tech note GE-6: L/720 to 14 ft, beyond at most 7/32 in. At 14 ft L/720 is 0.2333 in, the cap 0.2188.
    at, rule = deflection_limit(span_mm=feet(14), stone=True)
    beyond, _ = deflection_limit(span_mm=feet(14) + inches("1/16"), stone=True)
    assert round(at / Decimal("25.4"), 4) == Decimal("0.2333")
    assert round(beyond / Decimal("25.4"), 4) == Decimal("0.2188")
    assert rule is sources.DEFLECTION_STONE
    assert round(deflection_limit(span_mm=feet(14), stone=False)[0] / Decimal("25.4"), 4) == Decimal("0.4667")


def test_the_screen_fails_what_bends_too_much_and_leaves_the_rest_to_a_designer() -> None:
    span = feet(12)
    allowed, _ = deflection_limit(span_mm=span, stone=False)
    for deflection, outcome in ((allowed, "holds"), (allowed + Decimal("0.001"), "fails"), (None, "can't tell")):
        verdict = judge_deflection(span_mm=span, deflection_mm=deflection, stone=False)
        assert verdict.outcome == outcome
        assert "licensed design" in verdict.text


def test_i_joists_bend_less_under_live_load_alone() -> None:
    # NTCA Reference Manual 2024-25 p. 55: L/480 for ceramic, L/720 for stone, whatever the span.
    for stone, part in ((False, 480), (True, 720)):
        allowed, rule = deflection_limit(span_mm=feet(20), stone=stone, joist="I-joist")
        assert (allowed, rule) == (round(feet(20) / part, 6), sources.DEFLECTION_I_JOIST)
        more = {"span_mm": feet(20), "stone": stone, "joist": "I-joist"}
        assert judge_deflection(deflection_mm=allowed, **more).outcome == "holds"
        assert judge_deflection(deflection_mm=feet(20) / (part - 1), **more).outcome == "fails"
        assert judge_deflection(deflection_mm=None, **more).outcome == "can't tell"
    own = ShopLimits(bend_i_joist_part=Decimal(600), bend_i_joist_stone_part=Decimal(960))
    assert deflection_limit(span_mm=feet(20), stone=False, joist="I-joist", limits=own)[0] == feet(20) / 600
    assert deflection_limit(span_mm=feet(20), stone=True, joist="I-joist", limits=own)[0] == feet(20) / 960
    assert (
        deflection_limit(span_mm=feet(20), stone=False, limits=own)[0]
        == deflection_limit(span_mm=feet(20), stone=False)[0]
    )


def test_where_strength_governs_the_screen_says_that_it_does_not_look_at_it() -> None:
    # Spruce-pine-fir No. 2 2x10 at 16 in, 40/10 psf, E = 1.4e6: the table in eng-tips.com ends at 15'-5" by bending
    # strength, the formula at 15'-8". At 15'-7" the screen lets pass what the table doesn't.
    span = feet(15) + inches(7)
    deflection = bent(span=span, spacing=16, depth="37/4", psi=1_400_000, psf=40)
    verdict = judge_deflection(span_mm=span, deflection_mm=deflection, stone=False)
    assert verdict.outcome == "holds"
    assert "not at strength" in verdict.text
    assert "licensed design professional decides" in verdict.text


def test_a_joist_there_isnt_is_refused() -> None:
    with pytest.raises(ValueError, match="no such joist: steel"):
        deflection_limit(span_mm=feet(12), stone=False, joist="steel")  # type: ignore[arg-type]


@pytest.mark.parametrize("wrong", ["0", "-1", "NaN", "Infinity"])
def test_a_joist_without_sense_is_refused_by_name(wrong: str) -> None:
    with pytest.raises(ValueError, match="depth_mm"):
        section_in4(width_mm=Decimal(38), depth_mm=Decimal(wrong))
    with pytest.raises(ValueError, match="span_mm"):
        deflection_limit(span_mm=Decimal(wrong), stone=True)
