"""What was asked: the question checked, and the plant found by whatever name it was given."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from slipwright.advice._wording import unlike
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant
from slipwright.advice.timing import Flowers
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.handbook import Handbook, Match
from slipwright.handbook.pages import WOODS, Dose, Page, Wood
from slipwright.outputs.measures import First
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import Learned

SHOOTS = ("vegetative", "budded", "flowering", "spent")
COVERS = ("tent", "mist", "open")
FLOWERS = ("once", "repeat")
#: how many other names are offered
N_NEAR = 5


@dataclass(frozen=True, slots=True)
class Asked:
    """One question. Empty or ``None`` is not known."""

    taxon_words: str
    on: date
    latitude_deg: float | None = None
    n_wanted: int = 1
    assurance: float = 0.8
    shoot: str | None = None
    have: str | None = None
    flowers: Flowers | None = None
    rights: str = "unknown"
    rights_until: date | None = None
    licence: str = ""
    licence_until: date | None = None
    round_days: int = 7
    price_each: float | None = None
    cost_per_pot: float | None = None
    currency: str = ""
    #: a wood and a number already decided: the plan then begins on ``on`` whatever the calendar says
    wood: Wood | None = None
    n_stuck: int | None = None
    n_per_container: int | None = None
    pot_l: float | None = None
    #: a hormone already decided on, in place of the handbook's
    dose: Dose | None = None
    #: what was seen of the very plant, and the weather it stood in
    seen: SeenPlant = NOTHING_SEEN
    #: what a garden's records and the handbook say of growing on; None is the handbook alone
    grows: GrowsOn | None = None
    #: what the garden's records taught; None where there are none
    learned: Learned | None = field(default=None, compare=False, repr=False)
    #: botanical name of the plant itself, where it is another than the page's first
    taxon: str = ""
    #: which measure the steps of the work are told in first
    first: First = "metric"

    def __post_init__(self) -> None:
        """Refuse what cannot be answered."""
        if self.n_wanted < 1:
            raise BadArgument("want", "be 1 or more", self.n_wanted)
        if not 0 < self.assurance < 1:
            raise BadArgument("assurance", "lie above 0 and below 1", self.assurance)
        if not 5 <= self.round_days <= 10:
            raise BadArgument("round_days", "be from 5 to 10", self.round_days)
        if self.latitude_deg is not None and not -90 <= self.latitude_deg <= 90:
            raise BadArgument("latitude_deg", "be from -90 to 90", self.latitude_deg)
        for name in ("n_stuck", "n_per_container"):
            count = getattr(self, name)
            if count is not None and count < 1:
                raise BadArgument(name, "be 1 or more", count)
        if self.pot_l is not None and not 0 < self.pot_l < float("inf"):
            raise BadArgument("pot_l", "be above 0", self.pot_l)
        words = {"shoot": SHOOTS, "have": COVERS, "flowers": FLOWERS, "wood": WOODS}
        for name, allowed in words.items():
            word = getattr(self, name)
            if word is not None and word not in allowed:
                raise BadArgument(name, f"be one of {', '.join(allowed)}", word)
        for name, money in (("price_each", self.price_each), ("cost_per_pot", self.cost_per_pot)):
            if money is not None and not 0 <= money < float("inf"):
                raise BadArgument(name, "be 0 or more", money)


@dataclass(frozen=True, slots=True)
class Named:
    """A plant found in the handbook, and what to say of how it was found."""

    page: Page
    taxon: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class NotKnown:
    """A name the handbook does not answer to, or of several plants, and names near it."""

    words: str
    near: tuple[str, ...]


def plant_named(handbook: Handbook, words: str, tongue: str = "en") -> Named | NotKnown:
    """Return the plant some words mean, or the names near them.

    Parameters
    ----------
    handbook : Handbook
        Every page.
    words : str
        A common, botanical or older name.
    tongue : str
        The language of the speaker, in two letters.

    Returns
    -------
    Named or NotKnown
        A plant only where a name is its own: words that merely touch a name ("rock rose", "Salvia")
        are not known, and the names they touch are offered.

    References
    ----------
    That a plant is never guessed is our own rule.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> plant_named(load_handbook(), "garden rose").taxon
    'Rosa'
    >>> plant_named(load_handbook(), "rock rose").near
    ('rose',)
    """
    found = handbook.find(words, tongue)
    if not found:
        return NotKnown(words, _near(handbook, words, tongue))
    first = found[0]
    if not first.exact:
        return NotKnown(words, _offered(handbook, words, found, tongue))
    older = first.kind == "older name"
    remark = Said("{older} is now called {taxon}", older=first.matched, taxon=first.taxon) if older else ""
    return Named(first.page, first.taxon, remark)


def _offered(handbook: Handbook, words: str, found: Sequence[Match], tongue: str) -> tuple[str, ...]:
    """Names to choose among: one of each page before a second of any, in the order of the handbook.

    A word that several common names share, as azalea, is met with those before botanical names.
    """
    pages = [page.key for page in handbook.pages]
    wanted = " ".join(words.lower().split())

    def name(match: Match) -> str:
        names = match.page.names_of(match.taxon, tongue)
        return next((one for one in names if one.lower().endswith(f" {wanted}")), match.matched)

    def order(match: Match) -> tuple[bool, bool, int, int]:
        page, names = match.page, match.page.common_names_in(tongue)
        if name(match) in names and name(match).lower().endswith(f" {wanted}"):
            return (False, False, pages.index(page.key), names.index(name(match)))
        begins = match.matched.lower().startswith(wanted)
        place = page.taxa.index(match.matched) if match.matched in page.taxa else len(match.matched)
        return (True, not begins, pages.index(page.key), place)

    ranked = sorted(found, key=order)
    firsts = list({match.page.key: match for match in reversed(ranked)}.values())[::-1]
    return unlike(name(match) for match in [*firsts, *ranked])[:N_NEAR]


def _near(handbook: Handbook, words: str, tongue: str) -> tuple[str, ...]:
    names: dict[str, str] = {}
    for page in handbook.pages:
        for name in (*page.taxa, *page.synonyms, *page.common_names_in(tongue)):
            names.setdefault(name.lower(), name)
    wanted = " ".join(words.lower().split())
    close = difflib.get_close_matches(wanted, names, n=N_NEAR, cutoff=0.6)
    # one wrong word of two still points to the other
    for word in wanted.split():
        if len(word) > 3 and len(close) < N_NEAR:
            close += difflib.get_close_matches(word, names, n=N_NEAR - len(close), cutoff=0.75)
    return unlike(names[name] for name in close)[:N_NEAR]
