"""How far the wants of a season were met, in time, late, or not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date

from slipwright.craft.said import Said, joined
from slipwright.outputs.measures import day_text
from slipwright.outputs.season_told import State, WantLine
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.season_report import SeasonBatch
from slipwright.rooting.grown import Grown, reached_of


def want_line(
    want: WantNow, batches: Sequence[SeasonBatch], grown: Mapping[str, Grown], on: date
) -> WantLine:
    """Return how far a want was met by a day, from all batches stuck for it."""
    made = [one for one in batches if one.want == want.want]
    n_there = sum(n_reached(one, want.ready_as, grown.get(one.batch), on) for one in made)
    # roots are not dated: those of a want for rooted cuttings count as in time
    n_in_time = sum(n_reached(one, want.ready_as, grown.get(one.batch), want.ready_by) for one in made)
    state, said = _state(want, n_there, n_in_time, on)
    return WantLine(
        want.want, want.taxon, want.n_wanted, n_there, Said(want.ready_as), want.ready_by, state, said
    )


def n_reached(batch: SeasonBatch, ready_as: str, grown: Grown | None, until: date) -> int:
    """Return how many plants of a batch came to a stage by a day; of roots alone no day is known."""
    if ready_as == "rooted":
        return batch.n_alive
    if grown is None:
        return 0
    if ready_as == "potted":
        return sum(n for on, n in grown.potted if on <= until)
    return reached_of(grown, until=until)[ready_as]


def _state(want: WantNow, n_there: int, n_in_time: int, on: date) -> tuple[State, str]:
    if n_in_time >= want.n_wanted:
        return "met", Said("met")
    if n_there >= want.n_wanted:
        return "late", Said("met, late")
    if want.ready_by >= on:
        return "open", Said("due {day}", day=day_text(want.ready_by))
    return "short", Said("{n} short", n=want.n_wanted - n_there)


def wants_said(wants: Sequence[WantLine]) -> str:
    """Return how many wants are met, as a sentence."""
    if not wants:
        return ""
    n = Counter(line.state for line in wants)
    closed = len(wants) - n["open"]
    if not closed:
        return (
            Said("None of the {n} wants is due yet.", n=len(wants))
            if len(wants) > 1
            else Said("Not due yet.")
        )
    met = n["met"] + n["late"]
    told: str = Said("{met} of {closed} wants that were due are met", met=met, closed=closed)
    if closed == 1:
        told = (
            Said("The one want that was due is met") if met else Said("The one want that was due is not met")
        )
    if n["late"]:
        told = Said("{told}, {n} of them late", told=told, n=n["late"])
    open_ = Said("{n} are due later", n=n["open"]) if n["open"] else ""
    return Said("{words}.", words=joined([told, open_], "; "))
