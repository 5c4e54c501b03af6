"""Growing on: how many potted plants live, and when they are weaned, established and finished."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from slipwright.craft.names import genus_of
from slipwright.handbook.pages import Page
from slipwright.rooting.grow_prior import GrowPrior, Points, prior_of_page
from slipwright.rooting.grown import (
    HAZARD_BEHIND,
    Grown,
    came_of,
    fate_of,
    n_followed,
    share_followed,
)
from slipwright.rooting.ranges import Array
from slipwright.rooting.ready_days import (
    Came,
    days_draws,
    learn_scores,
    points_of_days,
    var_score,
)
from slipwright.rooting.share_prior import ShareGrid, share_grid
from slipwright.rooting.surviving import Fate, learn_shares, mean_of_share, points_of_share, share_draws

#: stages whose days are learned; potted is where they begin
LEARNED = ("weaned", "established", "finished")


@dataclass(frozen=True, slots=True, eq=False)
class GrowsOn:
    """What is known of one plant's growing on, and on how much it rests.

    ``shares`` are weights on the grid of means and spreads, ``scores`` by stage weights on the grid of
    scores; both are empty where the handbook alone speaks.  ``prior_shares`` say by stage, and for
    ``survive``, how much is still the handbook's word: the plant's variance now by that before any record.
    """

    prior: GrowPrior
    shares: Array | None = None
    scores: Mapping[str, Array] = field(default_factory=dict)
    prior_shares: Mapping[str, float] = field(default_factory=dict)
    #: plants and batches of the genus that something was written down about
    n_plants: int = 0
    n_batches: int = 0
    #: batches of the genus that were potted, written about or not
    n_potted_batches: int = 0
    _points: dict[tuple[str, str], Points] = field(default_factory=dict, repr=False)

    @property
    def grid(self) -> ShareGrid:
        """The grid of means and spreads that the handbook's range stands on."""
        return share_grid(*self.prior.survive)

    def mean_living(self, stage: str = "finished") -> float:
        """Mean share of potted plants that live to a stage [-]; rooted and potted plants all do."""
        return mean_of_share(self.grid, self._weights, power=HAZARD_BEHIND.get(stage, 0.0))

    def living(self, stage: str = "finished") -> Points:
        """Share of a batch's potted plants that live to a stage: 10, 50 and 90 per cent points [-]."""
        power = HAZARD_BEHIND.get(stage, 0.0)
        if not power:
            return 1.0, 1.0, 1.0
        points = self.prior.survive
        if self.shares is not None:
            if ("living", "") not in self._points:
                self._points["living", ""] = _three(points_of_share(self.grid, self.shares))
            points = self._points["living", ""]
        return _three(np.array(points) ** power)

    def survivors(self, stage: str, generator: np.random.Generator, n_draws: int) -> Array:
        """Draws of the share of a batch's potted plants that live to a stage, (n_draws,) [-]."""
        drawn = share_draws(self.grid, self._weights, generator, n_draws)
        return np.asarray(drawn ** HAZARD_BEHIND.get(stage, 0.0))

    def days(self, stage: str, wood: str) -> Points | None:
        """Days to a stage: 10, 50 and 90 per cent points [days]; None where nobody says.

        Finished counts from sticking, the others from potting.
        """
        if stage == "potted":
            return 0.0, 0.0, 0.0
        curve = self.prior.curve(wood, stage)
        if curve is None or stage not in self.scores:
            return self.prior.days_to(wood, stage)
        if (stage, wood) not in self._points:
            self._points[stage, wood] = _three(points_of_days(curve, self.scores[stage]))
        return self._points[stage, wood]

    def days_drawn(self, stage: str, wood: str, generator: np.random.Generator, n_draws: int) -> Array | None:
        """Draws of the days of a young plant to a stage, (n_draws,) [days]; None where nobody says."""
        if stage == "potted":
            return np.zeros(n_draws)
        curve = self.prior.curve(wood, stage)
        scores = self.scores[stage] if stage in self.scores else learn_scores({})[""]
        return None if curve is None else days_draws(curve, scores, generator, n_draws)

    def prior_share(self, what: str) -> float:
        """How much of a stage's days, or of ``survive``, is still the handbook's word, 0 to 1 [-]."""
        return self.prior_shares.get(what, 1.0)

    @property
    def _weights(self) -> Array:
        return self.grid.unseen if self.shares is None else self.shares


def _three(points: Array) -> Points:
    p10, p50, p90 = (float(point) for point in points)
    return p10, p50, p90


@dataclass(frozen=True, slots=True)
class Growth:
    """What a garden's records teach of growing on, by genus as the handbook's pages cut it."""

    batches: Mapping[str, tuple[Grown, ...]] = field(default_factory=dict)

    def of(self, taxon: str, page: Page | None) -> GrowsOn:
        """Return what is known of a plant: learned where its genus was grown, else the handbook's alone."""
        batches = self.batches.get(group_of(taxon, page), ())
        prior = prior_of_page(page)
        if not batches:
            return GrowsOn(prior)
        genus = _learned(batches, prior)
        return genus.get(taxon) or genus[""]


def group_of(taxon: str, page: Page | None) -> str:
    """Return the group whose plants teach each other: a page of the handbook, else the genus.

    Parameters
    ----------
    taxon : str
        Botanical name.
    page : Page or None
        The handbook's; None where it has none.

    Returns
    -------
    str
        The page's key, or the genus.

    References
    ----------
    Our own.

    Examples
    --------
    >>> group_of("Acer campestre", None), group_of("\u00d7 Fatshedera lizei", None)
    ('Acer', 'Fatshedera')
    """
    return page.key if page else genus_of(taxon)


def learn_growing(batches: Iterable[Grown], pages: Mapping[str, Page | None]) -> Growth:
    """Learn from what became of potted plants.

    Parameters
    ----------
    batches : iterable of Grown
        Every batch that was potted, in any order.
    pages : mapping of str to Page or None
        The handbook's page of each taxon.

    Returns
    -------
    Growth
        By genus; each is worked out when it is first asked for, and again only where its records differ.

    Notes
    -----
    Share that lives: hierarchical beta, on a grid (`slipwright.rooting.surviving`).  Days: log-normal
    about the handbook's middles, on a grid of scores (`slipwright.rooting.ready_days`).  No draw is taken.
    Of a plant whose batches were written about in part only, the quick or the unlucky ones may have been
    written about first: its records count to the power of the share of batches followed
    (`slipwright.rooting.grown.share_followed`).

    References
    ----------
    As those modules.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = learn_growing([], {}).of("Rosa", load_handbook().page_of("Rosa"))
    >>> [round(days) for days in rose.days("weaned", "semi-hardwood")]
    [7, 14, 28]
    """
    found: dict[str, list[Grown]] = {}
    for grown in batches:
        found.setdefault(group_of(grown.taxon, pages.get(grown.taxon)), []).append(grown)
    return Growth(
        {
            group: tuple(sorted(some, key=lambda one: (one.taxon, one.batch)))
            for group, some in found.items()
            if any(one.became for one in some)
        }
    )


@lru_cache(maxsize=512)
def _learned(batches: tuple[Grown, ...], prior: GrowPrior) -> dict[str, GrowsOn]:
    """Return what a genus's batches teach, by plant, and under an empty name of one never seen."""
    plants: dict[str, list[Grown]] = {}
    followed = [one for one in batches if one.became]
    for grown in followed:
        plants.setdefault(grown.taxon, []).append(grown)
    last = max(one.on for grown in followed for one in grown.became)

    def weights(stage: str = "") -> dict[str, float]:
        return {
            taxon: share_followed([one for one in batches if one.taxon == taxon], stage, last)
            for taxon in plants
        }

    grid, unseen = share_grid(*prior.survive), learn_scores({})[""]
    shares = learn_shares(grid, {taxon: _fates(some, prior) for taxon, some in plants.items()}, weights())
    scores = {
        stage: learn_scores(
            {taxon: _came(some, prior, stage) for taxon, some in plants.items()}, weights(stage)
        )
        for stage in LEARNED
    }
    before = {"survive": _var_log_odds(grid, grid.unseen), **dict.fromkeys(LEARNED, var_score(unseen))}
    return {
        name: GrowsOn(
            prior,
            shares[name],
            {stage: scores[stage][name] for stage in LEARNED},
            {
                what: min(now / before[what], 1.0)
                for what, now in {
                    "survive": _var_log_odds(grid, shares[name]),
                    **{stage: var_score(scores[stage][name]) for stage in LEARNED},
                }.items()
            },
            n_followed(followed),
            len(followed),
            len(batches),
        )
        for name in shares
    }


def _fates(batches: Iterable[Grown], prior: GrowPrior) -> list[Fate]:
    return [fate for grown in batches if (fate := fate_of(grown, prior)) is not None]


def _came(batches: Iterable[Grown], prior: GrowPrior, stage: str) -> list[list[Came]]:
    # where the handbook has no days at all a stage's scores stay as they were
    return [
        came
        for grown in batches
        if (curve := prior.curve(grown.wood, stage)) is not None and (came := came_of(grown, stage, curve))
    ]


def _var_log_odds(grid: ShareGrid, weights: Array) -> float:
    of_mean = weights.sum(axis=1)
    mean = of_mean @ grid.log_odds
    return float((of_mean * (grid.log_odds - mean) ** 2).sum())
