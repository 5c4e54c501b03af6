"""What was learned from a garden's records: how it went, what was found, and the draws that pages ask for.

The draws are split so that a page reads only what it needs: what all batches share lies in one row, what
each genus, taxon, wood, season and batch under way adds in a row of its own.
"""

from __future__ import annotations

from django.db import models

from slipwright.records.models.people import Garden
from slipwright.records.scope import GardenRows


class GardenFit(models.Model):
    """What was learned of a garden at a moment; ``Garden.fit`` names the one that holds.

    ``up_to`` is when the records were read, ``up_to_number`` and ``up_to_edit`` the garden's counters
    then. One that ``is_full`` was worked out from nothing, any other from the one before. Of those that
    hold no longer only what was found stays.
    """

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    version = models.CharField(max_length=24)
    data_hash = models.CharField(max_length=64)
    is_full = models.BooleanField()
    n_batches = models.PositiveIntegerField()
    n_looks = models.PositiveIntegerField()
    up_to = models.DateTimeField()
    up_to_number = models.PositiveBigIntegerField()
    up_to_edit = models.PositiveBigIntegerField()
    seconds = models.FloatField()
    converged = models.BooleanField()
    found = models.JSONField()
    start = models.BinaryField(null=True)
    shared = models.BinaryField(null=True)

    rows = GardenRows()

    def __str__(self) -> str:
        return f"learned from {self.n_looks} looks at {self.n_batches} batches"


class FitNode(models.Model):
    """The draws of one genus, taxon, wood, season or batch of a fit.

    ``node`` is a mark of its name and all above it. Of a batch, ``told`` is what the fit was told of it: what
    its looks counted, how much of each term it had.
    """

    fit = models.ForeignKey(GardenFit, on_delete=models.CASCADE, related_name="nodes", db_index=False)
    node = models.BigIntegerField()
    draws = models.BinaryField()
    told = models.JSONField(null=True)

    rows = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["fit", "node"], name="fit_node")]

    def __str__(self) -> str:
        return f"node {self.node}"
