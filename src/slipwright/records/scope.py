"""The one place where a query is held to its garden, and where withdrawn entries are left out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from django.db import models
from django.db.models import Exists, OuterRef

if TYPE_CHECKING:
    from slipwright.records.models.people import Garden

M = TypeVar("M", bound=models.Model)


class GardenQuerySet(models.QuerySet[M]):
    """Rows that belong to gardens."""

    def of(self, garden: Garden) -> GardenQuerySet[M]:
        """Return the rows of ``garden``."""
        return self.filter(garden=garden)


class EntryQuerySet(GardenQuerySet[M]):
    """Entries, of which some have been taken back."""

    def of(self, garden: Garden) -> EntryQuerySet[M]:
        """Return the entries of ``garden``."""
        return self.filter(garden=garden)

    def standing(self) -> EntryQuerySet[M]:
        """Return the entries that no withdrawal has taken back."""
        from slipwright.records.models import Withdrawal

        kind: Any = self.model.kind  # type: ignore[attr-defined]
        taken_back = Withdrawal.rows.filter(
            garden=OuterRef("garden"), withdraws_kind=kind, withdraws=OuterRef("entry_id")
        )
        return self.filter(~Exists(taken_back))


GardenRows = models.Manager.from_queryset(GardenQuerySet)
EntryRows = models.Manager.from_queryset(EntryQuerySet)
