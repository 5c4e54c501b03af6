"""A season put away as plain data, read again, and told a day later."""

from __future__ import annotations

import json
from datetime import date

from slipwright.advice.plant_season import PlantSeason
from slipwright.advice.timing import Opening
from slipwright.craft.bloom import Slope
from slipwright.craft.said import Said
from slipwright.craft.wood import Window
from slipwright.records.answers.season_told import SeasonTold, season_later, season_told

SOFT = Window("softwood", date(2025, 5, 1), date(2025, 7, 20), date(2025, 5, 9), date(2025, 7, 1), 0.625)
SEMI = Window("semi-hardwood", date(2025, 7, 1), date(2025, 9, 20), None, None, 0.5)
ON = date(2025, 7, 20)
DELAY = Said("in bloom until about {day}", day=Said("{day} Jul", day=19))
SEASON = PlantSeason(
    (SOFT, SEMI),
    (Opening("softwood", SOFT, ON), Opening("semi-hardwood", SEMI, ON, DELAY, near_bloom=True)),
    Opening("softwood", SOFT, ON),
    Said("buds and leaf fall seen {n} times", n=3),
)


def test_it_reads_back_the_same_and_its_sentences_can_still_be_told_in_another_tongue() -> None:
    told = SeasonTold(SEASON, Slope(-4.1, 0.7, 4.5, 44))
    again = season_told(json.dumps(told.as_kept()))
    assert again == told
    assert isinstance(again.season.openings[1].delay, Said)
    assert again.season.openings[1].delay.template == "in bloom until about {day}"
    assert isinstance(again.season.rests_on, Said)


def test_a_plant_without_a_window_reads_back_without() -> None:
    told = SeasonTold(PlantSeason(), Slope(-3.8, 0.9, 4.5))
    assert season_told(json.dumps(told.as_kept())) == told


def test_a_day_later_what_was_open_is_open_and_what_is_over_is_gone() -> None:
    assert season_later(SEASON, ON) == SEASON
    later = season_later(SEASON, date(2025, 7, 21))
    assert later.windows == (SEMI,)
    assert [(one.wood, one.from_on) for one in later.openings] == [("semi-hardwood", date(2025, 7, 21))]
    assert later.best == later.openings[0]
    ahead = Opening("semi-hardwood", SEMI, date(2025, 8, 1))
    waits = season_later(PlantSeason((SEMI,), (ahead,), ahead), date(2025, 7, 21))
    assert waits.best == ahead
