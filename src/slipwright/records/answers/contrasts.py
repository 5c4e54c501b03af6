"""What a garden learned, as comparisons a propagator makes: how many times as fast, beside what."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slipwright.craft.figures import plain
from slipwright.craft.said import Said
from slipwright.rooting.belief_left import share_left
from slipwright.rooting.cuttings import CLOCKS, LEVEL_SD, TERMS, Clock
from slipwright.rooting.learned import Learned
from slipwright.rooting.ranges import Z90

#: a comparison is mostly what was believed before as long as so much of that is left
MOSTLY_PRIOR = 0.7
#: a difference of fewer times than this reads as none
SAME = 1.05


@dataclass(frozen=True, slots=True)
class Compared:
    """Two kinds of cuttings that differ in one thing, by how much of each term of the model."""

    amounts: Mapping[str, float]
    these: str
    those: str


def _along(ripeness: float) -> dict[str, float]:
    along = 2 * ripeness - 1
    return {"ripeness": along, "ripeness_2": along**2}


_DIP = math.log1p(3.0)
_PLAIN_PIECES = Said("plain pieces of the shoot")
_NO_HORMONE = Said("cuttings without hormone")
_UNDER_MIST = Said("cuttings under mist")

#: by name, in the order they are told
COMPARED: Mapping[str, Compared] = {
    "tip": Compared(_along(0.1), Said("cuttings from near the tip"), Said("cuttings from the middle")),
    "base": Compared(_along(0.9), Said("cuttings from the woody base"), Said("cuttings from the middle")),
    "softwood": Compared(
        {"softwood": 1}, Said("softwood cuttings at six weeks"), Said("semi-hardwood cuttings")
    ),
    "hardwood": Compared(
        {"hardwood": 1}, Said("hardwood cuttings at six weeks"), Said("semi-hardwood cuttings")
    ),
    "dip": Compared({"dip": _DIP, "dip_2": _DIP**2}, Said("cuttings dipped at 3,000 mg/L"), _NO_HORMONE),
    "talc": Compared({"talc": 1}, Said("cuttings in talc of 3,000 mg/kg"), _NO_HORMONE),
    "soak": Compared({"soak": 1}, Said("cuttings soaked at 100 mg/L"), _NO_HORMONE),
    "tent": Compared({"tent": 1}, Said("cuttings under a tent or in a bag"), _UNDER_MIST),
    "uncovered": Compared({"uncovered": 1}, Said("leafy cuttings without cover"), _UNDER_MIST),
    "warmth": Compared(
        {"warmth": 1, "warmth_2": 1},
        Said("cuttings in a medium at 25 °C"),
        Said("cuttings in a medium at 20 °C"),
    ),
    "bloom": Compared(
        {"bloom": 1}, Said("cuttings from a shoot in full flower"), Said("cuttings clear of flowers")
    ),
    "leafless": Compared({"leafless": 1}, Said("leafless cuttings"), Said("leafy cuttings")),
    "leaves_reduced": Compared(
        {"leaves_reduced": 1}, Said("cuttings with leaves cut back"), Said("cuttings with all leaves kept")
    ),
    "nodes": Compared({"nodes": 1}, Said("cuttings of four nodes under mist"), Said("cuttings of two nodes")),
    "length": Compared({"length": math.log(2)}, Said("cuttings of 20 cm"), Said("cuttings of 10 cm")),
    "tip_form": Compared({"tip": 1}, Said("tip cuttings"), _PLAIN_PIECES),
    "heel": Compared({"heel": 1}, Said("heel cuttings"), _PLAIN_PIECES),
    "mallet": Compared({"mallet": 1}, Said("mallet cuttings"), _PLAIN_PIECES),
    "single_node": Compared({"single_node": 1}, Said("cuttings of a single node"), _PLAIN_PIECES),
    "wound": Compared({"wound": 1}, Said("wounded cuttings"), Said("cuttings not wounded")),
    "stored": Compared(
        {"stored": 1}, Said("cuttings stored before sticking"), Said("cuttings stuck at once")
    ),
}
_LEVELS = {
    "medium": (Said("cuttings in {name}"), Said("cuttings in the usual medium")),
    "container": (Said("cuttings in {name}"), Said("cuttings in the usual container")),
    "study": (Said("cuttings of {name}"), Said("cuttings of the garden")),
}
_CLEAR = {
    "rooting": Said(
        "{these:capital} root about {x} times as fast as {those} (8 times in 10: {low} to {high})."
    ),
    "loss": Said(
        "{these:capital} are lost about {x} times as fast as {those} (8 times in 10: {low} to {high})."
    ),
}
_UNCLEAR = {
    "rooting": Said("{these:capital} root {low} to {high} times as fast as {those}: no clear difference."),
    "loss": Said("{these:capital} are lost {low} to {high} times as fast as {those}: no clear difference."),
}
_PRIORS = {term.name: dict(zip(CLOCKS, (term.rooting, term.loss), strict=True)) for term in TERMS}


@dataclass(frozen=True, slots=True)
class Contrast:
    """How many times as fast some cuttings root, or are lost, as others.

    The middle and the ends of 8 times in 10, and the same as believed before any record; ``prior_share``
    is how much of the belief is left, 1 where nothing was learned.
    """

    name: str
    clock: Clock
    p10: float
    p50: float
    p90: float
    prior_p10: float
    prior_p50: float
    prior_p90: float
    prior_share: float

    @property
    def is_mostly_prior(self) -> bool:
        """Whether the records have said little about it as yet."""
        return self.prior_share >= MOSTLY_PRIOR

    @property
    def is_clear(self) -> bool:
        """Whether 8 times in 10 lies, as it is written, all on one side of no difference."""
        return "1" not in (factor(self.p10), factor(1 / self.p90)) and not self.p10 <= 1 <= self.p90

    @property
    def is_the_same(self) -> bool:
        """Whether it is known well, and the middle is no difference worth the name."""
        return self.is_clear and max(self.p50, 1 / self.p50) < SAME

    @property
    def moved(self) -> float:
        """How far the records moved it from the belief: 0 where not at all, more by shift and narrowing."""
        points = (self.p10, self.p50, self.p90, self.prior_p10, self.prior_p50, self.prior_p90)
        low, middle, high, prior_low, prior_middle, prior_high = (math.log(max(one, 1e-4)) for one in points)
        wide = max(prior_high - prior_low, 1e-9)
        narrowed = max(math.log(wide / max(high - low, 1e-4)), 0.0)
        return 2 * narrowed + (2 * Z90 * (middle - prior_middle) / wide) ** 2 / 2

    @property
    def these(self) -> str:
        """The cuttings spoken of."""
        return _sides(self.name)[0]

    @property
    def those(self) -> str:
        """The cuttings they are held against."""
        return _sides(self.name)[1]

    @property
    def believed(self) -> tuple[float, float, float]:
        """Middle and ends of what was believed, of the same beside the same as in words."""
        return self._turned(self.prior_p50, self.prior_p10, self.prior_p90)

    @property
    def _is_turned(self) -> bool:
        return self.is_clear and self.p50 < 1

    def _turned(self, middle: float, low: float, high: float) -> tuple[float, float, float]:
        return (1 / middle, 1 / high, 1 / low) if self._is_turned else (middle, low, high)

    @property
    def in_words(self) -> str:
        """One sentence, about whichever is faster where that is clear."""
        sides = (self.those, self.these) if self._is_turned else (self.these, self.those)
        x, low, high = (factor(one) for one in self._turned(self.p50, self.p10, self.p90))
        sentence = (_CLEAR if self.is_clear else _UNCLEAR)[self.clock]
        return Said(sentence.template, these=sides[0], those=sides[1], x=x, low=low, high=high)

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep."""
        return {name: getattr(self, name) for name in self.__slots__}


def contrast_from(kept: Mapping[str, Any]) -> Contrast:
    """Return what ``Contrast.as_kept`` put away."""
    return Contrast(**kept)


def contrasts_of(learned: Learned) -> list[Contrast]:
    """Return every comparison the draws bear on; media, containers and studies by name come last."""
    named = sorted(term for term in learned.coefficients if "[" in term)
    every: Iterable[tuple[str, Mapping[str, float]]] = [
        *((name, one.amounts) for name, one in COMPARED.items()),
        *((term, {term: 1.0}) for term in named),
    ]
    found = []
    for name, amounts in every:
        total = sum(amount * learned.coefficients[term] for term, amount in amounts.items())
        for row, clock in enumerate(CLOCKS):
            found.append(_contrast(name, clock, amounts, np.asarray(total)[row]))
    return found


def _contrast(name: str, clock: Clock, amounts: Mapping[str, float], draws: Any) -> Contrast:
    believed = [(amount, *_believed(term, clock)) for term, amount in amounts.items()]
    mean = sum(amount * middle for amount, middle, _ in believed)
    sd = math.sqrt(sum((amount * wide) ** 2 for amount, _, wide in believed))
    points = np.exp(np.quantile(draws, (0.1, 0.5, 0.9)))
    prior = [math.exp(mean + away * sd) for away in (-Z90, 0.0, Z90)]
    share = share_left(float(draws.std()), sd, float(draws.mean()) - mean)
    p10, p50, p90 = (round(float(times), 4) for times in points)
    prior_p10, prior_p50, prior_p90 = (round(times, 4) for times in prior)
    return Contrast(name, clock, p10, p50, p90, prior_p10, prior_p50, prior_p90, round(share, 4))


def _believed(term: str, clock: Clock) -> tuple[float, float]:
    level = term.partition("[")[0]
    return (0.0, LEVEL_SD[level]) if "[" in term else _PRIORS[term][clock]


def _sides(name: str) -> tuple[str, str]:
    if name in COMPARED:
        return COMPARED[name].these, COMPARED[name].those
    level, _, rest = name.partition("[")
    these, those = _LEVELS[level]
    return Said(these.template, name=rest.removesuffix("]")), those


def factor(times: float) -> str:
    """Figures that can be told apart, and from no difference, not more: 0.85, 1.04, 1.4, 12."""
    return plain(times, 0 if times >= 10 else 1 if times >= SAME else 2)
