"""Days on the brass rule."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.date_rule import Timeline, draw_date_rule
from slipwright.outputs._press.paper import A4_MM, Paper
from tests.outputs.making import STUCK_ON, timeline


def _drawn(days: Timeline, monkeypatch: pytest.MonkeyPatch) -> list[tuple[float, float]]:
    """Left and right ends of what is written on the rule."""
    ends: list[tuple[float, float]] = []
    write = Paper.text

    def record(paper: Paper, runs: object, x: float, *rest: object, **more: object) -> float:
        end = write(paper, runs, x, *rest, **more)  # type: ignore[arg-type]
        ends.append((x, end))
        return end

    monkeypatch.setattr(Paper, "text", record)
    draw_date_rule(Paper(A4_MM, title="t"), days, 50, 20, 120)
    return ends


@pytest.mark.parametrize("n_days", [0, 1, 30, 200, 540])
def test_words_stay_on_the_rule(n_days: int, monkeypatch: pytest.MonkeyPatch) -> None:
    last = STUCK_ON + timedelta(days=n_days)
    ends = _drawn(Timeline(STUCK_ON, (last,), (last, last), (last, last)), monkeypatch)
    assert ends
    assert all(left >= 50 - 0.01 and right <= 170.01 for left, right in ends)


def test_the_rule_ends_with_its_last_day() -> None:
    assert timeline().last_on == date(2026, 11, 24)
    assert Timeline(STUCK_ON).last_on == STUCK_ON


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"roots": (date(2026, 10, 8), date(2026, 10, 1))}, "roots must run"),
        ({"look_on": (date(2026, 9, 1),)}, "look_on must not lie before"),
        ({"pot_up": (date(2028, 10, 1), date(2028, 10, 8))}, "pot_up must end within"),
    ],
)
def test_days_that_cannot_be_are_refused(fields: dict[str, object], rule: str) -> None:
    with pytest.raises(BadArgument, match=rule):
        Timeline(STUCK_ON, **fields)  # type: ignore[arg-type]
