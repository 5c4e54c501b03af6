"""Keeping forecasts as they were made."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from slipwright.records.models import ForecastMade, Garden
from slipwright.records.selectors.forecasts_made import Made


def keep_forecasts_made(garden: Garden, made_on: date, made: Sequence[Made]) -> None:
    """Keep forecasts in place of any made of the same batches on the same day."""
    with transaction.atomic():
        batches = {one.batch_id for one in made}
        ForecastMade.rows.of(garden).filter(batch__in=batches, made_on=made_on).delete()
        ForecastMade.rows.bulk_create(
            [
                ForecastMade(
                    garden=garden,
                    batch_id=one.batch_id,
                    made_on=one.made_on,
                    by_day=one.by_day,
                    n_stuck=one.n_stuck,
                    n_looks=one.n_looks,
                    n_learned_from=one.n_learned_from,
                    rooted=list(one.rooted),
                    by_handbook=list(one.by_handbook),
                )
                for one in made
            ]
        )
