"""What each potted batch comes to next, and what is due."""

from __future__ import annotations

from datetime import date

from slipwright.records.answers.growing import Next, from_the_last_due
from slipwright.web.templatetags.ranges import beside

WEANED = Next("weaned", date(2025, 9, 1), date(2025, 9, 8), date(2025, 9, 20), "common practice, no source")
FINISHED = Next(
    "finished", date(2025, 12, 1), date(2026, 1, 5), date(2026, 3, 1), "common practice, no source"
)


def test_where_a_later_stage_is_due_only_that_one_is_asked() -> None:
    both = (WEANED, FINISHED)
    assert from_the_last_due(both, date(2025, 8, 1)) == both
    assert from_the_last_due(both, date(2026, 1, 4)) == both
    assert from_the_last_due(both, date(2026, 1, 5)) == (FINISHED,)
    assert from_the_last_due((), date(2025, 12, 1)) == ()


def test_the_first_day_of_a_range_carries_its_year_where_the_years_differ() -> None:
    assert beside(FINISHED.p10, FINISHED.p90) == "1 Dec 2025"
    assert beside(WEANED.p10, WEANED.p90) == "1 Sep"
    assert beside(None, WEANED.p90) == ""
