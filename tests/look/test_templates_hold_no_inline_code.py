"""The content security policy allows no inline style or script: no template may carry any."""

from pathlib import Path

import pytest

from tests.look.sheets import TEMPLATES, inline_code

PAGES = sorted(TEMPLATES.rglob("*.html"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TEMPLATES)))
def test_the_policy_would_refuse_nothing_in_it(page: Path) -> None:
    assert inline_code(page.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "fault",
    [
        '<p style="color: red">',
        "<p\n  style='x'>",
        "<style>p{}</style>",
        '<button onclick="go()">',
        '<a href="javascript:go()">',
        "<script>go()</script>",
        '<script src="/static/js/x.js"></script>',
    ],
)
def test_a_planted_fault_is_found(fault: str) -> None:
    assert inline_code(f"<div>{fault}</div>")


def test_what_is_allowed_is_left_alone() -> None:
    assert (
        inline_code('<script type="module" nonce="{{ csp_nonce }}" src="/x.js"></script><p class="style">on = 1</p>')
        == []
    )
    assert inline_code('{% comment %} no style="" here {% endcomment %}') == []
