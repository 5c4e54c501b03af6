"""How fast a plant is said to be beside what was believed of it: all that was learned of it counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from bench.worlds import own_world
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates, middle_clocks
from slipwright.rooting.cuttings import PARTS, PRIOR_MEANS, TERMS, Cuttings
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Learned, Node
from slipwright.rooting.page_prior import usual_cuttings
from slipwright.rooting.spreads import SPREADS, WOOD_SD
from slipwright.rooting.taxon_effects import taxon_effects

WORLD = own_world(np.random.default_rng(21), 30, 6)
STUCK = date(2026, 9, 1)


def with_a_row(record: BatchRecord) -> BatchRecord:
    """Return it with the handbook's row of cuttings like these, so that it counts nothing but the row."""
    row = Cuttings(record.cuttings.wood)
    return replace(record, cuttings=replace(record.cuttings, usual=row))


#: half of the plants with a row of the handbook, half without
RECORDS = [
    with_a_row(one) if one.kind.path[2] < sorted({each.kind.path[2] for each in WORLD.records})[3] else one
    for one in WORLD.records
]
FOUND: Fit = fit(RECORDS)
DRAWN: Learned = FOUND.learned(n_draws=8000)


def nodes() -> list[Node]:
    return sorted({one.kind.path[2] for one in RECORDS})


def test_each_wood_of_each_taxon_is_told_once_on_both_clocks() -> None:
    told = taxon_effects(FOUND)
    assert [(one.taxon, one.wood) for one in told[::2]] == [node[2:] for node in nodes()]
    assert [one.clock for one in told[:2]] == ["rooting", "loss"]
    assert {one.has_row for one in told} == {True, False}


def test_it_is_what_the_draws_say_of_the_usual_cuttings() -> None:
    """Effects and coefficients hang together; summed as if they did not, widths would be off."""
    for one in taxon_effects(FOUND):
        node = next(node for node in nodes() if node[2:] == (one.taxon, one.wood))
        record = next(each for each in RECORDS if each.kind.path[2] == node)
        row = record.cuttings.usual
        usual = replace(row, usual=row) if row else usual_cuttings(None, record.cuttings.wood)
        clock = int(one.clock == "loss")
        drawn = DRAWN.nodes[node][clock].copy()
        for name, amount in usual.terms().items():
            if PARTS[name] == "level":
                drawn += amount * (DRAWN.coefficients[name][clock] - PRIOR_MEANS[name][clock])
        assert one.has_row is (row is not None)
        assert one.mean == pytest.approx(drawn.mean(), abs=0.05 * one.sd)
        assert one.sd == pytest.approx(drawn.std(), rel=0.05)
        assert one.sd < 1.02 * one.prior_sd


def test_before_any_record_it_is_as_wide_as_effects_and_coefficients_together() -> None:
    priors = {term.name: (term.rooting[1], term.loss[1]) for term in TERMS}
    plants = [sum(SPREADS[level][k] ** 2 for level in ("genus", "taxon")) + WOOD_SD**2 for k in (0, 1)]
    for one in taxon_effects(FOUND):
        k = int(one.clock == "loss")
        names = ["intercept"]
        if not one.has_row:
            names += ["without_row", "leafless" if one.wood == "hardwood" else "tent"]
            names += [one.wood] if one.wood != "semi-hardwood" else []
        expected = plants[k] + sum(priors[name][k] ** 2 for name in names)
        assert one.prior_sd == pytest.approx(expected**0.5)


def test_where_all_plants_are_slow_each_is_told_as_slow_as_it_is() -> None:
    """Nearly three times as slow everywhere: what all have in common must not be left out."""
    truth = middle_clocks(Cuttings())
    truth = replace(truth, level=truth.level + np.array([[-1.0], [0.0]]))
    days, generator, records = [21, 35, 49, 63, 84], np.random.default_rng(5), []
    for at in range(60):
        own = replace(truth, level=truth.level + generator.normal(0, 0.3, (2, 1)))
        shares = np.diff(fates(own, days)[:, :, 0], axis=1, prepend=0)
        each = [*shares[0], *shares[1], max(1 - shares.sum(), 0)]
        n = generator.multinomial(20, each)
        looks = tuple(
            LookCounts(STUCK + timedelta(days=day), int(n[k]), int(n[5 + k])) for k, day in enumerate(days)
        )
        genus = f"G{at % 6}"
        kind = Kind(genus, genus, "semi-hardwood", "2026", str(at))
        records.append(BatchRecord(Cuttings(usual=Cuttings()), kind, BatchCounts(STUCK, 20, looks)))
    told = [one for one in taxon_effects(fit(records, integrate_up_to=0)) if one.clock == "rooting"]
    assert np.mean([one.mean for one in told]) == pytest.approx(-1, abs=0.25)
