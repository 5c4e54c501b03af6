"""Entries: what was seen or done. They are never changed; a correction is a new entry.

The database itself refuses to change or delete them (migration 0002).
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from slipwright.records import words
from slipwright.records.models import fields
from slipwright.records.models.people import Garden, Member
from slipwright.records.scope import EntryRows


class Entry(models.Model):
    """What every entry has beside its own columns.

    ``entry_id`` was made where the entry was recorded; ``number`` and ``received_at`` are the
    server's. ``sha256`` is that of the canonical content (``records.canonical``).
    """

    kind: ClassVar[str]

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+", db_index=False)
    entry_id = fields.short()
    v = models.PositiveSmallIntegerField(default=1)
    number = models.PositiveBigIntegerField()
    received_at = models.DateTimeField()
    sha256 = models.CharField(max_length=64)

    rows = EntryRows()

    class Meta:
        abstract = True
        default_manager_name = "rows"
        base_manager_name = "rows"
        constraints = [
            models.UniqueConstraint(fields=["garden", "entry_id"], name="%(class)s_key"),
            models.UniqueConstraint(fields=["garden", "number"], name="%(class)s_number"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.entry_id}"


class DayEntry(Entry):
    """An entry of a day."""

    on = fields.day(required=True)
    by = fields.reference(Member, db_index=False)
    note = fields.note()

    class Meta(Entry.Meta):
        abstract = True


class MomentEntry(Entry):
    """An entry of a moment; its offset from UTC is part of what was written down."""

    at = models.DateTimeField()
    at_offset_min = models.SmallIntegerField()

    class Meta(Entry.Meta):
        abstract = True


class Sticking(Entry):
    """A batch: cuttings of one taxon stuck on one day in one way."""

    kind = "sticking"

    batch = fields.short()
    taxon = fields.reference("Taxon", required=True)
    plant = fields.reference("Plant")
    stuck_on = fields.day(required=True)
    n_stuck = fields.whole(required=True)
    wood = fields.word(words.WOODS, required=True)
    method = fields.reference("Method", db_index=False)
    cutting = fields.word(words.CUTTINGS)
    shoot = fields.word(words.SHOOTS)
    part = fields.word(words.PARTS)
    ripeness = fields.number()
    n_nodes = fields.whole()
    length_mm = fields.number()
    diameter_mm = fields.number()
    n_shoots = fields.whole()
    leaves = fields.word(words.LEAVES)
    cut_on = fields.day()
    stored = fields.word(words.STORED)
    wound = fields.word(words.WOUNDS)
    auxin = fields.word(words.AUXINS)
    auxin_form = fields.word(words.AUXIN_FORMS)
    auxin_mg_per_l = fields.number()
    auxin_mg_per_kg = fields.number()
    auxin2 = fields.word(words.AUXINS)
    auxin2_mg_per_l = fields.number()
    dip_s = fields.number()
    medium = fields.reference("Medium", db_index=False)
    container = fields.reference("Container", db_index=False)
    n_per_container = fields.whole()
    place = fields.reference("Place", db_index=False)
    cover = fields.word(words.COVERS)
    medium_temp_c = fields.number()
    days_from_bloom = fields.signed()
    want = fields.reference("Want")
    from_batch = fields.short(blank=True, default="")
    trial = fields.reference("Trial", db_index=False)
    arm = fields.text()
    block = fields.text()
    minutes = fields.number()
    by = fields.reference("Member", db_index=False)
    note = fields.note()

    class Meta(Entry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            models.UniqueConstraint(fields=["garden", "batch"], name="sticking_batch"),
            fields.one_of("sticking", "wood", words.WOODS, required=True),
            fields.one_of("sticking", "cutting", words.CUTTINGS),
            fields.one_of("sticking", "shoot", words.SHOOTS),
            fields.one_of("sticking", "part", words.PARTS),
            fields.one_of("sticking", "leaves", words.LEAVES),
            fields.one_of("sticking", "stored", words.STORED),
            fields.one_of("sticking", "wound", words.WOUNDS),
            fields.one_of("sticking", "auxin", words.AUXINS),
            fields.one_of("sticking", "auxin2", words.AUXINS),
            fields.one_of("sticking", "auxin_form", words.AUXIN_FORMS),
            fields.one_of("sticking", "cover", words.COVERS),
            fields.within("sticking", "n_stuck", 1, None),
            fields.within("sticking", "ripeness", 0, 1),
        ]

    def __str__(self) -> str:
        return self.batch


class Look(DayEntry):
    """One batch looked at and what was seen. An empty count was not counted; 0 was, and is none."""

    kind = "look"

    batch = fields.reference("Sticking", required=True)
    n_rooted = fields.whole()
    n_lost = fields.whole()
    n_waiting = fields.whole()
    n_removed = fields.whole()
    n_lost_rooted = fields.whole()
    n_tried = fields.whole()
    n_tried_rooted = fields.whole()
    cause = fields.word(words.CAUSES)
    signs = fields.text()
    pot_weight = fields.word(words.POT_WEIGHTS)
    after = fields.short(blank=True, default="")

    class Meta(DayEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.one_of("look", "cause", words.CAUSES),
            fields.one_of("look", "pot_weight", words.POT_WEIGHTS),
        ]


class Potting(DayEntry):
    """Rooted cuttings potted up."""

    kind = "potting"

    batch = fields.reference("Sticking", required=True)
    n_potted = fields.whole(required=True)
    container = fields.reference("Container", db_index=False)
    medium = fields.reference("Medium", db_index=False)
    place = fields.reference("Place", db_index=False)

    class Meta(DayEntry.Meta):
        constraints = [*Entry.Meta.constraints, fields.within("potting", "n_potted", 1, None)]


class Outcome(DayEntry):
    """What became of the plants of a batch."""

    kind = "outcome"

    batch = fields.reference("Sticking", required=True)
    ready_as = fields.word(words.READY_AS, required=True)
    n_reached = fields.whole()
    n_lost = fields.whole()
    fate = fields.word(words.FATES)
    to = fields.text()

    class Meta(DayEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.one_of("outcome", "ready_as", words.READY_AS, required=True),
            fields.one_of("outcome", "fate", words.FATES),
        ]


class Act(DayEntry):
    """Something done to a batch, at a place, or to a stock plant."""

    kind = "act"

    batch = fields.reference("Sticking")
    place = fields.reference("Place")
    plant = fields.reference("Plant")
    act = fields.word(words.ACTS, required=True)
    amount = fields.number()
    unit = fields.text()
    to_place = fields.reference("Place", db_index=False)

    class Meta(DayEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.one_of("act", "act", words.ACTS, required=True),
        ]


class Stage(DayEntry):
    """The growth stage of a stock plant on a day, by the BBCH scale."""

    kind = "stage"

    plant = fields.reference("Plant", required=True)
    bbch = fields.whole(required=True)

    class Meta(DayEntry.Meta):
        constraints = [*Entry.Meta.constraints, fields.within("stage", "bbch", 0, 99)]


class Firmness(DayEntry):
    """How firm a shoot felt, 1 soft to 5 woody."""

    kind = "firmness"

    plant = fields.reference("Plant", required=True)
    firmness_tip = fields.whole()
    firmness_mid = fields.whole()
    firmness_base = fields.whole()

    class Meta(DayEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.within("firmness", "firmness_tip", 1, 5),
            fields.within("firmness", "firmness_mid", 1, 5),
            fields.within("firmness", "firmness_base", 1, 5),
        ]


class Bed(MomentEntry):
    """What was seen of a mist bed."""

    kind = "bed"

    place = fields.reference("Place", required=True)
    seen = fields.word(words.BEDS_SEEN, required=True)
    by = fields.reference("Member", db_index=False)

    class Meta(MomentEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.one_of("bed", "seen", words.BEDS_SEEN, required=True),
        ]


class Reading(MomentEntry):
    """What an instrument read at a place."""

    kind = "reading"

    place = fields.reference("Place", required=True)
    air_c = fields.number()
    rh_percent = fields.number()
    medium_c = fields.number()
    light_w_m2 = fields.number()
    source = fields.text()

    class Meta(MomentEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            fields.within("reading", "rh_percent", 0, 100),
        ]
        indexes = [models.Index(fields=["place", "at"], name="reading_place")]


class Note(MomentEntry):
    """Words about any row or entry."""

    kind = "note"

    about = fields.short()
    text = models.CharField(max_length=fields.NOTE)
    by = fields.reference("Member", db_index=False)


class Photo(MomentEntry):
    """A picture of any row or entry; the file lies beside the garden under the name in ``file``.

    ``sent_sha256`` is that of the picture as it was sent, before it was made anew here.
    """

    kind = "photo"

    about = fields.short()
    file = fields.short()
    file_sha256 = models.CharField(max_length=64)
    by = fields.reference("Member", db_index=False)
    sent_sha256 = models.CharField(max_length=64, blank=True, default="", editable=False)


class Withdrawal(MomentEntry):
    """Takes back another entry; ``withdraws_kind`` is what the server found it to be."""

    kind = "withdrawal"

    withdraws = fields.short()
    withdraws_kind = models.CharField(max_length=24)
    reason = models.CharField(max_length=fields.NOTE)
    by = fields.reference("Member", db_index=False)

    class Meta(MomentEntry.Meta):
        constraints = [
            *Entry.Meta.constraints,
            models.UniqueConstraint(fields=["garden", "withdraws_kind", "withdraws"], name="withdrawal_once"),
        ]


ENTRY_MODELS: tuple[type[Entry], ...] = (
    Sticking,
    Look,
    Potting,
    Outcome,
    Act,
    Stage,
    Firmness,
    Bed,
    Reading,
    Note,
    Photo,
    Withdrawal,
)
