"""Programmes asked for and made, their lists of plans, and forecasts as they were made."""

from __future__ import annotations

from django.db import models

from slipwright.records.models import fields
from slipwright.records.models.entries import Sticking
from slipwright.records.models.people import Garden, Member
from slipwright.records.scope import GardenRows


class PlanState(models.TextChoices):
    """How far a programme has come."""

    ASKED = "asked"
    RUNNING = "running"
    MADE = "made"
    FAILED = "failed"


class SeasonPlan(models.Model):
    """A programme of a garden from a day on: asked for, made by the helper, and perhaps used.

    ``Garden.plan`` names the one in use, which was used last; ``before`` is the one in use when it was asked
    for.
    ``change`` is the one thing tried in it, empty for the garden as it is. ``mark`` stands for all that it
    was made from, ``content`` is what pages and papers tell, ``programme`` what the next one goes by.
    ``taken`` counts how often it was taken to be made, and so tells one who makes it from the next;
    ``told_at`` is when whoever makes it gave a sign last.
    """

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    on = fields.day(required=True)
    seed = models.PositiveIntegerField(default=1)
    change = models.JSONField(default=dict)
    before = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, related_name="+")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Member, on_delete=models.SET_NULL, null=True, related_name="+")
    state = models.CharField(max_length=8, choices=PlanState, default=PlanState.ASKED)
    taken = models.PositiveIntegerField(default=0)
    told_at = models.DateTimeField(null=True)
    done = models.FloatField(default=0.0)
    doing = models.CharField(max_length=fields.TEXT, blank=True)
    wrong = models.CharField(max_length=fields.TEXT, blank=True)
    made_at = models.DateTimeField(null=True)
    seconds = models.FloatField(null=True)
    mark = models.CharField(max_length=64, blank=True)
    content = models.BinaryField(null=True)
    programme = models.BinaryField(null=True)
    used_at = models.DateTimeField(null=True)
    used_by = models.ForeignKey(Member, on_delete=models.SET_NULL, null=True, related_name="+")

    rows = GardenRows()

    class Meta:
        indexes = [
            models.Index(fields=["garden", "state"], name="plan_state"),
            models.Index(fields=["state", "asked_at"], name="plan_asked"),
        ]

    def __str__(self) -> str:
        return f"programme from {self.on}"


class PlanList(models.Model):
    """The plans that meet one want, kept for the next programme; ``key`` is a digest of all they rest on."""

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=64)
    plans = models.BinaryField()
    used_on = fields.day(required=True)

    rows = GardenRows()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["garden", "key"], name="plan_list_key")]

    def __str__(self) -> str:
        return f"list {self.key[:8]}"


class ForecastMade(models.Model):
    """What was forecast of a batch on a day, kept as it was made, to be held against what happened.

    ``rooted`` are quantiles of the number rooted by a day, ``by_handbook`` those of the handbook alone.
    """

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    batch = models.ForeignKey(Sticking, on_delete=models.CASCADE, related_name="+")
    made_on = fields.day(required=True)
    by_day = fields.day(required=True)
    n_stuck = models.PositiveIntegerField()
    n_looks = models.PositiveIntegerField()
    n_learned_from = models.PositiveIntegerField()
    rooted = models.JSONField()
    by_handbook = models.JSONField()

    rows = GardenRows()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["batch", "made_on", "by_day"], name="forecast_made_once")
        ]
        indexes = [models.Index(fields=["garden", "made_on"], name="forecast_made_day")]

    def __str__(self) -> str:
        return f"forecast made on {self.made_on}"
