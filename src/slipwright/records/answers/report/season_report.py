"""The season report: wants met, losses by cause, cost beside buying, what the records taught."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from slipwright.advice.kinds import season_of
from slipwright.advice.timing import is_south
from slipwright.craft.figures import money, plain
from slipwright.craft.said import Said, joined
from slipwright.outputs.season_told import CostLine, LossLine, PlantLine, SeasonReport
from slipwright.records import selectors
from slipwright.records.answers.programme.use import items_said
from slipwright.records.answers.report.costs import Costing, Spent
from slipwright.records.answers.report.taught import learned_of_season
from slipwright.records.answers.report.wants import n_reached, want_line, wants_said
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.looks import look_counts
from slipwright.records.selectors.season_report import SeasonBatch, batches_of_season, days_of_sticking
from slipwright.rooting.grown import Grown

#: batches named to the database at once; of more the looks of all are read
_MOST_NAMED = 5_000
#: items without a cost that are named
_MOST_ITEMS = 8
_NOT_SAID = "not-said"
_CAUSES: Mapping[str, str] = {
    "rot-from-base": Said("rot from base"),
    "dieback-from-top": Said("dieback from top"),
    "dried": Said("dried"),
    "scorched": Said("scorched"),
    "frost": Said("frost"),
    "mould": Said("mould"),
    "pest": Said("pest"),
    "disturbed": Said("disturbed"),
    "given-up": Said("given up"),
    "unknown": Said("don't know"),
    _NOT_SAID: Said("nobody said why"),
}


@dataclass(frozen=True, slots=True)
class SeasonDays:
    """A season by its name, with its first and last day."""

    season: str
    first: date
    last: date


def seasons_of_garden(garden: Garden) -> list[str]:
    """Return the names of the seasons in which anything was stuck, the newest first. Two queries."""
    days = days_of_sticking(garden)
    if days is None:
        return []
    south = is_south(float(garden.latitude_deg))
    first, last = (int(season_of(day, south=south)) for day in (days.first, days.last))
    return [str(year) for year in range(last, first - 1, -1)]


def days_of_season(season: str, *, south: bool) -> SeasonDays:
    """Return the days of a season: a calendar year, in the south from July to June."""
    year = int(season)
    if not south:
        return SeasonDays(season, date(year, 1, 1), date(year, 12, 31))
    day = date(year - 1, 6, 28)
    while season_of(day, south=True) != season:
        day += timedelta(days=1)
    last = date(year, 6, 28)
    while season_of(last + timedelta(days=1), south=True) == season:
        last += timedelta(days=1)
    return SeasonDays(season, day, last)


def _is_season(text: str) -> bool:
    """Return whether a text names a year whose season has all its days."""
    return text.isascii() and text.isdigit() and len(text) == 4 and date.min.year < int(text) < date.max.year


def season_report_of(garden: Garden, *, season: str, on: date) -> SeasonReport:
    """Return the report of a season, as it stands on a day. ``garden`` must have just been read."""
    if not _is_season(season):
        raise NotFound(Said("a season is told by its year, such as 2026"))
    days = days_of_season(season, south=is_south(float(garden.latitude_deg)))
    wants = selectors.wants(garden)
    due = {want.want for want in wants if days.first <= want.ready_by <= days.last}
    batches = batches_of_season(garden, days.first, days.last, due)
    stuck = [one for one in batches if days.first <= one.stuck_on <= days.last]
    asked = due | {one.want for one in stuck if one.want}
    earlier = asked - due
    if earlier:  # what was stuck for them in other seasons counts for them too
        batches = batches_of_season(garden, days.first, days.last, asked)
    grown = {one.batch: one for one in selectors.grown_of(garden, on=on)}
    told_wants = [want_line(want, batches, grown, on) for want in wants if want.want in asked]
    totals = _totals(stuck)
    losses = _losses(garden, stuck)
    costing, learned = Costing.of(garden), learned_of_season(garden)
    costs = _costs(costing, [want for want in wants if want.want in asked], batches, grown)
    spent = costing.spent({one.pk: one for one in (*stuck, *_of_lines(batches, costs))}.values())
    return SeasonReport(
        season=season,
        first=days.first,
        last=days.last,
        garden=garden.name,
        made_on=on,
        answer=_answer(season, totals, on, days),
        n_stuck=totals["stuck"],
        n_rooted=totals["rooted"],
        n_lost=totals["lost"],
        n_waiting=totals["waiting"],
        n_removed=totals["removed"],
        wants=tuple(told_wants),
        wants_said=wants_said(told_wants),
        losses=losses,
        losses_said=_losses_said(losses, sum(one.n_lost_rooted for one in stuck)),
        plants=_plants(stuck),
        costs=costs,
        costs_said=_costs_said(costing, stuck, costs, garden.currency),
        costs_left_out=_left_out(spent) if costing.knows_any and (stuck or costs) else "",
        findings=learned.findings,
        findings_said=learned.said,
        remarks=(*_not_meeting(stuck), *learned.remarks),
    )


# --- what became of the cuttings -----------------------------------------------------------------------


def _totals(stuck: Sequence[SeasonBatch]) -> dict[str, int]:
    return {
        "stuck": sum(one.n_stuck for one in stuck),
        "rooted": sum(one.n_rooted for one in stuck),
        "lost": sum(one.n_lost for one in stuck),
        "removed": sum(one.n_removed for one in stuck),
        "waiting": sum(max(one.n_waiting, 0) for one in stuck),
    }


def _answer(season: str, totals: Mapping[str, int], on: date, days: SeasonDays) -> str:
    if not totals["stuck"]:
        return Said("Nothing was stuck in the season {season}.", season=season)
    told = {name: plain(n, 0) for name, n in totals.items()}
    words: str = Said("Of {stuck} cuttings stuck, {rooted} rooted and {lost} were lost", **told)
    more = []
    if totals["waiting"]:
        more.append(Said("{waiting} still wait", waiting=told["waiting"]))
    if totals["removed"]:
        more.append(Said("{removed} were taken away", removed=told["removed"]))
    words = joined([words, *more], "; ")
    return Said("{words}.", words=words)


def _not_meeting(stuck: Sequence[SeasonBatch]) -> tuple[str, ...]:
    """Return that the sums do not meet, where more was counted of a batch than was stuck."""
    over = [one.batch for one in stuck if one.n_waiting < 0]
    if not over:
        return ()
    named = joined(over[:_MOST_ITEMS], ", ")
    return (Said("More is counted than was stuck in {batches}: there the sums do not meet.", batches=named),)


def _plants(stuck: Sequence[SeasonBatch]) -> tuple[PlantLine, ...]:
    found: dict[tuple[str, str], list[SeasonBatch]] = {}
    for one in stuck:
        found.setdefault((one.taxon, one.wood), []).append(one)
    lines = [
        PlantLine(
            taxon,
            Said(wood),
            len(some),
            sum(one.n_stuck for one in some),
            sum(one.n_rooted for one in some),
            sum(one.n_lost for one in some),
            sum(max(one.n_waiting, 0) for one in some),
            sum(one.n_removed for one in some),
        )
        for (taxon, wood), some in found.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.n_stuck, line.taxon, line.wood)))


def _losses(garden: Garden, stuck: Sequence[SeasonBatch]) -> tuple[LossLine, ...]:
    """Return how many were lost by each cause, the most first; what nobody explained last."""
    asked = {one.pk for one in stuck}
    looks = look_counts(garden, sorted(asked) if len(asked) <= _MOST_NAMED else None)
    lost: Counter[str] = Counter()
    for pk in asked:
        for look in looks.get(pk, ()):
            lost[look.cause or _NOT_SAID] += (look.n_lost or 0) + (look.n_lost_rooted or 0)
    lines = [LossLine(cause, _CAUSES.get(cause, Said(cause)), n) for cause, n in lost.items() if n]
    return tuple(sorted(lines, key=lambda line: (line.cause in ("unknown", _NOT_SAID), -line.n, line.cause)))


def _losses_said(losses: Sequence[LossLine], n_had_rooted: int) -> str:
    said = _commonest(losses)
    if said and n_had_rooted:
        said = joined([said, Said("Of all lost, {n} had rooted before.", n=n_had_rooted)])
    return said


def _commonest(losses: Sequence[LossLine]) -> str:
    total = sum(line.n for line in losses)
    known = [line for line in losses if line.cause not in ("unknown", _NOT_SAID)]
    if not known:
        return Said("Nobody wrote down why any were lost.") if total else ""
    first = known[0]
    told: dict[str, str] = {"n": plain(first.n, 0), "total": plain(total, 0)}
    alike = [line.name for line in known if line.n == first.n]
    if len(alike) > 1:
        names = joined(alike, ", ")
        return Said("The commonest were {causes}: {n} each, of {total}.", causes=names, **told)
    if 2 * first.n > total:
        return Said("Most were lost to one thing, {cause}: {n} of {total}.", cause=first.name, **told)
    return Said("The commonest was {cause}: {n} of {total}.", cause=first.name, **told)


# --- what a plant cost ---------------------------------------------------------------------------------


def _costs(
    costing: Costing,
    wants: Sequence[WantNow],
    batches: Sequence[SeasonBatch],
    grown: Mapping[str, Grown],
) -> tuple[CostLine, ...]:
    """Return what the plants of each want cost beside buying."""
    lines = []
    for want in wants:
        made = [one for one in batches if one.want == want.want]
        n = sum(n_reached(one, want.ready_as, grown.get(one.batch), date.max) for one in made)
        if not made or want.value_each is None or not n:
            continue
        spent = costing.spent(made).total
        each, price = spent / n, float(want.value_each)
        apart = money(abs(price - each))
        said = Said("{apart} cheaper", apart=apart) if price >= each else Said("{apart} dearer", apart=apart)
        lines.append(CostLine(want.want, n, spent, each, price, said))
    return tuple(lines)


def _of_lines(batches: Sequence[SeasonBatch], costs: Sequence[CostLine]) -> Iterator[SeasonBatch]:
    """Yield the batches whose plants are set beside buying."""
    wants = {line.want for line in costs}
    yield from (one for one in batches if one.want in wants)


def _left_out(spent: Spent) -> str:
    """Return what no sum of the report holds."""
    told = [Said("Labels, hormone, potting on, water, light and the wait are not counted.")]
    if spent.unknown:
        items = items_said(sorted(spent.unknown)[:_MOST_ITEMS])
        if (more := len(spent.unknown) - _MOST_ITEMS) > 0:
            items = Said("{items} and {n} more", items=items, n=more)
        told.append(Said("Without a cost written down, and so counted as nought: {items}.", items=items))
    for n, said in (
        (spent.n_without_hours, Said("Batches without minutes, their hours not counted: {n}.")),
        (spent.n_without_pots, Said("Batches without a container, their pots and medium not counted: {n}.")),
        (spent.n_without_medium, Said("Batches without a medium, what fills the pots not counted: {n}.")),
    ):
        if n:
            told.append(Said(said.template, n=plain(n, 0)))
    return joined(told)


def _costs_said(
    costing: Costing, stuck: Sequence[SeasonBatch], costs: Sequence[CostLine], currency: str
) -> str:
    if not (stuck or costs):
        return ""
    if not costing.knows_any:
        return Said("No cost is written down: what a pot, a litre of medium, an hour cost goes under Costs.")
    spent = costing.spent(stuck).total
    alive = sum(one.n_alive for one in stuck)
    said = []
    if spent and alive:
        said.append(
            Said(
                "Pots, medium and hours of the season came to {spent}: {each} for each rooted cutting "
                "that lives.",
                spent=money(spent, currency),
                each=money(spent / alive, currency),
            )
        )
    elif spent:
        said.append(
            Said(
                "Pots, medium and hours of the season came to {spent}; no rooted cutting lives yet.",
                spent=money(spent, currency),
            )
        )
    if costs:
        n, saved = (
            sum(line.n_plants for line in costs),
            sum(line.n_plants * (line.price_each - line.each) for line in costs),
        )
        words = (
            Said(
                "{n} plants with a price would have cost {more} more to buy.",
                n=n,
                more=money(saved, currency),
            )
            if saved >= 0
            else Said(
                "{n} plants with a price would have cost {less} less to buy.",
                n=n,
                less=money(-saved, currency),
            )
        )
        said.append(words)
    else:
        said.append(
            Said("No plant is finished for a want with a price, so there is nothing to set beside buying.")
        )
    return joined(said)
