"""Records as phones kept them at each release are received for ever."""

from __future__ import annotations

import json
import uuid
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from slipwright.records.models import BatchState, Garden, Member
from slipwright.records.services import receive_entry

FIXTURES = Path(__file__).parents[2] / "js" / "fixtures"


@pytest.fixture
def wren(garden: Garden) -> Member:
    """Give the member who recorded on the phone, in the garden the phone was at."""
    Garden.objects.filter(pk=garden.pk).update(garden=uuid.UUID("4c1a2f0e-5d3b-4a8e-9f67-2b1d0c9e8a75"))
    garden.refresh_from_db()
    return Member.objects.create(garden=garden, member="wren", role="volunteer")


@pytest.mark.parametrize("file", sorted(FIXTURES.glob("outbox-v*.json")), ids=lambda file: file.stem)
def test_what_a_phone_kept_is_received_as_it_lies(
    file: Path, garden: Garden, wren: Member, now: datetime
) -> None:
    records: list[dict[str, Any]] = json.loads(file.read_text("utf-8"))["records"]

    def answers() -> list[tuple[str, str, str]]:
        told = [
            receive_entry(
                garden=garden,
                content=one["content"],
                sha256=one["sha256"],
                ground=one["ground"],
                by=wren,
                now=now,
            )
            for one in records
        ]
        return [(answer.status, answer.entry_id, answer.sha256) for answer in told]

    expected = [("received", one["id"], one["sha256"]) for one in records]
    assert answers() == expected
    assert answers() == expected
    state = BatchState.rows.get(garden=garden, batch__batch="7K3FQ2XJ")
    assert (state.n_waiting, state.n_rooted, state.n_potted, state.n_looks) == (17, 2, 2, 1)
