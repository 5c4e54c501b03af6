"""Invented seasons of a nursery: wants, four ways to make each, and the room there is.

Every rate, time, cost and size here is made up. Weeks count from a Monday in January and run to the end of
June of the next year (78). A want is one taxon, wanted in autumn (weeks 44 to 52, a third) or spring (60 to
76), as 40 to 1,200 plants (log-normal about 170), with assurance .8, .9 or .95, in containers of 12, 24 or
48.

Four methods: softwood under mist (weeks 18 to 26), semi-hardwood dipped (27 to 38) or with talc (27 to 38),
hardwood (44 to 56); none but hardwood within 4 weeks of the taxon's bloom; every second week is offered, in
both years. Shoots of each wood of each taxon, two cuttings a shoot: 1.5 to 4 times the plants wanted.

A draw of a batch: chance of rooting = logistic(method's mean + taxon + taxon x method + batch effect), the
first two effects normal with sd .4 and .3 once a want, the last with sd .45 once a batch; times the share
that outlives potting and growing on (.8 to .97); times the chance that weeks to roots (log-normal, sd .3,
found at the next weekly look, given up at 2.2 medians) and weeks to size (log-normal, sd .2) together end
by the due week. Both medians are stretched by one factor of the want, log-normal with sd .12.

Rows: bench and nursery by the week [m2], hours by the week, shoots of a taxon's wood by the season.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np

from slipwright.season.asked import Drawn, Option, Row, Season, Want
from slipwright.season.counts import generator_of

FIRST = date(2029, 1, 1)
N_WEEKS = 78
WOODS = ("softwood", "semi-hardwood", "semi-hardwood", "hardwood")
METHODS = ("softwood-mist", "semi-dip", "semi-talc", "hardwood-open")
WEEKS = ((18, 26), (27, 38), (27, 38), (44, 56))
ROOT_WEEKS = (4.5, 6.0, 7.0, 13.0)
GROW_WEEKS = (13.0, 12.0, 12.0, 11.0)
MEAN_LOGIT = (0.4, 0.8, 0.5, 0.3)
SD_TAXON, SD_METHOD, SD_BATCH, SD_STRETCH = 0.4, 0.3, 0.45, 0.12
SD_ROOT, SD_GROW, GIVEN_UP = 0.3, 0.2, 2.2
STRETCHES = np.linspace(-0.6, 0.6, 61)
KINDS, ENDLESS = ("bench", "nursery", "hours"), 1e9
HOURS_STICK, HOURS_BATCH, HOURS_POT, HOURS_LOOK = 0.006, 0.5, 0.012, 0.0002


@dataclass(frozen=True)
class Taxon:
    """What is true on average of one want's plant."""

    logit: tuple[float, ...]
    surviving: float
    root_weeks: tuple[float, ...]
    grow_weeks: tuple[float, ...]
    due: int
    area: float
    pot_area: float


def normal_cdf(z: np.ndarray) -> np.ndarray:
    from scipy.special import ndtr

    return ndtr(z)


def in_time(root: float, grow: float, weeks: int, stretch: np.ndarray) -> np.ndarray:
    """Chance that a cutting that roots at all is ready within so many weeks."""
    look = np.arange(1, math.ceil(root * GIVEN_UP * 2) + 1)[:, None]
    middle = np.log(root) + stretch
    given_up = np.minimum(look, np.floor(GIVEN_UP * root))
    found = normal_cdf((np.log(given_up) - middle) / SD_ROOT) - normal_cdf(
        (np.log(np.maximum(np.minimum(look - 1, np.floor(GIVEN_UP * root)), 1e-9)) - middle) / SD_ROOT
    )
    left = np.maximum(weeks - look, 1e-9)
    return (found * normal_cdf((np.log(left) - np.log(grow) - stretch) / SD_GROW)).sum(axis=0)


class World:
    """A season, the truth behind it, and draws of it."""

    def __init__(self, n_wants: int, seed: int) -> None:
        self.seed = seed
        self.shoots: dict[tuple[str, str], float] = {}
        self.taxa: dict[str, Taxon] = {}
        self.place: dict[tuple[str, str], tuple[int, int]] = {}
        generator = np.random.default_rng([seed, n_wants])
        wants = [self._want(f"w{number:03}", generator) for number in range(n_wants)]
        rows = [
            Row(f"{kind}/{week}", kind, kind, monday(week), ENDLESS)
            for kind in KINDS
            for week in range(N_WEEKS)
        ]
        shoots = [
            Row(f"shoots/{want.want}/{wood}", "shoots", want.want, None, self.shoots[want.want, wood])
            for want in wants
            for wood in ("softwood", "semi-hardwood", "hardwood")
        ]
        self.season = Season(tuple(wants), (*rows, *shoots))

    def _want(self, name: str, g: np.random.Generator) -> Want:
        n_wanted = int(np.clip(np.exp(g.normal(math.log(170), 0.8)), 40, 1200))
        due = int(g.integers(44, 53)) if g.random() < 0.35 else int(g.integers(60, 77))
        bloom = int(g.integers(18, 36))
        per = int(g.choice([12, 24, 48]))
        taxon = Taxon(
            tuple(float(m + g.normal(0, 0.5)) for m in MEAN_LOGIT),
            float(g.uniform(0.8, 0.97)),
            tuple(float(m * np.exp(g.normal(0, 0.15))) for m in ROOT_WEEKS),
            tuple(float(m * np.exp(g.normal(0, 0.15))) for m in GROW_WEEKS),
            due,
            0.0025,
            0.012,
        )
        self.taxa[name] = taxon
        costs = g.uniform(0.25, 0.5, 4)
        options = []
        for method in range(4):
            for year in (0, 52):
                for week in range(WEEKS[method][0] + year, WEEKS[method][1] + year + 1, 2):
                    closed = abs((week % 52) - bloom) < 4 and method < 3
                    if closed or week >= due - 6 or week >= N_WEEKS:
                        continue
                    options.append(self._option(name, taxon, method, week, per, float(costs[method])))
        for wood in ("softwood", "semi-hardwood", "hardwood"):
            self.shoots[name, wood] = float(np.ceil(n_wanted * g.uniform(1.5, 4.0)))
        value = float(np.round(g.uniform(2.5, 5.0), 1))
        assurance = float(g.choice([0.8, 0.9, 0.95]))
        return Want(
            name, name, n_wanted, monday(due), assurance, tuple(options), value, f"{self.seed}/{name}"
        )

    def _option(self, name: str, taxon: Taxon, method: int, week: int, per: int, cost: float) -> Option:
        option = f"{METHODS[method]}/{week}"
        self.place[name, option] = (method, week)
        root = taxon.root_weeks[method]
        rate = 1 / (1 + math.exp(-taxon.logit[method]))
        use: dict[str, float] = {}
        once: dict[str, float] = {}
        potted_before = 0.0
        last = min(N_WEEKS, week + math.floor(GIVEN_UP * root) + 1)
        for at in range(week, N_WEEKS):
            ago = at - week
            rooted = rate * float(normal_cdf(np.array((math.log(max(ago, 1e-9) / root)) / SD_ROOT)))
            hours = HOURS_STICK if ago == 0 else 0.0
            if at < last:
                use[f"bench/{at}"] = taxon.area * (1 - rooted)
                hours += HOURS_LOOK
            if at <= taxon.due:
                use[f"nursery/{at}"] = taxon.pot_area * rooted
                hours += HOURS_POT * (rooted - potted_before)
            potted_before = rooted
            if hours > 1e-9 and (at < last or at <= taxon.due):
                use[f"hours/{at}"] = hours
        once[f"hours/{week}"] = HOURS_BATCH
        use = {row: amount for row, amount in use.items() if amount > 1e-9}
        use[f"shoots/{name}/{WOODS[method]}"] = 0.5
        return Option(
            option, name, WOODS[method], METHODS[method], monday(week), name, per, cost, 8.0, use, once
        )

    def draws(self, want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        """Draw as a programme asks for it."""
        taxon = self.taxa[want.want]
        shared = generator_of(seed, want.want, "taxon")
        effect = shared.standard_normal(n_draws) * SD_TAXON
        stretch = shared.standard_normal(n_draws) * SD_STRETCH
        of_method = shared.standard_normal((4, n_draws)) * SD_METHOD
        ready = np.empty((len(places), n_draws), np.float32)
        for row, place in enumerate(places):
            option = want.options[place]
            method, week = self.place[want.want, option.option]
            batch = generator_of(seed, want.want, option.option, "batch").standard_normal(n_draws) * SD_BATCH
            rooting = 1 / (1 + np.exp(-(taxon.logit[method] + effect + of_method[method] + batch)))
            grid = self._in_time(want.want, method, week)
            ready[row] = rooting * taxon.surviving * np.interp(stretch, STRETCHES, grid)
        return Drawn(np.clip(ready, 0, 1))

    @cache  # noqa: B019
    def _in_time(self, name: str, method: int, week: int) -> np.ndarray:
        taxon = self.taxa[name]
        return in_time(taxon.root_weeks[method], taxon.grow_weeks[method], taxon.due - week, STRETCHES)


def monday(week: int) -> date:
    return FIRST + timedelta(weeks=week)
