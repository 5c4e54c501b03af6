"""Plans of many wants, listed by several processes, or taken from where they are kept."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Callable, Iterator, MutableMapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from slipwright.craft.errors import BadArgument
from slipwright.season._listing import Listed, Way, plans_listed
from slipwright.season.asked import Drawn, Draws, Want
from slipwright.season.counts import Shares
from slipwright.season.workers import Workers

#: told with each key, so that lists made by other rules are not taken
_RULES = "1"
#: no batch holds more than this many cuttings for each plant wanted
_MOST_TIMES = 40
#: so few lists are made sooner than other processes start
_FEW = 12


class Asked(NamedTuple):
    """One list to be made: a want with a target of plants, and the most containers of each option."""

    want: Want
    target: int
    most: tuple[int, ...]


class _Task(NamedTuple):
    want: str
    target: int
    assurance: float
    ways: tuple[Way, ...]
    ready: Shares
    standing: NDArray[np.int64]
    seed: int


def lists_of(
    asked: Sequence[Asked],
    draw: Draws,
    *,
    seed: int,
    n_scenarios: int,
    kept: MutableMapping[str, bytes],
    workers: Workers,
    told: Callable[[int, int], None] = lambda done, total: None,
) -> list[Listed]:
    """Return the plans of each want asked for.

    Parameters
    ----------
    asked : sequence of Asked
        Wants and targets.
    draw : callable
        As `slipwright.season.asked.Draws`; not called for a want whose list is kept and that has a mark.
    seed : int
        Seed of the programme [1].
    n_scenarios : int
        Scenarios [1].
    kept : mutable mapping
        Lists by the digest of all they depend on; new ones are put in.
    workers : Workers
        Processes.
    told : callable
        Told how many are done of all.

    Returns
    -------
    list of Listed
        In the order asked.

    References
    ----------
    As `slipwright.season._listing`.

    Examples
    --------
    >>> lists_of([], lambda *asked: None, seed=1, n_scenarios=100, kept={}, workers=Workers(0))
    []
    """
    keys: list[str] = []
    made: list[str] = []
    places: list[int] = []

    def tasks() -> Iterator[_Task]:
        for one in asked:
            task = None if one.want.mark else _task(one, draw, seed, n_scenarios)
            key = _key(one, task, seed, n_scenarios)
            keys.append(key)
            if key not in kept and key not in made:
                made.append(key)
                places.append(len(keys))
                yield task or _task(one, draw, seed, n_scenarios)

    fresh: dict[str, Listed] = {}
    each = workers.each if len(asked) > _FEW else map
    for number, found in enumerate(each(_listed, tasks())):
        fresh[made[number]] = found
        kept[made[number]] = _as_bytes(found)
        told(places[number], len(asked))

    def found_again(one: Asked, key: str) -> Listed:
        try:
            return _from_bytes(kept[key])
        except KeyError:  # it went since it was asked after
            fresh[key] = _listed(_task(one, draw, seed, n_scenarios))
            kept[key] = _as_bytes(fresh[key])
            return fresh[key]

    return [
        fresh[key] if key in fresh else found_again(one, key) for one, key in zip(asked, keys, strict=True)
    ]


def whole_standing(drawn: Drawn, n_draws: int) -> NDArray[np.int64]:
    """Plants that batches already stuck will have ready, none where none stand.

    Parameters
    ----------
    drawn : Drawn
        Draws of a want.
    n_draws : int
        How many draws there are [1].

    Returns
    -------
    array of shape (n_draws,)
        Whole numbers [1].

    References
    ----------
    Definition.

    Examples
    --------
    >>> whole_standing(Drawn(np.zeros((0, 2))), 2).tolist()
    [0, 0]
    """
    if drawn.standing is None:
        return np.zeros(n_draws, np.int64)
    standing = np.floor(np.asarray(drawn.standing, float) + 0.5).astype(np.int64)
    if standing.shape != (n_draws,):
        raise BadArgument("standing", f"have {n_draws} draws", standing.shape)
    return standing


def _task(one: Asked, draw: Draws, seed: int, n_scenarios: int) -> _Task:
    want = one.want
    drawn = draw(want, tuple(range(len(want.options))), n_scenarios, seed)
    ready = np.asarray(drawn.ready, np.float32)
    shape = (len(want.options), n_scenarios)
    if ready.size != shape[0] * shape[1] or not ((ready >= 0) & (ready <= 1)).all():
        raise BadArgument("ready", f"be {n_scenarios} shares from 0 to 1 for each option", want.want)
    ready = ready.reshape(shape)
    standing = whole_standing(drawn, n_scenarios)
    return _Task(want.want, one.target, want.assurance, _ways(one), ready, standing, seed)


def _ways(one: Asked) -> tuple[Way, ...]:
    return tuple(
        Way(
            option.option,
            option.n_per_container,
            option.cost_each,
            option.cost_once,
            min(most, _MOST_TIMES * (one.target + 1) // option.n_per_container + 1),
        )
        for option, most in zip(one.want.options, one.most, strict=True)
    )


def _key(one: Asked, task: _Task | None, seed: int, n_scenarios: int) -> str:
    want = one.want
    content = [_RULES, seed, n_scenarios, want.want, want.mark, one.target, want.assurance, _ways(one)]
    digest = hashlib.sha256(json.dumps(content).encode())
    if task is not None:
        digest.update(task.ready.tobytes())
        digest.update(task.standing.tobytes())
    return digest.hexdigest()


def _listed(task: _Task) -> Listed:
    return plans_listed(
        task.target, task.assurance, task.ways, task.ready, task.standing, want=task.want, seed=task.seed
    )


def _as_bytes(listed: Listed) -> bytes:
    content = io.BytesIO()
    np.savez(content, options=listed.options, n_containers=listed.n_containers, given=listed.given)
    return content.getvalue()


def _from_bytes(content: bytes) -> Listed:
    with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
        return Listed(arrays["options"], arrays["n_containers"], int(arrays["given"]))
