"""Pages fetch with selectors and write with services: no query, no arithmetic, no model in ``web``."""

from __future__ import annotations

import ast

import pytest

from tests.architecture.source import PACKAGE

FORBIDDEN_ATTRIBUTES = {"objects", "rows", "save", "delete", "bulk_create", "raw", "cursor", "execute"}
FORBIDDEN_IMPORTS = {"numpy", "scipy"}


def faults(code: str) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Attribute) and node.attr in FORBIDDEN_ATTRIBUTES:
            found.append(f"line {node.lineno}: .{node.attr}")
        if isinstance(node, ast.Import):
            found += [
                f"line {node.lineno}: {n.name}"
                for n in node.names
                if n.name.split(".")[0] in FORBIDDEN_IMPORTS
            ]
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in FORBIDDEN_IMPORTS:
            found.append(f"line {node.lineno}: {node.module}")
        if isinstance(node, ast.ClassDef) and any("Model" in ast.unparse(base) for base in node.bases):
            found.append(f"line {node.lineno}: model {node.name}")
    return found


def test_web_holds_no_query() -> None:
    faulty = {
        str(path.relative_to(PACKAGE)): found
        for path in (PACKAGE / "web").rglob("*.py")
        if (found := faults(path.read_text(encoding="utf-8")))
    }
    assert faulty == {}


@pytest.mark.parametrize(
    "code",
    [
        "def page(request): return Look.rows.filter(batch=1)",
        "def page(request): return Garden.objects.get()",
        "def page(request): look.save()",
        "import numpy as np",
        "from scipy import stats",
        "class Extra(models.Model): pass",
    ],
)
def test_the_rule_sees_a_fault(code: str) -> None:
    assert faults(code)
