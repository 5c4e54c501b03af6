"""Diluting a dip, weighing a powder, reading a talc."""

from __future__ import annotations

import math
from typing import Final, Literal

from slipwright.advice._wording import plain, span
from slipwright.advice.asked import NotKnown, plant_named
from slipwright.advice.doses import doubts_of_strength, usual_strengths
from slipwright.advice.sums.asking import ARITHMETIC, HORMONE, Blank, Given, Line, Reckoned, Sum
from slipwright.craft.cautions import cautions_for
from slipwright.craft.errors import BadArgument
from slipwright.craft.hormone import (
    HARSH_ALCOHOL_PERCENT,
    Auxin,
    acid_may_come_out,
    as_acid,
    mg_per_kg_of_percent,
    mg_to_weigh,
    mixed_alcohol_percent,
    powder_g,
    stock_ml,
)
from slipwright.craft.said import Said
from slipwright.handbook import load_handbook
from slipwright.outputs.measures import ML_PER_US_FLUID_OUNCE, First

_LABEL: Final = Said(
    "The product's label is law: its strength and use, its gloves and eyewear, its way of throwing away."
)
_TRUST: Final = Said(
    "The arithmetic is exact; what a plant makes of a strength is not: published best strengths of one plant "
    "differ twenty times over."
)
AUXIN_WORDS: Final = (
    ("iba", Said("IBA, the acid")),
    ("k-iba", Said("IBA, the potassium salt")),
    ("naa", Said("NAA, the acid")),
    ("k-naa", Said("NAA, the potassium salt")),
)
_MASSES: Final = Said("molar masses: weights of the elements by CIAAW, as internetchemistry.com lists them")
_PLANT: Final = Blank(
    "plant",
    Said("Plant"),
    "text",
    hint=Said("to look at its usual strengths"),
    needed=False,
)


def _strength(name: str, label: str, start: str, hint: str = "", arguments: tuple[str, ...] = ()) -> Blank:
    return Blank(name, label, "number", "mg/L", 0.01, 1_000_000, start, hint, arguments=arguments)


def _dip(given: Given, first: First) -> Reckoned:
    auxin: Auxin = given["auxin"] or "iba"
    measured = float(stock_ml(given["stock"], given["want"], given["volume"]))
    acid = float(as_acid(given["want"], auxin))
    plant, own, usual = _usual(given["plant"], auxin=auxin)
    parts = given["stock"] / given["want"]
    lines = [
        Line(Said("Stock"), _volume(measured, first)),
        Line(Said("Fill up to"), _volume(given["volume"], first)),
        Line(
            Said("In parts"),
            Said(
                "1 of stock and {rest} of water: 1 in {whole} of the whole",
                whole=plain(parts, 2),
                rest=plain(parts - 1, 2),
            ),
        ),
    ]
    if auxin.startswith("k-"):
        lines.append(Line(Said("Counted as the acid"), _mg(acid, "mg/L")))
    if own is not None:
        lines.append(_usual_line(plant, own, "mg/L"))
    elif usual is not None:
        of_another = Said("The handbook gives for {plant}, of the other hormone", plant=plant)
        lines.append(Line(of_another, span(*usual, "mg/L", 0)))
    notes = [Said("Fill up to the mark instead of adding the two: alcohol and water shrink on mixing.")]
    if given["alcohol"] is not None:
        left = float(mixed_alcohol_percent(measured, given["volume"], given["alcohol"]))
        lines.append(Line(Said("Alcohol then"), Said("about {percent} %", percent=plain(left))))
        if acid_may_come_out(left, auxin):
            notes.append(
                Said(
                    "Below about 20 % alcohol the acid may come out, cloudy or as crystals (from memory): "
                    "fill up with alcohol and water, or use the potassium salt."
                )
            )
        if left > HARSH_ALCOHOL_PERCENT:
            notes.append(
                Said("So much alcohol may hurt the bases: dip for the label's seconds and no longer.")
            )
    return Reckoned(
        Said(
            "Measure {stock} of the stock and fill up to {volume}.",
            stock=_volume(measured, first),
            volume=_volume(given["volume"], first),
        ),
        tuple(lines),
        tuple(notes),
        range=Said("As fine as your measure: a syringe to a twentieth, a spoon not at all."),
        trust=_TRUST,
        holds=Said(
            "Both strengths counted alike, as acid or as salt; liquids only. A talc's mg/kg is another scale "
            "and never goes in here."
        ),
        sources=(ARITHMETIC, _MASSES),
        cautions=_cautions("quick-dip"),
        doubts=doubts_of_strength(acid, usual, plant=plant),
    )


DIP: Final = Sum(
    "dip",
    Said("Diluting a dip"),
    Said("how much stock for a strength"),
    "drip",
    (
        _strength("stock", Said("The stock has"), "10000", Said("10 000 mg/L is 1 %"), ("stock_mg_per_l",)),
        _strength("want", Said("You want"), "3000", arguments=("want_mg_per_l", "strength")),
        Blank(
            "volume", Said("How much of it"), "number", "ml", 0.1, 1_000_000, "50", arguments=("volume_ml",)
        ),
        _PLANT,
        Blank(
            "auxin",
            Said("Both count"),
            "word",
            choices=AUXIN_WORDS,
            start="iba",
            hint=Said("as the stock's label has it"),
            needed=False,
            more=True,
        ),
        Blank(
            "alcohol",
            Said("Alcohol in the stock"),
            "number",
            "%",
            0,
            100,
            hint=Said("if it is made with alcohol"),
            needed=False,
            more=True,
            arguments=("alcohol_percent",),
        ),
    ),
    _dip,
    HORMONE,
)


def _weigh(given: Given, first: First) -> Reckoned:
    auxin: Auxin = given["auxin"] or "iba"
    purity = (100 if given["purity"] is None else given["purity"]) / 100
    mg = float(mg_to_weigh(given["want"], given["volume"], purity=purity, auxin=auxin))
    plant, own, usual = _usual(given["plant"], auxin=auxin)
    lines = [
        Line(Said("Powder"), _mass(mg)),
        Line(Said("Make up to"), _volume(given["volume"], first)),
    ]
    if auxin.startswith("k-"):
        lines.append(Line(Said("Of it, as the acid"), _mass(float(as_acid(mg * purity, auxin)))))
    if own is not None:
        lines.append(_usual_line(plant, own, "mg/L"))
    elif usual is not None:
        of_another = Said("The handbook gives for {plant}, of the other hormone", plant=plant)
        lines.append(Line(of_another, span(*usual, "mg/L", 0)))
    return Reckoned(
        Said(
            "Weigh {powder} and make it up to {volume}.",
            powder=_mass(mg),
            volume=_volume(given["volume"], first),
        ),
        tuple(lines),
        (
            Said("Salts dissolve in water. Acids want alcohol first: dissolve them whole, then make up."),
            Said("Below 50 mg weigh more and make a stock: a kitchen scale cannot tell so little."),
        ),
        range=Said("As fine as your scale: one that reads to 10 mg is a tenth out at 100 mg."),
        trust=_TRUST,
        holds=Said(
            "Strength counted as the acid. A label that says only IBA may mean either: ask its maker."
        ),
        sources=(ARITHMETIC, _MASSES),
        cautions=_cautions("quick-dip"),
        doubts=doubts_of_strength(given["want"], usual, plant=plant),
    )


WEIGH: Final = Sum(
    "weigh",
    Said("Weighing a powder"),
    Said("pure hormone for a solution"),
    "weigh",
    (
        _strength("want", Said("You want, as acid"), "3000", arguments=("want_mg_per_l", "strength")),
        Blank(
            "volume", Said("How much of it"), "number", "ml", 0.1, 1_000_000, "500", arguments=("volume_ml",)
        ),
        Blank("auxin", Said("The powder is"), "word", choices=AUXIN_WORDS, start="k-iba", needed=False),
        Blank("purity", Said("Pure"), "number", "%", 1, 100, "98", Said("as its label has it"), needed=False),
        _PLANT,
    ),
    _weigh,
    HORMONE,
)


def _talc(given: Given, first: First) -> Reckoned:
    strength = float(mg_per_kg_of_percent(given["percent"]))
    plant, _, usual = _usual(given["plant"], talc=True)
    low, high = powder_g(given["cuttings"])
    lines = [
        Line(Said("Strength"), _mg(strength, "mg/kg")),
        Line(Said("Powder to shake out"), span(low, high, "g", 1 if high >= 1 else 2)),
    ]
    if usual is not None:
        lines.append(_usual_line(plant, usual, "mg/kg"))
    return Reckoned(
        Said(
            "A talc of {percent} % has {strength}; {n} cuttings carry away {powder}.",
            percent=plain(given["percent"], 2),
            strength=_mg(strength, "mg/kg"),
            n=plain(given["cuttings"], 0),
            powder=span(low, high, "g", 1 if high >= 1 else 2),
        ),
        tuple(lines),
        (
            Said(
                "A talc's mg/kg is no liquid's mg/L: how much sticks to a base varies, and from memory a "
                "talc does less than a quick dip of the same figure. The two are never turned into each "
                "other."
            ),
            Said("Shake out a little, dip, tap off, throw the rest away: never back into the tub."),
        ),
        range=Said("Threefold, by how wet and how thick the bases are."),
        trust=Said("The strength is exact; the powder is an estimate."),
        holds=Said("Powders bought ready mixed. Do not thin one: its label is for what is in the tub."),
        sources=(
            ARITHMETIC,
            Said("13 mg each at most: product label, generic (8 oz of powder treat at least 17 500)"),
            Said("5 mg each at least: our own estimate"),
        ),
        cautions=_cautions("talc"),
        doubts=doubts_of_strength(strength, usual, form="talc", plant=plant),
    )


TALC: Final = Sum(
    "talc",
    Said("Talc"),
    Said("what its per cent means, and how much powder"),
    "mask",
    (
        Blank("percent", Said("Strength"), "number", "%", 0.001, 100, "0.3", Said("as the tub has it")),
        Blank("cuttings", Said("Cuttings"), "whole", "", 1, 1_000_000, "100", arguments=("n_cuttings",)),
        _PLANT,
    ),
    _talc,
    HORMONE,
)


_Range = tuple[float, float] | None


def _usual(words: str, *, talc: bool = False, auxin: Auxin | None = None) -> tuple[str, _Range, _Range]:
    """Return the plant and its usual strengths: of this hormone, and of any."""
    if not words:
        return "", None, None
    found = plant_named(load_handbook(), words)
    if isinstance(found, NotKnown):
        rule = (
            Said("be a plant the handbook knows, as {near}", near=", ".join(found.near))
            if found.near
            else Said("be a plant the handbook knows")
        )
        raise BadArgument("plant", rule, words)
    form: Literal["talc", "quick-dip"] = "talc" if talc else "quick-dip"
    pages = [found.page]
    return found.taxon, usual_strengths(pages, form, auxin), usual_strengths(pages, form)


def _usual_line(plant: str, usual: tuple[float, float], unit: str) -> Line:
    return Line(Said("The handbook gives for {plant}", plant=plant), span(*usual, unit, 0))


def _cautions(form: str) -> tuple[str, ...]:
    told = cautions_for(auxin_form=form, moving=False)
    return (_LABEL, *(caution.text for caution in told if caution.where == "dipping"))


def _mg(amount: float, unit: str) -> str:
    return Said("{amount} {unit}", amount=plain(amount, 0 if amount >= 100 else 2), unit=unit)


def _mass(mg: float) -> str:
    return (
        Said("{g} g", g=plain(mg / 1000, 3))
        if mg >= 1000
        else Said("{mg} mg", mg=plain(mg, 1 if mg < 100 else 0))
    )


def _volume(ml: float, first: First) -> str:
    """Return a volume as finely as a syringe or a cylinder measures it."""
    metric = Said("{n} ml", n=_figures(ml))
    us = Said("{n} US fl oz", n=_figures(ml / ML_PER_US_FLUID_OUNCE))
    before, after = (metric, us) if first == "metric" else (us, metric)
    return Said("{before} ({after})", before=before, after=after)


def _figures(number: float) -> str:
    return plain(number, max(0, 2 - math.floor(math.log10(number))))
