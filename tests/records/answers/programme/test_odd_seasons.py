"""Seasons with something missing or odd: the programme is made all the same, and its figures add up."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records.answers.programme.content import content_of
from slipwright.records.answers.sayings import said_again
from slipwright.records.models import Cost, Garden, Hours, Place, Taxon, Want
from tests.records.answers.season_garden import N_FRESH, ON, ROSE, furnish, programme

sqlite_only = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def nothing(_garden: Garden) -> None:
    """Leave the garden as it is."""


def no_limits(garden: Garden) -> None:
    """Let nobody have written down room, hours or costs."""
    Place.rows.of(garden).update(room_m2=None)
    Hours.rows.of(garden).delete()
    Cost.rows.of(garden).delete()


def no_places(garden: Garden) -> None:
    """Let nobody have written down where anything stands."""
    no_limits(garden)
    Place.rows.of(garden).update(cover="", kind="nursery")


def no_wants(garden: Garden) -> None:
    """Let nothing be wanted."""
    Want.rows.of(garden).delete()


def one_want(garden: Garden) -> None:
    """Let one thing be wanted."""
    Want.rows.of(garden).exclude(want="sage-26").delete()


def all_past(garden: Garden) -> None:
    """Let the day of every want be past."""
    Want.rows.of(garden).update(ready_by=ON - timedelta(days=3))


def wanted_today(garden: Garden) -> None:
    """Let everything be wanted today."""
    Want.rows.of(garden).update(ready_by=ON)


def southern(garden: Garden) -> None:
    """Put the garden south of the equator."""
    Garden.objects.filter(pk=garden.pk).update(latitude_deg=Decimal("-41.2"), time_zone="Australia/Hobart")


def tiny_room(garden: Garden) -> None:
    """Leave next to no room, and measure in feet."""
    Place.rows.of(garden).update(room_m2=Decimal("0.1"))
    Hours.rows.of(garden).delete()
    Garden.objects.filter(pk=garden.pk).update(units="us", currency="USD")


def protected(garden: Garden) -> None:
    """Let the rose be protected, with no licence."""
    Taxon.rows.of(garden).filter(taxon=ROSE).update(rights="protected", rights_until=None, licence="")


@sqlite_only
@pytest.mark.parametrize(
    "made",
    [
        nothing, no_limits, no_places, no_wants, one_want, all_past, wanted_today, southern, tiny_room,
        protected,
    ],
)  # fmt: skip
def test_its_figures_add_up(garden: Garden, made: Callable[[Garden], None]) -> None:
    furnish(garden)
    made(garden)
    found = programme(garden)
    told: dict[str, Any] = json.loads(json.dumps(content_of(found, n_fresh=N_FRESH)))
    lines = {line["n"]: line for line in told["lines"]}
    assert list(lines) == list(range(len(lines)))
    assert sorted(n for want in told["wants"] for n in want["lines"]) == sorted(lines)
    assert sorted(n for week in told["weeks"] for n in week["lines"]) == sorted(lines)
    assert told["cost"] == pytest.approx(sum(line["cost"] for line in lines.values()), abs=0.02)
    for week in told["weeks"]:
        mine = [lines[n] for n in week["lines"]]
        assert all(line["week"] == week["week"] for line in mine)
        for name in ("n_to_stick", "n_containers", "labels", "cost", "litres"):
            assert week[name] == pytest.approx(sum(line[name] or 0 for line in mine), abs=1e-3)
        if week["hours_room"] is not None:
            assert week["hours"] <= week["hours_room"] + 0.01
    for one in told["room"]:
        for week in one["weeks"]:
            assert week["used"] <= week["room"] + 1e-3
    taken: dict[str, int] = {}
    for line in lines.values():
        assert date.fromisoformat(line["week"]) <= date.fromisoformat(line["stick_on"])
        assert line["n_to_stick"] <= line["n_containers"] * (line["cells"] or line["n_per_container"])
        window = line["window"]
        if window:
            assert window["opens_on"] <= line["stick_on"] <= window["closes_on"]
        for one in line["shoots"]:
            if one["n_shoots"] is not None:
                taken[one["plant"]] = taken.get(one["plant"], 0) + one["n_shoots"]
                assert one["n_bundles"] * 25 + one["n_over"] == one["n_shoots"]
    for want in told["wants"]:
        assert want["ready"]["p10"] <= want["ready"]["p50"] <= want["ready"]["p90"]
        assert want["ready"]["planned"] + want["ready"]["short_by"] >= want["n_wanted"]
        assert want["state"] == "past" or want["promised"] == pytest.approx(want["promised"])
        if want["state"] in ("near", "short"):
            assert want["stopped_by"], want["want"]
    if made is protected:
        assert not any(line["taxon"] == ROSE for line in lines.values())
        rose = next(want for want in told["wants"] if want["taxon"] == ROSE)
        assert rose["state"] == "short"
        assert [stop["limit"] for stop in rose["stopped_by"]] == ["rights"]
        # no later day, smaller number or lower wish makes it lawful
        assert not [one for one in told["changes"] if one["change"].get("want") == rose["want"]]
    for one in told["changes"]:
        said = str(said_again(one["label"]))
        before, _, after = said.partition(" instead of ")
        assert not after or not before.endswith(after), said
        if one["change"]["kind"] == "want_by":
            # both days are of this year, or both are told with theirs
            n_years = len(re.findall(r" \d{4}\b", said.partition(": ")[2]))
            is_this_year = one["change"]["on"][:4] == told["on"][:4]
            assert n_years == 2 or (n_years == 0 and is_this_year), said
    if made is tiny_room:
        said = " ".join(str(said_again(one["text"])) for one in told["binds"])
        assert "ft² (" in said
