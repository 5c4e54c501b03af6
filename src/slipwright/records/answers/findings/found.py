"""What was found when a garden was learned from: kept with the fit, told by command and page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from statistics import fmean
from typing import TYPE_CHECKING, Any, Literal

from slipwright.craft.said import Said
from slipwright.records.answers.contrasts import Contrast, contrast_from, contrasts_of
from slipwright.rooting.belief_left import share_left
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned
from slipwright.rooting.ranges import Z90
from slipwright.rooting.spreads import SPREADS, standard_deviations
from slipwright.rooting.taxon_effects import taxon_effects

if TYPE_CHECKING:
    from slipwright.rooting.fit import Fit

#: batches named of a kind of remark; of more only the number is told
MOST_NAMED = 5
#: so many standard deviations a batch's own effect may be off before somebody is asked about it
FAR_OFF = 3.0

RemarkKind = Literal["not-settled", "fits-badly", "does-not-add-up"]


@dataclass(frozen=True, slots=True)
class Remark:
    """Something to be wary of: what kind, how many batches, and the first of them."""

    kind: RemarkKind
    n: int = 0
    batches: tuple[str, ...] = ()

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep."""
        return {"kind": self.kind, "n": self.n, "batches": list(self.batches)}

    @property
    def in_words(self) -> str:
        """One or two sentences."""
        named: str = ", ".join(self.batches)
        if self.n > len(self.batches):
            named = Said("{named} and {n} more", named=named, n=self.n - len(self.batches))
        if self.kind == "not-settled":
            return Said(
                "The sums did not settle: what was learned may be off. It is worked out anew each night; "
                "if this stays, tell us with the tables of the garden."
            )
        if self.kind == "fits-badly":
            return Said(
                "Far otherwise than all others of their kind went {named}. "
                "Are their counts, and what was stuck, written down right?",
                named=named,
            )
        return Said(
            "The numbers written down for {named} do not agree: those rooted, lost and waiting do not come "
            "to those stuck. They are counted as far as they go; whoever keeps the records should look "
            "them over.",
            named=named,
        )


@dataclass(frozen=True, slots=True)
class TaxonFound:
    """How far a wood of a taxon lies off what was believed of it, on one clock, as a logarithm.

    ``has_row`` says whether that was a row of the handbook, or what holds for any plant.
    """

    taxon: str
    wood: str
    clock: str
    mean: float
    sd: float
    prior_sd: float
    has_row: bool

    @property
    def prior_share(self) -> float:
        """How much of the belief from before any record is left in it."""
        return share_left(self.sd, self.prior_sd, self.mean)

    @property
    def p10(self) -> float:
        """How many times as fast as believed, at least 9 times in 10."""
        return math.exp(self.mean - Z90 * self.sd)

    @property
    def p50(self) -> float:
        """How many times as fast as believed, in the middle."""
        return math.exp(self.mean)

    @property
    def p90(self) -> float:
        """How many times as fast as believed, at most 9 times in 10."""
        return math.exp(self.mean + Z90 * self.sd)

    @property
    def believed(self) -> tuple[float, float, float]:
        """The 10, 50 and 90 per cent points of the same before any record."""
        return math.exp(-Z90 * self.prior_sd), 1.0, math.exp(Z90 * self.prior_sd)

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class PlantFound:
    """A wood of a taxon on both clocks."""

    taxon: str
    wood: str
    rooting: TaxonFound
    loss: TaxonFound

    @property
    def has_row(self) -> bool:
        """Whether the handbook has a row for it."""
        return self.rooting.has_row


@dataclass(frozen=True, slots=True)
class Found:
    """All that was found."""

    effects: Sequence[Mapping[str, Any]]
    taxa: Sequence[TaxonFound]
    spreads: Sequence[Mapping[str, Any]]
    contrasts: Sequence[Contrast]
    remarks: Sequence[Remark]

    @property
    def plants(self) -> list[PlantFound]:
        """The plants by name."""
        of: dict[tuple[str, str], dict[str, TaxonFound]] = {}
        for one in self.taxa:
            of.setdefault((one.taxon, one.wood), {})[one.clock] = one
        return [PlantFound(*name, both["rooting"], both["loss"]) for name, both in sorted(of.items())]

    @property
    def prior_share(self) -> float:
        """How much of what is believed of the plants stuck here is still what was believed before."""
        return fmean(one.prior_share for one in self.taxa) if self.taxa else 1.0

    @property
    def learned(self) -> list[Contrast]:
        """Comparisons the records bear on: what moved most from the belief, then clear ones.

        Each by how far it moved; without those that turned out to make no difference.
        """
        sure = [one for one in self.contrasts if not one.is_mostly_prior and not one.is_the_same]
        moved = sorted(sure, key=lambda one: -one.moved)
        return [*moved[:1], *sorted(moved[1:], key=lambda one: not one.is_clear)]

    @property
    def n_prior(self) -> int:
        """How many comparisons are still mostly what was believed."""
        return sum(one.is_mostly_prior for one in self.contrasts)

    @property
    def n_same(self) -> int:
        """How many comparisons turned out to make no difference."""
        return sum(one.is_the_same and not one.is_mostly_prior for one in self.contrasts)

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep."""
        return {
            "effects": list(self.effects),
            "taxa": [one.as_kept() for one in self.taxa],
            "spreads": list(self.spreads),
            "contrasts": [one.as_kept() for one in self.contrasts],
            "remarks": [one.as_kept() for one in self.remarks],
        }


def found_from(kept: Mapping[str, Any]) -> Found:
    """Return what ``Found.as_kept`` put away."""
    return Found(
        kept["effects"],
        [TaxonFound(**one) for one in kept["taxa"]],
        kept["spreads"],
        [contrast_from(one) for one in kept["contrasts"]],
        [Remark(one["kind"], one["n"], tuple(one["batches"])) for one in kept["remarks"]],
    )


def found_in(fit: Fit, learned: Learned, history: Sequence[BatchRecord]) -> Found:
    """Return what a fit found in a history."""
    return Found(
        [_rounded(one, ("term", "clock", "mean", "sd", "q10", "q90")) for one in fit.effects()],
        [
            TaxonFound(**_rounded(one, ("taxon", "wood", "clock", "mean", "sd", "prior_sd", "has_row")))
            for one in taxon_effects(fit)
        ],
        [_rounded(one, ("name", "mean", "sd")) for one in fit.spreads()],
        contrasts_of(learned),
        remarks_on(fit, history),
    )


def _rounded(one: object, names: Iterable[str]) -> dict[str, Any]:
    values = {name: getattr(one, name) for name in names}
    return {
        name: value if isinstance(value, str | bool) else round(float(value), 4)
        for name, value in values.items()
    }


def remarks_on(fit: Fit, history: Sequence[BatchRecord]) -> list[Remark]:
    """Return what to be wary of in a fit and in the records it was made from."""
    remarks = [] if fit.converged else [Remark("not-settled")]
    amiss = [record.kind.batch for record in history if not _adds_up(record)]
    if amiss:
        remarks.append(Remark("does-not-add-up", len(amiss), tuple(amiss[:MOST_NAMED])))
    if odd := _far_off(fit):
        remarks.append(Remark("fits-badly", len(odd), tuple(odd[:MOST_NAMED])))
    return remarks


def _far_off(fit: Fit) -> list[str]:
    """Return the batches that lie far off all others of their kind, the furthest first."""
    start = fit.start()
    sds = standard_deviations(start.psi)
    of_batch = (sds[list(SPREADS).index("batch")], sds[len(SPREADS) + list(SPREADS).index("batch")])
    off = {
        node[-1]: max(abs(effect) / sd for effect, sd in zip(effects, of_batch, strict=True))
        for node, effects in start.nodes.items()
        if node[0] == "batch"
    }
    return sorted((batch for batch, far in off.items() if far > FAR_OFF), key=lambda batch: -off[batch])


def _adds_up(record: BatchRecord) -> bool:
    """Return whether no more rooted, was lost or removed than was stuck, and what waits is the rest."""
    gone, all_counted = 0, True
    for look in record.counts.looks:
        gone += (look.n_rooted or 0) + (look.n_lost or 0) + (look.n_removed or 0)
        left = record.counts.n_stuck - gone
        all_counted = all_counted and None not in (look.n_rooted, look.n_lost)
        if left < 0 or (look.n_waiting is not None and look.n_waiting > left):
            return False
        if all_counted and look.n_waiting is not None and look.n_waiting < left:
            return False
    return True
