"""docs/rules.md lists every rule, with its source and where it is used, and is never out of date."""

from tests.trade.rule_table import ROOT, table, used_in
from trade.sources import all_rules


def test_the_page_is_what_the_command_writes() -> None:
    written = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
    assert written == table(), "run: .venv/bin/python -m tests.trade.rule_table > docs/rules.md"


def test_the_table_has_every_rule_once_and_finds_who_uses_it() -> None:
    lines = table().splitlines()
    for rule in all_rules():
        assert sum(line.startswith(f"| `{rule.id}` ") for line in lines) == 1
    assert "trade/watch" in used_in("FROST")
    assert used_in("NO_RULE_OF_THIS_NAME") == []
