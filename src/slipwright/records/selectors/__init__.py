"""Reading the records: one function a set, plain values out."""

from slipwright.records.selectors.batches import (
    BatchNow,
    batch_by_code,
    counts_of,
    looks_of,
    open_batches,
    pottings_of,
    states_of_all_batches,
    states_of_batches,
    states_of_open_batches,
)
from slipwright.records.selectors.gardens import garden_day, garden_names, the_garden
from slipwright.records.selectors.labels import LabelOf, labels_of
from slipwright.records.selectors.members import member_named, members_of, memberships_of, nobody_yet
from slipwright.records.selectors.plants import Stock, rights_of, stock_plants, usual_method
from slipwright.records.selectors.pots import young_pots
from slipwright.records.selectors.wants import WantNow, wants
from slipwright.records.selectors.weather import weather_of, weather_on

__all__ = [
    "BatchNow",
    "LabelOf",
    "Stock",
    "WantNow",
    "batch_by_code",
    "counts_of",
    "garden_day",
    "garden_names",
    "labels_of",
    "looks_of",
    "member_named",
    "members_of",
    "memberships_of",
    "nobody_yet",
    "open_batches",
    "pottings_of",
    "rights_of",
    "states_of_all_batches",
    "states_of_batches",
    "states_of_open_batches",
    "stock_plants",
    "the_garden",
    "usual_method",
    "wants",
    "weather_of",
    "weather_on",
    "young_pots",
]
