"""No regular expression of the package is slow, whatever long text somebody sends."""

from __future__ import annotations

import ast
import importlib
import itertools
import re
import signal
import time
from collections.abc import Callable, Iterator
from re import _constants as sre  # type: ignore[attr-defined]
from re import _parser  # type: ignore[attr-defined]
from typing import Any, NamedTuple

import pytest

from tests.architecture.source import PACKAGE

LONG = 100_000
MOST_S = 0.05
FUNCTIONS = ("compile", "match", "search", "fullmatch", "sub", "split", "findall", "finditer")

#: file and pattern: why it is not run on long text
CAPPED: dict[tuple[str, str], str] = {
    (
        "handbook/_names.py",
        r"""(?:^|\s+)[‘’'"“](?P<cultivar>[^‘’'"“”]+(?:['’](?=\w)[^‘’'"“”]+)*)[’'"”]\s*$""",
    ): "on names: one pot and the search take no longer ones, and none longer than 100 signs is kept",
    ("records/keeping/postgres.py", "{}"): "on what pg_restore lists, line by line",
    (
        "records/keeping/disk.py",
        r".+? on (/.*) \((\w+)[,)].*",
    ): "on what mount says of this machine, line by line",
}


class Found(NamedTuple):
    """A pattern, where it stands, its flags, and whether it is only asked for the whole of a text."""

    file: str
    line: int
    pattern: str
    flags: int
    only_whole: bool


def found() -> Iterator[Found]:
    """Yield every regular expression of the package."""
    for path in sorted(PACKAGE.rglob("*.py")):
        file = str(path.relative_to(PACKAGE))
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {
            node.value: node.targets[0].id
            for node in ast.walk(tree)
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        } | {
            node.value: node.target.id
            for node in ast.walk(tree)
            if isinstance(node, ast.AnnAssign) and node.value and isinstance(node.target, ast.Name)
        }
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                continue
            if not (isinstance(node.func.value, ast.Name) and node.func.value.id == "re"):
                continue
            if node.func.attr in FUNCTIONS and node.args:
                asked = _asked(tree, names.get(node, "")) if node.func.attr == "compile" else {node.func.attr}
                yield Found(file, node.lineno, *_said(path, file, node), asked <= {"fullmatch", "match"})


def _asked(tree: ast.AST, name: str) -> set[str]:
    """Return how a pattern is asked in its own file; a name that others may see may be asked anyhow."""
    uses = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name
    }
    passed_on = sum(isinstance(node, ast.Name) and node.id == name for node in ast.walk(tree)) > 1 + len(uses)
    return uses if name.startswith("_") and uses and not passed_on else {"search"}


def _said(path: Any, file: str, call: ast.Call) -> tuple[str, int]:
    first = call.args[0]
    if isinstance(first, ast.Constant):
        flags = [
            getattr(re, node.attr)
            for given in (*call.args[1:], *(word.value for word in call.keywords))
            for node in ast.walk(given)
            if isinstance(node, ast.Attribute) and node.attr.isupper()
        ]
        return str(first.value), int(sum(flags))
    # made of pieces: it is read where it was made
    module = importlib.import_module("slipwright." + file.removesuffix(".py").replace("/", "."))
    made = [one for one in vars(module).values() if isinstance(one, re.Pattern)]
    pieces = [part.value for part in ast.walk(first) if isinstance(part, ast.Constant)]
    for one in made:
        if all(str(piece) in one.pattern for piece in pieces):
            return one.pattern, one.flags & ~re.UNICODE
    return "{}", 0


def signs(pattern: str, flags: int) -> list[str]:
    """Return a sign of each kind a pattern names, and a few it may not."""
    kept: dict[str, None] = {}

    def walk(items: Any) -> None:
        for op, value in items:
            if op in (sre.LITERAL, sre.NOT_LITERAL):
                kept[chr(value)] = None
            elif op is sre.RANGE:
                kept[chr(value[0])] = None
            elif op is sre.CATEGORY:
                kept[{sre.CATEGORY_DIGIT: "7", sre.CATEGORY_SPACE: " "}.get(value, "w")] = None
            elif op is sre.IN:
                walk(value)
            elif op is sre.BRANCH:
                for branch in value[1]:
                    walk(branch)
            elif op is sre.SUBPATTERN:
                walk(value[3])
            elif op in (sre.MAX_REPEAT, sre.MIN_REPEAT):
                walk(value[2])
            elif op in (sre.ASSERT, sre.ASSERT_NOT):
                walk(value[1])

    walk(_parser.parse(pattern, flags))
    return [*kept, " ", "x", "-"][:10]


def texts(pattern: str, flags: int) -> Iterator[str]:
    """Yield long texts that lead a pattern far before they fail it."""
    few = list(dict.fromkeys(signs(pattern, flags)))
    for sign in few:
        yield sign * LONG
        yield sign * LONG + "\x00"
        yield few[0] + sign * LONG + "\x00"
    for one, two in itertools.permutations(few[:6], 2):
        yield (one + two) * (LONG // 2) + "\x00"
        yield one * (LONG // 2) + two * (LONG // 2) + "\x00"
    near = "".join(few)
    yield near * (LONG // len(near)) + "\x00"


class TooSlow(Exception):
    """It takes too long to wait for its end."""


def _stop(*_: Any) -> None:
    raise TooSlow


def took_s(ask: Callable[[str], object], text: str) -> float:
    """Return the seconds of this process's own time, and no more than some."""
    before = signal.signal(signal.SIGVTALRM, _stop)
    begun = time.process_time()
    signal.setitimer(signal.ITIMER_VIRTUAL, 10 * MOST_S)
    try:
        ask(text)
    except TooSlow:
        pass
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
    return time.process_time() - begun


def slowest(pattern: str, flags: int = 0, *, only_whole: bool = False) -> float:
    """Return the most seconds a pattern takes on a long text, or the first that is too many."""
    compiled = re.compile(pattern, flags)
    most = 0.0
    for text in texts(pattern, flags):
        for ask in (
            (compiled.fullmatch, compiled.match) if only_whole else (compiled.fullmatch, compiled.search)
        ):
            # asked again where it was slow: something else may have had the machine
            if (took := took_s(ask, text)) > MOST_S and (took := min(took, took_s(ask, text))) > MOST_S:
                return took
            most = max(most, took)
    return most


ALL = list(dict.fromkeys(found()))


def test_there_are_patterns_to_run() -> None:
    assert len(ALL) > 25


@pytest.mark.parametrize("one", ALL, ids=lambda one: f"{one.file}:{one.line}")
def test_a_pattern_is_quick_on_a_long_text(one: Found) -> None:
    if (one.file, one.pattern) in CAPPED:
        return
    assert slowest(one.pattern, one.flags, only_whole=one.only_whole) <= MOST_S, one.pattern


def test_what_is_excused_is_there() -> None:
    assert {(one.file, one.pattern) for one in ALL} >= CAPPED.keys()


@pytest.mark.parametrize("pattern", [r"(a+)+b", r"\s+$", r"(x|x)*y", r"x*y*x*$"])
def test_planted_a_slow_pattern_is_caught(pattern: str) -> None:
    assert slowest(pattern) > MOST_S
