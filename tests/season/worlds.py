"""Small seasons for tests."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

import numpy as np

from slipwright.season.asked import Drawn, Draws, Option, Row, Season, Want
from slipwright.season.counts import generator_of

MONDAY = date(2026, 3, 2)


def monday(week: int) -> date:
    return MONDAY + timedelta(weeks=week)


def option(
    name: str,
    week: int = 0,
    *,
    per: int = 6,
    each: float = 1.0,
    once: float = 4.0,
    use_each: Mapping[str, float] | None = None,
    use_once: Mapping[str, float] | None = None,
) -> Option:
    return Option(
        name,
        "Salix alba",
        "softwood",
        "dip",
        monday(week),
        "willow",
        per,
        each,
        once,
        use_each or {},
        use_once or {},
    )


def want(
    name: str,
    n_wanted: int,
    *options: Option,
    assurance: float = 0.8,
    value: float | None = None,
    mark: str = "",
) -> Want:
    return Want(name, "Salix alba", n_wanted, monday(30), assurance, options, value, mark)


def bench(room: float, week: int = 0, step: float = 0.0) -> Row:
    return Row(f"bench/{week}", "bench", "tent", monday(week), room, step)


def draws_of(
    means: Mapping[str, float] | float, spread: float = 0.5, standing: Mapping[str, int] | None = None
) -> Draws:
    """Logit-normal shares around a mean by option, and fixed numbers that stand."""

    def draws(want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        rows = [np.zeros(n_draws)] if not places else []
        for place in places:
            name = want.options[place].option
            mean = means if isinstance(means, float) else means[name]
            z = generator_of(seed, want.want, name, "share").standard_normal(n_draws)
            rows.append(1 / (1 + np.exp(-(np.log(mean / (1 - mean)) + spread * z))))
        ready = np.array(rows, np.float32)[: len(places)]
        stands = (standing or {}).get(want.want)
        return Drawn(ready, None if stands is None else np.full(n_draws, stands))

    return draws


def small_season(
    generator: np.random.Generator, n_wants: int = 3, n_options: int = 3, *, tight: float = 0.6
) -> tuple[Season, Draws]:
    """Draw a small season in which wants meet in two weeks of one bench."""
    means, wants = {}, []
    for number in range(n_wants):
        options = []
        for place in range(n_options):
            name = f"{number}-{place}"
            means[name] = float(generator.uniform(0.4, 0.9))
            week = int(generator.integers(0, 2))
            options.append(
                option(
                    name,
                    week,
                    per=int(generator.choice([4, 6])),
                    each=float(generator.uniform(0.5, 1.5)),
                    once=float(generator.uniform(1, 6)),
                    use_each={f"bench/{at}": 0.01 for at in range(week, 2)},
                )
            )
        wants.append(want(f"w{number}", int(generator.integers(6, 15)), *options, value=4.0))
    room = tight * sum(one.n_wanted for one in wants) * 0.02
    return Season(tuple(wants), (bench(room, 0), bench(room, 1))), draws_of(means)
