"""How what was set aside is said on a page."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from slipwright.records.answers.set_aside import Line
from slipwright.records.columns import Column, table_named
from slipwright.records.models import Look
from slipwright.web.days import in_form
from slipwright.web.named import named
from slipwright.web.row_labels import label_of

LABELS: dict[str, str | Promise] = {
    "on": gettext_lazy("Day"),
    "at": gettext_lazy("When"),
    "by": gettext_lazy("Recorded by"),
    "n_rooted": gettext_lazy("Rooted"),
    "n_lost": gettext_lazy("Lost"),
    "n_removed": gettext_lazy("Removed"),
    "n_waiting": gettext_lazy("Waiting"),
    "n_lost_rooted": gettext_lazy("Rooted ones that died"),
    "n_tried": gettext_lazy("Tried"),
    "n_tried_rooted": gettext_lazy("Rooted of those tried"),
    "n_potted": gettext_lazy("Potted"),
    "n_stuck": gettext_lazy("Stuck"),
    "cause": gettext_lazy("Why lost"),
    "signs": gettext_lazy("Signs"),
    "pot_weight": gettext_lazy("Weight of the pot in the hand"),
    "note": gettext_lazy("Note"),
    "text": gettext_lazy("Note"),
    "batch": gettext_lazy("Batch"),
    "after": gettext_lazy("Made after"),
    "act": gettext_lazy("Done"),
    "about": gettext_lazy("About"),
    "reason": gettext_lazy("What is wrong with it"),
    "withdraws": gettext_lazy("Takes back"),
    "content": gettext_lazy("What came"),
}

#: what is compared of looks made after the same thing
RIVAL_COLUMNS = (
    "on",
    "n_rooted",
    "n_lost",
    "n_removed",
    "n_waiting",
    "n_lost_rooted",
    "n_tried",
    "n_tried_rooted",
    "cause",
    "signs",
    "pot_weight",
    "note",
)

WHY: dict[str, str | Promise] = {
    "same-id": gettext_lazy("The garden has it with other words"),
    "damaged": gettext_lazy("It arrived damaged"),
    "clock": gettext_lazy("The phone’s clock was days out"),
    "role": gettext_lazy("Whoever sent it may not record"),
    "newer": gettext_lazy("It comes from a newer Slipwright"),
    "no-batch": gettext_lazy("Its batch is not in this garden"),
    "same-code": gettext_lazy("Another batch has its code"),
    "protected": gettext_lazy("A protected plant, and no licence seen"),
    "taken-back": gettext_lazy("What it is about was taken back"),
    "unfit": gettext_lazy("It does not fit"),
}
MEANS: dict[str, str | Promise] = {
    "same-id": gettext_lazy(
        "The same record came twice and says two things. What came first counts until you decide."
    ),
    "damaged": gettext_lazy(
        "It does not match its own seal. Where the phone still holds it, let it send again; what comes whole "
        "is taken in by itself."
    ),
    "clock": gettext_lazy(
        "Look at the day it says. If the day is right, record it as it is; if not, leave it out and write it "
        "anew with the right day."
    ),
    "role": gettext_lazy("The record is kept. You may record it for them."),
    "newer": gettext_lazy("This Slipwright cannot read it. Bring it up to date; the phone sends again."),
    "no-batch": gettext_lazy(
        "Perhaps the phone that stuck the batch has not sent yet. Once it has, record this one."
    ),
    "same-code": gettext_lazy(
        "Two phones drew the same code without signal. Recorded, this batch gets a new code: print it a new "
        "label."
    ),
    "protected": gettext_lazy(
        "Write the licence into its row in Taxa, or say on what ground it was done. Local rules decide."
    ),
    "taken-back": gettext_lazy("The garden took it back since. Leave it out, or write it anew elsewhere."),
    "unfit": gettext_lazy(
        "Something in it breaks a rule of its table. Read it, and write anew what is right."
    ),
}


def settled_words(settled_as: str) -> str:
    """Say what was decided."""
    return {
        "dropped": _("Left out. It can still be read."),
        "recorded": _("Recorded."),
        "replaced": _("Recorded in its place."),
    }[settled_as]


def label(table: str, name: str) -> str:
    """Return what a column of an entry is called on a page."""
    return str(LABELS.get(name) or label_of(table, name))


def line_in_words(line: Line) -> dict[str, Any]:
    """Return a line of both versions as a page shows it."""
    return {
        "label": label(line.table, line.name),
        "kept": said_of(line.column, line.kept),
        "sent": said_of(line.column, line.sent),
        "differs": line.differs,
    }


def said_of_look(look: Look, name: str) -> str:
    """Say one value of a look."""
    return said_of(table_named("looks").column(name), getattr(look, name))


def said_of(column: Column | None, value: Any) -> str:
    """Say a value, of whatever type it came; nothing where nothing was said."""
    if value is None or value == "":
        return ""
    if isinstance(value, str) and column is not None:
        if column.kind == "choice":
            return named(value)
        if column.kind == "signs":
            return ", ".join(named(sign) for sign in value.split(";"))
        if column.kind in ("date", "instant"):
            return _moment(value)
    if isinstance(value, date):
        return in_form(value, "j M Y")
    return str(value)


def _moment(text: str) -> str:
    try:
        if "T" in text:
            return in_form(datetime.fromisoformat(text), "j M Y, H:i")
        return in_form(date.fromisoformat(text), "j M Y")
    except ValueError:
        return text
