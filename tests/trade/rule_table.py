"""Writes the table of every rule: `.venv/bin/python -m tests.trade.rule_table > docs/rules.md`."""

import re
from pathlib import Path

from trade import sources
from trade.sources import Rule

ROOT = Path(__file__).resolve().parents[2]
USERS = ("trade", "layout", "documents", "shop", "clients", "jobs", "rooms", "estimating", "inspections", "callbacks")

HEAD = """# The rules of the trade

Every rule that Gaugerod applies. The maker's written instructions, the local code and its inspector go before each.
Confidence: `seen` in the source named, from `memory`, `computed`, or `common practice` without a source.
Written by `.venv/bin/python -m tests.trade.rule_table > docs/rules.md`; a test compares.

| rule | source | edition | confidence | used in |
|---|---|---|---|---|
"""


def table() -> str:
    """Return the whole page."""
    return HEAD + "".join(_row(name, rule) for name, rule in _named())


def _named() -> list[tuple[str, Rule]]:
    return sorted(
        ((name, value) for name, value in vars(sources).items() if isinstance(value, Rule)), key=lambda each: each[1].id
    )


def _row(name: str, rule: Rule) -> str:
    cells = (f"`{rule.id}`", rule.source, rule.edition, rule.confidence, ", ".join(used_in(name)) or "nowhere")
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def used_in(name: str) -> list[str]:
    """Return the modules that name this rule, but for the folder where it stands."""
    called = re.compile(rf"\b{name}\b")
    return [
        where.relative_to(ROOT).with_suffix("").as_posix()
        for user in USERS
        for where in sorted((ROOT / user).rglob("*.py"))
        if where.parent.name != "sources" and called.search(where.read_text(encoding="utf-8"))
    ]


if __name__ == "__main__":
    print(table(), end="")
