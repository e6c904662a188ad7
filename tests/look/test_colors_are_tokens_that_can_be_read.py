"""Every color is a token, and every pair of them that carries text or a shape can be told apart."""

import itertools

import pytest

from tests.look.sheets import CSS, contrast, stray_colors, tokens, unknown_tokens

SCREEN = (CSS / "gaugerod.css").read_text(encoding="utf-8")
PAPER = (CSS / "document.css").read_text(encoding="utf-8")
DRAWING = (CSS / "drawing.css").read_text(encoding="utf-8")

# text on ground, as the rules of gaugerod.css pair them
GROUNDS = ("paper", "sheet")
TEXT = [
    *itertools.product(("ink", "soft", "glaze", "glaze-deep", "fail", "pass", "hold"), GROUNDS),
    *(("ink", ground) for ground in ("wood", "wood-worn", "glaze-soft", "hold-soft", "fail-soft")),
    *(("on-dark", ground) for ground in ("glaze", "glaze-deep", "ink", "fail")),
    ("soft", "wood"),
    ("glaze", "glaze-soft"),
    ("glaze-deep", "glaze-soft"),
    ("glaze", "hold-soft"),
    ("fail", "fail-soft"),
    ("off-ink", "off"),
]
# borders of what can be filled in or pressed, focus, shapes, the rod's present place
SHAPES = [
    *itertools.product(("edge", "glaze", "fail", "pass", "hold", "soft"), GROUNDS),
    ("glaze", "wood"),
    ("hold", "hold-soft"),
    ("fail", "fail-soft"),
]


@pytest.mark.parametrize("name", sorted(sheet.name for sheet in CSS.glob("*.css")))
def test_no_rule_names_a_color_itself(name: str) -> None:
    assert stray_colors((CSS / name).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "fault",
    [
        "a { color: #123456; }",
        "a{border:1px solid red}",
        "a { background: rgb(0 0 0 / 50%); }",
        "p { color: White }",
    ],
)
def test_a_planted_color_is_found(fault: str) -> None:
    assert stray_colors(":root { --ok: #ffffff; }\n" + fault)


def test_every_token_that_a_rule_asks_for_exists() -> None:
    assert unknown_tokens(SCREEN, set(tokens(SCREEN))) == set()
    assert unknown_tokens(PAPER, set(tokens(PAPER))) == set()
    assert unknown_tokens(DRAWING, set(tokens(SCREEN)) & set(tokens(PAPER))) == set()
    assert unknown_tokens("a { color: var(--glaz); }", set(tokens(SCREEN))) == {"glaz"}


def test_the_formula_gives_the_ratios_that_its_makers_print() -> None:
    # WCAG 2.2, definition of contrast ratio: from 1 to 21.
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#ffffff", "#ffffff") == pytest.approx(1)
    # WebAIM, "Contrast and Color Accessibility": #767676 is the lightest gray that passes on white; from memory.
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_stands_out_from_its_ground_by_4_5(text: str, ground: str) -> None:
    # WCAG 2.2, success criterion 1.4.3, level AA.
    color = tokens(SCREEN)
    assert contrast(color[text], color[ground]) >= 4.5


@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_a_shape_stands_out_from_its_ground_by_3(shape: str, ground: str) -> None:
    # WCAG 2.2, success criterion 1.4.11, level AA.
    color = tokens(SCREEN)
    assert contrast(color[shape], color[ground]) >= 3


@pytest.mark.parametrize("text", ["ink", "soft", "glaze", "fail", "pass", "hold"])
def test_print_can_be_read_on_white(text: str) -> None:
    assert contrast(tokens(PAPER)[text], "#ffffff") >= 4.5
