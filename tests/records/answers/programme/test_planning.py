"""A garden's programme: its ways lie within windows, rights and rooms, and its chances are the clocks'."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.programme.draws import Scenarios
from slipwright.records.answers.programme.given import Given, given_of
from slipwright.records.answers.programme.planning import (
    GardenProgramme,
    Problem,
    problem_of,
    programme_of_garden,
)
from slipwright.records.answers.programme.room import hours_in
from slipwright.records.answers.programme.shoots import shoots_of_lines
from slipwright.records.answers.programme.standing import counts_standing
from slipwright.records.answers.programme.told import told_of_programme
from slipwright.records.answers.windows import windows_of_garden
from slipwright.records.models import (
    Container,
    Cost,
    Garden,
    Hours,
    Member,
    Method,
    Place,
    Plant,
    Taxon,
    Want,
)
from slipwright.rooting.curves import fates
from slipwright.rooting.learned import Kind, before_records
from slipwright.season.asked import Effort, Option
from slipwright.season.asked import Want as Asked
from slipwright.season.changes import side_by_side
from tests.records.making import stick

HANDBOOK = load_handbook()
ON = date(2025, 10, 20)
ROSE, SAGE, LAVENDER = "Rosa 'Pale Ferry'", "Salvia rosmarinus", "Lavandula 'Night Tide'"
MONDAY = date(2025, 10, 20)

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def planned(garden: Garden) -> Garden:
    """A small garden with three wants, a bench of known room, hours and shoots that are counted."""
    taxa = {row.taxon: row for row in Taxon.rows.of(garden)}
    Plant.rows.of(garden).filter(plant="rose-gate").update(
        shoots_per_season=80, max_share_taken=Decimal("0.5"), shoot_length_mm=700, nodes_per_shoot=16
    )
    Plant.rows.create(garden=garden, plant="lavender-row", taxon=taxa[LAVENDER])
    for want, taxon, n, ready_as, due in (
        ("sage-26", SAGE, 20, "rooted", date(2026, 8, 1)),
        ("lavender-26", LAVENDER, 10, "potted", date(2026, 10, 1)),
    ):
        Want.rows.create(
            garden=garden,
            want=want,
            taxon=taxa[taxon],
            n_wanted=n,
            ready_by=due,
            ready_as=ready_as,
            assurance=Decimal("0.8"),
        )
    Place.rows.of(garden).update(room_m2=Decimal(2))
    Place.rows.create(garden=garden, place="yard", kind="nursery", room_m2=Decimal(5))
    Method.rows.of(garden).update(n_per_container=6)
    Hours.rows.create(garden=garden, from_on=ON, to_on=date(2026, 12, 31), hours_per_week=7)
    garden.refresh_from_db()
    return garden


def fresh(garden: Garden) -> Garden:
    return Garden.objects.get(pk=garden.pk)


def asked(garden: Garden, on: date = ON) -> Problem:
    return problem_of(fresh(garden), HANDBOOK, on=on)


def answered(garden: Garden, *, on: date = ON, seed: int = 1, **more: Any) -> GardenProgramme:
    return programme_of_garden(
        fresh(garden),
        HANDBOOK,
        on=on,
        seed=seed,
        n_scenarios=400,
        n_fresh=1000,
        n_workers=0,
        effort=Effort(n_rounds=2),
        **({"kept": {}} | more),
    )


def options(problem: Problem, want: str) -> tuple[Option, ...]:
    return next(one for one in problem.season.wants if one.want == want).options


def test_the_same_seed_gives_the_same_programme(planned: Garden) -> None:
    kept: dict[str, bytes] = {}
    first, again = answered(planned, kept=kept).programme, answered(planned).programme
    assert (first.lines, first.wants, first.loads) == (again.lines, again.wants, again.loads)
    assert first.lines
    from_lists = answered(planned, kept=kept).programme
    assert (from_lists.lines, from_lists.wants) == (first.lines, first.wants)
    other = answered(planned, seed=2).programme
    assert [want.promised for want in other.wants] != [want.promised for want in first.wants]


def test_no_way_lies_outside_the_window_of_its_wood_or_before_the_day(planned: Garden) -> None:
    windows = {one.plant: one.windows for one in windows_of_garden(fresh(planned), HANDBOOK, on=ON)}
    problem = asked(planned)
    assert problem.stuckable
    for way in problem.stuckable.values():
        day = way.timing.stuck_on
        assert way.week.weekday() == 0
        assert ON <= day < way.timing.due
        assert way.week <= day < way.week + timedelta(days=7)
        for plant in way.plants:
            assert any(
                one.wood == way.made.wood and one.opens_on <= day <= one.closes_on
                for one in windows[plant.plant]
            )


def test_a_protected_plant_has_no_way_and_is_told_why(planned: Garden) -> None:
    found = answered(planned)
    assert options(found.problem, "lavender-26") == ()
    told = {one.want.want: one for one in told_of_programme(found).wants}["lavender-26"]
    assert (told.planned, told.short_by) == (0, 10)
    assert "not to be multiplied" in told.stopped_by[0].why
    assert not any(line.want == "lavender-26" for line in found.programme.lines)


def test_a_licence_that_runs_out_opens_no_week_after_it(planned: Garden) -> None:
    last = date(2026, 7, 15)
    Taxon.rows.of(planned).filter(taxon=LAVENDER).update(rights="licensed", licence="L-1", licence_until=last)
    days = [
        way.timing.stuck_on for (want, _), way in asked(planned).stuckable.items() if want == "lavender-26"
    ]
    assert days
    assert max(days) <= last


def test_what_nobody_wrote_a_cost_of_is_told_and_counts_as_nought(planned: Garden) -> None:
    problem = asked(planned)
    assert {"pot-1l", "label", "hormone"} <= set(problem.not_costed)
    assert all(one.cost_each == 0 for one in options(problem, "roses-27"))
    for item, unit, cost in (("pot-1l", "each", "0.60"), ("labour", "hour", "10")):
        Cost.rows.create(garden=planned, item=item, unit=unit, cost=Decimal(cost))
    problem = asked(planned)
    assert not {"pot-1l", "labour"} & set(problem.not_costed)
    rose = next(one for one in options(problem, "roses-27") if one.method == "rose-autumn")
    # a pot for six, a minute to stick it and less than one to pot it
    assert 0.1 + 10 / 60 < rose.cost_each < 0.1 + 2 * 10 / 60
    notes = " ".join(map(str, told_of_programme(answered(planned)).notes))
    assert "No cost is written down for" in notes
    assert "label" in notes
    Cost.rows.create(garden=planned, item="label", unit="each", cost=Decimal("0.30"))
    labelled = next(one for one in options(asked(planned), "roses-27") if one.method == "rose-autumn")
    # two labels to a pot for six
    assert labelled.cost_each - rose.cost_each == pytest.approx(0.1)


def test_rooms_hours_and_shoots_are_never_more_than_there_are(planned: Garden) -> None:
    found = answered(planned).programme
    assert {load.kind for load in found.loads} == {"bench", "nursery", "hours", "shoots"}
    assert any(load.used > 0 for load in found.loads if load.kind == "bench")
    assert all(load.used <= load.room + 1e-6 for load in found.loads)


def test_a_want_short_of_wood_says_which_plant_stops_it(planned: Garden) -> None:
    Plant.rows.of(planned).filter(plant="rose-gate").update(shoots_per_season=4)
    told = told_of_programme(answered(planned))
    rose = next(one for one in told.wants if one.want.want == "roses-27")
    assert rose.short_by > 0
    assert rose.stopped_by[0].limit == "shoots"
    assert "rose-gate" in rose.stopped_by[0].why
    assert sum(n or 0 for line in told.lines for plant, n in line.shoots if plant == "rose-gate") <= 2


def test_shoots_already_cut_come_back_a_year_later(planned: Garden, grower: Member, now: datetime) -> None:
    Want.rows.of(planned).filter(want="roses-27").update(ready_by=date(2028, 3, 1))
    stick(planned, grower, now, plant="rose-gate", n_shoots=30, stuck_on=date(2025, 9, 1))
    problem = asked(planned)
    rooms = {row.row: row.room for row in problem.season.rows if row.kind == "shoots"}
    cut_before = "shoots rose-gate 2025-09-01"
    assert rooms[cut_before] == 10
    assert {room for row, room in rooms.items() if row != cut_before} == {40}
    days = set()
    for (want, name), way in problem.stuckable.items():
        if way.plant == "rose-gate":
            option = next(one for one in options(problem, want) if one.option == name)
            assert (cut_before in option.use_each) == (way.timing.stuck_on < date(2026, 9, 1))
            days.add(way.timing.stuck_on)
    assert min(days) < date(2026, 9, 1) < max(days)


def test_a_want_two_years_off_has_the_wood_of_two_years(planned: Garden) -> None:
    def stuck(due: date) -> float:
        Want.rows.of(planned).filter(want="roses-27").update(ready_by=due, n_wanted=400)
        found = answered(planned)
        events = [
            (way.timing.stuck_on, shoots.n or 0)
            for line, of_line in zip(
                found.programme.lines,
                shoots_of_lines(found.programme.lines, found.problem.stuckable, found.problem.wood),
                strict=True,
            )
            for way in [found.problem.stuckable[line.want, line.option]]
            for shoots in of_line
            if shoots.plant == "rose-gate"
        ]
        for start, _ in events:
            assert sum(n for day, n in events if 0 <= (day - start).days < 365) <= 40
        return sum(n for _, n in events)

    assert stuck(date(2026, 12, 1)) <= 40
    assert 40 < stuck(date(2027, 12, 1)) <= 80


def test_what_stands_is_taken_off_the_room_and_off_the_want(
    planned: Garden, grower: Member, now: datetime
) -> None:
    Container.rows.of(planned).update(width_mm=120)
    bare = answered(planned).programme
    batch = stick(
        planned, grower, now, taxon=SAGE, n_stuck=60, stuck_on=date(2025, 8, 1), wood="softwood",
        want="sage-26", container="pot-1l", n_per_container=6, place="mist-1",
    )  # fmt: skip
    services.record_look(
        garden=planned, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 18), n_rooted=45, n_lost=5
    )
    found = answered(planned)
    sage = next(one for one in told_of_programme(found).wants if one.want.want == "sage-26")
    assert sage.is_met
    assert sage.promised > 0.99
    assert any(line.want == "sage-26" for line in bare.lines)
    used = {load.row: load.used for load in found.programme.loads}
    assert used["bench mist 2025-10-20"] > 0


def test_a_batch_that_does_badly_leaves_more_to_be_stuck(
    planned: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(
        planned,
        grower,
        now,
        taxon=SAGE,
        n_stuck=24,
        stuck_on=date(2025, 9, 20),
        wood="softwood",
        want="sage-26",
    )
    waiting = _standing(asked(planned), "sage-26").mean()
    services.record_look(
        garden=planned, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 18), n_rooted=0, n_lost=20
    )
    after = _standing(asked(planned), "sage-26")
    assert after.max() <= 4
    assert after.mean() < waiting / 2
    (one,) = asked(planned).draws._standing["sage-26"]
    scenarios = Scenarios(before_records(), 1000, 1, is_prior=False)
    # what was seen says that the four that wait are of a bad batch
    unseen = counts_standing(scenarios, replace(one, weighed=None)).mean()
    assert counts_standing(scenarios, one).mean() < 0.8 * unseen


@pytest.mark.parametrize(
    ("ready_as", "fate", "counts"),
    [("potted", "given", True), ("finished", "sold", True), ("potted", "discarded", False)],
)
def test_plants_handed_on_count_for_their_want_until_its_day(
    planned: Garden, grower: Member, now: datetime, ready_as: str, fate: str, counts: bool
) -> None:
    batch = stick(
        planned, grower, now, taxon=SAGE, n_stuck=12, stuck_on=date(2025, 6, 1), wood="softwood",
        want="sage-26",
    ).batch  # fmt: skip
    who: dict[str, Any] = {"garden": planned, "by": grower, "now": now, "batch": batch}
    services.record_look(**who, on=date(2025, 8, 1), n_rooted=8, n_lost=4)
    services.record_potting(**who, on=date(2025, 8, 1), n_potted=8)
    services.record_outcome(**who, on=date(2025, 10, 1), ready_as=ready_as, n_reached=8, fate=fate)
    problem = asked(planned)
    assert [one.now.batch for one in problem.standing if one.want == "sage-26"] == [batch] * counts
    if counts:
        assert set(_standing(problem, "sage-26")) == {8}


def _standing(problem: Problem, want: str) -> Any:
    one = next(one for one in problem.season.wants if one.want == want)
    drawn = problem.draws(one, (), 400, 1)
    assert drawn.standing is not None
    return drawn.standing


def test_shares_drawn_are_those_of_the_clocks(planned: Garden) -> None:
    problem = asked(planned)
    want = next(one for one in problem.season.wants if one.want == "sage-26")
    drawn = problem.draws(want, (0,), 4000, 1).ready[0]
    way = problem.stuckable[want.want, want.options[0].option]
    clocks = before_records().clocks(
        replace(way.made.cuttings, bloom=_bloom(problem, want)), Kind("Salvia", SAGE, way.made.wood, "2025")
    )
    offset = np.array(problem.draws._batches[want.want, want.options[0].option].kind.offset)[:, None]
    clocks = replace(clocks, level=clocks.level + offset)
    exact = fates(clocks, [float(way.timing.last_to_count)])[0, 0]
    assert float(drawn.mean()) == pytest.approx(float(exact.mean()), abs=0.03)
    assert float(drawn.std()) == pytest.approx(float(exact.std()), abs=0.03)


def _bloom(problem: Problem, want: Asked) -> float | None:
    return problem.draws._batches[want.want, want.options[0].option].cuttings.bloom


def test_draws_are_the_same_whatever_else_is_asked(planned: Garden) -> None:
    one, other = asked(planned), asked(planned)
    want = next(one for one in one.season.wants if one.want == "roses-27")
    every = one.draws(want, tuple(range(len(want.options))), 300, 7)
    alone = other.draws(want, (len(want.options) - 1,), 300, 7)
    assert (every.ready[-1] == alone.ready[0]).all()
    assert 0 <= float(every.ready.min()) <= float(every.ready.max()) <= 1
    assert (one.draws(want, (0,), 300, 8).ready[0] != every.ready[0]).any()


def test_later_stages_and_earlier_days_are_never_likelier(planned: Garden) -> None:
    def mean(ready_as: str, due: date) -> Mapping[str, float]:
        Want.rows.of(planned).filter(want="roses-27").update(ready_as=ready_as, ready_by=due)
        problem = asked(planned)
        want = next(one for one in problem.season.wants if one.want == "roses-27")
        drawn = problem.draws(want, tuple(range(len(want.options))), 400, 1).ready.mean(axis=1)
        return {one.option: float(share) for one, share in zip(want.options, drawn, strict=True)}

    late, early = date(2027, 4, 1), date(2026, 12, 1)
    stages = [mean(stage, late) for stage in ("rooted", "potted", "weaned", "established", "finished")]
    for before, after in pairwise(stages):
        assert all(after[name] <= before[name] + 0.03 for name in set(before) & set(after))
    assert max(stages[-1].values()) < max(stages[0].values())
    sooner = mean("finished", early)
    assert all(sooner[name] <= stages[-1][name] + 1e-9 for name in set(sooner) & set(stages[-1]))


def test_hours_of_a_week_are_those_of_its_days_from_today_on(planned: Garden) -> None:
    given: Given = given_of(fresh(planned), HANDBOOK, on=ON + timedelta(days=2))
    assert hours_in(given, MONDAY) == pytest.approx(5.0)
    assert hours_in(given, MONDAY + timedelta(days=7)) == pytest.approx(7.0)
    assert hours_in(given, MONDAY - timedelta(days=7)) is None


def test_a_want_whose_day_is_past_and_one_without_a_page_say_so(planned: Garden) -> None:
    odd = Taxon.rows.create(garden=planned, taxon="Fatsia japonica", rights="none")
    for want, taxon, due in (("late", "Salvia rosmarinus", ON - timedelta(days=1)), ("odd", "Fatsia", None)):
        Want.rows.create(
            garden=planned,
            want=want,
            taxon=odd if want == "odd" else Taxon.rows.of(planned).get(taxon=taxon),
            n_wanted=5,
            ready_by=due or date(2026, 9, 1),
            ready_as="rooted",
            assurance=Decimal("0.8"),
        )
    told = {one.want.want: one for one in told_of_programme(answered(planned)).wants}
    assert "its day is past" in told["late"].stopped_by[0].why
    assert told["late"].short_by == 5
    assert "no page" in told["odd"].stopped_by[0].why


def test_how_far_it_has_come_is_told(planned: Garden) -> None:
    told: list[tuple[int, int, str]] = []
    answered(planned, progress=lambda done, total, label: told.append((done, total, label)))
    assert {label for *_, label in told} >= {
        "finding the ways to meet each want",
        "listing the plans of each want",
    }
    assert all(0 <= done <= total for done, total, _ in told)


def test_side_by_side_takes_two_programmes_of_a_garden(planned: Garden) -> None:
    before = answered(planned).programme
    Plant.rows.of(planned).filter(plant="rose-gate").update(shoots_per_season=4)
    beside = side_by_side(before, answered(planned).programme)
    assert "roses-27" in [want for want, *_ in beside.wants]
