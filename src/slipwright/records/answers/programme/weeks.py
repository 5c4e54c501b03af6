"""Weeks told as runs: one after the other they are one stretch of days."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said

_WEEK = timedelta(weeks=1)


def runs_of(weeks: Iterable[date]) -> list[tuple[date, date]]:
    """Return the first and last Monday of each run of weeks without a gap, in their order."""
    runs: list[tuple[date, date]] = []
    for week in sorted(set(weeks)):
        if runs and week - runs[-1][1] <= _WEEK:
            runs[-1] = (runs[-1][0], week)
        else:
            runs.append((week, week))
    return runs


def run_in_words(first: date, last: date) -> str:
    """Return a run of weeks by its Mondays as the days it reaches over: "14 Sep to 11 Oct 2026"."""
    end = last + timedelta(days=6)
    return Said("{first} to {last}", first=day_in_words(first, beside=end), last=day_in_words(end))
