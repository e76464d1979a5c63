"""Imports run one way: web, cli, reports → questions → physics, rulebook, answer, quantity; records only for web, cli, reports."""

from __future__ import annotations

import ast
from pathlib import Path

import millphase

ROOT = Path(millphase.__file__).parent
# What each part may import of ours; a part not named here may import anything.
ALLOWED = {
    "physics": {"physics"},
    "units": set(),
    "quantity": {"units"},
    "formula": {"quantity"},
    "rulebook": {"rulebook", "quantity", "units"},
    "answer": {"formula", "physics", "quantity", "rulebook"},
    "questions": {"questions", "answer", "physics", "quantity", "rulebook", "units"},
    "records": {"records", "quantity"},
    "reports": {"reports", "questions", "answer", "physics", "quantity", "rulebook", "formula", "units", "records"},
}


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names = [node.module] if node.module != "millphase" else [f"millphase.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        found |= {name.split(".")[1] for name in names if name.startswith("millphase.")}
    return found


def test_imports_run_one_way() -> None:
    wrong = []
    for path in sorted(ROOT.rglob("*.py")):
        part = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if part in ALLOWED:
            wrong += [f"{path.relative_to(ROOT)} imports {name}" for name in sorted(_imports(path) - ALLOWED[part])]
    assert wrong == []


def test_physics_knows_nothing_but_mathematics() -> None:
    for path in (ROOT / "physics").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                assert {alias.name.split(".")[0] for alias in node.names} <= {
                    "math",
                    "statistics",
                    "itertools",
                    "bisect",
                    "heapq",
                    "cmath",
                    "random",
                }, path
