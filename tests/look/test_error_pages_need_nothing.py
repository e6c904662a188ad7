"""Error pages say what happened and what to do, even with no context, no database and no list of static files."""

from datetime import timedelta

import pytest
from django.template import Context
from django.template.loader import get_template

from tests.look.sheets import TEMPLATES


@pytest.mark.parametrize("name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_it_renders_with_no_context_and_names_a_way_on(name: str) -> None:
    html = get_template(name).render()
    assert html.count("<h1>") == 1
    assert 'href="/"' in html


def test_the_page_for_a_broken_server_asks_nothing_of_static_files_either() -> None:
    source = (TEMPLATES / "500.html").read_text(encoding="utf-8")
    assert "{% static" not in source
    assert "{% extends" not in source
    assert "{% url" not in source


def test_no_error_page_tells_what_went_wrong_inside() -> None:
    told = {
        "exception": "Job matching query does not exist",
        "request_path": "/jobs/7/",
    }
    html = get_template("404.html").render(told)
    assert "matching query" not in html
    assert "/jobs/7/" not in html


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(60, "Wait 1 minute,"), (900, "Wait 15 minutes,"), (901, "Wait 16 minutes,")],
)
def test_the_locked_page_says_how_long(seconds: int, words: str) -> None:
    html = get_template("registration/locked.html").template.render(
        Context({"cooloff_timedelta": timedelta(seconds=seconds), "failure_limit": 5})
    )
    assert words in html
    assert "After 5 wrong tries" in html
