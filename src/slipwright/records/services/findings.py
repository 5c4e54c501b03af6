"""Keeping findings that were worked out anew with the fit that they are of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from slipwright.records.models import GardenFit

#: the name under which a fit keeps its findings
KEPT_AS = "shown"


@transaction.atomic
def keep_shown(fit: int, shown: Mapping[str, Any]) -> bool:
    """Keep findings in place of those a fit carries along; return whether the fit is still there."""
    row = GardenFit.rows.select_for_update().filter(pk=fit).only("pk", "found").first()
    if row is None:
        return False
    row.found = {**row.found, KEPT_AS: shown}
    row.save(update_fields=["found"])
    return True
