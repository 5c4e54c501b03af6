"""What findings are called: the title is true of the numbers beside it, and claims no more than they bear."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slipwright.records.answers.findings import heads, words
from slipwright.records.answers.findings.gap import is_settled, units_to_settle
from slipwright.records.answers.findings.kept import Along, Counted, Factor, Gap, Level, Rate
from slipwright.records.answers.findings.level_words import level_words
from slipwright.records.answers.findings.levels import told_of


def test_a_part_that_did_as_well_by_count_alone_is_told() -> None:
    levels = tuple(
        Level(name, Counted(4, 80, n, 0, 80 - n, 0, n / 80)) for name, n in (("upper", 60), ("middle", 50))
    )
    along = Along("", levels, (1, 1), 0.7, None)
    assert heads.along_counted(along).startswith("By count alone the upper part did as well or better")
    assert heads.along_counted(replace(along, sweet=(0, 0))) == ""
    assert heads.along_counted(replace(along, sweet=None)) == ""


def test_where_counts_deny_what_was_learned_nothing_is_called_settled() -> None:
    settled = Gap("middle", "upper", (0.1, 0.2, 0.3), 0.99, 0.1, 30, 8)
    assert heads.along_settles(Along("", (), None, None, settled)).startswith("Here what was learned")
    assert "does not bear out the ranges" in heads.along_headline(Along("", (), None, None, settled))
    assert heads.along_settles(Along("", (), (0, 0), 0.7, settled)).startswith("Settled well enough")
    level = replace(settled, p_better=0.6)
    assert heads.along_headline(Along("", (), None, None, level)).endswith("the ranges overlap.")


@pytest.mark.parametrize("factor", ["place", "season"])
@pytest.mark.parametrize("name", ["dip bench", "talc corner", "soak", "tent", "middle", "open", "none"])
def test_a_place_is_called_as_its_garden_calls_it(factor: str, name: str) -> None:
    counted = Counted(1, 10, 5, 0, 5, 0)
    assert level_words(factor, Level(name, counted)) == name


def test_the_words_of_ways_stay_words() -> None:
    counted = Counted(1, 10, 5, 0, 5, 0)
    assert level_words("cover", Level("tent", counted)) == "tent or bag"
    assert level_words("dose", Level("dip 500", counted, 500.0)) == "dip of 500 mg/L"


def rate_of(taxon: str, share: tuple[float, float, float]) -> Rate:
    counted = Counted(5, 100, 50, 0, 50, 0, 0.5)
    return Rate(taxon, "hardwood", counted, share, share, share, (5.0, 6.0, 7.0), 0.2)


def test_shares_whose_ranges_overlap_crown_no_plant() -> None:
    one, other = rate_of("A", (0.3, 0.5, 0.7)), rate_of("B", (0.5, 0.7, 0.9))
    assert "none is surely better" in heads.rates_headline([one, other])
    clear = rate_of("C", (0.75, 0.8, 0.9))
    assert heads.rates_headline([one, clear]) == (
        "Of C, hardwood about 8 in 10 root in the long run, of A, hardwood about 5 in 10."
    )


def level(name: str, share: float, n_batches: int = 5) -> Level:
    return Level(name, Counted(n_batches, 100, 50, 0, 50, 0, 0.5), share=(share - 0.1, share, share + 0.1))


def held(of: Level, beside: Level, n_held: int) -> Gap:
    apart = (of.share or (0, 0, 0))[1] - (beside.share or (0, 0, 0))[1]
    sure = 0.99 if apart > 0.2 else 0.6
    return Gap(of.name, beside.name, (apart - 0.1, apart, apart + 0.1), sure, 0.2, 20, 8, 0.9)


def test_where_the_best_is_no_surer_than_the_usual_one_the_worst_is_told() -> None:
    levels = [level("mist", 0.72), level("tent", 0.7, 9), level("open", 0.3)]
    gap, also = told_of(levels, held)
    assert gap is not None
    assert also is not None
    assert (gap.beside, also.beside) == ("open", "tent")
    factor = Factor("cover", tuple(levels), gap, also)
    assert words.factor_headline(factor).startswith("Mist beside no cover: about 42 more root in each 100")
    assert words.factor_also(factor).startswith("Mist against tent or bag: not settled.")


def test_a_level_of_one_batch_is_held_against_none() -> None:
    gap, _ = told_of([level("mist", 0.9, 1), level("tent", 0.7), level("open", 0.3)], held)
    assert gap is not None
    assert (gap.of, gap.beside) == ("tent", "open")
    assert told_of([level("mist", 0.9, 1), level("tent", 0.7)], held) == (None, None)


def test_what_is_surely_better_but_mostly_belief_is_not_called_the_gardens_own() -> None:
    levels = (level("tent", 0.7), level("open", 0.3))
    gap = replace(held(*levels, 1), prior_share=0.6)
    assert not is_settled(gap)
    told = words.factor_headline(Factor("cover", levels, gap))
    assert told == (
        "Tent or bag beside no cover: likely about 40 more root in each 100, "
        "but most of that is what was believed before any record."
    )
    assert not words.what_settles("cover", gap).startswith("Settled")


def test_among_many_what_is_as_sure_as_a_pair_is_not_enough_and_says_so() -> None:
    levels = (level("1", 0.7), level("2", 0.6))
    gap = Gap("1", "2", (0.01, 0.1, 0.2), 0.95, 0.2, 20, 8, 0.99)
    names = {one.name: one.name for one in levels}
    assert words.how_sure(gap, names).endswith("Among so many pairs chance alone brings one like it.")
    assert "is ahead by 1 to 20 in each 100, but of several" in words.factor_headline(
        Factor("firmness", levels, gap)
    )


def test_none_stands_out_is_only_said_where_every_range_reaches_the_expected() -> None:
    near = replace(level("A", 0.5), beside=(-0.02, 0.0, 0.02), p_more=0.5)
    off = replace(level("B", 0.5), beside=(0.01, 0.06, 0.11), p_more=0.94)
    assert words.beside_headline(Factor("place", (near, near))).startswith("None stands out: every range")
    assert words.beside_headline(Factor("place", (near, off))) == (
        "Not settled. B is furthest off, about 6 in each 100 more than expected, "
        "but of 2 one may be so by chance."
    )


def test_no_trial_is_advised_for_months_and_seasons() -> None:
    gap = Gap("08", "02", (0.01, 0.1, 0.2), 0.95, 0.2, 20, 8, 0.99)
    assert "pots" not in words.what_settles("month", gap)
    assert "pots" not in words.what_settles("season", gap)


def test_a_smaller_gap_takes_more_pots_and_the_smallest_is_not_worth_one() -> None:
    large, small = units_to_settle(0.4, 0.7), units_to_settle(0.4, 0.5)
    assert large is not None
    assert small is not None
    assert large < small
    assert units_to_settle(0.5, 0.51) is None
    unsettled = Gap("dip-low", "none", (-0.05, 0.1, 0.3), 0.8, 0.2, 34, 8)
    assert "A trial of about 34 pots of 8 cuttings each way" in words.what_settles("dose", unsettled)
    tiny = Gap("dip-low", "none", (-0.05, 0.01, 0.3), 0.6, 0.2, None, 8)
    assert words.what_settles("dose", tiny) == "So small a gap is not worth a trial."
