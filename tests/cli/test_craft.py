"""Sums at the bench."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest


def test_stick_count_answers_in_json(answer: Callable[..., Any]) -> None:
    data = answer(
        "craft-stick-count",
        *("craft", "stick-count", "--want", 24, "--mean", 0.65, "--assurance", 0.9, "--precision", "inf"),
    )
    assert data["n_to_stick"] == 43
    assert data["p_reached"] == pytest.approx(0.9207591079, abs=1e-9)


def test_stick_count_allows_for_batches_that_differ(answer: Callable[..., Any]) -> None:
    data = answer(
        "craft-stick-count", *("craft", "stick-count", "--want", 24, "--mean", 0.65, "--assurance", 0.9)
    )
    assert data["n_to_stick"] == 54


def test_stick_count_says_what_will_not_do(run: Callable[..., Any]) -> None:
    result = run("craft", "stick-count", "--want", 5, "--mean", 1.4, "--assurance", 0.9, code=2)
    assert "mean" in result.stderr
    assert "1.4" in result.stderr


def test_stick_count_never_says_a_hundred_of_a_hundred_unless_it_is_so(run: Callable[..., Any]) -> None:
    def said(mean: float, assurance: float) -> str:
        return str(run("craft", "stick-count", "--want", 5, "--mean", mean, "--assurance", assurance).stdout)

    assert "over 99 times in 100" in said(0.9, 0.9999)
    assert "worse than any you have likely seen" in said(0.9, 0.9999)
    assert "worse than" not in said(0.9, 0.9)
    assert "every time" in said(1, 0.9)
    assert "differ" not in said(1, 0.9)


def test_cane_answers_in_json(answer: Callable[..., Any]) -> None:
    nodes = ",".join(str(40 * n) for n in range(1, 26))
    data = answer("craft-cane", "craft", "cane", "--node-mm", nodes, "--tip-mm", 60, "--base-mm", 60)
    assert 6 <= len(data["cuttings"]) <= 8
    assert all(piece["n_nodes"] >= 2 for piece in data["cuttings"])


def test_cane_too_short_says_why(run: Callable[..., Any]) -> None:
    assert run("craft", "cane", "--node-mm", "20,40").stdout.strip()


def test_cane_refuses_words_for_lengths(run: Callable[..., Any]) -> None:
    assert "30,70,115" in run("craft", "cane", "--node-mm", "a,b", code=2).stderr


def test_a_sum_at_the_bench_loads_neither_django_nor_numpy() -> None:
    code = (
        "import sys; from slipwright.cli import main\n"
        "try: main(['craft', 'stick-count', '--want', '5', '--mean', '.7', '--assurance', '.8'])\n"
        "except SystemExit: pass\n"
        "print(sorted({'django', 'numpy', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"
