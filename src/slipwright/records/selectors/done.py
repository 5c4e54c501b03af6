"""What was done on a day, and in the same query what else a round reads of the entries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import (
    CharField,
    DateField,
    DateTimeField,
    Field,
    IntegerField,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Cast

from slipwright.records.models import Garden, Look, Potting, Want
from slipwright.records.selectors.batches import BatchNow
from slipwright.records.selectors.own_rules import RULE_TEXTS, OwnRule, rule_rows, rule_said
from slipwright.records.selectors.season_stuck import STUCK_TEXTS, StuckForWant, stuck_as, stuck_rows
from slipwright.records.selectors.season_wanted import RIGHTS_TEXTS, why_not_as

#: the newest entries are looked through for what was done today
_NEWEST = 400
_LOOK, _POTTING, _RULE, _STICKING, _WANT = range(5)
#: columns of text of each row; what has fewer leaves the rest empty
_TEXTS = max(len(RULE_TEXTS), len(STUCK_TEXTS), len(RIGHTS_TEXTS))


@dataclass(frozen=True, slots=True)
class DoneOn:
    """What was done on a day: when each batch was looked at, and how many were potted.

    With it come the garden's own rules, newest first, what was stuck for wants, the first first, and of each
    want why its plant may not be multiplied on the day, empty where it may be.
    """

    looked: dict[int, datetime] = field(default_factory=dict)
    n_potted: int = 0
    rules: tuple[OwnRule, ...] = ()
    stuck: tuple[StuckForWant, ...] = ()
    wanted: Mapping[str, str] = field(default_factory=dict)


def done_on(
    garden: Garden, on: date, batches: Iterable[BatchNow], *, stuck_after: int | None = None
) -> DoneOn:
    """Return what was done on a day to batches under way, and the garden's own rules. One query.

    What was stuck for wants comes with it, and what is wanted, where ``stuck_after`` is given: the record
    after which it counts.
    The looks are held to the garden by their batches alone, so that the index of these is taken.
    """
    today = [batch.pk for batch in batches if batch.last_look_on == on]
    newest = Potting.rows.of(garden).order_by("-number").values("pk")[:_NEWEST]
    looks = Look.rows.standing().filter(batch__in=today, on=on)
    pottings = Potting.rows.of(garden).standing().filter(pk__in=Subquery(newest), on=on)
    none, day, moment = _whole(0), _nothing(DateField()), _nothing(DateTimeField())
    parts: list[QuerySet[Any, Any]] = [
        looks.values_list(_whole(_LOOK), "batch", "received_at", "on", none, *_texts()),
        pottings.values_list(_whole(_POTTING), "batch", moment, "on", "n_potted", *_texts()),
        rule_rows(garden).values_list(_whole(_RULE), "number", "at", day, none, *_texts(*RULE_TEXTS)),
    ]
    if stuck_after is not None:
        stuck = stuck_rows(garden, stuck_after)
        columns = (_whole(_STICKING), "number", moment, "stuck_on", "n_stuck", *_texts(*STUCK_TEXTS))
        parts.append(stuck.values_list(*columns))
        wants = Want.rows.of(garden)
        parts.append(wants.values_list(_whole(_WANT), "pk", moment, day, none, *_texts(*RIGHTS_TEXTS)))
    first, *others = (part.order_by() for part in parts)
    return _read(first.union(*others, all=True), today=on)


def _read(rows: Iterable[tuple[Any, ...]], *, today: date) -> DoneOn:
    looked: dict[int, datetime] = {}
    wanted: dict[str, str] = {}
    n_potted, rules, stuck = 0, [], []
    for what, key, at, on, n, *texts in rows:
        if what == _LOOK:
            looked[key] = max(at, looked.get(key, at))
        elif what == _POTTING:
            n_potted += n
        elif what == _RULE:
            rules.append((key, rule_said(*texts[: len(RULE_TEXTS)], at=at)))
        elif what == _WANT:
            name, why_not = why_not_as(texts[: len(RIGHTS_TEXTS)], on=today)
            wanted[name] = why_not
        else:
            stuck.append((on, key, stuck_as(texts, n, on)))
    rules.sort(key=lambda one: one[0], reverse=True)
    stuck.sort(key=lambda one: one[:2])
    said = tuple(rule for _, rule in rules if rule is not None)
    return DoneOn(looked, n_potted, said, tuple(one for *_, one in stuck), wanted)


def _whole(n: int) -> Value:
    return Value(n, output_field=IntegerField())


def _nothing(kind: Field[Any, Any]) -> Cast:
    """Return an empty column of a kind, which a union cannot take for one of text."""
    return Cast(Value(None), kind)


def _texts(*names: str | Cast) -> tuple[Any, ...]:
    return (*names, *(Value("", output_field=CharField()) for _ in range(_TEXTS - len(names))))
