"""The ways to meet a want: wood, method, week and plant, each with what it takes and what it costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import cast

from slipwright.advice.plan import N_PER_POT, POT_L
from slipwright.craft.names import genus_of
from slipwright.craft.said import Said
from slipwright.handbook.pages import WOODS, Dose, Page, Wood, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.histories import auxin_of
from slipwright.records.answers.programme.given import Given, OpenPlant
from slipwright.records.answers.programme.ready import Timing
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.histories import Stuck
from slipwright.records.selectors.programme import Pot, Way
from slipwright.rooting.cuttings import Cover, Cuttings, Form, Leaves
from slipwright.rooting.page_prior import usual_cuttings

#: ways looked at for a want, and those of them that are worth it and planned with; beyond, weeks are left out
#: evenly
MOST_SEEN, MOST_WAYS = 48, 24
#: methods of a garden tried for one wood of a plant: those it was last made by come first
MOST_METHODS = 3
#: so many plants are each a way of their own, beside all of them together
MOST_PLANTS = 2
_genus = lru_cache(maxsize=4_000)(genus_of)
#: the day of a week on which a batch is taken to be stuck: its Wednesday
_MIDDLE = 2


@dataclass(frozen=True, slots=True)
class Made:
    """How cuttings are made: a method of the garden, or the handbook's usual way under an empty name."""

    method: str
    wood: Wood
    cuttings: Cuttings
    pot: Pot
    n_per_container: int
    parts: Mapping[str, float]
    auxin: str
    minutes_each: float | None = None
    setup_minutes: float | None = None
    #: what the handbook says of the hormone, where no method does
    dose: Dose | None = None

    @property
    def cover(self) -> str:
        """What stands over them; leafless ones need nothing."""
        return "open" if self.cuttings.leaves == "none" else self.cuttings.cover or "open"


@dataclass(frozen=True, slots=True)
class Stuckable:
    """One way to meet a want: how, when and from which plants."""

    made: Made
    week: date
    timing: Timing
    plants: tuple[OpenPlant, ...]

    @property
    def plant(self) -> str:
        """The plants it is cut from; empty where none is written down."""
        return "; ".join(one.plant for one in self.plants)

    @property
    def name(self) -> str:
        """Its id among those of its want, the same on every day."""
        return "\x1f".join((self.made.wood, self.made.method, self.week.isoformat(), self.plant))


@dataclass(frozen=True, slots=True)
class Ways:
    """The ways to meet a want, or why there is none."""

    ways: tuple[Stuckable, ...]
    why_none: str = ""


def ways_to_meet(given: Given, want: WantNow) -> Ways:
    """Return the ways to meet a want from a day on."""
    if want.ready_by < given.on:
        return Ways((), Said("its day is past"))
    taxon, page = want.taxon, given.pages.get(want.taxon)
    if page is None:
        return Ways((), Said("the handbook has no page for it, and does not guess when its wood is right"))
    plants = [one for one in given.plants.get(taxon, ()) if one.n_may_go is None or one.n_may_go > 0]
    refused: list[str] = []
    found: list[Stuckable] = []
    for wood in WOODS:
        leaf = page.woods.get(wood)
        if leaf is None:
            continue
        weeks = []
        for week, timing in _weeks(given, want, leaf):
            open_now = [one for one in plants if one.is_open(wood, timing.stuck_on)]
            if not open_now:
                continue
            rights = selectors.rights_of(given.taxa[taxon], on=timing.stuck_on)
            if rights.allowed:
                weeks.append((week, timing, open_now))
            else:
                refused.append(rights.reason)
        if not weeks:
            continue
        for made in methods_of(given, taxon, page, leaf):
            if not _has_no_place(given, made.cover):
                for week, timing, open_now in weeks:
                    found += _of_plants(made, week, timing, open_now)
    if found:
        return Ways(tuple(thinned(found, MOST_SEEN)))
    return Ways((), _why_none(given, want, plants, refused))


def _why_none(given: Given, want: WantNow, plants: Sequence[OpenPlant], refused: Sequence[str]) -> str:
    rights = selectors.rights_of(given.taxa[want.taxon], on=given.on)
    if refused or not rights.allowed:
        return Said("not to be multiplied: {why}", why=refused[0] if refused else rights.reason)
    if not plants:
        return Said("its stock plants give no wood: nothing of their share may go")
    return Said("none of its wood is right on a day early enough to be ready in time")


def _has_no_place(given: Given, cover: str) -> bool:
    """Return whether a cover needs a place of its own and there is none: mist is no bag over a pot."""
    return cover == "mist" and not any(one.cover == "mist" for one in given.rooms)


def _weeks(given: Given, want: WantNow, leaf: WoodLeaf) -> Iterator[tuple[date, Timing]]:
    patience = given.patience_days(want.taxon, leaf)
    for week in given.weeks(want.ready_by):
        day = max(week + timedelta(days=_MIDDLE), given.on)
        timing = Timing(
            day,
            want.ready_by,
            want.ready_as,
            leaf.wood,
            leaf.pot_up,
            patience,
            given.round_days,
            given.south,
        )
        if timing.last_to_count > 0:
            yield week, timing


def _of_plants(made: Made, week: date, timing: Timing, plants: Sequence[OpenPlant]) -> Iterator[Stuckable]:
    endless = [one for one in plants if one.n_may_go is None]
    if endless:
        # of plants nobody counted the shoots of, one is as good as the next
        plants = endless[:1]
    if len(plants) <= MOST_PLANTS:
        for one in plants:
            yield Stuckable(made, week, timing, (one,))
    if len(plants) > 1:
        yield Stuckable(made, week, timing, tuple(plants))


def thinned(found: Sequence[Stuckable], most: int) -> Iterator[Stuckable]:
    """Leave out weeks evenly where there are more ways than so many; first and last stay."""
    groups: dict[tuple[str, str, str], list[Stuckable]] = {}
    for one in found:
        groups.setdefault((one.made.wood, one.made.method, one.plant), []).append(one)
    kept = max(most // max(len(groups), 1), 2)
    for ways in groups.values():
        if len(ways) <= kept:
            yield from ways
        else:
            yield from (ways[round(k * (len(ways) - 1) / (kept - 1))] for k in range(kept))


# --- methods ------------------------------------------------------------------------------------------


def methods_of(given: Given, taxon: str, page: Page, leaf: WoodLeaf) -> list[Made]:
    """Return the garden's methods for a wood of a plant: its own, the last used first; else its genus's.

    Else those no plant was made by yet; where the garden has none, the handbook's usual way without a name.
    What was made for other plants alone is no way of this one.
    """
    used = list(given.used.get(taxon, ()))
    genus = _genus(taxon)
    of_kin = {way for other, ways in given.used.items() if _genus(other) == genus for way in ways}
    elsewhere = {way for ways in given.used.values() for way in ways} - of_kin
    fits = [way for way in given.ways if way.wood == leaf.wood and way.method not in elsewhere]
    own = [way for way in fits if way.method in used]
    own.sort(key=lambda way: used.index(way.method))
    chosen = own or [way for way in fits if way.method in of_kin] or fits
    made = [_made(given, way, page, leaf) for way in chosen[:MOST_METHODS]] or [_usual(page, leaf)]
    cover = given.covers.get(taxon)
    if cover is None:
        return made
    return [replace(one, cuttings=replace(one.cuttings, cover=cast(Cover, cover))) for one in made]


def _usual(page: Page, leaf: WoodLeaf) -> Made:
    n = round((page.n_per_pot.low + page.n_per_pot.high) / 2) if page.n_per_pot else N_PER_POT
    dose = leaf.doses[0] if leaf.doses else None
    return Made(
        "",
        leaf.wood,
        usual_cuttings(leaf, leaf.wood),
        _pot_of(page),
        n,
        page.medium,
        dose.auxin if dose else "none",
        dose=dose,
    )


def _pot_of(page: Page) -> Pot:
    litres = page.pot_volume_l.value if page.pot_volume_l else POT_L
    return Pot("pot", litres * 1000)


def _made(given: Given, way: Way, page: Page, leaf: WoodLeaf) -> Made:
    usual = _usual(page, leaf)
    cuttings = usual.cuttings
    if way.auxin:
        auxin, strength = auxin_of(cast(Stuck, way))  # a method has the same columns
        cuttings = replace(cuttings, auxin=auxin, strength=strength)
    cuttings = replace(
        cuttings,
        form=cast(Form, way.cutting) if way.cutting else cuttings.form,
        leaves=cast(Leaves, way.leaves) if way.leaves else cuttings.leaves,
        cover=cast(Cover, way.cover) if way.cover else cuttings.cover,
        wounded=way.wound == "yes",
        medium="" if way.medium == given.usual.medium else way.medium,
        container="" if way.pot is None or way.pot.container == given.usual.container else way.pot.container,
    )
    pot = way.pot or usual.pot
    n = way.n_per_container or (1 if pot.cells else usual.n_per_container)
    return Made(
        way.method,
        leaf.wood,
        cuttings,
        pot,
        n,
        _parts(way.parts) or usual.parts,
        way.auxin or usual.auxin,
        way.minutes_each,
        way.setup_minutes,
        None if way.auxin else usual.dose,
    )


def _parts(text: str) -> dict[str, float]:
    """Return the parts by volume that a medium is made of."""
    found = {}
    for part in text.split(";"):
        name, _, amount = part.partition(":")
        if name.strip() and amount.strip():
            found[name.strip()] = float(amount)
    return found
