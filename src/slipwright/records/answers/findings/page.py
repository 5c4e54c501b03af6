"""The findings of a garden as their page asks for them: read as they were kept, nothing counted anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from slipwright.records.answers.contrasts import contrast_from
from slipwright.records.answers.findings.kept import Along, Rate, Shown, kept_in, shown_from
from slipwright.records.answers.findings.made import renewed_up_to
from slipwright.records.answers.findings.own_rules import own_rules
from slipwright.records.answers.findings.rules import RuleHeld, rules_held
from slipwright.records.answers.remembered import Remembered, which_database
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import FitNow, fit_now
from slipwright.records.selectors.own_rules import OwnRule

#: plants and rules on one page
A_PAGE = 8


@dataclass(frozen=True, slots=True)
class FindingsPage:
    """What was found, a page of its plants, the rules of the handbook, and the garden's own.

    ``shown`` is None where nothing was learned yet by the model of now, or what was is kept in another form;
    ``up_to`` is up to when it is, where more was learned since.
    """

    fit: FitNow | None
    shown: Shown | None
    along: Along | None
    rates: Sequence[Rate]
    page: int
    has_more: bool
    held: Sequence[RuleHeld]
    own: Sequence[OwnRule]
    up_to: datetime | None = None


#: what was kept, put together once for each time it was worked out
_READ: Remembered[tuple[Shown, list[RuleHeld]]] = Remembered()


def findings_page(garden: Garden, *, of: str = "", page: int = 1) -> FindingsPage:
    """Return the findings; along the shoot those of a genus, or of all plants. At most two queries.

    ``garden`` must have just been read.
    """
    fit, own = fit_now(garden), own_rules(garden)
    kept = kept_in(fit.found) if fit is not None and fit.is_of_this_model else None
    if fit is None or kept is None:
        return FindingsPage(fit, None, None, (), 1, False, (), own)
    shown, held = _read(garden, fit, kept)
    along = next((one for one in shown.along if one.of == of), next(iter(shown.along), None))
    first = (page - 1) * A_PAGE
    return FindingsPage(
        fit,
        shown,
        along,
        shown.rates[first : first + A_PAGE],
        page,
        len(shown.rates) > first + A_PAGE,
        held,
        own,
        renewed_up_to(fit),
    )


def _read(garden: Garden, fit: FitNow, kept: Mapping[str, Any]) -> tuple[Shown, list[RuleHeld]]:
    rests_on = (fit.pk, kept["up_to"], kept["data_hash"], *which_database())
    read = _READ.get(garden.garden, rests_on)
    if read is None:
        shown = shown_from(kept)
        held = rules_held(shown.rates, [contrast_from(one) for one in fit.found["contrasts"]])
        read = shown, held
        _READ.keep(garden.garden, rests_on, read)
    return read
