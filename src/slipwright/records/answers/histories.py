"""The batches of a garden as the two clocks of rooting and loss learn from them and tell of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import cast

from slipwright.advice.kinds import season_of
from slipwright.advice.timing import is_south
from slipwright.craft import hormone
from slipwright.craft.names import genus_of
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood, WoodLeaf
from slipwright.records.answers.bloom_at import BloomAt
from slipwright.records.answers.garden_facts import bloom_here, usual_here
from slipwright.records.answers.learning import usual_learned
from slipwright.records.models import Garden, Sticking
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.histories import (
    Stuck,
    UsualLevels,
    batch_as_stuck,
    batches_as_stuck,
    usual_levels,
)
from slipwright.records.selectors.looks import look_counts
from slipwright.records.selectors.readings import mean_medium
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.cuttings import Auxin, Cover, Cuttings, Form, Leaves
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind
from slipwright.rooting.page_prior import offset_of, usual_cuttings

#: where along the shoot a part of it lies, 0 tip to 1 base
RIPENESS_OF_PART = {"upper": 0.2, "middle": 0.5, "lower": 0.8}
#: what a spent shoot keeps of its odds of rooting where no page says it: common practice, no source
SPENT_COST = 0.85
_DIPS = ("quick-dip", "gel")


@dataclass(frozen=True, slots=True)
class History:
    """Every batch of a garden, and the medium and container that all others are counted from.

    ``stuck`` is how each of ``records`` was stuck.
    """

    records: list[BatchRecord]
    usual: UsualLevels
    stuck: Sequence[Stuck] = ()


def history_of(garden: Garden, handbook: Handbook) -> list[BatchRecord]:
    """Return every batch of a garden but those taken back, by the day it was stuck. At most six queries.

    The same records give the same history on any day.
    """
    return whole_history(garden, handbook).records


def whole_history(garden: Garden, handbook: Handbook) -> History:
    """Return the same, and the usual medium and container. At most six queries."""
    stuck = batches_as_stuck(garden)
    usual = UsualLevels.of((one.medium, one.container, 1) for one in stuck)
    facts = _read(garden, handbook, stuck, usual)
    looks = look_counts(garden)
    records = [
        BatchRecord(
            *facts[one.pk], BatchCounts(one.stuck_on, one.n_stuck, looks.get(one.pk, ()), one.n_potted)
        )
        for one in stuck
    ]
    return History(records, usual, stuck)


def records_of(
    garden: Garden,
    handbook: Handbook,
    batches: Sequence[BatchNow],
    *,
    counts: Mapping[int, BatchCounts] | None = None,
) -> dict[int, BatchRecord]:
    """Return some batches, by key, as ``history_of`` does. At most seven queries.

    Other media and containers are counted from those that were usual when the garden was learned from;
    ``garden`` must have just been read. ``counts`` are what ``selectors.counts_of`` says of the batches,
    read here unless they are given.
    """
    pks = [batch.pk for batch in batches]
    stuck = batches_as_stuck(garden, pks)
    names_any = any(one.medium or one.container for one in stuck)
    usual = (usual_learned(garden) or usual_levels(garden)) if names_any else UsualLevels()
    facts = _read(garden, handbook, stuck, usual)
    looks = look_counts(garden, pks) if counts is None else {}
    return {
        one.pk: BatchRecord(
            *facts[one.pk],
            counts[one.pk]
            if counts is not None
            else BatchCounts(one.stuck_on, one.n_stuck, looks.get(one.pk, ()), one.n_potted),
        )
        for one in stuck
    }


def record_of(garden: Garden, handbook: Handbook, batch: BatchNow) -> BatchRecord:
    """Return one batch as ``history_of`` does."""
    return records_of(garden, handbook, [batch])[batch.pk]


def record_of_page(
    garden: Garden, handbook: Handbook, sticking: Sticking, counts: BatchCounts, warmth_c: float | None
) -> BatchRecord:
    """Return a batch that ``whole_batch`` read as ``record_of`` does, the rest of the garden remembered.

    ``garden`` must have just been read. ``warmth_c`` is what ``selectors.medium_warmth`` says. No query
    where nothing was written since, else at most three.
    """
    one = batch_as_stuck(sticking)
    usual = usual_here(garden) if one.medium or one.container else UsualLevels()
    bloom = bloom_here(garden, handbook).of([one])
    return BatchRecord(*_facts(garden, handbook, [one], usual, bloom, {one.pk: warmth_c})[one.pk], counts)


def _read(
    garden: Garden, handbook: Handbook, batches: Sequence[Stuck], usual: UsualLevels
) -> dict[int, tuple[Cuttings, Kind]]:
    bloom = BloomAt(garden, cache(handbook.page_of)).of(batches)
    read = mean_medium(garden, {(one.place_id, one.stuck_on) for one in batches if one.place_id is not None})
    warmth_c = {one.pk: _warmth(one, read) for one in batches}
    return _facts(garden, handbook, batches, usual, bloom, warmth_c)


def _facts(
    garden: Garden,
    handbook: Handbook,
    batches: Sequence[Stuck],
    usual: UsualLevels,
    bloom: Mapping[int, float | None],
    warmth_c: Mapping[int, float | None],
) -> dict[int, tuple[Cuttings, Kind]]:
    kinds = _Kinds(cache(handbook.page_of), is_south(float(garden.latitude_deg)))
    found = {}
    for one in batches:
        about = kinds.of(one.taxon, cast(Wood, one.wood))
        cuttings = _cuttings(one, about, bloom=bloom[one.pk], warmth_c=warmth_c[one.pk], levels=usual)
        found[one.pk] = (cuttings, kinds.kind(one, about))
    return found


@dataclass(frozen=True, slots=True)
class _About:
    """What is known of a taxon and wood beforehand."""

    genus: str
    #: the handbook's usual way, with the row it speaks of as its own ``usual``, if there is a row
    usual: Cuttings
    offset: tuple[float, float]
    spent: float


class _Kinds:
    """What is known beforehand of the taxa and woods of a garden, worked out once each."""

    def __init__(self, page_of: Callable[[str], Page | None], south: bool) -> None:
        self._page_of, self._south = page_of, south
        self._known: dict[tuple[str, Wood], _About] = {}

    def of(self, taxon: str, wood: Wood) -> _About:
        """Return what is known beforehand of a wood of a taxon."""
        about = self._known.get((taxon, wood))
        if about is None:
            page = self._page_of(taxon)
            leaf: WoodLeaf | None = page.woods.get(wood) if page else None
            about = self._known[taxon, wood] = _About(
                genus_of(taxon),
                usual_cuttings(leaf, wood),
                offset_of(leaf, wood),
                page.bloom.spent_cost.value if page else SPENT_COST,
            )
        return about

    def kind(self, stuck: Stuck, about: _About) -> Kind:
        """Return where a batch stands among plants and seasons."""
        season = season_of(stuck.stuck_on, south=self._south)
        return Kind(about.genus, stuck.taxon, stuck.wood, season, stuck.batch, about.offset)


def _cuttings(
    stuck: Stuck, about: _About, *, bloom: float | None, warmth_c: float | None, levels: UsualLevels
) -> Cuttings:
    auxin, strength = auxin_of(stuck)
    length_mm = _number(stuck.length_mm)
    return Cuttings(
        wood=cast(Wood, stuck.wood),
        ripeness=RIPENESS_OF_PART.get(stuck.part) if stuck.ripeness is None else float(stuck.ripeness),
        auxin=auxin,
        strength=strength,
        # no term says that these two are unknown: the handbook's usual way stands for them
        leaves=cast(Leaves, stuck.leaves) if stuck.leaves else about.usual.leaves,
        form=cast(Form, stuck.cutting) if stuck.cutting else about.usual.form,
        cover=cast("Cover | None", stuck.cover or stuck.place_cover or None),
        warmth_c=warmth_c,
        bloom=bloom,
        spent=about.spent if stuck.shoot == "spent" else 1.0,
        n_nodes=stuck.n_nodes,
        length_mm=length_mm if length_mm else None,
        wounded=stuck.wound == "yes",
        stored=stuck.stored not in ("", "no"),
        medium="" if stuck.medium == levels.medium else stuck.medium,
        container="" if stuck.container == levels.container else stuck.container,
        usual=about.usual.usual,
    )


def auxin_of(stuck: Stuck) -> tuple[Auxin | None, float | None]:
    """Return in which way hormone was given and how strong: mg/L as acid, of a talc mg/kg as acid.

    None where it was not written down. A strength in mg/kg without a form is a talc's.
    """
    used = [
        (auxin, mg_per_l)
        for auxin, mg_per_l in (
            (stuck.auxin, stuck.auxin_mg_per_l),
            (stuck.auxin2, stuck.auxin2_mg_per_l),
        )
        if auxin not in ("", "none")
    ]
    if not used:
        return ("none", 0.0) if stuck.auxin == "none" else (None, None)
    if stuck.auxin_form == "talc" or (not stuck.auxin_form and stuck.auxin_mg_per_kg is not None):
        return "talc", _as_acid([(used[0][0], stuck.auxin_mg_per_kg)])
    if not stuck.auxin_form:
        return None, None
    return "dip" if stuck.auxin_form in _DIPS else "soak", _as_acid(used)


def _as_acid(used: Sequence[tuple[str, Decimal | None]]) -> float | None:
    total = 0.0
    for auxin, amount in used:
        if amount is None:
            return None
        total += float(amount) * _share_of_acid(auxin)
    return total


@cache
def _share_of_acid(auxin: str) -> float:
    return float(hormone.as_acid(1.0, cast(hormone.Auxin, auxin)))


def _warmth(stuck: Stuck, read: Mapping[tuple[int, date], tuple[float, int]]) -> float | None:
    """Return the mean read over the first days, else what the batch says, else what its place does."""
    if stuck.place_id is not None and (of_place := read.get((stuck.place_id, stuck.stuck_on))):
        return of_place[0]
    return _number(stuck.medium_temp_c if stuck.medium_temp_c is not None else stuck.place_temp_c)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
