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
from slipwright.records.selectors.door import all_gardens, owners_without_sign_in
from slipwright.records.selectors.gardens import demonstration_stands, garden_day, garden_names, the_garden
from slipwright.records.selectors.growing import Growing, growing_of, growing_on
from slipwright.records.selectors.history import (
    Happened,
    History,
    TakenBack,
    entry_of_batch,
    history_of,
    is_taken_back,
    places_named,
    whole_batch,
)
from slipwright.records.selectors.labels import LabelOf, labels_of
from slipwright.records.selectors.members import member_named, members_of, memberships_of, nobody_yet
from slipwright.records.selectors.plants import Stock, rights_of, stock_plants, usual_method
from slipwright.records.selectors.pots import young_pots
from slipwright.records.selectors.reference import (
    keys_of,
    reference_row,
    reference_rows,
    row_there,
    taxon_names,
    uses_of,
)
from slipwright.records.selectors.seen import (
    BatchFromPlant,
    SeenOfPlant,
    ShootsCut,
    batches_from_plant,
    seen_of_plant,
    shoots_cut,
)
from slipwright.records.selectors.wants import WantNow, wants
from slipwright.records.selectors.weather import weather_of, weather_on

__all__ = [
    "BatchFromPlant",
    "BatchNow",
    "Growing",
    "Happened",
    "History",
    "LabelOf",
    "SeenOfPlant",
    "ShootsCut",
    "Stock",
    "TakenBack",
    "WantNow",
    "all_gardens",
    "batch_by_code",
    "batches_from_plant",
    "counts_of",
    "demonstration_stands",
    "entry_of_batch",
    "garden_day",
    "garden_names",
    "growing_of",
    "growing_on",
    "history_of",
    "is_taken_back",
    "keys_of",
    "labels_of",
    "looks_of",
    "member_named",
    "members_of",
    "memberships_of",
    "nobody_yet",
    "open_batches",
    "owners_without_sign_in",
    "places_named",
    "pottings_of",
    "reference_row",
    "reference_rows",
    "rights_of",
    "row_there",
    "seen_of_plant",
    "shoots_cut",
    "states_of_all_batches",
    "states_of_batches",
    "states_of_open_batches",
    "stock_plants",
    "taxon_names",
    "the_garden",
    "uses_of",
    "usual_method",
    "wants",
    "weather_of",
    "weather_on",
    "whole_batch",
    "young_pots",
]
