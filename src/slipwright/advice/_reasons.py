"""Why an answer is what it is, in sentences: the shoot, the days, the bloom, and what is better."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from slipwright.advice._wording import WOOD_WORDS, day_in_words, fewer, in_tenths, sentence, tenths
from slipwright.advice.answer import Better, Verdict
from slipwright.advice.asked import Asked
from slipwright.advice.odds import odds_of
from slipwright.advice.plan import odds_of_opening
from slipwright.advice.timing import SOON_DAYS, BloomNow, Opening, bloom_days, is_before_bloom
from slipwright.craft.said import Said
from slipwright.craft.wood import season_dates
from slipwright.handbook.pages import Page

#: how long before first flower growth is called spring growth
SPRING_GROWTH_DAYS = 90
#: soft wood that opens so long before first flower is wood of that spring
SPRING_SEASON_DAYS = 120
#: a later wood is clearly better if so many more of ten root
CLEARLY = 2


def reasons(
    verdict: Verdict,
    page: Page,
    asked: Asked,
    bloom: BloomNow,
    best: Opening | None,
    better: Better | None,
    south: bool,
) -> list[str]:
    """Sentences on the shoot and the days, the one that decides first."""
    said: list[str] = []
    if asked.shoot in ("budded", "flowering"):
        refused = (
            Said("A shoot in bud is refused: its food goes to the flower and not to roots.")
            if asked.shoot == "budded"
            else Said("A shoot in flower is refused: its food goes to the flower and not to roots.")
        )
        said += [refused, Said("Choose one without a flower, or one whose petals have fallen.")]
    if best is None and asked.wood:
        return [*said, Said("The handbook has no page on {wood} of this plant.", wood=WOOD_WORDS[asked.wood])]
    if best is None:
        return [*said, Said("The handbook names no days for wood of this plant in the coming year.")]
    wood, window = WOOD_WORDS[best.wood], best.window
    if best.from_on > asked.on:
        day = day_in_words(best.from_on, beside=asked.on)
        closed = Said("{wood:capital} is next, from about {day}.", wood=wood, day=day)
        return [*said, *([sentence(best.delay)] if best.delay else []), closed, *_better(asked, better)]
    until = day_in_words(window.closes_on, beside=asked.on)
    said.append(
        Said(
            "{wood:capital} is right now ({chance}), until about {day}.",
            wood=wood,
            chance=tenths(window.p_open),
            day=until,
        )
    )
    if in_tenths(window.p_open) < 9:
        said.append(Said("Near the edge of its days: {test}.", test=_edge_test(page, best.wood)))
    if best.near_bloom:
        said.append(
            Said(
                "So near before bloom (first flowers about {day}) it costs: of shoots without a bud "
                "{fewer} root.",
                day=day_in_words(bloom.first_on, beside=asked.on),
                fewer=fewer(odds_of_opening(page, best, asked, south).near_bloom),
            )
        )
    return [*said, *_better(asked, better)]


def _edge_test(page: Page, wood: str) -> str:
    if wood != "hardwood":
        return Said("bend the shoot to be sure")
    if page.leaf_habit == "deciduous":
        return Said("see that its leaves have fallen and no bud has moved")
    return Said("see that its tip has stopped growing and no bud has moved")


def _better(asked: Asked, better: Better | None) -> list[str]:
    if better is None:
        return []
    return [
        Said(
            "Better, if it can wait: {wood} from about {day}; about {chance} root.",
            wood=WOOD_WORDS[better.wood],
            day=day_in_words(better.from_on, beside=asked.on),
            chance=tenths(better.p_rooted),
        )
    ]


def better_later(
    page: Page, best: Opening | None, openings: tuple[Opening, ...], asked: Asked, south: bool
) -> Better | None:
    """Say which later window roots clearly better, if any; the shoot it takes is another one."""
    if best is None or asked.n_stuck is not None or asked.wood:
        return None
    later = replace(asked, shoot=None)
    found = [
        Better(opening.wood, opening.from_on, odds_of_opening(page, opening, later, south).p_rooted[1])
        for opening in openings
        if opening.from_on > best.from_on
    ]
    now = odds_of_opening(page, best, asked, south).p_rooted[1]
    most = max(found, key=lambda better: better.p_rooted, default=None)
    return most if most and in_tenths(most.p_rooted) - in_tenths(now) >= CLEARLY else None


def before_bloom(
    page: Page, bloom: BloomNow, openings: tuple[Opening, ...], asked: Asked, south: bool
) -> list[str]:
    """Say that soft wood of spring is not recommended, for plants whose page keeps clear of that time."""
    ahead = (bloom.first_on - asked.on).days
    if not 0 < ahead <= SPRING_GROWTH_DAYS or bloom.gap_before_days <= 0 or "softwood" not in page.woods:
        return []
    if asked.shoot == "spent" or any(
        opening.window.wood == "softwood" and opening.from_on < bloom.first_on for opening in openings
    ):
        return []
    own_spring = _has_spring_softwood(page, bloom.first_on, south)
    open_today = any(opening.from_on == asked.on for opening in openings)
    if ahead > bloom.gap_before_days and (own_spring or open_today):
        return []
    first = day_in_words(bloom.first_on, beside=asked.on)
    why = sentence(bloom.reason)
    if own_spring:
        return [
            Said(
                "Softwood so near before bloom (first flowers about {day}), is not recommended: {why:small}",
                day=first,
                why=why,
            )
        ]
    return [
        Said(
            "Softwood of spring, before bloom (first flowers about {day}), is not recommended: {why:small}",
            day=first,
            why=why,
        )
    ]


def _has_spring_softwood(page: Page, first_on: date, south: bool) -> bool:
    """Say whether a season of soft wood opens in the spring before first flowers."""
    for season in page.woods["softwood"].seasons if "softwood" in page.woods else ():
        opens, _ = season_dates(season.opens, season.closes, south=south, near=first_on)
        if 0 < (first_on - opens).days <= SPRING_SEASON_DAYS:
            return True
    return False


def may_be_tried(
    page: Page, best: Opening | None, openings: tuple[Opening, ...], asked: Asked, south: bool
) -> list[str]:
    """Say what a shoot without a bud does near bloom, out of the handbook's days: a cost, no closed door."""
    if asked.shoot != "vegetative" or best is None or best.from_on == asked.on or asked.wood:
        return []
    first, last = bloom_days(page, asked.on, south=south, flowers=asked.flowers, seen=asked.seen)
    near = is_before_bloom(page, asked.on, south=south, flowers=asked.flowers, seen=asked.seen)
    if not (first <= asked.on <= last or near):
        return []
    soon = asked.on + timedelta(days=SOON_DAYS)
    if not any(opening.wood == "softwood" and opening.from_on <= soon for opening in openings) and not (
        _has_spring_softwood(page, first, south)
    ):
        return []
    odds = odds_of(
        page,
        page.woods["softwood"],
        shoot="vegetative",
        have=asked.have,
        leafless=False,
        near_bloom=True,
        learned=asked.learned,
        taxon=asked.taxon,
        on=asked.on,
        south=south,
    )
    return [
        Said(
            "A shoot without a bud is not refused all the same: as softwood today about {chance} root, "
            "{fewer} than clear of bloom (common practice, no source).",
            chance=tenths(odds.p_rooted[1]),
            fewer=fewer(odds.near_bloom),
        )
    ]
