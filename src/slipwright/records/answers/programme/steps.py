"""The work of one way of making cuttings, short, each step with its cautions where the hand is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, cast

from slipwright.advice.steps import ALL_LEAVES_OFF, WATER_IN, dip_words, dose_words
from slipwright.craft.cautions import Caution, Where
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, cased, joined
from slipwright.handbook.pages import Auxin, Dose, Form, Origin, Unit
from slipwright.outputs.crew import SmallCutting
from slipwright.outputs.measures import First, volume_text
from slipwright.outputs.sheet import Step
from slipwright.records.answers.programme.paper_lines import PaperLine

_FORMS = {
    "piece": (
        Said("Divide the shoots"),
        Said(
            "Leave out the soft tip and the oldest wood at the base. A flat cut above the top bud, a slanted "
            "cut just below the lowest node; length and nodes as each line says."
        ),
    ),
    "tip": (
        Said("Trim the tips"),
        Said(
            "The tip stays on, with a slanted cut just below a node; length as each line says. Pinch out a "
            "flower bud if you find one."
        ),
    ),
    "heel": (
        Said("Pull side shoots with a heel"),
        Said(
            "Pull each side shoot down so that a sliver of older wood comes with it; trim the tail of the "
            "sliver. Length as each line says."
        ),
    ),
    "mallet": (
        Said("Cut mallets"),
        Said("Each side shoot with a slice of the older stem across its foot; length as each line says."),
    ),
    "single-node": (
        Said("Cut single nodes"),
        Said("One node each, the flat cut above its bud; length as each line says."),
    ),
}
_LEAVES = {
    "none": ALL_LEAVES_OFF,
    "reduced": (
        Said("Strip what goes under"),
        Said("No leaf stands in the medium: it rots. Make the leaves that stay smaller."),
    ),
    "kept": (
        Said("Strip what goes under"),
        Said("No leaf stands in the medium: it rots. The others stay whole."),
    ),
}
_COVERS = {
    "mist": (Said("Under mist"), Said("Under the mist at once, before any leaf droops.")),
    "tent": (
        Said("Cover them"),
        Said("Under the tent or into the bag at once; shut it, and keep the sun off it."),
    ),
    "open": (Said("Set them down"), Said("Out of sun and wind; nothing stands over them.")),
}
_AT_THE_BENCH = (
    (
        Said("Stick"),
        Said(
            "Make a hole first, so that nothing is wiped off. All the same way up, base down, evenly spaced; "
            "firm lightly."
        ),
    ),
    WATER_IN,
    (
        Said("Label"),
        Said(
            "Name, day, number stuck and code, two labels to a container: one stands in it, one is buried or "
            "tied on. The number stuck on this sheet too."
        ),
    ),
)
#: a caution that the week had in full before
_IN_SHORT = {
    "blade": Said("The blade away from the hand."),
    "prickles": Said("Prickles: gloves and long sleeves."),
    "sap": Said("The sap can irritate: gloves on, hands off the face."),
    "poison": Said("Parts of it are poisonous: wash hands before eating."),
    "hormone": Said("Hormone: gloves and eyewear as its label says."),
    "talc": Said("Do not breathe the powder."),
    "alcohol": Said("No flame near the dip."),
    "heat": Said("Keep the sun off the closed cover."),
    "electricity": Said("Water and mains do not mix."),
}
_NAMES = {
    "piece": Said("{wood:capital} pieces of shoot"),
    "tip": Said("{wood:capital} tip cuttings"),
    "heel": Said("{wood:capital} heel cuttings"),
    "mallet": Said("{wood:capital} mallet cuttings"),
    "single-node": Said("{wood:capital} single-node cuttings"),
}
_WOODS = {
    "softwood": Said("softwood"),
    "semi-hardwood": Said("semi-hardwood"),
    "hardwood": Said("hardwood"),
}
_UNDER = {"mist": Said("under mist"), "tent": Said("under a tent or bag"), "open": Said("no cover")}


def way_of(line: PaperLine) -> tuple[Any, ...]:
    """Return what lines must share to be worked through together."""
    told = line.told
    keys = ("wood", "cutting", "leaves", "wound", "auxin", "auxin_form", "cover", "method")
    return (*(told.get(key) for key in keys), *map(repr, _strength(told)))


def title_of_way(told: Mapping[str, Any], places: Mapping[str, str]) -> str:
    """Return a way in words: its wood and form, its cover with the places that have it, its method."""
    form = _NAMES.get(told["cutting"] or "piece", _NAMES["piece"])
    parts: list[str] = [Said(form, wood=_WOODS[told["wood"]])]
    cover = told.get("cover") or "open"
    under = _UNDER.get(cover, _UNDER["open"])
    parts.append(
        Said("{cover} ({places})", cover=under, places=places[cover]) if places.get(cover) else under
    )
    if told.get("method"):
        parts.append(Said("method {method}", method=told["method"]))
    return joined(parts, ", ")


class StepsOfWeek:
    """The steps of a week's ways: whole where they come first, and short where they come again."""

    def __init__(self, first: First) -> None:
        self._first = first
        self._said: set[str] = set()
        self._warned: set[str] = set()
        self._drawn: set[SmallCutting] = set()

    def of_way(self, lines: Sequence[PaperLine]) -> tuple[Step, ...]:
        """Return the steps of a way, for all the lines of the week that are made by it."""
        told = lines[0].told
        cautions = list({one.text: one for line in lines for one in line.cautions}.values())
        steps, again, minded = [], [], []
        for (title, text), places in _work(lines, self._first, told):
            # the handbook's own word on a plant stands on the collecting sheet; here its kind of hazard does
            mine = [one for one in cautions if one.where in places and one.key != "hazard"]
            if text in self._said:
                again.append(title)
                minded += mine
                continue
            self._said.add(text)
            steps.append(Step(text, self._in_words(mine), Said("{title}.", title=title)))
        if again:
            text = Said("As above in this week.")
            titles = joined([cased(title, "small") if k else title for k, title in enumerate(again)], ", ")
            steps.append(Step(text, self._in_words(minded), Said("{title}.", title=titles)))
        return tuple(steps)

    def drawing_of(self, line: PaperLine) -> SmallCutting | None:
        """Return the cutting of a way to be drawn; none where the week has it already."""
        nodes, told = line.n_nodes, line.told
        drawing = SmallCutting(
            cast(Any, told.get("cutting") or "piece"),
            line.wood,
            cast(Any, told.get("leaves") or "kept"),
            nodes[1] if nodes else 3,
        )
        if drawing in self._drawn:
            return None
        self._drawn.add(drawing)
        return drawing

    def _in_words(self, cautions: Sequence[Caution]) -> str:
        """Return cautions one after the other, each whole for the first time in the week."""
        words = [
            _IN_SHORT.get(one.key, one.text) if one.text in self._warned else one.text for one in cautions
        ]
        self._warned.update(one.text for one in cautions)
        return joined(dict.fromkeys(words))


_Words = tuple[str, str]


def _work(
    lines: Sequence[PaperLine], first: First, told: Mapping[str, Any]
) -> Iterator[tuple[_Words, Sequence[Where]]]:
    """Yield title and text of each step, and where the hand is in it."""
    yield _FORMS.get(told["cutting"] or "piece", _FORMS["piece"]), ("cutting",)
    yield _LEAVES.get(told.get("leaves") or "kept", _LEAVES["kept"]), ()
    if told.get("wound") in (True, "yes"):
        text = Said("A thin slice of bark off one side of the base, as long as the base is dipped.")
        yield (Said("Wound the base"), text), ()
    if told.get("auxin") not in (None, "", "none"):
        yield _dip(lines, first), ("dipping",)
    yield from ((words, ()) for words in _AT_THE_BENCH)
    cover = told.get("cover") or "open"
    yield _COVERS.get(cover, _COVERS["open"]), ("covering", "warming")


def _strength(told: Mapping[str, Any]) -> tuple[float | None, float | None, str]:
    """Return the least and most strength of a hormone, and its unit."""
    for key, unit in (("auxin_mg_per_kg", "mg/kg"), ("auxin_mg_per_l", "mg/L")):
        strength = told.get(key)
        if isinstance(strength, list | tuple):
            return float(strength[0]), float(strength[1]), unit
        if strength:
            return float(strength), float(strength), unit
    return None, None, ""


def hormone_words(told: Mapping[str, Any]) -> str:
    """Return the hormone of a line in words; empty where none is given."""
    if told.get("auxin") in (None, "", "none"):
        return ""
    low, high, unit = _strength(told)
    form = told.get("auxin_form") or ""
    if low is None or high is None or not form:
        return str(told["auxin"]).upper()
    origin = Origin(mark="as recorded")
    dose = Dose(cast(Form, form), cast(Auxin, told["auxin"]), low, high, cast(Unit, unit), None, origin)
    return dose_words(dose)


def hormone_in_short(told: Mapping[str, Any]) -> str:
    """Return a hormone that is not measured out by volume in a word; empty where there is none."""
    if told.get("auxin") in (None, "", "none"):
        return ""
    return {"talc": Said("powder"), "soak": Said("soak")}.get(told.get("auxin_form") or "", "")


def _dip(lines: Sequence[PaperLine], first: First) -> tuple[str, str]:
    told = lines[0].told
    how = dip_words(cast(Form, told.get("auxin_form") or ""), first=first)
    text = Said("{dose}: what the product's label says goes first. {how}.", dose=hormone_words(told), how=how)
    return Said("Hormone"), joined([text, _poured(lines, first)])


def _poured(lines: Sequence[PaperLine], first: First) -> str:
    dip = sum(line.told.get("dip_ml") or 0.0 for line in lines)
    if dip:
        return Said("Pour out {ml} for all of these.", ml=volume_text(dip / 1000, first=first))
    powder = [line.told["powder_g"] for line in lines if line.told.get("powder_g")]
    if powder:
        low, high = (sum(part[k] for part in powder) for k in (0, 1))
        if high < 1:
            return Said("Shake out a little: all of these take less than 1 g.")
        return Said("Shake out {low} to {high} g for all of these.", low=plain(low), high=plain(high))
    return ""
