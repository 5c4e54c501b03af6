"""Reference rows: what a garden has and wants. They may be edited; every edit is kept."""

from __future__ import annotations

from django.db import models

from slipwright.records import words
from slipwright.records.models import fields
from slipwright.records.models.people import Garden
from slipwright.records.scope import GardenRows


class ReferenceRow(models.Model):
    """A row that belongs to a garden and may be edited."""

    garden = models.ForeignKey(Garden, on_delete=models.PROTECT, related_name="+", db_index=False)

    rows = GardenRows()

    class Meta:
        abstract = True
        default_manager_name = "rows"
        base_manager_name = "rows"


class Taxon(ReferenceRow):
    """A botanical name, cultivar included."""

    taxon = fields.short()
    common_name = fields.text()
    sold_as = fields.text()
    leaf_habit = fields.word(words.LEAF_HABITS)
    flowers = fields.word(words.FLOWERS)
    rights = fields.word(words.RIGHTS)
    rights_until = fields.day()
    licence = fields.text()
    licence_until = fields.day()
    gap_before_bloom_days = fields.signed()
    gap_after_bloom_days = fields.signed()
    bloom_gap_reason = fields.note()
    patience_days = fields.whole()
    note = fields.note()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "taxon"], name="taxon_key"),
            fields.one_of("taxon", "leaf_habit", words.LEAF_HABITS),
            fields.one_of("taxon", "flowers", words.FLOWERS),
            fields.one_of("taxon", "rights", words.RIGHTS),
        ]

    def __str__(self) -> str:
        return self.taxon


class Place(ReferenceRow):
    """A bench, frame, shelf or nursery where cuttings or stock plants stand."""

    place = fields.short()
    kind = fields.word(words.PLACE_KINDS, required=True)
    room_m2 = fields.number()
    cover = fields.word(words.COVERS)
    medium_temp_c = fields.number()
    shade_percent = fields.number()
    mist_mm_per_min = fields.number()
    walk_order = fields.whole()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "place"], name="place_key"),
            fields.one_of("place", "kind", words.PLACE_KINDS, required=True),
            fields.one_of("place", "cover", words.COVERS),
            fields.within("place", "shade_percent", 0, 100),
        ]

    def __str__(self) -> str:
        return self.place


class Container(ReferenceRow):
    """A pot, tray or liner."""

    container = fields.short()
    volume_ml = fields.number(required=True)
    cells = fields.whole()
    length_mm = fields.number()
    width_mm = fields.number()
    height_mm = fields.number()
    cost_item = fields.text()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "container"], name="container_key"),
            fields.within("container", "volume_ml", 0, None),
        ]

    def __str__(self) -> str:
        return self.container


class Medium(ReferenceRow):
    """What cuttings are stuck into, by parts of volume."""

    medium = fields.short()
    parts = models.CharField(max_length=fields.TEXT)
    porosity = fields.number()
    air_space = fields.number()
    container_capacity = fields.number()
    height_mm = fields.number()
    tested_on = fields.day()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "medium"], name="medium_key"),
            fields.within("medium", "porosity", 0, 1),
            fields.within("medium", "air_space", 0, 1),
            fields.within("medium", "container_capacity", 0, 1),
        ]

    def __str__(self) -> str:
        return self.medium


class Want(ReferenceRow):
    """A number of plants, ready as something, by a date, with a wished assurance."""

    want = fields.short()
    taxon = fields.reference("Taxon", required=True)
    n_wanted = fields.whole(required=True)
    ready_by = fields.day(required=True)
    ready_as = fields.word(words.READY_AS, required=True)
    assurance = fields.number(required=True)
    value_each = fields.number()
    note = fields.note()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "want"], name="want_key"),
            fields.one_of("want", "ready_as", words.READY_AS, required=True),
            fields.within("want", "assurance", 0, 1),
            fields.within("want", "n_wanted", 1, None),
        ]

    def __str__(self) -> str:
        return self.want


class Trial(ReferenceRow):
    """A comparison planned beforehand."""

    trial = fields.short()
    question = models.CharField(max_length=fields.NOTE)
    arms = models.CharField(max_length=fields.NOTE)
    units_per_arm = fields.whole(required=True)
    n_per_unit = fields.whole(required=True)
    stop_rule = models.CharField(max_length=fields.NOTE)

    class Meta(ReferenceRow.Meta):
        constraints = [models.UniqueConstraint(fields=["garden", "trial"], name="trial_key")]

    def __str__(self) -> str:
        return self.trial


class Plant(ReferenceRow):
    """A stock plant: the plant wood is taken from."""

    plant = fields.short()
    taxon = fields.reference("Taxon", required=True)
    place = fields.reference("Place")
    planted_on = fields.day()
    origin = fields.note()
    from_batch = fields.short(blank=True, default="")
    health = fields.note()
    shoots_per_season = fields.whole()
    shoot_length_mm = fields.number()
    nodes_per_shoot = fields.whole()
    max_share_taken = fields.number()
    note = fields.note()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "plant"], name="plant_key"),
            fields.within("plant", "max_share_taken", 0, 1),
        ]

    def __str__(self) -> str:
        return self.plant


class Method(ReferenceRow):
    """A way of making cuttings; the usual way of a taxon is the method of its last batch."""

    method = fields.short()
    wood = fields.word(words.WOODS, required=True)
    cutting = fields.word(words.CUTTINGS)
    leaves = fields.word(words.LEAVES)
    wound = fields.word(words.WOUNDS)
    auxin = fields.word(words.AUXINS)
    auxin_form = fields.word(words.AUXIN_FORMS)
    auxin_mg_per_l = fields.number()
    auxin_mg_per_kg = fields.number()
    auxin2 = fields.word(words.AUXINS)
    auxin2_mg_per_l = fields.number()
    dip_s = fields.number()
    container = fields.reference("Container")
    n_per_container = fields.whole()
    medium = fields.reference("Medium")
    cover = fields.word(words.COVERS)
    minutes_each = fields.number()
    setup_minutes = fields.number()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "method"], name="method_key"),
            fields.one_of("method", "wood", words.WOODS, required=True),
            fields.one_of("method", "cutting", words.CUTTINGS),
            fields.one_of("method", "leaves", words.LEAVES),
            fields.one_of("method", "wound", words.WOUNDS),
            fields.one_of("method", "auxin", words.AUXINS),
            fields.one_of("method", "auxin2", words.AUXINS),
            fields.one_of("method", "auxin_form", words.AUXIN_FORMS),
            fields.one_of("method", "cover", words.COVERS),
        ]

    def __str__(self) -> str:
        return self.method


class Hours(ReferenceRow):
    """The hours a week there are for propagation in a stretch of the year."""

    from_on = fields.day(required=True)
    to_on = fields.day(required=True)
    hours_per_week = fields.number(required=True)

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "from_on", "to_on"], name="hours_key"),
            models.CheckConstraint(condition=models.Q(to_on__gte=models.F("from_on")), name="hours_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.from_on} to {self.to_on}"


class Cost(ReferenceRow):
    """What one unit of something costs."""

    item = fields.short()
    unit = models.CharField(max_length=fields.TEXT)
    cost = fields.number(required=True)

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "item"], name="cost_key"),
            fields.within("cost", "cost", 0, None),
        ]

    def __str__(self) -> str:
        return self.item


class WeatherDay(ReferenceRow):
    """A day's weather: observed, or as a forecast made on ``made_on``."""

    on = fields.day(required=True)
    tmin_c = fields.number(required=True)
    tmax_c = fields.number(required=True)
    rh_mean_percent = fields.number()
    sunshine_h = fields.number()
    cloud_fraction = fields.number()
    radiation_mj_m2 = fields.number()
    rain_mm = fields.number()
    source = fields.text()
    made_on = fields.day()

    class Meta(ReferenceRow.Meta):
        constraints = [
            models.UniqueConstraint(fields=["garden", "on", "made_on"], name="weather_forecast_key"),
            models.UniqueConstraint(
                fields=["garden", "on"], condition=models.Q(made_on=None), name="weather_observed_key"
            ),
            models.CheckConstraint(
                condition=models.Q(tmax_c__gte=models.F("tmin_c")), name="weather_in_order"
            ),
            fields.within("weather", "rh_mean_percent", 0, 100),
            fields.within("weather", "cloud_fraction", 0, 1),
        ]

    def __str__(self) -> str:
        return f"{self.on}"
