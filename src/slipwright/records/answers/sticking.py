"""What is known before a plant is stuck: whether it may be cut, the usual way, the number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import cast

from slipwright.advice.advise import advise
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.odds import odds_of
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant
from slipwright.advice.timing import Flowers, is_before_bloom, is_south
from slipwright.craft.cautions import Caution, cautions_for
from slipwright.craft.rights import Standing
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Dose, Page, Wood
from slipwright.outputs.sheet import CaneDrawing
from slipwright.records import selectors
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.plants_seen import seen_of_plant
from slipwright.records.answers.season_cut import ShareCut, share_cut_of
from slipwright.records.answers.walk import learned_for_taxa, round_days
from slipwright.records.answers.wants import Need, needs_of
from slipwright.records.canonical import Value
from slipwright.records.errors import NotFound
from slipwright.records.models import (
    Garden,
    Note,
    Sticking,
    Taxon,
)
from slipwright.records.selectors import Stock
from slipwright.records.services.entry import id_beside
from slipwright.records.services.stickings import lot_by_method
from slipwright.rooting.dates import next_look_on
from slipwright.rooting.sticking import chance_of

#: a page does not reckon with more cuttings than this at once
MOST_WANTED = 2_000
#: what the hand felt and the wood it speaks of, with the firmness it is written down as: from memory
FELT: dict[str, tuple[int, str]] = {
    "folds": (1, ""),
    "snaps": (2, "softwood"),
    "springs": (3, "semi-hardwood"),
    "stiff": (5, "hardwood"),
}
#: a stage or a firmness seen longer ago says nothing of the shoot in hand
SEEN_LATELY = timedelta(days=42)
_DIP_COLUMNS = ("auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg", "auxin2", "auxin2_mg_per_l", "dip_s")


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual way of a taxon: the method of its last batch, and the day of that batch."""

    on: date
    lot: Mapping[str, Value]

    @property
    def method(self) -> str:
        """The method's short name."""
        return str(self.lot["method"])


@dataclass(frozen=True, slots=True)
class Number:
    """How many a want asks to be stuck, and what some other numbers promise."""

    need: Need
    #: None where no number is enough, or nothing is known of the chances
    n_to_stick: int | None
    p_reached: float | None
    #: number and chance, rising
    others: tuple[tuple[int, float], ...]
    rests_on: str


@dataclass(frozen=True, slots=True)
class NearBloom:
    """Bloom is near: its days, why it matters, and what soft wood loses by it."""

    in_bloom: bool
    first_on: date
    last_on: date
    reason: str
    #: shares rooted of 10 soft cuttings at 10, 50 and 90 per cent, now and clear of bloom; None if no cost
    now: tuple[float, float, float] | None = None
    clear: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class OutOfSeason:
    """The wood of the usual way is not in season on the day; from when it is, where that is known."""

    wood: Wood
    from_on: date | None
    #: the wood that is in season, which the answer then speaks of; None where none is
    another_now: Wood | None


@dataclass(frozen=True, slots=True)
class ToStick:
    """A plant, or a taxon that is no stock plant here, and what is known before it is cut."""

    taxon: str
    common_name: str
    stock: Stock | None
    rights: Standing
    page: Page | None
    advice: Advice
    usual: Usual | None
    by_handbook: Mapping[str, Value]
    number: Number | None
    near_bloom: NearBloom | None
    cautions: tuple[Caution, ...]
    cane: CaneDrawing | None
    #: what was cut of a stock plant whose share for the season is cut
    share_cut: ShareCut | None = None
    #: None where the usual way's wood may be cut, or nothing is known of its season
    out_of_season: OutOfSeason | None = None

    @property
    def plant(self) -> str:
        """The stock plant's key, or empty."""
        return self.stock.plant if self.stock else ""

    @property
    def way_first(self) -> Mapping[str, Value]:
        """The columns of the way to offer first: the usual one, unless only another wood is in season."""
        if self.usual and not (self.out_of_season and self.out_of_season.another_now):
            return self.usual.lot
        return self.by_handbook

    @property
    def plan(self) -> Plan | None:
        """What the answers say to do with the wood of the way."""
        return self.advice.plan

    def cautions_at(self, *where: str) -> tuple[Caution, ...]:
        """Return the cautions of some places in the work."""
        return tuple(caution for caution in self.cautions if caution.where in where)


def to_stick(
    garden: Garden, handbook: Handbook, *, on: date, plant: str = "", taxon: str = "", want: str = ""
) -> ToStick:
    """Return what is known of a stock plant, or of a taxon of the garden, on the day it is to be stuck.

    The number is that of ``want`` where it is one of the taxon's, else of the first that needs more.
    """
    stock = None
    if plant:
        stock = next(iter(selectors.stock_plants(garden, on=on, plant=plant)), None)
        if stock is None:
            raise NotFound(f"there is no stock plant {plant!r} in this garden")
        stock = _seen_lately(stock, on)
        taxon = stock.taxon
    seen = seen_of_plant(garden, handbook, plant, on=on) if plant else NOTHING_SEEN
    row = Taxon.rows.of(garden).filter(taxon=taxon).first()
    if row is None:
        raise NotFound(f"there is no plant {taxon!r} in this garden's taxa")
    usual = _usual(garden, taxon)
    asked_wood = cast("Wood | None", usual.lot.get("wood")) if usual else None
    needs = [one for one in needs_of(garden, handbook, on=on, taxon=taxon) if one.want.ready_by >= on]
    need = next((one for one in needs if one.n_short), next(iter(needs), None))
    need = next((one for one in needs if one.want.want == want), need)
    advice, out_of_season = _advice_in_season(garden, handbook, row, on, need, asked_wood, seen)
    if out_of_season and out_of_season.another_now:
        asked_wood = None
    page = handbook.page_of(taxon)
    return ToStick(
        taxon=taxon,
        common_name=row.common_name,
        stock=stock,
        rights=selectors.rights_of(row, on=on),
        page=page,
        advice=advice,
        usual=usual,
        by_handbook=_by_handbook(advice.plan, page, asked_wood),
        number=_number(need, advice) if need else None,
        near_bloom=_near_bloom(garden, page, advice, row, on, seen),
        cautions=_cautions(page, usual, advice),
        cane=_cane(page, advice, stock, asked_wood),
        share_cut=share_cut_of(garden, stock, on=on) if stock else None,
        out_of_season=out_of_season,
    )


def lot_of_way(base: Mapping[str, Value], said: Mapping[str, Value], *, place_cover: str) -> dict[str, Value]:
    """Return the columns of a lot: those of its way, with what was said otherwise in their place.

    Another hormone, form or strength than the way's leaves none of the way's own strength behind. Where
    the place mists or tents, that is the cover; a tent the way asks for is taken as bags over the pots
    of a place that has none.
    """
    lot: dict[str, Value] = {name: value for name, value in base.items() if value not in (None, "")}
    given: dict[str, Value] = {name: value for name, value in said.items() if value not in (None, "")}
    if _other_dip(lot, given):
        for name in _DIP_COLUMNS:
            if name in lot and (name != "auxin_form" or given.get("auxin") == "none"):
                del lot[name]
    if place_cover in ("mist", "tent") or (place_cover == "open" and lot.get("cover") == "mist"):
        lot.pop("cover", None)
    return lot | given


def _other_dip(lot: Mapping[str, Value], given: Mapping[str, Value]) -> bool:
    return any(
        name in given and given[name] != lot.get(name)
        for name in ("auxin", "auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg")
    )


def kept_beside(garden: Garden, stickings: list[Sticking]) -> list[Note]:
    """Return the notes the records put beside stickings of what should not have been cut."""
    ids = [id_beside(one.entry_id, what) for one in stickings for what in ("shoot", "ground")]
    return list(Note.rows.of(garden).filter(entry_id__in=ids).order_by("number"))


def first_look_on(garden: Garden, stuck_on: date) -> date:
    """Return the day of the first look at cuttings stuck on a day."""
    return next_look_on(stuck_on, round_days=round_days(garden))


def _seen_lately(stock: Stock, on: date) -> Stock:
    """Leave out what was seen and felt so long ago that it says nothing of today's shoot."""
    oldest = on - SEEN_LATELY
    if stock.bbch_on and stock.bbch_on < oldest:
        stock = replace(stock, bbch=None, bbch_on=None)
    if stock.firmness_on and stock.firmness_on < oldest:
        stock = replace(stock, firmness_tip=None, firmness_mid=None, firmness_base=None, firmness_on=None)
    return stock


def _usual(garden: Garden, taxon: str) -> Usual | None:
    last = (
        Sticking.rows.of(garden)
        .standing()
        .filter(taxon__taxon=taxon, method__isnull=False)
        .order_by("-stuck_on", "-number")
        .first()
    )
    return Usual(last.stuck_on, lot_by_method(garden, taxon=taxon)) if last else None


def _advice(
    garden: Garden,
    handbook: Handbook,
    row: Taxon,
    on: date,
    need: Need | None,
    wood: Wood | None,
    seen: SeenPlant,
) -> Advice:
    page = handbook.page_of(row.taxon)
    return advise(
        handbook,
        row.taxon,
        on=on,
        latitude_deg=float(garden.latitude_deg),
        want=min(max(need.n_short if need else 1, 1), MOST_WANTED),
        assurance=float(min(max(need.want.assurance, Decimal("0.01")), Decimal("0.99"))) if need else 0.8,
        flowers=cast(Flowers, row.flowers) if row.flowers else None,
        rights=row.rights or "unknown",
        rights_until=row.rights_until,
        licence=row.licence,
        licence_until=row.licence_until,
        round_days=round_days(garden),
        wood=wood if page and wood in page.woods else None,
        seen=seen,
        learned=learned_for_taxa(garden, handbook, [row.taxon], on=on),
        grows=growth_of(garden, handbook, on=on).of(row.taxon, page),
    )


def _advice_in_season(
    garden: Garden,
    handbook: Handbook,
    row: Taxon,
    on: date,
    need: Need | None,
    wood: Wood | None,
    seen: SeenPlant,
) -> tuple[Advice, OutOfSeason | None]:
    """Return the answer for the usual way's wood; for the wood in season where that one is not."""
    advice = _advice(garden, handbook, row, on, need, wood, seen)
    plan = advice.plan
    if wood is None or plan is None or plan.leaf.wood != wood or _is_open(plan, on):
        return advice, None
    other = _advice(garden, handbook, row, on, need, None, seen)
    from_on = plan.opening.from_on if plan.opening.from_on > on else None
    if other.plan is None or not _is_open(other.plan, on):
        return advice, OutOfSeason(wood, from_on, None)
    return other, OutOfSeason(wood, from_on, other.plan.leaf.wood)


def _is_open(plan: Plan, on: date) -> bool:
    return plan.opening.from_on == on and plan.opening.window.p_open > 0


def _number(need: Need, advice: Advice) -> Number:
    plan = advice.plan
    if plan is None or plan.n_to_stick is None or not need.n_short:
        return Number(need, None, None, (), advice.rests_on.text)
    n = plan.n_to_stick
    near = sorted({max(round(n * share), 1) for share in (0.6, 0.7, 0.85, 1.2, 1.4)} - {n})
    others = tuple((other, chance_of(need.n_short, other, plan.odds.rooted)) for other in near)
    return Number(need, n, plan.p_reached, others, advice.rests_on.text)


def _near_bloom(
    garden: Garden, page: Page | None, advice: Advice, row: Taxon, on: date, seen: SeenPlant
) -> NearBloom | None:
    bloom = advice.bloom
    if page is None or bloom is None or bloom.state == "clear":
        return None
    flowers = cast(Flowers, row.flowers) if row.flowers else None
    found = NearBloom(bloom.state == "in_bloom", bloom.first_on, bloom.last_on, bloom.reason)
    leaf = page.woods.get("softwood")
    south = is_south(float(garden.latitude_deg))
    if leaf is None or not is_before_bloom(page, on, south=south, flowers=flowers, seen=seen):
        return found
    now, clear = (
        odds_of(
            page,
            leaf,
            shoot=None,
            have=None,
            leafless=False,
            near_bloom=near,
            learned=advice.asked.learned,
            taxon=row.taxon,
            on=on,
            south=south,
        ).p_rooted
        for near in (True, False)
    )
    return replace(found, now=now, clear=clear)


def _by_handbook(plan: Plan | None, page: Page | None, wood: Wood | None) -> dict[str, Value]:
    """Return the handbook's way as the columns of a lot."""
    leaf = plan.leaf if plan else (page.woods.get(wood) if page and wood else None)
    if leaf is None:
        return {}
    lot: dict[str, Value] = {"wood": leaf.wood, "cutting": leaf.cutting, "leaves": leaf.leaves}
    dose = plan.dose if plan else (leaf.doses[0] if leaf.doses else None)
    if plan and plan.leafless:
        lot["leaves"] = "none"
    if plan:
        lot["n_per_container"] = plan.n_per_container
    return lot | _dose_columns(dose)


def _dose_columns(dose: Dose | None) -> dict[str, Value]:
    if dose is None:
        return {}
    if dose.form == "none" or dose.auxin == "none":
        return {"auxin": "none"}
    columns: dict[str, Value] = {"auxin": dose.auxin, "auxin_form": dose.form}
    # a range of strengths is said in words; only a single figure can be written down as what was used
    if dose.low == dose.high:
        columns["auxin_mg_per_kg" if dose.unit == "mg/kg" else "auxin_mg_per_l"] = Decimal(str(dose.low))
    if dose.seconds and dose.seconds.low == dose.seconds.high:
        columns["dip_s"] = Decimal(str(dose.seconds.low))
    return columns


def _cautions(page: Page | None, usual: Usual | None, advice: Advice) -> tuple[Caution, ...]:
    """Return what to mind with the usual way, and with the handbook's where that takes another wood."""
    plan = advice.plan
    of_plan = {
        "wood": plan.leaf.wood if plan else "",
        "auxin_form": plan.dose.form if plan and plan.dose else "",
    }
    lots: list[Mapping[str, Value]] = [usual.lot if usual else of_plan]
    if usual and plan and usual.lot.get("wood") != plan.leaf.wood:
        lots.append(of_plan)
    found = [
        caution
        for lot in lots
        for caution in cautions_for(
            wood=str(lot.get("wood") or of_plan["wood"]),
            prickles=bool(page and page.prickles),
            hazards=page.hazards if page else (),
            auxin_form=str(lot.get("auxin_form", "")),
            parts=tuple(page.medium) if page else (),
            cover=str(lot.get("cover", "")),
        )
    ]
    return tuple({caution.key: caution for caution in found}.values())


def _cane(page: Page | None, advice: Advice, stock: Stock | None, wood: Wood | None) -> CaneDrawing | None:
    from slipwright.advice.sheet import cane_drawing

    plan = advice.plan
    leaf = plan.leaf if plan else (page.woods.get(wood) if page and wood else None)
    if page is None or leaf is None:
        return None
    length = stock.shoot_length_mm if stock else None
    return cane_drawing(
        page,
        leaf,
        bool(plan and plan.leafless),
        shoot_length_mm=None if length is None else float(length),
        nodes_per_shoot=stock.nodes_per_shoot if stock else None,
    )
