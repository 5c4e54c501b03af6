"""Where cuttings stand: their cover, their light and their winter, by leaf, plant and season.

The kind of cover is the handbook's, by name; nothing is read out of its sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.advice._wording import sentence
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import CoverKind, WoodLeaf
from slipwright.rooting.dates import six_months_on

#: months in which a pot may freeze, northern hemisphere: common practice, no source
COLD_FROM, COLD_TO = (10, 15), (4, 15)
#: another cover holds from its day until about half a year later: common practice, no source
_CHANGE_HOLDS_DAYS = 182
_BARE = Said("Without leaves they lose little water.")
_BARE_PLACE = Said("A cold frame, an unheated shelf or a sheltered corner; keep the medium just moist.")
_POTS_FREEZE = Said(
    "Pots freeze sooner than ground: plunge them, wrap them or take them under glass in hard frost."
)
_OPEN_DRIES = Said("Leafy cuttings in the open dry out before they root.")
_INSTEAD_OF_NONE = {
    "closed-bag": Said("A clear bag over three sticks costs little"),
    "loose-tent": Said("A clear bag over three sticks, open at the foot and aired daily, costs little"),
    "frame": Said("A cold frame, or a cool and light window, serves"),
    "none": Said("A shaded frame serves"),
}


@dataclass(frozen=True, slots=True)
class Shelter:
    """What cuttings of one wood stand under from one day on."""

    leaf: WoodLeaf
    cover: str
    leafless: bool
    on: date | None
    south: bool

    @property
    def is_cold(self) -> bool:
        """Whether pots may freeze; without a day, dormant wood is taken to be stuck in winter."""
        if self.on is None:
            return self.leaf.wood == "hardwood"
        day = _northern(self.on, self.south)
        return day >= COLD_FROM or day <= COLD_TO

    def kind_and_words(self) -> tuple[CoverKind, str]:
        """Return the kind of cover that holds on the day, and the handbook's words for it."""
        now: tuple[CoverKind, str] = (
            self.leaf.cover_kind,
            self.leaf.cover[0].text if self.leaf.cover else "",
        )
        if self.on is None:
            return now
        since = {
            _days_since(change.day, _northern(self.on, self.south)): change for change in self.leaf.cover_from
        }
        holding = [days for days in since if days < _CHANGE_HOLDS_DAYS]
        if holding:
            latest = since[min(holding)]
            now = latest.kind, latest.text
        return now

    def cover_words(self) -> tuple[str, str]:
        """Return title and text of the step that covers the pots."""
        kind, own = self.kind_and_words()
        if self.leafless:
            return self._bare(kind, own)
        if self.cover == "open":
            return Said("Better a cover than none"), self._in_the_open(kind, own)
        if kind == "frame":
            off = Said("Leave the mist off: wet leaves rot in the cold.") if self.cover == "mist" else ""
            wet = Said("No closed bag: leaves kept wet rot.")
            return Said("Into a frame, no bag"), joined([own, wet, off])
        if self.cover == "mist":
            return (
                Said("Under the mist"),
                Said("Leaves stay filmed, the medium is never soggy; longer pauses as roots form."),
            )
        if kind == "closed-bag":
            tied = Said("Three sticks hold a wet, clear bag off the leaves; tie it round the pot.")
            return Said("Sticks, a wet bag, a tie"), joined([own, tied])
        loose = Said("Three sticks hold a clear bag off the leaves; leave it open at the foot.")
        return Said("Sticks and a loose bag"), joined([own, loose])

    def light_words(self) -> tuple[str, str]:
        """Return title and text of the step that finds the pots a place."""
        if self.leafless and (self.is_cold or self.leaf.wood == "hardwood"):
            back = Said("Cool tops hold the buds back while roots form.")
            return Said("Cool, bright, out of frost"), joined([back, _POTS_FREEZE])
        if self.is_cold:
            place = Said(
                "A frost-free frame or a cool, light place under glass, with no sun on a closed cover."
            )
            return Said("Light, cool, out of frost"), joined([place, _POTS_FREEZE])
        return (
            Said("Bright shade, never sun"),
            Said(
                "Beside a wall on its shady side or under a bench: light enough to read, no sun at any hour."
            ),
        )

    def _bare(self, kind: CoverKind, own: str) -> tuple[str, str]:
        # the handbook's words are about leafy pieces of this wood, if it keeps leaves
        words = _BARE_PLACE if self.leaf.leaves != "none" else own or _BARE_PLACE
        framed = kind == "frame" and self.leaf.leaves == "none"
        title = Said("Into a frame, no bag") if framed else Said("No cover needed")
        return title, joined([_BARE, words])

    def _in_the_open(self, kind: CoverKind, own: str) -> str:
        if self.is_cold:
            without = Said("without it keep them out of wind and frost")
        elif kind == "closed-bag":
            without = Said("without it keep them in full shade, out of wind, and wet the leaves often")
        else:
            without = Said("without it keep them in full shade, out of wind")
        instead = joined([_INSTEAD_OF_NONE[kind], without], "; ")
        return joined([_OPEN_DRIES, own, sentence(instead)])


def _northern(on: date, south: bool) -> tuple[int, int]:
    """Return the day of the northern calendar that means the same season."""
    day = (on.month, on.day)
    return six_months_on(day) if south else day


def _days_since(earlier: tuple[int, int], now: tuple[int, int]) -> int:
    """Return days from one day of the calendar to the next time another comes (2001 had no 29 Feb)."""
    first, last = (date(2001, month, min(day, 28) if month == 2 else day) for month, day in (earlier, now))
    return (last - first).days % 365
