"""What else was seen and done in the demonstration garden: cutting back, moves, shade, words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from slipwright.records.demo.setting import (
    BEGINS_ON,
    STANDS_ON,
    Luck,
    Row,
    coldest,
    rows_by_hand,
    season_of,
    warmest,
)
from slipwright.records.demo.sticking import Stuck, page_of

SHADE_C: Final = 31.0
PROTECT_C: Final = -2.0
_OFFSET: Final = "-07:00"
#: day: lowest and highest temperature of a forecast made on the day the garden stands at [°C]
_FORECAST: Final = ((12.4, 32.0), (13.1, 30.2), (11.8, 27.5), (11.0, 24.1), (10.6, 22.8), (10.9, 23.4))
#: plant, day and what was seen: wood looked for and not taken
_NOT_TAKEN: Final = (
    ("Gate rose", "2013-05-16", "looked for wood: every shoot in bud; none taken, wait for the first flush"),
    ("Tallow north", "2014-05-22", "budded to the tips; none taken"),
    ("Lavender row", "2014-06-05", "flower stems showing on nearly all shoots; none taken before August"),
    ("Quiet pier", "2014-06-12", "a head to be felt in every tip; too late for this year"),
    ("Sage 1", "2015-05-21", "budded; leave it until the flowers are off"),
)
_WORDS: Final = (
    ("Gate rose", "2014-10-08", "spent shoots with plump round buds on the south side; leave the tall canes"),
    ("Tern cap", "2013-12-12", "brown after the frost; cut back in April and see"),
    ("Ferry bell 1", "2013-03-21", "asked at the gate again: protected, so not even for a neighbour"),
    ("Slack water 1", "2015-01-15", "count for the licence sent in: 31 last year"),
    ("Blackcurrant 2", "2015-02-05", "looked for big bud again; clean"),
)


def acts(batches: Sequence[Stuck], plants: Sequence[Row], looks: Sequence[Row]) -> list[Row]:
    """Return what was done to places, plants and batches."""
    return [*_to_places(), *_to_plants(plants), *_moves(batches, looks)]


def beds() -> list[Row]:
    """Return what was seen of the mist bed."""
    found = []
    for number, (on, tmax_c) in enumerate(warmest().items()):
        luck = Luck("bed", number)
        dry = on >= BEGINS_ON and tmax_c >= SHADE_C - 2 and luck.happens(0.35)
        soggy = on >= BEGINS_ON and on.month in (5, 6, 7, 8) and tmax_c < 20 and luck.happens(0.05)
        if dry or soggy:
            seen = "leaves-dry" if dry else "medium-soggy"
            at = f"{on}T{'14:10' if dry else '09:30'}:00{_OFFSET}"
            found.append({"place": "Mist bench", "at": at, "seen": seen, "by": "tam" if dry else "bea"})
    return found


def notes(batches: Sequence[Stuck]) -> list[Row]:
    """Return words about plants, and about a few batches."""
    found = [
        {"about": about, "at": f"{on}T10:20:00{_OFFSET}", "text": text, "by": "orla"}
        for about, on, text in (*_NOT_TAKEN, *_WORDS)
    ]
    said = (
        "two soft at the base, pot was wet through",
        "stood in the sun for an afternoon; moved back under the cloth",
        "the blade was cleaned between plants this time",
        "the ones at the rim are ahead of those in the middle",
    )
    for number, text in enumerate(said):
        batch = batches[(number + 1) * len(batches) // 5]
        at = f"{batch.stuck_on + timedelta(days=9)}T17:05:00{_OFFSET}"
        found.append({"about": batch.row["batch"], "at": at, "text": text, "by": "jun"})
    return found


def forecasts() -> list[Row]:
    """Return an invented forecast made on the day the garden stands at, that day included."""
    return [
        {
            "on": (STANDS_ON + timedelta(days=ahead)).isoformat(),
            "tmin_c": str(tmin_c),
            "tmax_c": str(tmax_c),
            "source": "invented forecast",
            "made_on": STANDS_ON.isoformat(),
        }
        for ahead, (tmin_c, tmax_c) in enumerate(_FORECAST)
    ]


def _to_places() -> list[Row]:
    found = []
    for on, tmax_c in warmest().items():
        if on < BEGINS_ON:
            continue
        if tmax_c >= SHADE_C:
            found.append({"on": on.isoformat(), "place": "Tent 1", "act": "shade", "by": "tam"})
        if coldest()[on] <= PROTECT_C:
            cold = {"on": on.isoformat(), "place": "Cold frame", "act": "protect-from-frost", "by": "orla"}
            found.append(cold)
        if on.day == 1 and on.month in (3, 9):
            found.append({"on": on.isoformat(), "place": "Mist bench", "act": "clean", "by": "jun"})
    return found


def _to_plants(plants: Sequence[Row]) -> list[Row]:
    found = []
    for number, plant in enumerate(plants):
        genus = page_of(plant["taxon"]).genus
        for year in range(BEGINS_ON.year, STANDS_ON.year + 1):
            luck = Luck(f"acts {year}", number)
            days = []
            if genus == "Rosa":
                days = [((2, 20), "cut-back", "to two buds on the younger canes"), ((7, 28), "deadhead", "")]
            elif genus == "Lavandula":
                days = [((8, 16), "cut-back", "flower stems off, none into old wood")]
            elif genus in ("Ribes", "Hydrangea"):
                days = [((3, 8), "feed", ""), ((8, 9), "water", "the evening before cutting")]
            for (month, day), act, note in days:
                on = date(year, month, day) + timedelta(days=luck.whole(-5, 8))
                if BEGINS_ON <= on < STANDS_ON and luck.happens(0.6):
                    done = {"on": on.isoformat(), "plant": plant["plant"], "act": act, "note": note}
                    found.append(done | {"by": luck.one({"bea": 2, "tam": 2, "jun": 1})})
    return found


def _moves(batches: Sequence[Stuck], looks: Sequence[Row]) -> list[Row]:
    """Return batches moved off the mist to make room, on the day of a look at them."""
    found = []
    for number, batch in enumerate(batches):
        luck = Luck("move", number)
        if batch.row["place"] != "Mist bench" or not luck.happens(0.25):
            continue
        days = [look["on"] for look in looks if look["batch"] == batch.row["batch"]]
        if len(days) > 4:
            to_place = luck.one({"Tent 1": 1, "Shelf": 1})
            moved = {"on": days[3], "batch": batch.row["batch"], "act": "move", "to_place": to_place}
            room = f"room for the {season_of(batch.stuck_on)} lots" if luck.happens(0.3) else ""
            found.append(moved | {"by": "tam", "note": room})
    return found


def raised_here(outcomes: Sequence[Row], batches: Sequence[Stuck]) -> list[Row]:
    """Return a stock plant that was raised in a batch of this garden."""
    taxon = "Rosa 'Lantern Keeper'"
    of_taxon = {batch.row["batch"] for batch in batches if batch.row["taxon"] == taxon}
    parent = dict(rows_by_hand("plants")[0])
    for row in outcomes:
        if row["batch"] in of_taxon and row["ready_as"] == "finished":
            parent |= {"plant": "Gate rose 4", "place": "Long border", "planted_on": row["on"]}
            parent |= {"origin": "", "from_batch": row["batch"], "health": "clean", "note": "raised here"}
            return [parent | {"shoots_per_season": "6", "shoot_length_mm": "350", "nodes_per_shoot": "11"}]
    return []
