"""How far a part has come is told of the whole."""

from __future__ import annotations

from slipwright.records.answers.programme.progress import Stretch


def test_a_stretch_of_a_stretch_tells_of_the_whole() -> None:
    told: list[tuple[int, int, str]] = []
    whole = Stretch(lambda *one: told.append(one))
    part = whole.part(0.2, 0.6).part(0.5, 1.0)
    part(1, 2, "a")
    part(0, 0, "b")
    part.share(7.0, "c")
    assert told == [(500, 1000, "a"), (600, 1000, "b"), (600, 1000, "c")]
