"""Who records, and for which garden."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models

from slipwright.records import words
from slipwright.records.models import fields


class User(AbstractUser):
    """A person who can sign in. What they may do is said by their membership of a garden."""


class Garden(models.Model):
    """A garden; every other row belongs to one.

    ``last_number`` is the server number given to the newest entry. Whoever adds entries counts it
    on first, and by that holds the garden's lock until the transaction ends.
    """

    garden = models.UUIDField(unique=True, default=uuid.uuid4)
    name = models.CharField(max_length=fields.TEXT)
    latitude_deg = fields.number(required=True)
    longitude_deg = fields.number(required=True)
    altitude_m = fields.number()
    time_zone = models.CharField(max_length=64)
    round_days = models.PositiveIntegerField(null=True, blank=True)
    units = fields.word(words.UNITS)
    currency = fields.text()
    #: the day the clock of a demonstration garden stands at; empty where the real clock runs
    stands_on = models.DateField(null=True, blank=True, editable=False)
    last_number = models.PositiveBigIntegerField(default=0, editable=False)
    last_edit = models.PositiveBigIntegerField(default=0, editable=False)
    #: what was learned of it last, where anything was
    fit = models.ForeignKey(
        "GardenFit",
        on_delete=models.SET_NULL,
        null=True,
        editable=False,
        related_name="+",
        db_index=False,
    )
    #: the programme in use, where one is
    plan = models.ForeignKey(
        "SeasonPlan",
        on_delete=models.SET_NULL,
        null=True,
        editable=False,
        related_name="+",
        db_index=False,
    )

    class Meta:
        constraints = [
            fields.within("garden", "latitude_deg", -90, 90),
            fields.within("garden", "longitude_deg", -180, 180),
            fields.one_of("garden", "units", words.UNITS),
        ]

    def __str__(self) -> str:
        return self.name


class Member(models.Model):
    """A person's place in one garden, under the short id that entries carry as ``by``."""

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+", db_index=False)
    member = fields.short()
    role = fields.word(words.ROLES, required=True)
    shown_as = fields.text()
    user = models.ForeignKey(
        User, on_delete=models.SET_NULL, null=True, blank=True, related_name="memberships"
    )

    #: whether what they ask for now comes over a line that others can read along
    is_overheard = False
    #: whether they came in by a phone's code, and so may add to the records only
    is_on_phone = False

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["garden", "member"], name="member_key"),
            models.UniqueConstraint(fields=["garden", "user"], name="member_user"),
            fields.one_of("member", "role", words.ROLES, required=True),
        ]

    def __str__(self) -> str:
        return self.shown_as or self.member


class OneTimeCode(models.Model):
    """A code that lets somebody in once: to set up the first garden, or in as ``user``, their phone too.

    Only its SHA-256 is kept.
    """

    purpose = fields.word(words.CODE_PURPOSES, required=True)
    sha256 = models.CharField(max_length=64, unique=True)
    user = models.ForeignKey(User, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    spent_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(Member, on_delete=models.CASCADE, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [fields.one_of("onetimecode", "purpose", words.CODE_PURPOSES, required=True)]

    def __str__(self) -> str:
        return f"{self.purpose}, until {self.ends_at:%Y-%m-%d %H:%M}"


class Device(models.Model):
    """A phone that was let in for one member, to add records with; it is let out at its end or before."""

    device = models.UUIDField(unique=True, default=uuid.uuid4)
    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="devices")
    name = fields.text()
    made_by = models.ForeignKey(Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name or str(self.device)[:8]


class AccessToken(models.Model):
    """Lets an instrument add readings to one garden; only its SHA-256 is kept."""

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, related_name="+")
    name = fields.short()
    sha256 = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class Tries(models.Model):
    """How often one may still try a name or a code from an address: a bucket that fills with time."""

    key = models.CharField(max_length=64, unique=True)
    left = models.FloatField()
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.left:g} left at {self.at:%Y-%m-%d %H:%M}"


class DoorEvent(models.Model):
    """Who came in, was let in or out, or did what only an owner may: a line of the door's book."""

    garden = models.ForeignKey(Garden, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    member = models.ForeignKey(Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    what = fields.word(words.DOOR_EVENTS, required=True)
    told = fields.text()
    at = models.DateTimeField()

    class Meta:
        constraints = [fields.one_of("doorevent", "what", words.DOOR_EVENTS, required=True)]
        indexes = [models.Index(fields=["garden", "at"], name="door_day")]

    def __str__(self) -> str:
        return f"{self.what}, {self.at:%Y-%m-%d %H:%M}"
