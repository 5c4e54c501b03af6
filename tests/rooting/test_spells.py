"""Looks taken apart: every pattern of empty counts keeps its exact chance, no cutting is counted twice."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.cells import CELLS, GRID_DAYS
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.likelihood import log_likelihood
from slipwright.rooting.simulate import Hazards, chances
from slipwright.rooting.spells import Fate, Segments, Spell, segments_of, spells_of

ON = date(2026, 6, 1)
NUMBERS = np.array([-3.0, 0.6, -0.3, -3.6, -0.2, 0.1])
A = CELLS.times
HAZARDS = Hazards(
    np.exp(NUMBERS[0] + NUMBERS[1] * A + NUMBERS[2] * A**2),
    np.exp(NUMBERS[3] + NUMBERS[4] * A + NUMBERS[5] * A**2),
)
COLUMNS = ("n_rooted", "n_lost", "n_waiting")
COUNTED = [frozenset(COLUMNS[k] for k in range(3) if bits >> k & 1) for bits in range(8)]


def look(day: float, **numbers: int | str | None) -> LookCounts:
    return LookCounts(ON + timedelta(days=day), **numbers)  # type: ignore[arg-type]


def of(n_stuck: int, *looks: LookCounts) -> list[Spell]:
    return spells_of(BatchCounts(ON, n_stuck, looks))


def fates(n_stuck: int, *looks: LookCounts) -> list[Fate]:
    (spell,) = of(n_stuck, *looks)
    assert spell.start == 0
    return list(spell.fates)


def log_chance(*batches: BatchCounts) -> np.ndarray:
    return log_likelihood(segments_of(batches), np.tile(NUMBERS[:, None, None], (1, 1, len(batches))))[0]


def n_ways(batch: BatchCounts) -> float:
    """Ways to share the cuttings out among the fates, which the likelihood leaves out."""
    ways = 1.0
    for spell in spells_of(batch):
        numbers = [round(fate.n) for fate in spell.fates]
        ways *= math.factorial(sum(numbers)) / math.prod(map(math.factorial, numbers))
    return ways


# --- every pattern of counted columns ------------------------------------------------------------------


def counts_that_count(pattern: Sequence[frozenset[str]]) -> list[frozenset[str]]:
    """Of three numbers two give the third; what waits alone counts until a look counts more."""
    full = [frozenset(COLUMNS) if len(counted) > 1 else counted for counted in pattern]
    kept = []
    for k, counted in enumerate(full):
        more_later = any(later & {"n_rooted", "n_lost"} for later in full[k + 1 :])
        kept.append(frozenset() if counted == {"n_waiting"} and more_later else counted)
    return kept


def seen(
    fate_of_each: Sequence[tuple[str, int]], pattern: Sequence[frozenset[str]]
) -> tuple[dict[str, int], ...]:
    """What looks that count some columns find of cuttings that root or are lost before some look."""
    found = []
    since = {"n_rooted": 0, "n_lost": 0}
    for k, counted in enumerate(pattern):
        one = {}
        for column in counted - {"n_waiting"}:
            one[column] = sum(what == column and since[column] <= at <= k for what, at in fate_of_each)
            since[column] = k + 1
        if "n_waiting" in counted:
            one["n_waiting"] = sum(at > k for _, at in fate_of_each)
        found.append(one)
    return tuple(found)


def told_apart(
    days: Sequence[int], n: int, pattern: Sequence[frozenset[str]]
) -> Iterator[tuple[BatchCounts, float]]:
    """Outcomes that such looks tell apart, each with its chance over all that may befall."""
    each: dict[tuple[str, int], float] = {("waits", len(days)): 1.0}
    for k, (begin, end) in enumerate(zip([0, *days], days, strict=False)):
        rooted, lost, waits = chances(HAZARDS, begin, end)
        at_risk = each["waits", len(days)]
        each["n_rooted", k], each["n_lost", k] = at_risk * rooted, at_risk * lost
        each["waits", len(days)] = at_risk * waits
    full = [frozenset(COLUMNS) if len(counted) > 1 else counted for counted in pattern]
    kept = counts_that_count(pattern)
    chance: Counter[str] = Counter()
    written: dict[str, BatchCounts] = {}
    for befell in product(each, repeat=n):
        outcome = repr([sorted(one.items()) for one in seen(befell, kept)])
        chance[outcome] += math.prod(each[one] for one in befell)
        # of the columns that follow from others only those counted are written down
        rows = [
            {column: number for column, number in one.items() if column in counted}
            for one, counted in zip(seen(befell, full), pattern, strict=True)
        ]
        looks = tuple(look(day, **row) for day, row in zip(days, rows, strict=True))
        written[outcome] = BatchCounts(ON, n, looks)
    return ((written[outcome], chance[outcome]) for outcome in chance)


@pytest.mark.parametrize(("days", "n"), [((9, 24), 3), ((9, 24, 60), 2), ((7, 400, 700), 2)])
def test_whatever_was_counted_each_outcome_has_its_exact_chance_and_all_sum_to_one(
    days: tuple[int, ...], n: int
) -> None:
    patterns = list(product(COUNTED, repeat=len(days)))
    outcomes = [list(told_apart(days, n, pattern)) for pattern in patterns]
    batches = [batch for some in outcomes for batch, _ in some]
    ours = np.exp(log_chance(*batches)) * [n_ways(batch) for batch in batches]
    exact = np.array([chance for some in outcomes for _, chance in some])
    np.testing.assert_allclose(ours, exact, rtol=1e-9, atol=1e-14)
    of_pattern = np.repeat(np.arange(len(patterns)), [len(some) for some in outcomes])
    np.testing.assert_allclose(np.bincount(of_pattern, ours), 1, rtol=1e-10)


# --- worked by hand ------------------------------------------------------------------------------------


def test_full_looks_are_a_spell_each() -> None:
    first, second = of(10, look(7, n_rooted=2, n_lost=1), look(20, n_rooted=3, n_lost=0))
    assert first == Spell(0, (Fate(2, rooted=(0, 7)), Fate(1, lost=(0, 7)), Fate(7, waited=7)))
    assert second == Spell(7, (Fate(3, rooted=(7, 20)), Fate(4, waited=20)))


@pytest.mark.parametrize(
    "counts", [{"n_rooted": 2, "n_lost": 1}, {"n_rooted": 2, "n_waiting": 7}, {"n_lost": 1, "n_waiting": 7}]
)
def test_two_numbers_give_the_third(counts: dict[str, int]) -> None:
    assert of(10, look(7, **counts)) == of(10, look(7, n_rooted=2, n_lost=1, n_waiting=7))


def test_rooted_of_n_leaves_lost_and_waiting_together() -> None:
    assert fates(10, look(30, n_rooted=4)) == [
        Fate(4, rooted=(0, 30)),
        Fate(6, rooted=(30, 30), lost=(0, 30), waited=30),
    ]


def test_the_lost_counted_later_may_have_gone_since_they_were_last_counted() -> None:
    assert fates(10, look(10, n_rooted=4), look(20, n_rooted=1, n_lost=2)) == [
        Fate(4, rooted=(0, 10)),
        Fate(1, rooted=(10, 20)),
        Fate(2, lost=(0, 20)),
        Fate(3, waited=20),
    ]


def test_the_lost_alone_leave_rooted_and_waiting_together() -> None:
    assert fates(10, look(10, n_lost=4), look(20, n_lost=1))[2] == Fate(
        5, rooted=(0, 20), lost=(20, 20), waited=20
    )


def test_what_waits_alone_parts_the_gone_by_when_they_went() -> None:
    assert fates(10, look(10, n_waiting=7), look(20, n_waiting=5)) == [
        Fate(3, rooted=(0, 10), lost=(0, 10)),
        Fate(2, rooted=(10, 20), lost=(10, 20)),
        Fate(5, waited=20),
    ]


def test_what_waits_alone_after_the_rooted_says_when_the_lost_went() -> None:
    assert fates(10, look(10, n_rooted=2), look(20, n_waiting=5))[1:] == [
        Fate(3, rooted=(10, 20), lost=(0, 20)),
        Fate(5, waited=20),
    ]


def test_removed_ones_waited_on_their_day_and_are_at_risk_no_more() -> None:
    first, second = of(10, look(10, n_rooted=1, n_lost=1, n_removed=3), look(20, n_rooted=0, n_lost=0))
    assert first.fates[-1] == Fate(8, waited=10)
    assert second.fates == (Fate(5, waited=20),)


def test_removed_ones_at_a_look_that_counted_nothing_else_still_waited() -> None:
    assert fates(10, look(10, n_removed=3)) == [Fate(3, waited=10)]
    assert fates(10, look(10, n_removed=3), look(20, n_rooted=2, n_lost=0))[2] == Fate(5, waited=20)


def test_the_removed_are_not_among_those_that_still_wait() -> None:
    spells = of(10, look(10, n_rooted=1, n_waiting=5, n_removed=3))
    assert spells[0].fates == (Fate(1, rooted=(0, 10)), Fate(1, lost=(0, 10)), Fate(8, waited=10))
    assert fates(10, look(5, n_waiting=9), look(10, n_removed=3)) == [
        Fate(3, waited=10),
        Fate(1, rooted=(0, 5), lost=(0, 5)),
        Fate(6, waited=5),
    ]


def test_given_up_means_thrown_away_while_waiting() -> None:
    given_up = of(12, look(10, n_rooted=2, n_lost=8, cause="given-up"))
    assert given_up == of(12, look(10, n_rooted=2, n_lost=0, n_removed=8))
    assert all(fate.lost is None for fate in given_up[0].fates)


def test_a_sample_tried_is_so_many_of_those_alive() -> None:
    assert fates(20, look(14, n_tried=5, n_tried_rooted=2)) == [
        Fate(2, rooted=(0, 14)),
        Fate(3, waited=14),
        Fate(-5, rooted=(0, 14), waited=14),
    ]


def test_the_chance_of_a_sample_tried_is_binomial_among_the_alive() -> None:
    rooted, _, waits = chances(HAZARDS, 0, 14)
    p = rooted / (rooted + waits)
    found = log_chance(*(BatchCounts(ON, 9, (look(14, n_tried=3, n_tried_rooted=r),)) for r in range(4)))
    expected = [r * math.log(p) + (3 - r) * math.log(1 - p) for r in range(4)]
    np.testing.assert_allclose(found, expected, rtol=1e-12)


def test_a_sample_tried_counts_since_the_rooted_were_last_counted_and_until_they_are_again() -> None:
    tried = look(14, n_tried=5, n_tried_rooted=2)
    assert Fate(2, rooted=(7, 14)) in fates(20, look(7, n_rooted=1), tried)
    assert of(20, tried, look(20, n_rooted=6)) == of(20, look(20, n_rooted=6))
    assert of(20, tried, look(20, n_rooted=6, n_lost=1)) == of(20, look(20, n_rooted=6, n_lost=1))


def test_with_the_lost_counted_a_sample_tried_stands_beside_them() -> None:
    found = fates(20, look(14, n_lost=3, n_tried=5, n_tried_rooted=2))
    assert found[0] == Fate(3, lost=(0, 14))
    assert found[-1] == Fate(-5, rooted=(0, 14), waited=14)


def test_no_more_are_tried_than_are_there() -> None:
    assert of(4, look(14, n_tried=9, n_tried_rooted=9)) == of(4, look(14, n_tried=4, n_tried_rooted=4))
    assert of(4, look(14, n_tried=3, n_tried_rooted=9)) == of(4, look(14, n_tried=3, n_tried_rooted=3))
    assert of(4, look(7, n_lost=4), look(14, n_tried=2)) == of(4, look(7, n_lost=4))


def test_looks_of_one_day_and_of_the_day_of_sticking_are_told_apart() -> None:
    spells = of(
        10, look(0, n_rooted=0, n_lost=2), look(0, n_rooted=0, n_lost=1), look(5, n_rooted=1, n_lost=0)
    )
    assert [spell.start for spell in spells] == [0, 0.25, 0.5]
    assert spells[2].fates == (Fate(1, rooted=(0.5, 5)), Fate(6, waited=5))
    same_day = of(10, look(5, n_rooted=1, n_lost=0), look(5, n_rooted=1, n_lost=0))
    assert same_day[1].fates == (Fate(1, rooted=(5, 5.25)), Fate(8, waited=5.25))


def test_a_look_before_the_sticking_falls_on_its_day() -> None:
    assert of(10, look(-3, n_rooted=0, n_lost=2)) == of(10, look(0, n_rooted=0, n_lost=2))


def test_numbers_that_do_not_add_up_are_cut_to_what_is_at_risk() -> None:
    too_many = of(10, look(10, n_rooted=8, n_lost=9, n_removed=4), look(20, n_rooted=5, n_lost=1))
    assert too_many == [Spell(0, (Fate(8, rooted=(0, 10)), Fate(2, lost=(0, 10))))]
    assert fates(10, look(10, n_rooted=3, n_waiting=9)) == [Fate(3, rooted=(0, 10)), Fate(7, waited=10)]
    assert fates(10, look(10, n_waiting=14), look(20, n_waiting=16)) == [Fate(10, waited=20)]
    assert fates(10, look(10, n_waiting=4), look(20, n_waiting=6))[1:] == [Fate(4, waited=20)]


@pytest.mark.parametrize("looks", [(), (look(10),), (look(10), look(20))])
def test_where_nothing_was_counted_nothing_is_said(looks: tuple[LookCounts, ...]) -> None:
    assert of(10, *looks) == []


def test_none_stuck_says_nothing() -> None:
    assert of(0, look(10, n_rooted=3, n_lost=1, n_removed=1, n_tried=2)) == []


# --- whatever is written down --------------------------------------------------------------------------

COUNT = st.none() | st.integers(0, 15)
LOOKS = st.lists(
    st.builds(
        look,
        st.integers(0, 600),
        n_rooted=COUNT,
        n_lost=COUNT,
        n_removed=COUNT,
        n_waiting=COUNT,
        n_tried=COUNT,
        n_tried_rooted=COUNT,
        cause=st.sampled_from(["", "given-up"]),
    ),
    max_size=6,
).map(lambda looks: tuple(sorted(looks, key=lambda one: one.on)))


@given(st.integers(0, 20), LOOKS)
@settings(deadline=None, max_examples=200)
def test_no_more_meet_a_fate_than_were_there(n_stuck: int, looks: tuple[LookCounts, ...]) -> None:
    at_risk: float = n_stuck
    for spell in of(n_stuck, *looks):
        tried = max((-fate.n for fate in spell.fates if fate.n < 0), default=0)
        total = sum(fate.n for fate in spell.fates if fate.n > 0) - tried
        assert tried <= at_risk
        assert 0 <= total <= at_risk
        waited = [fate.n for fate in spell.fates if fate.rooted is None and fate.lost is None]
        at_risk = sum(waited)


@given(st.lists(st.tuples(st.integers(0, 20), LOOKS), max_size=3))
@settings(deadline=None, max_examples=100)
def test_whatever_is_written_has_a_chance_from_nought_to_one(
    written: list[tuple[int, tuple[LookCounts, ...]]],
) -> None:
    found = log_chance(*(BatchCounts(ON, n, looks) for n, looks in written))
    assert np.isfinite(found).all()
    assert (found <= 1e-12).all()


# --- segments ------------------------------------------------------------------------------------------


def test_time_is_cut_at_the_edges_of_cells_and_at_the_looks() -> None:
    found = segments_of(
        [BatchCounts(ON, 9, (look(12, n_rooted=1, n_lost=0), look(21, n_rooted=1, n_lost=0)))]
    )
    assert found.days.tolist() == [4, 3, 3, 2, 2, 4, 3]
    assert found.cell.tolist() == [0, 1, 2, 3, 3, 4, 5]
    assert found.place.tolist() == [0, 1, 2, 3, 0, 1, 2]


def test_the_last_cell_goes_on_for_ever() -> None:
    found = segments_of(
        [BatchCounts(ON, 9, (look(350, n_rooted=1, n_lost=0), look(900, n_rooted=1, n_lost=0)))]
    )
    last = len(GRID_DAYS) - 2
    assert found.days.tolist()[-2:] == [56, 550]
    assert found.cell.tolist()[-2:] == [last, last]
    later = segments_of(
        [BatchCounts(ON, 9, (look(400, n_rooted=1, n_lost=0), look(900, n_rooted=1, n_lost=0)))]
    )
    assert later.cell.tolist()[-1] == last


def test_a_look_on_an_edge_cuts_nothing_more() -> None:
    found = segments_of([BatchCounts(ON, 9, (look(7, n_rooted=0, n_lost=0), look(14, n_rooted=0, n_lost=0)))])
    assert (found.days.tolist(), found.cell.tolist()) == ([4, 3, 3, 4], [0, 1, 2, 3])


def test_batches_without_counts_keep_their_place() -> None:
    full = BatchCounts(ON, 9, (look(7, n_rooted=1, n_lost=0),))
    found = segments_of([BatchCounts(ON, 9), full, BatchCounts(ON, 9), full])
    assert (found.n_batches, found.batch.tolist()) == (4, [1, 1, 3, 3])
    assert found.fate_batch.tolist() == [1, 1, 3, 3]


@pytest.mark.parametrize("n_segments", [1, 3, 1000])
def test_runs_are_whole_batches_and_leave_none_out(n_segments: int) -> None:
    full = BatchCounts(ON, 9, (look(30, n_rooted=1),))
    whole = segments_of([BatchCounts(ON, 9), full, full, BatchCounts(ON, 9), full, BatchCounts(ON, 9)])
    runs: list[tuple[slice, Segments]] = whole.runs(n_segments)
    assert [k for chosen, _ in runs for k in range(6)[chosen]] == list(range(6))
    for name in ("days", "cell", "place", "fate_n", "part_kind"):
        assert (
            np.concatenate([getattr(run, name) for _, run in runs]).tolist() == getattr(whole, name).tolist()
        )
