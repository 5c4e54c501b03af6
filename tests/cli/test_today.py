"""Today's round in words: whole where it is short, the first few of each place where it is long."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from slipwright.cli import today as today_command
from slipwright.handbook import load_handbook
from slipwright.records.answers import told
from slipwright.records.models import Garden
from slipwright.records.selectors import states_of_open_batches

Run = Callable[..., Any]
ON = date(2015, 10, 20)
HEADS = {word: act for act, word in today_command.ACT_WORDS.items()} | {today_command.MAY_CUT: "cut"}


def acts_in(said: str) -> Counter[str]:
    """Count the acts told one by one."""
    found = re.findall(rf"^   ({'|'.join(map(re.escape, HEADS))})(?: |$)", said, re.M)
    return Counter(HEADS[word] for word in found)


def test_a_short_round_is_told_whole_and_as_in_json(
    example: Path, run: Run, answer: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(today_command, "SHORT", 1_000)
    said, acts = run("today").stdout, answer("today", "today")["acts"]
    assert acts_in(said) == Counter(act["act"] for act in acts)
    for act in acts:
        assert act["why"] in said
    assert "--all" not in said


def test_of_a_long_round_each_place_tells_its_first_and_how_many_more(
    example: Path, run: Run, answer: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(today_command, "SHORT", 1)
    monkeypatch.setattr(today_command, "AT_LEAST", 1)
    cut, whole = run("today").stdout, run("today", "--all").stdout
    n_all = len(answer("today", "today")["acts"])
    assert sum(acts_in(whole).values()) == n_all
    assert "more here" not in whole
    rest = re.findall(r"^   … ([\d,]+) more here: (.+)$", cut, re.M)
    assert rest
    left_out = sum(int(n) for _, words in rest for n in re.findall(r"\d+", words))
    assert sum(acts_in(cut).values()) + left_out == n_all
    assert "Everything at each place: slipwright today --all" in cut
    places = [line for line in whole.splitlines() if re.match(r"\d+\. ", line)]
    assert [line for line in cut.splitlines() if re.match(r"\d+\. ", line)] == places
    # the sum at the top counts everything, told or not
    assert cut.splitlines()[0] == whole.splitlines()[0]


def test_what_is_kept_is_told_and_only_the_rest_is_worked_out(
    example: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out: list[int] = []
    work_out = told.work_out

    def counting(garden: Garden, batches: Any, **more: Any) -> Any:
        worked_out.append(len(batches))
        return work_out(garden, batches, **more)

    monkeypatch.setattr(told, "work_out", counting)
    garden = Garden.objects.get()
    n_open = len(states_of_open_batches(garden))
    monkeypatch.setattr(told, "WITH_A_PAGE", n_open - 2)
    fresh = run("today", "--all").stdout
    assert sum(worked_out) == n_open, "nothing is left to be worked out later"
    told.refresh(garden, load_handbook(), on=ON, now=datetime(2015, 10, 20, 12, tzinfo=UTC))
    worked_out.clear()
    assert run("today", "--all").stdout == fresh
    assert not worked_out
