"""The programme in parts against GLPK, which solves the same plans in a file."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from slipwright.season._master import best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import Plans, use_of
from slipwright.season._solving import chosen_in_parts
from slipwright.season._ways import Ways, room_left, ways_of
from slipwright.season.asked import Array
from slipwright.season.workers import Workers
from tests.season.worlds import small_season


def as_text(ways: Ways, plans: Plans, room: Array, *, whole: bool) -> str:
    use = use_of(ways, plans).toarray()
    names = [f"x{number}" for number in range(len(plans))]

    def total(values: Array) -> str:
        terms = [f"+ {value:.17g} {name}" for value, name in zip(values, names, strict=True) if value]
        return "\n ".join(terms) or f"0 {names[0]}"

    rows = [f"r{row}: {total(use[:, row])}\n <= {room[row]:.17g}" for row in range(len(room))]
    rows += [f"w{want}: {total((plans.want == want).astype(float))}\n = 1" for want in np.unique(plans.want)]
    kind = "Binary\n " + "\n ".join(names) + "\n" if whole else ""
    return f"Minimize\n total: {total(plans.total)}\nSubject To\n" + "\n".join(rows) + f"\n{kind}End\n"


def glpk_total(glpsol: str, text: str, folder: Path) -> float:
    (folder / "season.lp").write_text(text)
    done = subprocess.run(
        [glpsol, "--lp", "season.lp", "--write", "season.out"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert re.search(r"OPTIMAL", done.stdout), done.stdout
    head = (folder / "season.out").read_text()
    [status] = re.findall(r"^s (?:bas|mip) (.*)$", head, re.MULTILINE)
    return float(status.split()[-1])


@pytest.mark.parametrize(("seed", "tight"), [(1, 0.3), (2, 0.5), (3, 0.8), (4, 5.0)])
def test_total_and_bound_equal_glpk(
    seed: int, tight: float, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    season, draws = small_season(np.random.default_rng(seed), 6, tight=tight)
    ways, room = ways_of(season, set(), 0.0), room_left(season)
    lists = Lists(season, ways, draws, 1, 300, {}, Workers(0))
    lists.lower(range(6))
    plans, _ = lists.plans(room)
    parts = best_parts(ways, plans, room, chosen_in_parts)
    expected = glpk_total(need_program("glpsol"), as_text(ways, plans, room, whole=False), tmp_path)
    assert parts.total == pytest.approx(expected, rel=2e-5)
    assert parts.bound == pytest.approx(expected, rel=2e-5)
    assert parts.bound <= expected * (1 + 1e-9)
