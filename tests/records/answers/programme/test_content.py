"""All that is told of a programme: its numbers are the planner's own, and its sentences hold."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.craft.cane import BUNDLE
from slipwright.craft.container import dip_ml
from slipwright.craft.medium import medium_litres
from slipwright.records.answers.programme.change import changed
from slipwright.records.answers.programme.content import content_of
from slipwright.records.answers.programme.lines import line_facts
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.promised import counts_by, days_until
from slipwright.records.answers.programme.use import likely_ready
from slipwright.records.answers.programme.weeks import run_in_words, runs_of
from slipwright.records.answers.sayings import said_again
from slipwright.records.models import Garden, Member, Place, Plant, Want
from slipwright.season.asked import Option
from tests.records.answers.season_garden import N_FRESH, ON, ROSE, SAGE, furnish, programme
from tests.records.making import stick

sqlite_only = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def furnished(garden: Garden) -> Garden:
    """A garden with wants, trays, two crews and counted shoots."""
    return furnish(garden)


@pytest.fixture
def standing(furnished: Garden, grower: Member, now: datetime) -> Garden:
    """The garden with a batch that stands for a want."""
    stick(
        furnished, grower, now, taxon=SAGE, n_stuck=30, stuck_on=date(2025, 9, 20), wood="softwood",
        want="sage-26", container="pot-1l", n_per_container=6, place="mist-1",
    )  # fmt: skip
    return furnished


def told(found: GardenProgramme, *before: Any, **more: Any) -> dict[str, Any]:
    """Return what is told, as it is kept and read again."""
    kept: dict[str, Any] = json.loads(json.dumps(content_of(found, *before, n_fresh=N_FRESH, **more)))
    return kept


def option_of(found: GardenProgramme, line: Any) -> Option:
    want = next(one for one in found.problem.season.wants if one.want == line.want)
    return next(one for one in want.options if one.option == line.option)


def want_of(content: Mapping[str, Any], named: str) -> Any:
    return next(one for one in content["wants"] if one["want"] == named)


def sentences(thing: Any) -> Iterator[str]:
    if isinstance(thing, dict) and "said" in thing:
        yield said_again(thing)
    elif isinstance(thing, dict):
        for part in thing.values():
            yield from sentences(part)
    elif isinstance(thing, list):
        for part in thing:
            yield from sentences(part)


# --- numbers ------------------------------------------------------------------------------------------


@sqlite_only
def test_lines_and_what_stands_add_up_to_each_load(standing: Garden) -> None:
    found = programme(standing)
    content = told(found)
    used = dict.fromkeys((row.row for row in found.problem.season.rows), 0.0)
    for batch in found.problem.season.standing:
        for row, amount in batch.use.items():
            used[row] += amount
    for line in found.programme.lines:
        option = option_of(found, line)
        for row, amount in option.use_each.items():
            used[row] += line.n_to_stick * amount
        for row, amount in option.use_once.items():
            used[row] += amount
    assert any(used.values())
    loads = {load.row: load for load in found.programme.loads}
    assert {row: pytest.approx(load.used, abs=1e-9) for row, load in loads.items()} == used
    shown = {
        (room["kind"], room["place"], week["week"]): (week["used"], week["room"])
        for room in content["room"]
        for week in room["weeks"]
    }
    for load in loads.values():
        if load.week is not None:
            place = load.row.split(" ")[1] if load.kind == "bench" else ""
            known = shown.pop((load.kind, place, load.week.isoformat()))
            assert known == (pytest.approx(load.used, abs=1e-4), pytest.approx(load.room, abs=1e-4))
    assert not shown
    assert content["cost"] == pytest.approx(sum(line["cost"] for line in content["lines"]), abs=0.05)


@sqlite_only
def test_hours_of_a_week_are_those_of_its_row_and_told_where_there_is_none(standing: Garden) -> None:
    found = programme(standing)
    content = told(found)
    rows = {
        load.week.isoformat(): load for load in found.programme.loads if load.kind == "hours" and load.week
    }
    weeks = {week["week"]: week for week in content["weeks"]}
    for monday, load in rows.items():
        if load.used > 0.01:
            assert weeks[monday]["hours"] == pytest.approx(load.used, abs=1e-3)
            assert weeks[monday]["hours_room"] == pytest.approx(load.room, abs=1e-3)
    unsaid = [week for week in content["weeks"] if week["week"] not in rows]
    assert unsaid
    assert all(week["hours_room"] is None for week in unsaid)
    assert sum(week["hours"] for week in unsaid) > 0


@sqlite_only
def test_a_week_is_the_sum_of_its_lines(furnished: Garden) -> None:
    content = told(programme(furnished))
    assert content["lines"]
    assert [line["n"] for line in content["lines"]] == list(range(len(content["lines"])))
    seen: list[int] = []
    for week in content["weeks"]:
        mine = [content["lines"][n] for n in week["lines"]]
        seen += week["lines"]
        assert {line["week"] for line in mine} <= {week["week"]}
        for name in ("n_to_stick", "n_containers", "litres", "labels", "cost"):
            assert week[name] == pytest.approx(sum(line[name] for line in mine), abs=1e-3)
        assert week["dip_ml"] == pytest.approx(sum(line["dip_ml"] or 0 for line in mine), abs=1e-3)
        assert week["hours"] >= week["hours_sticking"] - 1e-6
    assert sorted(seen) == list(range(len(content["lines"])))


@sqlite_only
def test_trays_liners_and_pots_are_filled_wetted_and_dipped_as_on_the_stick_sheet(furnished: Garden) -> None:
    found = programme(furnished)
    lines = told(found)["lines"]
    trays = [line for line in lines if line["container"] == "tray-24"]
    assert trays
    for line in trays:
        assert (line["cells"], line["n_per_container"], line["n_to_stick"] % 24) == (24, 1, 0)
        assert line["n_containers"] == line["n_to_stick"] // 24
        assert line["labels"] == 2 * line["n_containers"]
        need = medium_litres(24 * line["n_containers"], 60, {"perlite": 1, "vermiculite": 1})
        assert line["litres"] == pytest.approx(need.blend_l, abs=1e-3)
        assert {part["name"]: part["litres"] for part in line["parts"]} == pytest.approx(
            need.parts_l, abs=1e-3
        )
        assert line["dip_ml"] == pytest.approx(dip_ml(line["n_to_stick"]).mid_ml, abs=1e-3)
        assert (line["auxin"], line["auxin_form"], line["auxin_mg_per_l"]) == ("k-iba", "quick-dip", 1000)
        # half a minute each, and the set-up nobody wrote down
        assert line["hours"] == pytest.approx(line["n_to_stick"] * 0.5 / 60 + 0.25, abs=1e-3)
        # trays, parts of the medium and hours, as they were written down
        materials = (
            1.2 * line["n_containers"] + 0.15 * need.parts_l["perlite"] + 0.2 * need.parts_l["vermiculite"]
        )
        assert line["cost"] == pytest.approx(materials + 12 * line["hours_in_all"], abs=0.02)
    pots = [line for line in lines if line["container"] == "pot-1l"]
    assert pots
    for line in pots:
        assert line["cells"] is None
        assert line["litres"] == pytest.approx(
            medium_litres(line["n_containers"], 1000, {"a": 1}).blend_l, abs=1e-3
        )
        assert (line["auxin_form"], line["dip_ml"]) == ("talc", None)
        assert line["powder_g"][0] < line["powder_g"][1]


@sqlite_only
def test_whole_shoots_are_within_the_wood_on_every_day(
    furnished: Garden, grower: Member, now: datetime
) -> None:
    stick(furnished, grower, now, plant="rose-gate", n_shoots=30, stuck_on=date(2025, 9, 1))
    found = programme(furnished)
    content = told(found)
    cut = [(line["stick_on"], shoots) for line in content["lines"] for shoots in line["shoots"]]
    assert any(shoots["n_shoots"] for _, shoots in cut)
    for plant, n_may_go, was_cut in (("rose-gate", 40, [(date(2025, 9, 1), 30)]), ("rose-shed", 10, [])):
        events = was_cut + [
            (date.fromisoformat(day), one["n_shoots"]) for day, one in cut if one["plant"] == plant
        ]
        for start, _ in events:
            assert sum(n for day, n in events if 0 <= (day - start).days < 365) <= n_may_go
    for _, shoots in cut:
        if shoots["n_shoots"] is not None:
            assert shoots["n_bundles"] * BUNDLE + shoots["n_over"] == shoots["n_shoots"]
            assert 0 <= shoots["n_over"] < BUNDLE
    assert {shoots["place"] for _, shoots in cut if shoots["plant"] == "rose-gate"} <= {"frame-1"}


@sqlite_only
def test_large_batches_take_longer_to_look_at(furnished: Garden, grower: Member, now: datetime) -> None:
    def looks(n: int) -> float:
        batch = stick(
            furnished, grower, now, taxon=SAGE, n_stuck=n, stuck_on=ON, wood="softwood",
            container="tray-24", n_per_container=1,
        )  # fmt: skip
        found = programme(furnished)
        use = next(one.use for one in found.problem.season.standing if one.batch == batch.batch)
        return use["hours 2025-10-27"]

    few, many = looks(24), looks(5000)
    assert 3 / 60 <= few < 4 / 60
    assert 1.0 < many < 1.6


@sqlite_only
def test_telling_a_programme_asks_the_database_at_most_twice(standing: Garden) -> None:
    found = programme(standing)
    with CaptureQueriesContext(connection) as asked:
        content_of(found)
    assert len(asked) <= 2


# --- promises -----------------------------------------------------------------------------------------


@sqlite_only
def test_what_is_ready_goes_with_what_is_promised_and_the_curve_ends_there(standing: Garden) -> None:
    found = programme(standing)
    content = told(found)
    plans = {plan.want: plan for plan in found.programme.wants}
    with_lines = [one for one in content["wants"] if one["lines"]]
    assert with_lines
    for want in with_lines:
        ready, curve = want["ready"], want["curve"]
        assert ready["p10"] <= ready["p50"] <= ready["p90"]
        assert want["promised"] == pytest.approx(plans[want["want"]].promised, abs=1e-4)
        assert (ready["p10"] >= want["n_wanted"]) == (want["promised"] >= 0.9)
        assert (ready["p90"] >= want["n_wanted"]) == (want["promised"] >= 0.1)
        assert (ready["planned"], ready["short_by"]) == (
            plans[want["want"]].planned,
            want["n_wanted"] - plans[want["want"]].planned,
        )
        assert curve[0]["on"] == ON.isoformat()
        assert curve[-1] == {"on": want["ready_by"], **{name: ready[name] for name in ("p10", "p50", "p90")}}
        for before, after in pairwise(curve):
            assert before["on"] < after["on"]
            assert all(before[name] <= after[name] for name in ("p10", "p50", "p90"))
        facts = [one for one in line_facts(found) if one.want.want == want["want"]]
        counts = counts_by(found, want["want"], facts, [date.fromisoformat(want["ready_by"])], 4000)[0]
        assert float((counts >= want["n_wanted"]).mean()) == pytest.approx(want["promised"], abs=0.05)
    sage = want_of(content, "sage-26")
    assert sage["standing"]["n_batches"] == 1
    assert sage["standing"]["p90"] <= 30
    assert want_of(content, "roses-27")["standing"] is None


@sqlite_only
def test_counts_by_later_days_are_never_fewer(standing: Garden) -> None:
    found = programme(standing)
    facts = [one for one in line_facts(found) if one.want.want == "roses-27"]
    assert facts
    days = days_until(ON, facts[0].want.ready_by)
    counts = np.array(counts_by(found, "roses-27", facts, days, 500))
    assert (np.diff(counts, axis=0) >= 0).all()
    assert counts[0].max() == 0


def test_days_of_a_curve_run_from_the_day_to_the_day_due() -> None:
    for weeks in (0, 1, 5, 40, 200):
        due = ON + timedelta(weeks=weeks)
        days = days_until(ON, due)
        assert (days[0], days[-1]) == (ON, due)
        assert 2 <= len(days) <= 9


@sqlite_only
def test_states_say_how_far_a_want_is_promised(standing: Garden) -> None:
    Want.rows.of(standing).filter(want="sage-26").update(n_wanted=4)
    Plant.rows.of(standing).filter(plant__startswith="rose").update(shoots_per_season=4)
    taxon = Want.rows.of(standing).get(want="sage-26").taxon
    Want.rows.create(
        garden=standing,
        want="late",
        taxon=taxon,
        n_wanted=5,
        ready_by=ON - timedelta(days=1),
        ready_as="rooted",
        assurance=Decimal("0.8"),
    )
    content = told(programme(standing))
    states = {want["want"]: want["state"] for want in content["wants"]}
    assert states == {"sage-26": "met", "roses-27": "short", "lavender-26": "short", "late": "past"}
    assert want_of(content, "late")["curve"] == []
    assert "rose-" in said_again(want_of(content, "roses-27")["stopped_by"][0]["why"])
    content = told(programme(furnish_more(standing)))
    assert want_of(content, "roses-27")["state"] == "likely"


def furnish_more(garden: Garden) -> Garden:
    """Give the roses all the wood there could be."""
    Plant.rows.of(garden).filter(plant__startswith="rose").update(shoots_per_season=400)
    return garden


# --- words --------------------------------------------------------------------------------------------


@sqlite_only
def test_every_sentence_is_kept_with_its_template_and_whole(standing: Garden) -> None:
    content = told(programme(standing))
    every = list(sentences(content))
    assert len(every) > len(content["lines"])
    assert not [text for text in every if "{" in text or "}" in text or "None" in text]
    assert "handbook" in said_again(content["rests_on"]["text"])
    assert all(isinstance(line["why"], dict) for line in content["lines"])


@sqlite_only
def test_why_a_batch_is_there_is_true_of_it(furnished: Garden) -> None:
    found = programme(furnished)
    content = told(found)
    said_best = 0
    for one, line in zip(line_facts(found), content["lines"], strict=True):
        why = said_again(line["why"])
        assert line["window"]["opens_on"] <= line["stick_on"] <= line["window"]["closes_on"]
        assert line["wood"] in why
        grows = found.problem.given.growth.of(one.want.taxon, found.problem.given.pages[one.want.taxon])
        shares = {
            way.name: likely_ready(found.problem.maker.course_of(one.want, way), way.timing, grows)
            for way in found.problem.ways[one.want.want].ways
            if (way.made.wood, way.made.method, way.plant) == (line["wood"], line["method"], line["plant"])
        }
        if "no other week tried" in why.lower():
            said_best += 1
            assert shares[one.line.option] >= 0.97 * max(shares.values())
    assert said_best


def test_weeks_one_after_the_other_are_one_run() -> None:
    first = date(2026, 9, 14)
    weeks = [first + timedelta(weeks=n) for n in (0, 1, 2, 3, 7, 8)]
    assert runs_of(reversed(weeks)) == [(weeks[0], weeks[3]), (weeks[4], weeks[5])]
    assert run_in_words(weeks[0], weeks[3]) == "14 Sep to 11 Oct 2026"
    assert runs_of([]) == []
    assert run_in_words(date(2026, 12, 28), date(2027, 1, 4)) == "28 Dec 2026 to 10 Jan 2027"


@sqlite_only
def test_what_binds_is_told_as_a_run_of_weeks_with_what_more_of_it_brings(furnished: Garden) -> None:
    Place.rows.of(furnished).filter(place="mist-1").update(room_m2=Decimal("0.11"))
    found = programme(furnished)
    content = told(found)
    (mist,) = [one for one in content["binds"] if (one["kind"], one["place"]) == ("bench", "mist")]
    loosened = next(one for one in found.programme.loosened if one.row.startswith("bench mist"))
    assert mist["gain"] == pytest.approx(loosened.gain, abs=0.01)
    assert mist["gain"] > 0
    weeks = [week for row in found.problem.season.rows if row.row in loosened.rows and (week := row.week)]
    assert (mist["week_first"], mist["week_last"]) == (min(weeks).isoformat(), max(weeks).isoformat())
    text = said_again(mist["text"])
    assert text.startswith(
        f"Room under mist, {run_in_words(min(weeks), max(weeks))}: 0.01 m² (0.1 ft²) more would "
    )
    assert f"{abs(loosened.saves):.2f}" in text
    (shoots,) = [one for one in content["binds"] if one["kind"] == "shoots"]
    assert said_again(shoots["text"]).startswith("Shoots of rose-shed: 5 more shoots would bring ")
    assert f"{shoots['more_plants']:.0f} more plants" in said_again(shoots["text"])
    offer = next(one for one in content["changes"] if one["key"] == "room:mist")
    assert offer["change"] == {"kind": "room", "place": "mist", "more_m2": 0.11}


# --- changes ------------------------------------------------------------------------------------------


@sqlite_only
def test_at_most_six_changes_are_offered_and_each_can_be_tried(furnished: Garden) -> None:
    Plant.rows.of(furnished).filter(plant__startswith="rose").update(shoots_per_season=20)
    found = programme(furnished)
    offers = told(found)["changes"]
    assert 0 < len(offers) <= 6
    assert len({offer["key"] for offer in offers}) == len(offers)
    assert {offer["change"]["kind"] for offer in offers} >= {"want_n", "shoots"}
    for offer in offers:
        assert changed(found.problem.given, offer["change"]) != found.problem.given
        assert said_again(offer["label"])
        assert said_again(offer["why"])


@sqlite_only
def test_fewer_wanted_as_offered_is_planned_whole(furnished: Garden) -> None:
    Plant.rows.of(furnished).filter(plant__startswith="rose").update(shoots_per_season=20)
    first = programme(furnished)
    content = told(first)
    change = next(one["change"] for one in content["changes"] if one["key"] == "want_n:roses-27")
    second = programme(furnished, change=change)
    after = told(second, content, first.programme, change=change)
    roses = want_of(after, "roses-27")
    assert (roses["n_wanted"], roses["ready"]["short_by"]) == (change["n"], 0)
    assert after["change"] == change
    beside = after["beside"]
    assert beside["cost"] == [pytest.approx(content["cost"]), pytest.approx(after["cost"])]
    assert beside["n_to_stick"] == [
        sum(line["n_to_stick"] for line in one["lines"]) for one in (content, after)
    ]
    assert beside["n_batches"] == [len(content["lines"]), len(after["lines"])]
    (differs,) = [one for one in beside["wants"] if one["want"] == "roses-27"]
    assert differs["promised"] == [want_of(content, "roses-27")["promised"], roses["promised"]]
    assert differs["taxon"] == ROSE


@sqlite_only
def test_a_programme_beside_itself_has_no_difference(furnished: Garden) -> None:
    first = programme(furnished)
    assert told(first)["beside"] is None
    again = told(programme(furnished), told(first), first.programme)
    assert again["diff"] == []
    assert again["beside"]["wants"] == []
    assert all(line["is_changed"] == "" for line in again["lines"])


@sqlite_only
def test_what_changed_is_told_with_its_reason_and_marked_on_the_line(
    furnished: Garden, grower: Member, now: datetime
) -> None:
    first = programme(furnished)
    before = told(first)
    Want.rows.of(furnished).filter(want="sage-26").update(n_wanted=120)
    Want.rows.of(furnished).filter(want="roses-27").delete()
    after = told(programme(furnished), before, first.programme)
    kinds = {(one["want"], one["kind"]) for one in after["diff"]}
    assert ("roses-27", "dropped") in kinds
    gone = next(one for one in after["diff"] if one["want"] == "roses-27")
    assert (gone["taxon"], gone["now"]) == (ROSE, None)
    assert "gone" in said_again(gone["why"])
    sage = [one for one in after["diff"] if one["want"] == "sage-26"]
    assert {said_again(one["why"]) for one in sage} == {"Another number, day or assurance is wished."}
    for one in sage:
        if one["now"]:
            line = after["lines"][one["now"]["n"]]
            assert line["id"] == one["now"]["id"]
            assert line["is_changed"] == {"added": "new", "moved": "moved", "resized": "resized"}[one["kind"]]


@sqlite_only
def test_a_batch_stuck_before_is_not_taken_for_stuck_since(standing: Garden) -> None:
    first = programme(standing)
    before = told(first)
    assert before["standing"]
    Want.rows.of(standing).filter(want="sage-26").update(n_wanted=100)
    after = told(programme(standing), before, first.programme)
    assert "stuck" not in {one["kind"] for one in after["diff"]}
