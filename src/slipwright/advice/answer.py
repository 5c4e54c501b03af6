"""The answer to one question, as data and as text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from slipwright.advice._shelter import Shelter
from slipwright.advice.asked import Asked
from slipwright.advice.odds import Odds
from slipwright.advice.steps import WorkStep, caution_json
from slipwright.advice.timing import BloomNow, Opening
from slipwright.craft.cautions import Caution
from slipwright.craft.wood import Window
from slipwright.handbook.pages import Dose, Page, WoodLeaf
from slipwright.rooting.belief_left import share_in_words
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.potting import DayRange
from slipwright.rooting.resting import RestsOn

Verdict = Literal["yes", "soon", "no", "not_allowed", "unknown"]


@dataclass(frozen=True, slots=True)
class Saving:
    """Growing against buying, in the money of the price given."""

    n_wanted: int
    price_each: float
    buying: float
    materials: float
    saved: float
    currency: str
    text: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "n_wanted": self.n_wanted,
            "price_each": self.price_each,
            "buying": round(self.buying, 2),
            "materials": round(self.materials, 2),
            "saved": round(self.saved, 2),
            "currency": self.currency,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True)
class Better:
    """A later wood of the same plant that roots clearly better."""

    wood: str
    from_on: date
    p_rooted: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do with the best wood: begun on ``start_on``, which may lie ahead."""

    page: Page
    leaf: WoodLeaf
    opening: Opening
    start_on: date
    leaves: str
    leafless: bool
    cover: str
    dose: Dose | None
    odds: Odds
    n_to_stick: int | None
    p_reached: float | None
    n_containers: int | None
    n_per_container: int
    pot_l: float
    steps: tuple[WorkStep, ...]
    cautions: tuple[Caution, ...]
    look_on: tuple[date, ...]
    pot_up_on: DayRange
    ready_on: DayRange
    saving: Saving | None
    #: what is known of growing on
    grows: GrowsOn
    south: bool = False

    @property
    def shelter(self) -> Shelter:
        """What the cuttings stand under from the day they are stuck."""
        return Shelter(self.leaf, self.cover, self.leafless, self.start_on, self.south)

    @property
    def roots_within(self) -> tuple[date, date]:
        """The days on which a cutting that roots likely does: the 10 and the 90 per cent point."""
        early, late = (timedelta(days=round(7 * self.odds.weeks_to_root[i])) for i in (0, 2))
        return self.start_on + early, self.start_on + late

    def best_json(self) -> dict[str, Any]:
        """Plain data under ``best``."""
        leaf = self.leaf
        points = zip(("p10", "p50", "p90"), self.odds.p_rooted, self.odds.weeks_to_root, strict=True)
        shares, weeks = {}, {}
        for name, share, week in points:
            shares[name], weeks[name] = round(share, 3), round(week, 1)
        return {
            "wood": leaf.wood,
            "cutting": leaf.cutting,
            "length_mm": {"low": leaf.length_mm.low, "high": leaf.length_mm.high},
            "n_nodes": {"low": round(leaf.n_nodes.low), "high": round(leaf.n_nodes.high)},
            "leaves": self.leaves,
            "p_rooted": shares,
            "weeks_to_root": weeks,
        }


@dataclass(frozen=True, slots=True)
class Advice:
    """A straight answer: the verdict, why, and what follows from it."""

    asked: Asked
    verdict: Verdict
    why: str
    taxon: str
    common_name: str
    windows: tuple[Window, ...]
    bloom: BloomNow | None
    plan: Plan | None
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]
    beside: tuple[str, ...]
    notes: tuple[str, ...]
    rests_on: RestsOn
    #: what it rests on, without what stands beside it and what was assumed
    basis: str
    #: a wood worth waiting for, where the plan's is clearly the poorer one
    better: Better | None = None

    @property
    def still_handbook(self) -> str:
        """How much is still the handbook's, as a sentence; empty where no records speak."""
        rests_on = self.rests_on
        speaks = rests_on.n_batches > 0 or rests_on.prior_share < 1
        return share_in_words(rests_on.prior_share) if speaks else ""

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/advise.json`` has it."""
        plan = self.plan
        return {
            "verdict": self.verdict,
            "why": self.why,
            "windows": [window_json(window) for window in self.windows],
            "bloom": self.bloom.as_json() if self.bloom else {},
            "best": plan.best_json() if plan else {},
            "n_to_stick": plan.n_to_stick if plan else None,
            "n_containers": plan.n_containers if plan else None,
            "steps": [step.as_json() for step in plan.steps] if plan else [],
            "look_on": [day.isoformat() for day in plan.look_on] if plan else [],
            "pot_up_on": plan.pot_up_on.as_json() if plan else {},
            "ready_on": _ready_json(plan.ready_on) if plan else {},
            "saving": plan.saving.as_json() if plan and plan.saving else {},
            "cautions": [caution_json(caution) for caution in self.cautions],
            "sources": list(self.sources),
            "rests_on": self.rests_on.as_json(),
        }

    def as_text(self) -> str:
        """Plain words for a terminal: the answer first, as a sentence."""
        from slipwright.advice.telling import text_of_advice

        return text_of_advice(self)


def _ready_json(ready_on: DayRange) -> dict[str, str | None]:
    days = ready_on.as_json()
    return {"ready_as": days.pop("rule"), **days}


def window_json(window: Window) -> dict[str, Any]:
    """Return a window as plain data.

    Parameters
    ----------
    window : Window
        A run of days.

    Returns
    -------
    dict
        Its wood, days and chance today.

    References
    ----------
    As ``docs/contract/advise.json``.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> from slipwright.advice.timing import windows_of_page
    >>> run = windows_of_page(load_handbook().page_of("Rosa"), date(2026, 10, 20))[0]
    >>> window_json(run)["wood"]
    'semi-hardwood'
    """
    return {
        "wood": window.wood,
        "opens_on": window.opens_on.isoformat(),
        "closes_on": window.closes_on.isoformat(),
        "sure_from": window.sure_from.isoformat() if window.sure_from else None,
        "sure_to": window.sure_to.isoformat() if window.sure_to else None,
        "p_open": round(window.p_open, 3),
    }
