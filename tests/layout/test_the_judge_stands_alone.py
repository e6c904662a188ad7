"""The judge shares no code with the solver."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import layout

JUDGE = sorted(Path(layout.__file__).parent.glob("verify*.py"))
ALLOWED = ("__future__", "collections", "dataclasses", "itertools", "math", "re", "typing", "numpy", "shapely")
HOUSE = ("layout.room", "layout.verify", "trade.lengths")


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, "a relative import hides where it leads"
            found.add(node.module or "")
    return found


def is_allowed(module: str) -> bool:
    house = module in HOUSE or module.startswith("layout.verify_")
    return house or module.split(".")[0] in ALLOWED


@pytest.mark.parametrize("path", JUDGE, ids=lambda path: path.stem)
def test_the_judge_imports_nothing_of_the_solver(path: Path) -> None:
    assert [module for module in sorted(imports(path)) if not is_allowed(module)] == []


def test_there_is_a_judge_to_look_at_and_the_solver_would_be_seen() -> None:
    assert len(JUDGE) >= 5
    assert not is_allowed("layout.pieces")
    assert not is_allowed("layout")
    assert not is_allowed("layout.evaluate")
