"""The shape of the handbook: what a page says of one kind of plant, and on whose word.

A *page* is one genus, or a group of its species that are multiplied alike (rosemary and sage
share a genus and little else). A page has one leaf a kind of wood.  Every value carries the
published source it came from, or one of the two marks.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from slipwright.craft.said import Said

Wood = Literal["softwood", "semi-hardwood", "hardwood"]
WOODS: tuple[Wood, ...] = ("softwood", "semi-hardwood", "hardwood")
Cutting = Literal["piece", "tip", "heel", "mallet", "single-node"]
Leaves = Literal["kept", "reduced", "none"]
Form = Literal["quick-dip", "soak", "talc", "gel", "none"]
Auxin = Literal["none", "iba", "naa", "k-iba", "k-naa"]
Unit = Literal["mg/L", "mg/kg", ""]
#: what stands over leafy cuttings: a tied bag, an aired tent never tied, a cold frame or cool glass, nothing
CoverKind = Literal["closed-bag", "loose-tent", "frame", "none"]
PotUpRule = Literal["at-once", "after-new-growth", "undisturbed-until-spring"]

COMMON_PRACTICE = Said("common practice, no source")
FROM_MEMORY = Said("from memory")
MARKS = (COMMON_PRACTICE, FROM_MEMORY)


@dataclass(frozen=True)
class Source:
    """A published source: author, year, title, table or page."""

    key: str
    text: str


@dataclass(frozen=True)
class Origin:
    """Where a value comes from: keys of published sources, or one of the marks."""

    sources: tuple[Source, ...] = ()
    mark: str = ""

    @property
    def words(self) -> str:
        """Its mark, to be said in any tongue, or its sources as they were published."""
        return Said(self.mark) if self.mark else str(self)

    def __str__(self) -> str:
        return self.mark or "; ".join(source.text for source in self.sources)


@dataclass(frozen=True)
class Amount:
    """One number with its unit."""

    value: float
    unit: str
    origin: Origin
    note: str = ""


@dataclass(frozen=True)
class Range:
    """A low and a high with one unit."""

    low: float
    high: float
    unit: str
    origin: Origin
    note: str = ""


@dataclass(frozen=True)
class Spread:
    """10, 50 and 90 per cent points of a quantity under a stated treatment.

    Where sources contradict each other several spreads stand side by side; the first is the one
    the sums use, and ``note`` says why the others differ.
    """

    p10: float
    p50: float
    p90: float
    unit: str
    treatment: str
    origin: Origin
    note: str = ""


@dataclass(frozen=True)
class Statement:
    """A rule in words; of all woods unless ``woods`` names those it holds for."""

    text: str
    origin: Origin
    woods: tuple[Wood, ...] = ()


@dataclass(frozen=True)
class Season:
    """A stretch of the calendar in the northern hemisphere, as (month, day) of each edge.

    The southern season is the same stretch six months later. The edges are medians: how sharp
    they are is the business of ``craft.wood``.
    """

    opens: tuple[int, int]
    closes: tuple[int, int]
    stage: str
    origin: Origin


@dataclass(frozen=True)
class Dose:
    """A hormone preparation in one form; the unit is mg/L for dips and soaks, mg/kg for talc."""

    form: Form
    auxin: Auxin
    low: float
    high: float
    unit: Unit
    seconds: Range | None
    origin: Origin
    note: str = ""


@dataclass(frozen=True)
class CoverChange:
    """Another cover from a northern (month, day) of autumn on, until the season is over."""

    day: tuple[int, int]
    kind: CoverKind
    text: str
    origin: Origin


@dataclass(frozen=True)
class WoodLeaf:
    """How one kind of wood of a plant is taken, stuck and brought on."""

    wood: Wood
    cutting: Cutting
    seasons: tuple[Season, ...]
    length_mm: Range
    n_nodes: Range
    leaves: Leaves
    leaves_note: Statement
    rooted_percent: tuple[Spread, ...]
    weeks_to_root: tuple[Spread, ...]
    lost_percent: tuple[Spread, ...]
    #: the first is the one advised; the others stand beside it
    doses: tuple[Dose, ...]
    medium_c: Range
    light_mol_m2_day: Range
    #: the first says in words what ``cover_kind`` is; the others stand beside it
    cover: tuple[Statement, ...]
    cover_kind: CoverKind
    #: how much of a cutting stands in the medium: "share" of its length, or "nodes"
    buried: Range
    patience_days: Amount
    pot_up: PotUpRule
    pot_up_note: Statement
    weaning_days: Spread
    months_to_finished: Spread
    #: leaves become optional (no cover needed) from this northern (month, day) on, if ever
    leafless_from: tuple[int, int] | None = None
    notes: tuple[Statement, ...] = ()
    #: why this form of cutting, on whose word
    cutting_note: Statement | None = None
    #: on whose word leaves become optional
    leafless_note: Statement | None = None
    #: published lengths that differ from ``length_mm``, shown beside it
    other_lengths_mm: tuple[Range, ...] = ()
    diameter_mm: Range | None = None
    cover_kind_origin: Origin = Origin(mark=COMMON_PRACTICE)
    cover_from: tuple[CoverChange, ...] = ()


@dataclass(frozen=True)
class BloomRule:
    """How flowering bears on taking wood: signed gaps in days and the reason.

    ``gap_before_days`` and ``gap_after_days`` are the days to keep clear before first flower
    and after last flower. A spent shoot of a repeat bloomer stays open at the stated cost:
    ``spent_cost`` is the factor on the odds of rooting.
    """

    flowers: Literal["once", "repeat"]
    bloom: Season
    gap_before_days: Amount
    gap_after_days: Amount
    spent_cost: Amount
    reason: Statement
    #: published findings that agree or disagree with the rule
    notes: tuple[Statement, ...] = ()


@dataclass(frozen=True)
class Page:
    """All the handbook says of one genus, or of a group of species of it.

    In ``storing`` and ``rights`` what holds for every plant comes first and the most particular last;
    in ``hazard_notes`` the one to heed at the cut comes first.
    """

    key: str
    genus: str
    taxa: tuple[str, ...]
    synonyms: tuple[str, ...]
    common_names: tuple[str, ...]
    leaf_habit: Literal["deciduous", "evergreen", "semi-evergreen"]
    shoot_word: Literal["shoot", "cane"]
    prickles: bool
    bloom: BloomRule
    top_stub_mm: Range
    woods: dict[Wood, WoodLeaf]
    winter: tuple[Statement, ...]
    stock_plant: tuple[Statement, ...]
    collecting: tuple[Statement, ...]
    storing: tuple[Statement, ...]
    hygiene: tuple[Statement, ...]
    rights: tuple[Statement, ...]
    hazards: tuple[Literal["thorns", "irritant-sap", "toxic"], ...] = ()
    medium: dict[str, float] = field(default_factory=lambda: {"perlite": 1.0, "vermiculite": 1.0})
    medium_origin: Origin = Origin(mark=COMMON_PRACTICE)
    #: share of rooted plants that survive to finished, as a spread in per cent
    survive_percent: Spread | None = None
    notes: tuple[Statement, ...] = ()
    title: str = ""
    #: the short account that heads the page
    summary: str = ""
    leaf_habit_origin: Origin = Origin(mark=COMMON_PRACTICE)
    leaf_habit_note: str = ""
    prickles_origin: Origin = Origin(mark=COMMON_PRACTICE)
    prickles_note: str = ""
    medium_note: str = ""
    #: what may hurt, in words, one statement or more for each of ``hazards``
    hazard_notes: tuple[Statement, ...] = ()
    #: where a law forbids or limits growing, moving or giving away plants of this kind
    restricted: tuple[Statement, ...] = ()
    #: the care of a plant once it is planted out, for whoever is given one
    light: tuple[Statement, ...] = ()
    water: tuple[Statement, ...] = ()
    planting: tuple[Statement, ...] = ()
    cutting_back: tuple[Statement, ...] = ()
    #: how many cuttings share one pot, and what that pot holds
    n_per_pot: Range | None = None
    pot_volume_l: Amount | None = None
    #: the botanical name each common or older name stands for, as written in the file
    taxon_of: dict[str, str] = field(default_factory=dict)
    #: by tongue: what its people call the plant, and the botanical name each name stands for
    names_in: dict[str, dict[str, str]] = field(default_factory=dict)
    names_in_origin: dict[str, Origin] = field(default_factory=dict)

    def common_name(self, taxon: str, tongue: str = "en") -> str:
        """Return what people call a taxon of this page.

        Parameters
        ----------
        taxon : str
            Botanical name, with or without a cultivar.
        tongue : str
            The language, in two letters.

        Returns
        -------
        str
            The first name that stands for the taxon, else the first of the page in that language; empty
            where there is none.

        References
        ----------
        The names are those of the handbook's own files.

        Examples
        --------
        >>> from slipwright.handbook import load_handbook
        >>> load_handbook().page_of("Rosa").common_name("Rosa", "es")
        'rosal'
        """
        names = self.names_of(taxon, tongue)
        return next(iter((*names, *self.common_names_in(tongue))), "")

    def common_names_in(self, tongue: str) -> tuple[str, ...]:
        """Return every common name of the page in one tongue.

        Parameters
        ----------
        tongue : str
            The language, in two letters.

        Returns
        -------
        tuple of str
            In the order of the handbook; empty where it has none.

        References
        ----------
        The names are those of the handbook's own files.

        Examples
        --------
        >>> from slipwright.handbook import load_handbook
        >>> load_handbook().page_of("Punica").common_names_in("es")[0]
        'granado'
        """
        return self.common_names if tongue == "en" else tuple(self.names_in.get(tongue, ()))

    def names_of(self, taxon: str, tongue: str = "en") -> tuple[str, ...]:
        """Return every name people have for a taxon itself, in one tongue.

        Parameters
        ----------
        taxon : str
            Botanical name, with or without a cultivar.
        tongue : str
            The language, in two letters.

        Returns
        -------
        tuple of str
            In the order of the handbook; empty where it has none.

        References
        ----------
        The names are those of the handbook's own files.

        Examples
        --------
        >>> from slipwright.handbook import load_handbook
        >>> load_handbook().page_of("Salvia rosmarinus").names_of("Salvia rosmarinus", "es")[0]
        'romero'
        """
        species = taxon.partition(" '")[0]
        stands_for = self.taxon_of if tongue == "en" else self.names_in.get(tongue, {})
        return tuple(name for name in self.common_names_in(tongue) if stands_for.get(name) == species)
