"""The tables of a garden: every column, its kind, its limits and what it means.

This is the one list behind loading, dumping, the canonical content of an entry and
``docs/tables.md``.  The models hold the same columns (a test compares the two).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from slipwright.records import words

Kind = Literal[
    "text",
    "note",
    "integer",
    "decimal",
    "date",
    "instant",
    "choice",
    "signs",
    "uuid",
    "ref",
    "zone",
    "parts",
    "arms",
]


@dataclass(frozen=True, slots=True)
class Column:
    """One column: ``low`` and ``high`` are inclusive limits of a number."""

    name: str
    kind: Kind = "text"
    required: bool = False
    choices: tuple[str, ...] = ()
    ref: str = ""
    low: float | None = None
    high: float | None = None
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """One file. An entry table has a ``kind`` and a column that says ``when``."""

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    kind: str = ""
    when: str = ""
    rule: str = ""

    @property
    def is_entry(self) -> bool:
        """Whether its rows are entries, which are never changed."""
        return bool(self.kind)

    @property
    def names(self) -> tuple[str, ...]:
        """The column names in file order."""
        return tuple(column.name for column in self.columns)

    @property
    def field_columns(self) -> tuple[Column, ...]:
        """The columns of an entry that stand under ``fields`` in its canonical content."""
        outside = {self.when, "by", "id"}
        return tuple(column for column in self.columns if column.name not in outside)

    def column(self, name: str) -> Column:
        """Return the column called ``name``."""
        return next(column for column in self.columns if column.name == name)


def _text(name: str, meaning: str = "", *, required: bool = False) -> Column:
    return Column(name, "text", required, meaning=meaning)


def _note(name: str = "note", meaning: str = "in your own words", *, required: bool = False) -> Column:
    return Column(name, "note", required, meaning=meaning)


def _ref(name: str, table: str, meaning: str = "", *, required: bool = False) -> Column:
    return Column(name, "ref", required, ref=table, meaning=meaning)


def _one(name: str, choices: tuple[str, ...], meaning: str = "", *, required: bool = False) -> Column:
    return Column(name, "choice", required, choices=choices, meaning=meaning)


def _whole(
    name: str, meaning: str = "", *, required: bool = False, low: int = 0, high: int = 10_000_000
) -> Column:
    return Column(name, "integer", required, low=low, high=high, meaning=meaning)


def _number(
    name: str,
    meaning: str = "",
    *,
    required: bool = False,
    low: float | None = 0,
    high: float | None = 1_000_000,
) -> Column:
    return Column(name, "decimal", required, low=low, high=high, meaning=meaning)


def _date(name: str, meaning: str = "", *, required: bool = False) -> Column:
    return Column(name, "date", required, meaning=meaning)


def _at(meaning: str = "when it was seen, with its offset from UTC") -> Column:
    return Column("at", "instant", True, meaning=meaning)


_ON = _date("on", "the day it was seen or done", required=True)
_BY = _ref("by", "members", "who saw or did it")
_ID = Column("id", "text", meaning="made where it was recorded; made from the row if left out")

_TREATMENT = (
    _one("wound", words.WOUNDS, "a sliver of bark taken from the base"),
    _one("auxin", words.AUXINS, "rooting hormone"),
    _one("auxin_form", words.AUXIN_FORMS, "how the hormone was given; the three scales are never merged"),
    _number("auxin_mg_per_l", "strength of a dip, soak or gel"),
    _number("auxin_mg_per_kg", "strength of a talc"),
    _one("auxin2", words.AUXINS, "a second hormone in the same preparation"),
    _number("auxin2_mg_per_l", "its strength"),
    _number("dip_s", "seconds in the hormone", high=1_000_000),
)

TABLES: tuple[Table, ...] = (
    Table(
        "garden",
        (
            Column("garden", "uuid", meaning="the garden's own id, made if left out"),
            _text("name", "what the garden is called", required=True),
            _number("latitude_deg", "north is positive", required=True, low=-90, high=90),
            _number("longitude_deg", "east is positive", required=True, low=-180, high=180),
            _number("altitude_m", "above the sea", low=-500, high=9000),
            Column("time_zone", "zone", True, meaning="IANA name, as Europe/Lisbon"),
            _whole("round_days", "days between rounds", low=1, high=60),
            _one("units", words.UNITS, "which unit stands first"),
            _text("currency", "ISO 4217 code of the costs"),
        ),
        key=(),
        rule="one row",
    ),
    Table(
        "members",
        (
            _text("member", "short id", required=True),
            _one("role", words.ROLES, "what the person may do", required=True),
            _text("shown_as", "the name on screen"),
        ),
        key=("member",),
    ),
    Table(
        "taxa",
        (
            _text("taxon", "botanical name, cultivar in single quotes (ICNCP)", required=True),
            _text("common_name", "common name"),
            _text("sold_as", "trade designation"),
            _one("leaf_habit", words.LEAF_HABITS, "whether it keeps its leaves"),
            _one("flowers", words.FLOWERS, "once a year or repeatedly"),
            _one("rights", words.RIGHTS, "plant breeder's right"),
            _date("rights_until", "last day of the right"),
            _text("licence", "number of the licence held"),
            _date("licence_until", "last day of the licence"),
            _whole("gap_before_bloom_days", "days kept clear before first flower", low=-366, high=366),
            _whole("gap_after_bloom_days", "days kept clear after last flower", low=-366, high=366),
            _note("bloom_gap_reason", "why these gaps"),
            _whole("patience_days", "days after which a waiting cutting is given up", low=1, high=1500),
            _note(),
        ),
        key=("taxon",),
    ),
    Table(
        "places",
        (
            _text("place", "short name on the door or bench", required=True),
            _one("kind", words.PLACE_KINDS, "what it is", required=True),
            _number("room_m2", "room for containers"),
            _one("cover", words.COVERS, "how leaves are kept turgid there"),
            _number("medium_temp_c", "warmth of the medium there", low=-20, high=60),
            _number("shade_percent", "nominal shade of the cloth", high=100),
            _number("mist_mm_per_min", "what the nozzles give by a catch-can test", high=100),
            _whole("walk_order", "place in the round"),
        ),
        key=("place",),
    ),
    Table(
        "containers",
        (
            _text("container", "short name", required=True),
            _number("volume_ml", "volume of one pot or cell", required=True),
            _whole("cells", "cells in a tray", low=1),
            _number("length_mm", "outside length"),
            _number("width_mm", "outside width or diameter"),
            _number("height_mm", "inside height"),
            _text("cost_item", "item in costs.csv"),
        ),
        key=("container",),
    ),
    Table(
        "media",
        (
            _text("medium", "short name", required=True),
            Column("parts", "parts", True, meaning="parts by volume, as perlite:1;vermiculite:1"),
            _number("porosity", "pore space, share of volume", high=1),
            _number("air_space", "air after draining, share of volume", high=1),
            _number("container_capacity", "water after draining, share of volume", high=1),
            _number("height_mm", "height of the container of the test"),
            _date("tested_on", "day of the drain test"),
        ),
        key=("medium",),
    ),
    Table(
        "wants",
        (
            _text("want", "short id", required=True),
            _ref("taxon", "taxa", "what is wanted", required=True),
            _whole("n_wanted", "plants wanted", required=True, low=1),
            _date("ready_by", "by when", required=True),
            _one("ready_as", words.READY_AS, "ready as what", required=True),
            _number("assurance", "probability wished", required=True, high=1),
            _number("value_each", "what one is worth"),
            _note(),
        ),
        key=("want",),
    ),
    Table(
        "trials",
        (
            _text("trial", "short id", required=True),
            _note("question", "what is asked", required=True),
            Column("arms", "arms", True, meaning="the arms, separated by ;"),
            _whole("units_per_arm", "pots or trays an arm", required=True, low=1),
            _whole("n_per_unit", "cuttings a pot or tray", required=True, low=1),
            _note("stop_rule", "stated beforehand", required=True),
        ),
        key=("trial",),
    ),
    Table(
        "plants",
        (
            _text("plant", "label of the stock plant", required=True),
            _ref("taxon", "taxa", "what it is", required=True),
            _ref("place", "places", "where it grows"),
            _date("planted_on", "when it was planted"),
            _note("origin", "where it came from"),
            _ref("from_batch", "batches", "the batch it was raised in"),
            _note("health", "what is known of its health"),
            _whole("shoots_per_season", "shoots it makes in a season"),
            _number("shoot_length_mm", "length of a usual shoot"),
            _whole("nodes_per_shoot", "nodes on a usual shoot"),
            _number("max_share_taken", "largest share of its shoots to take", high=1),
            _note(),
        ),
        key=("plant",),
    ),
    Table(
        "methods",
        (
            _text("method", "short name", required=True),
            _one("wood", words.WOODS, "kind of wood", required=True),
            _one("cutting", words.CUTTINGS, "form of cutting"),
            _one("leaves", words.LEAVES, "leaves on the cutting"),
            *_TREATMENT,
            _ref("container", "containers", "what it is stuck in"),
            _whole("n_per_container", "cuttings a container or cell", low=1),
            _ref("medium", "media", "what it is stuck into"),
            _one("cover", words.COVERS, "how leaves are kept turgid"),
            _number("minutes_each", "minutes a cutting"),
            _number("setup_minutes", "minutes to set up"),
        ),
        key=("method",),
    ),
    Table(
        "hours",
        (
            _date("from_on", "first day", required=True),
            _date("to_on", "last day", required=True),
            _number("hours_per_week", "hours there are", required=True, high=100_000),
        ),
        key=("from_on", "to_on"),
    ),
    Table(
        "costs",
        (
            _text("item", "what is bought", required=True),
            _text("unit", "by what it is bought", required=True),
            _number("cost", "cost of one unit", required=True),
        ),
        key=("item",),
    ),
    Table(
        "batches",
        (
            _text("batch", "code on the label", required=True),
            _ref("taxon", "taxa", "what was stuck", required=True),
            _ref("plant", "plants", "the stock plant"),
            _date("stuck_on", "day of sticking", required=True),
            _whole("n_stuck", "cuttings stuck", required=True, low=1),
            _one("wood", words.WOODS, "kind of wood", required=True),
            _ref("method", "methods", "the method followed"),
            _one("cutting", words.CUTTINGS, "form of cutting"),
            _one("shoot", words.SHOOTS, "state of the shoot"),
            _one("part", words.PARTS, "part of the shoot"),
            _number("ripeness", "where the middle sat along the shoot, 0 tip to 1 base", high=1),
            _whole("n_nodes", "nodes a cutting", low=1, high=100),
            _number("length_mm", "length of a cutting"),
            _number("diameter_mm", "thickness of a cutting"),
            _whole("n_shoots", "shoots cut", low=1),
            _one("leaves", words.LEAVES, "leaves on the cutting"),
            _date("cut_on", "day of cutting"),
            _one("stored", words.STORED, "how it was kept until sticking"),
            *_TREATMENT,
            _ref("medium", "media", "what it was stuck into"),
            _ref("container", "containers", "what it was stuck in"),
            _whole("n_per_container", "cuttings a container or cell", low=1),
            _ref("place", "places", "where it was stood"),
            _one("cover", words.COVERS, "how leaves are kept turgid"),
            _number("medium_temp_c", "warmth of the medium", low=-20, high=60),
            _whole("days_from_bloom", "signed; 0 in flower", low=-366, high=366),
            _ref("want", "wants", "the want it serves"),
            _ref("from_batch", "batches", "re-stuck from this batch"),
            _ref("trial", "trials", "the trial it belongs to"),
            _text("arm", "arm of the trial"),
            _text("block", "block of the trial"),
            _number("minutes", "minutes it took"),
            _BY,
            _note(),
            _ID,
        ),
        key=("batch",),
        kind="sticking",
        when="stuck_on",
    ),
    Table(
        "looks",
        (
            _ref("batch", "batches", "what was looked at", required=True),
            _ON,
            _whole("n_rooted", "newly rooted since the look before"),
            _whole("n_lost", "newly lost"),
            _whole("n_waiting", "what stands now; only checks the sum"),
            _whole("n_removed", "newly taken away while waiting"),
            _whole("n_lost_rooted", "newly lost of those that had rooted"),
            _whole("n_tried", "pulled at gently"),
            _whole("n_tried_rooted", "of those, rooted"),
            _one("cause", words.CAUSES, "why lost"),
            Column("signs", "signs", choices=words.SIGNS, meaning="signs, separated by ;"),
            _one("pot_weight", words.POT_WEIGHTS, "weight of the pot in the hand"),
            _text("after", "id of the look this one follows, of the batch's own row where it is the first"),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="look",
        when="on",
    ),
    Table(
        "pottings",
        (
            _ref("batch", "batches", "what was potted", required=True),
            _ON,
            _whole("n_potted", "cuttings potted", required=True, low=1),
            _ref("container", "containers", "into what"),
            _ref("medium", "media", "into which medium"),
            _ref("place", "places", "where they stand"),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="potting",
        when="on",
    ),
    Table(
        "outcomes",
        (
            _ref("batch", "batches", "which batch", required=True),
            _ON,
            _one("ready_as", words.READY_AS, "what the plants have become", required=True),
            _whole("n_reached", "plants that reached it"),
            _whole("n_lost", "plants lost on the way"),
            _one("fate", words.FATES, "what became of them"),
            _text("to", "to whom or where"),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="outcome",
        when="on",
    ),
    Table(
        "acts",
        (
            _ON,
            _ref("batch", "batches", "done to this batch"),
            _ref("place", "places", "done at this place"),
            _ref("plant", "plants", "done to this stock plant"),
            _one("act", words.ACTS, "what was done", required=True),
            _number("amount", "how much"),
            _text("unit", "of what"),
            _ref("to_place", "places", "where it was moved to"),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="act",
        when="on",
    ),
    Table(
        "stages",
        (
            _ref("plant", "plants", "the stock plant", required=True),
            _ON,
            _whole("bbch", "growth stage, BBCH scale", required=True, high=99),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="stage",
        when="on",
    ),
    Table(
        "firmness",
        (
            _ref("plant", "plants", "the stock plant", required=True),
            _ON,
            _whole("firmness_tip", "1 soft to 5 woody", low=1, high=5),
            _whole("firmness_mid", "1 soft to 5 woody", low=1, high=5),
            _whole("firmness_base", "1 soft to 5 woody", low=1, high=5),
            _BY,
            _note(),
            _ID,
        ),
        key=("id",),
        kind="firmness",
        when="on",
    ),
    Table(
        "beds",
        (
            _ref("place", "places", "the mist bed", required=True),
            _at(),
            _one("seen", words.BEDS_SEEN, "what was seen", required=True),
            _BY,
            _ID,
        ),
        key=("id",),
        kind="bed",
        when="at",
    ),
    Table(
        "readings",
        (
            _ref("place", "places", "where it was read", required=True),
            _at(),
            _number("air_c", "air temperature", low=-60, high=80),
            _number("rh_percent", "relative humidity", high=100),
            _number("medium_c", "temperature of the medium", low=-40, high=80),
            _number("light_w_m2", "global radiation", high=2000),
            _text("source", "the instrument"),
            _ID,
        ),
        key=("id",),
        kind="reading",
        when="at",
    ),
    Table(
        "notes",
        (
            _text("about", "id of the row or entry it is about", required=True),
            _at(),
            _note("text", required=True),
            _BY,
            _ID,
        ),
        key=("id",),
        kind="note",
        when="at",
    ),
    Table(
        "photos",
        (
            _text("about", "id of the row or entry it is a picture of", required=True),
            _at(),
            _text("file", "name of the picture in the folder photos", required=True),
            _text("file_sha256", "SHA-256 of the picture's bytes, in hexadecimal", required=True),
            _BY,
            _ID,
        ),
        key=("id",),
        kind="photo",
        when="at",
    ),
    Table(
        "withdrawals",
        (
            _text("withdraws", "id of the entry that is taken back", required=True),
            _at(),
            _BY,
            _note("reason", "why", required=True),
            _ID,
        ),
        key=("id",),
        kind="withdrawal",
        when="at",
    ),
    Table(
        "weather",
        (
            _date("on", "the day", required=True),
            _number("tmin_c", "lowest air temperature", required=True, low=-90, high=60),
            _number("tmax_c", "highest air temperature", required=True, low=-90, high=60),
            _number("rh_mean_percent", "mean relative humidity", high=100),
            _number("sunshine_h", "hours of sunshine", high=24),
            _number("cloud_fraction", "mean cloud cover", high=1),
            _number("radiation_mj_m2", "global radiation", high=60),
            _number("rain_mm", "rain", high=3000),
            _text("source", "where it comes from"),
            _date("made_on", "day the forecast was made; empty if observed"),
        ),
        key=("on", "made_on"),
    ),
)

ENTRY_TABLES = tuple(table for table in TABLES if table.is_entry)
REFERENCE_TABLES = tuple(table for table in TABLES if not table.is_entry)


@cache
def table_named(name: str) -> Table:
    """Return the table called ``name``."""
    return next(table for table in TABLES if table.name == name)


@cache
def table_of_kind(kind: str) -> Table:
    """Return the entry table whose rows are of ``kind``."""
    return next(table for table in ENTRY_TABLES if table.kind == kind)
