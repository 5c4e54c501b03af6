"""Who may ask for what: the one table that the tests of access and their planted holes go by."""

from __future__ import annotations

from typing import NamedTuple

#: owner, grower, volunteer, reader, a phone let in for the grower, stranger
WHO = {"o": "owner", "g": "grower", "v": "volunteer", "r": "reader", "p": "phone", "s": "stranger"}
ALL, INSIDE, RECORD, EDIT, GOVERN, NOBODY = "ogvrps", "ogvrp", "ogvp", "og", "o", ""


class Row(NamedTuple):
    """An address by its name: what it is asked with, and who may, by method.

    ``{batch}`` and so on in an address stand for an object of the garden; of another garden it is not there.
    """

    name: str
    address: str
    get: str | None = None
    post: str | None = None


TABLE = (
    Row("today", "/", get=INSIDE),
    Row("today", "/?place=mist-1", get=INSIDE),
    Row("nothing-to-note", "/round/nothing-to-note", post=RECORD),
    Row("undo", "/undo", post=RECORD),
    Row("demo-day", "/demo/day", post=RECORD),
    Row("sync", "/sync", get=INSIDE, post=INSIDE),
    Row("sync-file", "/sync/file", post=EDIT),
    Row("asides", "/set-aside", get=EDIT),
    Row("aside", "/set-aside/{aside}", get=EDIT, post=EDIT),
    Row("outbox", "/outbox", get=INSIDE),
    Row("service-worker", "/sw.js", get=ALL),
    Row("manifest", "/manifest.webmanifest", get=ALL),
    Row("search", "/search", get=INSIDE),
    Row("search", "/search?q=Rosa", get=INSIDE),
    Row("stick", "/stick", get=RECORD, post=RECORD),
    Row("stuck", "/stick/done", get=RECORD),
    Row("batches", "/batches", get=INSIDE),
    Row("look", "/batches/{batch}/look", get=INSIDE, post=RECORD),
    Row("pot-up", "/batches/{batch}/pot-up", get=INSIDE, post=RECORD),
    Row("act", "/batches/{batch}/act", post=RECORD),
    Row("withdraw", "/batches/{batch}/withdraw?entry={look}&kind=look", get=RECORD, post=RECORD),
    Row("two-looks", "/batches/{batch}/two-looks", get=EDIT, post=EDIT),
    Row("outcome", "/batches/{batch}/outcome", get=RECORD, post=RECORD),
    Row("card", "/batches/{batch}/card", get=INSIDE),
    Row("card-pdf", "/batches/{batch}/card.pdf", get=INSIDE),
    Row("batch", "/batches/{batch}", get=INSIDE),
    Row("photo-add", "/photos", post=RECORD),
    Row("photo-thumb", "/photos/{photo}/thumb", get=INSIDE),
    Row("photo-take-back", "/photos/{photo}/take-back", get=RECORD, post=RECORD),
    Row("photo", "/photos/{photo}", get=INSIDE),
    Row("readings", "/readings", get=INSIDE, post=EDIT),
    Row("weather", "/weather", get=INSIDE, post=EDIT),
    Row("instruments", "/garden/instruments", get=GOVERN, post=GOVERN),
    Row("api-readings", "/api/readings", post=NOBODY),  # a token lets in, no session does
    Row("api-openapi", "/api/openapi.json", get=ALL),
    Row("findings", "/findings", get=INSIDE),
    Row("findings", "/findings?of=Rosa&page=2&rules=2", get=INSIDE),
    Row("finding-rule", "/findings/rule?plant=Rosa", get=EDIT, post=EDIT),
    Row("finding-rule-back", "/findings/rule/take-back", post=EDIT),
    Row("learned", "/learned", get=INSIDE),
    Row("forecasts-made", "/findings/forecasts", get=INSIDE),
    Row("learned-plant", "/learned/plant?taxon=Rosa&wood=hardwood", get=INSIDE),
    Row("trials", "/trials", get=INSIDE),
    Row("trial-new", "/trials/new", get=EDIT, post=EDIT),
    Row("trial-new", "/trials/new?plant={plant}&differs=wound", get=EDIT, post=EDIT),
    Row("trial-table", "/trials/{trial}/table.csv", get=INSIDE),
    Row("trial-stick", "/trials/{trial}/stick", get=RECORD, post=RECORD),
    Row("trial-count", "/trials/{trial}/count", get=RECORD, post=RECORD),
    Row("trial", "/trials/{trial}", get=INSIDE),
    Row("mist", "/mist", get=INSIDE),
    Row("mist", "/mist?place=mist-1&bed=open", get=INSIDE),
    Row("mist-seen", "/mist/seen", post=RECORD),
    Row("mist-nozzles", "/mist/nozzles", post=EDIT),
    Row("growing", "/growing-on", get=INSIDE),
    Row("plants", "/plants", get=INSIDE),
    Row("plant-seen", "/plants/{plant}/seen", post=RECORD),
    Row("plant", "/plants/{plant}", get=INSIDE),
    Row("wants", "/wants", get=INSIDE),
    Row("rows", "/rows/plants", get=INSIDE),
    Row("rows", "/rows/members", get=INSIDE),
    Row("row-new", "/rows/plants/new", get=EDIT, post=EDIT),
    Row("row-new", "/rows/members/new", get=GOVERN, post=GOVERN),
    Row("row", "/rows/plants/row?key={plant}", get=INSIDE, post=EDIT),
    Row("row", "/rows/members/row?key=volunteer", get=INSIDE, post=GOVERN),
    Row("row", "/rows/garden/row", get=INSIDE, post=GOVERN),
    Row("sheet-pdf", "/sheet.pdf?for={batch}", get=INSIDE),
    Row("season", "/season", get=INSIDE),
    Row("season", "/season?wants=2&from=2025-10-27", get=INSIDE),
    Row("season-progress", "/season/progress", get=INSIDE),
    Row("season-ask", "/season/ask", post=RECORD),
    Row("season-use", "/season/use", post=EDIT),
    Row("season-drop", "/season/drop", post=RECORD),
    Row("collecting-pdf", "/season/collecting.pdf", get=INSIDE),
    Row("crew-pdf", "/season/crew.pdf?tongue=es", get=INSIDE),
    Row("programme-csv", "/season/programme.csv", get=INSIDE),
    Row("labels", "/labels", get=INSIDE),
    Row("labels", "/labels?b={batch}", get=INSIDE),
    Row("labels-pdf", "/labels.pdf?b={batch}", get=INSIDE),
    Row("papers", "/papers", get=INSIDE),
    Row("year-sheet", "/papers/year-sheet.pdf?year=2026", get=INSIDE),
    Row("how-to", "/papers/how-to.pdf?of=Rosa|hardwood", get=ALL),
    Row("season-report", "/papers/season-report?season=2025", get=INSIDE),
    Row("season-report-pdf", "/papers/season-report.pdf?season=2025", get=INSIDE),
    Row("one-pot", "/one-pot", get=ALL),
    Row("one-pot-pdf", "/one-pot.pdf", get=ALL),
    Row("sums", "/sums", get=ALL),
    Row("sum", "/sums/mix", get=ALL),
    Row("sum", "/sums/mix?pots=3&pot=1&perlite=1", get=ALL),
    Row("garden", "/garden", get=INSIDE),
    Row("tables", "/garden/tables.zip", post=GOVERN),
    Row("calendar", "/garden/calendar.ics", get=INSIDE),
    Row("look-of-page", "/garden/look-of-page", post=ALL),
    Row("keeping", "/garden/keeping", get=GOVERN),
    Row("copy-now", "/garden/keeping/copy", post=GOVERN),
    Row("copy-newest", "/garden/keeping/newest", post=GOVERN),
    Row("people", "/people", get=EDIT),
    Row("take-in", "/people/new", post=GOVERN),
    Row("set-role", "/people/{member}/role", post=GOVERN),
    Row("shut", "/people/{member}/shut", post=GOVERN),
    Row("phone", "/people/{member}/phone", post=EDIT),
    Row("let-out", "/phones/{phone}/let-out", post="ogp"),  # it is the grower's
    Row("pair", "/pair/NEVER-WAS", get=ALL, post=ALL),
    Row("sure", "/sure", get=INSIDE, post=INSIDE),
    Row("who-did-what", "/who-did-what", get=GOVERN),
    Row("set-up", "/set-up", get=ALL, post=ALL),
    Row("sign-in", "/sign-in", get=ALL, post=ALL),
    Row("password", "/password", post="ogvr"),
    Row("sign-out", "/sign-out", post=ALL),
    Row("let-in", "/let-in/never-was", get=ALL, post=ALL),
    Row("trust", "/trust", get=ALL),
    Row("trust-authority", "/trust/garden-authority.crt", get=ALL),
    Row("from-label", "/B/{batch}", get=INSIDE),
)
