"""The order of the house holds, and a break of it is seen."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.architecture.source import ROOT


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    code = "import sys; from importlinter.cli import lint_imports_command as c; c()"
    return subprocess.run(
        [sys.executable, "-c", code, "--no-cache"],
        cwd=folder,
        env={"PYTHONPATH": str(folder / "src"), "PATH": ""},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def copy_of_the_house(folder: Path) -> Path:
    for path in (ROOT / "src").rglob("*.py"):
        copy = folder / path.relative_to(ROOT)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "pyproject.toml").write_text(
        (ROOT / "pyproject.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    return folder


def test_the_order_holds() -> None:
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout


def test_a_break_of_the_order_is_seen(tmp_path: Path) -> None:
    house = copy_of_the_house(tmp_path)
    (house / "src/slipwright/craft/stray.py").write_text("def late():\n    import slipwright.records\n")
    assert lint(house).returncode == 1


def test_a_package_without_a_place_is_seen(tmp_path: Path) -> None:
    house = copy_of_the_house(tmp_path)
    (house / "src/slipwright/attic").mkdir()
    (house / "src/slipwright/attic/__init__.py").write_text("")
    assert lint(house).returncode == 1
