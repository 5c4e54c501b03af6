"""May this plant be multiplied today, as far as what is written down goes.

This is a reminder, not legal advice: rights differ from country to country and the law decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from slipwright.craft.days import day_in_words
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said, joined

if TYPE_CHECKING:
    from datetime import date

Kind = Literal["free", "unknown", "expired", "licensed", "protected", "licence-missing", "licence-expired"]
RIGHTS = ("none", "unknown", "protected", "licensed")

_TERMS = Said("Keep to its terms and counts.")
_LAW = Said("Local law decides; ask the holder of the right if in doubt.")


@dataclass(frozen=True)
class Standing:
    """Where a plant stands by the rights recorded for it.

    Attributes
    ----------
    allowed : bool
        Whether sticking, planning and labels go ahead.
    kind : str
        ``free``, ``unknown``, ``expired``, ``licensed``, ``protected``, ``licence-missing`` or
        ``licence-expired``.
    reason : str
        One or two sentences to show.
    """

    allowed: bool
    kind: Kind
    reason: str


def standing(
    rights: str,
    *,
    rights_until: date | None = None,
    licence: str = "",
    licence_until: date | None = None,
    on: date,
) -> Standing:
    """Return whether a plant may be multiplied on a day, by what is recorded of its rights.

    Parameters
    ----------
    rights : str
        ``none``, ``unknown``, ``protected`` or ``licensed``.
    rights_until : date, optional
        Last day of protection, if known.
    licence : str
        Number or wording of the licence; empty if there is none.
    licence_until : date, optional
        Last day of the licence; without it the licence has no end.
    on : date
        The day asked about.

    Returns
    -------
    Standing
        Allowed or not, the kind and a reason in words.

    Raises
    ------
    BadArgument
        If ``rights`` is none of the four words.

    Notes
    -----
    A protected plant is refused without a licence that holds on the day, until the day after its
    protection ends. Giving plants away makes no difference here. ``unknown`` goes ahead with a
    caution, since most garden plants carry no right and a tool cannot know.

    References
    ----------
    Rights and their licences hold by the law of each country; usual terms, each with its source, stand
    in the handbook. Refusing without a licence on record: common practice, no source.

    Examples
    --------
    >>> from datetime import date
    >>> standing("protected", rights_until=date(2030, 5, 1), on=date(2026, 10, 20)).allowed
    False
    >>> standing("none", on=date(2026, 10, 20)).kind
    'free'
    """
    if rights not in RIGHTS:
        raise BadArgument("rights", f"be one of {', '.join(RIGHTS)}", rights)
    if rights == "none":
        return Standing(True, "free", joined([Said("No right is recorded for this plant."), _LAW]))
    if rights == "unknown":
        look = Said(
            "Nobody has written down whether this plant is protected. Look on the plant's own label "
            "and in your country's register of varieties first."
        )
        return Standing(True, "unknown", joined([look, _LAW]))
    if rights_until is not None and on > rights_until:
        ended = Said(
            "Protection is recorded as ended on {day}. The selling name may still be a trade mark.",
            day=day_in_words(rights_until),
        )
        return Standing(True, "expired", joined([ended, _LAW]))
    return _under_protection(rights, rights_until, licence.strip(), licence_until, on)


def _under_protection(
    rights: str, rights_until: date | None, licence: str, licence_until: date | None, on: date
) -> Standing:
    ends = (
        Said("no end is recorded")
        if rights_until is None
        else Said("until {day}", day=day_in_words(rights_until))
    )
    if licence and licence_until is None:
        kept = Said("Protected ({ends}); licence {licence}.", ends=ends, licence=licence)
        return Standing(True, "licensed", joined([kept, _TERMS]))
    if licence and licence_until is not None:
        last = day_in_words(licence_until)
        if on <= licence_until:
            kept = Said(
                "Protected ({ends}); licence {licence}, to {day}.", ends=ends, licence=licence, day=last
            )
            return Standing(True, "licensed", joined([kept, _TERMS]))
        lapsed = Said(
            "Protected ({ends}), and licence {licence} ended on {day}. Renew it before sticking.",
            ends=ends,
            licence=licence,
            day=last,
        )
        return Standing(False, "licence-expired", joined([lapsed, _LAW]))
    if rights == "licensed":
        unsaid = Said(
            "Marked as licensed ({ends}), but no licence is written down. Enter its number first.", ends=ends
        )
        return Standing(False, "licence-missing", joined([unsaid, _LAW]))
    refused = Said(
        "Protected ({ends}), and no licence is recorded. Multiplying it without one may break the "
        "law, even to give plants away.",
        ends=ends,
    )
    return Standing(False, "protected", joined([refused, _LAW]))
