"""The clocks against times that others have fitted: seen only at looks, and some that never come."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from math import ceil
from pathlib import Path

import numpy as np
import pytest

from slipwright.rooting.cells import Cells
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings, Term
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind
from slipwright.rooting.mode import Problem
from slipwright.rooting.spells import spells_of

DATA = Path(__file__).parent / "data"
ON = date(2001, 1, 1)


def rows(name: str) -> list[list[str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines))[1:]


def looked(days: dict[int, int], n: int, number: int) -> BatchRecord:
    """A batch of ``n`` of which so many had rooted, and none was lost, by each day."""
    looks = tuple(LookCounts(ON + timedelta(days=day), n_rooted, 0) for day, n_rooted in days.items())
    kind = Kind("Genus", "Taxon", "semi-hardwood", "2001", f"B{number:02}")
    return BatchRecord(Cuttings(usual=Cuttings()), kind, BatchCounts(ON, n, looks))


def test_weibull_times_seen_at_intervals_are_those_of_survreg() -> None:
    # a quarter of a month is a day here, and the clock starts from nought; each patient is a batch of one
    records = []
    for number, (left, right) in enumerate(rows("finkelstein1985_radiation_arm_intervals.csv")):
        seen = {4 * int(left): 0} if int(left) else {}
        seen |= {4 * int(right): 1} if right else {}
        records.append(looked(seen, 1, number))
    quarter_months = Cells(tuple(float(k) for k in range(4 * 61)), floor=0.0, reference=4.0)
    never = (-30.0, 1e-4)
    flat = (0.0, float("inf"))
    terms = (
        Term("intercept", flat, never),
        Term("time", flat, (0.0, 1e-4), "slope"),
        Term("time_2", (0.0, 1e-4), (0.0, 1e-4), "bend"),
    )
    none_apart = np.full(9, -4.0)
    problem = Problem(
        records, [spells_of(record.counts) for record in records], cells=quarter_months, terms=terms
    )
    top = problem.mode(none_apart[None])
    level, slope = top.dense[0, : len(problem.design.names)][:2]
    shape = slope + 1
    # ln h = ln(shape) - shape ln(scale) + (shape - 1) ln(t) a month; the level is of t = 1, a quarter month
    scale = np.exp((np.log(shape) - level - np.log(4)) / shape)
    assert shape == pytest.approx(1.12041, rel=0.001)
    assert scale == pytest.approx(57.5245, rel=0.001)
    assert top.jet.value.sum() == pytest.approx(-64.59214, abs=0.005)


def test_chickweed_is_not_of_our_family_yet_its_share_at_the_last_look_is_told_to_a_standard_error() -> None:
    # hours are days here, halves rounded up; 40 of 200 came up, nearly all from hour 190 to 220, which no
    # hazard of ours can follow: it spreads them out, and looks for more after the last look
    seen = {ceil(float(end)): int(n) for _, end, n in rows("ritz2013_chickweed_intervals.csv") if end}
    record = looked(seen, 200, 0)
    learned = fit([record]).learned(n_draws=4000)
    by_last = fates(learned.clocks(record.cuttings, record.kind), [float(max(seen))])[0].mean()
    assert by_last == pytest.approx(0.2, abs=0.028)
