"""A piece of work and its steps, as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.advice._shelter import Shelter
from slipwright.craft.cautions import Caution
from slipwright.handbook.pages import Dose, Page, WoodLeaf
from slipwright.outputs.measures import First


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: a short name, what to do in a few words, how, and the cautions that belong to it."""

    key: str
    title: str
    text: str
    cautions: tuple[Caution, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "key": self.key,
            "title": self.title,
            "text": self.text,
            "cautions": [caution_json(caution) for caution in self.cautions],
        }


@dataclass(frozen=True, slots=True)
class Work:
    """What the steps are fitted to: plant, wood, cover, whether leaves stay, numbers, pots and season."""

    page: Page
    leaf: WoodLeaf
    dose: Dose | None
    cover: str
    leafless: bool
    leaves: str
    n_to_stick: int
    n_containers: int
    pot_l: float
    round_days: int
    #: the day they are stuck; without it dormant wood is taken to be stuck in winter
    start_on: date | None = None
    south: bool = False
    first: First = "metric"

    @property
    def shelter(self) -> Shelter:
        """What they stand under."""
        return Shelter(self.leaf, self.cover, self.leafless, self.start_on, self.south)


def caution_json(caution: Caution) -> dict[str, str]:
    """Return a caution as plain data.

    Parameters
    ----------
    caution : Caution
        The caution.

    Returns
    -------
    dict
        Its key, text and place.

    References
    ----------
    As the caution's own.

    Examples
    --------
    >>> caution_json(Caution("blade", "Cut away from the hand.", "cutting"))["where"]
    'cutting'
    """
    return {"key": caution.key, "text": caution.text, "where": caution.where}
