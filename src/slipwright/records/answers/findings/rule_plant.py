"""Which plants a rule of the garden's own is for: a name under which it will be found again."""

from __future__ import annotations

import difflib

from slipwright.advice.asked import N_NEAR, Named, plant_named
from slipwright.craft.names import genus_of
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden, Taxon


def plant_of_rule(garden: Garden, handbook: Handbook, typed: str) -> str:
    """Return a taxon or a genus of the garden or the handbook, spelt as there; empty is all plants.

    Any other name is refused with those near it, and never guessed: under it the rule would be told
    nowhere. One query.
    """
    wanted = " ".join(typed.split())
    if not wanted:
        return ""
    own = dict(Taxon.rows.of(garden).order_by("taxon").values_list("taxon", "common_name"))
    taxa = [*own, *(taxon for page in handbook.pages for taxon in page.taxa)]
    known: dict[str, str] = {}
    for name in (*taxa, *map(genus_of, taxa)):
        known.setdefault(name.casefold(), name)
    if (found := known.get(wanted.casefold())) is not None:
        return found
    near = [taxon for taxon, common in own.items() if common.casefold() == wanted.casefold()]
    named = plant_named(handbook, wanted)
    if isinstance(named, Named):
        near.append(genus_of(named.taxon))
    near += [known[name] for name in difflib.get_close_matches(wanted.casefold(), known, n=N_NEAR)]
    if not near:
        raise BadValue("plant", Said("must be a plant or a genus of the records or the handbook"), wanted)
    names = ", ".join(list(dict.fromkeys(near))[:N_NEAR])
    raise BadValue(
        "plant",
        Said("must be a plant or a genus of the records or the handbook; near it are {names}", names=names),
        wanted,
    )
