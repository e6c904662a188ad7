"""Every rule says where it stands, how sure we are, and never more than that."""

import re
from pathlib import Path
from typing import get_args

import trade
from trade.sources import NO_SOURCE, Confidence, all_rules

RULES = all_rules()
TRADE = Path(trade.__file__).parent


def test_there_are_rules_and_their_ids_are_unique() -> None:
    ids = [rule.id for rule in RULES]
    assert len(ids) > 40
    assert len(set(ids)) == len(ids)


def test_every_rule_has_text_source_and_confidence() -> None:
    for rule in RULES:
        assert rule.text.endswith(".")
        assert rule.source
        assert rule.confidence in get_args(Confidence)


def test_common_practice_claims_no_source_and_memory_says_so() -> None:
    for rule in RULES:
        assert (rule.confidence == "common practice") == (rule.source == NO_SOURCE)
        if rule.confidence == "memory":
            assert "from memory" in rule.source


def test_what_was_seen_names_a_page_or_a_published_text() -> None:
    published = re.compile(r"[a-z-]+\.(com|org|gov|ca|ai|biz|br|bz|co\.uk)\b|tech note GE-6")
    for rule in RULES:
        if rule.confidence == "seen":
            assert published.search(rule.source), rule.id


def test_what_a_code_decides_says_that_the_local_code_decides() -> None:
    for rule in RULES:
        if re.search(r"\b(IRC|IPC|UPC|IBC)\b", rule.source):
            assert "local" in rule.text, rule.id


def test_no_figure_of_the_trade_stands_in_percent_signs_that_a_translation_could_break() -> None:
    for rule in RULES:
        assert "%" not in rule.text


def test_the_package_imports_nothing_but_itself_and_the_standard_library() -> None:
    allowed = {
        "trade",
        "collections",
        "dataclasses",
        "datetime",
        "decimal",
        "fractions",
        "itertools",
        "math",
        "re",
        "typing",
        "unicodedata",
    }
    seen = set()
    for path in TRADE.rglob("*.py"):
        for found in re.findall(r"^(?:from|import) ([a-z_]+)", path.read_text(encoding="utf-8"), re.MULTILINE):
            seen.add(found)
    assert "decimal" in seen
    assert seen <= allowed
