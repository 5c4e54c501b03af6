"""Findings: waiting is not lost, a lucky batch is pulled in, nothing is told that ranges do not bear out."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from slipwright.advice.kinds import kind_of
from slipwright.handbook import load_handbook
from slipwright.records.answers.contrasts import Contrast
from slipwright.records.answers.findings import heads, words
from slipwright.records.answers.findings.along import along_of, bears_out, sweet_spot
from slipwright.records.answers.findings.counts import counted_of
from slipwright.records.answers.findings.gap import gap_of, is_settled
from slipwright.records.answers.findings.kept import (
    Counted,
    Level,
    Rate,
    Rule,
    Shown,
    shown_from,
)
from slipwright.records.answers.findings.levels import WAYS, factor_of
from slipwright.records.answers.findings.places import PRIOR_SD, factors_beside_expected
from slipwright.records.answers.findings.rates import rates_of
from slipwright.records.answers.findings.rules import rules_headline, rules_held
from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.rooting.counts import GIVEN_UP, BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Learned, before_records
from slipwright.rooting.page_prior import usual_cuttings

STUCK_ON = date(2025, 6, 1)
HANDBOOK = load_handbook()


def batch(
    name: str,
    n_rooted: int,
    n_lost: int,
    *,
    n_stuck: int = 20,
    ripeness: float = 0.5,
    taxon: str = "Rosa 'Pale Ferry'",
    place: str = "Shelf",
    day: int = 60,
    **said: object,
) -> SeenBatch:
    """Return a batch looked at once."""
    look = LookCounts(STUCK_ON + timedelta(days=day), n_rooted, n_lost)
    page = HANDBOOK.page_of(taxon)
    assert page
    leaf = page.woods["semi-hardwood"]
    kind = kind_of(taxon, leaf, "semi-hardwood", STUCK_ON, batch=name)
    cuttings = replace(usual_cuttings(leaf, "semi-hardwood"), ripeness=ripeness, **said)  # type: ignore[arg-type]
    return SeenBatch(BatchRecord(cuttings, kind, BatchCounts(STUCK_ON, n_stuck, (look,))), place)


def seen(counts: BatchCounts) -> SeenBatch:
    """Return a batch of which nothing but its counts is of interest."""
    return SeenBatch(BatchRecord(Cuttings(), Kind("Rosa", "Rosa", "hardwood", "2025", "A"), counts))


@cache
def of_shoots() -> tuple[tuple[SeenBatch, ...], Learned]:
    """Tips that rot, middles that root, bases that still wait; and what is learned of them."""
    batches = []
    for k in range(8):
        batches += [
            batch(f"tip{k}", 2 + k % 2, 16, ripeness=0.05),
            batch(f"mid{k}", 15 + k % 3, 2, ripeness=0.3),
            batch(f"base{k}", 2 + k % 2, 1, ripeness=0.95),
        ]
    return tuple(batches), learned_from(batches)


def learned_from(batches: Sequence[SeenBatch]) -> Learned:
    return fit([one.record for one in batches], integrate_up_to=0).learned(n_draws=300)


# --- counts -------------------------------------------------------------------------------------------


def test_what_waits_was_taken_away_or_given_up_is_not_lost() -> None:
    looks = (
        LookCounts(STUCK_ON + timedelta(days=30), 5, 2, 1),
        LookCounts(STUCK_ON + timedelta(days=60), 1, 4, cause=GIVEN_UP),
    )
    counted = counted_of([seen(BatchCounts(STUCK_ON, 20, looks))])
    assert (counted.n_rooted, counted.n_waiting, counted.n_lost, counted.n_away) == (6, 7, 2, 5)
    assert counted.share is not None
    assert counted.share > 6 / 20


def test_a_batch_never_counted_has_no_share() -> None:
    assert counted_of([seen(BatchCounts(STUCK_ON, 20))]).share is None


# --- along the shoot ----------------------------------------------------------------------------------


def test_the_sweet_spot_is_the_part_that_does_best_and_bases_that_wait_are_not_lost() -> None:
    batches, learned = of_shoots()
    (along,) = along_of(learned, batches)
    assert [one.name for one in along.levels] == ["tip", "upper", "base"]
    assert along.sweet == (1, 1)
    assert heads.along_headline(along).startswith("Take the upper part.")
    assert along.levels[2].counted.n_waiting > along.levels[2].counted.n_lost
    assert "Still waiting is not lost: of the base" in heads.along_waiting(along)


def test_where_nothing_was_learned_no_part_stands_out_though_the_belief_has_one() -> None:
    batches, _ = of_shoots()
    (along,) = along_of(before_records(), batches)
    assert along.sweet is None
    assert "not enough yet" in heads.along_headline(along)


def test_parts_whose_ranges_overlap_are_not_left_out() -> None:
    draws = np.random.default_rng(1).standard_normal(400) * 0.05
    best, near, far = 0.7 + draws, 0.69 + draws[::-1], 0.3 + draws
    assert sweet_spot([far, near, best], 2) == (1, 2)
    assert sweet_spot([near, best, near], 1) is None


def test_a_sweet_spot_the_counts_deny_is_not_told() -> None:
    good, bad = (Counted(3, 60, n, 0, 60 - n, 0, n / 60) for n in (40, 10))
    assert bears_out([bad, good], (1, 1))
    assert not bears_out([good, bad], (1, 1))
    assert not bears_out([bad, Counted(1, 20, 18, 0, 2, 0, 0.9)], (1, 1)), "one batch bears nothing out"


def test_how_sure_it_is_is_told_beside_the_nearest_rival() -> None:
    batches, learned = of_shoots()
    (along,) = along_of(learned, batches)
    assert along.gap is not None
    assert along.gap.of == "upper"
    best = max(
        (one for one in along.levels if one.name != "upper"), key=lambda one: (one.share or (0, 0, 0))[1]
    )
    assert along.gap.beside == best.name


def test_a_genus_is_told_of_by_itself_once_it_has_batches_enough() -> None:
    batches, learned = of_shoots()
    others = [batch(f"sage{k}", 10, 5, taxon="Salvia rosmarinus 'Tern'") for k in range(3)]
    assert [one.of for one in along_of(learned, [*batches, *others])] == ["", "Rosa"]


# --- shares -------------------------------------------------------------------------------------------


def test_one_lucky_batch_is_pulled_in_and_many_are_less_so() -> None:
    others = [batch(f"O{k}", 8 + k % 4, 8, taxon=f"Rosa 'Other {k % 3}'") for k in range(12)]
    lucky = batch("L", 8, 0, n_stuck=8, taxon="Rosa 'Lucky'")
    (one,) = (r for r in rates_of(learned_from([*others, lucky]), [lucky], HANDBOOK))
    assert one.counted.share == pytest.approx(1.0)
    assert one.share[1] < 0.93
    assert "Few cuttings prove little: Rosa ‘Lucky’, semi-hardwood was counted at" in heads.rates_pulled(
        [one]
    )
    often = [batch(f"L{k}", 20, 0, taxon="Rosa 'Lucky'") for k in range(8)]
    (many,) = (r for r in rates_of(learned_from([*others, *often]), often, HANDBOOK))
    assert many.share[1] > one.share[1]
    assert many.share[2] - many.share[0] < one.share[2] - one.share[0]


def test_batches_that_differ_make_the_range_wider_than_their_cuttings_would() -> None:
    alike = [batch(f"A{k}", 10, 10) for k in range(8)]
    unlike = [batch(f"U{k}", 19 * (k % 2), 19 - 18 * (k % 2)) for k in range(8)]
    (of_alike,) = rates_of(learned_from(alike), alike, HANDBOOK)
    (of_unlike,) = rates_of(learned_from(unlike), unlike, HANDBOOK)
    assert of_unlike.share[2] - of_unlike.share[0] > 1.2 * (of_alike.share[2] - of_alike.share[0])
    assert of_unlike.one_batch[0] < of_unlike.share[0]
    assert of_unlike.one_batch[2] > of_unlike.share[2]


# --- ways, places -------------------------------------------------------------------------------------


def test_levels_that_differ_in_the_records_are_told_apart() -> None:
    batches = [batch(f"M{k}", 16, 2) for k in range(8)]
    batches += [batch(f"O{k}", 4, 14, cover="open") for k in range(8)]
    cover = next(ways for ways in WAYS if ways.name == "cover")
    factor = factor_of(learned_from(batches), batches, cover)
    assert factor.gap is not None
    assert (factor.gap.of, factor.gap.beside) == ("tent", "open")
    assert is_settled(factor.gap)
    assert "Tent or bag beside no cover: about" in words.factor_headline(factor)
    assert words.what_settles("cover", factor.gap).startswith("Settled well enough")


def test_batches_of_one_plant_prove_less_of_a_place_than_as_many_of_several() -> None:
    def of_bench(taxa: Sequence[str]) -> Level:
        batches = [
            batch(f"{taxon}{place}{k}", n, 1, taxon=taxon, place=place)
            for taxon in taxa
            for place, n in (("Bench", 19),)
            for k in range(12 // len(taxa))
        ]
        factor = next(f for f in factors_beside_expected(before_records(), batches) if f.name == "place")
        return factor.levels[0]

    one = of_bench(["Rosa 'A'"])
    many = of_bench([f"Rosa '{letter}'" for letter in "ABCDEF"])
    assert one.beside is not None
    assert many.beside is not None
    assert one.beside[2] - one.beside[0] > many.beside[2] - many.beside[0]


def test_a_place_is_held_against_another_of_the_same_plants() -> None:
    batches = [batch(f"G{k}", 19, 0, place="Bench") for k in range(8)]
    batches += [batch(f"B{k}", 6, 12, place="Frame") for k in range(8)]
    factor = next(f for f in factors_beside_expected(before_records(), batches) if f.name == "place")
    assert factor.gap is not None
    assert (factor.gap.of, factor.gap.beside) == ("Bench", "Frame")
    assert factor.gap.p_better > 0.95, "what is not known of the plant does not blur it"


def test_batches_all_alike_in_one_thing_say_so() -> None:
    batches = [batch("A", 10, 5)]
    cover = next(ways for ways in WAYS if ways.name == "cover")
    factor = factor_of(before_records(), batches, cover)
    assert factor.gap is None
    assert "All batches are alike in this: tent or bag." in words.factor_headline(factor)


def test_a_place_of_few_batches_is_pulled_towards_what_was_expected() -> None:
    usual = [batch(f"A{k}", 11, 6) for k in range(20)]
    good = [batch(f"G{k}", 19, 0, place="Bench") for k in range(12)]
    factors = {one.name: one for one in factors_beside_expected(before_records(), [*usual, *good])}
    many = next(one for one in factors["place"].levels if one.name == "Bench")
    few_factors = factors_beside_expected(before_records(), [*usual, good[0]])
    few = next(one for one in few_factors[2].levels if one.name == "Bench")
    assert many.beside is not None
    assert few.beside is not None
    assert many.beside[1] > few.beside[1] > 0
    assert few.beside[1] < PRIOR_SD
    assert (few.p_more or 0) < (many.p_more or 0)
    assert "Bench: about" in words.beside_headline(factors["place"])


def test_among_many_levels_chance_must_be_left_further_behind() -> None:
    draws = np.linspace(-0.02, 0.2, 200)
    shares, none = (0.5 + draws, np.full(200, 0.5)), (np.random.default_rng(1).random(200), np.full(200, 0.5))
    assert is_settled(gap_of("a", "b", shares, none, 1))
    assert not is_settled(gap_of("a", "b", shares, none, 10))


# --- the handbook -------------------------------------------------------------------------------------


def rate(p_below: float, p_above: float, *, n_batches: int = 5, prior_share: float = 0.2) -> Rate:
    rule = Rule("rooted", 0.4, 0.6, 0.8, (0.5, 0.6, 0.7), p_below, p_above, prior_share)
    counted = Counted(n_batches, 100, 60, 0, 40, 0, 0.6)
    points = (0.5, 0.6, 0.7)
    return Rate("Rosa", "hardwood", counted, points, points, points, (5.0, 6.0, 7.0), prior_share, (rule,))


def contrast(p10: float, p50: float, p90: float, prior_share: float = 0.2) -> Contrast:
    return Contrast("dip", "rooting", p10, p50, p90, 1.2, 2.0, 3.3, prior_share)


@pytest.mark.parametrize(
    ("of_plant", "verdict"),
    [
        (rate(0.04, 0.04), "agrees"),
        (rate(0.9, 0.0), "differs"),
        (rate(0.5, 0.0), "not-yet"),
        (rate(0.9, 0.0, n_batches=1), "not-yet"),
        (rate(0.0, 0.0, prior_share=0.9), "not-yet"),
        (rate(0.0, 0.0, prior_share=0.6), "not-yet"),
        (rate(0.08, 0.07), "not-yet"),
    ],
)
def test_a_rule_of_a_plant_is_decided_by_chance_batches_and_what_is_belief(
    of_plant: Rate, verdict: str
) -> None:
    (held,) = rules_held([of_plant], [])
    assert held.verdict == verdict


@pytest.mark.parametrize(
    ("of_all", "verdict"),
    [
        (contrast(1.6, 2.1, 2.8), "agrees"),
        (contrast(0.8, 1.0, 1.3), "differs"),
        (contrast(0.7, 1.4, 2.9), "not-yet"),
        (contrast(1.6, 2.1, 2.8, prior_share=0.9), "not-yet"),
    ],
)
def test_a_rule_of_all_plants_agrees_where_it_works_the_same_way_as_strongly(
    of_all: Contrast, verdict: str
) -> None:
    (held,) = rules_held([], [of_all])
    assert held.verdict == verdict
    assert held.handbook.startswith("2 times")


def test_what_the_handbook_is_itself_unsure_of_is_no_rule() -> None:
    unsure = Contrast("nodes", "rooting", 0.9, 1.0, 1.1, 0.7, 0.9, 1.2, 0.2)
    assert rules_held([], [unsure]) == []


def test_what_differs_is_told_first_and_all_are_counted() -> None:
    held = rules_held([rate(0.05, 0.0), rate(0.95, 0.0), rate(0.5, 0.0)], [])
    assert [one.verdict for one in held] == ["differs", "agrees", "not-yet"]
    assert rules_headline(held) == (
        "Rules of the handbook that hold here: 1 of 3. That differ: 1. Not enough yet: 1."
    )


# --- keeping ------------------------------------------------------------------------------------------


def test_what_was_found_is_read_back_as_it_was_kept() -> None:
    batches, learned = of_shoots()
    shown = Shown(
        len(batches),
        480,
        ("2025", "2025"),
        along_of(learned, batches),
        rates_of(learned, batches[:3], HANDBOOK),
        (factor_of(learned, batches[:4], WAYS[2]), *factors_beside_expected(learned, batches[:4])),
    )
    kept = json.loads(json.dumps(shown.as_kept()))
    assert shown_from(kept).as_kept() == kept
    assert shown_from(kept).along[0].sweet == (1, 1)
