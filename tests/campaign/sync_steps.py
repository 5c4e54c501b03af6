"""Sequences of steps: drawn from a seed, done, read out, and made short where they fail."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from tests.campaign.sync_checks import Broken, check
from tests.campaign.sync_world import World

#: which happening, and three numbers it reads against whatever there is
Step = tuple[int, int, int, int]
#: what happens, and how often beside the others
HAPPENINGS: tuple[tuple[Callable[[World, int, int, int], None], int], ...] = (
    (World.record, 22),
    (World.send, 16),
    (World.deliver, 24),
    (World.answer, 20),
    (World.drop, 4),
    (World.give_up, 3),
    (World.crash, 4),
    (World.sign_out, 3),
    (World.take_back, 3),
    (World.twin, 2),
    (World.spoil, 2),
    (World.stick, 1),
    (World.change_phone, 3),
    (World.change_garden, 4),
    (World.decide, 2),
)
_DECK = [happening for happening, weight in HAPPENINGS for _ in range(weight)]
_DRAWN = 1 << 16


def steps_of(seed: int, n: int) -> list[Step]:
    """Return the steps of a sequence."""
    draws = random.Random(seed)
    return [
        (
            draws.randrange(len(_DECK)),
            draws.randrange(_DRAWN),
            draws.randrange(_DRAWN),
            draws.randrange(_DRAWN),
        )
        for _ in range(n)
    ]


def named(steps: Sequence[Step]) -> list[str]:
    """Return steps as a person reads them."""
    return [f"{_DECK[which].__name__}({a}, {b}, {c})" for which, a, b, c in steps]


def went_wrong(world: World, steps: Sequence[Step]) -> str:
    """Let the steps happen; return what does not hold then."""
    try:
        for which, a, b, c in steps:
            _DECK[which](world, a, b, c)
        world.settle_down()
        check(world)
    except Broken as error:
        return str(error)
    return ""


def shortened(steps: list[Step], fails: Callable[[list[Step]], bool]) -> list[Step]:
    """Return what is left of steps that fail when all is taken out that it fails without."""
    size = len(steps) // 2
    while size:
        start = 0
        while start < len(steps):
            fewer = steps[:start] + steps[start + size :]
            if fails(fewer):
                steps = fewer
            else:
                start += size
        size //= 2
    return steps
