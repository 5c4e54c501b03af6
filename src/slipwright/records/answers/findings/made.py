"""All findings of a garden: worked out when it is learned from, or carried along until there is time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from time import thread_time
from typing import Any

from slipwright.handbook import Handbook
from slipwright.records.answers.findings.along import along_of
from slipwright.records.answers.findings.kept import FORM, KEPT_AS, Shown, kept_in
from slipwright.records.answers.findings.levels import WAYS, factor_of
from slipwright.records.answers.findings.places import factors_beside_expected
from slipwright.records.answers.findings.rates import rates_of
from slipwright.records.answers.findings.seen import batches_seen
from slipwright.records.answers.histories import History, whole_history
from slipwright.records.answers.learning import learned_of
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import FitNow, fit_now
from slipwright.records.services.fits import keep_with_fit
from slipwright.rooting.learned import Learned

#: findings that took no longer are worked out anew each time something is learned [s of processor time]
QUICK_S = 1.0
#: others at most so often, and each night
RENEWED_EACH = timedelta(hours=1)


def findings_of(garden: Garden, handbook: Handbook, history: History, learned: Learned) -> Shown:
    """Return what the records of a garden show. Two queries."""
    batches = batches_seen(garden, history)
    seasons = sorted({one.record.kind.season for one in batches}) or [""]
    return Shown(
        len(batches),
        sum(one.record.counts.n_stuck for one in batches),
        (seasons[0], seasons[-1]),
        along_of(learned, batches),
        rates_of(learned, batches, handbook),
        (*(factor_of(learned, batches, ways) for ways in WAYS), *factors_beside_expected(learned, batches)),
    )


def shown_anew(
    garden: Garden,
    handbook: Handbook,
    history: History,
    learned: Learned,
    *,
    up_to: datetime,
    data_hash: str,
) -> dict[str, Any]:
    """Return the same as it is kept: with the records it is of, up to when, and how long it took."""
    begun = thread_time()
    kept = findings_of(garden, handbook, history, learned).as_kept()
    took = round(thread_time() - begun, 3)
    return kept | {"form": FORM, "up_to": up_to.isoformat(), "data_hash": data_hash, "seconds": took}


def carried(before: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return the findings of the fit before as the next carries them along; None where they are quick."""
    shown = kept_in(before)
    return shown if shown and shown["seconds"] > QUICK_S else None


def renewed_up_to(fit: FitNow) -> datetime | None:
    """Return up to when the findings are that a fit carries along; None where they are its own."""
    shown = kept_in(fit.found)
    if shown is None or not fit.is_of_this_model or shown["data_hash"] == fit.data_hash:
        return None
    return datetime.fromisoformat(shown["up_to"])


def due_at(garden: Garden) -> datetime | None:
    """Return from when on findings may be worked out anew; None where they are of the fit that holds.

    Those of another form may be at once. ``garden`` must have just been read. One query.
    """
    fit = fit_now(garden)
    if fit is None or not fit.is_of_this_model:
        return None
    if kept_in(fit.found) is None:
        return fit.learned_up_to
    up_to = renewed_up_to(fit)
    return None if up_to is None else up_to + RENEWED_EACH


def renew(garden: Garden, handbook: Handbook) -> bool:
    """Work the findings of the fit that holds out anew, and return whether they were.

    ``garden`` must have just been read. Nothing is done where something was written since it was learned
    from: what holds then is learned first.
    """
    fit = fit_now(garden)
    if fit is None or fit.is_stale or not fit.is_of_this_model:
        return False
    if kept_in(fit.found) is not None and renewed_up_to(fit) is None:
        return False
    history = whole_history(garden, handbook)
    plants = {replace(record.kind, season="", batch="") for record in history.records}
    learned = learned_of(garden, plants)
    if learned is None:
        return False
    shown = shown_anew(garden, handbook, history, learned, up_to=fit.learned_up_to, data_hash=fit.data_hash)
    return keep_with_fit(fit.pk, KEPT_AS, shown)
