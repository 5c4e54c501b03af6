"""What was stuck in the demonstration garden, when and how: in the months of the handbook, mostly."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from typing import Final

from slipwright.handbook import load_handbook
from slipwright.handbook.pages import Dose, Page, Wood, WoodLeaf
from slipwright.records.codes import SHORT, new_code
from slipwright.records.demo.setting import (
    BEGINS_ON,
    STANDS_ON,
    Luck,
    Row,
    days_between,
    rows_by_hand,
    season_of,
)
from slipwright.records.demo.shoots import Shoots
from slipwright.rooting.cuttings import Cuttings

#: batches of a taxon in a usual season; what is not here is not multiplied
BATCHES: Final = {
    "Rosa 'Lantern Keeper'": 9,
    "Rosa 'Salt Letter'": 3,
    "Rosa 'Slack Water'": 4,
    "Rosa 'Tallow Light'": 5,
    "Rosa × alba 'Marsh Bride'": 3,
    "Lavandula angustifolia 'Grey Heron'": 7,
    "Lavandula angustifolia 'Low Lamp'": 5,
    "Lavandula × intermedia 'Sea Fret'": 3,
    "Lavandula stoechas 'Tern Cap'": 2,
    "Salvia rosmarinus 'Breakwater'": 6,
    "Salvia rosmarinus 'Curlew Bank'": 3,
    "Salvia officinalis 'Harbour Wall'": 4,
    "Salvia officinalis 'Plum Sail'": 3,
    "Punica granatum": 2,
    "Punica granatum 'Ember Buoy'": 3,
    "Ribes nigrum 'Tidewrack'": 5,
    "Ribes rubrum 'Signal Glass'": 3,
    "Ribes sanguineum 'Evening Ferry'": 3,
    "Ribes uva-crispa 'Dune Lantern'": 3,
    "Hydrangea macrophylla 'Low Tide'": 8,
    "Hydrangea serrata 'Small Tern'": 3,
    "Hydrangea paniculata 'Foam Line'": 4,
    "Hydrangea arborescens 'Quiet Pier'": 3,
    "Hydrangea quercifolia 'Rust Anchor'": 2,
}
#: how busy each season was beside a usual one, by the year it began
BUSY: Final = {2012: 0.75, 2013: 1.0, 2014: 1.1}
#: batches of soft wood stuck in the last weeks beside these
LAST_SPRING: Final = 44
LAST_SPRING_FROM: Final = date(2015, 4, 20)
#: the licence of 'Slack Water' is of this day
LICENSED: Final = ("Rosa 'Slack Water'", date(2013, 7, 1))
WOOD_SHARES: Final[dict[Wood, float]] = {"softwood": 0.33, "semi-hardwood": 0.40, "hardwood": 0.27}
#: one batch in so many is stuck before or after its months
OUT_OF_SEASON: Final = 0.1
#: so many days before it must be ready a batch may be stuck for a want; and how many of them are
WANT_DAYS: Final = (650, 230)
FOR_A_WANT: Final = 0.75
ROUND_WEEKDAYS: Final = (1, 3, 5)
MOST_CUTTINGS: Final = 60
#: fewer than this are not worth a pot
FEWEST_CUTTINGS: Final = 6

CALLED: Final = {
    "rose": "Rose",
    "rose-once": "Old rose",
    "lavender": "Lavender",
    "lavender-tender": "Tender lavender",
    "rosemary": "Rosemary",
    "sage": "Sage",
    "pomegranate": "Pomegranate",
    "currant": "Currant",
    "flowering-currant": "Flowering currant",
    "gooseberry": "Gooseberry",
    "hydrangea": "Hydrangea",
    "hydrangea-smooth": "Smooth hydrangea",
    "hydrangea-panicle": "Panicle hydrangea",
    "hydrangea-oakleaf": "Oakleaf hydrangea",
}
_PLACES: Final[dict[str, dict[str, float]]] = {
    "closed-bag": {"Mist bench": 3, "Tent 1": 3, "Tent 2": 2, "Shelf": 1},
    "loose-tent": {"Mist bench": 4, "Tent 2": 3, "Shelf": 1},
    "frame": {"Cold frame": 1},
    "none": {"Cold frame": 2, "Nursery bed": 1},
}
_RIPENESS: Final = {"upper": 0.36, "middle": 0.52, "lower": 0.72, "mixed": 0.5}
_BLOOM: Final = {"vegetative": 0.0, "budded": 0.7, "flowering": 1.0, "spent": 0.15}


@dataclass(frozen=True, slots=True)
class Stuck:
    """A batch as it was stuck: its row, its page and leaf, and what its clocks depend on."""

    row: Row
    page: Page
    leaf: WoodLeaf
    stuck_on: date
    n_stuck: int
    cuttings: Cuttings
    luck: Luck = field(repr=False)

    @property
    def kind(self) -> tuple[str, str, str]:
        """Return genus, taxon and season, which batches have effects in common by."""
        return self.page.genus, self.row["taxon"], str(season_of(self.stuck_on))

    @property
    def patience_days(self) -> float:
        """Return the garden's own patience, else the handbook's."""
        return float(_taxon(self.row["taxon"])["patience_days"] or self.leaf.patience_days.value)


def stickings() -> list[Stuck]:
    """Return every batch, in the order of the days; no plant gives more than its share of a season."""
    planned = sorted(_planned(), key=lambda plan: (plan[0], plan[1], plan[2]))
    codes, shoots = Luck("codes"), Shoots()
    used: set[str] = set()
    made = []
    for number, (on, taxon, wood) in enumerate(planned):
        code = new_code(used, codes)
        stuck = _stuck(number, code, on, taxon, wood, shoots)
        if stuck is not None:
            used.add(code[:SHORT])
            made.append(stuck)
    return made


def methods(batches: list[Stuck]) -> list[Row]:
    """Return the methods followed: one for each page and wood, as the handbook's leaf has it."""
    made = {}
    for stuck in batches:
        row = {name: stuck.row[name] for name in ("wood", "cutting", "leaves", "container", "medium")}
        row |= {name: value for name, value in stuck.row.items() if name.startswith("auxin")}
        row["cover"] = "open" if stuck.leaf.cover_kind in ("frame", "none") else "tent"
        more = {"n_per_container": stuck.row["n_per_container"], "minutes_each": "1.5", "setup_minutes": "15"}
        made[stuck.row["method"]] = {"method": stuck.row["method"], "wound": "no"} | row | more
    return [made[name] for name in sorted(made)]


def _planned() -> Iterator[tuple[date, str, Wood]]:
    for taxon, usual in BATCHES.items():
        for year, busy in BUSY.items():
            luck = Luck(f"plan {taxon}", year)
            for _ in range(round(usual * busy + luck.near(-0.5, 0.5))):
                if (found := _day_and_wood(luck, taxon, year)) is not None:
                    yield found
    luck = Luck("last spring")
    for _ in range(LAST_SPRING):
        taxon = luck.one(dict(BATCHES))
        days = _days(taxon, "softwood", LAST_SPRING_FROM, STANDS_ON)
        if days:
            yield _on_a_round(days[luck.whole(0, len(days) - 1)]), taxon, "softwood"


def _day_and_wood(luck: Luck, taxon: str, year: int) -> tuple[date, str, Wood] | None:
    first = date(year, BEGINS_ON.month, 1)
    last = min(date(year + 1, 6, 30), STANDS_ON)
    days = {wood: _days(taxon, wood, first, last) for wood in WOOD_SHARES}
    wood = luck.one({wood: share for wood, share in WOOD_SHARES.items() if days[wood]})
    (chosen,) = (found for found in days if found == wood)
    on = days[chosen][luck.whole(0, len(days[chosen]) - 1)]
    if luck.happens(OUT_OF_SEASON):
        edge = days[chosen][0] if luck.happens(0.5) else days[chosen][-1]
        on = edge + timedelta(days=luck.whole(5, 18) * (-1 if edge == days[chosen][0] else 1))
    on = _on_a_round(min(max(on, first), last))
    if taxon == LICENSED[0] and on < LICENSED[1]:
        return None
    return on, taxon, chosen


def _days(taxon: str, wood: Wood, first: date, last: date) -> list[date]:
    """Return the days of the handbook's seasons of a wood between two days."""
    leaf = page_of(taxon).woods.get(wood)
    found: list[date] = []
    for season in leaf.seasons if leaf else ():
        for year in range(first.year - 1, last.year + 1):
            opens = date(year, *season.opens)
            closes = date(year + (season.closes < season.opens), *season.closes)
            if opens <= last and closes >= first:
                found += days_between(max(opens, first), min(closes, last))
    return found


def _on_a_round(on: date) -> date:
    """Return the day itself or the last one before it (the next, in the first week) that is worked."""
    step = timedelta(days=1 if on < BEGINS_ON + timedelta(days=7) else -1)
    while on.weekday() not in ROUND_WEEKDAYS:
        on += step
    return on


def _stuck(number: int, code: str, on: date, taxon: str, wood: Wood, shoots: Shoots) -> Stuck | None:
    """Return a batch, cut from a plant that has shoots to spare; None where none has enough."""
    luck = Luck("batch", number)
    page = page_of(taxon)
    leaf = page.woods[wood]
    place = luck.one(_PLACES[leaf.cover_kind])
    left = {
        plant["plant"]: shoots.left(plant, on) for plant in rows_by_hand("plants") if plant["taxon"] == taxon
    }
    plant = luck.one({name: max(n, 0) + 0.01 for name, n in left.items()})
    row: Row = {
        "batch": code,
        "taxon": taxon,
        "plant": plant,
        "stuck_on": on.isoformat(),
        "wood": wood,
        "method": f"{CALLED[page.key]}, {wood}",
        "cutting": leaf.cutting,
        "leaves": leaf.leaves,
        "medium": "Half and half",
        "place": place,
        "cover": _place(place)["cover"],
        "medium_temp_c": _place(place)["medium_temp_c"],
        "want": _want(taxon, on) if luck.happens(FOR_A_WANT) else "",
        "by": luck.one({"orla": 5, "tam": 4, "bea": 2, "jun": 1}),
    }
    row |= _material(luck, page, leaf, on) | _hormone(leaf.doses[0]) | _pots(luck, page, leaf)
    of_each = luck.near(1.6, 3.6)
    n_stuck = min(int(row["n_stuck"]), math.floor(left[plant] * of_each))
    if n_stuck < FEWEST_CUTTINGS:
        return None
    n_shoots = min(max(1, round(n_stuck / of_each)), left[plant])
    shoots.cut(plant, on, n_shoots)
    row |= {"n_stuck": str(n_stuck), "n_shoots": str(n_shoots)}
    row["minutes"] = str(15 + round(n_stuck * luck.near(1.0, 2.0)))
    cuttings = Cuttings(
        wood=wood,
        ripeness=float(row["ripeness"]),
        # in the invented world any form of hormone does what a dip of its strength does
        auxin="dip",
        strength=float(row["auxin_mg_per_kg"] or row["auxin_mg_per_l"] or 0),
        leaves="none" if leaf.leaves == "none" else "kept",
        cover="tent" if row["cover"] == "tent" else "mist",
        warmth_c=float(row["medium_temp_c"] or 20),
        bloom=_BLOOM[row["shoot"]],
        n_nodes=int(row["n_nodes"]),
    )
    if luck.happens(0.5):
        row["ripeness"] = ""
    return Stuck(row, page, leaf, on, n_stuck, cuttings, luck)


def _material(luck: Luck, page: Page, leaf: WoodLeaf, on: date) -> Row:
    part = "upper" if leaf.cutting == "tip" else luck.one({"upper": 2, "middle": 5, "lower": 2, "mixed": 2})
    after = on >= date(on.year, *page.bloom.bloom.opens)
    states = {"vegetative": 8.0, "budded": 0.4, "flowering": 0.3}
    if leaf.wood != "hardwood" and after:
        states["spent"] = 12.0 if page.genus in ("Rosa", "Lavandula") else 2.0
    nodes = luck.whole(int(leaf.n_nodes.low), int(leaf.n_nodes.high))
    cut_on = on - timedelta(days=1) if luck.happens(0.15) else on
    return {
        "part": part,
        "ripeness": f"{min(max(_RIPENESS[part] + luck.near(-0.08, 0.08), 0), 1):.2f}",
        "shoot": "vegetative" if leaf.wood == "hardwood" else luck.one(states),
        "n_nodes": str(nodes),
        "length_mm": str(5 * round(luck.near(leaf.length_mm.low, leaf.length_mm.high) / 5)),
        "cut_on": cut_on.isoformat(),
        "stored": "no" if cut_on == on else "damp-bag",
    }


def _hormone(dose: Dose) -> Row:
    row = dict.fromkeys(("auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg"), "") | {"auxin": dose.auxin}
    if dose.auxin != "none":
        row["auxin_form"] = dose.form
        row["auxin_mg_per_kg" if dose.unit == "mg/kg" else "auxin_mg_per_l"] = f"{dose.low:g}"
    return row


def _pots(luck: Luck, page: Page, leaf: WoodLeaf) -> Row:
    small = page.genus in ("Lavandula", "Salvia") and leaf.wood != "hardwood"
    if small and luck.happens(0.35):
        return {"container": "Tray 24", "n_per_container": "1", "n_stuck": luck.one({"24": 4, "48": 1})}
    each = round((page.n_per_pot.low + page.n_per_pot.high) / 2) if page.n_per_pot else 7
    pots = int(luck.one({"1": 4, "2": 5, "3": 4, "4": 2, "5": 1}))
    short = luck.whole(0, 1) if pots > 1 else 0
    n_stuck = min(each * pots - short, MOST_CUTTINGS)
    return {"container": "Trade gallon", "n_per_container": str(each), "n_stuck": str(n_stuck)}


def _want(taxon: str, on: date) -> str:
    for want in rows_by_hand("wants"):
        early, late = (date.fromisoformat(want["ready_by"]) - timedelta(days=days) for days in WANT_DAYS)
        if want["taxon"] == taxon and early <= on <= late:
            return want["want"]
    return ""


@cache
def page_of(taxon: str) -> Page:
    """Return the handbook's page of a taxon."""
    page = load_handbook().page_of(taxon)
    assert page is not None, taxon
    return page


def _taxon(taxon: str) -> Row:
    return next(row for row in rows_by_hand("taxa") if row["taxon"] == taxon)


def _place(place: str) -> Row:
    return next(row for row in rows_by_hand("places") if row["place"] == place)
