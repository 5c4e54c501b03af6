"""Ways to meet a want as options of the planner: what each takes and costs, and what its draws rest on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from slipwright.records.answers.programme.draws import Batch
from slipwright.records.answers.programme.given import Given
from slipwright.records.answers.programme.use import (
    Course,
    Use,
    area_of_cutting,
    course_of,
    likely_ready,
    n_in_container,
    price_of,
    use_of,
)
from slipwright.records.answers.programme.ways import MOST_WAYS, Stuckable, thinned
from slipwright.records.answers.programme.wood import Wood
from slipwright.records.selectors import WantNow
from slipwright.records.tables.progress import Progress
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import Kind, Learned
from slipwright.season.asked import Option

#: a way likely to give less than this part of what the best of its want gives is left out
_FAR_BEHIND = 0.15


@dataclass(frozen=True, slots=True, eq=False)
class Maker:
    """Makes options of ways; what it finds on the way is remembered in it."""

    given: Given
    learned: Learned
    facts: Mapping[tuple[str, str], tuple[float, Kind]]
    rows: frozenset[str]
    progress: Progress
    wood: Wood = field(default_factory=lambda: Wood({}, {}))
    batches: dict[tuple[str, str], Batch] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    courses: dict[tuple[object, ...], Course] = field(default_factory=dict)

    def worth_trying(self, want: WantNow, ways: Sequence[Stuckable], grows: GrowsOn) -> list[Stuckable]:
        """Return the ways of a want that are not far behind its best, by what is likely ready."""
        likely = [likely_ready(self.course_of(want, one), one.timing, grows) for one in ways]
        least = _FAR_BEHIND * max(likely, default=0.0)
        good = [one for one, share in zip(ways, likely, strict=True) if share >= least and share > 0]
        return list(thinned(good, MOST_WAYS))

    def course_of(self, want: WantNow, one: Stuckable) -> Course:
        """Return the mean course of a way's batch."""
        bloom, kind = self.facts[want.taxon, one.name]
        near = replace(one.made.cuttings, bloom=round(bloom, 1))
        return self.course(near, kind, one.timing.patience_days)

    def use(self, want: WantNow, one: Stuckable, rows: frozenset[str]) -> Use:
        """Return what a way's batch takes of some rows."""
        made = one.made
        return use_of(
            self.given,
            self.course_of(want, one),
            one.timing,
            cover=made.cover,
            area_each_m2=area_of_cutting(made.pot, made.n_per_container),
            minutes_each=made.minutes_each,
            setup_minutes=made.setup_minutes,
            rows=rows,
        )

    def option(self, want: WantNow, one: Stuckable) -> Option:
        """Return a way as an option of its want."""
        made, timing = one.made, one.timing
        bloom, kind = self.facts[want.taxon, one.name]
        self.batches[want.want, one.name] = Batch(replace(made.cuttings, bloom=bloom), kind, timing)
        use = self.use(want, one, self.rows)
        price = price_of(self.given, made.pot, made.n_per_container, made.parts, made.auxin, use)
        self.unknown.update(price.unknown)
        return Option(
            one.name,
            want.taxon,
            made.wood,
            made.method,
            one.week,
            one.plant,
            n_in_container(made.pot, made.n_per_container),
            price.each,
            price.once,
            {**use.each, **self.wood.use_of(one)},
            use.once,
        )

    def course(self, cuttings: Cuttings, kind: Kind, patience_days: float) -> Course:
        """Return the mean course of a kind of batch, worked out once."""
        key = (cuttings, kind, patience_days)
        if key not in self.courses:
            self.courses[key] = course_of(self.learned, cuttings, kind, patience_days)
        return self.courses[key]
