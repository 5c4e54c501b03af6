"""What was seen of all stock plants, year upon year, as far as it bears on when their wood is right."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import (
    BigIntegerField,
    CharField,
    Count,
    F,
    FloatField,
    IntegerField,
    OuterRef,
    Subquery,
    Sum,
    TextField,
    Value,
)
from django.db.models.functions import Cast, Concat

from slipwright.records.models import Act, Firmness, Garden, Plant, PlantSeason, Stage, WeatherDay

#: what was done to a plant that moves its bloom or its wood
BEARS_ON_SEASON = ("cut-back", "deadhead")

#: a day and how firm tip, middle and base of a shoot felt, None where nobody felt it
Felt = tuple[date, int | None, int | None, int | None]


@dataclass(frozen=True, slots=True)
class YearsOfPlant:
    """All that was seen of a stock plant and done to it that bears on its seasons, by day."""

    taxon: str
    stages: tuple[tuple[date, int], ...] = ()
    firmness: tuple[Felt, ...] = ()
    cut_back: tuple[date, ...] = ()
    deadheaded: tuple[date, ...] = ()
    #: as the garden wrote it down, empty where it did not
    flowers: str = ""


def years_of_plants(
    garden: Garden, *, on: date, plants: Collection[str] | None = None
) -> Mapping[str, YearsOfPlant]:
    """Return what was seen of stock plants up to a day; plants of which nothing was are left out.

    Every plant's, unless some ``plants`` are named. One query.
    """
    nothing = Value(None, output_field=IntegerField())
    of_plant = ("plant__plant", "plant__taxon__taxon", "plant__taxon__flowers", "on", "number")
    parts = (
        _standing(Stage, garden, on, "s").values_list("what", *of_plant, "bbch", "none", "none2"),
        _standing(Firmness, garden, on, "f").values_list(
            "what", *of_plant, "firmness_tip", "firmness_mid", "firmness_base"
        ),
        _standing(Act, garden, on, F("act"))
        .filter(plant__isnull=False, act__in=BEARS_ON_SEASON)
        .annotate(none3=nothing)
        .values_list("what", *of_plant, "none3", "none", "none2"),
    )
    if plants is not None:
        parts = tuple(rows.filter(plant__plant__in=plants) for rows in parts)
    rows = parts[0].union(*parts[1:], all=True).order_by("on", "number")
    seen: dict[str, dict[str, list[Any]]] = {}
    taxa: dict[str, tuple[str, str]] = {}
    for what, plant, taxon, flowers, day, _number, *figures in rows:
        taxa[plant] = (taxon, flowers)
        kept: Any = day
        if what == "s":
            kept = (day, figures[0])
        elif what == "f":
            kept = (day, *figures)
        seen.setdefault(plant, {}).setdefault(what, []).append(kept)
    return {
        plant: YearsOfPlant(
            taxa[plant][0],
            tuple(found.get("s", ())),
            tuple(found.get("f", ())),
            tuple(found.get("cut-back", ())),
            tuple(found.get("deadhead", ())),
            taxa[plant][1],
        )
        for plant, found in seen.items()
    }


@dataclass(frozen=True, slots=True)
class SeasonKept:
    """A mark of all that was seen of a stock plant, and what was worked out beforehand of its season.

    ``told`` is JSON as it is kept, empty where nothing was worked out; ``rests_on`` is its mark.
    """

    seen: str = ""
    on: date | None = None
    rests_on: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True)
class SeasonsKept:
    """Stock plants by name, their seasons worked out beforehand, and a mark of the garden's weather.

    Each plant comes with its taxon and place.
    """

    weather: str = ""
    plants: Sequence[Plant] = ()
    seasons: Mapping[str, SeasonKept] = field(default_factory=dict)
    #: one plant alone was asked for
    is_of_one: bool = False

    def of(self, plant: str) -> SeasonKept:
        """Return what is kept of a plant, empty where nothing is."""
        return self.seasons.get(plant, SeasonKept())


def seasons_kept(garden: Garden, *, on: date, plant: str = "") -> SeasonsKept:
    """Return the seasons worked out beforehand, and marks of what was seen up to a day. One query.

    As long as its mark stays, ``years_of_plants`` has no other answer of a plant for the same day, and
    ``weather_known`` as long as that of the weather does. ``plant`` asks for that plant alone.
    """
    figures = Cast("tmin_c", FloatField()) * 3.0 + Cast("tmax_c", FloatField())
    days = WeatherDay.rows.of(garden).order_by().values("garden")
    plants = list(
        Plant.rows.of(garden)
        .filter(**({"plant": plant} if plant else {}))
        .select_related("taxon", "place")
        .order_by("plant")
        .annotate(
            stages_mark=_mark_of(Stage.rows.of(garden), on),
            firmness_mark=_mark_of(Firmness.rows.of(garden), on),
            acts_mark=_mark_of(Act.rows.of(garden).filter(act__in=BEARS_ON_SEASON), on),
            weather_mark=_as_text(days, Sum(figures)),
            told_on=F("season__on"),
            told_mark=F("season__rests_on"),
            told_text=Cast("season__told", TextField()),
        )
    )
    rows: Sequence[Any] = plants
    seasons = {
        row.plant: SeasonKept(
            "|".join(mark or "" for mark in (row.stages_mark, row.firmness_mark, row.acts_mark)),
            row.told_on,
            row.told_mark or "",
            row.told_text or "",
        )
        for row in rows
    }
    weather = rows[0].weather_mark or "" if rows else ""
    return SeasonsKept(weather, plants, seasons, bool(plant))


def _mark_of(entries: Any, on: date) -> Subquery:
    """Say how many entries of a plant stand, and what the squares of their numbers come to."""
    squares = Cast("number", BigIntegerField()) * Cast("number", BigIntegerField())
    here = entries.standing().filter(on__lte=on, plant=OuterRef("pk"))
    return _as_text(here.order_by().values("plant"), Sum(squares))


def _as_text(rows: Any, total: Any) -> Subquery:
    n_rows = Cast(Count("pk"), TextField())
    mark = Concat(n_rows, Value(" "), Cast(total, TextField()), output_field=TextField())
    return Subquery(rows.annotate(mark=mark).values("mark"))


def keep_seasons(made: Sequence[PlantSeason]) -> None:
    """Keep seasons in place of those there were of the same plants."""
    PlantSeason.rows.bulk_create(
        list(made),
        update_conflicts=True,
        unique_fields=["plant"],
        update_fields=["garden", "on", "rests_on", "told", "made_at"],
    )


def newest_season_kept(garden: Garden) -> str:
    """Return what was worked out last of any plant, JSON as it is kept; empty without any. One query."""
    rows = PlantSeason.rows.of(garden).order_by("-on").annotate(as_text=Cast("told", TextField()))
    return rows.values_list("as_text", flat=True).first() or ""


def _standing(model: Any, garden: Garden, on: date, what: Any) -> Any:
    named = Value(what, output_field=CharField()) if isinstance(what, str) else what
    nothing = Value(None, output_field=IntegerField())
    rows = model.rows.of(garden).standing().filter(on__lte=on).order_by()
    return rows.annotate(what=named, none=nothing, none2=nothing)
