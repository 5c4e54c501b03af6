"""The collecting sheet and the crew sheet of a programme."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from slipwright.advice.steps import part_words
from slipwright.craft.cane import BUNDLE
from slipwright.craft.said import Said, joined
from slipwright.outputs.collecting import (
    CollectingSheet,
    CollectingWeek,
    Refused,
    Shoots,
    Warned,
)
from slipwright.outputs.crew import CrewLine, CrewSheet, CrewWeek, Mix, Way
from slipwright.outputs.measures import First
from slipwright.outputs.sheet import Step
from slipwright.records.answers.programme.paper_lines import PaperLine, weeks_of
from slipwright.records.answers.programme.steps import (
    StepsOfWeek,
    hormone_in_short,
    title_of_way,
    way_of,
)
from slipwright.records.models import Garden

#: cautions that whoever cuts the shoots must know, beside that of the blade
_AT_THE_PLANT = ("restricted", "often-protected", "rights", "hazard", "prickles", "sap", "poison")
_WITH_NAMES = ("restricted", "often-protected", "rights")


def collecting_sheet(
    garden: Garden, content: Mapping[str, Any], lines: Sequence[PaperLine], *, on: date, first: First
) -> CollectingSheet:
    """Return the collecting sheet of lines."""
    weeks = [
        CollectingWeek(week, tuple(_shoots(some)), tuple(_refused(some)), tuple(_warned(some)))
        for week, some in weeks_of(lines).items()
    ]
    return CollectingSheet(
        tuple(weeks),
        _collecting_steps(lines),
        garden.name,
        date.fromisoformat(content["on"]),
        on,
        first=first,
    )


def crew_sheet(
    garden: Garden, content: Mapping[str, Any], lines: Sequence[PaperLine], *, on: date, first: First
) -> CrewSheet:
    """Return the crew sheet of lines."""
    told = {date.fromisoformat(week["week"]): week for week in content.get("weeks", ())}
    places = {one["place"]: one.get("name", "") for one in content.get("room", ()) if one["kind"] == "bench"}
    weeks = [
        _crew_week(week, some, told.get(week, {}), places, first) for week, some in weeks_of(lines).items()
    ]
    return CrewSheet(tuple(weeks), garden.name, date.fromisoformat(content["on"]), on, first)


# --- the collecting sheet -----------------------------------------------------------------------------


def _collecting_steps(lines: Sequence[PaperLine]) -> tuple[Step, ...]:
    cautions = {caution.key: caution.text for line in lines for caution in line.cautions}
    choose: str = Said("From a healthy plant, true to its name, watered the day before.")
    if any(line.wood != "hardwood" for line in lines):
        choose = joined([choose, Said("No flower and no bud on it; one whose petals have fallen serves.")])
    cut = Said("In the cool of the morning, straight into a damp bag, out of the sun.")
    bundle = Said(
        "All the same way up, bases level, {n} to a bundle, what is over in one of its own. On the tag: "
        "plant, wood, day, number.",
        n=BUNDLE,
    )
    bring = Said(
        "By the day on the line. Write down what was cut, when it came in and who brought it: less than "
        "asked is no matter, but must be known. Each number is that of the line on the crew sheet."
    )
    return (
        Step(choose, cautions.get("moving", ""), Said("Choose.")),
        Step(cut, cautions.get("blade", ""), Said("Cut.")),
        Step(bundle, "", Said("Bundle.")),
        Step(bring, "", Said("Bring in.")),
    )


def _shoots(lines: Sequence[PaperLine]) -> Iterable[Shoots]:
    """Yield what is cut of each plant, for all lines of a wood and a day together."""
    found: dict[tuple[str, str, date], list[tuple[PaperLine, Mapping[str, Any]]]] = {}
    for line in lines:
        if line.why_not:
            continue
        for one in line.shoots or ({"plant": "", "place": "", "n_shoots": None},):
            found.setdefault((one["plant"] or line.taxon, line.wood, line.day), []).append((line, one))
    for (plant, _, day), parts in found.items():
        line, one = parts[0]
        numbers = [part["n_shoots"] for _, part in parts]
        known = None if None in numbers else sum(numbers)
        yield Shoots(
            plant if one["plant"] else Said("any plant of it"),
            line.name_runs,
            day,
            known,
            _n_cuttings(parts),
            line.wood,
            line.common_name,
            one.get("place") or "",
            _span([part.length_mm for part, _ in parts]),
            _whole_span([part.n_nodes for part, _ in parts]),
            tuple(sorted({part.number for part, _ in parts})),
        )


def _n_cuttings(parts: Sequence[tuple[PaperLine, Mapping[str, Any]]]) -> int:
    """Return the cuttings that a plant's shoots are for: of a batch from several plants its part of them."""
    n = 0.0
    for line, one in parts:
        if one.get("n_cuttings"):
            n += one["n_cuttings"]
            continue
        whole = [shoots["n_shoots"] for shoots in line.shoots]
        share = 1 / max(len(whole), 1) if None in whole or not sum(whole) else one["n_shoots"] / sum(whole)
        n += line.told["n_to_stick"] * (share if whole else 1.0)
    return max(round(n), 1)


def _span(ends: Sequence[tuple[float, float] | None]) -> tuple[float, float] | None:
    known = [end for end in ends if end]
    return (min(low for low, _ in known), max(high for _, high in known)) if known else None


def _whole_span(ends: Sequence[tuple[int, int] | None]) -> tuple[int, int] | None:
    known = [end for end in ends if end]
    return (min(low for low, _ in known), max(high for _, high in known)) if known else None


def _refused(lines: Sequence[PaperLine]) -> Iterable[Refused]:
    """Yield what may not be multiplied, each plant once, with the stock plants it would be cut from."""
    plants: dict[tuple[str, str], dict[str, None]] = {}
    for line in lines:
        if line.why_not:
            some = plants.setdefault((line.taxon, line.why_not), {})
            some.update(dict.fromkeys(one["plant"] for one in line.shoots if one["plant"]))
    runs = {line.taxon: line.name_runs for line in lines}
    for (taxon, why), names in plants.items():
        yield Refused(runs[taxon], why, ", ".join(names))


def _warned(lines: Sequence[PaperLine]) -> Iterable[Warned]:
    """Yield the cautions of a week's plants, each once, with the plants it is about."""
    about: dict[str, dict[str, None]] = {}
    for line in lines:
        if line.why_not:
            continue
        plants = [one["plant"] for one in line.shoots if one["plant"]]
        for caution in line.cautions:
            if caution.key in _AT_THE_PLANT:
                named = [line.taxon] if caution.key in _WITH_NAMES or not plants else plants
                about.setdefault(caution.text, {}).update(dict.fromkeys(named))
    for text, names in about.items():
        yield Warned(text, ", ".join(names))


# --- the crew sheet -----------------------------------------------------------------------------------


def _crew_week(
    week: date,
    lines: Sequence[PaperLine],
    told: Mapping[str, Any],
    places: Mapping[str, str],
    first: First,
) -> CrewWeek:
    ways: dict[tuple[Any, ...], list[PaperLine]] = {}
    for line in lines:
        if not line.why_not:
            ways.setdefault(way_of(line), []).append(line)
    steps = StepsOfWeek(first)
    mixing = {
        caution.text: Warned(caution.text)
        for some in ways.values()
        for line in some
        for caution in line.cautions
        if caution.where == "mixing"
    }
    return CrewWeek(
        week,
        tuple(_way(some, steps, places) for some in ways.values()),
        tuple(_mixes([line for some in ways.values() for line in some])),
        tuple(mixing.values()),
        tuple(_refused(lines)),
        _hours(told, [line for some in ways.values() for line in some]),
        told.get("hours_room"),
    )


def _hours(told: Mapping[str, Any], lines: Sequence[PaperLine]) -> float | None:
    """Return the hours of a week as these lines make it: some are stuck already, others late from before."""
    if told.get("hours") is None:
        return None
    others = told["hours"] - (told.get("hours_sticking") or 0.0)
    return float(max(others, 0.0) + sum(line.told.get("hours") or 0.0 for line in lines))


def _way(lines: Sequence[PaperLine], steps: StepsOfWeek, places: Mapping[str, str]) -> Way:
    return Way(
        title_of_way(lines[0].told, places),
        steps.of_way(lines),
        tuple(map(_crew_line, lines)),
        steps.drawing_of(lines[0]),
    )


def _crew_line(line: PaperLine) -> CrewLine:
    told = line.told
    return CrewLine(
        line.number,
        line.name_runs,
        line.day,
        told["n_to_stick"],
        told["n_containers"],
        told.get("container") or "",
        told["n_per_container"],
        told.get("litres"),
        told["labels"],
        line.common_name,
        ", ".join(one["plant"] for one in line.shoots if one["plant"]),
        told["want"],
        told.get("dip_ml"),
        hormone_in_short(told),
        told.get("hours"),
        line.length_mm,
        line.n_nodes,
    )


def _mixes(lines: Sequence[PaperLine]) -> Iterable[Mix]:
    """Yield each medium of a week with what of each part goes into it."""
    litres: dict[tuple[str, tuple[str, ...]], float] = {}
    parts: dict[tuple[str, tuple[str, ...]], dict[str, float]] = {}
    for line in lines:
        told = line.told
        if not told.get("litres"):
            continue
        key = (told.get("medium") or "", tuple(part["name"] for part in told["parts"]))
        litres[key] = litres.get(key, 0.0) + told["litres"]
        for part in told["parts"]:
            some = parts.setdefault(key, {})
            some[part["name"]] = some.get(part["name"], 0.0) + part["litres"]
    for key, n in litres.items():
        yield Mix(key[0], n, tuple((part_words(name), each) for name, each in parts.get(key, {}).items()))
