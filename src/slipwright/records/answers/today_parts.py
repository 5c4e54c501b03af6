"""The parts of Today: cards, places, and the round as far as one page shows it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from slipwright.advice.round import Act
from slipwright.records.answers.told import Curve, ToldAct
from slipwright.records.models import WeatherDay
from slipwright.records.selectors import BatchNow


@dataclass(frozen=True, slots=True)
class Card:
    """A batch, a stock plant or the place itself, and what it asks for today."""

    acts: tuple[ToldAct, ...]
    taxon: str = ""
    batch: BatchNow | None = None
    plant: str = ""
    days: int | None = None
    curve: Curve | None = None

    @property
    def rank(self) -> int:
        """0 where it cannot wait, 1 where it is due, 2 where it is calm."""
        if any(act.urgent for act in self.acts):
            return 0
        due = (act.is_asked and act.act in ("pot_up", "cut", "shade") for act in self.acts)
        return 1 if any(due) else 2


@dataclass(slots=True)
class PlaceToday:
    """A place on the walk: the cards shown, and what else stands there."""

    place: str
    number: int = 0
    cards: list[Card] = field(default_factory=list)
    #: cards of this place, shown or not
    n_to_do: int = 0
    #: batches that stand here
    n_here: int = 0
    #: batches with a card
    n_batches_to_do: int = 0
    #: where the cards shown begin, and whether there are more before or after them
    start: int = 0
    #: batches stuck today that ask for nothing yet
    n_new: int = 0
    #: batches without a card, stuck before today, that nobody looked at today
    to_note: list[str] = field(default_factory=list)
    #: batches looked at today and when that was received by the garden's clock, the last one first
    looked: list[tuple[BatchNow, datetime]] = field(default_factory=list)
    order: int | None = None
    #: whether cuttings stand under mist here
    has_mist: bool = False

    @property
    def n_looked(self) -> int:
        """Batches looked at today."""
        return len(self.looked)

    @property
    def n_to_note(self) -> int:
        """Batches that a look without counts would do justice to."""
        return len(self.to_note)

    @property
    def last_received(self) -> datetime | None:
        """When the last look of today was received."""
        return max((at for _, at in self.looked), default=None)

    @property
    def n_hidden(self) -> int:
        """Cards that are not shown."""
        return self.n_to_do - len(self.cards)

    @property
    def next_start(self) -> int | None:
        """Where the next cards begin; None after the last."""
        after = self.start + len(self.cards)
        return after if after < self.n_to_do else None


@dataclass(frozen=True, slots=True)
class TodayRound:
    """The round of a day, as far as one page shows it."""

    on: date
    #: places with something to do, as one walks
    places: tuple[PlaceToday, ...]
    #: places where nothing is left to do and something was looked at
    done_places: tuple[PlaceToday, ...]
    n_open: int
    n_need: int
    n_wait: int
    #: batches whose forecast is still being worked out
    n_working: int
    #: batches that ask for nothing, the first few
    quiet: tuple[BatchNow, ...]
    n_looked: int
    n_potted: int
    n_stuck: int
    weather: WeatherDay | None
    heat: tuple[Act, ...]
    frost: tuple[Act, ...]
    #: stock plants whose season is still being worked out
    n_plants_working: int = 0
    #: the day the oldest season of those told was worked out on, None where all are this day's
    plants_told_on: date | None = None

    @property
    def has_more_quiet(self) -> bool:
        """Whether more batches ask for nothing than are named."""
        return self.n_wait > len(self.quiet)
