"""What must hold of phones and garden, asked of the tables and the outboxes themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import connection

from slipwright.records.models import ENTRY_MODELS, Garden, SetAside

if TYPE_CHECKING:
    from tests.campaign.sync_world import World

#: the batches that are there before anybody records
BATCHES = ("7K3F", "9M2P")
_LOOKS = """
SELECT s.batch_id, s.n_rooted, s.n_looks, l.id, l.after, l.n_rooted
FROM records_batchstate s LEFT JOIN records_look l ON l.batch_id = s.batch_id AND NOT EXISTS (
    SELECT 1 FROM records_withdrawal w WHERE w.withdraws = l.entry_id AND w.withdraws_kind = 'look')
ORDER BY l."on", l.number
"""


class Broken(Exception):
    """Something that must hold does not."""


def check(world: World) -> None:
    """Raise ``Broken`` for what does not hold."""
    there = entries_of(world.garden)
    if lost := [one for one in world.acknowledged if one not in there]:
        raise Broken(f"{len(lost)} acknowledged and not there")
    aside = set(SetAside.rows.of(world.garden).values_list("entry_id", "sha256"))
    outboxes = [one for phone in world.phones for one in phone.outbox.values()]
    kept = {(one.id, one.sha256) for one in outboxes if one.state != "received"}
    if nowhere := set(world.made) - set(there) - aside - kept - world.gone:
        raise Broken(f"{len(nowhere)} are nowhere")
    said = {(one.id, one.sha256) for one in outboxes if one.state == "received"}
    if said - set(there):
        raise Broken("a phone says received of what is not there")
    strange = [one for one in there if one not in world.made and one[0] not in world.beside]
    if len(strange) != len(BATCHES) or world.gone & set(there):
        raise Broken("something is there that nobody recorded")
    last = Garden.objects.get(pk=world.garden.pk).last_number
    if sorted(there.values()) != list(range(1, last + 1)):
        raise Broken("the numbers have gaps, or one is there twice")
    check_sums()


def check_sums() -> None:
    """Raise ``Broken`` where the standing of a batch is not the sum of its looks.

    Worked out by itself: of the looks after the same one, the one of the later day, then of the later
    number, counts.
    """
    with connection.cursor() as cursor:
        cursor.execute(_LOOKS)
        rows = cursor.fetchall()
    counted: dict[int, dict[str, int]] = {}
    said: dict[int, tuple[int, int]] = {}
    for batch, n_rooted, n_looks, pk, after, n in rows:
        said[batch] = (n_rooted, n_looks)
        looks = counted.setdefault(batch, {})
        if pk is not None:
            looks[after or f"#{pk}"] = n or 0
    for batch, looks in counted.items():
        if said[batch] != (sum(looks.values()), len(looks)):
            raise Broken(f"a batch stands at {said[batch]}, its looks sum to {sum(looks.values())}")


def entries_of(garden: Garden) -> dict[tuple[str, str], int]:
    """Return the number of each entry, by id and hash."""
    found: dict[tuple[str, str], int] = {}
    for model in ENTRY_MODELS:
        if model.kind in ("look", "act", "sticking", "withdrawal", "note"):
            rows = model.rows.of(garden).values_list("entry_id", "sha256", "number")
            found |= {(entry_id, digest): number for entry_id, digest, number in rows}
    return found
