"""From advice down everything imports with Django blocked."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.architecture.source import SCIENCE

SCRIPT = """
import importlib, pkgutil, sys
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] == "django":
            raise ImportError("blocked: " + name)
sys.meta_path.insert(0, Blocked())
if sys.argv[2:]:
    import django
top = importlib.import_module("slipwright." + sys.argv[1])
for found in pkgutil.walk_packages(top.__path__, top.__name__ + "."):
    if not found.name.endswith("__main__"):
        importlib.import_module(found.name)
print("imported")
"""


@pytest.mark.parametrize("package", SCIENCE)
def test_package_imports_with_django_blocked(package: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, package], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stdout.strip() == "imported", done.stderr[-2000:]


def test_the_block_blocks() -> None:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, "craft", "break"],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert "blocked: django" in done.stderr
