"""What more of something would bring is said with its money and in the measures of the garden."""

from __future__ import annotations

import pytest

from slipwright.records.answers.programme.stops import gains_in_words, more_in_words
from slipwright.season.programme import Loosened

SPACE = "\u00a0"


def loosened(plants: float, saves: float) -> Loosened:
    """Return what somewhat more of a row was found to bring."""
    return Loosened("bench tent", 0.45, plants + saves, saves, plants)


@pytest.mark.parametrize(
    ("plants", "saves", "words"),
    [
        (3, -4.53, f"would bring 3 more plants and cost 4.53{SPACE}USD more"),
        (1, 2.0, f"would bring 1 more plant and save 2{SPACE}USD"),
        (0, 1.13, f"would save 1.13{SPACE}USD"),
        (0, -1.13, f"would cost 1.13{SPACE}USD more"),
        (5, 0.0, "would bring 5 more plants"),
        (-2, 30.5, f"would bring 2 fewer plants and save 30.50{SPACE}USD"),
        (0.3, 0.0, "would bring part of a plant more"),
    ],
)
def test_gains_are_a_sentence_with_their_money(plants: float, saves: float, words: str) -> None:
    assert gains_in_words(loosened(plants, saves), "USD") == words


def test_room_is_said_in_the_measures_of_the_garden() -> None:
    assert more_in_words("bench", 0.45) == "0.45 m² (4.8 ft²) more"
    assert more_in_words("nursery", 0.45, "us") == "4.8 ft² (0.45 m²) more"
    assert more_in_words("hours", 1.5) == "1.5 h more"
    assert more_in_words("shoots", 5.0) == "5 more shoots"
