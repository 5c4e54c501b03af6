"""Reading the source of the package for the rules of the house."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import slipwright

PACKAGE = Path(slipwright.__file__).parent
ROOT = PACKAGE.parent.parent
SCIENCE = tuple(
    name
    for name in ("craft", "handbook", "rooting", "season", "outputs", "advice")
    if (PACKAGE / name).is_dir()
)


def science_modules() -> Iterator[ModuleType]:
    """Yield every public module of the science packages."""
    for package in SCIENCE:
        top = importlib.import_module(f"slipwright.{package}")
        yield top
        for found in pkgutil.walk_packages(top.__path__, f"slipwright.{package}."):
            if not any(part.startswith("_") for part in found.name.split(".")):
                yield importlib.import_module(found.name)


def public_functions() -> Iterator[tuple[str, Callable[..., object]]]:
    """Yield the name and function of every public function where it is defined."""
    for module in science_modules():
        for name, thing in sorted(vars(module).items()):
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            plain = inspect.unwrap(thing) if callable(thing) else thing
            if inspect.isfunction(plain):
                yield f"{module.__name__}.{name}", plain
