"""What is wanted, how far it has come, and how many more cuttings to stick for it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal, cast

from slipwright.advice.asked import Asked
from slipwright.advice.evidence import grounds_of_odds
from slipwright.advice.plan import odds_of_opening
from slipwright.advice.plant_season import season_of_plant
from slipwright.advice.timing import Flowers, Opening
from slipwright.craft.errors import OutOfReach
from slipwright.craft.rights import Standing
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page
from slipwright.records import selectors
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.programme.of_wants import PlannedWant, planned_wants
from slipwright.records.answers.season_cut import taxa_without_a_plant_left
from slipwright.records.answers.seasons import Seasons, asked_plant, seasons_of
from slipwright.records.answers.walk import learned_for_taxa
from slipwright.records.answers.wants import Need, needs_of
from slipwright.records.models import Garden, Taxon
from slipwright.records.selectors import Stock
from slipwright.rooting.learned import Learned
from slipwright.rooting.resting import RestsOn
from slipwright.rooting.sticking import number_to_stick

WantState = Literal["past", "refused", "planned", "enough", "stick", "no-page", "no-plant", "out-of-reach"]

#: assurances beyond these are asked for as these: certainty cannot be stuck for
_LEAST, _MOST = 0.01, 0.99


@dataclass(frozen=True, slots=True)
class Wanted:
    """A want and what to do for it, as the programme in use has it.

    Where that does not know it, ``n_to_stick`` of ``opening``'s wood reach it as surely as wished.
    """

    need: Need
    state: WantState
    n_to_stick: int | None = None
    p_reached: float | None = None
    opening: Opening | None = None
    rights: Standing | None = None
    rests_on: RestsOn | None = None
    planned: PlannedWant | None = None

    @property
    def stick_from(self) -> date | None:
        """From when something is to be stuck for it; None where nothing is."""
        if self.planned:
            return self.planned.to_do[0].week if self.planned.to_do else None
        return self.opening.from_on if self.state == "stick" and self.opening else None


def wanted_of(garden: Garden, handbook: Handbook, *, on: date) -> list[Wanted]:
    """Return every want with what more to stick for it, soonest first.

    Of a want that the programme in use was made for, that is told, and nothing is reckoned beside. The wood
    of another is that of the stock plant whose wood is right first; of a taxon without one, the page's.
    """
    taxa = {taxon.taxon: taxon for taxon in Taxon.rows.of(garden)}
    needs = needs_of(garden, handbook, on=on)
    planned = planned_wants(garden, [need.want for need in needs], on=on) or {}
    short = {
        need.want.taxon
        for need in needs
        if need.n_short and need.want.ready_by >= on and need.want.want not in planned
    }
    stocks = [one for one in selectors.stock_plants(garden, on=on) if one.taxon in short]
    asked = [asked_plant(one.plant, page_of_stock(handbook, one), one.flowers) for one in stocks]
    seasons = seasons_of(garden, handbook, [one for one in asked if one], on=on)
    openings = _Openings(seasons, stocks, learned_for_taxa(garden, handbook, sorted(short), on=on))
    shut: dict[date, set[str]] = {}
    found = []
    for need in needs:
        told = planned.get(need.want.want)
        wanted = _wanted(handbook, need, taxa[need.want.taxon], openings, told)
        if wanted.state in ("stick", "no-page", "out-of-reach"):
            # a plant cut a year before its wood is right again may be cut by then
            day = max(wanted.opening.from_on, on) if wanted.opening else on
            if day not in shut:
                shut[day] = taxa_without_a_plant_left(garden, on=day)
            if need.want.taxon in shut[day]:
                wanted = replace(wanted, state="no-plant")
        found.append(wanted)
    return found


@dataclass(slots=True)
class _Openings:
    """The wood to stick next, by taxon."""

    seasons: Seasons
    stocks: list[Stock]
    learned: Learned | None
    known: dict[str, Opening | None] = field(default_factory=dict)

    def of(self, taxon: Taxon, page: Page) -> Opening | None:
        if taxon.taxon not in self.known:
            self.known[taxon.taxon] = self._soonest(taxon, page)
        return self.known[taxon.taxon]

    def _soonest(self, taxon: Taxon, page: Page) -> Opening | None:
        flowers = cast(Flowers, taxon.flowers) if taxon.flowers else None
        of_plants = [
            season.best
            for stock in self.stocks
            if stock.taxon == taxon.taxon and (season := self.seasons.of(stock.plant)) is not None
        ]
        # while those of its plants are being worked out, that of any plant of the page
        if not of_plants:
            return season_of_plant(page, self.seasons.on, south=self.seasons.south, flowers=flowers).best
        found = [best for best in of_plants if best is not None]
        return min(found, key=lambda best: (best.from_on, -best.window.p_open), default=None)


def _wanted(
    handbook: Handbook, need: Need, taxon: Taxon, openings: _Openings, planned: PlannedWant | None
) -> Wanted:
    on, south = openings.seasons.on, openings.seasons.south
    rights = selectors.rights_of(taxon, on=on)
    if need.want.ready_by < on:
        return Wanted(need, "past", rights=rights)
    if planned is not None and rights.allowed:
        return Wanted(need, "planned", rights=rights, planned=planned)
    if not need.n_short:
        return Wanted(need, "enough", rights=rights)
    if not rights.allowed:
        return Wanted(need, "refused", rights=rights)
    page = handbook.page_of(taxon.taxon)
    opening = openings.of(taxon, page) if page else None
    if page is None or opening is None:
        return Wanted(need, "no-page", rights=rights)
    flowers = cast(Flowers, taxon.flowers) if taxon.flowers else None
    asked = Asked(taxon.taxon, on, flowers=flowers, learned=openings.learned, taxon=taxon.taxon)
    assurance = min(max(float(need.want.assurance), _LEAST), _MOST)
    odds = odds_of_opening(page, opening, asked, south)
    rests_on = grounds_of_odds(page.woods[opening.wood], odds, openings.learned)
    try:
        count = number_to_stick(need.n_short, assurance, odds.rooted)
    except OutOfReach:
        return Wanted(need, "out-of-reach", opening=opening, rights=rights, rests_on=rests_on)
    return Wanted(need, "stick", count.n_to_stick, count.p_reached, opening, rights, rests_on)
