"""Summing a batch, by worked examples."""

from __future__ import annotations

from datetime import date

from slipwright.records.sums import LookSeen, PottedUp, counted_looks, standing

STUCK_ON = date(2026, 10, 1)


def look(day: int, number: int = 0, **told: object) -> LookSeen:
    number = number or day
    told.setdefault("entry_id", f"look {number}")
    return LookSeen(on=date(2026, 10, day), number=number, **told)  # type: ignore[arg-type]


def potted(day: int, n: int, number: int = 0) -> PottedUp:
    return PottedUp(date(2026, 10, day), number or day, n)


def test_a_batch_nobody_has_looked_at_waits() -> None:
    here = standing(24, STUCK_ON, [])
    assert (here.n_waiting, here.n_to_pot, here.n_looks, here.ended_on) == (24, 0, 0, None)


def test_a_season_of_one_batch() -> None:
    """24 stuck; 3 lost, 6 rooted, 2 given away, 5 potted, 13 more rooted, 1 of them lost, 13 potted."""
    looks = [look(8, n_lost=3), look(15, n_rooted=6, n_waiting=15, n_removed=0), look(18, n_removed=2)]
    pottings = [potted(15, 5)]
    here = standing(24, STUCK_ON, looks, pottings)
    assert (here.n_rooted, here.n_lost, here.n_removed, here.n_potted) == (6, 3, 2, 5)
    assert (here.n_waiting, here.n_to_pot, here.unpotted_since) == (13, 1, date(2026, 10, 15))
    assert (here.flags, here.ended_on) == (set(), None)
    looks.append(look(25, n_rooted=13, n_lost_rooted=1))
    pottings.append(potted(26, 13))
    here = standing(24, STUCK_ON, looks, pottings)
    assert (here.n_waiting, here.n_to_pot, here.ended_on) == (0, 0, date(2026, 10, 26))
    assert here.first_rooted_on == date(2026, 10, 15)
    assert here.unpotted_since is None


def test_of_two_looks_from_one_the_later_seen_counts_then_the_later_number() -> None:
    first = look(8, n_rooted=1)
    rivals = [look(15, 3, after="look 8", n_rooted=4), look(14, 4, after="look 8", n_rooted=9)]
    counted, clash = counted_looks([first, *rivals])
    assert ([seen.number for seen in counted], clash) == ([8, 3], True)
    rivals = [look(15, 3, after="look 8"), look(15, 5, after="look 8")]
    assert [seen.number for seen in counted_looks([first, *rivals])[0]] == [8, 5]


def test_a_chain_of_looks_is_no_clash() -> None:
    chain = [look(8), look(15, after="look 8"), look(22, after="look 15")]
    assert counted_looks(chain) == (chain, False)


def test_of_one_day_what_was_seen_comes_before_what_was_potted() -> None:
    here = standing(10, STUCK_ON, [look(9, 7, n_rooted=5)], [potted(9, 5, number=3)])
    assert (here.n_to_pot, here.flags) == (0, set())


def test_each_flag_is_raised_by_what_it_says() -> None:
    cases = {
        "more-than-stuck": standing(3, STUCK_ON, [look(8, n_rooted=2, n_lost=2)]),
        "waiting-differs": standing(3, STUCK_ON, [look(8, n_waiting=2)]),
        "lost-more-than-rooted": standing(3, STUCK_ON, [look(8, n_lost_rooted=1)]),
        "potted-more-than-rooted": standing(3, STUCK_ON, [], [potted(8, 1)]),
        "tried-differs": standing(3, STUCK_ON, [look(8, n_tried=1, n_tried_rooted=2)]),
        "before-sticking": standing(3, date(2026, 10, 9), [look(8)]),
    }
    for flag, here in cases.items():
        assert here.flags == {flag}


def test_it_opens_again_when_more_is_found_to_wait() -> None:
    over = [look(8, n_rooted=3), look(9, n_lost_rooted=3)]
    assert standing(3, STUCK_ON, over).ended_on == date(2026, 10, 9)
    again = [*over, look(10, n_rooted=1)]
    here = standing(3, STUCK_ON, again)
    assert (here.ended_on, here.flags) == (None, {"more-than-stuck"})
