"""Today's round, and what one batch will likely do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from slipwright.advice.round import Act, acts_for
from slipwright.advice.timing import is_south
from slipwright.advice.walk import has_page, patience_of_batch, record_of_batch, rule_of
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.sky import sky_on
from slipwright.records.answers.walk import (
    SEED,
    batches_on_round,
    learned_for,
    places_on_round,
    plants_on_round,
    round_days,
)
from slipwright.records.answers.wants import asked_for
from slipwright.records.models import Garden, Sticking
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.forecast import Forecast, forecast_batch


@dataclass(frozen=True, slots=True)
class Round:
    """Today's acts in walking order, and the day's weather as far as known."""

    on: date
    acts: tuple[Act, ...]
    weather: dict[str, float | str | None]

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/today.json`` has it."""
        return {"acts": [act.as_json() for act in self.acts], "weather": self.weather}


def round_of(
    garden: Garden,
    handbook: Handbook,
    *,
    on: date,
    now: datetime | None = None,
    progress: Progress = quiet,
) -> Round:
    """Return what the round of a day asks for; with ``now``, what instruments read lately counts too."""
    weather, sky = sky_on(garden, on)
    asked = asked_for(garden, handbook, on=on)
    batches = batches_on_round(garden, handbook, selectors.states_of_open_batches(garden))
    acts = acts_for(
        batches,
        on=on,
        generator=np.random.default_rng(SEED),
        plants=plants_on_round(garden, handbook, asked, on=on, progress=progress),
        places=places_on_round(garden, on=on, now=now),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
        weather=sky,
        learned=learned_for(garden, batches),
    )
    told: dict[str, float | str | None] = {}
    if weather:
        told = {
            "tmin_c": float(weather.tmin_c),
            "tmax_c": float(weather.tmax_c),
            "made_on": weather.made_on.isoformat() if weather.made_on else None,
        }
    return Round(on, acts, told)


def forecast_of_batch(garden: Garden, handbook: Handbook, sticking: Sticking, *, on: date) -> Forecast:
    """Return what a batch will likely do, given all that was learned and its own looks."""
    (batch,) = batches_on_round(garden, handbook, selectors.states_of_batches(garden, [sticking]))
    return forecast_batch(
        learned_for(garden, [batch]),
        record_of_batch(batch),
        on=on,
        generator=np.random.default_rng(SEED),
        patience_days=patience_of_batch(batch),
        from_page=has_page(batch),
        pot_up=rule_of(batch),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
    )
