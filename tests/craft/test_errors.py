"""Errors carry what was wrong and survive a trip between processes."""

from __future__ import annotations

import pickle

from slipwright.craft.errors import BadArgument, OutOfReach
from slipwright.craft.names import NotAPlantName


def test_bad_argument_carries_name_rule_and_value() -> None:
    error = BadArgument("mean", "lie between 0 and 1", 1.5)
    assert (error.argument, error.rule, error.value) == ("mean", "lie between 0 and 1", 1.5)
    assert str(error) == "mean must lie between 0 and 1, not 1.5"


def test_every_error_is_a_value_error_and_pickles() -> None:
    for error in (
        BadArgument("mean", "lie between 0 and 1", 1.5),
        OutOfReach(12, 0.9, 1000, 0.25),
        NotAPlantName("rosa", "a genus begins with a capital: write Rosa"),
    ):
        assert isinstance(error, ValueError)
        again = pickle.loads(pickle.dumps(error))
        assert type(again) is type(error)
        assert str(again) == str(error)
        assert vars(again) == vars(error)
