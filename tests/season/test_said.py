"""How far the planner has come is told of the whole, never falls, and may end the work."""

from __future__ import annotations

import numpy as np
import pytest

from slipwright.season.asked import Drawn, Want
from slipwright.season.planning import programme_of
from tests.season.worlds import small_season


class Enough(Exception):
    """Ends the work."""


@pytest.mark.parametrize("tight", [0.2, 1.5])
def test_it_rises_through_every_part_to_the_whole(tight: float) -> None:
    season, draws = small_season(np.random.default_rng(1), 5, tight=tight)
    told: list[tuple[float, str]] = []
    programme_of(season, draws, n_workers=0, n_scenarios=400, n_fresh=500, said=lambda *one: told.append(one))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert list(dict.fromkeys(words for _, words in told)) == [
        "listing the plans of each want",
        "choosing among the plans",
        "counting what is promised on fresh draws",
        "finding what stops the rest",
    ]
    listing = [share for share, words in told if words.startswith("listing")]
    assert len(set(listing)) >= len(season.wants)


def test_whoever_is_told_may_end_it() -> None:
    season, draws = small_season(np.random.default_rng(1), 5)
    asked: list[str] = []

    def draw(want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        asked.append(want.want)
        return draws(want, places, n_draws, seed)

    def said(share: float, words: str) -> None:
        if share > 0.1:
            raise Enough

    with pytest.raises(Enough):
        programme_of(season, draw, n_workers=0, n_scenarios=400, n_fresh=500, said=said)
    assert len(set(asked)) < len(season.wants)
