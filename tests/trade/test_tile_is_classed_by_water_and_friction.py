"""Classes of the tile's body by ANSI and ISO, and where it may be walked on."""

from decimal import Decimal

import pytest

from trade import sources
from trade.product import ansi_class, iso_group, judge_friction, least_friction


@pytest.mark.parametrize(
    ("percent", "ansi", "iso"),
    [
        # ANSI A137.1 by ASTM C373; ISO 13006 as reported in epoxytileflooring.com. They part above 3 percent.
        ("0", "impervious", "Ia"),
        ("0.5", "impervious", "Ia"),
        ("0.51", "vitreous", "Ib"),
        ("3", "vitreous", "Ib"),
        ("3.01", "semi-vitreous", "IIa"),
        ("6", "semi-vitreous", "IIa"),
        ("6.01", "semi-vitreous", "IIb"),
        ("7", "semi-vitreous", "IIb"),
        ("7.01", "non-vitreous", "IIb"),
        ("10", "non-vitreous", "IIb"),
        ("10.01", "non-vitreous", "III"),
    ],
)
def test_absorption_gives_the_class_of_both_standards(percent: str, ansi: str, iso: str) -> None:
    assert (ansi_class(Decimal(percent)), iso_group(Decimal(percent))) == (ansi, iso)


@pytest.mark.parametrize("wrong", ["-0.1", "100.1", "NaN"])
def test_an_absorption_without_sense_is_refused(wrong: str) -> None:
    for judge in (ansi_class, iso_group):
        with pytest.raises(ValueError, match="percent"):
            judge(Decimal(wrong))


def test_a_level_wet_floor_needs_0_42() -> None:
    # A137.1 9.6 by A326.3, tcnatile.com/industry-issues/dcof-acutest.html.
    assert judge_friction(walk="interior wet", friction=Decimal("0.42")).outcome == "holds"
    assert judge_friction(walk="interior wet", friction=Decimal("0.41")).outcome == "fails"
    assert judge_friction(walk="interior wet", friction=None).outcome == "can't tell"


def test_beyond_level_indoor_floors_the_makers_declaration_outranks_the_figure() -> None:
    # A326.3-2021 as reported in discus.4specs.com: figures are for where there is no declaration.
    assert least_friction("exterior wet") == (Decimal("0.55"), sources.SLIP_DECLARED)
    assert judge_friction(walk="exterior wet", friction=Decimal("0.60"), declared=False).outcome == "fails"
    assert judge_friction(walk="exterior wet", friction=Decimal("0.50"), declared=True).outcome == "holds"
    assert judge_friction(walk="exterior wet", friction=Decimal("0.54")).outcome == "fails"
    # On a level indoor floor a declaration changes nothing: the figure decides.
    assert judge_friction(walk="interior wet", friction=Decimal("0.30"), declared=True).outcome == "fails"


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="no such use"):
        least_friction("ice rink")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="friction"):
        judge_friction(walk="interior wet", friction=Decimal("-1"))
