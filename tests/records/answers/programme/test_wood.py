"""In any 365 days no more of a plant's shoots are planned with, or given out, than may go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from itertools import product
from types import SimpleNamespace
from typing import Any, cast

from hypothesis import given as for_all
from hypothesis import strategies as st

from slipwright.records.answers.programme.given import OpenPlant
from slipwright.records.answers.programme.shoots import shoots_of_lines, tightest_year
from slipwright.records.answers.programme.ways import Stuckable
from slipwright.records.answers.programme.wood import CutTogether, wood_of, years_of

ON = date(2026, 3, 4)
Cut = tuple[tuple[date, int], ...]


def day(n: int) -> date:
    return ON + timedelta(days=n)


def plant(name: str, n_may_go: int | None, *cut: tuple[int, int], yields: float = 1.0) -> OpenPlant:
    was = tuple((day(-ago), n) for ago, n in cut)
    return OpenPlant(name, (), n_may_go, was, {"softwood": yields})


def way(n: int, *plants: OpenPlant) -> Stuckable:
    made, timing = SimpleNamespace(wood="softwood", method=""), SimpleNamespace(stuck_on=day(n))
    return Stuckable(cast(Any, made), day(n), cast(Any, timing), plants)


def fullest(events: Sequence[tuple[date, int]]) -> int:
    """Most that was cut in any 365 days, told by looking at every one of them."""
    return max(
        (sum(n for on, n in events if start <= on < start + timedelta(days=365)) for start, _ in events),
        default=0,
    )


def line(one: Stuckable, n: int, number: int) -> Any:
    return SimpleNamespace(want=str(number), option=one.name, n_to_stick=n)


def given_out(ways: Sequence[Stuckable], ns: Sequence[int]) -> Mapping[str, list[tuple[date, int]]]:
    """Shoots of each plant by day, past ones left out."""
    lines = [line(one, n, k) for k, (one, n) in enumerate(zip(ways, ns, strict=True))]
    by_name = {(of.want, of.option): one for of, one in zip(lines, ways, strict=True)}
    events: dict[str, list[tuple[date, int]]] = {}
    for one, of_line in zip(ways, shoots_of_lines(lines, by_name, wood_of(ways)), strict=True):
        for shoots in of_line:
            events.setdefault(shoots.plant, []).append((one.timing.stuck_on, shoots.n or 0))
    return events


def test_a_plant_cut_over_less_than_a_year_has_one_row() -> None:
    one = plant("a", 40)
    wood = wood_of([way(n, one) for n in range(0, 365, 7)])
    assert [(row.place, row.room) for row in wood.rows] == [("a", 40)]


def test_wood_comes_back_365_days_after_it_was_cut_and_no_day_sooner() -> None:
    one = plant("a", 40)
    for gap, n_rows in ((364, 1), (365, 2)):
        first, later = way(0, one), way(gap, one)
        wood = wood_of([first, later])
        assert len(wood.rows) == n_rows
        assert bool(wood.use_of(first).keys() & wood.use_of(later).keys()) == (gap == 364)


def test_what_was_cut_counts_until_a_year_after() -> None:
    one = plant("a", 40, (100, 30))
    before, after = way(264, one), way(265, one)
    wood = wood_of([before, after])
    rooms = {row.row: row.room for row in wood.rows}
    assert sorted(rooms[row] for row in wood.use_of(before)) == [10, 40]
    assert [rooms[row] for row in wood.use_of(after)] == [40]


def test_more_cut_than_may_go_leaves_nothing_and_takes_nothing_of_others() -> None:
    over, other = plant("a", 10, (30, 25)), plant("b", 20)
    both = way(0, over, other)
    wood = wood_of([both])
    assert min(row.room for row in wood.rows) == 20
    assert given_out([both], [20]) == {"b": [(ON, 20)]}


def test_plants_always_cut_together_are_one_and_others_are_not() -> None:
    a, b, c = plant("a", 10), plant("b", 20), plant("c", 30, yields=2.0)
    assert {row.place for row in wood_of([way(0, a, b)]).rows} == {"a; b"}
    assert {row.place for row in wood_of([way(0, a, b), way(7, a)]).rows} == {"a", "b"}
    # a shoot of the third makes two cuttings
    wood = wood_of([way(0, a, b, c)])
    assert {row.place: row.room for row in wood.rows} == {"a; b": 30, "c": 30}
    assert wood.of_way(way(0, a, b, c)) == {"a; b": 30 / 90, "c": 30 / 90}


def test_a_plant_nobody_counted_the_shoots_of_has_no_row() -> None:
    one = plant("a", None)
    assert wood_of([way(0, one)]).rows == []
    assert given_out([way(0, one)], [12]) == {"a": [(ON, 0)]}


def test_a_single_plant_gives_each_batch_its_shoots_rounded_once() -> None:
    one = plant("a", 40, yields=4.0)
    found = given_out([way(n, one) for n in range(4)], [5, 5, 5, 5])
    assert [n for _, n in found["a"]] == [2, 1, 1, 1]


def test_many_plants_with_years_of_weeks_make_few_rows() -> None:
    ways = [
        way(week * 7 + year * 365, *[plant(f"{taxon}-{k}", 30) for k in range(5)])
        for taxon in range(60)
        for year in range(2)
        for week in range(10)
    ]
    assert len(wood_of(ways).rows) <= 60 * 11


def test_of_each_plant_the_year_with_least_left_is_told() -> None:
    one = plant("a", 40, (100, 30))
    assert tightest_year(one, [(day(10), 6), (day(300), 20)]) == (6, 10)
    assert tightest_year(one, []) == (0, 10)


@for_all(
    st.integers(1, 40),
    st.lists(st.integers(0, 900), min_size=1, max_size=12, unique=True),
    st.lists(st.tuples(st.integers(0, 364), st.integers(1, 30)), max_size=3),
)
def test_rows_hold_exactly_where_every_365_days_do(
    n_may_go: int, days: list[int], cut: list[tuple[int, int]]
) -> None:
    """Each set of days has a row that implies it, and each row is some 365 days as they are."""
    together = CutTogether((plant("a", n_may_go, *cut),))
    dates = sorted(map(day, days))
    years = years_of(together, dates)
    for start in {*dates, *(on for on, _ in together.cut)}:
        end = start + timedelta(days=365)
        within = [on for on in dates if start <= on < end]
        room = n_may_go - sum(n for on, n in together.cut if start <= on < end)
        if within:
            assert any(
                one.first <= within[0] and within[-1] <= one.last and one.room <= room for one in years
            )
    for one in years:
        assert (one.last - one.from_on).days < 365
        assert not any(other is not one and one.is_within(other) for other in years)


PLANTS = st.lists(
    st.tuples(
        st.integers(1, 30),
        st.lists(st.tuples(st.integers(0, 364), st.integers(1, 40)), max_size=2),
        st.sampled_from((1.0, 1.5, 3.0)),
    ),
    min_size=1,
    max_size=4,
)
BATCHES = st.lists(
    st.tuples(st.integers(0, 900), st.integers(0, 14), st.integers(1, 60)), min_size=1, max_size=9
)


@for_all(PLANTS, BATCHES)
def test_no_365_days_have_more_of_a_plant_than_may_go(
    plants: list[tuple[int, list[tuple[int, int]], float]], batches: list[tuple[int, int, int]]
) -> None:
    stock = [plant(f"p{k}", n, *cut, yields=each) for k, (n, cut, each) in enumerate(plants)]
    # the bits of a number choose the plants of a batch
    ways = [
        way(on, *([one for k, one in enumerate(stock) if which >> k & 1] or stock))
        for on, which, _ in batches
    ]
    wood = wood_of(ways)
    left = {row.row: row.room for row in wood.rows}
    ns = []
    for one, (_, _, n) in zip(ways, batches, strict=True):
        use = wood.use_of(one)
        fits = int(min([n, *(left[row] / each + 1e-9 for row, each in use.items())]))
        ns.append(fits)
        for row, each in use.items():
            left[row] -= fits * each
    found = given_out(ways, ns)
    for one in stock:
        mine = found.get(one.plant, [])
        was = sorted(one.cut, reverse=True)
        assert all(n >= 0 for _, n in mine)
        # beyond what may go nothing was left to be kept
        most = max(one.n_may_go or 0, fullest(was))
        assert fullest([*was, *mine]) <= most
        used, room = tightest_year(one, mine)
        assert used <= room
    # of each group so many are given out as its parts come to, nearly
    for name, group in wood.groups.items():
        need = sum(n * wood.of_way(one).get(name, 0.0) for one, n in zip(ways, ns, strict=True))
        names = {one.plant for one in group.plants}
        whole = sum(n for plant_name, mine in found.items() if plant_name in names for _, n in mine)
        assert need - 1 - 1e-4 < whole < need + 1


def test_a_batch_of_plants_unlike_each_other_is_given_its_shoots_rounded_once() -> None:
    stock = [plant(name, 20, yields=each) for name, each in (("a", 4.0), ("b", 3.9), ("c", 4.1), ("d", 4.2))]
    ways = [way(n, *stock) for n in range(6)]
    found = given_out(ways, [8] * 6)
    by_day = [sum(n for mine in found.values() for on, n in mine if on == day(k)) for k in range(6)]
    assert all(1 <= n <= 2 for n in by_day)
    assert sum(by_day) in (11, 12)


def test_every_plan_within_the_rows_is_within_every_365_days() -> None:
    """Of all plans of whole shoots over some days the rows let through those that keep to the rule."""
    one = plant("a", 2, (200, 1))
    days = (0, 150, 170, 364, 365, 530)
    ways = [way(n, one) for n in days]
    wood = wood_of(ways)
    rooms = {row.row: row.room for row in wood.rows}
    for ns in product(range(3), repeat=len(days)):
        use = dict.fromkeys(rooms, 0.0)
        for of_way, n in zip(ways, ns, strict=True):
            for row, each in wood.use_of(of_way).items():
                use[row] += n * each
        keeps = all(use[row] <= rooms[row] for row in rooms)
        events = [(day(-200), 1), *((day(at), n) for at, n in zip(days, ns, strict=True))]
        assert keeps == (fullest(events) <= 2)
