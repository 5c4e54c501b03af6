"""The labels of a garden's batches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal

from slipwright.advice.label import label_of_batch, treatment_words
from slipwright.craft.container import LABELS_A_CONTAINER
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, in_tongue
from slipwright.outputs.label_text import Label
from slipwright.records import selectors
from slipwright.records.errors import Refused
from slipwright.records.models import Garden
from slipwright.records.selectors import LabelOf

#: more copies than this of one label are a slip of the pen
AT_MOST = 500


def labels_for(
    garden: Garden,
    codes: Sequence[str],
    *,
    since: date | None,
    on: date,
    one_each: bool = False,
    translate: Callable[[str], str] = str,
) -> tuple[list[Label], list[str]]:
    """Return the labels of batches, two a container, and why batches were left out.

    One label stands in the pot, one is buried or tied on. A plant that may not be multiplied gets
    none: ``Refused`` is raised if its batch was named, else it is left out and said. ``translate`` says
    the words in the tongue of the label.
    """
    labels: list[Label] = []
    left_out: list[str] = []
    for found in selectors.labels_of(garden, codes, since=since, on=on):
        if not found.rights.allowed:
            why = f"{found.batch}, {found.taxon}: no label. {found.rights.reason}"
            if codes:
                raise Refused(why)
            left_out.append(why)
            continue
        labels.append(
            label_of_batch(
                code=found.batch,
                taxon=found.taxon,
                common_name=found.common_name,
                stuck_on=found.stuck_on,
                treatment=" · ".join(filter(None, (_stuck(found, translate), _treatment(found, translate)))),
                place=found.place,
                copies=1 if one_each else copies_of(found),
                translate=translate,
            )
        )
    return labels, left_out


def copies_of(found: LabelOf) -> int:
    """Return the labels of a batch at two a container: one stands in it, one is buried or tied on."""
    return min(LABELS_A_CONTAINER * (found.n_containers or 1), AT_MOST)


def _stuck(found: LabelOf, translate: Callable[[str], str]) -> str:
    return in_tongue(Said("{n} stuck", n=plain(found.n_stuck, 0)), translate)


def _treatment(found: LabelOf, translate: Callable[[str], str]) -> str:
    """Return the treatment in one line; of a pot of a trial its way's letter and block in its place.

    Who looks at a trial is then not told by the label which way is which.
    """
    if found.trial:
        block = in_tongue(Said("block {n}", n=found.block), translate) if found.block else ""
        return " · ".join(filter(None, (found.arm, block, found.trial)))
    return treatment_words(
        auxin=found.auxin,
        auxin_form=found.auxin_form,
        auxin_mg_per_l=_float(found.auxin_mg_per_l),
        auxin_mg_per_kg=_float(found.auxin_mg_per_kg),
        translate=translate,
    )


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
