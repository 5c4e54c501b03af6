"""What the server works out or keeps beside the entries."""

from __future__ import annotations

from django.db import models

from slipwright.records import words
from slipwright.records.models import fields
from slipwright.records.models.people import Garden
from slipwright.records.scope import GardenRows


class BatchState(models.Model):
    """Where a batch stands: its entries summed anew after every change, never counted on.

    ``selfcheck`` sums them again and compares.
    """

    batch = models.OneToOneField("Sticking", on_delete=models.PROTECT, primary_key=True, related_name="state")
    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+")
    n_stuck = models.PositiveIntegerField()
    n_rooted = models.PositiveIntegerField(default=0)
    n_lost = models.PositiveIntegerField(default=0)
    n_removed = models.PositiveIntegerField(default=0)
    n_lost_rooted = models.PositiveIntegerField(default=0)
    n_potted = models.PositiveIntegerField(default=0)
    n_waiting = models.IntegerField()
    n_to_pot = models.IntegerField(default=0)
    n_looks = models.PositiveIntegerField(default=0)
    last_look_on = fields.day()
    first_rooted_on = fields.day()
    unpotted_since = fields.day()
    place = fields.reference("Place", db_index=False)
    ended_on = fields.day()
    withdrawn = models.BooleanField(default=False)
    flags = models.CharField(max_length=fields.TEXT, blank=True, default="")

    rows = GardenRows()

    class Meta:
        indexes = [models.Index(fields=["garden", "ended_on"], name="state_open")]

    def __str__(self) -> str:
        return f"{self.n_waiting} waiting, {self.n_rooted} rooted, {self.n_lost} lost"


class SetAside(models.Model):
    """An entry that was not taken in: same id and other content, damaged, or refused.

    Kept as received until a person settles it. ``by`` and ``device`` sent it.
    """

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24)
    entry_id = fields.short()
    content = models.TextField()
    sha256 = models.CharField(max_length=64)
    reason = models.CharField(max_length=fields.NOTE)
    received_at = models.DateTimeField()
    by = fields.reference("Member", db_index=False)
    device = models.ForeignKey(
        "Device", on_delete=models.SET_NULL, null=True, blank=True, related_name="+", db_index=False
    )
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = fields.reference("Member", db_index=False)
    settled_as = fields.word(words.SETTLED_AS)

    rows = GardenRows()

    class Meta:
        constraints = [fields.one_of("setaside", "settled_as", words.SETTLED_AS)]
        indexes = [models.Index(fields=["garden", "settled_at"], name="aside_open")]

    def __str__(self) -> str:
        return f"{self.kind} {self.entry_id}: {self.reason}"


class Sending(models.Model):
    """One time a phone sent what it kept: the clock it claimed against ours, and what became of it.

    The entries that were taken in have the numbers from ``first_number`` to ``last_number``; others
    may have come between.
    """

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+")
    by = fields.reference("Member", required=True, db_index=False)
    device = models.ForeignKey(
        "Device", on_delete=models.SET_NULL, null=True, blank=True, related_name="+", db_index=False
    )
    sent_at = models.DateTimeField()
    received_at = models.DateTimeField()
    skew_s = models.IntegerField()
    n_received = models.PositiveIntegerField()
    n_aside = models.PositiveIntegerField()
    first_number = models.PositiveBigIntegerField(null=True, blank=True)
    last_number = models.PositiveBigIntegerField(null=True, blank=True)

    rows = GardenRows()

    class Meta:
        indexes = [models.Index(fields=["garden", "received_at"], name="sending_day")]

    def __str__(self) -> str:
        return f"{self.n_received} received, {self.n_aside} set aside, {self.skew_s} s"


class ReferenceEdit(models.Model):
    """One edit of a reference row: who, when, what it was and what it became."""

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveBigIntegerField()
    table = models.CharField(max_length=24)
    key = models.CharField(max_length=fields.TEXT)
    before = models.JSONField(null=True)
    after = models.JSONField()
    by = fields.reference("Member")
    at = models.DateTimeField()

    rows = GardenRows()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["garden", "number"], name="edit_number")]

    def __str__(self) -> str:
        return f"{self.table} {self.key}"


class BatchForecast(models.Model):
    """What the helper process worked out for an open batch on a day: its acts and its curve.

    ``rests_on`` names the counts it was made from; where the batch stands otherwise now, or the day is
    another, it is worked out anew.
    """

    batch = models.OneToOneField("Sticking", on_delete=models.CASCADE, primary_key=True, related_name="told")
    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    on = fields.day(required=True)
    rests_on = models.CharField(max_length=fields.TEXT)
    told = models.JSONField()
    made_at = models.DateTimeField()

    rows = GardenRows()

    class Meta:
        indexes = [models.Index(fields=["garden", "on"], name="forecast_day")]

    def __str__(self) -> str:
        return f"forecast of {self.on}"


class PlantSeason(models.Model):
    """What the helper process worked out for a stock plant on a day: its windows and which to take.

    ``rests_on`` marks what was seen of the plant, how it grows, and the weather; where the plant is
    another now it is worked out anew, where the weather or the day is, it may be told as of its day.
    """

    plant = models.OneToOneField("Plant", on_delete=models.CASCADE, primary_key=True, related_name="season")
    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    on = fields.day(required=True)
    rests_on = models.CharField(max_length=fields.TEXT)
    told = models.JSONField()
    made_at = models.DateTimeField()

    rows = GardenRows()

    class Meta:
        indexes = [models.Index(fields=["garden", "on"], name="season_day")]

    def __str__(self) -> str:
        return f"season of {self.on}"
