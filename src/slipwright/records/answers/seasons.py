"""The season of each stock plant, worked out beforehand and kept until something changes.

``refresh`` is the helper process's; ``seasons_of`` is asked by lists, ``own_season`` by the page of one
plant. What is kept rests on what was seen of the plant and how it grows, on the weather and on the day.
Where the plant is another now it is not used; where only weather or day are, lists use that of yesterday
and say so until the helper is done.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from slipwright import __version__
from slipwright.advice.plant_season import PlantSeason, season_of_plant
from slipwright.advice.timing import Flowers, is_south
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page
from slipwright.records import selectors
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.plants_seen import Reading
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.season_told import SeasonTold, season_later, season_told
from slipwright.records.models import Garden
from slipwright.records.models import PlantSeason as KeptSeason
from slipwright.records.selectors import SeasonKept, SeasonsKept
from slipwright.records.tables.progress import Progress, quiet

#: raise it where what is kept takes another form or is worked out in another way
FORM = 1
#: plants worked out and kept in one transaction
AT_ONCE = 25
#: plants worked out while a list is asked for; the rest wait for the helper
WITH_A_PAGE = 6
#: so long what was worked out may be told when the weather or the day is another
_TOLD_LATER = timedelta(days=1)
#: plants whose season a process remembers beside what is kept
_MOST_REMEMBERED = 4_000


@dataclass(frozen=True, slots=True)
class AskedPlant:
    """A stock plant whose season is asked for: its page and how it flowers."""

    plant: str
    page: Page
    flowers: Flowers | None = None


@dataclass(frozen=True, slots=True)
class Seasons:
    """The seasons of a garden's stock plants on a day, those that are known."""

    on: date
    south: bool
    found: Mapping[str, PlantSeason] = field(default_factory=dict)
    #: plants whose season is still being worked out
    n_working: int = 0
    #: those told by the weather or the day before, by plant: the day they were worked out on
    told_on: Mapping[str, date] = field(default_factory=dict)

    def of(self, plant: str) -> PlantSeason | None:
        """Return the season of a plant, None while it is being worked out."""
        return self.found.get(plant)


#: by garden and plant, what was worked out with a page: its marks and day, and the season
_WORKED: dict[tuple[UUID, str], tuple[tuple[str, date], PlantSeason]] = {}
#: gardens at the last pass that was done to its end
_DONE: Remembered[bool] = Remembered()


def seasons_of(
    garden: Garden,
    handbook: Handbook,
    asked: Iterable[AskedPlant],
    *,
    on: date,
    at_most: int | None = WITH_A_PAGE,
    fresh: bool = False,
    kept: SeasonsKept | None = None,
    progress: Progress = quiet,
) -> Seasons:
    """Return the seasons of stock plants on a day. One query; two more where some are worked out.

    None but these with ``kept``, what ``selectors.seasons_kept`` says for the day.

    ``at_most`` are worked out here and now, all for None; ``fresh`` takes none of an earlier day.
    """
    kept = kept or selectors.seasons_kept(garden, on=on)
    south = is_south(float(garden.latitude_deg))
    found: dict[str, PlantSeason] = {}
    due: list[AskedPlant] = []
    told_on: dict[str, date] = {}
    for one in asked:
        mark, there = _mark(one, kept, south), kept.of(one.plant)
        if (season := _as_known(garden, one.plant, there, mark, on)) is not None:
            found[one.plant] = season
        elif not fresh and there.on is not None and _holds_later(there, mark, on):
            found[one.plant] = season_later(season_told(there.told).season, on)
            told_on[one.plant] = there.on
        else:
            due.append(one)
    now_due = due if at_most is None else due[:at_most]
    if now_due:
        reading = Reading(garden, handbook, kept, on, [one.plant for one in now_due])
        for n, one in enumerate(now_due):
            progress(n, len(now_due), "the season of each plant")
            found[one.plant] = _work_out(one, reading)
            _remember(garden, one.plant, (_mark(one, kept, south), on), found[one.plant])
    return Seasons(on, south, found, len(due) - len(now_due), told_on)


def all_seasons(
    garden: Garden, handbook: Handbook, asked: Sequence[AskedPlant], *, on: date, progress: Progress = quiet
) -> tuple[Seasons, Reading]:
    """Return the season of every plant asked for, worked out anew, and what was seen of all plants."""
    reading = Reading(garden, handbook, selectors.seasons_kept(garden, on=on), on)
    found = {}
    for n, one in enumerate(asked):
        progress(n, len(asked), "the season of each plant")
        found[one.plant] = _work_out(one, reading)
    return Seasons(on, reading.south, found), reading


def own_season(
    garden: Garden, handbook: Handbook, asked: AskedPlant, *, on: date
) -> tuple[PlantSeason, Reading]:
    """Return the season of one plant today, and what was seen of it; nothing of others is read."""
    kept, south = (
        selectors.seasons_kept(garden, on=on, plant=asked.plant),
        is_south(float(garden.latitude_deg)),
    )
    reading = Reading(garden, handbook, kept, on, [asked.plant])
    mark = _mark(asked, kept, south)
    season = _as_known(garden, asked.plant, kept.of(asked.plant), mark, on)
    if season is None:
        season = _work_out(asked, reading)
        _remember(garden, asked.plant, (mark, on), season)
    return season, reading


def refresh(
    garden: Garden, handbook: Handbook, *, on: date, now: datetime, progress: Progress = quiet
) -> int:
    """Work out and keep the season of every stock plant that is not yet told; return how many were.

    A garden in which nothing was written since costs one query.
    """
    rests_on = as_of(*Garden.objects.values_list("last_number", "last_edit").get(pk=garden.pk), on)
    if _DONE.get(garden.garden, rests_on):
        return 0
    kept, south = selectors.seasons_kept(garden, on=on), is_south(float(garden.latitude_deg))
    keys: dict[str, int] = {}
    due: list[AskedPlant] = []
    for plant in kept.plants:
        asked = asked_plant(plant.plant, page_of_stock(handbook, plant.taxon), plant.taxon.flowers)
        if asked and not _holds(kept.of(asked.plant), _mark(asked, kept, south), on):
            due.append(asked)
            keys[asked.plant] = plant.pk
    reading = Reading(garden, handbook, kept, on)
    for start in range(0, len(due), AT_ONCE):
        progress(start, len(due), "the season of each plant")
        made = [
            KeptSeason(
                plant_id=keys[one.plant],
                garden=garden,
                on=on,
                rests_on=_mark(one, kept, south),
                told=SeasonTold(_work_out(one, reading), reading.slope).as_kept(),
                made_at=now,
            )
            for one in due[start : start + AT_ONCE]
        ]
        with transaction.atomic():
            selectors.keep_seasons(made)
    _DONE.keep(garden.garden, rests_on, True)
    return len(due)


def asked_plant(plant: str, page: Page | None, flowers: str) -> AskedPlant | None:
    """Return what to ask of a plant, None where the handbook has no page for it."""
    return AskedPlant(plant, page, flowers or None) if page else None  # type: ignore[arg-type]


def _work_out(asked: AskedPlant, reading: Reading) -> PlantSeason:
    seen = reading.seen(asked.plant)
    return season_of_plant(asked.page, reading.on, south=reading.south, flowers=asked.flowers, seen=seen)


# --- what it rests on ---------------------------------------------------------------------------------


def _as_known(garden: Garden, plant: str, there: SeasonKept, mark: str, on: date) -> PlantSeason | None:
    """Return the season of a plant if it was worked out for the day and rests on what holds now."""
    if _holds(there, mark, on):
        return season_told(there.told).season
    known = _WORKED.get((garden.garden, plant))
    return known[1] if known is not None and known[0] == (mark, on) else None


def _remember(garden: Garden, plant: str, marks: tuple[str, date], season: PlantSeason) -> None:
    while len(_WORKED) >= _MOST_REMEMBERED:
        _WORKED.pop(next(iter(_WORKED)), None)
    _WORKED[garden.garden, plant] = (marks, season)


def _holds(kept: SeasonKept, mark: str, on: date) -> bool:
    return (kept.on, kept.rests_on) == (on, mark)


def _holds_later(kept: SeasonKept, mark: str, on: date) -> bool:
    """Return whether the plant is as it was, on this day or the one before; the weather may be another."""
    is_near = kept.on is not None and timedelta(0) <= on - kept.on <= _TOLD_LATER
    return is_near and kept.rests_on.split(" ")[0] == mark.split(" ")[0]


def _mark(asked: AskedPlant, kept: SeasonsKept, south: bool) -> str:
    """Return a mark of the plant, and after a blank one of the weather."""
    bloom = asked.page.bloom
    gaps = (bloom.gap_before_days.value, bloom.gap_after_days.value, bloom.reason.text)
    seen = kept.of(asked.plant).seen
    own = _digest(FORM, __version__, south, asked.page.key, asked.flowers, *gaps, seen)
    return f"{own} {_digest(kept.weather)}"


def _digest(*parts: object) -> str:
    return hashlib.sha256("|".join(map(str, parts)).encode()).hexdigest()[:24]
