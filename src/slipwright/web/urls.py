"""The address of each page."""

from __future__ import annotations

from django.urls import path

from slipwright.web.views import (
    batch,
    batches,
    door,
    garden,
    growing,
    labels,
    look,
    one_pot,
    papers,
    plants,
    potting,
    search,
    stick,
    today,
    undo,
)
from slipwright.web.views.rows import new, row, rows, wants

#: codes and keys may hold any sign, a slash too, so the longer addresses stand before the shorter
urlpatterns = [
    path("", today.today, name="today"),
    path("round/nothing-to-note", today.nothing_to_note, name="nothing-to-note"),
    path("undo", undo.undo, name="undo"),
    path("search", search.search, name="search"),
    path("stick", stick.stick, name="stick"),
    path("stick/done", stick.done, name="stuck"),
    path("batches", batches.batches, name="batches"),
    path("batches/<path:code>/look", look.look, name="look"),
    path("batches/<path:code>/pot-up", potting.pot_up, name="pot-up"),
    path("batches/<path:code>/act", batch.act, name="act"),
    path("batches/<path:code>/withdraw", batch.withdraw, name="withdraw"),
    path("batches/<path:code>/outcome", growing.outcome, name="outcome"),
    path("batches/<path:code>/card", growing.card, name="card"),
    path("batches/<path:code>/card.pdf", growing.card_pdf, name="card-pdf"),
    path("batches/<path:code>", batch.batch, name="batch"),
    path("growing-on", growing.growing, name="growing"),
    path("plants", plants.plants, name="plants"),
    path("plants/<path:key>/seen", plants.seen, name="plant-seen"),
    path("plants/<path:key>", plants.plant, name="plant"),
    path("wants", wants, name="wants"),
    path("rows/<str:table>", rows, name="rows"),
    path("rows/<str:table>/new", new, name="row-new"),
    path("rows/<str:table>/row", row, name="row"),
    path("sheet.pdf", papers.sheet_pdf, name="sheet-pdf"),
    path("labels", labels.labels, name="labels"),
    path("labels.pdf", labels.labels_pdf, name="labels-pdf"),
    path("one-pot", one_pot.one_pot, name="one-pot"),
    path("one-pot.pdf", one_pot.one_pot_pdf, name="one-pot-pdf"),
    path("garden", garden.garden, name="garden"),
    path("garden/tables.zip", garden.tables, name="tables"),
    path("garden/calendar.ics", garden.calendar, name="calendar"),
    path("garden/look-of-page", garden.look_of_page, name="look-of-page"),
    path("set-up", door.set_up, name="set-up"),
    path("sign-in", door.sign_in, name="sign-in"),
    path("password", door.password, name="password"),
    path("sign-out", door.sign_out, name="sign-out"),
    path("let-in/<str:code>", door.let_in, name="let-in"),
    path("B/<str:code>", batch.from_label, name="from-label"),
]
