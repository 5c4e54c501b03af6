"""What is wanted, how far it has come, and how many more cuttings to stick for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, cast

from slipwright.advice.asked import Asked
from slipwright.advice.odds import stick_count
from slipwright.advice.plan import best_opening, odds_of_opening
from slipwright.advice.timing import Flowers, Opening, is_south, openings_of_page, windows_of_page
from slipwright.craft.errors import OutOfReach
from slipwright.craft.rights import Standing
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page
from slipwright.records import selectors
from slipwright.records.answers.season_cut import taxa_without_a_plant_left
from slipwright.records.answers.wants import Need, needs_of
from slipwright.records.models import Garden, Taxon

WantState = Literal["past", "refused", "enough", "stick", "no-page", "no-plant", "out-of-reach"]

#: assurances beyond these are asked for as these: certainty cannot be stuck for
_LEAST, _MOST = 0.01, 0.99


@dataclass(frozen=True, slots=True)
class Wanted:
    """A want and what to do for it: ``n_to_stick`` of ``opening``'s wood reach it as surely as wished."""

    need: Need
    state: WantState
    n_to_stick: int | None = None
    p_reached: float | None = None
    opening: Opening | None = None
    rights: Standing | None = None


def wanted_of(garden: Garden, handbook: Handbook, *, on: date) -> list[Wanted]:
    """Return every want with what more to stick for it, soonest first."""
    south = is_south(float(garden.latitude_deg))
    taxa = {taxon.taxon: taxon for taxon in Taxon.rows.of(garden)}
    openings: dict[tuple[str, str], Opening | None] = {}
    shut: dict[date, set[str]] = {}
    found = []
    for need in needs_of(garden, handbook, on=on):
        wanted = _wanted(need, taxa[need.want.taxon], handbook, openings, on, south)
        if wanted.state in ("stick", "no-page", "out-of-reach"):
            # a plant cut a year before its wood is right again may be cut by then
            day = max(wanted.opening.from_on, on) if wanted.opening else on
            if day not in shut:
                shut[day] = taxa_without_a_plant_left(garden, on=day)
            if need.want.taxon in shut[day]:
                wanted = replace(wanted, state="no-plant")
        found.append(wanted)
    return found


def _wanted(
    need: Need,
    taxon: Taxon,
    handbook: Handbook,
    openings: dict[tuple[str, str], Opening | None],
    on: date,
    south: bool,
) -> Wanted:
    rights = selectors.rights_of(taxon, on=on)
    if need.want.ready_by < on:
        return Wanted(need, "past", rights=rights)
    if not need.n_short:
        return Wanted(need, "enough", rights=rights)
    if not rights.allowed:
        return Wanted(need, "refused", rights=rights)
    page = handbook.page_of(taxon.taxon)
    flowers = cast(Flowers, taxon.flowers) if taxon.flowers else None
    asked = Asked(taxon.taxon, on, flowers=flowers)
    key = (page.key if page else "", taxon.flowers)
    if page is None:
        return Wanted(need, "no-page", rights=rights)
    if key not in openings:
        openings[key] = _opening(page, asked, south, flowers)
    opening = openings[key]
    if opening is None:
        return Wanted(need, "no-page", rights=rights)
    assurance = min(max(float(need.want.assurance), _LEAST), _MOST)
    try:
        count = stick_count(need.n_short, assurance, odds_of_opening(page, opening, asked, south).p_rooted)
    except OutOfReach:
        return Wanted(need, "out-of-reach", opening=opening, rights=rights)
    return Wanted(need, "stick", count.n_to_stick, count.p_reached, opening, rights)


def _opening(page: Page, asked: Asked, south: bool, flowers: Flowers | None) -> Opening | None:
    windows = windows_of_page(page, asked.on, south=south)
    found = openings_of_page(page, windows, asked.on, south=south, flowers=flowers)
    return best_opening(page, found, asked, south)
